"""Exercises with numbers of their own for every student, the same again from the same seed.

exercise("post length", seed=7)
exercise_set(seed=7, student="3", count=6, display="in")
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from textwrap import fill
from typing import TYPE_CHECKING

from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import (
    ShopStyle,
    figures_text,
    shop_round,
    shop_text,
    shop_text_up,
    shop_up,
    shown_unit,
)
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import parse_quantity
from tablekit.teaching.arithmetic import Node, calculate, read_arithmetic
from tablekit.teaching.kinds import Bounds, Display, ExerciseKind
from tablekit.teaching.kinds_top import KINDS
from tablekit.teaching.school import SchoolFormula
from tablekit.teaching.slips import Slip, choices, own_slips, slips_by_formula, value_of
from tablekit.teaching.stream import Stream
from tablekit.teaching.topics import network

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

_TRIES = 2000
_LINE = 88
_KEEPS = "\N{NO-BREAK SPACE}"
_UNITS = "mm|in|%|°C|°F|N|lbf|kg|lb|MPa|psi|m³"
_APART = 0.08
_HAIR = 1e-9
# No slip that is known may come so near the right answer, in tolerances, that it could pass for it.
_CLEAR = 1.5
# How a unit is asked for, by the label that the kit sets after a number.
_IN_WORDS = {
    " mm": "millimetres", " in": "inches", "°": "degrees", " N": "newtons", " lbf": "pounds-force",
    " %": "per cent", " m³": "cubic metres",
}  # fmt: skip


@dataclass(frozen=True)
class Exercise:
    """One question with its answer.

    kind      what kind it is of
    seed      what its numbers were drawn from
    display   "mm" or "in": the units of the class
    asked     the quantity asked for
    givens    what the question gives, in reporting units
    sheet     the answer, solved by the kit; `after` is the second one where a change is asked for
    question  in words, with every given and its unit, and how the answer is to be given
    """

    kind: ExerciseKind = field(repr=False)
    seed: str
    display: Display
    asked: Quantity = field(repr=False)
    givens: Mapping[str, float]
    sheet: Sheet = field(repr=False, compare=False)
    after: Sheet | None = field(repr=False, compare=False)
    question: str

    def __str__(self) -> str:
        # A notebook breaks longer lines wherever they end, within words too.
        return fill(f"{self.title} {self.question}", _LINE)

    @property
    def name(self) -> str:
        """The kind's name."""
        return self.kind.name

    @property
    def title(self) -> str:
        """The kind's title."""
        return self.kind.title

    @property
    def unit(self) -> str:
        """The unit of `answer` and `tolerance`."""
        return self.asked.unit

    @cached_property
    def answer(self) -> float:
        """The answer, unrounded."""
        return value_of(self.asked.name, self.sheet, self.after)

    @cached_property
    def tolerance(self) -> float:
        """How near an answer must come."""
        return _tolerance(self.kind, self.asked, self.display)

    @property
    def style(self) -> ShopStyle:
        """How its measures are written."""
        return _style(self.display)

    # -- the short way ----------------------------------------------------------------------------

    @property
    def formula(self) -> SchoolFormula | None:
        """The short way to the answer, where there is one."""
        return self.kind.formula(self.asked.name, self.display)

    @cached_property
    def class_unit(self) -> tuple[str, float]:
        """The label of the unit that the class answers in, and how many of it make one `unit`."""
        return shown_unit(self.unit, self.style)

    @cached_property
    def letters(self) -> dict[str, float]:
        """The letters of the formula with their numbers, in the units of the class."""
        return _letters(self.kind, self.formula, self.givens, self.display, self._rows())

    def _rows(self) -> dict[str, float]:
        return _rows_beside(self.kind, self.asked, self.givens, self.display)

    def worked(
        self, line: Node, others: Mapping[str, float] | None = None, radians: bool = False
    ) -> float:
        """What a line of arithmetic comes to with this question's numbers, in `unit`; nan where it
        comes to nothing. `others` are letters with other numbers than the question's."""
        found = calculate(line, {**self.letters, **(others or {})}, radians=radians)
        return found / self.class_unit[1]

    @cached_property
    def right_answers(self) -> tuple[float, ...]:
        """The answer, and those that are as right: with 10 for g, or 9.8."""
        return (self.answer, *_also_right(self.formula, self.letters, self.class_unit[1]))

    @cached_property
    def own_slips(self) -> tuple[Slip, ...]:
        """The mistakes of the question, each with the number that it leads to."""
        return own_slips(self)

    def near_right(self, number: float, tolerances: float = 1.0) -> bool:
        """Whether a number is right, or within so many tolerances of what is.

        A length that something needs is right as well where it is rounded up to the next mark."""
        room = tolerances * self.tolerance
        if any(abs(number - one) <= room + _HAIR * abs(one) for one in self.right_answers):
            return True
        up = shop_up(self.answer, self.style) if self.asked.least else self.answer
        return self.answer <= number <= up + _HAIR * abs(up)

    @cached_property
    def answer_text(self) -> str:
        """The answer with its unit, to five figures; a count as it is."""
        if self.asked.whole:
            return f"{self.answer:.0f}"
        return figures_text(self.answer, self.unit, self.style, 5)

    @cached_property
    def shop_answer(self) -> str:
        """The answer as a maker would mark it, or `answer_text` where that is too coarse here."""
        if self.asked.least:
            return shop_text_up(self.answer, self.style)
        off = shop_round(self.answer, self.unit, self.style)[1]
        if self.asked.whole or abs(off) > self.tolerance:
            return self.answer_text
        return shop_text(self.answer, self.unit, self.style)

    @cached_property
    def tolerance_text(self) -> str:
        """How near an answer must come, as it is printed."""
        return tolerance_text(self.kind, self.display)


