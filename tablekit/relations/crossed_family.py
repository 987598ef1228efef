"""What crossed posts declare for a table or a stool: relations, assumptions, requirements."""

from __future__ import annotations

from functools import cache

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.relations import (
    assumptions,
    crossing,
    mass,
    post_ends,
    quantities,
    requirements,
    season_fit,
    splitting,
    standing,
    table,
    tipping,
    top_work,
)
from tablekit.relations.kinds import Declared, height_name, is_seat


def relations(kind: str, way: int, notches: int = 1) -> tuple[Relation, ...]:
    """The relations of one kind of piece, in the order a textbook would give them.

    way      1 notches up, -1 notches down
    notches  to a post, 1 or 2
    """
    crossed = crossing.one_notch(way) if notches == 1 else crossing.two_notches(way)
    return (
        *table.relations(kind),
        *crossed,
        *post_ends.relations(way),
        *post_ends.flat_relations(),
        *(() if is_seat(kind) else table.seats()),
        *mass.relations(notches),
        *mass.wood_relations(),
        tipping.TIPPING,
        *top_work.relations(),
        *standing.relations(kind),
        *splitting.relations(way, notches),
        *season_fit.sliding(way, notches),
    )


def quantities_of(declared: tuple[Relation, ...]) -> tuple[Quantity, ...]:
    """The quantities in these relations, in the order of the sheet."""
    named = {name for relation in declared for name in relation.symbols}
    every = (
        *quantities.EVERY,
        *post_ends.QUANTITIES,
        *mass.QUANTITIES,
        *top_work.QUANTITIES,
        *standing.QUANTITIES,
        *splitting.QUANTITIES,
    )
    return tuple(quantity for quantity in every if quantity.name in named)


def wishes(kind: str) -> tuple[str, ...]:
    """What a maker is likely to know or want, likeliest first."""
    return (
        height_name(kind),
        "top_diameter",
        "post_section",
        "post_length",
        *(() if is_seat(kind) else ("seats",)),
        "foot_spread",
        "overhang",
        "splay",
        "tipping_load",
    )


@cache
def declared(kind: str, way: int, notches: int) -> Declared:
    """All that a network of crossed posts holds. Arguments as `relations`."""
    stated = relations(kind, way, notches)
    return Declared(
        quantities=quantities_of(stated),
        relations=stated,
        assumptions=_assumptions(kind, notches),
        shape=assumptions.assumptions(kind, notches),
        constants=(
            quantities.STANDARD_GRAVITY,
            quantities.MILLIMETRE,
            *mass.CONSTANTS,
            *top_work.CONSTANTS,
            *standing.CONSTANTS,
            *splitting.CONSTANTS,
        ),
        requirements=_asked(kind, notches, stated),
        wishes=wishes(kind),
    )


def _assumptions(kind: str, notches: int) -> tuple[Assumption, ...]:
    # A load or a reach that is wanted is met by the lean of the posts, as a height is.
    return (
        *standing.assumptions(kind),
        *splitting.ASSUMPTIONS,
        *assumptions.assumptions(kind, notches),
        *top_work.assumptions(),
    )


def _asked(kind: str, notches: int, stated: tuple[Relation, ...]) -> tuple[Requirement, ...]:
    return (
        *requirements.requirements(kind, notches),
        *top_work.requirements(),
        *standing.requirements(kind, stated),
        *splitting.REQUIREMENTS,
    )
