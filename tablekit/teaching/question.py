"""One question with its answer: what is given, what is asked for, and what counts as right, with
its hints and its working on one line.

A question that is answered from its own givens alone must not depend on the rest of a table, so
each topic, a small network, takes from the kit only the relations that its questions need.

Hints are given away one at a time.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from textwrap import fill
from typing import TYPE_CHECKING

from tablekit.engine.formula import Plain
from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.reduced import TogetherWorking
from tablekit.engine.relation import Assumption, Relation
from tablekit.engine.shop import (
    ShopStyle,
    figures_text,
    shop_round,
    shop_text,
    shop_text_up,
    shop_up,
    shown_unit,
)
from tablekit.engine.units import parse_quantity
from tablekit.engine.wording import listed
from tablekit.engine.working import Working, WorkingWriter
from tablekit.relations import (
    assumptions,
    crossing,
    fixing,
    glue,
    leg_bench,
    levelling,
    milling,
    moisture,
    movement,
    notch_cutting,
    post_ends,
    quantities,
    splayed,
    splayed_quantities,
    stock,
    table,
    tipping,
    trammel,
)
from tablekit.relations.wording import SHOP
from tablekit.teaching.arithmetic import Node, Rounding, calculate, letters_in, written
from tablekit.teaching.kinds import Display, ExerciseKind
from tablekit.teaching.school import SchoolFormula

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.teaching.school import SchoolFormula


# -- topics ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Topic:
    """What a question is about: the relations it needs, and what may be taken for granted."""

    name: str
    relations: tuple[Relation, ...]
    assumptions: tuple[Assumption, ...] = ()


_RISES = (crossing.ROLL, crossing.BEARING_RISE, crossing.SIDE_RISE)
_SQUARE = (assumptions.SQUARE_POST, assumptions.SPLAY)
_HEIGHTS = (
    *(one for one in table.relations("table") if one.name == "height of the piece"),
    crossing.BASE_HEIGHT,
    crossing.CORNER_HEIGHT,
)
_FOOT = (
    "waist to foot", "reach of the foot", "sidestep of the foot", "circle of the feet",
    "foot to foot",
)  # fmt: skip


def _circles(way: int) -> tuple[Relation, ...]:
    chosen = (one for one in crossing.one_notch(way) if one.name in _FOOT)
    return (*_RISES, crossing.CENTRE_DISTANCE, crossing.WAIST_STEP, *chosen)


_CIRCLE_ASSUMPTIONS = (
    assumptions.SQUARE_POST,
    assumptions.AXIS_OFFSET,
    assumptions.NOTCH_POSITION,
    assumptions.SPLAY,
)

TOPICS: dict[str, Topic] = {
    topic.name: topic
    for topic in (
        Topic("heights", (*_HEIGHTS[:2], *_RISES, _HEIGHTS[2]), _SQUARE),
        Topic("foot circle, notches up", _circles(1), _CIRCLE_ASSUMPTIONS),
        Topic("foot circle, notches down", _circles(-1), _CIRCLE_ASSUMPTIONS),
        Topic("notch", (crossing.NOTCH_DEPTH,), (assumptions.SQUARE_POST,)),
        Topic("flats", (*_RISES, *post_ends.flat_relations()[:2]), (assumptions.SPLAY,)),
        Topic("tipping", (tipping.TIPPING,)),
        Topic("overhang", (table.OVERHANG,)),
        Topic("tilt", levelling.TILT_RELATIONS),
        Topic("moisture", tuple(one for one in moisture.relations() if "shop" in one.name)),
        Topic("movement", (movement.SEASON_HOLDS, movement.SEASON_RATE, movement.TOP_MOVEMENT)),
        Topic("slot", (movement.SHOP_HOLDS, movement.SHOP_RATE, fixing.SLOT_NEEDED)),
        Topic(
            "trammel", (trammel.TRAMMEL_RADIUS, trammel.TRAMMEL_CENTRE, trammel.PIVOT_TO_FAR_SIDE)
        ),
        Topic(
            "clamps",
            (
                glue.CLAMP_FORCE, glue.CLAMP_SPACING, glue.CLAMPS_BY_SPACING,
                glue.CLAMPS_BY_FORCE, glue.CLAMP_COUNT,
            ),
        ),
        Topic("wood", (stock.PART_VOLUME, stock.BOARD_FEET)),
        Topic("angle between posts", (crossing.CROSSING_ANGLE,)),
        Topic("notch tilt", (crossing.NOTCH_FLOOR_TILT,)),
        Topic("saw setting", (crossing.NOTCH_FLOOR_TILT, notch_cutting.BLADE_TILT)),
        Topic("sight line", (splayed.RESULTANT, splayed.SIGHT_LINE)),
        Topic("resultant", (splayed.RESULTANT,)),
        Topic("boring", (splayed.SOCKET_COVER,)),
        Topic("levelling", (leg_bench.BLOCK_HEIGHT,)),
        Topic("push", (tipping.push(quantities.table_height),)),
    )
}  # fmt: skip


@cache
def network(topic: str) -> Network:
    """The network of a topic; the same one each time.

    Raises KeyError for a topic that is not there.
    """
    chosen = TOPICS[topic]
    assumed = tuple(one for one in chosen.assumptions if one.quantity is not None)
    named = {name for one in (*chosen.relations, *assumed) for name in one.symbols}
    constants = tuple(one for one in _constants() if one.name in named)
    known = tuple(one for one in _quantities() if one.name in named)
    return Network(
        topic,
        known,
        tuple(_within(one, named) for one in chosen.relations),
        tuple(one for one in assumed if one.quantity in known),
        constants,
        wording=SHOP,
    )


def _within(relation: Relation, named: set[str]) -> Relation:
    """With those limits alone that speak of what the topic knows."""
    limits = tuple(
        limit
        for limit in relation.limits
        if {symbol.name for symbol in limit.slack.free_symbols} <= named
    )
    return relation if limits == relation.limits else replace(relation, limits=limits)


@cache
def _quantities() -> tuple[Quantity, ...]:
    every = (
        *quantities.EVERY, *movement.QUANTITIES, *moisture.QUANTITIES, *trammel.QUANTITIES,
        *fixing.QUANTITIES, *glue.QUANTITIES, *stock.QUANTITIES, *milling.OWN,
        *levelling.TILT_QUANTITIES,
        notch_cutting.blade_tilt, *splayed_quantities.EVERY, leg_bench.block_height,
        *tipping.QUANTITIES,
    )  # fmt: skip
    return tuple({quantity.name: quantity for quantity in every}.values())


def _constants() -> tuple[Constant, ...]:
    return (
        quantities.STANDARD_GRAVITY, quantities.MILLIMETRE, *moisture.CONSTANTS, *stock.CONSTANTS,
    )  # fmt: skip


# -- the question ----------------------------------------------------------------------------------

_LINE = 88
_HAIR = 1e-9


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
        return class_style(self.display)

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
        rows = _rows_beside(self.kind, self.asked, self.givens, self.display)
        return _letters(self.kind, self.formula, self.givens, self.display, rows)

    def worked(
        self,
        line: Node,
        others: Mapping[str, float] | None = None,
        radians: bool = False,
        rounding: Rounding | None = None,
    ) -> float:
        """What a line of arithmetic comes to with this question's numbers, in `unit`; nan where it
        comes to nothing. `others` are letters with other numbers than the question's."""
        letters = {**self.letters, **(others or {})}
        return calculate(line, letters, radians=radians, rounding=rounding) / self.class_unit[1]

    @cached_property
    def right_answers(self) -> tuple[float, ...]:
        """The answer, and those that are as right: with 10 for g, or 9.8."""
        formula = self.formula
        if formula is None or not formula.text:
            return (self.answer,)
        return (self.answer, *(self.worked(formula.line, others) for others in choices(formula)))

    def right_with(self, number: float) -> tuple[str, str, float] | None:
        """The letter with another number than the usual one that a right number was worked with,
        that number, and what it comes to, as ("g", "10", 43.45); None where the usual one leads to
        it as well."""
        room = self.tolerance + _HAIR * abs(self.answer)
        formula = self.formula
        if formula is None or abs(number - self.answer) <= room:
            return None
        others = [
            (letter, text, self.worked(formula.line, {letter: float(text)}))
            for letter, texts in formula.also.items()
            for text in texts
        ]
        near = [one for one in others if abs(number - one[2]) <= room]
        return min(near, key=lambda one: abs(number - one[2]), default=None)

    def near_right(self, number: float, tolerances: float = 1.0) -> bool:
        """Whether a number is right, or within a number of tolerances of what is.

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

    @property
    def marked(self) -> str:
        """`shop_answer` where it is a mark on a rule that differs from the answer; else ""."""
        differs = self.unit == "mm" and self.shop_answer != self.answer_text
        return self.shop_answer if differs else ""

    @cached_property
    def tolerance_text(self) -> str:
        """How near an answer must come, as it is printed."""
        return tolerance_text(self.kind, self.display)


def value_of(name: str, sheet: Sheet, after: Sheet | None) -> float:
    """A quantity's value or, between two sheets, the size of its change; nan where it has none."""
    if after is None:
        return sheet.number(name)
    return abs(after.number(name) - sheet.number(name))


def choices(formula: SchoolFormula) -> list[dict[str, float]]:
    """The letters with numbers of their own that a question may be worked with."""
    also = [{name: float(text)} for name, texts in formula.also.items() for text in texts]
    return [{}, *also]


def tolerance_text(kind: ExerciseKind, display: Display) -> str:
    """How near an answer must come, as it is printed."""
    return kind.tolerance[display == "in"].replace(" deg", "°").replace("^3", "³")


def class_style(display: Display) -> ShopStyle:
    """How a class writes its measures: inches in 32nds."""
    return ShopStyle(display=display, fraction=32)


def _tolerance(kind: ExerciseKind, asked: Quantity, display: Display) -> float:
    return parse_quantity(kind.tolerance[display == "in"], asked.unit)


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
        letter: givens[name] * shown_unit(units[name], class_style(display))[1]
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
            f"M_{number}": shop_round(said, asked.unit, class_style(display))[0],
        }
    return found


def _row_number(
    kind: ExerciseKind, asked: Quantity, givens: Mapping[str, float], row: float
) -> float:
    name, _ = kind.rows
    return network(kind.topic).solve({**givens, name: row}).number(asked.name)


# -- hints, and the working on one line ------------------------------------------------------------

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
