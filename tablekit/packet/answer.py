"""The whole answer to a brief as plain data: the sheet and all that is worked out from it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tablekit.design.standing_plans import HELD_WORDS
from tablekit.engine.sheet import tidy
from tablekit.planning.post_marks import notches_json

if TYPE_CHECKING:
    from tablekit.design import Design


def answer(design: Design) -> dict[str, Any]:
    """The sheet's own data, and under a key each what is worked out beyond it.

    A key that says nothing of this kind of piece is left out. Values as in `Sheet.to_json`.
    """
    return {
        **_sheet(design),
        **_boards(design),
        **_assembly(design),
        **_notches(design),
        **_plans(design),
        **_standing(design),
        **_as_cut(design),
    }


def _sheet(design: Design) -> dict[str, Any]:
    """The sheet, with the checks and notes on boards and workshop among its own."""
    data = design.sheet.to_json()
    data["checks"] = [check.to_json() for check in design.every_check]
    data["not_checked"] = list(design.not_checked)
    data["notes"] = list(design.notes)
    if design.brief.count > 1:
        data["count"] = design.brief.count
    return data


def _boards(design: Design) -> dict[str, Any]:
    """How the top is got out of the boards in the rack; null where they fall short. Where boards
    differ in wood or cut, how it moves board by board; of several tops each layout in turn."""
    if design.boards is None:
        return {}
    moves = design.board_movement
    told: dict[str, Any] = {} if moves is None else {"board_movement": moves.to_json()}
    if design.brief.count > 1:
        tops = [one.boards for one in design.tops]
        told["board_layouts"] = [None if one is None else one.to_json() for one in tops]
    return {"board_layout": design.boards.to_json(), **told}


def _assembly(design: Design) -> dict[str, Any]:
    """Whether the base goes together, in which order and along which directions."""
    if design.not_drawn:
        return {}
    solids = design.solids
    found = solids.assembly if design.on_posts else solids.leg_assembly
    return {"assembly": found.to_json()}


def _notches(design: Design) -> dict[str, Any]:
    """Every notch of every post, for marking out."""
    found = notches_json(design.sheet)
    return {} if found is None else {"notches": found}


def _as_cut(design: Design) -> dict[str, Any]:
    """How the piece stands as it is cut so far, how the panel of its top came out, and what to do
    now."""
    made = {"as_cut": design.as_cut, "glued_panel": design.glued}
    return {key: _tidied(one.to_json()) for key, one in made.items() if one is not None}


def _plans(design: Design) -> dict[str, Any]:
    """Joints of the top, trammel, edge, fastening, surface and work, each where there is something
    to say."""
    found = {
        "top_joints": design.joints,
        "post_glue_up": design.post_glue,
        "trammel": design.trammel,
        "edge": design.edge,
        "fixing": design.fixing,
        "legs": design.leg_work,
        "surface": design.surface,
        "cut_list": design.cut_list,
        "order_of_work": design.order,
        "delivery": design.delivery,
        "quote": design.quote,
    }
    plain = {key: plan.to_json() for key, plan in found.items() if plan is not None}
    glued = design.joints
    if glued is not None and glued.staging is not None:
        plain["glue_up"] = glued.staging.to_json(glued.numbers)
    jigs = {} if design.jigs is None else design.jigs.to_json()
    return _tidied({**plain, "buy_list": design.cut_list.to_buy_json(), **jigs})


def _tidied(data: Any) -> Any:
    """Plain data with every number to twelve figures, as the sheet has them."""
    if isinstance(data, dict):
        return {key: _tidied(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_tidied(value) for value in data]
    return tidy(data) if isinstance(data, float) else data


def _standing(design: Design) -> dict[str, Any]:
    """Tipping all round, the joint under load, people at the table."""
    found: dict[str, Any] = {}
    joint = design.joint_load
    if design.tipping is not None:
        found["tipping"] = design.tipping.to_json()
    if joint.under_load is not None:
        found["joint_load"] = {
            "held_by": HELD_WORDS, "says": joint.said, "conditions": joint.conditions,
            **joint.under_load.to_json(),
        }  # fmt: skip
    for key, plan in (("sitters", design.sitters), ("wheelchair", design.wheelchair)):
        if plan is not None:
            found[key] = plan.to_json()
    return found
