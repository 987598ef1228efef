"""The kinds of exercise, in the order in which a table is set out.

Each is a declaration: what is given and within what bounds, what is asked for, how near an answer
must come, the question in words, and the mistakes that are often made.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from tablekit.teaching import formulas_posts as f
from tablekit.teaching import mistakes as m
from tablekit.teaching.mistakes import Mistake
from tablekit.teaching.school import SchoolFormula

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
    topic      the relations it is answered from (`topics.py`)
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
