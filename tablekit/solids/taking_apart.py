"""Looking for a way to take parts apart, one straight slide after another. Millimetres.

Candidate directions are the face normals of the parts and the vectors square to two of them. Faces
in contact leave a part a cone of directions to slide in; the edges of that cone are square to two
faces, so if any straight slide is open at all, one of the candidates is.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import RangeError
from tablekit.solids.convex import crosses, unlike
from tablekit.solids.notched import NotchedPost
from tablekit.solids.sweep import TOUCH, Movable, Slides

Array = NDArray[np.float64]

# A part that can shift less than a saw's wander has not been moved.
LEAST_MOVE = 0.01
MOST_MOVES = 4
MOST_STATES = 300
# A stop is taken to be the flush position found beside it, which is free of rounding.
BESIDE = 1e-4


@dataclass(frozen=True, eq=False)
class Move:
    """One slide.

    part       place of the part that moves
    direction  unit, shape (3,)
    distance   mm; of a part that leaves, the slide after which its whole bar is past the others'
    leaves     whether the part can then be carried off the same way, however far
    """

    part: int
    direction: Array
    distance: float
    leaves: bool


class Whole:
    """A bar without its notches."""

    def __init__(self, bar: NotchedPost) -> None:
        self.pieces = (bar.prism,)


def candidates(parts: Sequence[Movable]) -> Array:
    """Directions worth trying, unit, shape (d, 3); each with its opposite."""
    normals = unlike(np.vstack([piece.normals for part in parts for piece in part.pieces]))
    ways = unlike(np.vstack([normals, crosses(normals, normals)]))
    return np.vstack([ways, -ways])


class Puzzle:
    """Parts in place, with what is needed to try slides quickly.

    Raises RangeError when two parts overlap as they stand.
    """

    def __init__(self, parts: Sequence[NotchedPost]) -> None:
        self.bars = Slides([Whole(part) for part in parts])
        self.ways = candidates(parts)
        self._fill(parts, Slides(parts))
        depth = self.slides.overlap(np.zeros((len(parts), 3)), range(len(parts)))
        if depth > 10 * TOUCH:
            raise RangeError(
                f"two parts overlap by {depth:.4g} mm as they stand; they must fit before it can "
                f"be asked how they go together"
            )

    def _fill(self, parts: Sequence[NotchedPost], slides: Slides) -> None:
        self.parts = tuple(parts)
        self.slides = slides
        self._planes = [_planes(part) for part in parts]

    def with_part(self, place: int, part: NotchedPost) -> Puzzle:
        """The same with one part cut otherwise from the same bar, along the same directions."""
        other = Puzzle.__new__(Puzzle)
        other.bars, other.ways = self.bars, self.ways
        parts = (*self.parts[:place], part, *self.parts[place + 1 :])
        other._fill(parts, self.slides.with_part(place, part))
        return other

    def stop(self, part: int, shifts: Array, way: Array, present: Sequence[int]) -> float:
        """How far one part slides before it catches on another."""
        velocities = np.zeros_like(shifts)
        velocities[part] = way
        return self.slides.stop(shifts, velocities, present)

    def open_ways(
        self, part: int, shifts: Array, present: Sequence[int]
    ) -> list[tuple[Array, float]]:
        """Directions one part can set out in, each with how far it goes."""
        free = self.slides.free(part, shifts, self.ways, present)
        return [(way, self.stop(part, shifts, way, present)) for way in self.ways[free]]

    def rests(
        self, part: int, shifts: Array, way: Array, stop: float, present: Sequence[int]
    ) -> list[float]:
        """Distances up to the stop at which a face of the part comes flush with another's."""
        found = [stop - BESIDE / 10]
        own_normals, own_offsets = self._planes[part]
        for other in present:
            if other == part:
                continue
            normals, offsets = self._planes[other]
            gap = shifts[other] - shifts[part]
            for sign in (1.0, -1.0):
                alike = np.abs(own_normals[:, None] - sign * normals[None]).max(axis=2) < 1e-9
                mine, theirs = np.nonzero(alike & (np.abs(own_normals @ way) > 1e-6)[:, None])
                distance = sign * offsets[theirs] - own_offsets[mine] + own_normals[mine] @ gap
                found += list(distance / (own_normals[mine] @ way))
        return _distinct(found, stop)


