"""The parts drawn away from one another, so that the notches can be seen. Millimetres.

Nothing here is decided anew: the order and the slides are those found by
`tablekit.solids.assembly`, run backward. The top comes off first and the pads drop from the feet;
then the last post slides out, then the one before it. Where the posts are locked no such way
exists: then each is drawn straight away from the centre line, which is said in words, because no
hand could do it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import RangeError
from tablekit.solids.assembly import Assembly
from tablekit.solids.body import Body
from tablekit.solids.cutting import Surface
from tablekit.solids.model import PLUMB, Model
from tablekit.solids.notched import NotchedPost

Array = NDArray[np.float64]

# Clear space between parts pulled apart, as a share of a post's section.
SPACE = 1.5
# The top is lifted so far that, seen from this angle above level, it hides no post: a wide one
# would cut off the heads in the picture.
SEEN_FROM_ABOVE = float(np.radians(24.0))
# A post's number stands so far from its middle towards its foot, as a share of its length: feet are
# far apart, and no top is in front of them.
MARK_AT = 0.43
STRAIGHT_APART = (
    "The picture pulls them straight away from the centre line, through one another's wood; "
    "no hand can do that."
)


class PulledBar(Protocol):
    """What is read of a post, a leg or a stretcher."""

    @property
    def covers(self) -> tuple[Body, ...]:
        """Convex bodies that overlap and together are the part."""

    @property
    def rounds(self) -> tuple[Body, ...]:
        """Round bodies whose outlines are its lines; none where those are the edges of its
        surface."""


class PulledPost(PulledBar, Protocol):
    """What is read besides of a post, or of a leg."""

    @property
    def number(self) -> int:
        """1, 2, 3 … anticlockwise seen from above."""

    @property
    def along(self) -> Array:
        """Unit direction from foot to head, shape (3,)."""

    @property
    def middle(self) -> Array:
        """About half way along it, shape (3,), mm."""


@dataclass(frozen=True, eq=False)
class Pulling:
    """Parts in place and how each is pulled away.

    parts   posts or legs, stretchers, pads and top as closed surfaces in place, n of them
    posts   the same posts as they are cut
    bodies  the pads and the top as convex bodies, in the order of `parts`
    turns   what moves in each turn and how far, mm, shape (t, n, 3); one turn follows another
    marks   where each post's number stands while it is in place, mm, shape (posts, 3)
    words   whether the posts go together, and what is shown where they do not
    locked  whether the posts are shown pulled apart in a way no hand could do
    mouths  the mouths of the sockets, closed lines on the underside of the top in place, mm, shape
            (legs, m, 3); none of a piece on posts
    stretchers  those between legs, with their tenons
    """

    parts: tuple[Surface, ...]
    posts: Sequence[PulledPost]
    bodies: tuple[Body, ...]
    turns: Array
    marks: Array
    words: str
    locked: bool
    mouths: Array = field(default_factory=lambda: np.zeros((0, 2, 3)))
    stretchers: Sequence[PulledBar] = ()

    @property
    def bars(self) -> tuple[PulledBar, ...]:
        """Posts or legs, then stretchers: the first of the parts."""
        return (*self.posts, *self.stretchers)


class PulledApart(Protocol):
    """What is pulled apart: a sheet and its solids, as `tablekit.solids.piece.Solids` has them."""

    @property
    def sheet(self) -> Any:
        """What was solved."""

    @property
    def model(self) -> Model:
        """The piece with its posts as whole bars."""

    @property
    def posts(self) -> tuple[NotchedPost, ...]:
        """The posts as they are notched."""

    @property
    def surfaces(self) -> tuple[Surface, ...]:
        """Posts, pads and top."""

    @property
    def assembly(self) -> Assembly:
        """Whether and how the posts go together."""


def pulling(source: PulledApart) -> Pulling:
    """How the parts of a piece are pulled apart.

    Raises what `tablekit.solids.cutting.surfaces_of` and `tablekit.solids.assembly.assemble`
    raise.
    """
    sheet = source.sheet
    model, posts, answer = source.model, source.posts, source.assembly
    space = SPACE * float(sheet.number("post_section"))
    locked = answer.way is None
    slides = _straight_apart(posts, space) if locked else _slid_out(posts, answer, space)
    bodies = model.pads_and_top
    return Pulling(
        parts=source.surfaces,
        posts=posts,
        bodies=bodies,
        turns=_with_the_rest(posts, bodies, slides, space),
        marks=np.array([_mark(post) for post in posts]),
        words=f"{answer.words} {STRAIGHT_APART}" if locked else answer.words,
        locked=locked,
    )


def pulled_apart(turns: Array, share: float) -> Array:
    """How far each part stands from its place, mm, shape (n, 3).

    turns  travels of each turn, mm, shape (t, n, 3); each takes an equal part of the whole
    share  0 in place, 1 wholly apart

    Raises RangeError for a share outside 0…1.
    """
    if not 0 <= share <= 1:
        raise RangeError(f"a share of {share:g} is not between 0, in place, and 1, wholly apart")
    done = np.clip(share * len(turns) - np.arange(len(turns)), 0.0, 1.0)
    return np.asarray(np.einsum("t,tni->ni", done, turns))


def placing(offset: Array) -> NDArray[np.float32]:
    """The 4 × 4 matrix that moves a part by an offset, shape (3,), mm."""
    matrix = np.eye(4, dtype=np.float32)
    matrix[:3, 3] = offset
    return matrix


def moved(body: Body, offset: Array) -> Body:
    """A convex body moved by an offset, shape (3,), mm."""
    return replace(
        body, vertices=body.vertices + offset, offsets=body.offsets + body.normals @ offset
    )


def _mark(post: NotchedPost) -> Array:
    heights = post.prism.vertices @ post.along
    return np.asarray(post.middle - MARK_AT * float(np.ptp(heights)) * post.along)


def _slid_out(posts: tuple[NotchedPost, ...], answer: Assembly, space: float) -> Array:
    """The slides of putting together run backward, shape (t, posts, 3)."""
    assert answer.way is not None
    steps = answer.way.steps
    place = {post.number: k for k, post in enumerate(posts)}
    turns = np.zeros((len(steps), len(posts), 3))
    for turn, step in zip(turns[::-1], steps, strict=True):
        turn[place[step.post]] = -step.distance * np.array(step.direction)
    # What comes first to its place leaves last: it has room to go on.
    for number, direction in zip(answer.order[1:], answer.directions[1:], strict=True):
        first = next(k for k, step in enumerate(steps) if step.post == number)
        turns[len(steps) - 1 - first, place[number]] -= space * np.array(direction)
    return turns


def _straight_apart(posts: tuple[NotchedPost, ...], space: float) -> Array:
    """Every post level and square to its lean, away from the centre line, shape (1, posts, 3).

    So far that two axes are a post's width across corners apart, and the space more.
    """
    away = np.array([_away(post) for post in posts])
    across = max(_across_corners(post) for post in posts)
    rates = []
    for i, j in combinations(range(len(posts)), 2):
        square = np.cross(posts[i].along, posts[j].along)
        rates.append(abs((away[i] - away[j]) @ square) / np.linalg.norm(square))
    return np.asarray(away[None] * (across + space) / min(rates))


def _away(post: NotchedPost) -> Array:
    sideways = np.cross(PLUMB, post.along)
    sideways /= np.linalg.norm(sideways)
    side = float(post.prism.vertices.mean(axis=0) @ sideways)
    # Posts whose axes meet have no side of their own; all turn the same way, so they part too.
    return np.asarray(-sideways if side < -1e-6 else sideways)


def _across_corners(post: NotchedPost) -> float:
    """Greatest width of the bar seen along itself."""
    flat = post.prism.vertices - np.outer(post.prism.vertices @ post.along, post.along)
    return float(np.linalg.norm(flat[:, None] - flat[None], axis=2).max())


def _clear_of_view(posts: tuple[NotchedPost, ...], top: Body) -> float:
    """How much higher the near rim of the top has to be than its far side looks over the posts."""
    rim = float(np.linalg.norm(top.vertices[:, :2], axis=1).max())
    far = max(float(np.linalg.norm(post.prism.vertices[:, :2], axis=1).max()) for post in posts)
    return (rim + far) * float(np.tan(SEEN_FROM_ABOVE))


def _with_the_rest(
    posts: tuple[NotchedPost, ...], bodies: tuple[Body, ...], slides: Array, space: float
) -> Array:
    """A first turn for the top and the pads, which then follow their posts; shape (t, n, 3)."""
    count = len(posts)
    place = {post.number: k for k, post in enumerate(posts)}
    turns = np.zeros((1 + len(slides), count + len(bodies), 3))
    turns[1:, :count] = slides
    reached = np.cumsum(slides[:, :, 2], axis=0).max(axis=0, initial=0.0)
    for k, body in enumerate(bodies, count):
        if body.name == "top":
            turns[0, k] = (float(reached.max()) + space + _clear_of_view(posts, body)) * PLUMB
        else:
            turns[0, k] = -space * PLUMB
            turns[1:, k] = slides[:, place[body.number]]
    return turns
