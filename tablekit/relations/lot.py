"""Several pieces alike, made together: what of one piece becomes of the lot.

The sizes and the checks of a piece do not change with the number made.
`reference/derivations/lot.md` has the worked examples.
"""

from __future__ import annotations

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import milling
from tablekit.relations import quantities as q

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
