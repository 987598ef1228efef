"""Movement of one strip of a top made up of boards sawn in different ways."""

from __future__ import annotations

from tablekit.engine.quantity import Quantity, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations.boards import strip_width
from tablekit.relations.moisture import DAMPEST, DRIEST, ONE_PERCENT
from tablekit.relations.movement import DERIVATION, movement_coefficient, season_holds

strip_movement = Quantity(
    "strip_movement", "Δb", "mm", "seasonal change of one strip's width", -50, 100
)
CONSTANTS = (ONE_PERCENT,)
GIVEN = (strip_width, movement_coefficient, season_holds, DRIEST.moisture, DAMPEST.moisture)
_percent = ONE_PERCENT

STRIP_MOVEMENT = Relation(
    name="movement of a strip",
    equation=equal(
        strip_movement,
        strip_width * (DAMPEST.moisture - DRIEST.moisture) / _percent
        / (
            1 / movement_coefficient
            + (1 - season_holds) * (DRIEST.moisture / _percent - 10)
        ),
    ),
    meaning="Each strip moves by its own coefficient, and the top moves by the sum of its strips.",
    why="Glued edge to edge, the strips are free across the grain and restrain each other only "
    "along it.",
    source=derived(DERIVATION, "boards of several cuts"),
    checks=(
        Check(
            {
                "strip_width": "300 mm", "movement_coefficient": "0.00274", "season_holds": "1",
                "driest_moisture": "6 %", "dampest_moisture": "12 %",
            },
            {"strip_movement": "4.932 mm"},
            derived(DERIVATION, "two strips"),
        ),
        Check(
            {
                "strip_width": "200 mm", "movement_coefficient": "0.00169", "season_holds": "1",
                "driest_moisture": "6 %", "dampest_moisture": "12 %",
            },
            {"strip_movement": "2.028 mm"},
            derived(DERIVATION, "two strips"),
        ),
    ),
)  # fmt: skip
