"""Numbers worked by hand and compared with boolean solids, before the relations were written.

Base: posts of 64 mm, 1000 mm long, let in by half, notch at mid-length, square crossing, no
flats cut. Top: 900 mm across, 28 mm thick, all of 620 kg/m³.
"""

from __future__ import annotations

import math

import pytest

from tablekit.relations.assumptions import SPLAY
from tests.relations.evaluate import forward, number

WHOLE = {
    "splay": number(SPLAY.value, {}),
    "post_section": 0.064,
    "post_width": 0.064,
    "post_length": 1.0,
    "axis_offset": 0.032,
    "notch_position": 0.5,
    "foot_flat_depth": 0.0,
    "head_flat_depth": 0.0,
    "top_diameter": 0.9,
    "top_thickness": 0.028,
    "wood_density": 620.0,
}


def worked(way_up: str = "notches up", **changes: float) -> dict[str, float]:
    return forward("table", way_up, {**WHOLE, **changes})


def printed(value: float, figures: str) -> bool:
    """Whether `value` rounds to the figures as printed."""
    decimals = len(figures.partition(".")[2])
    return f"{value:.{decimals}f}" == figures


def test_height_over_sharp_corners() -> None:
    assert printed(worked()["corner_height"] * 1e3, "651.251")  # derived, boolean solids


def test_volumes() -> None:
    assert printed(worked()["notch_volume"] * 1e9, "131072")  # derived, boolean solids
    assert printed(worked()["post_volume"] * 1e9, "3964928")  # derived, boolean solids


def test_end_circles_notches_up_has_the_wider_feet() -> None:
    found = worked("notches up")
    assert printed(found["foot_radius"] * 1e3, "395.832")  # derived, boolean solids
    assert printed(found["head_radius"] * 1e3, "369.749")  # derived, boolean solids


def test_end_circles_notches_down_has_the_wider_heads() -> None:
    found = worked("notches down")
    assert printed(found["foot_radius"] * 1e3, "369.749")  # derived, boolean solids
    assert printed(found["head_radius"] * 1e3, "395.832")  # derived, boolean solids


@pytest.mark.parametrize(("way_up", "position"), [("notches up", 0.484), ("notches down", 0.516)])
def test_notch_half_an_offset_off_mid_length_makes_the_circles_equal(
    way_up: str, position: float
) -> None:
    found = worked(way_up, notch_position=position)
    assert printed(found["foot_radius"] * 1e3, "382.790")  # derived, boolean solids
    assert printed(found["head_radius"] * 1e3, "382.790")  # derived, boolean solids


@pytest.mark.parametrize(
    ("lean", "crossing", "tilt"), [(45, "75.52", "11.54"), (30, "51.32", "22.62")]
)
def test_compound_notches(lean: float, crossing: str, tilt: str) -> None:
    found = worked(splay=math.radians(lean))
    assert printed(math.degrees(found["crossing_angle"]), crossing)  # derived, boolean solids
    assert printed(math.degrees(found["notch_floor_tilt"]), tilt)  # derived, boolean solids


def test_mass() -> None:
    assert printed(worked()["total_mass"], "18.42")  # derived, boolean solids


def test_tipping() -> None:
    # derived by balance of moments
    assert printed(worked("notches up")["tipping_load"], "141.8")
    assert printed(worked("notches down")["tipping_load"], "126.0")


def test_at_the_square_crossing_the_feet_stand_plumb_under_their_corners() -> None:
    # derived: the flat is equilateral, side d√6, inscribed radius d/√2
    depth = 0.012
    cut = worked(foot_flat_depth=depth)
    assert cut["foot_radius"] == pytest.approx(worked()["foot_radius"], rel=1e-12)
    assert cut["foot_flat"] == pytest.approx(depth * math.sqrt(6) / math.sqrt(3), rel=1e-12)


def test_a_foot_circle_by_the_cube_corner_form() -> None:
    # derived: corner (x, w/4, 3w/4) of a post along a cube edge, distance √(|v|² − (Σv)²/3)
    def circle(*corner: float) -> float:
        return math.sqrt(sum(v * v for v in corner) - sum(corner) ** 2 / 3)

    found = worked()
    w, foot, head = 0.064, found["foot_arm"], found["head_arm"]
    assert found["foot_radius"] == pytest.approx(circle(-foot, -3 * w / 4, -w / 4), rel=1e-12)
    assert found["head_radius"] == pytest.approx(circle(head, w / 4, 3 * w / 4), rel=1e-12)
