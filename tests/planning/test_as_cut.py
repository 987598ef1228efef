"""Posts that are not alike: against plain vectors, against solids, and the equal case."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice

import numpy as np
import pytest

from tablekit.engine.as_cut import as_cut
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.planning.as_cut import Pieces, drawn, sheet_of, stand, stand_all
from tablekit.planning.levelness import InexactBase
from tablekit.relations import posts_as_cut
from tablekit.relations.families import network
from tablekit.solids.body import box
from tablekit.solids.body import cut as cut_off
from tablekit.solids.model import build as solids_of
from tests.planning.posts_by_vectors import PLUMB, by_vectors

SQUARE = math.degrees(math.asin(math.sqrt(2 / 3)))


@cache
def designs(count: int = 60) -> tuple[Sheet, ...]:
    """Random designs: tables, square and of a lean of their own, notches up and down, on bare feet
    and on pads, of square and of other posts."""
    return tuple(islice(_drawn_at_random(), count))


def _drawn_at_random() -> Iterator[Sheet]:
    random, found = np.random.default_rng(5), 0
    while True:
        up = ("notches up", "notches down")[found % 2]
        section = random.uniform(45, 90)
        givens = {
            "table_height": random.uniform(420, 780), "top_diameter": random.uniform(700, 1200),
            "post_section": section, "pad_projection": (0.0, 3.0)[found % 4 == 3],
            "splay": SQUARE if found % 3 == 0 else random.uniform(40, 54.5),
        }  # fmt: skip
        if found % 5 == 4:
            givens["post_width"] = section * random.uniform(0.9, 1.15)
        try:
            yield network("table", way_up=up).solve(givens)
        except DesignError:
            continue
        found += 1


def off(sheet: Sheet, random: np.random.Generator) -> Pieces:
    """The posts of a design with errors such as happen in a workshop, 2 mm and more."""
    pieces = drawn(sheet)
    reach = {"post_length": 3, "notch_position": 2, "notch_depth": 1.5, "post_section": 0.8,
             "post_width": 0.8, "foot_flat": 4, "head_flat": 4}  # fmt: skip
    sizes = {
        f"{name}_{k}": sheet.number(name) + random.uniform(-by, by)
        for name, by in reach.items() for k in (1, 2, 3)
    }  # fmt: skip
    return pieces.with_sizes(sizes)


# -- against plain vectors ------------------------------------------------------------------------


@pytest.mark.witness(
    *posts_as_cut.relations(), by="plain vectors, planes and a linear system", within="1e-6 mm"
)
def test_random_errors_on_random_designs_against_plain_vectors() -> None:
    # independent: posts_by_vectors.py
    random, tried = np.random.default_rng(11), 0
    for sheet in designs():
        for pieces in (off(sheet, random) for _ in range(5)):
            found, expected = stand(pieces), by_vectors(pieces)
            assert found.heads == pytest.approx(expected.heights, abs=1e-6)
            assert math.radians(found.tilt) == pytest.approx(expected.tilt, abs=1e-9)
            assert found.height == pytest.approx(expected.height, abs=1e-6)
            assert found.circles == pytest.approx(
                (expected.foot_circle, expected.head_circle), abs=1e-6
            )
            bearing = math.degrees(math.atan2(expected.downhill[1], expected.downhill[0]))
            assert (found.low_side - bearing + 180) % 360 == pytest.approx(180, abs=1e-4)
            tried += 1
    assert tried == 300


def test_every_number_on_the_sheet_against_plain_vectors() -> None:
    # independent: posts_by_vectors.py, place by place
    random = np.random.default_rng(12)
    for sheet in designs()[:6]:
        pieces = off(sheet, random)
        made, expected = sheet_of(pieces, "as cut", sheet.shop_style), by_vectors(pieces)
        for k in range(3):
            _, bearing, side = expected.frames[k]
            if k:
                end = [made.number(f"foot_end_{axis}_{k + 1}") for axis in "xyz"]
                assert end == pytest.approx(expected.ends[k], abs=1e-6)
            # Where the axis of a post passes that of its guest, seen square to both.
            guest = (k + 1) % 3
            step = expected.ends[guest] - expected.ends[k]
            assert abs(step @ expected.frames[guest][1]) == pytest.approx(
                abs(made.number(f"axis_offset_{k + 1}")), abs=1e-6
            )
            level = expected.feet[k][:, 2]
            assert level == pytest.approx(made.number(f"foot_level_{k + 1}"), abs=1e-6)
            level = expected.heads[k][:, 2]
            assert level == pytest.approx(made.number(f"head_level_{k + 1}"), abs=1e-6)
            normal, offset = expected.floor
            gaps = expected.feet[k] @ normal - offset
            pad = pieces.numbers["pad_projection"]
            if not pad:
                assert made.number(f"foot_gap_{k + 1}") == pytest.approx(gaps.max(), abs=1e-6)
            normal, offset = expected.under
            gaps = offset - expected.heads[k] @ normal
            assert made.number(f"head_gap_{k + 1}") == pytest.approx(gaps.max(), abs=1e-6)
            deep, wide = (
                pieces.numbers[f"post_section_{k + 1}"],
                pieces.numbers[f"post_width_{k + 1}"],
            )
            corner = expected.ends[k] - deep / 2 * bearing - wide / 2 * side
            depth = expected.feet[k][0, 2] - corner[2]
            assert made.number(f"foot_flat_depth_{k + 1}") == pytest.approx(depth, abs=1e-6)


# -- the equal case -------------------------------------------------------------------------------


def test_three_equal_posts_are_the_design_itself() -> None:
    # independent: the relations of the equal base, crossing.md and circles.md
    for sheet in designs()[:12]:
        found = stand(drawn(sheet))
        up = sheet.number("base_height") + sheet.number("pad_projection")
        assert found.heads == pytest.approx((up,) * 3, abs=1e-9)
        assert found.tilt == pytest.approx(0, abs=1e-9)
        assert found.height == pytest.approx(sheet.number("table_height"), abs=1e-9)
        assert found.circles[0] == pytest.approx(sheet.number("foot_radius"), abs=1e-8)
        assert found.circles[1] == pytest.approx(sheet.number("head_radius"), abs=1e-8)
        assert found.overhang == pytest.approx(sheet.number("overhang"), abs=1e-8)
        assert found.plays == pytest.approx((sheet.number("notch_clearance"),) * 3, abs=1e-9)


def test_a_worked_example_by_hand() -> None:
    """At the square crossing post 2 is 2 mm short at its head end, its notch as far from the foot
    as in the others: its head is 2/√3 = 1.1547 mm low. The feet stand as they did, so the flats
    stay level and the two other heads where they were."""
    sheet = network("table").solve(
        {"table_height": 735, "top_diameter": 920, "post_section": 64, "pad_projection": 3}
    )
    found = stand(drawn(sheet).with_sizes({"post_length_2": sheet.number("post_length") - 2}))
    assert found.heads[0] == pytest.approx(707, abs=1e-9)
    assert found.heads[2] == pytest.approx(707, abs=1e-9)
    assert found.heads[1] == pytest.approx(707 - 2 / math.sqrt(3), abs=1e-9)


# -- against solids -------------------------------------------------------------------------------


def test_equal_posts_are_the_solids_of_the_kit() -> None:
    # independent of the network: tablekit.solids cuts the bars
    for sheet in designs()[:20]:
        found, model = stand(drawn(sheet)), solids_of(sheet)
        tops = [post.vertices[:, 2].max() for post in model.posts]
        assert found.heads == pytest.approx(tops, abs=1e-6)
        assert found.height == pytest.approx(model.top.vertices[:, 2].max(), abs=1e-6)
        radii = [np.hypot(*point[:2]) for point in model.head_middles]
        assert radii == pytest.approx([found.circles[1]] * 3, abs=1e-6)


def _foot_end(made: Sheet, post: int) -> np.ndarray:
    """Where the axis of a post ends at its foot; that of post 1 is the origin."""
    return np.array([made.get(f"foot_end_{axis}_{post + 1}") or 0.0 for axis in "xyz"])


def test_unequal_posts_as_solids_stand_on_the_floor_and_carry_the_top() -> None:
    """Bars cut as solids and put where the sheet puts the posts: every corner lies over the floor
    and under the top, three touch each, and each guest's face lies on its host's notch floor."""
    # independent: tablekit.solids.body, 50 random designs
    random = np.random.default_rng(4)
    for number, sheet in enumerate(designs()[:50]):
        pieces = replace(off(sheet, random), on_pads=False)
        if number % 3 == 0:  # posts of one section, errors in length and place alone
            pieces = pieces.with_sizes({"post_section_1": sheet.number("post_section")})
        made = sheet_of(pieces, "as cut", sheet.shop_style)
        expected = by_vectors(pieces)
        pad = pieces.numbers["pad_projection"]
        bodies = []
        for k in range(3):
            along, bearing, side = expected.frames[k]
            end = _foot_end(made, k)
            deep, wide = (pieces.numbers[f"post_{n}_{k + 1}"] for n in ("section", "width"))
            far = end + pieces.numbers[f"post_length_{k + 1}"] * along
            bar = box("post", k + 1, end, far, (deep / 2 * bearing, wide / 2 * side))
            low = made.number(f"foot_level_{k + 1}")
            high = made.number(f"head_level_{k + 1}")
            bodies.append(cut_off(cut_off(bar, -PLUMB, -low), PLUMB, high))
        rise = np.array([made.number("floor_rise_x"), made.number("floor_rise_y")])
        normal = np.array([*-rise, 1.0]) / made.number("floor_slant")
        touch = np.array([made.number("foot_touch_x_1"), made.number("foot_touch_y_1"),
                          made.number("foot_level_1") - pad])  # fmt: skip
        over = [body.vertices @ normal - touch @ normal - pad * normal[2] for body in bodies]
        assert [one.min() for one in over] == pytest.approx([0.0] * 3, abs=1e-6)
        rise = np.array([made.number("underside_rise_x"), made.number("underside_rise_y")])
        under = np.array([*-rise, 1.0]) / math.hypot(1, *rise)
        level = np.array([made.number("head_touch_x_1"), made.number("head_touch_y_1"),
                          made.number("head_level_1")]) @ under  # fmt: skip
        assert [(b.vertices @ under).max() for b in bodies] == pytest.approx([level] * 3, abs=1e-6)
        highest = [
            float((body.vertices[np.argmax(body.vertices @ under)] - touch) @ normal)
            for body in bodies
        ]
        heights = [made.number(f"head_height_{k}") for k in (1, 2, 3)]
        assert highest == pytest.approx(heights, abs=1e-6)
        up = pieces.numbers["notch_sense"]
        for host in range(3):
            guest = (host + 1) % 3
            facing = up * expected.frames[guest][1]
            floor = _foot_end(made, host) @ facing
            floor += pieces.numbers[f"post_width_{host + 1}"] / 2
            floor -= pieces.numbers[f"notch_depth_{host + 1}"]
            lowest = (bodies[guest].vertices @ facing).min()
            assert lowest == pytest.approx(floor, abs=1e-6)


# -- small errors, and many at once ---------------------------------------------------------------


def test_small_errors_agree_with_the_spread_of_pieces() -> None:
    # independent: levelness.py works to the first order, on feet and heads at their middles
    sheet = network("table").solve(
        {"table_height": 735, "top_diameter": 920, "post_section": 64, "pad_projection": 3}
    )
    base, random = InexactBase(sheet, as_cut(sheet, ["splay"])), np.random.default_rng(2)
    names = ("post_length", "notch_depth", "notch_position")
    for _ in range(20):
        errors = {name: random.uniform(-0.05, 0.05, 3) for name in names}
        pieces = drawn(sheet).with_sizes(
            {f"{n}_{k + 1}": sheet.number(n) + e[k] for n, e in errors.items() for k in range(3)}
        )
        expected, _ = base.tilts({n: e[:, None] * 1e-3 for n, e in errors.items()}, 1)
        # The top touches corners, not middles: on flats 25 mm wide that is a few per cent.
        assert stand(pieces).tilt == pytest.approx(float(expected[0]), rel=0.12)


def test_many_at_once_are_each_as_alone() -> None:
    random = np.random.default_rng(3)
    several = [off(sheet, random) for sheet in designs()[:8]]
    for alone, among in zip(map(stand, several), stand_all(several), strict=True):
        assert among.heads == pytest.approx(alone.heads, abs=1e-9)


def test_a_left_hand_base_is_the_mirror_image() -> None:
    givens = {"table_height": 735, "top_diameter": 920, "post_section": 64, "pad_projection": 0}
    right = network("table").solve(givens)
    left = network("table", hand="left").solve(givens)
    length = right.number("post_length")
    one = stand(drawn(right).with_sizes({"post_length_2": length - 2, "notch_depth_3": 33}))
    other = stand(drawn(left).with_sizes({"post_length_3": length - 2, "notch_depth_2": 33}))
    first, second, third = one.heads
    assert other.heads == pytest.approx((first, third, second))
    assert other.low_side == pytest.approx(360 - one.low_side)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_posts_lie_in_one_another_as_the_solids_have_them(hand: str) -> None:
    # independent: tablekit.solids says which post lies in which notch
    sheet = network("table", hand=hand).solve(
        {"table_height": 735, "top_diameter": 920, "post_section": 64}
    )
    for host, guest in solids_of(sheet).joints:
        found = stand(drawn(sheet).with_sizes({f"post_width_{guest + 1}": 63.0}))
        loose = [play > 0.5 for play in found.plays]
        assert loose == [post == host for post in range(3)]


def test_posts_that_no_longer_meet_are_told_in_a_sentence() -> None:
    sheet = network("table").solve({"table_height": 735, "top_diameter": 920, "post_section": 64})
    pieces = drawn(sheet)
    for size, said in (
        ({"notch_position_2": 30.0}, "notch 2 stays clear of the foot"),
        ({"notch_depth_1": 66.0}, "notch 1 does not cut its post through"),
        ({"post_length_3": 640.0}, "stays clear of the head"),
    ):
        with pytest.raises(DesignError, match=said):
            stand(pieces.with_sizes(size))


def test_bases_without_three_notches_in_turn_are_refused() -> None:
    two = network("table", "two notches").solve(
        {"table_height": 735, "top_diameter": 920, "post_section": 64}
    )
    with pytest.raises(DesignError, match="one notch each"):
        drawn(two)
