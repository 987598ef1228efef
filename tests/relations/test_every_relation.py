"""One suite over every relation of every kind of piece, each taken alone through the engine."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pint
import pytest
import sympy as sp
from scipy.optimize import brentq

from tablekit.engine.declarations import check_equation
from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Limit, Relation
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError, OutsideLimits, RelationError
from tablekit.engine.unit_table import Dimension
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import bases, families, kinds
from tests.together import each

ROOT = Path(__file__).parents[2]
FAMILIES = list(product(kinds.KINDS, bases.CROSSINGS, bases.WAYS_UP))
# A brief for each kind, from which whole designs are drawn.
BRIEF = {
    "table_height": 735.0, "seat_height": 460.0, "top_diameter": 920.0, "post_section": 64.0,
}  # fmt: skip
DESIGNS = 4


@cache
def whole(kind: str, crossing: str, way: str) -> Network:
    return families.network(kind, crossing, way)


# Relations that several kinds share are taken once, from the first that has them.
EVERY: dict[tuple[str, sp.Eq], tuple[Relation, tuple[str, str, str]]] = {}
for _family in FAMILIES:
    for _relation in whole(*_family).relations:
        EVERY.setdefault((_relation.name, _relation.equation), (_relation, _family))
CASES = [
    pytest.param(relation, family, id=f"{relation.name}, {' '.join(family)}")
    for relation, family in EVERY.values()
]
each_relation = each(("relation", "family"), CASES)


@cache
def alone(name: str, family: tuple[str, str, str]) -> Network:
    """The relation as a network of its own, with what its limits mention."""
    of = whole(*family)
    relation = of.statement(name)
    names = {n for n in (*relation.symbols, *relation.limit_symbols) if n not in of.constants}
    quantities = [q for n, q in of.quantities.items() if n in names]
    return Network("alone", quantities, [relation], constants=list(of.constants.values()))


@cache
def designs(family: tuple[str, str, str]) -> tuple[dict[str, float], ...]:
    """Whole designs in reporting units, drawn around the brief."""
    of, random, found = whole(*family), np.random.default_rng(7), []
    names = [name for name in BRIEF if name in of.quantities]
    for _ in range(60):
        givens = {n: BRIEF[n] * random.uniform(0.88, 1.12) for n in names}
        shape = {"splay": random.uniform(42, 57),
                 "axis_offset": givens["post_section"] * random.uniform(0.42, 0.58)}  # fmt: skip
        # Where a crossing allows one shape only, that is what is assumed.
        sheet = answer(of, {**givens, **shape}) or answer(of, givens)
        if sheet is None:
            continue
        found.append({n: v.number for n, v in sheet.values.items() if v.number is not None})
        if len(found) == DESIGNS:
            return tuple(found)
    raise AssertionError(f"hardly any design of {family} can be answered")


def answer(of: Network, givens: Mapping[str, float]) -> Sheet | None:
    try:
        return of.solve(givens)
    except DesignError:
        return None


def parts(relation: Relation, family: tuple[str, str, str]) -> list[dict[str, float]]:
    """The values of the designs that the relation and its limits speak of, none missing."""
    names = alone(relation.name, family).quantities
    return [{n: d[n] for n in names} for d in designs(family) if set(names) <= set(d)]


# -- what is said --------------------------------------------------------------------------------


@each_relation
def test_says_what_why_and_where_from(relation: Relation, family: tuple[str, str, str]) -> None:
    for text in (relation.meaning, relation.why):
        assert text[0].isupper() and text.endswith(".") and len(text.split()) >= 3
    for source in (relation.source, *(check.source for check in relation.checks)):
        assert source.text or source.where
    for limit in relation.limits:
        assert limit.words and not limit.words.endswith(".")


@each_relation
def test_has_a_printed_check_or_a_derivation(
    relation: Relation, family: tuple[str, str, str]
) -> None:
    printed = [
        c for c in relation.checks if c.source.kind in ("published", "quoted", "from memory")
    ]
    if not printed:
        assert relation.source.kind == "derived", "neither a printed check nor a derivation"
    if relation.source.kind == "derived":
        assert (ROOT / relation.source.where).is_file(), f"no file {relation.source.where}"


# -- dimensions ----------------------------------------------------------------------------------


@each_relation
def test_balances_and_would_not_with_a_length_too_many(
    relation: Relation, family: tuple[str, str, str]
) -> None:
    of = whole(*family)
    check_equation(relation.name, relation.equation, of.dimensions)
    length = next(q for q in of.quantities.values() if q.dimension == Dimension(length=1))
    wrong = sp.Eq(relation.equation.lhs * length.symbol, relation.equation.rhs, evaluate=False)
    if relation.equation.rhs != 0:
        with pytest.raises(RelationError, match="does not balance"):
            check_equation(relation.name, wrong, of.dimensions)


# -- printed checks ------------------------------------------------------------------------------

CHECKS = [
    pytest.param(relation, family, check, id=f"{relation.name}, {next(iter(check.expected))}")
    for relation, family in EVERY.values()
    for check in relation.checks
]


@each(("relation", "family", "check"), CHECKS)
def test_printed_value_to_half_a_unit_of_its_last_figure(
    relation: Relation, family: tuple[str, str, str], check: Check
) -> None:
    """Solved by the engine. The givens are rounded too, each by half its own last figure."""
    of = alone(relation.name, family)
    given = {n: parse_quantity(text, of.quantities[n].unit, n) for n, text in check.given.items()}
    assert {*given, *check.expected} >= {n for n in relation.symbols if n not in of.constants}
    for name, text in check.expected.items():
        unit = of.quantities[name].unit
        printed, half = parse_quantity(text, unit, name), half_last_figure(text, unit)
        found = one_value(relation, of, given, name, near=printed)
        assert abs(found - printed) <= half, f"{name} is {found}, printed {text} ({check.source})"


def one_value(
    relation: Relation, of: Network, given: Mapping[str, float], name: str, near: float
) -> float:
    """What the engine finds for `name`; limits need not be known for that."""
    plan = of.plan(given)
    outcome = plan.program.run({n: of.quantities[n].to_si(v) for n, v in given.items()})
    assert not [p for p in outcome.problems if p.kind != "limit"], outcome.problems
    choices = {**plan.program.branches(outcome.values), **outcome.alternatives}
    numbers = map(of.quantities[name].from_si, choices.get(name) or [outcome.values[name]])
    return min(numbers, key=lambda number: abs(number - near))


# -- solving for each ----------------------------------------------------------------------------


@each_relation
def test_each_quantity_from_the_others(relation: Relation, family: tuple[str, str, str]) -> None:
    each_quantity_from_the_others(relation, family, parts(relation, family)[:1])


@pytest.mark.slow
@each_relation
def test_so_in_every_design(relation: Relation, family: tuple[str, str, str]) -> None:
    each_quantity_from_the_others(relation, family, parts(relation, family)[1:])


def each_quantity_from_the_others(
    relation: Relation, family: tuple[str, str, str], tried: list[dict[str, float]]
) -> None:
    of = alone(relation.name, family)
    unknowns = [name for name in relation.symbols if name not in of.constants]
    counted = relation.equation.has(sp.floor)
    for values in tried * (not counted):
        for name in unknowns:
            if flat_in(relation, of, name, values):
                continue
            rest = {n: v for n, v in values.items() if n != name}
            plan = of.plan(rest)
            outcome = plan.program.run({n: of.quantities[n].to_si(v) for n, v in rest.items()})
            assert not outcome.problems, (name, outcome.problems)
            found = one_value(relation, of, rest, name, near=values[name])
            assert found == pytest.approx(values[name], rel=1e-7, abs=1e-9), name
            assert max(plan.program.residuals(outcome.values).values()) < 1e-9


def flat_in(relation: Relation, of: Network, name: str, values: Mapping[str, float]) -> bool:
    """Whether the relation hardly changes with the quantity here, and so cannot find it: a change
    of it by a thousandth moves the gap by less than a billionth of the relation's terms."""
    changed = {**values, name: values[name] * 1.001 + 1e-9}
    return abs(gap(relation, of, changed) - gap(relation, of, values)) < 1e-9


