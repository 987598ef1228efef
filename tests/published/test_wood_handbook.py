"""Moisture and movement against the Wood Handbook (FPL-GTR-190) and others' printed examples."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from functools import cache

import pytest

from tablekit.engine.network import Network
from tablekit.engine.units import parse_quantity
from tablekit.relations import moisture, movement
from tablekit.relations.quantities import top_diameter
from tablekit.shipped import reference_path
from tablekit.species import every_movement


def table(name: str) -> Iterator[dict[str, str]]:
    with open(reference_path(name), encoding="utf-8", newline="") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


@cache
def air() -> Network:
    """The driest air alone, from temperature and humidity to moisture."""
    declared = [r for r in moisture.relations() if any("driest" in name for name in r.symbols)]
    return Network("air", moisture.DRIEST.quantities, declared, constants=moisture.CONSTANTS)


def moisture_at(fahrenheit: float, humidity: float) -> float:
    celsius = parse_quantity(f"{fahrenheit} degF", "degC")
    sheet = air().solve({"driest_temperature": celsius, "driest_humidity": humidity})
    return sheet.number("driest_moisture")


@pytest.mark.witness(
    *moisture.relations(),
    "moisture_table.csv",
    by="Wood Handbook table 4-2, all 228 values",
    within="0.07 % of moisture",
)
def test_equation_4_5_gives_back_table_4_2() -> None:
    # Wood Handbook (FPL-GTR-190) table 4-2, 30 to 140 °F, read whole
    gaps = {
        (row["temperature_F"], row["relative_humidity_percent"]): abs(
            moisture_at(float(row["temperature_F"]), float(row["relative_humidity_percent"]))
            - float(row["emc_percent"])
        )
        for row in table("moisture_table.csv")
    }
    assert len(gaps) == 12 * 19
    worst = max(gaps, key=gaps.__getitem__)
    assert gaps[worst] <= 0.07
    assert worst == ("110", "95") and gaps[worst] == pytest.approx(0.0545, abs=5e-5)
    assert sum(gap > 0.05 for gap in gaps.values()) <= 7  # more than a rounding of the last figure


@pytest.mark.witness(
    "moisture_equation.csv", by="the constants in °C against those in °F", within="as the test says"
)
def test_the_constants_are_those_of_the_reference_table() -> None:
    # Wood Handbook, equation 4-5: constants quoted; °C and °F are two forms of one fit
    rows = {(row["unit"], row["symbol"]): row for row in table("moisture_equation.csv")}
    for letter, numbers in moisture.POLYNOMIALS.items():
        row = rows["C", letter]
        assert tuple(float(row[c]) for c in ("constant", "linear", "square")) == tuple(
            map(float, numbers)
        )
    for celsius in (0.0, 21.0, 40.0):
        for letter in moisture.POLYNOMIALS:
            values = []
            for unit, t in (("C", celsius), ("F", 32 + 1.8 * celsius)):
                row = rows[unit, letter]
                values.append(
                    float(row["constant"]) + float(row["linear"]) * t + float(row["square"]) * t**2
                )
            assert values[0] == pytest.approx(values[1], rel=5e-3), letter


def test_at_140_degrees_the_table_and_the_equation_agree() -> None:
    # Wood Handbook table 4-2 prints 8.4; a secondary page says 8.0 of it, and is mistaken
    (printed,) = (
        float(row["emc_percent"])
        for row in table("moisture_table.csv")
        if (row["temperature_F"], row["relative_humidity_percent"]) == ("140", "55")
    )
    assert printed == 8.4
    assert moisture_at(140, 55) == pytest.approx(8.37, abs=0.005)


NO_LINK = {"mahogany (true)", "teak", "western redcedar (22 % basis)"}


@pytest.mark.witness(
    movement.SHRINKAGE_FROM_COEFFICIENT,
    "movement.csv",
    by="Wood Handbook table 13-5 against table 4-3, 48 pairs",
    within="6.2e-6 per %",
)
def test_coefficients_follow_from_the_shrinkage() -> None:
    # Wood Handbook tables 13-5 and 4-3: C = S/(3000 − 20 S) for native woods
    relation = movement.SHRINKAGE_FROM_COEFFICIENT
    link = Network("link", [movement.movement_coefficient, movement.total_shrinkage], [relation])
    compared = 0
    for wood in every_movement().values():
        pairs = ((wood.radial, wood.shrinkage_radial), (wood.tangential, wood.shrinkage_tangential))
        for printed, shrinkage in pairs:
            if printed is None or shrinkage is None or wood.name in NO_LINK:
                continue
            found = link.solve({"total_shrinkage": shrinkage}).number("movement_coefficient")
            assert found == pytest.approx(printed, abs=6.2e-6), wood.name  # sycamore is the worst
            compared += 1
    assert compared == 48


def test_which_woods_do_not_follow_it() -> None:
    # Wood Handbook: cedar from 22 %, tropical woods from older data
    woods = every_movement()
    cedar = woods["western redcedar (22 % basis)"]
    for printed, s in (
        (cedar.radial, cedar.shrinkage_radial), (cedar.tangential, cedar.shrinkage_tangential)
    ):  # fmt: skip
        assert printed == pytest.approx(s / (2200 - 12 * s), abs=6e-6)
        assert abs(printed - s / (3000 - 20 * s)) > 1e-4
    for name in ("mahogany (true)", "teak"):
        wood = woods[name]
        linked = wood.shrinkage_tangential / (3000 - 20 * wood.shrinkage_tangential)
        assert abs(wood.tangential - linked) > 1e-4


def gain(width: str, coefficient: float, start: float, end: float, unit: str) -> float:
    """Equation 13-2 through the kit's own formula, in `unit`."""
    d, c = top_diameter.symbol, movement.season_rate.symbol
    dry, wet = moisture.DRIEST.moisture.symbol, moisture.DAMPEST.moisture.symbol
    right = movement.TOP_MOVEMENT.equation.rhs
    found = right.subs(
        {
            d: parse_quantity(width, unit), c: coefficient, dry: start / 100, wet: end / 100,
            moisture.ONE_PERCENT.symbol: 0.01, movement.top_factor.symbol: 1,
        }
    )  # fmt: skip
    return float(found)


