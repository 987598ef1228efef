"""Units as people spell them: finding one in a text, and converting between two.

pint never reads what a person types: its reader evaluates expressions.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from tablekit.engine.unit_table import KIND_OF, KINDS, SYMBOLS, UNITS, Kind, convert

__all__ = ["KINDS", "Kind", "convert", "factor", "meaning", "spelling_at"]


def _all_spellings() -> dict[str, tuple[tuple[str, str], ...]]:
    found: dict[str, list[tuple[str, str]]] = {}
    for name, unit in UNITS.items():
        for spelling in unit.spellings:
            found.setdefault(spelling, []).append((KIND_OF[name], name))
    return {spelling: tuple(meanings) for spelling, meanings in found.items()}


# Few spellings mean two things: ' and " are feet and inches, or minutes and seconds of arc; "min"
# is a minute of the clock or of arc; C and F are scales of temperature, or coulomb and farad.
_SPELLINGS = _all_spellings()


@cache
def _pattern() -> re.Pattern[str]:
    longest_first = sorted((s for s in _SPELLINGS if s != "1"), key=len, reverse=True)
    words = [re.escape(s) for s in longest_first if s[-1].isalnum() or s[-1] == "."]
    marks = [re.escape(s) for s in longest_first if not (s[-1].isalnum() or s[-1] == ".")]
    # After a word nothing may follow that would make it another unit: "m" is not the start of
    # "m/min". A mark may be followed by the next figure: 2'4".
    return re.compile(rf"(?:{'|'.join(words)})(?![\w^*/·.(°])|(?:{'|'.join(marks)})(?![\^*/·.(])")


def spelling_at(text: str, start: int) -> str | None:
    """The unit written in `text` at `start`, as spelled there, or None."""
    match = _pattern().match(text, start)
    return match.group() if match else None


def meaning(spelling: str, wanted: str) -> tuple[str, str]:
    """Kind and pint name of a spelling; where it has two, that of the `wanted` kind.

    Where no kind is wanted (''), the unit whose symbol it is: C is a coulomb, though a text may
    mean a temperature by it. Raises KeyError for a spelling that is not on the list.
    """
    meanings = _SPELLINGS[spelling]
    if not wanted and spelling in SYMBOLS:
        return KIND_OF[SYMBOLS[spelling]], SYMBOLS[spelling]
    return next((m for m in meanings if m[0] == wanted), meanings[0])


def factor(from_unit: str, to_unit: str) -> float:
    """How many `to_unit` make one `from_unit`; both as they are spelled, "in" and "mm".

    Raises ValueError for a unit that is not on the list, two units of different kinds, or two
    scales of temperature, which have different zeros.
    """
    if from_unit not in _SPELLINGS or to_unit not in _SPELLINGS:
        raise ValueError(f"no factor from {from_unit!r} to {to_unit!r}: unit not on the list")
    kind, start = meaning(from_unit, "")
    other, end = meaning(to_unit, kind)
    if kind != other or UNITS[start].zero != UNITS[end].zero:
        raise ValueError(f"no factor from {from_unit!r} to {to_unit!r}")
    return float(convert(Fraction(1), start, end))
