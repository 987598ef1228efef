"""The crossing of three posts: lean, roll, offset, notches, and the circles of feet and heads.

With one notch to a post, each post lies in the notch of its neighbour; with two, the three axes
meet in one point. Set-up and proofs: `reference/derivations/crossing.md`, for posts that are not
square `reference/derivations/rectangular_posts.md`, then `reference/derivations/two_notches.md` and
`reference/derivations/circles.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived, quoted
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import quantities as q

# -- every crossing --------------------------------------------------------------------------------

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


# -- one notch to a post ---------------------------------------------------------------------------

RECTANGULAR = "reference/derivations/rectangular_posts.md"


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


def _arms_of_one(way: int) -> tuple[Relation, Relation]:
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


def one_notch(way: int) -> tuple[Relation, ...]:
    """Return every relation of the crossing with one notch to a post.

    `way` is +1 with the notches opening up, -1 with the notches opening down.
    """
    return (
        *DIRECTIONS,
        NOTCH_DEPTH,
        NOTCH_DEPTH_RATIO,
        *PLACES,
        *_arms_of_one(way),
        *HEIGHTS,
        *circles(way),
    )


# -- two notches to a post -------------------------------------------------------------------------

TWO_NOTCHES = "reference/derivations/two_notches.md"

_let_in, _relief = q.notch_depth, q.notch_relief

# Makers write the square crossing as 54.74 degrees, which is close enough.
_NEARLY_SQUARE = sp.Rational(2, 10_000)

NOTCH_DEPTHS = Relation(
    name="depth of the notches",
    equation=equal(2 * _let_in, _deep),
    meaning="Each of the two notches in a post is half as deep as the post is thick.",
    why="Where three square posts meet in one point, square to one another, each keeps a quarter "
    "of its section. Two half-depth notches on adjacent faces leave exactly that.",
    source=derived(TWO_NOTCHES, "what each post keeps"),
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
    equation=equal(q.post_width, _deep),
    meaning="With two notches, the posts are as wide as they are deep; the kit does not set out "
    "two notches in a rectangular post.",
    why="Each post lies in a notch of both the others, with one face in each. Only a square "
    "section fits both.",
    source=derived(TWO_NOTCHES, "what each post keeps"),
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
    equation=equal(q.core_side + _let_in, _deep),
    meaning="The two notches leave a square in one corner of the section.",
    why="One notch takes its depth from the section in one direction, the other in the other "
    "direction.",
    source=derived(TWO_NOTCHES, "what each post keeps"),
    checks=(
        Check(
            {"post_section": "64 mm", "notch_depth": "32 mm"},
            {"core_side": "32 mm"},
            derived(TWO_NOTCHES, "a quarter of the section"),
        ),
    ),
)

RELIEF_RATIO = Relation(
    name="extra length of a notch as a share of the section",
    equation=equal(_relief, q.relief_ratio * _deep),
    meaning="The extra length of one notch as a share of the section.",
    why="It shows whether the posts can be assembled: from one half, they can.",
    source=derived(TWO_NOTCHES, "putting it together"),
    checks=(
        Check(
            {"post_section": "64 mm", "notch_relief": "32 mm"},
            {"relief_ratio": "0.500"},
            derived(TWO_NOTCHES, "putting it together"),
        ),
    ),
)


def _room(to_end: sp.Expr, depth: Quantity) -> sp.Expr:
    """Return the length left between the notches, one of them lengthened, and an end flat."""
    return to_end - _deep / 2 - _relief - depth / sp.cos(q.splay)


def _arms_of_two() -> tuple[Relation, Relation]:
    position = q.notch_position
    foot, head = q.foot_arm, q.head_arm
    return (
        Relation(
            name="waist to foot",
            equation=equal(foot, position),
            meaning="The waist of a post is at the centre of both its notches.",
            why="The axes meet there, on the centre line.",
            source=derived(TWO_NOTCHES, "axes through one point"),
            limits=(
                Limit(_room(position, q.foot_flat_depth), "the notches stay clear of the foot"),
            ),
        ),
        Relation(
            name="waist to head",
            equation=equal(foot + head, _length),
            meaning="The two arms add up to the length of the post.",
            why="The waist divides the post in two.",
            source=derived(TWO_NOTCHES, "axes through one point"),
            limits=(
                Limit(
                    _room(_length - position, q.head_flat_depth),
                    "the notches stay clear of the head",
                ),
            ),
        ),
    )


def two_notches(way: int) -> tuple[Relation, ...]:
    """Return every relation of the crossing with two notches to a post.

    `way` is there so that every crossing has the same call: this one is the same upside down.
    """
    return (
        *DIRECTIONS,
        SQUARE_POSTS,
        NOTCH_DEPTHS,
        NOTCH_DEPTH_RATIO,
        CORE,
        RELIEF_RATIO,
        *PLACES,
        *_arms_of_two(),
        *HEIGHTS,
        *circles(way),
    )


# -- the circles of the feet and the heads, seen from above ----------------------------------------

CIRCLES = "reference/derivations/circles.md"


def _set_back(flat: sp.Expr) -> tuple[sp.Expr, sp.Expr]:
    """Axis to the middle of a flat, square to the bearing face and to the side face."""
    half = sp.Rational(1, 2)
    return (
        half * (_deep - flat * sp.sqrt(1 - _n**2)),
        half * (_wide - flat * sp.sqrt(1 - _m**2)),
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
        source=derived(CIRCLES, "reach"),
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
        source=derived(CIRCLES, "sidestep"),
    )


def _radius(end: str, radius: Quantity, reach: Quantity, sidestep: Quantity) -> Relation:
    plural = {"foot": "feet", "head": "heads"}[end]
    return Relation(
        name=f"circle of the {plural}",
        equation=equal(radius**2, reach**2 + sidestep**2),
        meaning=f"Radius of the circle through the middles of the three {plural}.",
        why="Pythagoras: reach and sidestep are at right angles in plan.",
        source=derived(CIRCLES, "radius"),
    )


FOOT_SPREAD = Relation(
    name="foot to foot",
    equation=equal(q.foot_spread, sp.sqrt(3) * q.foot_radius),
    meaning="The three feet stand at the corners of an equilateral triangle.",
    why="The chord of a third of a circle is √3 times its radius.",
    source=derived(CIRCLES, "foot to foot"),
    checks=(
        Check(
            {"foot_radius": "408.248 mm"},
            {"foot_spread": "707.11 mm"},
            derived(CIRCLES, "three 1 m rods square to one another"),
        ),
    ),
)


def circles(way: int) -> tuple[Relation, ...]:
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
