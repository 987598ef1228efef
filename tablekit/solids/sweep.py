"""How far parts slide before they catch: exact for straight slides of parts made of convex pieces.

Two convex pieces overlap just while they overlap as seen along every one of finitely many
directions: their face normals and the vectors square to an edge of each (the faces of the
Minkowski difference of two convex bodies are of no other kind). Seen along one direction the
overlap changes evenly with the distance slid, so each direction says "from here on" or "up to
here", and the pieces overlap between the latest beginning and the earliest end. That interval
is found in closed form. Nothing is sampled along the way, so nothing can be missed between steps.

Parts that slide at once, each evenly along its own line, slide evenly past one another, so the same
holds for them. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import Body
from tablekit.solids.convex import crosses, unlike

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
