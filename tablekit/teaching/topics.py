"""Small networks for one question each, made of the kit's own relations.

A question that is answered from its own givens alone must not depend on the rest of a table, so
each topic takes from the kit only the relations that its questions need.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation
from tablekit.relations import (
    assumptions,
    crossing,
    fixing,
    glue,
    levelling,
    milling,
    moisture,
    movement,
    notch_cutting,
    post_ends,
    quantities,
    splayed,
    splayed_quantities,
    stock,
    table,
    tipping,
    trammel,
)
from tablekit.relations.wording import SHOP


@dataclass(frozen=True)
class Topic:
    """What a question is about: the relations it needs, and what may be taken for granted."""

    name: str
    relations: tuple[Relation, ...]
    assumptions: tuple[Assumption, ...] = ()


_RISES = (crossing.ROLL, crossing.BEARING_RISE, crossing.SIDE_RISE)
_SQUARE = (assumptions.SQUARE_POST, assumptions.SPLAY)
_HEIGHTS = (
    *(one for one in table.relations("table") if one.name == "height of the piece"),
    crossing.BASE_HEIGHT,
    crossing.CORNER_HEIGHT,
)
_FOOT = (
    "waist to foot", "reach of the foot", "sidestep of the foot", "circle of the feet",
    "foot to foot",
)  # fmt: skip


def _circles(way: int) -> tuple[Relation, ...]:
    chosen = (one for one in crossing.one_notch(way) if one.name in _FOOT)
    return (*_RISES, crossing.CENTRE_DISTANCE, crossing.WAIST_STEP, *chosen)


_CIRCLE_ASSUMPTIONS = (
    assumptions.SQUARE_POST,
    assumptions.AXIS_OFFSET,
    assumptions.NOTCH_POSITION,
    assumptions.SPLAY,
)

TOPICS: dict[str, Topic] = {
    topic.name: topic
    for topic in (
        Topic("heights", (*_HEIGHTS[:2], *_RISES, _HEIGHTS[2]), _SQUARE),
        Topic("foot circle, notches up", _circles(1), _CIRCLE_ASSUMPTIONS),
        Topic("foot circle, notches down", _circles(-1), _CIRCLE_ASSUMPTIONS),
        Topic("notch", (crossing.NOTCH_DEPTH,), (assumptions.SQUARE_POST,)),
        Topic("flats", (*_RISES, *post_ends.flat_relations()[:2]), (assumptions.SPLAY,)),
        Topic("tipping", (tipping.TIPPING,)),
        Topic("overhang", (table.OVERHANG,)),
        Topic("tilt", levelling.TILT_RELATIONS),
        Topic("moisture", tuple(one for one in moisture.relations() if "shop" in one.name)),
        Topic("movement", (movement.SEASON_HOLDS, movement.SEASON_RATE, movement.TOP_MOVEMENT)),
        Topic("slot", (movement.SHOP_HOLDS, movement.SHOP_RATE, fixing.SLOT_NEEDED)),
        Topic(
            "trammel", (trammel.TRAMMEL_RADIUS, trammel.TRAMMEL_CENTRE, trammel.PIVOT_TO_FAR_SIDE)
        ),
        Topic(
            "clamps",
            (
                glue.CLAMP_FORCE, glue.CLAMP_SPACING, glue.CLAMPS_BY_SPACING,
                glue.CLAMPS_BY_FORCE, glue.CLAMP_COUNT,
            ),
        ),
        Topic("wood", (stock.PART_VOLUME, stock.BOARD_FEET)),
        Topic("angle between posts", (crossing.CROSSING_ANGLE,)),
        Topic("notch tilt", (crossing.NOTCH_FLOOR_TILT,)),
        Topic("saw setting", (crossing.NOTCH_FLOOR_TILT, notch_cutting.BLADE_TILT)),
        Topic("sight line", (splayed.RESULTANT, splayed.SIGHT_LINE)),
        Topic("push", (tipping.push(quantities.table_height),)),
    )
}  # fmt: skip


@cache
def network(topic: str) -> Network:
    """The network of a topic; the same one each time.

    Raises KeyError for a topic that is not there.
    """
    chosen = TOPICS[topic]
    assumed = tuple(one for one in chosen.assumptions if one.quantity is not None)
    named = {name for one in (*chosen.relations, *assumed) for name in one.symbols}
    constants = tuple(one for one in _constants() if one.name in named)
    known = tuple(one for one in _quantities() if one.name in named)
    return Network(
        topic,
        known,
        tuple(_within(one, named) for one in chosen.relations),
        tuple(one for one in assumed if one.quantity in known),
        constants,
        wording=SHOP,
    )


def _within(relation: Relation, named: set[str]) -> Relation:
    """With those limits alone that speak of what the topic knows."""
    limits = tuple(
        limit
        for limit in relation.limits
        if {symbol.name for symbol in limit.slack.free_symbols} <= named
    )
    return relation if limits == relation.limits else replace(relation, limits=limits)


@cache
def _quantities() -> tuple[Quantity, ...]:
    every = (
        *quantities.EVERY, *movement.QUANTITIES, *moisture.QUANTITIES, *trammel.QUANTITIES,
        *fixing.QUANTITIES, *glue.QUANTITIES, *stock.QUANTITIES, *milling.OWN,
        *levelling.TILT_QUANTITIES,
        notch_cutting.blade_tilt, *splayed_quantities.EVERY, *tipping.QUANTITIES,
    )  # fmt: skip
    return tuple({quantity.name: quantity for quantity in every}.values())


def _constants() -> tuple[Constant, ...]:
    return (
        quantities.STANDARD_GRAVITY, quantities.MILLIMETRE, *moisture.CONSTANTS, *stock.CONSTANTS,
    )  # fmt: skip
