"""The top fastened to its heads: its underside in plan, and a plate and a pad in section.

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
from tablekit.drawing.fixing_detail import pad_detail, plate_detail, slot, slot_detail
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    Layout,
    scale_text,
)
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
