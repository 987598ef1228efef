"""How a pupil finds the sizes of the top, what tips it and what it takes, and the slips made.

Each formula is the kit's own relation for the same quantity, solved for it; the tests compare the
two. That these slips are made: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from tablekit.teaching.mistakes import Mistake, slip
from tablekit.teaching.school import SchoolFormula

# Standard gravity is 9.80665 m/s² (ISO 80000-3). A class uses 9.81, and 10 or 9.8 is as right.
_GRAVITY = {"g": "9.81"}
_ALSO_GRAVITY = {"g": ("10", "9.8", "9.80665")}
_DIAMETER_WORDS = "you used the diameter of the top where its radius belongs."
_WEIGHT_WORDS = "you used the mass as a force; a kilogram weighs about 9.81 newtons."

_TIPPING_SLIPS = (
    slip("top diameter: diameter for radius", _DIAMETER_WORDS,
         "M × g × (r_f ÷ 2) ÷ (D − r_f ÷ 2)"),
    slip("over the feet", "you tipped the table over the feet; it tips over the line between two "
         "of them, half as far from the centre.", "M × g × r_f ÷ (D ÷ 2 − r_f)"),
    slip("over the feet, arm of the weight", "you halved the radius for one arm and not for the "
         "other.", "M × g × r_f ÷ (D ÷ 2 − r_f ÷ 2)"),
    slip("over the feet, arm of the load", "you halved the radius for one arm and not for the "
         "other.", "M × g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f)"),
    slip("levers swapped", "you swapped the two arms; the weight has the short one.",
         "M × g × (D ÷ 2 − r_f ÷ 2) ÷ (r_f ÷ 2)"),
    slip("arm from the centre", "you measured the arm of the load from the centre; measure it from "
         "the line over which the table tips.", "M × g × (r_f ÷ 2) ÷ (D ÷ 2)"),
    slip("arm of the whole", "you took the sum of the two arms where the arm of the load is their "
         "difference.", "M × g × (r_f ÷ 2) ÷ (D ÷ 2 + r_f ÷ 2)"),
    slip("sine for cosine", "you took r × sin 60° for the distance to the line between two feet.",
         "M × g × (r_f × √3 ÷ 2) ÷ (D ÷ 2 − r_f × √3 ÷ 2)"),
    slip("halved twice", "you halved the radius of the foot circle twice.",
         "M × g × (r_f ÷ 4) ÷ (D ÷ 2 − r_f ÷ 4)"),
    slip("top halved twice", "you halved the diameter of the top twice.",
         "M × g × (r_f ÷ 2) ÷ (D ÷ 4 − r_f ÷ 2)"),
    slip("shared by the feet", "you shared the load among the three feet.",
         "M × g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2) ÷ 3"),
    slip("weight alone", "you gave the weight of the table.", "M × g"),
)  # fmt: skip
_TIPPING_STRATEGY = (
    "The table turns about the line through two feet. On one side of it the weight holds the table "
    "down with a short arm, on the other the load lifts it with a longer one. Find both arms, and "
    "set the two moments equal."
)
TIPPING = SchoolFormula(
    "M × g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2)",
    _TIPPING_STRATEGY,
    {"M": "total_mass", "r_f": "foot_radius", "D": "top_diameter"},
    {"M": "the mass of the table", "r_f": "the radius of the foot circle",
     "D": "the diameter of the top", "g": "the weight of one kilogram, in newtons"},
    fixed=_GRAVITY,
    also=_ALSO_GRAVITY,
    slips=(
        *_TIPPING_SLIPS,
        slip("mass for weight", _WEIGHT_WORDS, "M × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2)"),
        slip("divided by g", "you divided by g where you should multiply by it.",
             "M ÷ g × (r_f ÷ 2) ÷ (D ÷ 2 − r_f ÷ 2)"),
    ),
)  # fmt: skip

_PUSH_SLIPS = (
    slip("levers swapped", "you swapped the two arms; the weight has the short one.",
         "M × g × H ÷ a_T"),
    slip("arms added", "you divided by the two arms together; the height alone is the arm of the "
         "push.", "M × g × a_T ÷ (H + a_T)"),
    slip("arms taken away", "you took one arm from the other; the height alone is the arm of the "
         "push.", "M × g × a_T ÷ (H − a_T)"),
    slip("half the weight", "you halved the weight.", "M × g × a_T ÷ H ÷ 2"),
    slip("towards a foot", "you pushed towards a foot, where the arm of the weight is twice as "
         "long.", "2 × M × g × a_T ÷ H"),
    slip("half the height", "you pushed at half the height.", "M × g × a_T ÷ (H ÷ 2)"),
    slip("shared by the feet", "you shared the push among the three feet.",
         "M × g × a_T ÷ H ÷ 3"),
    slip("weight alone", "you gave the weight of the table.", "M × g"),
)  # fmt: skip
PUSH = SchoolFormula(
    "M × g × a_T ÷ H",
    "Think of a bent lever that turns about the line through two feet. The weight pulls down at "
    "one arm, the push acts level at the other. Which length is the arm of each? Set the two "
    "moments equal.",
    {"M": "total_mass", "a_T": "tipping_arm", "H": "table_height"},
    {"M": "the mass of the table", "a_T": "the arm of the weight", "H": "the arm of the push, its "
     "height above the floor", "g": "the weight of one kilogram, in newtons"},
    fixed=_GRAVITY,
    also=_ALSO_GRAVITY,
    slips=(
        *_PUSH_SLIPS,
        slip("mass for weight", _WEIGHT_WORDS, "M × a_T ÷ H"),
        slip("divided by g", "you divided by g where you should multiply by it.",
             "M ÷ g × a_T ÷ H"),
    ),
)  # fmt: skip


def _in_pounds(formula: SchoolFormula, slips: tuple[Mistake, ...]) -> SchoolFormula:
    """The same where a weight is given as one, in pounds, so that no g is needed."""
    by_g = slip(
        "multiplied by g",
        "you multiplied by g; a pound of mass weighs one pound of force.",
        formula.text.replace("M × g", "M × 32.174"),
    )
    weighed = (replace(one, worked=one.worked.replace("M × g", "M")) for one in slips)
    names = {letter: name for letter, name in formula.names.items() if letter != "g"}
    return replace(
        formula,
        text=formula.text.replace("M × g", "M"),
        names={**names, "M": "the weight of the table"},
        fixed={},
        also={},
        slips=(*weighed, by_g),
    )


TIPPING_IN = _in_pounds(TIPPING, _TIPPING_SLIPS)
PUSH_IN = _in_pounds(PUSH, _PUSH_SLIPS)

OVERHANG = SchoolFormula(
    "D ÷ 2 − r_h",
    "Go from the centre out to the rim, and from the centre out to the heads. What lies between?",
    {"D": "top_diameter", "r_h": "head_radius"},
    {"D": "the diameter of the top", "r_h": "the radius of the circle of the heads"},
    slips=(
        slip("top diameter: diameter for radius", _DIAMETER_WORDS, "D − r_h"),
        slip("head radius: radius for diameter", "you took the radius of the head circle for its "
             "diameter.", "D ÷ 2 − r_h ÷ 2"),
        slip("both halved", "you took the radius of the head circle for its diameter, and halved "
             "the difference.", "(D − r_h) ÷ 2"),
        slip("both sides", "you gave the overhang of both sides together.", "D − 2 × r_h"),
        slip("halved twice", "you halved twice.", "(D ÷ 2 − r_h) ÷ 2"),
        slip("top halved twice", "you halved the diameter of the top twice.", "D ÷ 4 − r_h"),
        slip("added", "you added the two radii.", "D ÷ 2 + r_h"),
        slip("wrong way round", "you took the larger from the smaller.", "r_h − D ÷ 2"),
    ),
)  # fmt: skip

# h_1 and h_2 are the rows on either side, M_1 and M_2 what they say.
MOISTURE = SchoolFormula(
    "M_1 + (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)",
    "Find the two rows on either side of the humidity. How far between them is it, as a share of "
    "the step from row to row? Go as far between their moistures.",
    {"h": "shop_humidity"},
    {"h": "the humidity of the air", "h_1": "the humidity of the row below",
     "h_2": "the humidity of the row above", "M_1": "the moisture in the row below",
     "M_2": "the moisture in the row above"},
    slips=(
        slip("row below", "you took the row below; interpolate between the two rows on either "
             "side.", "M_1"),
        slip("row above", "you took the row above; interpolate between the two rows on either "
             "side.", "M_2"),
        slip("midpoint", "you took the middle of the two rows; go as far between them as the "
             "humidity does.", "(M_1 + M_2) ÷ 2"),
        slip("from the wrong row", "you went down from the row above where you should go up from "
             "the row below, by the same share.",
             "M_2 − (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)"),
        slip("away from the row", "you took the step away from the row below where it is added.",
             "M_1 − (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)"),
        slip("beyond the row", "you added the step to the row above.",
             "M_2 + (M_2 − M_1) × (h − h_1) ÷ (h_2 − h_1)"),
        # In proportion from nothing, M_1 × h ÷ h_1, comes out within some 0.1 % of the right answer
        # and cannot be told from it.
        slip("step not shared", "you added the whole difference of the humidities.",
             "M_1 + h − h_1"),
        slip("answered shop humidity", "you gave the humidity of the air; the moisture of wood in "
             "it is much lower.", "h"),
    ),
)  # fmt: skip

_SHARE_WORDS = "you divided the per cent by a hundred; the coefficient is already for one per cent."
MOVEMENT = SchoolFormula(
    "D × C × (M_w − M_d)",
    "By how many per cent does the moisture change in all? Each of them changes the width by the "
    "same share.",
    {"D": "top_diameter", "C": "movement_coefficient", "M_w": "dampest_moisture",
     "M_d": "driest_moisture"},
    {"D": "the diameter of the top", "C": "the share of its width by which wood changes for one "
     "per cent", "M_w": "the moisture in summer, in per cent", "M_d": "the moisture in winter"},
    slips=(
        slip("top diameter: radius for diameter", "you gave the movement of one half; the question "
             "is the change of the whole width.", "D ÷ 2 × C × (M_w − M_d)"),
        slip("forgot the moisture that the wood has in winter", "you left out the moisture that "
             "the wood has in winter.", "D × C × M_w"),
        slip("forgot the moisture in summer", "you left out the moisture that the wood has in "
             "summer.", "D × C × M_d"),
        slip("moistures added", "you added the two moistures; their difference counts.",
             "D × C × (M_w + M_d)"),
        slip("per cent put in as a share", _SHARE_WORDS, "D × C × (M_w − M_d) ÷ 100"),
        slip("doubled", "you doubled the movement; the question is the change of the whole width, "
             "which is the sum of both sides.", "2 × D × C × (M_w − M_d)"),
        slip("for one per cent", "you gave the change for one per cent of moisture.", "D × C"),
        slip("new width", "you gave the new width; the question is how much wider it grows.",
             "D + D × C × (M_w − M_d)"),
        slip("mean moisture", "you took the mean of the two moistures.",
             "D × C × (M_w + M_d) ÷ 2"),
    ),
)  # fmt: skip

SLOT = SchoolFormula(
    "d_s + 2 × y_p × C × max(M_s − M_d, M_w − M_s)",
    "The screw starts in the middle of its slot. Find how far the wood moves past it towards the "
    "dry and towards the damp. The slot needs the larger movement on either side of the shank.",
    {"d_s": "screw_shank", "y_p": "plate_across", "C": "movement_coefficient",
     "M_s": "shop_moisture", "M_d": "driest_moisture", "M_w": "dampest_moisture"},
    {"d_s": "the shank of the screw", "y_p": "the distance from the middle of the top", "C": "the "
     "share of its width by which wood changes for one per cent", "M_s": "the moisture in the "
     "shop, in per cent", "M_d": "the driest moisture", "M_w": "the dampest moisture"},
    forget=("d_s",),
    turn=("d_s",),
    slips=(
        slip("one side", "you left room on only one side of the screw; it needs room for the "
             "larger movement on both sides.", "d_s + y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("plate across: radius for diameter", "you halved the distance from the middle.",
             "d_s + 2 × y_p ÷ 2 × C × max(M_s − M_d, M_w − M_s)"),
        slip("smaller movement", "you took the smaller of the two movements.",
             "d_s + 2 × y_p × C × min(M_s − M_d, M_w − M_s)"),
        slip("whole range", "you added the two movements; the screw stands in the middle, so that "
             "the larger one counts on both sides.", "d_s + y_p × C × (M_w − M_d)"),
        slip("whole range on both sides", "you took the movement from the driest to the dampest on "
             "both sides.", "d_s + 2 × y_p × C × (M_w − M_d)"),
        slip("half the shank", "you took the radius of the shank for its diameter.",
             "d_s ÷ 2 + 2 × y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("shank on both sides", "you added the shank on both sides.",
             "2 × d_s + 2 × y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("no shank, one side", "you gave the larger movement alone; the slot needs it on both "
             "sides, and room for the shank.", "y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("no shank, whole range", "you gave the whole movement; the slot needs the larger one "
             "on both sides, and room for the shank.", "y_p × C × (M_w − M_d)"),
        slip("halved twice", "you halved twice.",
             "d_s + y_p ÷ 2 × C × max(M_s − M_d, M_w − M_s)"),
        slip("per cent put in as a share", _SHARE_WORDS,
             "d_s + 2 × y_p × C × max(M_s − M_d, M_w − M_s) ÷ 100"),
        slip("whole width", "you took the whole width of the top for the distance from its middle.",
             "d_s + 4 × y_p × C × max(M_s − M_d, M_w − M_s)"),
        slip("both", "you added the two movements on both sides of the shank, twice over.",
             "d_s + 4 × y_p × C × (M_w − M_d)"),
    ),
)  # fmt: skip

_TRAMMEL_SLIPS = (
    slip("answered trammel radius", "you gave the distance to the near side of the cutter, which "
         "is the rim itself.", "D ÷ 2"),
    slip("cutter's radius subtracted", "you took the radius of the cutter away; the cutter runs "
         "outside the rim.", "D ÷ 2 − d_c ÷ 2"),
    slip("cutter subtracted", "you took the cutter away; it runs outside the rim.", "D ÷ 2 − d_c"),
    slip("top diameter: diameter for radius", _DIAMETER_WORDS, "D + d_c ÷ 2"),
    slip("both diameters", "you used both diameters where radii belong.", "D + d_c"),
    slip("cutter halved twice", "you halved the cutter twice.", "D ÷ 2 + d_c ÷ 4"),
    slip("top halved twice", "you halved the diameter of the top twice.", "D ÷ 4 + d_c ÷ 2"),
    slip("beyond the cutter", "you counted half a cutter too much.", "D ÷ 2 + 3 × d_c ÷ 2"),
)  # fmt: skip
_TRAMMEL_LETTERS = {"D": "top_diameter", "d_c": "cutter_diameter"}
_TRAMMEL_NAMES = {"D": "the diameter of the top", "d_c": "the diameter of the cutter"}
_TRAMMEL_STRATEGY = (
    "The near side of the cutter runs along the rim, and the cutter lies in the waste. Go out from "
    "the pin to the rim, and on to the {} of the cutter."
)
TRAMMEL_CENTRE = SchoolFormula(
    "D ÷ 2 + d_c ÷ 2",
    _TRAMMEL_STRATEGY.format("centre"),
    _TRAMMEL_LETTERS,
    _TRAMMEL_NAMES,
    slips=(
        *_TRAMMEL_SLIPS,
        slip("answered pivot to far side", "you gave the distance to the far side of the cutter; "
             "only half of the cutter lies between the rim and its centre.", "D ÷ 2 + d_c"),
    ),
)  # fmt: skip
TRAMMEL_FAR = SchoolFormula(
    "D ÷ 2 + d_c",
    _TRAMMEL_STRATEGY.format("far side"),
    _TRAMMEL_LETTERS,
    _TRAMMEL_NAMES,
    slips=(
        *_TRAMMEL_SLIPS,
        slip("answered trammel centre", "you gave the distance to the centre of the cutter; add "
             "the other half of it.", "D ÷ 2 + d_c ÷ 2"),
    ),
)  # fmt: skip

_FORCE, _SPACES = "p_g × L_j × t ÷ F_c", "L_j ÷ (2 × (b_c + b_o))"
CLAMPS = SchoolFormula(
    f"roundup(max({_FORCE}, {_SPACES}))",
    "Count twice. By force: what pressure on the whole joint makes in all, over what one clamp "
    "gives. By spacing: the length of the joint over the widest spacing. The larger count serves "
    "both; round it up.",
    {"p_g": "clamp_pressure", "L_j": "joint_length", "t": "top_thickness",
     "F_c": "clamp_capacity", "b_c": "caul_depth", "b_o": "outer_strip"},
    {"p_g": "the pressure on the glue", "L_j": "the length of the joint", "t": "the thickness of "
     "the boards", "F_c": "the force of one clamp", "b_c": "the depth of the batten", "b_o": "the "
     "width of the outermost board"},
    slips=(
        slip("spacing alone", "you counted by the spacing alone; here the pressure needs more "
             "clamps.", f"roundup({_SPACES})"),
        slip("pressure alone", "you counted by the pressure alone; here the spacing needs more "
             "clamps.", f"roundup({_FORCE})"),
        slip("rounded down", "you rounded down; the part of a clamp that is left over needs a "
             "whole one.", f"rounddown(max({_FORCE}, {_SPACES}))"),
        slip("pressure not rounded", "you stopped one step short; clamps come in whole numbers, so "
             "round the larger of the two counts up.", _FORCE),
        slip("spacing not rounded", "you stopped one step short; clamps come in whole numbers, so "
             "round the larger of the two counts up.", _SPACES),
        slip("counts added", "you added the two counts; the larger one serves both.",
             f"roundup({_FORCE}) + roundup({_SPACES})"),
        slip("batten forgotten", "you left out the batten; the pressure spreads in it as well.",
             f"roundup(max({_FORCE}, L_j ÷ (2 × b_o)))"),
        slip("spread on one side", "you let the pressure spread to one side only.",
             f"roundup(max({_FORCE}, L_j ÷ (b_c + b_o)))"),
        slip("one for the end", "you added a clamp for the end; each clamp already presses half a "
             "spacing to either side.", f"roundup(max({_FORCE}, {_SPACES})) + 1"),
    ),
)  # fmt: skip

_WOOD_LETTERS = {
    "n_a": "part_count", "l": "part_length", "b": "part_width", "t_a": "part_thickness",
}  # fmt: skip
_WOOD_NAMES = {
    "n_a": "the number of pieces", "l": "the length of one", "b": "its width",
    "t_a": "its thickness",
}  # fmt: skip
_ONE_WORDS = "you counted only one piece; multiply by the number of pieces."
_AREA_WORDS = "you left out the thickness, and gave an area."
WOOD = SchoolFormula(
    "n_a × l × b × t_a ÷ 1000^3",
    "Find what one piece holds and multiply by the number of pieces. A cubic metre is a thousand "
    "millimetres each way.",
    _WOOD_LETTERS,
    _WOOD_NAMES,
    slips=(
        slip("one piece", _ONE_WORDS, "l × b × t_a ÷ 1000^3"),
        slip("thickness left out", _AREA_WORDS, "n_a × l × b ÷ 1000^2"),
        slip("thousand once too few", "you divided by a million; a cubic metre has a thousand "
             "million cubic millimetres.", "n_a × l × b × t_a ÷ 1000^2"),
        slip("centimetres", "you divided by 100 three times; that goes with centimetres.",
             "n_a × l × b × t_a ÷ 100^3"),
        slip("pieces squared", "you counted the pieces twice.", "n_a × n_a × l × b × t_a ÷ 1000^3"),
    ),
)  # fmt: skip
BOARD_FEET = SchoolFormula(
    "n_a × l × b × t_a ÷ 144",
    "A board foot is 12 in by 12 in by 1 in. Find how many cubic inches all the pieces hold, and "
    "how many go to a board foot.",
    _WOOD_LETTERS,
    _WOOD_NAMES,
    slips=(
        slip("one piece", _ONE_WORDS, "l × b × t_a ÷ 144"),
        slip("inches for feet", "you used the length in inches where the rule with 12 takes feet; "
             "divide by 144 instead.", "n_a × l × b × t_a ÷ 12"),
        slip("cubic feet", "you divided by 12 three times; that gives cubic feet.",
             "n_a × l × b × t_a ÷ 12^3"),
        slip("thickness left out", _AREA_WORDS, "n_a × l × b ÷ 144"),
        slip("not divided", "you gave cubic inches.", "n_a × l × b × t_a"),
        slip("pieces squared", "you counted the pieces twice.", "n_a × n_a × l × b × t_a ÷ 144"),
    ),
)  # fmt: skip
