"""The sheets beside a piece's own, so that whatever a check judges can show its working."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.engine.trouble import UnknownName

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.sheet import Sheet


def sheet_with(name: str, design: Design) -> Sheet:
    """The sheet that has a quantity of that name: the piece's own, or that of its joint under load
    or of its glue-up.

    Raises UnknownName, with the piece's nearest name, where none has.
    """
    sheet = design.sheet
    if name in sheet.network.quantities:
        return sheet
    for other in _others(design):
        if name in other.network.quantities:
            return other
    sheet.network.quantity(name)  # raises, with the nearest known name
    raise UnknownName(f"{name} is not a quantity of this piece", name=name, nearest=None)


def _others(design: Design) -> Iterator[Sheet]:
    if design.joint_load.under_load is not None:
        yield design.joint_load.under_load
    if design.joints is not None and design.joints.glue is not None:
        yield design.joints.glue
