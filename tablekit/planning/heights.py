"""Which use the height of a table or a stool suits, as a verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.engine.sheet import judge
from tablekit.relations import people
from tablekit.relations.kinds import is_seat

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet


def height_for_use(sheet: Sheet, use: str | None = None) -> CheckResult:
    """Which use the height of a table or of a seat suits.

    use  for a table "low", "side", "dining", "counter" or "bar", for a stool "child's", "low",
         "dining", "workshop", "counter" or "bar": judged by that alone. Where left out, any use
         will do; between two uses it is a caution that names both.
    Raises DesignError for another use.
    """
    graded = people.SEAT if is_seat(sheet.kind) else people.HEIGHT
    value = sheet[graded.quantity]
    number = sheet.number(graded.quantity)
    return judge(graded.at(number, sheet.shop_style, use), value, sheet.shop_style)
