"""What a drawing consists of, before it becomes matplotlib artists: lines, arrows, areas, texts.

Layout is done here in millimetres on the paper, so it can be measured, moved and tested without
drawing anything; `Artists` then shows it, and shows the next one with the same artists.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from math import cos, pi, sin
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import style
from tablekit.drawing.label import Label, Point

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = NDArray[np.float64]
MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Box:
    """A level rectangle."""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        """From left to right, mm on the paper."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top, mm on the paper."""
        return self.high - self.low

    def moved(self, dx: float, dy: float) -> Box:
        """The same, so much to the right and up."""
        return Box(self.left + dx, self.low + dy, self.right + dx, self.high + dy)

    def round(self, other: Box) -> Box:
        """The smallest one round both."""
        return Box(
            min(self.left, other.left), min(self.low, other.low),
            max(self.right, other.right), max(self.high, other.high),
        )  # fmt: skip

    def meets(self, other: Box) -> bool:
        """Whether they have more than an edge in common."""
        return (
            self.left < other.right and other.left < self.right
            and self.low < other.high and other.low < self.high
        )  # fmt: skip


def box_of(label: Label, clear: float = 0.0) -> Box:
    """Round a text as it is set, with so much room on every side, mm on the paper."""
    xs, ys = zip(*label.corners(), strict=True)
    return Box(min(xs) - clear, min(ys) - clear, max(xs) + clear, max(ys) + clear)


def ring(radius: float, sides: int = 180) -> list[Point]:
    """A circle about the origin, closed."""
    return [(radius * across, radius * up) for across, up in _unit_ring(sides)]


@cache
def _unit_ring(sides: int) -> tuple[Point, ...]:
    turns = (2 * pi * k / sides for k in range(sides + 1))
    return tuple((cos(turn), sin(turn)) for turn in turns)


@dataclass(frozen=True)
class Tied:
    """The quantity that a dimension gives, and how it grows where an arrow of it is drawn out.

    per_mm   what 1 mm on the paper adds to it, in its reporting unit
    """

    quantity: str
    per_mm: float


@dataclass(frozen=True)
class Grip:
    """A place at which a hand may draw out a dimension, mm on the paper.

    towards   unit direction in which the quantity grows by `per_mm` of `of`
    """

    of: Tied
    at: Point
    towards: Point


