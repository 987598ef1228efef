"""Every unit the engine knows, in one table: its size in coherent SI and how people write it.

A table, because loading pint and its definitions takes a third of a second, and because pint's
reader evaluates what a person types; the tests hold every row, every pair of rows of one kind and
every spelling against pint. Coherent SI is m, kg, s, A, K, mol and cd, with the radian as a plain
number. Factors are exact fractions (angles to 50 figures of pi), so that no conversion loses a
digit.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple


class Dimension(NamedTuple):
    """Exponents of the seven base quantities of the SI, in the order of `BASE_UNITS`."""

    mass: int | Fraction = 0
    length: int | Fraction = 0
    time: int | Fraction = 0
    current: int | Fraction = 0
    temperature: int | Fraction = 0
    amount: int | Fraction = 0
    luminous_intensity: int | Fraction = 0

    def times(self, other: Dimension) -> Dimension:
        """Of a product."""
        return Dimension(*(one + two for one, two in zip(self, other, strict=True)))

    def power(self, exponent: int | Fraction) -> Dimension:
        """Of a power."""
        return Dimension(*(one * exponent for one in self))


BASE_UNITS = ("kg", "m", "s", "A", "K", "mol", "cd")
PLAIN = Dimension()


@dataclass(frozen=True)
class Unit:
    """One unit.

    name       pint's name of it
    size       how much of the coherent SI unit it is; of a scale of temperature, its degree
    spellings  what is read as it; the first is its symbol
    zero       what its zero is in coherent SI: other than 0 only for scales of temperature
    """

    name: str
    size: Fraction
    spellings: tuple[str, ...]
    zero: Fraction = Fraction(0)

    @property
    def symbol(self) -> str:
        """How the unit is written in a declaration and in data."""
        return self.spellings[0]


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: what it is called and its units.

    noun       "a length"
    dimension  of all its units
    expected   the units that will do, for a message
    suggest    units to offer for a number that has none
    units      pint's name of a unit -> the unit
    """

    noun: str
    dimension: Dimension
    expected: str
    suggest: tuple[str, ...]
    units: Mapping[str, Unit]


_PREFIXES = {
    "p": ("pico", Fraction(1, 10**12)), "n": ("nano", Fraction(1, 10**9)),
    "µ": ("micro", Fraction(1, 10**6)), "m": ("milli", Fraction(1, 1000)),
    "c": ("centi", Fraction(1, 100)), "k": ("kilo", Fraction(1000)),
    "M": ("mega", Fraction(10**6)), "G": ("giga", Fraction(10**9)),
}  # fmt: skip


_ZERO, _ONE = Fraction(0), Fraction(1)


def _unit(name: str, size: Fraction | int, spellings: str, zero: Fraction = _ZERO) -> Unit:
    exact = size if isinstance(size, Fraction) else Fraction(size)
    return Unit(name, exact, tuple(spellings.split(", ")), zero)


def _prefixed(
    prefixes: str, name: str, symbols: str, words: str = "", size: Fraction | int = _ONE
) -> list[Unit]:
    """The unit itself and its multiples: `prefixes` are letters, `symbols` and `words` spellings.

    Micro is read with the micro sign, the Greek letter and the u of keyboards that have neither.
    """
    found = [_unit(name, size, ", ".join(filter(None, (symbols, words))))]
    for letter in prefixes:
        prefix, factor = _PREFIXES[letter]
        letters = ("µ", "μ", "u") if letter == "µ" else (letter,)
        spelled = [mark + symbol for symbol in symbols.split(", ") for mark in letters]
        spelled += [prefix + word for word in words.split(", ") if word]
        found.append(_unit(prefix + name, size * factor, ", ".join(spelled)))
    return found


def _kind(
    noun: str, dimension: Dimension, expected: str, suggest: str, *units: Unit | list[Unit]
) -> Kind:
    rows: list[Unit] = []
    for one in units:
        rows += one if isinstance(one, list) else [one]
    return Kind(
        noun, dimension, expected, tuple(suggest.split(", ")), {row.name: row for row in rows}
    )


