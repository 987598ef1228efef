"""A table that makers build, with the sizes they quote for it. Common practice, no source."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from tablekit.engine.units import parse_quantity
from tablekit.relations.families import network

POSTS = {
    "post_section": parse_quantity("3 in", "mm"),
    "post_length": parse_quantity("45 in", "mm"),
    "top_thickness": parse_quantity("1 5/8 in", "mm"),
    "pad_projection": parse_quantity("1/8 in", "mm"),
    "top_diameter": parse_quantity("42 in", "mm"),
    "crossing_angle": 90.0,
}
DINING = parse_quantity("30 in", "mm")


def height(flat: float) -> float:
    sheet = network("table").solve({**POSTS, "foot_flat": flat, "head_flat": flat})
    return sheet.number("table_height")


def test_three_posts_of_45_inches_make_a_table_about_30_inches_high() -> None:
    # common practice, no source: 3 in posts 45 in long, half-depth notch at mid-length, a top
    # 1 5/8 in thick and pads 1/8 in proud make a dining table about 30 in high once the flats
    # are cut; the flat that makes it exactly so is 15 to 30 mm across.
    flat = brentq(lambda size: height(size) - DINING, 5, 45)
    assert 15 <= flat <= 30
    # By hand at the square crossing: (L + 2w)/√3 + top + pad less a plumb flat/√2 at either end.
    sharp = (45 + 2 * 3) * 25.4 / 3**0.5 + (1.625 + 0.125) * 25.4
    assert flat == pytest.approx((sharp - DINING) / 2**0.5, rel=1e-9)


def test_the_same_asked_with_the_height_given() -> None:
    sheet = network("table").solve({**POSTS, "table_height": DINING})
    assert sheet["foot_flat"].origin == "assumed" and sheet["head_flat"].origin == "found"
    assert 15 <= sheet.number("head_flat") <= 30
    assert sheet.number("splay") == pytest.approx(54.7356, abs=5e-5)


def test_the_half_depth_notch_of_a_3_inch_post() -> None:
    # common practice, no source: 1 1/2 in deep, 3 in wide, in the middle of the post
    sheet = network("table").solve(POSTS)
    assert sheet.number("notch_depth") == pytest.approx(1.5 * 25.4)
    assert sheet.number("notch_width") == pytest.approx(3 * 25.4)
    assert sheet.number("notch_position") == pytest.approx(22.5 * 25.4)


@pytest.mark.parametrize("inches", [28, 29, 30])
def test_dining_heights_pass_the_check_on_height(inches: float) -> None:
    # common practice, no source: a dining table is 28 to 30 in high
    sheet = network("table").solve(
        {"table_height": inches * 25.4, "top_diameter": 1000, "post_section": 64}
    )
    verdicts = {check.name: check.verdict for check in sheet.checks}
    assert verdicts["table height"] == "pass"
