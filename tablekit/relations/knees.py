"""Knees between the posts, and knee and toe space under an accessible table.

In plan, x is measured in the direction in which a post leans, towards its head, and y square to it;
both from the centre line. Derivation: `reference/derivations/people.md`.

The 2010 ADA Standards, section 306, are written in inches, with millimetres rounded beside them;
the inches are used here. Sections 306.2 and 306.3 are quoted from copies. A kit gives no
certificate: what counts is the local law on access, as the authority that applies it reads it.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, Source, derived, quoted
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, equal
from tablekit.relations import people
from tablekit.relations import quantities as q

# -- a post in plan at the height of knees ---------------------------------------------------------

DERIVATION = "reference/derivations/people.md"

waist_height = Quantity(
    "waist_height", "z_w", "mm", "floor to the waist of a post (the point nearest the centre line)",
    1, 4000, latex="z_w",
)  # fmt: skip
thigh_height = Quantity(
    "thigh_height", "c_t", "mm", "seat to the top of a sitter's knees", 0, 500,
    latex="c_t",
)  # fmt: skip
knee_level = Quantity(
    "knee_level", "z_k", "mm", "floor to the top of a sitter's knees", -1000, 2500, latex="z_k"
)
axis_reach = Quantity(
    "axis_reach", "x_k", "mm",
    "in plan, centre line to the axis of a post at knee level, in the direction of lean",
    -5000, 5000, latex="x_k",
)  # fmt: skip
axis_radius = Quantity(
    "axis_radius", "r_k", "mm", "in plan, centre line to the axis of a post at knee level", 0, 5000,
    latex="r_k",
)  # fmt: skip
tip_reach = Quantity(
    "tip_reach", "x_1", "mm",
    "axis to the farthest corner of a horizontal section, in the direction of lean", 0, 5000,
    latex="x_1",
)  # fmt: skip
tip_aside = Quantity(
    "tip_aside", "y_1", "mm", "axis to that corner, square to the lean", -500, 500, latex="y_1"
)
wing_reach = Quantity(
    "wing_reach", "x_2", "mm", "axis to the other two corners of a horizontal section, in the "
    "direction of lean",
    -5000, 5000, latex="x_2",
)  # fmt: skip
wing_aside = Quantity(
    "wing_aside", "y_2", "mm", "axis to those corners, square to the lean", 0, 500, latex="y_2"
)
head_stop = Quantity(
    "head_stop", "x_t", "mm",
    "in plan, centre line to where the head end cuts off a horizontal section, in the direction of "
    "lean",
    -5000, 90000,
    latex="x_t",
)  # fmt: skip
foot_stop = Quantity(
    "foot_stop", "x_b", "mm",
    "in plan, centre line to where the foot end cuts off a horizontal section, against the "
    "direction of lean", -5000,
    90000, latex="x_b",
)  # fmt: skip

QUANTITIES = (waist_height,)
CONSTANTS: tuple[Constant, ...] = ()
ASSUMPTIONS: tuple[Assumption, ...] = ()
REQUIREMENTS: tuple[Requirement, ...] = ()

_deep, _wide = q.post_section, q.post_width
_theta, _beta = q.splay, q.roll
_half = sp.Rational(1, 2)

WAIST_HEIGHT = Relation(
    name="height of the waist",
    equation=equal(
        waist_height + q.foot_flat_depth,
        q.pad_projection
        + q.foot_arm * sp.cos(_theta)
        + _half * (_deep * q.bearing_rise + _wide * q.side_rise),
    ),
    meaning="The height above the floor at which the posts pass nearest one another.",
    why="The sharp corner of a foot would be below its flat by the depth of the flat. From there, "
    "the way up to the axis is half a depth and half a width, each times its rise, and then the "
    "foot arm along the axis.",
    source=derived(DERIVATION, "height of the waist"),
    checks=(
        Check(
            {
                "pad_projection": "0 mm", "foot_flat_depth": "0 mm", "foot_arm": "516 mm",
                "splay": "54.7356103 deg", "post_section": "64 mm", "post_width": "64 mm",
                "bearing_rise": "0.57735027", "side_rise": "0.57735027",
            },
            {"waist_height": "334.86 mm"},
            derived(DERIVATION, "(516 + 64)/√3 at the square crossing"),
        ),
    ),
)  # fmt: skip

KNEE_LEVEL = Relation(
    name="level of the knees",
    equation=equal(knee_level + people.seat_to_top, q.table_height + thigh_height),
    meaning="The knees are above the seat by the thickness of a thigh.",
    why="The seat is below the top by a comfortable distance, and the thigh lies on the seat.",
    source=derived(DERIVATION, "level of the knees"),
    checks=(
        Check(
            {"table_height": "735 mm", "seat_to_top": "280 mm", "thigh_height": "150 mm"},
            {"knee_level": "605 mm"},
            derived(DERIVATION, "level of the knees"),
        ),
    ),
)

AXIS_REACH = Relation(
    name="axis at knee level",
    equation=equal(axis_reach, (knee_level - waist_height) * sp.tan(_theta)),
    meaning="Above the waist, a post leans outward towards its head; below it, towards its foot.",
    why="For each unit of height from the waist, the axis moves outward by the tangent of its "
    "lean.",
    source=derived(DERIVATION, "axis at a height"),
    checks=(
        Check(
            {"knee_level": "600 mm", "waist_height": "334.86 mm", "splay": "54.7356103 deg"},
            {"axis_reach": "374.96 mm"},
            derived(DERIVATION, "√2 times the rise at the square crossing"),
        ),
    ),
)

AXIS_RADIUS = Relation(
    name="radius of the axis at knee level",
    equation=equal(axis_radius**2, axis_reach**2 + q.centre_distance**2),
    meaning="The distance in plan from the centre line to the axis of a post at knee level.",
    why="The axis passes the centre line at the distance ρ, measured square to the lean.",
    source=derived(DERIVATION, "axis at a height"),
    checks=(
        Check(
            {"axis_reach": "374.96 mm", "centre_distance": "22.63 mm"},
            {"axis_radius": "375.64 mm"},
            derived(DERIVATION, "axis at a height"),
        ),
    ),
)


def _corner(name: str, reach: Quantity, aside: Quantity, way: int) -> tuple[Relation, Relation]:
    """Return the corners of a horizontal section where depth and width add (1) or subtract (-1)."""
    along = _deep * sp.sin(_beta) + way * _wide * sp.cos(_beta)
    across = _deep * sp.cos(_beta) - way * _wide * sp.sin(_beta)
    why = (
        "Seen along the post, the section is the square of the stock, rotated by the roll. A "
        "horizontal section stretches it by 1/cos θ in the direction of lean and leaves it "
        "unchanged square to the lean."
    )
    source = derived(DERIVATION, "post cut level")
    square = {"post_section": "64 mm", "post_width": "64 mm", "roll": "45 deg"}
    reached, stood = ("78.384 mm", "0.000 mm") if way == 1 else ("0.000 mm", "45.255 mm")
    note = derived(DERIVATION, "64 mm square at the square crossing")
    return (
        Relation(
            name=f"{name} of a level cut, along the lean",
            equation=equal(2 * sp.cos(_theta) * reach, along),
            meaning="The distance from the axis of the post to a corner, in the direction of lean.",
            why=why,
            source=source,
            checks=(Check({**square, "splay": "54.7356103 deg"}, {reach.name: reached}, note),),
        ),
        Relation(
            name=f"{name} of a level cut, square to the lean",
            equation=equal(2 * aside, across),
            meaning="The distance from the axis of the post to a corner, square to the lean.",
            why=why,
            source=source,
            checks=(Check(square, {aside.name: stood}, note),),
        ),
    )


TIP = _corner("tip", tip_reach, tip_aside, 1)
WING = _corner("wing", wing_reach, wing_aside, -1)


def _stop(end: str, stop: Quantity, arm: Quantity, way: int) -> Relation:
    rise = knee_level - waist_height
    return Relation(
        name=f"where a level cut meets the {end}",
        equation=equal(
            stop * sp.sin(_theta), arm - way * rise * sp.cos(_theta)
        ),
        meaning=f"The farthest that the post reaches in plan before its {end} end cuts it off.",
        why="The end is square to the post, one arm from the waist along the axis. A horizontal "
        "section meets it where the components of the outward and upward steps along the axis add "
        "up to the arm.",
        source=derived(DERIVATION, "ends"),
        checks=(
            Check(
                {arm.name: "500 mm", "knee_level": "600 mm", "waist_height": "400 mm",
                 "splay": "60 deg"},
                {stop.name: "461.88 mm" if way == 1 else "692.82 mm"},
                derived(DERIVATION, "(500 ∓ 200 cos 60°)/sin 60°"),
            ),
        ),
    )  # fmt: skip


HEAD_STOP = _stop("head", head_stop, q.head_arm, 1)
FOOT_STOP = _stop("foot", foot_stop, q.foot_arm, -1)

# Outside the network: a planner uses these at any height.
OWN = (
    waist_height, thigh_height, knee_level, axis_reach, axis_radius, tip_reach, tip_aside,
    wing_reach, wing_aside, head_stop, foot_stop,
)  # fmt: skip
AT_A_HEIGHT: tuple[tuple[Quantity, Relation], ...] = (
    (axis_reach, AXIS_REACH),
    (axis_radius, AXIS_RADIUS),
    (tip_reach, TIP[0]),
    (tip_aside, TIP[1]),
    (wing_reach, WING[0]),
    (wing_aside, WING[1]),
    (head_stop, HEAD_STOP),
    (foot_stop, FOOT_STOP),
)


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations for a "table" or a "stool"."""
    return (WAIST_HEIGHT,)


