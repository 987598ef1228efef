"""Will the posts go together, in which order, and if not, what would free them? Millimetres.

Three questions, each answered by looking, not from a rule:

1. What small motions do the contacts leave, turning included? (A linear programme, in
   `tablekit.solids.contact`.) Where they leave none the posts are locked, whatever one tries.
2. Is there a way apart by straight slides, one post at a time? (`tablekit.solids.taking_apart`,
   stops found exactly by `tablekit.solids.contact`.) Putting together is taking apart run backward.
3. If not: do they come apart when all move at once, and which further cut would free them?
   (`tablekit.solids.taking_apart`.)

The way found is then run through once more with the posts cut as true solids.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.shop import ShopStyle, shop_text, shop_text_up
from tablekit.solids.contact import Freedom, freedom, patches
from tablekit.solids.cutting import post_solid, replay, replay_together
from tablekit.solids.notched import NotchedPost, notched_posts
from tablekit.solids.taking_apart import (
    DEEPER,
    TOLERANCE,
    Move,
    Puzzle,
    Relief,
    find_relief,
    part_at_once,
    take_apart,
)

Array = NDArray[np.float64]
Vector = tuple[float, float, float]

GOES, LOCKED = "goes together", "locked"
_MILLIMETRES = ShopStyle()
# The first post meets nothing: it is set down.
SET_DOWN: Vector = (0.0, 0.0, -1.0)
# Shared wood that counts as rounding, as a share of the smallest post.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Slide:
    """One slide in putting together: post number, unit direction it moves in, distance, mm."""

    post: int
    direction: Vector
    distance: float


@dataclass(frozen=True)
class Route:
    """A way to put the posts together.

    order       post numbers as they come to the piece, the last to come last
    directions  for each of them the unit direction in which it first slides in
    steps       every slide, in turn; a post may shift after it, or another, has come
    """

    order: tuple[int, ...]
    directions: tuple[Vector, ...]
    steps: tuple[Slide, ...]

    def to_json(self) -> dict[str, Any]:
        """Plain lists and numbers."""
        return {
            "order": list(self.order),
            "directions": [list(way) for way in self.directions],
            "steps": [
                {"post": s.post, "direction": list(s.direction), "distance": s.distance}
                for s in self.steps
            ],
        }


@dataclass(frozen=True, eq=False)
class Assembly:
    """Whether and how the posts go together.

    verdict       "goes together": one post at a time, by straight slides; "locked": not so
    way           how, or None where they are locked
    small_motion  what the contacts leave when every post but the first may move
    alone         the same for each post on its own, the others standing
    all_at_once   where they are locked one by one, yet come together when all move at once: how far
                  each travels to its place, mm, by post; else None
    relief        where they are locked: the further cut that frees them, or None where none was
                  found
    relieved      how they go together after it
    style         how lengths are written in `words`
    shared        most wood that two posts shared when the ways were run through as solids, mm³
    """

    verdict: str
    way: Route | None
    small_motion: Freedom
    alone: tuple[Freedom, ...]
    all_at_once: tuple[Vector, ...] | None
    relief: Relief | None
    relieved: Route | None
    shared: float
    style: ShopStyle = _MILLIMETRES

    @property
    def order(self) -> tuple[int, ...]:
        """Post numbers in the order of putting together; none where they are locked."""
        return self.way.order if self.way else ()

    @property
    def directions(self) -> tuple[Vector, ...]:
        """Unit direction in which each of them slides in, the first being set down."""
        return self.way.directions if self.way else ()

    @property
    def immovable(self) -> bool:
        """Whether not even a small motion of any kind is open."""
        return self.small_motion.locked

    @property
    def words(self) -> str:
        """What a maker needs to hear, in a few sentences."""
        if self.way:
            last = self.order[-1]
            return (
                f"The posts go together in the order {_listed(self.order)}; post {last} slides in "
                f"last, along its notch. Try it dry before any glue."
            )
        said = ["The posts are locked: no post can be put in while the others stand in place."]
        if self.all_at_once:
            said.append(
                "They come together only if all are slid in at once, evenly, which takes a jig or "
                "helpers."
            )
        if self.relief and self.relieved:
            said.append(_relief_words(self.relief, self.relieved, self.style))
        return " ".join(said)

    def to_json(self) -> dict[str, Any]:
        """The `assembly` of a sheet's JSON: plain lists and numbers, mm, world frame, z up."""
        way = self.way or Route((), (), ())
        return {
            "verdict": self.verdict,
            **way.to_json(),
            "immovable": self.immovable,
            "all_at_once": [list(v) for v in self.all_at_once] if self.all_at_once else None,
            "relief": _relief_json(self.relief, self.relieved),
        }


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers)


