"""A piece on splayed legs as solids, in place: millimetres, z up from the floor, about the plumb
centre line.

A leg is a round bar that tapers evenly, with a tenon on its axis, a shoulder square to the axis
that just touches the underside, and a foot cut level. A stretcher is a round bar that swells evenly
from its tenons to its middle. Side stretchers join neighbouring legs; the cross stretcher of an H
joins the middles of two of them, that of a T leg 1 and the middle of the one opposite. The true
circles pass through the corners of the solids, whose facets therefore lie inside the round by at
most r (1 - cos(π/n)).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import DesignError
from tablekit.relations.bases import Base, base_of
from tablekit.relations.kinds import height_name
from tablekit.solids.body import Body, across, body_like, cut, rod, spokes
from tablekit.solids.cutting import Surface, solid, surface_of
from tablekit.solids.model import PLUMB, NumberSheet, pads_under, round_top

Array = NDArray[np.float64]

LEG_SIDES = 48
# A tenon this little thinner than its leg has no shoulder.
NO_SHOULDER = 1e-6
NEEDED = (
    "leg_diameter", "foot_diameter", "leg_taper", "leg_resultant", "sight_turn", "leg_rise",
    "leg_run", "shoulder_length", "socket_radius", "foot_radius", "socket_depth", "tenon_diameter",
    "pad_projection", "top_diameter", "top_thickness",
)  # fmt: skip


STRETCHERS_NEED = (
    "stretcher_height", "stretcher_diameter", "stretcher_tenon", "stretcher_depth",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Leg:
    """A leg in place.

    number   1, 2, 3 … anticlockwise seen from above
    along    unit direction from foot to tenon, shape (3,)
    foot     where its axis meets the level cut, shape (3,)
    socket   where its axis meets the underside, shape (3,)
    end      where its axis ends in the socket, shape (3,)
    shoulder where its axis meets the shoulder, shape (3,); where there is none, where the tenon
             begins
    shaft    from the foot to the shoulder
    tenon    from the shoulder to the end; sawn off flush where it comes through the top
    """

    number: int
    along: Array
    foot: Array
    socket: Array
    end: Array
    shoulder: Array
    shaft: Body
    tenon: Body

    @property
    def pieces(self) -> tuple[Body, ...]:
        """Convex bodies that lie side by side and together are the leg."""
        return (self.shaft, self.tenon)

    @property
    def rounds(self) -> tuple[Body, ...]:
        """The same: their outlines are its lines."""
        return self.pieces

    @cached_property
    def covers(self) -> tuple[Body, ...]:
        """Convex bodies that overlap and together are the leg: the tenon is let go on into the
        shaft, so that no line shows through between them."""
        down = (self.tenon.vertices - self.shoulder) @ self.along < NO_SHOULDER
        deep = min(1.0, 0.05 * float(np.linalg.norm(self.shoulder - self.foot)))
        vertices = self.tenon.vertices - np.outer(down * deep, self.along)
        return (self.shaft, body_like(self.tenon, self.number, vertices, self.tenon.faces))

    @property
    def middle(self) -> Array:
        """Half way along its shaft, shape (3,)."""
        return np.asarray((self.foot + self.shoulder) / 2)

    def turned(self, angle: float, number: int) -> Leg:
        """The same leg turned about the plumb centre line, angle in radians."""
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        points = {
            name: turn @ getattr(self, name)
            for name in ("along", "foot", "socket", "end", "shoulder")
        }
        shaft, tenon = (piece.turned(angle, number) for piece in self.pieces)
        return replace(self, number=number, shaft=shaft, tenon=tenon, **points)


@dataclass(frozen=True, eq=False)
class LegModel:
    """The piece in place. Legs are numbered anticlockwise seen from above, the first foot on x.

    pads        one under each foot; none where none stand proud
    top         the round top without its sockets, which the tenons fill
    stretchers  side stretchers before the cross stretcher; none where the legs are not joined
    """

    legs: tuple[Leg, ...]
    pads: tuple[Body, ...]
    top: Body
    stretchers: tuple[Stretcher, ...] = ()

    @property
    def bodies(self) -> tuple[Body, ...]:
        """Shafts and tenons leg by leg, then the pads, what shows of the stretchers, the top."""
        shown = (one.shaft for one in self.stretchers)
        legs = (piece for leg in self.legs for piece in leg.pieces)
        return (*legs, *self.pads, *shown, self.top)

    @property
    def underside(self) -> float:
        """Height of the underside over the floor, mm."""
        return float(self.legs[0].socket[2])

    @cached_property
    def seat(self) -> Any:
        """The top with its sockets, as a manifold3d solid. A socket has the shape of its tenon.

        Raises DesignError where manifold3d is missing."""
        whole = solid(self.top)
        for leg in self.legs:
            whole = whole - solid(leg.tenon)
        return whole

    @cached_property
    def mortised(self) -> tuple[Any, ...]:
        """Legs, then side stretchers, then the cross stretcher, less what goes into them, as
        manifold3d solids."""
        joins = [stretcher_solid(one) for one in self.stretchers]
        cross = [one for one, it in zip(joins, self.stretchers, strict=True) if it.kind == CROSS]
        legs = [leg_solid(leg) for leg in self.legs]
        for one in joins:
            legs = [leg - one for leg in legs]
        sides = [one for one, it in zip(joins, self.stretchers, strict=True) if it.kind == SIDE]
        for one in cross:
            sides = [side - one for side in sides]
        return (*legs, *sides, *cross)

    @cached_property
    def surfaces(self) -> tuple[Surface, ...]:
        """Legs, stretchers, pads and the bored top as closed surfaces."""
        count = len(self.legs)
        shapes = [
            (f"leg {leg.number}", made)
            for leg, made in zip(self.legs, self.mortised[:count], strict=True)
        ]
        shapes += [
            (f"stretcher {one.number}", made)
            for one, made in zip(self.stretchers, self.mortised[count:], strict=True)
        ]
        shapes += [(f"pad {pad.number}", solid(pad)) for pad in self.pads]
        return tuple(surface_of(name, shape) for name, shape in (*shapes, ("top", self.seat)))

    def mouth(self, leg: Leg, sides: int = 96) -> Array:
        """The mouth of a leg's socket on the underside, closed, shape (sides + 1, 3), mm."""
        radius = float(np.linalg.norm(_rejected(leg.tenon.vertices - leg.foot, leg.along)[0]))
        first, second = across(leg.along)
        turns = 2 * np.pi * np.arange(sides + 1) / sides
        rim = radius * (np.outer(np.cos(turns), first) + np.outer(np.sin(turns), second))
        # Along the axis until the height is that of the underside.
        back = rim[:, 2] / leg.along[2]
        return np.asarray(leg.socket + rim - np.outer(back, leg.along))


