"""What every crossing of three posts shares: how they lean, turn and pass one another.

Set-up and proofs: `reference/derivations/crossing.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.relation import Check, Relation, equal
from tablekit.engine.source import common_practice, derived, quoted
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/crossing.md"
ISOMETRIC = quoted(
    "ISO 5456-3, isometric axonometry: three axes square to one another, each 35.2644° from the "
    "drawing plane"
)
SOLIDS = derived(DERIVATION, "posts compared as boolean solids")

_deep, _wide = q.post_section.symbol, q.post_width.symbol
_length, _theta = q.post_length.symbol, q.splay.symbol
_phi, _beta, _tau = q.crossing_angle.symbol, q.roll.symbol, q.notch_floor_tilt.symbol
_n, _m, _e = q.bearing_rise.symbol, q.side_rise.symbol, q.axis_offset.symbol

# --- Directions ---------------------------------------------------------------------------

CROSSING_ANGLE = Relation(
    name="angle between posts",
    equation=equal(sp.cos(_phi), 1 - sp.Rational(3, 2) * sp.sin(_theta) ** 2),
    meaning="The lean of the posts settles the angle at which they cross.",
    why="Two unit vectors, leaning equally and turned 120° apart in plan, multiplied together.",
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
    meaning="How far a post is turned about its own length.",
    why="A post's bearing face must lie parallel to its own axis and to that of the post that "
    "carries it; only one turn does that.",
    source=derived(DERIVATION, "roll"),
    checks=(Check({"splay": "54.7356 deg"}, {"roll": "45.000 deg"}, ISOMETRIC),),
)

BEARING_RISE = Relation(
    name="rise square to the bearing face",
    equation=equal(_n, sp.sin(_theta) * sp.sin(_beta)),
    meaning="How steeply the bearing face of a post faces upward.",
    why="Square to the post the steepest climb is sin θ; the roll takes its share of it.",
    source=derived(DERIVATION, "rises"),
    checks=(
        Check({"splay": "54.7356 deg", "roll": "45 deg"}, {"bearing_rise": "0.57735"}, ISOMETRIC),
    ),
)

SIDE_RISE = Relation(
    name="rise square to the side face",
    equation=equal(_m, sp.sin(_theta) * sp.cos(_beta)),
    meaning="How steeply the side face of a post faces upward.",
    why="The roll leaves this share of the steepest climb to the face next to the bearing face.",
    source=derived(DERIVATION, "rises"),
    checks=(
        Check({"splay": "54.7356 deg", "roll": "45 deg"}, {"side_rise": "0.57735"}, ISOMETRIC),
    ),
)

NOTCH_FLOOR_TILT = Relation(
    name="tilt of the notch floor",
    equation=equal(sp.sin(_tau), sp.cos(_phi) / (1 + sp.cos(_phi))),
    meaning="How far the floor of the notch leans out of the post's own face.",
    why="The floor lies along the guest's bearing face, the post's face along its own; "
    "only at the square crossing do the two agree.",
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
    equation=equal(q.notch_width.symbol * sp.sin(_phi), _wide),
    meaning="The guest lies across the post with its width, at the angle φ.",
    why="A strip crossed on the slant takes up its width divided by the sine of the angle.",
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
    equation=equal(2 * sp.cos(_beta) * q.centre_distance.symbol, _e),
    meaning="How far each axis passes from the plumb centre line.",
    why="The three axes are tangents of one circle; moving out along it opens the gap between "
    "neighbours by 2 cos β.",
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
    equation=equal(q.waist_step.symbol, _e / 2 * sp.tan(_theta) * sp.sin(_beta)),
    meaning="The notch and the place where a post lies in its neighbour's notch are equally far "
    "from the waist, on either side of it.",
    why="Where two axes pass closest is found by a step square to both.",
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
    equation=equal(q.corner_height.symbol, _length * sp.cos(_theta) + _deep * _n + _wide * _m),
    meaning="Height of the base from the lowest to the highest corner of an uncut post.",
    why="The axis climbs L cos θ; at each end a corner stands half the depth out square to the "
    "bearing face and half the width out square to the side face, and each of those steps climbs "
    "by its rise.",
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
        q.base_height.symbol + q.foot_flat_depth.symbol + q.head_flat_depth.symbol,
        q.corner_height.symbol,
    ),
    meaning="Cutting the flats takes their depths off the height.",
    why="Both depths are measured plumb.",
    source=derived(DERIVATION, "height over sharp corners"),
)

DIRECTIONS: tuple[Relation, ...] = (CROSSING_ANGLE, ROLL, BEARING_RISE, SIDE_RISE, NOTCH_FLOOR_TILT)
PLACES: tuple[Relation, ...] = (NOTCH_WIDTH, CENTRE_DISTANCE, WAIST_STEP)
HEIGHTS: tuple[Relation, ...] = (CORNER_HEIGHT, BASE_HEIGHT)
