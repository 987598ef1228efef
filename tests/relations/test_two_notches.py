"""Two notches to a post: sizes against boolean solids and vectors, locking against blocks."""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import pytest

from tablekit.engine.trouble import Contradiction
from tablekit.relations.families import network
from tests.relations.blocks import STEPS, comes_apart, first_order_freedom, held, three_posts
from tests.relations.reference_vectors import Post, flat, lean, trimmed_volume, unit

READING_TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
SQUARE = math.acos(1 / math.sqrt(3))
FORWARD = {(1, 0, 0), (0, 1, 0), (0, 0, 1)}


def solids(section: float, length: float) -> list[manifold3d.Manifold]:
    """Posts along x, y and z, ends left sharp, each less its two notches, as boolean solids."""
    half, made = section / 2, []
    for k in range(3):
        whole = manifold3d.Manifold.cube([length, section, section], True)
        down = manifold3d.Manifold.cube([section, section, 2 * section]).translate(
            [-half, -section, -section]
        )
        up = manifold3d.Manifold.cube([section, 2 * section, section]).translate(
            [-half, -section, 0]
        )
        # A third of a turn about the diagonal takes x to y, y to z and z to x.
        turn = np.roll(np.eye(3), k, axis=0)
        made.append((whole - down - up).transform(np.column_stack([turn, np.zeros(3)])))
    return made


@pytest.mark.parametrize(("section", "length"), [(64.0, 1000.0), (38.0, 520.0)])
def test_volumes_against_boolean_solids(section: float, length: float) -> None:
    # independent: boolean solids; reference/derivations/two_notches.md, how much wood
    posts = solids(section, length)
    for first, second in ((0, 1), (1, 2), (2, 0)):
        assert (posts[first] ^ posts[second]).volume() == pytest.approx(0, abs=1e-6)
    givens = {"post_section": section, "post_length": length, "top_diameter": 900.0}
    sheet = network("table", "two notches").solve(givens)
    pyramids = sum(
        sheet.number(f"{end}_flat_depth") ** 3 * math.sqrt(3) / 2 for end in ("foot", "head")
    )
    blank = section**2 * length
    assert sheet.number("notch_volume") == pytest.approx(blank - posts[0].volume(), rel=1e-9)
    assert sheet.number("post_volume") + pyramids == pytest.approx(posts[0].volume(), rel=1e-9)
    union = posts[0] + posts[1] + posts[2]
    cube = 3 * section**2 * length - 2 * section**3 - 2 * (section / 2) ** 3
    assert union.volume() == pytest.approx(cube, rel=1e-9)
    assert 3 * (blank - sheet.number("notch_volume")) == pytest.approx(cube, rel=1e-12)


def test_the_core_and_the_notches_against_boolean_solids() -> None:
    # independent: boolean solids cut across at the crossing and beside it
    sheet = network("table", "two notches").solve(READING_TABLE)
    post = solids(64.0, sheet.number("post_length"))[0].rotate([0, 90, 0])  # its length upright
    inside = sheet.number("notch_width") / 2
    assert post.slice(0).area() == pytest.approx(sheet.number("core_side") ** 2)
    assert post.slice(inside - 1e-6).area() == pytest.approx(32.0**2)
    assert post.slice(inside + 1e-6).area() == pytest.approx(64.0**2)
    left, low, right, high = post.slice(0).bounds()
    assert (right - left, high - low) == pytest.approx((64 - sheet.number("notch_depth"),) * 2)


@pytest.mark.parametrize(
    "extra", [{}, {"foot_radius": 400.0}, {"notch_position": 500.0}, {"head_flat": 35.0}]
)
def test_circles_and_heights_against_vectors(extra: dict[str, float]) -> None:
    # independent: a bar through the centre line, its corners cut level
    sheet = network("table", "two notches").solve({**READING_TABLE, **extra})
    along = lean(SQUARE, 0)
    bearing = unit(np.cross(lean(SQUARE, 2), along))
    low = -sheet.number("notch_position")
    post = Post(
        np.zeros(3), along, bearing, np.cross(along, bearing), low,
        low + sheet.number("post_length"), 64.0,
    )  # fmt: skip
    depths = {end: sheet.number(f"{end}_flat_depth") for end in ("foot", "head")}
    foot, foot_flat, floor = flat(post, post.low, depths["foot"], upward=False)
    head, head_flat, tip = flat(post, post.high, depths["head"], upward=True)
    found = {
        "foot_radius": np.hypot(foot[0], foot[1]), "head_radius": np.hypot(head[0], head[1]),
        "foot_flat": foot_flat, "head_flat": head_flat, "corner_height": tip - floor,
        "base_height": tip - floor - depths["foot"] - depths["head"],
        "foot_reach": -foot[0], "head_reach": head[0],
        "post_volume": trimmed_volume(post, floor + depths["foot"], tip - depths["head"])
        - sheet.number("notch_volume"),
    }  # fmt: skip
    for name, number in found.items():
        assert sheet.number(name) == pytest.approx(number, rel=1e-9), name
    for name in ("foot_sidestep", "head_sidestep", "axis_offset", "centre_distance", "waist_step"):
        assert sheet.number(name) == pytest.approx(0, abs=1e-9), name