def gap(relation: Relation, of: Network, values: Mapping[str, float]) -> float:
    """Left less right, over the larger, by plain evaluation."""
    names, sides = sides_of(relation.equation)
    at = {n: of.quantities[n].to_si(v) for n, v in values.items()}
    at |= {c.name: c.si for c in of.constants.values()}
    left, right = sides(*(at[name] for name in names))
    return float((left - right) / max(abs(left), abs(right), 1e-12))


@cache
def sides_of(equation: sp.Eq) -> tuple[list[str], Callable[..., tuple[float, float]]]:
    """What an equation speaks of, and its two sides as sympy writes them for Python's math."""
    symbols = sorted(equation.free_symbols, key=str)
    names = [symbol.name for symbol in symbols]
    return names, sp.lambdify(symbols, tuple(equation.args), "math")


@each_relation
def test_a_count_is_the_whole_part(relation: Relation, family: tuple[str, str, str]) -> None:
    if not relation.equation.has(sp.floor) or relation.name.startswith("validity of"):
        return  # whether something holds is no count: tests/relations/test_movement.py
    of = alone(relation.name, family)
    (counted,) = (n for n in of.quantities if of.quantities[n].whole)
    (share,) = (n for n in of.quantities if n != counted)
    rounded = np.ceil if counted == "router_passes" else np.floor  # part of a pass is one too
    for number in (1, 2, 5.999, 6, 6.001, 12):
        assert of.solve({share: number}).number(counted) == rounded(number)
        whole_number = float(rounded(number))
        back = of.solve({counted: whole_number})
        assert rounded(back.number(share)) == whole_number
        # Of seats the roomy end of what does, of passes the fewest.
        assert back.number(share) == whole_number + (0.99 if counted == "seats" else 0)


