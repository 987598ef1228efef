"""The top fastened to its heads: its underside in plan, and plate, slot and pad in section.

Every number comes from the plan of the fastening; only places on the paper are worked out here.
The plan is what a maker sees who stands over the top as it lies face down: a mirror image of what
is seen from above the finished piece.
"""

from __future__ import annotations

from collections.abc import Callable
from math import atan2, cos, degrees, hypot, radians, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import dimension, style
from tablekit.drawing.general import FREE_SCALES, INCH_SCALES, METRIC_SCALES, Layout, scale_text
from tablekit.drawing.ink import Ink, Label, Point, printed, ring
from tablekit.drawing.style import A4, Paper
from tablekit.drawing.title import centred, drawing_room, in_a_column, in_a_row, title, too_large
from tablekit.engine.shop import shop_text, shop_text_up
from tablekit.planning.fixing_plan import Fastener, FixingPlan, fixing_plan

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet


CENTRE_PAST = 3.5
GRAIN = 0.55  # of the radius, half the length of the lines that stand for the grain
SCREW_LEAST = 0.5  # radius of a screw on the paper, at the least
ROW = 4.6
HEADS = ("plate", "from grain", "from A", "from B", "across", "hold")
GUTTER = 4.0
GAP, CLOSE = 8.0, 5.0
PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)  # of a text along its dimension line
DETAIL_SIZES = (1.0, 0.75, 0.5, 0.35, 0.25)


def draw_fixing(sheet: Sheet, figure: Figure | None = None, paper: Paper = A4) -> Figure:
    """How the top of `sheet` is fastened, on `figure` or a fresh one.

    Raises ValueError when the paper is too small or the piece has no plates."""
    return printed(lay_out_fixing(sheet, paper).ink, paper, figure)


def lay_out_fixing(sheet: Sheet, paper: Paper, plan: FixingPlan | None = None) -> Layout:
    """The underside at the largest scale that fits, with its table and the details.

    Raises ValueError when nothing fits or the piece has no plates."""
    plan = plan or fixing_plan(sheet)
    if plan is None:
        raise ValueError(f"{sheet.name or 'this piece'} has no plates on heads to be drawn")
    stated = INCH_SCALES if sheet.shop_style.display == "in" else METRIC_SCALES
    room = drawing_room(paper)
    column = paper.with_text and paper.arrangement == "beside"
    details_at = [_details(plan, size, column) for size in DETAIL_SIZES]
    for scale in stated if paper.to_scale else FREE_SCALES:
        if plan.diameter * scale > min(room.width, room.height):
            continue
        under = underside(plan, scale)
        if too_large(under, room):
            continue
        for details in details_at:
            if paper.arrangement == "stacked":
                ink = in_a_column((under, details), GAP)
            elif paper.with_text:
                ink = in_a_row((in_a_column((under, table(plan)), GAP), details), CLOSE)
            else:
                ink = in_a_row((under, details), GAP)
            placed = centred(ink, room)
            if placed is not None:
                placed.add(title(*_words(sheet, plan, scale, paper), paper))
                return Layout(scale, paper.arrangement, placed)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the fastening of "
        f"{sheet.name or 'this piece'}; take a larger one"
    )


def _details(plan: FixingPlan, size: float, column: bool) -> Ink:
    """The table over the details, or these alone in a column; they are drawn at most this many
    times full size."""
    if column:
        drawn = (plate_detail(plan, size), pad_detail(plan, size), slot_detail(plan, size))
        return in_a_column(drawn, GAP)
    small = in_a_column((pad_detail(plan, size), slot_detail(plan, size)), 5.0)
    return in_a_column((table(plan), in_a_row((plate_detail(plan, size), small), GAP)), GAP)


def _words(sheet: Sheet, plan: FixingPlan, scale: float, paper: Paper) -> tuple[str, list[str]]:
    unit = "inches" if sheet.shop_style.display == "in" else "millimetres"
    stated = f"Underside {scale_text(scale)}. " if paper.to_scale else ""
    fixed = f"Plate {plan.held_by} is fixed. " if plan.held_by else "No plate is fixed. "
    lines = [
        f"{stated}Sizes in {unit}. {fixed}Others: screw centred, just short of tight.",
        "Set a stop on the bit: nothing may come through the face. Wear eye protection; clamp the "
        "work.",
    ]
    heading = f"{sheet.name}: fastening the top, seen from below"
    # Text on the same sheet has the caution.
    return heading, [f"Seen from below. {lines[0]}"] if paper.with_text else lines


