"""The least further cut that lets locked posts go together. Lengths in millimetres.

Tried: each notch of each post lengthened towards the foot or towards the head, or made deeper.
Cutting away more never gets in a slide's way, so for each of them there is one amount below which
the posts stay locked and from which they go together; it is found by halving.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tablekit.solids.body import Body
from tablekit.solids.convex import NEAR, from_planes
from tablekit.solids.notched import ENDS, FLOOR, Notch, NotchedPost
from tablekit.solids.taking_apart import Move, Puzzle, take_apart

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
