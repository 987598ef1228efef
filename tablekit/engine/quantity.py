"""Quantities and constants, named symbols with a dimension and a sensible range, and the sources
that statements about them come from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, Literal

import sympy as sp

from tablekit.engine.unit_table import PLAIN, SYMBOLS, UNITS, Dimension, Unit, dimension_of_unit

__all__ = [
    "Constant",
    "Dimension",
    "Kind",
    "Quantity",
    "Source",
    "Term",
    "common_practice",
    "declared_in",
    "derived",
    "from_memory",
    "known_units",
    "published",
    "quoted",
    "unit_dimension",
    "unit_size",
    "unit_zero",
]

# -- where a statement comes from ------------------------------------------------------------------

Kind = Literal["published", "quoted", "derived", "common practice", "from memory", "measured"]


@dataclass(frozen=True)
class Source:
    """The origin of a relation, an assumption or a limit.

    kind   "published" (seen in the document), "quoted" (seen in what another writes of it),
           "derived" (worked out here, `where` points at the derivation), "common practice" (no
           source), "from memory" (recalled, not seen), or "measured" (`text` says on what)
    text   the document, or what the practice is
    where  clause, table, page, or file
    """

    kind: Kind
    text: str
    where: str = ""

    def __str__(self) -> str:
        place = f", {self.where}" if self.where else ""
        match self.kind:
            case "published":
                return f"{self.text}{place}"
            case "quoted":
                return f"{self.text}{place} (quoted)"
            case "derived":
                return f"derived here: {self.text}{place}" if self.text else f"derived{place}"
            case "common practice":
                note = f" ({self.text})" if self.text else ""
                return f"common practice, no source{note}"
            case "from memory":
                return f"{self.text}{place} (from memory)"
            case "measured":
                return f"measured on {self.text}{place}"


def published(text: str, where: str = "") -> Source:
    """A document that was read, with its clause, table or page."""
    return Source("published", text, where)


def quoted(text: str, where: str = "") -> Source:
    """A document known from what someone else prints of it."""
    return Source("quoted", text, where)


def derived(where: str, text: str = "") -> Source:
    """Worked out here; `where` is the file of the derivation."""
    return Source("derived", text, where)


def common_practice(text: str = "") -> Source:
    """What is usually done, without a document to point at."""
    return Source("common practice", text)


def from_memory(text: str, where: str = "") -> Source:
    """Recalled from a document, not read."""
    return Source("from memory", text, where)


# -- quantities and constants ----------------------------------------------------------------------


def known_units() -> tuple[str, ...]:
    """The reporting units a quantity may have."""
    return tuple(SYMBOLS)


def _unit(symbol: str) -> Unit:
    return UNITS[SYMBOLS[symbol]]


@cache
def unit_size(unit: str) -> float:
    """Size of a reporting unit in coherent SI (kg, m, s, A, K, mol, cd, rad); of a scale of
    temperature, of its degree. Raises KeyError if unknown."""
    return float(_unit(unit).size)


@cache
def unit_zero(unit: str) -> float:
    """What the zero of a reporting unit is in coherent SI: 273.15 for degC, 0 for all but scales
    of temperature. Raises KeyError if unknown."""
    return float(_unit(unit).zero)


def unit_dimension(unit: str) -> Dimension:
    """Dimension of a reporting unit. Raises KeyError if unknown."""
    return dimension_of_unit(SYMBOLS[unit])


def _check_name(name: str) -> None:
    # What the engine names itself while it solves begins with an underscore.
    if name.startswith("_"):
        raise ValueError(
            f"{name}: names that begin with an underscore are the engine's own; leave it off"
        )


@cache
def _symbol(name: str, low: float) -> sp.Symbol:
    # The sign lets sympy drop the root of a square that the range rules out.
    if low > 0:
        return sp.Symbol(name, positive=True)
    if low == 0:
        return sp.Symbol(name, nonnegative=True)
    return sp.Symbol(name, real=True)


class Term:
    """What stands in a formula under its own name: `2 * post_length * sp.sin(splay)` is the sympy
    expression of their symbols."""

    symbol: sp.Symbol

    def _sympy_(self) -> sp.Symbol:
        return self.symbol

    def __add__(self, other: Any) -> sp.Expr:
        return self.symbol + other

    def __radd__(self, other: Any) -> sp.Expr:
        return other + self.symbol

    def __sub__(self, other: Any) -> sp.Expr:
        return self.symbol - other

    def __rsub__(self, other: Any) -> sp.Expr:
        return other - self.symbol

    def __mul__(self, other: Any) -> sp.Expr:
        return self.symbol * other

    def __rmul__(self, other: Any) -> sp.Expr:
        return other * self.symbol

    def __truediv__(self, other: Any) -> sp.Expr:
        return self.symbol / other

    def __rtruediv__(self, other: Any) -> sp.Expr:
        return other / self.symbol

    def __pow__(self, other: Any) -> sp.Expr:
        return self.symbol**other

    def __neg__(self) -> sp.Expr:
        return -self.symbol


@dataclass(frozen=True)
class Quantity(Term):
    """One measurable thing of a design.

    name     full words joined by underscores, none at the front; also the JSON name
    letter   how it is written in a formula as plain text ("θ"); `latex` where that differs
    unit     the unit it is reported in, one of `known_units()`
    meaning  what it is, in plain words
    low, high   sensible range in `unit`, inclusive; low == 0 lets it be zero
    cut      a dimension that is made to a size: it is rounded to what can be marked
    whole    counts: shown as a whole number
    reading  formulas take the plain number read on the scale of `unit`, without dimension, as
             those fitted to temperatures in °C do; else a temperature is in kelvin in formulas

    fine     smaller than the steps that sizes are rounded to: shown to two figures instead
    least    a length that something needs: rounded up to what can be marked, so that it is enough
    quoted   the working of another quantity quotes it, since it has a long one of its own
    said     how a plain number is said: as a "share" (77 %), a "slope" (1 in 300), "money" (12.50),
             or a time that it counts in "seconds" or "minutes" (37 s, 2 h)

    Raises ValueError for a name that begins with an underscore, an unknown unit, an empty range, or
    a way of saying it that is none of these or is not for its unit.
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
    reading: bool = False
    fine: bool = False
    least: bool = False
    quoted: bool = False
    said: str = ""

    def __post_init__(self) -> None:
        _check_name(self.name)
        if self.said not in ("", "share", "slope", "seconds", "minutes", "money"):
            raise ValueError(f"{self.name}: nothing is said as {self.said!r}")
        if self.said and self.unit != "1":
            raise ValueError(f"{self.name}: in {self.unit}, it is not said as a {self.said}")
        if self.unit not in SYMBOLS:
            raise ValueError(f"{self.name}: unit {self.unit!r} is not one of {known_units()}")
        if not self.low < self.high:
            raise ValueError(f"{self.name}: range {self.low} to {self.high} is empty")

    @cached_property
    def symbol(self) -> sp.Symbol:
        """The sympy symbol that stands for it, in coherent SI."""
        return _symbol(self.name, self.to_si(self.low))

    @cached_property
    def scale(self) -> float:
        """How much a step of one reporting unit is in coherent SI."""
        return 1.0 if self.reading else unit_size(self.unit)

    @cached_property
    def zero(self) -> float:
        """What a reading of 0 is in coherent SI; other than 0 only for temperatures."""
        return 0.0 if self.reading else unit_zero(self.unit)

    @property
    def dimension(self) -> Dimension:
        """Exponents of the base quantities."""
        return PLAIN if self.reading else unit_dimension(self.unit)

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
        return number * self.scale + self.zero if self.zero else number * self.scale

    def from_si(self, value: float) -> float:
        """From coherent SI to the reporting unit. Arrays pass through elementwise."""
        return (value - self.zero) / self.scale if self.zero else value / self.scale