_YARD = Fraction("0.9144")  # m; this and the pound: the yard and pound agreement of 1959, exactly
_POUND = Fraction("0.45359237")  # kg
_FALL = Fraction("9.80665")  # m/s²; the standard acceleration, 3rd CGPM (1901), exactly
_TURN = 2 * Fraction("3.1415926535897932384626433832795028841971693993751")
_FOOT, _INCH = _YARD / 3, _YARD / 36
_MILLI, _CENTI = Fraction(1, 1000), Fraction(1, 100)
_CALORIE = Fraction("4.184")  # J; the thermochemical calorie, exactly
_LITRE = Fraction(1, 1000)  # m³

_MASS, _LENGTH, _TIME = Dimension(mass=1), Dimension(length=1), Dimension(time=1)
_CURRENT, _TEMPERATURE = Dimension(current=1), Dimension(temperature=1)
_AMOUNT, _LIGHT = Dimension(amount=1), Dimension(luminous_intensity=1)
_AREA, _VOLUME = Dimension(length=2), Dimension(length=3)
_RATE = Dimension(time=-1)
_SPEED, _ACCELERATION = Dimension(length=1, time=-1), Dimension(length=1, time=-2)
_FORCE, _PRESSURE = Dimension(1, 1, -2), Dimension(1, -1, -2)
_ENERGY, _POWER = Dimension(1, 2, -2), Dimension(1, 2, -3)
_VOLTAGE = Dimension(1, 2, -3, -1)
_RESISTANCE = Dimension(1, 2, -3, -2)

