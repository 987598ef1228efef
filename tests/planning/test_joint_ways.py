"""Both ways up side by side, the table of holding, and advice for the bench."""

from __future__ import annotations

import json
from functools import cache

import pytest

from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.planning import joint_load
from tablekit.planning.joint_load import CASES, both_ways, joint_forces, turned_over
from tablekit.planning.notch_cutting import joint_advice
from tablekit.relations.families import network

BASE = {
    "post_length": 1000.0, "post_section": 64.0, "notch_position": 500.0, "top_diameter": 900.0,
    "top_thickness": 28.0,
}  # fmt: skip

LEGS = {"table_height": 735.0, "top_diameter": 900.0, "leg_diameter": 40.0}


@cache
def base(way: str = "notches up") -> Sheet:
    return network("table", "one notch", way).solve(BASE)


def test_turned_over_and_back_is_the_same_base() -> None:
    down = turned_over(base())
    assert down.network.options["way_up"] == "notches down"
    again = turned_over(down)
    assert again.number("foot_radius") == base().number("foot_radius")
    # Turned over, feet and heads change places (worked out by hand in circles.md).
    assert down.number("foot_radius") == pytest.approx(base().number("head_radius"))


def test_neither_way_up_is_simply_right() -> None:
    found = both_ways(base())
    up, down = found.ways
    assert (up.way_up, down.way_up) == ("notches up", "notches down")
    assert up.tipping_load is not None and down.tipping_load is not None
    assert up.ratio is not None and down.ratio is not None
    assert up.tipping_load > down.tipping_load and up.ratio > down.ratio
    assert "Neither is simply right" in found.words
    assert found.words.count("Notches up resists tipping better") == 1
    assert "notches down loads the joint less" in found.words


def test_it_does_not_matter_which_way_up_one_starts_from() -> None:
    one, other = both_ways(base()), both_ways(base("notches down"))
    assert one.words == other.words
    for row, same in zip(one.rows, other.rows, strict=True):
        assert row.notches_up == pytest.approx(same.notches_up, rel=1e-9)
        assert row.notches_down == pytest.approx(same.notches_down, rel=1e-9)


def test_seven_rows_are_what_the_forces_say() -> None:
    rows = both_ways(base(), 500.0).rows
    assert [row.held_by for row in rows] == list(CASES)
    for row in rows:
        assert row.notches_up == pytest.approx(
            joint_forces(base(), 500.0, **CASES[row.held_by]).ratio
        )
    # With contact alone, and with friction in the joint alone, neither floor nor top takes part
    # but plumb: turned over, every force is only turned about (an earlier programme of our own).
    same = {row.held_by: (row.notches_up, row.notches_down) for row in rows}
    for name in ("contact alone", "joint friction"):
        assert same[name][0] == pytest.approx(same[name][1], rel=1e-9)


def test_wishes_that_cannot_be_met_the_other_way_up(monkeypatch: pytest.MonkeyPatch) -> None:
    def clash(sheet: Sheet) -> Sheet:  # a real one takes the engine seconds to explain
        raise DesignError("foot_radius and splay cannot both hold")

    monkeypatch.setattr(joint_load, "turned_over", clash)
    for way, found in ((w, both_ways(base(w))) for w in ("notches up", "notches down")):
        assert [one.way_up for one in found.ways] == [way]
        for row in found.rows:
            up, down = row.notches_up, row.notches_down
            assert (up is None) == (way == "notches down") and (down is None) == (up is not None)
        assert found.words == (
            "The other way up cannot be compared: foot_radius and splay cannot both hold"
        )


def test_splayed_legs_have_no_other_way_up() -> None:
    legs = network("table", style="splayed legs").solve(LEGS)
    for ask in (turned_over, both_ways):
        with pytest.raises(DesignError, match="nothing to turn over"):
            ask(legs)


def test_two_notches_are_the_same_either_way_up() -> None:
    sheet = network("table", "two notches").solve(
        {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
    )
    found = both_ways(sheet)
    for row in found.rows:
        assert row.notches_up == pytest.approx(row.notches_down, rel=1e-9)
    assert "On these figures neither is better" in found.words


def test_plain_data() -> None:
    plain = json.loads(json.dumps(both_ways(base(), 800.0).to_json()))
    assert plain["load"] == 800.0 and len(plain["rows"]) == 7 and len(plain["ways"]) == 2
    assert set(plain["rows"][0]) == {"held_by", "notches_up", "notches_down"}


# -- advice --------------------------------------------------------------------------------------


def test_advice_has_a_source_each() -> None:
    advice = joint_advice(base())
    assert len(advice) == 4
    assert all(str(one.source) and one.text.endswith(".") for one in advice)


def test_a_tilted_floor_is_warned_of_with_its_depths() -> None:
    tilted = network("table").solve(
        {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0, "splay": 30.0}
    )
    first = joint_advice(tilted)[0]
    # By hand: half the depth let in, less and more half a section times the tangent of the tilt,
    # 32 ∓ 32 tan 22.62° = 18.7 and 45.3 mm (crossing.md: 22.62° at a lean of 30°).
    assert "18.5 mm" in first.text and "45.5 mm" in first.text


def test_no_advice_where_no_posts_cross() -> None:
    assert joint_advice(network("table", style="splayed legs").solve(LEGS)) == ()