def leg_solid(leg: Leg) -> Any:
    """A leg as a manifold3d solid."""
    shaft, tenon = (solid(piece) for piece in leg.pieces)
    return shaft + tenon


def stretcher_solid(stretcher: Stretcher) -> Any:
    """A stretcher with its tenons as a manifold3d solid."""
    first, shaft, last = (solid(piece) for piece in stretcher.pieces)
    return first + shaft + last


def build_legs(sheet: NumberSheet, sides: int = LEG_SIDES, top: Body | None = None) -> LegModel:
    """The piece that a sheet describes.

    sides  of the polygon that stands for a leg's circle
    top    of the sheet, where it has been made before

    Raises DesignError, naming them, when the sheet leaves open what the solids need, and when the
    level cut leaves nothing of a leg.
    """
    joined = base_of(sheet).has_stretchers
    wanted = (*NEEDED, height_name(sheet.kind), *(STRETCHERS_NEED if joined else ()))
    missing = [name for name in wanted if sheet.get(name) is None]
    if missing:
        raise DesignError(
            f"there is nothing to draw yet: {', '.join(missing)} found no value in this design. "
            f"Give what settles them, or change what leaves them out"
        )
    base = base_of(sheet)
    first, count = _leg(sheet, sides), base.count
    legs = tuple(first.turned(2 * np.pi * k / count, k + 1) for k in range(count))
    feet = np.array([leg.foot for leg in legs])
    pads = pads_under(feet, sheet.number("foot_diameter") / 2, sheet.number("pad_projection"))
    joins = build_stretchers(sheet, base, legs, sides)
    return LegModel(legs, pads, round_top(sheet) if top is None else top, joins)


