"""Givens at which the engine once said what is not so.

Each set was found by tests/slow, which holds every answer against a judge of its own."""

from __future__ import annotations

import pytest

from tablekit.engine.trouble import Contradiction, DesignError, NotEnoughGiven
from tablekit.relations import families
from tests.referee.subjects import PIECES, SMALL
from tests.relations.test_movement import bare

TWO_NOTCHES = next(subject for subject in PIECES if subject.name == "table, two notches").network
PENDULUM = next(subject for subject in SMALL if subject.name == "ideal pendulum").network


def test_slopes_that_are_rounding_settle_nothing() -> None:
    """The pull at the lowest point, bob · g · (3 - 2 cos swing), is the same for any length."""
    with pytest.raises(NotEnoughGiven) as trouble:
        PENDULUM.solve({"gravity": 9.80665, "swing": 60.0, "bob": 2.0, "pull": 2 * 9.80665 * 2})
    assert {"length", "period"} <= set(trouble.value.free)
    assert ("length",) in trouble.value.settling


def test_what_a_design_leaves_out_it_leaves_out_however_it_was_found() -> None:
    """A seat beside the table is told for a table of usual height only, and this one is low. The
    plan fails by the last bit of the width of its posts, so the search finds the design."""
    of = TWO_NOTCHES
    givens = {
        "post_section": 50.33691674740212, "top_diameter": 398.1953193199239,
        "corner_height": 466.4090319040514, "base_area": 0.427161274359024,
    }  # fmt: skip
    sheet = of.solve(givens)
    assert sheet.get("seat_height_beside") is None
    assert sheet.number("table_height") == pytest.approx(462.05, abs=0.01)


@pytest.mark.parametrize(
    "givens",
    [
        {"top_diameter": 900.0, "top_thickness": 28.0, "notch_position": 550.0,
         "load_inset": 100.0, "relief_ratio": 0.0},
        {"head_flat_depth": 15.0, "cutter_diameter": 12.0, "relief_ratio": 0.0,
         "shop_rate": 0.00315, "slot_needed": 8.0},
    ],
    ids=["a section of nothing", "the same by another way"],
)  # fmt: skip
def test_a_division_by_nothing_is_no_fault(givens: dict[str, float]) -> None:
    with pytest.raises(DesignError):
        TWO_NOTCHES.solve(givens)


def test_no_assumption_gives_way_to_a_count_that_it_leads_to_anyway() -> None:
    of = families.network("table")
    plain = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
    usual = of.solve(plain)
    for name in ("router_passes", "season_holds", "shop_holds"):
        sheet = of.solve({**plain, name: usual.number(name)})
        assert sheet.gave_way == () and name in sheet.plan.redundant
        assert {n: v.number for n, v in sheet.values.items()} == {
            n: v.number for n, v in usual.values.items()
        }
    fewer = of.solve({**plain, "router_passes": usual.number("router_passes") - 1})
    assert [one.name for one in fewer.gave_way] == ["pass_depth"]


def test_a_design_that_turns_an_assumption_round_is_whole() -> None:
    """The height is left to what is assumed elsewhere: every value is there all the same."""
    of = families.network("table", way_up="notches down")
    givens = {
        "post_section": 60.6631660485926, "post_length": 919.2016120376516,
        "top_diameter": 593.1907694775861, "notch_position": 463.6390651934845,
        "splay": 51.20905416470312, "plate_recess": 3.0, "loaded_slope": 15.037762114112775,
    }  # fmt: skip
    sheet = of.solve(givens)
    assert sheet.values.keys() == of.quantities.keys()
    assert sheet.number("loaded_slope") == pytest.approx(15.037762114112775, rel=1e-9)


def test_an_assumption_that_a_given_calls_into_question_gives_way_first() -> None:
    """Notches of 45 % of the width: the axis is off by more than half the section then, and of the
    section nothing is said yet. Read by name, half of it would leave no way but notches of half."""
    with pytest.raises(NotEnoughGiven) as trouble:
        families.network("table").solve(
            {
                "table_height": 735.0,
                "top_diameter": 920.0,
                "post_width": 60.0,
                "notch_depth_ratio": 0.45,
            }
        )
    assert "post_section" in trouble.value.free and ("post_section",) in trouble.value.settling


def test_what_is_assumed_gives_way_where_passes_do_not_come_out_whole() -> None:
    """28 mm, which is assumed, is not so many passes of 4.5 mm; 31.5 mm is, and 27 mm is nearer."""
    sheet = families.network("table").solve(
        {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0, "equal_pass": 4.5}
    )
    assert sheet.number("top_thickness") == pytest.approx(27.0)
    assert sheet.number("router_passes") == 6
    assert "top_thickness" in [one.name for one in sheet.gave_way]


def test_other_designs_that_were_found_are_listed() -> None:
    """Passes of 4.5 mm make a top of any whole number of them."""
    of = families.network("table")
    plain = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0, "equal_pass": 4.5}
    sheet = of.solve(plain)
    others = sheet.alternatives["top_thickness"]
    assert {18.0, 22.5, 27.0, 31.5, 36.0} <= {round(number, 6) for number in others}
    assert any("22.5 mm or 27 mm or 31.5 mm" in note for note in sheet.notes)
    seven = of.solve({**plain, "top_thickness": 31.5})
    assert seven.number("router_passes") == pytest.approx(7, rel=1e-12)