def test_mid_length_makes_the_circles_equal() -> None:
    # derived: reference/derivations/two_notches.md, axes through one point
    sheet = network("table", "two notches").solve(READING_TABLE)
    assert sheet["notch_position"].origin == "assumed"
    assert sheet.number("foot_radius") == pytest.approx(sheet.number("head_radius"), rel=1e-12)


def test_way_up_has_no_effect() -> None:
    # derived: reference/derivations/two_notches.md, turned upside down
    up, down = (
        network("table", "two notches", way).solve({**READING_TABLE, "notch_position": 500.0})
        for way in ("notches up", "notches down")
    )
    for name, value in up.values.items():
        assert down.number(name) == pytest.approx(value.number, rel=1e-12, abs=1e-12), name
    for post in (three_posts(1), three_posts(2)):
        # half a turn about the line along y - z; a cube at a covers a to a + 1
        turned = [frozenset((-x - 1, -z - 1, -y - 1) for x, y, z in cubes) for cubes in post]
        assert [turned[0], turned[2], turned[1]] == post


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ({"splay": 45.0}, "the posts stand square to one another, 54.7356° from the vertical"),
        ({"splay": 54.7}, "the posts stand square to one another"),
        ({"post_width": 80.0}, "post_width 80 mm is too"),
        ({"axis_offset": 32.0}, "the axes of the posts meet in one point"),
        ({"notch_position": 40.0}, "the notches stay clear of the foot"),
        ({"notch_position": 500.0, "notch_relief": 300.0}, None),
        ({"notch_position": 300.0, "notch_relief": 250.0}, "the notches stay clear of the foot"),
    ],
)
def test_what_it_does_not_set_out_is_refused(extra: dict[str, float], words: str | None) -> None:
    two = network("table", "two notches")
    if words is None:
        assert two.solve({**READING_TABLE, **extra}).number("relief_ratio") > 0.5
        return
    with pytest.raises(Contradiction, match=words):
        two.solve({**READING_TABLE, **extra})


def test_the_makers_54_74_degrees_are_square_enough() -> None:
    sheet = network("table", "two notches").solve({**READING_TABLE, "splay": 54.74})
    assert sheet["splay"].origin == "given"


def test_a_depth_that_is_not_half_is_a_contradiction() -> None:
    with pytest.raises(Contradiction, match="notch_depth"):
        network("table", "two notches").solve({**READING_TABLE, "notch_depth": 30.0})


@pytest.mark.parametrize(
    ("relief", "verdict"),
    [(0.0, "fail"), (31.0, "fail"), (31.5, "caution"), (32.0, "pass"), (40.0, "pass")],
)
def test_locked_until_one_notch_is_half_a_section_longer(relief: float, verdict: str) -> None:
    # derived: reference/derivations/two_notches.md, putting it together; the blocks below
    sheet = network("table", "two notches").solve({**READING_TABLE, "notch_relief": relief})
    check = next(c for c in sheet.checks if c.name == "assembly")
    assert check.verdict == verdict
    assert ("Locked" in check.message) is (verdict != "pass")
    assert "loose block" in check.message


# -- the same with blocks, which know nothing of the kit ---------------------------------------


def test_posts_of_blocks_share_no_wood_and_have_the_volume() -> None:
    # independent: cubes counted
    for per_half in (1, 2, 3):
        x, y, z = three_posts(per_half)
        assert not (x & y or y & z or z & x)
        section, length = 2 * per_half, 12 * per_half
        assert len(x) == section**2 * length - 3 * section**3 // 4


def test_each_post_holds_the_next_from_going_back() -> None:
    # derived: reference/derivations/two_notches.md, the ring x >= z >= y >= x
    x, y, z = three_posts()
    back = set(STEPS) - FORWARD
    assert held(x, y) == held(y, z) == held(z, x) == back
    assert held(y, x) == held(z, y) == held(x, z) == FORWARD


def test_three_alike_are_locked() -> None:
    # independent: a linear programme over small motions, and every order of slides
    for per_half in (1, 2):
        posts = three_posts(per_half)
        assert first_order_freedom(posts) == pytest.approx(0, abs=1e-9)
        assert not comes_apart(posts, per_half)


@pytest.mark.parametrize("which", ["up", "down"])
@pytest.mark.parametrize("towards", ["foot", "head"])
def test_half_a_section_towards_the_right_end_frees_them(which: str, towards: str) -> None:
    # independent: blocks; upward notch towards the foot, downward towards the head
    frees = (which, towards) in {("up", "foot"), ("down", "head")}
    longer = three_posts(1, (which, towards, 1))
    assert (first_order_freedom(longer) > 1e-9) is frees
    assert comes_apart(longer) is frees
    assert not comes_apart(three_posts(2, (which, towards, 1)), 2)  # a quarter is not enough
