"""The order of work of whole pieces."""

from __future__ import annotations

import itertools

import pytest

from tablekit.planning.work_order import piece_order
from tablekit.relations.families import network


def sheet(kind: str = "table", **given: float):
    height = {"table": {"table_height": 735.0}, "stool": {"seat_height": 460.0}}[kind]
    return network(kind).solve({**height, "top_diameter": 600.0, "post_section": 50.0, **given})


def times(order):
    return {task.step.key: task for task in order.tasks}


def test_notches_come_before_flats_and_both_before_glue() -> None:
    at = times(piece_order(sheet()))
    chain = ["mark_posts", "cut_notches", "try_dry", "cut_flats", "sand_posts", "glue_base"]
    for before, after in itertools.pairwise(chain):
        assert at[before].ready <= at[after].start


def test_coats_are_eight_hours_apart() -> None:
    # Common practice, no source: two coats of oil eight hours apart.
    at = times(piece_order(sheet(coats=2.0)))
    assert at["coat_2"].start - at["coat_1"].done >= 480.0
    assert "coat_3" not in at


def test_a_post_in_one_piece_needs_no_glue() -> None:
    assert "glue_posts" not in times(piece_order(sheet(post_laminations=1.0)))
    assert "glue_posts" in times(piece_order(sheet(post_laminations=2.0)))


def test_slower_hands_take_more_days() -> None:
    quick, slow = piece_order(sheet()), piece_order(sheet(), wishes={"pace": 3.0})
    assert slow.hands == pytest.approx(3 * quick.hands)
    assert slow.days > quick.days


def test_splayed_legs_have_sockets_and_no_notches() -> None:
    stool = network("stool", style="splayed legs", legs="four legs").solve(
        {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    )
    at = times(piece_order(stool))
    assert "cut_notches" not in at and "fasten_top" not in at
    assert at["drill_sockets"].start >= at["sand_top"].ready
    assert at["look_over"].done == max(task.done for task in at.values())


TWO = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}


def test_posts_that_are_locked_are_not_sent_to_the_saw() -> None:
    two = network("table", "two notches")
    locked = times(piece_order(two.solve(TWO)))
    freed = times(piece_order(two.solve({**TWO, "notch_relief": 32.0})))
    assert "Do not cut" in locked["cut_notches"].step.words
    assert "do not cut" not in freed["cut_notches"].step.words.lower()
    assert freed["try_dry"].step.words == times(piece_order(sheet()))["try_dry"].step.words
    flat = times(piece_order(sheet(splay=60.0)))
    assert "Do not cut" in flat["cut_notches"].step.words


@pytest.mark.parametrize("crossing", ["one notch", "two notches"])
def test_what_is_not_to_be_done_takes_no_minutes_and_nothing_is_planned_behind_it(crossing) -> None:
    # A step that says "do not" has no minutes to be done in; nor is glue planned for such posts.
    lean = {"splay": 60.0} if crossing == "one notch" else {}
    order = piece_order(network("table", crossing).solve({**TWO, **lean}))
    at = times(order)
    assert at["cut_notches"].step.hands == 0
    assert not {"try_dry", "cut_flats", "glue_base", "fit_plates", "coat_1", "fasten_top"} & set(at)
    assert {"mark_posts", "sand_top"} <= set(at)
    done = sum(task.step.hands for key, task in at.items() if key != "cut_notches")
    assert order.hands == pytest.approx(done)


def test_only_a_tenon_that_comes_through_is_wedged() -> None:
    legs = network("stool", style="splayed legs")
    given = {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    blind = times(piece_order(legs.solve(given)))["fit_legs"].step
    through = times(piece_order(legs.solve({**given, "socket_cover": 0.0})))["fit_legs"].step
    assert "glue" in blind.words and "wedge" not in blind.words
    assert "glue and wedge" in through.words and through.hands == blind.hands


def test_a_top_without_joints_has_none_to_level() -> None:
    assert "joints" not in times(piece_order(sheet()))["level_top"].step.words


def test_heads_outside_the_rim_get_no_plates_and_no_screws() -> None:
    # At 735 mm the heads stand some 430 mm out: inside a top of 920 mm, outside one of 500 mm.
    narrow, wide = (
        times(piece_order(sheet(post_section=64.0, top_diameter=across)))
        for across in (500.0, 920.0)
    )
    for key in ("fit_plates", "fasten_top"):
        assert "outside the rim" in narrow[key].step.words
        assert narrow[key].step.hands == 0 < wide[key].step.hands
        assert "outside the rim" not in wide[key].step.words
