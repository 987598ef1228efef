"""What making the top adds to a piece: its movement, cutting it round, fastening it.

One place from which the networks of every kind of piece take these declarations.
"""

from __future__ import annotations

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.relations import fixing, moisture, movement, trammel

CONSTANTS = moisture.CONSTANTS
QUANTITIES: tuple[Quantity, ...] = (
    *movement.QUANTITIES, *trammel.QUANTITIES, *fixing.QUANTITIES, *moisture.QUANTITIES,
)  # fmt: skip


def relations(on_plates: bool = True) -> tuple[Relation, ...]:
    """Movement and cutting round of any top; with `on_plates` its fastening to three heads."""
    fastening = fixing.relations() if on_plates else ()
    return (*moisture.relations(), *movement.relations(), *trammel.relations(), *fastening)


def assumptions(on_plates: bool = True) -> tuple[Assumption, ...]:
    """What is taken for granted of these, firmest first."""
    fastening = fixing.ASSUMPTIONS if on_plates else ()
    return (*trammel.ASSUMPTIONS, *fastening, *movement.ASSUMPTIONS, *moisture.ASSUMPTIONS)


def requirements(on_plates: bool = True) -> tuple[Requirement, ...]:
    """The checks on these."""
    return (*(fixing.REQUIREMENTS if on_plates else ()), *trammel.REQUIREMENTS)
