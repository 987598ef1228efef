"""Derivatives of relations, also of those with a corner or a step in them."""

from __future__ import annotations

from functools import lru_cache

import sympy as sp


@lru_cache(maxsize=4096)
def derivative(expression: sp.Expr, symbol: sp.Symbol) -> sp.Expr:
    """d expression / d symbol.

    A count rounded down has no slope: its derivative is taken as zero, which it is everywhere
    but at the steps themselves.
    """
    counts = {count: sp.Dummy(real=True) for count in expression.atoms(sp.floor)}
    slope = expression.xreplace(counts).diff(symbol)
    return slope.xreplace({dummy: count for count, dummy in counts.items()})


def magnitude(expression: sp.Expr) -> sp.Expr:
    """How large the parts are that make up an expression: what a rounding error is relative to.

    Sums are taken of sizes, so that nothing cancels; inside a function nothing is looked at.
    """
    if isinstance(expression, sp.Add):
        return sp.Add(*map(magnitude, expression.args))
    if isinstance(expression, sp.Mul):
        return sp.Mul(*map(magnitude, expression.args))
    if isinstance(expression, sp.Pow) and expression.exp.is_positive and expression.exp.is_number:
        return magnitude(expression.base) ** expression.exp
    return sp.Abs(expression)


def closing(left: sp.Expr, right: sp.Expr) -> tuple[sp.Expr, sp.Expr]:
    """What two sides leave over, and the size of their terms that it is to be measured by."""
    return left - right, magnitude(left) + magnitude(right)


def residual_slope(equation: sp.Eq, symbol: sp.Symbol) -> sp.Expr:
    """d (left - right) / d symbol of an equation."""
    return derivative(equation.lhs, symbol) - derivative(equation.rhs, symbol)