# Marks are written as `tidy` in units.py leaves them: straight quotes, one plain space at most, ^2
# and ^3 for raised figures. Where a spelling belongs to two kinds and neither is expected, the
# first here is meant.
KINDS: dict[str, Kind] = {
    "length": _kind(
        "a length", _LENGTH, "mm, cm, m, in, or ft and in", "mm, cm, in",
        _unit("millimeter", _MILLI, "mm, MM, millimetre, millimetres, millimeter, millimeters"),
        _unit("centimeter", _CENTI, "cm, CM, centimetre, centimetres, centimeter, centimeters"),
        _unit("meter", 1, "m, metre, metres, meter, meters"),
        _unit("inch", _INCH, "in, in., IN, inch, inches, \""),
        _unit("foot", _FOOT, "ft, ft., FT, foot, feet, '"),
        # The second mu is the Greek letter, as keyboards have it.
        _unit("micrometer", Fraction(1, 10**6), "µm, μm, um"),
        _unit("thou", _INCH / 1000, "thou"),
        _unit("nanometer", Fraction(1, 10**9), "nm"),
        _unit("kilometer", 1000, "km, kilometre, kilometres, kilometer, kilometers"),
    ),
    # Before angles, so that "min" by itself is a minute of the clock.
    "time": _kind(
        "a time", _TIME, "min or h", "min",
        _unit("minute", 60, "min, minute, minutes"),
        _unit("hour", 3600, "h, hour, hours"),
        _prefixed("mµn", "second", "s", "second, seconds"),
    ),
    "angle": _kind(
        "an angle", PLAIN, "deg or rad", "deg",
        _unit("degree", _TURN / 360, "deg, degree, degrees, °"),
        _unit("arcminute", _TURN / 360 / 60, "arcmin, min, '"),
        _unit("arcsecond", _TURN / 360 / 3600, "arcsec, sec, \""),
        _unit("radian", 1, "rad, radian, radians"),
    ),
    "force": _kind(
        "a force", _FORCE, "N, kN or lbf", "N, lbf",
        _prefixed("mk", "newton", "N", "newton, newtons"),
        _unit("pound_force", _POUND * _FALL, "lbf"),
        _unit("kilogram_force", _FALL, "kgf"),
    ),
    "mass": _kind(
        "a mass", _MASS, "kg, g, lb or oz", "kg, lb",
        _unit("kilogram", 1, "kg, Kg, KG, kilogram, kilograms"),
        _unit("gram", _MILLI, "g, gram, grams"),
        _unit("pound", _POUND, "lb, lb., LB, lbs, lbs., LBS, pound, pounds"),
        _unit("ounce", _POUND / 16, "oz, oz., ounce, ounces"),
        _unit("milligram", Fraction(1, 10**6), "mg, milligram, milligrams"),
        _unit("metric_ton", 1000, "t, tonne, tonnes"),
    ),
    "temperature": _kind(
        "a temperature", _TEMPERATURE, "degC or degF", "degC, degF",
        _unit("degC", 1, "degC, deg C, °C, ° C, C, celsius, Celsius", Fraction("273.15")),
        _unit("degF", Fraction(5, 9), "degF, deg F, °F, ° F, F, fahrenheit, Fahrenheit",
              Fraction("459.67") * Fraction(5, 9)),
        _unit("kelvin", 1, "K, kelvin, kelvins"),
    ),
    "percent": _kind("a percentage", PLAIN, "%", "%",
                     _unit("percent", _CENTI, "%, percent, per cent")),
    "density": _kind(
        "a density", Dimension(mass=1, length=-3), "kg/m^3, g/cm^3 or lb/ft^3", "kg/m^3, lb/ft^3",
        _unit("kilogram/meter**3", 1, "kg/m^3, kg/m3"),
        _unit("gram/centimeter**3", _MILLI / _CENTI**3, "g/cm^3, g/cm3"),
        _unit("pound/foot**3", _POUND / _FOOT**3, "lb/ft^3, lb/ft3, lbs/ft^3, lbs/ft3"),
    ),
    "pressure": _kind(
        "a pressure or stress", _PRESSURE, "MPa, kPa, GPa or psi", "MPa, psi",
        _unit("pascal", 1, "Pa"),
        _unit("kilopascal", 1000, "kPa"),
        _unit("megapascal", 10**6, "MPa, N/mm^2, N/mm2"),
        _unit("gigapascal", 10**9, "GPa"),
        _unit("psi", _POUND * _FALL / _INCH**2, "psi, lbf/in^2, lbf/in2"),
        _prefixed("m", "bar", "bar", size=10**5),
    ),
    "area": _kind(
        "an area", _AREA, "mm^2, cm^2, m^2, in^2 or ft^2", "mm^2, in^2",
        _unit("millimeter**2", _MILLI**2, "mm^2, mm2"),
        _unit("centimeter**2", _CENTI**2, "cm^2, cm2"),
        _unit("meter**2", 1, "m^2, m2"),
        _unit("inch**2", _INCH**2, "in^2, in2"),
        _unit("foot**2", _FOOT**2, "ft^2, ft2"),
    ),
    "volume": _kind(
        "a volume", _VOLUME, "mm^3, cm^3, m^3, in^3 or ft^3", "m^3, ft^3",
        _unit("millimeter**3", _MILLI**3, "mm^3, mm3"),
        _unit("centimeter**3", _CENTI**3, "cm^3, cm3"),
        _unit("meter**3", 1, "m^3, m3"),
        _unit("inch**3", _INCH**3, "in^3, in3"),
        _unit("foot**3", _FOOT**3, "ft^3, ft3"),
        _prefixed("m", "liter", "L, l", "litre, litres, liter, liters", _LITRE),
    ),
    "moment": _kind(
        "a moment", _ENERGY, "N*m or lbf*ft", "N*m, lbf*ft",
        _unit("newton*meter", 1, "N*m, N m, Nm, N·m"),
        _unit("pound_force*foot", _POUND * _FALL * _FOOT,
              "lbf*ft, lbf ft, lbf·ft, ft*lbf, ft lbf, ft·lbf"),
    ),
    "acceleration": _kind(
        "an acceleration", _ACCELERATION, "m/s^2 or ft/s^2", "m/s^2",
        _unit("meter/second**2", 1, "m/s^2, m/s2"),
        _unit("foot/second**2", _FOOT, "ft/s^2, ft/s2"),
    ),
    "speed": _kind(
        "a speed", _SPEED, "m/s or ft/s", "m/s, ft/s",
        _unit("meter/second", 1, "m/s"),
        _unit("foot/second", _FOOT, "ft/s"),
        _unit("kilometer/hour", Fraction(1000, 3600), "km/h"),
    ),
    "turning": _kind(
        "a rate of turning", _RATE, "rpm", "rpm",
        _unit("revolutions_per_minute", _TURN / 60, "rpm, RPM"),
        _unit("radian/second", 1, "rad/s"),
    ),
    "count": _kind("a plain number", PLAIN, "no unit at all", "", _unit("dimensionless", 1, "1")),
    "frequency": _kind("a frequency", _RATE, "Hz, kHz or MHz", "Hz",
                       _prefixed("kMG", "hertz", "Hz", "hertz")),
    "energy": _kind(
        "an energy", _ENERGY, "J, kJ, MJ or kWh", "J, kWh",
        _prefixed("mkM", "joule", "J", "joule, joules"),
        _prefixed("k", "watt_hour", "Wh", size=3600),
        _prefixed("k", "calorie", "cal", "calorie, calories", _CALORIE),
    ),
    "power": _kind("a power", _POWER, "W, mW or kW", "W",
                   _prefixed("mµkM", "watt", "W", "watt, watts")),
    "current": _kind("an electric current", _CURRENT, "A or mA", "A, mA",
                     _prefixed("mµnk", "ampere", "A", "ampere, amperes, amp, amps")),
    "voltage": _kind("a voltage", _VOLTAGE, "V, mV or kV", "V",
                     _prefixed("mµk", "volt", "V", "volt, volts")),
    "resistance": _kind("a resistance", _RESISTANCE, "Ω, kΩ or MΩ (ohm, kohm, Mohm)", "Ω, kΩ",
                        _prefixed("mkM", "ohm", "Ω, ohm", "ohms")),
    "conductance": _kind("a conductance", _RESISTANCE.power(-1), "S or mS", "S",
                         _prefixed("mµ", "siemens", "S", "siemens")),
    "charge": _kind(
        "an electric charge", Dimension(time=1, current=1), "C, mC or Ah", "C, Ah",
        _prefixed("mµn", "coulomb", "C", "coulomb, coulombs"),
        _prefixed("m", "ampere_hour", "Ah", size=3600),
    ),
    "capacitance": _kind("a capacitance", Dimension(-1, -2, 4, 2), "F, µF, nF or pF", "µF, nF",
                         _prefixed("mµnp", "farad", "F", "farad, farads")),
    "inductance": _kind("an inductance", Dimension(1, 2, -2, -2), "H, mH or µH", "mH, µH",
                        _prefixed("mµn", "henry", "H", "henry, henries")),
    "magnetic flux": _kind("a magnetic flux", Dimension(1, 2, -2, -1), "Wb or mWb", "Wb",
                           _prefixed("mµ", "weber", "Wb", "weber, webers")),
    "flux density": _kind("a magnetic flux density", Dimension(1, 0, -2, -1), "T or mT", "T, mT",
                          _prefixed("mµ", "tesla", "T", "tesla, teslas")),
    "field": _kind("an electric field", Dimension(1, 1, -3, -1), "V/m", "V/m",
                   _unit("volt/meter", 1, "V/m")),
    "amount": _kind("an amount of substance", _AMOUNT, "mol, mmol or kmol", "mol",
                    _prefixed("mk", "mole", "mol", "mole, moles")),
    "concentration": _kind(
        "a concentration", Dimension(length=-3, amount=1), "mol/m^3 or mol/L", "mol/m^3, mol/L",
        _unit("mole/meter**3", 1, "mol/m^3, mol/m3"),
        _unit("mole/liter", 1000, "mol/L, mol/l"),
    ),
    "molar mass": _kind(
        "a molar mass", Dimension(mass=1, amount=-1), "g/mol or kg/mol", "g/mol",
        _unit("gram/mole", _MILLI, "g/mol"),
        _unit("kilogram/mole", 1, "kg/mol"),
    ),
    "light": _kind("a luminous intensity", _LIGHT, "cd", "cd",
                   _unit("candela", 1, "cd, candela, candelas")),
    # A steradian is a plain number, so the dimension of a lumen is that of a candela.
    "luminous flux": _kind("a luminous flux", _LIGHT, "lm", "lm",
                           _unit("lumen", 1, "lm, lumen, lumens")),
    "illuminance": _kind("an illuminance", Dimension(length=-2, luminous_intensity=1), "lx", "lx",
                         _unit("lux", 1, "lx, lux")),
    "stiffness": _kind(
        "a stiffness", Dimension(mass=1, time=-2), "N/m, N/mm or lbf/in", "N/m, N/mm",
        _unit("newton/meter", 1, "N/m"),
        _unit("newton/millimeter", 1000, "N/mm"),
        _unit("pound_force/inch", _POUND * _FALL / _INCH, "lbf/in"),
    ),
    "second moment": _kind(
        "a second moment of area", Dimension(length=4), "mm^4, cm^4 or m^4", "mm^4, cm^4",
        _unit("meter**4", 1, "m^4, m4"),
        _unit("centimeter**4", _CENTI**4, "cm^4, cm4"),
        _unit("millimeter**4", _MILLI**4, "mm^4, mm4"),
    ),
    "viscosity": _kind(
        "a dynamic viscosity", Dimension(1, -1, -1), "Pa*s or mPa*s", "Pa*s",
        _unit("pascal*second", 1, "Pa*s, Pa s, Pa·s"),
        _unit("millipascal*second", _MILLI, "mPa*s, mPa s, mPa·s"),
    ),
    "flow": _kind(
        "a volume flow", Dimension(length=3, time=-1), "m^3/s or L/min", "L/min",
        _unit("meter**3/second", 1, "m^3/s, m3/s"),
        _unit("liter/second", _LITRE, "L/s, l/s"),
        _unit("liter/minute", _LITRE / 60, "L/min, l/min"),
    ),
    "mass flow": _kind("a mass flow", Dimension(mass=1, time=-1), "kg/s", "kg/s",
                       _unit("kilogram/second", 1, "kg/s")),
    "irradiance": _kind("a power per area", Dimension(mass=1, time=-3), "W/m^2", "W/m^2",
                        _unit("watt/meter**2", 1, "W/m^2, W/m2")),
    "thermal conductivity": _kind(
        "a thermal conductivity", Dimension(1, 1, -3, temperature=-1), "W/(m*K)", "W/(m*K)",
        _unit("watt/meter/kelvin", 1, "W/(m*K), W/(m·K), W/(m K), W/m/K"),
    ),
    "heat transfer": _kind(
        "a heat transfer coefficient", Dimension(1, 0, -3, temperature=-1), "W/(m^2*K)",
        "W/(m^2*K)",
        _unit("watt/meter**2/kelvin", 1, "W/(m^2*K), W/(m^2·K), W/(m^2 K), W/m^2/K"),
    ),
    "specific heat": _kind(
        "a specific heat", Dimension(0, 2, -2, temperature=-1), "J/(kg*K) or kJ/(kg*K)",
        "J/(kg*K)",
        _unit("joule/kilogram/kelvin", 1, "J/(kg*K), J/(kg·K), J/(kg K), J/kg/K"),
        _unit("kilojoule/kilogram/kelvin", 1000, "kJ/(kg*K), kJ/(kg·K), kJ/(kg K), kJ/kg/K"),
    ),
    "heat capacity": _kind("a heat capacity", Dimension(1, 2, -2, temperature=-1), "J/K", "J/K",
                           _unit("joule/kelvin", 1, "J/K")),
    "molar heat": _kind(
        "a molar heat", Dimension(1, 2, -2, temperature=-1, amount=-1), "J/(mol*K)", "J/(mol*K)",
        _unit("joule/mole/kelvin", 1, "J/(mol*K), J/(mol·K), J/(mol K), J/mol/K"),
    ),
    "thermal expansion": _kind("a coefficient per kelvin", Dimension(temperature=-1), "1/K", "1/K",
                               _unit("1/kelvin", 1, "1/K, /K")),
    "optical power": _kind("an optical power", Dimension(length=-1), "dpt or 1/m", "dpt",
                           _unit("1/meter", 1, "dpt, 1/m, dioptre, dioptres, diopter, diopters")),
}  # fmt: skip

