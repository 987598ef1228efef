"""Relations used one at a time, outside a network: an unknown from numbers for all the rest.

Those of `relations/boards.py` hold in any unit of length, so they take and give millimetres and
square millimetres, floats or arrays.
"""

from __future__ import annotations

import math
from functools import cache, partial
from typing import Any

from tablekit.engine import rearrange
from tablekit.engine.quantity import Quantity
from tablekit.engine.rearrange import RelationFunction, slack_of, solve_for
from tablekit.engine.relation import Relation
from tablekit.engine.trouble import OutsideLimits
from tablekit.relations import boards as b
from tablekit.relations import glued_panel, marking, milling, notch_cutting, quantities
from tablekit.relations import quantities as q

KNOWN: dict[str, Quantity] = {
    quantity.name: quantity
    for quantity in (
        *quantities.EVERY,
        *marking.QUANTITIES,
        *notch_cutting.QUANTITIES,
        *milling.OWN,
        *milling.SURFACE_QUANTITIES,
    )
}
# A hair's breadth of rounding must not put a floor that ends in an arris outside the post.
_NEAR = 1e-12


def found(relation: Relation, name: str, **numbers: float) -> float:
    """What `relation` makes of the quantity `name`, given numbers for the others.

    All in reporting units. Raises OutsideLimits, in the words of the limit, where the relation
    does not hold, and KeyError where a number is missing.
    """
    unknown = KNOWN[name]
    si = {known: KNOWN[known].to_si(number) for known, number in numbers.items()}
    _refuse_outside(relation, si)
    si[name] = float(_solved(relation, name).of(si))
    _refuse_outside(relation, si)
    return unknown.from_si(si[name])


@cache
def _solved(relation: Relation, name: str) -> RelationFunction:
    return solve_for(relation, KNOWN[name])


def _refuse_outside(relation: Relation, si: dict[str, float]) -> None:
    """Looks at those limits that speak only of these numbers, coherent SI."""
    for limit in relation.limits:
        slack = _slack(limit)
        if not si.keys() >= set(slack.names):
            continue
        size = slack.of(si)
        if size < -_NEAR:
            raise OutsideLimits(
                f"the posts cannot be set out like this: {limit.words}; here it is "
                f"{-size * 1000:.1f} mm short of that",
                relation=relation.name,
                excess=-size,
            )


_slack = cache(slack_of)


# -- Of boards, as functions of numbers ------------------------------------------------------------

# Of two roots the first is the one that is not negative.
_solve_for = partial(rearrange.solve_for, within=(0.0, math.inf), arrays=True)

rough_diameter = _solve_for(b.ROUGH_DIAMETER, b.rough_diameter, q.top_diameter, b.top_margin)
"""Diameter of the circle to be covered, mm."""

strip_width = _solve_for(b.STRIP_WIDTH, b.strip_width, b.board_width, b.edge_loss)
"""Width of a strip, mm; not above 0 where jointing leaves nothing."""

usable_length = _solve_for(b.USABLE_LENGTH, b.usable_length, b.board_length, b.end_waste)
"""Usable length, mm; not above 0 where the ends leave nothing."""

keep_off = _solve_for(b.LENGTH_NEEDED, b.near_edge, b.rough_diameter, b.length_needed)
"""How near the centre a strip of a usable length, shorter than the diameter, may come, mm."""

chord_at = _solve_for(b.LENGTH_NEEDED, b.length_needed, b.rough_diameter, b.near_edge)
"""Chord of the circle so far from its centre, mm."""

_near_edge = _solve_for(b.NEAR_EDGE, b.near_edge, b.strip_left, b.strip_right)

strip_shows = _solve_for(
    glued_panel.STRIP_SHOWS, glued_panel.strip_shows, b.strip_left, b.strip_right, q.top_diameter
)
"""Width of a strip inside the finished rim, mm; 0 for one outside it."""

width_there = _solve_for(
    b.WIDTH_THERE, b.width_there, b.board_width, b.far_width, b.board_length, b.along
)
"""Width of a board at a distance from its end, mm."""

used_area = _solve_for(b.USED_AREA, b.used_area, b.board_width, b.width_there, b.along)
"""Area of a board from its end to where it has a width, mm²."""

circle_area = _solve_for(b.CIRCLE_AREA, b.circle_area, b.rough_diameter)
"""Area of the circle to be covered, mm²."""

waste = _solve_for(b.BOARDS_WASTE, b.boards_waste, b.circle_area, b.boards_area)
"""Share of the area used that is not in the circle."""


def length_needed(diameter: Any, left: Any, right: Any) -> Any:
    """Longest chord covered from `left` to `right` of the centre mark; 0 outside the circle."""
    near = _near_edge(left, right)
    return 0.0 if 2 * near >= diameter else chord_at(diameter, near)
