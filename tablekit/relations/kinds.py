"""What is made, a table or a stool, whose usual sizes are assumed, and what a base declares for it.
Loads nothing heavy.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.engine.quantity import Constant, Quantity
    from tablekit.engine.relation import Assumption, Relation, Requirement

METRIC, INCH = SIZES = ("metric", "inch")  # whose usual sizes are assumed


@dataclass(frozen=True)
class PieceKind:
    """A kind of piece.

    height  name of the quantity from the floor to the upper face
    seat    whether its top is sat on
    """

    name: str
    height: str
    seat: bool = False


# By name, the usual one first.
_TABLE, _STOOL = PieceKind("table", "table_height"), PieceKind("stool", "seat_height", seat=True)
KINDS = {kind.name: kind for kind in (_TABLE, _STOOL)}


def height_name(kind: str) -> str:
    """The quantity from the floor to the upper face of this kind of piece."""
    return KINDS[kind].height


def is_seat(kind: str) -> bool:
    """Whether this kind of piece is sat on; false for a name that is no kind of piece."""
    return kind in KINDS and KINDS[kind].seat


def sizes_option(sizes: str) -> dict[str, str]:
    """The option as a network has it: only where it is not the metric one."""
    return {} if sizes == METRIC else {"sizes": sizes}


def check_choice(option: str, found: str, choices: Iterable[str]) -> None:
    """Raise DesignError where `found` is none of the choices."""
    if found not in choices:
        allowed = " or ".join(f'"{choice}"' for choice in choices)
        raise DesignError(f'{option} = "{found}" is not known. Write {allowed}.')


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
