"""Fastening a top that moves to heads that do not: slotted plates and hidden screws.

`reference/derivations/fixing.md` derives how far a plate's screw travels and how to turn the base
under the grain.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.relations import quantities as q
from tablekit.relations.moisture import DAMPEST, DRIEST, ONE_PERCENT, SHOP
from tablekit.relations.movement import season_rate, shop_rate

# -- recesses in the heads for the plates and in the feet for the pads -----------------------------

DERIVATION = "reference/derivations/fixing.md"

plate_width = Quantity("plate_width", "b_p", "mm", "width of a plate", 3, 300, latex="b_p")
plate_recess_width = Quantity(
    "plate_recess_width", "b_r", "mm", "width of the recess for a plate, right through the flat",
    3, 310, latex="b_r",
)  # fmt: skip
plate_rim = Quantity(
    "plate_rim", "e_p", "mm", "wood of the head's flat left on each side of a plate",
    -150, 200, latex="e_p",
)  # fmt: skip
pad_diameter = Quantity(
    "pad_diameter", "d_p", "mm", "diameter of a foot pad", 0.4, 400, latex="d_p"
)
pad_hole = Quantity(
    "pad_hole", "d_r", "mm", "diameter of the recess drilled for a foot pad", 0.5, 401, latex="d_r"
)
pad_rim = Quantity(
    "pad_rim", "e_f", "mm", "wood of the foot's flat left round a pad", -200, 200, latex="e_f"
)
RECESS_QUANTITIES = (plate_width, plate_recess_width, plate_rim, pad_diameter, pad_hole, pad_rim)

_EASE = q.MILLIMETRE / 2
PLATE_RECESS_WIDTH = Relation(
    name="width of the recess for a plate",
    equation=equal(plate_recess_width, plate_width + _EASE),
    meaning="Half a millimetre wider than the plate.",
    why="The plate has to drop in without force; its screws hold it, not the walls.",
    source=derived(DERIVATION, "recesses"),
    checks=(
        Check(
            {"plate_width": "20 mm"},
            {"plate_recess_width": "20.5 mm"},
            derived(DERIVATION, "recesses"),
        ),
    ),
)


def _rim(name: str, left: Quantity, flat: Quantity, hole: Quantity, end: str) -> Relation:
    return Relation(
        name=name,
        equation=equal(2 * left, flat - hole),
        meaning=f"Half the difference between the {end}'s flat and its recess.",
        why="The recess lies in the middle of the largest circle on the flat.",
        source=derived(DERIVATION, "recesses"),
        checks=(
            Check(
                {flat.name: "25 mm", hole.name: "20.5 mm"},
                {left.name: "2.25 mm"},
                derived(DERIVATION, "recesses"),
            ),
        ),
    )


PLATE_RIM = _rim("wood beside a plate", plate_rim, q.head_flat, plate_recess_width, "head")
PAD_HOLE = Relation(
    name="width of the recess for a pad",
    equation=equal(pad_hole, pad_diameter + _EASE),
    meaning="Half a millimetre wider than the pad; use the next larger bit.",
    why="A pad that is squeezed in bulges, and the piece rocks on it.",
    source=derived(DERIVATION, "recesses"),
    checks=(
        Check(
            {"pad_diameter": "18.75 mm"}, {"pad_hole": "19.25 mm"}, derived(DERIVATION, "recesses")
        ),
    ),
)
PAD_RIM = _rim("wood round a pad", pad_rim, q.foot_flat, pad_hole, "foot")
RECESS_RELATIONS = (PLATE_RECESS_WIDTH, PLATE_RIM, PAD_HOLE, PAD_RIM)

RECESS_ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        plate_width, sp.Rational(4, 5) * q.head_flat,
        "As wide as possible with some of the flat left on each side.",
        common_practice("four fifths of the flat"), first_to=("plate_recess_width", "plate_rim"),
        usual_share=(0.3, 1.5), stated_by=("plate_recess_width",),
    ),
    assume(
        pad_diameter, sp.Rational(3, 4) * q.foot_flat,
        "As wide as possible with a ring of wood left round the recess.",
        common_practice("three quarters of the flat"), first_to=("pad_hole", "pad_rim"),
        usual_share=(0.3, 1.5), stated_by=("pad_hole",),
    ),
)  # fmt: skip

_HELD = "Hold the post in a vice or a jig, not by hand."
PLATES = Requirement(
    id="plate_room",
    name="room for the plates on the heads",
    quantity="plate_rim",
    source=common_practice("1 mm of the flat on either side"),
    good=(1, None),
    tolerable=(0, None),
    too_low="The recess breaks out through the side of the head.",
    mend_low="Use narrower plates or cut a larger flat.",
    care=_HELD,
    fine="The recess has a wall on each side. Saw and chisel it, or rout it against a stop, with "
    "the post held in a vice or a jig and never by hand.",
)
PADS = Requirement(
    id="pad_room",
    name="room for the pads in the feet",
    quantity="pad_rim",
    source=common_practice("1.5 mm of wood all round"),
    good=(1.5, None),
    tolerable=(0, None),
    too_low="Too little wood is left round the recess, and it breaks away.",
    mend_low="Use smaller pads or cut a larger flat.",
    care=_HELD,
    fine="A ring of wood is left all round. Drill once the feet are level, with a flat-bottomed "
    "bit and a depth stop, the base upside down and held so that it cannot roll.",
)
RECESS_REQUIREMENTS: tuple[Requirement, ...] = (PLATES, PADS)


# -- plates, screws and pads -----------------------------------------------------------------------

head_turn = Quantity(
    "head_turn",
    "ω",
    "deg",
    "in plan, angle from the grain of the top to the nearest screw",
    0,
    30,
    latex=r"\omega",
)
plate_across = Quantity(
    "plate_across",
    "y_p",
    "mm",
    "centre of the top to the farthest plate, across the grain",
    0,
    4000,
    latex="y_p",
)
plate_travel = Quantity(
    "plate_travel",
    "u_p",
    "mm",
    "seasonal travel of that plate's screw across the grain",
    0,
    200,
    latex="u_p",
)
plate_factor = Quantity(
    "plate_factor", "k_p", "1",
    "movement of the wood between the centre and the farthest plate, over that from the "
    "coefficient of the whole top; 1 where all boards are alike",
    0.05, 20, latex="k_p",
)  # fmt: skip
screw_shank = Quantity(
    "screw_shank", "d_s", "mm", "diameter of the screw's shank", 1.5, 12, latex="d_s"
)
slot_needed = Quantity(
    "slot_needed",
    "l_n",
    "mm",
    "slot across the grain, or width of hole, needed by a screw set in its middle in the shop",
    1.5,
    400,
    latex="l_n",
    least=True,
)
slot_length = Quantity(
    "slot_length", "l", "mm", "length of the plates' slots, or width of their holes", 1, 400
)
slot_spare = Quantity(
    "slot_spare",
    "l_s",
    "mm",
    "slot length left over, beyond the length needed",
    -400,
    400,
    latex="l_s",
)
plate_thickness = Quantity(
    "plate_thickness", "t_p", "mm", "thickness of a fastening plate", 0.5, 20, latex="t_p"
)
screw_length = Quantity(
    "screw_length",
    "l_v",
    "mm",
    "length of the screws up into the top, head and point included",
    5,
    150,
    latex="l_v",
)
screw_cover = Quantity(
    "screw_cover", "z_v", "mm", "wood left above the point of a screw", -150, 150, latex="z_v"
)
pilot_diameter = Quantity(
    "pilot_diameter",
    "d_v",
    "mm",
    "diameter of the pilot hole for a screw",
    0.5,
    10,
    latex="d_v",
)
pad_thickness = Quantity(
    "pad_thickness", "t_f", "mm", "thickness of a foot pad", 0, 120, latex="t_f"
)
pad_recess = Quantity(
    "pad_recess",
    "z_f",
    "mm",
    "depth of the recess drilled for a foot pad",
    0,
    100,
    cut=True,
    latex="z_f",
)
plate_reach = Quantity(
    "plate_reach", "a_r", "mm",
    "in plan, middle of a head to the middle of its plate's slot, square to the line from the "
    "centre",
    0, 400, latex="a_r",
)  # fmt: skip
driver_clear = Quantity(
    "driver_clear", "c_d", "mm",
    "in plan, middle of a screw to the side of the post beneath it: room for half a driver",
    -150, 400, latex="c_d",
)  # fmt: skip
screw_lag = Quantity(
    "screw_lag", "γ", "deg", "in plan, angle at the centre from a head to its screw", 0, 89,
    latex=r"\gamma",
)  # fmt: skip
plate_hole = Quantity(
    "plate_hole", "h_p", "mm", "end of a plate to its hole for the screw into the head", 1,
    200, latex="h_p",
)  # fmt: skip
plate_slot = Quantity(
    "plate_slot", "s_p", "mm", "same end of a plate to the middle of its slot", 1, 600, latex="s_p"
)
plate_length = Quantity("plate_length", "L_p", "mm", "length of a plate", 5, 800, latex="L_p")
screw_radius = Quantity(
    "screw_radius", "r_v", "mm", "radius of the circle through the screws of the top",
    1, 4000, latex="r_v",
)  # fmt: skip
plate_recess = Quantity(
    "plate_recess", "z_p", "mm", "depth of the recess for a plate in its head", 0, 20, cut=True,
    latex="z_p",
)  # fmt: skip
QUANTITIES = (
    head_turn, driver_clear, plate_reach, screw_radius, screw_lag, plate_hole, plate_slot,
    plate_length, plate_across, plate_factor, plate_travel, screw_shank, slot_needed,
    slot_length, slot_spare, plate_thickness, plate_recess,
    screw_length, screw_cover, pilot_diameter, pad_thickness, pad_recess, *RECESS_QUANTITIES,
)  # fmt: skip

_dry, _wet = DRIEST.moisture, DAMPEST.moisture

PLATE_ACROSS = Relation(
    name="plate farthest across the grain",
    equation=equal(plate_across, screw_radius * sp.cos(sp.pi / 6 - head_turn)),
    meaning="Of three screws spaced evenly round, one or two always lie far across the grain.",
    why="The three lines through the centre are 60° apart, so the one nearest to square across "
    "the grain is within 30° of it. The distance is least when one screw lies along the grain; "
    "two then share the movement.",
    source=derived(DERIVATION, "how to turn the base"),
    checks=(
        Check(
            {"screw_radius": "400 mm", "head_turn": "0 deg"},
            {"plate_across": "346.4 mm"},
            derived(DERIVATION, "one head along the grain"),
        ),
        Check(
            {"screw_radius": "400 mm", "head_turn": "30 deg"},
            {"plate_across": "400 mm"},
            derived(DERIVATION, "one head square across the grain"),
        ),
    ),
)
PLATE_TRAVEL = Relation(
    name="travel at the farthest plate",
    equation=equal(
        plate_travel,
        plate_across * plate_factor * season_rate
        * (_wet - _dry) / ONE_PERCENT,
    ),
    meaning="A point of the top moves in proportion to its distance from the centre.",
    why="Held at its centre, the top swells evenly to both sides. Each per cent of moisture adds "
    "the same share to the wood between centre and plate. Where boards differ, those between the "
    "two count, as they are laid.",
    source=derived(DERIVATION, "travel at a fastening"),
    checks=(
        Check(
            {
                "plate_across": "346.4 mm", "plate_factor": "1", "season_rate": "0.00274",
                "driest_moisture": "6 %", "dampest_moisture": "12 %",
            },
            {"plate_travel": "5.69 mm"},
            derived(DERIVATION, "travel at a fastening"),
        ),
    ),
)  # fmt: skip
SLOT_NEEDED = Relation(
    name="slot needed for the movement",
    equation=equal(
        slot_needed,
        screw_shank
        + plate_across * plate_factor * shop_rate
        * (_wet - _dry + sp.Abs(_wet + _dry - 2 * SHOP.moisture, evaluate=False))
        / ONE_PERCENT,
    ),
    meaning="A screw set in the middle of its slot must be free to move either way by the larger "
    "of the two changes.",
    why="Only the wood between the centre and the screw moves it, so where boards differ these "
    "count, as they are laid. The screw's shank fills part of the slot; the travel from the "
    "shop's moisture has to be free on either side of it. Twice the larger of two changes is "
    "their sum plus their difference.",
    source=derived(DERIVATION, "the slot"),
    checks=(
        Check(
            {
                "screw_shank": "5 mm", "plate_across": "346.4 mm", "shop_rate": "0.00274",
                "plate_factor": "1", "driest_moisture": "6 %", "dampest_moisture": "12 %",
                "shop_moisture": "9.5 %",
            },
            {"slot_needed": "11.64 mm"},
            derived(DERIVATION, "the slot"),
        ),
        Check(
            {
                "screw_shank": "5 mm", "plate_across": "346.4 mm", "shop_rate": "0.00169",
                "plate_factor": "1.2626", "driest_moisture": "6 %", "dampest_moisture": "12 %",
                "shop_moisture": "9.5 %",
            },
            {"slot_needed": "10.17 mm"},
            derived(DERIVATION, "boards as laid"),
        ),
    ),
)  # fmt: skip
SLOT_SPARE = Relation(
    name="slot to spare",
    equation=equal(slot_spare, slot_length - slot_needed),
    meaning="Slot length left when the top has moved as far as it will.",
    why="It is negative where the screws come up against the ends of their slots.",
    source=derived(DERIVATION, "the slot"),
    checks=(
        Check(
            {"slot_length": "13 mm", "slot_needed": "11.64 mm"},
            {"slot_spare": "1.36 mm"},
            derived(DERIVATION, "the slot"),
        ),
    ),
)
SCREW_COVER = Relation(
    name="wood over the screws",
    equation=equal(
        screw_cover,
        q.top_thickness + plate_thickness - screw_length,
    ),
    meaning="Thickness of the top left above the point of a screw.",
    why="A screw passes through its plate, on which its head bears, and then up into the top.",
    source=derived(DERIVATION, "screws that stay hidden"),
    checks=(
        Check(
            {"top_thickness": "28 mm", "plate_thickness": "3 mm", "screw_length": "20 mm"},
            {"screw_cover": "11 mm"},
            derived(DERIVATION, "screws that stay hidden"),
        ),
    ),
)
PILOT = Relation(
    name="pilot hole",
    equation=equal(pilot_diameter, sp.Rational(6, 10) * screw_shank),
    meaning="The hole takes the place of the screw's core and leaves wood for the thread to bite.",
    why="The core of a wood screw is about two thirds of its shank, and in hardwood the hole is "
    "nine tenths of the core.",
    source=derived(DERIVATION, "the hole for the thread (both shares are common practice)"),
    checks=(
        Check(
            {"screw_shank": "5 mm"},
            {"pilot_diameter": "3 mm"},
            derived(DERIVATION, "the hole for the thread"),
        ),
    ),
)
PAD_RECESS = Relation(
    name="recess for a pad",
    equation=equal(pad_recess, pad_thickness - q.pad_projection),
    meaning="A pad let into the foot stands proud by its thickness less the depth of the recess.",
    why="The pad sits on the bottom of its recess.",
    source=derived(DERIVATION, "pads"),
    limits=(
        Limit(
            pad_thickness - q.pad_projection,
            "a pad stands proud by at most its own thickness",
        ),
    ),
    checks=(
        Check(
            {"pad_thickness": "5 mm", "pad_projection": "3 mm"},
            {"pad_recess": "2 mm"},
            derived(DERIVATION, "pads"),
        ),
    ),
)
_beta = q.roll
DRIVER_CLEAR = Relation(
    name="room for a driver beside a post",
    equation=equal(
        driver_clear,
        plate_reach * q.head_reach / q.head_radius
        - (q.post_section * sp.cos(_beta) + q.post_width * sp.sin(_beta)) / 2
        - sp.Abs(q.head_sidestep - q.centre_distance),
    ),
    meaning="Seen from below, the gap between a screw and the post that its plate is on.",
    why="A post runs inward beneath its head and reaches half its level breadth to either side of "
    "its axis. A plate square to the line from the centre carries the screw out past that.",
    source=derived(DERIVATION, "where a driver reaches"),
    checks=(
        Check(
            {
                "plate_reach": "60 mm", "head_reach": "400 mm", "head_radius": "400 mm",
                "post_section": "64 mm", "post_width": "64 mm", "roll": "45 deg",
                "head_sidestep": "20 mm", "centre_distance": "20 mm",
            },
            {"driver_clear": "14.75 mm"},
            derived(DERIVATION, "where a driver reaches"),
        ),
    ),
)  # fmt: skip
SCREW_RADIUS = Relation(
    name="circle of the screws",
    equation=equal(screw_radius**2, q.head_radius**2 + plate_reach**2),
    meaning="Plates laid across their heads carry the screws slightly farther from the centre.",
    why="Each plate lies square to the line from the centre mark through the middle of its head.",
    source=derived(DERIVATION, "where the plates lie"),
    checks=(
        Check(
            {"head_radius": "400 mm", "plate_reach": "60 mm"},
            {"screw_radius": "404.5 mm"},
            derived(DERIVATION, "where the plates lie"),
        ),
    ),
)
SCREW_LAG = Relation(
    name="angle from head to screw",
    equation=equal(sp.tan(screw_lag) * q.head_radius, plate_reach),
    meaning="How far round from its head a screw lies, seen from the centre mark.",
    why="The plate is square to the line to the head.",
    source=derived(DERIVATION, "where the plates lie"),
    checks=(
        Check(
            {"head_radius": "400 mm", "plate_reach": "60 mm"},
            {"screw_lag": "8.531 deg"},
            derived(DERIVATION, "where the plates lie"),
        ),
    ),
)
PLATE_HOLE = Relation(
    name="hole for the screw into the head",
    equation=equal(2 * plate_hole, plate_width),
    meaning="Half the plate's width from its end.",
    why="The hole then has as much metal beyond it as beside it.",
    source=derived(DERIVATION, "the plate itself"),
    checks=(
        Check(
            {"plate_width": "20 mm"}, {"plate_hole": "10 mm"},
            derived(DERIVATION, "the plate itself"),
        ),
    ),
)  # fmt: skip
PLATE_SLOT = Relation(
    name="position of the slot in a plate",
    equation=equal(plate_slot, plate_hole + plate_reach),
    meaning="The hole lies over the middle of the head, and the slot beyond it.",
    why="Both are measured along the plate.",
    source=derived(DERIVATION, "the plate itself"),
    checks=(
        Check(
            {"plate_hole": "10 mm", "plate_reach": "60 mm"}, {"plate_slot": "70 mm"},
            derived(DERIVATION, "the plate itself"),
        ),
    ),
)  # fmt: skip
PLATE_LENGTH = Relation(
    name="length of a plate",
    equation=equal(
        plate_length,
        plate_slot + slot_length / 2 + 5 * q.MILLIMETRE,
    ),
    meaning="Out to the end of the slot, in case it lies along the plate, plus 5 mm.",
    why="The slot lies across the grain whichever way the plate points, and has to end in metal.",
    source=derived(DERIVATION, "the plate itself"),
    checks=(
        Check(
            {"plate_slot": "70 mm", "slot_length": "14 mm"}, {"plate_length": "82 mm"},
            derived(DERIVATION, "the plate itself"),
        ),
    ),
)  # fmt: skip
PLATE_RECESS = Relation(
    name="recess for a plate",
    equation=equal(plate_recess, plate_thickness - q.plate_gap),
    meaning="The recess is as deep as the plate is thick, less the gap left under the top.",
    why="The plate lies on the floor of its recess, and the top on whatever stands highest.",
    source=derived(DERIVATION, "recesses"),
    limits=(
        Limit(
            plate_thickness - q.plate_gap,
            "a plate holds the top off its head by at most its own thickness",
        ),
    ),
    checks=(
        Check(
            {"plate_thickness": "3 mm", "plate_gap": "1 mm"},
            {"plate_recess": "2 mm"},
            derived(DERIVATION, "recesses"),
        ),
    ),
)
RELATIONS = (
    DRIVER_CLEAR, SCREW_RADIUS, SCREW_LAG, PLATE_HOLE, PLATE_SLOT, PLATE_LENGTH, PLATE_ACROSS,
    PLATE_TRAVEL, SLOT_NEEDED, SLOT_SPARE, PLATE_RECESS, SCREW_COVER, PILOT, PAD_RECESS,
    *RECESS_RELATIONS,
)  # fmt: skip


def relations() -> tuple[Relation, ...]:
    """Relations for the plates on the heads, their screws, and the pads under the feet."""
    return RELATIONS


_MM = sp.Rational(1, 1000)
_HAIR = sp.Float(1e-9)  # of a step: a length that is just met counts
_SCREW_ROOM = plate_thickness + q.top_thickness * sp.Rational(2, 3)


def _sold(step: sp.Expr, longest: sp.Expr | None = None) -> sp.Expr:
    """The longest screw with room, of those that are sold by so much up to a longest."""
    room = _SCREW_ROOM if longest is None else sp.Min(_SCREW_ROOM, longest, evaluate=False)
    return step * sp.floor(room / step + _HAIR, evaluate=False)


_mm, _in = q.MILLIMETRE, q.INCH
# Not evaluated: sympy would look for the greatest of them for a tenth of a second, and find none.
SCREW_LENGTH = sp.Max(_sold(5 * _mm, 50 * _mm), _sold(10 * _mm), evaluate=False)
SCREW_LENGTH_INCHES = sp.Max(
    _sold(_in / 8, _in), _sold(_in / 4, 3 * _in), _sold(_in / 2), evaluate=False
)
ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        head_turn, 0, "One screw along the grain; the other two then move least.",
        derived(DERIVATION, "how to turn the base"), first_to=("plate_across",),
    ),
    assume(
        screw_shank, 5 * _MM, "Three such screws hold a table top.", common_practice("4 to 6 mm"),
        first_to=("pilot_diameter",), usual=(2.5, 10), stated_by=("pilot_diameter",),
    ),
    assume(
        plate_thickness, sp.Max(3 * q.MILLIMETRE, q.plate_gap),
        "Steel plate let in flush, or as thick as the gap under the top.",
        common_practice("3 mm"), first_to=("plate_recess",), usual_share=(0.3, 4),
        stated_by=("plate_recess",),
    ),
    assume(
        driver_clear, 15 * _MM,
        "Room beside the post for a driver and the hand that turns it.",
        common_practice("a handle of 30 mm"),
        first_to=("plate_reach", "screw_radius", "screw_lag", "plate_slot", "plate_length"),
        usual=(-100, 150),
    ),
    assume(
        plate_factor, 1,
        "Boards of the same wood and cut; where they differ, the factor follows from how they "
        "are laid.",
        derived(DERIVATION, "boards as laid"), first_to=("slot_needed", "plate_travel"),
        usual=(0.1, 10),
    ),
    assume(
        screw_length, SCREW_LENGTH,
        "The longest sold that goes no more than two thirds of the way up into the top.",
        common_practice("screws are sold by 5 mm up to 50 mm, then by 10 mm"),
        first_to=("screw_cover",), usual_share=(0.3, 1.6),
    ),
    assume(
        slot_spare, 2 * _MM,
        "Slots filed to suit, with a millimetre to spare at each end. For plates bought ready "
        "slotted give slot_length.",
        common_practice(), first_to=("slot_length",), usual=(-20, 40), stated_by=("slot_length",),
    ),
    assume(
        pad_recess, 2 * _MM, "A recess of two millimetres keeps a pad from being pushed off.",
        common_practice(), first_to=("pad_thickness",), usual=(0, 20), stated_by=("pad_thickness",),
    ),
    *RECESS_ASSUMPTIONS,
)  # fmt: skip

SLOT = Requirement(
    id="slot_length",
    name="length of the slots",
    quantity="slot_spare",
    source=derived(DERIVATION, "the slot"),
    good=(1, None),
    tolerable=(0, None),
    too_low="The screws come up against the ends of the slots; the top then splits or pulls the "
    "heads apart.",
    mend_low="Lengthen the slots across the grain, drill wider holes and use washers, turn one "
    "head along the grain, or choose quarter-sawn boards or a more stable wood.",
    fine="Slots lie across the grain. Set each screw in the middle of its slot, not hard down. "
    "Fix only the plate whose screw lies along the grain, or the centre of the top.",
)
SCREWS = Requirement(
    id="screw_cover",
    name="wood over the screws",
    quantity="screw_cover",
    source=common_practice("5 mm, and no less than 3 mm"),
    good=(5, None),
    tolerable=(3, None),
    too_low="The point comes near enough to the upper face to show, or comes through it, where it "
    "can tear a hand.",
    mend_low="Use shorter screws or put a washer under their heads, and set a depth stop on the "
    "drill.",
    fine="The points stop well short of the upper face. Set a depth stop on the drill all the "
    "same.",
)
DRIVER = Requirement(
    id="driver_room",
    name="room for a driver",
    quantity="driver_clear",
    source=common_practice("half the handle of a screwdriver, 12 mm; a bit, 4 mm"),
    good=(12, None),
    tolerable=(4, None),
    too_low="The screw lies over the post, or too near it for a driver to reach from below.",
    mend_low="Use longer plates, or leave plate_reach to be calculated.",
    fine="A driver passes straight up beside the post.",
)
REQUIREMENTS: tuple[Requirement, ...] = (SLOT, SCREWS, DRIVER, *RECESS_REQUIREMENTS)
