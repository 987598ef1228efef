"""The kinds of exercise about the top: standing firm, moisture, cutting, gluing and buying."""

from __future__ import annotations

from tablekit.teaching import formulas_top as f
from tablekit.teaching.kinds import (
    ANGLE,
    CIRCLE_BOUNDS,
    DIAMETER_BOUNDS,
    FLAT_DEPTH,
    FOOT_CIRCLE,
    HEIGHT,
    HEIGHT_CHANGE,
    LEAN,
    LENGTH,
    NOTCH_DEPTH,
    NOTCH_TILT,
    OFFSET,
    POST_LENGTH,
    SAW,
    SIGHT_LINE,
    TOP_BOUNDS,
    Bounds,
    ExerciseKind,
)
from tablekit.teaching.kinds_as_cut import TILT

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
        ANGLE, NOTCH_TILT, SAW, SIGHT_LINE,
        TIPPING, PUSH, OVERHANG, TILT, MOISTURE, MOVEMENT, SLOT, TRAMMEL, CLAMPS, WOOD,
    )
}  # fmt: skip
