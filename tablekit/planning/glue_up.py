"""Gluing the strips of a layout up to a panel: clamps, glue, and how many joints at once.

sheet = glue_up(layout, thickness=28)
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

from tablekit.engine.network import Network
from tablekit.engine.trouble import DesignError
from tablekit.planning.glue_stages import StripRow, Terms
from tablekit.relations import glue
from tablekit.relations.inch_practice import in_practice, judged_in_practice
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.units import ShopStyle
    from tablekit.planning.board_layout import BoardLayout, Strip


@cache
def network(wood: glue.GluedWood = "", display: str = "mm") -> Network:
    """The relations of a glue-up of this wood, in any direction, with what a shop that works in
    "mm" or "in" assumes."""
    return Network(
        "gluing up a panel",
        (*glue.QUANTITIES, glue.glue_up_minutes),
        (*glue.RELATIONS, glue.GLUE_UP_MINUTES),
        in_practice(glue.assumptions(wood), display == "in"),
        constants=glue.CONSTANTS,
        requirements=judged_in_practice(glue.requirements(wood), display == "in"),
        wishes=("top_thickness", "joint_length", "joint_lengths", "joints", "outer_strip"),
        wording=SHOP,
    )


def glue_up(
    layout: BoardLayout,
    thickness: float,
    shop: ShopStyle | None = None,
    *,
    wood: glue.GluedWood = "",
    **wishes: float,
) -> Sheet:
    """What gluing the strips of `layout` takes.

    thickness  of the strips, mm
    wood       which pressure it is judged by; "" where the wood is not known
    wishes     any other quantity of the network in its reporting unit, such as open_time (min)
               or clamp_pressure (MPa); assumed otherwise
    Raises DesignError for a single strip, which has nothing to be glued to.
    """
    strips = strips_used(layout)
    lengths = joint_lengths(strips)
    if not lengths:
        raise DesignError("the top is a single board: there is no joint to be glued")
    givens = {
        "top_thickness": thickness,
        "joint_length": max(lengths),
        "joint_lengths": sum(lengths),
        "joints": float(len(lengths)),
        "outer_strip": min(strips[0].width, strips[-1].width),
    }
    of = network(wood, shop.display if shop else "mm")
    return of.solve({**givens, **wishes}, name="glue-up", shop=shop)


def stage_row(layout: BoardLayout, tenons: Sequence[int]) -> StripRow:
    """The strips of `layout` as they are glued up, with how many tenons each joint has."""
    strips = strips_used(layout)
    return StripRow(
        (*(strip.left for strip in strips), strips[-1].right),
        tuple(strip.length_needed for strip in strips),
        tuple(joint_lengths(strips)),
        tuple(tenons),
    )


def stage_terms(
    thickness: float, shop: ShopStyle | None = None, *, wood: glue.GluedWood = "", **wishes: float
) -> Terms:
    """What holds for each glue-up of a panel; arguments as for `glue_up`."""
    of = network(wood, shop.display if shop else "mm")
    return Terms(of, {"top_thickness": thickness, **wishes}, shop)


def strips_used(layout: BoardLayout) -> list[Strip]:
    """The strips that cover some of the circle; others are left off the panel."""
    return [strip for strip in layout.strips if strip.length_needed > 0]


def joint_lengths(strips: Sequence[Strip]) -> list[float]:
    """Length of each joint from left to right, mm: as far as both of its strips reach."""
    return [min(pair) for pair in pairwise(strip.length_needed for strip in strips)]
