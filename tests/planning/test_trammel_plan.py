"""The plan for cutting the round: passes, the board, the speed and the four quarters."""

from __future__ import annotations

import json

import pytest

from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle
from tablekit.planning.trammel_plan import (
    arcs_against_the_grain,
    chip_load_advice,
    least_board,
    passes,
    quadrants,
    stops_of,
    trammel_plan,
)
from tablekit.relations.families import network
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
INCH, FOOT = 25.4, 304.8


def sheet(display: str = "mm", **changes: float) -> Sheet:
    shop = ShopStyle(display=display)  # type: ignore[arg-type]
    return network("table").solve({**TABLE, **changes}, name="Table", shop=shop)


@each("thickness", [18.0, 25.0, 28.0, 43.0])
@each("depth", [3.0, 5.0, 6.0])
@each("way", ["equal", "thin last"])
def test_depths_add_up_to_the_stop_and_the_last_comes_through(
    thickness: float, depth: float, way: str
) -> None:
    piece = sheet(top_thickness=thickness, pass_depth=depth)
    cut = passes(piece, way, stops_of(piece))  # type: ignore[arg-type]
    sunk = 0.0
    for number, one in enumerate(cut, start=1):
        sunk += one.depth
        assert one.number == number and one.stop == pytest.approx(sunk)
        assert 0 < one.depth <= depth + 1e-9
    assert sunk == pytest.approx(thickness)
    if way == "thin last":
        assert all(one.depth == pytest.approx(depth) for one in cut[:-1])
    else:
        assert all(one.depth == pytest.approx(cut[0].depth) for one in cut)


def test_an_unknown_way_is_told_plainly() -> None:
    with pytest.raises(ValueError, match='Write "equal" or "thin last"'):
        passes(sheet(), "thick last", ())  # type: ignore[arg-type]


def test_what_makers_say_of_the_trammel() -> None:
    # common practice, no source: pivot at half the diameter; 3 to 6 mm a pass; a 42 in board
    # serves rounds of 1 ft to 6 ft
    plan = trammel_plan(sheet())
    assert plan is not None
    assert plan.near == pytest.approx(920 / 2)
    assert all(3 <= one.depth <= 6 for one in plan.equal)
    wide = network("table").solve(
        {
            **TABLE,
            "top_diameter": 6 * FOOT,
            "cutter_diameter": INCH / 2,
            "cutter_from_edge": 4 * INCH,
        }
    )
    wider = network("table").solve({**TABLE, "top_diameter": 6.5 * FOOT})
    one, other = (least_board(sheet).number("trammel_length") for sheet in (wide, wider))
    assert one <= 42 * INCH < other


def test_the_board_ends_25_mm_beyond_the_pivot() -> None:
    plan = trammel_plan(sheet())
    assert plan is not None
    assert plan.board_length == pytest.approx(plan.pivot_from_end + 25)  # common practice
    # geometry: the cutter's circle touches the rim from outside
    assert plan.pivot_from_end - plan.cutter_from_end == pytest.approx(plan.middle)
    assert (plan.middle - plan.near, plan.far - plan.middle) == pytest.approx((6, 6))


@pytest.mark.parametrize("from_below", [True, False])
@pytest.mark.parametrize("grain", [0.0, 40.0, 275.0])
def test_quadrants_cover_the_rim_and_agree_with_the_arcs(grain: float, from_below: bool) -> None:
    found = quadrants(grain, from_below=from_below)
    assert [one.end - one.start for one in found] == [90] * 4
    arcs = arcs_against_the_grain(grain, from_below=from_below)
    for bearing in range(360):
        at = bearing + 0.5
        (one,) = [q for q in found if q.start < at < q.end or q.start < at + 360 < q.end]
        bad = any(start < turn < end for start, end in arcs for turn in (at, at + 360))
        assert one.against == bad
        assert ("against" in one.advice) == bad


def test_bite_that_burns_suits_and_tears() -> None:
    # common practice: 0.1 to 0.2 mm
    assert "burn" in chip_load_advice(0.01)
    assert "Chips, not dust" in chip_load_advice(0.1)
    assert "tears" in chip_load_advice(0.5)


@pytest.mark.parametrize("display", ["mm", "in"])
def test_words_and_json(display: str) -> None:
    it = sheet(display)
    plan = trammel_plan(it)
    assert plan is not None
    said = plan.text()
    for name in ("trammel_radius", "trammel_centre", "pivot_to_far_side", "pivot_from_edge"):
        assert it.shop(name) in said
    for caution in ("Unplug", "eye and ear", "stop on the bit", "machine's instructions"):
        assert caution in said
    data = json.loads(json.dumps(plan.to_json(), allow_nan=False))
    assert len(data["quadrants"]) == 4 and data["equal"][-1]["stop"] == pytest.approx(28)
    assert data["text"] == said


def test_splayed_legs_have_a_round_top_too() -> None:
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 40.0}
    )
    plan = trammel_plan(stool)
    assert plan is not None and plan.near == pytest.approx(170)
