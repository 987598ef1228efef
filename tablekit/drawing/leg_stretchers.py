"""Stretchers as they are turned, and a leg in its cradle as it is bored for one.

Lengths come from the sheet. In the cradle the tenon of the leg is on the left and its axis level.
"""

from __future__ import annotations

from functools import partial
from math import cos, radians, sin

from tablekit.drawing import dimension, style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point, ring
from tablekit.drawing.leg_scale import to_scale
from tablekit.drawing.style import Paper
from tablekit.planning.leg_stretchers import LegStretchers, Mortise, StretcherLine
from tablekit.planning.leg_work import LegWork

BETWEEN = 5.0  # from one stretcher to the next, mm on the paper
SAID = "Overall lengths, and lengths between the parts that are joined"
BORED = "A leg in its cradle, its tenon to the left"
SHOWN = 2.2  # of the leg's diameter, to either side of the mortise
BIT_SHOWN = 60.0  # mm of the bit over the leg
BLOCK, FLAT = 0.5, 0.35  # a cradle's height and width, in diameters of the leg


def lay_out_stretchers(work: LegWork, joins: LegStretchers, paper: Paper) -> Layout:
    """All that differ, at the largest scale that fits. Raises ValueError when none does."""
    longest = max(line.whole for line in joins.lines)
    return to_scale(
        work, partial(_stretchers, joins=joins), paper, SAID, "the stretchers", size=(longest, 0.0)
    )


def lay_out_mortise(work: LegWork, joins: LegStretchers, paper: Paper) -> Layout:
    """The mortise of the first leg at the largest scale that fits. Raises ValueError when none
    does."""
    one = partial(_mortise, joins=joins)
    return to_scale(work, one, paper, BORED, "a leg in its cradle")


def _stretchers(work: LegWork, scale: float, joins: LegStretchers) -> Ink:
    ink, low = Ink(), 0.0
    for line in joins.lines:
        bored = joins.crossed and line.name == "side"
        one = _stretcher(work, joins, line, scale, bored)
        ink.add(one.moved(0.0, low - one.box().high))
        low = ink.box().low - BETWEEN
    return ink


def _stretcher(
    work: LegWork, joins: LegStretchers, line: StretcherLine, scale: float, bored: bool
) -> Ink:
    """One with its middle at the origin; `bored` is whether the cross stretcher goes into it."""
    ink, number = Ink(), joins.sheet.number
    half, out = line.length / 2 * scale, line.whole / 2 * scale
    thin, thick = (number(f"stretcher_{what}") / 2 * scale for what in ("tenon", "diameter"))
    outline = [(-out, -thin), (-half, -thin), (0.0, -thick), (half, -thin), (out, -thin),
               (out, thin), (half, thin), (0.0, thick), (-half, thin), (-out, thin)]  # fmt: skip
    ink.areas.append((outline, style.POST_TONES[0]))
    ink.line("visible", *outline, outline[0])
    for x in (-half, half):
        ink.line("thin", (x, -thin), (x, thin))
    ink.line("centre", (-out - 4.0, 0.0), (out + 4.0, 0.0))
    if bored:
        ink.line("visible", *ring(thin))
        ink.line("centre", (0.0, -thick - 2.0), (0.0, thick + 2.0))
    low = -thick - style.FIRST_ROW
    dimension.across(ink, (-half, -thin), (half, -thin), low, work.bare_length(line.length))
    deep = work.bare("stretcher_depth")
    dimension.across(ink, (half, -thin), (out, -thin), low, deep)
    low -= style.NEXT_ROW
    dimension.across(ink, (-out, -thin), (out, -thin), low, work.bare_length(line.whole))
    many = f" × {line.many}" if line.many > 1 else ""
    name = f"{line.name} stretcher{many}"
    ink.labels.append(Label(name, -out, thick + 3.0, "left", bold=True))
    clear = style.text_width(name) - out + 6.0  # of the name, then of the first of both
    for x, y, what in ((0.0, thick, "diameter"), ((half + out) / 2, thin, "tenon")):
        text = "Ø" + work.bare(f"stretcher_{what}")
        elbow = max(x + 6.0, clear)
        dimension.leader(ink, (x, y), (elbow, thick + 4.0), text)
        clear = elbow + style.text_width(text) + 6.0
    return ink


