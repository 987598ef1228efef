"""Wood in three airs: each the same equation, also turned round."""

from __future__ import annotations

import math

import pytest

from tablekit.engine.network import Network
from tablekit.engine.trouble import DesignError
from tablekit.relations import moisture
from tests.together import each


def network(air: moisture.AirQuantities) -> Network:
    mine = {quantity.name for quantity in air.quantities}
    declared = [r for r in moisture.relations() if mine & set(r.symbols)]
    return Network(air.name, air.quantities, declared, constants=moisture.CONSTANTS)


def by_plain_arithmetic(celsius: float, share: float) -> float:
    """Equation 4-5 of the Wood Handbook, typed again from its printed form; in per cent."""
    w = 349 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    k1 = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    k2 = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    kh = k * share
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + bound)


@each("air", moisture.AIRS, ids=lambda air: air.name)
@each("celsius", [-1.0, 10.0, 21.0, 35.0, 60.0])
@each("humidity", [8.0, 30.0, 65.0, 95.0])
def test_every_air_follows_the_equation(
    air: moisture.AirQuantities, celsius: float, humidity: float
) -> None:
    # Wood Handbook equation 4-5, typed in twice
    sheet = network(air).solve({air.temperature.name: celsius, air.humidity.name: humidity})
    expected = by_plain_arithmetic(celsius, humidity / 100)
    assert sheet.number(air.moisture.name) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("humidity", [10.0, 30.0, 50.0, 80.0])
def test_a_moisture_that_was_measured_finds_the_humidity(humidity: float) -> None:
    air = moisture.SHOP
    measured = by_plain_arithmetic(18, humidity / 100)
    sheet = network(air).solve({"shop_temperature": 18.0, "shop_moisture": measured})
    assert sheet.number("shop_humidity") == pytest.approx(humidity, rel=1e-9)


def test_damper_air_means_damper_wood_and_warmer_air_drier() -> None:
    # common practice, no source; and the shape of table 4-2
    damp = [by_plain_arithmetic(21, share / 100) for share in range(5, 96, 5)]
    warm = [by_plain_arithmetic(celsius, 0.5) for celsius in range(0, 61, 5)]
    assert damp == sorted(damp) and warm == sorted(warm, reverse=True)


def test_air_outside_the_table_is_refused() -> None:
    # Wood Handbook table 4-2 runs from 5 to 95 %
    for humidity in (3.0, 97.0):
        with pytest.raises(DesignError, match="driest_humidity"):
            network(moisture.DRIEST).solve(
                {"driest_temperature": 20.0, "driest_humidity": humidity}
            )


def test_assumed_airs_are_in_order() -> None:
    # common practice, no source: heated winter, damp summer, a shop between the two
    values = {a.quantity.name: float(a.value) for a in moisture.ASSUMPTIONS}
    found = {
        air.name: by_plain_arithmetic(values[air.temperature.name], values[air.humidity.name])
        for air in moisture.AIRS
    }
    assert 6 < found["driest"] < found["shop"] < found["dampest"] < 14
    assert all(math.isfinite(number) for number in found.values())
