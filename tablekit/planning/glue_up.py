"""Gluing the strips of a layout up to a panel: clamps, glue, and in how many goes.

sheet = glue_up(layout, thickness=28)
stages(sheet)
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.trouble import Trouble
from tablekit.relations import glue

if TYPE_CHECKING:
    from tablekit.engine.network import Network
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.units import ShopStyle
    from tablekit.planning.board_layout import BoardLayout


@cache
def network() -> Network:
    """The relations of a glue-up, in any direction."""
    from tablekit.engine.network import Network

    return Network(
        "gluing up a panel",
        glue.QUANTITIES,
        glue.RELATIONS,
        glue.ASSUMPTIONS,
        requirements=glue.REQUIREMENTS,
        wishes=("top_thickness", "joint_length", "joint_lengths", "joints", "outer_strip"),
    )


def glue_up(
    layout: BoardLayout, thickness: float, shop: ShopStyle | None = None, **wishes: float
) -> Sheet:
    """What gluing the strips of `layout` takes.

    thickness  of the strips, mm
    wishes     any other quantity of the network in its reporting unit, such as open_time (minutes)
               or clamp_pressure (MPa); assumed otherwise
    Raises Trouble for a single strip, which has nothing to be glued to.
    """
    lengths = joint_lengths(layout)
    if not lengths:
        raise Trouble("the top is a single board: there is no joint to be glued")
    givens = {
        "top_thickness": thickness,
        "joint_length": max(lengths),
        "joint_lengths": sum(lengths),
        "joints": float(len(lengths)),
        "outer_strip": min(layout.strips[0].width, layout.strips[-1].width),
    }
    return network().solve({**givens, **wishes}, name="glue-up", shop=shop)


def joint_lengths(layout: BoardLayout) -> list[float]:
    """Length of each joint from left to right, mm: as far as both of its strips reach."""
    pairs = zip(layout.strips, layout.strips[1:], strict=False)
    return [min(left.usable_length, right.usable_length) for left, right in pairs]


def stages(sheet: Sheet) -> list[int]:
    """How many joints to glue in each go, as even as can be; one piece at a time.

    Raises Trouble where the open time is too short for a single joint."""
    joints, at_once = round(sheet.number("joints")), round(sheet.number("joints_at_once"))
    if at_once < 1:
        raise Trouble(
            "the open time is too short for one joint; take a slower glue, or give open_time, "
            "joint_time or clamping_time in minutes"
        )
    goes = math.ceil(joints / at_once)
    least, more = divmod(joints, goes)
    return [least + (go < more) for go in range(goes)]
