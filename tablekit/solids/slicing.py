"""Plane cuts through the posts as solids: what a section drawing shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.cutting import post_solid
from tablekit.solids.notched import NotchedPost

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Cut:
    """Where a plane meets one post: outlines in the plane, mm, each shape (n, 2), anticlockwise
    round wood and clockwise round a hole."""

    number: int
    outlines: tuple[Array, ...]


def level_cuts(posts: Sequence[NotchedPost], height: float) -> tuple[Cut, ...]:
    """Each post cut level at `height` mm over the floor, seen from above: x right, y up."""
    return tuple(Cut(post.number, _slice(post_solid(post), height)) for post in posts)


def cut_along(post: NotchedPost, across: Array, through: Array) -> Cut:
    """A post cut by the plane that holds its own direction and is square to `across`.

    across   unit normal of the plane, towards the viewer, square to the post, shape (3,)
    through  a point of the plane, mm, shape (3,); it is (0, 0) of the outlines

    Along the post, from foot to head, is to the right of the outlines.
    """
    right = post.along
    up = np.cross(across, right)
    frame = np.array([right, up, across])
    placed = np.column_stack([frame, -frame @ through])
    return Cut(post.number, _slice(post_solid(post).transform(placed), 0.0))


def _slice(shape: object, height: float) -> tuple[Array, ...]:
    found = shape.slice(height).to_polygons()  # type: ignore[attr-defined]
    return tuple(np.asarray(outline, dtype=float) for outline in found if len(outline) > 2)
