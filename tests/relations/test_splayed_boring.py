"""Boring the sockets and the fit of the tenons, against vectors, turned tables and plain sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from tablekit.relations import bases, splayed_boring, splayed_season, splayed_stretchers
from tablekit.relations.families import network
from tests.relations.evaluate import gap, number, size
from tests.relations.splayed_vectors import Design, leg, unit
from tests.relations.test_splayed_load import drawn, within


def turned_about(axis: np.ndarray, angle: float, vector: np.ndarray) -> np.ndarray:
    """The vector turned about an axis, by Rodrigues' formula."""
    axis = unit(axis)
    cos, sin = math.cos(angle), math.sin(angle)
    return vector * cos + np.cross(axis, vector) * sin + axis * (axis @ vector) * (1 - cos)


@pytest.mark.witness(
    splayed_boring.SIDE_BEVEL, splayed_boring.FRONT_BEVEL, splayed_boring.PRESS_TILT,
    by="a top turned on a tilted table until a plumb bit lies along the leg", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize("legs", bases.LEGS)
def test_a_tilted_table_and_a_wedge_lay_the_leg_plumb(legs: str) -> None:
    # independent: the top is turned as a body, the bit stays plumb
    for design, values in drawn(legs):
        tilt = math.atan(number(splayed_boring.PRESS_TILT.equation.rhs, values))
        x, y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
        # In its own axes, x the rake axis, a leg goes down along these tangents.
        down = unit(np.array([math.tan(design.rake), math.tan(design.splay), -1.0]))
        assert abs(down[2] - leg(design).down[2]) < 1e-12
        # The wedge lies next to the top and turns it first; the table turns both.
        on_wedge = turned_about(x, -design.splay, down)
        bored = turned_about(y, tilt, on_wedge)
        assert np.allclose(bored, [0.0, 0.0, -1.0], atol=1e-9), bored
        # Seen square to the rake axis and along it, the leg and the underside enclose the bevels.
        side = math.atan2(-down[2], abs(down[0]))
        front = math.atan2(-down[2], abs(down[1]))
        assert within(splayed_boring.SIDE_BEVEL, {**values, "side_bevel": side}) < 1e-9
        assert within(splayed_boring.FRONT_BEVEL, {**values, "front_bevel": front}) < 1e-9


def block(design: Design, wide: float, hole: float) -> np.ndarray:
    """The eight corners of a guide block whose hole lies along a leg: four of its square end, then
    those where its edges meet the underside, z = 0."""
    one = leg(design)
    down = one.down
    across = unit(np.cross(down, [0.0, 0.0, 1.0]))
    steep = np.cross(across, down)
    corners = [wide / 2 * (a * across + b * steep) for a in (-1, 1) for b in (-1, 1)]
    end = [hole * down + corner for corner in corners]
    base = [corner - down * (corner[2] / down[2]) for corner in corners]
    return np.array([*end, *base])


@pytest.mark.witness(
    splayed_boring.GUIDE_BASE, splayed_boring.GUIDE_BLANK, splayed_boring.BIT_STOP,
    splayed_boring.POINT_COVER, by="corners of a block, and a bit stepped along a leg",
    within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize("legs", bases.LEGS)
def test_the_guide_block_and_the_depth_of_the_bit(legs: str) -> None:
    # independent: corners and points in space
    for design, values in drawn(legs):
        wide, hole, point = 0.060, 0.070, 0.004
        corners = block(design, wide, hole)
        base = max(
            float(np.linalg.norm(a - b)) for a in corners[4:] for b in corners[4:]
            if abs((a - b) @ np.cross(leg(design).down, [0, 0, 1.0])) < 1e-12
        )  # fmt: skip
        edges = [
            float(np.linalg.norm(a - b)) for a, b in zip(corners[:4], corners[4:], strict=True)
        ]
        there = {
            **values, "guide_width": wide, "guide_length": hole, "guide_base": base,
            "guide_blank": max(edges), "bit_point": point,
        }  # fmt: skip
        assert within(splayed_boring.GUIDE_BASE, there) < 1e-9
        assert within(splayed_boring.GUIDE_BLANK, there) < 1e-9
        one = leg(design)
        top = (design.rise + design.top) / 1000
        tip = one.socket / 1000 - one.down * (values["socket_depth"] + point)
        there["point_cover"] = top - float(tip[2])
        assert within(splayed_boring.POINT_COVER, there) < 1e-9
        # From the square end of the block, down the hole and on to the bottom of the socket.
        start, stop = hole * one.down, -values["socket_depth"] * one.down
        there["bit_stop"] = float(np.linalg.norm(start - stop))
        assert within(splayed_boring.BIT_STOP, there) < 1e-9


def test_the_lead_screw_of_an_auger_is_cautioned_of() -> None:
    of, asked = network("stool", style="splayed legs"), {"seat_height": 450.0}

    def verdict(point: float) -> str:
        sheet = of.solve({**asked, "bit_point": point})
        return next(check.verdict for check in sheet.checks if check.id == "point_cover")

    # By hand: 45 − 31.5 cos 18° = 15.0 mm plumb over the middle of the bottom
    assert [verdict(one) for one in (3.0, 12.9, 14.9)] == ["pass", "pass", "caution"]


# -- through the seasons --------------------------------------------------------------------------


@pytest.mark.witness(
    splayed_season.TENON_PLAY, splayed_season.TENON_SIDE_PLAY, splayed_season.TENON_SQUEEZE,
    splayed_season.TURNED_SQUEEZE, by="the widths of tenon and socket in each air, one by one",
    within="1e-9",
)  # fmt: skip
def test_the_fit_of_a_tenon_is_the_difference_of_two_widths() -> None:
    # independent: socket and tenon each taken to a new moisture by itself
    thick, clearance = 30.0, 0.1
    along, radial, board = 0.0035, 0.0018, 0.0029
    fitted, made, dry, wet = 5.0, 9.0, 6.5, 12.0

    def widths(air: float, ring: float, across_top: bool) -> tuple[float, float]:
        tenon = thick + thick * ring * (air - fitted)
        socket = thick + clearance + (thick * board * (air - made) if across_top else 0.0)
        return tenon, socket

    def play(air: float, ring: float, across_top: bool = False) -> float:
        tenon, socket = widths(air, ring, across_top)
        return (socket - tenon) / 1000

    there = {
        "tenon_diameter": thick / 1000, "tenon_clearance": clearance / 1000,
        "tenon_coefficient": along, "tenon_radial_coefficient": radial,
        "movement_coefficient": board, "tenon_moisture": fitted / 100, "shop_moisture": made / 100,
        "driest_moisture": dry / 100, "dampest_moisture": wet / 100, "one_percent": 0.01,
        "tenon_play": play(dry, radial), "tenon_side_play": play(dry, along, True),
        "tenon_squeeze": -play(wet, radial), "tenon_turned_squeeze": -play(wet, along),
    }  # fmt: skip
    for relation in (splayed_season.TENON_PLAY, splayed_season.TENON_SIDE_PLAY,
                     splayed_season.TENON_SQUEEZE, splayed_season.TURNED_SQUEEZE):  # fmt: skip
        assert abs(gap(relation, there)) < 1e-9 * size(relation, there)


def test_a_tenon_that_is_not_dried_is_loose_in_winter_and_a_dry_one_is_not() -> None:
    of, asked = network("stool", style="splayed legs"), {"seat_height": 450.0}
    dry, moist = (of.solve({**asked, "tenon_moisture": wet}) for wet in (5.0, 11.0))
    assert dry.number("tenon_play") < dry.number("tenon_clearance") < moist.number("tenon_play")
    found = {check.id: check.verdict for check in moist.checks}
    assert found["tenon_dry"] == "caution"
    assert {check.id: check.verdict for check in dry.checks}["tenon_dry"] == "pass"


# -- stretchers -----------------------------------------------------------------------------------


@pytest.mark.witness(
    splayed_stretchers.RADIUS, splayed_stretchers.LEG_THERE,
    *(splayed_stretchers.angle(n) for n in (3, 4)), *(splayed_stretchers.turn(n) for n in (3, 4)),
    *(splayed_stretchers.length(n) for n in (3, 4)), by="points and lines in space", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize("legs", bases.LEGS)
def test_stretchers_are_lines_between_the_legs(legs: str) -> None:
    # independent: points of the axes at one height, and rays that leave a straight round leg
    count = bases.LEGS[legs]
    for design, values in drawn(legs):
        height = 0.4 * design.rise
        axes = [leg(design, k) for k in range(count)]
        points = [a.foot - a.down * height / -a.down[2] for a in axes]
        there = {
            **values, "stretcher_height": height / 1000,
            "leg_at_stretcher": 2 * axes[0].radius(points[0]) / 1000,
            "stretcher_radius": float(np.linalg.norm(points[0][:2])) / 1000,
        }  # fmt: skip
        assert within(splayed_stretchers.RADIUS, there) < 1e-9
        assert within(splayed_stretchers.LEG_THERE, there) < 1e-9
        if design.turn:
            continue  # both ends differ; the kit leaves them out
        up = -axes[0].down
        ways = [unit(points[k] - points[0]) for k in (1, -1)]
        angle = math.acos(ways[0] @ up)
        flat = [unit(way - (way @ up) * up) for way in ways]
        there |= {"stretcher_angle": angle, "stretcher_turn": math.acos(flat[0] @ flat[1])}
        assert within(splayed_stretchers.angle(count), there) < 1e-9
        assert within(splayed_stretchers.turn(count), there) < 1e-9
        # How far along the stretcher a leg as thick as it is there, but straight, is left.
        across = np.linalg.norm(ways[0] - (ways[0] @ up) * up)
        leaves = there["leg_at_stretcher"] / 2 / across
        whole = float(np.linalg.norm(points[1] - points[0])) / 1000
        there["stretcher_length"] = whole - 2 * leaves
        assert within(splayed_stretchers.length(count), there) < 1e-9


def test_the_taper_that_stretchers_leave_out_is_small() -> None:
    # independent: the ray along a stretcher that leaves the tapered leg, by root search
    for kind in ("stool", "table"):
        sheet = network(kind, style="splayed legs", stretchers="T").solve(
            {"seat_height" if kind == "stool" else "table_height": 450.0}
        )
        of = sheet.number
        design = Design(
            3, math.radians(of("leg_rake")), math.radians(of("leg_splay")), 0.0, of("leg_rise"),
            of("socket_radius"), of("leg_diameter"), of("foot_diameter"), of("tenon_diameter"),
            of("socket_depth"), of("top_thickness"), of("top_diameter") / 2,
        )  # fmt: skip
        axes = [leg(design, k) for k in range(3)]
        height = of("stretcher_height")
        points = [a.foot - a.down * height / -a.down[2] for a in axes]
        ends = []
        for here, other, axis in ((0, 1, axes[0]), (1, 0, axes[1])):
            way = unit(points[other] - points[here])
            ends.append(
                brentq(lambda t, a=axis, p=points[here], w=way: a.outside(p + t * w), 0, 90)
            )
        exact = float(np.linalg.norm(points[1] - points[0])) - sum(ends)
        assert of("stretcher_length") == pytest.approx(exact, abs=0.4)
