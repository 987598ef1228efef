"""From sympy expressions to plain functions of floats or arrays.

sympy's own printers write every kind of expression in many languages, and take longer over a
network than solving it does. The few kinds that a plan is made of are written out here, as the text
of one Python function; an expression of any other kind is for `sympy.lambdify`. The tests hold the
two against each other.
"""

from __future__ import annotations

import keyword
import math
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import lru_cache, reduce
from typing import Any

import numpy as np
import sympy as sp
from sympy.core.function import AppliedUndef

from tablekit.engine.slack import with_slack

# -- slopes and sizes of expressions ---------------------------------------------------------------


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


# -- the text of a function ------------------------------------------------------------------------

Assignment = tuple[sp.Symbol, sp.Expr]

# What two sides leave over, and the size of their terms, left to be written out: see `closing`,
# which says the same in expressions and takes ten times as long.
left_over, size_of = sp.Function("left_over"), sp.Function("size_of")

# How tightly the outermost sign of a text binds.
SUM, PRODUCT, POWER, WHOLE = range(4)
Written = tuple[str, int]

_NAMES: dict[type, str] = {
    sp.sin: "sin",
    sp.cos: "cos",
    sp.tan: "tan",
    sp.asin: "asin",
    sp.acos: "acos",
    sp.atan: "atan",
    sp.exp: "exp",
    sp.log: "log",
    sp.Abs: "abs",
    sp.sign: "sign",
    sp.floor: "floor",
    sp.ceiling: "ceil",
}


class Unwritable(Exception):
    """An expression holds something that is not written here."""


def function_of(
    inputs: Sequence[sp.Symbol],
    assignments: Sequence[Assignment],
    outputs: Sequence[sp.Symbol],
    functions: Mapping[str, Callable[..., Any]],
    constants: Mapping[sp.Symbol, float],
) -> Callable[..., tuple[Any, ...]]:
    """One function that makes the assignments in order and returns the outputs.

    functions  what `sqrt` and each function in the expressions is, by name; `smaller`, `larger` and
               `step` are Min, Max and Heaviside
    constants  symbols that are numbers
    Raises Unwritable for an expression, or a name, that cannot be written here.

    Names are kept apart by how they begin: those of quantities by a letter, those of symbols the
    engine adds by one underscore, those of functions by two.
    """
    writer = Writer(constants)
    lines = [f"def __written({', '.join(map(name_of, inputs))}):"]
    lines += [f"    {name_of(symbol)} = {writer.text(form, SUM)}" for symbol, form in assignments]
    lines.append(f"    return ({''.join(f'{name_of(symbol)}, ' for symbol in outputs)})")
    room: dict[str, Any] = {f"__{name}": function for name, function in functions.items()}
    exec(compile("\n".join(lines), "<a plan, written out>", "exec"), room)
    written: Callable[..., tuple[Any, ...]] = room["__written"]
    return written


def name_of(symbol: sp.Symbol) -> str:
    """The name of a symbol; nothing but a name may get into the text that is run.

    Raises Unwritable for any other text."""
    name: str = symbol.name
    if not name.isidentifier() or keyword.iskeyword(name) or name.startswith("__"):
        raise Unwritable(name)
    return name


