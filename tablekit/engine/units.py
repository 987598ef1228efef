"""Reading a quantity as a person types it: 735 mm, 28-7/8", 2' 4 7/8", 54° 44' 8", 21 °C.

The text is taken apart here, piece by piece, against a list of what it may contain; it is never
handed to anything that evaluates expressions. A power of ten (1.2e3 mm) is read too, since
published tables print it so. Writing quantities is in `shop.py`.
"""

from __future__ import annotations

import math
import re
import reprlib
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from numbers import Real

from tablekit.engine.shop import ShopStyle, figures_text, shop_round, shop_text
from tablekit.engine.trouble import RangeError, UnitsError
from tablekit.engine.unit_table import KINDS, Kind, convert, factor, meaning, spelling_at
from tablekit.engine.wording import listed

__all__ = [
    "ShopStyle",
    "factor",
    "figures_text",
    "half_last_figure",
    "parse_quantity",
    "shop_round",
    "shop_text",
    "units_in",
]

# Long enough for any quantity; short enough that no text can keep the reader busy.
LONGEST = 60

_MARKS = str.maketrans(
    {
        **dict.fromkeys("’‘′´`", "'"),
        **dict.fromkeys("”“″", '"'),
        **dict.fromkeys("−–", "-"),  # minus sign and dash: typesetters' hyphens
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("⋅∙", "·"),
        "º": "°",
        "℃": "°C",
        "℉": "°F",
        "²": "^2",
        "³": "^3",
        "⁴": "^4",
        "\N{OHM SIGN}": "\N{GREEK CAPITAL LETTER OMEGA}",
        "\N{KELVIN SIGN}": "K",
    }
)
_NUMBER = re.compile(
    r"(?P<whole>[0-9]+)(?: ?- ?| )(?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+)"
    r"|(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2}(?![0-9]))?)"
)
_DECIMAL = r"[0-9]+(?:\.[0-9]+)?"
_SAID_AS = {
    "share": re.compile(rf"(?P<number>-?{_DECIMAL}) ?%"),
    "slope": re.compile(rf"(?P<number>-?{_DECIMAL}) in (?P<of>{_DECIMAL})"),
}
_HUGE = Fraction(10) ** 300  # nearly the largest that a float holds
# Units that may follow one another in one text, largest first.
_LADDERS = (
    ("foot", "inch"),
    ("meter", "centimeter", "millimeter"),
    ("degree", "arcminute", "arcsecond"),
    ("pound", "ounce"),
    ("hour", "minute", "second"),
)


@dataclass(frozen=True)
class _Asked:
    """What was asked for and found, so that every message can say both."""

    kind: Kind
    kind_name: str
    name: str
    found: str

    def error(self, what: str) -> UnitsError:
        given = f"{self.name} = {self.found}" if self.name else self.found
        return UnitsError(
            f"{given} {what}", name=self.name, found=self.found, expected=self.kind.expected
        )

    def not_a_quantity(self) -> UnitsError:
        return self.error(f"is not a quantity; expected {self.kind.noun}, such as {self.example()}")

    def example(self) -> str:
        if self.kind.suggest[0] == "mm":
            return '"735 mm" or "29 in"'
        return f'"{_written("6", self.kind.suggest[0])}"'

    def no_unit(self, number: str, alone: bool = True) -> UnitsError:
        if not alone:
            return self.error(f"has no unit after {number}; write it as in {self.example()}")
        # A bare number in a file must also be turned into a text, so the quotes are shown.
        mark = "" if self.found.startswith('"') else '"'
        return self.error(f"has no unit: write {_suggestion(number, self.kind, mark)}")


@dataclass(frozen=True)
class _Part:
    """One number of a text, pint's name of its unit, and how the number was written."""

    number: Fraction
    unit: str
    printed: re.Match[str]


def parse_quantity(
    text: object, unit: str, name: str = "", *, signed: bool = False, said: str = ""
) -> float:
    """The number in `unit` that `text` says.

    text    what was typed; a bare number is taken only where `unit` is "1"
    unit    any spelling on the list, usually a quantity's reporting unit; "1" for a count
    name    the quantity's name, to begin the message with
    signed  whether it may be negative; a temperature may always be, down to absolute zero
    said    how a plain number may be said as well, as `Quantity.said` has it: 80 %, 1 in 300, 37 s

    Raises UnitsError where the text is no quantity or one of another kind, and RangeError where it
    is negative, below absolute zero or too large for a float; KeyError for a `unit` not on the
    list, which is no fault of whoever typed the text.
    """
    kind_name, end = meaning(unit, "")
    asked = _Asked(KINDS[kind_name], kind_name, name, _shown(text))
    as_said = _as_said(text, name, said) if isinstance(text, str) else None
    if as_said is not None:
        value = as_said
    elif isinstance(text, str):
        value = _read(text, asked, end)
    elif isinstance(text, Real) and not isinstance(text, bool):
        value = _bare(text, asked)
    else:
        raise asked.error(f"is not a text; write {asked.kind.noun} as {asked.example()}")
    _refuse_impossible(value, asked, end, signed)
    return float(value)


