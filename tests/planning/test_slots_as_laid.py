"""Slots of a top of unlike boards: each screw by the wood between it and the middle."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tablekit.brief import Brief, parse_brief, read_brief
from tablekit.design import Design
from tablekit.design.top_boards import top_boards
from tablekit.engine.sheet import Sheet
from tablekit.planning.fixing_plan import fixing_plan
from tablekit.relations import fasteners, fixing
from tablekit.setting_out import set_out
from tablekit.species import find_movement
from tests.together import each

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
SLOTS = "length of the slots"
THINNER = 5 - 4.7625  # mm: the screws of an inch shop are 3/16 in, common practice, no source
MIXED = """
kind = "table"
[given]
table_height = "735 mm"
top_diameter = "{diameter} mm"
post_section = "64 mm"
head_turn = "{turn} deg"
[wood]
species = "white ash"
cut = "{cut}"
[room]
driest = {{ temperature = "21 degC", humidity = "30 %" }}
dampest = {{ temperature = "24 degC", humidity = "65 %" }}
shop = {{ temperature = "18 degC", humidity = "55 %" }}
[[boards]]
name = "one"
width = "{width} mm"
length = "1.3 m"
count = 4
[[boards]]
name = "other"
width = "{other} mm"
length = "1.3 m"
count = 4
species = "american beech"
cut = "flat-sawn"
"""


def mixed(random: np.random.Generator) -> Brief:
    return parse_brief(MIXED.format(
        diameter=random.integers(900, 1000), turn=random.integers(0, 30),
        cut=random.choice(["flat-sawn", "quarter-sawn"]), width=random.integers(120, 220),
        other=random.integers(150, 260),
    ))  # fmt: skip


def room(sheet: Sheet, brief: Brief, held: float, at: float) -> float:
    """Slot of a screw `at` mm across from the grain line, the top held at `held`: the movement of
    the wood between the two added up millimetre by millimetre, on the livelier side, mm."""
    found = top_boards(brief, sheet)
    assert found is not None and found.layout is not None
    rates = {}
    for board in brief.boards:
        wood = find_movement(board.species or brief.wood.species or "")
        assert wood is not None
        rates[board.name] = wood.coefficient(board.cut or brief.wood.cut or "flat-sawn")
    airs = [sheet.number(f"{air}_moisture") for air in ("driest", "dampest", "shop")]
    dry, wet, shop = airs
    if min(airs) < 6 or max(airs) > 14:  # equation 13-3 of the Wood Handbook, from the shop's air
        rates = {name: 1 / (1 / rate + shop - 10) for name, rate in rates.items()}
    step, needed = 0.01, []
    across = np.arange(0.0, abs(at - held), step) + step / 2
    for side in (1, -1):
        shares = np.zeros_like(across)
        for strip in found.layout.strips:
            inside = (side * across > strip.left) & (side * across < strip.right)
            shares[inside] = rates[strip.board]
        needed.append(2 * shares.sum() * step * max(wet - shop, shop - dry))
    return sheet.number("screw_shank") + max(needed)


@pytest.mark.witness(
    fixing.SLOT_NEEDED, fixing.PLATE_TRAVEL, fasteners.PLAY_ACROSS, fasteners.ROOM_ACROSS,
    by="the wood between screw and middle added up millimetre by millimetre", within="0.02 mm",
)  # fmt: skip
@each("seed", range(12))
def test_the_slot_is_what_the_wood_between_needs(seed: int) -> None:
    brief = mixed(np.random.default_rng(seed))
    sheet, plan = set_out(brief), None
    plan = fixing_plan(sheet)
    assert plan is not None
    needed = room(sheet, brief, 0.0, sheet.number("plate_across"))
    assert sheet.number("slot_needed") == pytest.approx(needed, abs=0.02)
    most = max(abs(one.across) for one in plan.fasteners)
    assert most == pytest.approx(sheet.number("plate_across"))
    for one in plan.fasteners:  # the layout's plan, the check and the sheet say the same
        if one.hold != "fixed":
            assert one.room_across <= sheet.number("slot_needed") * (1 + 1e-9) or plan.held_by
    if plan.held_by is None:
        widest = max(one.room_across for one in plan.fasteners)
        assert widest == pytest.approx(sheet.number("slot_needed"), rel=1e-9)


def test_the_low_table_gets_the_slots_that_its_boards_need() -> None:
    """Quarter-sawn by its [wood], flat-sawn in the middle: 8.3 mm needed, where one coefficient
    for all the boards makes 6.6 mm."""
    brief = read_brief(BRIEFS / "low-table.toml")
    sheet = set_out(brief)
    plan = fixing_plan(sheet)
    assert plan is not None
    assert sheet.number("slot_needed") == pytest.approx(
        room(sheet, brief, 0.0, sheet.number("plate_across")), abs=0.02
    )
    assert sheet.number("slot_needed") == pytest.approx(8.27 - THINNER, abs=0.05)
    assert max(one.room_across for one in plan.fasteners) <= plan.slot_length
    assert not any("lengthen" in one.advice for one in plan.fasteners)
    assert not any("room to spare" in note for note in Design(brief, sheet).notes)


def test_slots_that_do_for_the_coefficient_alone_are_refused() -> None:
    brief = read_brief(BRIEFS / "low-table.toml")
    made = Brief(**{**vars(brief), "givens": {**brief.givens, "slot_length": 7.0}})
    (check,) = (one for one in set_out(made).checks if one.name == SLOTS)
    assert check.verdict == "fail" and check.value == pytest.approx(7.0 - 8.27 + THINNER, abs=0.02)


def test_a_plate_factor_that_is_given_is_left_alone() -> None:
    brief = read_brief(BRIEFS / "low-table.toml")
    made = Brief(**{**vars(brief), "givens": {**brief.givens, "plate_factor": 1.0}})
    assert set_out(made).number("plate_factor") == 1


def test_boards_alike_leave_it_at_one() -> None:
    sheet = set_out(read_brief(BRIEFS / "reading-room-table.toml"))
    assert sheet["plate_factor"].origin == "assumed" and sheet.number("plate_factor") == 1
