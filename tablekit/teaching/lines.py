"""Hints, given away one at a time, and the working on one line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from tablekit.engine.formula import Plain
from tablekit.engine.reduced import TogetherWorking
from tablekit.engine.wording import listed
from tablekit.engine.working import Working, WorkingWriter
from tablekit.teaching.arithmetic import letters_in, written

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.teaching.question import Exercise
    from tablekit.teaching.school import SchoolFormula

Chain = tuple[tuple[str, str], ...]


class LineWriter(WorkingWriter):
    """Writes a working as lines, and keeps its calculations as they are."""

    script = Plain()

    def __init__(self, working: Working):
        super().__init__(working)
        self.lines: list[str] = []
        self.chains: list[Chain] = []
        self._values: list[str] = []
        self._part = ""

    def heading(self, text: str, level: int) -> None:
        """What a calculation is of is put before its first line."""
        self._say_values()
        if level == 2:
            self._part = "" if text == "Given" else f"{text}: "
        elif level == 3:
            self._part = f"{text.replace('_', ' ')}: "

    def chain(self, lines: Sequence[tuple[str, str]]) -> None:
        """Lines of one calculation, the left side said again in each."""
        self._say_values()
        self.chains.append(tuple(lines))
        left = ""
        for side, right in lines:
            left = side or left
            self.lines.append(f"{self._part}{left} = {right}")
            self._part = ""

    def value(self, letter: str, text: str, remark: str) -> None:
        """Values are gathered into one line."""
        self._values.append(f"{letter} = {text}")

    def remark(self, text: str) -> None:
        """A sentence. That a value follows it is not said, since a hint keeps the value back."""
        self._say_values()
        self.lines.append(text.removesuffix(" It does at:"))

    def letter_text(self, thing: str, tex: str, plain: str) -> str:
        """The letter as it is printed."""
        return plain

    def number_text(self, text: str) -> str:
        """The number as it is printed."""
        return text

    def _say_values(self) -> None:
        if self._values:
            self.lines.append("; ".join(self._values))
            self._values = []


def _written(sheet: Sheet, name: str) -> LineWriter:
    writer = LineWriter(Working(sheet, name))
    writer.write(brief=True)
    return writer


def lines(exercise: Exercise) -> tuple[str, ...]:
    """The hints of an exercise: what to do; the formula with its letters explained; the numbers put
    in; the answer. Only the last one has the answer's number in it."""
    formula = exercise.formula
    if formula is None or not formula.text:
        first = (formula.strategy,) if formula is not None else ()
        return (*first, *_of_the_kit(exercise))
    letter = _asked_letter(exercise)
    return (
        formula.strategy,
        f"{letter} = {written(formula.line)}, where {_explained(exercise, formula)}.",
        f"{letter} = {with_numbers(exercise)}",
        f"{letter} = {_both_answers(exercise)}.",
    )


def _asked_letter(exercise: Exercise) -> str:
    """The letter of what is asked for, or of its change."""
    return f"Δ{exercise.asked.letter}" if exercise.after else exercise.asked.letter


def with_numbers(exercise: Exercise) -> str:
    """The right side of the formula with the numbers of the question put in, in the units of the
    class; "" where there is no formula."""
    formula = exercise.formula
    if formula is None or not formula.text:
        return ""
    numbers = {letter: f"{number:.6g}" for letter, number in exercise.letters.items()}
    return written(formula.line, numbers)


def _explained(exercise: Exercise, formula: SchoolFormula) -> str:
    letters = letters_in(formula.line)
    said = [f"{letter} is {formula.name(letter)}" for letter in letters]
    uses = {node.kind for node in formula.line.every()}
    said += [f"{word} is {what}" for word, what in _WORDS.items() if word in uses]
    return listed(said)


_WORDS = {
    "max": "the larger of the two", "roundup": "the next whole number up",
    "acos": "the angle with this cosine", "asin": "the angle with this sine",
    "atan": "the angle with this tangent",
}  # fmt: skip


def _both_answers(exercise: Exercise) -> str:
    exact = exercise.answer_text
    if exercise.marked:
        return f"{exact}, marked as {exercise.marked}"
    counted = exercise.kind.counted if exercise.unit == "1" else ()
    return f"{exact} {counted[0]}" if counted else exact


def _of_the_kit(exercise: Exercise) -> tuple[str, ...]:
    """The kit's own working line by line, where a class has no line of arithmetic for it."""
    *before, number, remark = _written(exercise.sheet, exercise.asked.name).lines
    told = re.compile(rf"(?<![0-9.]){re.escape(number.partition(' = ')[2])}(?![0-9])")
    return (*(line for line in before if not told.search(line)), f"{number}. {remark}")


def hint(exercise: Exercise, number: int) -> str:
    """The hint of that number, counted from 1.

    The last line tells the answer; asking beyond it gives it again. Raises ValueError below 1.
    """
    if number < 1:
        raise ValueError(f"hints are numbered from 1; there is no hint {number}")
    every = lines(exercise)
    return every[min(number, len(every)) - 1]


def hint_count(exercise: Exercise) -> int:
    """How many hints there are; the last one is the answer."""
    return len(lines(exercise))


def short_working(exercise: Exercise) -> Chain:
    """The last calculation of the working: the formula, the numbers put in, the result."""
    if exercise.after is not None:
        letter = exercise.asked.letter
        before, after = (
            _written(sheet, exercise.asked.name).chains[-1][-1][1]
            for sheet in (exercise.sheet, exercise.after)
        )
        return ((f"{letter} before", before), (f"{letter} after", after))
    last = exercise.sheet.working(exercise.asked.name).steps[-1]
    if isinstance(last, TogetherWorking):
        return ((exercise.asked.letter, "by trial until both sides agree"),
                ("", exercise.answer_text))  # fmt: skip
    return _written(exercise.sheet, exercise.asked.name).chains[-2]
