"""Quantities and constants: their units against pint, their symbols, their ranges."""

from __future__ import annotations

import numpy as np
import pint
import pytest
import sympy as sp

from tablekit.engine.quantity import Constant, Dimension, Quantity, known_units, unit_size
from tests.engine.small_networks import INVENTED, quantity
from tests.together import each

SCALES = {"degC", "degF"}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@each("unit", sorted({*known_units()} - SCALES))
def test_size_agrees_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    # pint 0.25 definitions, an independent table of units
    # pint's dpt is a tenth of a pint
    spelled = {"1": "dimensionless", "%": "percent", "deg": "degree", "dpt": "1/m"}.get(unit, unit)
    coherent = registry.Quantity(1, spelled).to_base_units()
    assert coherent.magnitude == pytest.approx(unit_size(unit), rel=1e-14)


@each("unit", sorted({*known_units()} - SCALES))
def test_to_si_and_back(unit: str) -> None:
    of = quantity("x", 0, 100, unit)
    numbers = np.array([0.0, 1.0, 37.125, 99.9])
    assert of.from_si(of.to_si(numbers)) == pytest.approx(numbers, rel=1e-15)
    assert of.to_si(1.0) == unit_size(unit)


@pytest.mark.parametrize("unit", sorted(SCALES))
def test_a_temperature_is_in_kelvin_inside(unit: str, registry: pint.UnitRegistry) -> None:
    of = quantity("x", -40, 1000, unit)
    numbers = np.array([-40.0, 0.0, 37.0, 451.0])
    in_kelvin = registry.Quantity(numbers, unit).to("kelvin").magnitude
    assert of.to_si(numbers) == pytest.approx(in_kelvin, rel=1e-15)
    assert of.from_si(of.to_si(numbers)) == pytest.approx(numbers, abs=1e-12)
    step = registry.Quantity(1, f"delta_{unit}").to("kelvin").magnitude
    assert of.scale == unit_size(unit) == pytest.approx(step, rel=1e-15)
    assert of.dimension == Dimension(temperature=1)
    assert of.symbol.is_positive  # though its range in `unit` begins below zero
    water = Constant("melting_point", "T_0", 0.0, "degC", "", INVENTED)
    assert (water.si, water.dimension) == (273.15, Dimension(temperature=1))


def test_a_reading_of_a_scale_is_the_plain_number() -> None:
    of = Quantity("warmth", "T", "degC", "", -40, 50, reading=True)
    assert (of.scale, of.zero, of.dimension) == (1.0, 0.0, Dimension())
    assert of.to_si(21.0) == of.from_si(21.0) == 21.0
    assert of.symbol.is_real and of.symbol.is_positive is None


def test_the_airs_of_the_kit_are_readings() -> None:
    """Formulas for moisture are fitted to readings in °C, and data stay in degC."""
    from tablekit.relations.moisture import AIRS

    for air in AIRS:
        assert (air.temperature.unit, air.temperature.scale) == ("degC", 1.0)
        assert air.temperature.reading and air.temperature.dimension == Dimension()


@pytest.mark.parametrize("name", ["_slack_0", "_x", "__class__"])
def test_a_name_of_the_engines_own_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match=f"{name}: names that begin with an underscore are the"):
        Quantity(name, "x", "1", "", 0, 1)
    with pytest.raises(ValueError, match="leave it off"):
        Constant(name, "x", 1.0, "1", "", INVENTED)


def test_a_constant_of_an_unknown_unit_is_refused() -> None:
    with pytest.raises(ValueError, match=r"g: unit 'cubit' is not one of"):
        Constant("g", "g", 1.0, "cubit", "", INVENTED)


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
    assert stress.dimension == Dimension(mass=1, length=-1, time=-2)
    assert stress.symbol.is_positive
    assert stress.tex == r"\sigma"


def test_standard_gravity_and_the_millimetre() -> None:
    # CGPM 3 (1901): 9.80665 m/s², exactly; also scipy.constants.g, from CODATA
    from scipy.constants import g, milli

    from tablekit.relations.quantities import MILLIMETRE, STANDARD_GRAVITY

    assert STANDARD_GRAVITY.si == g
    assert MILLIMETRE.si == milli


def test_a_formula_is_written_with_the_quantities_themselves():
    """As with their symbols: sympy's own expressions are what is expected."""
    length = Quantity("length", "L", "mm", "a length", 0, 100)
    width = Quantity("width", "w", "mm", "a width", 0, 100)
    x, y = length.symbol, width.symbol
    assert 2 * length + 1 == 2 * x + 1
    assert 3 - length / width == 3 - x / y
    assert (1 + length) * 2 == (1 + x) * 2
    assert 1 / length - width == 1 / x - y
    assert -(length**2) == -(x**2)
    assert sp.sqrt(3) * length * sp.sin(width) == sp.sqrt(3) * x * sp.sin(y)
    assert sp.Min(length, width) == sp.Min(x, y)
    assert sp.Eq(length, width, evaluate=False).free_symbols == {x, y}