class Writer:
    """Texts of expressions in which some symbols are numbers, as Python; what another language
    writes otherwise is said by one that derives from it."""

    def __init__(self, constants: Mapping[sp.Symbol, float]):
        self._constants = {symbol: _number(number) for symbol, number in constants.items()}

    def text(self, expression: sp.Expr, binds: int) -> str:
        """The expression, in brackets where what stands around it binds tighter than that."""
        return _bound(*self._written(expression), binds)

    def name(self, symbol: sp.Symbol) -> str:
        """What a symbol that is no number is called in the text."""
        return name_of(symbol)

    def function(self, name: str) -> str:
        """What a function is called in the text."""
        return f"__{name}"

    def power(self, base: str, exponent: str) -> Written:
        """One text to the power of another, both in brackets where they need them."""
        return f"{base}**{exponent}", POWER

    def _call_of(self, name: str, *parts: str) -> str:
        return f"{self.function(name)}({', '.join(parts)})"

    def _written(self, expression: sp.Expr) -> Written:
        if expression.is_Symbol:
            return self._constants.get(expression) or (self.name(expression), WHOLE)
        if expression.is_Integer:
            return _signed(str(int(expression)))
        if expression.is_number:
            return _number(_float(expression))  # once and for all, such as the root of three
        if expression.is_Add:
            return self._sum(expression)
        if expression.is_Mul:
            return self._product(expression)
        if isinstance(expression, sp.Pow):
            return self._power(expression.base, expression.exp)
        return self._call(expression), WHOLE

    def _size(self, expression: sp.Expr) -> str:
        """As `calculus.magnitude`, in brackets wherever a sign might bind otherwise."""
        if expression.is_Add:
            return f"({' + '.join(map(self._size, expression.args))})"
        if expression.is_Mul:
            return f"({'*'.join(map(self._size, expression.args))})"
        if isinstance(expression, sp.Pow) and expression.exp.is_number and expression.exp > 0:
            text, _ = self.power(self._size(expression.base), self.text(expression.exp, WHOLE))
            return f"({text})"
        return self._call_of("abs", self.text(expression, SUM))

    def _call(self, expression: sp.Expr) -> str:
        if expression.func == left_over:
            left, right = (self.text(side, SUM) for side in expression.args)
            return f"({left} - ({right}))"
        if expression.func == size_of:
            return f"({' + '.join(map(self._size, expression.args))})"
        parts = [self.text(part, SUM) for part in expression.args]
        if isinstance(expression, sp.Min | sp.Max):
            # In pairs, because numpy's `amin` of a scalar and an array does not broadcast.
            name = "smaller" if isinstance(expression, sp.Min) else "larger"
            return reduce(lambda one, other: self._call_of(name, one, other), parts)
        if isinstance(expression, sp.Heaviside):  # the slope of a minimum
            return self._call_of("step", parts[0])
        undefined = isinstance(expression, AppliedUndef)
        known = expression.func.__name__ if undefined else _NAMES.get(type(expression))
        if known is None:
            raise Unwritable(str(expression))
        return self._call_of(known, *parts)

    def _sum(self, expression: sp.Add) -> Written:
        text = ""
        for part in expression.args:
            term = self.text(part, PRODUCT)
            if not text:
                text = term
            elif term.startswith("-"):
                text += f" - {term[1:]}"
            else:
                text += f" + {term}"
        return text, SUM

    def _product(self, expression: sp.Mul) -> Written:
        negative, above, below = False, [], []
        for part in expression.args:
            if part.is_Rational:
                negative ^= part.p < 0
                above += [str(abs(part.p))] * (abs(part.p) != 1)
                below += [str(part.q)] * (part.q != 1)
            elif isinstance(part, sp.Pow) and part.exp.is_Rational and part.exp.p < 0:
                below.append(_bound(*self._power(part.base, -part.exp), POWER))
            else:
                above.append(self.text(part, POWER))
        text = "*".join(above) or "1"
        if below:
            text += f"/{below[0]}" if len(below) == 1 else f"/({'*'.join(below)})"
        return f"-{text}" if negative else text, PRODUCT

    def _power(self, base: sp.Expr, exponent: sp.Expr) -> Written:
        if exponent == 1:
            return self._written(base)
        if exponent.is_Rational and exponent.p < 0:
            return f"1/{_bound(*self._power(base, -exponent), POWER)}", PRODUCT
        if exponent == sp.S.Half:
            return self._call_of("sqrt", self.text(base, SUM)), WHOLE
        return self.power(self.text(base, WHOLE), self.text(exponent, WHOLE))


def _bound(text: str, strength: int, binds: int) -> str:
    return f"({text})" if strength < binds else text


def _float(expression: sp.Expr) -> float:
    number = expression if expression.is_Number else expression.evalf(17)
    if not number.is_Number:
        raise Unwritable(str(expression))
    return float(number)


def _number(number: float) -> Written:
    if not math.isfinite(number):
        raise Unwritable(str(number))
    return _signed(repr(float(number)))