def texts(plan: FixingPlan) -> Callable[[float], str]:
    """Lengths as the maker reads them, without the unit."""

    def text(number: float) -> str:
        return shop_text(number, "mm", plan.style).removesuffix(f" {plan.style.display}")

    return text


# --- the underside --------------------------------------------------------------------------------


def underside(plan: FixingPlan, scale: float) -> Ink:
    """The top from below about its centre mark, grain from left to right, mm on the paper."""
    ink = Ink()
    radius = plan.diameter / 2 * scale
    ink.areas.append((ring(radius), style.TOP_TONE))
    ink.line("visible", *ring(radius))
    reach = radius + CENTRE_PAST
    ink.line("centre", (-reach, 0.0), (reach, 0.0))
    ink.line("centre", (0.0, -reach), (0.0, reach))
    ink.line("centre", *ring(plan.head_radius * scale))
    _grain(ink, radius)
    for name, side in (("A", 1), ("B", -1)):
        ink.badge((side * (reach + style.BADGE + 0.6), 0.0), name)
    for one in plan.fasteners:
        _head(ink, plan, one, scale)
    _measures(ink, plan, scale)
    return ink


def _grain(ink: Ink, radius: float) -> None:
    """An arrow under the top, clear of all that is drawn on it."""
    half, level = GRAIN * radius, -radius - CENTRE_PAST - 5.0
    ink.line("thin", (-half, level), (half, level))
    ink.arrow((half, level), (1.0, 0.0))
    ink.arrow((-half, level), (-1.0, 0.0))
    ink.labels.append(Label("grain", 0.0, level + style.TEXT_GAP))


def place(one: Fastener, scale: float) -> Point:
    """Where a screw lies on the paper: across the grain is turned over, as seen from below."""
    return one.along * scale, -one.across * scale


def _head(ink: Ink, plan: FixingPlan, one: Fastener, scale: float) -> None:
    """The head's flat, its plate across it to one side, the slot and the screw."""
    turn = -radians(one.bearing - plan.screw_lag)
    # Anticlockwise from above, where the plates reach, is clockwise from below.
    out, side = (cos(turn), sin(turn)), (sin(turn), -cos(turn))
    x, y = place(one, scale)
    middle = plan.head_radius * scale
    head = (middle * out[0], middle * out[1])
    flat = plan.head_flat / 2 * scale
    ink.line("hidden", *[(head[0] + a, head[1] + b) for a, b in ring(flat, 64)])
    half = plan.plate_width / 2 * scale
    open_ = (plan.slot_length if one.hold == "slot" else one.room_across) / 2 * scale
    near = -plan.plate_hole * scale
    far = near + plan.plate_length * scale
    corners = [
        (head[0] + a * side[0] + b * out[0], head[1] + a * side[1] + b * out[1])
        for a, b in ((near, -half), (far, -half), (far, half), (near, half))
    ]
    ink.areas.append((corners, style.POST_TONES[1]))
    ink.line("thin", *corners, corners[0])
    slot(ink, (x, y), open_, max(one.room_along / 2 * scale, SCREW_LEAST))
    # Inward of the plate, where the three are not too close together for that.
    clear = max(half, open_ + 0.8) + 1.6 * style.BADGE
    sign = -1 if hypot(x, y) - clear > 2.5 * style.BADGE else 1
    ink.badge((x + sign * clear * out[0], y + sign * clear * out[1]), str(one.number))


def _measures(ink: Ink, plan: FixingPlan, scale: float) -> None:
    """One plate measured from the centre mark and from both ends of the grain line."""
    text, radius = texts(plan), plan.diameter / 2 * scale
    shown = max(plan.fasteners, key=lambda one: abs(one.across))
    x, y = place(shown, scale)
    for start, number in (((-radius, 0.0), shown.far_end), ((radius, 0.0), shown.near_end)):
        _told(ink, start, (x, y), text(number))
    _told(ink, (0.0, 0.0), (x, y), text(plan.screw_radius))
    other = min(
        (one for one in plan.fasteners if one is not shown), key=lambda one: -abs(one.across)
    )
    turn = -radians(other.bearing - plan.screw_lag)
    way = (cos(turn), sin(turn))
    inner = (plan.head_radius * scale * way[0], plan.head_radius * scale * way[1])
    rim = (radius * way[0], radius * way[1])
    ink.line("centre", (0.0, 0.0), inner)
    dimension.radial(ink, inner, rim, 6.0, text(plan.overhang), "overhang")
    a, b = place(other, scale)
    ink.line("centre", (0.0, 0.0), (a, b))
    turn = degrees(atan2(b, a)) % 360
    if turn > 180:
        dimension.angle(ink, (0.0, 0.0), turn, 360.0, 0.3 * radius, f"{360 - turn:.0f}° apart")
    else:
        dimension.angle(ink, (0.0, 0.0), 0.0, turn, 0.3 * radius, f"{turn:.0f}° apart")