# -- under an accessible table ---------------------------------------------------------------------

STANDARDS = "2010 ADA Standards for Accessible Design"


def clause(where: str) -> Source:
    """A clause of the Standards, quoted from a copy."""
    return quoted(STANDARDS, where)


def _inches(name: str, letter: str, number: float, meaning: str, where: str) -> Constant:
    return Constant(name, letter, number * 25.4, "mm", meaning, clause(where))


TOE_HEIGHT = _inches(
    "toe_height", "z_9", 9, "height up to which the space under a table counts as toe clearance",
    "306.2.1",
)  # fmt: skip
TOE_DEPTH = _inches("toe_depth", "x_17", 17, "least depth of the toe clearance", "306.2.3")
MOST_DEPTH = _inches(
    "most_depth", "x_25", 25, "depth under the table beyond which no space counts",
    "306.2.2 and 306.3.2",
)  # fmt: skip
KNEE_HEIGHT = _inches(
    "knee_height", "z_27", 27, "height up to which the space counts as knee clearance", "306.3.1"
)
LOW_KNEE_DEPTH = _inches(
    "low_knee_depth", "x_11", 11, "least depth of the knee clearance at 9 in", "306.3.3"
)
HIGH_KNEE_DEPTH = _inches(
    "high_knee_depth", "x_8", 8, "least depth of the knee clearance at 27 in", "306.3.3"
)
PLACE_WIDTH = _inches(
    "place_width", "y_30", 30, "least width of knee and toe clearance", "306.2.5 and 306.3.5"
)

