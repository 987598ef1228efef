"""How splayed legs stand: where their mass is, and how far a leg too short tilts the top.

`reference/derivations/splayed_legs.md` derives the formulas under "where the mass is" and "a leg
that is too short".
"""

from __future__ import annotations

from dataclasses import replace

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations import levelling
from tablekit.relations import quantities as q
from tablekit.relations import splayed_quantities as s
from tablekit.relations import tipping as tips
from tablekit.relations.kinds import is_seat
from tablekit.relations.levelling import RIM_DROP, rim_drop, top_tilt
from tablekit.relations.splayed_load import DERIVATION
from tablekit.relations.tipping import LOADED_SLOPE, SLOPE, centre

base_centre = replace(
    tips.base_centre, meaning="floor to the centre of mass of the legs below the top"
)
leg_step = Quantity(
    "leg_step", "ε_l", "mm", "error in the length of one leg, too long or too short", 0, 400,
    latex=r"\varepsilon_l",
)  # fmt: skip
foot_step = replace(
    levelling.foot_step, meaning="plumb error of the foot of that leg, too long or too short"
)
foot_height_tolerance = levelling.foot_height_tolerance
visible_slope, visible_slope_used = levelling.visible_slope, levelling.visible_slope_used
QUANTITIES: tuple[Quantity, ...] = (
    base_centre, tips.mass_height, tips.tipping_slope, tips.loaded_slope, tips.placed_height,
    leg_step, foot_step, visible_slope, foot_height_tolerance, visible_slope_used, top_tilt,
    rim_drop,
)  # fmt: skip
CONSTANTS: tuple[Constant, ...] = ()

_thick, _thin = s.leg_diameter, s.foot_diameter

BASE_CENTRE = Relation(
    name="height of the legs' centre of mass",
    equation=equal(
        4 * (base_centre - q.pad_projection) * (_thin**2 + _thin * _thick + _thick**2),
        s.leg_rise * (_thin**2 + 2 * _thin * _thick + 3 * _thick**2),
    ),
    meaning="Half the height of straight legs, more for legs that taper towards the foot.",
    why="A leg is the difference of two cones cut level, each of which balances a quarter of its "
    "height above its base. That holds however the leg leans.",
    source=derived(DERIVATION, "where the mass is"),
    checks=(
        Check(
            {"leg_diameter": "45 mm", "foot_diameter": "45 mm", "leg_rise": "332 mm",
             "pad_projection": "3 mm"},
            {"base_centre": "169.0 mm"}, derived(DERIVATION, "where the mass is, by hand"),
        ),
        Check(
            {"leg_diameter": "40 mm", "foot_diameter": "28 mm", "leg_rise": "407 mm",
             "pad_projection": "0 mm"},
            {"base_centre": "227.2 mm"}, derived(DERIVATION, "where the mass is, by hand"),
        ),
    ),
)  # fmt: skip
_SHORT = derived(DERIVATION, "a leg that is too short")
FOOT_STEP = Relation(
    name="plumb error of a foot",
    equation=equal(foot_step, leg_step * sp.cos(s.leg_resultant)),
    meaning="A leaning leg that is too short leaves a smaller gap under its foot.",
    why="The error lies along the leg; its plumb part is what the foot lacks.",
    source=_SHORT,
    checks=(
        Check({"leg_step": "1 mm", "leg_resultant": "18 deg"}, {"foot_step": "0.951 mm"}, _SHORT),
    ),
)
_FALL = {3: sp.Rational(3, 2), 4: sp.Integer(1)}  # radii, from a foot to the line it turns about
_LINE = {
    3: "The top turns about the line through the other two feet, one and a half radii away.",
    4: "The piece rocks about the line through its two neighbours, which passes through the "
    "centre, until the short leg touches the floor.",
}


def tilt(count: int) -> Relation:
    """Return how far one leg that is off tilts the top, on three or four legs."""
    return Relation(
        name="tilt from one leg off",
        equation=equal(sp.tan(top_tilt) * _FALL[count] * q.foot_radius, foot_step),
        meaning="The shorter the distance between the feet, the more one of them tilts the top.",
        why=_LINE[count],
        source=_SHORT,
        checks=(
            Check(
                {"foot_step": "4 mm", "foot_radius": "200 mm"},
                {"top_tilt": {3: "0.7639 deg", 4: "1.1458 deg"}[count]},
                derived(DERIVATION, "a leg that is too short: 1 in 75, and 1 in 50"),
            ),
        ),
    )


def tolerance(count: int) -> Relation:
    """Return how far one of three or four feet may be off before the slope of the top shows."""
    return Relation(
        name="height tolerance of a foot",
        equation=equal(foot_height_tolerance, _FALL[count] * visible_slope * q.foot_radius),
        meaning="The visible slope over the distance from the foot to the line the piece turns on.",
        why=_LINE[count],
        source=_SHORT,
        checks=(
            Check(
                {"visible_slope": "0.01", "foot_radius": "200 mm"},
                {"foot_height_tolerance": {3: "3.00 mm", 4: "2.00 mm"}[count]},
                _SHORT,
            ),
        ),
    )


def relations(kind: str, count: int) -> tuple[Relation, ...]:
    """Return where the mass of a "table" or a "stool" is, its slopes and its level."""
    whole = q.seat_height if is_seat(kind) else q.table_height
    loaded = () if is_seat(kind) else (LOADED_SLOPE,)
    return (
        BASE_CENTRE, centre(whole), SLOPE, *loaded,
        FOOT_STEP, tilt(count), tolerance(count), RIM_DROP, levelling.VISIBLE_SLOPE_USED,
    )  # fmt: skip


_SLOPE = next(one for one in levelling.ASSUMPTIONS if one.quantity is visible_slope)
ASSUMPTIONS: tuple[Assumption, ...] = (
    replace(_SLOPE, first_to=frozenset({"foot_height_tolerance"})),
    assume(
        leg_step, sp.Rational(1, 1000), "One leg a millimetre out.",
        common_practice("careful scribing and sawing; measure your own"),
        first_to=("foot_step", "top_tilt", "rim_drop", "visible_slope_used"), usual=(0, 20),
    ),
)  # fmt: skip

LEVEL = Requirement(
    id="level",
    name="level of the top",
    quantity="visible_slope_used",
    source=common_practice("1 in 300 looks level (visible_slope), twice that is seen by many"),
    good=(None, 1),
    tolerable=(None, 2),
    too_high="With one leg off by {leg_step}, one side of the rim is {rim_drop} higher than the "
    "other: the slope shows.",
    mend_high="Stand the piece on a flat surface, shim it level and scribe all feet with a pencil "
    "on a block. Saw them off together, last of all.",
    fine="With one leg off by {leg_step}, one side of the rim is {rim_drop} higher than the other. "
    "A foot may be off by {foot_height_tolerance} before the slope shows.",
)
# Nobody sights along a seat, and nothing rolls off it.
STOOL_LEVEL = replace(
    LEVEL,
    source=common_practice("our own choice of limits: 1 in 150 is not felt by a sitter"),
    good=(None, 2),
    tolerable=(None, 4),
    too_high=LEVEL.too_high.replace("the slope shows", "a sitter feels the slope"),
)
REQUIREMENTS: tuple[Requirement, ...] = (LEVEL,)
