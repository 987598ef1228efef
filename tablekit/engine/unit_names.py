"""The units a maker may write, each under its own few spellings, and the factors between them.

The units go by pint's names, but pint never reads what a maker types: its reader evaluates
expressions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from tablekit.engine.unit_sizes import ratio, reading


@dataclass(frozen=True)
class Kind:
    """One sort of measure: what it is called, which units do, and how much of it is absurd.

    noun      "a length"
    expected  the units that do, for a message
    suggest   units to offer for a number that has none
    most      no piece of furniture has more than this, in `unit`
    unit      pint's name of the unit of `most`
    units     pint's name of a unit -> the spellings read as it
    """

    noun: str
    expected: str
    suggest: tuple[str, ...]
    most: int
    unit: str
    units: dict[str, str]


# Spellings are separated by commas. Marks are written as `tidy` in units.py leaves them: straight
# quotes, one plain space at most, ^2 and ^3 for raised figures.
KINDS: dict[str, Kind] = {
    "length": Kind(
        "a length", "mm, cm, m, in, or ft and in", ("mm", "cm", "in"), 1000, "meter",
        {
            "millimeter": "mm, MM, millimetre, millimetres, millimeter, millimeters",
            "centimeter": "cm, CM, centimetre, centimetres, centimeter, centimeters",
            "meter": "m, metre, metres, meter, meters",
            "inch": "in, in., IN, inch, inches, \"",
            "foot": "ft, ft., FT, foot, feet, '",
            # Films of glue and finish. The second mu is the Greek letter, as keyboards have it.
            "micrometer": "µm, μm, um",
            "thou": "thou",
        },
    ),
    # Before angles, so that "min" by itself is a minute of the clock.
    "time": Kind(
        "a time", "min or h", ("min",), 100_000, "minute",
        {
            "minute": "min, minute, minutes",
            "hour": "h, hour, hours",
            "second": "s, second, seconds",
        },
    ),
    "angle": Kind(
        "an angle", "deg or rad", ("deg",), 360, "degree",
        {
            "degree": "deg, degree, degrees, °",
            "arcminute": "arcmin, min, '",
            "arcsecond": "arcsec, sec, \"",
            "radian": "rad, radian, radians",
        },
    ),
    "force": Kind(
        "a force", "N, kN or lbf", ("N", "lbf"), 1_000_000, "newton",
        {
            "newton": "N, newton, newtons",
            "kilonewton": "kN",
            "pound_force": "lbf",
            "kilogram_force": "kgf",
        },
    ),
    "mass": Kind(
        "a mass", "kg, g, lb or oz", ("kg", "lb"), 100_000, "kilogram",
        {
            "kilogram": "kg, Kg, KG, kilogram, kilograms",
            "gram": "g, gram, grams",
            "pound": "lb, lb., LB, lbs, lbs., LBS, pound, pounds",
            "ounce": "oz, oz., ounce, ounces",
        },
    ),
    "temperature": Kind(
        "a temperature", "degC or degF", ("degC", "degF"), 150, "degC",
        {
            "degC": "degC, deg C, °C, ° C, C, celsius, Celsius",
            "degF": "degF, deg F, °F, ° F, F, fahrenheit, Fahrenheit",
        },
    ),
    "percent": Kind(
        "a percentage", "%", ("%",), 1000, "percent",
        {"percent": "%, percent, per cent"},
    ),
    "density": Kind(
        "a density", "kg/m^3, g/cm^3 or lb/ft^3", ("kg/m^3", "lb/ft^3"), 30_000,
        "kilogram/meter**3",
        {
            "kilogram/meter**3": "kg/m^3, kg/m3",
            "gram/centimeter**3": "g/cm^3, g/cm3",
            "pound/foot**3": "lb/ft^3, lb/ft3, lbs/ft^3, lbs/ft3",
        },
    ),
    "pressure": Kind(
        "a pressure or stress", "MPa, kPa, GPa or psi", ("MPa", "psi"), 10**12, "pascal",
        {
            "pascal": "Pa",
            "kilopascal": "kPa",
            "megapascal": "MPa, N/mm^2, N/mm2",
            "gigapascal": "GPa",
            "psi": "psi, lbf/in^2, lbf/in2",
        },
    ),
    "area": Kind(
        "an area", "mm^2, cm^2, m^2, in^2 or ft^2", ("mm^2", "in^2"), 10_000, "meter**2",
        {
            "millimeter**2": "mm^2, mm2",
            "centimeter**2": "cm^2, cm2",
            "meter**2": "m^2, m2",
            "inch**2": "in^2, in2",
            "foot**2": "ft^2, ft2",
        },
    ),
    "volume": Kind(
        "a volume", "mm^3, cm^3, m^3, in^3 or ft^3", ("m^3", "ft^3"), 10_000, "meter**3",
        {
            "millimeter**3": "mm^3, mm3",
            "centimeter**3": "cm^3, cm3",
            "meter**3": "m^3, m3",
            "inch**3": "in^3, in3",
            "foot**3": "ft^3, ft3",
        },
    ),
    "moment": Kind(
        "a moment", "N*m or lbf*ft", ("N*m", "lbf*ft"), 1_000_000, "newton*meter",
        {
            "newton*meter": "N*m, N m, Nm, N·m",
            "pound_force*foot": "lbf*ft, lbf ft, lbf·ft, ft*lbf, ft lbf, ft·lbf",
        },
    ),
    "acceleration": Kind(
        "an acceleration", "m/s^2 or ft/s^2", ("m/s^2",), 1000, "meter/second**2",
        {"meter/second**2": "m/s^2, m/s2", "foot/second**2": "ft/s^2, ft/s2"},
    ),
    "speed": Kind(
        "a speed", "m/s or ft/s", ("m/s", "ft/s"), 10_000, "meter/second",
        {"meter/second": "m/s", "foot/second": "ft/s"},
    ),
    "turning": Kind(
        "a rate of turning", "rpm", ("rpm",), 1_000_000, "revolutions_per_minute",
        {"revolutions_per_minute": "rpm, RPM"},
    ),
    "count": Kind("a plain number", "no unit at all", ("",), 1_000_000, "dimensionless", {}),
}  # fmt: skip


def _all_spellings() -> dict[str, tuple[tuple[str, str], ...]]:
    found: dict[str, list[tuple[str, str]]] = {"1": [("count", "dimensionless")]}
    for kind_name, kind in KINDS.items():
        for pint_name, spellings in kind.units.items():
            for spelling in spellings.split(", "):
                found.setdefault(spelling, []).append((kind_name, pint_name))
    return {spelling: tuple(meanings) for spelling, meanings in found.items()}


# Only the marks ' and " and "min" mean two things: feet and inches, or minutes and seconds of arc;
# a minute of the clock, or of arc.
_SPELLINGS = _all_spellings()


def _pattern() -> re.Pattern[str]:
    longest_first = sorted((s for s in _SPELLINGS if s != "1"), key=len, reverse=True)
    words = [re.escape(s) for s in longest_first if s[-1].isalnum() or s[-1] == "."]
    marks = [re.escape(s) for s in longest_first if not (s[-1].isalnum() or s[-1] == ".")]
    # After a word nothing may follow that would make it another unit: "m" is not the start of
    # "m/min". A mark may be followed by the next figure: 2'4".
    return re.compile(rf"(?:{'|'.join(words)})(?![\w^*/·.(°])|(?:{'|'.join(marks)})(?![\^*/·.(])")


_UNIT = _pattern()


def spelling_at(text: str, start: int) -> str | None:
    """The unit written in `text` at `start`, as spelled there, or None."""
    match = _UNIT.match(text, start)
    return match.group() if match else None


def meaning(spelling: str, wanted: str) -> tuple[str, str]:
    """Kind and pint name of a spelling; where it has two, that of the `wanted` kind.

    Raises KeyError for a spelling that is not on the list.
    """
    meanings = _SPELLINGS[spelling]
    return next((m for m in meanings if m[0] == wanted), meanings[0])


def convert(value: Fraction, start: str, end: str) -> Fraction:
    """`value` from one pint unit name to another, exactly. Temperatures keep their zero points."""
    if start in ("degC", "degF"):
        return reading(value, start, end)
    return value * ratio(start, end)


def factor(from_unit: str, to_unit: str) -> float:
    """How many `to_unit` make one `from_unit`; both spelled as a maker would, "in" and "mm".

    Raises ValueError for a unit that is not on the list, two units of different kinds, or
    temperatures, whose scales have different zero points.
    """
    if from_unit not in _SPELLINGS or to_unit not in _SPELLINGS:
        raise ValueError(f"no factor from {from_unit!r} to {to_unit!r}: unit not on the list")
    kind, start = meaning(from_unit, "")
    other, end = meaning(to_unit, kind)
    if kind != other or kind == "temperature":
        raise ValueError(f"no factor from {from_unit!r} to {to_unit!r}")
    return float(ratio(start, end))