# -- units ---------------------------------------------------------------------------------------

IMPERIAL = {
    "mm": ("in", "inch"), "mm^2": ("in^2", "inch**2"), "mm^3": ("in^3", "inch**3"),
    "m^3": ("ft^3", "foot**3"), "N": ("lbf", "pound_force"), "kg": ("lb", "pound"),
    "MPa": ("psi", "psi"), "kg/m^3": ("lb/ft^3", "pound/foot**3"),
    "N*m": ("lbf*ft", "pound_force*foot"), "deg": ("rad", "radian"),
}  # fmt: skip
_PINT: pint.UnitRegistry = pint.UnitRegistry()


@each_relation
def test_millimetres_and_inches_give_the_same_answer(
    relation: Relation, family: tuple[str, str, str]
) -> None:
    of = alone(relation.name, family)
    values = parts(relation, family)[0]
    named = [n for n in reversed(relation.symbols) if n not in of.constants]
    name = next(n for n in named if not flat_in(relation, of, n, values))
    rest = {n: v for n, v in values.items() if n != name}
    metric = {n: read(f"{v:.12f} {of.quantities[n].unit}", n, of) for n, v in rest.items()}
    other = {n: read(in_other_units(v, of.quantities[n].unit), n, of) for n, v in rest.items()}
    for n in rest:
        assert other[n] == pytest.approx(metric[n], rel=1e-9, abs=1e-11)
    one = one_value(relation, of, metric, name, near=values[name])
    assert one_value(relation, of, other, name, near=values[name]) == pytest.approx(one, rel=1e-6)


def in_other_units(number: float, unit: str) -> str:
    spelled, in_pint = IMPERIAL.get(unit, (unit, ""))
    if in_pint:
        start = {"deg": "degree"}.get(unit, unit)
        number = _PINT.Quantity(number, start).to(in_pint).magnitude  # pint, not the kit
    return f"{number:.12f} {spelled}"


def read(text: str, name: str, of: Network) -> float:
    quantity = of.quantities[name]  # negative where a brief may give it so
    return parse_quantity(text.removesuffix(" 1"), quantity.unit, name, signed=quantity.low < 0)


# -- limits --------------------------------------------------------------------------------------

LIMITS = [
    pytest.param(relation, family, limit, id=f"{relation.name}, {limit.words[:40]}")
    for relation, family in EVERY.values()
    for limit in relation.limits
]


