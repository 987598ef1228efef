"""Exercises with numbers of their own for every student, the same again from the same seed.

exercise("post length", seed=7)
exercise_set(seed=7, student="3", count=6, display="in")

The module `random` is not used: its global stream could be disturbed by anything else in a
notebook, and how it turns a seed into numbers is not promised from one Python to the next.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, TypeVar

from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import ShopStyle, figures_text, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import parse_quantity
from tablekit.teaching.arithmetic import calculate, read_arithmetic
from tablekit.teaching.checking import each_own_slip
from tablekit.teaching.kinds import KINDS, Bounds, Display, ExerciseKind
from tablekit.teaching.question import Exercise, class_style, network, tolerance_text, value_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- numbers drawn from a seed ---------------------------------------------------------------------

T = TypeVar("T")


class Stream:
    """A stream of choices that a text alone decides."""

    def __init__(self, key: str):
        self.key = key
        self._drawn = 0

    def below(self, count: int) -> int:
        """A whole number from 0 to `count` less one, each as likely as the others.

        Raises ValueError where there is nothing to choose from."""
        if count < 1:
            raise ValueError(f"{count} is too few to choose from")
        text = f"{self._drawn}/{self.key}"
        self._drawn += 1
        # 256 bits over a handful of choices: what the remainder favours is beyond notice.
        return int.from_bytes(hashlib.sha256(text.encode()).digest(), "big") % count

    def pick(self, choices: Sequence[T]) -> T:
        """One of the choices."""
        return choices[self.below(len(choices))]

    def shuffled(self, things: Sequence[T]) -> list[T]:
        """The same things in another order."""
        left = list(things)
        return [left.pop(self.below(len(left))) for _ in things]


# Letters and figures that are not taken for one another when they are written by hand.
_SIGNS = "ABCDEFGHJKLMNPQRTUVWXY34679"


def sheet_code(seed: int | str, display: str, student: int | str) -> str:
    """The code of a student's sheet in a class of these units: the same on paper and on screen."""
    return code(f"{seed}/{display}", student)


def code(seed: int | str, student: int | str) -> str:
    """Five signs that stand for one student's sheet, to find its answers by."""
    stream = Stream(f"code/{seed}/{student}")
    return "".join(stream.pick(_SIGNS) for _ in range(5))


# -- exercises -------------------------------------------------------------------------------------

# What a class can answer after its first two hours: the plan for the teacher begins with these.
FIRST = ("let-in", "post length", "height change")
_TRIES = 2000
_DRAWN_AGAIN = 20  # draws of a question that was asked before
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

    kinds  those to choose from; if not said, those of `FIRST` in their order, then all others
    Raises DesignError for a count below one, and for a kind that is not there.
    """
    if count < 1:
        raise DesignError(f"count = {count}: expected at least 1 exercise. Write 1 or more.")
    chosen = list(dict.fromkeys(KINDS if kinds is None else kinds))
    if not chosen or not set(chosen) <= set(KINDS):
        raise DesignError(f"kinds = {chosen}: expected some of {', '.join(KINDS)}.")
    first = FIRST if kinds is None else ()
    stream = Stream(f"kinds/{seed}")
    order = [*first, *stream.shuffled([one for one in chosen if one not in first])]
    while len(order) < count:
        order += stream.shuffled(chosen)
    found: dict[str, Exercise] = {}
    for number, name in enumerate(order[:count], start=1):
        drawn = f"{seed}/{student}/{number}"
        one = exercise(name, drawn, display)
        for again in range(_DRAWN_AGAIN):  # the same numbers come up twice at times
            if one.question not in found:
                break
            one = exercise(name, f"{drawn}/{again}", display)
        found[f"{number}" if one.question in found else one.question] = one
    return tuple(found.values())


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
        sheet = network(kind.topic).solve(givens, shop=class_style(display), why=False)
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
    return not any(exercise.near_right(one.number, _CLEAR) for one in each_own_slip(exercise))


def _after(
    kind: ExerciseKind, givens: Mapping[str, float], drawn: Mapping[str, float], display: Display
) -> Sheet | None:
    if not kind.changed:
        return None
    changed = {**givens, kind.changed: drawn[f"{kind.changed}_after"]}
    return network(kind.topic).solve(changed, shop=class_style(display))


def _draw(bounds: Bounds, quantity: Quantity, display: Display, stream: Stream) -> float:
    """A number on the grid of the bounds, as exactly as its text says it."""
    low, high, step = (parse_quantity(text, quantity.unit) for text in bounds.of(display))
    # The zero point of a temperature drops out of a step's difference from nothing.
    zero = parse_quantity(f"0 {_unit_of(bounds.of(display)[2])}".strip(), quantity.unit)
    size = step - zero
    number = low + size * stream.below(round((high - low) / size) + 1)
    return parse_quantity(shop_text(number, quantity.unit, class_style(display)), quantity.unit)


def _unit_of(text: str) -> str:
    return text.rpartition(" ")[2] if " " in text else ""


# -- putting it into words ------------------------------------------------------------------------


def _question(
    kind: ExerciseKind, asked: Quantity, drawn: Mapping[str, float], display: Display
) -> str:
    known, style = network(kind.topic).quantities, class_style(display)
    texts = {
        name: shop_text(number, known[name.removesuffix("_after")].unit, style)
        for name, number in drawn.items()
    }
    words = kind.words.format(
        **texts,
        asked=kind.asked_in_words.get(asked.name, ""),
        rows=_rows(kind, asked, drawn, style),
    )
    formula = kind.formula(asked.name, display)
    said = f" {formula.said}" if formula is not None and formula.said else ""
    return together(f"{words}{said} {_how_to_answer(kind, asked, display)}")


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
    label = figures_text(1.0, asked.unit, class_style(display), 1).lstrip("0123456789.")
    shown = tolerance_text(kind, display)
    if not label:
        return f"Answer to within {shown}."
    return f"Answer in {_IN_WORDS[label]}, to within {shown}."
