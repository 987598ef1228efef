"""What a base declares for one kind of piece, ready to be made a network of."""

from __future__ import annotations

from dataclasses import dataclass

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement


@dataclass(frozen=True)
class Declared:
    """All that a network is made of.

    assumptions  firmest first
    shape        those of them that settle the shape, beside height, diameter and section
    wishes       names of what a maker is likely to know or want, likeliest first
    """

    quantities: tuple[Quantity, ...]
    relations: tuple[Relation, ...]
    assumptions: tuple[Assumption, ...]
    shape: tuple[Assumption, ...]
    constants: tuple[Constant, ...]
    requirements: tuple[Requirement, ...]
    wishes: tuple[str, ...]
