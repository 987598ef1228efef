"""Cup of strips when their moisture changes, and of the panel glued up from them.

`reference/derivations/grain.md` derives all of it from the wood's unequal change along the growth
rings and across them.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, Source, common_practice, derived, published
from tablekit.engine.relation import (
    Assumption,
    Check,
    Limit,
    Relation,
    Requirement,
    assume,
    equal,
)
from tablekit.relations.moisture import ONE_PERCENT

DERIVATION = "reference/derivations/grain.md"


def _at(heading: str) -> Source:
    return derived(DERIVATION, heading)


strip_width = Quantity("strip_width", "b", "mm", "width of a strip", 3, 1500)
pith_distance = Quantity(
    "pith_distance", "r", "mm",
    "pith (centre of the tree) to the middle of the strip, read off the curve of the rings",
    5, 3000,
)  # fmt: skip
pith_clearance = Quantity(
    "pith_clearance", "r_n", "mm",
    "pith to the middle of the strip, less half the strip's width taken across the rings",
    0, 3000,
)  # fmt: skip
ring_angle = Quantity(
    "ring_angle", "α", "deg",
    "angle between the rings and the face at the middle of the strip: 0 flat-sawn, 90 "
    "quarter-sawn",
    0, 90, latex=r"\alpha",
)  # fmt: skip
pith_depth = Quantity("pith_depth", "h", "mm", "pith to the strip's face, square to it", -1, 3000)
pith_aside = Quantity(
    "pith_aside", "c", "mm", "pith to the middle of the strip, along its face",
    -1, 3000,
)  # fmt: skip
near_edge = Quantity(
    "near_edge", "x₁", "mm", "point of the face nearest the pith to the strip's nearer edge",
    -800, 3000, latex="x_1",
)  # fmt: skip
far_edge = Quantity(
    "far_edge", "x₂", "mm", "point of the face nearest the pith to the strip's farther edge",
    0, 4000, latex="x_2",
)  # fmt: skip
near_edge_turn = Quantity(
    "near_edge_turn", "θ₁", "deg",
    "angle at the pith from the perpendicular to the face to the strip's nearer edge", -90, 90,
    latex=r"\theta_1",
)  # fmt: skip
far_edge_turn = Quantity(
    "far_edge_turn", "θ₂", "deg",
    "angle at the pith from the perpendicular to the face to the strip's farther edge", -90, 90,
    latex=r"\theta_2",
)  # fmt: skip
radial_coefficient = Quantity(
    "radial_coefficient", "C_r", "1",
    "movement across the rings for 1 % of moisture, as a share", 0.0002, 0.006,
)  # fmt: skip
tangential_coefficient = Quantity(
    "tangential_coefficient", "C_t", "1",
    "movement along the rings for 1 % of moisture, as a share", 0.0003, 0.007,
)  # fmt: skip
moisture_made = Quantity("moisture_made", "M_s", "%", "moisture of the strips when glued up", 1, 30)
moisture_lived = Quantity("moisture_lived", "M", "%", "moisture that the strips reach later", 1, 30)
moisture_change = Quantity(
    "moisture_change", "ΔM", "%",
    "moisture gained since the strips were glued up; negative where lost",
    -30, 30, latex=r"\Delta M",
)  # fmt: skip
ring_change = Quantity(
    "ring_change", "δ", "1", "movement along the rings less that across them, as a share",
    -0.2, 0.2, latex=r"\delta",
)  # fmt: skip
strip_cup = Quantity(
    "strip_cup", "f", "mm",
    "rise of a strip's middle over its edges, towards the bark side; negative where hollow there",
    -50, 50,
)  # fmt: skip
strip_turn = Quantity(
    "strip_turn", "τ", "deg",
    "turn of a strip's two glued edges against one another; negative in drying", -60, 60,
    latex=r"\tau",
)  # fmt: skip
panel_width = Quantity(
    "panel_width", "B", "mm", "total width of the strips, across the grain", 3, 3200
)
panel_turn = Quantity(
    "panel_turn", "T", "deg", "sum of the turns of all strips, each signed by its side", -400, 400
)
panel_cup = Quantity(
    "panel_cup", "F", "mm",
    "depth of the arc through the joints of equal strips laid all one way, towards the bark side",
    -600, 600,
)  # fmt: skip
heart_side = Quantity(
    "heart_side", "s", "1", "1 for a strip laid bark side up, −1 for one laid heart side up", -1, 1
)
slope_before = Quantity("slope_before", "β", "deg", "turn of a strip's left edge", -90, 90,
                        latex=r"\beta")  # fmt: skip
slope_past = Quantity("slope_past", "β′", "deg", "turn of a strip's right edge", -90, 90,
                      latex=r"\beta'")  # fmt: skip
rise_across = Quantity(
    "rise_across", "z", "mm", "height of a strip's right edge over its left edge", -500, 500
)
panel_bow = Quantity(
    "panel_bow", "F_p", "mm",
    "greatest distance of the panel from the line between its first edge and its last",
    0, 600, fine=True,
)  # fmt: skip
ripple = Quantity(
    "ripple",
    "f_p",
    "mm",
    "greatest distance of a strip's middle from the line between its edges",
    0,
    50,
    fine=True,
)
STRIP_QUANTITIES = (
    strip_width, pith_distance, pith_clearance, ring_angle, pith_depth, pith_aside, near_edge,
    far_edge, near_edge_turn, far_edge_turn,
    radial_coefficient, tangential_coefficient, moisture_made, moisture_lived, moisture_change,
    ring_change, strip_cup, strip_turn,
)  # fmt: skip
PANEL_QUANTITIES = (
    panel_width, panel_turn, panel_cup, heart_side, slope_before, slope_past, rise_across,
)  # fmt: skip
QUANTITIES = (*STRIP_QUANTITIES, *PANEL_QUANTITIES)

PITH_DISTANCE = Relation(
    name="distance from the pith",
    equation=equal(
        pith_distance,
        pith_clearance + strip_width / 2 * sp.sin(ring_angle),
    ),
    meaning="A strip that crosses the rings reaches half its width towards the pith.",
    why="A flat-sawn strip extends to both sides of the pith and is as far from it as its middle; "
    "a quarter-sawn one lies on the radius.",
    source=_at("rings and pith"),
    checks=(
        Check({"pith_clearance": "100 mm", "strip_width": "140 mm", "ring_angle": "30 deg"},
              {"pith_distance": "135.0 mm"}, _at("rings and pith")),
    ),
)  # fmt: skip
PITH_DEPTH = Relation(
    name="depth of the pith",
    equation=equal(pith_depth, pith_distance * sp.cos(ring_angle)),
    meaning="How far the pith lies below the strip's face.",
    why="The line from the pith to the strip's middle is square to the rings there.",
    source=_at("rings and pith"),
    checks=(
        Check({"pith_distance": "100 mm", "ring_angle": "30 deg"}, {"pith_depth": "86.6 mm"},
              _at("rings and pith")),
    ),
)  # fmt: skip
PITH_ASIDE = Relation(
    name="offset of the pith",
    equation=equal(pith_aside, pith_distance * sp.sin(ring_angle)),
    meaning="How far the pith lies to the side of the strip's middle.",
    why="The other side of the same right-angled triangle.",
    source=_at("rings and pith"),
    checks=(
        Check({"pith_distance": "100 mm", "ring_angle": "30 deg"}, {"pith_aside": "50.0 mm"},
              _at("rings and pith")),
    ),
)  # fmt: skip


def _edge(words: str, edge: Quantity, side: int, answer: str) -> Relation:
    return Relation(
        name=f"position of the {words} edge",
        equation=equal(edge, pith_aside + side * strip_width / 2),
        meaning=f"The {words} edge lies half a width from the strip's middle.",
        why="Measured along the face from the point nearest the pith.",
        source=_at("angles of the edges"),
        checks=(
            Check({"pith_aside": "50 mm", "strip_width": "140 mm"}, {edge.name: answer},
                  _at("angles of the edges")),
        ),
    )  # fmt: skip


def _turn(words: str, turn: Quantity, edge: Quantity, along: str, answer: str) -> Relation:
    x, h = edge, pith_depth
    return Relation(
        name=f"angle of the {words} edge",
        equation=equal(turn, sp.asin(x / sp.sqrt(h**2 + x**2))),
        meaning=f"Direction of the radius from the pith to the strip's {words} edge.",
        why="Its tangent is the edge's distance along the face over the face's distance from the "
        "pith.",
        source=_at("angles of the edges"),
        inverse={edge.name: h * sp.tan(turn), "pith_depth": x / sp.tan(turn)},
        checks=(
            Check({"pith_depth": "100 mm", edge.name: along}, {turn.name: answer},
                  _at("angles of the edges")),
        ),
    )  # fmt: skip


NEAR_EDGE = _edge("nearer", near_edge, -1, "-20.0 mm")
FAR_EDGE = _edge("farther", far_edge, 1, "120.0 mm")
NEAR_EDGE_TURN = _turn("nearer", near_edge_turn, near_edge, "-70 mm", "-34.992 deg")
FAR_EDGE_TURN = _turn("farther", far_edge_turn, far_edge, "70 mm", "34.992 deg")
MOISTURE_CHANGE = Relation(
    name="moisture gained",
    equation=equal(moisture_change, moisture_lived - moisture_made),
    meaning="What counts is the change from the moisture at which the strips were glued up.",
    why="The strips were planed straight and glued flat at that moisture.",
    source=_at("the wood as a fan"),
    checks=(
        Check({"moisture_made": "10 %", "moisture_lived": "6 %"}, {"moisture_change": "-4 %"},
              _at("cup")),
    ),
)  # fmt: skip
RING_CHANGE = Relation(
    name="difference of movement along and across the rings",
    equation=equal(
        ring_change * ONE_PERCENT,
        (tangential_coefficient - radial_coefficient) * moisture_change,
    ),
    meaning="Wood moves more along its rings than across them, and the difference bends a strip.",
    why="If both were equal, a strip would only grow or shrink and keep its shape.",
    source=_at("the wood as a fan"),
    checks=(
        Check(
            {"tangential_coefficient": "0.00274", "radial_coefficient": "0.00169",
             "moisture_change": "-4 %"},
            {"ring_change": "-0.0042"}, _at("cup"),
        ),
    ),
)  # fmt: skip
STRIP_CUP = Relation(
    name="cup of a strip",
    equation=equal(
        strip_cup,
        ring_change / 2 * (
            near_edge * near_edge_turn
            + far_edge * far_edge_turn
            - 2 * pith_aside * ring_angle
        ),
    ),
    meaning="In drying, a strip goes hollow on its bark side; in damp air it goes round there. A "
    "quarter-sawn strip does neither.",
    why="All radii from the pith change equally, and their fan closes or opens, which lifts the "
    "edges away from the pith or lowers them.",
    source=_at("cup"),
    limits=(Limit(pith_clearance, "the strip does not contain the pith"),),
    checks=(
        Check(
            {"ring_change": "-0.0042", "pith_aside": "0 mm",
             "near_edge": "-70 mm", "far_edge": "70 mm", "near_edge_turn": "-34.992 deg",
             "far_edge_turn": "34.992 deg", "ring_angle": "0 deg",
             "pith_clearance": "100 mm"},
            {"strip_cup": "-0.1796 mm"}, _at("cup"),
        ),
    ),
)  # fmt: skip
STRIP_TURN = Relation(
    name="turn of a strip",
    equation=equal(
        strip_turn,
        ring_change * (
            far_edge_turn - near_edge_turn
            - (sp.sin(2 * far_edge_turn) - sp.sin(2 * near_edge_turn)) / 2
        ),
    ),
    meaning="How far one glued edge of a cupped strip turns against the other.",
    why="Where the rings lean, one face of the strip changes more than the other; in its middle "
    "they do not lean. Glued edges pass the turn on to the next strip.",
    source=_at("turn"),
    checks=(
        Check(
            {"ring_change": "-0.0042", "near_edge_turn": "-34.992 deg",
             "far_edge_turn": "34.992 deg"},
            {"strip_turn": "-0.0678 deg"}, _at("turn"),
        ),
    ),
)  # fmt: skip
PANEL_CUP = Relation(
    name="cup of a panel laid all one way",
    equation=equal(panel_cup * 8, panel_turn * panel_width),
    meaning="The joints of equal strips, all the same way up, lie on one arc of this depth.",
    why="The depth of a flat arc is an eighth of its width times its turn.",
    source=_at("the panel"),
    checks=(
        Check({"panel_turn": "0.4746 deg", "panel_width": "980 mm"}, {"panel_cup": "1.015 mm"},
              _at("the panel")),
    ),
)  # fmt: skip
SLOPE_PAST = Relation(
    name="slope past a strip",
    equation=equal(
        slope_past, slope_before - heart_side * strip_turn
    ),
    meaning="A strip that is round on top leads downwards, a hollow one upwards.",
    why="Glued edges coincide, so each strip starts at the slope at which the one before it ended.",
    source=_at("the panel"),
    checks=(
        Check({"slope_before": "1 deg", "heart_side": "1", "strip_turn": "0.52 deg"},
              {"slope_past": "0.48 deg"}, _at("the panel")),
    ),
)  # fmt: skip
RISE_ACROSS = Relation(
    name="rise across a strip",
    equation=equal(
        rise_across * 2, strip_width * (slope_before + slope_past)
    ),
    meaning="A strip rises by its width times the mean turn of its two edges.",
    why="The turns are small, and a flat-sawn strip is symmetrical about its middle.",
    source=_at("the panel"),
    checks=(
        # 100 mm at a mean of 1°, 0.0174533: arithmetic
        Check({"strip_width": "100 mm", "slope_before": "1.5 deg", "slope_past": "0.5 deg"},
              {"rise_across": "1.745 mm"}, _at("the panel")),
    ),
)  # fmt: skip
STRIP_RELATIONS = (
    PITH_DISTANCE, PITH_DEPTH, PITH_ASIDE, NEAR_EDGE, FAR_EDGE, NEAR_EDGE_TURN, FAR_EDGE_TURN,
    MOISTURE_CHANGE, RING_CHANGE, STRIP_CUP, STRIP_TURN,
)  # fmt: skip
PANEL_RELATIONS = (PANEL_CUP, SLOPE_PAST, RISE_ACROSS)
RELATIONS = (*STRIP_RELATIONS, *PANEL_RELATIONS)

_MM = sp.Rational(1, 1000)
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        tangential_coefficient, sp.Rational(315, 100000), "A mid-range hardwood.",
        published("Wood Handbook, FPL-GTR-190",
                  "table 13-5: the middle of the hardwoods in reference/movement.csv"),
                  usual=(0.001, 0.006),
    ),
    assume(
        radial_coefficient, sp.Rational(52, 100) * tangential_coefficient,
        "Across its rings a mid-range hardwood moves a little over half as much as along them.",
        published("Wood Handbook, FPL-GTR-190",
                  "table 13-5: the middle of the ratios in reference/movement.csv"),
                  usual_share=(0.5, 1.95),
    ),
    assume(
        pith_clearance, 100 * _MM,
        "Boards from a medium-sized trunk, clear of the wood round the pith. Read yours off the "
        "end grain: the more tightly the rings curve, the more a strip cups.",
        common_practice(),
        first_to=("pith_distance", "pith_depth", "pith_aside"), usual=(0, 1000),
    ),
    assume(ring_angle, 0, "Flat-sawn: the rings lie along the face.", common_practice()),
)  # fmt: skip

BOW = Requirement(
    id="panel_flatness",
    name="flatness of the panel",
    quantity=panel_bow.name,
    source=common_practice("our own choice of limits"),
    good=(None, 2),
    tolerable=(None, 8),
    too_high="The bow shows under a straightedge.",
    mend_high="Plates in slots near the rim hold it down. To be rid of it, turn every other strip "
    "over, or use narrower or quarter-sawn strips.",
    fine="Barely visible, and the fastenings hold it down easily.",
)
RIPPLE = Requirement(
    id="strip_cup",
    name="cup of the strips",
    quantity=ripple.name,
    source=common_practice("our own choice of limits: a hand can feel little less than this"),
    good=(None, 0.3),
    tolerable=(None, 1),
    too_high="Each strip cups by itself, and no fastening holds that down.",
    mend_high="Rip the strips narrower, use quarter-sawn wood, or plane the top again when it is "
    "driest.",
    fine="Visible only in a low light along the top.",
)
REQUIREMENTS: tuple[Requirement, ...] = (BOW, RIPPLE)
