"""How far the rounding of arithmetic may carry a number past where it has to stay.

One slack for every comparison of the engine: a billionth of the size of what is compared. Doubles
keep sixteen digits and a design loses a few of them on the way, so rounding stays far below it, and
nothing that is made shows a billionth.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import sympy as sp

SLACK = 1e-9
NOTHING = 1e-15  # what terms leave over below this is nothing, however small they are


def slack_of(low: float, high: float) -> float:
    """How far past either end of a range a value may lie, in the unit of the range."""
    return SLACK * max(abs(low), abs(high))


def with_slack(low: float, high: float) -> tuple[float, float]:
    """The ends of a range, each moved out by the slack.

    0 to 50 mm is -5e-8 to 50.00000005 mm. A range that leaves 0 out still does: its end nearer to 0
    moves no more than half-way there."""
    slack = slack_of(low, high)
    lower, upper = low - slack, high + slack
    return max(lower, low / 2) if low > 0 else lower, min(upper, high / 2) if high < 0 else upper


def settle(number: Any, low: float, high: float) -> Any:
    """A number or an array, with 0 for what rounding alone carried past an end of its range at 0.

    So a gap of -9e-14 mm, which is the rounding of a difference, is shown as 0. All else stays as
    it is, what lies outside by more than the slack too."""
    if low != 0 and high != 0:
        return number
    lower, upper = with_slack(low, high)
    if not isinstance(number, np.ndarray):
        past = lower <= number < 0 if low == 0 else 0 < number <= upper
        return 0.0 if past else number
    if low == 0:
        beyond = (number < 0) & (number >= lower)
    else:
        beyond = (number > 0) & (number <= upper)
    return np.where(beyond, 0.0, number) if beyond.any() else number


def size_for_slack(expression: sp.Expr, ends: Mapping[sp.Symbol, float]) -> sp.Expr:
    """The size that the slack of an expression is a share of, as an expression of its symbols.

    A quantity counts with the larger end of its range (`ends`), since that is what its own slack is
    a share of; sums add up, products and powers by the rule for the error of a product. Inside a
    function nothing is looked at: its value counts as it is.
    """
    if expression.is_Symbol:
        return sp.Float(ends[expression]) if expression in ends else sp.Abs(expression)
    if expression.is_Add:
        return sp.Add(*(size_for_slack(part, ends) for part in expression.args))
    if expression.is_Mul:
        factor, parts = expression.as_coeff_mul()
        return sp.Abs(factor) * sp.Add(
            *(
                size_for_slack(part, ends)
                * sp.Mul(*(sp.Abs(other) for j, other in enumerate(parts) if j != i))
                for i, part in enumerate(parts)
            )
        )
    if expression.is_Pow and expression.exp.is_number and expression.exp >= 1:
        base, power = expression.base, expression.exp
        return power * sp.Abs(base) ** (power - 1) * size_for_slack(base, ends)
    return sp.Abs(expression)
