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
    return {
        **_sheet(sheet, brief),
        **_boards(sheet, brief),
        **_assembly(sheet),
        **_notches(sheet),
        **_plans(sheet, brief),
        **_standing(sheet),
    }


def _sheet(sheet: Sheet, brief: Brief) -> dict[str, Any]:
    """The sheet, with the checks and notes on boards and workshop among its own."""
    from tablekit.packet.checks import every_check, every_note, not_checked

    data = sheet.to_json()
    data["checks"] = [check.to_json() for check in every_check(sheet, brief)]
    data["not_checked"] = list(not_checked(sheet))
    data["notes"] = list(every_note(sheet, brief))
    return data


def _boards(sheet: Sheet, brief: Brief) -> dict[str, Any]:
    """How the top is got out of the boards in the rack; null where they fall short. Where boards
    differ in wood or cut, how it moves board by board."""
    if not brief.boards:
        return {}
    from tablekit.packet.rack import rack_movement
    from tablekit.packet.top_boards import board_layout_json

    moves = rack_movement(brief, sheet)
    told = {} if moves is None else {"board_movement": moves.to_json()}
    return {**board_layout_json(brief, sheet), **told}


def _plans(sheet: Sheet, brief: Brief) -> dict[str, Any]:
    """Joints of the top, trammel, fastening and surface, each where there is something to say."""
    from tablekit.packet.shop_plans import plans_json

    return plans_json(brief, sheet)


def _standing(sheet: Sheet) -> dict[str, Any]:
    """Tipping all round, the joint under load, people at the table."""
    from tablekit.packet.standing_plans import standing_json

    return standing_json(sheet)


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
