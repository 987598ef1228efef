"""The square crossing is the corner of a cube seen along its diagonal."""

from __future__ import annotations

import math

import pytest

from tablekit.relations.assumptions import SPLAY
from tests.relations.evaluate import forward, number

SQUARE = number(SPLAY.value, {})


def table(**changes: float) -> dict[str, float]:
    givens = {
        "splay": SQUARE,
        "post_section": 0.064,
        "post_length": 1.0,
        "axis_offset": 0.032,
        "notch_position": 0.5,
        "foot_flat_depth": 0.005,
        "head_flat_depth": 0.005,
        "pad_projection": 0.003,
        "plate_gap": 0.0,
        "top_thickness": 0.028,
    }
    whole = {**givens, **changes}
    return forward("table", "notches up", {"post_width": whole["post_section"], **whole})


def test_lean_from_plumb_and_from_the_floor() -> None:
    # ISO 5456-3, isometric axonometry, 35.2644° (angle read in mathematics texts)
    assert math.degrees(SQUARE) == pytest.approx(54.7356, abs=0.00005)
    assert 90 - math.degrees(SQUARE) == pytest.approx(35.2644, abs=0.00005)


def test_foreshortening_of_a_post_in_plan() -> None:
    # ISO 5456-3 and geometry: foreshortening 0.81650 (read in mathematics texts)
    assert math.sin(SQUARE) == pytest.approx(0.81650, abs=0.000005)
    grown = table(post_length=1.1, notch_position=0.5)["head_reach"] - table()["head_reach"]
    assert grown / 0.1 == pytest.approx(0.81650, abs=0.000005)


def test_posts_cross_at_a_right_angle_and_the_notch_is_plain() -> None:
    # geometry of the cube, derived
    found = table()
    assert math.degrees(found["crossing_angle"]) == pytest.approx(90, abs=1e-9)
    assert math.degrees(found["notch_floor_tilt"]) == pytest.approx(0, abs=1e-9)
    assert found["bearing_rise"] == pytest.approx(1 / math.sqrt(3), rel=1e-12)
    assert found["side_rise"] == pytest.approx(1 / math.sqrt(3), rel=1e-12)


def test_one_off_the_table_is_root_three_off_each_post() -> None:
    # derived: reference/derivations/crossing.md; 1.732
    longer = table(post_length=1.0 + 0.01732, notch_position=0.5)
    assert longer["table_height"] - table()["table_height"] == pytest.approx(0.010, abs=5e-6)


def test_three_metre_rods_square_to_one_another() -> None:
    # derived: plumb span L/√3, foot circle 0.40825 L, foot triangle side 0.70711 L
    thin = table(post_section=1e-9, axis_offset=1e-9, foot_flat_depth=1e-12, head_flat_depth=1e-12)
    assert thin["corner_height"] == pytest.approx(0.57735, abs=5e-6)
    assert thin["foot_radius"] == pytest.approx(0.40825, abs=5e-6)
    assert thin["foot_spread"] == pytest.approx(0.70711, abs=5e-6)
