"""Working as one writes it on paper: the answer first, then a line to each step."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property

import sympy as sp

from tablekit.engine.reduced import (
    AssumedWorking,
    ClosedWorking,
    TogetherWorking,
    WorkedStep,
)
from tablekit.engine.wording import NO_BREAK, words
from tablekit.engine.working import TextWriter, Working

_WIDTH = 96  # characters
_SHORT = 75  # characters that stand in one line beside the name of a quantity
_OF_AN_ANGLE = re.compile(r"((?:sin|cos|tan)²?) ")  # not parted from the angle


_A_FEW = 3  # quantities that follow from one angle alone, before they are quoted in a row


def on_paper(working: Working) -> str:
    """A working as plain text, a line to a step; why each holds is left to `Working.text`.

    What has a long working of its own is quoted, and so is all that follows from one angle alone.
    """
    of_an_angle = dict(_from_an_angle(working))
    known = {
        name
        for step in working.steps
        for name in step.finds
        if name != working.name and working.sheet.network.quantity(name).quoted
    }.union(*of_an_angle.values())
    short = Working(working.sheet, working.name, working.style, working.brief, known)
    return _Paper(short, of_an_angle).written()


def _from_an_angle(working: Working) -> Iterator[tuple[str, set[str]]]:
    """Each angle that the working rests on, and what follows from it alone, where that is a few
    quantities or more and not what was asked for."""
    reduced, constants = working.reduced, working.sheet.network.constants
    plain = [name for step in working.steps if reduced.plain(step) for name in step.finds]
    for angle in (*working.givens, *plain):
        if working.thing(angle).unit != "deg" or angle in reduced.exact:
            continue
        settled = {angle}
        for step in working.steps:
            if isinstance(step, ClosedWorking):
                needs = {symbol.name for symbol in step.form.free_symbols} - constants.keys()
                if needs and needs <= settled:
                    settled.add(step.unknown)
        settled.remove(angle)
        if len(settled) >= _A_FEW and working.name not in settled:
            yield angle, settled


class _Paper(TextWriter):
    def __init__(self, working: Working, of_an_angle: Mapping[str, Collection[str]]):
        super().__init__(working)
        self._of_an_angle = of_an_angle

    def written(self) -> str:
        """The answer, what it rests on, and each step."""
        plain = self.working.reduced.plain
        rows = list(self._rests_upon())
        steps = [step for step in self.working.reduced.steps if not plain(step)]
        told = [step for step in steps if not step.finds <= self._alike.keys()]
        for number, step in enumerate(told, start=1):
            (label, said), *following = self._row(step)
            rows += [(f"{number:>2} {label}", said), *following]
        lines = [*textwrap.wrap(self._answer(), _WIDTH, subsequent_indent="  "), ""]
        indent = max((len(label) for label, _ in rows), default=0) + 2
        for label, said in rows:
            lines += _set(label, said, indent)
        return "\n".join(lines) + "\n"

    def _rests_upon(self) -> Iterator[tuple[str, str]]:
        """What is given, assumed, exact, and quoted."""
        working = self.working
        if working.givens:
            yield "given", self._values(working.givens)
        plain = (step for step in working.steps if working.reduced.plain(step))
        if taken := [name for step in plain for name in step.finds]:
            yield "assumed", self._values(taken)
        if exactly := self.exactly():
            yield self.exactly_where, self._joined(exactly)
        rest = list(working.quoted)
        for angle, found in self._of_an_angle.items():
            if here := [name for name in rest if name in found]:
                yield f"at that {words(angle)}", self._values(here)
                rest = [name for name in rest if name not in found]
        if rest:
            its = "its" if len(rest) == 1 else "their"
            yield "found", f"{self._values(rest)}; see {its} working"

    @cached_property
    def _alike(self) -> dict[str, str]:
        """What is found as another is, from the same: {its name: that of the first found so}. It is
        told with that one."""
        names: dict[sp.Symbol, sp.Symbol] = {}
        first: dict[sp.Expr, str] = {}
        found: dict[str, str] = {}
        for name, form in self._forms():
            known = first.setdefault(form.xreplace(names), name)
            if known != name and self._equal(name, known):
                names[self._symbol(name)] = self._symbol(known)
                if name != self.working.name:
                    found[name] = known
        return found

    def _forms(self) -> Iterator[tuple[str, sp.Expr]]:
        """What each quantity follows from, in order."""
        for step in self.working.reduced.steps:
            if isinstance(step, AssumedWorking):
                yield step.unknown, step.assumption.value
            for one in step.follow if isinstance(step, TogetherWorking) else (step,):
                if isinstance(one, ClosedWorking):
                    yield one.unknown, self.working.reduced.form(one)

    def _equal(self, name: str, other: str) -> bool:
        one, two = self.working.thing(name), self.working.thing(other)
        return one.unit == two.unit and self._figures(name) == self._figures(other)

    def _others(self, name: str) -> str:
        """Letters of what is found as this is: " = d_h"."""
        alike = [one for one, first in self._alike.items() if first == name]
        return "".join(f" = {self._letters.text(self._symbol(one))}" for one in alike)

    def number_text(self, text: str) -> str:
        """A number is not parted from its unit."""
        return text.replace(" ", NO_BREAK)

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
        same = self.working.reduced.same
        return ", ".join(
            (self._same(name) if name in same else self._value(name)).replace(" ", NO_BREAK)
            for name in names
        )

    def _same(self, name: str) -> str:
        other = self._letters.text(self.working.reduced.same[name])
        return f"{self._letters.text(self._symbol(name))} = {other}"

    def _joined(self, rows: Sequence[tuple[str, str, str]]) -> str:
        """Exact values in a row, letters of the same value together: n = m = 1/√3."""
        letters: dict[str, list[str]] = {}
        for _, letter, value in rows:
            letters.setdefault(value, []).append(letter)
        return ", ".join(
            " = ".join((*of, value)).replace(" ", NO_BREAK) for value, of in letters.items()
        )

    def _row(self, step: WorkedStep) -> Iterator[tuple[str, str]]:
        if isinstance(step, ClosedWorking):
            form = self.working.reduced.form(step)
            yield words(step.unknown), self._chain(step.unknown, form)
        elif isinstance(step, AssumedWorking):
            yield (
                words(step.unknown),
                f"{self._chain(step.unknown, step.assumption.value)} (assumed)",
            )
        else:
            yield from self._tried(step)

    def _tried(self, step: TogetherWorking) -> Iterator[tuple[str, str]]:
        side = self.working.reduced.side
        closing = " and ".join(
            " = ".join(self._letters.text(side(one)) for one in (equation.lhs, equation.rhs))
            for equation in (relation.equation for relation in step.closing)
        )
        tried = ", ".join(words(name) for name in step.tried)
        alone = self.working.name in step.tried  # then each step of the loop is shown
        its = "its" if len(step.tried) == 1 else "their"
        where = "" if alone else f"; see {its} working"
        yield tried, f"tried until both sides of {closing} agree: {self._values(step.tried)}{where}"
        follow = [inner for inner in step.follow if inner.unknown not in self._alike]
        shown = follow if alone else self._shown(step, follow)
        quoted = [] if alone else self._quoted(step, follow, shown)
        if quoted:
            found = ", ".join(
                f"{self._value(one)}{self._others(one)}".replace(" ", NO_BREAK) for one in quoted
            )
            yield f"    at {'that' if its == 'its' else 'those'} {tried}", found
        for inner in shown:
            yield f"    {words(inner.unknown)}", self._following(inner)

    def _shown(self, step: TogetherWorking, follow: Sequence[ClosedWorking]) -> list[ClosedWorking]:
        """The steps of a loop that lead to the quantity asked for, once what is tried is known,
        less those that follow from that alone; none where that quantity only rests on the loop."""
        if self.working.name not in step.finds:
            return []
        needed, settled = self._rested_on(step), set(step.tried)
        constants = self.working.sheet.network.constants
        for inner in follow:
            form = self.working.reduced.form(inner)
            names = {symbol.name for symbol in form.free_symbols}
            if names <= settled | constants.keys() or self.working.reduced.plain_bound(
                inner.unknown, form
            ):
                settled.add(inner.unknown)
        settled.discard(self.working.name)
        return [one for one in follow if one.unknown in needed - settled]

    def _quoted(
        self,
        step: TogetherWorking,
        follow: Sequence[ClosedWorking],
        shown: Sequence[ClosedWorking],
    ) -> list[str]:
        """What of a loop the steps that are shown, here or after it, take from it."""
        steps = self.working.reduced.steps
        later = (*shown, *steps[steps.index(step) + 1 :])
        used = {symbol.name for one in later for symbol in self._symbols_of(one)}
        used |= {self._alike[name] for name in used if name in self._alike}
        here = {one.unknown for one in shown}
        return [one.unknown for one in follow if one.unknown in used - here]

    def _rested_on(self, step: TogetherWorking) -> set[str]:
        """What of a loop the quantity asked for is worked out from, once what is tried is known;
        all of it where that itself is asked for."""
        forms = {inner.unknown: self.working.reduced.form(inner) for inner in step.follow}
        needed, wanted = set[str](), [self.working.name]
        if self.working.name not in forms:
            return set(forms)
        while wanted:
            name = wanted.pop()
            if name in forms and name not in needed:
                needed.add(name)
                wanted += [self._alike.get(one.name, one.name) for one in forms[name].free_symbols]
                wanted += [one.name for one in forms[name].free_symbols]
        return needed

    def _symbols_of(self, step: WorkedStep) -> set[sp.Symbol]:
        """What a step takes."""
        if isinstance(step, ClosedWorking):
            return set(self.working.reduced.form(step).free_symbols)
        if isinstance(step, AssumedWorking):
            return set(step.assumption.value.free_symbols)
        closing = (relation.equation.free_symbols for relation in step.closing)
        return set[sp.Symbol]().union(*closing, *map(self._symbols_of, step.follow))

    def _following(self, step: ClosedWorking) -> str:
        """A step that follows what is tried: the plain one of several bounds as it is, and numbers
        put in only where they take no line of their own, or it is what was asked for."""
        form = self.working.reduced.form(step)
        if self.working.reduced.plain_bound(step.unknown, form):
            return self._value(step.unknown) + self._others(step.unknown)
        chain = self._chain(step.unknown, form)
        if len(chain) <= _SHORT or step.unknown == self.working.name:
            return chain
        short = " = ".join((self.letters_in(form), self._figures(step.unknown)))
        letter = self._letters.text(self._symbol(step.unknown))
        return f"{letter} = {short}{self._others(step.unknown)}"

    def _chain(self, unknown: str, form: sp.Expr) -> str:
        parts = [self._letters.text(self.working.thing(unknown).symbol), self.letters_in(form)]
        if form.free_symbols and not form.is_Symbol:
            parts.append(self.numbers_in(form))
        if unknown in self.working.reduced.exact:
            parts.append(self._exact_text(unknown))
        figures = self._figures(unknown)
        if figures != parts[-1]:
            parts.append(figures)
        return " = ".join(parts) + self._others(unknown)


def _set(label: str, said: str, indent: int) -> list[str]:
    """A label and what goes beside it, broken before an equals sign where it can be."""
    room = _WIDTH - indent
    said = _OF_AN_ANGLE.sub(rf"\1{NO_BREAK}", said)
    letter, *others = said.split(" = ")
    opening = " = ".join((letter, *others[:1]))
    wrapped = textwrap.wrap(opening, room, subsequent_indent="  ")
    for part in others[1:]:
        if len(wrapped[-1]) + len(part) + 3 <= room:
            wrapped[-1] = f"{wrapped[-1]} = {part}"
        else:
            wrapped += textwrap.wrap(f"= {part}", room, subsequent_indent="  ")
    labels = [label, *[""] * (len(wrapped) - 1)]
    return [
        f"{one:<{indent}}{text}".replace(NO_BREAK, " ").rstrip()
        for one, text in zip(labels, wrapped, strict=True)
    ]
