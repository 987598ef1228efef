"""How many people sit at a round table."""

from __future__ import annotations

import sympy as sp

from tablekit.engine.relation import Check, Relation, equal
from tablekit.engine.source import common_practice, derived
from tablekit.relations import quantities as q

DERIVATION = "reference/derivations/mass_and_heights.md"

# A rim of exactly six shares, off by the last bit of a float, still seats six.
_HAIR = sp.Float(1e-9)
# Nearly one share more than the sitters need, clear of the mark at which another would sit down.
_ROOMY = sp.Rational(99, 100)

RIM_SHARES = Relation(
    name="shares of the rim",
    equation=equal(q.seats_by_rim.symbol * q.rim_per_sitter.symbol, sp.pi * q.top_diameter.symbol),
    meaning="How many shares the rim divides into.",
    why="The rim of a circle is π times its diameter.",
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
    equation=equal(q.seats.symbol, sp.floor(q.seats_by_rim.symbol + _HAIR)),
    meaning="Only whole people sit down.",
    why="What is left over of the rim is room between them. Turned round, a number of seats "
    "leaves the rim a range, from that many shares to one more; the roomy end is taken.",
    source=derived(DERIVATION, "seats"),
    inverse={"seats_by_rim": q.seats.symbol + _ROOMY},
    checks=(
        Check(
            {"seats_by_rim": "6.28"},
            {"seats": "6"},
            common_practice("a round top 4 ft across is said to seat six at most"),
        ),
    ),
)


def relations() -> tuple[Relation, ...]:
    """Seats at a table."""
    return (RIM_SHARES, WHOLE_SEATS)
