"""How far a head or a foot may be off: the plane through three points."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from tablekit.relations import families, levelling

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(**changes: float) -> dict[str, float]:
    sheet = families.network("table").solve({**TABLE, **changes})
    return {name: value.number for name, value in sheet.values.items()}


def tilt_of(heights: list[float], radius: float) -> float:
    """Degrees out of level of the plane through three points a third of a circle apart."""
    turns = 2 * np.pi * np.arange(3) / 3
    points = np.column_stack([radius * np.cos(turns), radius * np.sin(turns), heights])
    normal = np.cross(points[1] - points[0], points[2] - points[0])
    return math.degrees(math.acos(abs(normal[2]) / np.linalg.norm(normal)))


@pytest.mark.parametrize("step", [0.5, 2.0, 6.0, 20.0])
def test_a_head_that_is_off_tilts_the_plane_through_three_points(step: float) -> None:
    # independent: normal of the plane through three points
    found = solved(head_step=step, foot_step=0.0)
    assert found["top_tilt"] == pytest.approx(tilt_of([step, 0, 0], found["head_radius"]))
    assert found["top_tilt"] == pytest.approx(tilt_of([-step, 0, 0], found["head_radius"]))


def test_a_foot_that_is_off_tilts_the_base() -> None:
    found = solved(head_step=0.0, foot_step=4.0)
    assert found["top_tilt"] == pytest.approx(tilt_of([4, 0, 0], found["foot_radius"]))


@pytest.mark.witness(
    levelling.TILT_FROM_STEPS,
    by="the plane through three points, every way of two being off",
    within="1e-6",
)
def test_head_and_foot_add_up_at_the_worst() -> None:
    # independent: every way of putting one head and one foot off, small enough to add as vectors
    found = solved(head_step=0.3, foot_step=0.4)
    turns = 2 * np.pi * np.arange(6) / 6  # feet lie opposite or under the heads, or between
    fall = [
        np.hypot(
            2 / 3 * (0.3 / found["head_radius"] + 0.4 / found["foot_radius"] * np.cos(turn)),
            2 / 3 * 0.4 / found["foot_radius"] * np.sin(turn),
        )
        for turn in turns
    ]
    assert math.tan(math.radians(found["top_tilt"])) == pytest.approx(max(fall))


@pytest.mark.witness(
    levelling.HEAD_HEIGHT_TOLERANCE,
    levelling.FOOT_HEIGHT_TOLERANCE,
    by="the plane through three points",
    within="1e-6",
)
def test_height_tolerances_give_the_visible_slope() -> None:
    found = solved()
    fall = found["visible_slope"]
    assert fall == pytest.approx(1 / 300)  # common practice, no source
    for end in ("head", "foot"):
        tilt = tilt_of([found[f"{end}_height_tolerance"], 0, 0], found[f"{end}_radius"])
        assert math.tan(math.radians(tilt)) == pytest.approx(fall)
    angle = math.atan(fall)
    assert found["rim_height_tolerance"] == pytest.approx(920 * math.sin(angle))


def out_of_level(heads: list[float], feet: list[float], radii: tuple[float, float]) -> float:
    """Degrees between the plane through three feet and the plane through three heads, each foot
    opposite to its head; how far each stands out of its place is given, radii of heads and feet."""
    turns = 2 * np.pi * np.arange(3) / 3
    normals = []
    for off, radius, way in ((heads, radii[0], 1), (feet, radii[1], -1)):
        level = np.column_stack([way * radius * np.cos(turns), way * radius * np.sin(turns), off])
        normal = np.cross(level[1] - level[0], level[2] - level[0])
        normals.append(normal / np.linalg.norm(normal))
    return math.degrees(math.acos(min(1.0, float(normals[0] @ normals[1]))))


@pytest.mark.witness(
    levelling.ALL_OFF_TILT, levelling.ALL_OFF_DROP,
    by="planes through three heads and three feet, every way of all six being off", within="1e-4",
)  # fmt: skip
@pytest.mark.parametrize(("head", "foot"), [(0.5, 0.5), (2.0, 0.0), (0.0, 3.0), (1.5, 0.7)])
def test_all_six_off_tilt_it_twice_as_far_as_one_head_and_one_foot(
    head: float, foot: float
) -> None:
    # independent: each of the 64 ways of three heads and three feet being off, and 500 between
    found = solved(head_step=head, foot_step=foot)
    radii = (found["head_radius"], found["foot_radius"])
    ways = list(product((-1.0, 1.0), repeat=6))
    ways += [tuple(way) for way in np.random.default_rng(3).uniform(-1, 1, (500, 6))]
    tilts = [
        out_of_level([head * s for s in way[:3]], [foot * s for s in way[3:]], radii)
        for way in ways
    ]
    assert found["all_off_tilt"] == pytest.approx(max(tilts), rel=1e-4)
    assert found["all_off_drop"] == pytest.approx(
        920 * math.sin(math.radians(max(tilts))), rel=1e-4
    )
    # one head and one foot, as it was told until both were told, is half of it and no bound
    one = max(
        out_of_level([head * s if k == n else 0.0 for k in range(3)],
                     [foot * f if k == m else 0.0 for k in range(3)], radii)
        for s, f, n, m in product((-1, 1), (-1, 1), range(3), range(3))
    )  # fmt: skip
    assert found["top_tilt"] == pytest.approx(one, rel=1e-4)
    assert max(tilts) == pytest.approx(2 * one, rel=1e-3)


@pytest.mark.parametrize("step", [0.5, 2.5])
def test_both_are_said_and_which_is_which(step: float) -> None:
    sheet = families.network("table").solve({**TABLE, "head_step": step, "foot_step": 0.5})
    (check,) = (one for one in sheet.checks if one.name == levelling.LEVEL.name)
    one_off, all_off = sheet.shop("rim_drop"), sheet.shop("all_off_drop")
    assert f"With one head off by {step:g} mm and one foot by 0.5 mm" in check.message
    first, second = check.message.index(one_off), check.message.index(all_off)
    assert first < check.message.index("all") < second


def test_two_millimetres_at_a_head_of_a_circle_of_400() -> None:
    # reference/derivations/fixing.md and top_tilt.md: r/200
    found = solved()
    assert found["head_height_tolerance"] * 200 == pytest.approx(found["head_radius"])


def test_a_wanted_height_difference_finds_what_a_head_may_be_off() -> None:
    found = solved(rim_drop=3.0, foot_step=0.0)
    tilt = tilt_of([found["head_step"], 0, 0], found["head_radius"])
    assert 920 * math.sin(math.radians(tilt)) == pytest.approx(3.0)


def test_level_cautioned_and_out_of_level() -> None:
    def verdict(step: float) -> str:
        checks = families.network("table").solve({**TABLE, "head_step": step}).checks
        return next(c.verdict for c in checks if c.name == levelling.LEVEL.name)

    # common practice: 1 in 300 looks level, 1 in 150 is seen by many
    assert [verdict(step) for step in (0.2, 2.5, 6.0)] == ["pass", "caution", "fail"]
    # It is judged by the fall that the maker takes for level, here three times as strict.
    strict = families.network("table").solve({**TABLE, "head_step": 0.5, "visible_slope": 0.001})
    assert next(c.verdict for c in strict.checks if c.name == levelling.LEVEL.name) == "caution"
