"""The table of unit sizes against pint, exactly."""

from fractions import Fraction
from itertools import product

import pint
import pytest

from tablekit.engine.unit_names import KINDS, exact_factor
from tablekit.engine.unit_sizes import ratio

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
    assert ratio(start, end) == expected == exact_factor(start, end)


def test_what_is_not_tabled_is_left_to_pint() -> None:
    assert ratio("yard", "inch") is None
    assert ratio("inch", "yard") is None
    assert exact_factor("yard", "inch") == 36
    assert ratio("degC", "degF") is None
