"""What the wood weighs: from the specific gravity that a handbook prints to a density."""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, quoted
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations.quantities import wood_density

specific_gravity = Quantity(
    "specific_gravity", "G", "1",
    "density of the wood over that of water: ovendry mass over volume at 12 % moisture",
    0.07, 1.3,
)  # fmt: skip

WATER_DENSITY = Constant(
    "water_density", "δ_w", 1000.0, "kg/m^3", "density of water, which specific gravity refers to",
    quoted("Wood Handbook, FPL-GTR-190", "chapter 4, density and specific gravity"),
    latex=r"\delta_w",
)  # fmt: skip

_HANDBOOK = quoted(
    "Wood Handbook, FPL-GTR-190",
    "chapter 4, density = water density × specific gravity × (1 + moisture/100)",
)

DENSITY_FROM_SPECIFIC_GRAVITY = Relation(
    name="density from specific gravity",
    equation=equal(
        wood_density,
        WATER_DENSITY * specific_gravity * sp.Rational(112, 100),
    ),
    meaning="Wood dried to 12 % moisture weighs its dry substance plus 12 % of that in water.",
    why=(
        "Specific gravity is the ovendry mass over the volume that the wood has at 12 % moisture. "
        "The water still in it adds 12 % of that mass and is already in the volume."
    ),
    source=_HANDBOOK,
    checks=(
        Check(
            given={"specific_gravity": "0.4"},
            expected={"wood_density": "448 kg/m^3"},
            source=_HANDBOOK,
        ),
    ),
)

QUANTITIES = (specific_gravity,)
CONSTANTS = (WATER_DENSITY,)
RELATIONS = (DENSITY_FROM_SPECIFIC_GRAVITY,)


def relations() -> tuple[Relation, ...]:
    """The relations of the wood itself."""
    return RELATIONS
