"""Creep: long-term deflection of the rim under a lasting load.

`reference/derivations/top_load.md` has the calculation.
"""

from __future__ import annotations

from tablekit.engine.quantity import Constant, Quantity, common_practice, derived, from_memory
from tablekit.engine.relation import Assumption, Check, Relation, Requirement, assume, equal
from tablekit.relations.strength import rim_load
from tablekit.relations.top_load import DERIVATION, rim_deflection

lasting_load = Quantity(
    "lasting_load", "P_c", "N", "vertical load that stays on the rim for years", 0, 20_000,
    latex="P_c",
)  # fmt: skip
creep_factor = Quantity(
    "creep_factor", "k_c", "1",
    "ratio of the deflection after years under a load to the immediate deflection", 1, 6,
    latex="k_c",
)  # fmt: skip
lasting_deflection = Quantity(
    "lasting_deflection", "s_l", "mm", "deflection of the rim after years under a lasting load", 0,
    1e6, latex="s_l", fine=True,
)  # fmt: skip
QUANTITIES: tuple[Quantity, ...] = (lasting_load, creep_factor, lasting_deflection)
CONSTANTS: tuple[Constant, ...] = ()

LASTING_DEFLECTION = Relation(
    name="long-term rim deflection",
    equation=equal(
        lasting_deflection * rim_load,
        rim_deflection * lasting_load * creep_factor,
    ),
    meaning="A lasting load bends the rim in proportion to its size, and the creep factor "
    "multiplies the result.",
    why="Wood under load keeps deflecting for years, at a falling rate.",
    source=derived(DERIVATION, "a load that stays"),
    checks=(
        Check(
            {"rim_load": "400 N", "rim_deflection": "6.46 mm", "lasting_load": "100 N",
             "creep_factor": "2"},
            {"lasting_deflection": "3.23 mm"},
            derived(DERIVATION, "a load that stays"),
        ),
    ),
)  # fmt: skip


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the long-term rim deflection; the same for a "table" and a "stool"."""
    return (LASTING_DEFLECTION,)


ASSUMPTIONS: tuple[Assumption, ...] = (
    assume(
        lasting_load,
        100,
        "Ten kilograms of books or plants on the rim, midway between two heads.",
        common_practice(),
        first_to=("lasting_deflection",),
        usual=(0, 2000),
    ),
    assume(
        creep_factor,
        2,
        "In dry air, the deflection under a lasting load about doubles; where the humidity changes "
        "widely, it may treble.",
        from_memory("Wood Handbook, FPL-GTR-190", "chapter 5, creep"),
        first_to=("lasting_deflection",),
        usual=(1, 4),
    ),
)
LASTING = Requirement(
    id="lasting_deflection",
    name="long-term rim deflection",
    quantity="lasting_deflection",
    source=common_practice("5 mm over the years shows along the rim, 12 mm spoils it"),
    good=(None, 5),
    tolerable=(None, 12),
    too_high="A lasting load on the rim bends it permanently.",
    mend_high="Keep heavy objects inside the circle of the heads, make the top thicker, or set the "
    "heads farther out.",
    fine="A lasting load bends the rim little, even over years.",
)
REQUIREMENTS: tuple[Requirement, ...] = (LASTING,)