def tolerance_text(kind: ExerciseKind, display: Display) -> str:
    """How near an answer must come, as it is printed."""
    return kind.tolerance[display == "in"].replace(" deg", "°").replace("^3", "³")


def _style(display: Display) -> ShopStyle:
    return ShopStyle(display=display, fraction=32)


def _tolerance(kind: ExerciseKind, asked: Quantity, display: Display) -> float:
    return parse_quantity(kind.tolerance[display == "in"], asked.unit)


def exercise(kind: str, seed: int | str, display: Display = "mm") -> Exercise:
    """An exercise of one kind. The same seed gives the same exercise.

    kind     one of `KINDS`
    display  "mm" for millimetres, newtons and kilograms, "in" for inches and pounds
    Raises DesignError for a kind or display that is not there.
    """
    if kind not in KINDS:
        known = ", ".join(f'"{name}"' for name in KINDS)
        raise DesignError(f'kind = "{kind}" is not a kind of exercise. Write one of {known}.')
    if display not in ("mm", "in"):
        raise DesignError(f'display = "{display}" is not known. Write "mm" or "in".')
    chosen = KINDS[kind]
    stream = Stream(f"{kind}/{display}/{seed}")
    for _ in range(_TRIES):
        drawn = _drawn(chosen, str(seed), display, stream)
        if drawn is not None:
            return drawn
    raise AssertionError(f"no numbers make a sensible question of {kind!r} from {seed!r}")


def exercise_set(
    seed: int | str,
    student: int | str,
    count: int = 6,
    display: Display = "mm",
    kinds: Sequence[str] | None = None,
) -> tuple[Exercise, ...]:
    """The exercises of one student.

    All students of one seed get the same kinds in the same order, so that a class can talk about
    them, each with numbers of his or her own. Kinds come round again where `count` is more than
    there are.

    kinds  those to choose from, all of `KINDS` if not said
    Raises DesignError for a count below one, and for a kind that is not there.
    """
    if count < 1:
        raise DesignError(f"count = {count}: expected at least 1 exercise. Write 1 or more.")
    chosen = list(dict.fromkeys(KINDS if kinds is None else kinds))
    if not chosen or not set(chosen) <= set(KINDS):
        raise DesignError(f"kinds = {chosen}: expected some of {', '.join(KINDS)}.")
    order: list[str] = []
    stream = Stream(f"kinds/{seed}")
    while len(order) < count:
        order += stream.shuffled(chosen)
    return tuple(
        exercise(name, f"{seed}/{student}/{number}", display)
        for number, name in enumerate(order[:count], start=1)
    )


# -- drawing numbers ------------------------------------------------------------------------------


def _drawn(kind: ExerciseKind, seed: str, display: Display, stream: Stream) -> Exercise | None:
    """An exercise, or None where the numbers drawn do not make a sensible one."""
    known = network(kind.topic).quantities
    drawn = {
        name: _draw(bounds, known[name.removesuffix("_after")], display, stream)
        for name, bounds in kind.given.items()
    }
    name = kind.asked[display == "in"] if kind.by_display else stream.pick(kind.asked)
    givens = {n: number for n, number in drawn.items() if n in known} | dict(kind.fixed)
    try:
        sheet = network(kind.topic).solve(givens, shop=_style(display), why=False)
        after = _after(kind, givens, drawn, display)
    except DesignError:
        return None
    answer = value_of(name, sheet, after)
    low, high = kind.within
    near = any(abs(sheet.number(one) - answer) <= _APART * answer for one in kind.apart)
    if near or not low <= answer <= high or not _can_be_built(kind, sheet):
        return None
    asked = known[name]
    question = _question(kind, asked, drawn, display)
    made = Exercise(kind, seed, display, asked, drawn, sheet, after, question)
    return made if _slips_are_clear(made) else None


def _can_be_built(kind: ExerciseKind, sheet: Sheet) -> bool:
    values = {letter: sheet.number(name) for letter, name in kind.build_letters.items()}
    return all(calculate(read_arithmetic(line), values) >= -_HAIR for line in kind.build)


