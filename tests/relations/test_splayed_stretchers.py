"""Stretchers against points in space, solids, sections added up in strips, and sums of beams."""

from __future__ import annotations

import math

import numpy as np
import pytest
import sympy as sp
from sympy.physics.continuum_mechanics import Beam

from tablekit.brief import BriefError, parse_brief
from tablekit.engine.trouble import DesignError
from tablekit.planning.leg_work import leg_work
from tablekit.relations import (
    bases,
    leg_bench,
    splayed_family,
    splayed_load,
    splayed_socket,
    splayed_stretchers,
)
from tablekit.relations.families import network
from tablekit.solids.assembly import GOES, LOCKED
from tablekit.solids.cutting import solid
from tablekit.solids.leg_assembly import assemble_legs
from tablekit.solids.legs import build_legs, leg_solid
from tests.relations.evaluate import number

SORTS = [
    ("three legs", "T"), ("three legs", "ring"), ("four legs", "H"), ("four legs", "ring"),
]  # fmt: skip


def drawn(legs: str, stretchers: str, count: int):
    """Sheets of stools drawn at random."""
    random = np.random.default_rng([7, *map(ord, legs + stretchers)])
    of = network("stool", style="splayed legs", legs=legs, stretchers=stretchers)
    for _ in range(count):
        thick = random.uniform(34, 50)
        yield of.solve(
            {
                "seat_height": random.uniform(380, 700), "top_diameter": random.uniform(300, 420),
                "leg_diameter": thick, "foot_diameter": thick * random.uniform(0.6, 1.0),
                "leg_resultant": random.uniform(8, 22), "pad_projection": 0.0,
            }
        )  # fmt: skip


def axes(sheet, count: int) -> list[tuple[np.ndarray, np.ndarray]]:
    """Foot and socket of each leg, from the two circles and the rise alone."""
    found = []
    for k in range(count):
        turn = 2 * math.pi * k / count
        way = np.array([math.cos(turn), math.sin(turn), 0.0])
        rise = np.array([0.0, 0.0, sheet.number("leg_rise")])
        found.append(
            (sheet.number("foot_radius") * way, sheet.number("socket_radius") * way + rise)
        )
    return found


