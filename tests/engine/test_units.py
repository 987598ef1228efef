"""Reading measures as a maker types them, and the factors between units."""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tablekit.engine import quantity
from tablekit.engine.trouble import DesignError, RangeError, UnitsError
from tablekit.engine.unit_table import convert
from tablekit.engine.units import (
    factor,
    half_last_figure,
    parse_quantity,
)
from tests.together import each

# International yard and pound agreement of 1959, as in NIST SP 811 (2008) appendix B.8; from
# memory. All of these are exact there.
EXACT_FACTORS = [
    ("in", "mm", "25.4"),
    ("ft", "mm", "304.8"),
    ("lb", "kg", "0.45359237"),
    ("lbf", "N", "4.4482216152605"),
    ("oz", "g", "28.349523125"),
    ("kgf", "N", "9.80665"),
]
# NIST SP 811 (2008) appendix B.8, printed to seven figures; from memory.
PRINTED_FACTORS = [
    ("psi", "kPa", 6.894757, 5e-7),
    ("lb/ft^3", "kg/m^3", 16.01846, 5e-6),
    ("lbf*ft", "N*m", 1.355818, 5e-7),
    ("ft^2", "m^2", 0.09290304, 5e-9),
    ("in^3", "mm^3", 16387.06, 5e-3),
    ("ft^3", "m^3", 0.02831685, 5e-9),
    ("deg", "rad", 0.01745329, 5e-9),
]


@each(("start", "end", "printed"), EXACT_FACTORS)
def test_exact_factors_of_the_yard_and_pound_agreement(start: str, end: str, printed: str) -> None:
    assert factor(start, end) == float(printed)
    assert parse_quantity(f"1 {start}", end) == float(printed)


def test_the_inch_is_a_whole_fraction_inside() -> None:
    assert convert(Fraction(1), "inch", "millimeter") == Fraction(
        127, 5
    )  # 25.4 exactly, SP 811 B.8


@each(("start", "end", "printed", "tolerance"), PRINTED_FACTORS)
def test_printed_factors(start: str, end: str, printed: float, tolerance: float) -> None:
    assert factor(start, end) == pytest.approx(printed, abs=tolerance, rel=0)


