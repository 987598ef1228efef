"""How accurately a careful maker cuts, how far unequal heads tilt the top, what still looks level.

`reference/derivations/top_tilt.md` has the plane through three points and the worked examples.
"""

from __future__ import annotations

from dataclasses import replace

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.engine.tolerance import Tolerance
from tablekit.relations import quantities as q

# -- accuracy, and the tilt of the top -------------------------------------------------------------

DERIVATION = "reference/derivations/top_tilt.md"
_PRACTICE = common_practice("careful work by hand and small machines; measure your own cuts")

# For one piece with three posts: a tolerance on a size that all three share moves them together.
DEFAULT: tuple[Tolerance, ...] = (
    Tolerance("post_length", 0.5, _PRACTICE),
    Tolerance("post_section", 0.2, _PRACTICE),
    Tolerance("notch_depth", 0.2, _PRACTICE),
    Tolerance("notch_position", 0.5, _PRACTICE),
    Tolerance("foot_flat_depth", 0.5, _PRACTICE),
    Tolerance("head_flat_depth", 0.5, _PRACTICE),
    Tolerance("top_thickness", 0.3, _PRACTICE),
    Tolerance("top_diameter", 1.0, _PRACTICE),
    Tolerance("splay", 0.1, _PRACTICE),  # the notch is cut at an angle, and the lean follows it
)
# For splayed legs: boring by eye along a bevel gauge is the least accurate step.
SPLAYED: tuple[Tolerance, ...] = (
    Tolerance("leg_length", 0.5, _PRACTICE),
    Tolerance("leg_diameter", 0.5, _PRACTICE),
    Tolerance("foot_diameter", 0.5, _PRACTICE),
    Tolerance("tenon_diameter", 0.2, _PRACTICE),
    Tolerance("socket_depth", 0.5, _PRACTICE),
    Tolerance("socket_radius", 0.5, _PRACTICE),
    Tolerance("leg_resultant", 0.5, _PRACTICE),
)

head_height_1 = Quantity(
    "head_height_1",
    "h₁",
    "mm",
    "height of the first head above the floor",
    -5000,
    5000,
    latex="h_1",
)
head_height_2 = Quantity(
    "head_height_2",
    "h₂",
    "mm",
    "height of the second head above the floor",
    -5000,
    5000,
    latex="h_2",
)
head_height_3 = Quantity(
    "head_height_3",
    "h₃",
    "mm",
    "height of the third head above the floor",
    -5000,
    5000,
    latex="h_3",
)
top_tilt = Quantity("top_tilt", "ψ", "deg", "tilt of the top out of level", 0, 45, latex=r"\psi")
rim_drop = Quantity(
    "rim_drop",
    "Δ",
    "mm",
    "height difference across the top, from the lowest to the highest point of the rim",
    0,
    2000,
    latex=r"\Delta",
)

_h1, _h2, _h3 = head_height_1, head_height_2, head_height_3

TOP_TILT = Relation(
    name="tilt of the top",
    equation=equal(
        sp.tan(top_tilt),
        2
        / (3 * q.head_radius)
        * sp.sqrt(_h1**2 + _h2**2 + _h3**2 - _h1 * _h2 - _h2 * _h3 - _h3 * _h1),
    ),
    meaning="Three heads of unequal height tilt the top that lies on them.",
    why="The slope of a plane through the corners of an equilateral triangle is the sum of the "
    "three heights, each taken along the direction of its head, over 3/2 of the radius.",
    source=derived(DERIVATION, "tilt"),
    checks=(
        Check(
            {
                "head_radius": "400 mm",
                "head_height_1": "706 mm",
                "head_height_2": "700 mm",
                "head_height_3": "700 mm",
            },
            {"top_tilt": "0.5729 deg"},
            derived(DERIVATION, "one head 6 mm too high falls on 600 mm: arctan(1/100)"),
        ),
    ),
)

RIM_DROP = Relation(
    name="height difference across the top",
    equation=equal(rim_drop, q.top_diameter * sp.sin(top_tilt)),
    meaning="How much higher one side of the rim stands than the other.",
    why="The diameter along the steepest climb, seen from the side.",
    source=derived(DERIVATION, "across the top"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "top_tilt": "0.5729 deg"},
            {"rim_drop": "9.00 mm"},
            derived(DERIVATION, "900 mm at 1 in 100"),
        ),
    ),
)

TILT_QUANTITIES = (head_height_1, head_height_2, head_height_3, top_tilt, rim_drop)
TILT_RELATIONS = (TOP_TILT, RIM_DROP)


def tolerances(sheet_names: frozenset[str] | set[str]) -> tuple[Tolerance, ...]:
    """The default tolerances of those quantities that a sheet has."""
    return tuple(tolerance for tolerance in (*DEFAULT, *SPLAYED) if tolerance.name in sheet_names)


# -- how far heads and feet may be off -------------------------------------------------------------

