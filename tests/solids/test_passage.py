"""Which opening a part goes through, held against solids whose widths are known."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from tablekit.relations.families import network
from tablekit.solids.model import build
from tablekit.solids.passage import (
    base_points,
    goes_through,
    least_opening,
    legged_points,
    round_points,
    top_points,
)

CUBOID = np.array(list(product((0.0, 10.0), (0.0, 20.0), (0.0, 30.0))))
TETRAHEDRON = np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]], dtype=float)
OCTAHEDRON = np.array([[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], float)


def turned(points: np.ndarray, seed: int) -> np.ndarray:
    """The same solid lying anyhow."""
    turn, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    return points @ turn.T + 17.0


@pytest.mark.parametrize("seed", range(4))
def test_widths_of_solids_that_are_known(seed: int) -> None:
    """By hand: a cuboid by its sides; a regular tetrahedron of edge 2√2 between opposite edges,
    a/√2 = 2; a regular octahedron of edge √2 between opposite faces, a√(2/3) = 2/√3."""
    cuboid = least_opening(turned(CUBOID, seed))
    assert (cuboid.narrow, cuboid.wide) == pytest.approx((10.0, 20.0))
    assert least_opening(turned(TETRAHEDRON, seed)).narrow == pytest.approx(2.0)
    assert least_opening(turned(OCTAHEDRON, seed)).narrow == pytest.approx(2 / math.sqrt(3))


def test_an_edge_decides_where_no_face_does() -> None:
    """Across its faces a regular tetrahedron of edge 2√2 is a√(2/3) = 2.309 high: the least is
    between edges, and directions of faces alone would miss it."""
    assert math.sqrt(8) * math.sqrt(2 / 3) > 2.3
    assert least_opening(TETRAHEDRON).narrow < 2.0 + 1e-9


def table(**more: float):
    given = {"table_height": 735.0, "top_diameter": 1000.0, "post_section": 64.0, **more}
    return network("table").solve(given)


@pytest.mark.parametrize("more", [{}, {"splay": 45.0}, {"post_width": 90.0, "post_section": 60.0}])
def test_the_least_width_of_a_base_against_directions_by_the_thousand(more: dict) -> None:
    """No direction is narrower, and of a quarter of a million some come near."""
    points = base_points(build(table(**more)))
    found = least_opening(points)
    ways = np.random.default_rng(7).normal(size=(250_000, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    least, across = math.inf, ways[0]
    for some in np.array_split(ways, 50):
        along = some @ points.T
        reach = along.max(axis=1) - along.min(axis=1)
        if reach.min() < least:
            least, across = float(reach.min()), some[reach.argmin()]
    assert found.narrow - 1e-6 <= least <= 1.01 * found.narrow
    # The other side likewise, in the plane square to a direction as narrow as any.
    angles = np.linspace(0, math.pi, 20_000)
    first = np.cross(across, [0.3, 0.5, 0.8])
    first /= np.linalg.norm(first)
    second = np.cross(across, first)
    along = (np.outer(np.cos(angles), first) + np.outer(np.sin(angles), second)) @ points.T
    assert found.wide <= 1.01 * float((along.max(axis=1) - along.min(axis=1)).min())


def test_a_plate_goes_slantwise_through_a_square_opening() -> None:
    """By hand: a plate of 100 × 100 × 1 at 45° is (100 + 1)/√2 = 71.42 high and wide."""
    plate = np.array(list(product((0.0, 100.0), (0.0, 100.0), (0.0, 1.0))))
    assert goes_through(turned(plate, 3), 72.5, 72.5)
    assert not goes_through(turned(plate, 3), 71.0, 71.0)
    assert goes_through(turned(plate, 5), 1.0, 100.0) and goes_through(plate, 100.0, 1.0)


def test_nothing_goes_through_what_is_narrower_than_its_least_width() -> None:
    assert goes_through(turned(CUBOID, 2), 20.0, 10.0)
    assert not goes_through(turned(CUBOID, 2), 9.99, 1000.0)


def test_a_round_top_lies_within_the_solid_that_is_measured() -> None:
    """The polygon stands round the disc: no nearer the centre than the rim, and 0.054 % outside it
    at its corners, 1/cos(π/96) − 1."""
    ring = round_points([0.0, 0.0, 5.0], 500.0, 32.0)[:96, :2]
    sides = (ring + np.roll(ring, 1, axis=0)) / 2
    assert np.linalg.norm(sides, axis=1) == pytest.approx(500.0)
    assert np.linalg.norm(ring, axis=1).max() / 500 - 1 < 0.00054
    found = least_opening(top_points(table(), 735.0))
    assert found.narrow == pytest.approx(table().number("top_thickness"))
    assert found.wide == pytest.approx(1000.0, rel=6e-4)


def test_splayed_legs_stand_on_their_feet() -> None:
    """By hand: three feet on a circle reach R + R/2 across it, and a radius of a foot, cut off
    level and so 1/cos of the lean wider, on either side."""
    sheet = network("stool", style="splayed legs", legs="three legs").solve(
        {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    )
    points = legged_points(sheet)
    out, lean = sheet.number("foot_radius"), math.radians(sheet.number("leg_resultant"))
    foot = sheet.number("foot_diameter") / 2 / math.cos(lean)
    assert np.ptp(points[:, 0]) == pytest.approx(1.5 * out + 2 * foot, rel=1e-3)
    assert np.ptp(points[:, 1]) == pytest.approx(math.sqrt(3) * out + 2 * foot, rel=1e-3)
    assert not points[:, 2].any()
