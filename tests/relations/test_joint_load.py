"""Relations of the joint under load: each alone, every way round, and the network of them."""

from __future__ import annotations

from pathlib import Path

import pytest
import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import joint_load, post_load, strength

ROOT = Path(__file__).parents[2]
KNOWN = {
    quantity.name: quantity
    for quantity in (
        *joint_load.OF_THE_PIECE,
        *joint_load.OF_THE_WOOD,
        *joint_load.QUANTITIES,
        *post_load.QUANTITIES,
    )
}
CONSTANTS = list(joint_load.CONSTANTS)
each = pytest.mark.parametrize(
    "relation", joint_load.RELATIONS, ids=[relation.name for relation in joint_load.RELATIONS]
)
CHECKS = [(relation, check) for relation in joint_load.RELATIONS for check in relation.checks]
each_check = pytest.mark.parametrize(
    ("relation", "check"), CHECKS, ids=[relation.name for relation, _ in CHECKS]
)


def alone(relation: Relation) -> Network:
    names = [name for name in relation.symbols if name in KNOWN]
    return Network("alone", [KNOWN[n] for n in names], [relation], (), CONSTANTS)


def given_si(check: Check) -> dict[str, float]:
    return {
        name: KNOWN[name].to_si(parse_quantity(text, KNOWN[name].unit, name, signed=True))
        for name, text in check.given.items()
    }


@each
def test_it_balances_and_says_where_it_comes_from(relation: Relation) -> None:
    assert alone(relation).relations == (relation,)  # the network checks the dimensions
    for text in (relation.meaning, relation.why):
        assert text[0].isupper() and text.endswith(".")
    assert relation.checks
    if relation.source.kind == "derived":
        assert (ROOT / relation.source.where).is_file()


@each_check
def test_the_printed_value_comes_out(relation: Relation, check: Check) -> None:
    given = given_si(check)
    values = alone(relation).plan(given).program.run(given).values
    for name, text in check.expected.items():
        unit = KNOWN[name].unit
        printed = parse_quantity(text, unit, name, signed=True)
        found = KNOWN[name].from_si(values[name])
        assert abs(found - printed) <= half_last_figure(text, unit) * (1 + 1e-9)


def tells_of(relation: Relation, name: str, values: dict[str, float]) -> bool:
    """Whether the relation notices when one quantity grows by a hundredth."""
    known = {**values, **{constant.name: constant.si for constant in CONSTANTS}}
    gap = relation.equation.lhs - relation.equation.rhs

    def left(change: float) -> float:
        put = {**known, name: known[name] * change}
        return float(gap.xreplace({s: sp.Float(put[s.name], 30) for s in gap.free_symbols}))

    return abs(left(1.01) - left(1.0)) > 1e-9 * abs(known[name])


@each_check
def test_every_rearrangement_gives_back_what_went_in(relation: Relation, check: Check) -> None:
    of, given = alone(relation), given_si(check)
    if relation.equation.atoms(sp.Min):
        assert relation is joint_load.HORN_COUNTED
        return  # where it says "at most", the rest does not tell what it came from
    whole = of.plan(given).program.run(given).values
    for name in given:
        if not tells_of(relation, name, whole):
            assert (relation, name) == (joint_load.HORN_LENGTH, "post_length")
            continue  # which end is the nearer one does not depend on where the other is
        others = {n: x for n, x in whole.items() if n != name and n in of.quantities}
        again = of.plan(others).program.run(others)
        answers = [*again.alternatives.get(name, []), again.values.get(name, float("nan"))]
        assert any(x == pytest.approx(whole[name], rel=1e-9) for x in answers), name


GIVEN = {
    "post_section": 64.0, "post_length": 1000.0, "notch_depth": 32.0,
    "notch_position": 500.0, "notch_width": 64.0, "design_load": 1000.0, "joint_sum": 2000.0,
    "bearing_force": 1000.0, "bearing_area": 1000.0, "wall_force": 400.0,
}  # fmt: skip


def test_the_network_judges_and_shows_its_working() -> None:
    sheet = joint_load.network().solve(GIVEN)
    assert {check.name for check in sheet.checks} == {r.name for r in joint_load.REQUIREMENTS}
    for name in ("bearing_strength_used", "horn_use"):
        assert "strength_factor" in str(sheet.working(name))
    factor = sheet.number("strength_factor")
    assert sheet.number("bearing_strength_used") == pytest.approx(
        factor * 1.0 / 7.0
    )  # 7 MPa, middling hardwood


@pytest.mark.parametrize(
    ("change", "failing"),
    [
        ({"joint_sum": 30_000.0}, "force in the joint"),
        ({"bearing_force": 20_000.0}, "bearing in the notches"),
        ({"wall_force": 100_000.0}, "short-grain shear beyond the notch"),
    ],
)
def test_each_check_can_fail_alone(change: dict[str, float], failing: str) -> None:
    verdicts = {c.name: c.verdict for c in joint_load.network().solve({**GIVEN, **change}).checks}
    assert verdicts.pop(failing) == "fail"
    assert set(verdicts.values()) == {"pass"}


def test_strengths_are_those_of_the_wood_and_may_be_given() -> None:
    soft = joint_load.network().solve({**GIVEN, "compression_across": 3.5})
    hard = joint_load.network().solve({**GIVEN, "compression_across": 7.0})
    assert soft.number("bearing_strength_used") == pytest.approx(
        2 * hard.number("bearing_strength_used")
    )
    assert soft.network.quantities["shear_strength"] is strength.shear_strength
