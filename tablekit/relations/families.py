"""Kinds of piece, each as one network of relations."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Relation
from tablekit.engine.trouble import Trouble
from tablekit.relations import (
    assumptions,
    crossing,
    flats,
    mass,
    quantities,
    requirements,
    seating,
    table,
    tipping,
    wood,
)

if TYPE_CHECKING:
    from tablekit.engine.network import Network

KINDS = ("table", "stool")
CROSSINGS = ("one notch",)
WAYS_UP = {"notches up": 1, "notches down": -1}


def relations(kind: str, way_up: str) -> tuple[Relation, ...]:
    """The relations of one kind of piece, in the order a textbook would give them."""
    sitters = seating.relations() if kind == "table" else ()
    return (
        *table.relations(kind),
        *crossing.relations(WAYS_UP[way_up]),
        *flats.relations(),
        *sitters,
        *mass.relations(),
        *wood.relations(),
        *tipping.relations(),
    )


def quantities_of(declared: tuple[Relation, ...]) -> tuple[Quantity, ...]:
    """The quantities that these relations speak of, in the order of the sheet."""
    named = {name for relation in declared for name in relation.symbols}
    every = (*quantities.EVERY, *wood.QUANTITIES)
    return tuple(quantity for quantity in every if quantity.name in named)


def wishes(kind: str) -> tuple[str, ...]:
    """What a maker is likely to know or to want, likeliest first."""
    height, sitters = ("seat_height", ()) if kind == "stool" else ("table_height", ("seats",))
    return (
        height, "top_diameter", "post_section", "post_length", *sitters,
        "foot_spread", "overhang", "splay", "tipping_load",
    )


def network(kind: str, crossing: str = "one notch", way_up: str = "notches up") -> Network:
    """The network of one kind of piece. The same one is handed out every time.

    kind      "table" or "stool"
    crossing  "one notch": each post has one notch and lies in the notch of its neighbour
    way_up    "notches up" or "notches down"
    Raises Trouble if an option is not one of these.
    """
    _choose("kind", kind, KINDS)
    if crossing == "two notches":
        raise Trouble(
            'crossing "two notches" is not there yet: this kit can only set out a base with one '
            'notch to a post. Write crossing = "one notch".'
        )
    _choose("crossing", crossing, CROSSINGS)
    _choose("way_up", way_up, tuple(WAYS_UP))
    return _build(kind, crossing, way_up)


@cache
def _build(kind: str, crossing_name: str, way_up: str) -> Network:
    # Imported here so that the declarations can be read, and tested, without the solver.
    from tablekit.engine.network import Network

    declared = relations(kind, way_up)
    return Network(
        name=f"three-post {kind}, {way_up}",
        kind=kind,
        options={"crossing": crossing_name, "way_up": way_up},
        quantities=quantities_of(declared),
        relations=declared,
        assumptions=assumptions.assumptions(kind),
        constants=(quantities.STANDARD_GRAVITY, quantities.MILLIMETRE, *wood.CONSTANTS),
        requirements=requirements.requirements(kind),
        wishes=wishes(kind),
    )


def _choose(option: str, found: str, choices: tuple[str, ...]) -> None:
    if found not in choices:
        allowed = " or ".join(f'"{choice}"' for choice in choices)
        raise Trouble(f'{option} = "{found}" is not known. Write {allowed}.')
