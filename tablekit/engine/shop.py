"""Writing numbers for people: rounded to what can be marked or read, in the units they work in."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from tablekit.engine.trouble import RangeError
from tablekit.engine.unit_table import UNITS, convert, meaning

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity

_FRACTIONS = (2, 4, 8, 16, 32, 64)
_STEPS = (0.5, 1.0)
MINUS = "−"
_NOISE = 1e-12
_FIGURES = 4  # of a number for which there is no step
_FINEST_INCH = Fraction(1, 64)
_NOTHING = 1e-3  # mm, up to which a length counts as none
_LONG_RANGE = 50.0  # mm, from which the ends of a range are said in plain sizes


@dataclass(frozen=True)
class ShopStyle:
    """How a person wants to read quantities.

    display    "mm" (and N, kg) or "in" (and lbf, lb), each unit rounded to the step it is worked to
    fraction   the finest division of the inch: 2, 4, 8, 16, 32 or 64
    step_mm    the finest division in millimetres: 0.5 or 1
    own_units  show each quantity in its reporting unit instead, to four significant figures

    Raises RangeError for anything else.
    """

    display: Literal["mm", "in"] = "mm"
    fraction: int = 32
    step_mm: float = 0.5
    own_units: bool = False

    def __post_init__(self) -> None:
        self._check("display", self.display, ("mm", "in"))
        self._check("fraction", self.fraction, _FRACTIONS)
        self._check("step_mm", self.step_mm, _STEPS)

    @staticmethod
    def _check(name: str, found: object, allowed: tuple[object, ...]) -> None:
        if isinstance(found, bool) or found not in allowed:
            choices = ", ".join(str(one) for one in allowed)
            raise RangeError(f"{name} = {found!r} is not one of {choices}", name=name)


@dataclass(frozen=True)
class _Form:
    """How a unit is shown: pint's name of the unit shown, its label, and the step rounded to; a
    step of 0 stands for a number of significant figures."""

    shown: str
    label: str
    step: Fraction


def _form(shown: str, step: str, label: str = "") -> _Form:
    return _Form(shown, label or _label(shown), Fraction(step))


def _label(name: str) -> str:
    """The symbol as it stands after a number: " m²", " N·m", "°"."""
    symbol = UNITS[name].symbol
    if name in ("dimensionless", "degree"):
        return "" if name == "dimensionless" else "°"
    for plain, set_out in (("^2", "²"), ("^3", "³"), ("^4", "⁴"), ("*", "·"), ("deg", "°")):
        symbol = symbol.replace(plain, set_out)
    return f" {symbol}"


# Reporting unit, by pint's name -> form in metric style, form in inch style. Any other unit is
# shown as it is, to a few significant figures. A volume is known by its unit as well: small ones
# in cm³ or in³, large ones in m³ or ft³; so are areas. A thin film would be lost in half a
# millimetre, and in a 32nd of an inch.
_FORMS: dict[str, tuple[_Form, _Form]] = {
    "degree": (_form("degree", "1/100"),) * 2,
    "newton": (_form("newton", "1"), _form("pound_force", "1")),
    "kilogram": (_form("kilogram", "1/10"), _form("pound", "1/10")),
    "degC": (_form("degC", "1/10"), _form("degF", "1/10")),
    "percent": (_form("percent", "1/10"),) * 2,
    "kilogram/meter**3": (_form("kilogram/meter**3", "1"), _form("pound/foot**3", "1/10")),
    "megapascal": (_form("megapascal", "1/100"), _form("psi", "1")),
    "millimeter**2": (_form("centimeter**2", "1/10"), _form("inch**2", "1/100")),
    "meter**2": (_form("meter**2", "1/100"), _form("foot**2", "1/10")),
    "millimeter**3": (_form("centimeter**3", "1/10"), _form("inch**3", "1/100")),
    "meter**3": (_form("meter**3", "1/10000"), _form("foot**3", "1/1000")),
    "newton*meter": (_form("newton*meter", "1/10"), _form("pound_force*foot", "1/10")),
    "meter/second**2": (_form("meter/second**2", "1/100"), _form("foot/second**2", "1/100")),
    "meter/second": (_form("meter/second", "1/10"), _form("foot/second", "1")),
    "micrometer": (_form("micrometer", "1"), _form("thou", "1/10")),
    "newton/millimeter": (
        _form("newton/millimeter", "1/1000"),
        _form("pound_force/inch", "1/100"),
    ),
    "minute": (_form("minute", "1/10"),) * 2,
    "revolutions_per_minute": (_form("revolutions_per_minute", "100"),) * 2,
    "dimensionless": (_form("dimensionless", "1/1000"),) * 2,
}
_LENGTHS = ("millimeter", "centimeter", "inch", "foot")
# Tabulated coefficients are far less than one, and would be gone at a thousandth.
_SMALL_COUNT = _form("dimensionless", "1/100000")


def _form_for(unit: str, style: ShopStyle, number: float = 1.0) -> tuple[str, _Form]:
    _, start = meaning(unit, "")
    if style.own_units or (start not in _FORMS and start not in _LENGTHS):
        return start, _Form(start, _label(start), Fraction(0))
    if start in _LENGTHS:
        if style.display == "in":
            return start, _Form("inch", " in", Fraction(1, style.fraction))
        return start, _Form("millimeter", " mm", Fraction(style.step_mm))
    if start == "dimensionless" and 0 < abs(number) < 0.01:
        return start, _SMALL_COUNT
    return start, _FORMS[start][style.display == "in"]


def _step(value: Fraction, form: _Form) -> Fraction:
    if form.step:
        return form.step
    power = math.floor(math.log10(abs(value))) if value else 0
    return Fraction(10) ** (power - _FIGURES + 1)


def _nearest(value: Fraction, step: Fraction) -> Fraction:
    # A tie goes away from zero. Either way is equally near, but this one is what is taught, treats
    # left and right of a mark alike, and sends every tie on a rule the same way, where rounding to
    # even would send neighbouring ties apart. The nudge, a millionth of a step, keeps the noise of
    # a solver (735.2499999999999) from printing two equal parts differently.
    # In whole numbers throughout, which is the same and takes a fifth of the time.
    size, whole = abs(value.numerator) * step.denominator, value.denominator * step.numerator
    steps = (1_000_000 * size + 500_001 * whole) // (1_000_000 * whole)
    return steps * step if value >= 0 else -steps * step


def _rounded(number: float, unit: str, style: ShopStyle) -> tuple[Fraction, _Form, str]:
    start, form = _form_for(unit, style, number)
    value = convert(Fraction(number), start, form.shown)
    return _nearest(value, _step(value, form)), form, start


def shop_round(number: float, unit: str, style: ShopStyle) -> tuple[float, float]:
    """The number as it is worked to and the error (rounded less exact), both in `unit`.

    A number that is not finite comes back as it is, with no number for an error.
    """
    number = float(number)
    if not math.isfinite(number):
        return number, math.nan
    rounded, form, start = _rounded(number, unit, style)
    back = convert(rounded, form.shown, start)
    return float(back), float(back - Fraction(number))


def rule_step(style: ShopStyle) -> float:
    """The finest division that is marked, mm."""
    return 25.4 / style.fraction if style.display == "in" else style.step_mm


def shop_up(number: float, style: ShopStyle, hair: float = 1e-6) -> float:
    """A length in mm rounded up to what can be marked; by less than a hair it may stay short."""
    nearest, error = shop_round(number, "mm", style)
    return nearest + rule_step(style) if error < -hair else nearest


def shop_text_up(number: float, style: ShopStyle, hair: float = 1e-6) -> str:
    """What `shop_up` gives, as a person reads it."""
    return shop_text(shop_up(number, style, hair), "mm", style)


def plain_up(number: float, style: ShopStyle) -> float:
    """A length in mm rounded up to one that is plain to read: whole millimetres, eighths of an
    inch, or what is marked where that is coarser."""
    plain = replace(style, step_mm=max(1.0, style.step_mm), fraction=min(8, style.fraction))
    return shop_up(number, plain)


def shop_down(number: float, style: ShopStyle, hair: float = 1e-6) -> float:
    """A length in mm rounded down to what can be marked; by less than a hair it may be long."""
    nearest, error = shop_round(number, "mm", style)
    return nearest - rule_step(style) if error > hair else nearest


def shop_text_down(number: float, style: ShopStyle, hair: float = 1e-6) -> str:
    """What `shop_down` gives, as a person reads it."""
    return shop_text(shop_down(number, style, hair), "mm", style)


def shop_text(number: float, unit: str, style: ShopStyle, with_error: bool = False) -> str:
    """The number as a person reads it: "1131.5 mm", "28 15/16 in", "54.74°", "4.7 kΩ".

    with_error adds to a length how far the rounded size is from the exact one, in tenths of a
    millimetre or thousandths of an inch: "28 15/16 in (0.012 in over)".
    """
    number = float(number)
    if not math.isfinite(number):
        return "no value"
    rounded, form, start = _rounded(number, unit, style)
    if not form.step:
        return _shortest(float(rounded)) + form.label
    if form.shown == "minute":
        return duration_text(60 * number)
    text = (mixed(rounded) if form.shown == "inch" else _decimal(rounded)) + form.label
    if with_error and form.shown in ("inch", "millimeter"):
        text += f" ({_error(rounded - convert(Fraction(number), start, form.shown), form)})"
    return text


def _decimal(value: Fraction) -> str:
    # All steps are whole parts of a hundred thousand, so five places hold every value exactly.
    return _minus(f"{float(value):.5f}".rstrip("0").rstrip("."))


def plain_number(number: float, figures: int = 6) -> str:
    """A number without a unit as a message says it: "−3", "0.25"."""
    return _minus(f"{number:.{figures}g}")


def _minus(figures: str) -> str:
    """Figures with a minus sign, which is as wide as a digit and is not taken for a hyphen. A power
    of ten, as machines write it, keeps its hyphen."""
    return MINUS + figures[1:] if figures.startswith("-") else figures


def mixed(value: Fraction) -> str:
    """A whole number and a fraction, as on a rule: "2 1/16"."""
    whole, part = divmod(abs(value), 1)
    pieces = ([str(whole)] if whole or not part else []) + ([str(part)] if part else [])
    return (MINUS if value < 0 else "") + " ".join(pieces)


def _error(error: Fraction, form: _Form) -> str:
    places = 3 if form.shown == "inch" else 1
    if abs(error) < Fraction(1, 10**6):
        return "exact"
    side = "over" if error > 0 else "under"
    least = Fraction(1, 10**places)
    size = _nearest(abs(error), least)
    shown = f"{float(size):.{places}f}" if size else f"less than {float(least):.{places}f}"
    return f"{shown}{form.label} {side}"


def _shortest(value: float) -> str:
    """A number already rounded, with no zeros that say nothing."""
    digits, _, power = _significant(value, _FIGURES).partition("e")
    digits = digits.rstrip("0").rstrip(".") if "." in digits else digits
    return f"{digits}e{int(power)}" if power else digits


def _significant(value: float, figures: int) -> str:
    """A number of significant figures; very large and very small numbers with a power of ten."""
    if value == 0 or 1e-4 <= abs(value) < 1e7:
        places = figures - 1 - (math.floor(math.log10(abs(value))) if value else 0)
        text = f"{value:.{max(places, 0)}f}"
        return _minus(text.rstrip("0").rstrip(".") if "." in text else text)
    return _minus(f"{value:.{figures - 1}e}")


def area_text(number: float, style: ShopStyle) -> str:
    """An area in mm² as a person says it: "1.18 m²", below a tenth of one "940 cm²"; "13.6 ft²",
    below one "86 in²"."""
    if style.display == "in" and not style.own_units:
        inches = number / 25.4**2
        return f"{inches / 144:.1f} ft²" if inches >= 144 else f"{_significant(inches, 2)} in²"
    cm = number / 100
    return f"{cm / 1e4:.2f} m²" if cm >= 1000 else f"{_significant(cm, 2)} cm²"


def times(*lengths: str) -> str:
    """Lengths as they are read, with one unit for all of them: "63.5 × 63.5 mm"."""
    *first, last = lengths
    return " × ".join((*(one.rpartition(" ")[0] for one in first), last))


def told_apart(
    one: float, other: float, unit: str, style: ShopStyle, figures: Sequence[int] = (4, 6, 8)
) -> tuple[str, str]:
    """Two numbers to the first number of significant figures at which they read differently, or to
    the last where they never do."""
    return _apart(lambda n, most: figures_text(n, unit, style, most), one, other, figures)


def _apart(
    say: Callable[[float, int], str], one: float, other: float, figures: Sequence[int]
) -> tuple[str, str]:
    for most in figures:
        texts = say(one, most), say(other, most)
        if texts[0] != texts[1]:
            break
    return texts


def shown_unit(unit: str, style: ShopStyle) -> tuple[str, float]:
    """The unit that a number in `unit` is shown in, " in", and how many of it go to one `unit`; in
    metric style the unit itself."""
    start, form = _form_for(unit, style)
    if style.display == "mm":
        return _label(start), 1.0
    return form.label, float(UNITS[start].size / UNITS[form.shown].size)


def shown_scale(unit: str, style: ShopStyle) -> tuple[str, float, float]:
    """The scale that a temperature in `unit` is read on, "°F", what it reads at the zero of `unit`,
    and how many of its degrees go to one of those: 32 and 1.8."""
    start, form = _form_for(unit, style)
    here, there = UNITS[start], UNITS[form.shown]
    zero = (here.zero - there.zero) / there.size
    return form.label.strip(), float(zero), float(here.size / there.size)


def quantity_text(
    number: float, quantity: Quantity, style: ShopStyle, figures: int | None = None
) -> str:
    """A value of a quantity as a person says it, or to the number of figures given.

    As `quantity.said` has it: "77 %", "1 in 300", "37 s"; else a `fine` one to two figures, as is a
    length that is not made and is too small for a rule, others as `shop_text`, up where it is the
    `least` that will do.
    """
    if quantity.said and math.isfinite(number):
        return _SAID[quantity.said](float(number), figures or 3)
    if figures or (quantity.fine and quantity.unit != "mm"):
        return figures_text(number, quantity.unit, style, figures or 2)
    if quantity.fine or _slips_through(number, quantity, style):
        return fine_text(number, style)
    if quantity.least:
        return shop_text_up(number, style)
    return shop_text(number, quantity.unit, style)


def _slips_through(number: float, quantity: Quantity, style: ShopStyle) -> bool:
    """Whether a length that is not made would be read as nothing, though it is something."""
    if quantity.unit != "mm" or quantity.cut or style.own_units:
        return False
    return _NOTHING < abs(number) < rule_step(style) / 2


def fine_text(number: float, style: ShopStyle, figures: int = 2) -> str:
    """A length in mm that is smaller than a rule is divided: "0.66 mm"; in inches in thousandths
    up to a sixteenth, "26 thou", and above it in 64ths."""
    if style.display == "mm" or style.own_units or not math.isfinite(number):
        return figures_text(number, "mm", style, figures)
    inches = convert(Fraction(number), "millimeter", "inch")
    if abs(inches) < Fraction(1, 16) - Fraction(1, 10**6):
        thou = 0.0 if abs(number) < _NOISE else float(1000 * inches)
        # Of three and more nobody reads a tenth.
        few = 1 if figures <= 2 and 3 <= round(abs(thou), 9) < 9.5 else figures
        return f"{_significant(thou, few)} thou"
    return f"{mixed(_nearest(inches, _FINEST_INCH))} in"


def exact_text(number: float, style: ShopStyle) -> str:
    """A length in mm as it is measured on a single piece: to a tenth of a millimetre, "1115.4 mm",
    or to a 64th of an inch."""
    if style.display == "in":
        return shop_text(number, "mm", ShopStyle(display="in", fraction=64))
    return f"{number:.1f} mm"


def range_text(low: float, high: float, quantity: Quantity, style: ShopStyle) -> tuple[str, str]:
    """The ends of the range of a quantity as a person says them: of lengths in inches the nearest
    plain sizes within the range, so that "6 in" and "78 in" stand for 150 mm and 2000 mm."""
    texts = quantity_text(low, quantity, style), quantity_text(high, quantity, style)
    inches = quantity.unit == "mm" and style.display == "in" and not style.own_units
    if not inches or not math.isfinite(high - low) or high - low < _LONG_RANGE:
        return texts
    return _plain_inches(low, math.ceil), _plain_inches(high, math.floor)


def _plain_inches(number: float, rounded: Callable[[Fraction], int]) -> str:
    """A length in mm in whole inches, below four of them in quarters, below one in eighths."""
    inches = convert(Fraction(number), "millimeter", "inch")
    step = next(step for least, step in _PLAIN if abs(inches) >= least)
    return f"{mixed(rounded(inches / step) * step)} in"


_PLAIN = ((4, Fraction(1)), (1, Fraction(1, 4)), (0, Fraction(1, 8)))


def share_text(number: float, figures: int = 3) -> str:
    """A share as a percentage: "77.1 %"."""
    return f"{_significant(100 * number, figures)} %" if abs(number) > _NOISE else "0 %"


def slope_text(number: float, figures: int = 3) -> str:
    """A slope by how far it runs for one of rise: "1 in 300"."""
    return f"1 in {_significant(1 / number, figures)}" if abs(number) > _NOISE else "0"


def duration_text(seconds: float, figures: int = 3) -> str:
    """A time as it is said: "37 s", "4.5 min", "20 min", "2 h 50 min", "12 h"; to that
    number of figures of one unit where more than three are asked for."""
    size, unit = next(
        (size, unit) for size, unit, below in _CLOCK if abs(seconds) < below * (1 - _NOISE)
    )
    number = seconds / size
    if figures > 3 or (unit == "h" and abs(number) >= 10):
        return f"{_significant(number, figures)} {unit}"
    if unit != "h":
        return f"{_significant(number, max(2, len(str(round(abs(number))))))} {unit}"
    hours, minutes = divmod(round(abs(seconds) / 60), 60)
    said = f"{hours} h {minutes} min" if minutes else f"{hours} h"
    return f"{MINUS}{said}" if seconds < 0 else said


def in_money(number: float | Decimal) -> Decimal:
    """A sum of money to two decimals, halves away from zero: of the decimal number that a float
    stands for, to twelve figures, not of the float, which may be a little short of a half."""
    return Decimal(f"{number:.12g}").quantize(Decimal("0.01"), ROUND_HALF_UP)


def sum_text(number: float | Decimal, currency: str = "") -> str:
    """A sum of money with the currency behind it, as it is written; it may have none."""
    return f"{money_text(number)} {currency}".strip()


def money_text(number: float | Decimal) -> str:
    """A sum of money as it is written: "1,181.25"."""
    return f"{in_money(number):,}".replace("-", MINUS)


_CLOCK = ((1, "s", 90), (60, "min", 7200), (3600, "h", math.inf))

# How a quantity is said, by `Quantity.said`.
_SAID: dict[str, Callable[[float, int], str]] = {
    "share": share_text,
    "slope": slope_text,
    "seconds": duration_text,
    "minutes": lambda number, figures: duration_text(60 * number, figures),
    # What a quantity says can be typed again, and a brief takes no comma for thousands.
    "money": lambda number, figures: money_text(number).replace(",", ""),
}


def quantities_apart(
    one: float, other: float, quantity: Quantity, style: ShopStyle
) -> tuple[str, str]:
    """Two values of a quantity to as many figures as tell them apart."""
    if quantity.fine and quantity.unit == "mm":
        return _apart(lambda n, most: fine_text(n, style, most), one, other, (2, 3, 4, 6))
    if not quantity.said:
        return told_apart(one, other, quantity.unit, style)
    return _apart(lambda n, most: quantity_text(n, quantity, style, most), one, other, (3, 4, 6, 8))


def figures_text(number: float, unit: str, style: ShopStyle, figures: int = 6) -> str:
    """The number to a number of significant figures, not rounded further: "1152.6 mm".

    For working, where rounding comes last. Trailing zeros are dropped.
    """
    number = float(number)
    if not math.isfinite(number):
        return "no value"
    start, form = _form_for(unit, style)
    value = float(convert(Fraction(number), start, form.shown))
    # Noise of a solver about zero is zero to any reader; what is declared tiny is not noise.
    if form.step and abs(value) < _NOISE:
        value = 0.0
    return _significant(value, figures) + form.label
