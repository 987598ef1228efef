"""Sanding and finishing: papers, areas, finish and time."""

from __future__ import annotations

import itertools
import math

import pytest

from tablekit.engine.trouble import DesignError, RangeError
from tablekit.planning.surface import every_paper, papers, surface_plan
from tablekit.relations.families import network
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}


def test_the_row_of_papers_that_makers_use() -> None:
    # common practice, no source: 80, 120, 180, 240, 320
    assert [p.number for p in papers(80, 320, 1.5)] == [80, 120, 180, 240, 320]


@each("step", [1.34, 1.5, 1.75, 2.0])
@each(("first", "last"), [(60, 400), (80, 320), (120, 240), (180, 180)])
def test_no_step_is_too_large_and_no_shorter_row_would_do(
    first: int, last: int, step: float
) -> None:
    row = [p.number for p in papers(first, last, step)]
    assert row[0] == first and row[-1] == last
    assert all(b <= step * a + 1e-9 for a, b in itertools.pairwise(row))
    between = [p.number for p in every_paper() if first < p.number < last]
    for fewer in range(len(row) - 2):  # every choice of fewer papers between the ends
        for some in itertools.combinations(between, fewer):
            tried = [first, *some, last]
            assert any(b > step * a + 1e-9 for a, b in itertools.pairwise(tried))


@pytest.mark.witness(
    "surface.csv",
    by="grade times grain is nearly constant over the standard's grades",
    within="13 500 to 16 500",
)
def test_finer_papers_have_smaller_grains() -> None:
    # FEPA 43-1 halves the grain for about twice the number: number times grain is nearly constant
    assert [p.number for p in every_paper()] == sorted(p.number for p in every_paper())
    grains = [p.grain for p in every_paper()]
    assert grains == sorted(grains, reverse=True)
    assert all(13_500 <= p.number * p.grain <= 16_500 for p in every_paper())
    assert {p.status for p in every_paper()} <= {"read", "quoted", "memory"}


def test_the_plan_of_a_table() -> None:
    sheet = network("table").solve({**TABLE, "coats": 4.0})
    plan = surface_plan(sheet, coat_interval=360.0)
    top = 2 * math.pi * 0.45**2 + math.pi * 0.9 * 0.028
    assert plan.areas["top_area"] == pytest.approx(top)
    assert plan.coats == 4 and plan.drying == pytest.approx(3 * 6 * 60)
    assert plan.volume == pytest.approx(4 * 0.1 * sheet.number("finish_area") * 1e6)
    told = plan.text()
    assert "Leave 6 h between coats, 18 h from the first" in told
    assert "catch fire" in told and "overnight" in told
    data = plan.to_json()
    assert [p["grade"] for p in data["papers"]] == ["P80", "P120", "P180", "P240", "P320"]
    assert data["drying_time"] == 1080


@pytest.mark.parametrize(
    ("wishes", "error", "words"),
    [
        ({"first_grit": 90.0}, DesignError, "there is no P90 paper"),
        ({"first_grit": 240.0, "last_grit": 120.0}, DesignError, "coarser than P240"),
        ({"grit_step": 1.2}, DesignError, "no paper within 1.2 times"),
        ({"grit_step": 9.0}, RangeError, "between 1.2 and 2"),
        ({"colour": 1.0}, DesignError, "write one of: first_grit"),
    ],
)
def test_what_no_shop_has_is_refused(wishes, error, words) -> None:
    with pytest.raises(error, match=words):
        surface_plan(network("table").solve(TABLE), **wishes)


def test_splayed_legs_are_finished_too() -> None:
    legs = {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    plan = surface_plan(network("stool", style="splayed legs").solve(legs))
    assert plan.areas["finish_area"] == pytest.approx(
        plan.areas["top_area"] + plan.areas["base_area"]
    )
