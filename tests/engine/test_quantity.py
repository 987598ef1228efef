"""Quantities and constants: their units against pint, their symbols, their ranges."""

from __future__ import annotations

import numpy as np
import pint
import pytest

from tablekit.engine.quantity import Constant, Quantity, known_units, unit_dimension, unit_size
from tests.engine.small_networks import INVENTED, quantity


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", sorted({*known_units()} - {"degC"}))
def test_size_and_dimension_agree_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    # pint 0.25 definitions, an independent table of units
    spelled = {"1": "dimensionless", "%": "percent", "deg": "degree"}.get(unit, unit)
    coherent = registry.Quantity(1, spelled).to_base_units()
    # pint's base of length, mass, time and angle is m, kg, s, rad; a radian has no dimension
    exponents = {"[mass]": 0, "[length]": 0, "[time]": 0, **dict(coherent.dimensionality)}
    assert coherent.magnitude == pytest.approx(unit_size(unit), rel=1e-14)
    assert unit_dimension(unit) == (
        exponents["[mass]"], exponents["[length]"], exponents["[time]"],
    )  # fmt: skip
    assert set(exponents) == {"[mass]", "[length]", "[time]"}


def test_a_temperature_is_the_reading_of_a_celsius_scale() -> None:
    assert (unit_size("degC"), unit_dimension("degC")) == (1.0, (0, 0, 0))


@pytest.mark.parametrize("unit", known_units())
def test_to_si_and_back(unit: str) -> None:
    of = quantity("x", 0, 100, unit)
    numbers = np.array([0.0, 1.0, 37.125, 99.9])
    assert of.from_si(of.to_si(numbers)) == pytest.approx(numbers, rel=1e-15)
    assert of.to_si(1.0) == unit_size(unit)


def test_the_symbol_knows_the_sign_of_its_range() -> None:
    assert quantity("x", 1, 2).symbol.is_positive
    zero_allowed = quantity("x", 0, 2).symbol
    assert zero_allowed.is_nonnegative and zero_allowed.is_positive is None
    either = quantity("x", -1, 2).symbol
    assert either.is_real and either.is_nonnegative is None


def test_one_name_is_one_symbol() -> None:
    assert quantity("x", 1, 2).symbol is quantity("x", 5, 9).symbol
    assert quantity("x", 1, 2).symbol != quantity("x", -1, 2).symbol


def test_an_unknown_unit_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"width: unit 'cubit' is not one of .*'mm'"):
        Quantity("width", "w", "cubit", "", 1, 2)
    with pytest.raises(KeyError):
        unit_size("cubit")


@pytest.mark.parametrize(("low", "high"), [(2, 2), (3, 2), (float("nan"), 2)])
def test_an_empty_range_is_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match=r"width: range .* is empty"):
        Quantity("width", "w", "mm", "", low, high)


def test_latex_falls_back_to_the_letter() -> None:
    assert quantity("x").tex == "x"
    assert Quantity("lean", "θ", "deg", "", 1, 2, latex=r"\theta").tex == r"\theta"


def test_a_constant_in_coherent_units() -> None:
    stress = Constant("stress", "σ", 3.0, "MPa", "", INVENTED, latex=r"\sigma")
    assert stress.si == 3e6
    assert stress.dimension == (1, -1, -2)
    assert stress.symbol.is_positive
    assert stress.tex == r"\sigma"


def test_standard_gravity_and_the_millimetre() -> None:
    # CGPM 3 (1901): 9.80665 m/s², exactly; also scipy.constants.g, from CODATA
    from scipy.constants import g, milli

    from tablekit.relations.quantities import MILLIMETRE, STANDARD_GRAVITY

    assert STANDARD_GRAVITY.si == g
    assert MILLIMETRE.si == milli
