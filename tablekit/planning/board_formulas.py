"""The relations of `relations/boards.py` as compiled functions, made once.

Every one of these formulas holds in any unit of length, so they take and give millimetres and
square millimetres, floats or arrays.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from tablekit.engine.lambdas import compile_vector
from tablekit.engine.quantity import Quantity
from tablekit.engine.rearrange import rearrange
from tablekit.engine.relation import Relation
from tablekit.relations import boards as b
from tablekit.relations import quantities as q


def rough_diameter(top_diameter: Any, margin: Any) -> Any:
    """Diameter of the circle to be covered, mm."""
    return _of(b.rough_diameter)(top_diameter, margin)[0]


def strip_width(board_width: Any, edge_loss: Any) -> Any:
    """Width of a strip, mm; not above 0 where jointing leaves nothing."""
    return _of(b.strip_width)(board_width, edge_loss)[0]


def usable_length(board_length: Any, end_waste: Any) -> Any:
    """Usable length, mm; not above 0 where the ends leave nothing."""
    return _of(b.usable_length)(board_length, end_waste)[0]


def keep_off(diameter: Any, length: Any) -> Any:
    """How near the centre a strip of usable `length`, shorter than the diameter, may come, mm."""
    return _of(b.near_edge)(diameter, length)[0]


def chord_at(diameter: Any, distance: Any) -> Any:
    """Chord of the circle so far from its centre, mm."""
    return _of(b.length_needed)(diameter, distance)[0]


def length_needed(diameter: Any, left: Any, right: Any) -> Any:
    """Longest chord covered from `left` to `right` of the centre mark; 0 outside the circle."""
    near = _of(b.strip_left)(left, right)[0]
    return 0.0 if 2 * near >= diameter else chord_at(diameter, near)


def width_there(width: Any, far_width: Any, length: Any, along: Any) -> Any:
    """Width of a board at a distance from its end, mm."""
    return _of(b.width_there)(width, far_width, length, along)[0]


def used_area(width: Any, there: Any, along: Any) -> Any:
    """Area of a board from its end to where it is as wide as `there`, mm²."""
    return _of(b.used_area)(width, there, along)[0]


def circle_area(diameter: Any) -> Any:
    """Area of the circle to be covered, mm²."""
    return _of(b.circle_area)(diameter)[0]


def waste(circle: Any, boards: Any) -> Any:
    """Share of the area used that is not in the circle."""
    return _of(b.boards_waste)(circle, boards)[0]


# What is asked for -> (relation, what is given, the unknown of the relation).
_FORMS: dict[Quantity, tuple[Relation, tuple[Quantity, ...], Quantity]] = {
    b.rough_diameter: (b.ROUGH_DIAMETER, (q.top_diameter, b.top_margin), b.rough_diameter),
    b.strip_width: (b.STRIP_WIDTH, (b.board_width, b.edge_loss), b.strip_width),
    b.usable_length: (b.USABLE_LENGTH, (b.board_length, b.end_waste), b.usable_length),
    b.near_edge: (b.LENGTH_NEEDED, (b.rough_diameter, b.length_needed), b.near_edge),
    b.length_needed: (b.LENGTH_NEEDED, (b.rough_diameter, b.near_edge), b.length_needed),
    b.strip_left: (b.NEAR_EDGE, (b.strip_left, b.strip_right), b.near_edge),
    b.width_there: (
        b.WIDTH_THERE, (b.board_width, b.far_width, b.board_length, b.along), b.width_there,
    ),
    b.used_area: (b.USED_AREA, (b.board_width, b.width_there, b.along), b.used_area),
    b.circle_area: (b.CIRCLE_AREA, (b.rough_diameter,), b.circle_area),
    b.boards_waste: (b.BOARDS_WASTE, (b.circle_area, b.boards_area), b.boards_waste),
}  # fmt: skip


@cache
def _of(asked: Quantity) -> Callable[..., tuple[Any, ...]]:
    relation, given, unknown = _FORMS[asked]
    forms = rearrange(relation.equation, unknown.symbol, (0.0, float("inf")))
    assert forms is not None
    # Of two roots the first is the one that is not negative.
    return compile_vector([quantity.symbol for quantity in given], [forms[0]], arrays=True)
