"""Which checks and notes of a sheet are said, and what no check covers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.relations import edges, ends, fixing, top_load
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import is_seat
from tablekit.relations.moisture import DAMPEST, DRIEST, SHOP
from tablekit.relations.standing import NOT_COVERED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablekit.brief import Brief
    from tablekit.engine.sheet import CheckResult, Sheet


_LITTLE = 0.05  # per cent of moisture, which nobody measures


def own_checks(sheet: Sheet) -> tuple[CheckResult, ...]:
    """The sheet's checks, less those that cannot be judged of it."""
    idle = unjudged(sheet)
    return tuple(check for check in sheet.checks if check.id not in idle)


def own_notes(sheet: Sheet) -> tuple[str, ...]:
    """What no check covers on posts, what cannot be judged of it, then the sheet's notes."""
    posts = [] if not_checked(sheet) else [NOT_COVERED]
    return (*posts, *not_judged(sheet), *outside_the_seasons(sheet), *sheet.notes)


def outside_the_seasons(sheet: Sheet) -> tuple[str, ...]:
    """That the wood is worked wetter, or drier, than the piece will ever be, in a sentence or two;
    none where it lies between."""
    names = [one.moisture.name for one in (DRIEST, SHOP, DAMPEST)]
    if any(sheet.get(name) is None for name in names):
        return ()
    dry, made, wet = (sheet.number(name) for name in names)
    said = {name: sheet.shop(name) for name in names}
    driest, here, dampest = said.values()
    if made > wet + _LITTLE:
        return (
            f"The wood is at {here} when it is cut, wetter than the {dampest} that it has in the "
            "dampest air: from the shop on it only shrinks, and its swelling to the dampest air is "
            "negative. Let it dry in the air of the shop before it is cut.",
        )
    if made < dry - _LITTLE:
        return (
            f"The wood is at {here} when it is cut, drier than the {driest} that it has in the "
            "driest air: from the shop on it only swells, and its shrinkage to the driest air is "
            "negative. Let it take up moisture in the air of the shop before it is cut.",
        )
    return ()


def not_judged(sheet: Sheet) -> tuple[str, ...]:
    """Which checks cannot be judged of it, in a sentence; none where all can."""
    idle = unjudged(sheet)
    names = [check.name for check in sheet.checks if check.id in idle]
    return (_idle_note(names),) if names else ()


def not_checked(sheet: Sheet) -> tuple[str, ...]:
    """What no check speaks of although the piece stands or falls by it, told before the checks;
    none for crossed posts."""
    said = base_of(sheet).not_checked
    return (said,) if said else ()


def planned(sheet: Sheet, brief: Brief) -> tuple[str, ...]:
    """What the checks are about that need a plan of one design, and that its sheet has not."""
    base, boards = base_of(sheet), ("boards", "glue")
    return (
        *(("the joint under load",) if base.crossed else ()),
        *(("knee room between posts",) if base.crossed and not is_seat(sheet.kind) else ()),
        *(boards if brief.boards else ()),
        *(("the trammel board",) if "trammel_length" in brief.workshop else ()),
    )


def unjudged(sheet: Sheet) -> tuple[str, ...]:
    """Identifiers of the checks that take the top to bear on its heads, where these lie outside the
    rim: no verdict on a fastening in mid air. None where they lie under it."""
    from tablekit.planning.fixing_plan import outside_rim

    if not outside_rim(sheet):
        return ()
    asked = (
        *fixing.REQUIREMENTS, *top_load.REQUIREMENTS, ends.HEAD_SCREWS, edges.ROOM, edges.SCREWS,
    )  # fmt: skip
    here = {check.id for check in sheet.checks}
    return tuple(one.id for one in asked if one is not fixing.PADS and one.id in here)


def _idle_note(names: Sequence[str]) -> str:
    return (
        "Not judged, because the heads lie outside the rim and do not carry the top: "
        f"{', '.join(names)}."
    )
