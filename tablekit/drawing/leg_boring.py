"""Boring a socket: a section through it along the sight line, and the gauge at full size.

Both as on the bench, the underside up and the rim to the right. Lengths come from the sheets.
"""

from __future__ import annotations

from math import cos, radians, sin, tan

from tablekit.drawing import dimension, style
from tablekit.drawing.general import Layout, small_print
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.leg_scale import to_scale
from tablekit.drawing.style import Paper
from tablekit.drawing.title import centred, drawing_room
from tablekit.planning.leg_work import LegWork

BASE = 45.0  # of the gauge beyond what its edge leans over, mm
BESIDE = 0.5  # of the top's thickness, drawn to either side of a socket
SHOWN = 1.3  # of a leg's thickness, drawn above the underside
FULL = "Full size: print at 100 %, not fitted to the page, and check the height with a rule"


def lay_out_socket(work: LegWork, paper: Paper) -> Layout:
    """The section at the largest scale that fits. Raises ValueError when none does."""
    said = "Section along the sight line, the underside up"
    return to_scale(work, section, paper, said, "the section of a socket")


def lay_out_gauge(work: LegWork, paper: Paper) -> Layout:
    """The gauge at full size. Raises ValueError where the paper is too small for it."""
    placed = centred(gauge(work), drawing_room(paper))
    if placed is None:
        raise ValueError(
            f"{paper.width:g} × {paper.height:g} mm is too small for the gauge at full size; take "
            "a larger sheet"
        )
    placed.add(small_print([FULL], paper))
    return Layout(1.0, paper.arrangement, placed)


# --- the section ---------------------------------------------------------------------------------


class SightPlane:
    """The plane of the sight line about the centre of the mouth: right is outward, up is away from
    the top, which lies face down. Full size in mm, on the paper at a scale."""

    def __init__(self, work: LegWork, scale: float) -> None:
        lean = radians(work.sheet.number("leg_resultant"))
        self.scale, self.lean = scale, lean
        self.along, self.across = (sin(lean), cos(lean)), (cos(lean), -sin(lean))

    def at(self, along: float, aside: float) -> Point:
        """So far up the leg from the underside, and so far to its outer side."""
        return tuple(self.scale * (along * self.along[k] + aside * self.across[k]) for k in (0, 1))  # type: ignore[return-value]

    def level(self, height: float, aside: float) -> Point:
        """Where the line of the leg so far to its outer side is at a height over the underside."""
        along = (height - aside * self.across[1]) / self.along[1]
        return self.at(along, aside)


def section(work: LegWork, scale: float) -> Ink:
    """The top cut along a sight line, a socket with the end of its leg, sized."""
    ink, frame, number = Ink(), SightPlane(work, scale), work.sheet.number
    thick, deep, half = (
        number("top_thickness"),
        number("socket_depth"),
        number("tenon_diameter") / 2,
    )
    side = (BESIDE * thick + deep * tan(frame.lean) + number("leg_diameter")) * scale
    bored_top(ink, frame, work, side)
    _leg(ink, frame, work)
    ink.line(
        "centre", frame.at(-deep - 6.0 / scale, 0.0), frame.at(_shown(work) + 6.0 / scale, 0.0)
    )
    _section_sizes(ink, frame, work, side)
    # The depth along the axis, on the outer side of the socket.
    out = half + 7.0 / scale
    ends = [frame.at(along, out) for along in (-deep, 0.0)]
    for along, end in ((-deep, ends[0]), (0.0, ends[1])):
        ink.line("thin", frame.at(along, half if along else 0.0), end)
    dimension.along(ink, ends[0], ends[1], "")
    # Beside its middle; of a through tenon beyond the upper face, clear of its line.
    x, y = ((a + b) / 2 for a, b in zip(*ends, strict=True))
    x, y = x + 1.6, y - 1.6
    low = -thick * scale
    if work.through:
        x, y = ends[0][0] + 3.0, min(ends[0][1] - 0.5, low - 3.4)
        low = y
    ink.labels.append(Label(work.bare("socket_depth"), x, y, "left"))
    _says(ink, side, -low)
    return ink


def _shown(work: LegWork) -> float:
    """How much of the leg is drawn, along it from the underside."""
    number = work.sheet.number
    return SHOWN * number("leg_diameter") + 2 * work.bench.number("shoulder_clear")


def bored_top(ink: Ink, frame: SightPlane, work: LegWork, side: float) -> None:
    """The top on both sides of the socket, hatched, with the socket's outline."""
    number = work.sheet.number
    thick, half = number("top_thickness"), number("tenon_diameter") / 2
    deep = -number("socket_depth")
    mouth = [frame.level(0.0, aside) for aside in (-half, half)]
    floor = [frame.at(deep, aside) for aside in (-half, half)]
    low = -thick * frame.scale
    if work.through:
        floor = [frame.level(-thick, aside) for aside in (-half, half)]
        parts = [
            [(-side, low), floor[0], mouth[0], (-side, 0.0)],
            [floor[1], (side, low), (side, 0.0), mouth[1]],
        ]
    else:
        parts = [
            [(-side, low), (side, low), (side, 0.0), mouth[1], floor[1], floor[0], mouth[0],
             (-side, 0.0)]
        ]  # fmt: skip
        ink.line("visible", *floor)
    for part in parts:
        ink.areas.append((part, style.TOP_TONE))
    ink.line("visible", mouth[0], floor[0])
    ink.line("visible", mouth[1], floor[1])
    for a, b in ((-side, mouth[0][0]), (mouth[1][0], side)):
        ink.line("visible", (a, 0.0), (b, 0.0))
    gaps = ((-side, floor[0][0]), (floor[1][0], side)) if work.through else ((-side, side),)
    for a, b in gaps:
        ink.line("visible", (a, low), (b, low))


