"""Cutting the rim: the grain, the cutter's speed and the reach of a board."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tablekit.engine.trouble import RangeError
from tablekit.planning.trammel_plan import arcs_against_the_grain, fastest, trammel_board


def lifted(bearing: float, grain: float, from_below: bool) -> bool:
    """By vectors in space: whether the edge, following a fibre its own way, runs into the top."""
    up = np.array([0, 0, -1.0 if from_below else 1.0])  # towards the router
    angle, fibre = math.radians(bearing), math.radians(grain)
    outward = np.array([math.cos(angle), math.sin(angle), 0])
    along = np.array([math.cos(fibre), math.sin(fibre), 0])
    spin = -up  # clockwise, seen from the router
    edge = np.cross(spin, -outward)  # velocity where the cutter's near side touches the rim
    along = along if along @ edge > 0 else -along
    return bool(along @ outward < 0)


@pytest.mark.parametrize("from_below", [True, False])
@pytest.mark.parametrize("grain", [0.0, 35.0, 300.0])
def test_arcs_by_vectors(grain: float, from_below: bool) -> None:
    # independent: cross products; reference/derivations/trammel.md
    arcs = arcs_against_the_grain(grain, from_below=from_below)
    for bearing in np.arange(0.5, 360, 1.0):
        inside = any(
            start < turned < end for start, end in arcs for turned in (bearing, bearing + 360)
        )
        assert inside == lifted(bearing, grain, from_below), bearing


def test_a_curve_is_cut_downhill() -> None:
    # common practice, no source: from the side grain to the end grain. Router above the upper face,
    # its edges run anticlockwise: from the side (90°) to the end (180°) is well cut.
    arcs = arcs_against_the_grain(from_below=False)
    assert not any(start < 135 < end for start, end in arcs)
    assert any(start < 45 < end for start, end in arcs)


@pytest.mark.parametrize(
    ("inches", "turns"),
    [(0.5, 24000), (1, 24000), (1.01, 18000), (2, 18000), (2.5, 16000), (3.5, 12000)],
)
def test_speeds(inches: float, turns: float) -> None:
    # reference/shop.csv: common practice, read
    assert fastest(25.4 * inches) == turns


def test_a_cutter_wider_than_the_table_is_refused() -> None:
    with pytest.raises(RangeError, match="hand-held"):
        fastest(90)


def test_one_board() -> None:
    # common practice, no source: a 42 in board serves 1 ft to 6 ft
    board = trammel_board(42 * 25.4, 12.7)
    assert board.number("narrowest_circle") < 304.8 and board.number("widest_circle") > 6 * 304.8
    # definition: π D n/60000
    assert board.number("cutting_speed") == pytest.approx(math.pi * 12.7 * 24000 / 60000)
