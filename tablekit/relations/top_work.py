"""What making the top adds to a piece: milling, movement, the round cut, fastening, finish.

The networks of every kind of piece take these declarations from here.
"""

from __future__ import annotations

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.relations import fixing, milling, moisture, movement, trammel

CONSTANTS = (*moisture.CONSTANTS, *trammel.CONSTANTS)
QUANTITIES: tuple[Quantity, ...] = (
    *movement.QUANTITIES, *trammel.QUANTITIES, *fixing.QUANTITIES,
    *moisture.QUANTITIES, *milling.OWN,
)  # fmt: skip


def relations(legs: int = 0, more: Quantity | None = None) -> tuple[Relation, ...]:
    """Milling, movement, round cut and finish of any top, and its fastening on posts.

    legs  how many splayed legs are let into it; 0 for a top on the heads of three posts
    more  the area of the stretchers that join them; None where there are none
    """
    fastening = () if legs else fixing.relations()
    return (
        *moisture.relations(), *movement.relations(), *trammel.relations(),
        *fastening, *milling.relations(legs, more),
    )  # fmt: skip


def assumptions(legs: int = 0) -> tuple[Assumption, ...]:
    """The assumptions for this work, firmest first."""
    fastening = () if legs else fixing.ASSUMPTIONS
    return (
        *milling.assumptions(legs), *trammel.ASSUMPTIONS, *fastening,
        *movement.ASSUMPTIONS, *moisture.ASSUMPTIONS,
    )  # fmt: skip


def requirements(legs: int = 0) -> tuple[Requirement, ...]:
    """The requirements on this work."""
    fastening = () if legs else fixing.REQUIREMENTS
    return (*fastening, *trammel.REQUIREMENTS)