visible_slope = Quantity(
    "visible_slope", "i_0", "1", "steepest slope of the top that still looks level, rise over run",
    0.0001, 0.1, latex="i_0", said="slope",
)  # fmt: skip
head_height_tolerance = Quantity(
    "head_height_tolerance", "δ_h", "mm",
    "height tolerance of one head, above or below the other two, before the slope shows",
    0.001, 400, latex=r"\delta_h", fine=True,
)  # fmt: skip
foot_height_tolerance = Quantity(
    "foot_height_tolerance", "δ_f", "mm",
    "height tolerance of one foot, too long or too short, before the slope shows",
    0.001, 400, latex=r"\delta_f", fine=True,
)  # fmt: skip
rim_height_tolerance = Quantity(
    "rim_height_tolerance", "Δ_0", "mm", "height difference across the rim at the visible slope",
    0.001, 300, latex=r"\Delta_0",
)  # fmt: skip
head_step = Quantity(
    "head_step", "ε_h", "mm", "measured height of one head above or below the other two",
    0, 400, latex=r"\varepsilon_h", fine=True,
)  # fmt: skip
foot_step = Quantity(
    "foot_step", "ε_f", "mm", "measured error of one foot, too long or too short",
    0, 400, latex=r"\varepsilon_f", fine=True,
)  # fmt: skip
visible_slope_used = Quantity(
    "visible_slope_used",
    "ι_t",
    "1",
    "tilt of the top as a share of the visible slope",
    0,
    1000,
    latex=r"\iota_t",
    said="share",
)
all_off_tilt = Quantity(
    "all_off_tilt", "ψ_6", "deg",
    "tilt of the top with all three heads and all three feet off, in the worst combination", 0, 60,
    latex=r"\psi_6",
)  # fmt: skip
all_off_drop = Quantity(
    "all_off_drop", "Δ_6", "mm", "height difference across the top at that tilt", 0, 3000,
    latex=r"\Delta_6",
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (
    visible_slope_used, visible_slope, head_height_tolerance, foot_height_tolerance,
    rim_height_tolerance, head_step, foot_step, top_tilt, rim_drop, all_off_tilt, all_off_drop,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_ONE = "one head or one foot off"


def _height_tolerance(found: Quantity, radius: Quantity, end: str, why: str) -> Relation:
    return Relation(
        name=f"height tolerance of a {end}",
        equation=equal(2 * found, 3 * visible_slope * radius),
        meaning=f"The visible slope over one and a half radii of the {end} circle.",
        why=why,
        source=derived(DERIVATION, _ONE),
        checks=(
            Check(
                {"visible_slope": "0.01", radius.name: "400 mm"},
                {found.name: "6.00 mm"},
                derived(DERIVATION, "tilt: 6 mm on a circle of 400 mm is 1 in 100"),
            ),
        ),
    )


HEAD_HEIGHT_TOLERANCE = _height_tolerance(
    head_height_tolerance, q.head_radius, "head",
    "The other two heads lie on a line half a radius beyond the centre, so the top falls from a "
    "high head over one and a half radii.",
)  # fmt: skip
FOOT_HEIGHT_TOLERANCE = _height_tolerance(
    foot_height_tolerance, q.foot_radius, "foot",
    "A base with one long foot tilts about the line through the other two feet, which lies half a "
    "radius beyond the centre.",
)  # fmt: skip
RIM_HEIGHT_TOLERANCE = Relation(
    name="height tolerance of the rim",
    # (D/Δ)² = 1 + 1/i²: the sine of a slope from its tangent, each named once.
    equation=equal((q.top_diameter / rim_height_tolerance) ** 2, 1 + 1 / visible_slope**2),
    meaning="How much the height of the rim above the floor may vary, all round.",
    why="Taken along the diameter of steepest climb, seen from the side: the slope is the tangent "
    "of the tilt, the height difference its sine.",
    source=derived(DERIVATION, "across the top"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "visible_slope": "0.01"},
            {"rim_height_tolerance": "9.00 mm"},
            derived(DERIVATION, "900 mm at 1 in 100"),
        ),
    ),
)
TILT_FROM_STEPS = Relation(
    name="tilt from one head and one foot off",
    equation=equal(
        sp.tan(top_tilt),
        sp.Rational(2, 3)
        * (head_step / q.head_radius + foot_step / q.foot_radius),
    ),
    meaning="In the worst case, one head and one foot that are off tilt the top by the sum of "
    "both.",
    why="Each tilts the top by its error over one and a half radii of its own circle. The two add "
    "up where the long foot stands under the side with the high head.",
    source=derived(DERIVATION, _ONE),
    checks=(
        Check(
            {
                "head_step": "6 mm", "head_radius": "400 mm", "foot_step": "0 mm",
                "foot_radius": "400 mm",
            },
            {"top_tilt": "0.5729 deg"},
            derived(DERIVATION, "one head 6 mm too high falls on 600 mm: arctan(1/100)"),
        ),
        Check(
            {
                "head_step": "3 mm", "head_radius": "400 mm", "foot_step": "3 mm",
                "foot_radius": "400 mm",
            },
            {"top_tilt": "0.5729 deg"},
            derived(DERIVATION, "half from a head, half from a foot"),
        ),
    ),
)  # fmt: skip
ALL_OFF_TILT = Relation(
    name="tilt with every head and every foot off",
    equation=equal(sp.tan(all_off_tilt), 2 * sp.tan(top_tilt)),
    meaning="In the worst case, with all three heads and all three feet off by as much, the top "
    "tilts twice as far as with one head and one foot off.",
    why="One head too high and the other two too low by as much differ by twice that; three heads "
    "can do no worse. The same goes for the feet.",
    source=derived(DERIVATION, "all six off"),
    checks=(
        Check(
            {"top_tilt": "0.572939 deg"},
            {"all_off_tilt": "1.1458 deg"},
            derived(DERIVATION, "heads at 703, 697 and 697 mm, feet likewise: 2 in 100"),
        ),
    ),
)
ALL_OFF_DROP = Relation(
    name="height difference across the top with all six off",
    equation=equal(all_off_drop, q.top_diameter * sp.sin(all_off_tilt)),
    meaning="How much higher one side of the rim then stands than the other.",
    why="The diameter along the steepest climb, seen from the side.",
    source=derived(DERIVATION, "across the top"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "all_off_tilt": "1.1458 deg"},
            {"all_off_drop": "18.00 mm"},
            derived(DERIVATION, "900 mm at 2 in 100"),
        ),
    ),
)
VISIBLE_SLOPE_USED = Relation(
    name="tilt as a share of the visible slope",
    equation=equal(visible_slope_used * visible_slope, sp.tan(top_tilt)),
    meaning="At 1 the top is at the visible slope.",
    why="A slope is the tangent of a tilt.",
    source=derived(DERIVATION, _ONE),
    checks=(
        Check(
            {"visible_slope": "0.005", "top_tilt": "0.5729 deg"}, {"visible_slope_used": "2.00"},
            derived(DERIVATION, "1 in 100 is twice 1 in 200"),
        ),
    ),
)  # fmt: skip
RELATIONS = (
    VISIBLE_SLOPE_USED, HEAD_HEIGHT_TOLERANCE, FOOT_HEIGHT_TOLERANCE, RIM_HEIGHT_TOLERANCE,
    TILT_FROM_STEPS, RIM_DROP, ALL_OFF_TILT, ALL_OFF_DROP,
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Relations for the level of the top, the same for a "table" and a "stool"."""
    return RELATIONS


_HALF_MM = sp.Rational(1, 2000)
_MEASURED = "careful marking and sawing; measure your own"
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        visible_slope, sp.Rational(1, 300),
        "A top looks level to most eyes within about 1 in 300.",
        common_practice("1 in 300"),
        first_to=("head_height_tolerance", "foot_height_tolerance", "rim_height_tolerance"),
        usual=(0.0005, 0.02),
    ),
    assume(foot_step, _HALF_MM, "Half a millimetre off at one foot.", common_practice(_MEASURED),
           usual=(0, 20)),
    assume(
        head_step, _HALF_MM, "Half a millimetre off at one head.", common_practice(_MEASURED),
        first_to=("top_tilt", "rim_drop"), usual=(0, 20),
    ),
)  # fmt: skip

LEVEL = Requirement(
    id="level",
    name="level of the top",
    quantity="visible_slope_used",
    source=common_practice("1 in 300 looks level (visible_slope), twice that is seen by many"),
    good=(None, 1),
    tolerable=(None, 2),
    too_high="With one head off by {head_step} and one foot by {foot_step}, one side of the rim "
    "is {rim_drop} higher than the other. With all three heads and all three feet off by as much, "
    "in the worst combination, it is {all_off_drop}: the slope shows, or a ball rolls.",
    mend_high="Stand the base on a flat surface and scribe the feet with a block and a pencil. "
    "Then plane the highest head or shim the low plates, and measure again.",
    fine="With one head off by {head_step} and one foot by {foot_step}, one side of the rim is "
    "{rim_drop} higher than the other: nobody will see it. With all three heads and all three "
    "feet off by as much, in the worst combination, it is {all_off_drop}. Check with a level on "
    "the bare heads before the top goes on: along two of them and across to the third.",
)
# Nobody sights along a seat, and nothing rolls off it.
STOOL_LEVEL = replace(
    LEVEL,
    source=common_practice("our own choice of limits: 1 in 150 is not felt by a sitter"),
    good=(None, 2),
    tolerable=(None, 4),
    too_high=LEVEL.too_high.replace(
        "the slope shows, or a ball rolls", "the slope shows, and a sitter feels it"
    ),
)
REQUIREMENTS: tuple[Requirement, ...] = (LEVEL,)
