"""What is carried and through which door: the mass of the parts, and the size of the opening.

`reference/derivations/delivery.md` has the worked examples. Which opening a part goes through is
found on its solid (`solids/passage.py`).
"""

from __future__ import annotations

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import lot
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/delivery.md"

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
QUANTITIES = (
    q.base_mass, base_parts, base_part_mass, q.total_mass, lot.lot_count, lot.lot_mass, *OPENING,
)  # fmt: skip

BASE_PART_MASS = Relation(
    name="mass of one post or leg",
    equation=equal(base_parts * base_part_mass, q.base_mass),
    meaning="The posts or legs are alike, so each weighs its share of the base.",
    why="Where one post has a longer notch, it is a little lighter than this.",
    source=derived(DERIVATION, "what the parts weigh"),
    checks=(
        Check(
            {"base_mass": "7.375 kg", "base_parts": "3"}, {"base_part_mass": "2.458 kg"},
            derived(DERIVATION, "what the parts weigh"),
        ),
    ),
)  # fmt: skip
RELATIONS = (BASE_PART_MASS,)
