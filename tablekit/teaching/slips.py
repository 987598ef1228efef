"""What someone who makes a mistake answers, calculated from the numbers of the question."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.shop import shop_round
from tablekit.engine.trouble import DesignError
from tablekit.teaching.arithmetic import Node, changed, letters_in, number
from tablekit.teaching.mistakes import ANY_LENGTH, ANY_NUMBER, ANY_SHARE, Mistake
from tablekit.teaching.question import Exercise, choices, value_of
from tablekit.teaching.topics import network

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.teaching.school import SchoolFormula

# An answer this near is close to the right one: this many tolerances, or this share of the answer,
# whichever is more.
NEAR_TOLERANCES, NEAR_SHARE = 3.0, 0.002


@dataclass(frozen=True)
class Slip:
    """One mistake with the number that it leads to.

    number  in the exercise's unit
    line    the arithmetic that leads to it; None where it was found by the relations
    spoils  whether the right answer is spoiled at the end, so that how finely a pupil rounded it
            is spoiled with it
    """

    mistake: Mistake
    number: float
    line: Node | None = None
    spoils: bool = False


def slips_of(exercise: Exercise) -> tuple[Slip, ...]:
    """Every mistake that is looked for, with the number that it leads to: those of the question
    first, then slips of unit and decimal point."""
    return (*own_slips(exercise), *_spoiled(exercise))


def own_slips(exercise: Exercise) -> tuple[Slip, ...]:
    """The mistakes of the question itself."""
    return tuple(each_own_slip(exercise))


def each_own_slip(exercise: Exercise) -> Iterator[Slip]:
    """The same one after the other, those that are found soonest first."""
    yield from _by_formula(exercise)
    yield from _by_relations(exercise, exercise.kind.mistakes)


def _by_formula(exercise: Exercise) -> Iterator[Slip]:
    """Those of the short way. A line is worked again with each number that is right for a letter,
    such as 10 for g."""
    formula = exercise.formula
    if formula is None:
        return
    for one in formula.wrong_lines:
        for others in (*choices(formula), *_rounded_angles(formula, one.line)):
            came_to = exercise.worked(one.line, others, one.radians)
            if math.isfinite(came_to):
                size = came_to if exercise.after is None else abs(came_to)
                yield Slip(one.mistake, size, one.line)


def _rounded_angles(formula: SchoolFormula, line: Node) -> Iterator[dict[str, float]]:
    """Letters that the question does not give, to fewer decimals, where the line has them."""
    for letter in set(letters_in(line)) & set(formula.fixed) - set(formula.also):
        number_there = float(formula.fixed[letter])
        yield from ({letter: round(number_there, places)} for places in (2, 1, 0))


def _spoiled(exercise: Exercise) -> Iterator[Slip]:
    """The right answer, as calculated and as marked, with a slip of unit or decimal point."""
    marked = shop_round(exercise.answer, exercise.unit, exercise.style)[0]
    answers = {exercise.answer, marked} if exercise.near_right(marked) else {exercise.answer}
    for mistake in _general(exercise):
        if mistake.answered is not None:
            for one in sorted(answers):
                yield Slip(mistake, mistake.answered(one), spoils=True)


def _general(exercise: Exercise) -> tuple[Mistake, ...]:
    if exercise.asked.whole or exercise.unit == "deg":
        return ()
    of_unit = {"mm": ANY_LENGTH, "%": ANY_SHARE}.get(exercise.unit, ())
    return (*of_unit, *ANY_NUMBER)


def _by_relations(exercise: Exercise, mistakes: tuple[Mistake, ...]) -> Iterator[Slip]:
    for mistake in mistakes:
        came_to = mistaken_answer(exercise, mistake)
        if came_to is not None:
            yield Slip(mistake, came_to)


def mistaken_answer(exercise: Exercise, mistake: Mistake) -> float | None:
    """What someone who makes this mistake would answer, in the exercise's unit, by the relations
    that the right answer is found by.

    None where the misreading leads nowhere.
    """
    try:
        sheet, after = (
            None if one is None else _misread(exercise, mistake, one)
            for one in (exercise.sheet, exercise.after)
        )
        assert sheet is not None
        found = value_of(exercise.asked.name, sheet, after)
    except DesignError:
        return None
    if mistake.answered is not None:
        found = mistake.answered(found)
    return found if math.isfinite(found) else None


def _misread(exercise: Exercise, mistake: Mistake, right: Sheet) -> Sheet:
    """The sheet of someone who makes the mistake."""
    topic = network(mistake.topic or exercise.kind.topic)
    given = {mistake.taken_for.get(name, name): one for name, one in right.givens.items()}
    given |= {name: read(right.number(name)) for name, read in mistake.misread.items()}
    known = {name: one for name, one in given.items() if name in topic.quantities}
    if topic is right.network and known == right.givens:
        return right
    return topic.solve(known, shop=right.shop_style, why=False)


# -- figures lost on the way ----------------------------------------------------------------------


def lost_figures(exercise: Exercise) -> Iterator[tuple[str, float]]:
    """The right working with too few figures carried, in words, and the number that it leads to."""
    formula = exercise.formula
    if formula is None:
        return
    for line in formula.right_lines:
        for others in choices(formula):
            for words, came_to in _with_few_figures(exercise, formula, line, others):
                if math.isfinite(came_to):
                    yield words, came_to


def _with_few_figures(
    exercise: Exercise, formula: SchoolFormula, line: Node, others: dict[str, float]
) -> Iterator[tuple[str, float]]:
    for root, cuts in _CUTS.items():
        for cut in cuts:
            shorter = _cut_root(line, root, cut)
            if shorter != line:
                yield f"√{root} cut to {cut}", exercise.worked(shorter, others)
    for letter in set(formula.fixed) - set(formula.also):
        for places in (1, 0):
            short = round(float(formula.fixed[letter]), places)
            yield (
                f"{letter} rounded to {short:g}",
                exercise.worked(line, {**others, letter: short}),
            )
    for words, rounding in _ROUNDINGS:
        yield words, exercise.worked(line, others, rounding=rounding)


def _cut_root(line: Node, root: str, cut: str) -> Node:
    """The line with a root written as a decimal, wherever it stands."""
    it = Node("√", (number(root),))
    while it in line.every():
        changes = {"√": lambda node: number(cut) if node == it else node}
        line = next(other for other in changed(line, changes) if other != line)
    return line


def _to_figures(figures: int) -> Callable[[float], float]:
    return lambda found: float(f"{found:.{figures}g}")


def _to_places(places: int) -> Callable[[float], float]:
    return lambda found: round(found, places)


_CUTS = {"2": ("1.4", "1.41"), "3": ("1.7", "1.73")}
_ROUNDINGS = (
    ("every step rounded to a whole number", _to_places(0)),
    ("every step rounded to one decimal", _to_places(1)),
    ("every step rounded to two decimals", _to_places(2)),
    ("every step rounded to three figures", _to_figures(3)),
    ("every step rounded to four figures", _to_figures(4)),
)
