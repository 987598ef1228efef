"""From sympy expressions to plain functions of floats or arrays."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import sympy as sp

from tablekit.engine.calculus import closing
from tablekit.engine.slack import with_slack
from tablekit.engine.written import Assignment, Unwritable, function_of, left_over, size_of

Chooser = Callable[..., Any]

# Their own names because numpy's `amin` of a scalar and an array does not broadcast.
_smaller, _larger, _step = sp.Function("smaller"), sp.Function("larger"), sp.Function("step")
_SAME = ("sin", "cos", "tan", "asin", "acos", "atan", "exp", "log", "sqrt", "floor", "ceil")
_SCALAR: dict[str, Any] = {
    **{name: getattr(math, name) for name in _SAME},
    "smaller": min,
    "larger": max,
    "step": lambda x: 0.5 if x == 0 else float(x > 0),
    "sign": lambda x: math.copysign(1.0, x) if x else 0.0,
    # Python makes a complex number of a root of a negative one, and its abs would hide that.
    "abs": math.fabs,
}
_ARRAY: dict[str, Any] = {
    **{name: getattr(np, name) for name in _SAME if not name.startswith("a")},
    **{name: getattr(np, f"arc{name[1:]}") for name in _SAME if name.startswith("a")},
    "smaller": np.minimum,
    "larger": np.maximum,
    "step": lambda x: np.heaviside(x, 0.5),
    "sign": np.sign,
    "abs": np.abs,
}


def prepare(expression: sp.Expr, constants: Mapping[sp.Symbol, float]) -> sp.Expr:
    """Constants put in, irrational numbers folded to doubles, minima made pairwise."""
    if isinstance(expression, left_over):
        expression = closing(*expression.args)[0]
    elif isinstance(expression, size_of):
        expression = closing(*expression.args)[1]
    expression = expression.xreplace({s: sp.Float(v, 17) for s, v in constants.items()})
    if expression.has(sp.Min, sp.Max):
        expression = expression.replace(sp.Min, lambda *a: _pairwise(_smaller, a))
        expression = expression.replace(sp.Max, lambda *a: _pairwise(_larger, a))
    if expression.has(sp.Heaviside):  # the slope of a minimum
        expression = expression.replace(sp.Heaviside, lambda *a: _step(a[0]))
    return expression.replace(_foldable, lambda e: e.evalf(17))


def _pairwise(function: Any, parts: Sequence[sp.Expr]) -> sp.Expr:
    result = parts[0]
    for part in parts[1:]:
        result = function(result, part)
    return result


def _foldable(expression: sp.Expr) -> bool:
    return (
        not expression.is_Number and bool(expression.args or expression.is_NumberSymbol)
    ) and not expression.free_symbols


WORTH_SHARING = 150  # operations


def compile_assignments(
    inputs: Sequence[sp.Symbol],
    assignments: Sequence[Assignment],
    outputs: Sequence[sp.Symbol],
    *,
    arrays: bool,
    functions: Mapping[str, Chooser] | None = None,
    constants: Mapping[sp.Symbol, float] | None = None,
    share: bool = True,
) -> Callable[..., tuple[Any, ...]]:
    """One function that makes the assignments in order and returns the outputs.

    With `share` what several expressions have in common is computed once: worth finding out for
    what is run over arrays, but not for what is run for one design at a time. With `arrays` the
    arguments broadcast as NumPy arrays; without, they are floats and `math` is used, which is
    twenty times quicker for one design but raises ValueError or ZeroDivisionError where NumPy
    gives nan. `constants` are symbols that are numbers.
    """
    known = {**(_ARRAY if arrays else _SCALAR), **(functions or {})}
    fixed = constants or {}

    def prepared() -> list[Assignment]:
        return [(symbol, prepare(form, fixed)) for symbol, form in assignments]

    in_order = _share(prepared()) if share else list(assignments)
    try:
        return function_of(inputs, in_order, outputs, known, fixed)
    except Unwritable:
        ready = in_order if share else prepared()
        function: Callable[..., tuple[Any, ...]] = sp.lambdify(
            list(inputs),
            tuple(outputs),
            modules=[known, "numpy" if arrays else "math"],
            cse=lambda expressions: (ready, expressions),
        )
        return function


def compile_vector(
    inputs: Sequence[sp.Symbol],
    expressions: Sequence[sp.Expr],
    *,
    arrays: bool,
    constants: Mapping[sp.Symbol, float] | None = None,
    share: bool = True,
) -> Callable[..., tuple[Any, ...]]:
    """One function that returns all the expressions. See `compile_assignments`."""
    outputs = [sp.Symbol(f"_output_{index}") for index in range(len(expressions))]
    pairs = list(zip(outputs, expressions, strict=True))
    return compile_assignments(
        inputs, pairs, outputs, arrays=arrays, constants=constants, share=share
    )


def _share(assignments: Sequence[Assignment]) -> list[Assignment]:
    """The assignments with common subexpressions drawn out just before their first use.

    A few short ones are left as they are: looking for what they share takes longer than it saves.
    """
    if sum(expression.count_ops() for _, expression in assignments) < WORTH_SHARING:
        return list(assignments)
    shared, reduced = sp.cse(
        [expression for _, expression in assignments],
        symbols=sp.numbered_symbols("_shared_", cls=sp.Symbol, real=True),
        order="none",
    )
    waiting = dict(shared)
    ordered: list[Assignment] = []

    def draw_out(expression: sp.Expr) -> None:
        for symbol in sorted(expression.free_symbols & waiting.keys(), key=str):
            if symbol in waiting:
                inner = waiting.pop(symbol)
                draw_out(inner)
                ordered.append((symbol, inner))

    for (symbol, _), expression in zip(assignments, reduced, strict=True):
        draw_out(expression)
        ordered.append((symbol, expression))
    return ordered


def chooser(low: float, high: float, *, arrays: bool) -> Chooser:
    """A function of a preferred value and several branches that returns the one in [low, high].

    Of several inside, the one nearest the preferred; of none, the one nearest the range, so that
    the range check can say by how much it falls outside.
    """
    low, high = with_slack(low, high)

    def choose(preferred: float, *branches: float) -> float:
        best, best_cost = math.nan, (math.inf, math.inf)
        for branch in branches:
            outside = max(low - branch, branch - high, 0.0)
            cost = (outside, abs(branch - preferred))
            if cost < best_cost:  # false for nan, which is therefore never chosen
                best, best_cost = branch, cost
        return best

    def choose_arrays(preferred: Any, *branches: Any) -> Any:
        preferred, *columns = np.broadcast_arrays(preferred, *branches)
        stacked = np.stack(columns)
        outside = np.maximum(np.maximum(low - stacked, stacked - high), 0.0)
        # Any branch inside the range beats any outside it; the width keeps the two costs apart.
        cost = np.where(outside > 0, 2 * (high - low) + outside, np.abs(stacked - preferred))
        cost = np.where(np.isnan(cost), np.inf, cost)
        best = np.argmin(cost, axis=0)
        return np.take_along_axis(stacked, best[None], axis=0)[0]

    return choose_arrays if arrays else choose
