"""Dimensional analysis of an expression, so that a wrong formula cannot enter a network."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import reduce

import sympy as sp

from tablekit.engine.trouble import RelationError
from tablekit.engine.unit_table import BASE_UNITS, KINDS, PLAIN, Dimension

_SAME_KIND = (sp.Add, sp.Min, sp.Max)
_KEEPS_KIND = (sp.Abs,)


def describe(exponents: Sequence[int | Fraction]) -> str:
    """A dimension in words: "a length", "a moment or an energy", or its base units, "kg^2 m^-1".

    exponents   of the seven base quantities, in the order of `Dimension`
    """
    dimension = Dimension(*exponents)
    if dimension == PLAIN:
        return "a plain number"
    names = [kind.noun for kind in KINDS.values() if kind.dimension == dimension]
    if names:
        return " or ".join(names)
    return " ".join(
        f"{unit}^{power}" for unit, power in zip(BASE_UNITS, dimension, strict=True) if power
    )


def dimension_of(expression: sp.Expr, known: Mapping[str, Dimension]) -> Dimension | None:
    """The dimension of `expression`, its exponents whole or fractions.

    known maps symbol names to dimensions. Returns None for a plain zero, which goes with
    anything. Raises ValueError, in words, where the parts do not go together.
    """
    if expression.is_Symbol:
        if expression.name not in known:
            raise ValueError(f"{expression.name} is not a quantity of this network")
        return known[expression.name]
    if expression.is_number:
        return None if expression.is_zero else PLAIN
    if isinstance(expression, _SAME_KIND):
        return _common([(part, dimension_of(part, known)) for part in expression.args])
    if isinstance(expression, sp.Mul):
        parts = (dimension_of(part, known) or PLAIN for part in expression.args)
        return reduce(Dimension.times, parts)
    if isinstance(expression, sp.Pow):
        return _power(expression, known)
    inner = [(part, dimension_of(part, known)) for part in expression.args]
    if isinstance(expression, _KEEPS_KIND):
        return inner[0][1]
    for part, found in inner:
        if (found or PLAIN) != PLAIN:
            raise ValueError(
                f"{type(expression).__name__}({part}) is taken of {describe(found or PLAIN)}"
            )
    return PLAIN


def _power(expression: sp.Pow, known: Mapping[str, Dimension]) -> Dimension:
    base, exponent = expression.args
    if (dimension_of(exponent, known) or PLAIN) != PLAIN:
        raise ValueError(f"the exponent {exponent} is not a plain number")
    found = dimension_of(base, known) or PLAIN
    if found == PLAIN:
        return PLAIN
    if not exponent.is_Rational:
        raise ValueError(f"{base} has {describe(found)} raised to {exponent}")
    return found.power(Fraction(int(exponent.p), int(exponent.q)))


def _common(parts: list[tuple[sp.Expr, Dimension | None]]) -> Dimension | None:
    first: tuple[sp.Expr, Dimension] | None = None
    for part, found in parts:
        if found is None:
            continue
        if first is None:
            first = (part, found)
        elif found != first[1]:
            raise ValueError(f"{first[0]} is {describe(first[1])} but {part} is {describe(found)}")
    return first[1] if first else None


def check_equation(name: str, equation: sp.Eq, known: Mapping[str, Dimension]) -> None:
    """Raises RelationError, naming the relation, when the two sides differ in dimension."""
    try:
        _common([(side, dimension_of(side, known)) for side in (equation.lhs, equation.rhs)])
    except ValueError as reason:
        raise RelationError(
            f"relation {name!r} does not balance: {reason} (in {equation.lhs} = {equation.rhs})",
            relation=name,
        ) from None
