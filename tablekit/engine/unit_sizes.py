"""How large the units of length, mass, time and force are, and what is made up of them, exactly.

A table, because reading pint and its definitions takes a third of a second, as long as a whole
design is worked out in; the tests hold every row, and every pair of rows, against pint.
"""

from __future__ import annotations

from fractions import Fraction

_YARD = Fraction("0.9144")  # m; this and the pound: the yard and pound agreement of 1959, exactly
_POUND = Fraction("0.45359237")  # kg
_FALL = Fraction("9.80665")  # m/s²; the standard acceleration, 3rd CGPM (1901), exactly
_PI = Fraction("3.1415926535897932384626433832795028841971693993751")

_FOOT, _INCH = _YARD / 3, _YARD / 36
_THOUSANDTH, _HUNDREDTH = Fraction(1, 1000), Fraction(1, 100)
_TURN = 2 * _PI

# pint's name of a unit -> its size, of a scale of temperature that of its degree,
# in m, kg, s, rad, K and what is made up of them.
_SIZES: dict[str, Fraction] = {
    "meter": Fraction(1),
    "millimeter": _THOUSANDTH,
    "centimeter": _HUNDREDTH,
    "micrometer": Fraction(1, 10**6),
    "inch": _INCH,
    "foot": _FOOT,
    "thou": _INCH / 1000,
    "second": Fraction(1),
    "minute": Fraction(60),
    "hour": Fraction(3600),
    "radian": Fraction(1),
    "degree": _TURN / 360,
    "arcminute": _TURN / 360 / 60,
    "arcsecond": _TURN / 360 / 3600,
    "kilogram": Fraction(1),
    "gram": _THOUSANDTH,
    "pound": _POUND,
    "ounce": _POUND / 16,
    "newton": Fraction(1),
    "kilonewton": Fraction(1000),
    "kilogram_force": _FALL,
    "pound_force": _POUND * _FALL,
    "percent": _HUNDREDTH,
    "dimensionless": Fraction(1),
    "kilogram/meter**3": Fraction(1),
    "gram/centimeter**3": _THOUSANDTH / _HUNDREDTH**3,
    "pound/foot**3": _POUND / _FOOT**3,
    "pascal": Fraction(1),
    "kilopascal": Fraction(1000),
    "megapascal": Fraction(10**6),
    "gigapascal": Fraction(10**9),
    "psi": _POUND * _FALL / _INCH**2,
    "newton*meter": Fraction(1),
    "pound_force*foot": _POUND * _FALL * _FOOT,
    "meter/second**2": Fraction(1),
    "foot/second**2": _FOOT,
    "meter/second": Fraction(1),
    "foot/second": _FOOT,
    "revolutions_per_minute": _TURN / 60,
    "degC": Fraction(1),
    "degF": Fraction(5, 9),
}
for _name in ("meter", "millimeter", "centimeter", "inch", "foot"):
    _SIZES[f"{_name}**2"] = _SIZES[_name] ** 2
    _SIZES[f"{_name}**3"] = _SIZES[_name] ** 3

# What the nought of a scale is in K.
_NOUGHTS = {"degC": Fraction("273.15"), "degF": Fraction("459.67") * Fraction(5, 9)}


def ratio(start: str, end: str) -> Fraction:
    """How many of unit `end` make one `start`, two units of one kind; an angle to 50 figures of pi.

    Raises KeyError for a unit that is not in the table.
    """
    return _SIZES[start] / _SIZES[end]


def reading(value: Fraction, start: str, end: str) -> Fraction:
    """A temperature read on one scale as it would be read on another.

    Raises KeyError for a scale that is not in the table.
    """
    return (value * _SIZES[start] + _NOUGHTS[start] - _NOUGHTS[end]) / _SIZES[end]