@pytest.mark.witness(
    splayed_stretchers.WHOLE, splayed_stretchers.CROSS_WHOLE, splayed_stretchers.CROSS_ANGLE,
    splayed_stretchers.cross(3), splayed_stretchers.cross(4), splayed_stretchers.floor(True),
    splayed_stretchers.floor(False), splayed_stretchers.MORTISE_GAP,
    by="points on lines in space", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize(("legs", "stretchers"), SORTS)
def test_lengths_are_those_between_points_in_space(legs: str, stretchers: str) -> None:
    count = bases.LEGS[legs]
    for sheet in drawn(legs, stretchers, 6):
        of = sheet.number
        high, rise, deep = of("stretcher_height"), of("leg_rise"), of("stretcher_depth")
        there = [foot + high / rise * (socket - foot) for foot, socket in axes(sheet, count)]
        up = [
            (socket - foot) / np.linalg.norm(socket - foot) for foot, socket in axes(sheet, count)
        ]
        thick = of("foot_diameter") + high / rise * (of("leg_diameter") - of("foot_diameter"))

        def leaves(way: np.ndarray, along: np.ndarray, thick: float = thick) -> float:
            return thick / 2 / float(np.linalg.norm(np.cross(way, along)))

        a, b = (1, 2) if count == 3 else (0, 1)
        span = there[b] - there[a]
        way = span / np.linalg.norm(span)
        between = float(np.linalg.norm(span)) - leaves(way, up[a]) - leaves(way, up[b])
        assert of("stretcher_length") == pytest.approx(between, rel=1e-9)
        assert of("stretcher_whole") == pytest.approx(between + 2 * deep, rel=1e-9)
        least = thick
        if stretchers == "ring":
            gap = of("stretcher_step") - of("stretcher_tenon")
            assert of("mortise_gap") == pytest.approx(gap, rel=1e-9)
        else:
            least = min(thick, of("stretcher_diameter"))
            middle = (there[a] + there[b]) / 2
            other = there[0] if count == 3 else (there[2] + there[3]) / 2
            span, side = middle - other, of("stretcher_diameter") / 2
            way = span / np.linalg.norm(span)
            off = side + (leaves(way, up[0]) if count == 3 else side)
            assert of("cross_length") == pytest.approx(np.linalg.norm(span) - off, rel=1e-9)
            assert of("cross_whole") == pytest.approx(
                np.linalg.norm(span) - off + 2 * deep, rel=1e-9
            )
            if count == 3:
                lean = math.degrees(math.acos(way @ up[0]))
                assert of("cross_angle") == pytest.approx(lean, rel=1e-9)
        assert of("mortise_floor") == pytest.approx(least - deep, rel=1e-9)


@pytest.mark.witness(
    *(splayed_stretchers.volume(n, crossed) for n in (3, 4) for crossed in (False, True)),
    *(splayed_stretchers.area(n, crossed) for n in (3, 4) for crossed in (False, True)),
    by="the solids, their facets lying inside the round by 1.2 %; a ring's upper stretchers are "
    "shorter", within="1.5 %, 10 % of a ring",
)  # fmt: skip
@pytest.mark.parametrize(("legs", "stretchers"), SORTS)
def test_solids_are_as_long_and_as_heavy_as_the_sheet_says(legs: str, stretchers: str) -> None:
    for sheet in drawn(legs, stretchers, 1):
        model = build_legs(sheet, 24)
        first, last = model.stretchers[0], model.stretchers[-1]
        assert first.length == pytest.approx(sheet.number("stretcher_length"), rel=1e-9)
        if last.kind == "cross stretcher":
            assert last.length == pytest.approx(sheet.number("cross_length"), rel=1e-9)
        work = leg_work(sheet)
        assert work is not None and work.joins is not None
        long = {round(line.length, 6) for line in work.joins.lines}
        assert long == {round(one.length, 6) for one in model.stretchers}
        wood = sum(one.shaft.volume for one in model.stretchers)
        share = wood / sheet.number("stretcher_volume")
        assert 0.985 < share < 1 if stretchers != "ring" else 0.9 < share < 1
        ends = np.pi * sheet.number("stretcher_tenon") ** 2 / 2  # both, glued and not finished
        faces = sum(solid(one.shaft).surface_area() - ends for one in model.stretchers)
        share = faces / (sheet.number("stretcher_area") * 1e6)
        assert 0.985 < share < 1.01 if stretchers != "ring" else 0.9 < share < 1.01
        # Nothing is lost or counted twice where tenons fill mortises.
        whole = sum(shape.volume() for shape in model.mortised)
        joined = model.mortised[0]
        for shape in model.mortised[1:]:
            joined += shape
        assert joined.volume() == pytest.approx(whole, rel=1e-9)
        bare = leg_solid(model.legs[0]).volume()
        assert model.mortised[0].volume() < bare
        assert solid(first.shaft).volume() == pytest.approx(first.shaft.volume, rel=1e-9)


@pytest.mark.witness(
    *(leg_bench.stretcher_starts(n) for n in (3, 4)),
    by="legs drawn out along their axes, and the distance between two of them", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize(("legs", "stretchers"), SORTS)
def test_legs_part_by_what_the_stretchers_stand_out_at_first(legs: str, stretchers: str) -> None:
    for sheet in drawn(legs, stretchers, 3):
        work = leg_work(sheet)
        assert work is not None
        count, tenon = bases.LEGS[legs], work.bench.number("tenon_length")
        ends = axes(sheet, count)[:2]
        out = [(foot - socket) / np.linalg.norm(foot - socket) * tenon for foot, socket in ends]
        apart = (ends[1][0] + out[1]) - (ends[0][0] + out[0])
        wider = float(np.linalg.norm(apart) - np.linalg.norm(ends[1][0] - ends[0][0]))
        assert work.bench.number("stretcher_start") == pytest.approx(wider / 2, rel=1e-9)


@pytest.mark.parametrize(("legs", "stretchers"), SORTS)
def test_legs_go_in_together_and_never_alone(legs: str, stretchers: str) -> None:
    (sheet,) = drawn(legs, stretchers, 1)
    found = assemble_legs(sheet)
    assert found.verdict == GOES and found.alone == () and found.shared < 1e-6
    assert found.to_json()["order"] == "all at once"
    assert "in any order" not in found.words and "together" in found.words


def test_mortises_that_run_into_one_another_are_seen() -> None:
    of = network("stool", style="splayed legs", legs="three legs", stretchers="ring")
    sheet = of.solve({"seat_height": 450.0, "stretcher_step": 4.0})
    assert {one.id: one.verdict for one in sheet.checks}["mortise_gap"] == "fail"
    found = assemble_legs(sheet)
    assert found.verdict == LOCKED and "run into one another" in found.words


def section(d: float, t: float, deep: float) -> tuple[float, float]:
    """How far the centroid of a circle of diameter d moves that loses a strip t wide from its edge
    down to `deep`, and the section modulus of what is left: thin strips added up."""
    y = (np.arange(40_000) + 0.5) / 40_000 * d - d / 2
    wide = 2 * np.sqrt(d * d / 4 - y * y)
    left = np.where(y > d / 2 - deep, np.maximum(wide - t, 0.0), wide) * d / 40_000
    middle = float((left * y).sum() / left.sum())
    second = float((left * (y - middle) ** 2).sum())
    return -middle, second / (d / 2 - middle)


@pytest.mark.witness(
    splayed_stretchers.MORTISE_SHIFT, splayed_stretchers.MORTISE_MODULUS,
    by="thin strips of the section added up: no more is left than there is",
    within="16 %, on the safe side",
)  # fmt: skip
def test_a_mortise_leaves_at_least_what_is_said() -> None:
    for d, t, deep in ((33.0, 16.0, 20.0), (40.0, 14.0, 18.0), (28.0, 12.0, 14.0)):
        si = {
            "leg_at_stretcher": d / 1e3,
            "stretcher_tenon": t / 1e3,
            "stretcher_depth": deep / 1e3,
        }
        of = splayed_stretchers
        shift = number(of.MORTISE_SHIFT.equation.rhs, si) / (
            number(of.MORTISE_SHIFT.equation.lhs, {**si, "mortise_shift": 1.0})
        )
        si["mortise_shift"] = shift
        modulus = number(of.MORTISE_MODULUS.equation.rhs, si) / (d / 2e3 + shift)
        moved, exact = section(d, t, deep)
        assert 0.84 * exact < modulus * 1e9 < exact
        assert moved <= shift * 1e3 < moved * 1.25


@pytest.mark.witness(
    *(splayed_stretchers.stepped_on(crossed) for crossed in (False, True)),
    splayed_stretchers.STRETCHER_SHEAR, by="sympy's beam module and a swelled bar, cut by cut",
    within="1e-4",
)  # fmt: skip
def test_a_foot_on_a_stretcher_is_a_load_on_a_beam() -> None:
    load, long, middle, tenon, deep = 650.0, 240.0, 28.0, 15.0, 18.0
    x = sp.Symbol("x")
    beam = Beam(long, 1, 1)
    left, right = sp.symbols("left right")
    beam.apply_load(left, 0, -1)
    beam.apply_load(right, long, -1)
    beam.apply_load(-load, long / 2, -1)
    beam.bc_deflection = [(0, 0), (long, 0)]
    beam.solve_for_reaction_loads(left, right)
    bending = sp.lambdify(x, beam.bending_moment(), "sympy")
    at = np.linspace(1e-6, long / 2 - 1e-6, 4001)
    moment = np.array([abs(float(bending(float(one)))) for one in at[::40]])
    across = tenon + (middle - tenon) * at[::40] / (long / 2)
    plain = float((moment * 32 / (np.pi * across**3)).max())
    i = np.pi * middle**4 / 64 - deep * tenon**3 / 12
    bored = max(plain, float(moment[-1]) * middle / 2 / i)
    si = {
        "stretcher_load": load, "stretcher_length": long / 1e3, "stretcher_diameter": middle / 1e3,
        "stretcher_tenon": tenon / 1e3, "stretcher_depth": deep / 1e3, "strength_factor": 1.0,
        "bending_strength": 1.0, "shear_strength": 1.0,
    }  # fmt: skip
    for crossed, exact in ((False, plain), (True, bored)):
        used = number(splayed_stretchers.stepped_on(crossed).equation.rhs, si)
        assert used / 1e6 == pytest.approx(exact, rel=2e-2 if not crossed else 1e-4)
        assert used / 1e6 >= exact * (1 - 1e-3)
    # Round bar: the greatest shear stress is 4/3 of the mean (any textbook of strength).
    shear = abs(float(beam.shear_force().subs(x, long / 4)))
    mean = 4 / 3 * shear / (np.pi * tenon**2 / 4)
    sides = splayed_stretchers.STRETCHER_SHEAR.equation
    stress = number(sides.rhs, si) / number(sides.lhs, {**si, "stretcher_shear_used": 1.0})
    assert stress / 1e6 == pytest.approx(mean, rel=1e-6)


@pytest.mark.witness(
    splayed_stretchers.MORTISE_MOMENT, splayed_stretchers.MORTISE_STRENGTH,
    splayed_stretchers.PULL, *(splayed_load.shoulder_bending(held) for held in (False, True)),
    splayed_load.sliding(True), splayed_socket.slipping(True),
    by="sympy's beam module: a leg held at its shoulder, its stretcher a support", within="1e-6",
)  # fmt: skip
def test_a_leg_on_its_stretcher_is_a_propped_beam() -> None:
    long, up, force, ei = 400, 130, 96, 2_400_000_000  # mm, N: uniform, up from the foot
    a = long - up
    beam = Beam(long, ei, 1)
    turn, hold, prop = sp.symbols("turn hold prop")
    beam.apply_load(hold, 0, -1)
    beam.apply_load(turn, 0, -2)
    beam.apply_load(prop, a, -1)
    beam.apply_load(force, long, -1)
    beam.bc_deflection = [(0, 0), (a, 0)]
    beam.bc_slope = [(0, 0)]
    beam.solve_for_reaction_loads(hold, turn, prop)
    pull, fixed = (abs(float(beam.reaction_loads[one])) for one in (prop, turn))
    # One that holds the leg back wholly: its pull, what it leaves at the shoulder, at the foot.
    rise = {"stretcher_height": up / long, "leg_rise": 1.0, "stretcher_hold": 1.0}
    kept = number(splayed_load.held_share(True), rise)
    assert abs(kept) * force * long == pytest.approx(fixed, rel=1e-6)
    assert pull == pytest.approx(force * (2 + up / long) / 2 / (1 - up / long), rel=1e-6)
    free = force * long**3 / 3 / ei
    foot = abs(float(beam.deflection().subs(sp.Symbol("x"), long)))
    slide = splayed_load.sliding(True).equation.rhs / splayed_load.FOOT_SLIDE.equation.rhs
    assert number(slide, rise) * free == pytest.approx(foot, rel=1e-6)
    # Below the stretcher only the force at the foot bends it.
    at = abs(float(beam.bending_moment().subs(sp.Symbol("x"), a + 1e-9)))
    assert at == pytest.approx(force * up, rel=1e-6)


def test_stretchers_lower_what_their_checks_promise() -> None:
    given = {"seat_height": 600.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    for legs, stretchers in SORTS:
        plain = network("stool", style="splayed legs", legs=legs).solve(given)
        joined = network("stool", style="splayed legs", legs=legs, stretchers=stretchers).solve(
            given
        )
        for name in ("tenon_strength_used", "slip_strength_used", "foot_slide", "leg_moment"):
            assert joined.number(name) < plain.number(name), name
        assert joined.number("total_mass") > plain.number("total_mass")
        assert joined.number("sway") == pytest.approx(plain.number("sway"), rel=1e-12)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('legs = 3\nstretchers = "H"', 'not for 3 legs; write "none", "T" or "ring"'),
        ('legs = 4\nstretchers = "T"', 'not for 4 legs; write "none", "H" or "ring"'),
        ('legs = 4\nstretchers = "box"', "is not among the choices"),
    ],
)
def test_stretchers_that_do_not_suit_the_legs_are_refused(line: str, said: str) -> None:
    with pytest.raises(BriefError, match="stretchers") as caught:
        parse_brief(f'[given]\n[base]\nstyle = "splayed legs"\n{line}\n')
    assert said in str(caught.value)


def test_sizes_of_stretchers_need_stretchers() -> None:
    with pytest.raises(BriefError, match='needs stretchers: write stretchers = "H" or "ring"'):
        parse_brief(
            '[given]\nstretcher_height = "120 mm"\n[base]\nstyle = "splayed legs"\nlegs = 4\n'
        )
    of = network("stool", style="splayed legs", legs="four legs", stretchers="H")
    with pytest.raises(DesignError, match="lean straight out"):
        of.solve({"seat_height": 450.0, "sight_turn": 20.0})


@pytest.mark.parametrize(("count", "joined"), [(3, "T"), (4, "H"), (4, "ring")])
def test_legs_that_are_joined_are_not_told_to_be(count: int, joined: str) -> None:
    apart = splayed_family.requirements_of("stool", count)
    told = {one.id for one in apart if "join them" in one.mend_high.lower()}
    assert told == set(splayed_family.MENDS_WHERE_JOINED)
    for one in splayed_family.requirements_of("stool", count, joined):
        assert "join them" not in one.mend_high.lower(), one.id
        assert one.id not in told or one.mend_high
