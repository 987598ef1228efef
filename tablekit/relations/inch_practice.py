"""What a shop that works in inches assumes in place of the metric sizes: 1 in for 25 mm.

Where the trade has a size of its own in either system, neither is the other converted: a metric
shop cuts with a 12 mm cutter, an inch shop with a 1/2 in one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache, partial
from types import MappingProxyType

import sympy as sp

from tablekit.engine.quantity import Source, common_practice
from tablekit.engine.relation import Assumption, Requirement
from tablekit.engine.shop import ShopStyle, mixed, shown_unit
from tablekit.relations import splayed_family
from tablekit.relations.fixing import SCREW_LENGTH_INCHES
from tablekit.relations.people import Graded, Use
from tablekit.relations.quantities import INCH, MILLIMETRE, head_flat, top_thickness
from tablekit.relations.splayed_stretchers import TENON_INCHES

MM_PER_INCH = 25.4
_LARGE = 100.0  # mm, from which a size is held nearer
_NEAR_LARGE, _NEAR = 0.0165, 0.06  # share by which the size of the other system may differ
_FINEST = 32
_ROUND = 1000  # pounds, from which they are said in fifties
_FINE = 0.5  # mm, below which an inch shop counts in thousandths
_HAIR = 0.1  # mm, by which the range of one use keeps off the next
# Where the rule below gives a size that nobody uses: inches, and why where that has figures.
_OWN: dict[str, tuple[Fraction, str]] = {
    "sanding_allowance": (Fraction(1, 32), ""),
    "jointing_allowance": (Fraction(1, 16), ""),
    "edge_loss": (Fraction(1, 16), ""),
    "slot_spare": (
        Fraction(1, 16),
        "Slots filed to suit, with a thirty-second to spare at each end. For plates bought ready "
        "slotted give slot_length.",
    ),
    "pad_recess": (
        Fraction(1, 16), "A recess of a sixteenth of an inch keeps a pad from being pushed off.",
    ),
    "post_cleaning": (Fraction(1, 16), "A thirty-second off either side."),
    "lamination_edges": (Fraction(1, 4), "An eighth off either side."),
    "post_trim": (Fraction(3, 2), "Three quarters of an inch off either end."),
    "foot_trim": (Fraction(1, 2), ""),
    "foot_step": (Fraction(1, 50), "A fiftieth of an inch off at one foot."),
    "head_step": (Fraction(1, 50), "A fiftieth of an inch off at one head."),
    "chip_load": (
        Fraction(4, 1000),
        "A chip of four thousandths carries its heat away; dust burns the rim.",
    ),
    "notch_clearance": (Fraction(4, 1000), ""),
    "tenon_clearance": (Fraction(4, 1000), ""),
    # Two thirds of it are the size of a bit.
    "leg_diameter": (Fraction(15, 8), ""),
    "leg_step": (Fraction(1, 32), "One leg a thirty-second of an inch out."),
    "glue_film": (Fraction(6, 1000), ""),
    "coat_film": (Fraction(4, 1000), "Some 400 square feet from a US gallon."),
}  # fmt: skip
# The same where a kind of piece has its own: by the size in millimetres as well.
_OWN_OF_A_KIND: dict[tuple[str, float], Fraction] = {("top_diameter", 900.0): Fraction(36)}
# What is said of a coverage, in the words of an inch shop: 4.88 g/m² is 1 lb on 1000 ft², 1 m² from
# a litre is 41 ft² from a US gallon.
_OWN_WORDS = {
    "150 to 250 g/m²": "30 to 50 lb on 1000 square feet",
    "7 to 12 m² from a litre, first coat": "300 to 500 square feet from a US gallon, first coat",
    "1.4 m of a 28 mm edge": "4 1/2 ft of a 1 1/8 in edge",
}
_OWN_FORMULAS: dict[str, tuple[sp.Expr, str]] = {
    "socket_depth": (sp.Rational(3, 4) * top_thickness, "three quarters of the thickness"),
    "tenon_diameter": (
        splayed_family.TENON_INCHES,
        "two thirds of the leg, to the nearest bit that is sold: by 1/8 in",
    ),
    "stretcher_tenon": (
        TENON_INCHES,
        "three fifths of the middle, down to a bit that is sold: by 1/8 in",
    ),
    "plate_width": (sp.Rational(3, 4) * head_flat, "three quarters of the flat"),
    "screw_length": (
        SCREW_LENGTH_INCHES,
        "screws are sold by 1/8 in up to 1 in, by 1/4 in up to 3 in, then by 1/2 in",
    ),
}
_MEASURE = re.compile(
    r"(?<![\w./])(\d+(?:\.\d+)?)(?:( to | × )(\d+(?:\.\d+)?))? (mm|N|kg/m³|kg)(?![\w/·³])"
)
_INCHES = ShopStyle("in")
_NONE: Mapping[float, Fraction] = MappingProxyType({})


def inch_size(millimetres: float) -> Fraction:
    """The size in inches that stands for a size in millimetres: the coarsest fraction that is near.

    Near is within 1.65 % from 100 mm on, which makes that 4 in, and within 6 % below; where no
    fraction down to 1/32 is, it is the nearest 1/32."""
    inches = abs(millimetres) / MM_PER_INCH
    near = _NEAR_LARGE if abs(millimetres) >= _LARGE else _NEAR
    size = Fraction(0)
    for parts in (1, 2, 4, 8, 16, _FINEST):
        size = Fraction(round(inches * parts), parts)
        if abs(size - inches) <= near * inches:
            break
    return -size if millimetres < 0 else size


def in_practice(assumptions: Iterable[Assumption], inches: bool) -> tuple[Assumption, ...]:
    """The assumptions as a shop makes them that works in inches, or not."""
    return tuple(map(_in_inches, assumptions) if inches else assumptions)


def judged_in_practice(
    requirements: Iterable[Requirement], inches: bool
) -> tuple[Requirement, ...]:
    """The requirements with the limits and words of a shop that works in inches, or not.

    Limits of other quantities than lengths stay as they are."""
    return tuple(map(_judged, requirements) if inches else requirements)


@cache
def _in_inches(assumption: Assumption) -> Assumption:
    quantity = assumption.quantity
    own, why = _own_size(assumption)
    metric = {}
    if quantity is not None and own is not None and quantity.unit == "mm":
        # What is said of the size speaks of it as it is here.
        metric = {round(quantity.from_si(float(assumption.value)), 6): own}
    said = replace(
        assumption,
        why=why or inch_words(assumption.why, metric),
        source=_source(assumption.source, metric),
    )
    if quantity is None or quantity.unit not in ("mm", "µm"):
        return said
    if quantity.name in _OWN_FORMULAS:
        formula, source = _OWN_FORMULAS[quantity.name]
        said, value = replace(said, source=common_practice(source)), formula
    elif own is not None:
        value = _metres(own)
    elif quantity.unit == "µm":  # a film that a maker measures in thousandths
        return said
    elif assumption.value.is_number:
        value = _metres(inch_size(quantity.from_si(float(assumption.value))))
    else:
        value = _formula_in_inches(assumption.value)
    return replace(said, equation=sp.Eq(quantity, value, evaluate=False))


def _own_size(assumption: Assumption) -> tuple[Fraction | None, str]:
    """The size in inches that the rule does not give, and why where that has figures."""
    quantity = assumption.quantity
    if quantity is None:
        return None, ""
    if assumption.value.is_number:
        size = round(quantity.from_si(float(assumption.value)), 6)
        if (quantity.name, size) in _OWN_OF_A_KIND:
            return _OWN_OF_A_KIND[quantity.name, size], ""
    return _OWN.get(quantity.name, (None, ""))


def _metres(inches: Fraction) -> sp.Rational:
    return sp.Rational(inches.numerator, inches.denominator) * sp.Rational(254, 10000)


def _formula_in_inches(formula: sp.Expr) -> sp.Expr:
    """The formula with a size in inches in the place of each in millimetres."""
    millimetre = MILLIMETRE.symbol
    terms = [term for term in formula.atoms(sp.Mul) if term.free_symbols == {millimetre}]
    own = {term: inch_size(float(term / millimetre)) for term in terms}
    return formula.xreplace(
        {term: sp.Rational(*size.as_integer_ratio()) * INCH for term, size in own.items()}
    )


def _judged(one: Requirement) -> Requirement:
    words = {
        field: inch_words(getattr(one, field))
        for field in ("too_low", "far_too_low", "too_high", "mend_low", "mend_high", "care", "fine")
    }
    said = replace(one, **words, source=_source(one.source))  # type: ignore[arg-type]
    if one.id not in _LENGTHS:
        return said
    said = replace(said, good=_pair(one.good), tolerable=_pair(one.tolerable))
    if isinstance(said, Graded):
        uses, notes = (_uses(of) for of in (said.uses, said.notes))
        between = inch_words(said.between)
        graded = said.graded and _source(said.graded)
        said = replace(said, uses=uses, notes=notes, between=between, graded=graded)
    return said


# Checks of a length in mm that are worth a limit in inches.
_LENGTHS = frozenset({
    "height", "knee_height", "feet_beyond_rim", "foot_size", "head_deflection", "rim_deflection",
    "lasting_deflection", "pad_room", "plate_room", "pass_depth", "screw_cover", "seat_to_top",
    "sliding", "slot_length", "socket_cover", "socket_edge", "sway", "twist", "thigh_room",
    "driver_room", "tenon_cheek", "tenon_gap", "edge_room", "edge_screws", "rim_thickness",
    "clamp_reach", "foot_slide", "leg_sway", "point_cover", "mortise_floor", "mortise_gap",
})  # fmt: skip


def _pair(limits: tuple[float | None, float | None]) -> tuple[float | None, float | None]:
    low, high = (None if end is None else _mm(end) for end in limits)
    return low, high


def _mm(millimetres: float) -> float:
    """The size of the other system, in millimetres."""
    return float(inch_size(millimetres)) * MM_PER_INCH


def _uses(uses: tuple[Use, ...]) -> tuple[Use, ...]:
    """Uses by whole inches; an inch at which one ends and the next begins is the use's whose
    metric height is nearer to it."""
    lows = [_whole(use.low) for use in uses]
    highs = [_whole(use.high) for use in uses]
    for index in range(len(uses) - 1):
        if highs[index] >= lows[index + 1]:
            inch = lows[index + 1]
            if abs(uses[index].high - inch) < abs(uses[index + 1].low - inch):
                lows[index + 1] += _HAIR
            else:
                highs[index] = inch - _HAIR
    return tuple(
        replace(use, low=low, high=high, words=inch_words(use.words))
        for use, low, high in zip(uses, lows, highs, strict=True)
    )


def _whole(millimetres: float) -> float:
    return round(millimetres / MM_PER_INCH) * MM_PER_INCH


def _source(source: Source, own: Mapping[float, Fraction] = _NONE) -> Source:
    """A common practice, and what is quoted of a document that was not read, in inches; a document
    as it is."""
    if source.kind not in ("common practice", "quoted"):
        return source
    return replace(source, text=inch_words(source.text, own))


def inch_words(text: str, own: Mapping[float, Fraction] = _NONE) -> str:
    """A text with the size in inches that stands for each of its millimetres, and pounds.

    own  the inches of sizes in mm that have some of their own
    """
    for metric, inches in _OWN_WORDS.items():
        text = text.replace(metric, inches)
    return _MEASURE.sub(partial(_converted, own), text)


def _converted(own: Mapping[float, Fraction], found: re.Match[str]) -> str:
    low, joint, high, unit = found.groups()
    unit = unit.replace("³", "^3")
    if unit == "mm" and float(high or low) < _FINE:
        thou = [f"{1000 * float(one) / MM_PER_INCH:.0f}" for one in (low, high) if one]
        return f"{(joint or '').join(thou)} thou"
    if unit == "mm" and not high and float(low) in own:
        return f"{mixed(own[float(low)])} in"
    numbers = [_in_inch_units(float(one), unit) for one in (low, high) if one]
    return f"{(joint or '').join(numbers)} {shown_unit(unit, _INCHES)[0].strip()}"


def _in_inch_units(number: float, unit: str) -> str:
    """The number of inches that stands for millimetres, or that of whole pounds."""
    if unit != "mm":
        there = number * shown_unit(unit, _INCHES)[1]
        return f"{there:.0f}" if there < _ROUND else f"{50 * round(there / 50)}"
    return mixed(inch_size(number))
