"""Heights from floor to top, how the round top sits over the base, and how many sit at it.

Proofs: `reference/derivations/mass_and_heights.md`.
"""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import Quantity, common_practice, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q
from tablekit.relations.kinds import is_seat

DERIVATION = "reference/derivations/mass_and_heights.md"


def overhang(circle: Quantity, words: str) -> Relation:
    """Overhang beyond `circle`, a radius; `words` names what lies on that circle."""
    return Relation(
        name="overhang of the top",
        equation=equal(q.overhang, q.top_diameter / 2 - circle),
        meaning=f"How far the rim projects beyond the circle through the {words}.",
        why="The top and the circle share the centre line. A negative overhang means that the "
        f"{words} lie outside the rim.",
        source=derived(DERIVATION, "overhang"),
        checks=(
            Check(
                {"top_diameter": "900 mm", circle.name: "369.749 mm"},
                {"overhang": "80.251 mm"},
                derived(DERIVATION, "overhang"),
            ),
        ),
    )


OVERHANG = overhang(q.head_radius, "centres of the heads")

KNEE_CLEARANCE = Relation(
    name="knee clearance",
    equation=equal(q.knee_clearance + q.top_thickness, q.table_height),
    meaning="Floor to the underside of the top.",
    why="Only the top itself takes up height: the heads are inside the rim, and no rail joins "
    "them.",
    source=derived(DERIVATION, "heights"),
    checks=(
        Check(
            {"table_height": "735 mm", "top_thickness": "28 mm"},
            {"knee_clearance": "707 mm"},
            derived(DERIVATION, "heights"),
        ),
    ),
)


def height(
    whole: Quantity,
    below: tuple[Quantity, ...] = (q.base_height, q.pad_projection, q.plate_gap),
    meaning: str = "Pads, base, plates and top are stacked on one another.",
) -> Relation:
    """Floor to the upper face; `whole` is table_height or, for a stool, seat_height.

    `below` lists the heights stacked under the top, measured plumb, the base first.
    """
    example = {whole.name: "735 mm", "top_thickness": "28 mm", "plate_gap": "0 mm"}
    example |= {below[0].name: "704 mm", "pad_projection": "3 mm"}
    stack = (*below, q.top_thickness)
    return Relation(
        name="height of the piece",
        equation=equal(whole, sp.Add(*(part for part in stack))),
        meaning=meaning,
        why=f"All {'four' if len(stack) == 4 else 'of these'} are measured plumb.",
        source=derived(DERIVATION, "heights"),
        checks=(
            Check(
                {part.name: example[part.name] for part in stack},
                {whole.name: example[whole.name]},
                derived(DERIVATION, "heights"),
            ),
        ),
    )


def relations(kind: str) -> tuple[Relation, ...]:
    """Relations for the heights and the overhang of a "table" or a "stool"."""
    if is_seat(kind):
        return (height(q.seat_height), OVERHANG)
    return (height(q.table_height), KNEE_CLEARANCE, OVERHANG)


# -- how many sit at it ----------------------------------------------------------------------------

# A rim of exactly six places still seats six despite rounding error.
_HAIR = sp.Float(1e-9)
# Nearly one place more than the sitters need, just below the length at which one more would fit.
_ROOMY = sp.Rational(99, 100)

RIM_SHARES = Relation(
    name="number of places at the rim",
    equation=equal(q.seats_by_rim * q.rim_per_sitter, sp.pi * q.top_diameter),
    meaning="The number of places, not rounded, that fit round the rim.",
    why="The circumference of a circle is π times its diameter.",
    source=derived(DERIVATION, "seats"),
    checks=(
        Check(
            {"top_diameter": "48 in", "rim_per_sitter": "24 in"},
            {"seats_by_rim": "6.28"},
            derived(DERIVATION, "seats"),
        ),
    ),
)

WHOLE_SEATS = Relation(
    name="whole seats",
    equation=equal(q.seats, sp.floor(q.seats_by_rim + _HAIR)),
    meaning="The number of seats is the number of places, rounded down.",
    why="What is left of the rim is space between the sitters. In reverse, a number of seats fixes "
    "the rim only to a range, from that many places to one more; the roomy end of it is used.",
    source=derived(DERIVATION, "seats"),
    inverse={"seats_by_rim": q.seats + _ROOMY},
    checks=(
        Check(
            {"seats_by_rim": "6.28"},
            {"seats": "6"},
            common_practice("a round top 4 ft across is said to seat six at most"),
        ),
    ),
)


def seats() -> tuple[Relation, ...]:
    """Return the relations of seats at a table."""
    return (RIM_SHARES, WHOLE_SEATS)
