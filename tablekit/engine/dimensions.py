"""Dimensional analysis of an expression, so that a wrong formula cannot enter a network."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import sympy as sp

from tablekit.engine.quantity import Dimension
from tablekit.engine.trouble import RelationError

Exponents = tuple[Fraction, Fraction, Fraction]
_NONE: Exponents = (Fraction(0), Fraction(0), Fraction(0))
_SAME_KIND = (sp.Add, sp.Min, sp.Max)
_KEEPS_KIND = (sp.Abs,)


def describe(exponents: Exponents | Dimension) -> str:
    """A dimension in words: "length", "mass", "force" or its exponents."""
    names = {
        (0, 0, 0): "a plain number",
        (0, 1, 0): "a length",
        (0, 2, 0): "an area",
        (0, 3, 0): "a volume",
        (1, 0, 0): "a mass",
        (1, 1, -2): "a force",
        (1, 2, -2): "a moment",
        (1, -1, -2): "a stress",
        (1, -3, 0): "a density",
        (0, 1, -2): "an acceleration",
        (0, 1, -1): "a speed",
        (0, 0, -1): "a rate of turning",
        (0, 0, 1): "a time",
    }
    key = tuple(exponents)
    if key in names:
        return names[key]
    units = zip(("kg", "m", "s"), exponents, strict=True)
    return " ".join(f"{unit}^{power}" for unit, power in units if power)


def dimension_of(expression: sp.Expr, known: Mapping[str, Dimension]) -> Exponents | None:
    """Exponents of mass, length and time of `expression`.

    known maps symbol names to dimensions. Returns None for a plain zero, which goes with
    anything. Raises ValueError, in words, where the parts do not go together.
    """
    if expression.is_Symbol:
        if expression.name not in known:
            raise ValueError(f"{expression.name} is not a quantity of this network")
        mass, length, time = known[expression.name]
        return (Fraction(mass), Fraction(length), Fraction(time))
    if expression.is_number:
        return None if expression.is_zero else _NONE
    if isinstance(expression, _SAME_KIND):
        return _common([(part, dimension_of(part, known)) for part in expression.args])
    if isinstance(expression, sp.Mul):
        parts = [dimension_of(part, known) or _NONE for part in expression.args]
        return tuple(sum(column, Fraction(0)) for column in zip(*parts, strict=True))  # type: ignore[return-value]
    if isinstance(expression, sp.Pow):
        return _power(expression, known)
    inner = [(part, dimension_of(part, known)) for part in expression.args]
    if isinstance(expression, _KEEPS_KIND):
        return inner[0][1]
    for part, found in inner:
        if (found or _NONE) != _NONE:
            raise ValueError(
                f"{type(expression).__name__}({part}) is taken of {describe(found or _NONE)}"
            )
    return _NONE


def _power(expression: sp.Pow, known: Mapping[str, Dimension]) -> Exponents:
    base, exponent = expression.args
    if (dimension_of(exponent, known) or _NONE) != _NONE:
        raise ValueError(f"the exponent {exponent} is not a plain number")
    found = dimension_of(base, known) or _NONE
    if found == _NONE:
        return _NONE
    if not exponent.is_Rational:
        raise ValueError(f"{base} has {describe(found)} raised to {exponent}")
    power = Fraction(int(exponent.p), int(exponent.q))
    return (found[0] * power, found[1] * power, found[2] * power)


def _common(parts: list[tuple[sp.Expr, Exponents | None]]) -> Exponents | None:
    first: tuple[sp.Expr, Exponents] | None = None
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
