"""The cup of strips against finite elements, against the exact fan, and by plain reasoning."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tablekit.engine.network import Network
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.planning.rings import StripRings, network, profile
from tablekit.relations import grain
from tests.relations.plane_strips import PlaneStrip, edge_turn, middle_line

# White ash: Wood Handbook table 13-5.
ASH = {"tangential_coefficient": 0.00274, "radial_coefficient": 0.00169}
LOSS = -4.0  # per cent of moisture
RADIAL, TANGENTIAL = 0.00169 * LOSS, 0.00274 * LOSS


def solved(width: float, distance: float, angle: float, loss: float = LOSS) -> Sheet:
    return network().solve(
        {"strip_width": width, "pith_distance": distance, "ring_angle": angle,
         "moisture_made": 10.0, "moisture_lived": 10.0 + loss, **ASH}
    )  # fmt: skip


def beneath(distance: float, angle: float) -> tuple[float, float]:
    """Where the pith is from the strip's middle, bark side up."""
    turn = math.radians(angle)
    return -distance * math.sin(turn), -distance * math.cos(turn)


@pytest.mark.witness(grain.STRIP_CUP, by="finite elements of a strip", within="1 %")
@pytest.mark.parametrize(
    ("width", "distance", "angle"),
    [(140, 100, 0), (90, 60, 0), (185, 250, 0), (140, 120, 30), (140, 120, 60), (120, 90, 85)],
)
def test_a_strip_against_finite_elements(width: float, distance: float, angle: float) -> None:
    # independent: tests/relations/plane_strips.py
    strip = PlaneStrip(width, beneath(distance, angle))
    xs, line = middle_line([strip], 28, RADIAL, TANGENTIAL)
    middle = np.interp(width / 2, xs, line)
    sheet = solved(width, distance, angle)
    assert sheet.number("strip_cup") == pytest.approx(middle, rel=0.01, abs=2e-4)
    turn = math.degrees(edge_turn(strip, 28, RADIAL, TANGENTIAL))
    assert sheet.number("strip_turn") == pytest.approx(turn, rel=0.02, abs=1e-3)


@pytest.mark.parametrize(("count", "width"), [(4, 140), (5, 90), (2, 240)])
@pytest.mark.parametrize("alternating", [True, False])
def test_a_glued_panel_against_finite_elements(count: int, width: float, alternating: bool) -> None:
    # independent: the same elements glued edge to edge, edges free to warp
    sides = [alternating and bool(k % 2) for k in range(count)]
    strips = [PlaneStrip(width, (0, 100 if up else -100)) for up in sides]
    xs, line = middle_line(strips, 28, RADIAL, TANGENTIAL, 8)
    sheet = solved(width, 100, 0)
    cups, turns = ({"winter": sheet.number(name)} for name in ("strip_cup", "strip_turn"))
    rings = [
        StripRings(k + 1, "", k * width, (k + 1) * width, "flat-sawn", 0, 100, 100, 0, cups, turns)
        for k in range(count)
    ]
    found = profile(rings, sides, "winter")
    middles = np.interp([(k + 0.5) * width for k in range(count)], xs, line)
    joints = np.interp([k * width for k in range(count + 1)], xs, line)
    most = np.abs(line).max()
    assert np.abs(np.array(found.middles) - middles).max() < 0.07 * most
    assert np.abs(np.array(found.heights) - joints).max() < 0.07 * most
    assert abs(found.bow) == pytest.approx(most, rel=0.07)


def test_the_fan_without_taking_changes_for_small() -> None:
    # independent: every radius grows in one ratio and every angle at the pith in another
    distance, width = 100.0, 140.0
    ratio = (1 + TANGENTIAL) / (1 + RADIAL)
    angle = math.atan(width / 2 / distance)
    outer = distance / math.cos(angle) * (1 + RADIAL) * math.cos(ratio * angle)
    exact = distance * (1 + RADIAL) - outer
    assert solved(width, distance, 0).number("strip_cup") == pytest.approx(exact, rel=0.01)


def test_drying_leaves_the_bark_side_hollow_and_damp_air_round() -> None:
    # common practice: rings straighten in drying
    assert (
        solved(140, 100, 0, -4).number("strip_cup") < 0 < solved(140, 100, 0, 4).number("strip_cup")
    )


def test_quarter_sawn_hardly_cups() -> None:
    flat, half, quarter = (solved(140, 200, angle).number("strip_cup") for angle in (0, 45, 90))
    assert abs(quarter) < 1e-9 and abs(flat) > 0.05
    # The middle of a strip bends by the cube of the cosine: at 45° a third.
    assert half / flat == pytest.approx(math.cos(math.pi / 4) ** 3, abs=0.06)


def test_wood_that_changes_alike_keeps_its_shape() -> None:
    alike = {"tangential_coefficient": 0.002, "radial_coefficient": 0.002}
    sheet = network().solve(
        {"strip_width": 140.0, "moisture_made": 10.0, "moisture_lived": 6.0, **alike}
    )
    assert sheet.number("strip_cup") == 0 and sheet.number("strip_turn") == 0


def test_a_strip_with_the_pith_in_it_is_refused() -> None:
    with pytest.raises(DesignError, match=r"pith_clearance|middle of the tree"):
        solved(140, 50, 90)


def test_an_arc_is_as_deep_as_a_circle_makes_it() -> None:
    # independent: sagitta of a circle, R (1 - cos(T/2)) with T = B/R
    turn, width = math.radians(3.0), 900.0
    radius = width / turn
    panel = Network("panel", (grain.panel_cup, grain.panel_turn, grain.panel_width),
                    (grain.PANEL_CUP,))  # fmt: skip
    found = panel.solve({"panel_turn": 3.0, "panel_width": width}).number("panel_cup")
    assert found == pytest.approx(radius * (1 - math.cos(turn / 2)), rel=1e-3)


def test_the_assumed_ratio_is_the_middle_of_the_table() -> None:
    from statistics import median

    from tablekit.species import every_movement

    # reference/movement.csv: hardwoods of the temperate zone with both coefficients
    soft = ("fir", "pine", "cedar", "mahogany", "teak")
    ratios = [
        row.radial / row.tangential for name, row in every_movement().items()
        if row.radial and row.tangential and not any(word in name for word in soft)
    ]  # fmt: skip
    assumed = network().solve({"strip_width": 140.0, "moisture_made": 10.0, "moisture_lived": 6.0})
    ratio = assumed.number("radial_coefficient") / assumed.number("tangential_coefficient")
    assert len(ratios) == 19
    assert ratio == pytest.approx(median(ratios), abs=0.005)
