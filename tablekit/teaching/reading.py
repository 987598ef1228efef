"""Reading an answer as a pupil writes it: L = 1115.4 mm, √3 × 644 mm, 1115,4 mm, 44 3/16, 0.099.

read_answer(exercise("post length", 7), "L = 1124,3 mm").number
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tablekit.engine.trouble import DesignError, RangeError, UnitsError
from tablekit.engine.unit_table import KINDS as UNIT_KINDS
from tablekit.engine.unit_table import spelling_at
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.teaching.arithmetic import NotArithmetic, calculate, read_arithmetic

if TYPE_CHECKING:
    from tablekit.teaching.question import Exercise

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
        if exercise.unit == "1" and line.lower().endswith(f" {words}"):
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
