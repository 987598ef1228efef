"""Mistakes that are often made, each as a small declaration.

A mistake says what is done wrong: as a line of arithmetic beside the right one, or as a misreading
that is put through the same relations as the right answer. `slips.py` finds what answer it leads to
and `checking.py` compares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

Reading = Callable[[float], float]


def times(factor: float) -> Reading:
    """A number read as a multiple of itself."""
    return lambda number: number * factor


def from_the_floor(degrees: float) -> float:
    """A lean read from the floor instead of from plumb, or the other way round."""
    return 90.0 - degrees


MM_PER_INCH = 25.4
HALF, DOUBLE = times(0.5), times(2.0)


@dataclass(frozen=True)
class Mistake:
    """One misreading of a question.

    name       in a few words
    words      one kind sentence to the student, to follow "This looks as if"
    misread    quantity -> how its right value was misread
    taken_for  given -> the quantity that it was taken for
    topic      the wrong set of relations that was used; the question's own where ""
    answered   how the answer itself was misread or spoiled in the end
    worked     the line of arithmetic that it leads to, in the letters of a `SchoolFormula`; the
               relations are not asked then
    """

    name: str
    words: str
    misread: Mapping[str, Reading] = field(default_factory=dict)
    taken_for: Mapping[str, str] = field(default_factory=dict)
    topic: str = ""
    answered: Reading | None = None
    worked: str = ""


def forgot(what: str) -> Mistake:
    """Something that was left out."""
    return Mistake(f"forgot {what}", f"you left out {what}.")


def doubled(name: str, words: str) -> Mistake:
    """A diameter put in where a radius belongs."""
    return Mistake(f"{name.replace('_', ' ')}: diameter for radius", words, misread={name: DOUBLE})


def halved(name: str, words: str) -> Mistake:
    """A radius put in where a diameter belongs."""
    return Mistake(f"{name.replace('_', ' ')}: radius for diameter", words, misread={name: HALF})


ANGLE = Mistake(
    "lean from the floor",
    "you gave the lean from the floor; the question is the lean from plumb.",
    answered=from_the_floor,
)
ANY_LENGTH: tuple[Mistake, ...] = (
    Mistake(
        "inches for millimetres",
        "the number is in millimetres, but you wrote inches.",
        answered=times(MM_PER_INCH),
    ),
    Mistake(
        "millimetres for inches",
        "the number is in inches, but you wrote millimetres.",
        answered=times(1.0 / MM_PER_INCH),
    ),
)
ANY_NUMBER: tuple[Mistake, ...] = (
    Mistake(
        "decimal point to the right",
        "the decimal point slipped one place to the right.",
        answered=times(10.0),
    ),
    Mistake(
        "decimal point to the left",
        "the decimal point slipped one place to the left.",
        answered=times(0.1),
    ),
)
ANY_SHARE: tuple[Mistake, ...] = (
    Mistake(
        "share written as per cent",
        "you wrote a share with the sign of a percentage; multiply it by a hundred first.",
        answered=times(0.01),
    ),
)


def slip(name: str, words: str, worked: str) -> Mistake:
    """A mistake that is worked as a line of arithmetic, in the letters of its `SchoolFormula`."""
    return Mistake(name, words, worked=worked)