READ = [
    # SI prefixes; an hour is 3600 s, so 1 kWh is 3.6 MJ and 1 Ah 3600 C
    ("12 V", "V", 12.0),
    ("230 mV", "V", 0.23),
    ("4.7 kΩ", "Ω", 4700.0),
    ("4.7 k\N{OHM SIGN}", "Ω", 4700.0),
    ("4.7 kohm", "Ω", 4700.0),
    ("2.2MΩ", "kΩ", 2200.0),
    ("20 mA", "A", 0.02),
    ("47 µF", "µF", 47.0),
    ("47 uF", "nF", 47000.0),
    ("10 F", "F", 10.0),
    ("3 C", "C", 3.0),
    ("2 Ah", "C", 7200.0),
    ("5 J", "J", 5.0),
    ("1 kWh", "MJ", 3.6),
    ("60 W", "W", 60.0),
    ("50 Hz", "Hz", 50.0),
    ("500 lx", "lx", 500.0),
    ("550 nm", "µm", 0.55),
    ("0.6 W/(m·K)", "W/(m*K)", 0.6),
    ("4.19 kJ/(kg K)", "J/(kg*K)", 4190.0),
    ("0.25 L", "cm^3", 250.0),
    ("90 km/h", "m/s", 25.0),
    ("100 cm⁴", "mm^4", 1e6),
    # 0 °C is 273.15 K, by the definition of the scale
    ("300 K", "K", 300.0),
    ("300 \N{KELVIN SIGN}", "K", 300.0),
    ("20 °C", "K", 293.15),
    ("0 K", "degC", -273.15),
    ("68 °F", "K", 293.15),
    ("21 C", "degC", 21.0),
    ("70 F", "degC", (70 - 32) / 1.8),
    # a thousandth of an inch is 25.4 µm; an hour is 60 minutes
    ("6 thou", "µm", 152.4),
    ("150 µm", "mm", 0.15),
    ("150 μm", "µm", 150.0),
    ("1.5 h", "min", 90.0),
    ("90 s", "min", 1.5),
    ("30 min", "deg", 0.5),
    ("24000 rpm", "rpm", 24000.0),
    ("100 ft/s", "m/s", 30.48),
    ("70 degF", "degC", 21.11111111111111),
    # what is typed, reporting unit, what it is (arithmetic on the exact factors above)
    ("735 mm", "mm", 735.0),
    ("735mm", "mm", 735.0),
    ("  735   mm ", "mm", 735.0),
    ("735\u00a0mm", "mm", 735.0),
    ("735\u202fmm", "mm", 735.0),
    ("+735 mm", "mm", 735.0),
    ("735 millimetres", "mm", 735.0),
    ("73.5 cm", "mm", 735.0),
    ("1.2 m", "mm", 1200.0),
    (".5 m", "mm", 500.0),
    ("1 m 20 cm", "mm", 1200.0),
    ("1e3 mm", "mm", 1000.0),
    ("0 mm", "mm", 0.0),
    ("29 in", "mm", 736.6),
    ("29 inches", "mm", 736.6),
    ("29 in.", "mm", 736.6),
    ("5/8 in", "mm", 15.875),
    ("⅝ in", "mm", 15.875),
    ("2 1/2 in", "mm", 63.5),
    ("2½″", "mm", 63.5),
    ("1/3 in", "mm", 127 / 15),
    ("⅓ in", "mm", 127 / 15),
    ("3 ft", "mm", 914.4),
    ("3'", "mm", 914.4),
    ("2.5 ft", "mm", 762.0),
    ("29 in", "in", 29.0),
    ("54.74 deg", "deg", 54.74),
    ("54.74°", "deg", 54.74),
    ("54.74 degrees", "deg", 54.74),
    ("54° 44' 8\"", "deg", 54 + 44 / 60 + 8 / 3600),
    ("54°44′8″", "deg", 54 + 44 / 60 + 8 / 3600),
    ("30'", "deg", 0.5),
    ("0.955 rad", "deg", math.degrees(0.955)),
    ("140 N", "N", 140.0),
    ("0.14 kN", "N", 140.0),
    ("32 lbf", "N", 32 * 4.4482216152605),
    ("18 kg", "kg", 18.0),
    ("500 g", "kg", 0.5),
    ("40 lb", "kg", 18.1436948),
    ("40 lb 8 oz", "kg", 40.5 * 0.45359237),
    ("21 degC", "degC", 21.0),
    ("21 °C", "degC", 21.0),
    ("21℃", "degC", 21.0),
    ("70 degF", "degC", (70 - 32) / 1.8),
    ("-40 °F", "degC", -40.0),
    ("-5 degC", "degC", -5.0),
    ("30 %", "%", 30.0),
    ("30%", "%", 30.0),
    ("620 kg/m^3", "kg/m^3", 620.0),
    ("620 kg/m3", "kg/m^3", 620.0),
    ("620 kg/m³", "kg/m^3", 620.0),
    ("0.62 g/cm³", "kg/m^3", 620.0),
    ("39 lb/ft^3", "kg/m^3", 39 * 0.45359237 / 0.3048**3),
    ("12 GPa", "MPa", 12000.0),
    ("700 kPa", "MPa", 0.7),
    ("100 psi", "MPa", 100 * 4.4482216152605 / 645.16),
    ("5 N m", "N*m", 5.0),
    ("5 N·m", "N*m", 5.0),
    ("6", "1", 6.0),
    (" 6 ", "1", 6.0),
    ("1/2", "1", 0.5),
    (6, "1", 6.0),
    (0.25, "1", 0.25),
]


@each(("text", "unit", "expected"), READ)
def test_reads_what_a_maker_types(text: object, unit: str, expected: float) -> None:
    assert parse_quantity(text, unit) == pytest.approx(expected, rel=1e-15, abs=0)


@each(
    "text",
    [
        "28 7/8 in", "28-7/8 in", '28-7/8"', "28 - 7/8 in", "28⅞ in", "28 ⅞″", "28⅞”", "28 7⁄8 in",
        "28.875 in", "231/8 in", '2\' 4 7/8"', "2' 4⅞\"", "2′4⅞″", "2’ 4 7/8”", "2'-4 7/8\"",
        "2 ft 4 7/8 in", "2ft 4 7/8in", "2 feet 4 7/8 inches", "2' 4 7/8''", "2\u00a0ft 4⅞\u00a0in",
        "28\u20097/8\u2009in", "73.3425 cm", "0.733425 m",
    ],
)  # fmt: skip
def test_every_way_of_writing_one_length_is_the_same_to_the_last_bit(text: str) -> None:
    assert parse_quantity(text, "mm") == 28.875 * 25.4  # 28 7/8 in at 25.4 mm exactly


EXAMPLES = '"735 mm" or "29 in"'

