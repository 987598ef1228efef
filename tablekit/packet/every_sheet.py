"""The sheets beside a piece's own, so that whatever a check judges can show its working."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.engine.trouble import UnknownName

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet


def sheet_with(name: str, sheet: Sheet, brief: Brief) -> Sheet:
    """The sheet that has a quantity of that name: the piece's own, or that of its joint under load
    or of its glue-up.

    Raises UnknownName, with the piece's nearest name, where none has.
    """
    if name in sheet.network.quantities:
        return sheet
    for other in _others(sheet, brief):
        if name in other.network.quantities:
            return other
    sheet.network.quantity(name)  # raises, with the nearest known name
    raise UnknownName(f"{name} is not a quantity of this piece", name=name, nearest=None)


def _others(sheet: Sheet, brief: Brief) -> Iterator[Sheet]:
    from tablekit.packet.shop_plans import joints
    from tablekit.packet.standing_plans import joint

    under_load, _ = joint(sheet)
    if under_load is not None:
        yield under_load
    glued = joints(brief, sheet)
    if glued is not None and glued.glue is not None:
        yield glued.glue
