"""A relation held against a value worked by hand, or worked by substitution, away from the
solver."""

from __future__ import annotations

from collections.abc import Mapping

import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import (
    ends,
    fixing,
    mass,
    post_load,
    quantities,
    racking,
    splitting,
    strength,
    top_load,
)

_PARTS = (
    strength, post_load, top_load, racking, fixing, mass, splitting, ends,
)  # fmt: skip
_EVERY = {q.name: q for q in (*quantities.EVERY, *(q for p in _PARTS for q in p.QUANTITIES))}
_CONSTANTS = {c.name: c for c in (*top_load.CONSTANTS, *mass.CONSTANTS)}


def comes_out(relation: Relation, check: Check, known: Mapping[str, Quantity]) -> None:
    """That the relation alone gives the value printed beside it, to half a unit of its last
    figure; a minus sign is no figure."""
    names = {*relation.symbols, *relation.limit_symbols}
    alone = Network("alone", [known[name] for name in known if name in names], [relation])
    given = {
        name: parse_quantity(text, known[name].unit, signed=True)
        for name, text in check.given.items()
    }
    ((name, text),) = check.expected.items()
    outcome = alone.plan(given).program.run({n: known[n].to_si(v) for n, v in given.items()})
    found = known[name].from_si(outcome.values[name])
    printed = parse_quantity(text, known[name].unit, signed=True)
    half = half_last_figure(text.removeprefix("-"), known[name].unit)
    assert abs(found - printed) <= half * (1 + 1e-9)


def value(relation: Relation, **given: float) -> float:
    """The quantity on the left, in its reporting unit, from the others in theirs."""
    found = _EVERY[str(relation.equation.lhs)]
    at = {_EVERY[name].symbol: _EVERY[name].to_si(number) for name, number in given.items()}
    at |= {c.symbol: c.si for c in _CONSTANTS.values()}
    return found.from_si(float(sp.sympify(relation.equation.rhs).subs(at)))
