"""Each kind of piece on each base, as one network of relations."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.network import Network
from tablekit.relations.bases import Base, chosen
from tablekit.relations.edges import EDGES, SQUARE, Edge, with_edge
from tablekit.relations.inch_practice import in_practice, judged_in_practice
from tablekit.relations.kinds import INCH, KINDS, METRIC, SIZES, check_choice, sizes_option
from tablekit.relations.wording import wording

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


def network(
    kind: str,
    crossing: str | None = None,
    way_up: str | None = None,
    hand: str | None = None,
    *,
    style: str | None = None,
    legs: str | None = None,
    stretchers: str | None = None,
    sizes: str = METRIC,
    edge: str = SQUARE.name,
) -> Network:
    """The network of one kind of piece; every call returns the same object.

    kind      "table" or "stool"
    crossing  "one notch" (the default): each post has one notch and lies in the notch of its
              neighbour; "two notches": the axes meet and each post is notched on two neighbouring
              faces
    way_up    "notches up" (the default) or "notches down"; makes no difference with two notches
    hand      "right" (the default) or "left": mirror images of one another, with all numbers equal
              (reference/derivations/hand.md)
    style     "crossed posts" (the default), or "splayed legs", which neither cross nor have a way
              up or a hand
    legs      "three legs" (the default) or "four legs", for splayed legs only
    stretchers  "none" (the default), "H" for four legs, "T" for three, or "ring"
    sizes     "metric" or "inch": whose usual sizes are assumed, and whose limits are judged by
    edge      of the top: "square" (the default), "eased", "rounded" or "bevelled under"
    Raises DesignError if an option is not one of these.
    """
    check_choice("kind", kind, KINDS)
    base = chosen(
        style, crossing=crossing, way_up=way_up, hand=hand, legs=legs, stretchers=stretchers
    )
    check_choice("sizes", sizes, SIZES)
    check_choice("edge", edge, EDGES)
    return network_of(kind, base, sizes, EDGES[edge])


def on_base(sheet: Sheet, base: Base) -> Network:
    """The network of the same kind of piece as a sheet's, with the same sizes and edge, on another
    base."""
    words = sheet.network.options
    edge = EDGES[words.get("edge", SQUARE.name)]
    return network_of(sheet.kind, base, words.get("sizes", METRIC), edge)


def network_of(kind: str, base: Base, sizes: str = METRIC, edge: Edge = SQUARE) -> Network:
    """The network of a "table" or a "stool" on this base; arguments are not checked."""
    return _made(kind, base, sizes, edge)


@cache
def _made(kind: str, base: Base, sizes: str, edge: Edge) -> Network:
    declared, inches = with_edge(base.declared(kind), kind, edge), sizes == INCH
    shaped = {"edge": edge.name} if edge.shaped else {}
    return Network(
        name=base.title(kind),
        kind=kind,
        options={**base.options, **sizes_option(sizes), **shaped},
        quantities=declared.quantities,
        relations=declared.relations,
        assumptions=in_practice(declared.assumptions, inches),
        constants=declared.constants,
        requirements=judged_in_practice(declared.requirements, inches),
        wishes=declared.wishes,
        wording=wording(kind),
    )