def _told(ink: Ink, start: Point, end: Point, text: str) -> None:
    """A dimension line with its text where it is clear of the numbered rings and of other texts;
    without the text where there is no such place, since the table has it too."""
    dimension.along(ink, start, end, "")
    turn = degrees(atan2(end[1] - start[1], end[0] - start[0]))
    turn -= 180 * round(turn / 180)  # reads from the bottom or from the right
    up = (-sin(radians(turn)), cos(radians(turn)))
    room = style.text_width(text) / 2 + style.ARROW
    length = hypot(end[0] - start[0], end[1] - start[1])
    for share in PLACES:
        if min(share, 1 - share) * length < room:
            continue
        x, y = (a + share * (b - a) + style.TEXT_GAP * c
                for a, b, c in zip(start, end, up, strict=True))  # fmt: skip
        label = Label(text, x, y, rotation=turn)
        if is_clear(ink, label):
            ink.labels.append(label)
            return


def is_clear(ink: Ink, label: Label) -> bool:
    """Whether a text touches no numbered ring and no other text."""
    rings = [np.mean(badge[:-1], axis=0) for badge in ink.badges]
    others = [np.array(other.corners()) for other in ink.labels if other.text]
    own = np.array(label.corners())
    if not all(_apart(own, middle[None], style.BADGE) for middle in rings):
        return False
    return all(_apart(own, other, 0.0) or _apart(other, own, 0.0) for other in others)


def _apart(box: NDArray[np.float64], points: NDArray[np.float64], around: float) -> bool:
    """Whether points, and so much round them, lie wholly on one outer side of a turned box."""
    origin, up, along = box[0], box[1] - box[0], box[2] - box[0]
    for edge in (up, along):
        length = float(np.hypot(*edge))
        far = (points - origin) @ edge / length
        if far.max() + around < 0 or far.min() - around > length:
            return True
    return False


# --- the table ------------------------------------------------------------------------------------


def table(plan: FixingPlan) -> Ink:
    """Every plate with its places and what it needs, one row each, mm on the paper."""
    text, ink = texts(plan), Ink()
    rows = [HEADS]
    for one in plan.fasteners:
        from_grain = f"{one.bearing % 360:.0f}°"
        ends, travel = (text(one.near_end), text(one.far_end)), text(one.travel)
        rows.append((str(one.number), from_grain, *ends, travel, _held(plan, one)))
    columns = [max(style.text_width(row[k]) for row in rows) for k in range(len(HEADS))]
    for line, row in enumerate(rows):
        right = 0.0
        for k, (cell, wide) in enumerate(zip(row, columns, strict=True)):
            colour = style.INK if line else style.FAINT
            last = k == len(HEADS) - 1
            at, anchor = (right, "left") if last else (right + wide, "right")
            ink.labels.append(Label(cell, at, -line * ROW, anchor, colour=colour))
            right += wide + GUTTER
    ink.line("thin", (0.0, -1.4), (sum(columns) + GUTTER * (len(HEADS) - 1), -1.4))
    said = "Angles from A, anticlockwise seen from above. Across: over the seasons."
    ink.labels.append(Label(said, 0.0, -4 * ROW - 0.8, "left", colour=style.FAINT))
    return ink


def _held(plan: FixingPlan, one: Fastener) -> str:
    text = texts(plan)
    if one.hold == "fixed":
        return "fixed"
    if one.hold == "oversize hole":
        needed = shop_text_up(one.room_across, plan.style)  # as the text has it, never less
        return f"hole {needed.removesuffix(f' {plan.style.display}')} wide"
    short = "" if plan.slot_length >= one.room_across else " TOO SHORT"
    return f"slot {text(plan.slot_length)} at {plan.slant(one):.0f}°{short}"


# -- Details in section ----------------------------------------------------------------------------

BELOW = 16.0  # of the head, and above it of the foot, on the paper
SHELF = 5.0  # from one note to the next
BESIDE = 14.0  # of the top past the head, on the paper


