"""The kinds of exercise, in the order in which a table is set out.

Each is a declaration: what is given and within what bounds, what is asked for, how near an answer
must come, the question in words, and the mistakes that are often made.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from tablekit.teaching import formulas as f
from tablekit.teaching import school as m
from tablekit.teaching.school import Mistake, SchoolFormula, slip

# -- the posts -------------------------------------------------------------------------------------

Display = Literal["mm", "in"]


@dataclass(frozen=True)
class Bounds:
    """A given is drawn from the first measure to the second, in steps of the third, as texts.

    inch  the same for a class that works in inches; as `metric` where left out
    """

    metric: tuple[str, str, str]
    inch: tuple[str, str, str] = ("", "", "")

    def of(self, display: Display) -> tuple[str, str, str]:
        """Lowest, highest and step for one class."""
        return self.inch if display == "in" and self.inch[0] else self.metric


@dataclass(frozen=True)
class ExerciseKind:
    """One kind of exercise.

    name       by which it is asked for
    title      as a heading
    topic      the relations it is answered from (`question.py`)
    asked      the quantities of which one is asked for, by the class's display where there are two
    words      the question; {names} of givens are put in with their units, {asked} in words
    asked_in_words  quantity -> how the question calls it
    given      quantity -> its bounds
    fixed      givens that the words say without a number, in reporting units
    tolerance  how near an answer must come, in millimetre and in inch classes; "0" for a count
    taken      quantities that the words settle and the kit assumes
    apart      quantities whose values must not be mistaken for the answer by accident
    within     the answers that make a sensible question, in the reporting unit
    mistakes   those of this kind; slips of unit and decimal point are looked for in any
    changed    the given that takes a second value, where a change is asked for
    rows       the given that a printed table has rows for, and the rows
    counted    words that may stand after a number without unit
    by_display whether the class's display settles which of `asked` it is
    last_step  the last step in words for the teacher, where the kit's own formula is no help
    caution    what has to be said wherever this could be taken for advice
    formulas   quantity asked for -> the short way to it and its slips; "QUANTITY, in" where a
               class in inches goes another way
    build      what has to be zero or more, in the letters of `build_letters`, so that the numbers
               drawn can be built
    build_letters  letter -> a given or the quantity asked for
    figure     the drawing that goes with the question, one of `figures.FIGURES`; "" for none
    """

    name: str
    title: str
    topic: str
    asked: tuple[str, ...]
    words: str
    given: Mapping[str, Bounds]
    tolerance: tuple[str, str]
    within: tuple[float, float]
    mistakes: tuple[Mistake, ...]
    fixed: Mapping[str, float] = field(default_factory=dict)
    asked_in_words: Mapping[str, str] = field(default_factory=dict)
    taken: frozenset[str] = frozenset()
    apart: tuple[str, ...] = ()
    changed: str = ""
    rows: tuple[str, tuple[float, ...]] = ("", ())
    counted: tuple[str, ...] = ()
    by_display: bool = False
    caution: str = ""
    last_step: str = ""
    formulas: Mapping[str, SchoolFormula] = field(default_factory=dict)
    build: tuple[str, ...] = ()
    build_letters: Mapping[str, str] = field(default_factory=dict)
    figure: str = ""

    def formula(self, asked: str, display: Display) -> SchoolFormula | None:
        """The short way to the quantity asked for; None where there is none."""
        other = self.formulas.get(f"{asked}, in") if display == "in" else None
        return other or self.formulas.get(asked)


LENGTH = ("0.5 mm", "1/32 in")
_SECTION = Bounds(("50 mm", "76 mm", "2 mm"), ("2 in", "3 in", "1/8 in"))
_HEIGHT = Bounds(("700 mm", "760 mm", "5 mm"), ("27 1/2 in", "30 in", "1/4 in"))
TOP_BOUNDS = Bounds(("22 mm", "34 mm", "1 mm"), ("7/8 in", "1 3/8 in", "1/16 in"))
_PAD = Bounds(("3 mm", "8 mm", "1 mm"), ("1/8 in", "3/8 in", "1/16 in"))
_FLAT_DEPTH = Bounds(("12 mm", "20 mm", "1 mm"), ("1/2 in", "3/4 in", "1/16 in"))
_POST = Bounds(("1080 mm", "1200 mm", "5 mm"), ("42 in", "47 in", "1/4 in"))
DIAMETER_BOUNDS = Bounds(("800 mm", "1100 mm", "10 mm"), ("32 in", "44 in", "1/2 in"))
CIRCLE_BOUNDS = Bounds(("340 mm", "420 mm", "5 mm"), ("13 1/2 in", "16 1/2 in", "1/4 in"))
_STAND = (
    "The pads under the feet stand {pad_projection} proud and the top lies directly on the heads. "
    "Each foot is cut level {foot_flat_depth} above its sharp corner and each head "
    "{head_flat_depth} below its own, both measured plumb."
)
_SETTLED = frozenset({"splay", "post_width"})
_HALF_NOTCHES = (
    "The posts are let into one another by half their section. Each has its notch at mid-length, "
    "opening upward."
)
_PARTS = {
    "pad_projection": _PAD, "foot_flat_depth": _FLAT_DEPTH, "head_flat_depth": _FLAT_DEPTH,
    "post_section": _SECTION, "top_thickness": TOP_BOUNDS,
}  # fmt: skip

POST_LENGTH = ExerciseKind(
    "post length", "How long are the posts?", "heights", ("post_length",),
    "A round table is {table_height} high, with a top {top_thickness} thick on three posts "
    f"{{post_section}} square. The posts cross square to one another. {_STAND} How long is each "
    "post before its flats are cut?",
    {**_PARTS, "table_height": _HEIGHT},
    LENGTH, (950, 1350), (),
    fixed={"plate_gap": 0.0}, taken=_SETTLED, formulas={"post_length": f.POST_LENGTH},
    figure="table",
)  # fmt: skip

HEIGHT = ExerciseKind(
    "height", "How high is the table?", "heights", ("table_height",),
    "Three posts {post_section} square and {post_length} long cross square to one another under a "
    f"round top {{top_thickness}} thick. {_STAND} How high is the upper face of the top?",
    {**_PARTS, "post_length": _POST},
    LENGTH, (620, 850), (),
    fixed={"plate_gap": 0.0}, taken=_SETTLED, formulas={"table_height": f.HEIGHT},
    figure="table",
)  # fmt: skip

HEIGHT_CHANGE = ExerciseKind(
    "height change", "How much shorter are a lower table's posts?", "heights", ("post_length",),
    "A table {table_height} high stands on three posts {post_section} square that cross square to "
    f"one another, and has a top {{top_thickness}} thick. {_STAND} It is made again, "
    "{table_height_after} high, everything else unchanged. By how much does the length of each "
    "post change?",
    {**_PARTS, "table_height": Bounds(("735 mm", "765 mm", "1 mm"), ("29 in", "30 in", "1/16 in")),
     "table_height_after": Bounds(("700 mm", "725 mm", "1 mm"),
                                  ("27 1/2 in", "28 1/2 in", "1/16 in"))},
    LENGTH, (15, 120),
    (),
    fixed={"plate_gap": 0.0}, taken=_SETTLED, changed="table_height",
    formulas={"post_length": f.HEIGHT_CHANGE}, figure="table",
)  # fmt: skip

LEAN = ExerciseKind(
    "lean", "How far do the posts lean?", "foot circle, notches up", ("splay",),
    "Three posts {post_section} square and {post_length} long are to stand with the centres of "
    f"their feet on a circle of radius {{foot_radius}}. {_HALF_NOTCHES} Each foot is cut level "
    "until the largest circle on its flat is {foot_flat} across. How far do the posts lean from "
    "plumb?",
    {"post_section": _SECTION, "post_length": _POST, "foot_radius": CIRCLE_BOUNDS,
     "foot_flat": Bounds(("20 mm", "28 mm", "1 mm"), ("3/4 in", "1 1/8 in", "1/16 in"))},
    ("0.1 deg", "0.1 deg"), (35, 54.7),
    (
        m.ANGLE,
        Mistake("spread for radius",
                "you took the radius of the circle for the distance from foot to foot.",
                taken_for={"foot_radius": "foot_spread"}),
        m.halved("foot_radius",
                 "you took the radius of the foot circle for its diameter."),
        m.doubled("foot_radius", "you took the diameter of the foot circle for its radius."),
        Mistake("wrong way up", "you turned the posts upside down; the notches open upward.",
                topic="foot circle, notches down"),
    ),
    taken=frozenset({"post_width", "axis_offset", "notch_position"}), figure="foot circle",
    formulas={"splay": f.LEAN},
)  # fmt: skip

_THIRDS = ("3 × h − w", "2 × w − 3 × h")  # a notch takes a third of the section to two thirds
NOTCH_DEPTH = ExerciseKind(
    "let-in", "How deep is the notch?", "notch", ("notch_depth",),
    "The axes of two neighbouring posts {post_section} square pass {axis_offset} apart. How deep "
    "is the notch that takes one of them?",
    {"post_section": _SECTION,
     "axis_offset": Bounds(("18 mm", "50 mm", "1 mm"), ("3/4 in", "2 in", "1/16 in"))},
    LENGTH, (5, 60), (),
    taken=frozenset({"post_width"}), apart=("axis_offset",),
    formulas={"notch_depth": f.NOTCH_DEPTH}, figure="notch",
    build=_THIRDS, build_letters={"h": "notch_depth", "w": "post_section"},
)  # fmt: skip

OFFSET = ExerciseKind(
    "offset", "How far apart do the axes pass?", "notch", ("axis_offset",),
    "Posts {post_section} square are let into one another by {notch_depth}. How far apart do the "
    "axes of two neighbouring posts pass?",
    {"post_section": _SECTION,
     "notch_depth": Bounds(("18 mm", "50 mm", "1 mm"), ("3/4 in", "2 in", "1/16 in"))},
    LENGTH, (10, 60), (),
    taken=frozenset({"post_width"}), apart=("notch_depth",),
    formulas={"axis_offset": f.OFFSET}, figure="notch",
    build=_THIRDS, build_letters={"h": "notch_depth", "w": "post_section"},
)  # fmt: skip

FLAT_DEPTH = ExerciseKind(
    "flat depth", "How deep is the flat cut?", "flats", ("foot_flat_depth",),
    "Three posts cross square to one another. Each foot is to be cut level until the largest "
    "circle on its flat is {foot_flat} across. How far above the sharp corner is it cut, measured "
    "plumb?",
    {"foot_flat": Bounds(("16 mm", "40 mm", "1 mm"), ("5/8 in", "1 5/8 in", "1/32 in"))},
    LENGTH, (8, 30), (),
    taken=frozenset({"splay"}), formulas={"foot_flat_depth": f.FLAT_DEPTH}, figure="flat",
)  # fmt: skip

FOOT_CIRCLE = ExerciseKind(
    "foot circle", "How wide do the feet stand?", "foot circle, notches up", ("foot_radius",),
    "Three posts {post_section} square and {post_length} long cross square to one another. "
    f"{_HALF_NOTCHES} Each foot is cut level until the largest circle on its flat is {{foot_flat}} "
    "across. What is the radius of the circle through the centres of the feet?",
    {"post_section": _SECTION, "post_length": _POST, "foot_flat": LEAN.given["foot_flat"]},
    LENGTH, (380, 520), (),
    taken=frozenset({"splay", "post_width", "axis_offset", "notch_position"}),
    formulas={"foot_radius": f.FOOT_CIRCLE}, figure="foot circle",
)  # fmt: skip

_ANGLE_TOLERANCE = ("0.1 deg", "0.1 deg")
ANGLE = ExerciseKind(
    "angle between posts", "At what angle do the posts cross?", "angle between posts",
    ("crossing_angle",),
    "Three posts lean {splay} from plumb, in three directions 120° apart in plan. What is the "
    "angle between two of them?",
    {"splay": Bounds(("30 deg", "54 deg", "0.5 deg"))},
    _ANGLE_TOLERANCE, (50, 90), (),
    formulas={"crossing_angle": f.ANGLE}, figure="angle",
)  # fmt: skip

NOTCH_TILT = ExerciseKind(
    "notch tilt", "How far is the notch floor tilted?", "notch tilt", ("notch_floor_tilt",),
    "Two posts of a base cross at {crossing_angle}, less than a right angle, so that the notch is "
    "a compound one. By what angle is its floor tilted from the face of the post?",
    {"crossing_angle": Bounds(("52 deg", "76 deg", "0.5 deg"))},
    _ANGLE_TOLERANCE, (3, 30), (),
    formulas={"notch_floor_tilt": f.NOTCH_TILT}, figure="notch tilt",
)  # fmt: skip

SAW = ExerciseKind(
    "saw setting", "How far is the saw blade tilted?", "saw setting", ("blade_tilt",),
    "Two posts of a base cross at {crossing_angle}, and the notch is a compound one. The post lies "
    "flat on the saw, on the face opposite the notch. How far out of plumb is the blade tilted for "
    "the walls of the notch?",
    {"crossing_angle": Bounds(("50 deg", "64 deg", "0.5 deg"))},
    # So small an angle that its sine and its tangent differ little.
    ("0.05 deg", "0.05 deg"), (0.5, 20), (),
    formulas={"blade_tilt": f.SAW}, figure="saw",
    caution="Set a saw only when it is switched off and unplugged, and use it as its maker says.",
)  # fmt: skip

SIGHT_LINE = ExerciseKind(
    "sight line", "In which direction does the leg lean?", "sight line", ("sight_line",),
    "A splayed leg leans {leg_rake} as seen from the side, its rake, and {leg_splay} as seen from "
    "the front, its splay. In plan, what is the angle from the rake axis to its sight line, the "
    "line along which it leans?",
    {"leg_rake": Bounds(("6 deg", "24 deg", "1 deg")),
     "leg_splay": Bounds(("6 deg", "24 deg", "1 deg"))},
    _ANGLE_TOLERANCE, (15, 75), (),
    formulas={"sight_line": f.SIGHT_LINE}, figure="sight line",
)  # fmt: skip

RESULTANT = ExerciseKind(
    "resultant", "How far does the leg lean?", "resultant", ("leg_resultant",),
    "A splayed leg leans {leg_rake} as seen from the side, its rake, and {leg_splay} as seen from "
    "the front, its splay. How far does it lean from plumb in all, the angle to which a bevel is "
    "set on its sight line?",
    # Smaller angles can be put together as they are: nobody would see the difference.
    {"leg_rake": Bounds(("12 deg", "24 deg", "1 deg")),
     "leg_splay": Bounds(("12 deg", "24 deg", "1 deg"))},
    _ANGLE_TOLERANCE, (15, 40), (),
    formulas={"leg_resultant": f.RESULTANT}, figure="resultant",
)  # fmt: skip

_LEAN_OF_A_LEG = Bounds(("12 deg", "24 deg", "0.5 deg"))
BORING = ExerciseKind(
    "boring", "How much wood is left over the socket?", "boring", ("socket_cover",),
    "A socket is bored from the underside into a top {top_thickness} thick, with a bit "
    "{tenon_diameter} across that leaves a flat bottom. The bore leans {leg_resultant} from plumb "
    "and is {socket_depth} deep along its axis. How much wood is left over it, measured plumb, "
    "where it is thinnest?",
    {"top_thickness": Bounds(("42 mm", "52 mm", "1 mm"), ("1 3/4 in", "2 1/4 in", "1/16 in")),
     "tenon_diameter": Bounds(("24 mm", "34 mm", "2 mm"), ("1 in", "1 3/8 in", "1/8 in")),
     "socket_depth": Bounds(("26 mm", "34 mm", "1 mm"), ("1 in", "1 3/8 in", "1/16 in")),
     "leg_resultant": _LEAN_OF_A_LEG},
    ("0.2 mm", "0.01 in"), (3, 30), (),
    formulas={"socket_cover": f.BORING}, figure="boring",
    caution="Clamp the top, set a depth stop, and keep your hands out from under it while the bit "
    "turns.",
)  # fmt: skip

LEVELLING = ExerciseKind(
    "levelling", "How high is a foot marked?", "levelling", ("block_height",),
    "A straight round leg {foot_diameter} thick leans outward, {leg_resultant} from plumb. It was "
    "turned {leg_blank} long with a square end, and is to be {leg_length} long once its foot is "
    "cut level, both measured along its axis. The stool stands level on a flat board, on the edges "
    "of such ends. How high over the board is the pencil line for the level cut?",
    {"foot_diameter": Bounds(("24 mm", "34 mm", "1 mm"), ("1 in", "1 3/8 in", "1/16 in")),
     "leg_blank": Bounds(("448 mm", "466 mm", "1 mm"), ("17 3/4 in", "18 1/2 in", "1/16 in")),
     "leg_length": Bounds(("428 mm", "438 mm", "1 mm"), ("16 3/4 in", "17 1/4 in", "1/16 in")),
     "leg_resultant": _LEAN_OF_A_LEG},
    ("0.2 mm", "0.01 in"), (8, 60), (),
    fixed={"leg_taper": 0.0}, formulas={"block_height": f.LEVELLING}, figure="levelling",
)  # fmt: skip


# -- posts that did not come out as drawn ----------------------------------------------------------

_RADIUS = (
    "you let the top fall over the radius of the head circle; from one head to the line through "
    "the other two it is one and a half times as far."
)
_HALF_CIRCLE = "you took the radius of the head circle for its diameter."
_HALF_TOP = (
    "you gave the drop from the centre to the rim; the question is the drop across the whole top."
)

# From the third head to the line through the other two it is 3 r ÷ 2, since the heads are the
# corners of an equal-sided triangle. On so gentle a slope the sine and the tangent of its angle are
# the same to a few parts in 10,000, so that a pupil may work with either, and slip with either.
RIM_DROP = SchoolFormula(
    "D × h ÷ √((3 × r ÷ 2)² + h²)",
    "The top tilts about the line through the two level heads. Find how far that line is from the "
    "third head; the slope is the same all across the top.",
    {"h": "head_height_1", "r": "head_radius", "D": "top_diameter"},
    {"h": "how much the head is too high", "r": "the radius of the circle of the heads",
     "D": "the diameter of the top"},
    slips=(
        slip("falls over the radius", _RADIUS, "D × h ÷ r"),
        slip("falls over the radius", _RADIUS, "D × h ÷ √(r² + h²)"),
        slip("head radius: radius for diameter", _HALF_CIRCLE, "D × h ÷ (3 × r ÷ 4)"),
        slip("head radius: radius for diameter", _HALF_CIRCLE, "D × h ÷ √((3 × r ÷ 4)² + h²)"),
        slip("top diameter: radius for diameter", _HALF_TOP, "D ÷ 2 × h ÷ (3 × r ÷ 2)"),
        slip("top diameter: radius for diameter", _HALF_TOP, "D ÷ 2 × h ÷ √((3 × r ÷ 2)² + h²)"),
        slip("answered head height 1", "you gave how much the head is too high; the rim reaches "
             "beyond the heads, so it drops by more.", "h"),
    ),
)  # fmt: skip

TILT = ExerciseKind(
    "tilt", "How far out of level is the top?", "tilt", ("rim_drop",),
    "One of three posts came out too long: its head stands {head_height_1} above the other two, "
    "which are level with each other. The centres of the heads lie on a circle of radius "
    "{head_radius}, and a round top {top_diameter} across lies on them, centred. How much higher "
    "is the highest point of its rim than the lowest?",
    {"head_height_1": Bounds(("3 mm", "8 mm", "1 mm"), ("1/8 in", "5/16 in", "1/32 in")),
     "head_radius": Bounds(("300 mm", "400 mm", "5 mm"), ("12 in", "15 3/4 in", "1/4 in")),
     "top_diameter": DIAMETER_BOUNDS},
    ("0.2 mm", "0.01 in"), (3, 30), (),
    # Only differences of the heights count.
    fixed={"head_height_2": 0.0, "head_height_3": 0.0},
    apart=("head_height_1",), formulas={"rim_drop": RIM_DROP}, figure="tilt",
)  # fmt: skip


# -- the top: standing firm, moisture, cutting, gluing and buying ----------------------------------

TIPPING = ExerciseKind(
    "tipping load", "What load on the rim tips it?", "tipping", ("tipping_load",),
    "A round table {top_diameter} across has a total mass of {total_mass}. The centres of its "
    "three feet lie on a circle of radius {foot_radius}. What vertical load on the rim, midway "
    "between two feet, just lifts the third foot?",
    {"top_diameter": DIAMETER_BOUNDS, "foot_radius": CIRCLE_BOUNDS,
     "total_mass": Bounds(("14 kg", "28 kg", "0.5 kg"), ("30 lb", "62 lb", "1 lb"))},
    ("1 N", "0.25 lbf"), (40, 400), (),
    formulas={"tipping_load": f.TIPPING, "tipping_load, in": f.TIPPING_IN}, figure="tipping",
    caution="Tipping begins at this load; it is not a safe load. A child climbing on the rim or "
    "someone leaning on it reaches it easily. Follow the standards and rules that apply where the "
    "table will stand.",
)  # fmt: skip

OVERHANG = ExerciseKind(
    "overhang", "How far does the top overhang?", "overhang", ("overhang",),
    "A round top {top_diameter} across lies on three heads whose centres are on a circle of radius "
    "{head_radius}. How far does the rim project beyond that circle?",
    {"top_diameter": DIAMETER_BOUNDS,
     "head_radius": Bounds(("300 mm", "380 mm", "5 mm"), ("12 in", "15 in", "1/4 in"))},
    LENGTH, (10, 260), (), formulas={"overhang": f.OVERHANG}, figure="overhang",
)  # fmt: skip

MOISTURE = ExerciseKind(
    "moisture", "What moisture does the wood settle at?", "moisture", ("shop_moisture",),
    "Wood is left for months in air of {shop_temperature} and {shop_humidity} relative humidity. "
    "At this temperature wood settles at these moistures: {rows}. What moisture does it settle at? "
    "Interpolate between the rows.",
    {"shop_temperature": Bounds(("16 degC", "26 degC", "1 degC"), ("60 degF", "80 degF", "2 degF")),
     "shop_humidity": Bounds(("33 %", "67 %", "1 %"))},
    ("0.1 %", "0.1 %"), (5, 14), (),
    last_step="interpolated between the two rows on either side",
    formulas={"shop_moisture": f.MOISTURE}, figure="moisture",
    rows=("shop_humidity", (30.0, 40.0, 50.0, 60.0, 70.0)),
)  # fmt: skip

_DRY = Bounds(("6 %", "7.5 %", "0.5 %"))
_WET = Bounds(("10.5 %", "13.5 %", "0.5 %"))
_COEFFICIENT = Bounds(("0.0024", "0.0042", "0.0001"))
MOVEMENT = ExerciseKind(
    "top movement", "How much does the top move?", "movement", ("top_movement",),
    "A round top {top_diameter} across goes from {driest_moisture} moisture in winter to "
    "{dampest_moisture} in summer. Across the grain its wood changes by {movement_coefficient} of "
    "its width for each per cent of moisture. How much wider does the whole top grow across the "
    "grain?",
    {"top_diameter": DIAMETER_BOUNDS, "driest_moisture": _DRY, "dampest_moisture": _WET,
     "movement_coefficient": _COEFFICIENT},
    ("0.1 mm", "0.005 in"), (5, 40), (),
    fixed={"top_factor": 1.0}, formulas={"top_movement": f.MOVEMENT}, figure="movement",
)  # fmt: skip

SLOT = ExerciseKind(
    "slot length", "How long must the slots be?", "slot", ("slot_needed",),
    "A screw with a shank of {screw_shank} fastens a top {plate_across} across the grain from the "
    "middle, which is fixed. In the shop the wood has {shop_moisture} moisture, and the screw is "
    "set in the middle of its slot. The moisture will fall to {driest_moisture} and rise to "
    "{dampest_moisture}. Across the grain every board changes by {movement_coefficient} of its "
    "width for each per cent. How long must the slot be at least, end to end?",
    {"screw_shank": Bounds(("4 mm", "6 mm", "0.5 mm"), ("5/32 in", "1/4 in", "1/32 in")),
     "plate_across": Bounds(("280 mm", "400 mm", "10 mm"), ("11 in", "16 in", "1/2 in")),
     "shop_moisture": Bounds(("8 %", "10 %", "0.5 %")),
     "driest_moisture": _DRY, "dampest_moisture": _WET, "movement_coefficient": _COEFFICIENT},
    ("0.2 mm", "0.01 in"), (5, 30), (),
    fixed={"plate_factor": 1.0}, formulas={"slot_needed": f.SLOT}, figure="slot",
)  # fmt: skip

TRAMMEL = ExerciseKind(
    "trammel", "Where does the router go?", "trammel", ("trammel_centre", "pivot_to_far_side"),
    "A router swinging on a pin at the centre cuts a round top {top_diameter} across. The straight "
    "cutter is {cutter_diameter} across, and the waste lies outside the circle. How far is it from "
    "the pin to the {asked} of the cutter?",
    {"top_diameter": DIAMETER_BOUNDS,
     "cutter_diameter": Bounds(("8 mm", "20 mm", "2 mm"), ("3/8 in", "3/4 in", "1/8 in"))},
    LENGTH, (380, 600), (),
    formulas={"trammel_centre": f.TRAMMEL_CENTRE, "pivot_to_far_side": f.TRAMMEL_FAR},
    figure="trammel",
    asked_in_words={"trammel_centre": "centre", "pivot_to_far_side": "far side"},
)  # fmt: skip

CLAMPS = ExerciseKind(
    "clamps", "How many clamps does the glue-up take?", "clamps", ("clamp_count",),
    "Boards {top_thickness} thick are glued edge to edge; the longest joint is {joint_length} "
    "long. The glue needs a pressure of {clamp_pressure}, and one clamp exerts {clamp_capacity}. "
    "The outermost board is {outer_strip} wide, with a batten {caul_depth} deep along its edge. "
    "Pressure spreads at 45° through batten and board, so the clamps may stand at most twice the "
    "depth of the two together apart. How many clamps does it take?",
    {"top_thickness": TOP_BOUNDS,
     "joint_length": Bounds(("820 mm", "1180 mm", "20 mm"), ("32 in", "46 in", "1 in")),
     "clamp_pressure": Bounds(("0.7 MPa", "1.2 MPa", "0.1 MPa"), ("100 psi", "175 psi", "25 psi")),
     "clamp_capacity": Bounds(("3000 N", "5000 N", "250 N"), ("650 lbf", "1100 lbf", "50 lbf")),
     "outer_strip": Bounds(("40 mm", "120 mm", "5 mm"), ("1 1/2 in", "4 3/4 in", "1/4 in")),
     "caul_depth": Bounds(("25 mm", "50 mm", "5 mm"), ("1 in", "2 in", "1/4 in"))},
    ("0", "0"), (2, 20), (), formulas={"clamp_count": f.CLAMPS}, figure="clamps",
    counted=("clamps", "clamp"),
    last_step="the larger of spacings in the joint and clamps for the force, rounded up",
)  # fmt: skip

PUSH = ExerciseKind(
    "tipping push", "What push at the rim tips it?", "push", ("tipping_push",),
    "A table {table_height} high has a total mass of {total_mass}. The line through two of its "
    "feet passes {tipping_arm} from the centre in plan. Someone pushes level at the rim, square to "
    "that line, and the feet do not slide. What push just lifts the third foot?",
    {"table_height": Bounds(("700 mm", "760 mm", "5 mm"), ("27 1/2 in", "30 in", "1/4 in")),
     "tipping_arm": Bounds(("170 mm", "230 mm", "5 mm"), ("6 1/2 in", "9 in", "1/4 in")),
     "total_mass": TIPPING.given["total_mass"]},
    ("0.5 N", "0.1 lbf"), (20, 120), (),
    formulas={"tipping_push": f.PUSH, "tipping_push, in": f.PUSH_IN}, figure="lever",
    caution=TIPPING.caution,
)  # fmt: skip

WOOD = ExerciseKind(
    "wood to buy", "How much wood is that?", "wood", ("part_volume", "board_feet"),
    "{part_count} pieces for posts are sawn {part_length} long, {part_width} wide and "
    "{part_thickness} thick. How much wood is that{asked}?",
    {"part_count": Bounds(("3", "9", "3")),
     "part_length": Bounds(("1120 mm", "1240 mm", "10 mm"), ("44 in", "49 in", "1/2 in")),
     "part_width": Bounds(("60 mm", "84 mm", "2 mm"), ("2 1/4 in", "3 1/4 in", "1/8 in")),
     "part_thickness": Bounds(("60 mm", "84 mm", "2 mm"), ("2 1/4 in", "3 1/4 in", "1/8 in"))},
    ("0.0001 m^3", "0.1"), (0.005, 60), (),
    formulas={"part_volume": f.WOOD, "board_feet": f.BOARD_FEET}, figure="wood",
    asked_in_words={"part_volume": "", "board_feet": ", in board feet"},
    counted=("board feet", "board foot", "bd ft", "bf"),
    by_display=True,
)  # fmt: skip

KINDS: dict[str, ExerciseKind] = {
    kind.name: kind
    for kind in (
        POST_LENGTH, HEIGHT, HEIGHT_CHANGE, LEAN, NOTCH_DEPTH, OFFSET, FLAT_DEPTH, FOOT_CIRCLE,
        ANGLE, NOTCH_TILT, SAW, SIGHT_LINE, RESULTANT, BORING, LEVELLING,
        TIPPING, PUSH, OVERHANG, TILT, MOISTURE, MOVEMENT, SLOT, TRAMMEL, CLAMPS, WOOD,
    )
}  # fmt: skip
