"""A leg as it is turned: tenon, shoulder and taper, and where it is sawn level when it stands.

The tenon is on the left and the outer side up. Lengths come from the sheets.
"""

from __future__ import annotations

from math import radians, tan

from tablekit.drawing import dimension, style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.leg_scale import to_scale
from tablekit.drawing.style import Paper
from tablekit.drawing.unrolled import hatch
from tablekit.planning.leg_work import LegWork

HATCH = 2.5
RISE = 4.6  # from the diameter at a station to its distance from the shoulder
NARROW = 17.0  # between stations whose texts would run into one another, mm on the paper
UPPER = "Diameters, and how far from the shoulder each is; hatched: sawn off level when it stands"


def lay_out_leg(work: LegWork, paper: Paper) -> Layout:
    """The leg at the largest scale that fits. Raises ValueError when none does."""
    what = f"a leg of {work.sheet.name or 'this piece'}"
    size = (work.bench.number("leg_blank"), 0.0)
    return to_scale(work, leg, paper, UPPER, what, size=size)


def leg(work: LegWork, scale: float) -> Ink:
    """The leg with the end of its tenon at the origin, mm on the paper."""
    ink, number, bench = Ink(), work.sheet.number, work.bench.number
    long, tenon = bench("leg_blank") * scale, bench("tenon_length") * scale
    thin = number("tenon_diameter") / 2 * scale
    thick, foot = (across / 2 * scale for across in (work.stations[0][1], work.stations[-1][1]))
    _outline(ink, (tenon, thin), (long, thick, foot))
    _cut(ink, work, scale, foot)
    past = 4.0
    ink.line("centre", (-past, 0.0), (long + past, 0.0))
    _stations(ink, work, scale, tenon)
    low = -max(thin, thick, foot) - style.FIRST_ROW
    bottom = (0.0, -thin)
    dimension.across(ink, bottom, (tenon, -thick), low, work.bare("tenon_length"))
    dimension.across(ink, (tenon, -thick), (long, -foot), low, work.bare("turned_length"))
    cut = number("leg_length") * scale
    low -= style.NEXT_ROW
    dimension.across(ink, bottom, (cut, 0.0), low, work.bare("leg_length"))
    low -= style.NEXT_ROW
    dimension.across(ink, bottom, (long, -foot), low, work.bare("leg_blank"))
    half = thick
    for mark in work.marks:
        low -= style.NEXT_ROW
        x = tenon + mark * scale
        ink.line("centre", (x, -half - 2.0), (x, half + 2.0))
        text = f"{work.bare_length(mark)} to a mortise"
        dimension.across(ink, (tenon, -thick), (x, -half - 2.0), low, text)
    place = -style.FIRST_ROW + 3.0
    dimension.upright(ink, (0.0, -thin), (0.0, thin), place, "")
    across = "Ø" + work.bare("tenon_diameter")
    ink.labels.append(Label(across, place - 1.6, -1.1, "right"))
    return ink


def _outline(ink: Ink, tenon: Point, leg: tuple[float, float, float]) -> None:
    """Tenon (length, half its diameter), and leg (end, half its diameters at shoulder and end)."""
    (start, thin), (end, thick, foot) = tenon, leg
    body = [(start, -thick), (end, -foot), (end, foot), (start, thick)]
    peg = [(0.0, -thin), (start, -thin), (start, thin), (0.0, thin)]
    for part in (body, peg):
        ink.areas.append((part, style.POST_TONES[0]))
    ink.line("visible", *body, body[0])
    ink.line("visible", (start, -thin), (0.0, -thin), (0.0, thin), (start, thin))


def _cut(ink: Ink, work: LegWork, scale: float, foot: float) -> None:
    """The level cut, farther from the tenon on the outer side; what it takes off is hatched."""
    number = work.sheet.number
    end, rate = work.bench.number("leg_blank") * scale, number("leg_taper")
    middle, slope = number("leg_length") * scale, tan(radians(number("leg_resultant")))
    half = number("foot_diameter") / 2 * scale
    # Where the slope meets the two sides, which draw in by the taper.
    outer = half * slope / (1 + rate * slope)
    inner = half * slope / (1 - rate * slope)
    upper, lower = (middle + outer, half - rate * outer), (middle - inner, -half - rate * inner)
    corner = [] if upper[0] > end - 1e-6 else [(end, foot)]
    waste = [upper, lower, (end, -foot), *corner]
    hatch(ink, waste, HATCH)
    ink.line("visible", upper, lower)
    ink.labels.append(Label("outer side", end - 1.0, foot + 1.6, "right", colour=style.FAINT))
    drop = foot + 1.2 + style.CAP * style.TEXT * style.MM_PER_POINT
    # Clear of the line down from the middle of the cut.
    ink.labels.append(Label("inner side", middle - 1.5, -drop, "right", colour=style.FAINT))


def _stations(ink: Ink, work: LegWork, scale: float, tenon: float) -> None:
    """At the shoulder and at round distances from it: a stroke, the diameter, the distance."""
    places = list(work.stations[:-1]) if work.tapered else [work.stations[0]]
    last = -NARROW
    for far, across in places:
        x, half = tenon + far * scale, across / 2 * scale
        if x - last < NARROW:
            continue
        last = x
        ink.line("thin", (x, -half), (x, half + 2.0))
        diameter = "Ø" + work.bare_length(across)
        ink.labels.append(Label(diameter, x, half + 2.6 + RISE))
        place = work.bare_length(far) if far else "shoulder"
        ink.labels.append(Label(place, x, half + 2.6, colour=style.FAINT))