REFUSED = [
    # what is typed, reporting unit, the whole message after "post_length = "
    ("735", "mm", '"735" has no unit: write 735 mm, 73.5 cm or 28 15/16 in'),
    (735, "mm", '735 has no unit: write "735 mm", "73.5 cm" or "28 15/16 in"'),
    ("29", "mm", '"29" has no unit: write 29 mm, 29 cm or 29 in, whichever you mean'),
    ("28 7/8", "mm", '"28 7/8" has no unit: write 28 7/8 mm, 28 7/8 cm or 28 7/8 in, '
     "whichever you mean"),
    (2.5, "mm", '2.5 has no unit: write "2.5 mm", "2.5 cm" or "2.5 in", whichever you mean'),
    (math.nan, "mm", "nan has no unit: write a number and mm, cm, m, in, or ft and in"),
    ("54.74", "deg", '"54.74" has no unit: write 54.74 deg'),
    ("30", "%", '"30" has no unit: write 30 %'),
    (30, "%", '30 has no unit: write "30 %"'),
    ("18", "kg", '"18" has no unit: write 18 kg or 18 lb, whichever you mean'),
    ("21", "degC", '"21" has no unit: write 21 degC or 21 degF, whichever you mean'),
    ("2' 4", "mm", '"2\' 4" has no unit after 4; write it as in ' + EXAMPLES),
    ("5 6 mm", "mm", '"5 6 mm" has no unit after 5; write it as in ' + EXAMPLES),
    ("18 kg", "mm", '"18 kg" is a mass; expected a length: mm, cm, m, in, or ft and in'),
    ("5 in²", "mm", '"5 in²" is an area; expected a length: mm, cm, m, in, or ft and in'),
    ("5 lb", "N", '"5 lb" is a mass; expected a force: N, kN or lbf'),
    ("5 mm", "deg", '"5 mm" is a length; expected an angle: deg or rad'),
    ("21°", "degC", '"21°" is an angle; expected a temperature: degC or degF'),
    ("6 mm", "1", '"6 mm" is a length; expected a plain number: no unit at all'),
    ("600 %", "1", '"600 %" is a percentage; expected a plain number: no unit at all'),
    ("5 furlongs", "mm", '"5 furlongs" has "furlongs", not a unit known here; expected a length: '
     "mm, cm, m, in, or ft and in"),
    ("5 m/min", "mm", '"5 m/min" has "m/min", not a unit known here; expected a length: '
     "mm, cm, m, in, or ft and in"),
    ("5 mm*mm", "mm", '"5 mm*mm" has "mm*mm", not a unit known here; expected a length: '
     "mm, cm, m, in, or ft and in"),
    ("5 mm**2", "mm", '"5 mm**2" has "mm**2", not a unit known here; expected a length: '
     "mm, cm, m, in, or ft and in"),
    ("9**9**9 mm", "mm", '"9**9**9 mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("(1 mm)**9", "mm", '"(1 mm)**9" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("mm*mm", "mm", '"mm*mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("mm", "mm", '"mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("", "mm", '"" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("  ", "kg", '"" is not a quantity; expected a mass, such as "6 kg"'),
    ("--5 mm", "mm", '"--5 mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("nan mm", "mm", '"nan mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("inf mm", "mm", '"inf mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("٣ mm", "mm", '"٣ mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("5\x00mm", "mm", '"5?mm" is not a quantity; expected a length, such as ' + EXAMPLES),
    ("5 mm 6 mm", "mm", '"5 mm 6 mm" is several quantities; expected one, such as ' + EXAMPLES),
    ("4 in 2 ft", "mm", '"4 in 2 ft" is several quantities; expected one, such as ' + EXAMPLES),
    ("2 ft 40 mm", "mm", '"2 ft 40 mm" is several quantities; expected one, such as ' + EXAMPLES),
    ("2' 14\"", "mm", '"2\' 14"" has a whole foot or more in its inch part'),
    ("2.5' 3\"", "mm", '"2.5\' 3"" has a fraction before its last unit: foot must be whole'),
    ("1/0 in", "mm", '"1/0 in" has a fraction over nothing, 1/0'),
    ("28 7/0 in", "mm", '"28 7/0 in" has a fraction over nothing, 7/0'),
    ("28 9/8 in", "mm", '"28 9/8 in" has a whole number beside 9/8, which is itself 1 or more'),
    ("73,5 cm", "mm", '"73,5 cm" has a comma, which may mean a decimal or thousands: write a point '
     "for decimals (73.5) and nothing for thousands (1200)"),
    ("7" * 61, "mm", f'"{"7" * 59}…" is too long for a quantity: 60 characters will do for any'),
    (True, "1", 'True is not a text; write a plain number as "6"'),
    (None, "mm", 'None is not a text; write a length as ' + EXAMPLES),
    ([735, "mm"], "mm", "[735, 'mm'] is not a text; write a length as " + EXAMPLES),
    (math.nan, "1", "nan is not a number; expected a plain number such as 6"),
    (math.inf, "1", "inf is not a number; expected a plain number such as 6"),
]  # fmt: skip


@each(("text", "unit", "message"), REFUSED)
def test_refuses_in_the_makers_words(text: object, unit: str, message: str) -> None:
    with pytest.raises(UnitsError) as caught:
        parse_quantity(text, unit, "post_length")
    assert str(caught.value) == f"post_length = {message}"
    assert caught.value.name == "post_length"
    assert message.startswith(caught.value.found)
    assert caught.value.expected


IMPOSSIBLE = [
    ("-3 mm", "mm", '"-3 mm" is negative; expected a length of zero or more', -3.0),
    ("−3 mm", "mm", '"−3 mm" is negative; expected a length of zero or more', -3.0),
    (-1, "1", "-1 is negative; expected a plain number of zero or more", -1.0),
    # the zero of the Kelvin scale is -273.15 °C or -459.67 °F
    ("-274 °C", "degC", '"-274 °C" is below absolute zero', -274.0),
    ("-460 °F", "degC", '"-460 °F" is below absolute zero', (-460 - 32) / 1.8),
    ("-1 K", "K", '"-1 K" is below absolute zero', -1.0),
]


@each(("text", "unit", "message", "found"), IMPOSSIBLE)
def test_refuses_what_no_quantity_is(text: object, unit: str, message: str, found: float) -> None:
    with pytest.raises(RangeError) as caught:
        parse_quantity(text, unit, "q")
    assert str(caught.value) == f"q = {message}"
    assert caught.value.found == pytest.approx(found)
    assert caught.value.low is not None and caught.value.high is not None
    assert not caught.value.low <= found <= caught.value.high


def test_a_large_number_is_read_as_it_is() -> None:
    assert parse_quantity("384400 km", "m") == 3.844e8
    assert parse_quantity("1e99 mm", "mm") == 1e99


def test_a_number_beyond_what_a_float_holds_is_refused() -> None:
    with pytest.raises(UnitsError, match="a number of many figures has no unit: write a number"):
        parse_quantity(10**5000, "mm")
    with pytest.raises(RangeError, match="q = a number of many figures is too large to calculate"):
        parse_quantity(10**5000, "1", "q")


def test_a_negative_length_is_read_where_it_may_be_one() -> None:
    assert parse_quantity("-1 1/4 in", "mm", signed=True) == -31.75
    assert parse_quantity("-54° 30'", "deg", signed=True) == -54.5


def test_a_message_without_a_name_begins_with_the_text() -> None:
    with pytest.raises(UnitsError, match=r'^"735" has no unit'):
        parse_quantity("735", "mm")


@settings(max_examples=300, deadline=None)
@given(
    text=st.one_of(
        st.text(max_size=70),
        st.text(alphabet="0123456789 ./-'\"°⅞½″mcinftlbkgNradeC%^*()²³,+", max_size=30),
    ),
    unit=st.sampled_from([*quantity.known_units(), "degC"]),
)
@example("1/0", "1")
@example("²", "mm")
@example("⅟0 in", "mm")
@example("1⅟ in", "mm")
def test_any_text_is_read_or_refused_with_a_message(text: str, unit: str) -> None:
    try:
        number = parse_quantity(text, unit, "name")
    except DesignError as trouble:
        assert str(trouble).startswith("name = ")
    else:
        assert math.isfinite(number)


def test_text_is_never_evaluated(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sympy.sympify", lambda *_: pytest.fail("sympify was called"))
    monkeypatch.setattr(
        "pint.UnitRegistry.parse_expression", lambda *_, **__: pytest.fail("pint read free text")
    )
    # Last, since pint evaluates text of its own while it is first imported.
    monkeypatch.setattr("builtins.eval", lambda *_: pytest.fail("eval was called"))
    for text in ("9**9 mm", "__import__('os')", "735 mm", "2' 4 7/8\"", "70 degF"):
        try:
            parse_quantity(text, "degC" if "F" in text else "mm")
        except UnitsError:
            assert "*" in text or "_" in text


def test_importing_does_not_load_pint() -> None:
    code = "import sys, tablekit.engine.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("54.74 deg", "deg", 0.005),
        ("3.0 m3", "m^3", 0.05),
        ("6", "1", 0.5),
        ("1.2e3 mm", "mm", 50.0),
        ("28 7/8 in", "mm", 25.4 / 16),
        ("0.2385 in", "mm", 0.00005 * 25.4),
        ("70 degF", "degC", 0.5 / 1.8),
    ],
)
def test_half_of_the_last_figure_printed(text: str, unit: str, expected: float) -> None:
    assert half_last_figure(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("start", "end"), [("mm", "kg"), ("degC", "degF"), ("mm", "furlong")])
def test_no_factor_between_what_cannot_be_converted(start: str, end: str) -> None:
    with pytest.raises(ValueError, match="no factor from"):
        factor(start, end)
