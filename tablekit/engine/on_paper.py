"""Working as one writes it on paper: the answer first, then a line to each step."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

import sympy as sp

from tablekit.engine.wording import words
from tablekit.engine.working import (
    AssumedWorking,
    ClosedWorking,
    TextBoard,
    TogetherWorking,
    WorkedStep,
    Working,
)

_WIDTH = 96  # characters
_NO_BREAK = "\u00a0"


def on_paper(working: Working) -> str:
    """A working as plain text, a line to a step; why each holds is left to `Working.text`."""
    return _Paper(working).written()


class _Paper(TextBoard):
    def written(self) -> str:
        """The answer, what it rests on, and each step."""
        working = self.working
        steps = [step for step in working.steps if not self._plain(step)]
        rows = [("given", self._values(working.givens))] if working.givens else []
        taken = [name for step in working.steps if self._plain(step) for name in step.finds]
        if taken:
            rows.append(("assumed", self._values(taken)))
        for number, step in enumerate(steps, start=1):
            (label, said), *following = self._row(step)
            rows += [(f"{number:>2} {label}", said), *following]
        lines = [*textwrap.wrap(self._answer(), _WIDTH, subsequent_indent="  "), ""]
        indent = max((len(label) for label, _ in rows), default=0) + 2
        for label, said in rows:
            lines += _set(label, said, indent)
        return "\n".join(lines) + "\n"

    def _answer(self) -> str:
        working = self.working
        value = working.sheet[working.name]
        if value.number is None:
            return f"{words(working.name)}: no value here, {value.reason}."
        found, rounded = self._value(working.name), working.sheet.network.wording.rounded
        return f"{words(working.name)}: {found}. {rounded}: {working.answer}."

    def _value(self, name: str) -> str:
        symbol = self.working.thing(name).symbol
        return f"{self._letters.text(symbol)} = {self._figures(name)}"

    def _values(self, names: Sequence[str]) -> str:
        return ", ".join(self._value(name).replace(" ", _NO_BREAK) for name in names)

    def _plain(self, step: WorkedStep) -> bool:
        """Whether it is a value taken as it is: outright, or the plain one of several bounds."""
        if not isinstance(step, AssumedWorking):
            return False
        value = step.assumption.value
        if step.outright:
            return True
        bounds = value.args if isinstance(value, sp.Max | sp.Min) else ()
        here = self.working.si(step.unknown)
        return any(
            abs(one - here) <= 1e-12 * abs(here) for one in filter(None, map(self._size, bounds))
        )

    def _size(self, bound: sp.Expr) -> float | None:
        """A bound in coherent SI where it is a plain value, such as 25 mm."""
        constants = self.working.sheet.network.constants
        names = [symbol.name for symbol in bound.free_symbols]
        if any(name not in constants for name in names):
            return None
        return float(bound.evalf(subs={s: constants[s.name].si for s in bound.free_symbols}))

    def _row(self, step: WorkedStep) -> Iterator[tuple[str, str]]:
        if isinstance(step, ClosedWorking):
            yield words(step.unknown), self._chain(step.unknown, step.form)
        elif isinstance(step, AssumedWorking):
            yield (
                words(step.unknown),
                f"{self._chain(step.unknown, step.assumption.value)} (assumed)",
            )
        else:
            yield from self._tried(step)

    def _tried(self, step: TogetherWorking) -> Iterator[tuple[str, str]]:
        closing = " and ".join(
            f"{self._letters.text(one.equation.lhs)} = {self._letters.text(one.equation.rhs)}"
            for one in step.closing
        )
        tried = ", ".join(words(name) for name in step.tried)
        yield tried, f"tried until both sides of {closing} agree: {self._values(step.tried)}"
        for inner in step.follow:
            yield f"    {words(inner.unknown)}", self._chain(inner.unknown, inner.form)

    def _chain(self, unknown: str, form: sp.Expr) -> str:
        parts = [self._letters.text(self.working.thing(unknown).symbol), self._letters.text(form)]
        if form.free_symbols and not form.is_Symbol:
            parts.append(self._numbers.text(form))
        figures = self._figures(unknown)
        if figures != parts[-1]:
            parts.append(figures)
        return " = ".join(parts)


def _set(label: str, said: str, indent: int) -> list[str]:
    """A label and what goes beside it, broken before an equals sign where it can be."""
    room = _WIDTH - indent
    first, *others = said.split(" = ")
    lines = [first]
    for part in others:
        if len(lines[-1]) + len(part) + 3 <= room:
            lines[-1] = f"{lines[-1]} = {part}"
        else:
            lines.append(f"= {part}")
    wrapped = [one for line in lines for one in textwrap.wrap(line, room, subsequent_indent="  ")]
    labels = [label, *[""] * (len(wrapped) - 1)]
    return [
        f"{one:<{indent}}{text}".replace(_NO_BREAK, " ").rstrip()
        for one, text in zip(labels, wrapped, strict=True)
    ]
