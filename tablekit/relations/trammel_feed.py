"""Cutter speed, feed and depth stop for cutting the top round.

`reference/derivations/trammel.md` has the worked examples; the table of speeds is in
`reference/shop.csv`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, published
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations.trammel import (
    CUTTING_SPEED,
    DERIVATION,
    cutter_diameter,
    cutter_speed,
    cutting_speed,
    equal_pass,
    pass_depth,
    router_passes,
    trammel_centre,
)

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
QUANTITIES = (
    cutter_speed, fastest_speed, cutter_speed_used, cutting_speed, cutter_flutes, chip_load,
    feed_speed, lap_time, cutting_minutes,
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
RELATIONS = (CUTTER_SPEED_USED, CUTTING_SPEED, FEED, LAP, ALL_LAPS)


def relations() -> tuple[Relation, ...]:
    """Relations for speed, feed and time of the round cut."""
    return RELATIONS


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

_HAIR = sp.Float(1e-9)


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
ASSUMPTIONS: tuple[Assumption, ...] = (
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
REQUIREMENTS: tuple[Requirement, ...] = (SPEED, WIDTH)