def _slips_are_clear(exercise: Exercise) -> bool:
    """Whether no slip that is known leads to a number that could pass for the right one.

    Of a count two ways may well come to one number, and of two counts the larger one is right."""
    if exercise.asked.whole:
        return True
    quickly = slips_by_formula(exercise)
    if any(exercise.near_right(one.number, _CLEAR) for one in quickly):
        return False
    return not any(exercise.near_right(one.number, _CLEAR) for one in exercise.own_slips)


def _also_right(
    formula: SchoolFormula | None, letters: Mapping[str, float], factor: float
) -> list[float]:
    if formula is None or not formula.text:
        return []
    return [calculate(formula.line, {**letters, **others}) / factor for others in choices(formula)]


def _letters(
    kind: ExerciseKind,
    formula: SchoolFormula | None,
    givens: Mapping[str, float],
    display: Display,
    rows: Mapping[str, float],
) -> dict[str, float]:
    if formula is None:
        return {}
    known = network(kind.topic).quantities
    units = {name: known[name.removesuffix("_after")].unit for name in formula.letters.values()}
    found = {
        letter: givens[name] * shown_unit(units[name], _style(display))[1]
        for letter, name in formula.letters.items()
    }
    return found | {letter: float(text) for letter, text in formula.fixed.items()} | dict(rows)


def _rows_beside(
    kind: ExerciseKind, asked: Quantity, givens: Mapping[str, float], display: Display
) -> dict[str, float]:
    """The rows of a printed table on either side, as they are printed: h_1, M_1, h_2, M_2."""
    name, rows = kind.rows
    if not name:
        return {}
    low = max(row for row in rows if row <= givens[name])
    high = min(row for row in rows if row > givens[name])
    found: dict[str, float] = {}
    for number, row in (("1", low), ("2", high)):
        said = _row_number(kind, asked, givens, row)
        found |= {
            f"h_{number}": row,
            f"M_{number}": shop_round(said, asked.unit, _style(display))[0],
        }
    return found


def _row_number(
    kind: ExerciseKind, asked: Quantity, givens: Mapping[str, float], row: float
) -> float:
    name, _ = kind.rows
    return network(kind.topic).solve({**givens, name: row}).number(asked.name)


def _after(
    kind: ExerciseKind, givens: Mapping[str, float], drawn: Mapping[str, float], display: Display
) -> Sheet | None:
    if not kind.changed:
        return None
    changed = {**givens, kind.changed: drawn[f"{kind.changed}_after"]}
    return network(kind.topic).solve(changed, shop=_style(display))


def _draw(bounds: Bounds, quantity: Quantity, display: Display, stream: Stream) -> float:
    """A number on the grid of the bounds, as exactly as its text says it."""
    low, high, step = (parse_quantity(text, quantity.unit) for text in bounds.of(display))
    # The zero point of a temperature drops out of a step's difference from nothing.
    zero = parse_quantity(f"0 {_unit_of(bounds.of(display)[2])}".strip(), quantity.unit)
    size = step - zero
    number = low + size * stream.below(round((high - low) / size) + 1)
    return parse_quantity(shop_text(number, quantity.unit, _style(display)), quantity.unit)


def _unit_of(text: str) -> str:
    return text.rpartition(" ")[2] if " " in text else ""


# -- putting it into words ------------------------------------------------------------------------


def _question(
    kind: ExerciseKind, asked: Quantity, drawn: Mapping[str, float], display: Display
) -> str:
    known, style = network(kind.topic).quantities, _style(display)
    texts = {
        name: shop_text(number, known[name.removesuffix("_after")].unit, style)
        for name, number in drawn.items()
    }
    words = kind.words.format(
        **texts,
        asked=kind.asked_in_words.get(asked.name, ""),
        rows=_rows(kind, asked, drawn, style),
    )
    return together(f"{words} {_how_to_answer(kind, asked, display)}")


def together(text: str) -> str:
    """With spaces that do not break within a measure: 1 1/4 in stays on one line."""
    text = re.sub(r"(?<=[0-9]) (?=[0-9]+/[0-9])", _KEEPS, text)
    return re.sub(rf"(?<=[0-9]) (?=(?:{_UNITS})(?![A-Za-z]))", _KEEPS, text)


def _rows(kind: ExerciseKind, asked: Quantity, drawn: Mapping[str, float], style: ShopStyle) -> str:
    """The rows of a printed table, as a maker would read them off a card."""
    name, numbers = kind.rows
    if not name:
        return ""
    topic = network(kind.topic)
    unit = topic.quantities[name].unit
    sheets = [(number, topic.solve({**drawn, name: number})) for number in numbers]
    return ", ".join(
        f"{shop_text(sheet.number(asked.name), asked.unit, style)} at "
        f"{shop_text(number, unit, style)}"
        for number, sheet in sheets
    )


def _how_to_answer(kind: ExerciseKind, asked: Quantity, display: Display) -> str:
    if asked.whole:
        return "Answer with a whole number."
    label = figures_text(1.0, asked.unit, _style(display), 1).lstrip("0123456789.")
    shown = tolerance_text(kind, display)
    if not label:
        return f"Answer to within {shown}."
    return f"Answer in {_IN_WORDS[label]}, to within {shown}."
