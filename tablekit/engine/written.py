"""Expressions written out as the text of one Python function.

sympy's own printers do this for every kind of expression and many languages, and take longer over
a network than solving it does. The few kinds that a plan is made of are written here; an expression
of any other kind is for `sympy.lambdify`. The tests hold the two against each other.
"""

from __future__ import annotations

import keyword
import math
from collections.abc import Callable, Mapping, Sequence
from functools import reduce
from typing import Any

import sympy as sp
from sympy.core.function import AppliedUndef

Assignment = tuple[sp.Symbol, sp.Expr]

# What two sides leave over, and the size of their terms, left to be written out: see `calculus`,
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
