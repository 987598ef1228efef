"""Convex bodies: corners, flat faces and the half-spaces they lie in. Lengths in millimetres.

A notched post is not convex, but a few convex pieces laid side by side make it up. Contact and
collision of convex pieces can be settled exactly, from finitely many directions; that is why
the assembly check works on pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Loop = tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Body:
    """A convex solid.

    name, number  "post" 1…3, "pad" 1…3, "top" 1
    vertices      corners, shape (n, 3)
    faces         corner numbers of each face, running anticlockwise seen from outside
    normals       outward unit normal of each face, shape (f, 3)
    offsets       the solid is where normals @ point <= offsets, shape (f,)
    edges         the two corners of each edge, shape (m, 2)
    edge_faces    the two faces that meet there, shape (m, 2)
    smooth        True where those two faces stand for one curved surface, shape (m,)
    """

    name: str
    number: int
    vertices: Array
    faces: tuple[Loop, ...]
    normals: Array
    offsets: Array
    edges: NDArray[np.int64]
    edge_faces: NDArray[np.int64]
    smooth: NDArray[np.bool_]

    @property
    def planes(self) -> tuple[Array, Array]:
        """Outward normals, shape (f, 3), and offsets, shape (f,)."""
        return self.normals, self.offsets

    @property
    def volume(self) -> float:
        """Volume in mm³, by pyramids from the first corner to every face."""
        apex = self.vertices[0]
        total = 0.0
        for loop, normal, offset in zip(self.faces, self.normals, self.offsets, strict=True):
            total += _area(self.vertices[list(loop)], normal) * (offset - normal @ apex) / 3
        return float(total)

    def turned(self, angle: float, number: int) -> Body:
        """The same body turned about the plumb centre line, angle in radians."""
        cos, sin = np.cos(angle), np.sin(angle)
        turn = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
        return replace(
            self, number=number, vertices=self.vertices @ turn.T, normals=self.normals @ turn.T
        )

    def mirrored(self, number: int) -> Body:
        """The same body seen in a mirror that stands along the x axis."""
        across = np.array([1.0, -1.0, 1.0])
        return body_like(self, number, self.vertices * across, [loop[::-1] for loop in self.faces])


def cross(first: Array, second: Array) -> Array:
    """The vector products of vectors, shape (..., 3), as numpy's own, which is made for more shapes
    and takes several times as long over the few vectors of a body."""
    a, b, c = first[..., 0], first[..., 1], first[..., 2]
    d, e, f = second[..., 0], second[..., 1], second[..., 2]
    found = np.empty(np.broadcast_shapes(first.shape, second.shape))
    found[..., 0] = b * f - c * e
    found[..., 1] = c * d - a * f
    found[..., 2] = a * e - b * d
    return found


def body_like(shape: Body, number: int, vertices: Array, faces: Sequence[Loop]) -> Body:
    """A body of another shape's name and curved edges, whose edges run in the same order."""
    fresh = body(shape.name, number, vertices, faces)
    pairs = zip(shape.edges.tolist(), shape.smooth, strict=True)
    rounded = {frozenset(pair) for pair, soft in pairs if soft}
    smooth = np.array([frozenset(pair) in rounded for pair in fresh.edges.tolist()], dtype=bool)
    return replace(fresh, smooth=smooth)


def _area(corners: Array, normal: Array) -> float:
    spokes = corners[1:] - corners[0]
    return float(cross(spokes[:-1], spokes[1:]).sum(axis=0) @ normal) / 2


