"""The gauge and a square at the bit: both views of a socket being bored, at one scale.

Left: seen square to the sight line, the rim to the right, the bit parallel to the edge of the
gauge. Right: seen along the sight line, the bit plumb beside a square. The underside of the top
is up.
"""

from __future__ import annotations

from math import cos, radians, sin

from tablekit.drawing import style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.leg_boring import BASE
from tablekit.drawing.leg_scale import not_to_scale
from tablekit.drawing.style import Paper
from tablekit.planning.leg_work import LegWork

APART = 14.0  # between the views, mm on the paper
PAST = 1.25  # the height of the bit as drawn, over that of the gauge
SQUARE_LONG, SQUARE_WIDE, STOCK = 75.0, 14.0, 20.0  # mm, a square and its stock
GAP = 0.6  # between bit and gauge, mm on the paper
BEYOND = 30.0  # mm of the top beyond what stands on it
SAID = "The gauge and a square at the bit, not to scale"


def lay_out_gauge_use(work: LegWork, paper: Paper) -> Layout:
    """Both views as large as there is room. Raises ValueError where the paper is too small."""
    return not_to_scale(work, both, paper, SAID, "the gauge at the bit")


def both(work: LegWork, scale: float) -> Ink:
    """Both views, mm on the paper."""
    ink, other = _from_the_side(work, scale), _along_the_line(work, scale)
    shift = ink.box().right + APART - other.box().left
    ink.add(other.moved(shift, 0.0))
    return ink


def _from_the_side(work: LegWork, scale: float) -> Ink:
    ink, bench = Ink(), work.bench.number
    high, lean = bench("gauge_height") * scale, bench("gauge_lean") * scale
    base = lean + BASE * scale
    half = work.sheet.number("tenon_diameter") / 2 * scale
    turn = radians(work.sheet.number("leg_resultant"))
    along, across = (sin(turn), cos(turn)), (cos(turn), -sin(turn))
    # The gauge stands outside the bit, its edge parallel to it.
    start = half / along[1] + GAP
    corners = [(start + x, y) for x, y in ((0.0, 0.0), (base, 0.0), (base, high), (lean, high))]
    rim = start + base + BEYOND * scale
    _slab(ink, work, scale, -0.5 * base, rim)
    ink.areas.append((corners, style.POST_TONES[1]))
    ink.line("visible", *corners, corners[0])
    long = PAST * high / along[1]
    bit = [
        (far * along[0] + side * across[0], far * along[1] + side * across[1])
        for far, side in ((half * across[1] / along[1] * -1, half), (long, half), (long, -half),
                          (half * across[1] / along[1], -half))
    ]  # fmt: skip
    ink.line("thin", *bit)
    ink.line("centre", (0.0, 0.0), (along[0] * (long + 5.0), along[1] * (long + 5.0)))
    _below(ink, work, scale, (rim / 2 - 0.25 * base, "seen square to the sight line"))
    ink.labels.append(Label("gauge", start + base + 1.5, 0.5 * high, "left"))
    thick = work.sheet.number("top_thickness") * scale
    ink.labels.append(Label("rim", rim + 1.5, -thick / 2 - 1.0, "left", colour=style.FAINT))
    return ink


def _along_the_line(work: LegWork, scale: float) -> Ink:
    ink, bench = Ink(), work.bench.number
    high = bench("gauge_height") * scale
    half = work.sheet.number("tenon_diameter") / 2 * scale
    left = half
    right = left + SQUARE_LONG * scale
    _slab(ink, work, scale, -right, right + BEYOND * scale)
    wide, stock = SQUARE_WIDE * scale, STOCK * scale
    outline: list[Point] = [
        (left, 0.0), (right, 0.0), (right, stock), (left + wide, stock), (left + wide, high),
        (left, high),
    ]  # fmt: skip
    for part in ([outline[0], outline[1], outline[2], (left, stock)],
                 [(left, stock), outline[3], outline[4], outline[5]]):  # fmt: skip
        ink.areas.append((part, style.POST_TONES[1]))
    ink.line("visible", *outline, outline[0])
    ink.line("thin", (-half, 0.0), (-half, PAST * high), (half, PAST * high), (half, high))
    ink.line("centre", (0.0, 0.0), (0.0, PAST * high + 5.0))
    ink.labels.append(Label("square", left + wide + 1.5, 0.5 * high, "left"))
    _below(ink, work, scale, (0.0, "seen along the sight line"))
    return ink


def _slab(ink: Ink, work: LegWork, scale: float, left: float, right: float) -> None:
    low = -work.sheet.number("top_thickness") * scale
    corners = [(left, low), (right, low), (right, 0.0), (left, 0.0)]
    ink.areas.append((corners, style.TOP_TONE))
    ink.line("visible", *corners, corners[0])


def _below(ink: Ink, work: LegWork, scale: float, said: tuple[float, str]) -> None:
    level = -work.sheet.number("top_thickness") * scale - 5.0
    middle, text = said
    ink.labels.append(Label(text, middle, level, colour=style.FAINT))
