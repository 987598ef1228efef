"""How a check is written: value, limit and verdict, and once only a caution that many share."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from tablekit.engine.shop import fine_text, quantities_apart, told_apart
from tablekit.packet.plain_page import NO_BREAK

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet


VERDICTS = {"pass": "pass", "caution": "CAUTION", "fail": "FAIL"}  # as they are read
# Checks on a share of what is allowed, whose quantity is not one of the piece itself.
_SHARES = frozenset(("notch_bearing", "short_grain"))
_FINE = 5.0  # mm: a check of less is read to two figures, whatever the rule is divided in


def number_text(sheet: Sheet, check: CheckResult, number: float) -> str:
    """A value or a limit of a check as the maker reads it, a small play to two figures."""
    from tablekit.engine.shop import quantity_text, share_text, shop_text

    if _is_share(sheet, check):
        return share_text(number).replace(" ", NO_BREAK)
    quantity = sheet.network.quantities.get(check.quantity)
    if quantity is not None:
        return quantity_text(number, quantity, sheet.shop_style)
    if check.unit == "mm" and 0 < abs(number) < _FINE:  # nought is "0 in", not "0 thou"
        return fine_text(number, sheet.shop_style)
    return shop_text(number, check.unit, sheet.shop_style)


def against_limit(sheet: Sheet, check: CheckResult) -> str:
    """The value of a check and its limit, as "27 lbf (at least 45 lbf)"; "" without a value."""
    if check.value is None or math.isnan(check.value):
        return ""
    found = number_text(sheet, check, check.value)
    if not _limited(check):
        return found
    limit = number_text(sheet, check, check.limit or 0.0)
    if found == limit and check.verdict != "pass":  # never 1/4 in (at most 1/4 in)
        found, limit = _told_apart(sheet, check)
    return f"{found} ({_side(check)} {limit})"


def limit_text(sheet: Sheet, check: CheckResult) -> str:
    """The limit of a check and which way it goes, as "at least 45 lbf"; "" without one."""
    if not _limited(check):
        return ""
    return f"{_side(check)} {number_text(sheet, check, check.limit or 0.0)}"


def _limited(check: CheckResult) -> bool:
    """Whether it has a limit: it is nan where both sides are open."""
    return check.limit is not None and not math.isnan(check.limit)


def _side(check: CheckResult) -> str:
    """Which way its limit goes; of a check between two, that of the nearer."""
    if check.sense != "between":
        return check.sense
    above = check.value is not None and check.limit is not None and check.value >= check.limit
    return "at least" if above == (check.verdict == "pass") else "at most"


def _told_apart(sheet: Sheet, check: CheckResult) -> tuple[str, str]:
    """A value and its limit to as many figures as tell them apart."""
    quantity = sheet.network.quantities.get(check.quantity)
    if quantity is not None and quantity.said:
        value, end = check.value or 0.0, check.limit or 0.0
        texts = quantities_apart(value, end, quantity, sheet.shop_style)
        return texts[0].replace(" ", NO_BREAK), texts[1].replace(" ", NO_BREAK)
    by, unit = (100, f"{NO_BREAK}%") if _is_share(sheet, check) else (1, "")
    numbers = by * (check.value or 0.0), by * (check.limit or 0.0)
    found, limit = told_apart(*numbers, check.unit, sheet.shop_style, (3, 4, 6, 8))
    return f"{found}{unit}", f"{limit}{unit}"


def _is_share(sheet: Sheet, check: CheckResult) -> bool:
    quantity = sheet.network.quantities.get(check.quantity)
    return check.id in _SHARES if quantity is None else quantity.said == "share"


def loud(text: str) -> str:
    """What is not checked, so that a terminal does not lose it."""
    return text.replace("Not checked", "NOT CHECKED", 1)


# -- saying a thing once ---------------------------------------------------------------------------

LONG_ENOUGH = 50  # characters: short sentences may well stand twice


class Once:
    """Takes texts one after another, and leaves out of each the long sentences that an earlier one
    has said in the same words. What is left is never empty."""

    def __init__(self) -> None:
        self._said: set[str] = set()

    def __call__(self, text: str, keep: bool = False) -> str:
        """The text without what was said before; the whole of it with `keep`, as where it says what
        has to be changed."""
        kept = []
        for sentence in re.split(r"(?<=[.!?]) (?=[A-Z])", text):
            if len(sentence) < LONG_ENOUGH or sentence not in self._said:
                kept.append(sentence)
            self._said.add(sentence)
        return text if keep else " ".join(kept) or text