def _signed(text: str) -> Written:
    return text, PRODUCT if text.startswith("-") else WHOLE


# -- the function ----------------------------------------------------------------------------------

Chooser = Callable[..., Any]

# Their own names because numpy's `amin` of a scalar and an array does not broadcast.
_smaller, _larger, _step = sp.Function("smaller"), sp.Function("larger"), sp.Function("step")
_double, _no_number = sp.Function("double"), sp.Function("no_number")
_cube = sp.Function("cube")  # NumPy's third power takes four times as long as two products
_SAME = ("sin", "cos", "tan", "asin", "acos", "atan", "exp", "log", "sqrt", "floor", "ceil")
_SCALAR: dict[str, Any] = {
    **{name: getattr(math, name) for name in _SAME},
    "smaller": min,
    "larger": max,
    "step": lambda x: 0.5 if x == 0 else float(x > 0),
    "sign": lambda x: math.copysign(1.0, x) if x else 0.0,
    "double": float,
    "no_number": lambda: math.nan,
    "cube": lambda x: x * x * x,
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
    "double": np.float64,
    "no_number": lambda: math.nan,
    "cube": lambda x: x * x * x,
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


def _foldable(expression: sp.Basic) -> bool:
    return (
        isinstance(expression, sp.Expr)  # a branch of a Piecewise is none
        and not expression.is_Number
        and bool(expression.args or expression.is_NumberSymbol)
        and not expression.free_symbols
    )


WORTH_SHARING = 12  # operations


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

    With `share` what several expressions have in common is computed once, and what rests on no
    input not at all: worth finding out for what is run over arrays, but not for what is run for one
    design at a time. With `arrays` the
    arguments broadcast as NumPy arrays; without, they are floats and `math` is used, which is
    twenty times quicker for one design but raises ValueError or ZeroDivisionError where NumPy
    gives nan. `constants` are symbols that are numbers.
    """
    known = {**(_ARRAY if arrays else _SCALAR), **(functions or {})}
    fixed = constants or {}
    in_order = _share(_folded(assignments, fixed)) if share else list(assignments)
    if arrays:  # a division by a number of Python's own raises an error with NumPy too
        in_order = [(s, _double(form) if form.is_number else form) for s, form in in_order]
    try:
        return function_of(inputs, in_order, outputs, known, fixed)
    except Unwritable:
        ready = in_order if share else [(s, prepare(form, fixed)) for s, form in assignments]
        return _by_sympy(inputs, ready, outputs, known, arrays)


def _by_sympy(
    inputs: Sequence[sp.Symbol],
    assignments: Sequence[Assignment],
    outputs: Sequence[sp.Symbol],
    functions: Mapping[str, Any],
    arrays: bool,
) -> Callable[..., tuple[Any, ...]]:
    """As `compile_assignments`, by sympy's own printer, for what cannot be written here."""
    # In its text a quantity called `sin` would stand in the way of the sine.
    every = dict.fromkeys((*inputs, *(symbol for symbol, _ in assignments)))
    plain = {symbol: sp.Symbol(f"_{place}", real=True) for place, symbol in enumerate(every)}
    ready = [(plain[symbol], form.xreplace(plain)) for symbol, form in assignments]
    function: Callable[..., tuple[Any, ...]] = sp.lambdify(
        [plain[symbol] for symbol in inputs],
        tuple(plain[symbol] for symbol in outputs),
        modules=[functions, "numpy" if arrays else "math"],
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


def _folded(
    assignments: Sequence[Assignment], constants: Mapping[sp.Symbol, float]
) -> list[Assignment]:
    """The assignments prepared; a symbol that is a number, or a multiple of another symbol, or that
    is what another one is, is put in where it is used."""
    numbers = dict(constants)
    fixed: dict[sp.Symbol, sp.Expr] = {}
    known: dict[sp.Expr, sp.Symbol] = {}
    folded = []
    for symbol, form in assignments:
        number = _number_of(form, numbers) if form.free_symbols <= numbers.keys() else None
        if number is not None and math.isfinite(number):
            numbers[symbol] = number
            ready = fixed[symbol] = sp.Float(number, 17)
        elif number is not None:
            ready = _no_number()
        else:
            ready = prepare(form.xreplace(fixed), constants).replace(_is_one, sp.Integer)
            if ready.has(sp.I, sp.zoo, sp.nan, sp.oo, sp.S.NegativeInfinity):
                # For NumPy to say where it is no number, which it does of its own floats only.
                own = {s: _double(value) for s, value in fixed.items() if value.is_Number}
                ready = prepare(form.xreplace(own), constants)
            elif ready.as_coeff_Mul()[1].is_Symbol:
                fixed[symbol] = ready
            elif (same := known.setdefault(ready, symbol)) is not symbol:
                ready = fixed[symbol] = same
        folded.append((symbol, ready))
    return folded


def _number_of(form: sp.Expr, numbers: Mapping[sp.Symbol, float]) -> float | None:
    """What a form of numbers comes to, as for one design: nan where that is no number, and None
    where it cannot be written."""
    value = sp.Symbol("_value")
    try:
        (found,) = function_of([], [(value, form)], [value], _SCALAR, numbers)()
    except Unwritable:
        return None
    except (ValueError, ArithmeticError, TypeError):
        return math.nan
    return found if isinstance(found, float | int) else math.nan  # complex is no number either


def _is_one(expression: sp.Expr) -> bool:
    return bool(expression.is_Float and abs(expression) == 1)


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
    shared, reduced = _without_minus(shared, reduced)
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
    return _in_few_names(ordered, dict(shared).keys())


def _without_minus(
    shared: Sequence[Assignment], reduced: Sequence[sp.Expr]
) -> tuple[list[Assignment], list[sp.Expr]]:
    """What is shared as -x/2 is shared as x/2 instead, and what is but -x is not shared at all.

    sympy draws out either sign, and most of what rests on it then turns it round once more."""
    turned: dict[sp.Symbol, sp.Expr] = {}
    kept: dict[sp.Expr, sp.Symbol] = {}
    for symbol, expression in shared:
        form = expression.xreplace(turned)
        factor, rest = form.as_coeff_Mul()
        sign = -1 if factor.is_negative else 1
        if rest.is_Symbol and abs(factor) == 1:
            turned[symbol] = form
        else:
            turned[symbol] = sign * kept.setdefault(sign * form, symbol)
    return [(s, form) for form, s in kept.items()], [e.xreplace(turned) for e in reduced]


def _in_few_names(ordered: Sequence[Assignment], shared: Collection[sp.Symbol]) -> list[Assignment]:
    """The same with the names of shared parts used again once nothing rests on them any more.

    So arrays of no more use are dropped, and those that follow lie where they lay, in the
    processor's cache."""
    last = {s: at for at, (_, form) in enumerate(ordered) for s in form.free_symbols}
    free: list[sp.Symbol] = []
    named: dict[sp.Symbol, sp.Symbol] = {}
    result: list[Assignment] = []
    for at, (symbol, form) in enumerate(ordered):
        written = form.xreplace({s: named[s] for s in form.free_symbols if s in named})
        if symbol in shared:
            named[symbol] = free.pop() if free else symbol
        result.append((named.get(symbol, symbol), _quicker(written)))
        free += [named[s] for s in form.free_symbols if s in named and last[s] == at]
    return result


def _quicker(expression: sp.Expr) -> sp.Expr:
    """The same for the processor: a half of it instead of it by two, a product for a cube."""

    def halved(product: sp.Expr) -> bool:
        factor = product.args[0] if product.is_Mul else sp.S.One
        return bool(factor.is_Rational and factor.q > 1 and factor.q & (factor.q - 1) == 0)

    expression = expression.replace(
        lambda e: e.is_Pow and abs(e.exp) == 3,
        lambda e: _cube(e.base) if e.exp == 3 else 1 / _cube(e.base),
    )
    return expression.replace(
        halved, lambda e: sp.Mul(sp.Float(e.args[0], 17), *e.args[1:], evaluate=False)
    )


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
