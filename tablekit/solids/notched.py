"""Posts as they are cut: a straight bar less its notches. Lengths in millimetres.

Any list of notched posts will do for the checks of fit and assembly; two builders are given, for
the crossing with one notch to a post and for the one with two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import RangeError
from tablekit.relations.bases import base_of
from tablekit.solids.body import Body, any_inside, box, cut, from_planes
from tablekit.solids.model import PLUMB, TURNS, Model, build

Array = NDArray[np.float64]

ENDS = ("foot", "head")
# Rows of a notch's half-spaces.
FLOOR, FOOT_WALL, HEAD_WALL = 0, 1, 2


@dataclass(frozen=True, eq=False)
class Notch:
    """A prism cut out of a post: between two walls, above a floor, open on every other side.

    normals, offsets  the notch is where normals @ point <= offsets, shapes (3, 3) and (3,);
                      rows: floor, wall towards the foot, wall towards the head
    guest             number of the post that lies in it
    """

    normals: Array
    offsets: Array
    guest: int

    def lengthened(self, end: str, amount: float, along: Array) -> Notch:
        """The wall towards the "foot" or "head" moved back by `amount`, measured along the post."""
        return self._moved(1 + ENDS.index(end), amount * abs(self.normals[1] @ along))

    def deepened(self, amount: float) -> Notch:
        """The floor lowered by `amount`, square to itself."""
        return self._moved(FLOOR, amount)

    def _moved(self, row: int, amount: float) -> Notch:
        offsets = self.offsets.copy()
        offsets[row] += amount
        return replace(self, offsets=offsets)


@dataclass(frozen=True, eq=False)
class NotchedPost:
    """A post as it is cut.

    number   1, 2, 3 anticlockwise seen from above
    prism    the bar with its ends cut level, in place
    along    unit direction from foot to head, shape (3,)
    notches  what is cut out of it
    """

    number: int
    prism: Body
    along: Array
    notches: tuple[Notch, ...]

    def with_notch(self, place: int, notch: Notch) -> NotchedPost:
        """The same post with one of its notches cut otherwise."""
        notches = (*self.notches[:place], notch, *self.notches[place + 1 :])
        return replace(self, notches=notches)

    @cached_property
    def pieces(self) -> tuple[Body, ...]:
        """Convex bodies that lie side by side and together are the notched post."""
        whole = [self.prism.planes]
        for notch in self.notches:
            whole = [part for planes in whole for part in _less(planes, notch)]
        found = [from_planes("post", self.number, *planes) for planes in whole]
        return tuple(piece for piece in found if piece is not None)

    @property
    def middle(self) -> Array:
        """The middle of its corners, shape (3,), mm."""
        return np.asarray(self.prism.vertices.mean(axis=0))

    @property
    def rounds(self) -> tuple[Body, ...]:
        """None: its lines are the edges of its surface."""
        return ()

    @cached_property
    def covers(self) -> tuple[Body, ...]:
        """Convex bodies that overlap and together are the notched post."""
        whole = [self.prism.planes]
        for notch in self.notches:
            whole = [
                (
                    np.vstack([normals, -notch.normals[row]]),
                    np.append(offsets, -notch.offsets[row]),
                )
                for normals, offsets in whole
                for row in range(len(notch.offsets))
            ]
        found = [from_planes("post", self.number, *planes) for planes in whole]
        return tuple(body for body in found if body is not None)

    def cutter(self, notch: Notch) -> Body:
        """The notch as a closed body that stands well out of the post on its open sides."""
        low, high = self.prism.vertices.min(axis=0), self.prism.vertices.max(axis=0)
        spare = float((high - low).max())
        normals = np.vstack([notch.normals, np.eye(3), -np.eye(3)])
        offsets = np.concatenate([notch.offsets, high + spare, spare - low])
        found = from_planes("notch", self.number, normals, offsets)
        if found is None:
            raise RangeError(
                f"a notch of post {self.number} has no width: found its walls on or past one "
                f"another. Expected a foot wall nearer the foot than the head wall"
            )
        return found


Planes = tuple[Array, Array]


def _less(planes: Planes, notch: Notch) -> list[Planes]:
    """Half-spaces of the convex parts that a notch leaves of a convex part."""
    normals, offsets = planes
    inside = np.vstack([normals, notch.normals]), np.concatenate([offsets, notch.offsets])
    if not any_inside(*inside):
        return [planes]
    parts = []
    for row in range(3):
        # Beyond this plane of the notch, within those before it: no two parts overlap.
        parts.append(
            (
                np.vstack([normals, notch.normals[:row], -notch.normals[row]]),
                np.concatenate([offsets, notch.offsets[:row], -notch.offsets[row : row + 1]]),
            )
        )
    return [part for part in parts if any_inside(*part)]


def one_notch_posts(source: Model | Any) -> tuple[NotchedPost, ...]:
    """The three posts of a sheet, or of the model built from it: each lies in the one before.

    Raises what `tablekit.solids.model.build` raises.
    """
    model = source if isinstance(source, Model) else build(source)
    notches: list[list[Notch]] = [[] for _ in model.posts]
    for host, guest in model.joints:
        notches[host].append(_notch_for(model, host, guest))
    return tuple(
        NotchedPost(post.number, post, along, tuple(own))
        for post, along, own in zip(model.posts, model.along, notches, strict=True)
    )


def notched_posts(source: Model | Any) -> tuple[NotchedPost, ...]:
    """The three posts of a sheet, as its crossing notches them; of a model, one notch each.

    Raises what `one_notch_posts` and `two_notch_posts` raise."""
    if isinstance(source, Model) or base_of(source).notches_each == 1:
        return one_notch_posts(source)
    names = ("post_section", "post_length", "notch_position", "foot_flat_depth", "head_flat_depth")
    posts = two_notch_posts(*(source.number(name) for name in names))
    posts = _relieved(posts, source.number("notch_relief"))
    posts = tuple(_raised(post, source.number("pad_projection")) for post in posts)
    return _mirrored(posts) if base_of(source).mirrored else posts


def _relieved(posts: tuple[NotchedPost, ...], amount: float) -> tuple[NotchedPost, ...]:
    """The first post's notch that opens upward made longer towards the foot."""
    first, *others = posts
    place = int(first.notches[0].normals[FLOOR] @ PLUMB > 0)  # a floor's normal points into it
    longer = first.notches[place].lengthened("foot", amount, first.along)
    return (first.with_notch(place, longer), *others)


