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


def residual_slope(equation: sp.Eq, symbol: sp.Symbol) -> sp.Expr:
    """d (left - right) / d symbol of an equation."""
    return derivative(equation.lhs, symbol) - derivative(equation.rhs, symbol)
