"""The general arrangement: elevation and plan to one scale, with the main sizes."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from math import floor, log10
from typing import TYPE_CHECKING, Generic, TypeVar

import numpy as np

from tablekit.drawing import style
from tablekit.drawing.ink import MM_PER_INCH, Artists, Box, Ink, Label, Point, printed, ring
from tablekit.drawing.leg_views import leg_subject
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.views import (
    Arrangement,
    DrawnSheet,
    Picture,
    plain_elevation,
    plain_plan,
    subject,
)
from tablekit.relations.bases import base_of
from tablekit.solids.model import build

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.solids.piece import Solids

# ISO 5455 recommends the tens, fifths and halves; the steps between are there for a sheet that
# would be left half empty, and in inches are the usual fractions of an inch to the foot.
METRIC_SCALES = (
    5, 2, 1, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 7.5, 1 / 10, 1 / 15, 1 / 20, 1 / 25, 1 / 50,
)  # fmt: skip
# Where no scale is stated: preferred numbers, series R 20 of ISO 3, so that the drawing fills the
# screen and yet keeps its size while a slider moves a little.
FREE_SCALES = tuple(float(10 ** (-step / 20)) for step in range(-20, 36))
INCH_SCALES = (4, 2, 1, 1 / 2, 1 / 3, 1 / 4, 1 / 6, 1 / 8, 1 / 12, 1 / 16, 1 / 24, 1 / 32, 1 / 48)
STRIP = 16.0
NOTE, NOTE_LINE = 10.0, 4.2  # small print in place of the strip, and from line to line of it
INSET = 5.0  # of the small print: a drawing is that much wider, either way, than text beneath it
BETWEEN_VIEWS = 7.0
# Dimensions and texts take more than this, to the right and upwards, in any arrangement.
LEAST_BESIDES = np.array([30.0, 18.0])


# Narrower than this a screen has the plan under the elevation, which is then the larger drawing,
# and no room for a scale bar. All of it is seen at once, however wide it is. Millimetres.
SIDE_BY_SIDE, HIGHEST = 195.0, 124.0

Shown = TypeVar("Shown")
View = Callable[[float], Ink]


@dataclass(frozen=True)
class Layout:
    """A finished drawing: its scale, as paper to full size, and what is on the paper."""

    scale: float
    arrangement: str
    ink: Ink


class LiveDrawing(ABC, Generic[Shown]):
    """One drawing whose artists are made once; `update` moves them. A child lays it out."""

    def __init__(self, figure: Figure, paper: Paper) -> None:
        self.figure, self.paper = figure, paper
        figure.set_size_inches(paper.width / MM_PER_INCH, paper.height / MM_PER_INCH)

    @cached_property
    def artists(self) -> Artists:
        """Made when something is shown that may be shown anew."""
        return Artists(self.figure, self.paper)

    @abstractmethod
    def laid_out(self, it: Shown) -> Layout:
        """What is drawn of `it`, and where. Raises ValueError when the paper is too small."""

    def update(self, it: Shown) -> Layout:
        """Shows another with the same artists. On an error the last drawing stays."""
        layout = self.laid_out(it)
        self.artists.show(layout.ink)
        return layout

    @classmethod
    def drawn(cls, it: Shown, figure: Figure | None, paper: Paper) -> Figure:
        """`it` drawn once, on `figure` or a fresh one."""
        from tablekit.drawing.own_figure import OwnFigure

        drawing = cls(figure or OwnFigure(), paper)
        return printed(drawing.laid_out(it).ink, paper, drawing.figure)


class GeneralDrawing(LiveDrawing["DrawnSheet"]):
    """The artists of one general arrangement."""

    def laid_out(self, it: DrawnSheet) -> Layout:
        """Both views and the strip below them."""
        return lay_out(shown(it), self.paper)


def shown(sheet: DrawnSheet, solids: Solids | None = None, quick: bool = False) -> Arrangement:
    """What is drawn of a sheet. Finds its solids where they are not known; `quick` those of posts
    as `build` does."""
    if base_of(sheet).crossed:
        return subject(sheet, build(sheet, quick) if solids is None else solids.model)
    return leg_subject(sheet, None if solids is None else solids.legs)


def draw_general(
    sheet: DrawnSheet,
    figure: Figure | None = None,
    paper: Paper = A4,
    solids: Solids | None = None,
) -> Figure:
    """The general arrangement of a sheet, to scale on `paper`.

    figure   drawn on, and given the paper's size; a fresh one when left out
    solids   those of the sheet, where they have been made before

    Raises ValueError when the paper is too small for any scale, and whatever the sheet raises for
    a number it lacks.
    """
    return printed(lay_out(shown(sheet, solids), paper).ink, paper, figure)


def screen_paper(width: float) -> Paper:
    """The paper for a column of a screen, `width` mm: as wide, and as high as the views want."""
    if width >= SIDE_BY_SIDE:
        return Paper(width, 0.52 * width, margin=4, arrangement="beside", to_scale=False)
    return Paper(width, min(1.35 * width, HIGHEST), margin=3, to_scale=False)


def lay_out(
    it: Arrangement, paper: Paper, last: float | None = None, kept: Arrangement | None = None
) -> Layout:
    """Both views at the largest scale that fits, with the strip below them.

    kept  another design, whose outline is drawn as well
    last  the scale of the drawing before, kept while it fits and is no more than a step too small:
          what follows a slider should not keep changing its size

    Raises ValueError when none fits.
    """
    room = Box(
        paper.margin,
        paper.margin + STRIP,
        paper.width - paper.margin,
        paper.height - paper.margin,
    )
    stated = INCH_SCALES if it.inches else METRIC_SCALES
    scales = stated if paper.to_scale else FREE_SCALES
    views: tuple[View, View] = (it.elevation, it.from_above)
    if kept is not None:
        views = (_with(views[0], kept.front), _with(views[1], kept.plan))
    best = _fit(it, room, scales, paper.arrangement, views, last)
    if best is None:
        raise ValueError(
            f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for "
            f"{it.sheet.name or 'this piece'} at any scale; take a larger one"
        )
    best.ink.add(_strip(it, paper, best))
    return best


def _with(view: View, kept: Picture) -> View:
    """The view with the outline of another design, about the same centre line or centre."""

    def both(scale: float) -> Ink:
        ink = view(scale)
        ink.pieces["kept"].append(kept.visible * scale)
        if kept.rim:
            ink.line("kept", *[(x * scale, y * scale) for x, y in kept.rim])
        return ink

    return both


def lay_out_plain(it: Arrangement, paper: Paper) -> Layout:
    """The same for a customer: the sizes of the whole alone, nothing of posts and joint, and
    without the strip.

    Raises ValueError when none fits.
    """
    room = Box(0.0, 0.0, paper.width, paper.height)
    plain = (partial(plain_elevation, it), partial(plain_plan, it))
    best = _fit(it, room, FREE_SCALES, "beside", plain)
    if best is None:
        raise ValueError(f"{paper.width:g} × {paper.height:g} mm is too small for a picture")
    return best


def _fit(
    it: Arrangement, room: Box, scales: Sequence[float], arrangement: str, views: tuple[View, View],
    last: float | None = None,
) -> Layout | None:  # fmt: skip
    """The views at the largest scale that fits, in the middle of the room."""
    flat = [it.front.extent, it.plan.extent]
    in_a_row = 1 if arrangement == "stacked" else 0
    solid = np.maximum(*flat)
    solid[in_a_row] = flat[0][in_a_row] + flat[1][in_a_row]
    space = np.array([room.width, room.height])

    def tried(scale: float) -> tuple[Layout | None, float]:
        """The layout, where it fits, and the largest scale that may be tried after it."""
        first, second = (view(scale) for view in views)
        (dx, dy), box = _beside(first.box(), second.box(), arrangement)
        taken = np.array([box.width, box.height])
        fits = bool((taken <= space).all())
        # Dimensions and texts take about the same room at any scale. That tells how many scales
        # need not be tried; the allowance keeps the guess from passing over one that would fit.
        limit = float(((space - (taken - solid * scale) + 8.0) / solid).min())
        if not fits:
            return None, limit
        x = (room.left + room.right - box.left - box.right) / 2
        y = (room.low + room.high - box.low - box.high) / 2
        ink = first.moved(x, y)
        ink.add(second.moved(x + dx, y + dy))
        return Layout(scale, arrangement, ink), limit

    if last is not None and last in scales:
        found, limit = tried(last)
        if found and limit < scales[max(scales.index(last) - 2, 0)]:
            return found
    limit = float(((space - LEAST_BESIDES) / solid).min())
    for scale in scales:
        if scale <= limit:
            found, limit = tried(scale)
            if found:
                return found
    return None


def beside(first: Ink, second: Ink, arrangement: str) -> Ink:
    """Two views in projection: the second "stacked" under the first, or "beside" it, their middles
    level. The first is added to."""
    first.add(second.moved(*_beside(first.box(), second.box(), arrangement)[0]))
    return first


def _beside(one: Box, other: Box, arrangement: str) -> tuple[Point, Box]:
    """How far the second view has to be moved for that, and the box round both."""
    if arrangement == "stacked":
        dx, dy = 0.0, one.low - BETWEEN_VIEWS - other.high
    else:
        dx = one.right + BETWEEN_VIEWS - other.left
        dy = (one.low + one.high - other.low - other.high) / 2
    return (dx, dy), one.round(other.moved(dx, dy))


# --- the strip at the foot of the paper ----------------------------------------------------------


def strip_height(paper: Paper) -> float:
    """What the strip takes, or in its place a few words under a drawing that is set among text."""
    return NOTE if paper.with_text else STRIP


def small_print(lines: Sequence[str], paper: Paper, right: str = "") -> Ink:
    """What is said under a drawing that is set among text, with `right` at the end of the last
    line, or on a line of its own. The name of the piece is at the foot of the sheet."""
    ink, start, edge = Ink(), paper.margin + INSET, paper.width - paper.margin - INSET
    beside = not right or style.text_width(f"{lines[-1]}    {right}") <= edge - start
    level = paper.margin + 0.8 + NOTE_LINE * (len(lines) - beside)
    for line in lines:
        said = style.fitted(line, edge - start)
        ink.labels.append(Label(said, start, level, "left", colour=style.FAINT))
        level -= NOTE_LINE
    if right:
        level += NOTE_LINE * beside
        ink.labels.append(Label(right, edge, level, "right", colour=style.FAINT))
    return ink


def scale_note(scale: float, inches: bool) -> str:
    """Scale and units in a few words."""
    return f"Scale {scale_text(scale)}, sizes in {'inches' if inches else 'millimetres'}"


def _strip(it: Arrangement, paper: Paper, layout: Layout) -> Ink:
    """Name, what it is, scale bar, how the views are laid out, scale and units."""
    ink = Ink()
    left, right = paper.margin, paper.width - paper.margin
    top = paper.margin + STRIP - 3.0
    ink.line("thin", (left, top), (right, top))
    unit = "inches" if it.inches else "millimetres"
    notes = [f"Sizes in {unit}"]
    if not paper.to_scale and paper.width < SIDE_BY_SIDE:
        _named(ink, it.sheet.name, notes[0], (left, right), top)
        return ink
    if paper.to_scale:
        notes.insert(0, f"Scale {scale_text(layout.scale)}")
    width = max(style.text_width(note) for note in notes)
    upper, lower = top - 5.5, top - 11.0
    for note, level in zip(notes, (upper, lower), strict=False):
        ink.labels.append(Label(note, right, level, "right"))
    edge = right - width - 7.0
    if layout.arrangement == "stacked":
        edge = _first_angle(ink, edge, (upper + lower + 2.0) / 2) - 7.0
    bar = scale_bar(ink, layout.scale, it.inches, edge, lower + 1.0)
    room = bar - 8.0 - left
    kind = f"General arrangement: {it.sheet.kind}, {base_of(it.sheet).way_up}".rstrip(", ")
    _named(ink, it.sheet.name, kind, (left, left + room), top)
    return ink


def _named(ink: Ink, name: str, kind: str, room: Point, top: float) -> None:
    """The name of the piece over what is drawn of it, from where to where there is room."""
    left, wide = room[0], room[1] - room[0]
    name = style.fitted(name or "Untitled", wide, style.TITLE, bold=True)
    ink.labels.append(Label(name, left, top - 5.5, "left", size=style.TITLE, bold=True))
    kind = style.fitted(kind, wide)
    ink.labels.append(Label(kind, left, top - 11.0, "left", colour=style.FAINT))


def _first_angle(ink: Ink, right: float, level: float) -> float:
    """The sign for views in first angle projection (ISO 5456-2, from memory): a cone's stump, and
    to its right how it looks from its narrow end. Gives its left end."""
    wide, narrow, length = 2.6, 1.3, 5.2
    centre = right - wide
    for radius in (wide, narrow):
        ink.line("thin", *[(centre + x, level + y) for x, y in ring(radius, 48)])
    end = centre - wide - 2.5
    start = end - length
    ink.line(
        "thin",
        (start, level - narrow),
        (start, level + narrow),
        (end, level + wide),
        (end, level - wide),
        (start, level - narrow),
    )
    ink.line("centre", (start - 1.5, level), (right + 1.5, level))
    ink.line("centre", (centre, level - wide - 1.5), (centre, level + wide + 1.5))
    return start - 1.5


def scale_text(scale: float) -> str:
    """A scale as drawings state it: "1:10", "2:1"."""
    return f"{scale:g}:1" if scale > 1 else f"1:{1 / scale:g}"


def bar_step(scale: float, inches: bool) -> float:
    """Length of one of a scale bar's four fields, full size, in the maker's unit.

    The largest round one whose bar stays within 56 mm on the paper: tens, fives and twos in
    millimetres; halves, threes and dozens in inches.
    """
    longest = 56.0 / 4 / scale / (MM_PER_INCH if inches else 1.0)
    if inches:
        rounds = [1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 3, 6, 12, 24]
    else:
        tens = 10.0 ** floor(log10(longest))
        rounds = [tens, 2 * tens, 5 * tens]
    return max(step for step in rounds if step <= longest)


def scale_bar(ink: Ink, scale: float, inches: bool, right: float, level: float) -> float:
    """A scale bar of four fields ending at `right`; gives its left end."""
    step = bar_step(scale, inches)
    field = step * scale * (MM_PER_INCH if inches else 1.0)
    unit = " in" if inches else " mm"
    ends = (f"{step * 2:g}", f"{step * 4:g}{unit}")
    right -= style.text_width(ends[1]) / 2
    left = right - 4 * field
    for k in range(4):
        x, thick = left + k * field, 1.3
        corners = [(x, level), (x + field, level), (x + field, level + thick), (x, level + thick)]
        ink.areas.append((corners, style.PAPER if k % 2 else style.INK))
        ink.line("thin", *corners, corners[0])
    for text, x in zip(("0", *ends), (left, left + 2 * field, right), strict=True):
        ink.labels.append(Label(text, x, level + 2.6))
    return left
