"""Cutting the round: settings, passes and the reach of one board."""

from __future__ import annotations

import math

import pytest

from tablekit.engine.network import Network
from tablekit.relations import families, quantities, trammel
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def board() -> Network:
    return Network("trammel board", trammel.BOARD_QUANTITIES, trammel.BOARD_RELATIONS)


def solved(**changes: float) -> dict[str, float]:
    sheet = families.network("table").solve({**TABLE, **changes})
    return {name: value.number for name, value in sheet.values.items()}


def test_near_side_middle_and_far_side() -> None:
    # geometry: the cutter's circle touches the rim from outside
    found = solved(cutter_diameter=12.0)
    assert (found["trammel_radius"], found["trammel_centre"], found["pivot_to_far_side"]) == (
        460,
        466,
        472,
    )
    assert found["pivot_from_edge"] == 566


def test_a_radius_on_the_trammel_finds_the_top() -> None:
    free = {name: number for name, number in TABLE.items() if name != "top_diameter"}
    sheet = families.network("table").solve({**free, "trammel_radius": 400.0})
    assert sheet.number("top_diameter") == pytest.approx(800)


@each("thickness", [5.0, 18.0, 24.9, 25.0, 25.1, 28.0, 40.0, 50.0])
@each("depth", [3.0, 4.0, 5.0, 6.0])
def test_passes_are_rounded_up(thickness: float, depth: float) -> None:
    # counted one pass at a time
    left, passes = thickness, 0
    while left > 1e-6:
        left, passes = left - depth, passes + 1
    found = solved(top_thickness=thickness, pass_depth=depth)
    assert found["router_passes"] == passes
    assert found["equal_pass"] * passes == pytest.approx(thickness)
    assert found["equal_pass"] <= depth + 1e-9
    assert (passes - 1) * depth + found["last_pass"] == pytest.approx(thickness)
    assert 0 < found["last_pass"] <= depth + 1e-9


def test_a_number_of_passes_finds_their_depth() -> None:
    found = solved(top_thickness=28.0, router_passes=7.0)
    assert found["pass_depth"] == pytest.approx(4)


def test_one_board_serves_from_1_to_6_ft() -> None:
    # common practice, no source: a 42 in board serves 1 ft to 6 ft
    inch, foot = 25.4, 304.8
    sheet = board().solve(
        {
            "trammel_length": 42 * inch, "cutter_from_edge": 4 * inch, "pivot_margin": 1 * inch,
            "pivot_clearance": 6 * inch, "cutter_diameter": inch / 2, "cutter_speed": 24000.0,
        }
    )  # fmt: skip
    assert math.floor(sheet.number("widest_circle") / foot) == 6
    assert math.ceil(sheet.number("narrowest_circle") / foot) == 1


@pytest.mark.parametrize(
    ("inches", "turns", "metres"), [(1, 24000, 31.92), (2, 18000, 47.88), (3.5, 12000, 55.86)]
)
def test_speed_of_the_edge(inches: float, turns: float, metres: float) -> None:
    # definition: π D n/60000
    sheet = board().solve(
        {
            "trammel_length": 1000.0, "cutter_from_edge": 100.0, "pivot_margin": 25.0,
            "pivot_clearance": 150.0, "cutter_diameter": 25.4 * inches, "cutter_speed": turns,
        }
    )  # fmt: skip
    assert sheet.number("cutting_speed") == pytest.approx(metres, abs=0.005)
    assert sheet.number("cutting_speed") == pytest.approx(math.pi * 25.4 * inches * turns / 60000)


def test_a_deep_pass_is_cautioned_and_then_failed() -> None:
    def verdict(depth: float) -> str:
        checks = families.network("table").solve({**TABLE, "pass_depth": depth}).checks
        (found,) = (c for c in checks if c.name == "depth of a router pass")
        assert "clamp the top" in found.message
        return found.verdict

    # common practice, our own limits of 6 and 8 mm on the depth as cut
    assert [verdict(d) for d in (5.0, 7.0, 14.0)] == ["pass", "caution", "fail"]


def test_the_quantities_are_declared_once() -> None:
    names = [q.name for q in (*trammel.QUANTITIES, *quantities.EVERY)]
    assert len(set(names)) == len(names)
