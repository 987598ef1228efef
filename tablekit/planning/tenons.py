"""Where loose tenons or biscuits go along each joint of a layout."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from tablekit.engine.trouble import Trouble
from tablekit.relations import tenons

if TYPE_CHECKING:
    from tablekit.engine.network import Network
    from tablekit.planning.board_layout import BoardLayout


@dataclass(frozen=True)
class JointTenons:
    """Tenons along one joint.

    offset   of the joint from the centre mark across the boards, mm, right positive
    places   of the tenons' middles from the centre mark along the joint, mm, ascending
    warning  why there are none, or fewer than hold two boards level; "" otherwise
    """

    offset: float
    places: tuple[float, ...]
    warning: str = ""


@cache
def network() -> Network:
    """The relations of the tenons of one joint."""
    from tablekit.engine.network import Network

    return Network("tenons", tenons.QUANTITIES, tenons.RELATIONS, tenons.ASSUMPTIONS)


def place_tenons(
    layout: BoardLayout, top_diameter: float, **wishes: float
) -> tuple[JointTenons, ...]:
    """Tenons for every joint of `layout`, clear of a rim of `top_diameter` (mm).

    wishes  tenon_width, tenon_reach, cut_margin, spacing_limit in mm; assumed otherwise
    Raises RangeError for a measure that no tenon has.
    """
    return tuple(place_along(offset, top_diameter, **wishes) for offset in layout.joints)


def place_along(offset: float, top_diameter: float, **wishes: float) -> JointTenons:
    """Tenons for one joint at `offset` from the centre mark; see `place_tenons`."""
    from tablekit.engine.sheet import check_numbers

    givens = {"top_diameter": top_diameter, "joint_offset": abs(offset), **wishes}
    check_numbers(network(), givens)
    try:
        sheet = network().solve(givens)
    except Trouble:
        # The corner of a tenon is outside the circle wherever it is put, or past the centre mark.
        return JointTenons(offset, (), _too_short(offset))
    farthest = sheet.number("farthest_tenon")
    if farthest < sheet.number("tenon_width"):
        # Two side by side would touch: one on the centre mark does as much.
        return JointTenons(offset, (0.0,), _one(offset))
    places = np.linspace(-farthest, farthest, round(sheet.number("tenon_count")))
    return JointTenons(offset, tuple(float(place) for place in places))


def _too_short(offset: float) -> str:
    return (
        f"The joint {abs(offset):.0f} mm from the centre is too short for a tenon that stays clear "
        "of the cut: glue it without, with cauls across the boards to keep them level."
    )


def _one(offset: float) -> str:
    return (
        f"The joint {abs(offset):.0f} mm from the centre has room for one tenon only: keep its "
        f"ends "
        "level with cauls."
    )
