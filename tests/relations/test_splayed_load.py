"""What splayed legs bear, against plain statics: forces summed, bars integrated, frames of beams.

Nothing here takes a formula from the kit. A leg is a line in space whose bending is integrated bit
by bit; three or four of them under a stiff top are a frame whose stiffness is assembled in vectors;
the pressure in a socket is added up along the tenon.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import sympy as sp
from scipy.optimize import brentq, linprog
from sympy.physics.continuum_mechanics.beam import Beam

from tablekit.engine.relation import Relation
from tablekit.relations import bases, splayed_load, splayed_socket, splayed_stand, splayed_top
from tablekit.relations.families import network
from tests.relations.evaluate import gap, number, size
from tests.relations.splayed_vectors import Design, leg, measure
from tests.relations.test_splayed_vectors import in_metres, random_design
from tests.together import each

DESIGNS = 12
E = 11.5e9  # Pa


@cache
def drawn(legs: str) -> tuple[tuple[Design, dict[str, float]], ...]:
    random = np.random.default_rng(40 + bases.LEGS[legs])
    found = []
    for k in range(DESIGNS):
        design = random_design(random, bases.LEGS[legs], k % 2 == 0)
        found.append((design, in_metres(design)))
    return tuple(found)


def within(relation: Relation, values: dict[str, float]) -> float:
    return abs(gap(relation, values)) / size(relation, values)


def flexibility(design: Design, values: dict[str, float]) -> float:
    """How far a leg's foot gives way across the leg for a unit of force, m/N.

    The foot is free and the shoulder held; the integral of x²/EI by Gauss, exact enough for a
    tapered round bar at 60 points.
    """
    nodes, weights = np.polynomial.legendre.leggauss(60)
    length = values["shoulder_length"]
    x = length * (1 + nodes) / 2
    diameter = (design.thin + (design.thick - design.thin) * x / length) / 1000
    inertia = np.pi * diameter**4 / 64
    return float(np.sum(weights * length / 2 * x**2 / (E * inertia)))


# -- the foot that carries most -------------------------------------------------------------------


def most(stands: np.ndarray, at: np.ndarray) -> float:
    """The greatest share that one foot can be made to carry of a load at `at`, by any forces that
    push up, balance, and keep three feet at most on the floor."""
    count = len(stands)
    shares = []
    for lifted in range(count if count > 3 else 1):
        bounds = [(0, 0) if count > 3 and k == lifted else (0, None) for k in range(count)]
        balance = np.vstack([np.ones(count), stands.T])
        for foot in range(count):
            gain = -np.eye(count)[foot]
            found = linprog(gain, A_eq=balance, b_eq=[1.0, *at], bounds=bounds)
            if found.success:
                shares.append(-found.fun)
    return max(shares)


@pytest.mark.parametrize("kind", ["table", "stool"])
@pytest.mark.parametrize("legs", bases.LEGS)
def test_share_of_the_most_loaded_foot(kind: str, legs: str) -> None:
    # independent: a linear programme over the forces on three feet, one of four lifted
    count = bases.LEGS[legs]
    relation = splayed_load.share(kind, count)
    for radius, sockets in ((0.2, 0.1), (0.45, 0.3), (0.3, 0.28)):
        around = 2 * np.pi * np.arange(count) / count
        stands = radius * np.column_stack([np.cos(around), np.sin(around)])
        over = kind == "stool"
        out = 0.9 * sockets if over else sockets * math.cos(math.pi / count)
        bearing = 0.0 if over else math.pi / count
        at = out * np.array([math.cos(bearing), math.sin(bearing)])
        values = {"foot_radius": radius, "load_reach": out, "foot_share": most(stands, at)}
        assert within(relation, values) < 1e-9


# -- bending under the load -----------------------------------------------------------------------


@pytest.mark.witness(
    splayed_load.LOAD_MOMENT, splayed_load.PUSH_RADIUS, splayed_stand.FOOT_STEP,
    by="cross products of forces and arms, axes prolonged in space",
    within="1e-9 of the largest term",
)  # fmt: skip
@pytest.mark.parametrize("legs", bases.LEGS)
def test_moment_at_the_shoulder_and_the_axis_prolonged(legs: str) -> None:
    # independent: cross products
    for design, values in drawn(legs):
        one = leg(design)
        arm = (one.foot - one.socket) / 1000
        out = np.array([one.down[0], one.down[1], 0.0])
        out /= np.linalg.norm(out)
        for friction in (0.0, 0.1, 0.9):
            # Friction stops the foot and never pulls it in.
            held = min(friction, float(arm @ out) / -arm[2])
            force = 700.0 * (np.array([0.0, 0.0, 1.0]) - held * out)
            found = np.linalg.norm(np.cross(arm, force))
            there = {**values, "foot_force": 700.0, "foot_friction": friction}
            assert number(splayed_load.LOAD_MOMENT.equation.rhs, there) == pytest.approx(
                found, rel=1e-9, abs=1e-9
            )
        top = one.socket - one.down * design.top / -one.down[2]
        there = {**values, "push_radius": float(np.linalg.norm(top[:2])) / 1000}
        assert within(splayed_load.PUSH_RADIUS, there) < 1e-9
        # The plumb part of a step along the leg.
        there = {**values, "leg_step": 0.002, "foot_step": 0.002 * -one.down[2]}
        assert within(splayed_stand.FOOT_STEP, there) < 1e-9


def frame(design: Design, values: dict[str, float], push: float) -> tuple[float, float]:
    """Sway of the upper face and the largest moment at a shoulder under a push in the worst
    direction, m and N m.

    The top is stiff, the feet are hinged to the floor, the legs do not change their length. In the
    frame of the top each foot is moved by a rotation and a shift of the floor; what moves it along
    its leg is forbidden, what moves it across costs energy.
    """
    soft = flexibility(design, values)
    height = (design.rise + design.top) / 1000
    rows, stiffness, arms = [], np.zeros((6, 6)), []
    for k in range(design.count):
        one = leg(design, k)
        foot, down = one.foot / 1000, one.down
        # movement of the foot = shift + turn × foot
        moves = np.hstack([np.eye(3), -cross(foot)])
        rows.append(down @ moves)
        across = (np.eye(3) - np.outer(down, down)) @ moves
        stiffness += across.T @ across / soft
        arms.append(across)
    free = null(np.array(rows))
    reduced = free.T @ stiffness @ free
    best = (0.0, 0.0)
    for bearing in np.linspace(0, 2 * np.pi, 721):
        way = np.array([np.cos(bearing), np.sin(bearing), 0.0])
        load = push * way @ np.hstack([np.eye(3), -cross(np.array([0.0, 0.0, height]))])
        move = free @ np.linalg.solve(reduced, free.T @ load)
        sway = load @ move / push
        forces = [np.linalg.norm(across @ move) / soft for across in arms]
        moment = max(forces) * values["shoulder_length"]
        best = max(best[0], sway), max(best[1], moment)
    return best


def cross(vector: np.ndarray) -> np.ndarray:
    x, y, z = vector
    return np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])


def null(rows: np.ndarray) -> np.ndarray:
    """A basis of what the rows leave free; columns."""
    _, sizes, turned = np.linalg.svd(rows)
    rank = int(np.sum(sizes > 1e-9 * sizes[0]))
    return turned[rank:].T


@pytest.mark.witness(
    *(splayed_load.push_bending(n) for n in (3, 4)), *(splayed_load.swaying(n) for n in (3, 4)),
    by="the stiffness of a frame of bars in space, its legs unable to change their length",
    within="1e-4 of the value, pushes tried every half degree",
)  # fmt: skip
@pytest.mark.parametrize("legs", bases.LEGS)
def test_sway_and_its_bending_are_those_of_a_frame(legs: str) -> None:
    # independent: assembled in vectors, tapered bars integrated by Gauss
    count = bases.LEGS[legs]
    for design, values in drawn(legs)[:6]:
        sway, moment = frame(design, values, 400.0)
        top = leg(design)
        axis = top.socket - top.down * design.top / -top.down[2]
        there = {
            **values, "rim_load": 400.0, "elastic_modulus": E, "sway": sway, "push_moment": moment,
            "push_radius": float(np.linalg.norm(axis[:2])) / 1000,
        }  # fmt: skip
        assert within(splayed_load.swaying(count), there) < 1e-9
        assert within(splayed_load.push_bending(count), there) < 1e-4


def test_a_straight_leg_bends_as_the_beam_of_sympy_does() -> None:
    # independent: sympy's beam, held at one end
    long, stiff = sp.Rational(2, 5), sp.Float(E * math.pi * 0.04**4 / 64)
    beam = Beam(long, stiff, 1)
    reaction, moment = sp.symbols("R M")
    beam.apply_load(100, long, -1)
    beam.apply_load(reaction, 0, -1)
    beam.apply_load(moment, 0, -2)
    beam.bc_deflection = [(0, 0)]
    beam.bc_slope = [(0, 0)]
    beam.solve_for_reaction_loads(reaction, moment)
    sags = abs(float(beam.deflection().subs(beam.variable, long)))
    # 100 N across a leg of 400 mm that stands plumb
    there = {
        "load_moment": 40.0, "shoulder_length": 0.4, "leg_resultant": 0.0, "elastic_modulus": E,
        "leg_diameter": 0.04, "foot_diameter": 0.04, "foot_slide": sags,
    }  # fmt: skip
    assert within(splayed_load.FOOT_SLIDE, there) < 1e-12


@pytest.mark.witness(
    splayed_load.FOOT_SLIDE, by="a tapered bar integrated by Gauss at 60 points", within="1e-9"
)
@pytest.mark.parametrize("legs", bases.LEGS)
def test_the_foot_of_a_tapered_leg_slides_as_the_integral_says(legs: str) -> None:
    for design, values in drawn(legs):
        moment, lean = 30.0, values["leg_resultant"]
        across = moment / values["shoulder_length"] * flexibility(design, values)
        there = {**values, "load_moment": moment, "elastic_modulus": E}
        there["foot_slide"] = across * math.cos(lean)
        assert within(splayed_load.FOOT_SLIDE, there) < 1e-9


@pytest.mark.witness(
    splayed_load.WEAK_DIAMETER, splayed_load.LEG_STRENGTH_USED,
    by="the greatest of 200,001 sections along the leg", within="1e-8",
)  # fmt: skip
def test_the_most_stressed_section_is_the_greatest_of_many() -> None:
    for thick, thin in ((0.045, 0.045), (0.045, 0.03), (0.045, 0.02), (0.06, 0.012), (0.03, 0.04)):
        share = np.linspace(0, 1, 200_001)
        diameter = thin + (thick - thin) * share
        stress = 32 * 50.0 * share / (np.pi * diameter**3)
        there = {
            "leg_diameter": thick, "foot_diameter": thin, "leg_moment": 50.0, "foot_force": 0.0,
            "foot_friction": 0.2, "leg_resultant": 0.3, "strength_factor": 1.0,
            "bending_strength": 1.0, "compression_along": 1.0,
        }  # fmt: skip
        there["weak_diameter"] = number(splayed_load.WEAK_DIAMETER.equation.rhs, there)
        assert there["weak_diameter"] == pytest.approx(diameter[stress.argmax()], rel=1e-5)
        found = number(splayed_load.LEG_STRENGTH_USED.equation.rhs, there)
        assert found == pytest.approx(stress.max(), rel=1e-8)


def test_a_tapered_leg_buckles_at_no_less_than_said() -> None:
    """E I y'' + P y = 0 in a round bar that tapers evenly, held at its thick end, has the solution
    y = x sin(κ(1/a − 1/x)), x from the point of the cone (from memory; put back here)."""
    straight = (0.045, 0.045 * (1 - 1e-6), True)
    for thick, thin, exact in (straight, (0.045, 0.03, False), (0.05, 0.02, False)):
        long = 0.7
        a = long * thin / (thick - thin)
        b = a + long

        def held(kappa: float, a: float = a, b: float = b) -> float:
            # slope at the held end, times b over the cosine
            phi = kappa * (1 / a - 1 / b)
            return b * math.sin(phi) + kappa * math.cos(phi)

        lowest = math.pi / 2 / (1 / a - 1 / b)
        kappa = brentq(held, lowest, 2 * lowest * (1 - 1e-12))
        # put back into the equation at a point between
        x = sp.Symbol("x", positive=True)
        y = x * sp.sin(kappa * (1 / a - 1 / x))
        there = (a + b) / 2
        assert float((sp.diff(y, x, 2) * x**4 + kappa**2 * y).subs(x, there)) == pytest.approx(
            0, abs=1e-6 * kappa**2
        )
        critical = E * math.pi * thin**4 / 64 * kappa**2 / a**4
        values = {
            "leg_diameter": thick, "foot_diameter": thin, "elastic_modulus": E,
            "strength_factor": 1.0, "shoulder_length": long, "leg_resultant": 0.0,
            "foot_friction": 0.0, "foot_force": critical,
        }  # fmt: skip
        relation = splayed_load.BUCKLING.equation
        used = number(relation.rhs, values) / number(relation.lhs, {**values,
                      "leg_buckling_used": 1.0})  # fmt: skip
        assert used >= 1 - 1e-9  # what breaks it is said to be used up, or more
        assert used == pytest.approx(1, rel=1e-5) if exact else used < 4  # as φ is less than π


# -- tenon and socket -----------------------------------------------------------------------------


@pytest.mark.witness(
    splayed_socket.CROSS_FORCE, by="pressure added up along the tenon", within="1e-8"
)
def test_the_shear_in_a_tenon_is_that_of_an_even_change_of_pressure() -> None:
    # independent: the two constants of the pressure from two sums, then the shear summed
    for moment, deep, long in ((33.6, 0.0315, 0.349), (80.0, 0.05, 0.7), (10.0, 0.02, 0.2)):
        force = moment / long
        z = np.linspace(0, deep, 400_001)
        ones, twos = np.trapezoid(np.ones_like(z), z), np.trapezoid(z, z)
        moments = np.array([[ones, twos], [twos, np.trapezoid(z * z, z)]])
        # Sum of the pressure is the force; its moment about the mouth that of the leg, reversed.
        even, slope = np.linalg.solve(moments, [force, -moment])
        shear = force - (even * z + slope * z**2 / 2)
        found = float(np.abs(shear).max())
        assert abs(shear[-1]) < 1e-6 * found
        there = {
            "leg_moment": moment, "socket_depth": deep, "shoulder_length": long,
            "tenon_cross_force": found,
        }  # fmt: skip
        assert within(splayed_socket.CROSS_FORCE, there) < 1e-8


@pytest.mark.witness(
    splayed_socket.SOCKET_PRESSURE, by="two even pressures balanced numerically", within="1e-9"
)
def test_the_pressure_in_a_socket_balances_the_leg() -> None:
    # independent: pressure p one way down to a, the other way below, found by root search
    for moment, deep, long, thick in ((33.6, 0.0315, 0.349, 0.03), (80.0, 0.05, 0.7, 0.04)):
        force = moment / long

        def unbalanced(line: float, deep: float = deep, force: float = force,
                       moment: float = moment) -> float:  # fmt: skip
            turn = (force / line + deep) / 2
            return line * ((deep - turn) * (turn + deep) / 2 - turn**2 / 2) - moment

        line = brentq(unbalanced, 2 * moment / deep**2, 100 * moment / deep**2, xtol=1e-9)
        there = {
            "leg_moment": moment, "socket_depth": deep, "shoulder_length": long,
            "tenon_diameter": thick, "socket_pressure": line / thick,
        }  # fmt: skip
        assert within(splayed_socket.SOCKET_PRESSURE, there) < 1e-9


def test_bearing_strength_is_that_of_the_specification_in_pounds_and_inches() -> None:
    # National Design Specification, dowel bearing strength across the grain: 6100 G^1.45/√D psi
    # (quoted); 1 psi is 6894.757 Pa (NIST SP 811, from memory)
    for gravity, inches in ((0.5, 0.5), (0.67, 1.0)):
        there = {
            "specific_gravity": gravity, "tenon_diameter": inches * 0.0254,
            "socket_bearing": 6100 * gravity**1.45 / inches**0.5 * 6894.757,
            "peg_bearing": 212e6,
        }  # fmt: skip
        assert within(splayed_socket.SOCKET_BEARING, there) < 2e-4


# -- the top, the mass and a leg too short --------------------------------------------------------


@pytest.mark.witness(
    *(splayed_top.middle(n) for n in (3, 4)), by="half of a round load added up", within="1e-6"
)
@pytest.mark.parametrize("count", [3, 4])
def test_bending_across_the_middle_of_the_top(count: int) -> None:
    # independent: the feet's moments less that of half the pad, cut into strips
    pad, load, sockets, run, rise, grip = 0.2, 1300.0, 0.12, 0.11, 0.34, 0.15
    x = np.linspace(0, pad / 2, 2_000_001)
    strips = 2 * np.sqrt((pad / 2) ** 2 - x**2)
    half = np.trapezoid(strips * x, x) * load / (np.pi * pad**2 / 4)
    foot = load / {3: 3, 4: 2}[count]
    moment = foot * (sockets + run) - grip * foot * rise - half
    there = {
        "design_load": load, "socket_radius": sockets, "leg_run": run, "leg_rise": rise,
        "foot_friction": grip, "seat_pad": pad, "middle_moment": moment,
    }  # fmt: skip
    assert within(splayed_top.middle(count), there) < 1e-6


@pytest.mark.witness(
    splayed_stand.BASE_CENTRE, by="areas of three slices of a leaning leg", within="1e-9"
)
@pytest.mark.parametrize("legs", bases.LEGS)
def test_the_legs_balance_where_slices_say(legs: str) -> None:
    for design, values in drawn(legs)[:4]:
        one = leg(design)
        nodes, weights = np.polynomial.legendre.leggauss(4)
        heights = design.rise * (1 + nodes) / 2
        areas = []
        for height in heights:
            _, reach = one.section(float(height))
            areas.append(float(np.mean(reach**2)))
        centre = np.sum(weights * areas * heights) / np.sum(weights * areas)
        there = {**values, "pad_projection": 0.003, "base_centre": centre / 1000 + 0.003}
        assert within(splayed_stand.BASE_CENTRE, there) < 1e-9


@pytest.mark.witness(
    *(splayed_stand.tilt(n) for n in (3, 4)), by="a plane through three feet", within="1e-9"
)
@pytest.mark.parametrize("count", [3, 4])
def test_a_leg_too_short_tilts_the_top_by_the_plane_of_the_feet(count: int) -> None:
    # independent: of the planes through three feet, one short, the one that tilts the most
    radius, short = 0.21, 0.001
    around = 2 * np.pi * np.arange(count) / count
    feet = np.column_stack([radius * np.cos(around), radius * np.sin(around), np.zeros(count)])
    feet[0, 2] = short
    steepest = 0.0
    for out in range(1, count) if count > 3 else [count]:
        three = np.delete(feet, out, axis=0) if count > 3 else feet
        normal = np.cross(three[1] - three[0], three[2] - three[0])
        lean = math.acos(abs(normal[2]) / np.linalg.norm(normal))
        rest = feet[out % count]
        above = (rest - three[0]) @ (normal / normal[2])
        if count == 3 or above >= -1e-12:  # the fourth foot is on the floor or over it
            steepest = max(steepest, lean)
    there = {"foot_step": short, "foot_radius": radius, "top_tilt": steepest}
    assert within(splayed_stand.tilt(count), there) < 1e-6


# -- whole designs --------------------------------------------------------------------------------


@pytest.mark.parametrize("legs", bases.LEGS)
@pytest.mark.parametrize("kind", ["table", "stool"])
def test_a_height_alone_makes_a_piece_that_holds(kind: str, legs: str) -> None:
    """common practice, no source: heights of stools and tables that are built on such legs. Bar
    stools are not among them: they need stretchers."""
    of = network(kind, style="splayed legs", legs=legs)
    heights = {"stool": (380.0, 430.0, 450.0), "table": (710.0, 735.0, 750.0)}
    name = {"stool": "seat_height", "table": "table_height"}[kind]
    for height in heights[kind]:
        sheet = of.solve({name: height})
        failed = [check.id for check in sheet.checks if check.verdict == "fail"]
        weak = [check.id for check in sheet.checks if check.verdict == "caution"]
        assert not failed
        assert set(weak) <= {"tipping", "knee_height", "sitter_leaning"}, weak


def test_a_bar_stool_is_told_to_have_stretchers() -> None:
    sheet = network("stool", style="splayed legs").solve({"seat_height": 750.0})
    bad = {check.id: check for check in sheet.checks if check.verdict != "pass"}
    assert "slippery_floor" in bad and "stretchers" in bad["slippery_floor"].mend


def test_a_thicker_tenon_and_a_steeper_leg_are_stressed_less() -> None:
    of, asked = network("stool", style="splayed legs"), {"seat_height": 450.0}
    usual = of.solve(asked)
    for change in ({"tenon_diameter": 36.0}, {"leg_resultant": 14.0}):
        other = of.solve({**asked, **change})
        assert other.number("tenon_strength_used") < usual.number("tenon_strength_used")
    grip = of.solve({**asked, "foot_friction": 0.0})
    assert grip.number("load_moment") > usual.number("load_moment")
    assert grip.number("slip_strength_used") == usual.number("slip_strength_used")


def test_a_strength_that_is_fixed_finds_the_load() -> None:
    of = network("stool", style="splayed legs")
    sheet = of.solve({"seat_height": 450.0, "tenon_strength_used": 1.0})
    assert sheet["design_load"].origin == "found"
    again = of.solve({"seat_height": 450.0, "design_load": sheet.number("design_load")})
    assert again.number("tenon_strength_used") == pytest.approx(1.0, rel=1e-9)


def test_measure_knows_the_design_that_is_loaded() -> None:
    """The vectors and the values that the tests above put in are of one design."""
    design, values = drawn("three legs")[0]
    again = measure(replace(design))
    assert again["leg_run"] / 1000 == pytest.approx(values["leg_run"], rel=1e-12)


EVERY = (*splayed_load.REQUIREMENTS, *splayed_socket.REQUIREMENTS, *splayed_top.REQUIREMENTS)


@each("asked", EVERY, ids=lambda one: one.id)
def test_what_fails_says_how_to_mend_it(asked) -> None:
    assert asked.too_high and asked.mend_high and asked.fine
    assert asked.good[0] is None and asked.good[1] is not None
