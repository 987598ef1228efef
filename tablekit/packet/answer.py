"""The whole answer to a brief as plain data: the sheet and all that is worked out from it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet


def answer(sheet: Sheet, brief: Brief) -> dict[str, Any]:
    """The sheet's own data, and under a key each what is worked out beyond it.

    A key that says nothing of this kind of piece is left out. Values as in `Sheet.to_json`.
    """
    return {**_sheet(sheet, brief), **_boards(sheet, brief), **_assembly(sheet), **_notches(sheet)}


def _sheet(sheet: Sheet, brief: Brief) -> dict[str, Any]:
    """The sheet, with the check on the boards among its checks."""
    data = sheet.to_json()
    if brief.boards:
        from tablekit.packet.top_boards import check_json

        data["checks"] += check_json(brief, sheet)
    return data


def _boards(sheet: Sheet, brief: Brief) -> dict[str, Any]:
    """How the top is got out of the boards in the rack; null where they fall short."""
    if not brief.boards:
        return {}
    from tablekit.packet.top_boards import board_layout_json

    return board_layout_json(brief, sheet)


def _assembly(sheet: Sheet) -> dict[str, Any]:
    """Whether the base goes together, in which order and along which directions."""
    if sheet.network.options.get("crossing") is None:
        return {}
    from tablekit.solids.assembly import assemble

    return {"assembly": assemble(sheet).to_json()}


def _notches(sheet: Sheet) -> dict[str, Any]:
    """Every notch of every post, for marking out."""
    from tablekit.planning.notches import notches_json

    found = notches_json(sheet)
    return {} if found is None else {"notches": found}
