"""Convex bodies from the half-spaces they lie in. Lengths in millimetres.

A notched post is not convex, but a few convex pieces laid side by side make it up. Contact and
collision of convex pieces can be settled exactly, from finitely many directions; that is why
the assembly check works on pieces.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import Body, Loop, body

Array = NDArray[np.float64]

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
