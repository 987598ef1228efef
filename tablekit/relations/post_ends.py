"""The ends of the posts: the flats that they stand and bear on, and how far out they reach in plan.

A flat cuts the sharp corner of a foot or a head level. Its middle is not the outermost part of an
end: the end is sawn square to a leaning post, so its lower corner at the head, and its upper corner
at the foot, lie farther out. Proofs: `reference/derivations/flats.md`, and "the outermost corners
of an end" in `reference/derivations/circles.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Check, Limit, Relation, Requirement, equal
from tablekit.relations import quantities as q

# -- the flats -------------------------------------------------------------------------------------

FLATS = "reference/derivations/flats.md"

_climb, _sine = sp.cos(q.splay), sp.sin(q.splay)
_n, _m = q.bearing_rise, q.side_rise

FLAT_RATIO = Relation(
    name="depth-to-diameter ratio of a flat",
    equation=equal(
        q.flat_ratio,
        _climb * _sine + _n * sp.sqrt(1 - _n**2) + _m * sp.sqrt(1 - _m**2),
    ),
    meaning="How deep a corner must be cut for a flat of a given width.",
    why="The flat is a triangle; twice its area over its perimeter is the radius of the circle in "
    "it. A more obtuse corner gives a wider flat for the same depth.",
    source=derived(FLATS, "depth to diameter"),
    checks=(
        Check(
            {"splay": "54.735610 deg", "bearing_rise": "0.5773503", "side_rise": "0.5773503"},
            {"flat_ratio": "1.41421"},
            derived(FLATS, "√2 at the square crossing, where the flat is equilateral"),
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
        source=derived(FLATS, "depth to diameter"),
        limits=(
            Limit(depth_of_post * _n - depth, words.format("bearing")),
            Limit(width_of_post * _m - depth, words.format("side")),
        ),
        checks=(
            Check(
                {depth.name: "10 mm", "flat_ratio": "1.414214"},
                {flat.name: "14.142 mm"},
                derived(FLATS, "d√2 across at the square crossing"),
            ),
        ),
    )


def flat_relations() -> tuple[Relation, ...]:
    """Relations for the flats of feet and heads."""
    return (
        FLAT_RATIO,
        _flat("foot", q.foot_flat, q.foot_flat_depth),
        _flat("head", q.head_flat, q.head_flat_depth),
    )


# -- reach, corner by corner, and the top that covers the heads ------------------------------------

DERIVATION = "reference/derivations/circles.md"
HEADING = "the outermost corners of an end"
# How far the suggested top projects beyond the heads, mm: our own choice.
SPARE = 10

_WHERE = {
    "outer": "that lies farthest along the lean",
    "near": "on the side where the post passes the centre line",
    "off": "on the side away from the one where the post passes the centre line",
}


def _corner_quantity(end: str, which: str, letter: str) -> Quantity:
    return Quantity(
        f"{end}_{which}_corner",
        f"R_{end[0]}{letter}",
        "mm",
        f"in plan, centre line to the corner of a {end} {_WHERE[which]}",
        1,
        5000,
        latex=f"R_{{{end[0]}{letter}}}",
    )


head_outer_corner, head_near_corner, head_off_corner = (
    _corner_quantity("head", which, letter) for which, letter in zip(_WHERE, "123", strict=True)
)
foot_outer_corner, foot_near_corner, foot_off_corner = (
    _corner_quantity("foot", which, letter) for which, letter in zip(_WHERE, "123", strict=True)
)
head_extent = Quantity(
    "head_extent", "R_h", "mm", "in plan, centre line to the outermost corner of a head", 1, 5000,
    latex="R_h",
)  # fmt: skip
foot_extent = Quantity(
    "foot_extent", "R_f", "mm", "in plan, centre line to the outermost corner of a foot", 1, 5000,
    latex="R_f",
)  # fmt: skip
head_beyond_rim = Quantity(
    "head_beyond_rim", "x_rh", "mm",
    "in plan, rim to the outermost corner of a head; negative where the top covers the head",
    -1500, 3000, latex="x_{rh}",
)  # fmt: skip
foot_beyond_rim = Quantity(
    "foot_beyond_rim", "x_rf", "mm",
    "in plan, rim to the outermost corner of a foot; negative where the foot is under the top",
    -1500, 3000, latex="x_{rf}",
)  # fmt: skip
covering_diameter = Quantity(
    "covering_diameter", "D_c", "mm",
    "diameter of a round top that covers the heads with 10 mm to spare", 1, 10000, latex="D_c",
)  # fmt: skip

QUANTITIES = (
    head_outer_corner, head_near_corner, head_off_corner, head_extent,
    foot_outer_corner, foot_near_corner, foot_off_corner, foot_extent,
    head_beyond_rim, foot_beyond_rim, covering_diameter,
)  # fmt: skip

_theta, _beta, _rho = q.splay, q.roll, q.centre_distance
# Half the depth and half the width of the post, seen along the lean's plan direction and across it.
_half_deep, _half_wide = q.post_section / 2, q.post_width / 2
_SUM_OUT = _half_deep * sp.sin(_beta) + _half_wide * sp.cos(_beta)
_SUM_ASIDE = _half_deep * sp.cos(_beta) - _half_wide * sp.sin(_beta)
_DIFFERENCE_OUT = _half_deep * sp.sin(_beta) - _half_wide * sp.cos(_beta)
_DIFFERENCE_ASIDE = _half_deep * sp.cos(_beta) + _half_wide * sp.sin(_beta)

_PLAIN = {
    "splay": "54.7356103 deg", "roll": "45 deg", "centre_distance": "22.627417 mm",
    "post_section": "64 mm", "post_width": "64 mm",
}  # fmt: skip
# From the cube: √(|v|² − (Σv)²/3) with v the corner's place along the cube's edges.
_EXAMPLES = {
    "head_arm": ("484 mm", ("421.919 mm", "400.972 mm", "395.832 mm")),
    "foot_arm": ("516 mm", ("448.012 mm", "426.746 mm", "421.919 mm")),
}


def _corner(
    found: Quantity, arm: Quantity, outward: sp.Expr, aside: sp.Expr, expected: str
) -> Relation:
    """One corner: `outward` along the lean from the end of the axis, `aside` from the centre."""
    end = found.name.split("_")[0]
    return Relation(
        name=found.name.replace("_", " "),
        equation=equal(
            found,
            sp.sqrt((arm * sp.sin(_theta) + sp.cos(_theta) * outward) ** 2 + aside**2),
        ),
        meaning=f"How far from the centre line this corner of a {end} lies in plan.",
        why="From the waist along the post to its end, then half a depth and half a width out to "
        "the corner; the part along the lean and the part square to it meet at a right angle.",
        source=derived(DERIVATION, HEADING),
        checks=(
            Check(
                {**_PLAIN, arm.name: _EXAMPLES[arm.name][0]},
                {found.name: expected},
                derived(DERIVATION, "corners of an end laid along the edges of a cube"),
            ),
        ),
    )


def _corners(end: str, way: int) -> tuple[Relation, ...]:
    """The three corners left at an end once its sharp corner is cut level."""
    arm, outer, near, off = {
        "head": (q.head_arm, head_outer_corner, head_near_corner, head_off_corner),
        "foot": (q.foot_arm, foot_outer_corner, foot_near_corner, foot_off_corner),
    }[end]
    upward = 1 if end == "head" else -1  # the outermost corner of a head is its lowest
    sense = way * upward
    expected = _EXAMPLES[arm.name][1]
    return (
        _corner(outer, arm, _SUM_OUT, _rho - sense * _SUM_ASIDE, expected[0]),
        _corner(near, arm, -sense * _DIFFERENCE_OUT, _rho + _DIFFERENCE_ASIDE, expected[1]),
        _corner(off, arm, sense * _DIFFERENCE_OUT, _rho - _DIFFERENCE_ASIDE, expected[2]),
    )


def _extent(end: str, found: Quantity, corners: tuple[Quantity, ...], arm: Quantity) -> Relation:
    cut_off = arm * sp.sin(_theta) * sp.cos(_theta) * _SUM_OUT - _rho * sp.Abs(_SUM_ASIDE)
    given = dict(zip((c.name for c in corners), ("420 mm", "401 mm", "396 mm"), strict=True))
    return Relation(
        name=f"outermost reach of a {end}",
        equation=equal(found, sp.Max(*(corner for corner in corners))),
        meaning=f"The farthest that any part of a {end} lies from the centre line in plan.",
        why="On a solid with flat faces, the point farthest from a plumb line is a corner. The "
        "fourth corner lay nearer and is cut away for the flat.",
        source=derived(DERIVATION, HEADING),
        limits=(
            Limit(
                cut_off,
                f"the sharp corner of the {end}, which is cut off, is not its outermost one",
                otherwise="leave out",
            ),
        ),
        checks=(
            Check(
                {**given, **_PLAIN, arm.name: "484 mm"},
                {found.name: "420 mm"},
                derived(DERIVATION, HEADING),
            ),
        ),
    )  # fmt: skip


def _beyond_rim(end: str, found: Quantity, extent: Quantity) -> Relation:
    return Relation(
        name=f"{end} beyond the rim",
        equation=equal(found, extent - q.top_diameter / 2),
        meaning=f"How far the outermost corner of a {end} projects beyond the rim.",
        why="Top and posts share the centre line.",
        source=derived(DERIVATION, HEADING),
        checks=(
            Check(
                {"top_diameter": "900 mm", extent.name: "485 mm"},
                {found.name: "35 mm"},
                derived(DERIVATION, HEADING),
            ),
        ),
    )


COVERING_DIAMETER = Relation(
    name="top that covers the heads",
    equation=equal(covering_diameter, 2 * (head_extent + SPARE * q.MILLIMETRE)),
    meaning="A top of this diameter hides the heads from above.",
    why="Its rim passes 10 mm outside the outermost corner of each head; a flush rim would show "
    "every small error.",
    source=derived(DERIVATION, HEADING),
    checks=(
        Check(
            {"head_extent": "420 mm"}, {"covering_diameter": "860 mm"}, derived(DERIVATION, HEADING)
        ),
    ),
)

HEADS_COVERED = Requirement(
    id="heads_in_rim",
    name="heads beyond the rim",
    quantity="head_beyond_rim",
    source=common_practice("our own choice: no part of a head shows from above"),
    good=(None, 0),
    too_high="The lower corners of the heads project beyond the rim: they show from above, and "
    "hips and knees hit them.",
    mend_high="Make the top {covering_diameter} across with the heads where they are (in the "
    "brief, head_radius instead of overhang), or lean the posts less.",
    fine="The heads do not show from above.",
)

FEET_OUT: dict[str, Requirement] = {
    kind: Requirement(
        id="feet_beyond_rim",
        name=f"feet beyond the {round_top}",
        quantity="foot_beyond_rim",
        source=common_practice(f"our own choice of limits: {out} mm beyond the {round_top}{why}"),
        good=(None, out),
        too_high=f"The feet project beyond the {round_top} where people put theirs: toes hit them, "
        "and people walking past trip.",
        mend_high=f"Make the {wider} wider or the foot circle smaller, as far as the tipping load "
        "allows.",
        fine=f"The feet are under the {round_top} or close to it.",
    )
    for kind, round_top, wider, out, why in (
        ("table", "rim", "top", 50, ""),
        # Three feet that hold a leaning sitter (EN 1022) stand some 140 mm beyond a seat of 400 mm.
        ("stool", "seat", "seat", 160, ", little more than a sitter who leans needs"),
    )
}


def relations(way: int) -> tuple[Relation, ...]:
    """Corners and outermost reaches of feet and heads, and the top that covers the heads.

    `way` is +1 with the notches opening up, -1 with the notches opening down.
    """
    head = (head_outer_corner, head_near_corner, head_off_corner)
    foot = (foot_outer_corner, foot_near_corner, foot_off_corner)
    return (
        *_corners("head", way),
        _extent("head", head_extent, head, q.head_arm),
        *_corners("foot", way),
        _extent("foot", foot_extent, foot, q.foot_arm),
        _beyond_rim("head", head_beyond_rim, head_extent),
        _beyond_rim("foot", foot_beyond_rim, foot_extent),
        COVERING_DIAMETER,
    )
