"""The flats: cutting the sharp corner of a foot or a head level.

Proof: `reference/derivations/flats.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/flats.md"

_climb, _sine = sp.cos(q.splay), sp.sin(q.splay)
_n, _m = q.bearing_rise, q.side_rise

FLAT_RATIO = Relation(
    name="depth-to-diameter ratio of a flat",
    equation=equal(
        q.flat_ratio,
        _climb * _sine + _n * sp.sqrt(_climb**2 + _m**2) + _m * sp.sqrt(_climb**2 + _n**2),
    ),
    meaning="How deep a corner must be cut for a flat of a given width.",
    why="The flat is a triangle; twice its area over its perimeter is the radius of the circle in "
    "it. A more obtuse corner gives a wider flat for the same depth.",
    source=derived(DERIVATION, "depth to diameter"),
    checks=(
        Check(
            {"splay": "54.735610 deg", "bearing_rise": "0.5773503", "side_rise": "0.5773503"},
            {"flat_ratio": "1.41421"},
            derived(DERIVATION, "√2 at the square crossing, where the flat is equilateral"),
        ),
    ),
)


def _flat(end: str, flat: Quantity, depth: Quantity) -> Relation:
    depth_of_post, width_of_post = q.post_section, q.post_width
    words = f"the flat of the {end} stays inside the end of the post (its {{}} edge)"
    return Relation(
        name=f"flat of the {end}",
        equation=equal(flat * q.flat_ratio, 2 * depth),
        meaning=f"The largest circle on the flat of a {end} grows in proportion to the depth cut.",
        why="All flats of one corner are similar triangles.",
        source=derived(DERIVATION, "depth to diameter"),
        limits=(
            Limit(depth_of_post * _n - depth, words.format("bearing")),
            Limit(width_of_post * _m - depth, words.format("side")),
        ),
        checks=(
            Check(
                {depth.name: "10 mm", "flat_ratio": "1.414214"},
                {flat.name: "14.142 mm"},
                derived(DERIVATION, "d√2 across at the square crossing"),
            ),
        ),
    )


def relations() -> tuple[Relation, ...]:
    """Relations for the flats of feet and heads."""
    return (
        FLAT_RATIO,
        _flat("foot", q.foot_flat, q.foot_flat_depth),
        _flat("head", q.head_flat, q.head_flat_depth),
    )