def _raised(post: NotchedPost, by: float) -> NotchedPost:
    """Stood on pads: the post and its notches moved up."""
    lift = by * PLUMB
    bar = post.prism
    prism = replace(bar, vertices=bar.vertices + lift, offsets=bar.offsets + bar.normals @ lift)
    notches = tuple(
        replace(notch, offsets=notch.offsets + notch.normals @ lift) for notch in post.notches
    )
    return replace(post, prism=prism, notches=notches)


def _mirrored(posts: tuple[NotchedPost, ...]) -> tuple[NotchedPost, ...]:
    """The mirror image, numbered anticlockwise again."""
    across = np.array([1.0, -1.0, 1.0])
    renumbered = {1: 1, 2: 3, 3: 2}
    mirrored = [
        NotchedPost(
            renumbered[post.number],
            post.prism.mirrored(renumbered[post.number]),
            post.along * across,
            tuple(
                Notch(notch.normals * across, notch.offsets, renumbered[notch.guest])
                for notch in post.notches
            ),
        )
        for post in posts
    ]
    return tuple(sorted(mirrored, key=lambda post: post.number))


def _notch_for(model: Model, host: int, guest: int) -> Notch:
    """Its walls and floor are the guest's own sides and bearing face."""
    rise = (model.seat_centres[guest] - model.notch_centres[host]) @ model.bearing[guest]
    opens = np.sign(rise) * model.bearing[guest]
    side = model.side[guest]
    headward = np.sign(side @ model.along[host]) * side
    corners = model.posts[guest].vertices
    normals = np.array([-opens, -headward, headward])
    return Notch(normals, (corners @ normals.T).max(axis=0), model.posts[guest].number)


def two_notch_posts(
    section: float,
    length: float,
    notch_position: float | None = None,
    foot_flat_depth: float = 0.0,
    head_flat_depth: float = 0.0,
) -> tuple[NotchedPost, ...]:
    """Three posts square to one another whose axes meet, each notched on two adjacent faces.

    section, length   side of the post and its length before the flats are cut, mm
    notch_position    foot end to the middle of the notches along the post, mm; mid-length if None
    *_flat_depth      how much is cut off the sharp corner at that end, plumb, mm

    Each notch is as long as the section and half as deep. The feet's flats stand at z = 0.
    Raises RangeError when a notch or a flat does not fit into the post.
    """
    position = length / 2 if notch_position is None else notch_position
    _check_room(section, length, position, (foot_flat_depth, head_flat_depth))
    level = np.column_stack([np.cos(TURNS), np.sin(TURNS), np.zeros(3)])
    along = np.sqrt(2 / 3) * level + np.sqrt(1 / 3) * PLUMB
    foot_corner = (position + section) / np.sqrt(3)
    centre = (foot_corner - foot_flat_depth) * PLUMB
    top = centre[2] + (length - position + section) / np.sqrt(3) - head_flat_depth
    posts = []
    for k in range(3):
        ahead, behind = along[(k + 1) % 3], along[(k + 2) % 3]
        ends = centre - position * along[k], centre + (length - position) * along[k]
        bar = box("post", k + 1, *ends, (section / 2 * ahead, section / 2 * behind))
        bar = cut(cut(bar, -PLUMB, 0.0), PLUMB, top) if foot_flat_depth else cut(bar, PLUMB, top)
        # What is left at the middle lies towards the head of the next post and the foot of the one
        # after; so the six cores share the crossing's eight corners and leave two of them empty.
        notches = (
            _square_notch(-ahead, along[k], centre, section, (k + 2) % 3 + 1),
            _square_notch(behind, along[k], centre, section, (k + 1) % 3 + 1),
        )
        posts.append(NotchedPost(k + 1, bar, along[k], notches))
    return tuple(posts)


def _square_notch(opens: Array, along: Array, centre: Array, section: float, guest: int) -> Notch:
    normals = np.array([-opens, -along, along])
    return Notch(normals, normals @ centre + section / 2 * np.array([0.0, 1.0, 1.0]), guest)


def _check_room(section: float, length: float, position: float, depths: Sequence[float]) -> None:
    if not 0 < section < length:
        raise RangeError(
            f"post_section {section:g} mm and post_length {length:g} mm make no post. "
            f"Expected a section above 0 and a post longer than that"
        )
    for end, arm, depth in zip(ENDS, (position, length - position), depths, strict=True):
        if not 0 <= depth <= section / np.sqrt(3):
            raise RangeError(
                f"{end}_flat_depth {depth:g} mm runs off the end of the post. "
                f"Expected 0 to {section / np.sqrt(3):.1f} mm"
            )
        least = section / 2 + depth * np.sqrt(3)
        if arm <= least:
            raise RangeError(
                f"the notches run into the {end}: found {arm:g} mm from their middle to that end. "
                f"Expected more than {least:.1f} mm; move notch_position"
            )
