"""The crossing with two notches to a post: the three axes meet in one point.

Proofs: `reference/derivations/two_notches.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import circles, crossing
from tablekit.relations import quantities as q
from tablekit.relations.one_notch import NOTCH_DEPTH_RATIO

DERIVATION = "reference/derivations/two_notches.md"

_section, _length = q.post_section, q.post_length
_let_in, _relief = q.notch_depth, q.notch_relief

# Makers write the square crossing as 54.74 degrees, which is close enough.
_NEARLY_SQUARE = sp.Rational(2, 10_000)

NOTCH_DEPTH = Relation(
    name="depth of the notches",
    equation=equal(2 * _let_in, _section),
    meaning="Each of the two notches in a post is half as deep as the post is thick.",
    why="Where three square posts meet in one point, square to one another, each keeps a quarter "
    "of its section. Two half-depth notches on adjacent faces leave exactly that.",
    source=derived(DERIVATION, "what each post keeps"),
    limits=(
        Limit(
            _NEARLY_SQUARE - sp.Abs(sp.cos(q.crossing_angle)),
            "with two notches, the posts stand square to one another, 54.7356° from the vertical; "
            "any other lean needs compound notches in two faces of every post, which the kit does "
            'not set out; for another lean, write crossing = "one notch"',
        ),
        Limit(
            -q.axis_offset,
            "with two notches, the axes of the posts meet in one point, so the offset is 0; leave "
            "out axis_offset",
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
    equation=equal(q.post_width, _section),
    meaning="With two notches, the posts are as wide as they are deep; the kit does not set out "
    "two notches in a rectangular post.",
    why="Each post lies in a notch of both the others, with one face in each. Only a square "
    "section fits both.",
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
    equation=equal(q.core_side + _let_in, _section),
    meaning="The two notches leave a square in one corner of the section.",
    why="One notch takes its depth from the section in one direction, the other in the other "
    "direction.",
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
    name="extra length of a notch as a share of the section",
    equation=equal(_relief, q.relief_ratio * _section),
    meaning="The extra length of one notch as a share of the section.",
    why="It shows whether the posts can be assembled: from one half, they can.",
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
    """Return the length left between the notches, one of them lengthened, and an end flat."""
    return to_end - _section / 2 - _relief - depth / sp.cos(q.splay)


def _arms() -> tuple[Relation, Relation]:
    position = q.notch_position
    foot, head = q.foot_arm, q.head_arm
    return (
        Relation(
            name="waist to foot",
            equation=equal(foot, position),
            meaning="The waist of a post is at the centre of both its notches.",
            why="The axes meet there, on the centre line.",
            source=derived(DERIVATION, "axes through one point"),
            limits=(
                Limit(_room(position, q.foot_flat_depth), "the notches stay clear of the foot"),
            ),
        ),
        Relation(
            name="waist to head",
            equation=equal(foot + head, _length),
            meaning="The two arms add up to the length of the post.",
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
    """Return every relation of the crossing with two notches to a post.

    `way` is there so that every crossing has the same call: this one is the same upside down.
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
