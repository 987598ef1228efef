"""The crossing: how three posts lean, turn and pass one another.

Set-up and proofs: `reference/derivations/crossing.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Check, Limit, Relation
from tablekit.engine.source import common_practice, derived, from_memory
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/crossing.md"
ISOMETRIC = from_memory(
    "ISO 5456-3, isometric axonometry: three axes square to one another, each 35.2644° from the "
    "drawing plane (angle read in mathematics texts, the standard not seen)"
)
SOLIDS = derived(DERIVATION, "posts compared as boolean solids")

_w, _length, _theta = q.post_section.symbol, q.post_length.symbol, q.splay.symbol
_phi, _beta, _tau = q.pair_angle.symbol, q.roll.symbol, q.floor_tilt.symbol
_n, _m, _e = q.bearing_rise.symbol, q.side_rise.symbol, q.axis_offset.symbol

# --- Directions ---------------------------------------------------------------------------

PAIR_ANGLE = Relation(
    name="angle between posts",
    equation=sp.Eq(sp.cos(_phi), 1 - sp.Rational(3, 2) * sp.sin(_theta) ** 2),
    meaning="The lean of the posts settles the angle at which they cross.",
    why="Two unit vectors, leaning equally and turned 120° apart in plan, multiplied together.",
    source=derived(DERIVATION, "angle between two posts"),
    checks=(
        Check({"splay": "54.7356 deg"}, {"pair_angle": "90.000 deg"}, ISOMETRIC),
        Check({"splay": "45 deg"}, {"pair_angle": "75.52 deg"}, SOLIDS),
        Check({"splay": "30 deg"}, {"pair_angle": "51.32 deg"}, SOLIDS),
    ),
)

ROLL = Relation(
    name="roll of a post",
    equation=sp.Eq(sp.tan(_beta), 1 / (sp.sqrt(3) * sp.cos(_theta))),
    meaning="How far a post is turned about its own length.",
    why="A post's bearing face must lie parallel to its own axis and to that of the post that "
    "carries it; only one turn does that.",
    source=derived(DERIVATION, "roll"),
    checks=(Check({"splay": "54.7356 deg"}, {"roll": "45.000 deg"}, ISOMETRIC),),
)

BEARING_RISE = Relation(
    name="rise square to the bearing face",
    equation=sp.Eq(_n, sp.sin(_theta) * sp.sin(_beta)),
    meaning="How steeply the bearing face of a post faces upward.",
    why="Square to the post the steepest climb is sin θ; the roll takes its share of it.",
    source=derived(DERIVATION, "rises"),
    checks=(
        Check({"splay": "54.7356 deg", "roll": "45 deg"}, {"bearing_rise": "0.57735"}, ISOMETRIC),
    ),
)

SIDE_RISE = Relation(
    name="rise square to the side face",
    equation=sp.Eq(_m, sp.sin(_theta) * sp.cos(_beta)),
    meaning="How steeply the side face of a post faces upward.",
    why="The roll leaves this share of the steepest climb to the face next to the bearing face.",
    source=derived(DERIVATION, "rises"),
    checks=(
        Check({"splay": "54.7356 deg", "roll": "45 deg"}, {"side_rise": "0.57735"}, ISOMETRIC),
    ),
)

FLOOR_TILT = Relation(
    name="tilt of the notch floor",
    equation=sp.Eq(sp.sin(_tau), sp.cos(_phi) / (1 + sp.cos(_phi))),
    meaning="How far the floor of the notch leans out of the post's own face.",
    why="The floor lies along the guest's bearing face, the post's face along its own; "
    "only at the square crossing do the two agree.",
    source=derived(DERIVATION, "tilt of the notch floor"),
    checks=(
        Check({"pair_angle": "90 deg"}, {"floor_tilt": "0.00 deg"}, SOLIDS),
        Check({"pair_angle": "75.52 deg"}, {"floor_tilt": "11.54 deg"}, SOLIDS),
        Check({"pair_angle": "51.32 deg"}, {"floor_tilt": "22.62 deg"}, SOLIDS),
    ),
)

# --- Notch and waist ----------------------------------------------------------------------

LET_IN = Relation(
    name="depth of the notch",
    equation=sp.Eq(q.let_in.symbol + _e, _w),
    meaning="What one post is let into the other is what the axes are short of one section apart.",
    why="Posts merely laid on one another have their axes one section apart.",
    source=derived(DERIVATION, "depth of the notch"),
    limits=(
        Limit(q.let_in.symbol, "the posts are let into one another, not just laid on each other"),
        Limit(_w - q.let_in.symbol, "the notch is shallower than the post"),
    ),
    checks=(
        Check(
            {"post_section": "3 in", "axis_offset": "1.5 in"}, {"let_in": "1.5 in"},
            common_practice("a half-depth notch in a 3 in post"),
        ),
    ),
)

LET_IN_RATIO = Relation(
    name="share of the section let in",
    equation=sp.Eq(q.let_in.symbol, q.let_in_ratio.symbol * _w),
    meaning="The depth of the notch as a share of the section.",
    why="It says at a glance how much wood the notch leaves standing.",
    source=derived(DERIVATION, "depth of the notch"),
    checks=(
        Check(
            {"post_section": "3 in", "let_in": "1.5 in"}, {"let_in_ratio": "0.500"},
            common_practice("a half-depth notch"),
        ),
    ),
)

NOTCH_WIDTH = Relation(
    name="width of the notch",
    equation=sp.Eq(q.notch_width.symbol * sp.sin(_phi), _w),
    meaning="The guest, one section wide, crosses the post at the angle φ.",
    why="A strip crossed on the slant takes up its width divided by the sine of the angle.",
    source=derived(DERIVATION, "width of the notch"),
    checks=(
        Check(
            {"post_section": "3 in", "pair_angle": "90 deg"}, {"notch_width": "3.00 in"},
            common_practice("a square notch is as wide as the post that lies in it"),
        ),
    ),
)

CENTRE_DISTANCE = Relation(
    name="axis to centre line",
    equation=sp.Eq(2 * sp.cos(_beta) * q.centre_distance.symbol, _e),
    meaning="How far each axis passes from the plumb centre line.",
    why="The three axes are tangents of one circle; moving out along it opens the gap between "
    "neighbours by 2 cos β.",
    source=derived(DERIVATION, "axis to centre line"),
    checks=(
        Check(
            {"axis_offset": "32 mm", "roll": "45 deg"}, {"centre_distance": "22.627 mm"},
            derived(DERIVATION, "e/√2 at the square crossing"),
        ),
    ),
)

WAIST_STEP = Relation(
    name="notch to waist",
    equation=sp.Eq(q.waist_step.symbol, _e / 2 * sp.tan(_theta) * sp.sin(_beta)),
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


# A corner-to-corner width of the post as the notch floor sees it, in half sections. Taking it at
# its widest keeps the limits below on the safe side where the notch is a compound cut.
_ACROSS = sp.cos(_tau) + sp.Abs(sp.sin(_tau))
_HALF_NOTCH = _w / 2 * (1 + _ACROSS * sp.Abs(sp.cos(_phi))) / sp.sin(_phi)
_HALF_SEAT = _w / 2 * (_ACROSS + sp.Abs(sp.cos(_phi))) / sp.sin(_phi)


def _room_at_end(to_end: sp.Expr, half_cut: sp.Expr, depth: Quantity) -> sp.Expr:
    """What is left between the far edge of a cut at the crossing and the flat of an end.

    `to_end` is the distance from the middle of the cut to the sharp end of the post.
    """
    return to_end - half_cut - depth.symbol / sp.cos(_theta)


def _arms(way: int) -> tuple[Relation, Relation]:
    """Waist to either end. `way` is +1 with the notches opening up, -1 down."""
    step, p = q.waist_step.symbol, q.notch_position.symbol
    foot, head = q.foot_arm.symbol, q.head_arm.symbol
    seat = p + 2 * way * step
    return (
        Relation(
            name="waist to foot",
            equation=sp.Eq(foot, p + way * step),
            meaning="Where the waist lies along the post.",
            why="With the notches opening up, a post's own notch is below its waist; "
            "with the notches opening down it is above.",
            source=derived(DERIVATION, "which side of the waist the notch is on"),
            limits=(
                Limit(
                    _room_at_end(p, _HALF_NOTCH, q.foot_flat_depth),
                    "the notch stays clear of the foot",
                ),
                Limit(
                    _room_at_end(seat, _HALF_SEAT, q.foot_flat_depth),
                    "the place that lies in the next post's notch stays clear of the foot",
                ),
            ),
        ),
        Relation(
            name="waist to head",
            equation=sp.Eq(foot + head, _length),
            meaning="The two arms make up the post.",
            why="The waist divides the post in two.",
            source=derived(DERIVATION, "which side of the waist the notch is on"),
            limits=(
                Limit(
                    _room_at_end(_length - p, _HALF_NOTCH, q.head_flat_depth),
                    "the notch stays clear of the head",
                ),
                Limit(
                    _room_at_end(_length - seat, _HALF_SEAT, q.head_flat_depth),
                    "the place that lies in the next post's notch stays clear of the head",
                ),
            ),
        ),
    )


# --- Heights of the base ------------------------------------------------------------------

CORNER_HEIGHT = Relation(
    name="height over sharp corners",
    equation=sp.Eq(q.corner_height.symbol, _length * sp.cos(_theta) + _w * (_n + _m)),
    meaning="Height of the base from the lowest to the highest corner of an uncut post.",
    why="The axis climbs L cos θ; at each end a corner stands half a section out along both "
    "faces, and each of those steps climbs by its rise.",
    source=derived(DERIVATION, "height over sharp corners"),
    checks=(
        Check(
            {
                "post_length": "1000 mm", "post_section": "64 mm", "splay": "54.7356103 deg",
                "bearing_rise": "0.57735027", "side_rise": "0.57735027",
            },
            {"corner_height": "651.251 mm"},
            SOLIDS,
        ),
    ),
)

BASE_HEIGHT = Relation(
    name="height of the base",
    equation=sp.Eq(
        q.base_height.symbol + q.foot_flat_depth.symbol + q.head_flat_depth.symbol,
        q.corner_height.symbol,
    ),
    meaning="Cutting the flats takes their depths off the height.",
    why="Both depths are measured plumb.",
    source=derived(DERIVATION, "height over sharp corners"),
)

# --- Circles in plan ----------------------------------------------------------------------


def _set_back(flat: sp.Expr) -> tuple[sp.Expr, sp.Expr]:
    """The middle of a flat, from the axis, square to the bearing face and to the side face."""
    climb, half = sp.cos(_theta), sp.Rational(1, 2)
    return (
        half * (_w - flat * sp.sqrt(climb**2 + _m**2)),
        half * (_w - flat * sp.sqrt(climb**2 + _n**2)),
    )


def _reach(end: str, reach: Quantity, arm: Quantity, flat: Quantity) -> Relation:
    square, aside = _set_back(flat.symbol)
    along = arm.symbol - flat.symbol / 2 * sp.sin(_theta)
    return Relation(
        name=f"reach of the {end}",
        equation=sp.Eq(
            reach.symbol,
            along * sp.sin(_theta)
            - sp.cos(_theta) * (square * sp.sin(_beta) + aside * sp.cos(_beta)),
        ),
        meaning=f"How far out along its lean a post carries the middle of its {end}.",
        why="From the waist along the post to the end, then out to the corner that is cut "
        "level and back to the middle of the flat, all seen from above.",
        source=derived("reference/derivations/circles.md", "reach"),
    )


def _sidestep(end: str, way: int, aside_of: Quantity, flat: Quantity) -> Relation:
    square, aside = _set_back(flat.symbol)
    sense = way if end == "head" else -way
    return Relation(
        name=f"sidestep of the {end}",
        equation=sp.Eq(
            aside_of.symbol,
            q.centre_distance.symbol
            + sense * (square * sp.cos(_beta) - aside * sp.sin(_beta)),
        ),
        meaning=f"How far square to its lean a post carries the middle of its {end}.",
        why="The axis passes the centre line at ρ; the corner cut level lies a little to one "
        "side of the axis. At the square crossing that little is nothing.",
        source=derived("reference/derivations/circles.md", "sidestep"),
    )


def _radius(end: str, radius: Quantity, reach: Quantity, sidestep: Quantity) -> Relation:
    plural = {"foot": "feet", "head": "heads"}[end]
    return Relation(
        name=f"circle of the {plural}",
        equation=sp.Eq(radius.symbol**2, reach.symbol**2 + sidestep.symbol**2),
        meaning=f"Radius of the circle through the middles of the three {plural}.",
        why="Pythagoras: reach and sidestep are at right angles in plan.",
        source=derived("reference/derivations/circles.md", "radius"),
    )


FOOT_SPREAD = Relation(
    name="foot to foot",
    equation=sp.Eq(q.foot_spread.symbol, sp.sqrt(3) * q.foot_radius.symbol),
    meaning="The three feet stand at the corners of an equilateral triangle.",
    why="The chord of a third of a circle is √3 times its radius.",
    source=derived("reference/derivations/circles.md", "foot to foot"),
    checks=(
        Check(
            {"foot_radius": "408.248 mm"}, {"foot_spread": "707.11 mm"},
            derived("reference/derivations/circles.md", "three 1 m rods square to one another"),
        ),
    ),
)


def relations(way: int) -> tuple[Relation, ...]:
    """Every relation of the crossing with one notch to a post.

    `way` is +1 with the notches opening up, -1 with the notches opening down.
    """
    return (
        PAIR_ANGLE, ROLL, BEARING_RISE, SIDE_RISE, FLOOR_TILT,
        LET_IN, LET_IN_RATIO, NOTCH_WIDTH, CENTRE_DISTANCE, WAIST_STEP, *_arms(way),
        CORNER_HEIGHT, BASE_HEIGHT,
        _reach("foot", q.foot_reach, q.foot_arm, q.foot_flat),
        _reach("head", q.head_reach, q.head_arm, q.head_flat),
        _sidestep("foot", way, q.foot_sidestep, q.foot_flat),
        _sidestep("head", way, q.head_sidestep, q.head_flat),
        _radius("foot", q.foot_radius, q.foot_reach, q.foot_sidestep),
        _radius("head", q.head_radius, q.head_reach, q.head_sidestep),
        FOOT_SPREAD,
    )
