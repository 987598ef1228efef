"""Gluing the strips of a layout up to a panel: clamps, glue, and how many joints at once.

sheet = glue_up(layout, thickness=28)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True)
class Clamp:
    """A clamp across the panel: its place along the joints from the centre mark, mm, up the page
    positive; whether its bar lies above the panel or below it."""

    place: float
    above: bool


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


def clamps(sheet: Sheet) -> tuple[Clamp, ...]:
    """Clamps evenly along the longest joint, from its lower end up, the bars alternately above
    the panel and below it."""
    count, pitch = round(sheet.number("clamp_count")), sheet.number("clamp_pitch")
    return tuple(Clamp((k - (count - 1) / 2) * pitch, k % 2 == 0) for k in range(count))


@dataclass(frozen=True)
class Caul:
    """A batten on the panel as it is glued, seen from above: its edges from the centre mark, mm."""

    left: float
    right: float
    low: float
    high: float

    @property
    def length(self) -> float:
        """Its longer side, mm."""
        return max(self.right - self.left, self.high - self.low)


def across(strips: Sequence[Strip], place: float) -> list[Strip]:
    """The strips that reach `place` along the joints, from left to right."""
    return [strip for strip in strips if strip.length_needed / 2 >= abs(place) - 1e-9]


def edge_cauls(strips: Sequence[Strip], held: Sequence[Clamp], deep: float) -> list[Caul]:
    """A caul along every step of the panel's edge on which a clamp bears."""
    found: list[Caul] = []
    for side, order in ((-1, list(strips)), (1, list(reversed(strips)))):
        start = 0.0
        for strip in order:
            half = strip.length_needed / 2
            if half <= start:
                continue
            near = strip.left if side < 0 else strip.right
            left, right = sorted((near, near + side * deep))
            # The outermost strip's caul runs through; those behind it stand on the steps.
            steps = [(-half, half)] if start == 0 else [(start, half), (-half, -start)]
            found += [
                Caul(left, right, low, high)
                for low, high in steps
                if any(low - 1e-9 <= clamp.place <= high + 1e-9 for clamp in held)
            ]
            start = half
    return found


def cross_cauls(strips: Sequence[Strip], held: Sequence[Clamp], deep: float) -> list[Caul]:
    """Where cauls lie across the joints in pairs, one above and one below, to keep the strips
    level: towards either end between the last two clamps, and where those do not lie over every
    strip, as far out between two clamps as they do. None where there is no room.

    Common practice, no source.
    """
    found: dict[float, Caul] = {}
    gaps = list(pairwise(clamp.place for clamp in held))
    for outwards in (gaps, gaps[::-1]):
        for low, high in outwards:
            middle = (low + high) / 2
            over = across(strips, abs(middle) + deep / 2)
            if high - low <= deep or len(over) < 2:
                continue
            whole = len(over) == len(strips)
            if whole or (low, high) == outwards[0]:
                ends = (middle - deep / 2, middle + deep / 2)
                found[middle] = Caul(over[0].left, over[-1].right, *ends)
            if whole:
                break
    return list(found.values())
