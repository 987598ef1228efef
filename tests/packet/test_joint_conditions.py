"""The price of a load in the joint is said with what it holds for."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tablekit.brief import read_brief
from tablekit.design import Design
from tablekit.packet.packet import answer_json
from tablekit.planning.joint_load import joint_forces
from tablekit.setting_out import design_of, set_out

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"


@pytest.mark.parametrize("name", ["reading-room-table", "workshop-stool"])
def test_the_number_stands_with_and_without_friction(name: str) -> None:
    brief = read_brief(BRIEFS / f"{name}.toml")
    sheet = set_out(brief)
    place = {"radius": sheet.number("head_radius") / 2, "bearing": 60.0}  # between two heads
    held = joint_forces(sheet, **place, heads_tied=True, joint_friction=0.3).ratio
    loose = joint_forces(sheet, **place, heads_tied=True).ratio
    assert held is not None and loose is not None and loose > 5 * held
    (check,) = (c for c in Design(brief, sheet).checks if c.quantity == "joint_ratio")
    assert check.value == pytest.approx(held, rel=1e-6)
    for said in (
        "heads tied by the top",
        "friction of 0.3",
        "between two heads",
        f"no friction, as in notches that have shrunk loose, the force is {loose:.3g} times",
    ):
        assert said in check.message  # fmt: skip
    found = json.loads(answer_json(Design(brief, sheet)))
    (same,) = (c for c in found["checks"] if c["name"] == check.name)
    assert same["message"] == check.message
    assert f"{loose:.3g} times" in found["joint_load"]["conditions"]


def test_the_demo_says_three_and_forty() -> None:
    # 3.24 with friction and a screwed top, 39.4 without friction: found by two programmes
    design = design_of(read_brief(BRIEFS / "reading-room-table.toml"))
    (check,) = (c for c in design.joint_load.checks if c.quantity == "joint_ratio")
    assert check.message.startswith("3.24. With the heads tied") and "39.4 times" in check.message
