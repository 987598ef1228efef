"""Number of people at a round table."""

from __future__ import annotations

import sympy as sp

from tablekit.engine.quantity import common_practice, derived
from tablekit.engine.relation import Check, Relation, equal
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/mass_and_heights.md"

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


def relations() -> tuple[Relation, ...]:
    """Return the relations of seats at a table."""
    return (RIM_SHARES, WHOLE_SEATS)