def _leg(sheet: NumberSheet, sides: int) -> Leg:
    """Leg 1, its foot on the x axis, its socket clockwise of it where the sight line is turned."""
    number = sheet.number
    lean, turn = np.radians(number("leg_resultant")), np.radians(number("sight_turn"))
    out, run = number("socket_radius"), number("leg_run")
    # From the socket, on a radius along x, to the foot; then turned until the foot is on x.
    aside = float(np.arctan2(run * np.sin(turn), out + run * np.cos(turn)))
    heading = turn - aside
    level = number("pad_projection")
    socket = np.array([out * np.cos(aside), -out * np.sin(aside), level + number("leg_rise")])
    along = np.array(
        [-np.sin(lean) * np.cos(heading), -np.sin(lean) * np.sin(heading), np.cos(lean)]
    )
    foot = socket - number("shoulder_length") * along
    end = socket + number("socket_depth") * along
    begins = _shoulder(sheet, float(lean))
    shaft = _shaft(sheet, foot, along, begins, sides)
    tenon = _tenon(sheet, foot + begins * along, end, along, sides)
    return Leg(1, along, foot, socket, end, foot + begins * along, shaft, tenon)


def _shoulder(sheet: NumberSheet, lean: float) -> float:
    """Where the tenon begins, mm from the foot along the axis: so far below the underside that the
    outer edge of a square shoulder just touches it, or, of a tenon too thick to have a shoulder
    there, where the leg is as thick as the tenon."""
    taper, length = sheet.number("leg_taper"), sheet.number("shoulder_length")
    foot, tenon = sheet.number("foot_diameter"), sheet.number("tenon_diameter")
    tan = np.tan(lean)
    below = sheet.number("leg_diameter") / 2 * tan / (1 + taper * tan)
    place = length - below
    if foot + 2 * taper * place > tenon + NO_SHOULDER or taper <= 0:
        return float(place)
    return float(np.clip((tenon - foot) / (2 * taper), place, length))


def _shaft(sheet: NumberSheet, foot: Array, along: Array, length: float, sides: int) -> Body:
    """From the level cut to the shoulder."""
    taper, radius = sheet.number("leg_taper"), sheet.number("foot_diameter") / 2
    outward = spokes(along, sides)
    # Each line of the cone runs until it is as high as the middle of the foot.
    reach = -radius * outward[:, 2] / (along[2] + taper * outward[:, 2])
    if (reach >= length).any():
        raise DesignError(
            "a leg is so short for its thickness that the level cut leaves none of it"
        )
    low = foot + np.outer(reach, along) + (radius + taper * reach)[:, None] * outward
    high = foot + length * along + (radius + taper * length) * outward
    return rod("leg", 1, low, high)


def _tenon(sheet: NumberSheet, start: Array, end: Array, along: Array, sides: int) -> Body:
    """From the shoulder to the end, no farther than the upper face of the top."""
    round_it = sheet.number("tenon_diameter") / 2 * spokes(along, sides)
    bar = rod("tenon", 1, start + round_it, end + round_it)
    upper = sheet.number(height_name(sheet.kind))
    flush = cut(bar, PLUMB, upper)
    if flush is bar:
        return bar
    curved = [
        bool(np.abs(flush.normals[list(pair)] @ along).max() < 1e-9) for pair in flush.edge_faces
    ]
    return replace(flush, smooth=np.array(curved))


def _rejected(points: Array, along: Array) -> Array:
    return np.asarray(points - np.outer(points @ along, along))


# -- Stretchers ------------------------------------------------------------------------------------

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
