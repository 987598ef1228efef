"""The crossing with two notches to a post: the three axes meet in one point.

Proofs: `reference/derivations/two_notches.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.engine.source import common_practice, derived
from tablekit.relations import circles, crossing
from tablekit.relations import quantities as q
from tablekit.relations.one_notch import NOTCH_DEPTH_RATIO

DERIVATION = "reference/derivations/two_notches.md"

_section, _length = q.post_section.symbol, q.post_length.symbol
_let_in, _relief = q.notch_depth.symbol, q.notch_relief.symbol

# 54.74 degrees, which is how a maker writes the square crossing, is square enough.
_NEARLY_SQUARE = sp.Rational(2, 10_000)

NOTCH_DEPTH = Relation(
    name="depth of the notches",
    equation=equal(2 * _let_in, _section),
    meaning="Each of the two notches of a post is half as deep as the post is thick.",
    why="Where three square posts meet in one point, square to one another, each keeps a quarter "
    "of its section; two half-depth notches on neighbouring faces leave just that.",
    source=derived(DERIVATION, "what each post keeps"),
    limits=(
        Limit(
            _NEARLY_SQUARE - sp.Abs(sp.cos(q.crossing_angle.symbol)),
            "with two notches the posts stand square to one another, 54.7356° from plumb; any "
            "other lean would need compound notches on two faces of every post, and the kit does "
            'not set those out; write crossing = "one notch" for another lean',
        ),
        Limit(
            -q.axis_offset.symbol,
            "with two notches the axes of the posts meet in one point and there is no offset; "
            "leave axis_offset out",
        ),
    ),
    checks=(
        Check(
            {"post_section": "3 in"},
            {"notch_depth": "1.5 in"},
            common_practice("half-depth notches in a 3 in post"),
        ),
    ),
)

SQUARE_POSTS = Relation(
    name="square posts",
    equation=equal(q.post_width.symbol, _section),
    meaning="With two notches the posts are as wide as they are deep; two notches in a rectangular "
    "post are not set out.",
    why="Each post lies in a notch of both the others, one face to each: only a square section "
    "fits both.",
    source=derived(DERIVATION, "what each post keeps"),
    checks=(
        Check(
            {"post_section": "3 in"},
            {"post_width": "3 in"},
            common_practice("square stock, planed to one setting"),
        ),
    ),
)

CORE = Relation(
    name="core between the notches",
    equation=equal(q.core_side.symbol + _let_in, _section),
    meaning="What the two notches leave whole is a square in one corner of the section.",
    why="One notch takes its depth off the section one way, the other notch the other way.",
    source=derived(DERIVATION, "what each post keeps"),
    checks=(
        Check(
            {"post_section": "64 mm", "notch_depth": "32 mm"},
            {"core_side": "32 mm"},
            derived(DERIVATION, "a quarter of the section"),
        ),
    ),
)

RELIEF_RATIO = Relation(
    name="share of the section a notch is lengthened by",
    equation=equal(_relief, q.relief_ratio.symbol * _section),
    meaning="The lengthening of one notch as a share of the section.",
    why="It says whether the posts can be put together: from one half on they can.",
    source=derived(DERIVATION, "putting it together"),
    checks=(
        Check(
            {"post_section": "64 mm", "notch_relief": "32 mm"},
            {"relief_ratio": "0.500"},
            derived(DERIVATION, "putting it together"),
        ),
    ),
)


def _room(to_end: sp.Expr, depth: Quantity) -> sp.Expr:
    """What is left between the notches, one of them lengthened, and the flat of an end."""
    return to_end - _section / 2 - _relief - depth.symbol / sp.cos(q.splay.symbol)


def _arms() -> tuple[Relation, Relation]:
    position = q.notch_position.symbol
    foot, head = q.foot_arm.symbol, q.head_arm.symbol
    return (
        Relation(
            name="waist to foot",
            equation=equal(foot, position),
            meaning="The waist of a post is the middle of both its notches.",
            why="The axes meet there, on the centre line.",
            source=derived(DERIVATION, "axes through one point"),
            limits=(
                Limit(_room(position, q.foot_flat_depth), "the notches stay clear of the foot"),
            ),
        ),
        Relation(
            name="waist to head",
            equation=equal(foot + head, _length),
            meaning="The two arms make up the post.",
            why="The waist divides the post in two.",
            source=derived(DERIVATION, "axes through one point"),
            limits=(
                Limit(
                    _room(_length - position, q.head_flat_depth),
                    "the notches stay clear of the head",
                ),
            ),
        ),
    )


def relations(way: int) -> tuple[Relation, ...]:
    """Every relation of the crossing with two notches to a post.

    `way` is taken for the sake of one call for every crossing: turned upside down, this one is
    as it was.
    """
    return (
        *crossing.DIRECTIONS,
        SQUARE_POSTS,
        NOTCH_DEPTH,
        NOTCH_DEPTH_RATIO,
        CORE,
        RELIEF_RATIO,
        *crossing.PLACES,
        *_arms(),
        *crossing.HEIGHTS,
        *circles.relations(way),
    )
