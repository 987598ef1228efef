"""What is taken for granted while nothing given settles it.

In order of firmness: the last gives way first. The lean of the posts is last because a maker who
gives one length too many for it, a foot circle say, means the lean to follow. An assumption that
says in other words what another quantity says (a flat and its depth) is the first to go when that
one is given instead.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.relation import Assumption, assume
from tablekit.engine.source import common_practice, derived, published
from tablekit.relations import quantities as q

_MM = sp.Rational(1, 1000)

DENSITY = assume(
    q.wood_density,
    620,
    "A middling hardwood; most cabinet hardwoods lie between 450 and 800 kg/m³.",
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
    "The least that a person eating needs; 760 mm is comfortable.",
    published(
        "Panero and Zelnik, Human Dimension and Interior Space",
        "dining spaces: 24 in (61 cm) least, 30 in (76.2 cm) best",
    ),
    usual=(400, 2000),
)

TOP_THICKNESS = assume(
    q.top_thickness,
    28 * _MM,
    "Stiff enough for a round top on three heads, and to be had from boards sawn 32 mm thick.",
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
    "Plates let in flush leave the top lying on the heads.",
    common_practice(),
    usual=(0, 30),
    says="the plates hold the top {} off the heads",
)

AXIS_OFFSET = assume(
    q.axis_offset,
    q.post_section.symbol / 2,
    "Posts let in by half their width leave as much wood in the notch as they take out of it.",
    common_practice("a half-depth notch"),
    first_to=("notch_depth", "notch_depth_ratio", "centre_distance", "waist_step"),
    usual_share=(0.6, 1.4),
    usual_source=common_practice("about a third to two thirds of the section let in"),
    stated_by=("notch_depth", "notch_depth_ratio", "centre_distance", "waist_step"),
)

SQUARE_POST = assume(
    q.post_width,
    q.post_section.symbol,
    "Posts are square unless their width is given.",
    common_practice("square stock, planed to one setting"),
    usual_share=(0.5, 2),
    says="the posts are {} wide",
)

NO_OFFSET = assume(
    q.axis_offset,
    0,
    "With two notches to a post the axes meet in one point.",
    derived("reference/derivations/two_notches.md", "axes through one point"),
    only=True,
)

SQUARE_CROSSING = assume(
    q.splay,
    sp.acos(1 / sp.sqrt(3)),
    "The square crossing: with two notches the posts stand square to one another, and no other "
    "lean is set out.",
    derived("reference/derivations/crossing.md", "angle between two posts"),
    only=True,
)

NO_RELIEF = assume(
    q.notch_relief,
    0,
    "Three posts alike. They are then locked and cannot be put together: give notch_relief, half "
    "the section, before you cut.",
    derived("reference/derivations/two_notches.md", "putting it together"),
    first_to=("relief_ratio",),
    usual=(0, 150),
    stated_by=("relief_ratio",),
)

# A slender post, or one that stands steeply, may have no room for 25 mm; a maker who said nothing
# of flats should not be refused for it. The largest that fits is 2 w n/K, or 2 w_s m/K with the
# width, whichever is less (reference/derivations/flats.md); a hair less keeps it clear of the edge.
_LARGEST = sp.Rational(99, 100) * 2 / q.flat_ratio.symbol
_FLAT = sp.Min(
    25 * q.MILLIMETRE.symbol,
    _LARGEST * q.post_section.symbol * q.bearing_rise.symbol,
    _LARGEST * q.post_width.symbol * q.side_rise.symbol,
)

FOOT_FLAT = assume(
    q.foot_flat,
    _FLAT,
    "Room for a pad three quarters as wide, and a foot that is not so sharp as to bruise or to "
    "split; less only where the end of the post has no room for it.",
    common_practice(),
    first_to=("foot_flat_depth",),
    usual_share=(0.3, 3),
    stated_by=("foot_flat_depth",),
)

HEAD_FLAT = assume(
    q.head_flat,
    _FLAT,
    "Room for a fastening plate, and a bearing for the top; less only where the end of the post "
    "has no room for it.",
    common_practice(),
    first_to=("head_flat_depth",),
    usual_share=(0.3, 3),
    stated_by=("head_flat_depth",),
)

NOTCH_POSITION = assume(
    q.notch_position,
    q.post_length.symbol / 2,
    "The notch at mid-length: the marking out can be done from either end.",
    common_practice(),
    first_to=("foot_arm", "head_arm"),
    usual_share=(2 / 3, 4 / 3),
    usual_source=common_practice("the middle third of the post"),
    stated_by=("foot_arm", "head_arm"),
    says="the middle of the notch is {} from the foot end",
)

SPLAY = assume(
    q.splay,
    sp.acos(1 / sp.sqrt(3)),
    "The square crossing: the three posts stand square to one another, so the notch is plain, "
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

# Posts with two notches stand square to one another and meet in one point: none of
# that follows from a length that is given, so all of it is firm.
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


def assumptions(kind: str, crossing: str = "one notch") -> tuple[Assumption, ...]:
    """The assumptions of a "table" or a "stool" with this crossing, firmest first."""
    every = TWO_NOTCHES_FIRMEST_FIRST if crossing == "two notches" else FIRMEST_FIRST
    if kind == "stool":
        return tuple(a for a in every if a is not RIM_PER_SITTER)
    return every
