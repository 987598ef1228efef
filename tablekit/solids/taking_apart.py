"""Looking for a way to take parts apart, and for the least further cut that lets locked posts go
together. Millimetres.

Candidate directions are the face normals of the parts and the vectors square to two of them. Faces
in contact leave a part a cone of directions to slide in; the edges of that cone are square to two
faces, so if any straight slide is open at all, one of the candidates is.

Parts that come apart only when all of them move at once each move evenly along a straight line of
their own, so any two of them slide past one another along a straight line too, and the exact sweep
applies.

For the least cut, each notch of each post is lengthened towards the foot or towards the head, or
made deeper. Cutting away more never gets in a slide's way, so for each of them there is one amount
below which the posts stay locked and from which they go together; it is found by halving.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import RangeError
from tablekit.solids.body import NEAR, Body, crosses, from_planes, unlike
from tablekit.solids.contact import TOUCH, Movable, Patch, Slides, separations
from tablekit.solids.notched import ENDS, FLOOR, Notch, NotchedPost

# -- one straight slide after another --------------------------------------------------------------

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


# -- all at once -----------------------------------------------------------------------------------


def opening(contacts: Sequence[Patch], count: int) -> Array | None:
    """The gentlest velocities, shape (count, 3), that open every contact that can be opened.

    None where none can. No turning; a contact that opens parts by at least 1 for a unit of time,
    none closes, and the sum of squared velocities is the least there is. That motion is the only
    one of its kind, so alike parts move alike.
    """
    rates = separations(contacts, range(count), reach=1.0)
    straight = rates.reshape(len(rates), count, 6)[:, :, :3].reshape(len(rates), 3 * count)
    wanted = _can_open(straight)
    if not wanted.any():
        return None
    return _least_distance(straight, wanted.astype(float)).reshape(count, 3)


def _can_open(rates: Array) -> NDArray[np.bool_]:
    """Which contacts can part at all while none closes: a linear programme."""
    from scipy.optimize import linprog

    corners, unknowns = rates.shape
    # Each contact's opening is counted up to 1. Motions add and can be sped up, so every contact
    # that can open at all reaches 1 in the best answer.
    answer = linprog(
        np.concatenate([np.zeros(unknowns), -np.ones(corners)]),
        A_ub=np.hstack([-rates, np.eye(corners)]),
        b_ub=np.zeros(corners),
        bounds=[(None, None)] * unknowns + [(0, 1)] * corners,
    )
    return np.asarray(answer.x[unknowns:] > 0.5)


def _least_distance(rates: Array, least: Array) -> Array:
    """The shortest x with rates @ x >= least.

    Lawson and Hanson, Solving Least Squares Problems, chapter 23, from memory: the residual of one
    least-squares problem in non-negative unknowns points along the answer.
    """
    from scipy.optimize import nnls

    matrix = np.vstack([rates.T, least])
    target = np.concatenate([np.zeros(rates.shape[1]), [1.0]])
    residual = matrix @ nnls(matrix, target)[0] - target
    return np.asarray(-residual[:-1] / residual[-1])


def part_at_once(slides: Slides, bars: Slides, contacts: Sequence[Patch]) -> Array | None:
    """How far each part travels to be past all others when they move at once, shape (n, 3), mm.

    slides  the parts as they are cut
    bars    the same uncut, which says when they are past
    None where that motion opens nothing or is blocked further on.
    """
    velocities = opening(contacts, slides.count)
    if velocities is None:
        return None
    still = np.zeros_like(velocities)
    if np.isfinite(slides.stop(still, velocities, range(slides.count))):
        return None
    return velocities * bars.all_clear_after(velocities)


# -- the least further cut -------------------------------------------------------------------------

# Found to a hundredth of a hair, and never less than what frees the posts.
TOLERANCE = 1e-3
# Wood that must stay under the floor of a notch, as a share of the section.
LEAST_LEFT = 0.25
DEEPER = "deeper"
MOST_SLIDES = 3


@dataclass(frozen=True)
class ReliefCut:
    """A way to cut one notch further.

    post, notch  places of the post and of its notch, from 0
    way          "foot" or "head": lengthened towards that end; "deeper": the floor lowered
    most         the largest amount that is worth trying, mm
    """

    post: int
    notch: int
    way: str
    most: float


@dataclass(frozen=True, eq=False)
class Relief:
    """The least further cut that frees the posts, and how they then come apart.

    cut      which notch, and how
    amount   by how much, mm: along the post, or square to the floor
    block    the loose block that fills the gap: along the post, across it, and deep, mm
    volume   the wood cut away further, mm³
    posts    the posts with that notch recut
    moves    how they come apart
    """

    cut: ReliefCut
    amount: float
    block: tuple[float, float, float]
    volume: float
    posts: tuple[NotchedPost, ...]
    moves: tuple[Move, ...]


def find_relief(puzzle: Puzzle) -> Relief | None:
    """The further cut that takes away least wood, or None if none of those tried frees the posts.

    puzzle  posts (NotchedPost) that cannot be taken apart as they are

    A part that is let out by one slide is preferred to one that must be shifted first: given the
    least slack, posts can be worked apart by many small shifts in turn, which nobody wants to glue.
    """
    cuts = _cuts(puzzle.parts)
    widest = [_recut_puzzle(puzzle, cut, cut.most) for cut in cuts]
    for slides in range(1, MOST_SLIDES + 1):
        best: Relief | None = None
        for cut, freest in zip(cuts, widest, strict=True):
            if take_apart(freest, slides) is not None:
                best = _better(puzzle, cut, slides, best)
        if best is not None:
            return best
    return None


def _better(puzzle: Puzzle, cut: ReliefCut, slides: int, best: Relief | None) -> Relief | None:
    """The least cut of this kind if it takes away clearly less wood than the best so far."""
    most = cut.most
    if best is not None:
        most = _amount_for(puzzle, cut, 0.999 * best.volume)
        if most < TOLERANCE or take_apart(_recut_puzzle(puzzle, cut, most), slides) is None:
            return best
    return _relief(puzzle, cut, _least(puzzle, cut, most, slides), slides)


def _cuts(posts: Sequence[NotchedPost]) -> list[ReliefCut]:
    """What to try; on the first post alone where the others are the same turned a third round."""
    found = []
    for k, post in enumerate(posts[:1] if _alike(posts) else posts):
        for place, notch in enumerate(post.notches):
            for end in ENDS:
                found.append(ReliefCut(k, place, end, _room_along(post, notch, end)))
            found.append(ReliefCut(k, place, DEEPER, _room_below(post, notch)))
    return [cut for cut in found if cut.most > TOLERANCE]


def _alike(posts: Sequence[NotchedPost]) -> bool:
    """Whether each post is the first, turned by its share of a circle about the centre line."""
    first = posts[0]
    for k, post in enumerate(posts):
        turned = first.prism.turned(2 * np.pi * k / len(posts), post.number).vertices
        if turned.shape != post.prism.vertices.shape or len(post.notches) != len(first.notches):
            return False
        cosine, sine = np.cos(2 * np.pi * k / len(posts)), np.sin(2 * np.pi * k / len(posts))
        turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
        same = np.abs(turned - post.prism.vertices).max() < NEAR
        for own, theirs in zip(first.notches, post.notches, strict=True):
            same = same and np.abs(own.normals @ turn.T - theirs.normals).max() < NEAR / 1e3
            same = same and np.abs(own.offsets - theirs.offsets).max() < NEAR
        if not same:
            return False
    return True


def _room_along(post: NotchedPost, notch: Notch, end: str) -> float:
    """As much again as the notch is long, and no further than half way to the end."""
    slant = abs(notch.normals[1] @ post.along)
    length = (notch.offsets[1] + notch.offsets[2]) / slant
    wall = 1 + ENDS.index(end)
    reach = (post.prism.vertices @ notch.normals[wall]).max() - notch.offsets[wall]
    return float(min(length, reach / slant / 2))


def _room_below(post: NotchedPost, notch: Notch) -> float:
    heights = post.prism.vertices @ notch.normals[FLOOR]
    left = heights.max() - notch.offsets[FLOOR]
    return float(left - LEAST_LEFT * np.ptp(heights))


def recut(post: NotchedPost, cut: ReliefCut, amount: float) -> NotchedPost:
    """A post with one of its notches cut further by `amount`, mm."""
    notch = post.notches[cut.notch]
    if cut.way == DEEPER:
        return post.with_notch(cut.notch, notch.deepened(amount))
    return post.with_notch(cut.notch, notch.lengthened(cut.way, amount, post.along))


def _recut_puzzle(puzzle: Puzzle, cut: ReliefCut, amount: float) -> Puzzle:
    return puzzle.with_part(cut.post, recut(puzzle.parts[cut.post], cut, amount))


def _least(puzzle: Puzzle, cut: ReliefCut, most: float, slides: int) -> float:
    """The least amount that frees the posts, knowing that `most` does."""
    locked, free = 0.0, most
    while free - locked > TOLERANCE / 2:
        middle = (locked + free) / 2
        if take_apart(_recut_puzzle(puzzle, cut, middle), slides) is None:
            locked = middle
        else:
            free = middle
    # Rounded up to what can be written down; a little more wood cut away cannot lock them again.
    return min(float(np.ceil(free / TOLERANCE - 1e-6) * TOLERANCE), cut.most)


def _volume(post: NotchedPost) -> float:
    return sum(piece.volume for piece in post.pieces)


def _taken(post: NotchedPost, cut: ReliefCut, amount: float) -> float:
    return _volume(post) - _volume(recut(post, cut, amount))


def _amount_for(puzzle: Puzzle, cut: ReliefCut, volume: float) -> float:
    """The amount that takes away that much wood, up to the most worth trying, mm.

    The wood taken grows all but evenly with the amount; a step back keeps it from exceeding.
    """
    post = puzzle.parts[cut.post]
    amount = min(cut.most, cut.most * volume / max(_taken(post, cut, cut.most), 1e-9))
    for _ in range(8):
        taken = _taken(post, cut, amount)
        if taken <= volume:
            return amount
        amount *= volume / taken
    return 0.0


def _relief(puzzle: Puzzle, cut: ReliefCut, amount: float, slides: int) -> Relief:
    freed = _recut_puzzle(puzzle, cut, amount)
    moves = take_apart(freed, slides)
    if moves is None:
        raise AssertionError("a larger cut locked what a smaller one freed")
    post = puzzle.parts[cut.post]
    return Relief(
        cut, amount, _block(post, cut, amount), _taken(post, cut, amount), freed.parts, tuple(moves)
    )


def _block(post: NotchedPost, cut: ReliefCut, amount: float) -> tuple[float, float, float]:
    """Extents of what is cut away further: along the post, across the notch's opening, and deep."""
    removed = _removed(post, cut, amount)
    if removed is None:
        return (0.0, 0.0, 0.0)
    deep = post.notches[cut.notch].normals[FLOOR]
    across = np.cross(deep, post.along)
    extents = [np.ptp(removed.vertices @ way) for way in (post.along, across, deep)]
    # On a slant the block is a leaning prism; its size along the post is that of its edges.
    along = amount if cut.way != DEEPER else float(extents[0])
    return (along, float(extents[1]), float(extents[2]))


def _removed(post: NotchedPost, cut: ReliefCut, amount: float) -> Body | None:
    old = post.notches[cut.notch]
    new = recut(post, cut, amount).notches[cut.notch]
    row = FLOOR if cut.way == DEEPER else 1 + ENDS.index(cut.way)
    normals = np.vstack([post.prism.normals, new.normals, -old.normals[row]])
    offsets = np.concatenate([post.prism.offsets, new.offsets, -old.offsets[row : row + 1]])
    return from_planes("block", post.number, normals, offsets)