def _text(plan: FixingPlan, number: float) -> str:
    return shop_text(number, "mm", plan.style).removesuffix(f" {plan.style.display}")


def _fits(size: float, wanted: float, most: float) -> float:
    """The scale that keeps `wanted` mm within `most` mm on the paper, `size` at the largest."""
    return min(size, most / wanted)


def plate_detail(plan: FixingPlan, size: float) -> Ink:
    """Along a plate: head, plate, both screws and top, the piece the right way up. Not beyond
    `size` times full size; mm on the paper, the head's middle at 0, the top's underside at height
    0."""
    wanted = max(plan.thickness * 1.6, plan.plate_length * 1.3)
    scale = _fits(size, wanted, 62.0 * min(1.0, 2 * size))
    ink = Ink()
    half, thick = plan.head_flat / 2 * scale, plan.plate_thickness * scale
    top, gap = plan.thickness * scale, plan.plate_gap * scale
    near, far = _plate_ends(plan, scale)
    left, right = min(-half, near) - BESIDE / 4, far + BESIDE / 4
    ink.areas.append(([(left, 0), (right, 0), (right, top), (left, top)], style.TOP_TONE))
    ink.line("visible", (left, 0.0), (right, 0.0))
    ink.line("visible", (left, top), (right, top))
    low, spread = -thick - BELOW, 0.6 * BELOW
    head = [(-half - spread, low), (-half, -thick), (half, -thick), (half + spread, low)]
    ink.areas.append((head, style.POST_TONES[0]))
    ink.line("visible", *head)
    ink.line("thin", (-half, -gap), (half, -gap))  # the wall of the recess, behind the plate
    metal = [(near, -thick), (far, -thick), (far, 0.0), (near, 0.0)]
    ink.areas.append((metal, style.POST_TONES[2]))
    ink.line("visible", *metal, metal[0])
    _screws(ink, plan, scale)
    _plate_dimensions(ink, plan, scale, low)
    size_of_it = f"{_text(plan, plan.plate_length)} × {_text(plan, plan.plate_width)}"
    said = f"plate {size_of_it}, lengthwise"
    ink.labels.append(Label(said, left, top + 6.6, "left"))
    return ink


def _plate_ends(plan: FixingPlan, scale: float) -> tuple[float, float]:
    """Both ends of the plate from the head's middle."""
    near = -plan.plate_hole * scale
    return near, near + plan.plate_length * scale


def _screws(ink: Ink, plan: FixingPlan, scale: float) -> None:
    """One up into the top through the middle of the slot, one down into the head."""
    shank, head = plan.screw_shank / 2 * scale, plan.screw_shank * scale
    start, x = -plan.plate_thickness * scale, plan.plate_reach * scale
    point = start + plan.screw_length * scale
    taper = point - 2 * shank
    ink.line(
        "hidden", (x - head, start), (x - shank, start + shank), (x - shank, taper), (x, point),
        (x + shank, taper), (x + shank, start + shank), (x + head, start),
    )  # fmt: skip
    ink.line("centre", (x, start - 2.0), (x, plan.thickness * scale + 2.0))
    # How long the one into the head is, is for the maker: only its middle is shown.
    ink.line("centre", (0.0, start - BELOW + 2.0), (0.0, 2.0))


def _plate_dimensions(ink: Ink, plan: FixingPlan, scale: float, low: float) -> None:
    top, thick = plan.thickness * scale, plan.plate_thickness * scale
    point = (plan.screw_length - plan.plate_thickness) * scale
    _, far = _plate_ends(plan, scale)
    x, right = plan.plate_reach * scale, far + BESIDE / 4
    said = f"{_text(plan, plan.screw_cover)} cover"
    # Shelves one above the other, however thin the top.
    first = top + 1.0
    second = min(0.4 * point, first - SHELF)
    dimension.upright(ink, (x, point), (x, top), right - 2.0, "")
    dimension.leader(ink, (right - 2.0, (point + top) / 2), (right + 6.0, first), said)
    pilot = f"drill {_text(plan, plan.pilot_diameter)}"
    shank = plan.screw_shank / 2 * scale
    dimension.leader(ink, (x + shank, 0.4 * point), (right + 6.0, second), pilot)
    said = f"{_text(plan, plan.plate_recess)} deep" if plan.plate_recess > 0 else "no recess"
    half = plan.head_flat / 2 * scale
    third = min(-thick - 4.0, second - SHELF)
    dimension.leader(ink, (half, -thick), (right + 6.0, third), said)
    under = low - style.FIRST_ROW + 3.0
    dimension.across(ink, (0.0, low), (x, -thick), under, _text(plan, plan.plate_reach))