def has_no_unit(text: str) -> bool:
    """Whether what was typed is a number alone: 29, 1.5 or 2 1/2."""
    try:
        parse_quantity(text, "1", signed=True)
    except (UnitsError, RangeError):
        return False
    return True


def units_in(text: str, unit: str) -> frozenset[str]:
    """The units, by pint's names, of a text that says a quantity of the kind of `unit`; empty where
    it says anything else."""
    kind_name, _ = meaning(unit, "")
    line = _tidy(text[: LONGEST + 1])
    if len(line) > LONGEST:
        return frozenset()
    try:
        parts = _parts(
            line, 1 if line[:1] in ("-", "+") else 0, _Asked(KINDS[kind_name], kind_name, "", text)
        )
    except UnitsError:
        return frozenset()
    return frozenset(part.unit for part in parts)


def half_last_figure(text: str, unit: str) -> float:
    """Half a unit of the last figure printed in `text`, in `unit`: how near a check must come.

    "54.74 deg" gives 0.005, "1.2e3 mm" 50, "28 7/8 in" a sixteenth of an inch. Of several numbers
    the last counts. Raises what `parse_quantity` raises.
    """
    kind_name, end = meaning(unit, "")
    asked = _Asked(KINDS[kind_name], kind_name, "", _shown(text))
    line = _tidy(text)
    part = _parts(line, 1 if line[:1] in ("-", "+") else 0, asked)[-1]
    printed = part.printed
    if printed["decimal"] is None:
        step = Fraction(1, int(printed["under"] or printed["bottom"]))
    else:
        figures, _, power = printed["decimal"].lower().partition("e")
        step = Fraction(10) ** (int(power or 0) - len(figures.partition(".")[2]))
    # The difference of two readings, so that the zero point of a temperature drops out.
    return float(convert(step / 2, part.unit, end) - convert(Fraction(0), part.unit, end))


def _shown(text: object) -> str:
    """The text as a message may show it: short, on one line, in straight quotes."""
    if isinstance(text, int) and text.bit_length() > 200:
        return "a number of many figures"
    if isinstance(text, Real):
        return str(text)
    if not isinstance(text, str):
        return reprlib.repr(text)
    line = " ".join(text[: LONGEST + 1].split())
    plain = "".join(c if c.isprintable() else "?" for c in line)
    return f'"{plain}"' if len(plain) <= LONGEST else f'"{plain[: LONGEST - 1]}…"'


def _tidy(text: str) -> str:
    """One spelling of each mark, single plain spaces, ⅞ as 7/8."""
    pieces = []
    for character in text:
        # Set off by a space before it is spelled out: 28⅞ must not become 287/8.
        if unicodedata.decomposition(character).startswith("<fraction>"):
            character = " " + unicodedata.normalize("NFKC", character)
        pieces.append(character)
    plain = "".join(pieces).translate(_MARKS).replace("''", '"')
    return " ".join(plain.split())


def _read(text: str, asked: _Asked, end: str) -> Fraction:
    if len(text) > LONGEST:
        raise asked.error(f"is too long for a quantity: {LONGEST} characters will do for any")
    if "," in text:
        raise asked.error(
            "has a comma, which may mean a decimal or thousands: write a point for decimals (73.5) "
            "and nothing for thousands (1200)"
        )
    line = _tidy(text)
    sign = -1 if line.startswith("-") else 1
    parts = _parts(line, 1 if line[:1] in ("-", "+") else 0, asked)
    # The sign goes inside: -5 degF is not what 5 degF is in degC, made negative.
    return sum((convert(sign * part.number, part.unit, end) for part in parts), Fraction(0))


def _as_said(text: str, name: str, said: str) -> Fraction | None:
    """The number that a share, a slope or a time says; None where it is said in no such way."""
    line = _tidy(text[:LONGEST])
    if said in ("seconds", "minutes") and re.search(r"[A-Za-z]", _NUMBER.sub("", line)):
        asked = _Asked(KINDS["time"], "time", name, _shown(text))
        return _read(text, asked, "second" if said == "seconds" else "minute")
    match = _SAID_AS[said].fullmatch(line) if said in _SAID_AS else None
    if match is None:
        return None
    over = Fraction(match["of"]) if said == "slope" else Fraction(100)
    return Fraction(match["number"]) / over if over else None


def _parts(line: str, place: int, asked: _Asked) -> list[_Part]:
    """The numbers with pint names of their units, checked to go together."""
    parts: list[_Part] = []
    while place < len(line):
        place = _skip_space(line, place)
        match = _NUMBER.match(line, place)
        if match is None:
            raise asked.not_a_quantity()
        number = _number(match, asked)
        place = _skip_space(line, match.end())
        spelling = spelling_at(line, place)
        unit = _unit(spelling, line[place:], match.group(), not parts, asked)
        parts.append(_Part(number, unit, match))
        place += len(spelling or "")
        if unit == "foot" and line[place : place + 1] == "-":
            place += 1  # drawings join feet and inches by a hyphen: 2'-4 7/8"
    if not parts:
        raise asked.not_a_quantity()
    _refuse_odd_joins(parts, asked)
    return parts