# pint's name of a unit -> the unit, and the kind it belongs to.
UNITS: dict[str, Unit] = {
    name: unit for kind in KINDS.values() for name, unit in kind.units.items()
}
KIND_OF: dict[str, str] = {name: kind for kind, what in KINDS.items() for name in what.units}
# The symbol of a unit -> pint's name of it.
SYMBOLS: dict[str, str] = {unit.symbol: name for name, unit in UNITS.items()}


def dimension_of_unit(name: str) -> Dimension:
    """The dimension of a unit by pint's name. Raises KeyError for one that is not in the table."""
    return KINDS[KIND_OF[name]].dimension


def convert(value: Fraction, start: str, end: str) -> Fraction:
    """`value` from one unit to another of its kind, by pint's names, exactly.

    A temperature is read on the one scale as it would be read on the other. Raises KeyError for a
    name that is not in the table; whether the two are of one kind is for the caller to see to.
    """
    if start == end:
        return value
    here, there = UNITS[start], UNITS[end]
    if here.zero == there.zero:
        return value * (here.size / there.size)
    return (value * here.size + here.zero - there.zero) / there.size


# -- units as people spell them --------------------------------------------------------------------


def _all_spellings() -> dict[str, tuple[tuple[str, str], ...]]:
    found: dict[str, list[tuple[str, str]]] = {}
    for name, unit in UNITS.items():
        for spelling in unit.spellings:
            found.setdefault(spelling, []).append((KIND_OF[name], name))
    return {spelling: tuple(meanings) for spelling, meanings in found.items()}


