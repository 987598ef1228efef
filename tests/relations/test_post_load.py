"""Posts under load: vectors, special cases and verdicts."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.relations import families

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(crossing: str = "one notch", **changes: float) -> dict[str, float]:
    sheet = families.network("table", crossing).solve({**TABLE, **changes})
    return {n: v.number for n, v in sheet.values.items() if v.number is not None}


def verdict(name: str, crossing: str = "one notch", **changes: float) -> str:
    checks = families.network("table", crossing).solve({**TABLE, **changes}).checks
    return next(check.verdict for check in checks if check.name == name)


@pytest.mark.parametrize("splay", [54.7356103, 50.0, 45.0])
@pytest.mark.parametrize("width", [64.0, 80.0])
def test_stress_by_vectors(splay: float, width: float) -> None:
    """The load as a vector, the section as points: the worst of its corners."""
    found = solved(splay=splay, post_width=width, axis_offset=(64 + width) / 4)
    lean = np.radians(splay)
    axes = [np.array([np.sin(lean) * np.cos(b), np.sin(lean) * np.sin(b), np.cos(lean)])
            for b in np.radians([0, 120, 240])]  # fmt: skip
    normal = np.cross(axes[-1], axes[0])
    normal /= np.linalg.norm(normal)
    side = np.cross(axes[0], normal)
    # A plumb force at the end of a cantilever along the axis, whose moment is that of the sheet.
    lever = axes[0] / np.sin(lean)  # reaches a millimetre in plan
    moment = np.cross(lever, [0, 0, -1000 * found["post_moment"]])
    deep, wide = found["rest_depth"], found["rest_width"]
    across_depth = moment @ side * (deep / 2) / (wide * deep**3 / 12)
    across_width = moment @ normal * (wide / 2) / (deep * wide**3 / 12)
    worst = max(abs(a * across_depth + b * across_width) for a in (1, -1) for b in (1, -1))
    assert found["post_stress"] == pytest.approx(worst, rel=1e-6)


def test_square_crossing_stands_on_its_corner() -> None:
    # the statics of the three-post crossing: σ = M/√2 (1/S_x + 1/S_y), net section w × (w − let-in)
    found = solved()
    moment = 1000 * found["post_moment"]
    one, other = 32 * 64**2 / 6, 64 * 32**2 / 6
    assert found["post_stress"] == pytest.approx(moment / 2**0.5 * (1 / one + 1 / other))


def test_a_quarter_of_the_section_is_left_by_two_notches() -> None:
    one, two = solved(), solved("two notches")
    assert (one["rest_depth"], one["rest_width"]) == pytest.approx((64, 32))
    assert (two["rest_depth"], two["rest_width"]) == pytest.approx((32, 32))
    same_load = two["post_stress"] / two["post_moment"] / (one["post_stress"] / one["post_moment"])
    assert same_load == pytest.approx(8 / 3)  # (2/v³) over (1/(v (2v)²) + 1/(2v v²))


def test_rest_of_a_post_as_a_set_of_points() -> None:
    """Wood left in the crossing's mid-plane of a post, counted point by point."""
    found = solved()
    grid = (np.arange(640) + 0.5) / 10 - 32
    across, deep = np.meshgrid(grid, grid)
    notch = across > 32 - found["notch_depth"]
    cut = deep > found["axis_offset"] + found["notch_depth"] - 32  # beyond the neighbour's floor
    area = np.count_nonzero(~(notch | cut)) / 100
    assert area == pytest.approx(found["rest_width"] * found["rest_depth"], rel=0.01)


def test_verdicts_say_what_to_change() -> None:
    name = "strength of the posts"
    assert verdict(name, design_load=1000.0) == "pass"
    assert verdict(name, post_section=50.0) == "fail"
    assert verdict(name, "two notches") == "fail"  # its core bears far more
    checks = families.network("table").solve({**TABLE, "post_section": 50.0}).checks
    message = next(check.message for check in checks if check.name == name)
    assert "thicker posts" in message


def test_a_given_share_of_strength_finds_the_load() -> None:
    found = solved()
    back = solved(post_strength_used=found["post_strength_used"] / 2)
    assert back["design_load"] == pytest.approx(found["design_load"] / 2)


def test_slender_posts_are_told_to_buckle() -> None:
    name = "buckling of the posts"
    assert verdict(name) == "pass"
    assert verdict(name, design_load=48_000.0) == "caution"
