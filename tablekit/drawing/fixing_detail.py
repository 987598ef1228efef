"""Details: a plate in its recess under the top, a pad in its recess in a foot, and a slot."""

from __future__ import annotations

from tablekit.drawing import dimension, style
from tablekit.drawing.ink import Ink, Label, Point, ring
from tablekit.engine.shop import shop_text
from tablekit.planning.fixing_plan import FixingPlan

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
