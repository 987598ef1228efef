"""How far the rounding of arithmetic may carry a number past where it has to stay.

One slack for every comparison of the engine: a billionth of the size of what is compared. Doubles
keep sixteen digits and a design loses a few of them on the way, so rounding stays far below it, and
nothing that is made shows a billionth.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
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


Numbers = Mapping[str, Any]
Sized = Callable[[Numbers, Numbers], tuple[Any, Any]]  # (value, size) of an expression


def size_for_slack(expression: sp.Expr) -> Callable[[Numbers, Numbers], Any]:
    """The size that the slack of an expression is a share of, as a function of (values, ends).

    A quantity counts with the larger end of its range, since that is what its own slack is a share
    of; sums add up, products and powers by the rule for the error of a product; Abs, Min and Max
    count as what is in them. Inside another function nothing is looked at: its value counts as it
    is. Where a function is none that is known here the size is nan. Nothing is compiled, since a
    size is asked for where a limit fails, which is seldom and may be under a slider.

    values  of all symbols by name, floats or arrays, coherent SI
    ends    the larger end of each quantity's range; other symbols count as they are"""
    sized = _sized(expression)

    def size(values: Numbers, ends: Numbers) -> Any:
        with np.errstate(all="ignore"):
            return sized(values, ends)[1]

    return size


def _sized(expression: sp.Expr) -> Sized:
    if expression.is_Symbol:
        name = expression.name
        return lambda values, ends: (values[name], ends.get(name, np.abs(values[name])))
    if expression.is_number:
        number = float(expression)
        return lambda values, ends: (number, abs(number))
    parts = [_sized(part) for part in expression.args]
    if expression.is_Add:
        return lambda values, ends: _sum(part(values, ends) for part in parts)
    if expression.is_Mul:
        exact = [part.is_number for part in expression.args]
        return lambda values, ends: _product([part(values, ends) for part in parts], exact)
    if expression.is_Pow:
        smooth = bool(expression.exp.is_number and expression.exp >= 1)
        base, power = parts
        return lambda values, ends: _power(base(values, ends), power(values, ends), smooth)
    function = _FUNCTIONS.get(expression.func)
    follows = expression.func in _AS_LARGE_AS_WHAT_IS_IN_THEM

    def applied(values: Numbers, ends: Numbers) -> tuple[Any, Any]:
        inside, sizes = zip(*(part(values, ends) for part in parts), strict=True)
        value = function(*inside) if function else np.nan
        return value, reduce(np.maximum, sizes) if follows else np.abs(value)

    return applied


def _sum(parts: Iterable[tuple[Any, Any]]) -> tuple[Any, Any]:
    values, sizes = zip(*parts, strict=True)
    return sum(values), sum(sizes)


def _product(parts: Sequence[tuple[Any, Any]], exact: Sequence[bool]) -> tuple[Any, Any]:
    value, size = 1.0, 0.0
    for (factor, its_size), is_exact in zip(parts, exact, strict=True):
        own = 0.0 if is_exact else its_size
        value, size = value * factor, size * np.abs(factor) + np.abs(value) * own
    return value, size


def _power(base: tuple[Any, Any], power: tuple[Any, Any], smooth: bool) -> tuple[Any, Any]:
    value = np.power(np.asarray(base[0], dtype=float), power[0])
    if smooth:
        return value, power[0] * np.abs(base[0]) ** (power[0] - 1) * base[1]
    return value, np.abs(value)


_AS_LARGE_AS_WHAT_IS_IN_THEM = {sp.Abs, sp.Min, sp.Max}  # they pass its rounding on
_FUNCTIONS: Mapping[type, Callable[..., Any]] = {
    sp.Min: lambda *values: reduce(np.minimum, values),
    sp.Max: lambda *values: reduce(np.maximum, values),
    **{sp.Abs: np.abs, sp.sign: np.sign, sp.floor: np.floor, sp.ceiling: np.ceil},
    **{sp.sin: np.sin, sp.cos: np.cos, sp.tan: np.tan, sp.exp: np.exp, sp.log: np.log},
    **{sp.asin: np.arcsin, sp.acos: np.arccos, sp.atan: np.arctan},
}