def _relief_words(relief: Relief, way: Route, style: ShopStyle) -> str:
    post = relief.posts[relief.cut.post].number
    # Cut by less, the posts stay locked: rounded up to what can be marked.
    amount = _marked_up(relief.amount, style)
    block = " × ".join(shop_text(size, "mm", style) for size in relief.block)
    return (
        f"Cut notch {relief.cut.notch + 1} of post {post} {_cut_words(relief)} by "
        f"{amount} and they go together in the order {_listed(way.order)}; a loose block {block} "
        "fills the gap."
    )


def _marked_up(size: float, style: ShopStyle) -> str:
    # The search stops within a hair of the least that frees them; that hair asks for no more.
    return shop_text_up(size, style, hair=2 * TOLERANCE)


def _cut_words(relief: Relief) -> str:
    return DEEPER if relief.cut.way == DEEPER else f"longer towards the {relief.cut.way}"


def _relief_json(relief: Relief | None, way: Route | None) -> dict[str, Any] | None:
    if relief is None or way is None:
        return None
    names = ("length", "width", "depth")
    return {
        "post": relief.posts[relief.cut.post].number,
        "notch": relief.cut.notch + 1,
        "cut": _cut_words(relief),
        "amount": round(relief.amount, 3),
        "block": {name: round(size, 6) for name, size in zip(names, relief.block, strict=True)},
        "volume": round(relief.volume, 3),
        **way.to_json(),
    }


def assemble(source: Sequence[NotchedPost] | Any, style: ShopStyle | None = None) -> Assembly:
    """Whether, and how, three (or any number of) notched posts go together.

    source  notched posts in place, or what `notched_posts` makes them from
    style   how lengths are written; left out, that of a sheet, or millimetres

    Raises RangeError where two posts overlap as they stand, DesignError where manifold3d is
    missing, and AssertionError should solids and sweep ever disagree, which would be an error of
    the kit.
    """
    posts = tuple(source) if isinstance(source, Sequence) else notched_posts(source)
    contacts = patches(posts)
    puzzle = Puzzle(posts)
    moves = take_apart(puzzle)
    relief, at_once = None, None
    if moves is None:
        at_once = part_at_once(puzzle.slides, puzzle.bars, contacts)
        relief = find_relief(puzzle)
    return Assembly(
        verdict=LOCKED if moves is None else GOES,
        way=None if moves is None else _way(posts, moves),
        small_motion=freedom(contacts, range(1, len(posts))),
        alone=tuple(freedom(contacts, [k]) for k in range(len(posts))),
        all_at_once=None if at_once is None else tuple(_vector(-travel) for travel in at_once),
        relief=relief,
        relieved=None if relief is None else _way(relief.posts, relief.moves),
        shared=_witnessed(posts, moves, at_once, relief),
        style=style or getattr(source, "shop_style", None) or _MILLIMETRES,
    )


def _witnessed(
    posts: tuple[NotchedPost, ...],
    moves: list[Move] | None,
    at_once: Array | None,
    relief: Relief | None,
) -> float:
    """Run the ways found through as solids; the most wood two posts ever shared, mm³."""
    shared = [0.0]
    if moves is not None:
        shared.append(replay(posts, moves))
    if at_once is not None:
        shared.append(replay_together(posts, at_once))
    if relief is not None:
        shared.append(replay(relief.posts, relief.moves))
    least = min(float(post_solid(post).volume()) for post in posts)
    if max(shared) > ROUNDING * least:
        raise AssertionError(
            f"a slide found free shares {max(shared):.3g} mm³ of wood when run through as solids"
        )
    return max(shared)


def _way(posts: Sequence[NotchedPost], moves: Sequence[Move]) -> Route:
    """Taking apart run backward."""
    leaving = [move for move in moves if move.leaves]
    gone = {move.part for move in leaving}
    first = next(k for k in range(len(posts)) if k not in gone)
    coming = leaving[::-1]
    return Route(
        (posts[first].number, *(posts[move.part].number for move in coming)),
        (SET_DOWN, *(_vector(-move.direction) for move in coming)),
        tuple(
            Slide(posts[m.part].number, _vector(-m.direction), _distance(m)) for m in moves[::-1]
        ),
    )


def _distance(move: Move) -> float:
    """In mm. Past the others is past them, so a leaving slide is rounded up."""
    if move.leaves:
        return float(np.ceil(move.distance * 1e4 - 0.05) / 1e4)
    return round(float(move.distance), 6)


def _vector(array: Array) -> Vector:
    # Adding nothing turns -0.0 into 0.0, which reads better.
    x, y, z = (float(value) + 0.0 for value in np.round(array, 12))
    return (x, y, z)
