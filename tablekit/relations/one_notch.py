"""The crossing with one notch to a post: each post lies in the notch of its neighbour.

Proofs: `reference/derivations/crossing.md` and, for posts that are not square,
`reference/derivations/rectangular_posts.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import circles, crossing
from tablekit.relations import quantities as q

DERIVATION = crossing.DERIVATION
RECTANGULAR = "reference/derivations/rectangular_posts.md"

_deep, _wide = q.post_section, q.post_width
_length, _theta = q.post_length, q.splay
_phi, _tau = q.crossing_angle, q.notch_floor_tilt

NOTCH_DEPTH = Relation(
    name="depth of the notch",
    equation=equal(q.notch_depth + q.axis_offset, (_deep + _wide) / 2),
    meaning="The notch depth is half the depth plus half the width of the post, less the offset of "
    "the axes.",
    why="The notch is cut into the side face of one post, half a width from its axis. The bearing "
    "face of the other is half a depth from its own axis. If the posts were merely laid on one "
    "another, their axes would be the sum of both halves apart.",
    source=derived(RECTANGULAR, "depth of the notch"),
    limits=(
        Limit(q.notch_depth, "the posts are let into one another, not just laid on one another"),
        Limit(_wide - q.notch_depth, "the notch is shallower than the post is wide"),
    ),
    checks=(
        Check(
            {"post_section": "3 in", "post_width": "3 in", "axis_offset": "1.5 in"},
            {"notch_depth": "1.5 in"},
            common_practice("a half-depth notch in a 3 in post"),
        ),
        Check(
            {"post_section": "60 mm", "post_width": "90 mm", "axis_offset": "30 mm"},
            {"notch_depth": "45 mm"},
            derived(RECTANGULAR, "axis to floor nothing: half the width is cut out"),
        ),
    ),
)

NOTCH_DEPTH_RATIO = Relation(
    name="notch depth ratio",
    equation=equal(q.notch_depth, q.notch_depth_ratio * _wide),
    meaning="The depth of the notch as a share of the post width, into which it is cut.",
    why="The ratio shows at a glance how much wood is left at the notch.",
    source=derived(RECTANGULAR, "depth of the notch"),
    checks=(
        Check(
            {"post_width": "3 in", "notch_depth": "1.5 in"},
            {"notch_depth_ratio": "0.500"},
            common_practice("a half-depth notch"),
        ),
    ),
)


def half_notch(deep: sp.Expr, wide: sp.Expr, guest: sp.Expr) -> sp.Expr:
    """Half of what a notch takes up along a post of that section, for a guest of that width."""
    return (guest / 2 + _half_breadth(deep, wide) * sp.Abs(sp.cos(_phi))) / sp.sin(_phi)


def half_seat(deep: sp.Expr, wide: sp.Expr, guest: sp.Expr) -> sp.Expr:
    """Half of what lies in the notch of a post of that section, along a guest of that width."""
    return (_half_breadth(deep, wide) + guest / 2 * sp.Abs(sp.cos(_phi))) / sp.sin(_phi)


def _half_breadth(deep: sp.Expr, wide: sp.Expr) -> sp.Expr:
    """Half the breadth of the notched post, corner to corner, in the plane of the notch floor.
    Using the widest value keeps the limits below on the safe side for a compound notch."""
    return (deep * sp.cos(_tau) + wide * sp.Abs(sp.sin(_tau))) / 2


_HALF_NOTCH, _HALF_SEAT = half_notch(_deep, _wide, _wide), half_seat(_deep, _wide, _wide)


def _rooms(end: str, to_end: sp.Expr, to_seat: sp.Expr, depth: Quantity) -> tuple[Limit, Limit]:
    """Return the limits that keep notch and seat clear of the flat of an end.

    `to_end` is the distance from the centre of the notch to the sharp end of the post, and
    `to_seat` how much farther away the centre of the seat is.
    """
    flat = depth / sp.cos(_theta)
    return (
        Limit(to_end - _HALF_NOTCH - flat, f"the notch stays clear of the {end}"),
        Limit(
            to_end + to_seat - _HALF_SEAT - flat,
            f"the part of the post in the next post's notch stays clear of the {end}",
        ),
    )


def _arms(way: int) -> tuple[Relation, Relation]:
    """Return waist to either end. `way` is +1 with the notches opening up, -1 down."""
    step, p = way * q.waist_step, q.notch_position
    foot, head = q.foot_arm, q.head_arm
    return (
        Relation(
            name="waist to foot",
            equation=equal(foot, p + step),
            meaning="The position of the waist along the post.",
            why="With the notches opening up, the notch of a post is below its waist; with the "
            "notches opening down, it is above.",
            source=derived(DERIVATION, "which side of the waist the notch is on"),
            limits=_rooms("foot", p, 2 * step, q.foot_flat_depth),
        ),
        Relation(
            name="waist to head",
            equation=equal(foot + head, _length),
            meaning="The two arms add up to the length of the post.",
            why="The waist divides the post in two.",
            source=derived(DERIVATION, "which side of the waist the notch is on"),
            limits=_rooms("head", _length - p, -2 * step, q.head_flat_depth),
        ),
    )


def relations(way: int) -> tuple[Relation, ...]:
    """Return every relation of the crossing with one notch to a post.

    `way` is +1 with the notches opening up, -1 with the notches opening down.
    """
    return (
        *crossing.DIRECTIONS,
        NOTCH_DEPTH,
        NOTCH_DEPTH_RATIO,
        *crossing.PLACES,
        *_arms(way),
        *crossing.HEIGHTS,
        *circles.relations(way),
    )
