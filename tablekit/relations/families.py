"""Kinds of piece, each as one network of relations."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.engine.trouble import DesignError
from tablekit.relations import (
    assumptions,
    flats,
    mass,
    one_notch,
    post_ends,
    quantities,
    requirements,
    season_fit,
    seating,
    splitting,
    standing,
    table,
    tipping,
    top_work,
    two_notches,
    wood,
)
from tablekit.relations.inch_practice import in_practice, judged_in_practice
from tablekit.relations.styles import (
    CROSSED_POSTS,
    INCH,
    LEGS,
    METRIC,
    SIZES,
    SPLAYED_LEGS,
    sizes_option,
)
from tablekit.relations.wording import wording

if TYPE_CHECKING:
    from tablekit.engine.network import Network

KINDS = ("table", "stool")
CROSSINGS = {"one notch": one_notch.relations, "two notches": two_notches.relations}
STYLES = (CROSSED_POSTS, SPLAYED_LEGS)
WAYS_UP = {"notches up": 1, "notches down": -1}
# Seen from above: a post's notch takes in the next post anticlockwise ("right") or clockwise.
HANDS = ("right", "left")


def relations(kind: str, way_up: str, crossing: str = "one notch") -> tuple[Relation, ...]:
    """The relations of one kind of piece, in the order a textbook would give them."""
    sitters = seating.relations() if kind == "table" else ()
    return (
        *table.relations(kind),
        *CROSSINGS[crossing](WAYS_UP[way_up]),
        *post_ends.relations(WAYS_UP[way_up]),
        *flats.relations(),
        *sitters,
        *mass.relations(crossing),
        *wood.relations(),
        *tipping.relations(),
        *top_work.relations(),
        *standing.relations(kind),
        *splitting.relations(way_up, crossing),
        *season_fit.sliding(way_up, crossing),
    )


def quantities_of(declared: tuple[Relation, ...]) -> tuple[Quantity, ...]:
    """The quantities in these relations, in the order of the sheet."""
    named = {name for relation in declared for name in relation.symbols}
    every = (
        *quantities.EVERY,
        *post_ends.QUANTITIES,
        *wood.QUANTITIES,
        *top_work.QUANTITIES,
        *standing.QUANTITIES,
        *splitting.QUANTITIES,
    )
    return tuple(quantity for quantity in every if quantity.name in named)


def wishes(kind: str) -> tuple[str, ...]:
    """What a maker is likely to know or want, likeliest first."""
    height, sitters = ("seat_height", ()) if kind == "stool" else ("table_height", ("seats",))
    return (
        height,
        "top_diameter",
        "post_section",
        "post_length",
        *sitters,
        "foot_spread",
        "overhang",
        "splay",
        "tipping_load",
    )


def network(
    kind: str,
    crossing: str = "one notch",
    way_up: str = "notches up",
    hand: str = "right",
    *,
    style: str = CROSSED_POSTS,
    legs: str | None = None,
    sizes: str = METRIC,
) -> Network:
    """The network of one kind of piece; every call returns the same object.

    kind      "table" or "stool"
    crossing  "one notch": each post has one notch and lies in the notch of its neighbour;
              "two notches": the axes meet and each post is notched on two neighbouring faces
    way_up    "notches up" or "notches down"; makes no difference with two notches
    hand      "right" or "left": mirror images of one another, with all numbers equal
              (reference/derivations/hand.md)
    style     "crossed posts", or "splayed legs", which neither cross nor have a way up or a hand
    legs      "three legs" (the default) or "four legs", for splayed legs only
    sizes     "metric" or "inch": whose usual sizes are assumed, and whose limits are judged by
    Raises DesignError if an option is not one of these.
    """
    _choose("kind", kind, KINDS)
    _choose("style", style, STYLES)
    _choose("sizes", sizes, SIZES)
    if style == SPLAYED_LEGS:
        return _splayed(kind, legs, sizes, crossed=(crossing, way_up, hand))
    if legs is not None:
        raise DesignError(
            "a base of crossed posts always has three: legs goes with style = "
            f'"{SPLAYED_LEGS}". Leave it out.'
        )
    _choose("crossing", crossing, tuple(CROSSINGS))
    _choose("way_up", way_up, tuple(WAYS_UP))
    _choose("hand", hand, HANDS)
    return _build(kind, crossing, way_up, hand, sizes)


def _splayed(kind: str, legs: str | None, sizes: str, crossed: tuple[str, str, str]) -> Network:
    if crossed != ("one notch", "notches up", "right"):
        raise DesignError(
            "splayed legs do not cross: crossing, way_up and hand go with style = "
            f'"{CROSSED_POSTS}". Leave them out.'
        )
    # Imported on demand: it declares as much as the crossed posts.
    from tablekit.relations import splayed_family

    legs = legs or next(iter(LEGS))
    _choose("legs", legs, tuple(LEGS))
    return splayed_family.build(kind, legs, sizes)


@cache
def _build(kind: str, crossing: str, way_up: str, hand: str, sizes: str) -> Network:
    # Imported here so that the declarations can be read, and tested, without the solver.
    from tablekit.engine.network import Network

    declared = relations(kind, way_up, crossing)
    return Network(
        name=_name(kind, crossing, way_up, hand),
        kind=kind,
        options={"crossing": crossing, "way_up": way_up, "hand": hand, **sizes_option(sizes)},
        quantities=quantities_of(declared),
        relations=declared,
        assumptions=in_practice(_assumptions(kind, crossing), sizes == INCH),
        constants=(
            quantities.STANDARD_GRAVITY,
            quantities.MILLIMETRE,
            *wood.CONSTANTS,
            *top_work.CONSTANTS,
            *standing.CONSTANTS,
            *splitting.CONSTANTS,
        ),
        requirements=judged_in_practice(_asked(kind, crossing, declared), sizes == INCH),
        wishes=wishes(kind),
        wording=wording(kind),
    )


def _assumptions(kind: str, crossing: str) -> tuple[Assumption, ...]:
    # A load or a reach that is wanted is met by the lean of the posts, as a height is.
    return (
        *standing.assumptions(kind),
        *splitting.ASSUMPTIONS,
        *assumptions.assumptions(kind, crossing),
        *top_work.assumptions(),
    )


def _asked(kind: str, crossing: str, declared: tuple[Relation, ...]) -> tuple[Requirement, ...]:
    return (
        *requirements.requirements(kind, crossing),
        *top_work.requirements(),
        *standing.requirements(kind, declared),
        *splitting.REQUIREMENTS,
    )


def _name(kind: str, crossing: str, way_up: str, hand: str) -> str:
    how = way_up if crossing == "one notch" else crossing
    return f"three-post {kind}, {how}" + (", left hand" if hand == "left" else "")


def _choose(option: str, found: str, choices: tuple[str, ...]) -> None:
    if found not in choices:
        allowed = " or ".join(f'"{choice}"' for choice in choices)
        raise DesignError(f'{option} = "{found}" is not known. Write {allowed}.')
