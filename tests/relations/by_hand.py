"""A relation that states one quantity outright, worked by substitution, away from the solver."""

from __future__ import annotations

import sympy as sp

from tablekit.engine.relation import Relation
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


def value(relation: Relation, **given: float) -> float:
    """The quantity on the left, in its reporting unit, from the others in theirs."""
    found = _EVERY[str(relation.equation.lhs)]
    at = {_EVERY[name].symbol: _EVERY[name].to_si(number) for name, number in given.items()}
    at |= {c.symbol: c.si for c in _CONSTANTS.values()}
    return found.from_si(float(sp.sympify(relation.equation.rhs).subs(at)))
