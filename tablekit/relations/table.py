"""Heights from floor to top, and how the round top sits over the base.

Proofs: `reference/derivations/mass_and_heights.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Check, Relation
from tablekit.engine.source import derived
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/mass_and_heights.md"

OVERHANG = Relation(
    name="overhang of the top",
    equation=sp.Eq(
        q.overhang.symbol, q.top_diameter.symbol / 2 - q.head_radius.symbol
    ),
    meaning="How far the rim stands out beyond the circle through the heads' middles.",
    why="Top and head circle share the centre line. A negative overhang means that the heads "
    "stand out beyond the rim.",
    source=derived(DERIVATION, "overhang"),
    checks=(
        Check(
            {"top_diameter": "900 mm", "head_radius": "369.749 mm"}, {"overhang": "80.251 mm"},
            derived(DERIVATION, "overhang"),
        ),
    ),
)

KNEE_CLEARANCE = Relation(
    name="clearance for knees",
    equation=sp.Eq(
        q.knee_clearance.symbol + q.top_thickness.symbol, q.table_height.symbol
    ),
    meaning="What is left under the top.",
    why="Nothing but the top itself takes height from the knees: the heads are inside the rim, "
    "and no rail joins them.",
    source=derived(DERIVATION, "heights"),
    checks=(
        Check(
            {"table_height": "735 mm", "top_thickness": "28 mm"}, {"knee_clearance": "707 mm"},
            derived(DERIVATION, "heights"),
        ),
    ),
)


def height(whole: Quantity) -> Relation:
    """Floor to the upper face; `whole` is table_height for a table, seat_height for a stool."""
    return Relation(
        name="height of the piece",
        equation=sp.Eq(
            whole.symbol,
            q.base_height.symbol + q.pad_projection.symbol + q.plate_gap.symbol
            + q.top_thickness.symbol,
        ),
        meaning="Pads, base, plates and top stand on one another.",
        why="All four are measured plumb.",
        source=derived(DERIVATION, "heights"),
        checks=(
            Check(
                {
                    "base_height": "704 mm", "pad_projection": "3 mm", "plate_gap": "0 mm",
                    "top_thickness": "28 mm",
                },
                {whole.name: "735 mm"},
                derived(DERIVATION, "heights"),
            ),
        ),
    )


def relations(kind: str) -> tuple[Relation, ...]:
    """Heights and overhang of a "table" or a "stool"."""
    if kind == "stool":
        return (height(q.seat_height), OVERHANG)
    return (height(q.table_height), KNEE_CLEARANCE, OVERHANG)
