"""What a socket and the top's edge bear, against sympy's beam module and its sections.

Short grain, splitting, the floor of a socket, a pull along a leg, and the top over two sockets. The
strengths themselves are held against the Wood Handbook in test_strength_tables.py.
"""

from __future__ import annotations

import math

import pytest
import sympy as sp
from sympy.geometry import Polygon
from sympy.physics.continuum_mechanics.beam import Beam

from tablekit.relations import splayed_socket, splayed_top
from tests.relations.evaluate import number

X = sp.Symbol("x", positive=True)
UNIT = {"strength_factor": 1.0, "shear_strength": 1.0, "tension_across": 1.0}


def used(relation, name: str, values: dict[str, float]) -> float:
    """The share used where every strength is one pascal: the stress itself."""
    sides = relation.equation
    return number(sides.rhs, values) / number(sides.lhs, {**values, name: 1.0})


@pytest.mark.witness(
    splayed_socket.RIM_SHEAR_USED, splayed_socket.CROSS_FORCE,
    by="sympy: a stiff tenon whose walls press evenly changing along it", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize(("deep", "below"), [(30, 350), (45, 700), (20, 300)])
def test_the_wood_outside_a_socket_is_pushed_by_the_walls_near_its_mouth(
    deep: int, below: int
) -> None:
    force = 100  # across the leg at its foot, N; lengths in mm, x from the bottom of the socket
    a, b = sp.symbols("a b")
    pressure = a + b * X
    # The walls balance the force at the foot, in sum and about the bottom.
    walls = sp.solve(
        [sp.integrate(pressure, (X, 0, deep)) + force,
         sp.integrate(pressure * X, (X, 0, deep)) + force * (deep + below)], [a, b],
    )  # fmt: skip
    beam = Beam(deep + below, 1, 1)
    beam.apply_load(walls[a], 0, 0, end=deep)
    beam.apply_load(walls[b], 0, 1, end=deep)
    beam.apply_load(force, deep + below, -1)
    turns = sp.solve(pressure.subs(walls), X)[0]
    shear = abs(float(sp.integrate(pressure.subs(walls), (X, 0, turns))))
    near = abs(float(sp.integrate(pressure.subs(walls), (X, turns, deep))))
    # The beam is in balance: no bending is left at its free end.
    assert float(beam.bending_moment().subs(sp.Symbol("x"), deep + below - sp.Rational(1, 10**9))
                 ) == pytest.approx(0.0, abs=1e-3)  # fmt: skip
    moment = force * below / 1e3
    si = {**UNIT, "leg_moment": moment, "shoulder_length": below / 1e3, "socket_depth": deep / 1e3}
    assert number(splayed_socket.CROSS_FORCE.equation.rhs, si) == pytest.approx(shear, rel=1e-9)
    # Pushed by all of the pressure near the mouth, held by two planes half as high as the socket.
    wood = 0.034
    si |= {"edge_wood": wood, "tenon_cross_force": shear}
    stress = used(splayed_socket.RIM_SHEAR_USED, "rim_shear_used", si)
    assert stress == pytest.approx(near / (2 * wood * deep / 2e3), rel=1e-9)


def section_modulus(wide: float, high: float) -> float:
    """Of a rectangle, by sympy's second moment of a polygon."""
    half = (sp.Rational(wide) / 2, sp.Rational(high) / 2)
    corners = [(-half[0], -half[1]), (half[0], -half[1]), half, (-half[0], half[1])]
    second = Polygon(*corners).second_moment_of_area()[0]
    return float(second / half[1])


@pytest.mark.witness(
    splayed_socket.SPLIT_STRENGTH_USED, by="the section modulus of a polygon, by sympy",
    within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize(("across", "circle"), [(320.0, 108.0), (300.0, 140.0), (900.0, 300.0)])
def test_a_leg_across_the_grain_bends_a_strip_of_the_top(across: float, circle: float) -> None:
    thick, tenon, moment = 45.0, 30.0, 33.6
    chord = 2 * math.sqrt(across**2 / 4 - circle**2) - tenon
    stress = moment * 1e3 / section_modulus(min(chord, 4 * thick), thick)  # N/mm²
    si = {
        **UNIT, "top_diameter": across / 1e3, "socket_radius": circle / 1e3, "leg_moment": moment,
        "tenon_diameter": tenon / 1e3, "top_thickness": thick / 1e3,
    }  # fmt: skip
    found = used(splayed_socket.SPLIT_STRENGTH_USED, "split_strength_used", si)
    assert found / 1e6 == pytest.approx(stress, rel=1e-9)


@pytest.mark.witness(
    splayed_socket.FLOOR_STRENGTH_USED, splayed_socket.WITHDRAWAL_USED,
    by="the half of a wall with end grain or long grain, added up in strips", within="1e-6",
)  # fmt: skip
def test_half_of_the_wall_round_a_tenon_holds() -> None:
    tenon, cover, deep, lean, force, pull = 0.030, 0.0104, 0.0315, math.radians(18), 808.6, 400.0
    strips = 10_000
    # Strips of the wall that face within 45° of the grain, to either side.
    held = sum(
        1 for k in range(strips) if abs(math.cos(2 * math.pi * (k + 0.5) / strips)) > math.sqrt(0.5)
    )
    round_it = math.pi * tenon * held / strips
    si = {
        **UNIT, "tenon_diameter": tenon, "socket_cover": cover, "socket_depth": deep,
        "leg_resultant": lean, "foot_force": force, "rim_load": pull,
    }  # fmt: skip
    floor = used(splayed_socket.FLOOR_STRENGTH_USED, "floor_strength_used", si)
    assert floor == pytest.approx(force * math.cos(lean) / (round_it * cover), rel=1e-6)
    drawn = used(splayed_socket.WITHDRAWAL_USED, "withdrawal_used", si)
    assert drawn == pytest.approx(pull / (round_it * deep), rel=1e-6)


@pytest.mark.witness(
    *(splayed_top.edge(kind, count) for kind in ("stool", "table") for count in (3, 4)),
    by="sympy's beam module: a bar that goes on beyond its support", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize("count", [3, 4])
@pytest.mark.parametrize("kind", ["stool", "table"])
def test_the_edge_of_the_top_is_a_bar_beyond_its_support(kind: str, count: int) -> None:
    rim, circle, inset, load = 160, 100, 60, 1300
    # Seen along the line through two sockets: held down at the far side, borne at that line.
    line = circle * math.cos(math.pi / count)
    reach = rim - inset if kind == "stool" else rim
    far = circle if count == 3 else line
    beam = Beam(far + rim + 10.0, 1, 1)
    down, bears = sp.symbols("down bears")
    beam.apply_load(down, 0, -1)
    beam.apply_load(bears, far + line, -1)
    beam.apply_load(-load, far + reach, -1)
    beam.bc_deflection = [(0, 0), (far + line, 0)]
    beam.solve_for_reaction_loads(down, bears)
    moment = abs(float(beam.bending_moment().subs(sp.Symbol("x"), far + line + 1e-6))) / 1e3
    si = {
        "design_load": load, "rim_load": load, "top_diameter": 2 * rim / 1e3,
        "seat_load_inset": inset / 1e3, "socket_radius": circle / 1e3,
    }  # fmt: skip
    found = number(splayed_top.edge(kind, count).equation.rhs, si)
    assert found == pytest.approx(moment, rel=1e-6)
