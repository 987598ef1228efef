"""Cutting the top round with a router that swings about a pin in the centre of its underside:
settings and passes, then speed, feed and depth stop.

`reference/derivations/trammel.md` has the worked examples; the table of speeds is in
`reference/shop.csv`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, published
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q

# -- settings and passes ---------------------------------------------------------------------------

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


# -- speed, feed and time --------------------------------------------------------------------------

ONE_TURN = Constant(
    "turn_a_minute", "n₁", 1.0, "rpm", "one turn a minute",
    published("ISO 80000-3", "rotational frequency"), latex="n_1",
)  # fmt: skip
CONSTANTS = (ONE_TURN, q.INCH)

fastest_speed = Quantity(
    "fastest_speed", "n_m", "rpm", "highest permitted speed of the cutter, as marked on it",
    1000, 60000, latex="n_m",
)  # fmt: skip
cutter_speed_used = Quantity(
    "cutter_speed_used", "κ_c", "1", "speed of the cutter as a share of the highest permitted",
    0.01, 60, latex=r"\kappa_c", said="share",
)  # fmt: skip
cutter_flutes = Quantity(
    "cutter_flutes", "z_c", "1", "number of cutting edges", 1, 8, whole=True, latex="z_c"
)
chip_load = Quantity(
    "chip_load",
    "f_z",
    "mm",
    "advance of the cutter for each cutting edge and turn",
    0.005,
    2,
    latex="f_z",
    fine=True,
)
feed_speed = Quantity(
    "feed_speed",
    "v_f",
    "m/s",
    "speed of the cutter along its path",
    0.0005,
    5,
    latex="v_f",
    fine=True,
)
lap_time = Quantity(
    "lap_time",
    "t_1",
    "1",
    "time for one lap of the trammel, in seconds",
    0.1,
    20000,
    latex="t_1",
    said="seconds",
)
cutting_minutes = Quantity(
    "cutting_minutes", "t_a", "1", "cutting time for all the passes, in minutes, without stops",
    0.01, 100000, latex="t_a", said="minutes",
)  # fmt: skip

_FEED = "how fast to go round"
CUTTER_SPEED_USED = Relation(
    name="cutter speed as a share of the highest permitted",
    equation=equal(cutter_speed_used * fastest_speed, cutter_speed),
    meaning="It is 1 at the highest permitted speed and more where the cutter runs too fast.",
    why="A cutter is marked with the highest speed it withstands; above that it may fly apart.",
    source=derived(DERIVATION, "speed of the edge"),
    checks=(
        Check(
            {"cutter_speed": "18000 rpm", "fastest_speed": "24000 rpm"},
            {"cutter_speed_used": "0.75"},
            derived(DERIVATION, "speed of the edge"),
        ),
    ),
)
FEED = Relation(
    name="feed of the router",
    equation=equal(2 * sp.pi * feed_speed, cutter_speed * cutter_flutes * chip_load),
    meaning="Rotational speed times cutting edges times chip load.",
    why="In one turn each edge takes one chip load, so the router advances by as many chip loads "
    "as there are edges. Here the rotational speed is in radians, 2π to the turn.",
    source=derived(DERIVATION, _FEED),
    checks=(
        Check(
            {"cutter_speed": "18000 rpm", "cutter_flutes": "2", "chip_load": "0.1 mm"},
            {"feed_speed": "0.060 m/s"},
            common_practice("a public worked example prints 3600 mm a minute"),
        ),
    ),
)
LAP = Relation(
    name="time for one lap",
    equation=equal(
        lap_time * feed_speed,
        60 * ONE_TURN * trammel_centre,
    ),
    meaning="How long the router takes for one lap of the top at that feed.",
    why="The centre of the cutter travels 2π times its radius. One turn per minute is "
    "2π radians in sixty seconds, so the constant contains the 2π.",
    source=derived(DERIVATION, _FEED),
    checks=(
        Check(
            {"trammel_centre": "466 mm", "feed_speed": "0.08 m/s"},
            {"lap_time": "36.60"},
            derived(DERIVATION, _FEED),
        ),
    ),
)
ALL_LAPS = Relation(
    name="time for all the passes",
    equation=equal(60 * cutting_minutes, router_passes * lap_time),
    meaning="As many laps as there are passes.",
    why="Each pass is one lap. Setting the stop and clearing the chips come on top.",
    source=derived(DERIVATION, _FEED),
    checks=(
        Check(
            {"router_passes": "6", "lap_time": "36.6"},
            {"cutting_minutes": "3.66"},
            derived(DERIVATION, _FEED),
        ),
    ),
)
FEED_RELATIONS = (CUTTER_SPEED_USED, CUTTING_SPEED, FEED, LAP, ALL_LAPS)


# --- Setting of the depth stop: solved separately, once for each pass -----------------------------

pass_number = Quantity(
    "pass_number", "j", "1", "number of the pass, the uppermost being 1", 1, 401, whole=True
)
equal_stop = Quantity(
    "equal_stop", "z_j", "mm", "depth of the stop at that pass where all passes are equal",
    0.1, 200, latex="z_j",
)  # fmt: skip
full_stop = Quantity(
    "full_stop", "ζ_j", "mm", "depth of the stop at that pass where the last pass is thin",
    0.1, 200, latex=r"\zeta_j",
)  # fmt: skip
STOP_QUANTITIES = (pass_number, equal_pass, pass_depth, q.top_thickness, equal_stop, full_stop)
EQUAL_STOP = Relation(
    name="stop for equal passes",
    equation=equal(equal_stop, pass_number * equal_pass),
    meaning="The stop goes down by one pass each time.",
    why="The depths of the passes so far add up.",
    source=derived(DERIVATION, "the stop"),
    checks=(
        Check(
            {"pass_number": "3", "equal_pass": "4.66667 mm"},
            {"equal_stop": "14.0 mm"},
            derived(DERIVATION, "the stop"),
        ),
    ),
)
FULL_STOP = Relation(
    name="stop for full passes and a thin last one",
    equation=equal(full_stop, sp.Min(pass_number * pass_depth, q.top_thickness)),
    meaning="Full depth each time, but never past the underside.",
    why="The last pass takes what the others have left.",
    source=derived(DERIVATION, "the stop"),
    checks=(
        Check(
            {"pass_number": "6", "pass_depth": "5 mm", "top_thickness": "28 mm"},
            {"full_stop": "28 mm"},
            derived(DERIVATION, "the stop"),
        ),
        Check(
            {"pass_number": "5", "pass_depth": "5 mm", "top_thickness": "28 mm"},
            {"full_stop": "25 mm"},
            derived(DERIVATION, "the stop"),
        ),
    ),
)
STOP_RELATIONS = (EQUAL_STOP, FULL_STOP)

# --- Assumptions and requirements -----------------------------------------------------------------


def _wider_than(inches: sp.Rational) -> sp.Expr:
    """1 for a cutter wider than `inches`, else 0."""
    times = cutter_diameter / (inches * q.INCH)
    # Unevaluated: sympy would spend longer on which is larger than on all the rest of this file.
    at_least = sp.Max(1, times, evaluate=False)
    return sp.Min(1, sp.floor(at_least - _HAIR, evaluate=False), evaluate=False)


# 24 000 up to 1 in, 18 000 up to 2 in, 16 000 up to 2 1/2 in, 12 000 beyond.
_BY_DIAMETER = ONE_TURN * (
    24000
    - 6000 * _wider_than(sp.Rational(1))
    - 2000 * _wider_than(sp.Rational(2))
    - 4000 * _wider_than(sp.Rational(5, 2))
)

_KEEP_SAFE = (
    "Unplug before touching the cutter, wear eye and ear protection, clamp the top, and follow the "
    "instructions of the machine and the cutter."
)
SPEED = Requirement(
    id="cutter_speed",
    name="speed of the cutter",
    quantity="cutter_speed_used",
    source=common_practice("the table of speeds in reference/shop.csv, or the cutter's marking"),
    good=(None, 1.000001),
    tolerable=(None, 1.000001),
    too_high="Faster than a cutter of this diameter may turn: it can burst and throw its pieces "
    "like shot.",
    mend_high="Turn the speed down or use a narrower cutter.",
    care=_KEEP_SAFE,
    fine=f"Within the permitted speed of a cutter of this diameter. {_KEEP_SAFE}",
)
CHIP_LOAD = Requirement(
    id="chip_load",
    name="chip load",
    quantity="chip_load",
    source=common_practice("0.1 to 0.2 mm in solid wood; 0.05 to 0.3 mm is still cut cleanly"),
    good=(0.1, 0.2),
    tolerable=(0.05, 0.3),
    too_low="The edges rub instead of cutting, and burn the rim.",
    mend_low="Feed faster or turn the speed down; do not pause in the cut.",
    too_high="More than the edges cut cleanly: the router labours, snatches and tears the rim.",
    mend_high="Feed more slowly.",
    care=_KEEP_SAFE,
    fine="Chips, not dust. Keep moving, against the rotation of the cutter, and ease off where "
    "the motor slows.",
)
WIDTH = Requirement(
    id="cutter_width",
    name="width of the cutter",
    quantity="cutter_diameter",
    source=common_practice("the table of speeds in reference/shop.csv ends at 89 mm"),
    good=(None, 25.4),
    tolerable=(None, 88.9),
    too_high="A wide cutter takes a heavy cut for a router on a trammel, and above 25 mm it has to "
    "run slower.",
    mend_high="Use a straight cutter of 12 mm. Never run one over 89 mm in a hand-held router.",
    fine="Narrow enough for any router that takes its shank.",
)
# Not among those of a piece: a tenth of a millimetre would be shown there as 0 mm. The plan of the
# cut judges the chip load and writes it out.


QUANTITIES = (
    cutter_diameter, trammel_radius, trammel_centre, pivot_to_far_side, cutter_from_edge,
    pivot_from_edge, pass_depth, passes_by_depth, router_passes, equal_pass, last_pass,
    cutter_speed, fastest_speed, cutter_speed_used, cutting_speed, cutter_flutes, chip_load,
    feed_speed, lap_time, cutting_minutes,
)  # fmt: skip
ASSUMPTIONS: tuple[Assumption, ...] = (
    CUTTER_FROM_EDGE, CUTTER, PASS_DEPTH,
    assume(
        fastest_speed, _BY_DIAMETER,
        "The usual limits by diameter: 24 000 turns a minute up to 1 in, 18 000 up to 2 in, "
        "16 000 up to 2 1/2 in, 12 000 up to 3 1/2 in. The marking on the cutter takes precedence.",
        common_practice("reference/shop.csv"),
        first_to=("cutter_speed_used",), usual_share=(0.4, 1.25),
    ),
    assume(
        cutter_speed, fastest_speed,
        "As fast as the cutter may turn, unless your router runs slower: see its rating plate.",
        common_practice(), first_to=("cutter_speed_used", "cutting_speed"), usual_share=(0.3, 1.3),
    ),
    assume(cutter_flutes, 2, "Most straight cutters have two edges.", common_practice(),
           usual=(1, 4)),
    assume(
        chip_load, sp.Rational(1, 10000),
        "A chip of a tenth of a millimetre carries its heat away; dust burns the rim.",
        common_practice("0.1 to 0.2 mm in solid wood; less with the router held by hand"),
        first_to=("feed_speed", "lap_time", "cutting_minutes"), usual=(0.02, 0.6),
    ),
)  # fmt: skip
REQUIREMENTS: tuple[Requirement, ...] = (
    DEPTH_OF_PASS,
    SPEED, WIDTH,
)  # fmt: skip


def relations() -> tuple[Relation, ...]:
    """Relations for setting the trammel, counting the passes, and speed and time of the cut."""
    return (
        TRAMMEL_RADIUS, TRAMMEL_CENTRE, PIVOT_TO_FAR_SIDE, PIVOT_HOLE,
        PASSES_BY_DEPTH, PASSES, EQUAL_PASS, LAST_PASS, *FEED_RELATIONS,
    )  # fmt: skip
