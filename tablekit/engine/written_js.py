"""A compiled plan written out as one plain JavaScript function, for a page without Python.

It is made of the same steps as the function in Python and finds the same numbers, to rounding. The
tests run both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import sympy as sp

from tablekit.engine.codegen import (
    SUM,
    WHOLE,
    Assignment,
    Unwritable,
    Writer,
    Written,
    closing,
    name_of,
)
from tablekit.engine.judge import can_be_left_out, limits_in_force
from tablekit.engine.order import ClosedStep
from tablekit.engine.program import Program, preferred_symbol
from tablekit.engine.relation import Limit
from tablekit.engine.slack import NOTHING, SLACK, with_slack

# What an expression may call, as JavaScript; each is declared only where it is called.
_FUNCTIONS: Mapping[str, str] = {
    **{
        name: f"Math.{name}"
        for name in ("sin", "cos", "tan", "asin", "acos", "atan", "exp", "log", "sqrt", "abs",
                     "sign", "floor", "ceil", "pow")
    },
    "smaller": "Math.min",
    "larger": "Math.max",
    "step": "x => x > 0 ? 1 : x < 0 ? 0 : x === 0 ? 0.5 : NaN",
}  # fmt: skip
# Of several branches the one in its range that is nearest to what is preferred; of none in range,
# the one nearest the range.
_CHOOSE = """(low, high, preferred, ...branches) => {
    let best = NaN, least = [Infinity, Infinity];
    for (const branch of branches) {
      const cost = [Math.max(low - branch, branch - high, 0), Math.abs(branch - preferred)];
      if (cost[0] < least[0] || (cost[0] === least[0] && cost[1] < least[1])) {
        [best, least] = [branch, cost];
      }
    }
    return best;
  }"""
_FINITE = "x => Number.isFinite(x) ? x : NaN"
_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class JsPlan:
    """A plan as JavaScript.

    text     one function declaration; it takes an object of numbers by name and returns an object
             of numbers by name, all in coherent SI, NaN where there is none
    inputs   the names that it takes
    outputs  the names that it returns, those of `limits` after the quantities
    limits   by a name of its own each limit on the way, whose margin is returned under that name:
             it holds where that is not negative. Ranges are for whoever calls to look at.
    """

    text: str
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    limits: Mapping[str, Limit]


def script_of(program: Program, name: str, wanted: Sequence[str]) -> JsPlan:
    """What leads to `wanted` in a program, as a JavaScript function called `name`.

    Where a step may have several answers, the one nearest its usual value is taken, as `Program`
    takes it first. Raises Unwritable where some relations have to be solved together, which no
    formula does, and for an expression that the Python printer does not write either.
    """
    part = program.leading_to(wanted)
    closed = [step for step in part.steps if isinstance(step, ClosedStep)]
    if len(closed) < len(part.steps):
        raise Unwritable("relations that are solved together")
    limits: dict[str, Limit] = {}
    steps = [part.assignment(step) for step in closed]
    beside = list(_judged(part, closed, limits))
    every = [*steps, *beside]
    used = {s.name for _, form in every for s in form.free_symbols}
    found = {symbol.name for symbol, _ in every}
    inputs = tuple(sorted((used - found) & part.symbols.keys()))
    outputs = (*dict.fromkeys(wanted), *limits)
    return JsPlan(text_of(part, name, inputs, outputs, every), inputs, outputs, limits)


def text_of(
    program: Program,
    name: str,
    inputs: Sequence[str],
    outputs: Sequence[str],
    assignments: Sequence[Assignment],
) -> str:
    """The function called `name` that makes the assignments in order, as its text.

    What is assigned a second time is made anew of what it was. Raises Unwritable as `script_of`."""
    writer = _JavaScript(program)
    named = {one: writer.name(sp.Symbol(one)) for one in inputs}
    declared: list[str] = []
    anew: list[str] = []
    for symbol, form in assignments:
        again = symbol.name in named
        named[symbol.name] = writer.name(symbol)
        line = f"{writer.name(symbol)} = {writer.text(form, SUM)}"
        (anew if again else declared).append(line)
    head = [f"{one} = {form}" for one, form in writer.declared()]
    given = ", ".join(f"{one}: {named[one]}" for one in inputs)
    results = ", ".join(f"{one}: finite({named[one]})" for one in outputs)
    constants = ",\n    ".join([*head, f"finite = {_FINITE}"])
    return "".join(
        (
            f"function {name_of(sp.Symbol(name))}({{{given}}}) {{\n  const {constants};\n",
            f"  let {', '.join(declared)};\n" if declared else "",
            *(f"  {line};\n" for line in anew),
            f"  return {{{results}}};\n}}\n",
        )
    )


def _judged(
    program: Program, steps: Sequence[ClosedStep], limits: dict[str, Limit]
) -> Iterator[Assignment]:
    """What is worked out beside the steps: the margins of limits, which are added to `limits`, and
    quantities anew that have no value after all."""
    where = sp.Function("where")  # its first part where the second is not negative, else NaN
    for step in steps:
        symbol = program.symbols[step.unknown]
        if step.must_be_put_back:
            left_over, size = closing(*step.relation.equation.args)
            yield symbol, where(symbol, SLACK * size + NOTHING - sp.Abs(left_over))
        for _, limit in limits_in_force(step, program.plan):
            if limit.otherwise == "leave out" and can_be_left_out(step, program.plan):
                yield symbol, where(symbol, limit.slack)
                continue
            margin = sp.Symbol(f"limit_{len(limits) + 1}")
            limits[margin.name] = limit
            yield margin, limit.slack


class _JavaScript(Writer):
    """Texts in JavaScript, in names of a letter or two: the page is read on a phone."""

    def __init__(self, program: Program):
        super().__init__(program.constants)
        self._program = program
        self._names: dict[str, str] = {}
        self._called: dict[str, str] = {}

    def name(self, symbol: sp.Symbol) -> str:
        """A short name of its own, the same each time; a number where a value is preferred."""
        for one in self._program.branching:
            if symbol == preferred_symbol(one):
                return repr(float(self._program.preferred(one)))
        number = len(self._names)
        return self._names.setdefault(symbol.name, _short(number))

    def function(self, name: str) -> str:
        """The function by the name that it is declared under."""
        if name.startswith("_choose_"):
            self._called["choose"] = _CHOOSE
            low, high = with_slack(*self._program.range_of(name.removeprefix("_choose_")))
            own = f"choose{len(self._called)}"
            self._called[own] = f"(...rest) => choose({low!r}, {high!r}, ...rest)"
            return own
        if name == "where":
            self._called[name] = "(value, margin) => margin >= 0 ? value : NaN"
        elif name in _FUNCTIONS:
            self._called[name] = _FUNCTIONS[name]
        else:
            raise Unwritable(name)
        return name

    def power(self, base: str, exponent: str) -> Written:
        """A call, since a sign before a base is no JavaScript: `-x**2`."""
        return f"{self.function('pow')}({base}, {exponent})", WHOLE

    def declared(self) -> Iterator[tuple[str, str]]:
        """The functions that were called so far, by name."""
        yield from self._called.items()


def _short(number: int) -> str:
    """A name by its number: a letter, and a figure after the first fifty-two."""
    rest, place = divmod(number, len(_LETTERS))
    return f"{_LETTERS[place]}{rest or ''}"
