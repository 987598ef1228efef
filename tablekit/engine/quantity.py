"""Quantities and constants: named, documented symbols with a dimension and a sensible range."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

import sympy as sp

from tablekit.engine.source import Source

# Reporting unit -> (size in coherent SI, exponents of mass, length and time).
# A table, not a call to pint, because this is read at every import and pint takes longer to
# load than all of it; the test suite checks every row against pint.
_UNITS: dict[str, tuple[float, tuple[int, int, int]]] = {
    "1": (1.0, (0, 0, 0)),
    "%": (0.01, (0, 0, 0)),
    "deg": (0.017453292519943295, (0, 0, 0)),
    "mm": (1e-3, (0, 1, 0)),
    "µm": (1e-6, (0, 1, 0)),
    "mm^2": (1e-6, (0, 2, 0)),
    "m^2": (1.0, (0, 2, 0)),
    "mm^3": (1e-9, (0, 3, 0)),
    "m^3": (1.0, (0, 3, 0)),
    "kg": (1.0, (1, 0, 0)),
    "kg/m^3": (1.0, (1, -3, 0)),
    "N": (1.0, (1, 1, -2)),
    "N*m": (1.0, (1, 2, -2)),
    "MPa": (1e6, (1, -1, -2)),
    "m/s^2": (1.0, (0, 1, -2)),
    "m/s": (1.0, (0, 1, -1)),
    "min": (60.0, (0, 0, 1)),
    "rpm": (0.10471975511965977, (0, 0, -1)),
    # A reading of a scale, not an amount: formulas fitted to such readings take the plain number.
    "degC": (1.0, (0, 0, 0)),
}

Dimension = tuple[int, int, int]


def known_units() -> tuple[str, ...]:
    """The reporting units a quantity may have."""
    return tuple(_UNITS)


def unit_size(unit: str) -> float:
    """Size of a reporting unit in coherent SI (m, kg, s, rad). Raises KeyError if unknown."""
    return _UNITS[unit][0]


def unit_dimension(unit: str) -> Dimension:
    """Exponents of mass, length and time of a reporting unit. Raises KeyError if unknown."""
    return _UNITS[unit][1]


@cache
def _symbol(name: str, low: float) -> sp.Symbol:
    # The sign is what lets sympy drop the root of a square that no piece of wood can have.
    if low > 0:
        return sp.Symbol(name, positive=True)
    if low == 0:
        return sp.Symbol(name, nonnegative=True)
    return sp.Symbol(name, real=True)


@dataclass(frozen=True)
class Quantity:
    """One measurable thing of the piece.

    name     full words joined by underscores; also the JSON name
    letter   how it is written in a formula as plain text ("θ"); `latex` where that differs
    unit     the unit it is reported in, one of `known_units()`
    meaning  what it is, in a maker's words
    low, high   sensible range in `unit`, inclusive; low == 0 lets it be zero
    cut      a dimension the maker cuts: it is rounded to the maker's fraction
    whole    counts: shown as a whole number
    """

    name: str
    letter: str
    unit: str
    meaning: str
    low: float
    high: float
    latex: str = ""
    cut: bool = False
    whole: bool = False

    def __post_init__(self) -> None:
        if self.unit not in _UNITS:
            raise ValueError(f"{self.name}: unit {self.unit!r} is not one of {known_units()}")
        if not self.low < self.high:
            raise ValueError(f"{self.name}: range {self.low} to {self.high} is empty")

    @cached_property
    def symbol(self) -> sp.Symbol:
        """The sympy symbol that stands for it, in coherent SI."""
        return _symbol(self.name, self.low)

    @cached_property
    def scale(self) -> float:
        """Coherent value of one reporting unit."""
        return unit_size(self.unit)

    @property
    def dimension(self) -> Dimension:
        """Exponents of mass, length, time."""
        return unit_dimension(self.unit)

    @cached_property
    def si_range(self) -> tuple[float, float]:
        """The sensible range in coherent SI."""
        return self.to_si(self.low), self.to_si(self.high)

    @property
    def tex(self) -> str:
        """How LaTeX writes it."""
        return self.latex or self.letter

    def to_si(self, number: float) -> float:
        """From the reporting unit to coherent SI. Arrays pass through elementwise."""
        return number * self.scale

    def from_si(self, value: float) -> float:
        """From coherent SI to the reporting unit. Arrays pass through elementwise."""
        return value / self.scale


@dataclass(frozen=True)
class Constant:
    """A number of nature or of a standard that no maker may change, e.g. standard gravity."""

    name: str
    letter: str
    value: float
    unit: str
    meaning: str
    source: Source
    latex: str = ""

    @cached_property
    def symbol(self) -> sp.Symbol:
        """The sympy symbol that stands for it, in coherent SI."""
        return sp.Symbol(self.name, positive=True)

    @property
    def si(self) -> float:
        """Its value in coherent SI."""
        return self.value * unit_size(self.unit)

    @property
    def dimension(self) -> Dimension:
        """Exponents of mass, length, time."""
        return unit_dimension(self.unit)

    @property
    def tex(self) -> str:
        """How LaTeX writes it."""
        return self.latex or self.letter
