"""Writing numbers for the shop: rounded to what can be marked and cut, in the maker's units."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from tablekit.engine.trouble import RangeError
from tablekit.engine.unit_names import convert, meaning

_FRACTIONS = (2, 4, 8, 16, 32, 64)
_STEPS = (0.5, 1.0)


@dataclass(frozen=True)
class ShopStyle:
    """How a maker wants to read measures.

    display   "mm" (and N, kg) or "in" (and lbf, lb)
    fraction  the finest division of the inch: 2, 4, 8, 16, 32 or 64
    step_mm   the finest division in millimetres: 0.5 or 1

    Raises RangeError for anything else.
    """

    display: Literal["mm", "in"] = "mm"
    fraction: int = 32
    step_mm: float = 0.5

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
    """How a unit is shown: pint's name of the unit shown, its label, and the step rounded to."""

    shown: str
    label: str
    step: Fraction


def _form(shown: str, label: str, step: str) -> _Form:
    return _Form(shown, label, Fraction(step))


# Kind of measure -> form in metric style, form in inch style. Volumes are told by the reporting
# unit as well: a notch is shown in cm³ or in³, a whole top in m³ or ft³; so are areas. Tabulated
# coefficients are far less than one, and would be gone at a thousandth.
_FORMS: dict[str, tuple[_Form, _Form]] = {
    "angle": (_form("degree", "°", "1/100"),) * 2,
    "force": (_form("newton", " N", "1"), _form("pound_force", " lbf", "1")),
    "mass": (_form("kilogram", " kg", "1/10"), _form("pound", " lb", "1/10")),
    "temperature": (_form("degC", " °C", "1/10"), _form("degF", " °F", "1/10")),
    "percent": (_form("percent", " %", "1/10"),) * 2,
    "density": (
        _form("kilogram/meter**3", " kg/m³", "1"),
        _form("pound/foot**3", " lb/ft³", "1/10"),
    ),
    "pressure": (_form("megapascal", " MPa", "1/100"), _form("psi", " psi", "1")),
    "area": (_form("centimeter**2", " cm²", "1/10"), _form("inch**2", " in²", "1/100")),
    "volume": (_form("meter**3", " m³", "1/10000"), _form("foot**3", " ft³", "1/1000")),
    "small volume": (_form("centimeter**3", " cm³", "1/10"), _form("inch**3", " in³", "1/100")),
    "moment": (_form("newton*meter", " N·m", "1/10"), _form("pound_force*foot", " lbf·ft", "1/10")),
    "acceleration": (
        _form("meter/second**2", " m/s²", "1/100"),
        _form("foot/second**2", " ft/s²", "1/100"),
    ),
    "large area": (_form("meter**2", " m²", "1/100"), _form("foot**2", " ft²", "1/10")),
    "speed": (_form("meter/second", " m/s", "1/10"), _form("foot/second", " ft/s", "1")),
    # A film of glue is lost in half a millimetre, and in a 32nd of an inch.
    "film": (_form("micrometer", " µm", "1"), _form("thou", " thou", "1/10")),
    "time": (_form("minute", " min", "1/10"),) * 2,
    "turning": (_form("revolutions_per_minute", " rpm", "100"),) * 2,
    "count": (_form("dimensionless", "", "1/1000"),) * 2,
    "small count": (_form("dimensionless", "", "1/100000"),) * 2,
}


def _form_for(unit: str, style: ShopStyle, number: float = 1.0) -> tuple[str, _Form]:
    kind, start = meaning(unit, "")
    if start in ("micrometer", "thou"):
        kind = "film"
    elif kind == "length":
        if style.display == "in":
            return start, _Form("inch", " in", Fraction(1, style.fraction))
        return start, _Form("millimeter", " mm", Fraction(style.step_mm))
    elif start in ("millimeter**3", "centimeter**3", "inch**3"):
        kind = "small volume"
    elif start == "meter**2":
        kind = "large area"
    elif kind == "count" and 0 < abs(number) < 0.01:
        kind = "small count"
    return start, _FORMS[kind][style.display == "in"]


def _nearest(value: Fraction, step: Fraction) -> Fraction:
    # A tie goes away from zero. Either way is equally near, but this one is what is taught, treats
    # left and right of a mark alike, and sends every tie on a rule the same way, where rounding to
    # even would send neighbouring ties apart. The nudge, a millionth of a step, keeps the noise of
    # a solver (735.2499999999999) from printing two equal parts differently.
    steps = math.floor(abs(value) / step + Fraction(1, 2) + Fraction(1, 10**6))
    return steps * step if value >= 0 else -steps * step


def _rounded(number: float, unit: str, style: ShopStyle) -> tuple[Fraction, _Form, str]:
    start, form = _form_for(unit, style, number)
    return _nearest(convert(Fraction(number), start, form.shown), form.step), form, start


def shop_round(number: float, unit: str, style: ShopStyle) -> tuple[float, float]:
    """What the shop works to and its error (rounded less exact), both in `unit`.

    A number that is not finite comes back as it is, with no number for an error.
    """
    number = float(number)
    if not math.isfinite(number):
        return number, math.nan
    rounded, form, start = _rounded(number, unit, style)
    back = convert(rounded, form.shown, start)
    return float(back), float(back - Fraction(number))


def shop_text(number: float, unit: str, style: ShopStyle, with_error: bool = False) -> str:
    """The number as a maker reads it: "1131.5 mm", "28 15/16 in", "54.74°", "18.3 kg".

    with_error adds to a length how far the rounded size is from the exact one, in tenths of a
    millimetre or thousandths of an inch: "28 15/16 in (0.012 in over)".
    """
    number = float(number)
    if not math.isfinite(number):
        return "no value"
    rounded, form, start = _rounded(number, unit, style)
    figures = _mixed(rounded) if form.shown == "inch" else _decimal(rounded)
    text = figures + form.label
    if with_error and form.shown in ("inch", "millimeter"):
        text += f" ({_error(rounded - convert(Fraction(number), start, form.shown), form)})"
    return text


def _decimal(value: Fraction) -> str:
    # All steps are whole parts of a hundred thousand, so five places hold every value exactly.
    return f"{float(value):.5f}".rstrip("0").rstrip(".")


def _mixed(value: Fraction) -> str:
    whole, part = divmod(abs(value), 1)
    pieces = ([str(whole)] if whole or not part else []) + ([str(part)] if part else [])
    return ("-" if value < 0 else "") + " ".join(pieces)


def _error(error: Fraction, form: _Form) -> str:
    places = 3 if form.shown == "inch" else 1
    if abs(error) < Fraction(1, 10**6):
        return "exact"
    side = "over" if error > 0 else "under"
    least = Fraction(1, 10**places)
    size = _nearest(abs(error), least)
    shown = f"{float(size):.{places}f}" if size else f"less than {float(least):.{places}f}"
    return f"{shown}{form.label} {side}"


def figures_text(number: float, unit: str, style: ShopStyle, figures: int = 6) -> str:
    """The number to so many significant figures, unrounded for the shop: "1152.6 mm".

    For working, where rounding comes last. Trailing zeros are dropped.
    """
    number = float(number)
    if not math.isfinite(number):
        return "no value"
    start, form = _form_for(unit, style)
    value = float(convert(Fraction(number), start, form.shown))
    if value == 0 or 1e-4 <= abs(value) < 1e7:
        places = figures - 1 - (math.floor(math.log10(abs(value))) if value else 0)
        text = f"{value:.{max(places, 0)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = f"{value:.{figures - 1}e}"
        # Noise of a solver about zero is zero to any reader.
        text = "0" if abs(value) < 1e-12 else text
    return text + form.label
