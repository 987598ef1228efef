"""How far the rounding of arithmetic may carry a number past where it has to stay.

One slack for every comparison of the engine: a billionth of the size of what is compared. Doubles
keep sixteen digits and a design loses a few of them on the way, so rounding stays far below it, and
nothing that is made shows a billionth.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import reduce
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


def size_for_slack(
    expression: sp.Expr, values: Mapping[str, Any], ends: Mapping[str, float]
) -> Any:
    """The size that the slack of an expression is a share of, where its symbols have `values`.

    A quantity counts with the larger end of its range, since that is what its own slack is a share
    of; sums add up, products and powers by the rule for the error of a product. Inside a function
    nothing is looked at: its value counts as it is. Nothing is compiled, since it is asked for
    where a limit fails, which is seldom and may be under a slider.

    values  floats or arrays, coherent SI
    ends    the larger end of each quantity's range; other symbols count as they are
    Returns a float or an array; nan where a function is none that is known here"""
    return _value_and_size(expression, values, ends)[1]


def _value_and_size(
    expression: sp.Expr, values: Mapping[str, Any], ends: Mapping[str, float]
) -> tuple[Any, Any]:
    if expression.is_Symbol:
        value = values[expression.name]
        return value, ends.get(expression.name, np.abs(value))
    if expression.is_number:
        number = float(expression)
        return number, abs(number)
    parts = [_value_and_size(part, values, ends) for part in expression.args]
    if expression.is_Add:
        return sum(value for value, _ in parts), sum(size for _, size in parts)
    if expression.is_Mul:
        value, size = 1.0, 0.0
        for factor, (its_value, its_size) in zip(expression.args, parts, strict=True):
            own = 0.0 if factor.is_number else its_size  # a number is exact
            value, size = value * its_value, size * np.abs(its_value) + np.abs(value) * own
        return value, size
    if expression.is_Pow:
        (base, its_size), (power, _) = parts
        with np.errstate(all="ignore"):
            value = np.power(np.asarray(base, dtype=float), power)
            if expression.exp.is_number and expression.exp >= 1:
                return value, power * np.abs(base) ** (power - 1) * its_size
        return value, np.abs(value)
    known = [value for value, _ in parts]
    if expression.func in _OF_MANY:
        value = reduce(_OF_MANY[expression.func], known)
    else:
        value = _OF_ONE[expression.func](known[0]) if expression.func in _OF_ONE else np.nan
    return value, np.abs(value)


_OF_MANY: Mapping[type, Any] = {sp.Min: np.minimum, sp.Max: np.maximum}
_OF_ONE: Mapping[type, Any] = {
    **{sp.Abs: np.abs, sp.sign: np.sign, sp.floor: np.floor, sp.ceiling: np.ceil},
    **{sp.sin: np.sin, sp.cos: np.cos, sp.tan: np.tan, sp.exp: np.exp, sp.log: np.log},
    **{sp.asin: np.arcsin, sp.acos: np.arccos, sp.atan: np.arctan},
}
