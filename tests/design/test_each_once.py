"""Each plan is worked out once, however many surfaces show it."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from tablekit.cli import main
from tablekit.design import top_boards
from tests.design.counting import Counts, watch

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
# Boards of two species, a stool, splayed legs.
TABLE, STOOL, LEGS = "harbour-table", "workshop-stool", "garden-stool"
PLANNED = {
    "lay_out", "top_joints", "trammel_plan", "fixing_plan", "surface_plan", "cut_list",
    "piece_order", "sitters", "wheelchair_place", "tipping_polar", "joint_forces", "joint_sheet",
    "crossing_in_place", "assemble", "build", "notched_posts", "cleaning_check",
}  # fmt: skip
DRAWN = {"post_marks", "notch_angles", "pulling", "surfaces_of", "both_ways", "levelling"}


@pytest.fixture
def counts(monkeypatch: pytest.MonkeyPatch) -> Counts:
    # All in this process, where it can be counted.
    monkeypatch.setattr(threading, "active_count", lambda: 2)
    top_boards._worked_out.cache_clear()  # a rack that another test has laid out
    return watch(monkeypatch)


@pytest.mark.parametrize("name", [TABLE, STOOL, LEGS])
def test_one_packet(name: str, counts: Counts, tmp_path: Path) -> None:
    assert main(["set-out", str(BRIEFS / f"{name}.toml"), "--out", str(tmp_path / "packet")]) == 0
    assert counts.again == {}
    if name == TABLE:
        assert counts.plans >= PLANNED | DRAWN


@pytest.mark.parametrize("option", ["--json", "--full", ""])
@pytest.mark.parametrize("name", [TABLE, LEGS])
def test_one_set_out(name: str, option: str, counts: Counts) -> None:
    asked = ["set-out", str(BRIEFS / f"{name}.toml"), *([option] if option else [])]
    assert main(asked) == 0
    assert counts.again == {}
    if name == TABLE:
        seen = PLANNED if option == "--json" else {"lay_out", "top_joints", "joint_forces"}
        assert counts.plans >= seen


def test_what_is_worked_out_again_is_counted(counts: Counts) -> None:
    from tablekit.brief import read_brief
    from tablekit.packet.answer import answer
    from tablekit.setting_out import design_of

    design = design_of(read_brief(BRIEFS / f"{STOOL}.toml"))
    answer(design)
    assert counts.again == {}
    from tablekit.planning.tipping_polar import tipping_polar

    tipping_polar(design.sheet)
    assert {name for name, _ in counts.again} == {"tipping_polar"}