def _edges(faces: Sequence[Loop]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Edges of a closed surface: their ends, shape (m, 2), and their faces, shape (m, 2)."""
    owner = {
        (a, b): number
        for number, loop in enumerate(faces)
        for a, b in zip(loop, loop[1:] + loop[:1], strict=True)
    }
    pairs = [(a, b) for a, b in owner if a < b]
    sides = [(owner[a, b], owner[b, a]) for a, b in pairs]
    return np.array(pairs), np.array(sides)


def body(name: str, number: int, vertices: Array, faces: Sequence[Loop]) -> Body:
    """A convex body from its corners and faces. Raises KeyError when the surface is not closed."""
    normals = np.array([_normal(vertices, loop) for loop in faces])
    offsets = np.array(
        [n @ vertices[list(loop)].mean(axis=0) for n, loop in zip(normals, faces, strict=True)]
    )
    return _joined(name, number, vertices, faces, (normals, offsets))


def _joined(
    name: str, number: int, vertices: Array, faces: Sequence[Loop], planes: tuple[Array, Array]
) -> Body:
    normals, offsets = planes
    edges, sides = _edges(faces)
    smooth = np.zeros(len(edges), dtype=bool)
    return Body(name, number, vertices, tuple(faces), normals, offsets, edges, sides, smooth)


def _normal(vertices: Array, loop: Loop) -> Array:
    spokes = vertices[list(loop)][1:] - vertices[loop[0]]
    total = cross(spokes[:-1], spokes[1:]).sum(axis=0)
    return np.asarray(total / np.linalg.norm(total))


def box(name: str, number: int, low_end: Array, high_end: Array, half: tuple[Array, Array]) -> Body:
    """A square bar from the middle of one end to the middle of the other.

    half   two vectors square to the bar, from its axis to the middle of a face; with the bar's
           direction they make a right-handed set.
    """
    first, second = half
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    vertices = np.array(
        [end + a * first + b * second for end in (low_end, high_end) for a, b in signs]
    )
    walls = [(k, (k + 1) % 4, 4 + (k + 1) % 4, 4 + k) for k in range(4)]
    return body(name, number, vertices, [(3, 2, 1, 0), (4, 5, 6, 7), *walls])


def cut(solid: Body, normal: Array, offset: float) -> Body:
    """The part of a body where normal @ point <= offset, normal of unit length.

    Raises ValueError when nothing is left. A plane that misses the body gives it back unchanged.
    """
    above = solid.vertices @ normal - offset
    if above.max() <= 0:
        return solid
    if above.min() >= 0:
        raise ValueError(f"the cut leaves nothing of {solid.name} {solid.number}")
    corners = list(solid.vertices)
    fresh: dict[tuple[int, int], int] = {}
    trimmed = [_trimmed(loop, above, corners, fresh) for loop in solid.faces]
    kept = [k for k, loop in enumerate(trimmed) if len(loop) > 2]
    loops = [trimmed[k] for k in kept]
    loops.append(_cap(np.array(corners), sorted(fresh.values()), normal))
    used = sorted({corner for loop in loops for corner in loop})
    place = {corner: k for k, corner in enumerate(used)}
    faces = [tuple(place[corner] for corner in loop) for loop in loops]
    # What is left of a face lies in the plane that it lay in.
    planes = np.vstack([solid.normals[kept], normal]), np.append(solid.offsets[kept], offset)
    return _joined(solid.name, solid.number, np.array(corners)[used], faces, planes)


def _trimmed(
    loop: Loop, above: Array, corners: list[Array], fresh: dict[tuple[int, int], int]
) -> Loop:
    """One face less what is above the plane; new corners are shared through `fresh`."""
    kept: list[int] = []
    for a, b in zip(loop, loop[1:] + loop[:1], strict=True):
        if above[a] <= 0:
            kept.append(a)
        if (above[a] > 0) != (above[b] > 0):
            key = (min(a, b), max(a, b))
            if key not in fresh:
                share = above[key[0]] / (above[key[0]] - above[key[1]])
                corners.append(corners[key[0]] + share * (corners[key[1]] - corners[key[0]]))
                fresh[key] = len(corners) - 1
            kept.append(fresh[key])
    return tuple(kept)


def _cap(corners: Array, ring: list[int], normal: Array) -> Loop:
    """The new face: its corners sorted by direction from their middle."""
    arms = corners[ring] - corners[ring].mean(axis=0)
    side = cross(normal, arms[0])
    order = np.argsort(np.arctan2(arms @ side, arms @ arms[0] * np.linalg.norm(normal)))
    return tuple(ring[k] for k in order)


@lru_cache(maxsize=8)
def _unit_disc(sides: int) -> Body:
    """A prism round the plumb axis, of unit circumscribed radius, from z = 0 to z = 1."""
    angles = 2 * np.pi * np.arange(sides) / sides
    ring = np.column_stack([np.cos(angles), np.sin(angles), np.zeros(sides)])
    vertices = np.vstack([ring, ring + np.array([0.0, 0.0, 1.0])])
    rim = [(k, (k + 1) % sides, sides + (k + 1) % sides, sides + k) for k in range(sides)]
    ends = [tuple(range(sides))[::-1], tuple(range(sides, 2 * sides))]
    disc = body("disc", 1, vertices, [*ends, *rim])
    return replace(disc, smooth=np.asarray((disc.edge_faces >= 2).all(axis=1)))


def disc(
    name: str, number: int, centre: Array, radius: float, height: float, sides: int = 96
) -> Body:
    """A round plate standing on `centre`, as a prism whose rim facets count as one surface.

    The true circle passes through the prism's corners, so drawn widths are exact across them.
    """
    plain = _unit_disc(sides)
    vertices = plain.vertices * [radius, radius, height] + centre
    firsts = vertices[[loop[0] for loop in plain.faces]]
    offsets = np.einsum("ij,ij->i", plain.normals, firsts)
    return replace(plain, name=name, number=number, vertices=vertices, offsets=offsets)


def turned(name: str, number: int, outline: Sequence[tuple[float, float]], sides: int = 96) -> Body:
    """A convex solid of revolution about the plumb centre line, its facets of one band counting as
    one surface.

    outline  (radius, height) from the bottom up, each radius above nought
    The true circles pass through the corners, as those of `disc` do.
    """
    turns = 2 * np.pi * np.arange(sides) / sides
    vertices = np.vstack(
        [np.column_stack([r * np.cos(turns), r * np.sin(turns), np.full(sides, z)])
         for r, z in outline]
    )  # fmt: skip
    last = sides * (len(outline) - 1)
    ends: list[Loop] = [tuple(range(sides))[::-1], tuple(range(last, last + sides))]
    walls = [
        (low + k, low + (k + 1) % sides, low + sides + (k + 1) % sides, low + sides + k)
        for low in range(0, last, sides)
        for k in range(sides)
    ]
    plain = body(name, number, vertices, [*ends, *walls])
    band = (plain.edge_faces - 2) // sides
    both = (plain.edge_faces >= 2).all(axis=1)
    return replace(plain, smooth=np.asarray(both & (band[:, 0] == band[:, 1])))


def spokes(along: Array, sides: int) -> Array:
    """Unit vectors square to an axis, evenly round it, shape (sides, 3); the axis is not plumb."""
    first, second = across(along)
    turns = 2 * np.pi * np.arange(sides) / sides
    return np.asarray(np.outer(np.cos(turns), first) + np.outer(np.sin(turns), second))


def across(along: Array) -> tuple[Array, Array]:
    """Two unit vectors square to an axis and to one another, the first in its plumb plane and
    outward; with the axis they are right-handed."""
    level = np.cross([0.0, 0.0, 1.0], along)
    second = -level / np.linalg.norm(level)
    return np.cross(second, along), second


def rod(name: str, number: int, *rings: Array) -> Body:
    """A convex round body from ring of corners to ring, its facets counting as one curved surface.

    rings  each shape (sides, 3), from one end to the other"""
    sides, last = len(rings[0]), len(rings) - 1
    walls = [
        (low + k, low + (k + 1) % sides, low + sides + (k + 1) % sides, low + sides + k)
        for low in range(0, last * sides, sides)
        for k in range(sides)
    ]
    ends = [tuple(range(sides))[::-1], tuple(range(last * sides, (last + 1) * sides))]
    made = body(name, number, np.vstack(rings), [*ends, *walls])
    return replace(made, smooth=np.asarray((made.edge_faces >= 2).all(axis=1)))


# -- from half-spaces ------------------------------------------------------------------------------

# Corners nearer than a nanometre are one corner: far above rounding, far below any shaving.
NEAR = 1e-6
# Two unit directions this near to parallel move a 10 m post by less than a nanometre.
PARALLEL = 1e-10


@lru_cache(maxsize=64)
def _triples(count: int) -> NDArray[np.int64]:
    return np.array(list(combinations(range(count), 3)))


def from_planes(name: str, number: int, normals: Array, offsets: Array) -> Body | None:
    """The body where normals @ point <= offsets, or None where that is flat or empty.

    normals  unit, shape (f, 3); offsets, shape (f,), mm. Half-spaces that do not bound the body,
             or are given twice, do no harm; together they must leave nothing that is endless.
    """
    normals, offsets = _without_twins(normals, offsets)
    corners = _corners(normals, offsets)
    if not _is_solid(corners):
        return None
    on_face = np.abs(corners @ normals.T - offsets) < 2 * NEAR
    faces = [
        _ring(corners, np.flatnonzero(on), normal)
        for on, normal in zip(on_face.T, normals, strict=True)
    ]
    # Two planes a hair apart gather the same corners; they are one face.
    distinct = {frozenset(loop): loop for loop in faces if len(loop) > 2}
    return body(name, number, corners, list(distinct.values()))


def any_inside(normals: Array, offsets: Array) -> bool:
    """Whether the half-spaces have more than a sheet of no thickness in common."""
    return _is_solid(_corners(*_without_twins(normals, offsets)))


def _is_solid(corners: Array) -> bool:
    if len(corners) < 4:
        return False
    thickness = np.linalg.svd(corners - corners.mean(axis=0), compute_uv=False)[-1]
    return bool(thickness > 2 * NEAR)


def _without_twins(normals: Array, offsets: Array) -> tuple[Array, Array]:
    rows = np.column_stack([normals, offsets])
    first = _firsts(rows, PARALLEL)
    return normals[first], offsets[first]


def _firsts(rows: Array, near: float) -> NDArray[np.bool_]:
    """Which rows are not near an earlier row."""
    close = np.abs(rows[:, None] - rows[None]).max(axis=2) < near
    return np.asarray(~np.tril(close, -1).any(axis=1))


def _corners(normals: Array, offsets: Array) -> Array:
    """Where three planes meet and no other cuts the place off, shape (n, 3)."""
    triples = _triples(len(offsets))
    matrices = normals[triples]
    sharp = np.abs(np.linalg.det(matrices)) > 1e-9
    if not sharp.any():
        return np.empty((0, 3))
    points = np.linalg.solve(matrices[sharp], offsets[triples[sharp]][..., None])[..., 0]
    points = points[(points @ normals.T <= offsets + NEAR).all(axis=1)]
    return np.asarray(points[_firsts(points, NEAR)])


def _ring(corners: Array, members: NDArray[np.int64], normal: Array) -> Loop:
    """The corners of one face, anticlockwise seen from outside; empty where they make no face."""
    if len(members) < 3:
        return ()
    arms = corners[members] - corners[members].mean(axis=0)
    first = arms[np.argmax(np.einsum("ij,ij->i", arms, arms))]
    across = np.cross(normal, first)
    if np.abs(arms @ across).max() < NEAR * np.linalg.norm(first):
        return ()
    order = np.argsort(np.arctan2(arms @ across, arms @ first))
    return tuple(int(members[k]) for k in order)


def unlike(directions: Array) -> Array:
    """Directions with those left out that are parallel to an earlier one, shape (k, 3), unit."""
    lengths = np.linalg.norm(directions, axis=1)
    units = directions[lengths > PARALLEL] / lengths[lengths > PARALLEL, None]
    alike = np.abs(units[:, None] - units[None]).max(axis=2) < PARALLEL
    opposite = np.abs(units[:, None] + units[None]).max(axis=2) < PARALLEL
    return np.asarray(units[~np.tril(alike | opposite, -1).any(axis=1)])


def crosses(first: Array, second: Array) -> Array:
    """Unit vectors square to one direction of each set, shape (k, 3); parallel pairs give none."""
    # Written out: numpy's own cross product takes longer to shuffle its axes than to multiply.
    (ax, ay, az), (bx, by, bz) = first.T[:, :, None], second.T[:, None, :]
    products = np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)
    products = products.reshape(-1, 3)
    lengths = np.linalg.norm(products, axis=1)
    square = lengths > 1e-9
    return np.asarray(products[square] / lengths[square, None])
