"""Prepared expressions written out as the text of one Python function.

sympy's own printers do this for every kind of expression and many languages, and take longer over
a network than solving it does. The few kinds that a plan is made of are written here; an expression
of any other kind is for `sympy.lambdify`. The tests hold the two against each other.
"""

from __future__ import annotations

import keyword
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import sympy as sp
from sympy.core.function import AppliedUndef

Assignment = tuple[sp.Symbol, sp.Expr]

# How tightly the outermost sign of a text binds.
_SUM, _PRODUCT, _POWER, _WHOLE = range(4)
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
) -> Callable[..., tuple[Any, ...]]:
    """One function that makes the assignments in order and returns the outputs.

    functions  what `sqrt` and each function in the expressions is, by name
    Raises Unwritable for an expression, or a name, that cannot be written here.
    """
    lines = [f"def made({', '.join(map(_name, inputs))}):"]
    lines += [f"    {_name(symbol)} = {_text(form, _SUM)}" for symbol, form in assignments]
    lines.append(f"    return ({''.join(f'{_name(symbol)}, ' for symbol in outputs)})")
    # A mark before each name of a function keeps it apart from a quantity of the same name.
    room: dict[str, Any] = {f"_{name}": function for name, function in functions.items()}
    exec(compile("\n".join(lines), "<a plan, written out>", "exec"), room)
    made: Callable[..., tuple[Any, ...]] = room["made"]
    return made


def _name(symbol: sp.Symbol) -> str:
    # Nothing but a name may get into the text that is run.
    name: str = symbol.name
    if not name.isidentifier() or keyword.iskeyword(name) or name.startswith("_"):
        raise Unwritable(name)
    return name


def _text(expression: sp.Expr, binds: int) -> str:
    """The expression, in brackets where what stands around it binds tighter than `binds` says."""
    text, strength = _written(expression)
    return f"({text})" if strength < binds else text


def _written(expression: sp.Expr) -> Written:
    if expression.is_Symbol:
        return _name(expression), _WHOLE
    if expression.is_Number:
        return _number(expression)
    if expression.is_Add:
        return _sum(expression)
    if expression.is_Mul:
        return _product(expression)
    if isinstance(expression, sp.Pow):
        return _power(expression.base, expression.exp)
    undefined = isinstance(expression, AppliedUndef)
    name = expression.func.__name__ if undefined else _NAMES.get(type(expression))
    if name is None:
        raise Unwritable(str(expression))
    return f"_{name}({', '.join(_text(part, _SUM) for part in expression.args)})", _WHOLE


def _number(number: sp.Number) -> Written:
    if not (number.is_finite and math.isfinite(float(number))):
        raise Unwritable(str(number))
    text = str(int(number)) if number.is_Integer else repr(float(number))
    return text, _PRODUCT if text.startswith("-") else _WHOLE


def _sum(expression: sp.Add) -> Written:
    text = ""
    for part in expression.args:
        term = _text(part, _PRODUCT)
        if not text:
            text = term
        elif term.startswith("-"):
            text += f" - {term[1:]}"
        else:
            text += f" + {term}"
    return text, _SUM


def _product(expression: sp.Mul) -> Written:
    negative, above, below = False, [], []
    for part in expression.args:
        if part.is_Rational:
            negative ^= part.p < 0
            above += [str(abs(part.p))] * (abs(part.p) != 1)
            below += [str(part.q)] * (part.q != 1)
        elif isinstance(part, sp.Pow) and part.exp.is_Rational and part.exp.p < 0:
            below.append(_bound(*_power(part.base, -part.exp), _POWER))
        elif part.is_Float and part < 0:
            negative = not negative
            above.append(_text(-part, _POWER))
        else:
            above.append(_text(part, _POWER))
    text = "*".join(above) or "1"
    if below:
        text += f"/{below[0]}" if len(below) == 1 else f"/({'*'.join(below)})"
    return f"-{text}" if negative else text, _PRODUCT


def _bound(text: str, strength: int, binds: int) -> str:
    return f"({text})" if strength < binds else text


def _power(base: sp.Expr, exponent: sp.Expr) -> Written:
    if exponent == 1:
        return _written(base)
    if exponent.is_Rational and exponent.p < 0:
        return f"1/{_bound(*_power(base, -exponent), _POWER)}", _PRODUCT
    if exponent == sp.S.Half:
        return f"_sqrt({_text(base, _SUM)})", _WHOLE
    return f"{_text(base, _WHOLE)}**{_text(exponent, _WHOLE)}", _POWER
