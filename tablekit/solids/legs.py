"""A piece on splayed legs as solids, in place: millimetres, z up from the floor, about the plumb
centre line.

A leg is a round bar that tapers evenly, with a tenon on its axis, a shoulder square to the axis
that just touches the underside, and a foot cut level. The true circles pass through the corners
of the solids, whose facets therefore lie inside the round by at most r (1 - cos(π/n)).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import DesignError
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import height_name
from tablekit.solids.body import Body, across, body_like, cut, rod, spokes
from tablekit.solids.cutting import Surface, solid, surface_of
from tablekit.solids.model import PLUMB, NumberSheet, pads_under, round_top
from tablekit.solids.stretchers import CROSS, SIDE, Stretcher, build_stretchers

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
