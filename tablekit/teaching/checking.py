"""Checking an answer: right, right but with figures lost, or wrong, and then what it looks like.

check(exercise("post length", 7), "1074.5 mm").message

An answer is read as a pupil writes it: L = 1115.4 mm, √3 × 644 mm, 1115,4 mm, 44 3/16, 0.099. A
number is right within the tolerance that the question states: half a millimetre, the finest that a
rule is read to, and its like. A diagnosis is a calculation: a mistake is named only where the
pupil's own numbers, worked with it, come to the number that was written, within the figures that
were written. It is stated only where that is hardly chance (`evidence.py`), and else asked about.
Nothing is said of the working of an answer that no known way leads to.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from tablekit.engine.shop import figures_text, shop_round
from tablekit.engine.trouble import DesignError, RangeError, UnitsError
from tablekit.engine.unit_table import KINDS as UNIT_KINDS
from tablekit.engine.unit_table import spelling_at
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.teaching.arithmetic import (
    Node,
    NotArithmetic,
    calculate,
    changed,
    letters_in,
    number,
    read_arithmetic,
    written,
)
from tablekit.teaching.evidence import STATED, chance, step_of
from tablekit.teaching.question import Exercise, choices, network, value_of
from tablekit.teaching.school import ANY_LENGTH, ANY_NUMBER, ANY_SHARE, Mistake

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.teaching.school import SchoolFormula


# -- reading an answer -----------------------------------------------------------------------------

Unread = Literal["no unit", "other unit", "unreadable"]

_FRACTION = re.compile(r"(?:[0-9]+[ -])?[0-9]+ ?[/⁄] ?[0-9]+")
_THOUSANDS = re.compile(r"(?<![\d.,])([0-9]{1,3})((?:,[0-9]{3})+)(?![\d,])")
_DECIMAL_COMMA = re.compile(r"(?<![\d.,])([0-9]+),([0-9]+)(?![\d.,])")
_PLAIN = re.compile(r"[+−–-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
_SIGNS_OF_WORKING = re.compile(r"√|sqrt|[×*÷^(]|[0-9)] ?\+|(?<=[0-9)]) [−–-] (?=[0-9(√])")
_BARS = re.compile(r"^[−–-]?\s*[0-9.]+\s*[/÷]\s*[0-9.]+$")
_COMMA = "A comma may mean a decimal or thousands: write a point for decimals."
_SHARE = "{} is a share; as a percentage it is {} %."
_SIGN_MISSING = "Write the sign of the percentage too: {} %."
_INCHES = "Write the unit too: {} in."
_RULE = 1 / 32 / 2  # in: half the finest mark of the class's rule


@dataclass(frozen=True)
class Answer:
    """An answer as it was understood.

    number    in the exercise's unit; nan where it could not be read
    fineness  how far the number that was meant may be from the one that was written, likewise
    advice    what to say of how it was written, "" for nothing
    decimals  whether it was written with decimals, so that its last figure says how fine it is
    unread    why there is no number, "" where there is one
    message   to the pupil, where there is none
    """

    number: float
    fineness: float = 0.0
    advice: str = ""
    decimals: bool = False
    unread: Unread | Literal[""] = ""
    message: str = ""


def read_answer(exercise: Exercise, text: str) -> Answer:
    """The answer that a text says, or why it says none. It never raises."""
    line, advice = _tidied(exercise, str(text))
    try:
        line, said = _in_the_unit(exercise, line)
        number = parse_quantity(line, exercise.unit, signed=True)
    except NotArithmetic as trouble:
        return Answer(math.nan, unread="unreadable", message=f"Not read: {trouble}.")
    except DesignError as trouble:
        return _unread(exercise, line, trouble)
    if exercise.after is not None:
        number = abs(number)  # a change may be written with its sign
    return Answer(
        number,
        _fineness(exercise, line),
        " ".join(one for one in (advice, said) if one),
        "." in line and "/" not in line,
    )


# -- the text --------------------------------------------------------------------------------------


def _tidied(exercise: Exercise, text: str) -> tuple[str, str]:
    """The text of the number and its unit alone, and what to say of its commas."""
    line = " ".join(text.split())
    line = re.split(r"[=≈≃]", line)[-1].strip()  # L = √3 × 644 = 1115.4 mm
    line = re.sub(r"(?<=[\w%°\"])\.$", "", line)
    for words in exercise.kind.counted:
        if exercise.unit == "1" and re.search(rf"[0-9 ]{words}$", line, re.IGNORECASE):
            line = line[: -len(words)].rstrip()
            break
    return _without_commas(exercise, line)


def _without_commas(exercise: Exercise, line: str) -> tuple[str, str]:
    """With a point for a decimal comma and nothing for thousands.

    A comma before three figures may be either; what comes nearer to the answer is meant."""
    thousands = _THOUSANDS.sub(lambda m: m[1] + m[2].replace(",", ""), line)
    decimal = _DECIMAL_COMMA.sub(r"\1.\2", line)
    if "," not in line or ("," in thousands and "," in decimal):
        return line, ""
    if "," in thousands or re.search(r"(?<!\d)0,", line):
        return decimal, ""
    if "," in decimal or decimal == line:
        return thousands, ""
    readings = [(one, _number_in(exercise, one)) for one in (decimal, thousands)]
    far = [(abs(math.log(n / exercise.answer)), one) for one, n in readings if n > 0]
    return (min(far)[1], _COMMA) if far and exercise.answer > 0 else (line, "")


def _number_in(exercise: Exercise, text: str) -> float:
    try:
        return parse_quantity(text, exercise.unit, signed=True)
    except DesignError:
        return math.nan


def _in_the_unit(exercise: Exercise, line: str) -> tuple[str, str]:
    """The line as one number with a unit, and what to say of how it was written."""
    if _is_working(exercise, line):
        line = _worked_out(line)
    bare = bool(_PLAIN.fullmatch(line))
    if exercise.unit == "%" and bare:
        number = float(line.replace("−", "-").replace("–", "-"))
        if 0 < number < 1:
            percent = f"{number * 100:.10g}"
            return f"{percent} %", _SHARE.format(line, percent)
        return f"{line} %", _SIGN_MISSING.format(line)
    if exercise.unit == "mm" and exercise.display == "in" and _FRACTION.fullmatch(line):
        return f"{line} in", _INCHES.format(line)
    return _volume_or_board_feet(exercise, line), ""


def _is_working(exercise: Exercise, line: str) -> bool:
    """Whether something is still to be worked out. A bar alone is a fraction of an inch."""
    if _SIGNS_OF_WORKING.search(line):
        return True
    return bool(_BARS.match(line)) and exercise.unit in ("1", "%")


def _worked_out(line: str) -> str:
    """A calculation, with or without a unit after it, as one number with that unit."""
    trouble: DesignError = NotArithmetic(f'"{line}" is no calculation')
    for end in range(len(line), 0, -1):
        calculation, unit = line[:end].rstrip(), line[end:].strip()
        if not calculation or (unit and spelling_at(unit, 0) != unit):
            continue
        if not re.search(r"[0-9)²³π]$", calculation):
            continue
        try:
            number = calculate(read_arithmetic(calculation), {})
        except NotArithmetic as reason:
            trouble = reason
            continue
        if not math.isfinite(number):
            raise NotArithmetic(f"{calculation} comes to no number")
        return f"{number:.12g} {unit}".strip()
    raise trouble


def _volume_or_board_feet(exercise: Exercise, line: str) -> str:
    """Board feet where cubic metres are asked for, and a volume where board feet are."""
    match = re.fullmatch(r"(.*[0-9])\s*(?:board feet|board foot|bd ft|bf|BF)", line)
    if exercise.unit == "m^3" and match and _PLAIN.fullmatch(match[1].strip()):
        return f"{float(match[1]) * _CUBIC_INCHES:.12g} in^3"
    if exercise.asked.name == "board_feet" and _reads(line, "in^3"):
        return f"{parse_quantity(line, 'in^3') / _CUBIC_INCHES:.12g}"
    return line


_CUBIC_INCHES = 144.0  # in a board foot: 12 in by 12 in by 1 in


# -- how finely it is written ----------------------------------------------------------------------


def _fineness(exercise: Exercise, line: str) -> float:
    """Half of the last figure, or half of what a rule is marked in where that is what was read.

    18 in may be 18 0/32, and a length that ends in .5 mm was read to half a millimetre."""
    half = half_last_figure(line, exercise.unit)
    inches = parse_quantity("1 in", "mm") if exercise.unit == "mm" else 0.0
    if inches and "." not in line and exercise.display == "in":
        return min(half, _RULE * inches)
    if exercise.unit == "mm" and re.search(r"\.5 ?mm$", line):
        return 0.25
    return half


# -- what cannot be read ---------------------------------------------------------------------------


def _unread(exercise: Exercise, text: str, trouble: DesignError) -> Answer:
    said = f"{trouble}."
    if isinstance(trouble, UnitsError) and not isinstance(trouble, RangeError):
        if exercise.unit != "1" and _reads(text, "1"):
            return Answer(math.nan, unread="no unit", message=f"The answer needs its unit: {said}")
        if any(_reads(text, kind.suggest[0]) for kind in UNIT_KINDS.values() if kind.suggest):
            return Answer(
                math.nan, unread="other unit", message=f"That is the wrong kind of measure: {said}"
            )
    return Answer(math.nan, unread="unreadable", message=said)


def _reads(text: str, unit: str) -> bool:
    try:
        parse_quantity(text, unit or "1", signed=True)
    except (DesignError, KeyError):
        return False
    return True


# -- what someone who makes a mistake answers ------------------------------------------------------

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


# -- the verdict -----------------------------------------------------------------------------------

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
    stated    whether the message states the mistake; else it asks
    """

    outcome: Outcome
    message: str
    mistake: Mistake | None = None
    number: float | None = None
    possible: tuple[Mistake, ...] = field(default=())
    stated: bool = False

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
        said = f"{_praise(exercise, number)} {answer.advice}".strip()
        return Verdict("right", said, number=number)
    coarse = _coarse(exercise, answer)
    # Only decimals tell how finely a number was meant: 18 in may be 18 0/32.
    if coarse is not None and answer.decimals:
        return coarse
    known = [one for one in slips_of(exercise) if not exercise.near_right(one.number)]
    found = _diagnosed(exercise, answer, known)
    if found:
        return _mistaken(exercise, answer, found, known)
    return coarse or _with_figures_lost(exercise, answer) or _not_known(exercise, number)


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
    """The verdict where the right working leads to this number with too few figures carried.

    It asks: so near the answer such numbers lie close together. Of wrong answers as near, one in
    twelve agrees with one of them in a quarter of the questions, and one in two in the worst."""
    room = _room(exercise, answer)
    if exercise.asked.whole:
        return None
    close = ((words, n) for words, n in lost_figures(exercise) if _is_close(exercise, n))
    words = next((words for words, n in close if abs(n - answer.number) <= room), "")
    if not words:
        return None
    return Verdict(
        "rounded",
        f"Very close. With {words} the right working gives this: is that what you did? Carry all "
        f"figures through and round only at the end, to within {exercise.tolerance_text}.",
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


def _praise(exercise: Exercise, number: float) -> str:
    told = f"Right: {exercise.answer_text}"
    if exercise.marked:
        told += f", marked as {exercise.marked}"
    other = exercise.right_with(number)
    if other:
        letter, its_number, came_to = other
        comes_to = figures_text(came_to, exercise.unit, exercise.style, 5)
        told = f"Right, with {its_number} for {letter}: {comes_to}"
    return f"{told}. {exercise.kind.caution}".strip()


# -- mistakes -------------------------------------------------------------------------------------


def _diagnosed(exercise: Exercise, answer: Answer, known: list[Slip]) -> list[Slip]:
    """The mistakes that lead to this number, each in words of its own, the nearest first."""
    found = [
        one for one in known if abs(one.number - answer.number) <= _room(exercise, answer, one)
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


def _mistaken(exercise: Exercise, answer: Answer, found: list[Slip], known: list[Slip]) -> Verdict:
    number, possible = answer.number, tuple(one.mistake for one in found)
    if exercise.asked.whole and number == round(number):
        first = possible[0].words.rstrip(".").partition(";")[0]
        # Many ways lead to one small count, so that it tells of none.
        return Verdict("wrong", f"Not yet. Check first whether {first}.", None, number, possible)
    stated = len(found) == 1 and _by_chance(exercise, answer, found[0], known) <= STATED
    if len(found) > 1:
        ways = "; or ".join(one.words.rstrip(".") for one in possible)
        said = f"More than one mistake leads to this number. Could it be one of these: {ways}?"
    elif stated:
        said = f"It looks as if {possible[0].words} {_worked_so(exercise, found[0])}".strip()
    else:
        said = f"{_asked_about(possible[0])} {_worked_so(exercise, found[0])}".strip()
    return Verdict("mistake", f"Not yet. {said}", possible[0], number, possible, stated)


def _by_chance(exercise: Exercise, answer: Answer, slip: Slip, known: list[Slip]) -> float:
    """How likely a wrong answer of about this size agrees with a known mistake by chance.

    A mistake that comes to a whole number agrees with whole numbers, whatever decimals are written
    after them."""
    size = exercise.class_unit[1]
    step = step_of(slip.number * size, rule=exercise.display == "in") / size
    half = max(_room(exercise, answer, slip), step / 2)
    return chance(slip.number, half, (one.number for one in known))


def _asked_about(mistake: Mistake) -> str:
    """A mistake as a question: what was done, and after it what is right, where it says that."""
    done, _, instead = mistake.words.rstrip(".").partition("; ")
    said = f"Could it be that {done}?"
    return f"{said} {instead[0].upper()}{instead[1:]}." if instead else said


def _worked_so(exercise: Exercise, slip: Slip) -> str:
    """The calculation that the mistake leads to, with the pupil's numbers."""
    if slip.line is None or not slip.line.parts or not letters_in(slip.line):
        return ""
    numbers = {letter: f"{number:.6g}" for letter, number in exercise.letters.items()}
    came_to = figures_text(slip.number, exercise.unit, exercise.style, 5)
    return f"Worked so: {written(slip.line, numbers)} = {came_to}."