def _planes(part: Movable) -> tuple[Array, Array]:
    normals = np.vstack([piece.normals for piece in part.pieces])
    offsets = np.concatenate([piece.offsets for piece in part.pieces])
    rows = np.unique(np.round(np.column_stack([normals, offsets]), 9), axis=0)
    return rows[:, :3], rows[:, 3]


def _distinct(distances: Sequence[float], stop: float) -> list[float]:
    """Those that are a move and not past the stop, longest first, none twice."""
    kept: list[float] = []
    # The stop itself, a hair short, comes last so that a flush position beside it is preferred.
    for distance in [*sorted(distances[1:], reverse=True), distances[0]]:
        fresh = all(abs(distance - other) > BESIDE for other in kept)
        if fresh and LEAST_MOVE < distance < stop + BESIDE / 10:
            kept.append(float(distance))
    return kept


def take_apart(puzzle: Puzzle, most_moves: int = MOST_MOVES) -> list[Move] | None:
    """Slides that take the parts away one after another until one is left, or None.

    Where a part can leave it is let go at once: that only makes room for the others. Where none
    can, parts are shifted from one flush position to another, breadth first, until one can.

    most_moves  the most slides it may take to get one part out
    """
    present = list(range(len(puzzle.parts)))
    shifts = np.zeros((len(present), 3))
    moves: list[Move] = []
    while len(present) > 1:
        found = _next_to_leave(puzzle, shifts, present, most_moves)
        if found is None:
            return None
        shifts = shifts.copy()
        for move in found:
            shifts[move.part] += move.distance * move.direction
        moves += found
        present.remove(found[-1].part)
    return moves


def _next_to_leave(
    puzzle: Puzzle, shifts: Array, present: Sequence[int], most_moves: int
) -> list[Move] | None:
    """The shortest list of slides whose last takes a part away."""
    queue: deque[tuple[Array, list[Move]]] = deque([(shifts, [])])
    seen = {_key(shifts, present)}
    while queue:
        here, path = queue.popleft()
        open_ways = {part: puzzle.open_ways(part, here, present) for part in present}
        leaving = _leaving(puzzle, here, present, open_ways)
        if leaving is not None:
            return [*path, leaving]
        if len(path) + 1 >= most_moves:
            continue
        for move, there in _shifted(puzzle, here, present, open_ways):
            key = _key(there, present)
            if key not in seen and len(seen) < MOST_STATES:
                seen.add(key)
                queue.append((there, [*path, move]))
    return None


def _key(shifts: Array, present: Sequence[int]) -> bytes:
    apart = shifts[list(present)] - shifts[present[0]]
    return bytes((np.round(apart, 3) + 0.0).tobytes())


def _leaving(
    puzzle: Puzzle,
    shifts: Array,
    present: Sequence[int],
    open_ways: dict[int, list[tuple[Array, float]]],
) -> Move | None:
    """The last part in the list that can leave, by its shortest way out."""
    for part in reversed(present):
        out = [way for way, stop in open_ways[part] if np.isinf(stop)]
        if out:
            lengths = [puzzle.bars.clear_after(part, shifts, way, present) for way in out]
            # Ways of one length are told apart by rounding alone, so the first of them is taken.
            best = int(np.flatnonzero(np.array(lengths) < min(lengths) + BESIDE)[0])
            return Move(part, out[best], lengths[best], leaves=True)
    return None


def _shifted(
    puzzle: Puzzle,
    shifts: Array,
    present: Sequence[int],
    open_ways: dict[int, list[tuple[Array, float]]],
) -> list[tuple[Move, Array]]:
    """Every slide to a flush position, and where it leaves the parts."""
    found = []
    for part in reversed(present):
        for way, stop in open_ways[part]:
            if stop <= LEAST_MOVE:
                continue
            for distance in puzzle.rests(part, shifts, way, stop, present):
                there = shifts.copy()
                there[part] += distance * way
                found.append((Move(part, way, distance, leaves=False), there))
    return found