@dataclass
class Ink:
    """A drawing in the making, mm on the paper.

    lines    polylines, each shape (n, 2), by the name of their pen in `style.PENS`
    pieces   straight pieces in bulk, arrays of shape (n, 2, 2), likewise
    arrows   filled triangles
    areas    filled polygons with their colours
    badges   rings with a number, over everything
    labels   texts
    grips    where the dimensions among the above may be drawn out
    """

    lines: dict[str, list[Sequence[Point]]] = field(
        default_factory=lambda: {pen: [] for pen in style.PENS}
    )
    pieces: dict[str, list[Array]] = field(default_factory=lambda: {pen: [] for pen in style.PENS})
    arrows: list[list[Point]] = field(default_factory=list)
    areas: list[tuple[Sequence[Point], str]] = field(default_factory=list)
    badges: list[list[Point]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    grips: list[Grip] = field(default_factory=list)

    def line(self, pen: str, *points: Point) -> None:
        """A polyline."""
        self.lines[pen].append(points)

    def arrow(self, tip: Point, towards: Point) -> None:
        """A filled arrow head at `tip`; `towards` is the unit direction in which it points."""
        (x, y), (a, b) = tip, towards
        back, half = style.ARROW, style.ARROW_HALF_WIDTH
        self.arrows.append(
            [
                tip,
                (x - back * a - half * b, y - back * b + half * a),
                (x - back * a + half * b, y - back * b - half * a),
            ]
        )

    def grip(self, of: Tied | None, at: Point, towards: Point) -> None:
        """A place to draw out a dimension, where it gives a quantity."""
        if of is not None:
            self.grips.append(Grip(of, at, towards))

    def badge(self, middle: Point, text: str) -> None:
        """A number in a ring."""
        x, y = middle
        self.badges.append([(x + a, y + b) for a, b in ring(style.BADGE, 32)])
        height = style.CAP * style.TEXT * style.MM_PER_POINT
        self.labels.append(Label(text, x, y - height / 2))

    def box(self) -> Box:
        """The smallest level rectangle round everything."""
        shapes: list[Sequence[Point]] = [line for group in self.lines.values() for line in group]
        shapes += [*self.arrows, *self.badges, *(polygon for polygon, _ in self.areas)]
        shapes += [label.corners() for label in self.labels]
        sides = [
            (min(xs), min(ys), max(xs), max(ys))
            for xs, ys in (zip(*shape, strict=True) for shape in shapes if len(shape))
        ]
        for group in self.pieces.values():
            for piece in group:
                if len(piece):
                    flat = piece.reshape(-1, 2)
                    sides.append((*flat.min(axis=0).tolist(), *flat.max(axis=0).tolist()))
        lefts, lows, rights, highs = zip(*sides, strict=True)
        return Box(float(min(lefts)), float(min(lows)), float(max(rights)), float(max(highs)))

    def moved(self, dx: float, dy: float) -> Ink:
        """The same, so much to the right and up."""

        def shifted(points: Iterable[Point]) -> list[Point]:
            return [(x + dx, y + dy) for x, y in points]

        return Ink(
            {pen: [shifted(line) for line in group] for pen, group in self.lines.items()},
            {
                pen: [piece + np.array([dx, dy]) for piece in group]
                for pen, group in self.pieces.items()
            },
            [shifted(arrow) for arrow in self.arrows],
            [(shifted(polygon), colour) for polygon, colour in self.areas],
            [shifted(ring) for ring in self.badges],
            [replace(label, x=label.x + dx, y=label.y + dy) for label in self.labels],
            [replace(grip, at=(grip.at[0] + dx, grip.at[1] + dy)) for grip in self.grips],
        )

    def add(self, other: Ink) -> None:
        """Takes in another drawing."""
        for pen in style.PENS:
            self.lines[pen] += other.lines[pen]
            self.pieces[pen] += other.pieces[pen]
        self.arrows += other.arrows
        self.areas += other.areas
        self.badges += other.badges
        self.labels += other.labels
        self.grips += other.grips


@dataclass(frozen=True)
class InkedSheet:
    """A sheet of paper with a drawing on it, finished."""

    ink: Ink
    paper: style.Paper


def printed(ink: Ink, paper: style.Paper, figure: Figure | None = None) -> Figure:
    """A figure of the paper's size that shows `ink` once and for all; `figure` or a fresh one.

    It has no axes: making them takes longer than drawing a page of text.
    """
    from tablekit.drawing.own_figure import OwnFigure, own_settings

    figure = figure or OwnFigure()
    with own_settings():
        _print(ink, paper, figure)
    return figure


def _print(ink: Ink, paper: style.Paper, figure: Figure) -> None:
    from matplotlib.transforms import Affine2D

    from tablekit.drawing.letters import Writing

    figure.set_size_inches(paper.width / MM_PER_INCH, paper.height / MM_PER_INCH)
    figure.set_facecolor(style.PAPER)
    on_paper = Affine2D().scale(1 / MM_PER_INCH) + figure.dpi_scale_trans
    shown = []
    for order, pen in enumerate(style.PENS, start=2):
        for path in _paths(ink.pieces[pen], ink.lines[pen]):
            if len(path.vertices):
                shown.append(_strokes(pen, order))
                shown[-1].set_path(path)
    shown += [_areas(ink.areas)] if ink.areas else []
    shown += [_arrows(ink.arrows)] if ink.arrows else []
    shown += [_badges(ink.badges)] if ink.badges else []
    for artist in shown:
        artist.set_transform(on_paper)
        figure.add_artist(artist)
    figure.add_artist(Writing(ink.labels, on_paper, zorder=9))


class Artists:
    """The matplotlib artists of one figure, made once and shown anew for each `Ink`.

    figure   cleared of nothing: the paper is one pair of axes over the whole of it
    """

    def __init__(self, figure: Figure, paper: style.Paper) -> None:
        from tablekit.drawing.own_figure import own_settings

        with own_settings():
            self._make(figure, paper)
        self.texts: list[Any] = []

    def _make(self, figure: Figure, paper: style.Paper) -> None:
        figure.set_facecolor(style.PAPER)
        self.axes: Axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_axis_off()
        self.axes.set_xlim(0, paper.width)
        self.axes.set_ylim(0, paper.height)
        self.lines = {
            pen: (self._add(_strokes(pen, order)), self._add(_strokes(pen, order)))
            for order, pen in enumerate(style.PENS, start=2)
        }
        self.areas, self.arrows = self._add(_areas()), self._add(_arrows())
        self.badges = self._add(_badges())

    def _add(self, artist: Any) -> Any:
        return self.axes.add_artist(artist)

    def show(self, ink: Ink) -> None:
        """Draws `ink` with the artists there are, adding texts only when there are too few."""
        for pen, strokes in self.lines.items():
            for one, path in zip(strokes, _paths(ink.pieces[pen], ink.lines[pen]), strict=True):
                one.set_path(path)
        self.arrows.set_verts(ink.arrows)
        self.badges.set_verts(ink.badges)
        self.areas.set_verts([polygon for polygon, _ in ink.areas])
        self.areas.set_facecolor([colour for _, colour in ink.areas])
        while len(self.texts) < len(ink.labels):
            self.texts.append(self._text())
        for text, label in zip(self.texts, ink.labels, strict=False):
            text.show(label)
        for text in self.texts[len(ink.labels) :]:
            text.set_visible(False)

    def _text(self) -> Any:
        from tablekit.drawing.letters import Letters
        from tablekit.drawing.own_figure import own_settings

        with own_settings():
            return self._add(Letters(zorder=9))


def _areas(areas: Sequence[tuple[Sequence[Point], str]] = ()) -> Any:
    # Pieces of one face meet edge to edge: without antialiasing no seam shows between them.
    colours = [colour for _, colour in areas]
    polygons = [polygon for polygon, _ in areas]
    return _filled(polygons, 1, linewidths=0, antialiaseds=False, facecolors=colours)


def _arrows(arrows: Sequence[Sequence[Point]] = ()) -> Any:
    return _filled(arrows, 7, linewidths=0, facecolors=style.FAINT)


def _badges(badges: Sequence[Sequence[Point]] = ()) -> Any:
    ring = style.PENS["thin"]
    look = {"facecolors": style.PAPER, "edgecolors": ring.colour, "linewidths": ring.points}
    return _filled(badges, 8, **look)


def _filled(polygons: Sequence[Sequence[Point]], order: int, **look: Any) -> Any:
    from matplotlib.collections import PolyCollection

    return PolyCollection(list(polygons), zorder=order, **look)


def _strokes(name: str, order: int) -> Any:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    pen = style.PENS[name]
    return PathPatch(
        Path(np.zeros((0, 2))),
        fill=False,
        zorder=order,
        edgecolor=pen.colour,
        linewidth=pen.points,
        linestyle=pen.linestyle,
        capstyle="butt" if pen.dashes else "round",
        joinstyle="round",
    )


def _paths(pieces: Sequence[Array], lines: Sequence[Sequence[Point]]) -> tuple[Any, Any]:
    """Two paths of many strokes, far quicker to draw than as many paths: level and upright
    strokes, which matplotlib then sets crisply on whole dots, and all others."""
    strokes = [np.array(line, dtype=float) for line in lines]
    bulk = np.concatenate([*pieces, np.zeros((0, 2, 2))])
    square = (np.abs(bulk[:, 1] - bulk[:, 0]) < 1e-6).any(axis=1)
    of_square = [bool((np.abs(np.diff(line, axis=0)) < 1e-6).any(axis=1).all()) for line in strokes]
    return (
        _path(bulk[square], [line for line, it in zip(strokes, of_square, strict=True) if it]),
        _path(bulk[~square], [line for line, it in zip(strokes, of_square, strict=True) if not it]),
    )


def _path(bulk: Array, strokes: Sequence[Array]) -> Any:
    from matplotlib.path import Path

    codes = [np.tile([Path.MOVETO, Path.LINETO], len(bulk))]
    codes += [np.array([Path.MOVETO] + [Path.LINETO] * (len(line) - 1)) for line in strokes]
    points = np.concatenate([bulk.reshape(-1, 2), *strokes])
    path = Path(points, np.concatenate(codes).astype(Path.code_type))
    path.should_simplify = False  # it would flatten circles
    return path
