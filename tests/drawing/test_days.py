"""The chart of days."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.drawing.days import draw_days, lay_out_days
from tablekit.drawing.ink import Ink, Label
from tablekit.drawing.style import A4, A4_ACROSS, save
from tablekit.planning.work_order import WorkStep, piece_order, work_order
from tablekit.relations.families import network
from tests.drawing.legible import off_the_paper, overlapping


def order(**wishes: float):
    sheet = network("table").solve(
        {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
    )
    return piece_order(sheet, wishes=wishes)


def test_the_search_for_overlaps_finds_one() -> None:
    ink = Ink()
    ink.labels += [Label("one", 20, 20), Label("other", 21, 20), Label("far", 80, 20)]
    assert overlapping(ink) == [("one", "other")]
    assert off_the_paper(Ink(labels=[Label("wide", 0, 20)]), A4) == ["wide"]


@pytest.mark.parametrize("paper", [A4, A4_ACROSS], ids=["upright", "across"])
@pytest.mark.parametrize(
    ("pace", "working_day"), [(0.3, 360.0), (1.0, 360.0), (4.0, 360.0), (10.0, 480.0), (1.0, 60.0)]
)
def test_every_text_can_be_read(pace: float, working_day: float, paper) -> None:
    ink = lay_out_days(
        order(pace=pace, working_day=working_day), "A table with a name of some length", paper
    )
    assert overlapping(ink) == []
    assert off_the_paper(ink, paper) == []


def test_a_bar_for_every_spell_and_as_long_as_it_takes() -> None:
    plan = work_order([WorkStep("a", "A", (), 540.0, 0.0, False)])  # six hours, then three
    ink = lay_out_days(plan, "Try")
    widths = [np.ptp([x for x, _ in corners]) for corners, _ in ink.areas]
    assert len(widths) == 2
    assert widths[0] == pytest.approx(2 * widths[1])


def test_waiting_is_dashed_from_the_end_of_the_bar() -> None:
    plan = work_order(
        [WorkStep("a", "A", (), 60.0, 120.0, False), WorkStep("b", "B", ("a",), 10, 0, False)]
    )
    ink = lay_out_days(plan, "Try")
    ((start, _), (end, _)) = ink.lines["hidden"][0]
    bar = [x for x, _ in ink.areas[0][0]]
    assert start == pytest.approx(max(bar))
    assert end - start == pytest.approx(2 * np.ptp(bar))  # two hours against one


def test_an_empty_plan_is_refused_and_files_are_the_same_each_time(tmp_path) -> None:
    with pytest.raises(ValueError, match="without tasks"):
        lay_out_days(work_order([]), "Try")
    many = [WorkStep(f"s{n}", f"Step {n}", (), 5.0, 0.0, False) for n in range(90)]
    with pytest.raises(ValueError, match="has no room for 90 tasks"):
        lay_out_days(work_order(many), "Try")
    one = save(draw_days(order(), "Try"), tmp_path / "one.svg").read_bytes()
    assert save(draw_days(order(), "Try"), tmp_path / "two.svg").read_bytes() == one
