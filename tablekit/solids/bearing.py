"""The faces on which notched posts bear on one another, and spots spread over them. Millimetres.

The post that lies in a notch is itself cut away for the next one, so it does not fill the notch
that it lies in: with one notch to a post there is an empty corner where all three meet, and one
wall of each notch, and its floor, bear on part of their width only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import Body
from tablekit.solids.contact import Patch, patches
from tablekit.solids.convex import NEAR
from tablekit.solids.notched import FLOOR, FOOT_WALL, HEAD_WALL, NotchedPost

Array = NDArray[np.float64]

NAMES = {FLOOR: "floor", FOOT_WALL: "foot wall", HEAD_WALL: "head wall"}


@dataclass(frozen=True, eq=False)
class Face:
    """A flat face that two posts share.

    host, guest  places of the posts: the one whose notch it is, and the one that lies in it
    what         "floor", "foot wall" or "head wall" of the host's notch
    normal       unit, out of the host into the guest, shape (3,)
    corners      outermost corners, in order round the face, shape (k, 3)
    pieces       convex pieces that make it up
    """

    host: int
    guest: int
    what: str
    normal: Array
    corners: Array
    pieces: tuple[Array, ...]

    @property
    def area(self) -> float:
        """Area of what really touches, mm²."""
        return sum(Patch(0, 1, self.normal, piece).area for piece in self.pieces)


@dataclass(frozen=True, eq=False)
class Cells:
    """Spots of faces: points, shape (n, 3), the face of each, (n,), and its area, (n,), mm²."""

    points: Array
    face: NDArray[np.int64]
    areas: Array


@dataclass(frozen=True)
class _Bar:
    """A post as if it were not notched."""

    pieces: tuple[Body, ...]


def bearing_faces(posts: Sequence[NotchedPost], *, whole: bool = False) -> tuple[Face, ...]:
    """Every face on which two posts bear on one another.

    whole   take each notch to be filled by its guest, as if no guest were notched itself: larger
            faces than there are, to compare with
    """
    found: list[Face] = []
    for host, post in enumerate(posts):
        for notch in post.notches:
            guest = next(k for k, other in enumerate(posts) if other.number == notch.guest)
            other = _Bar((posts[guest].prism,)) if whole else posts[guest]
            touching = [replace(p, first=host, second=guest) for p in patches([post, other])]
            for row, name in NAMES.items():
                # A notch's normals point out of it: into its wood.
                own = [p for p in touching if _on(p, -notch.normals[row], -notch.offsets[row])]
                if own:
                    found.append(_face(own, name))
    return _once(found)


def _on(patch: Patch, normal: Array, offset: float) -> bool:
    facing = np.abs(patch.normal - normal).max() < 1e-6
    return bool(facing and np.abs(patch.corners @ normal - offset).max() < 1e3 * NEAR)


def _face(own: Sequence[Patch], name: str) -> Face:
    one = own[0]
    pieces = tuple(_tidy(patch.corners) for patch in own)
    outline = _outline(np.vstack(pieces), one.normal)
    return Face(one.first, one.second, name, one.normal, outline, pieces)


def _once(faces: Sequence[Face]) -> tuple[Face, ...]:
    """Where two notches meet, the wall of one can be the floor of the other: kept once, as the
    floor."""
    kept: list[Face] = []
    for face in sorted(faces, key=lambda face: face.what != "floor"):
        if not any(_same(face, other) for other in kept):
            kept.append(face)
    return tuple(kept)


def _same(one: Face, other: Face) -> bool:
    if {one.host, one.guest} != {other.host, other.guest}:
        return False
    level = abs(one.normal @ other.normal) > 1 - 1e-9
    apart = (one.corners[0] - other.corners[0]) @ one.normal
    return bool(level and abs(apart) < 1e3 * NEAR)


def _tidy(polygon: Array) -> Array:
    """A convex polygon without corners that lie on its sides."""
    before, after = np.roll(polygon, 1, axis=0), np.roll(polygon, -1, axis=0)
    turn = np.linalg.norm(np.cross(polygon - before, after - polygon), axis=1)
    scale = np.linalg.norm(after - before, axis=1)
    return np.asarray(polygon[turn > 1e3 * NEAR * np.maximum(scale, 1.0)])


def _outline(points: Array, normal: Array) -> Array:
    """The outermost of points in a plane, anticlockwise about the normal.

    Andrew's monotone chain: sorted along one direction, then walked there and back, always turning
    left.
    """
    first = np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())])
    first = first / np.linalg.norm(first)
    flat = np.column_stack([points @ first, points @ np.cross(normal, first)])
    order = np.lexsort(np.round(flat, 6).T[::-1])
    chain = [*_left_turns(flat, order), *_left_turns(flat, order[::-1])]
    return np.asarray(points[chain])


def _left_turns(flat: Array, order: Sequence[int] | NDArray[np.int64]) -> list[int]:
    kept: list[int] = []
    for k in order:
        while len(kept) > 1:
            (ax, ay), (bx, by) = flat[kept[-1]] - flat[kept[-2]], flat[k] - flat[kept[-1]]
            if ax * by - ay * bx > 1e3 * NEAR:
                break
            kept.pop()
        if not kept or np.abs(flat[k] - flat[kept[-1]]).max() > 1e3 * NEAR:
            kept.append(int(k))
    return kept[:-1]


def corners_of(faces: Sequence[Face]) -> Cells:
    """The corners of the faces. Pushes at them can make any pressure there is on the faces."""
    counts = [len(face.corners) for face in faces]
    areas = [np.full(n, face.area / n) for n, face in zip(counts, faces, strict=True)]
    return Cells(
        np.vstack([face.corners for face in faces]),
        np.repeat(np.arange(len(faces)), counts),
        np.concatenate(areas),
    )


def cells(faces: Sequence[Face], halvings: int = 1) -> Cells:
    """Middles of small triangles that cover the faces, and their areas.

    Each piece of a face is cut into triangles about its middle, and each of those into four,
    `halvings` times.
    """
    points, owner, areas = [], [], []
    for number, face in enumerate(faces):
        for piece in face.pieces:
            triangles = _about_middle(piece)
            for _ in range(halvings):
                triangles = _quartered(triangles)
            points.append(triangles.mean(axis=1))
            spokes = triangles[:, 1:] - triangles[:, :1]
            areas.append(np.linalg.norm(np.cross(spokes[:, 0], spokes[:, 1]), axis=1) / 2)
            owner.append(np.full(len(triangles), number))
    return Cells(np.vstack(points), np.concatenate(owner), np.concatenate(areas))


def _about_middle(polygon: Array) -> Array:
    """Triangles from the middle of a polygon to each side, shape (k, 3, 3)."""
    middle = np.broadcast_to(polygon.mean(axis=0), polygon.shape)
    return np.stack([middle, polygon, np.roll(polygon, -1, axis=0)], axis=1)


def _quartered(triangles: Array) -> Array:
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    four = ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))
    return np.concatenate([np.stack(corners, axis=1) for corners in four])