# Few spellings mean two things: ' and " are feet and inches, or minutes and seconds of arc; "min"
# is a minute of the clock or of arc; C and F are scales of temperature, or coulomb and farad.
_SPELLINGS = _all_spellings()


@cache
def _pattern() -> re.Pattern[str]:
    longest_first = sorted((s for s in _SPELLINGS if s != "1"), key=len, reverse=True)
    words = [re.escape(s) for s in longest_first if s[-1].isalnum() or s[-1] == "."]
    marks = [re.escape(s) for s in longest_first if not (s[-1].isalnum() or s[-1] == ".")]
    # After a word nothing may follow that would make it another unit: "m" is not the start of
    # "m/min". A mark may be followed by the next figure: 2'4".
    return re.compile(rf"(?:{'|'.join(words)})(?![\w^*/·.(°])|(?:{'|'.join(marks)})(?![\^*/·.(])")


def spelling_at(text: str, start: int) -> str | None:
    """The unit written in `text` at `start`, as spelled there, or None."""
    match = _pattern().match(text, start)
    return match.group() if match else None


def meaning(spelling: str, wanted: str) -> tuple[str, str]:
    """Kind and pint name of a spelling; where it has two, that of the `wanted` kind.

    Where no kind is wanted (''), the unit whose symbol it is: C is a coulomb, though a text may
    mean a temperature by it. Raises KeyError for a spelling that is not on the list.
    """
    meanings = _SPELLINGS[spelling]
    if not wanted and spelling in SYMBOLS:
        return KIND_OF[SYMBOLS[spelling]], SYMBOLS[spelling]
    return next((m for m in meanings if m[0] == wanted), meanings[0])


def factor(from_unit: str, to_unit: str) -> float:
    """How many `to_unit` make one `from_unit`; both as they are spelled, "in" and "mm".

    Raises ValueError for a unit that is not on the list, two units of different kinds, or two
    scales of temperature, which have different zeros.
    """
    if from_unit not in _SPELLINGS or to_unit not in _SPELLINGS:
        raise ValueError(f"no factor from {from_unit!r} to {to_unit!r}: unit not on the list")
    kind, start = meaning(from_unit, "")
    other, end = meaning(to_unit, kind)
    if kind != other or UNITS[start].zero != UNITS[end].zero:
        raise ValueError(f"no factor from {from_unit!r} to {to_unit!r}")
    return float(convert(Fraction(1), start, end))
