"""Checking an answer: right, right but badly rounded, or wrong, and then what it looks like.

check(exercise("post length", 7), "1074.5 mm").message
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tablekit.engine.trouble import DesignError, UnitsError
from tablekit.engine.unit_names import KINDS as UNIT_KINDS
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.teaching.exercises import Exercise, value_of
from tablekit.teaching.mistakes import ANY_LENGTH, ANY_NUMBER, Mistake
from tablekit.teaching.topics import network

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

Outcome = Literal["right", "rounded", "mistake", "wrong", "no unit", "other unit", "unreadable"]

# An answer this near is the right one with its figures cut short on the way: this many tolerances,
# or this share of the answer, whichever is more.
_NEAR_TOLERANCES, _NEAR_SHARE = 3.0, 0.002
# An answer written to so few figures that it may be off by more than this share says too little
# to be called right in its working.
_COARSEST = 0.05
# A count that was not rounded is written to two places.
_ALIKE_COUNT = 5e-3
_HAIR = 1e-9


@dataclass(frozen=True)
class Verdict:
    """What is said of an answer.

    outcome  "right"; "rounded": the right working, badly rounded; "mistake": wrong in a way that
             is often met, `mistake` names it; "wrong"; "no unit", "other unit" (a mass where a
             length is asked for) or "unreadable"
    message  to the student, in a sentence or two
    mistake  the mistake that it looks like, or None
    number   the answer as it was understood, in the exercise's unit; None where it was not
    """

    outcome: Outcome
    message: str
    mistake: Mistake | None = None
    number: float | None = None

    def __str__(self) -> str:
        return self.message

    @property
    def right(self) -> bool:
        """Whether the answer counts as right as it stands."""
        return self.outcome == "right"


def check(exercise: Exercise, text: str) -> Verdict:
    """What to say of an answer as a student writes it, with its unit. It never raises."""
    written = _counted(exercise, text)
    try:
        number = parse_quantity(written, exercise.unit, signed=exercise.asked.low < 0)
    except DesignError as trouble:
        return _unread(exercise, written, trouble)
    off = abs(number - exercise.answer)
    if off <= exercise.tolerance * (1 + _HAIR) + _HAIR * abs(exercise.answer):
        return Verdict("right", _praise(exercise), number=number)
    coarse = _coarse(exercise, written, off)
    # Only decimals tell how finely a number was meant: 18 in may be 18 0/32.
    if coarse is not None and "." in written and "/" not in written:
        return coarse
    made = _diagnosed(exercise, number)
    if made is not None:
        return Verdict("mistake", f"Not yet. It looks as if {made.words}", made, number)
    if coarse is not None:
        return coarse
    if off <= _near(exercise):
        return Verdict(
            "rounded",
            "Very close: the working seems right, but you rounded on the way. Carry all figures "
            f"through and round only at the end, to within {exercise.tolerance_text}.",
            number=number,
        )
    return Verdict(
        "wrong",
        "Not yet. Check each line of your working against the question, or ask for a hint.",
        number=number,
    )


def _coarse(exercise: Exercise, written: str, off: float) -> Verdict | None:
    """The verdict on an answer that is right as far as its few figures say, if it is one."""
    step = half_last_figure(written, exercise.unit) * (1 + _HAIR)
    if exercise.asked.whole or not off <= step <= _COARSEST * abs(exercise.answer):
        return None
    return Verdict(
        "rounded",
        "The working looks right, but the answer is rounded too coarsely: give it to within "
        f"{exercise.tolerance_text}.",
        number=parse_quantity(written, exercise.unit, signed=True),
    )


def _counted(exercise: Exercise, text: str) -> str:
    """Without the words that may stand after a count: 12.5 board feet."""
    line = " ".join(str(text).split())
    for words in exercise.kind.counted:
        if exercise.unit == "1" and line.lower().endswith(f" {words}"):
            return line[: -len(words)].rstrip()
    return line


def _unread(exercise: Exercise, text: str, trouble: DesignError) -> Verdict:
    if not isinstance(trouble, UnitsError):
        return Verdict("unreadable", f"{trouble}.")
    if exercise.unit != "1" and _reads(text, "1"):
        return Verdict("no unit", f"The answer needs its unit: {trouble}.")
    if any(_reads(text, kind.suggest[0]) for kind in UNIT_KINDS.values() if kind.suggest):
        return Verdict("other unit", f"That is the wrong kind of measure: {trouble}.")
    return Verdict("unreadable", f"{trouble}.")


def _reads(text: str, unit: str) -> bool:
    try:
        parse_quantity(text, unit or "1", signed=True)
    except (DesignError, KeyError):
        return False
    return True


def _praise(exercise: Exercise) -> str:
    marked = exercise.shop_answer
    told = f"Right: {exercise.answer_text}"
    if exercise.unit == "mm" and marked != exercise.answer_text:
        told += f", marked as {marked}"
    return f"{told}. {exercise.kind.caution}".strip()


# -- mistakes -------------------------------------------------------------------------------------


def mistakes_of(exercise: Exercise) -> tuple[Mistake, ...]:
    """Every mistake that is looked for in an answer to this exercise, its own first."""
    own = tuple(one for one in exercise.kind.mistakes if one.display in ("", exercise.display))
    if exercise.asked.whole or exercise.unit == "deg":
        return own
    return own + (ANY_LENGTH if exercise.unit == "mm" else ()) + ANY_NUMBER


def mistaken_answer(exercise: Exercise, mistake: Mistake) -> float | None:
    """What someone who makes this mistake would answer, in the exercise's unit.

    None where the misreading leads nowhere, or where it cannot be told from the right answer.
    """
    try:
        sheet, after = (
            None if one is None else _misread(exercise, mistake, one)
            for one in (exercise.sheet, exercise.after)
        )
        assert sheet is not None
        number = value_of(mistake.instead or exercise.asked.name, sheet, after)
    except DesignError:
        return None
    if mistake.answered is not None:
        number = mistake.answered(number)
    if not math.isfinite(number) or abs(number - exercise.answer) <= _near(exercise):
        return None
    return number


def _misread(exercise: Exercise, mistake: Mistake, right: Sheet) -> Sheet:
    """The sheet of someone who makes the mistake."""
    topic = network(mistake.topic or exercise.kind.topic, mistake.forgotten)
    given = {mistake.taken_for.get(name, name): one for name, one in right.givens.items()}
    given |= {name: right.number(name) for name in mistake.kept}
    given |= {name: read(right.number(name)) for name, read in mistake.misread.items()}
    known = {name: one for name, one in given.items() if name in topic.quantities}
    if topic is right.network and known == right.givens:
        return right
    return topic.solve(known, shop=right.shop_style)


def _diagnosed(exercise: Exercise, number: float) -> Mistake | None:
    """The mistake whose answer is nearest to this one, if it is near enough."""
    found = [(abs(one - number), mistake) for mistake, one in _mistaken(exercise)
             if abs(one - number) <= _alike(exercise, one)]  # fmt: skip
    return min(found, key=lambda pair: pair[0])[1] if found else None


def _mistaken(exercise: Exercise) -> Iterator[tuple[Mistake, float]]:
    for mistake in mistakes_of(exercise):
        number = mistaken_answer(exercise, mistake)
        if number is not None:
            yield mistake, number


def _alike(exercise: Exercise, number: float) -> float:
    """How near an answer must be to a mistaken one to be taken for it.

    A slip of unit or point multiplies what the student rounded, so the share of the answer that
    is allowed for goes with it.
    """
    if exercise.asked.whole:
        return _ALIKE_COUNT
    share = exercise.tolerance / max(abs(exercise.answer), _HAIR)
    return max(exercise.tolerance, share * abs(number)) * (1 + _HAIR)


def _near(exercise: Exercise) -> float:
    if exercise.asked.whole:
        return 0.0
    return max(_NEAR_TOLERANCES * exercise.tolerance, _NEAR_SHARE * abs(exercise.answer))