def _skip_space(line: str, place: int) -> int:
    return place + 1 if line[place : place + 1] == " " else place


def _number(match: re.Match[str], asked: _Asked) -> Fraction:
    if match["decimal"] is not None:
        return Fraction(match["decimal"])
    whole, over, under = match["whole"], match["over"] or match["top"], match["under"]
    below = int(under or match["bottom"])
    if below == 0:
        raise asked.error(f"has a fraction over nothing, {over}/0")
    part = Fraction(int(over), below)
    if whole is not None and part >= 1:
        raise asked.error(f"has a whole number beside {over}/{below}, which is itself 1 or more")
    return part + int(whole or 0)


def _unit(spelling: str | None, rest: str, number: str, first: bool, asked: _Asked) -> str:
    """pint's name of the unit, or the reason why it will not do."""
    kind = asked.kind
    if spelling is None:
        if not rest and asked.kind_name == "count":
            return "dimensionless"
        if not rest or rest[0].isdigit():
            raise asked.no_unit(number, alone=not rest and first)
        if not rest[0].isalpha():
            raise asked.not_a_quantity()
        word = rest.split(" ")[0]
        raise asked.error(
            f"has {_shown(word)}, not a unit known here; expected {kind.noun}: {kind.expected}"
        )
    kind_name, pint_name = meaning(spelling, asked.kind_name)
    if kind_name != asked.kind_name:
        raise asked.error(f"is {KINDS[kind_name].noun}; expected {kind.noun}: {kind.expected}")
    return pint_name


def _refuse_odd_joins(parts: list[_Part], asked: _Asked) -> None:
    """Several numbers make one quantity only as feet and inches do: each but the last whole, each
    but the first too small to make one of the unit before it."""
    units = [part.unit for part in parts]
    if len(parts) == 1:
        return
    ladder = next((one for one in _LADDERS if set(units) <= set(one)), None)
    if ladder is None or units != sorted(set(units), key=ladder.index):
        raise asked.error(f"is several quantities; expected one, such as {asked.example()}")
    for part, after in pairwise(parts):
        if part.number.denominator != 1:
            raise asked.error(f"has a fraction before its last unit: {part.unit} must be whole")
        if convert(after.number, after.unit, part.unit) >= 1:
            raise asked.error(f"has a whole {part.unit} or more in its {after.unit} part")


def _bare(number: Real, asked: _Asked) -> Fraction:
    if asked.kind_name != "count":
        raise asked.no_unit(asked.found)
    try:
        return Fraction(number if isinstance(number, int) else float(number))
    except (ValueError, OverflowError):
        raise asked.error("is not a number; expected a plain number such as 6") from None


def _refuse_impossible(value: Fraction, asked: _Asked, end: str, signed: bool) -> None:
    """Raises RangeError for a number that no quantity of the kind has, whatever the subject."""
    low = -_HUGE if signed else Fraction(0)
    what = f"is negative; expected {asked.kind.noun} of zero or more"
    if asked.kind_name == "temperature":
        low, what = convert(Fraction(0), "kelvin", end), "is below absolute zero"
    if low <= value <= _HUGE:
        return
    if abs(value) > _HUGE:
        what = "is too large to calculate with"
    given = f"{asked.name} = {asked.found}" if asked.name else asked.found
    raise RangeError(
        f"{given} {what}",
        name=asked.name,
        found=float(max(min(value, _HUGE), -_HUGE)),
        low=float(low),
        high=float(_HUGE),
    )


def _written(number: str, unit: str) -> str:
    return f"{number} {unit}".rstrip()


def _suggestion(number: str, kind: Kind, mark: str) -> str:
    """What to write for a number without a unit.

    A length of 100 or more is taken to be millimetres, and turned into the others; a smaller one
    might be any, and whoever typed it must say.
    """
    try:
        size = float(number)
    except ValueError:  # a fraction, which is never a count of millimetres
        size = 0.0
    if not math.isfinite(size) or number.startswith("a "):
        return f"a number and {kind.expected}"
    if kind.suggest[0] == "mm" and 100 <= size < 10000:
        inches = shop_text(size, "mm", ShopStyle(display="in", fraction=16))
        choices, which = [f"{number} mm", f"{size / 10:g} cm", inches], ""
    else:
        choices, which = [_written(number, unit) for unit in kind.suggest], ", whichever you mean"
    marked = [f"{mark}{choice}{mark}" for choice in choices]
    return f"{listed(marked, 'or')}{which if len(marked) > 1 else ''}"
