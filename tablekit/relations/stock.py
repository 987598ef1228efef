"""What is bought and sawn: volumes and weights of parts, and the pieces that a plank yields.

`reference/derivations/stock.md` has the reasoning and the worked examples.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, derived, quoted
from tablekit.engine.relation import Check, Limit, Relation, equal
from tablekit.relations import lot, milling, trammel
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/stock.md"

BOARD_FOOT = Constant(
    "board_foot",
    "V_bf",
    144 * 0.0254**3,
    "m^3",
    "a board foot: a foot square and an inch thick, 144 cubic inches",
    quoted(
        "the board foot of the timber trade: 12 in x 12 in x 1 in, 144 cubic inches",
        "a glossary of it",
    ),
    latex=r"V_\mathrm{bf}",
)
# A plank of exactly two widths still yields two when the last bit of the float is off.
_HAIR = sp.Float(1e-9)

part_length = Quantity("part_length", "l", "mm", "length of a part along its grain", 1, 20000)
part_width = Quantity("part_width", "b", "mm", "width of a part", 1, 4000)
part_thickness = Quantity("part_thickness", "t_a", "mm", "thickness of a part", 1, 300)
part_count = Quantity("part_count", "n_a", "1", "number of such parts", 1, 1000, whole=True)
sawn_thickness = Quantity(
    "sawn_thickness", "t_s", "mm", "thickness of a part's wood as bought", 1, 350, least=True
)
part_volume = Quantity("part_volume", "V_a", "m^3", "volume of wood in all such parts", 1e-9, 100)
board_feet = Quantity("board_feet", "N_bf", "1", "the same in board feet", 1e-6, 50000)
part_mass = Quantity("part_mass", "m_a", "kg", "weight of all such parts", 1e-6, 100000)
wood_used = Quantity("wood_used", "V_u", "m^3", "volume of wood in the finished parts", 1e-9, 100)
wood_bought = Quantity(
    "wood_bought", "V_k", "m^3", "volume of wood in the planks and boards used", 1e-9, 100
)
wood_waste = Quantity("wood_waste", "η_k", "1", "share of that wood cut away", -1, 1)
saw_kerf = Quantity("saw_kerf", "s_k", "mm", "width of the saw cut", 0, 20)
plank_length = Quantity("plank_length", "L_p", "mm", "length of a plank", 10, 20000)
plank_width = Quantity("plank_width", "B_p", "mm", "width of a plank", 5, 4000)
plank_ends = Quantity(
    "plank_ends", "a_p", "mm",
    "length sawn off both ends of a plank together, where they are checked",
    0, 2000,
)  # fmt: skip
lane_length = Quantity(
    "lane_length", "L_u", "mm", "usable length of a plank plus one saw cut", -2000, 20020
)  # fmt: skip
piece_takes = Quantity(
    "piece_takes", "l_k", "mm", "length of plank taken by a piece, its saw cut included", 1, 20020
)  # fmt: skip
widths_by_plank = Quantity(
    "widths_by_plank", "n_b", "1", "number of piece widths in a plank, fractions counted",
    0.001, 4000,
)  # fmt: skip
lanes = Quantity(
    "lanes", "N_b", "1", "number of pieces side by side in a plank", 0, 4000, whole=True
)
panel_across = Quantity(
    "panel_across",
    "B_r",
    "mm",
    "side of the square panel that the top is cut from",
    50,
    6000,
    least=True,
)
QUANTITIES = (
    part_length, part_width, part_thickness, part_count, part_volume, board_feet, q.wood_density,
    q.total_mass, lot.lot_count, part_mass, wood_used, wood_bought, wood_waste, saw_kerf,
    plank_length, plank_width, plank_ends,
    lane_length, piece_takes, widths_by_plank, lanes, sawn_thickness, milling.jointing_allowance,
    milling.planing_allowance, trammel.pivot_to_far_side, panel_across,
)  # fmt: skip
CONSTANTS = (BOARD_FOOT,)

PART_VOLUME = Relation(
    name="wood in the parts",
    equation=equal(
        part_volume,
        part_count * part_length * part_width * part_thickness,
    ),
    meaning="Length times width times thickness times the number of parts.",
    why="Parts are counted as the square pieces they are sawn from, notches and flats included: "
    "that wood is bought all the same.",
    source=derived(DERIVATION, "volumes"),
    checks=(
        Check(
            {
                "part_count": "3", "part_length": "1150 mm", "part_width": "64 mm",
                "part_thickness": "64 mm",
            },
            {"part_volume": "0.01413 m^3"},
            derived(DERIVATION, "volumes"),
        ),
    ),
)  # fmt: skip
BOARD_FEET = Relation(
    name="board feet",
    equation=equal(board_feet, part_volume / BOARD_FOOT),
    meaning="The measure by which hardwood is sold in North America.",
    why="Thickness in inches times width in inches times length in feet, over 12. Yards count "
    "rough sizes, so the pieces are measured as sawn out.",
    source=derived(DERIVATION, "board feet"),
    checks=(
        Check(
            # One board 2 in thick, 6 in wide and 8 ft long is 8 board feet.
            {"part_volume": "1152 in^3"}, {"board_feet": "8.00"}, derived(DERIVATION, "board feet"),
        ),
    ),
)  # fmt: skip
SAWN_THICKNESS = Relation(
    name="thickness as bought",
    equation=equal(
        sawn_thickness,
        part_thickness
        + milling.jointing_allowance
        + milling.planing_allowance,
    ),
    meaning="What is removed in jointing and planing was bought too.",
    why="One face is jointed flat and the other planed to it.",
    source=derived(DERIVATION, "thickness"),
    checks=(
        Check(
            {
                "part_thickness": "22 mm", "jointing_allowance": "2 mm",
                "planing_allowance": "1.5 mm",
            },
            {"sawn_thickness": "25.5 mm"},
            derived(DERIVATION, "thickness"),
        ),
    ),
)  # fmt: skip
PART_MASS = Relation(
    name="weight of the parts",
    equation=equal(part_mass, part_volume * q.wood_density),
    meaning="Volume times density.",
    why="The density is that of the wood as it is in the shop.",
    source=derived(DERIVATION, "volumes"),
    checks=(
        Check(
            {"part_volume": "0.01413 m^3", "wood_density": "672 kg/m^3"}, {"part_mass": "9.50 kg"},
            derived(DERIVATION, "volumes"),
        ),
    ),
)  # fmt: skip
WOOD_USED = Relation(
    name="wood in the piece",
    equation=equal(
        wood_used * q.wood_density, lot.lot_count * q.total_mass
    ),
    meaning="The weight of the finished pieces gives the volume of wood in them.",
    why="Notches, flats and the round of the top are already left out of their weight.",
    source=derived(DERIVATION, "waste"),
    checks=(
        Check(
            {"lot_count": "1", "total_mass": "20.16 kg", "wood_density": "672 kg/m^3"},
            {"wood_used": "0.030 m^3"},
            derived(DERIVATION, "waste"),
        ),
    ),
)  # fmt: skip
WOOD_WASTE = Relation(
    name="waste",
    equation=equal(wood_waste, 1 - wood_used / wood_bought),
    meaning="The wood that is not in the piece, as a share of what was bought.",
    why="Shavings, dust, ends and offcuts. Planks are counted whole, as they are bought.",
    source=derived(DERIVATION, "waste"),
    checks=(
        Check(
            {"wood_used": "0.030 m^3", "wood_bought": "0.048 m^3"}, {"wood_waste": "0.375"},
            derived(DERIVATION, "waste"),
        ),
    ),
)  # fmt: skip
LANE_LENGTH = Relation(
    name="usable length of a plank",
    equation=equal(
        lane_length, plank_length - plank_ends + saw_kerf
    ),
    meaning="The length between the squared ends, plus one cut, since the last piece needs none.",
    why="Between n pieces there are n − 1 cuts. Counting a cut with every piece and adding one to "
    "the plank comes to the same.",
    source=derived(DERIVATION, "pieces end to end"),
    checks=(
        Check(
            {"plank_length": "2400 mm", "plank_ends": "30 mm", "saw_kerf": "3 mm"},
            {"lane_length": "2373 mm"},
            derived(DERIVATION, "pieces end to end"),
        ),
    ),
)  # fmt: skip
PIECE_TAKES = Relation(
    name="length per piece",
    equation=equal(piece_takes, part_length + saw_kerf),
    meaning="The piece and the cut beside it.",
    why="One cut is counted with every piece.",
    source=derived(DERIVATION, "pieces end to end"),
    checks=(
        Check(
            {"part_length": "1190 mm", "saw_kerf": "3 mm"}, {"piece_takes": "1193 mm"},
            derived(DERIVATION, "pieces end to end"),
        ),
    ),
)  # fmt: skip
WIDTHS_BY_PLANK = Relation(
    name="piece widths in a plank",
    equation=equal(
        widths_by_plank,
        (plank_width + saw_kerf) / (part_width + saw_kerf),
    ),
    meaning="How many pieces lie side by side, fractions of a piece counted.",
    why="As along the plank, n pieces need n − 1 rips.",
    source=derived(DERIVATION, "pieces side by side"),
    checks=(
        Check(
            {"plank_width": "150 mm", "part_width": "70 mm", "saw_kerf": "3 mm"},
            {"widths_by_plank": "2.096"},
            derived(DERIVATION, "pieces side by side"),
        ),
    ),
)  # fmt: skip
LANES = Relation(
    name="pieces side by side",
    equation=equal(lanes, sp.floor(widths_by_plank + _HAIR)),
    meaning="Only whole pieces count.",
    why="The rest is an offcut. Worked backwards, a number of lanes needs at least that many "
    "widths.",
    source=derived(DERIVATION, "pieces side by side"),
    limits=(Limit(widths_by_plank, "a plank has a width"),),
    inverse={"widths_by_plank": lanes},
    checks=(
        Check(
            {"widths_by_plank": "2.096"}, {"lanes": "2"}, derived(DERIVATION, "pieces side by side")
        ),
    ),
)  # fmt: skip
PANEL_ACROSS = Relation(
    name="panel for the top",
    equation=equal(panel_across, 2 * trammel.pivot_to_far_side),
    meaning="The panel reaches to the far side of the cutter, all round.",
    why="The cutter runs outside the rim. If the panel ended at the rim, the cutter would run out "
    "of the wood there and tear the edge, with no wood left to guide it.",
    source=derived(DERIVATION, "a panel for the top"),
    checks=(
        Check(
            {"pivot_to_far_side": "472 mm"}, {"panel_across": "944 mm"},
            derived(DERIVATION, "a panel for the top"),
        ),
    ),
)  # fmt: skip
RELATIONS = (
    PART_VOLUME, SAWN_THICKNESS, BOARD_FEET, PART_MASS, WOOD_USED, WOOD_WASTE, LANE_LENGTH,
    PIECE_TAKES, WIDTHS_BY_PLANK, LANES, PANEL_ACROSS,
)  # fmt: skip