@each(("relation", "family", "limit"), LIMITS)
def test_either_side_of_the_edge_of_a_limit(
    relation: Relation, family: tuple[str, str, str], limit: Limit
) -> None:
    """Move one quantity until the limit is just passed: it holds before and not after."""
    of = alone(relation.name, family)
    values = parts(relation, family)[0]
    if slack_at(limit, of, values) == 0:  # one shape only: the edge is all there is
        name = min(limit_names(limit))
        inside, beyond = values, {**values, name: values[name] * (1 + 1e-5) + 1e-4}
    else:
        name, edge, inward = edge_of(limit, of, values)
        # Beyond by more than the rounding that is allowed for, a billionth of the ranges.
        inside, beyond = ({**values, name: edge + inward * s} for s in (1e-6, -1e-4))
        assert slack_at(limit, of, inside) > 0
    assert slack_at(limit, of, beyond) < 0
    assert not told(relation, of, inside, limit)
    assert told(relation, of, beyond, limit)


def slack_at(limit: Limit, of: Network, values: Mapping[str, float]) -> float:
    names = sorted(s.name for s in limit.slack.free_symbols)
    symbols = {s.name: s for s in limit.slack.free_symbols}
    function = sp.lambdify([symbols[n] for n in names], limit.slack, "math")
    return float(function(*(of.quantities[n].to_si(values[n]) for n in names)))


# Larger, smaller, and past nothing.
FACTORS = [*np.geomspace(1.01, 40, 60), *(1 / np.geomspace(1.01, 40, 60)), -0.1]


def edge_of(limit: Limit, of: Network, values: Mapping[str, float]) -> tuple[str, float, float]:
    """(quantity, its value at the edge, +1 or -1 towards where the limit holds)."""
    assert slack_at(limit, of, values) > 0, "the design is not inside the limit to begin with"
    for symbol in sorted(limit.slack.free_symbols, key=str):
        name = symbol.name
        here = values[name]
        for factor in FACTORS:
            if slack_at(limit, of, {**values, name: here * factor}) < 0:
                edge = brentq(
                    lambda v, n=name: slack_at(limit, of, {**values, n: v}),
                    *sorted((here, here * factor)), xtol=1e-12,
                )  # fmt: skip
                return name, float(edge), float(np.sign(here - edge))
    raise AssertionError(f"no change of one quantity passes the limit: {limit.words}")


def told(relation: Relation, of: Network, values: Mapping[str, float], limit: Limit) -> bool:
    """Whether the engine says that the limit is passed; what the relation finds follows suit."""
    found = next(n for n in relation.symbols if n in of.quantities and n not in limit_names(limit))
    rest = {of.quantities[n].name: v for n, v in values.items() if n != found}
    program = of.plan(rest).program
    outcome = program.run({n: of.quantities[n].to_si(v) for n, v in rest.items()})
    if limit.otherwise == "leave out":
        return outcome.left_out.get(found) == f"there is one only where {limit.words}"
    return any(p.kind == "limit" and p.limit is limit for p in outcome.problems)


def limit_names(limit: Limit) -> set[str]:
    return {s.name for s in limit.slack.free_symbols}


def test_the_suite_notices_a_wrong_relation() -> None:
    """A chord of √2 radii in place of √3 must fail its printed check."""
    relation, family = next(c for c in EVERY.values() if c[0].name == "foot to foot")
    of = whole(*family)
    spread, radius = of.quantities["foot_spread"], of.quantities["foot_radius"]
    wrong = Relation(
        relation.name, sp.Eq(spread.symbol, sp.sqrt(2) * radius.symbol), relation.meaning,
        relation.why, relation.source, checks=relation.checks,
    )  # fmt: skip
    network = Network("alone", [spread, radius], [wrong])
    (check,) = wrong.checks
    given = {n: parse_quantity(t, "mm", n) for n, t in check.given.items()}
    printed = check.expected["foot_spread"]
    found = one_value(wrong, network, given, "foot_spread", near=0)
    assert abs(found - parse_quantity(printed, "mm")) > half_last_figure(printed, "mm")


def test_outside_limits_reaches_the_maker() -> None:
    of = families.network("table")
    with pytest.raises(OutsideLimits) as caught:
        of.solve({"table_height": 300, "top_diameter": 920, "post_section": 150})
    assert caught.value.relation in {r.name for r in of.relations}
