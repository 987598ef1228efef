"""Several pieces alike, made together: what becomes of the lot, its cost, and what is carried.

The sizes and the checks of a piece do not change with the number made. Money is a plain number of
any currency. Which opening a part goes through is found on its solid (`solids/passage.py`).
`reference/derivations/lot.md`, `reference/derivations/pricing.md` and
`reference/derivations/delivery.md` have the reasoning and the worked examples.
"""

from __future__ import annotations

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, from_memory
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import milling
from tablekit.relations import quantities as q

# -- the lot ---------------------------------------------------------------------------------------

DERIVATION = "reference/derivations/lot.md"
MOST_PIECES = 24

lot_count = Quantity(
    "lot_count", "N_q", "1", "number of pieces alike that are made together", 1, MOST_PIECES,
    whole=True,
)  # fmt: skip
lot_mass = Quantity("lot_mass", "M_q", "kg", "mass of all the pieces of a lot", 0.005, 100000)
lot_finish = Quantity(
    "lot_finish", "V_q", "mm^3", "volume of finish for all the pieces of a lot", 10, 1e10
)
QUANTITIES = (lot_count, q.total_mass, lot_mass, milling.finish_volume, lot_finish)

LOT_MASS = Relation(
    name="mass of the lot",
    equation=equal(lot_mass, lot_count * q.total_mass),
    meaning="The pieces weigh the same.",
    why="They are alike, and of one wood.",
    source=derived(DERIVATION, "what simply adds up"),
    checks=(
        Check(
            {"lot_count": "4", "total_mass": "18.42 kg"}, {"lot_mass": "73.68 kg"},
            derived(DERIVATION, "what simply adds up"),
        ),
    ),
)  # fmt: skip
LOT_FINISH = Relation(
    name="finish for the lot",
    equation=equal(lot_finish, lot_count * milling.finish_volume),
    meaning="Each piece takes as much finish as the next.",
    why="They have the same area and the same number of coats.",
    source=derived(DERIVATION, "what simply adds up"),
    checks=(
        Check(
            {"lot_count": "4", "finish_volume": "670500 mm^3"}, {"lot_finish": "2682000 mm^3"},
            derived(DERIVATION, "what simply adds up"),
        ),
    ),
)  # fmt: skip
RELATIONS = (LOT_MASS, LOT_FINISH)


# -- what it costs to make, and what is asked for it -----------------------------------------------

PRICING = "reference/derivations/pricing.md"
MOST = 1e15
HOUR = Constant(
    "hour", "h", 3600, "s", "an hour: 60 minutes of 60 seconds",
    from_memory("SI Brochure (9th edition, BIPM, 2019)", "table 8"), latex=r"\mathrm{h}",
)  # fmt: skip


def _money(name: str, letter: str, meaning: str) -> Quantity:
    return Quantity(name, letter, "1", meaning, 0, MOST, said="money")


planks_cost = _money("planks_cost", "P_p", "price of the planks for the posts or legs, whole")
boards_cost = _money("boards_cost", "P_b", "price of the boards for the tops, by the share used")
fittings_cost = _money("fittings_cost", "P_f", "price of plates, screws and pads")
finish_cost = _money("finish_cost", "P_o", "price of the finish")
material_cost = _money("material_cost", "P_m", "cost of all the material")
quote_minutes = Quantity("quote_minutes", "T_w", "min", "hands-on time for all the pieces", 0, 1e7)
quote_hours = Quantity("quote_hours", "N_h", "1", "hours of work for all the pieces", 0, 1e6)
labour_rate = _money("labour_rate", "p_h", "price of an hour of work")
labour_cost = _money("labour_cost", "P_l", "cost of the work")
overhead_share = Quantity(
    "overhead_share", "k_o", "1",
    "rent, power, tools and the like, as a share of material and labour", 0, 5, said="share",
)  # fmt: skip
overhead_cost = _money("overhead_cost", "P_k", "overhead")
lot_cost = _money("lot_cost", "P_c", "what all the pieces cost to make")
margin_share = Quantity(
    "margin_share", "k_m", "1", "share of the price that is left when every cost is paid", 0, 0.95,
    said="share",
)  # fmt: skip
quote_price = _money("quote_price", "P_1", "price of one piece")
margin = _money("margin", "P_g", "what is left of the price of all the pieces")
PRICE_QUANTITIES = (
    planks_cost, boards_cost, fittings_cost, finish_cost, material_cost, quote_minutes, quote_hours,
    labour_rate, labour_cost, overhead_share, overhead_cost, lot_cost, margin_share, lot_count,
    quote_price, margin,
)  # fmt: skip
PRICE_CONSTANTS = (HOUR,)
_EXAMPLE = derived(PRICING, "a worked example")

