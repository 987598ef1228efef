"""The crossed posts of a sheet where they stand, ready to be loaded. Millimetres, newtons."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import DesignError
from tablekit.relations.bases import WITH_NOTCHES, base_of
from tablekit.relations.quantities import STANDARD_GRAVITY
from tablekit.solids.body import Body
from tablekit.solids.carrying import Face, Forces, bearing_faces
from tablekit.solids.notched import NotchedPost
from tablekit.solids.piece import Solids

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CrossingInPlace:
    """The posts, the faces on which they bear, and where they are supported. Millimetres, N."""

    posts: tuple[NotchedPost, ...]
    faces: tuple[Face, ...]
    feet: Array
    heads: Array
    weights: Array
    middles: Array
    top_weight: float
    alike: bool

    def local(self, forces: Forces, number: int) -> Array:
        """What a face carries: square to it, in it along the guest and across, and along the grain
        of the host. Shape (4,), N."""
        face = self.faces[number]
        total = forces.pushes[forces.face == number].sum(axis=0)
        first = self.posts[face.guest].along
        second = np.cross(face.normal, first)
        host = self.posts[face.host].along
        square = total @ face.normal
        return np.array([square, total @ first, total @ second, square * (face.normal @ host)])


def crossing_in_place(source: Solids | Sheet) -> CrossingInPlace:
    """The posts of a sheet, or of its solids, ready to be loaded.

    Raises DesignError for a piece whose posts do not cross, and what `build` raises.
    """
    solids = Solids.of(source)
    sheet = solids.sheet
    if not base_of(sheet).crossed:
        raise DesignError(
            "this piece has no crossed posts, so there is no joint between them to load; set "
            f"{WITH_NOTCHES} for one that has"
        )
    model, posts = solids.model, solids.posts
    gravity = STANDARD_GRAVITY.value
    return CrossingInPlace(
        posts=posts,
        faces=bearing_faces(posts),
        # The floor pushes under the pad, if there is one.
        feet=model.foot_middles * np.array([1.0, 1.0, 0.0]),
        heads=model.head_middles,
        weights=np.full(3, (sheet.get("base_mass") or 0.0) * gravity / 3),
        middles=np.array([_middle(post) for post in posts]),
        top_weight=(sheet.get("top_mass") or 0.0) * gravity,
        alike=not sheet.get("notch_relief"),
    )


def _middle(post: NotchedPost) -> Array:
    """Centre of mass of a notched post, by pyramids from a point of each piece to its faces."""
    volume, moment = 0.0, np.zeros(3)
    for piece in post.pieces:
        apex = piece.vertices[0]
        for corners in _triangles(piece):
            own = float(np.linalg.det(corners - apex)) / 6
            volume += own
            moment += own * (corners.sum(axis=0) + apex) / 4
    return np.asarray(moment / volume)


def _triangles(piece: Body) -> Iterator[Array]:
    for loop in piece.faces:
        for k in range(1, len(loop) - 1):
            yield piece.vertices[[loop[0], loop[k], loop[k + 1]]]
