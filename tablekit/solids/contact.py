"""How far parts slide before they catch, where they touch, and what small motions that leaves them.

Two convex pieces overlap just while they overlap as seen along every one of finitely many
directions: their face normals and the vectors square to an edge of each (the faces of the
Minkowski difference of two convex bodies are of no other kind). Seen along one direction the
overlap changes evenly with the distance slid, so each direction says "from here on" or "up to
here", and the pieces overlap between the latest beginning and the earliest end. That interval
is found in closed form. Nothing is sampled along the way, so nothing can be missed between steps.

Parts that slide at once, each evenly along its own line, slide evenly past one another, so the same
holds for them.

A small motion of a part is a velocity v of its point of reference and a turning velocity ω. Where a
flat patch of one part lies on another, no point of the patch may move into the wood. The patch is
flat and convex, so its corners speak for all of it: a linear inequality for each. If none but the
motion of all parts together satisfies them, the parts are locked, whatever larger motion is tried.
Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import NEAR, Body, crosses, unlike

# -- sliding ---------------------------------------------------------------------------------------

Array = NDArray[np.float64]

# Overlaps below a nanometre are rounding.
TOUCH = 1e-6
# A direction along which a metre's slide changes the overlap by less than a nanometre.
LEVEL = 1e-12


class Movable(Protocol):
    """What is read of a part."""

    @property
    def pieces(self) -> tuple[Body, ...]:
        """The convex bodies it is made of."""
        ...


@dataclass(frozen=True, eq=False)
class Shape:
    """A convex piece, ready to be compared: corners, and its face and edge directions, unit."""

    corners: Array
    faces: Array
    edges: Array

    @classmethod
    def of(cls, body: Body) -> Shape:
        """Take what matters from a body."""
        ends = body.vertices[body.edges]
        return cls(body.vertices, unlike(body.normals), unlike(ends[:, 1] - ends[:, 0]))


@dataclass(frozen=True, eq=False)
class PairTable:
    """All that must be known of two parts to slide one past the other.

    axes    directions to look along, shape (k, 3), unit; those of one pair of pieces stand together
    depths  how far the pieces overlap along each while neither has moved, shape (k,)
    starts  where each pair of pieces begins, shape (p,)
    """

    axes: Array
    depths: Array
    starts: NDArray[np.int64]

    def overlaps(self, shift: Array, direction: Array, give: float) -> tuple[Array, Array]:
        """Slides between which each pair of pieces overlaps by more than `give`, shapes (p,).

        shift      how far the first part has moved relative to the second, shape (3,)
        direction  in which it moves on, shape (3,); slides are in units of its length
        Where the first is not below the second, that pair never overlaps.
        """
        depth = self.depths - self.axes @ shift - give
        slope = self.axes @ direction
        level = np.abs(slope) < LEVEL
        reach = depth / np.where(level, 1.0, slope)
        never = level & (depth <= 0)
        until = np.where(never, -np.inf, np.where(slope > LEVEL, reach, np.inf))
        since = np.where(never, np.inf, np.where(slope < -LEVEL, reach, -np.inf))
        return np.maximum.reduceat(since, self.starts), np.minimum.reduceat(until, self.starts)

    def stop(self, shift: Array, direction: Array, give: float = TOUCH) -> float:
        """How far the first part slides before it catches on the second; infinity if never."""
        since, until = self.overlaps(shift, direction, give)
        caught = (since < until) & (until > 0)
        return float(np.maximum(since[caught], 0.0).min()) if caught.any() else np.inf

    def held(self, shift: Array, directions: Array) -> NDArray[np.bool_]:
        """Which directions, shape (d, 3), drive the first part into the second at once; (d,).

        A pair of pieces that touch is kept apart by the directions along which they do not
        overlap; it catches when the slide brings every one of those to overlap.
        """
        depth = self.depths - self.axes @ shift
        sizes = np.diff(np.append(self.starts, len(depth)))
        pair = np.repeat(np.arange(len(self.starts)), sizes)
        touching = np.minimum.reduceat(depth, self.starts) > -2 * TOUCH
        apart = np.flatnonzero((depth < 2 * TOUCH) & touching[pair])
        if not len(apart):
            return np.zeros(len(directions), dtype=bool)
        closing = self.axes[apart] @ directions.T < -LEVEL
        first = np.flatnonzero(np.diff(pair[apart], prepend=-1))
        return np.asarray(np.logical_and.reduceat(closing, first, axis=0).any(axis=0))

    def clear_after(self, shift: Array, direction: Array) -> float:
        """Slide after which the two are past one another; 0 where they never overlap."""
        since, until = self.overlaps(shift, direction, TOUCH)
        ends = until[(since < until) & (until > 0)]
        return float(ends.max()) if len(ends) else 0.0


def pair_table(first: Sequence[Shape], second: Sequence[Shape]) -> PairTable:
    """Compare every piece of one part with every piece of another."""
    axes, depths, starts, count = [], [], [], 0
    for a in first:
        for b in second:
            along = np.vstack([a.faces, b.faces, crosses(a.edges, b.edges)])
            along = np.vstack([along, -along])
            reach = (b.corners @ along.T).max(axis=0) - (a.corners @ along.T).min(axis=0)
            axes.append(along)
            depths.append(reach)
            starts.append(count)
            count += len(along)
    return PairTable(np.vstack(axes), np.concatenate(depths), np.array(starts))


class Slides:
    """Straight slides of any number of parts past one another.

    The parts are numbered from 0 in the order given.
    """

    def __init__(self, parts: Sequence[Movable]) -> None:
        self.count = len(parts)
        self._shapes = [[Shape.of(piece) for piece in part.pieces] for part in parts]
        self._tables = {
            (i, j): pair_table(self._shapes[i], self._shapes[j])
            for i, j in combinations(range(self.count), 2)
        }

    def with_part(self, place: int, part: Movable) -> Slides:
        """The same with one part exchanged; what does not concern it is kept."""
        other = Slides.__new__(Slides)
        other.count = self.count
        other._shapes = list(self._shapes)
        other._shapes[place] = [Shape.of(piece) for piece in part.pieces]
        other._tables = {
            pair: pair_table(other._shapes[pair[0]], other._shapes[pair[1]])
            if place in pair
            else table
            for pair, table in self._tables.items()
        }
        return other

    def stop(
        self, shifts: Array, velocities: Array, present: Sequence[int], give: float = TOUCH
    ) -> float:
        """How long the parts can move before two of them catch; infinity if they never do.

        shifts, velocities  where each part has got to and how it moves, shape (n, 3)
        present             the parts that are still there
        give                by how much two parts may overlap, mm
        """
        stops = [np.inf]
        for i, j in combinations(sorted(present), 2):
            relative = velocities[i] - velocities[j]
            if relative.any():
                stops.append(self._tables[i, j].stop(shifts[i] - shifts[j], relative, give))
        return min(stops)

    def free(
        self, part: int, shifts: Array, directions: Array, present: Sequence[int]
    ) -> NDArray[np.bool_]:
        """Which directions, shape (d, 3), one part can set out in while the others stand; (d,)."""
        held = np.zeros(len(directions), dtype=bool)
        for other in present:
            if other < part:
                table = self._tables[other, part]
                held |= table.held(shifts[other] - shifts[part], -directions)
            elif other > part:
                held |= self._tables[part, other].held(shifts[part] - shifts[other], directions)
        return ~held

    def clear_after(
        self, part: int, shifts: Array, direction: Array, present: Sequence[int]
    ) -> float:
        """Slide after which one part is past all others that lie in its way, mm."""
        ends = [0.0]
        for other in present:
            if other != part:
                first, second = sorted((part, other))
                way = direction if part < other else -direction
                table = self._tables[first, second]
                ends.append(table.clear_after(shifts[first] - shifts[second], way))
        return max(ends)

    def all_clear_after(self, velocities: Array) -> float:
        """Time after which all parts, moving evenly at once from their places, are past."""
        still = np.zeros(3)
        return max(
            table.clear_after(still, velocities[i] - velocities[j])
            for (i, j), table in self._tables.items()
        )

    def overlap(self, shifts: Array, present: Sequence[int]) -> float:
        """The deepest overlap of any two parts as they stand, mm; below 0 they are apart."""
        deepest = -np.inf
        for i, j in combinations(sorted(present), 2):
            table = self._tables[i, j]
            depth = table.depths - table.axes @ (shifts[i] - shifts[j])
            deepest = max(deepest, float(np.minimum.reduceat(depth, table.starts).max()))
        return deepest


# -- touching --------------------------------------------------------------------------------------

# A rate of separation, per unit of motion, that counts as one.
RATE = 1e-7


@dataclass(frozen=True, eq=False)
class Patch:
    """A flat convex piece of surface where two parts touch.

    first, second  places of the parts in the list they were given in
    normal         unit, out of the first and into the second, shape (3,)
    corners        shape (k, 3), in order round the patch
    """

    first: int
    second: int
    normal: Array
    corners: Array

    @property
    def area(self) -> float:
        """Area in mm²."""
        return abs(_area(self.corners, self.normal))


@dataclass(frozen=True, eq=False)
class Freedom:
    """What small motions a set of contacts leaves to the parts that may move.

    moving    places of the parts that may move
    rank      how many independent motions the contacts hold or sense
    unknowns  six for each moving part
    gain      how fast the contacts part at best, summed, with no component of motion above 1
    motion    that motion: (v, ω × reach) of each moving part, shape (len(moving), 6)
    """

    moving: tuple[int, ...]
    rank: int
    unknowns: int
    gain: float
    motion: Array

    @property
    def locked(self) -> bool:
        """No small motion at all: nothing parts, and nothing slides either."""
        return self.rank == self.unknowns and self.gain < RATE


def patches(parts: Sequence[Movable]) -> tuple[Patch, ...]:
    """Every patch of surface where two of the parts touch face to face."""
    found = []
    for i, j in combinations(range(len(parts)), 2):
        for a in parts[i].pieces:
            for b in parts[j].pieces:
                found += [Patch(i, j, n, corners) for n, corners in _touching(a, b)]
    return tuple(found)


def _touching(a: Body, b: Body) -> list[tuple[Array, Array]]:
    """Normals out of `a` and corners of the patches that two convex pieces share."""
    found = []
    # A slant of 1e-9 opens a metre-long contact by a nanometre.
    facing = np.abs(a.normals[:, None] + b.normals[None]).max(axis=2) < 1e-9
    level = np.abs(a.offsets[:, None] + b.offsets[None]) < NEAR
    for f, g in zip(*np.nonzero(facing & level), strict=True):
        polygon = a.vertices[list(a.faces[f])]
        other = b.vertices[list(b.faces[g])]
        common = _common(polygon, other, b.normals[g])
        if len(common) > 2 and abs(_area(common, a.normals[f])) > NEAR:
            found.append((a.normals[f], common))
    return found


def _common(polygon: Array, other: Array, normal: Array) -> Array:
    """The part of a flat polygon within another, convex and anticlockwise about `normal`."""
    for start, end in zip(other, np.roll(other, -1, axis=0), strict=True):
        outward = np.cross(end - start, normal)
        over = (polygon - start) @ outward / np.linalg.norm(outward)
        polygon = _clipped(polygon, over)
        if len(polygon) < 3:
            break
    return polygon


def _clipped(polygon: Array, over: Array) -> Array:
    """The part of a polygon whose corners' signed distances `over` are not above zero."""
    kept = []
    for k, corner in enumerate(polygon):
        after = (k + 1) % len(polygon)
        if over[k] <= 0:
            kept.append(corner)
        if (over[k] > 0) != (over[after] > 0):
            share = over[k] / (over[k] - over[after])
            kept.append(corner + share * (polygon[after] - corner))
    return np.array(kept).reshape(-1, 3)


