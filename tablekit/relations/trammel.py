"""Cutting the top round with a router that swings about a pin in the centre of its underside.

`reference/derivations/trammel.md` describes the set-up and has the worked examples.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/trammel.md"

cutter_diameter = Quantity(
    "cutter_diameter", "d_c", "mm", "diameter of the straight cutter", 2, 100, latex="d_c"
)
trammel_radius = Quantity(
    "trammel_radius",
    "R_n",
    "mm",
    "pivot to the near side of the cutter, with the waste outside the circle",
    40,
    1600,
    latex="R_n",
)
trammel_centre = Quantity(
    "trammel_centre", "R_c", "mm", "pivot to the centre of the cutter", 40, 1700, latex="R_c"
)
pivot_to_far_side = Quantity(
    "pivot_to_far_side",
    "R_w",
    "mm",
    "pivot to the far side of the cutter; the rough top must reach this far all round",
    40,
    1700,
    latex="R_w",
)
cutter_from_edge = Quantity(
    "cutter_from_edge",
    "x_c",
    "mm",
    "reference end of the trammel board to the centre of the cutter",
    10,
    500,
    latex="x_c",
)
pivot_from_edge = Quantity(
    "pivot_from_edge",
    "x_p",
    "mm",
    "reference end of the trammel board to the pivot hole",
    50,
    2200,
    latex="x_p",
)
pass_depth = Quantity("pass_depth", "z", "mm", "greatest depth of cut in one pass", 0.5, 40)
passes_by_depth = Quantity(
    "passes_by_depth",
    "N_z",
    "1",
    "thickness of the top over the depth of a pass",
    0.1,
    400,
    latex="N_z",
)
router_passes = Quantity(
    "router_passes",
    "N_p",
    "1",
    "number of passes to cut through the top",
    1,
    401,
    latex="N_p",
    whole=True,
)
equal_pass = Quantity(
    "equal_pass", "z_e", "mm", "depth of each pass where all are equal", 0.3, 40, latex="z_e"
)
last_pass = Quantity(
    "last_pass",
    "z_l",
    "mm",
    "depth left for the last pass where the others go to full depth",
    0,
    40,
    latex="z_l",
)
QUANTITIES = (
    cutter_diameter, trammel_radius, trammel_centre, pivot_to_far_side, cutter_from_edge,
    pivot_from_edge, pass_depth, passes_by_depth, router_passes, equal_pass, last_pass,
)  # fmt: skip

# A thickness of exactly five passes still takes five when the last bit of the float is off.
_HAIR = sp.Float(1e-9)

TRAMMEL_RADIUS = Relation(
    name="radius on the trammel",
    equation=equal(trammel_radius, q.top_diameter / 2),
    meaning="The near side of the cutter cuts the rim, since the waste lies outside it.",
    why="The near side of the cutter runs on a circle about the pin, and the wood inside that "
    "circle stays. To keep the wood outside a hole instead, measure to the far side of the "
    "cutter.",
    source=derived(DERIVATION, "near side, middle and far side"),
    checks=(
        Check(
            {"top_diameter": "920 mm"},
            {"trammel_radius": "460 mm"},
            derived(DERIVATION, "a top of 920 mm"),
        ),
    ),
)
TRAMMEL_CENTRE = Relation(
    name="centre of the cutter on the trammel",
    equation=equal(trammel_centre, trammel_radius + cutter_diameter / 2),
    meaning="Half a cutter diameter farther out than the rim.",
    why="A straight cutter is round; its near side lies half a diameter inside its centre.",
    source=derived(DERIVATION, "near side, middle and far side"),
    checks=(
        Check(
            {"trammel_radius": "460 mm", "cutter_diameter": "12 mm"},
            {"trammel_centre": "466 mm"},
            derived(DERIVATION, "a top of 920 mm"),
        ),
    ),
)
PIVOT_TO_FAR_SIDE = Relation(
    name="far side of the cutter",
    equation=equal(pivot_to_far_side, trammel_radius + cutter_diameter),
    meaning="Where the groove ends on the waste side.",
    why="Wood beyond it falls off as an offcut. Where the rough top ends short of it, the cutter "
    "runs out into the air and tears the corners.",
    source=derived(DERIVATION, "near side, middle and far side"),
    checks=(
        Check(
            {"trammel_radius": "460 mm", "cutter_diameter": "12 mm"},
            {"pivot_to_far_side": "472 mm"},
            derived(DERIVATION, "a top of 920 mm"),
        ),
    ),
)
PIVOT_HOLE = Relation(
    name="pivot hole",
    equation=equal(pivot_from_edge, cutter_from_edge + trammel_centre),
    meaning="Where to drill for the pin, measured from the end of the board that carries the "
    "router.",
    why="Cutter and pin both lie on the middle line of the board.",
    source=derived(DERIVATION, "the hole for the pin"),
    checks=(
        Check(
            {"cutter_from_edge": "100 mm", "trammel_centre": "466 mm"},
            {"pivot_from_edge": "566 mm"},
            derived(DERIVATION, "the hole for the pin"),
        ),
    ),
)
PASSES_BY_DEPTH = Relation(
    name="thickness in passes",
    equation=equal(passes_by_depth * pass_depth, q.top_thickness),
    meaning="The thickness of the top over the depth of a pass.",
    why="Each pass lowers the cutter by that depth.",
    source=derived(DERIVATION, "passes"),
    checks=(
        Check(
            {"top_thickness": "28 mm", "pass_depth": "5 mm"},
            {"passes_by_depth": "5.6"},
            derived(DERIVATION, "passes"),
        ),
    ),
)
PASSES = Relation(
    name="whole number of passes",
    equation=equal(router_passes, 1 + sp.floor(passes_by_depth - _HAIR)),
    meaning="Part of a pass takes a whole pass, so the number is rounded up.",
    why="Fewer would leave wood standing or go deeper than the depth of a pass. Worked backwards, "
    "a number of passes gives the depth they need.",
    source=derived(DERIVATION, "passes"),
    inverse={"passes_by_depth": router_passes},
    checks=(
        Check({"passes_by_depth": "5.6"}, {"router_passes": "6"}, derived(DERIVATION, "passes")),
        Check({"passes_by_depth": "5"}, {"router_passes": "5"}, derived(DERIVATION, "passes")),
    ),
)
EQUAL_PASS = Relation(
    name="equal passes",
    equation=equal(equal_pass * router_passes, q.top_thickness),
    meaning="The same number of passes, all of one depth.",
    why="Spread evenly, no pass is deeper than the depth allowed.",
    source=derived(DERIVATION, "passes"),
    checks=(
        Check(
            {"top_thickness": "28 mm", "router_passes": "6"},
            {"equal_pass": "4.667 mm"},
            derived(DERIVATION, "passes"),
        ),
    ),
)
LAST_PASS = Relation(
    name="last pass",
    equation=equal(
        last_pass,
        q.top_thickness - (router_passes - 1) * pass_depth,
    ),
    meaning="Full depth each time, then a thin last pass that frees the waste.",
    why="The last pass takes what the full passes have left. A thin one tears out less where the "
    "cutter comes through.",
    source=derived(DERIVATION, "passes"),
    checks=(
        Check(
            {"top_thickness": "28 mm", "router_passes": "6", "pass_depth": "5 mm"},
            {"last_pass": "3 mm"},
            derived(DERIVATION, "passes"),
        ),
    ),
)

# --- Range of one trammel board, and the speed of its cutter -------------------------------------

trammel_length = Quantity(
    "trammel_length", "L_b", "mm", "length of the trammel board", 150, 3000, latex="L_b"
)
pivot_margin = Quantity(
    "pivot_margin",
    "x_m",
    "mm",
    "wood beyond the pivot at the far end of the board",
    0,
    200,
    latex="x_m",
)
pivot_clearance = Quantity(
    "pivot_clearance",
    "x_b",
    "mm",
    "centre of the cutter to the nearest pivot hole that clears the router's base",
    10,
    500,
    latex="x_b",
)
widest_circle = Quantity(
    "widest_circle",
    "D_b",
    "mm",
    "diameter of the largest circle that the board can cut, waste outside",
    100,
    6000,
    latex="D_b",
)
narrowest_circle = Quantity(
    "narrowest_circle",
    "D_a",
    "mm",
    "diameter of the smallest circle that the board can cut, waste outside",
    1,
    1000,
    latex="D_a",
)
cutter_speed = Quantity(
    "cutter_speed", "n_c", "rpm", "rotational speed of the cutter", 1000, 60000, latex="n_c"
)
cutting_speed = Quantity(
    "cutting_speed", "v_c", "m/s", "speed of the cutting edge", 0.1, 190, latex="v_c"
)
BOARD_QUANTITIES = (
    cutter_diameter, cutter_from_edge, trammel_length, pivot_margin, pivot_clearance,
    widest_circle, narrowest_circle, cutter_speed, cutting_speed,
)  # fmt: skip

WIDEST_CIRCLE = Relation(
    name="largest circle of a trammel board",
    equation=equal(
        widest_circle,
        2 * (trammel_length - cutter_from_edge - pivot_margin) - cutter_diameter,
    ),
    meaning="The pin sits at the far end of the board, with a margin of wood beyond it.",
    why="The rest of the board, between cutter and pin, is the radius to the centre of the cutter.",
    source=derived(DERIVATION, "what one board serves"),
    checks=(
        Check(
            {
                "trammel_length": "42 in",
                "cutter_from_edge": "4 in",
                "pivot_margin": "1 in",
                "cutter_diameter": "0.5 in",
            },
            {"widest_circle": "73.5 in"},
            derived(DERIVATION, "a board of 42 in"),
        ),
    ),
)
NARROWEST_CIRCLE = Relation(
    name="smallest circle of a trammel board",
    equation=equal(narrowest_circle, 2 * pivot_clearance - cutter_diameter),
    meaning="The pin sits as near to the cutter as the router's base allows.",
    why="There is no room for a pin under the router's base.",
    source=derived(DERIVATION, "what one board serves"),
    limits=(
        Limit(
            2 * pivot_clearance - cutter_diameter,
            "the pin stays outside the cutter",
        ),
    ),
    checks=(
        Check(
            {"pivot_clearance": "6 in", "cutter_diameter": "0.5 in"},
            {"narrowest_circle": "11.5 in"},
            derived(DERIVATION, "a board of 42 in"),
        ),
    ),
)
CUTTING_SPEED = Relation(
    name="cutting speed",
    equation=equal(cutting_speed, cutter_diameter * cutter_speed / 2),
    meaning="At the same rotational speed a wide cutter's edge runs faster than a narrow one's.",
    why="In one turn the edge travels π times the diameter: π D n/60000 in m/s, with D in mm and "
    "n in turns per minute. Here the rotational speed is in radians, which already contains the "
    "π.",
    source=derived(DERIVATION, "speed of the edge"),
    checks=(
        Check(
            {"cutter_diameter": "1 in", "cutter_speed": "24000 rpm"},
            {"cutting_speed": "31.92 m/s"},
            derived(DERIVATION, "speed of the edge"),
        ),
    ),
)
BOARD_RELATIONS = (WIDEST_CIRCLE, NARROWEST_CIRCLE, CUTTING_SPEED)


def relations() -> tuple[Relation, ...]:
    """Relations for setting the trammel and counting the passes."""
    return (
        TRAMMEL_RADIUS, TRAMMEL_CENTRE, PIVOT_TO_FAR_SIDE, PIVOT_HOLE,
        PASSES_BY_DEPTH, PASSES, EQUAL_PASS, LAST_PASS,
    )  # fmt: skip


_MM = sp.Rational(1, 1000)
CUTTER_FROM_EDGE = assume(
    cutter_from_edge,
    100 * _MM,
    "Room for the base of most routers.",
    common_practice("measure your own router"),
    first_to=("pivot_from_edge",),
    usual=(20, 300),
    stated_by=("pivot_from_edge",),
)
CUTTER = assume(
    cutter_diameter,
    12 * _MM,
    "A straight cutter wide enough to clear its chips and stiff enough for a thick top.",
    common_practice("12 mm"),
    first_to=("trammel_centre", "pivot_to_far_side"),
    usual=(3, 90),
)
PASS_DEPTH = assume(
    pass_depth,
    5 * _MM,
    "Deeper passes overload the cutter and the hands that hold the router.",
    common_practice("3 to 6 mm in hardwood"),
    first_to=("router_passes", "passes_by_depth", "equal_pass", "last_pass"),
    usual=(1, 20),
)
ASSUMPTIONS: tuple[Assumption, ...] = (CUTTER_FROM_EDGE, CUTTER, PASS_DEPTH)

DEPTH_OF_PASS = Requirement(
    id="pass_depth",
    name="depth of a router pass",
    quantity="equal_pass",
    source=common_practice("3 to 6 mm in hardwood, and no more than half the cutter's diameter"),
    good=(None, 6),
    tolerable=(None, 8),
    too_high="A cut this deep can snatch the router out of your hands, break the cutter or burn "
    "the rim.",
    mend_high="Take more, shallower passes.",
    care="Unplug before touching the cutter, wear eye and ear protection, clamp the top, and "
    "follow the instructions of the machine.",
    fine="Set a stop for each pass. Unplug before touching the cutter, wear eye and ear "
    "protection, clamp the top with waste under it, and never feed the router with the rotation "
    "of the cutter (a climb cut).",
)
REQUIREMENTS: tuple[Requirement, ...] = (DEPTH_OF_PASS,)
