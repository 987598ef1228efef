"""Every check and every note on a piece: the sheet's own, and those on its boards and workshop."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from tablekit.engine.shop import figures_text, told_apart
from tablekit.packet.kept import kept
from tablekit.packet.plain_page import NO_BREAK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablekit.brief import Brief
    from tablekit.engine.rounding import Rounded
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.engine.trouble import Contradiction

VERDICTS = {"pass": "pass", "caution": "CAUTION", "fail": "FAIL"}  # as they are read
# Checks on a share of what is allowed, whose quantity is not one of the piece itself.
_SHARES = frozenset(("notch_bearing", "short_grain"))
_FINE = 5.0  # mm: a check of less is read to two figures, whatever the rule is divided in


def every_check(sheet: Sheet, brief: Brief) -> tuple[CheckResult, ...]:
    """The sheet's checks first, then those on joint and people, boards, glue-up and trammel."""
    from tablekit.packet.standing_plans import standing_checks

    found = [*own_checks(sheet), *standing_checks(sheet)]
    if brief.boards:
        from tablekit.packet.rack import rack_checks

        found += rack_checks(brief, sheet)
    from tablekit.packet.shop_plans import joints, trammel_check

    glued = joints(brief, sheet)
    found += [] if glued is None else glued.checks
    trammel = trammel_check(brief, sheet)
    return (*found, *([trammel] if trammel else []))


def number_text(sheet: Sheet, check: CheckResult, number: float) -> str:
    """A value or a limit of a check as the maker reads it, a small play to two figures."""
    from tablekit.engine.shop import quantity_text, share_text, shop_text

    if _is_share(sheet, check):
        return share_text(number).replace(" ", NO_BREAK)
    quantity = sheet.network.quantities.get(check.quantity)
    if quantity is not None:
        return quantity_text(number, quantity, sheet.shop_style)
    if check.unit == "mm" and abs(number) < _FINE:
        return figures_text(number, check.unit, sheet.shop_style, 2)
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
    by, unit = (100, f"{NO_BREAK}%") if _is_share(sheet, check) else (1, "")
    numbers = by * (check.value or 0.0), by * (check.limit or 0.0)
    found, limit = told_apart(*numbers, check.unit, sheet.shop_style, (3, 4, 6, 8))
    return f"{found}{unit}", f"{limit}{unit}"


def _is_share(sheet: Sheet, check: CheckResult) -> bool:
    quantity = sheet.network.quantities.get(check.quantity)
    return check.id in _SHARES if quantity is None else quantity.said == "share"


def ordered_checks(sheet: Sheet, brief: Brief) -> tuple[CheckResult, ...]:
    """All of them, what needs looking at first: what terminal, packet and JSON all count."""
    found = every_check(sheet, brief)
    return tuple(sorted(found, key=lambda check: ("fail", "caution", "pass").index(check.verdict)))


@kept
def as_marked(brief: Brief, sheet: Sheet) -> Rounded | Contradiction:
    """The design with every size rounded to what can be marked, or why there is none."""
    from tablekit.engine.rounding import round_to_shop
    from tablekit.engine.trouble import Contradiction

    try:
        return round_to_shop(sheet)
    except Contradiction as clash:
        return clash


def worse_as_marked(brief: Brief, sheet: Sheet) -> tuple[CheckResult, ...]:
    """The checks that pass exactly and not as marked, as they come out then."""
    from tablekit.engine.rounding import Rounded

    marked = as_marked(brief, sheet)
    return marked.worse if isinstance(marked, Rounded) else ()


def loud(text: str) -> str:
    """What is not checked, so that a terminal does not lose it."""
    return text.replace("Not checked", "NOT CHECKED", 1)


def every_note(sheet: Sheet, brief: Brief) -> tuple[str, ...]:
    """The sheet's notes, then those on the boards."""
    own = own_notes(sheet)
    if not brief.boards:
        return own
    from tablekit.packet.rack import rack_notes

    return (*own, *rack_notes(brief, sheet))


def own_checks(sheet: Sheet) -> tuple[CheckResult, ...]:
    """The sheet's checks, less those that cannot be judged of it."""
    idle = unjudged(sheet)
    return tuple(check for check in sheet.checks if check.id not in idle)


def own_notes(sheet: Sheet) -> tuple[str, ...]:
    """What no check covers on posts, what cannot be judged of it, then the sheet's notes."""
    from tablekit.relations.standing import NOT_COVERED

    posts = [] if not_checked(sheet) else [NOT_COVERED]
    return (*posts, *not_judged(sheet), *sheet.notes)


def not_judged(sheet: Sheet) -> tuple[str, ...]:
    """Which checks cannot be judged of it, in a sentence; none where all can."""
    idle = unjudged(sheet)
    names = [check.name for check in sheet.checks if check.id in idle]
    return (_idle_note(names),) if names else ()


def not_checked(sheet: Sheet) -> tuple[str, ...]:
    """What no check speaks of although the piece stands or falls by it, told before the checks;
    none for crossed posts."""
    from tablekit.relations.styles import SPLAYED_LEGS

    if sheet.network.options.get("style") != SPLAYED_LEGS:
        return ()
    from tablekit.relations.splayed_family import NOT_CHECKED

    return (NOT_CHECKED,)


def unjudged(sheet: Sheet) -> tuple[str, ...]:
    """Identifiers of the checks that take the top to bear on its heads, where these lie outside the
    rim: no verdict on a fastening in mid air. None where they lie under it."""
    from tablekit.planning.fixing_plan import outside_rim
    from tablekit.relations import creep, ends, fixing, recesses, seat_load, top_load

    if not outside_rim(sheet):
        return ()
    asked = (
        *fixing.REQUIREMENTS, *top_load.REQUIREMENTS, *creep.REQUIREMENTS,
        *seat_load.REQUIREMENTS, ends.HEAD_SCREWS,
    )  # fmt: skip
    here = {check.id for check in sheet.checks}
    return tuple(one.id for one in asked if one is not recesses.PADS and one.id in here)


def _idle_note(names: Sequence[str]) -> str:
    return (
        "Not judged, because the heads lie outside the rim and do not carry the top: "
        f"{', '.join(names)}."
    )