ACCESSIBLE_CONSTANTS = (
    TOE_HEIGHT, TOE_DEPTH, MOST_DEPTH, KNEE_HEIGHT, LOW_KNEE_DEPTH, HIGH_KNEE_DEPTH, PLACE_WIDTH,
)  # fmt: skip

clearance_height = Quantity(
    "clearance_height", "z_a", "mm", "height above the floor", 0, 1500, latex="z_a"
)
needed_depth = Quantity(
    "needed_depth", "x_a", "mm", "depth that must be clear for knees at that height", 0, 700,
    latex="x_a",
)  # fmt: skip
ACCESSIBLE_QUANTITIES = (clearance_height, needed_depth)

KNEE_DEPTH = Relation(
    name="knee depth",
    equation=equal(
        needed_depth,
        LOW_KNEE_DEPTH - (clearance_height - TOE_HEIGHT) / 6,
    ),
    meaning="Knees need 11 in of depth at 9 in, and an inch less for every 6 in above that.",
    why="A shin leans forward from the knee to the toes, so the space may slope with it.",
    source=clause("306.3.3 and 306.3.4"),
    checks=(
        Check({"clearance_height": "9 in"}, {"needed_depth": "11.0 in"}, clause("306.3.3")),
        Check({"clearance_height": "27 in"}, {"needed_depth": "8.0 in"}, clause("306.3.3")),
    ),
)
