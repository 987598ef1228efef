"""Strength, stability and comfort: the declarations that these parts add to every kind of piece.

The networks of crossed posts take the declarations of each part from here. A part is a module with
QUANTITIES, CONSTANTS, ASSUMPTIONS and REQUIREMENTS and a function relations(kind).
"""

from __future__ import annotations

from typing import Any

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.relations import (
    ends,
    knees,
    levelling,
    people,
    post_load,
    racking,
    season_fit,
    strength,
    tipping,
    top_load,
)
from tablekit.relations.kinds import is_seat

# In the order of a textbook, firmest assumptions first.
PARTS: tuple[Any, ...] = (
    levelling,
    tipping,
    people,
    knees,
    strength,
    post_load,
    top_load,
    ends,
    racking,
    season_fit,
)

# Loads that no check covers although people's safety depends on them.
NOT_COVERED = (
    "The strength checks are a design aid, not a certificate. They do not cover a person dropping "
    "onto the piece (a suddenly applied load presses at least twice as hard as the same load set "
    "down gently), a person sitting on the rim of a table (over a foot, that bends a post half as "
    "much again as the design load), or horizontal forces on the screws. Load a trial piece well "
    "beyond the load in use before anyone sits or leans on it. For public seating, follow your "
    "local code and consult a licensed engineer."
)

QUANTITIES: tuple[Quantity, ...] = tuple(q for part in PARTS for q in part.QUANTITIES)
CONSTANTS: tuple[Constant, ...] = tuple(c for part in PARTS for c in part.CONSTANTS)


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of every part for a "table" or a "stool"."""
    return tuple(relation for part in PARTS for relation in part.relations(kind))


def assumptions(kind: str) -> tuple[Assumption, ...]:
    """Return the assumptions on the quantities of this kind of piece, firmest first."""
    named = {name for relation in relations(kind) for name in relation.symbols}
    every = (assumption for part in PARTS for assumption in part.ASSUMPTIONS)
    return tuple(a for a in every if a.quantity is not None and a.quantity.name in named)


def requirements(kind: str, declared: tuple[Relation, ...]) -> tuple[Requirement, ...]:
    """Return the checks on a "table" or a "stool" whose quantities are in these relations."""
    named = {name for relation in declared for name in relation.symbols}
    own = {levelling.LEVEL: levelling.STOOL_LEVEL} if is_seat(kind) else {}
    every = (requirement for part in PARTS for requirement in part.REQUIREMENTS)
    return tuple(own.get(one, one) for one in every if one.quantity in named)