def _mortise(work: LegWork, scale: float, joins: LegStretchers) -> Ink:
    """About the point of the leg's axis where the stretcher's axis meets it."""
    first = joins.mortises[0]
    ink, number = Ink(), joins.sheet.number
    radius, taper = number("leg_at_stretcher") / 2 * scale, number("leg_taper")
    reach = SHOWN * 2 * radius
    sides = [radius + sign * taper * reach for sign in (1, -1)]  # at the left and the right
    body: list[Point] = [
        (-reach, -sides[0]), (reach, -sides[1]), (reach, sides[1]), (-reach, sides[0])
    ]  # fmt: skip
    for x, half in ((-reach * 0.75, sides[0]), (reach * 0.75, sides[1])):
        _cradle(ink, x, -half, radius)
    ink.areas.append((body, style.POST_TONES[0]))
    for k in (0, 2):
        ink.line("visible", body[k], body[k + 1])
        ink.line("thin", body[k + 1], body[(k + 2) % 4])
    ink.line("centre", (-reach - 5.0, 0.0), (reach + 5.0, 0.0))
    _bit(ink, work, first, scale, radius)
    ink.labels.append(Label("tenon", -reach - 6.5, -1.0, "right", colour=style.FAINT))
    ink.labels.append(Label("foot", reach + 6.5, -1.0, "left", colour=style.FAINT))
    return ink


def _cradle(ink: Ink, x: float, top: float, radius: float) -> None:
    """A block under the leg at a place."""
    half, high = FLAT * radius, 2 * BLOCK * radius
    corners: list[Point] = [
        (x - half, top - high), (x + half, top - high), (x + half, top + 0.3 * radius),
        (x - half, top + 0.3 * radius),
    ]  # fmt: skip
    ink.areas.append((corners, style.TOP_TONE))
    ink.line("visible", *corners, corners[0])


def _bit(ink: Ink, work: LegWork, one: Mortise, scale: float, radius: float) -> None:
    """The bit in its mortise, leaning towards the tenon; bevel and depth."""
    turn = radians(one.bevel)
    along, across = (-cos(turn), sin(turn)), (sin(turn), cos(turn))
    sheet = work.sheet
    start, half = radius / sin(turn), sheet.number("stretcher_tenon") / 2 * scale
    floor, end = start - sheet.number("stretcher_depth") * scale, start + BIT_SHOWN * scale

    def at(far: float, aside: float) -> Point:
        return (far * along[0] + aside * across[0], far * along[1] + aside * across[1])

    hole = [at(floor, -half), at(start, -half), at(start, half), at(floor, half)]
    ink.areas.append((hole, style.PAPER))
    ink.line("visible", hole[1], hole[0], hole[3], hole[2])
    ink.line("thin", at(start, -half), at(end, -half), at(end, half), at(start, half))
    ink.line("centre", at(-radius / 2, 0.0), at(end + 6.0, 0.0))
    dimension.angle(
        ink, (0.0, 0.0), 180.0 - one.bevel, 180.0, start + 0.6 * BIT_SHOWN * scale,
        work.text("stretcher_angle") if one.bevel == sheet.number("stretcher_angle")
        else work.text("cross_angle"),
    )  # fmt: skip
    out = half + 7.0
    ends = [at(far, out) for far in (floor, start)]
    for far, point in zip((floor, start), ends, strict=True):
        ink.line("thin", at(far, half), point)
    dimension.along(ink, ends[0], ends[1], "")
    # Over the leg, not on its edge.
    x, y = at(start + 5.0, out)
    ink.labels.append(Label(work.bare("stretcher_depth"), x + 2.0, y, "left"))
