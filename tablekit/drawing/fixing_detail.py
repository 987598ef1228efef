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
    """Across a head: recess, plate, screw and top, the piece the right way up. Not beyond `size`
    times full size; mm on the paper, the top's underside at height 0."""
    scale = _fits(size, max(plan.thickness * 1.6, plan.head_flat * 1.6), 62.0)
    ink = Ink()
    half, gap = plan.head_flat / 2 * scale, plan.plate_gap * scale
    thick, deep = plan.plate_thickness * scale, plan.plate_recess * scale
    wide, plate = plan.plate_recess_width / 2 * scale, plan.plate_width / 2 * scale
    top, reach = plan.thickness * scale, half + BESIDE
    ink.areas.append(([(-reach, 0), (reach, 0), (reach, top), (-reach, top)], style.TOP_TONE))
    ink.line("visible", (-reach, 0.0), (reach, 0.0))
    ink.line("visible", (-reach, top), (reach, top))
    low = -gap - deep - BELOW
    spread = 0.6 * BELOW
    head = [
        (-half, -gap), (-wide, -gap), (-wide, -gap - deep), (wide, -gap - deep), (wide, -gap),
        (half, -gap), (half + spread, low), (-half - spread, low),
    ]  # fmt: skip
    ink.areas.append((head, style.POST_TONES[0]))
    ink.line("visible", head[-1], *head[:-1])
    metal = [(-plate, -thick), (plate, -thick), (plate, 0.0), (-plate, 0.0)]
    ink.areas.append((metal, style.POST_TONES[2]))
    ink.line("visible", *metal, metal[0])
    _screw(ink, plan, scale)
    _plate_dimensions(ink, plan, scale, low)
    ink.labels.append(Label("plate, across its length", -reach, top + 6.6, "left"))
    return ink


def _screw(ink: Ink, plan: FixingPlan, scale: float) -> None:
    """From the plate's lower face up into the top, in its middle."""
    shank, head = plan.screw_shank / 2 * scale, plan.screw_shank * scale
    start = -plan.plate_thickness * scale
    point = start + plan.screw_length * scale
    taper = point - 2 * shank
    ink.line(
        "hidden", (-head, start), (-shank, start + shank), (-shank, taper), (0.0, point),
        (shank, taper), (shank, start + shank), (head, start),
    )  # fmt: skip
    ink.line("centre", (0.0, start - 2.0), (0.0, plan.thickness * scale + 2.0))


def _plate_dimensions(ink: Ink, plan: FixingPlan, scale: float, low: float) -> None:
    half, top = plan.head_flat / 2 * scale, plan.thickness * scale
    wide = plan.plate_recess_width / 2 * scale
    gap, deep = plan.plate_gap * scale, plan.plate_recess * scale
    point = (plan.screw_length - plan.plate_thickness) * scale
    right = half + BESIDE
    said = f"{_text(plan, plan.screw_cover)} cover"
    # Three shelves one above the other, however thin the top.
    first = top + 1.0
    second = min(0.4 * point, first - SHELF)
    third = min(-gap - deep - 4.0, second - SHELF)
    dimension.upright(ink, (0.0, point), (0.0, top), right - 4.0, "")
    dimension.leader(ink, (right - 4.0, (point + top) / 2), (right + 4.0, first), said)
    pilot = f"drill {_text(plan, plan.pilot_diameter)}"
    shank = plan.screw_shank / 2 * scale
    dimension.leader(ink, (shank, 0.4 * point), (right + 4.0, second), pilot)
    said = f"{_text(plan, plan.plate_recess)} deep" if plan.plate_recess > 0 else "no recess"
    dimension.leader(ink, (wide, -gap - deep / 2), (right + 4.0, third), said)
    under = low - style.FIRST_ROW + 3.0
    said = f"recess {_text(plan, plan.plate_recess_width)} wide"
    if plan.plate_recess == 0:
        wide, said = plan.plate_width / 2 * scale, f"plate {_text(plan, plan.plate_width)} wide"
    dimension.across(ink, (-wide, -gap - deep), (wide, -gap - deep), under, said)


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
