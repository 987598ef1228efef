"""Relations common to every crossing of three posts: their lean, roll and offset.

Set-up and proofs: `reference/derivations/crossing.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import common_practice, derived, quoted
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/crossing.md"
ISOMETRIC = quoted(
    "ISO 5456-3, isometric axonometry: three axes square to one another, each 35.2644° from the "
    "drawing plane"
)
SOLIDS = derived(DERIVATION, "posts compared as boolean solids")

_deep, _wide = q.post_section, q.post_width
_length, _theta = q.post_length, q.splay
_phi, _beta, _tau = q.crossing_angle, q.roll, q.notch_floor_tilt
_n, _m, _e = q.bearing_rise, q.side_rise, q.axis_offset

# --- Directions ---------------------------------------------------------------------------

CROSSING_ANGLE = Relation(
    name="angle between posts",
    equation=equal(sp.cos(_phi), 1 - sp.Rational(3, 2) * sp.sin(_theta) ** 2),
    meaning="The lean of the posts fixes the angle at which they cross.",
    why="Cos φ is the scalar product of two unit vectors with equal lean, 120° apart in plan.",
    source=derived(DERIVATION, "angle between two posts"),
    checks=(
        Check({"splay": "54.7356 deg"}, {"crossing_angle": "90.000 deg"}, ISOMETRIC),
        Check({"splay": "45 deg"}, {"crossing_angle": "75.52 deg"}, SOLIDS),
        Check({"splay": "30 deg"}, {"crossing_angle": "51.32 deg"}, SOLIDS),
    ),
)

ROLL = Relation(
    name="roll of a post",
    equation=equal(sp.tan(_beta), 1 / (sp.sqrt(3) * sp.cos(_theta))),
    meaning="The angle by which a post is rotated about its own axis.",
    why="The bearing face of a post must be parallel to its own axis and to that of the post that "
    "carries it. Only one rotation satisfies both.",
    source=derived(DERIVATION, "roll"),
    checks=(Check({"splay": "54.7356 deg"}, {"roll": "45.000 deg"}, ISOMETRIC),),
)

BEARING_RISE = Relation(
    name="rise square to the bearing face",
    equation=equal(_n, sp.sin(_theta) * sp.sin(_beta)),
    meaning="The vertical rise per unit step square to the bearing face.",
    why="Square to the post, the steepest rise is sin θ. The bearing face takes sin β of it.",
    source=derived(DERIVATION, "rises"),
    checks=(
        Check({"splay": "54.7356 deg", "roll": "45 deg"}, {"bearing_rise": "0.57735"}, ISOMETRIC),
    ),
)

SIDE_RISE = Relation(
    name="rise square to the side face",
    equation=equal(_m, sp.sin(_theta) * sp.cos(_beta)),
    meaning="The vertical rise per unit step square to the side face.",
    why="Square to the post, the steepest rise is sin θ. The side face takes cos β of it.",
    source=derived(DERIVATION, "rises"),
    checks=(
        Check({"splay": "54.7356 deg", "roll": "45 deg"}, {"side_rise": "0.57735"}, ISOMETRIC),
    ),
)

NOTCH_FLOOR_TILT = Relation(
    name="tilt of the notch floor",
    equation=equal(sp.sin(_tau), sp.cos(_phi) / (1 + sp.cos(_phi))),
    meaning="The angle between the notch floor and the face of the post.",
    why="The floor is parallel to the bearing face of the crossing post, and the face of the "
    "notched post to its own. They agree only at the square crossing.",
    source=derived(DERIVATION, "tilt of the notch floor"),
    checks=(
        Check({"crossing_angle": "90 deg"}, {"notch_floor_tilt": "0.00 deg"}, SOLIDS),
        Check({"crossing_angle": "75.52 deg"}, {"notch_floor_tilt": "11.54 deg"}, SOLIDS),
        Check({"crossing_angle": "51.32 deg"}, {"notch_floor_tilt": "22.62 deg"}, SOLIDS),
    ),
)

# --- Notch and waist ----------------------------------------------------------------------

NOTCH_WIDTH = Relation(
    name="width of the notch",
    equation=equal(q.notch_width * sp.sin(_phi), _wide),
    meaning="The crossing post lies across the notched post with its width, at angle φ.",
    why="A strip crossed at an angle takes up its width divided by the sine of the angle.",
    source=derived(DERIVATION, "width of the notch"),
    checks=(
        Check(
            {"post_width": "3 in", "crossing_angle": "90 deg"},
            {"notch_width": "3.00 in"},
            common_practice("a square notch is as wide as the post that lies in it"),
        ),
    ),
)

CENTRE_DISTANCE = Relation(
    name="axis to centre line",
    equation=equal(2 * sp.cos(_beta) * q.centre_distance, _e),
    meaning="The shortest distance from the vertical centre line to each axis.",
    why="The three axes touch one circle in plan. Moving them outward by one unit increases the "
    "distance between neighbours by 2 cos β.",
    source=derived(DERIVATION, "axis to centre line"),
    checks=(
        Check(
            {"axis_offset": "32 mm", "roll": "45 deg"},
            {"centre_distance": "22.627 mm"},
            derived(DERIVATION, "e/√2 at the square crossing"),
        ),
    ),
)

WAIST_STEP = Relation(
    name="notch to waist",
    equation=equal(q.waist_step, _e / 2 * sp.tan(_theta) * sp.sin(_beta)),
    meaning="The notch, and the place where the post lies in its neighbour's notch, are at equal "
    "distances from the waist, on opposite sides of it.",
    why="The nearest points of two axes are found by a step square to both.",
    source=derived(DERIVATION, "notch to waist"),
    checks=(
        Check(
            {"axis_offset": "32 mm", "splay": "54.7356 deg", "roll": "45 deg"},
            {"waist_step": "16.000 mm"},
            derived(DERIVATION, "e/2 at the square crossing"),
        ),
    ),
)

# --- Heights of the base ------------------------------------------------------------------

CORNER_HEIGHT = Relation(
    name="height over sharp corners",
    equation=equal(q.corner_height, _length * sp.cos(_theta) + _deep * _n + _wide * _m),
    meaning="The height from the lowest to the highest corner of the uncut base.",
    why="The axis rises L cos θ. At each end, a corner is half the depth out from the axis, square "
    "to the bearing face, and half the width out, square to the side face. Each of these steps "
    "rises by its own ratio.",
    source=derived(DERIVATION, "height over sharp corners"),
    checks=(
        Check(
            {
                "post_length": "1000 mm",
                "post_section": "64 mm",
                "post_width": "64 mm",
                "splay": "54.7356103 deg",
                "bearing_rise": "0.57735027",
                "side_rise": "0.57735027",
            },
            {"corner_height": "651.251 mm"},
            SOLIDS,
        ),
    ),
)

BASE_HEIGHT = Relation(
    name="height of the base",
    equation=equal(
        q.base_height + q.foot_flat_depth + q.head_flat_depth,
        q.corner_height,
    ),
    meaning="Cutting the flats reduces the height by their depths.",
    why="Both depths are measured vertically.",
    source=derived(DERIVATION, "height over sharp corners"),
)

DIRECTIONS: tuple[Relation, ...] = (CROSSING_ANGLE, ROLL, BEARING_RISE, SIDE_RISE, NOTCH_FLOOR_TILT)
PLACES: tuple[Relation, ...] = (NOTCH_WIDTH, CENTRE_DISTANCE, WAIST_STEP)
HEIGHTS: tuple[Relation, ...] = (CORNER_HEIGHT, BASE_HEIGHT)