@dataclass(frozen=True)
class Constant(Term):
    """A number of nature or of a standard that no design may change, e.g. standard gravity.

    fine     smaller than the steps that sizes are rounded to: shown to two figures instead

    Raises ValueError for a name that begins with an underscore or an unknown unit.
    """

    name: str
    letter: str
    value: float
    unit: str
    meaning: str
    source: Source
    latex: str = ""

    def __post_init__(self) -> None:
        _check_name(self.name)
        if self.unit not in SYMBOLS:
            raise ValueError(f"{self.name}: unit {self.unit!r} is not one of {known_units()}")

    @cached_property
    def symbol(self) -> sp.Symbol:
        """The sympy symbol that stands for it, in coherent SI."""
        return sp.Symbol(self.name, positive=True)

    @property
    def si(self) -> float:
        """Its value in coherent SI."""
        return self.value * unit_size(self.unit) + unit_zero(self.unit)

    @property
    def dimension(self) -> Dimension:
        """Exponents of the base quantities."""
        return unit_dimension(self.unit)

    @property
    def tex(self) -> str:
        """How LaTeX writes it."""
        return self.latex or self.letter


def declared_in(names: Mapping[str, object]) -> tuple[Quantity, ...]:
    """The quantities that a module declares; `names` are its globals, of which those that begin
    with an underscore are short names for quantities of other modules."""
    return tuple(
        thing
        for name, thing in names.items()
        if isinstance(thing, Quantity) and not name.startswith("_")
    )