def pad_detail(plan: FixingPlan, size: float) -> Ink:
    """Across a foot: recess and pad, the piece the right way up; mm on the paper, the foot's flat
    at height 0."""
    scale = _fits(size, plan.foot_flat * 1.6, 62.0)
    ink = Ink()
    half, hole = plan.foot_flat / 2 * scale, plan.pad_hole / 2 * scale
    pad, deep = plan.pad_diameter / 2 * scale, plan.pad_recess * scale
    proud, high = plan.pad_projection * scale, deep + BELOW
    spread = 0.6 * BELOW
    foot = [
        (-half, 0.0), (-hole, 0.0), (-hole, deep), (hole, deep), (hole, 0.0), (half, 0.0),
        (half + spread, high), (-half - spread, high),
    ]  # fmt: skip
    ink.areas.append((foot, style.POST_TONES[0]))
    ink.line("visible", foot[-1], *foot[:-1])
    felt = [(-pad, -proud), (pad, -proud), (pad, deep), (-pad, deep)]
    ink.areas.append((felt, style.POST_TONES[2]))
    ink.line("visible", *felt, felt[0])
    ink.line("centre", (0.0, -proud - 2.0), (0.0, high + 2.0))
    right = half + spread + 4.0
    dimension.leader(
        ink, (hole, deep / 2), (right, deep + 4.0), f"{_text(plan, plan.pad_recess)} deep"
    )
    said = f"{_text(plan, plan.pad_projection)} proud"
    dimension.leader(ink, (pad, -proud / 2), (right, -proud - 3.0), said)
    low = -proud - style.FIRST_ROW
    said = f"pad {_text(plan, plan.pad_diameter)}"
    dimension.across(ink, (-pad, -proud), (pad, -proud), low, said)
    said = f"recess {_text(plan, plan.pad_hole)}"
    dimension.across(ink, (-hole, 0.0), (hole, 0.0), low - style.NEXT_ROW, said)
    ink.labels.append(Label("pad in a foot", -half - spread, high + 5.0, "left"))
    return ink


def slot(ink: Ink, at: Point, half: float, round_: float) -> None:
    """A slot straight up and down, across the grain, half its length and half its width; a round
    hole where it is no longer than wide. The screw is in its middle."""
    x, y = at
    straight = max(half - round_, 0.0)
    arc = ring(round_, 32)
    upper = [(x + a, y + straight + b) for a, b in arc[:17]]
    lower = [(x + a, y - straight + b) for a, b in arc[16:]]
    ink.line("visible", *upper, *lower, upper[0])
    ink.line("thin", *[(x + a, y + b) for a, b in ring(0.8 * round_, 24)])


def slot_detail(plan: FixingPlan, size: float) -> Ink:
    """The slot of the plate that moves farthest, from below, its screw in the middle; mm on the
    paper about the screw."""
    most = max(plan.fasteners, key=lambda one: one.room_across)
    scale = _fits(size, plan.slot_length * 1.2, 40.0)
    ink = Ink()
    half, round_ = plan.slot_length / 2 * scale, most.room_along / 2 * scale
    side, high = max(plan.plate_width / 2 * scale, round_ + 2.0), half + 2.5
    corners = [(-side, -high), (side, -high), (side, high), (-side, high)]
    ink.areas.append((corners, style.POST_TONES[2]))
    hole = [(-round_, -half), (round_, -half), (round_, half), (-round_, half)]
    ink.line("thin", (-side, -high), (-side, high))
    ink.line("thin", (side, -high), (side, high))
    ink.areas.append((_rounded(half, round_) if half > round_ else hole, style.PAPER))
    slot(ink, (0.0, 0.0), half, round_)
    said = f"slot {_text(plan, plan.slot_length)}"
    at = side + style.FIRST_ROW - 2.0
    dimension.upright(ink, (round_, -half), (round_, half), at, "")
    dimension.leader(ink, (at, 0.25 * half), (at + 7.0, 0.25 * half), said, "across the grain")
    said = f"{_text(plan, most.room_along)} wide"
    dimension.leader(ink, (-0.7 * round_, 0.0), (-side - 6.0, 0.0), said)
    return ink


def _rounded(half: float, round_: float) -> list[Point]:
    arc, straight = ring(round_, 32), half - round_
    return [(a, b + straight) for a, b in arc[:17]] + [(a, b - straight) for a, b in arc[16:]]
