"""The circles of the feet and the heads, seen from above; the same for every crossing.

Proofs: `reference/derivations/circles.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/circles.md"

_deep, _wide = q.post_section, q.post_width
_theta, _beta = q.splay, q.roll
_n, _m = q.bearing_rise, q.side_rise


def _set_back(flat: sp.Expr) -> tuple[sp.Expr, sp.Expr]:
    """Axis to the middle of a flat, square to the bearing face and to the side face."""
    climb, half = sp.cos(_theta), sp.Rational(1, 2)
    return (
        half * (_deep - flat * sp.sqrt(climb**2 + _m**2)),
        half * (_wide - flat * sp.sqrt(climb**2 + _n**2)),
    )


def _reach(end: str, reach: Quantity, arm: Quantity, flat: Quantity) -> Relation:
    square, aside = _set_back(flat)
    along = arm - flat / 2 * sp.sin(_theta)
    return Relation(
        name=f"reach of the {end}",
        equation=equal(
            reach,
            along * sp.sin(_theta)
            - sp.cos(_theta) * (square * sp.sin(_beta) + aside * sp.cos(_beta)),
        ),
        meaning=f"How far out along its lean a post carries the middle of its {end}.",
        why="From the waist along the post to the end, then out to the corner that is cut level "
        "and back to the middle of the flat, all in plan.",
        source=derived(DERIVATION, "reach"),
    )


def _sidestep(end: str, way: int, aside_of: Quantity, flat: Quantity) -> Relation:
    square, aside = _set_back(flat)
    sense = way if end == "head" else -way
    return Relation(
        name=f"sidestep of the {end}",
        equation=equal(
            aside_of,
            q.centre_distance + sense * (square * sp.cos(_beta) - aside * sp.sin(_beta)),
        ),
        meaning=f"How far square to its lean a post carries the middle of its {end}.",
        why="The axis passes the centre line at ρ; the corner that is cut level lies slightly to "
        "one side of the axis. For square posts at the square crossing that offset is 0.",
        source=derived(DERIVATION, "sidestep"),
    )


def _radius(end: str, radius: Quantity, reach: Quantity, sidestep: Quantity) -> Relation:
    plural = {"foot": "feet", "head": "heads"}[end]
    return Relation(
        name=f"circle of the {plural}",
        equation=equal(radius**2, reach**2 + sidestep**2),
        meaning=f"Radius of the circle through the middles of the three {plural}.",
        why="Pythagoras: reach and sidestep are at right angles in plan.",
        source=derived(DERIVATION, "radius"),
    )


FOOT_SPREAD = Relation(
    name="foot to foot",
    equation=equal(q.foot_spread, sp.sqrt(3) * q.foot_radius),
    meaning="The three feet stand at the corners of an equilateral triangle.",
    why="The chord of a third of a circle is √3 times its radius.",
    source=derived(DERIVATION, "foot to foot"),
    checks=(
        Check(
            {"foot_radius": "408.248 mm"},
            {"foot_spread": "707.11 mm"},
            derived(DERIVATION, "three 1 m rods square to one another"),
        ),
    ),
)


def relations(way: int) -> tuple[Relation, ...]:
    """Circles of the feet and the heads.

    `way` is +1 with the notches opening up, -1 with the notches opening down.
    """
    return (
        _reach("foot", q.foot_reach, q.foot_arm, q.foot_flat),
        _reach("head", q.head_reach, q.head_arm, q.head_flat),
        _sidestep("foot", way, q.foot_sidestep, q.foot_flat),
        _sidestep("head", way, q.head_sidestep, q.head_flat),
        _radius("foot", q.foot_radius, q.foot_reach, q.foot_sidestep),
        _radius("head", q.head_radius, q.head_reach, q.head_sidestep),
        FOOT_SPREAD,
    )
