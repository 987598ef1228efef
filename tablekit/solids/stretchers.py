"""Stretchers between legs as solids, in place: millimetres, z up from the floor.

A stretcher is a round bar that swells evenly from its tenons to its middle. Side stretchers join
neighbouring legs; the cross stretcher of an H joins the middles of two of them, that of a T leg 1
and the middle of the one opposite. The true circles pass through the corners of the solids, as with
legs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.relations.bases import Base
from tablekit.solids.body import Body, rod, spokes
from tablekit.solids.model import NumberSheet

Array = NDArray[np.float64]

SIDE, CROSS = "side stretcher", "cross stretcher"


class Bar(Protocol):
    """What is read of a leg."""

    @property
    def along(self) -> Array:
        """Unit direction from foot to tenon, shape (3,)."""

    @property
    def foot(self) -> Array:
        """Where its axis meets the level cut, shape (3,), mm."""

    @property
    def socket(self) -> Array:
        """Where its axis meets the underside, shape (3,), mm."""


@dataclass(frozen=True, eq=False)
class Stretcher:
    """A stretcher in place.

    number   1, 2, 3 …, side stretchers before the cross stretcher
    kind     "side stretcher" or "cross stretcher"
    joins    leg numbers of a side stretcher; of a cross stretcher numbers of side stretchers, and
             before that of a T the number of its leg
    height   of its axis over the level feet, mm
    start    where it leaves the first part, shape (3,), mm
    end      where it reaches the other
    shaft    what shows
    tenons   at the start and at the end
    draws    level movement of the whole for each unit that its legs move straight outward, (3,)
    """

    number: int
    kind: str
    joins: tuple[int, int]
    height: float
    start: Array
    end: Array
    shaft: Body
    tenons: tuple[Body, Body]
    draws: Array

    @property
    def pieces(self) -> tuple[Body, ...]:
        """Convex bodies that lie side by side and together are the stretcher."""
        return (self.tenons[0], self.shaft, self.tenons[1])

    @property
    def along(self) -> Array:
        """Unit direction from its start to its end, shape (3,)."""
        return np.asarray((self.end - self.start) / self.length)

    @property
    def covers(self) -> tuple[Body, ...]:
        """Convex bodies that together are the stretcher."""
        return self.pieces

    @property
    def rounds(self) -> tuple[Body, ...]:
        """The same: their outlines are its lines."""
        return self.pieces

    @property
    def length(self) -> float:
        """What shows of it, mm."""
        return float(np.linalg.norm(self.end - self.start))


def build_stretchers(
    sheet: NumberSheet, base: Base, legs: Sequence[Bar], sides: int
) -> tuple[Stretcher, ...]:
    """Those of a sheet, side stretchers first; none where there are none."""
    if not base.has_stretchers:
        return ()
    made = list(_sides(sheet, base, legs, sides))
    if base.joined != "ring":
        made.append(_cross(sheet, legs, made, sides))
    return tuple(made)


def _sides(sheet: NumberSheet, base: Base, legs: Sequence[Bar], sides: int) -> Iterator[Stretcher]:
    for number, (first, second, level) in enumerate(base.pairs, start=1):
        height = sheet.number("stretcher_height")
        if level:
            height += level * sheet.number("stretcher_step")
        points = [_at(legs[k], height) for k in (first, second)]
        ways = [points[1] - points[0], points[0] - points[1]]
        start, end = (
            point + _leaves(sheet, legs[k], height, way / np.linalg.norm(way))
            for k, point, way in zip((first, second), points, ways, strict=True)
        )
        # Both legs move outward by one; the bar between them keeps to their middle.
        out = [_outward(legs[k]) for k in (first, second)]
        draws = (out[0] + out[1]) / 2
        yield _stretcher(
            sheet, number, SIDE, (first + 1, second + 1), height, (start, end, draws), sides
        )


def _cross(
    sheet: NumberSheet, legs: Sequence[Bar], made: Sequence[Stretcher], sides: int
) -> Stretcher:
    """From the middle of one side stretcher to that of the other, or from leg 1 to the one."""
    height, half = made[0].height, sheet.number("stretcher_diameter") / 2
    middles = [(one.start + one.end) / 2 for one in made]
    if len(made) == 2:
        way = (middles[1] - middles[0]) / np.linalg.norm(middles[1] - middles[0])
        place = (middles[0] + half * way, middles[1] - half * way, np.zeros(3))
        return _stretcher(sheet, 3, CROSS, (1, 2), height, place, sides)
    point = _at(legs[0], height)
    way = (middles[0] - point) / np.linalg.norm(middles[0] - point)
    start = point + _leaves(sheet, legs[0], height, way)
    draws = (_outward(legs[0]) + made[0].draws) / 2
    return _stretcher(
        sheet, 2, CROSS, (1, 1), height, (start, middles[0] - half * way, draws), sides
    )


def _at(leg: Bar, height: float) -> Array:
    """The point of a leg's axis at a height over its foot."""
    return np.asarray(leg.foot + height / leg.along[2] * leg.along)


def _outward(leg: Bar) -> Array:
    level = leg.along * np.array([-1.0, -1.0, 0.0])
    return np.asarray(level / np.linalg.norm(level))


def _leaves(sheet: NumberSheet, leg: Bar, height: float, way: Array) -> Array:
    """From the axis of a leg to where a level line leaves it; the leg as thick as it is there."""
    foot, top = sheet.number("foot_diameter"), sheet.number("leg_diameter")
    radius = (foot + (top - foot) * height / float((leg.socket - leg.foot)[2])) / 2
    across = float(np.linalg.norm(way - (way @ leg.along) * leg.along))
    return np.asarray(radius / across * way)


def _stretcher(
    sheet: NumberSheet, number: int, kind: str, joins: tuple[int, int], height: float,
    place: tuple[Array, Array, Array], sides: int,
) -> Stretcher:  # fmt: skip
    """place  start, end and how it is drawn along"""
    start, end, draws = place
    along = (end - start) / np.linalg.norm(end - start)
    round_it = spokes(along, sides)
    thin, thick = (sheet.number(f"stretcher_{what}") / 2 for what in ("tenon", "diameter"))
    deep, middle = sheet.number("stretcher_depth") * along, (start + end) / 2
    ends = [start + thin * round_it, end + thin * round_it]
    shaft = rod("stretcher", number, ends[0], middle + thick * round_it, ends[1])
    tenons = (
        rod("stretcher tenon", number, ends[0] - deep, ends[0]),
        rod("stretcher tenon", number, ends[1], ends[1] + deep),
    )
    return Stretcher(number, kind, joins, height, start, end, shaft, tenons, draws)
