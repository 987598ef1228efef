"""Writing measures for the shop, and reading them back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tablekit.engine import quantity
from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import fine_text, quantities_apart, quantity_text, range_text
from tablekit.engine.trouble import RangeError, UnitsError
from tablekit.engine.units import ShopStyle, parse_quantity, shop_round, shop_text
from tests.together import each

METRIC = ShopStyle()
OWN_UNITS = ShopStyle(own_units=True)
INCHES = ShopStyle(display="in")


@each("unit", quantity.known_units())
def test_every_reporting_unit_can_be_read_and_written(unit: str) -> None:
    text = "6" if unit == "1" else f"6 {unit}"
    assert parse_quantity(text, unit) == 6
    for style in (METRIC, INCHES, OWN_UNITS):
        assert parse_quantity(shop_text(6.0, unit, style), unit) == pytest.approx(
            shop_round(6.0, unit, style)[0], rel=1e-12, abs=1e-12
        )


SHOWN = [
    # number, unit, metric, inches (arithmetic on the exact factors above)
    (735.0, "mm", "735 mm", "28 15/16 in"),
    (1131.37, "mm", "1131.5 mm", "44 17/32 in"),
    (28.875 * 25.4, "mm", "733.5 mm", "28 7/8 in"),
    (25.4, "mm", "25.5 mm", "1 in"),
    (15.875, "mm", "16 mm", "5/8 in"),
    (0.1, "mm", "0 mm", "0 in"),
    (-0.1, "mm", "0 mm", "0 in"),
    (-31.75, "mm", "−32 mm", "−1 1/4 in"),
    (-6.35, "mm", "−6.5 mm", "−1/4 in"),
    (54.7356, "deg", "54.74°", "54.74°"),
    (60.0, "deg", "60°", "60°"),
    (-4.125, "deg", "−4.13°", "−4.13°"),
    (140.2, "N", "140 N", "32 lbf"),
    (18.1436948, "kg", "18.1 kg", "40 lb"),
    (21.0, "degC", "21 °C", "69.8 °F"),
    (30.04, "%", "30 %", "30 %"),
    (620.4, "kg/m^3", "620 kg/m³", "38.7 lb/ft³"),
    (12000.0, "MPa", "12000 MPa", "1740453 psi"),
    (6.0, "1", "6", "6"),
    (0.33333, "1", "0.333", "0.333"),
    (645.16, "mm^2", "6.5 cm²", "1 in²"),
    (16387.064, "mm^3", "16.4 cm³", "1 in³"),
    (0.028316846592, "m^3", "0.0283 m³", "1 ft³"),
    (100.0, "N*m", "100 N·m", "73.8 lbf·ft"),
    (9.80665, "m/s^2", "9.81 m/s²", "32.17 ft/s²"),
    (math.nan, "mm", "no value", "no value"),
]


@each(("number", "unit", "metric", "inches"), SHOWN)
def test_writes_what_a_maker_reads(number: float, unit: str, metric: str, inches: str) -> None:
    assert shop_text(number, unit, METRIC) == metric
    assert shop_text(number, unit, INCHES) == inches


@pytest.mark.parametrize(
    ("number", "unit", "metric", "inches"),
    [
        # arithmetic: 1 m is 3.28084 ft (SP 811 B.8)
        (0.00274, "1", "0.00274", "0.00274"),
        (0.4, "1", "0.4", "0.4"),
        (2.5, "m^2", "2.5 m²", "26.9 ft²"),
        (15.96, "m/s", "16 m/s", "52 ft/s"),
        (10.0, "min", "10 min", "10 min"),
        (150.0, "µm", "150 µm", "5.9 thou"),  # 0.15 mm is 0.0059 in
        (23980.0, "rpm", "24000 rpm", "24000 rpm"),
        (21.0, "degC", "21 °C", "69.8 °F"),
    ],
)
def test_coefficients_areas_speeds_and_temperatures(
    number: float, unit: str, metric: str, inches: str
) -> None:
    assert shop_text(number, unit, METRIC) == metric
    assert shop_text(number, unit, INCHES) == inches


@each(
    ("number", "unit", "text"),
    [
        # four significant figures, in the reporting unit
        (4712.4, "Ω", "4712 Ω"),
        (4.7, "kΩ", "4.7 kΩ"),
        (0.012345, "A", "0.01235 A"),
        (47e-9, "F", "4.7e-8 F"),
        (12.0, "V", "12 V"),
        (-3.14159, "V", "−3.142 V"),
        (0.0, "V", "0 V"),
        (99999.0, "W", "100000 W"),
        (3.844e8, "m", "3.844e8 m"),
        (293.15, "K", "293.2 K"),
        (0.6, "W/(m*K)", "0.6 W/(m·K)"),
        (1.2e-5, "1/K", "1.2e-5 1/K"),
        (500.0, "lx", "500 lx"),
    ],
)
def test_what_has_no_step_is_shown_in_its_own_unit(number: float, unit: str, text: str) -> None:
    for style in (METRIC, INCHES, OWN_UNITS):
        assert shop_text(number, unit, style) == text
    back = parse_quantity(text, unit, signed=True)
    assert back == pytest.approx(shop_round(number, unit, METRIC)[0], rel=1e-12, abs=0)
    assert abs(back - number) <= 5e-4 * abs(number)


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        (735.04, "mm", "735 mm"),
        (0.020321, "kg", "0.02032 kg"),
        (0.5, "N", "0.5 N"),
        (0.10132, "MPa", "0.1013 MPa"),
        (54.7356, "deg", "54.74°"),
        (21.04, "degC", "21.04 °C"),
        (2.5, "mm^2", "2.5 mm²"),
    ],
)
def test_own_units_are_those_of_the_declaration(number: float, unit: str, text: str) -> None:
    assert shop_text(number, unit, OWN_UNITS) == text


@pytest.mark.parametrize(
    ("number", "style", "expected"),
    [
        (735.0, INCHES, "28 15/16 in (less than 0.001 in over)"),
        (736.0, INCHES, "28 31/32 in (0.008 in under)"),
        (736.6, INCHES, "29 in (exact)"),
        (735.3, METRIC, "735.5 mm (0.2 mm over)"),
        (735.2, ShopStyle(step_mm=1), "735 mm (0.2 mm under)"),
        (735.04, METRIC, "735 mm (less than 0.1 mm under)"),
        (735.5, METRIC, "735.5 mm (exact)"),
        (-20.3, METRIC, "−20.5 mm (0.2 mm under)"),
    ],
)
def test_says_how_far_the_rounded_size_is_out(
    number: float, style: ShopStyle, expected: str
) -> None:
    assert shop_text(number, "mm", style, with_error=True) == expected


def test_a_tie_goes_away_from_zero_even_through_the_noise_of_a_solver() -> None:
    assert shop_round(735.25, "mm", METRIC) == (735.5, 0.25)
    assert shop_round(735.75, "mm", METRIC) == (736.0, 0.25)
    assert shop_round(-735.25, "mm", METRIC) == (-735.5, -0.25)
    assert shop_round(735.2499999999999, "mm", METRIC)[0] == 735.5
    assert shop_round(735.249, "mm", METRIC)[0] == 735.0
    sixty_fourth = 25.4 / 64  # a tie on a rule divided into 32
    assert shop_round(sixty_fourth, "mm", INCHES)[0] == 25.4 / 32
    assert shop_round(3 * sixty_fourth, "mm", INCHES)[0] == 25.4 / 16


STYLES = st.builds(
    ShopStyle,
    display=st.sampled_from(["mm", "in"]),
    fraction=st.sampled_from([2, 4, 8, 16, 32, 64]),
    step_mm=st.sampled_from([0.5, 1.0]),
)


@settings(max_examples=300, deadline=None)
@given(number=st.floats(-3000, 3000), style=STYLES)
def test_a_length_read_back_is_within_half_a_division(number: float, style: ShopStyle) -> None:
    division = 25.4 / style.fraction if style.display == "in" else style.step_mm
    back = parse_quantity(shop_text(number, "mm", style), "mm", signed=True)
    rounded, error = shop_round(number, "mm", style)
    assert abs(back - number) <= division / 2 * (1 + 1e-5)
    assert back == rounded
    assert error == pytest.approx(rounded - number, abs=1e-9)
    steps = rounded / division
    assert steps == pytest.approx(round(steps), abs=1e-6)


# Largest step any form rounds to, in the reporting unit.
COARSEST = {
    "deg": 0.01, "N": 4.4482216152605, "kg": 0.1, "degC": 0.1, "%": 0.1, "kg/m^3": 1.602,
    "MPa": 0.01, "mm^2": 10.0, "mm^3": 164.0, "m^3": 1e-4, "N*m": 0.1356, "m/s^2": 0.01, "1": 1e-3,
}  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(unit=st.sampled_from(sorted(COARSEST)), size=st.floats(0, 100), style=STYLES)
def test_other_measures_read_back_too(unit: str, size: float, style: ShopStyle) -> None:
    back = parse_quantity(shop_text(size, unit, style), unit)
    assert abs(back - size) <= COARSEST[unit] / 2 * 1.0001
    assert back == pytest.approx(shop_round(size, unit, style)[0], rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("field", "value"),
    [("fraction", 3), ("fraction", 0), ("fraction", 128), ("step_mm", 0.25), ("step_mm", True),
     ("display", "cm")],
)  # fmt: skip
def test_a_style_outside_the_choices_is_refused(field: str, value: object) -> None:
    with pytest.raises(RangeError, match=f"{field} = .* is not one of"):
        ShopStyle(**{field: value})  # type: ignore[arg-type]


# -- as a person says it -------------------------------------------------------------------------

SAID = [
    # value, said as, text: arithmetic, and how a clock is read (common practice, no source)
    (0.7714, "share", "77.1 %"),
    (1.0, "share", "100 %"),
    (12.5, "share", "1250 %"),
    (0.004, "share", "0.4 %"),
    (-0.25, "share", "−25 %"),
    (0.0, "share", "0 %"),
    (1 / 300, "slope", "1 in 300"),
    (0.1, "slope", "1 in 10"),
    (0.0, "slope", "0"),
    (37.4, "seconds", "37 s"),
    (4.26, "seconds", "4.3 s"),
    (89.0, "seconds", "89 s"),
    (90.0, "seconds", "1.5 min"),
    (1200.0, "seconds", "20 min"),
    (20.2, "minutes", "20 min"),
    (119.0, "minutes", "119 min"),
    (120.0, "minutes", "2 h"),
    (480.0, "minutes", "8 h"),
    (150.0, "minutes", "2 h 30 min"),
    (172.2, "minutes", "2 h 52 min"),
    (750.0, "minutes", "12.5 h"),
    (0.1, "minutes", "6 s"),
    (12.5, "money", "12.50"),
    (1002.675, "money", "1002.68"),  # a half goes up, though its float is a little short of it
    (-0.4, "money", "−0.40"),
]


@each(("number", "said", "text"), SAID)
def test_a_plain_number_is_said_as_a_person_says_it(number: float, said: str, text: str) -> None:
    quantity = Quantity("used", "u", "1", "for this test", -100, 1e6, said=said)
    assert quantity_text(number, quantity, METRIC) == text


@each(("number", "said", "text"), SAID)
def test_a_share_and_a_slope_are_read_as_they_are_said(number: float, said: str, text: str) -> None:
    read = parse_quantity(text, "1", signed=True, said=said)
    assert read == pytest.approx(number, rel=0.02 if said in ("seconds", "minutes") else 1e-3)
    assert parse_quantity("0.5", "1", said=said) == 0.5  # the plain number still is


@each("text", ["1 in 0", "1 in", "in 300", "80 % %", "1/3 in 4", "5 mm"])
@each("said", ["", "share", "slope", "seconds"])
def test_what_is_no_share_and_no_slope_is_refused(text: str, said: str) -> None:
    with pytest.raises(UnitsError):
        parse_quantity(text, "1", said=said)


def test_a_time_is_said_by_the_clock_whatever_it_is_the_time_of() -> None:
    assert [shop_text(x, "min", METRIC) for x in (1 / 6, 10.0, 480.0)] == ["10 s", "10 min", "8 h"]
    own = ShopStyle(own_units=True)
    assert [shop_text(x, "min", own) for x in (10.0, 150.0)] == ["10 min", "150 min"]


def test_a_time_in_powers_of_ten_is_a_plain_number() -> None:
    assert parse_quantity("1e3", "1", "lap_time", said="seconds") == 1000.0
    with pytest.raises(UnitsError, match=r"lap_time = .*is a length"):
        parse_quantity("5 mm", "1", "lap_time", said="seconds")


def test_a_minus_is_a_minus_and_is_read_again_as_one() -> None:
    for unit in ("mm", "deg", "N", "kg", "degC", "%"):
        for style in (METRIC, INCHES):
            text = shop_text(-200.0, unit, style)
            assert text.startswith("−") and "-" not in text
            assert parse_quantity(text, unit, signed=True) == pytest.approx(-200.0, rel=0.01)


def test_two_shares_that_read_alike_are_told_apart() -> None:
    used = Quantity("used", "u", "1", "for this test", 0, 10, said="share")
    assert quantities_apart(1.0004, 1.0, used, METRIC) == ("100.04 %", "100 %")
    cup = Quantity("cup", "f", "mm", "an invented cup", 0, 50, fine=True)
    assert quantities_apart(0.3114, 0.3, cup, METRIC) == ("0.31 mm", "0.3 mm")
    # 12.26 and 11.81 thousandths of an inch.
    assert quantities_apart(0.3114, 0.3, cup, INCHES) == ("12.3 thou", "11.8 thou")


@pytest.mark.parametrize(("unit", "said"), [("1", "loudly"), ("mm", "share")])
def test_a_quantity_is_said_in_no_other_way(unit: str, said: str) -> None:
    with pytest.raises(ValueError, match="said as"):
        Quantity("used", "u", unit, "for this test", 0, 10, said=said)


@pytest.mark.parametrize(
    ("number", "metric", "inches"),
    [
        # 25.4 mm to the inch; thousandths below a sixteenth, 64ths above it (common practice, no
        # source: how they are said)
        (0.0254, "0.025 mm", "1 thou"),
        (0.1956, "0.2 mm", "8 thou"),  # 7.70: a tenth of a thou is not read
        (0.6604, "0.66 mm", "26 thou"),
        (-0.6604, "−0.66 mm", "−26 thou"),
        (1.5, "1.5 mm", "59 thou"),
        (1.5875, "1.6 mm", "1/16 in"),
        (8.1, "8.1 mm", "5/16 in"),  # 20.4 sixty-fourths
        (8.4, "8.4 mm", "21/64 in"),
        (0.0, "0 mm", "0 thou"),
    ],
)
def test_a_fine_length_as_it_is_said(number: float, metric: str, inches: str) -> None:
    assert (fine_text(number, METRIC), fine_text(number, INCHES)) == (metric, inches)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (150.0, 2000.0, ("6 in", "78 in")),  # 5.906 in and 78.74 in
        (10.0, 300.0, ("1/2 in", "11 in")),  # 0.394 in and 11.81 in
        (-400.0, 50.0, ("−15 in", "1 3/4 in")),  # 15.75 in and 1.969 in
        (25.4, 76.2, ("1 in", "3 in")),
        (0.0, 10.0, ("0 in", "13/32 in")),  # a short one, as it is
    ],
)
def test_a_range_in_inches_is_said_in_plain_sizes_within_it(low, high, said) -> None:
    size = Quantity("size", "a", "mm", "a size", -1000, 5000)
    found = range_text(low, high, size, INCHES)
    assert found == said
    ends = [parse_quantity(one.replace("−", "-"), "mm", signed=True) for one in found]
    assert high - low < 50 or low - 1e-9 <= ends[0] < ends[1] <= high + 1e-9
    assert range_text(150.0, 2000.0, size, METRIC) == ("150 mm", "2000 mm")
    lean = Quantity("lean", "b", "deg", "a lean", 1, 89)
    assert range_text(1.0, 89.0, lean, INCHES) == ("1°", "89°")


# -- lengths that are not made, and the least that will do -------------------------------------


@pytest.mark.parametrize(
    ("number", "made", "style", "said"),
    [
        (0.18, False, ShopStyle(), "0.18 mm"),
        (0.18, True, ShopStyle(), "0 mm"),  # there is no such mark
        (0.0, False, ShopStyle(), "0 mm"),
        (1e-9, False, ShopStyle(), "0 mm"),  # what arithmetic leaves
        (-0.18, False, ShopStyle(), "−0.18 mm"),
        (0.3, False, ShopStyle(), "0.5 mm"),
        (0.155, False, ShopStyle("in"), "6 thou"),  # 0.155/25.4 = 0.00610
    ],
)
def test_what_is_there_is_not_told_as_nothing(
    number: float, made: bool, style: ShopStyle, said: str
) -> None:
    movement = Quantity("movement", "m", "mm", "some movement", -10, 10, cut=made)
    assert quantity_text(number, movement, style) == said


@pytest.mark.parametrize(
    ("number", "style", "said"),
    [
        (13.18, ShopStyle(), "13.5 mm"),
        (13.0, ShopStyle(), "13 mm"),
        (13.0 + 1e-9, ShopStyle(), "13 mm"),
        (13.18, ShopStyle("in"), "17/32 in"),  # 0.5189 in lies between 16/32 and 17/32
    ],
)
def test_the_least_that_will_do_is_rounded_up(number: float, style: ShopStyle, said: str) -> None:
    room = Quantity("room", "r", "mm", "room for something", 0, 100, least=True)
    assert quantity_text(number, room, style) == said
