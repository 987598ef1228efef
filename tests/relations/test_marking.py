"""The relations of marking out and of machine settings, each taken alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.declarations import check_equation, dimension_of
from tablekit.engine.relation import Check, Relation
from tablekit.engine.trouble import OutsideLimits, RelationError
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.planning.formulas import KNOWN, found
from tablekit.relations import marking, notch_cutting
from tests.together import each

ROOT = Path(__file__).parents[2]
EVERY = [
    *marking.relations(1), *marking.relations(-1), *marking.FLAT_RELATIONS,
    *notch_cutting.RELATIONS,
]  # fmt: skip
ALL = {(relation.name, relation.equation): relation for relation in EVERY}
each_relation = each("relation", ALL.values(), ids=lambda r: r.name)
DIMENSIONS = {name: quantity.dimension for name, quantity in KNOWN.items()}


def test_no_two_quantities_share_a_name():
    declared = [*marking.QUANTITIES, *notch_cutting.QUANTITIES]
    assert len({q.name for q in declared}) == len(declared)
    assert len(ALL) == len(EVERY) - len(marking.SECTION) - 2


@each_relation
def test_says_what_why_and_where_from(relation: Relation):
    for text in (relation.meaning, relation.why):
        assert text[0].isupper() and text.endswith(".") and len(text.split()) >= 3
    assert relation.source.kind == "derived"
    heading = relation.source.text.split(":")[0]
    derivation = (ROOT / relation.source.where).read_text(encoding="utf-8").lower()
    assert f"## {heading.lower()}" in derivation
    assert relation.checks


@each_relation
def test_balances_and_would_not_with_a_length_too_many(relation: Relation):
    check_equation(relation.name, relation.equation, DIMENSIONS)
    for limit in relation.limits:
        dimension_of(limit.slack, DIMENSIONS)
    too_long = marking.near_wall.symbol * marking.cover.symbol
    wrong = sp.Eq(relation.equation.lhs * too_long, relation.equation.rhs, evaluate=False)
    with pytest.raises(RelationError, match="does not balance"):
        check_equation(relation.name, wrong, DIMENSIONS)


CHECKS = [(relation, check) for relation in ALL.values() for check in relation.checks]


@each(("relation", "check"), CHECKS, ids=lambda it: getattr(it, "name", ""))
def test_printed_value_to_half_a_unit_of_its_last_figure(relation: Relation, check: Check):
    given = {n: parse_quantity(t, KNOWN[n].unit, n, signed=True) for n, t in check.given.items()}
    for name, text in check.expected.items():
        printed = parse_quantity(text, KNOWN[name].unit, name, signed=True)
        assert abs(found(relation, name, **given) - printed) <= half_last_figure(
            text, KNOWN[name].unit
        )


@each(("relation", "check"), CHECKS, ids=lambda it: getattr(it, "name", ""))
def test_a_check_would_notice_another_equation(relation: Relation, check: Check):
    """A hundredth more on the right than there should be takes it past its printed value."""
    if relation is notch_cutting.PASSES:
        return  # a count stays a count
    ((name, text),) = check.expected.items()
    printed = parse_quantity(text, KNOWN[name].unit, name, signed=True)
    symbol = KNOWN[name].symbol
    shifted = relation.equation.subs(symbol, symbol * 1.01 + 0.01 * KNOWN[name].scale)
    given = {n: parse_quantity(t, KNOWN[n].unit, n, signed=True) for n, t in check.given.items()}
    at = {KNOWN[n].symbol: KNOWN[n].to_si(v) for n, v in given.items()}
    at[symbol] = KNOWN[name].to_si(printed)
    gap = [abs(float((e.lhs - e.rhs).subs(at))) for e in (relation.equation, shifted)]
    half = half_last_figure(text, KNOWN[name].unit) * KNOWN[name].scale
    slope = abs(float((relation.equation.lhs - relation.equation.rhs).diff(symbol).subs(at)))
    assert gap[0] <= half * slope * 1.5 + 1e-6 and gap[1] > gap[0]


@each_relation
def test_each_unknown_undoes_the_others(relation: Relation):
    """Numbers drawn at random: find one quantity, put it back, find the others again."""
    if relation is notch_cutting.PASSES:
        return
    random = np.random.default_rng(3)
    ((name, _), *_) = relation.checks[0].expected.items()
    for _ in range(5):
        given = {n: _plausible(n, random) for n in relation.symbols if n != name}
        try:
            value = found(relation, name, **given)
        except (OutsideLimits, ValueError):  # an arc sine beyond 1 has no value
            continue
        whole = {**given, name: value}
        at = {KNOWN[n].symbol: KNOWN[n].to_si(v) for n, v in whole.items()}
        left, right = (float(side.subs(at)) for side in relation.equation.args)
        assert left == pytest.approx(right, rel=1e-9, abs=1e-9)


def _plausible(name: str, random: np.random.Generator) -> float:
    quantity = KNOWN[name]
    if quantity.unit == "deg":
        return float(random.uniform(max(quantity.low, -40), min(quantity.high, 80)))
    low, high = max(quantity.low, 0.1), min(quantity.high, 60.0)
    return (
        float(random.uniform(low, high))
        if quantity.unit == "mm"
        else float(
            random.uniform(low, min(high, 0.9)) if not quantity.whole else random.integers(2, 9)
        )
    )


def test_a_limit_passed_is_told_in_its_words():
    numbers = {"notch_floor_tilt": 0.0, "post_width": 64.0}
    assert found(marking.FACE_DEPTH, "face_depth", cover=63.9, **numbers) == pytest.approx(63.9)
    with pytest.raises(
        OutsideLimits, match=r"not the one behind.*here it is 1\.0 mm short of that"
    ):
        found(marking.FACE_DEPTH, "face_depth", cover=65.0, **numbers)
    with pytest.raises(OutsideLimits, match="not the notched one"):
        found(marking.FACE_DEPTH, "face_depth", cover=-0.5, **numbers)


def test_what_is_missing_is_named():
    with pytest.raises(KeyError, match="notch_floor_tilt"):
        found(marking.FLOOR_REACH, "floor_reach", off_bearing=1.0, towards_notch=2.0)
