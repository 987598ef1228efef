"""The values that are assumed until a given settles them.

They are listed from firmest to least firm: the last gives way first. The lean of the posts is last
because a maker who gives one length too many, a foot circle say, expects the lean to follow. An
assumption that states another quantity in other words (a flat and its depth) gives way first when
that quantity is given instead.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import common_practice, derived, published
from tablekit.engine.relation import Assumption, assume
from tablekit.relations import quantities as q
from tablekit.relations.kinds import is_seat

_MM = sp.Rational(1, 1000)

DENSITY = assume(
    q.wood_density,
    620,
    "A medium-density hardwood; most cabinet hardwoods weigh 450 to 800 kg/m³.",
    common_practice("weigh a piece of your own wood where the weight matters"),
    first_to=("top_mass", "base_mass", "total_mass"),
    usual=(300, 1100),
    usual_source=common_practice(
        "the woods of reference/strength.csv weigh 360 to 810 kg/m³; some imported ones more, "
        "from memory"
    ),
    stated_by=("specific_gravity",),
)

RIM_PER_SITTER = assume(
    q.rim_per_sitter,
    610 * _MM,
    "The minimum for a person eating; 760 mm is comfortable.",
    published(
        "Panero and Zelnik, Human Dimension and Interior Space",
        "dining spaces: 24 in least, 30 in best",
    ),
    usual=(400, 2000),
)

TOP_THICKNESS = assume(
    q.top_thickness,
    28 * _MM,
    "Stiff enough for a round top on three heads, and available from boards sawn 32 mm thick.",
    common_practice(),
    first_to=("rough_thickness",),
    usual=(12, 80),
    stated_by=("rough_thickness",),
    says="the top is {} thick",
)

PAD_PROJECTION = assume(
    q.pad_projection,
    3 * _MM,
    "A felt or leather pad keeps the foot off the floor and lets it slide.",
    common_practice(),
    usual=(0, 30),
    says="the pads stand {} proud of the feet",
)

PLATE_GAP = assume(
    q.plate_gap,
    0,
    "The plates are let in flush, so the top rests on the heads.",
    common_practice(),
    usual=(0, 30),
    says="the plates hold the top {} off the heads",
)

AXIS_OFFSET = assume(
    q.axis_offset,
    q.post_section / 2,
    "A notch half the width deep leaves as much wood as it removes.",
    common_practice("a half-depth notch"),
    first_to=("notch_depth", "notch_depth_ratio", "centre_distance", "waist_step"),
    usual_share=(0.6, 1.4),
    usual_source=common_practice("about a third to two thirds of the section let in"),
    stated_by=("notch_depth", "notch_depth_ratio", "centre_distance", "waist_step"),
)

SQUARE_POST = assume(
    q.post_width,
    q.post_section,
    "The posts are square unless their width is given.",
    common_practice("square stock, planed to one setting"),
    usual_share=(0.5, 2),
    says="the posts are {} wide",
)

NO_OFFSET = assume(
    q.axis_offset,
    0,
    "With two notches in each post, the axes meet in one point.",
    derived("reference/derivations/two_notches.md", "axes through one point"),
    only=True,
)

SQUARE_CROSSING = assume(
    q.splay,
    sp.acos(1 / sp.sqrt(3)),
    "The square crossing: with two notches, the posts stand square to one another. The kit sets "
    "out no other lean.",
    derived("reference/derivations/crossing.md", "angle between two posts"),
    only=True,
)

NO_RELIEF = assume(
    q.notch_relief,
    0,
    "Three identical posts. They lock and cannot be assembled: set notch_relief to half the "
    "section before you cut.",
    derived("reference/derivations/two_notches.md", "putting it together"),
    first_to=("relief_ratio",),
    usual=(0, 150),
    stated_by=("relief_ratio",),
)

# A slender or steep post may have no room for a 25 mm flat, and a brief that gives no flat must not
# fail for that. The largest flat that fits is the smaller of 2 w n/K and, across the width,
# 2 w_s m/K (reference/derivations/flats.md); one per cent less keeps it clear of the edge.
_LARGEST = sp.Rational(99, 100) * 2 / q.flat_ratio
_FLAT = sp.Min(
    25 * q.MILLIMETRE,
    _LARGEST * q.post_section * q.bearing_rise,
    _LARGEST * q.post_width * q.side_rise,
    evaluate=False,  # sympy would look long which is the least, and not find it
)

FOOT_FLAT = assume(
    q.foot_flat,
    _FLAT,
    "There is room for a pad three quarters as wide, and the foot is not so sharp that it bruises "
    "or splits. The flat is smaller only if the end of the post has no room for it.",
    common_practice(),
    first_to=("foot_flat_depth",),
    usual_share=(0.3, 3),
    stated_by=("foot_flat_depth",),
)

HEAD_FLAT = assume(
    q.head_flat,
    _FLAT,
    "There is room for a fastening plate and a bearing for the top. The flat is smaller only if "
    "the end of the post has no room for it.",
    common_practice(),
    first_to=("head_flat_depth",),
    usual_share=(0.3, 3),
    stated_by=("head_flat_depth",),
)

NOTCH_POSITION = assume(
    q.notch_position,
    q.post_length / 2,
    "The notch is at mid-length, so it can be marked out from either end.",
    common_practice(),
    first_to=("foot_arm", "head_arm"),
    usual_share=(2 / 3, 4 / 3),
    usual_source=common_practice("the middle third of the post"),
    stated_by=("foot_arm", "head_arm"),
    says="the centre of the notch is {} from the foot end",
)

SPLAY = assume(
    q.splay,
    sp.acos(1 / sp.sqrt(3)),
    "The square crossing: the three posts stand square to one another, so the notch is square, "
    "with a level floor and square walls.",
    derived("reference/derivations/crossing.md", "angle between two posts"),
    usual=(15, 70),
    usual_source=common_practice("steeper, the notch grows long; flatter, the posts barely stand"),
    stated_by=("crossing_angle",),
    says="the posts lean {}",
)

FIRMEST_FIRST: tuple[Assumption, ...] = (
    SQUARE_POST,
    DENSITY,
    RIM_PER_SITTER,
    TOP_THICKNESS,
    PAD_PROJECTION,
    PLATE_GAP,
    AXIS_OFFSET,
    FOOT_FLAT,
    HEAD_FLAT,
    NOTCH_POSITION,
    SPLAY,
)

# Posts with two notches stand square to one another and meet in one point. No given length
# changes that, so these assumptions are firm.
TWO_NOTCHES_FIRMEST_FIRST: tuple[Assumption, ...] = (
    NO_OFFSET,
    SQUARE_CROSSING,
    DENSITY,
    RIM_PER_SITTER,
    TOP_THICKNESS,
    PAD_PROJECTION,
    PLATE_GAP,
    NO_RELIEF,
    FOOT_FLAT,
    HEAD_FLAT,
    NOTCH_POSITION,
)


def assumptions(kind: str, notches: int = 1) -> tuple[Assumption, ...]:
    """The assumptions of a "table" or a "stool" with 1 or 2 notches to a post, firmest first."""
    every = FIRMEST_FIRST if notches == 1 else TWO_NOTCHES_FIRMEST_FIRST
    if is_seat(kind):
        return tuple(a for a in every if a is not RIM_PER_SITTER)
    return every