@pytest.mark.witness(
    movement.TOP_MOVEMENT,
    by="Wood Handbook chapter 13, worked example",
    within="half a unit of the last figure",
)
def test_a_flat_sawn_board_of_white_fir() -> None:
    # Wood Handbook chapter 13, answer read (232 + 1.7 = 233.7 mm; 9.15 + 0.067 = 9.217 in);
    # C_T = 0.00245 and 8 to 11 % from memory
    assert gain("232 mm", 0.00245, 8, 11, "mm") == pytest.approx(1.7, abs=0.05)
    assert 232 + gain("232 mm", 0.00245, 8, 11, "mm") == pytest.approx(233.7, abs=0.05)
    assert gain("9.15 in", 0.00245, 8, 11, "in") == pytest.approx(0.067, abs=0.0005)


def test_strip_flooring() -> None:
    # Agriculture Handbook 72 as flooring layers print it, read there: 5 in × 3 × 0.00129 = 0.019 in
    assert gain("5 in", 0.00129, 6, 9, "in") == pytest.approx(0.019, abs=0.0005)


def test_a_drying_beam() -> None:
    # a university course problem, read: 13.25 in × 0.002 × 9 = 0.2385 in, 13.01 in left
    lost = -gain("13.25 in", 0.002, 19, 10, "in")
    assert lost == pytest.approx(0.2385, abs=0.00005)
    assert 13.25 - lost == pytest.approx(13.01, abs=0.005)


def test_a_flat_sawn_board_of_red_alder() -> None:
    # a woodworking magazine's worked example, read: 8 × 0.0026 × 6 = 0.1248 in
    assert gain("8 in", 0.0026, 6, 12, "in") == pytest.approx(0.1248, abs=0.00005)


def test_the_middling_hardwood_is_the_middle_of_the_table() -> None:
    # Wood Handbook table 13-5: the middle of the hardwoods carried here
    softwoods = ("pine", "fir", "cedar", "mahogany", "teak")
    hardwoods = sorted(
        wood.tangential
        for wood in every_movement().values()
        if wood.tangential and not any(word in wood.name for word in softwoods)
    )
    assert len(hardwoods) == 19
    assert float(movement.COEFFICIENT.value) == hardwoods[9]
    assert math.isclose(hardwoods[0] / hardwoods[9], 0.71, abs_tol=0.01)  # "two thirds as much"
    assert math.isclose(hardwoods[-1] / hardwoods[9], 1.37, abs_tol=0.01)  # "a third more"