MATERIAL_COST = Relation(
    name="cost of material",
    equation=equal(
        material_cost,
        planks_cost + boards_cost + fittings_cost + finish_cost,
    ),
    meaning="Planks, boards, fittings and finish.",
    why="Planks are bought whole and paid for whole. Of a board in the rack the share used is paid "
    "for, since the rest serves another job.",
    source=common_practice("offcuts are credited by area"),
    checks=(
        Check(
            {
                "planks_cost": "90", "boards_cost": "121.5", "fittings_cost": "18",
                "finish_cost": "22.5",
            },
            {"material_cost": "252.00"}, _EXAMPLE,
        ),
    ),
)  # fmt: skip
HOURS = Relation(
    name="hours of work",
    equation=equal(quote_hours * HOUR, quote_minutes),
    meaning="The minutes of the order of work in hours.",
    why="Only time at the bench is paid for; glue dries by itself.",
    source=derived(PRICING, "a worked example"),
    checks=(Check({"quote_minutes": "1680 min"}, {"quote_hours": "28.0"}, _EXAMPLE),),
)
LABOUR_COST = Relation(
    name="cost of labour",
    equation=equal(labour_cost, quote_hours * labour_rate),
    meaning="Hours times what an hour costs.",
    why="The rate is the maker's own, with what comes on top of wages in it or in the overhead.",
    source=common_practice("hours at a rate"),
    checks=(
        Check({"quote_hours": "28", "labour_rate": "45"}, {"labour_cost": "1260.00"}, _EXAMPLE),
    ),
)
OVERHEAD_COST = Relation(
    name="overhead",
    equation=equal(
        overhead_cost,
        overhead_share * (material_cost + labour_cost),
    ),
    meaning="A share of material and labour together.",
    why="What a shop costs whoever works in it is spread over the jobs by their size.",
    source=common_practice("some take it on labour alone, with a higher share"),
    checks=(
        Check(
            {"overhead_share": "0.25", "material_cost": "252", "labour_cost": "1260"},
            {"overhead_cost": "378.00"}, _EXAMPLE,
        ),
    ),
)  # fmt: skip
LOT_COST = Relation(
    name="cost of the lot",
    equation=equal(
        lot_cost, material_cost + labour_cost + overhead_cost
    ),
    meaning="Material, labour and overhead.",
    why="Nothing is earned yet: this is what the maker would be out of pocket.",
    source=common_practice("the sum of the costs"),
    checks=(
        Check(
            {"material_cost": "252", "labour_cost": "1260", "overhead_cost": "378"},
            {"lot_cost": "1890.00"}, _EXAMPLE,
        ),
    ),
)  # fmt: skip
QUOTE_PRICE = Relation(
    name="price of one piece",
    equation=equal(
        lot_count * quote_price * (1 - margin_share), lot_cost
    ),
    meaning="What is left of the price without the margin pays the costs.",
    why="A margin is a share of the price, not of the cost: 20 % of the price is 25 % on the cost.",
    source=derived(PRICING, "margin and what is put on"),
    checks=(
        Check(
            {"lot_count": "2", "lot_cost": "1890", "margin_share": "0.2"},
            {"quote_price": "1181.25"}, _EXAMPLE,
        ),
    ),
)  # fmt: skip
MARGIN = Relation(
    name="margin",
    equation=equal(margin, lot_count * quote_price - lot_cost),
    meaning="What the price of all the pieces is more than they cost.",
    why="It pays for risk, for time without orders and for new tools.",
    source=derived(PRICING, "margin and what is put on"),
    checks=(
        Check(
            {"lot_count": "2", "quote_price": "1181.25", "lot_cost": "1890"}, {"margin": "472.50"},
            _EXAMPLE,
        ),
    ),
)  # fmt: skip
PRICE_RELATIONS = (
    MATERIAL_COST, HOURS, LABOUR_COST, OVERHEAD_COST, LOT_COST, QUOTE_PRICE, MARGIN,
)  # fmt: skip


# -- what is carried, and through which door -------------------------------------------------------

DELIVERY = "reference/derivations/delivery.md"

base_parts = Quantity(
    "base_parts", "n_B", "1", "number of posts or legs in the base", 1, 12, whole=True
)
base_part_mass = Quantity(
    "base_part_mass", "m_B", "kg", "mass of one post or leg", 0.0005, 1500
)  # fmt: skip
door_width = Quantity(
    "door_width", "b_D", "mm", "clear width of the narrowest doorway, or of the car's opening",
    200, 10000,
)  # fmt: skip
door_height = Quantity(
    "door_height", "h_D", "mm", "clear height of that doorway or opening", 200, 10000
)
OPENING = (door_width, door_height)
DELIVERY_QUANTITIES = (
    q.base_mass, base_parts, base_part_mass, q.total_mass, lot_count, lot_mass, *OPENING,
)  # fmt: skip

BASE_PART_MASS = Relation(
    name="mass of one post or leg",
    equation=equal(base_parts * base_part_mass, q.base_mass),
    meaning="The posts or legs are alike, so each weighs its share of the base.",
    why="Where one post has a longer notch, it is a little lighter than this.",
    source=derived(DELIVERY, "what the parts weigh"),
    checks=(
        Check(
            {"base_mass": "7.375 kg", "base_parts": "3"}, {"base_part_mass": "2.458 kg"},
            derived(DELIVERY, "what the parts weigh"),
        ),
    ),
)  # fmt: skip
