"""sympy's beams as a referee of the formulas for bars; independent of the kit."""

from __future__ import annotations

import pytest
import sympy as sp
from sympy.physics.continuum_mechanics.beam import Beam

from tablekit.relations import post_load, top_load
from tests.relations.by_hand import value

x = sp.Symbol("x")
MODULUS = sp.Integer(12_000)  # MPa


def give_of_a_bar(length: float, inertia: sp.Expr, load: float) -> float:
    """Tip of a bar clamped at 0, by integrating its curvature: mm."""
    bar = Beam(sp.nsimplify(length), MODULUS, inertia)
    reaction, moment = sp.symbols("R M")
    bar.apply_load(-sp.nsimplify(load), length, -1)
    bar.apply_load(reaction, 0, -1)
    bar.apply_load(moment, 0, -2)
    bar.bc_deflection, bar.bc_slope = [(0, 0)], [(0, 0)]
    bar.solve_for_reaction_loads(reaction, moment)
    return abs(float(bar.deflection().subs(x, length)))


@pytest.mark.witness(post_load.HEAD_DEFLECTION, by="sympy's beams", within="1e-9")
def test_give_of_an_arm_without_a_notch() -> None:
    # A notch that leaves all and is infinitely short: only the arm is left.
    given = {
        "head_force": 500, "head_arm": 565, "elastic_modulus": 12_000,
        "bearing_rise": 0.6, "side_rise": 0.5, "post_section": 60, "post_width": 90,
        "rest_width": 90, "rest_depth": 60, "notch_width": 0, "notch_depth": 0,
    }  # fmt: skip
    across_depth = give_of_a_bar(565, sp.Rational(90 * 60**3, 12), 500 * 0.6)
    across_width = give_of_a_bar(565, sp.Rational(60 * 90**3, 12), 500 * 0.5)
    by_parts = 0.6 * across_depth + 0.5 * across_width
    assert value(post_load.HEAD_DEFLECTION, **given) == pytest.approx(by_parts, rel=1e-9)


@pytest.mark.witness(post_load.POST_STRESS, by="sympy's beams", within="1e-9")
def test_moment_at_the_crossing_and_stress() -> None:
    bar = Beam(400, MODULUS, 1)
    reaction, moment = sp.symbols("R M")
    bar.apply_load(-500, 400, -1)
    bar.apply_load(reaction, 0, -1)
    bar.apply_load(moment, 0, -2)
    bar.bc_deflection, bar.bc_slope = [(0, 0)], [(0, 0)]
    bar.solve_for_reaction_loads(reaction, moment)
    most = abs(float(bar.reaction_loads[moment]))
    section = 64 * sp.Integer(32) ** 2 / 6
    relation = value(
        post_load.POST_STRESS, post_moment=200, rest_width=32, rest_depth=64, roll=0,
    )  # fmt: skip
    assert relation == pytest.approx(most / float(section), rel=1e-9)


@pytest.mark.witness(top_load.RIM_DEFLECTION, by="sympy's beams", within="1e-9")
def test_strips_of_the_top() -> None:
    """The overhanging strip and the strip between two heads, each as a beam of its own."""
    radius, heads, thick, push = 460, 400, 28, 400
    reach = radius - heads // 2
    wide = sp.sqrt(3) * heads
    back = sp.Rational(3 * heads, 2)
    one, other = sp.symbols("R_1 R_2")
    mean_width = sp.pi * radius**2 / (2 * radius)
    over = Beam(back + reach, MODULUS * sp.Rational(8, 100), mean_width * thick**3 / 12)
    over.apply_load(one, 0, -1)
    over.apply_load(other, back, -1)
    over.apply_load(-push, back + reach, -1)
    over.bc_deflection = [(0, 0), (back, 0)]
    over.solve_for_reaction_loads(one, other)
    first = abs(float(over.deflection().subs(x, back + reach)))
    line = Beam(wide, MODULUS, 2 * reach * sp.Integer(thick) ** 3 / 12)
    line.apply_load(one, 0, -1)
    line.apply_load(other, wide, -1)
    line.apply_load(-abs(over.reaction_loads[other]), wide / 2, -1)
    line.bc_deflection = [(0, 0), (wide, 0)]
    line.solve_for_reaction_loads(one, other)
    second = abs(float(line.deflection().subs(x, wide / 2)))
    relation = value(
        top_load.RIM_DEFLECTION, rim_load=push, top_diameter=920, head_radius=heads,
        rim_reach=reach, elastic_modulus=12_000, across_share=0.08, top_thickness=thick,
    )  # fmt: skip
    assert relation == pytest.approx(first + second, rel=1e-9)
