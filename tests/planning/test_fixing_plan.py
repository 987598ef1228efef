"""The plan for fastening the top: which plate is fixed, and what room the others need."""

from __future__ import annotations

import json

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle
from tablekit.planning.cut_list import cut_list
from tablekit.planning.fixing_plan import (
    ORDINARY_PLAY,
    WASHER_COVERS,
    FixingPlan,
    fixing_plan,
    outside_rim,
)
from tablekit.relations.families import network
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def sheet(display: str = "mm", **changes: float) -> Sheet:
    shop = ShopStyle(display=display)  # type: ignore[arg-type]
    return network("table").solve({**TABLE, **changes}, name="Table", shop=shop)


def planned(display: str = "mm", **changes: float) -> FixingPlan:
    plan = fixing_plan(sheet(display, **changes))
    assert plan is not None
    return plan


def test_the_head_along_the_grain_is_fixed_and_the_others_slide() -> None:
    # reference/derivations/fixing.md, how to turn the base
    plan = planned()
    assert plan.held_by == 1
    assert [one.hold for one in plan.fasteners] == ["fixed", "slot", "slot"]
    first = plan.fasteners[0]
    assert first.travel == pytest.approx(0, abs=1e-9) and first.across == pytest.approx(0, abs=1e-9)


def test_screws_move_by_what_the_top_does_between_them_and_the_fixed_one() -> None:
    # independent: the top as an affine map about the fixed screw
    it = sheet()
    plan = planned()
    at = np.array([(one.along, one.across) for one in plan.fasteners])
    stretch = np.array([it.number("lengthwise_movement"), it.number("top_movement")]) / 920
    moved = np.abs((at - at[0]) * stretch)
    found = [(one.creep, one.travel) for one in plan.fasteners]
    assert np.array(found) == pytest.approx(moved)


@each("turn", [0.0, 1.0, 2.0, 10.0, 20.0, 30.0])
@each("coefficient", [0.0005, 0.0018, 0.0035])
def test_each_hold_allows_what_its_screw_travels(turn: float, coefficient: float) -> None:
    it = sheet(head_turn=turn, movement_coefficient=coefficient)
    plan = planned(head_turn=turn, movement_coefficient=coefficient)
    share = (it.number("winter_shrinkage") / 920, it.number("summer_swelling") / 920)
    held = 0.0
    if plan.held_by:
        held = plan.fasteners[plan.held_by - 1].across
    for one in plan.fasteners:
        play = 2 * max(share) * abs(one.across - held)
        if one.hold == "fixed":
            assert 2 * max(share) * abs(one.across) <= ORDINARY_PLAY
            continue
        assert one.room_across - plan.screw_shank == pytest.approx(play)
        assert (one.hold == "slot") == (play > WASHER_COVERS)


def test_a_base_turned_off_the_grain_has_no_plate_to_fix() -> None:
    plan = planned(head_turn=30.0)
    assert plan.held_by is None and "No plate is fixed: none lies near enough" in plan.text()


def test_slots_that_are_too_short_are_told() -> None:
    needed = sheet().number("slot_needed")
    short, long = planned(slot_length=needed - 1), planned(slot_length=needed + 1)
    assert "Lengthen the slot" in short.fasteners[1].advice
    assert "lengthen" not in long.fasteners[1].advice
    # rounded up: a slot as short as is written is still long enough
    written = float(long.fasteners[1].advice.split("at least ")[1].split(" mm")[0])
    assert needed <= written < needed + 0.5


def test_screws_marked_from_the_ends_of_the_grain_bring_the_base_to_the_middle() -> None:
    """By circles and vectors: from A and B to each mark, and from there back to the heads, which
    then are the overhang from the rim; a slot across the grain leans as the plan says."""
    plan = planned()
    assert "measure the place of each screw" in plan.text()
    radius = plan.diameter / 2
    for one in plan.fasteners:
        along = (one.far_end**2 - one.near_end**2) / (4 * radius)
        across = np.sqrt(max(one.near_end**2 - (along - radius) ** 2, 0.0))
        across *= np.sign(np.sin(np.radians(one.bearing))) or 1.0
        screw = np.array([along, across])
        # From the head the plate runs square to the line from the centre, anticlockwise.
        turn = np.arctan2(across, along) - np.arctan2(plan.plate_reach, plan.head_radius)
        out, plate = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
        head = screw - plan.plate_reach * plate
        assert np.linalg.norm(head) == pytest.approx(plan.head_radius, abs=1e-6)
        assert np.abs(head @ plate) < 1e-6 and radius - head @ out == pytest.approx(plan.overhang)
        slot = np.degrees(np.arccos(abs(plate @ np.array([0.0, 1.0]))))
        assert plan.slant(one) == pytest.approx(slot, abs=1e-6)


@pytest.mark.parametrize("display", ["mm", "in"])
def test_words_and_json(display: str) -> None:
    it, plan = sheet(display), planned(display)
    said = plan.text()
    for name in ("overhang", "plate_recess", "plate_recess_width", "screw_cover", "pad_hole"):
        assert it.shop(name) in said
    for caution in ("stop on the bit", "comes through the face", "eye protection"):
        assert caution in said
    data = json.loads(json.dumps(plan.to_json(), allow_nan=False))
    assert [one["number"] for one in data["fasteners"]] == [1, 2, 3]
    assert data["held_by"] == 1 and data["text"] == said


def test_legs_in_sockets_have_no_plates() -> None:
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 40.0}
    )
    assert fixing_plan(stool) is None


def test_heads_outside_the_rim_hold_no_top() -> None:
    given = {"table_height": 735.0, "post_section": 64.0}
    narrow, wide = (
        network("table").solve({**given, "top_diameter": across}) for across in (500.0, 920.0)
    )
    assert narrow.number("overhang") < 0 < wide.number("overhang")
    assert fixing_plan(narrow) is None and "outside the rim" in outside_rim(narrow)
    assert fixing_plan(wide) is not None and not outside_rim(wide)
    bought = {one.name for one in cut_list(narrow).fittings}
    assert bought == {"foot pad"} < {one.name for one in cut_list(wide).fittings}