def _area(corners: Array, normal: Array) -> float:
    spokes = corners[1:] - corners[0]
    return float(np.cross(spokes[:-1], spokes[1:]).sum(axis=0) @ normal) / 2


def separations(contacts: Sequence[Patch], moving: Sequence[int], reach: float) -> Array:
    """Rate at which each patch corner parts for each unknown, shape (corners, 6·len(moving)).

    reach   length by which turning is counted, so that all unknowns are lengths, mm
    Parts that are not in `moving` stand still.
    """
    rows = []
    for patch in contacts:
        arms = patch.corners / reach
        push = np.hstack([np.tile(patch.normal, (len(arms), 1)), np.cross(arms, patch.normal)])
        row = np.zeros((len(arms), 6 * len(moving)))
        for part, sign in ((patch.second, 1.0), (patch.first, -1.0)):
            if part in moving:
                place = 6 * list(moving).index(part)
                row[:, place : place + 6] += sign * push
        rows.append(row)
    return np.vstack(rows) if rows else np.zeros((0, 6 * len(moving)))


def freedom(contacts: Sequence[Patch], moving: Sequence[int]) -> Freedom:
    """The best separating motion of some parts while the others stand still.

    Solves a linear programme: the sum of all separation rates as large as may be, none below
    zero, no component of motion above 1.
    """
    unknowns = 6 * len(moving)
    centre, reach = _frame(contacts)
    centred = [Patch(p.first, p.second, p.normal, p.corners - centre) for p in contacts]
    rates = separations(centred, moving, reach)
    rates = rates[np.abs(rates).max(axis=1) > RATE] if len(rates) else rates
    if not len(rates):
        return Freedom(tuple(moving), 0, unknowns, np.inf, np.zeros((len(moving), 6)))
    from scipy.optimize import linprog

    answer = linprog(-rates.sum(axis=0), A_ub=-rates, b_ub=np.zeros(len(rates)), bounds=(-1, 1))
    rank = int(np.linalg.matrix_rank(rates, tol=RATE))
    return Freedom(
        tuple(moving), rank, unknowns, float(-answer.fun), answer.x.reshape(len(moving), 6)
    )


def _frame(contacts: Sequence[Patch]) -> tuple[Array, float]:
    """Middle of all the contacts and their largest distance from it."""
    if not contacts:
        return np.zeros(3), 1.0
    corners = np.vstack([patch.corners for patch in contacts])
    centre = corners.mean(axis=0)
    return centre, float(np.linalg.norm(corners - centre, axis=1).max())
