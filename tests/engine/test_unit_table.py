"""The table of units against pint, exactly: every row, every pair of one kind, every spelling."""

from collections import Counter
from fractions import Fraction
from itertools import product

import pint
import pytest

from tablekit.engine.quantity import known_units
from tablekit.engine.unit_table import (
    BASE_UNITS,
    KIND_OF,
    KINDS,
    SYMBOLS,
    UNITS,
    Dimension,
    convert,
    dimension_of_unit,
    factor,
    meaning,
)
from tablekit.engine.units import parse_quantity
from tests.together import each

# pint's own definitions in whole fractions: an independent table. Its pi has 50 figures.
PINT: "pint.UnitRegistry[Fraction]" = pint.UnitRegistry(non_int_type=Fraction)
PAIRS = [
    pair
    for kind, what in KINDS.items()
    if kind != "temperature"
    for pair in product(what.units, repeat=2)
]
# pint's names of the base quantities, in the order of the table.
BASES = (
    "[mass]", "[length]", "[time]", "[current]", "[temperature]", "[substance]", "[luminosity]",
)  # fmt: skip


@each(("start", "end"), PAIRS)
def test_every_pair_is_what_pint_says(start: str, end: str) -> None:
    expected = PINT.convert(Fraction(1), PINT.parse_units(start), PINT.parse_units(end))
    assert convert(Fraction(1), start, end) == expected


@each("name", UNITS)
def test_every_size_and_dimension_is_what_pint_says(name: str) -> None:
    unit = PINT.parse_units(name)
    of_one_degree = PINT.parse_units(f"delta_{name}") if UNITS[name].zero else unit
    # pint's base of mass is the gram by default, of which the coherent unit has a thousand.
    coherent = PINT.Quantity(Fraction(1), of_one_degree).to_base_units()
    assert coherent.magnitude == UNITS[name].size
    powers = dict(coherent.dimensionality)
    assert dimension_of_unit(name) == tuple(powers.pop(base, 0) for base in BASES)
    assert not powers  # and nothing else, such as a length of arc


def test_the_base_units_are_those_of_the_seven_exponents() -> None:
    for symbol, field in zip(BASE_UNITS, Dimension._fields, strict=True):
        assert UNITS[SYMBOLS[symbol]].size == 1
        assert dimension_of_unit(SYMBOLS[symbol]) == Dimension(**{field: 1})


SCALES = KINDS["temperature"].units


@each("number", [Fraction(-40), Fraction(0), Fraction(37), Fraction("98.6")])
@each(("start", "end"), [*product(SCALES, repeat=2)])
def test_scales_of_temperature_are_what_pint_says(start: str, end: str, number: Fraction) -> None:
    assert convert(number, start, end) == PINT.Quantity(number, start).to(end).magnitude


# What pint reads otherwise, because a person may mean another thing by it where the other thing is
# expected: C and F, minutes and seconds of arc, their marks; or because pint has something that
# nobody means here: MM is its megamolar, Nm a number of metres, amps attometres per second, dpt
# a tenth of a pint.
OTHERWISE = {
    "C", "F", "min", "sec", "'", '"', "deg C", "deg F", "° C", "° F", "MM", "Nm", "amps", "dpt",
}  # fmt: skip


@each("name", UNITS)
def test_every_spelling_that_pint_can_read_is_the_same_to_it(name: str) -> None:
    unit, read = PINT.parse_units(name), 0
    for spelling in UNITS[name].spellings:
        if spelling in OTHERWISE:
            continue
        try:
            theirs = PINT.parse_units(spelling.replace("·", "*"))
        except Exception:  # whatever its reader makes of "per cent"
            continue
        read += 1
        assert theirs.dimensionality == unit.dimensionality, spelling
        if not UNITS[name].zero:
            assert PINT.convert(Fraction(1), theirs, unit) == 1, spelling
    assert read


def test_every_unit_has_a_symbol_of_its_own() -> None:
    assert len(SYMBOLS) == len(UNITS) == len(KIND_OF) == len(known_units())
    for unit in UNITS.values():
        assert meaning(unit.symbol, "") == (KIND_OF[unit.name], unit.name)
        assert len(set(unit.spellings)) == len(unit.spellings)


def test_no_spelling_means_two_units_of_one_kind() -> None:
    for kind in KINDS.values():
        spellings = Counter(s for unit in kind.units.values() for s in unit.spellings)
        assert [s for s, count in spellings.items() if count > 1] == []


@each("name", UNITS)
def test_every_spelling_is_read_after_a_number(name: str) -> None:
    unit = UNITS[name]
    for spelling in unit.spellings:
        if spelling != "1":
            assert parse_quantity(f"6 {spelling}", unit.symbol) == 6, spelling


def test_the_units_to_offer_are_of_their_kind() -> None:
    for kind_name, kind in KINDS.items():
        for symbol in filter(None, kind.suggest):
            assert meaning(symbol, kind_name)[0] == kind_name


def test_a_unit_that_is_not_tabled_is_refused() -> None:
    for start, end in (("furlong", "inch"), ("inch", "furlong"), ("delisle", "degC")):
        with pytest.raises(KeyError):
            convert(Fraction(1), start, end)


def test_no_factor_between_scales_of_temperature() -> None:
    assert factor("K", "K") == 1.0
    for one, other in (("K", "degC"), ("degC", "degF"), ("degF", "K")):
        with pytest.raises(ValueError, match="no factor"):
            factor(one, other)
