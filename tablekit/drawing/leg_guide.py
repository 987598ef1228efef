"""Boring through a guide block: block, hole, bit and depth stop, cut along the sight line.

As on the bench, the underside up and the rim to the right. Lengths come from the sheet.
"""

from __future__ import annotations

from tablekit.drawing import dimension, style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.leg_boring import SightPlane, bored_top
from tablekit.drawing.leg_scale import to_scale
from tablekit.drawing.style import Paper
from tablekit.planning.leg_work import LegWork

STOP_THICK, STOP_WIDE = 12.0, 0.35  # mm; of the bit's diameter, to either side of its shank
SHANK, HEAD = 0.22, 0.5  # half a shank and a bit's cutting head, in diameters
SHANK_SHOWN = 18.0  # mm of the shank above its stop
BESIDE = 0.35  # of the block's width, of the top that is drawn to either side of it
SAID = "The guide block, cut along the sight line"
BASE_ROW = 7.5  # from the top down to the length of the base, mm on the paper
OFFSET = 8.0  # from the block to a dimension along it, mm on the paper


def lay_out_guide(work: LegWork, paper: Paper) -> Layout:
    """The section at the largest scale that fits. Raises ValueError when none does."""
    return to_scale(work, guide, paper, SAID, "the guide block")


def guide(work: LegWork, scale: float) -> Ink:
    """Block and bit on the top, sized, mm on the paper; the centre of the mouth at the origin."""
    ink, plane = Ink(), SightPlane(work, scale)
    half = work.sheet.number("guide_width") / 2
    side = (half / plane.along[1] + BESIDE * 2 * half) * scale
    bored_top(ink, plane, work, side)
    _block(ink, plane, work)
    _bit(ink, plane, work)
    _sizes(ink, plane, work)
    low = -work.sheet.number("top_thickness") * scale - BASE_ROW - 5.5
    # Below the ends of the top, or beside one another where that is short.
    for text, sign, anchor in (("to the centre", -1, "right"), ("to the rim", 1, "left")):
        x = sign * max(side - style.text_width(text), 2.0)
        ink.labels.append(Label(text, x, low, anchor, colour=style.FAINT))
    return ink


def _block(ink: Ink, plane: SightPlane, work: LegWork) -> None:
    """What is left of the block on either side of its hole."""
    number = work.sheet.number
    half, hole, long = (
        number("guide_width") / 2, number("tenon_diameter") / 2, number("guide_length"),
    )  # fmt: skip
    for sign in (-1, 1):
        part = [
            plane.level(0.0, sign * half), plane.level(0.0, sign * hole),
            plane.at(long, sign * hole), plane.at(long, sign * half),
        ]  # fmt: skip
        ink.areas.append((part, style.POST_TONES[1]))
        ink.line("visible", *part, part[0])


def _bit(ink: Ink, plane: SightPlane, work: LegWork) -> None:
    """A bit with its edges at the bottom of the socket, and the stop where it has one."""
    number = work.sheet.number
    across, end = number("tenon_diameter"), number("guide_length")
    deep, point = -number("socket_depth"), number("bit_point")
    head, shank = HEAD * across, SHANK * across
    if not work.through:
        wide = shank + STOP_WIDE * across
        stop = _strip(plane, end, end + STOP_THICK, wide)
        ink.areas.append((stop, style.POST_TONES[2]))
        ink.line("visible", *stop, stop[0])
        end += STOP_THICK
    ink.line("thin", *_strip(plane, deep, deep + across / 2, head), plane.at(deep, -head))
    ink.line("thin", plane.at(deep, -shank), plane.at(deep - point, 0.0), plane.at(deep, shank))
    for sign in (-1, 1):
        low, high = deep + across / 2, number("guide_length")
        ink.line("thin", plane.at(low, sign * shank), plane.at(high, sign * shank))
        ink.line("thin", plane.at(end, sign * shank), plane.at(end + SHANK_SHOWN, sign * shank))
    past = 6.0 / plane.scale
    ink.line("centre", plane.at(deep - point - past, 0.0), plane.at(end + SHANK_SHOWN + past, 0.0))


def _strip(plane: SightPlane, low: float, high: float, half: float) -> list[Point]:
    """A rectangle along the axis."""
    return [plane.at(low, -half), plane.at(low, half), plane.at(high, half), plane.at(high, -half)]


def _sizes(ink: Ink, plane: SightPlane, work: LegWork) -> None:
    """Width of the block, its longest edge, its base, and from the edges of the bit to the stop."""
    number = work.sheet.number
    half, long, deep = (
        number("guide_width") / 2, number("guide_length"), number("socket_depth"),
    )  # fmt: skip
    out = OFFSET / plane.scale
    toe = long - number("guide_blank")
    _beside(ink, plane, (toe, long), -half, -half - out, work.bare("guide_blank"))
    if not work.through:
        hole = number("tenon_diameter") / 2
        beyond = half + out + half * plane.along[0]
        _beside(ink, plane, (-deep, long), hole, beyond, "", half)
        # Well over the underside, which the dimension line crosses.
        x, y = plane.at(0.7 * long, beyond)
        ink.labels.append(Label(work.bare("bit_stop"), x + 1.6, y - 1.2, "left"))
    base = [plane.level(0.0, aside) for aside in (-half, half)]
    low = -number("top_thickness") * plane.scale - BASE_ROW
    dimension.across(ink, base[0], base[1], low, work.bare("guide_base"))
    width = [plane.at(long, aside) for aside in (-half, half)]
    rise = STOP_THICK + SHANK_SHOWN + 4.0 / plane.scale
    top = [plane.at(long + rise, aside) for aside in (-half, half)]
    for start, end in zip(width, top, strict=True):
        ink.line("thin", _past(start, end, style.EXTENSION_GAP), _past(end, start, -1.2))
    dimension.along(ink, top[0], top[1], work.bare("guide_width"))


def _beside(
    ink: Ink, plane: SightPlane, along: tuple[float, float], start: float, out: float, text: str,
    upper: float | None = None,
) -> None:  # fmt: skip
    """A dimension along the axis, so far out beside it; `upper` is where its upper line begins."""
    ends = [plane.at(place, out) for place in along]
    for place, end, begin in zip(along, ends, (start, start if upper is None else upper),
                                 strict=True):  # fmt: skip
        ink.line("thin", _past(plane.at(place, begin), end, style.EXTENSION_GAP),
                 _past(end, plane.at(place, begin), -1.2))  # fmt: skip
    dimension.along(ink, ends[0], ends[1], text)


def _past(point: Point, towards: Point, distance: float) -> Point:
    """So far from a point towards another, mm on the paper."""
    dx, dy = towards[0] - point[0], towards[1] - point[1]
    share = distance / (dx * dx + dy * dy) ** 0.5
    return (point[0] + share * dx, point[1] + share * dy)
