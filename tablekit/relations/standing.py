"""Whether the piece stands, holds and suits people: what these add to every kind of piece.

One place from which the networks of crossed posts take the declarations of each part. A part is a
module with QUANTITIES, CONSTANTS, ASSUMPTIONS and REQUIREMENTS and a function relations(kind).
"""

from __future__ import annotations

from typing import Any

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.relations import (
    creep,
    ends,
    knees,
    levelling,
    people,
    post_load,
    post_shares,
    racking,
    season_fit,
    seat_load,
    strength,
    tipping_loads,
    top_load,
)

# In the order a textbook would take them. Firmest assumptions first.
PARTS: tuple[Any, ...] = (
    levelling,
    tipping_loads,
    people,
    knees,
    strength,
    post_shares,
    post_load,
    top_load,
    creep,
    seat_load,
    ends,
    racking,
    season_fit,
)

# What no check speaks of although people trust themselves to it.
NOT_COVERED = (
    "The checks of strength are a design aid, not a certificate. None covers a person who drops "
    "onto it (a load that is suddenly there presses at least twice as hard as one laid on), "
    "somebody who sits on the rim of a table (over a foot that bends a post half as much again as "
    "the design load does) or level forces on the screws. Load a trial piece well beyond use "
    "before anyone sits or leans on it, and leave seats for the public to your local code and a "
    "licensed engineer."
)

QUANTITIES: tuple[Quantity, ...] = tuple(q for part in PARTS for q in part.QUANTITIES)
CONSTANTS: tuple[Constant, ...] = tuple(c for part in PARTS for c in part.CONSTANTS)


def relations(kind: str) -> tuple[Relation, ...]:
    """The relations of every part for a "table" or a "stool"."""
    return tuple(relation for part in PARTS for relation in part.relations(kind))


def assumptions(kind: str) -> tuple[Assumption, ...]:
    """What is taken for granted of the quantities that this kind of piece has, firmest first."""
    named = {name for relation in relations(kind) for name in relation.symbols}
    every = (assumption for part in PARTS for assumption in part.ASSUMPTIONS)
    return tuple(a for a in every if a.quantity is not None and a.quantity.name in named)


def requirements(kind: str, declared: tuple[Relation, ...]) -> tuple[Requirement, ...]:
    """The checks on a "table" or a "stool", of the quantities that these relations speak of."""
    named = {name for relation in declared for name in relation.symbols}
    own = {levelling.LEVEL: levelling.STOOL_LEVEL} if kind == "stool" else {}
    every = (requirement for part in PARTS for requirement in part.REQUIREMENTS)
    return tuple(own.get(one, one) for one in every if one.quantity in named)