def test_passes_that_come_out_whole_leave_what_is_assumed_of_them() -> None:
    """Seven passes of 4.5 mm are what 5 mm at most comes to in 31.5 mm: 6.3, rounded up."""
    sheet = families.network("table").solve(
        {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0,
         "top_thickness": 31.5, "equal_pass": 4.5}
    )  # fmt: skip
    assert sheet.number("router_passes") == pytest.approx(7, rel=1e-12)
    assert sheet.number("pass_depth") == pytest.approx(5, rel=1e-12)
    assert "pass_depth" not in [one.name for one in sheet.gave_way]


def test_what_did_not_come_out_says_what_gives_way() -> None:
    """Of a post 94.9 mm wide 51.7 mm are left: the notch is not half a depth and half a width less
    half a depth, so the offset of the axes has to give way, and not the lean."""
    sheet = families.network("table").solve({
        "post_width": 94.91504463139567, "rest_width": 51.68043957794261,
        "post_rate": 0.00315, "opening_moment": 309.64495838275343,
        "table_height": 1107.0228685503605, "top_diameter": 1104.1122767333359,
    })  # fmt: skip
    assert [one.name for one in sheet.gave_way] == ["axis_offset"]
    number = sheet.number
    # Axes apart and notch together are half a depth and half a width.
    assert number("axis_offset") + (number("post_width") - number("rest_width")) == pytest.approx(
        number("post_section") / 2 + number("post_width") / 2, rel=1e-9
    )
    assert number("splay") == pytest.approx(54.7356103, rel=1e-8)  # arccos(1/√3)


def test_a_count_gives_way_to_whole_numbers_only() -> None:
    """A post of 64 mm, 66 mm before it is cleaned up, is four laminations of 16.5 mm. Two and a
    half of 26.4 mm are no answer."""
    of = families.network("table")
    plain = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
    four = of.solve({**plain, "lamination_thickness": 16.5})
    assert four.number("post_laminations") == pytest.approx(4, rel=1e-12)
    assert [one.name for one in four.gave_way] == ["post_laminations"]
    with pytest.raises(Contradiction) as caught:
        of.solve({**plain, "lamination_thickness": 26.4})
    assert set(map(frozenset, caught.value.clashes)) == {
        frozenset({"post_section", "lamination_thickness"})
    }
    offered = {release.name: release.number for release in caught.value.releases}
    assert offered["lamination_thickness"] == pytest.approx(22)  # three of them


def test_a_given_is_held_to_its_own_size_and_not_to_its_range() -> None:
    """A quarter of a milliwatt is nothing in a range of watts, and still not a fifth of one."""
    divider = next(subject for subject in SMALL if subject.name == "resistor divider").network
    givens = {"heat": 2.3e-3, "share": 0.9, "source": 5.0}
    above = divider.solve(givens).number("heat_above")
    assert above == pytest.approx(2.3e-3 * (1 - 0.9))
    assert divider.solve({**givens, "heat_above": above}).number("heat") == 2.3e-3
    with pytest.raises(Contradiction):
        divider.solve({**givens, "heat_above": 1.1 * above})


def test_a_small_given_that_follows_from_the_others_is_held_to_its_own_size() -> None:
    """A current of 18 nA through 8.4 MΩ makes 2.7e-9 W and not the 3.9e-8 W that is given too."""
    divider = next(subject for subject in SMALL if subject.name == "resistor divider").network
    with pytest.raises(Contradiction):
        divider.solve(
            {"heat_above": 6.364674130514246e-08, "share": 0.6057811867583962,
             "upper": 3316720.957019347, "heat": 3.879639920394748e-08,
             "current": 1.7856809303626852e-08}
        )  # fmt: skip


def test_what_settles_it_is_offered_where_something_assumed_gives_way() -> None:
    """The drop of the top, 7.6768 mm, tells the length of the posts and so their lean; only the top
    is still free, and its diameter settles it."""
    table = families.network("table")
    givens = {"post_section": 75.4488, "table_height": 765.6105, "sliding_drop": 7.6768}
    with pytest.raises(NotEnoughGiven) as caught:
        table.solve(givens)
    assert ("top_diameter",) in caught.value.settling
    sheet = table.solve({**givens, "top_diameter": 942.7})
    play, length, width = (sheet.number(n) for n in ("winter_play", "post_length", "post_section"))
    assert play * length / (3**0.5 * width) == pytest.approx(7.6768, rel=1e-6)


def test_a_network_that_the_search_cannot_cope_with_names_no_clash() -> None:
    """Movement by itself, its diameter alone given: most is free, and nothing is at odds."""
    with pytest.raises(NotEnoughGiven, match="still free"):
        bare().solve({"top_diameter": 900.0})


def test_passes_that_do_not_come_out_whole_are_named() -> None:
    """31.019/6.057 = 5.12 passes; of five one is 6.2 mm deep, of six 5.17 mm."""
    with pytest.raises(Contradiction) as caught:
        families.network("table").solve({"top_thickness": 31.019, "equal_pass": 6.057})
    assert set(map(frozenset, caught.value.clashes)) == {frozenset({"top_thickness", "equal_pass"})}
