"""The table of unit sizes against pint, exactly."""

from fractions import Fraction
from itertools import product

import pint
import pytest

from tablekit.engine.unit_names import KINDS
from tablekit.engine.unit_sizes import ratio, reading

# pint's own definitions in whole fractions: an independent table. Its pi has 50 figures.
PINT: "pint.UnitRegistry[Fraction]" = pint.UnitRegistry(non_int_type=Fraction)
PAIRS = [
    pair
    for kind, what in KINDS.items()
    if kind != "temperature"
    for pair in product(what.units or {"dimensionless": ""}, repeat=2)
]


@pytest.mark.parametrize(("start", "end"), PAIRS)
def test_every_pair_is_what_pint_says(start: str, end: str) -> None:
    expected = PINT.convert(Fraction(1), PINT.parse_units(start), PINT.parse_units(end))
    assert ratio(start, end) == expected


@pytest.mark.parametrize("number", [Fraction(-40), Fraction(0), Fraction(37), Fraction("98.6")])
@pytest.mark.parametrize(("start", "end"), [*product(("degC", "degF"), repeat=2)])
def test_scales_of_temperature_are_what_pint_says(start: str, end: str, number: Fraction) -> None:
    assert reading(number, start, end) == PINT.Quantity(number, start).to(end).magnitude


def test_a_unit_that_is_not_tabled_is_refused() -> None:
    for start, end in (("furlong", "inch"), ("inch", "furlong")):
        with pytest.raises(KeyError):
            ratio(start, end)
    with pytest.raises(KeyError):
        reading(Fraction(1), "kelvin", "degC")
