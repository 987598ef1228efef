"""What tips the piece, seen from above: feet, tipping lines, rim, and the load all the way round.

Outside the rim a curve shows how much it takes at each place: the nearer the curve comes to the
rim, the less. Plan to scale; the loads have a scale of their own, drawn as rings. Every number is
from the sheet and from `planning/tipping_polar.py`; only places on the paper are worked out here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import atan2, ceil, cos, degrees, hypot, log10, pi, sin
from typing import TYPE_CHECKING

import numpy as np

from tablekit.drawing import style
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    STRIP,
    Layout,
    LiveDrawing,
    scale_text,
)
from tablekit.drawing.ink import Box, Ink, Label, Point, Tied, box_of, printed, ring
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.title import title
from tablekit.engine.shop import shop_text
from tablekit.planning.tipping_polar import TippingPolar, tipping_polar

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet

BAND = 0.62  # the outermost ring of load lies this many radii outside the rim
MOST_RINGS = 4
DOT = 0.9
RIM_GRIPS = (pi / 4, 3 * pi / 4, -pi / 4, -3 * pi / 4)  # where the rim may be drawn out
CENTRE_PAST = 3.0
NEWTONS = {"mm": 1.0, "in": 4.4482216152605}  # per unit of load; 9.80665 m/s² times 0.45359237 kg
_CLEAR = 0.8  # kept free round a text


def draw_tipping(
    sheet: Sheet, figure: Figure | None = None, paper: Paper = A4, polar: TippingPolar | None = None
) -> Figure:
    """The plan with the tipping load all round the rim, on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale, and DesignError where the sheet
    lacks masses or feet."""
    return printed(lay_out_tipping(sheet, paper, polar).ink, paper, figure)


class TippingDrawing(LiveDrawing["Sheet"]):
    """The artists of one such drawing."""

    def laid_out(self, it: Sheet) -> Layout:
        """Plan, curve and what is said of them."""
        return lay_out_tipping(it, self.paper)


MORE_STRIP = 3.0  # there is a line more than other drawings have


@dataclass(frozen=True)
class LoadScale:
    """How loads are drawn: rings at `steps` (in the maker's unit), the outermost `cap`.

    rim    radius of the rim on the paper, mm
    """

    steps: tuple[float, ...]
    unit: str
    newtons: float
    rim: float

    @property
    def per_mm(self) -> float:
        """What 1 mm on the paper is of load, N."""
        return self.steps[-1] * self.newtons / (self.rim * BAND)

    def radius(self, load: float) -> float:
        """From the centre, mm on the paper, for a load in N."""
        return self.rim * (1 + BAND * load / (self.steps[-1] * self.newtons))


def load_scale(least: float, wanted: float | None, display: str, rim: float) -> LoadScale:
    """Rings at round loads that take in the wanted load and twice the least."""
    newtons = NEWTONS[display]
    most = max(2.2 * least, 1.15 * (wanted or 0.0)) / newtons
    tens = 10.0 ** (ceil(log10(most)) - 2)
    step = next(s * tens for s in (1, 2, 5, 10, 20, 50, 100) if most / (s * tens) <= MOST_RINGS)
    count = ceil(most / step - 1e-9)
    steps = tuple(step * k for k in range(1, count + 1))
    return LoadScale(steps, "lbf" if display == "in" else "N", newtons, rim)


def lay_out_tipping(
    sheet: Sheet, paper: Paper, polar: TippingPolar | None = None, words: bool = True
) -> Layout:
    """The view at the largest scale that fits, and under it `tipping_words`, unless these stand
    elsewhere. Raises ValueError when none does."""
    margin, polar = paper.margin, polar or tipping_polar(sheet)
    low = margin + (STRIP + MORE_STRIP + 3) * words
    room = Box(margin, low, paper.width - margin, paper.height - margin)
    stated = INCH_SCALES if sheet.shop_style.display == "in" else METRIC_SCALES
    outer = polar.rim * (1.0 if polar.least is None else 1.0 + BAND)
    for scale in stated if paper.to_scale else FREE_SCALES:
        if 2 * outer * scale > min(room.width, room.height):
            continue
        ink = view(sheet, polar, scale)
        box = ink.box()
        if box.width > room.width or box.height > room.height:
            continue
        placed = ink.moved(
            (room.left + room.right - box.left - box.right) / 2,
            (room.low + room.high - box.low - box.high) / 2,
        )
        if words:
            placed.add(_title(sheet, polar, paper, scale))
        return Layout(scale, paper.arrangement, placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the tipping of "
        f"{sheet.name or 'this piece'} at any scale; take a larger one"
    )


def view(sheet: Sheet, polar: TippingPolar, scale: float) -> Ink:
    """The piece about the origin, bearings anticlockwise from the right, mm on the paper."""
    ink, rim = Ink(), polar.rim * scale
    ink.areas.append((ring(rim), style.TOP_TONE))
    ink.line("visible", *ring(rim))
    for start, end in polar.lines * scale:
        ink.line("hidden", tuple(start), tuple(end))
    for bearing in RIM_GRIPS:
        way = (cos(bearing), sin(bearing))
        ink.grip(Tied("top_diameter", 2 / scale), (rim * way[0], rim * way[1]), way)
    for number, (x, y) in enumerate(polar.feet * scale, 1):
        ink.badge((float(x), float(y)), str(number))
        far = hypot(x, y)
        ink.grip(Tied("foot_radius", 1 / scale), (float(x), float(y)), (x / far, y / far))
    if polar.least is not None:
        _loads(ink, sheet, polar, scale)
    _centre(ink, sheet, polar, scale)
    return ink


def _centre(ink: Ink, sheet: Sheet, polar: TippingPolar, scale: float) -> None:
    """A cross at the centre, and how far the tipping line is from it."""
    past = CENTRE_PAST
    ink.line("centre", (-past, 0.0), (past, 0.0))
    ink.line("centre", (0.0, -past), (0.0, past))
    bearing = _lowest(polar)
    reach = polar.arm * scale
    way = (cos(bearing), sin(bearing))
    tip = (reach * way[0], reach * way[1])
    ink.line("thin", (0.0, 0.0), tip)
    if reach > 3 * style.ARROW:
        ink.arrow(tip, way)
    text = shop_text(polar.arm, "mm", sheet.shop_style).removesuffix(f" {sheet.shop_style.display}")
    tall = style.CAP * style.TEXT * style.MM_PER_POINT
    if reach > style.text_width(text) + 2 * tall:
        turn = degrees(bearing) % 180
        turn = turn - 180 if turn > 90 else turn
        side = (-sin(turn * pi / 180), cos(turn * pi / 180))
        x, y = (0.55 * reach * w + style.TEXT_GAP * s for w, s in zip(way, side, strict=True))
        ink.labels.append(Label(text, x, y, rotation=turn))


def _lowest(polar: TippingPolar) -> float:
    """The bearing of the tipping line that lies lowest on the paper."""
    middles = polar.lines.mean(axis=1)
    x, y = middles[int(np.argmin(middles[:, 1] + 1e-6 * middles[:, 0]))]
    return atan2(y, x)


# --- the loads -----------------------------------------------------------------------------------


def _loads(ink: Ink, sheet: Sheet, polar: TippingPolar, scale: float) -> None:
    """Rings of round loads, the wanted load, the curve and where it is least."""
    assert polar.least is not None
    wanted = sheet.get("wanted_tipping_load")
    rule = load_scale(polar.least, wanted, sheet.shop_style.display, polar.rim * scale)
    curves = _curve(polar, rule)
    _least(ink, sheet, polar, rule)
    taken = [_round_badge(x, y) for x, y in polar.feet * scale]
    taken += [box_of(label, _CLEAR) for label in ink.labels]
    rim = np.array(ring(rule.rim, 360))
    dashed = np.vstack([a + np.linspace(0, 1, 200)[:, None] * (b - a) for a, b in polar.lines])
    points = np.vstack([*curves, rim, dashed * scale])
    rings = [(load * rule.newtons, f"{load:g} {rule.unit}", "thin") for load in rule.steps]
    if wanted is not None:
        rings = [one for one in rings if abs(one[0] - wanted) > 0.12 * rule.steps[0] * rule.newtons]
        text = f"wanted {shop_text(wanted, 'N', sheet.shop_style)}"
        rings.append((wanted, text, "centre"))
    labels = _ring_labels(rings, rule, points, taken)
    if wanted is not None:
        labels = [_tied(ink, label, rule) if label.text == text else label for label in labels]
    boxes = [box_of(label, _CLEAR) for label in ink.labels + labels]
    for load, _, pen in rings:
        for stroke in _broken(ring(rule.radius(load), 360), boxes):
            ink.line(pen, *stroke)
    for curve in curves:
        ink.line("visible", *[(float(x), float(y)) for x, y in curve])
    ink.labels += labels


def _tied(ink: Ink, label: Label, rule: LoadScale) -> Label:
    """The text on the ring of the wanted load, which may be drawn out where the text stands."""
    tall = style.CAP * style.TEXT * style.MM_PER_POINT
    x, y = label.x, label.y + tall / 2
    far = hypot(x, y)
    ink.grip(Tied("wanted_tipping_load", rule.per_mm), (x, y), (x / far, y / far))
    return replace(label, quantity="wanted_tipping_load")


def _curve(polar: TippingPolar, rule: LoadScale) -> list[np.ndarray]:
    """The stretches of the curve inside the outermost ring, each shape (n, 2)."""
    cap = rule.steps[-1] * rule.newtons
    inside = np.nan_to_num(polar.loads, nan=np.inf) <= cap
    points = np.array([
        (r * cos(b), r * sin(b)) if ok else (0.0, 0.0)
        for b, ok, r in zip(polar.bearings, inside,
                            (rule.radius(min(float(p), cap)) for p in
                             np.nan_to_num(polar.loads, nan=cap)), strict=True)
    ])  # fmt: skip
    if inside.all():
        return [np.vstack([points, points[:1]])]
    start = int(np.argmin(inside))  # begin where there is a gap
    order = np.roll(np.arange(len(points)), -start)
    found: list[list[int]] = [[]]
    for k in order:
        if inside[k]:
            found[-1].append(int(k))
        elif found[-1]:
            found.append([])
    return [points[stretch] for stretch in found if len(stretch) > 1]


def _least(ink: Ink, sheet: Sheet, polar: TippingPolar, rule: LoadScale) -> None:
    """A dot on the curve midway between each two feet, and the load at one of them."""
    assert polar.least is not None
    at, lowest = rule.radius(polar.least), _lowest(polar)
    for bearing in polar.least_bearings:
        x, y = at * cos(bearing), at * sin(bearing)
        ink.areas.append(([(x + a, y + b) for a, b in ring(DOT, 24)], style.INK))
    way = (cos(lowest), sin(lowest))
    outer = rule.radius(rule.steps[-1] * rule.newtons) + 4.0
    ink.line("thin", (at * way[0], at * way[1]), (outer * way[0], outer * way[1]))
    text = f"least {shop_text(polar.least, 'N', sheet.shop_style)}"
    tall = style.CAP * style.TEXT * style.MM_PER_POINT
    if abs(way[0]) > 0.35:  # beside the end of the leader
        anchor, x, y = "left" if way[0] > 0 else "right", outer * way[0], outer * way[1] - tall / 2
        x += style.TEXT_GAP if way[0] > 0 else -style.TEXT_GAP
    else:  # the lowest of the lines: below it
        anchor, x, y = "center", outer * way[0], outer * way[1] - tall - style.TEXT_GAP
    ink.labels.append(Label(text, x, y, anchor, bold=True, quantity="tipping_load"))


def _ring_labels(
    rings: Sequence[tuple[float, str, str]],
    rule: LoadScale,
    lines: np.ndarray,
    taken: Iterable[Box],
) -> list[Label]:
    """A text on each ring, clear of lines, of the feet and of one another; none on a ring that
    lies too near the rim to have room for it."""
    labels: list[Label] = []
    busy = list(taken)
    tall = style.CAP * style.TEXT * style.MM_PER_POINT
    # Upright first: there a stack of rings leaves most room between its texts.
    tries = sorted(np.linspace(-pi, pi, 73)[:-1], key=lambda b: (abs(b - pi / 2), b))
    for load, text, _ in rings:
        radius = rule.radius(load)
        for bearing in tries:
            label = Label(text, radius * cos(bearing), radius * sin(bearing) - tall / 2)
            box = box_of(label, _CLEAR)
            if not any(box.meets(other) for other in busy) and not _holds(box, lines):
                labels.append(label)
                busy.append(box)
                break
    return labels


def _round_badge(x: float, y: float) -> Box:
    reach = style.BADGE + _CLEAR
    return Box(x - reach, y - reach, x + reach, y + reach)


def _holds(box: Box, points: np.ndarray) -> bool:
    x, y = points[:, 0], points[:, 1]
    return bool(((x > box.left) & (x < box.right) & (y > box.low) & (y < box.high)).any())


def _broken(points: Sequence[Point], boxes: Sequence[Box]) -> list[list[Point]]:
    """A polyline less what lies in any of the boxes."""
    strokes: list[list[Point]] = [[]]
    for x, y in points:
        if any(b.left < x < b.right and b.low < y < b.high for b in boxes):
            if strokes[-1]:
                strokes.append([])
        else:
            strokes[-1].append((x, y))
    return [stroke for stroke in strokes if len(stroke) > 1]


# --- the strip -----------------------------------------------------------------------------------


def _title(sheet: Sheet, polar: TippingPolar, paper: Paper, scale: float) -> Ink:
    """Name, scale, what the lines mean, and the caution."""
    stated = f"Plan, scale {scale_text(scale)}. " if paper.to_scale else ""
    first, *more = tipping_words(sheet, polar)
    lines = (f"{stated}{first}", *more)
    return title(f"{sheet.name}: tipping load", lines, paper).moved(0.0, MORE_STRIP)


def tipping_words(sheet: Sheet, polar: TippingPolar) -> tuple[str, ...]:
    """What the lines of the drawing mean, and the caution."""
    said: tuple[str, ...]
    if polar.least is None:
        said = ("No vertical load on the rim tips it: the rim lies within the dashed lines.",)
    else:
        load = shop_text(polar.least, "N", sheet.shop_style)
        said = (
            "Thick curve: vertical load on the rim that tips it; rings are its scale.",
            f"Lowest midway between two feet: {load}. Dashed: tipping lines.{_wanted(sheet)}",
        )
    return (*said, "Nobody should sit, stand or climb on a rim. Calculated, not tested.")


def _wanted(sheet: Sheet) -> str:
    wanted = sheet.get("wanted_tipping_load")
    if wanted is None:
        return ""
    return f" Dash-dot: wanted, {shop_text(wanted, 'N', sheet.shop_style)}."
