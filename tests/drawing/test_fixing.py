"""The drawing of the fastening tells the plan's numbers, mirrored as seen from below."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tablekit.drawing import style
from tablekit.drawing.fixing import (
    draw_fixing,
    is_clear,
    lay_out_fixing,
    pad_detail,
    place,
    plate_detail,
    slot_detail,
    table,
    underside,
)
from tablekit.drawing.ink import Ink, Label
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper, save
from tablekit.planning.fixing_plan import FixingPlan, fixing_plan, outside_rim
from tablekit.relations.families import network
from tests.drawing.designs import TABLE, designs, sheet
from tests.drawing.legible import overlapping
from tests.drawing.test_trammel import on_paper
from tests.together import each

# Heads outside the rim hold no top: there is nothing to draw.
ALL = {name: it for name, it in designs().items() if not outside_rim(it)}


def planned(**changes: float) -> FixingPlan:
    plan = fixing_plan(sheet("Trial", **TABLE, **changes))
    assert plan is not None
    return plan


def test_heads_outside_the_rim_are_not_drawn_fastened() -> None:
    with pytest.raises(ValueError, match="no plates"):
        lay_out_fixing(designs()["feet beyond the top"], A4)


@each("name", ALL)
@each("paper", [A4, A4_ACROSS, SCREEN], ids=["A4", "across", "screen"])
def test_all_is_on_the_paper_no_text_over_another_and_numbers_are_told(
    name: str, paper: Paper
) -> None:
    it = ALL[name]
    layout = lay_out_fixing(it, paper)
    assert on_paper(layout, paper)
    assert overlapping(layout.ink) == []
    for label in layout.ink.labels:
        if label.rotation and label.text:
            assert is_clear(replace(layout.ink, labels=[]), label), label.text
    said = " ".join(label.text for label in layout.ink.labels)
    for quantity in ("overhang", "screw_cover", "pad_hole", "pad_recess", "slot_length"):
        assert it.shop(quantity).removesuffix(f" {it.shop_style.display}") in said
    assert "Set a stop on the bit" in said


@pytest.mark.parametrize("turn", [0.0, 20.0])
def test_screws_lie_in_a_mirror_at_the_tape_distances(turn: float) -> None:
    plan, scale = planned(head_turn=turn), 1 / 5
    for one in plan.fasteners:
        x, y = place(one, scale)
        # anticlockwise from above is clockwise from below
        assert np.degrees(np.arctan2(-y, x)) % 360 == pytest.approx(one.bearing % 360)
        for side, told in ((1, one.near_end), (-1, one.far_end)):
            assert np.hypot(x - side * 450 * scale, y) == pytest.approx(told * scale)
    ink = underside(plan, scale)
    rings = [np.array(line) for line in ink.lines["thin"] if len(line) == 25]
    middles = sorted(tuple(one[:-1].mean(axis=0)) for one in rings)
    wanted = sorted(place(one, scale) for one in plan.fasteners)
    assert np.array(middles) == pytest.approx(np.array(wanted))


def test_plates_lie_across_their_heads_from_the_middle_to_the_screw() -> None:
    plan, scale = planned(), 1 / 5
    ink = underside(plan, scale)
    plates = [np.array(area) for area, _ in ink.areas if len(area) == 4]
    assert len(plates) == 3
    for one, corners in zip(plan.fasteners, plates, strict=True):
        screw = np.array(place(one, scale))
        sides = np.linalg.norm(np.roll(corners, -1, 0) - corners, axis=1) / scale
        assert sorted(sides)[1:3] == pytest.approx([plan.plate_width, plan.plate_length])
        # the head's middle: on its circle, as far from the screw as the plate reaches
        ends = [corners[[0, 3]].mean(axis=0), corners[[1, 2]].mean(axis=0)]
        along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
        head = screw - along * plan.plate_reach * scale
        assert np.hypot(*head) == pytest.approx(plan.head_radius * scale)
        assert head @ along == pytest.approx(0, abs=1e-9)


def test_slots_run_across_the_grain_and_are_as_long_as_told() -> None:
    plan, scale = planned(), 1 / 2
    ink = underside(plan, scale)
    slots = [np.array(line) for line in ink.lines["visible"] if len(line) == 35]
    assert len(slots) == 3
    tall = sorted(float(np.ptp(one[:, 1])) for one in slots)
    # two slots across the grain, which runs from left to right, and one plain hole
    assert tall[1:] == pytest.approx([plan.slot_length * scale] * 2)
    for one in slots:
        assert np.ptp(one[:, 1]) >= np.ptp(one[:, 0]) - 1e-9


def test_table_has_a_row_for_each_plate_and_shouts_where_a_slot_is_short() -> None:
    plan = planned()
    texts = [label.text for label in table(plan).labels]
    assert "fixed" in texts and sum(text.startswith("slot ") for text in texts) == 2
    short = planned(slot_length=6.0)
    assert sum("TOO SHORT" in label.text for label in table(short).labels) == 2


def test_details_are_to_scale() -> None:
    plan = planned(plate_gap=1.0)
    ink = plate_detail(plan, 1.0)
    metal = next(np.array(line) for line in ink.lines["visible"] if len(line) == 5)
    scale = np.ptp(metal[:, 0]) / plan.plate_length
    assert scale <= 1 and np.ptp(metal[:, 1]) == pytest.approx(plan.plate_thickness * scale)
    (head,) = (np.array(line) for line in ink.lines["visible"] if len(line) == 4)
    # the plate lies on the floor of its recess and touches the top
    assert head[:, 1].max() == pytest.approx(metal[:, 1].min()) and metal[:, 1].max() == 0
    # hole over the head's middle, slot where the sheet says, both within the plate
    assert metal[:, 0].min() == pytest.approx(-plan.plate_hole * scale)
    (screw,) = (np.array(line) for line in ink.lines["hidden"])
    assert np.ptp(screw[:, 1]) == pytest.approx(plan.screw_length * scale)
    assert plan.thickness * scale - screw[:, 1].max() == pytest.approx(plan.screw_cover * scale)
    assert screw[:, 0].mean() == pytest.approx(plan.plate_reach * scale)
    # beyond the side of the head's flat: a driver comes up past it
    assert screw[:, 0].min() > head[1:3, 0].max()
    pad = next(np.array(line) for line in pad_detail(plan, 1.0).lines["visible"] if len(line) == 5)
    assert np.ptp(pad, axis=0) == pytest.approx([plan.pad_diameter, plan.pad_thickness])
    assert -pad[:, 1].min() == pytest.approx(plan.pad_projection)
    slots = [np.array(line) for line in slot_detail(plan, 1.0).lines["visible"] if len(line) == 35]
    widest = max(one.room_along for one in plan.fasteners)
    assert np.ptp(slots[0], axis=0) == pytest.approx([widest, plan.slot_length])


def test_no_plates_too_small_a_sheet_and_the_same_bytes(tmp_path: Path) -> None:
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 40.0}, name="Stool"
    )
    with pytest.raises(ValueError, match="no plates"):
        lay_out_fixing(stool, A4)
    it = ALL["table"]
    with pytest.raises(ValueError, match="too small"):
        lay_out_fixing(it, Paper(60, 60))
    one = save(draw_fixing(it), tmp_path / "one.svg").read_bytes()
    assert save(draw_fixing(it), tmp_path / "two.svg").read_bytes() == one


def test_a_turned_text_is_clear_only_beside_a_ring() -> None:
    ink = Ink()
    ink.badge((0.0, 0.0), "1")
    # a text 45° up, and so far square to that, has the ring beyond its base line or not
    for off, clear in ((0.0, False), (1.0, False), (2 * style.BADGE, True)):
        label = Label("long text", off * 0.7071, -off * 0.7071 - 3.0 * (off > 2), rotation=45.0)
        assert is_clear(ink, label) is clear
