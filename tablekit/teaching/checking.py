"""Checking an answer: right, right but with figures lost, or wrong, and then what it looks like.

check(exercise("post length", 7), "1074.5 mm").message

A number is right within the tolerance that the question states: half a millimetre, the finest that
a rule is read to, and its like. A diagnosis is a calculation: a mistake is named only where the
pupil's own numbers, worked with it, come to the number that was written, within the figures that
were written. Nothing is said of the working of an answer that no known way leads to.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from tablekit.engine.shop import figures_text
from tablekit.teaching.arithmetic import letters_in, written
from tablekit.teaching.mistakes import Mistake
from tablekit.teaching.reading import Answer, read_answer
from tablekit.teaching.slips import NEAR_SHARE, NEAR_TOLERANCES, Slip, lost_figures, slips_of

if TYPE_CHECKING:
    from tablekit.teaching.question import Exercise

Outcome = Literal[
    "right", "rounded", "mistake", "close", "wrong", "no unit", "other unit", "unreadable"
]

# An answer written to so few figures that it may be off by more than this share says too little
# to be called right in its working.
_COARSEST = 0.05
# A count that was not rounded is written to two places.
_ALIKE_COUNT = 5e-3
# 1.732 for √3 is off by this share, and five figures of any number by as much again.
_FIVE_FIGURES = 3e-5
_HAIR = 1e-9
_MOST = 4  # mistakes that are named for one number


@dataclass(frozen=True)
class Verdict:
    """What is said of an answer.

    outcome   "right"; "rounded": the right working with too few figures; "mistake": wrong in a way
              that is known, `mistake` names it; "close": near, and in no known way; "wrong"; "no
              unit", "other unit" (a mass where a length is asked for) or "unreadable"
    message   to the student, in a sentence or two
    mistake   the mistake that it looks like, or None
    number    the answer as it was understood, in the exercise's unit; None where it was not
    possible  every mistake that leads to this number, `mistake` first
    """

    outcome: Outcome
    message: str
    mistake: Mistake | None = None
    number: float | None = None
    possible: tuple[Mistake, ...] = field(default=())

    def __str__(self) -> str:
        return self.message

    @property
    def right(self) -> bool:
        """Whether the answer counts as right as it stands."""
        return self.outcome == "right"


def check(exercise: Exercise, text: str) -> Verdict:
    """What to say of an answer as a student writes it, with its unit. It never raises."""
    answer = read_answer(exercise, text)
    if answer.unread:
        return Verdict(answer.unread, answer.message)
    number = answer.number
    if exercise.near_right(number):
        return Verdict("right", f"{_praise(exercise)} {answer.advice}".strip(), number=number)
    coarse = _coarse(exercise, answer)
    # Only decimals tell how finely a number was meant: 18 in may be 18 0/32.
    if coarse is not None and answer.decimals:
        return coarse
    found = _diagnosed(exercise, answer)
    if found:
        return _mistaken(exercise, number, found)
    return coarse or _with_figures_lost(exercise, answer) or _not_known(exercise, number)


def mistakes_of(exercise: Exercise) -> tuple[Mistake, ...]:
    """Every mistake that is looked for in an answer to this exercise, its own first."""
    return tuple({one.mistake.name: one.mistake for one in slips_of(exercise)}.values())


def _coarse(exercise: Exercise, answer: Answer) -> Verdict | None:
    """The verdict on an answer that is right as far as its few figures say, if it is one."""
    step = answer.fineness * (1 + _HAIR)
    off = abs(answer.number - exercise.answer)
    if exercise.asked.whole or not off <= step <= _COARSEST * abs(exercise.answer):
        return None
    return Verdict(
        "rounded",
        "That is too coarse to be distinguished from a wrong answer: give it to within "
        f"{exercise.tolerance_text}.",
        number=answer.number,
    )


def _with_figures_lost(exercise: Exercise, answer: Answer) -> Verdict | None:
    """The verdict where the right working leads to this number with too few figures carried."""
    room = _room(exercise, answer)
    if exercise.asked.whole:
        return None
    close = ((words, n) for words, n in lost_figures(exercise) if _is_close(exercise, n))
    words = next((words for words, n in close if abs(n - answer.number) <= room), "")
    if not words:
        return None
    return Verdict(
        "rounded",
        f"Very close: this is what the right working gives with {words}. Carry all figures through "
        f"and round only at the end, to within {exercise.tolerance_text}.",
        number=answer.number,
    )


def _not_known(exercise: Exercise, number: float) -> Verdict:
    if number < 0 <= exercise.asked.low:
        return Verdict("wrong", "Not yet. This cannot be negative: look for a turned sign, or for "
                       "what was taken from what.", number=number)  # fmt: skip
    if _is_close(exercise, number):
        return Verdict(
            "close",
            f"Close, but not to within {exercise.tolerance_text}. Check each line of your working: "
            "figures lost on the way, or a small size wrongly used.",
            number=number,
        )
    return Verdict(
        "wrong",
        "Not yet. Check each line of your working against the question, or ask for a hint.",
        number=number,
    )


def _praise(exercise: Exercise) -> str:
    told = f"Right: {exercise.answer_text}"
    if exercise.marked:
        told += f", marked as {exercise.marked}"
    return f"{told}. {exercise.kind.caution}".strip()


# -- mistakes -------------------------------------------------------------------------------------


def _diagnosed(exercise: Exercise, answer: Answer) -> list[Slip]:
    """The mistakes that lead to this number, each in words of its own, the nearest first."""
    found = [
        one
        for one in slips_of(exercise)
        if abs(one.number - answer.number) <= _room(exercise, answer, one)
        and not exercise.near_right(one.number)
    ]
    found.sort(key=lambda one: abs(one.number - answer.number) > _HAIR * abs(one.number) + _HAIR)
    return list({one.mistake.words: one for one in reversed(found)}.values())[::-1][:_MOST]


def _room(exercise: Exercise, answer: Answer, slip: Slip | None = None) -> float:
    """How near an answer must be to a number to be taken for it: as near as it is written, and no
    farther than the tolerance that the question states, or than that of a slip of unit or point,
    which makes it larger or smaller with the number."""
    if exercise.asked.whole:
        return _ALIKE_COUNT
    number = abs(slip.number if slip else answer.number)
    within = exercise.tolerance
    if slip and slip.spoils:
        within *= number / max(abs(exercise.answer), _HAIR)
    finely = min(max(answer.fineness, _FIVE_FIGURES * number), within)
    return finely + _HAIR * number


def _is_close(exercise: Exercise, number: float) -> bool:
    if exercise.asked.whole:
        return False
    near = max(NEAR_TOLERANCES * exercise.tolerance, NEAR_SHARE * abs(exercise.answer))
    return any(abs(number - one) <= near for one in exercise.right_answers)


def _mistaken(exercise: Exercise, number: float, found: list[Slip]) -> Verdict:
    possible = tuple(one.mistake for one in found)
    if exercise.asked.whole and number == round(number):
        first = possible[0].words.rstrip(".").partition(";")[0]
        # Many ways lead to one small count, so that it tells of none.
        return Verdict("wrong", f"Not yet. Check first whether {first}.", None, number, possible)
    if len(found) == 1:
        said = f"It looks as if {possible[0].words} {_worked_so(exercise, found[0])}".strip()
    else:
        ways = "; or ".join(one.words.rstrip(".") for one in possible)
        said = f"More than one mistake leads to this number. Perhaps {ways}."
    return Verdict("mistake", f"Not yet. {said}", possible[0], number, possible)


def _worked_so(exercise: Exercise, slip: Slip) -> str:
    """The calculation that the mistake leads to, with the pupil's numbers."""
    if slip.line is None or not slip.line.parts or not letters_in(slip.line):
        return ""
    numbers = {letter: f"{number:.6g}" for letter, number in exercise.letters.items()}
    came_to = figures_text(slip.number, exercise.unit, exercise.style, 5)
    return f"Worked so: {written(slip.line, numbers)} = {came_to}."
