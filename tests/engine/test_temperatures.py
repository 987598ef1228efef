"""A temperature in °C as a real one: kelvin in every formula, °C at the edge, °F where typed."""

from __future__ import annotations

import pytest

from tablekit.engine import (
    Constant,
    Network,
    Quantity,
    ShopStyle,
    Tolerance,
    change,
    parse_quantity,
    slopes,
    spread,
    sweep,
)
from tests.engine.small_networks import INVENTED, guess, relation

# CODATA 2018: the gas constant is 8.314462618 J/(mol K) to the figures printed; at 0 °C and one
# atmosphere a mole of ideal gas fills 22.41396954 L, at 0 °C and 100 kPa 22.71095464 L.
R = Constant("gas_constant", "R", 8.314462618, "J/(mol*K)", "", INVENTED)
PRESSURE = Quantity("pressure", "p", "kPa", "", 0.01, 1e4)
VOLUME = Quantity("volume", "V", "L", "", 0.01, 1e4)
AMOUNT = Quantity("amount", "n", "mol", "", 0.001, 1e4)
WARMTH = Quantity("temperature", "T", "degC", "", -200, 2000, cut=True)
p, V, n, T = (q.symbol for q in (PRESSURE, VOLUME, AMOUNT, WARMTH))
GAS = Network(
    "gas", [PRESSURE, VOLUME, AMOUNT, WARMTH], [relation("ideal gas", p * V, n * R.symbol * T)],
    [guess(AMOUNT, 1), guess(WARMTH, 293.15)], [R],
)  # fmt: skip
OWN = ShopStyle(own_units=True)


@pytest.mark.parametrize(("pressure", "litres"), [(101.325, 22.41396954), (100.0, 22.71095464)])
def test_the_molar_volume_of_an_ideal_gas(pressure: float, litres: float) -> None:
    found = GAS.solve({"pressure": pressure, "temperature": 0.0})
    assert found.number("volume") == pytest.approx(litres, rel=1e-9)
    back = GAS.solve({"pressure": pressure, "volume": litres, "amount": 1.0})
    assert back.number("temperature") == pytest.approx(0.0, abs=1e-6)
    assert back.si["temperature"] == pytest.approx(273.15, rel=1e-9)


def test_what_is_assumed_is_in_kelvin_and_shown_in_celsius() -> None:
    found = GAS.solve({"pressure": 100.0}, shop=OWN)
    assert found.number("temperature") == pytest.approx(20.0, abs=1e-12)
    assert found["temperature"].origin == "assumed" and found.shop("temperature") == "20 °C"
    assert found.to_json()["quantities"]["temperature"]["unit"] == "degC"


def test_a_formula_is_worked_in_kelvin() -> None:
    cold = GAS.solve({"pressure": 100.0, "temperature": parse_quantity("-4 °F", "degC")}, shop=OWN)
    text = cold.working("volume").text()
    assert "253.15 K" in text and "T = −20 °C" in text and "× −20" not in text  # -4 °F is -20 °C
    warm = GAS.solve({"pressure": 100.0, "volume": 25.0, "amount": 1.0}, shop=OWN)
    kelvin = 100e3 * 25e-3 / 8.314462618
    lines = [line.strip() for line in warm.working("temperature").text().splitlines()]
    assert lines[lines.index(f"= {kelvin:.3f} K") + 1] == f"= {kelvin - 273.15:.4f} °C"


def test_a_step_of_one_degree_is_one_kelvin() -> None:
    found = GAS.solve({"pressure": 100.0, "temperature": 0.0})
    litres_per_kelvin = found.number("volume") / 273.15  # V is in proportion to T
    slope = slopes(found, ["volume"], ["temperature"])["volume", "temperature"]
    assert slope == pytest.approx(litres_per_kelvin, rel=1e-12)
    answer = change(found, "volume", "temperature", 10.0)
    assert answer.actual == pytest.approx(10 * litres_per_kelvin, rel=1e-9)
    loose = spread(found, ["volume"], [Tolerance("temperature", 2.0, INVENTED)], samples=400)
    assert loose["volume"].plus_minus == pytest.approx(2 * litres_per_kelvin, rel=1e-9)
    low, high = loose["volume"].corners or (0, 0)
    assert (low, high) == pytest.approx(
        (found.number("volume") - 2 * litres_per_kelvin,
         found.number("volume") + 2 * litres_per_kelvin), rel=1e-9,
    )  # fmt: skip


def test_many_temperatures_at_once() -> None:
    many = sweep(GAS, {"pressure": 100.0, "temperature": [-273.2, -100.0, 0.0, 100.0]})
    assert many.ok.tolist() == [False, True, True, True]  # its range begins at -200 °C
    assert many["volume"][3] / many["volume"][2] == pytest.approx(373.15 / 273.15, rel=1e-12)
