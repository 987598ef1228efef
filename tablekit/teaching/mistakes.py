"""Mistakes that are often made, each as a small declaration.

A mistake says how the question is misread; what answer it then leads to is found by putting the
misreading through the same relations as the right answer. `checking.py` compares.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from tablekit.relations.quantities import STANDARD_GRAVITY

Reading = Callable[[float], float]


def times(factor: float) -> Reading:
    """A number read as a multiple of itself."""
    return lambda number: number * factor


def as_one(_: float) -> float:
    """A number read as one: as many, left out."""
    return 1.0


def from_the_floor(degrees: float) -> float:
    """A lean read from the floor instead of from plumb, or the other way round."""
    return 90.0 - degrees


def nearest_ten(number: float) -> float:
    """A number read as the nearest row of a table in steps of ten."""
    return 10.0 * math.floor(number / 10.0 + 0.5)


def rounded_up(number: float) -> float:
    """A number taken up to the next whole one."""
    return float(math.ceil(number - _HAIR))


def one_less(number: float) -> float:
    """A count rounded down that should have been rounded up."""
    return number - 1.0


_HAIR = 1e-9
MM_PER_INCH, INCHES_PER_FOOT = 25.4, 12.0
HALF, DOUBLE, TWELVEFOLD = times(0.5), times(2.0), times(INCHES_PER_FOOT)


@dataclass(frozen=True)
class Mistake:
    """One misreading of a question.

    name       in a few words
    words      one kind sentence to the student, to follow "This looks as if"
    misread    quantity -> how its right value was misread
    taken_for  given -> the quantity that it was taken for
    forgotten  quantities that were not thought of
    instead    the quantity that was answered instead of the one asked for
    topic      the wrong set of relations that was used; the question's own where ""
    kept       quantities that keep their right values in that topic
    answered   how the answer itself was misread or spoiled in the end
    display    the class, "mm" or "in", that makes it; either where ""
    """

    name: str
    words: str
    misread: Mapping[str, Reading] = field(default_factory=dict)
    taken_for: Mapping[str, str] = field(default_factory=dict)
    forgotten: frozenset[str] = frozenset()
    instead: str = ""
    topic: str = ""
    kept: tuple[str, ...] = ()
    answered: Reading | None = None
    display: str = ""


def forgot(what: str, *names: str, topic: str = "", kept: tuple[str, ...] = ()) -> Mistake:
    """Something that was left out."""
    return Mistake(
        f"forgot {what}", f"you left out {what}.", forgotten=frozenset(names), topic=topic,
        kept=kept,
    )  # fmt: skip


def instead(name: str, words: str) -> Mistake:
    """Another quantity of the same job was answered."""
    return Mistake(f"answered {name.replace('_', ' ')}", words, instead=name)


def doubled(name: str, words: str) -> Mistake:
    """A diameter put in where a radius belongs."""
    return Mistake(f"{name.replace('_', ' ')}: diameter for radius", words, misread={name: DOUBLE})


def halved(name: str, words: str) -> Mistake:
    """A radius put in where a diameter belongs."""
    return Mistake(f"{name.replace('_', ' ')}: radius for diameter", words, misread={name: HALF})


FLATS = forgot("the depth of the flats", "foot_flat_depth", "head_flat_depth")
PADS = forgot("the pads under the feet", "pad_projection")
TOP = forgot("the thickness of the top", "top_thickness")
SECTION = forgot("what the section of the posts adds at their ends", "post_section", "post_width")
LEAN = Mistake(
    "lean from the floor",
    "you measured the lean from the floor; it is measured from plumb.",
    misread={"splay": from_the_floor},
    topic="heights alone",
    kept=("bearing_rise", "side_rise"),
)
ANGLE = Mistake(
    "lean from the floor",
    "you gave the lean from the floor; the question is the lean from plumb.",
    answered=from_the_floor,
)
TOP_DIAMETER = doubled("top_diameter", "you used the diameter of the top where its radius belongs.")
MASS_FOR_WEIGHT = Mistake(
    "mass for weight",
    "you used the mass as a force; a kilogram weighs about 9.81 newtons.",
    answered=times(1.0 / STANDARD_GRAVITY.value),
    display="mm",
)
SLOPE_UPSIDE_DOWN = Mistake(
    "slope upside down",
    "you divided the change by √3; a leaning post changes by more than the height does.",
    # Divided by √3 where it should have been multiplied: a third of the answer.
    answered=times(1.0 / 3.0),
)
BOTH_ENDS = Mistake(
    "shared between the ends",
    "you gave what comes off at each end; the question is the change of the whole post.",
    answered=HALF,
)
FOR_ALL_POSTS = Mistake(
    "all three posts together",
    "you gave the sum for all three posts; the question is the change of one.",
    answered=times(3.0),
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
PERCENT: tuple[Mistake, ...] = (
    Mistake(
        "per cent put in as a share",
        "you divided the per cent by a hundred; the coefficient is already for one per cent.",
        answered=times(0.01),
    ),
)
