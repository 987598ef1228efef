"""Reading a relation as a plain function, for tests that must not lean on the solver."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import sympy as sp
from scipy.optimize import brentq

from tablekit.engine.relation import Relation
from tablekit.relations import crossed_family
from tablekit.relations.bases import CROSSINGS, WAYS_UP
from tablekit.relations.crossed_family import quantities_of
from tablekit.relations.families import network
from tablekit.relations.kinds import KINDS


def relations_of(
    kind: str, way_up: str = "notches up", crossing: str = "one notch"
) -> tuple[Relation, ...]:
    """The relations of crossed posts, asked for in the words of a brief."""
    return crossed_family.relations(kind, WAYS_UP[way_up], CROSSINGS[crossing])


# Of every crossing, by name.
_EVERY = [r for name in CROSSINGS for kind in KINDS for r in relations_of(kind, crossing=name)]
QUANTITY = {quantity.name: quantity for quantity in quantities_of(tuple(_EVERY))}
DECLARED_CONSTANTS = network("table").constants
CONSTANTS = {name: item.si for name, item in DECLARED_CONSTANTS.items()}
DIMENSIONS = {
    item.name: item.dimension for item in (*QUANTITY.values(), *DECLARED_CONSTANTS.values())
}


@cache
def _function(expression: sp.Expr) -> tuple[tuple[str, ...], object]:
    symbols = sorted(expression.free_symbols, key=lambda symbol: symbol.name)
    return tuple(s.name for s in symbols), sp.lambdify(symbols, expression, "math")


def number(expression: sp.Expr, values: Mapping[str, float]) -> float:
    """The expression's value in coherent SI; `values` by name, constants known."""
    names, function = _function(expression)
    known = {**CONSTANTS, **values}
    return float(function(*(known[name] for name in names)))  # type: ignore[operator]


def gap(relation: Relation, values: Mapping[str, float]) -> float:
    """Left side less right side."""
    return number(relation.equation.lhs, values) - number(relation.equation.rhs, values)


def size(relation: Relation, values: Mapping[str, float]) -> float:
    """The largest part of the equation, which a gap is to be measured against."""
    parts = [
        part
        for side in (relation.equation.lhs, relation.equation.rhs)
        for part in sp.Add.make_args(sp.expand(side))
    ]
    return max(abs(number(part, values)) for part in parts)


def _names(expression: sp.Expr) -> set[str]:
    return {symbol.name for symbol in expression.free_symbols}


def find(relation: Relation, unknown: str, values: Mapping[str, float]) -> float:
    """The value of `unknown` that satisfies the relation, by narrowing down its range."""
    quantity = QUANTITY[unknown]
    low, high = min(quantity.low, 0.0) * quantity.scale, quantity.high * quantity.scale
    if relation.equation.lhs == quantity.symbol and unknown not in _names(relation.equation.rhs):
        return number(relation.equation.rhs, values)

    def off(value: float) -> float:
        return gap(relation, {**values, unknown: value})

    try:
        off(low)
    except ZeroDivisionError:  # nothing is not allowed here: its own low end is
        low = quantity.low * quantity.scale
    return float(brentq(off, low, high, xtol=1e-16, rtol=1e-14))


def forward(
    kind: str, way_up: str, givens: Mapping[str, float], crossing: str = "one notch"
) -> dict[str, float]:
    """All that follows from `givens` (coherent SI), one relation with one unknown at a time."""
    values = dict(givens)
    waiting = list(relations_of(kind, way_up, crossing))
    while waiting:
        ready = [
            (relation, unknown[0])
            for relation in waiting
            if len(unknown := [n for n in relation.symbols if n not in {**values, **CONSTANTS}]) < 2
            and unknown
        ]
        if not ready:
            return values
        relation, name = ready[0]
        values[name] = find(relation, name, values)
        waiting.remove(relation)
    return values