def _leg(ink: Ink, frame: SightPlane, work: LegWork) -> None:
    """The tenon and the beginning of the leg, broken off."""
    number, bench = work.sheet.number, work.bench.number
    half, taper = number("tenon_diameter") / 2, number("leg_taper")
    clear, end = bench("shoulder_clear"), _shown(work)
    deep = -number("socket_depth")
    wide, broken = (number("leg_diameter") / 2 - taper * far for far in (clear, end))
    if not work.shouldered:
        wide = half
    body = [frame.at(clear, -wide), frame.at(clear, wide), frame.at(end, broken),
            frame.at(end, -broken)]  # fmt: skip
    tenon = [frame.at(deep, -half), frame.at(deep, half), frame.at(clear, half),
             frame.at(clear, -half)]  # fmt: skip
    if work.through:
        low = -number("top_thickness")
        tenon[:2] = [frame.level(low, -half), frame.level(low, half)]
    for part in (tenon, body):
        ink.areas.append((part, style.POST_TONES[0]))
    ink.line("visible", body[3], body[0], body[1], body[2])
    ink.line("thin", body[2], body[3])
    ink.line("visible", tenon[3], frame.level(0.0, -half))
    ink.line("visible", tenon[2], frame.level(0.0, half))


def _section_sizes(ink: Ink, frame: SightPlane, work: LegWork, side: float) -> None:
    """Thickness of the top, what is left over the socket, the bevel and the gap at the shoulder."""
    number, bench, scale = work.sheet.number, work.bench.number, frame.scale
    low = -number("top_thickness") * scale
    right = side + style.FIRST_ROW
    dimension.upright(ink, (side, low), (side, 0.0), right, work.bare("top_thickness"))
    if not work.through:
        half = number("tenon_diameter") / 2
        x, y = frame.at(-number("socket_depth"), -half)
        x, y = min([(x, y), frame.at(-number("socket_depth"), half)], key=lambda point: point[1])
        dimension.upright(ink, (x, low), (x, y), -side - style.FIRST_ROW, work.bare("socket_cover"))
    if work.shouldered:
        wide = number("leg_diameter") / 2 - number("leg_taper") * bench("shoulder_clear")
        x, y = frame.at(bench("shoulder_clear"), -wide)
        place = x - style.FIRST_ROW
        dimension.upright(ink, (x, 0.0), (x, y), place, work.bare("shoulder_gap"))
    # The bevel, between the underside towards the rim and the axis.
    radius = max(_shown(work) * scale, 0.75 * side)
    angle = 90.0 - number("leg_resultant")
    dimension.angle(ink, (0.0, 0.0), 0.0, angle, radius, work.text("drill_angle"))
    ink.line("thin", (side, 0.0), (max(radius, side) + 2.0, 0.0))


def _says(ink: Ink, side: float, thick: float) -> None:
    level = -thick - 5.0
    # As far out as the top is drawn, but never into one another.
    wide = max(side, style.text_width("to the centre") + 2.0)
    ink.labels.append(Label("to the centre", -wide, level, "left", colour=style.FAINT))
    ink.labels.append(Label("to the rim", wide, level, "right", colour=style.FAINT))


# --- the gauge -----------------------------------------------------------------------------------


def gauge(work: LegWork) -> Ink:
    """The gauge at full size: base below, its slanting edge to the left."""
    ink, bench = Ink(), work.bench.number
    high, lean = bench("gauge_height"), bench("gauge_lean")
    base = lean + BASE
    corners = [(0.0, 0.0), (base, 0.0), (base, high), (lean, high)]
    ink.areas.append((corners, style.TOP_TONE))
    ink.line("visible", *corners, corners[0])
    ink.line("centre", (0.0, -3.0), (0.0, high + 3.0))
    dimension.upright(
        ink, (base, 0.0), (base, high), base + style.FIRST_ROW, work.bare("gauge_height")
    )
    dimension.across(
        ink, (0.0, high), (lean, high), high + style.FIRST_ROW, work.bare("gauge_lean")
    )
    ink.line("thin", (lean, high), (0.0, high))
    angle = 90.0 - work.sheet.number("leg_resultant")
    dimension.angle(ink, (0.0, 0.0), 0.0, angle, 26.0, work.text("drill_angle"))
    middle = (lean + base) / 2 + 2.0
    for text, level in (("on the sight line,", 9.0), ("towards the rim", 4.4)):
        ink.labels.append(Label(text, base - 2.0, level, "right", colour=style.FAINT))
    ink.labels.append(Label("gauge", middle, 0.62 * high, bold=True))
    turn = angle
    x, y = 0.62 * lean - 2.2, 0.62 * high
    ink.labels.append(Label("parallel to the bit", x, y, rotation=turn))
    return ink
