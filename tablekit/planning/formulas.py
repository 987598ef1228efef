"""Relations used one at a time, outside a network: an unknown from numbers for all the rest."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import sympy as sp

from tablekit.engine.lambdas import compile_vector
from tablekit.engine.quantity import Quantity
from tablekit.engine.rearrange import rearrange
from tablekit.engine.relation import Relation
from tablekit.engine.trouble import OutsideLimits
from tablekit.relations import (
    flat_marking,
    marking,
    milling,
    notch_cutting,
    quantities,
    surface,
)

KNOWN: dict[str, Quantity] = {
    quantity.name: quantity
    for quantity in (
        *quantities.EVERY,
        *marking.QUANTITIES,
        *flat_marking.QUANTITIES,
        *notch_cutting.QUANTITIES,
        *milling.OWN,
        *surface.QUANTITIES,
    )
}
# A hair's breadth of rounding must not put a floor that ends in an arris outside the post.
_NEAR = 1e-12


def found(relation: Relation, name: str, **numbers: float) -> float:
    """What `relation` makes of the quantity `name`, given numbers for the others.

    All in reporting units. Raises OutsideLimits, in the words of the limit, where the relation
    does not hold, and KeyError where a number is missing.
    """
    _refuse_outside(relation, numbers)
    symbols, function = _compiled(relation, name)
    given = [KNOWN[symbol].to_si(numbers[symbol]) for symbol in symbols]
    unknown = KNOWN[name]
    value = unknown.from_si(float(function(*given)[0]))
    _refuse_outside(relation, {**numbers, name: value})
    return value


@cache
def _compiled(relation: Relation, name: str) -> tuple[tuple[str, ...], Callable[..., Any]]:
    unknown = KNOWN[name]
    if name in relation.inverse:
        form = relation.inverse[name]
    else:
        within = (unknown.to_si(unknown.low), unknown.to_si(unknown.high))
        forms = rearrange(relation.equation, unknown.symbol, within)
        if not forms or len(forms) > 1:
            raise ValueError(f"{relation.name!r} has no single form for {name}: {forms}")
        form = forms[0]
    symbols = sorted(form.free_symbols, key=str)
    return tuple(str(s) for s in symbols), compile_vector(symbols, [form], arrays=False)


def _refuse_outside(relation: Relation, numbers: dict[str, float]) -> None:
    """Looks at those limits that speak only of `numbers`."""
    for limit in relation.limits:
        names, slack = _slack(limit.slack)
        if not numbers.keys() >= set(names):
            continue
        size = slack(*(KNOWN[name].to_si(numbers[name]) for name in names))[0]
        if size < -_NEAR:
            raise OutsideLimits(
                f"the posts cannot be set out like this: {limit.words}; here it is "
                f"{-size * 1000:.1f} mm short of that",
                relation=relation.name,
                excess=-size,
            )


@cache
def _slack(slack: sp.Expr) -> tuple[tuple[str, ...], Callable[..., Any]]:
    symbols = sorted(slack.free_symbols, key=str)
    return tuple(str(s) for s in symbols), compile_vector(symbols, [slack], arrays=False)


@cache
def right_side(relation: Relation, given: tuple[Quantity, ...]) -> Callable[..., float]:
    """The right-hand side of a relation as a function of `given`, compiled once.

    Numbers are coherent SI, or in any units in which the formula reads the same.
    """
    symbols = [quantity.symbol for quantity in given]
    compiled = compile_vector(symbols, [relation.equation.rhs], arrays=False)
    return lambda *numbers: float(compiled(*numbers)[0])
