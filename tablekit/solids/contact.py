"""Where parts touch, and what motions that leaves them to first order. Lengths in millimetres.

A small motion of a part is a velocity v of its point of reference and a turning velocity ω. Where a
flat patch of one part lies on another, no point of the patch may move into the wood. The patch is
flat and convex, so its corners speak for all of it: a linear inequality for each. If none but the
motion of all parts together satisfies them, the parts are locked, whatever larger motion is tried.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import Body
from tablekit.solids.convex import NEAR
from tablekit.solids.sweep import Movable

Array = NDArray[np.float64]

# A rate of separation, per unit of motion, that counts as one.
RATE = 1e-7


@dataclass(frozen=True, eq=False)
class Patch:
    """A flat convex piece of surface where two parts touch.

    first, second  places of the parts in the list they were given in
    normal         unit, out of the first and into the second, shape (3,)
    corners        shape (k, 3), in order round the patch
    """

    first: int
    second: int
    normal: Array
    corners: Array

    @property
    def area(self) -> float:
        """Area in mm²."""
        return abs(_area(self.corners, self.normal))


@dataclass(frozen=True, eq=False)
class Freedom:
    """What small motions a set of contacts leaves to the parts that may move.

    moving    places of the parts that may move
    rank      how many independent motions the contacts hold or sense
    unknowns  six for each moving part
    gain      how fast the contacts part at best, summed, with no component of motion above 1
    motion    that motion: (v, ω × reach) of each moving part, shape (len(moving), 6)
    """

    moving: tuple[int, ...]
    rank: int
    unknowns: int
    gain: float
    motion: Array

    @property
    def locked(self) -> bool:
        """No small motion at all: nothing parts, and nothing slides either."""
        return self.rank == self.unknowns and self.gain < RATE


def patches(parts: Sequence[Movable]) -> tuple[Patch, ...]:
    """Every patch of surface where two of the parts touch face to face."""
    found = []
    for i, j in combinations(range(len(parts)), 2):
        for a in parts[i].pieces:
            for b in parts[j].pieces:
                found += [Patch(i, j, n, corners) for n, corners in _touching(a, b)]
    return tuple(found)


def _touching(a: Body, b: Body) -> list[tuple[Array, Array]]:
    """Normals out of `a` and corners of the patches that two convex pieces share."""
    found = []
    # A slant of 1e-9 opens a metre-long contact by a nanometre.
    facing = np.abs(a.normals[:, None] + b.normals[None]).max(axis=2) < 1e-9
    level = np.abs(a.offsets[:, None] + b.offsets[None]) < NEAR
    for f, g in zip(*np.nonzero(facing & level), strict=True):
        polygon = a.vertices[list(a.faces[f])]
        other = b.vertices[list(b.faces[g])]
        common = _common(polygon, other, b.normals[g])
        if len(common) > 2 and abs(_area(common, a.normals[f])) > NEAR:
            found.append((a.normals[f], common))
    return found


def _common(polygon: Array, other: Array, normal: Array) -> Array:
    """The part of a flat polygon within another, convex and anticlockwise about `normal`."""
    for start, end in zip(other, np.roll(other, -1, axis=0), strict=True):
        outward = np.cross(end - start, normal)
        over = (polygon - start) @ outward / np.linalg.norm(outward)
        polygon = _clipped(polygon, over)
        if len(polygon) < 3:
            break
    return polygon


def _clipped(polygon: Array, over: Array) -> Array:
    """The part of a polygon whose corners' signed distances `over` are not above zero."""
    kept = []
    for k, corner in enumerate(polygon):
        after = (k + 1) % len(polygon)
        if over[k] <= 0:
            kept.append(corner)
        if (over[k] > 0) != (over[after] > 0):
            share = over[k] / (over[k] - over[after])
            kept.append(corner + share * (polygon[after] - corner))
    return np.array(kept).reshape(-1, 3)


def _area(corners: Array, normal: Array) -> float:
    spokes = corners[1:] - corners[0]
    return float(np.cross(spokes[:-1], spokes[1:]).sum(axis=0) @ normal) / 2


def separations(contacts: Sequence[Patch], moving: Sequence[int], reach: float) -> Array:
    """Rate at which each patch corner parts for each unknown, shape (corners, 6·len(moving)).

    reach   length by which turning is counted, so that all unknowns are lengths, mm
    Parts that are not in `moving` stand still.
    """
    rows = []
    for patch in contacts:
        arms = patch.corners / reach
        push = np.hstack([np.tile(patch.normal, (len(arms), 1)), np.cross(arms, patch.normal)])
        row = np.zeros((len(arms), 6 * len(moving)))
        for part, sign in ((patch.second, 1.0), (patch.first, -1.0)):
            if part in moving:
                place = 6 * list(moving).index(part)
                row[:, place : place + 6] += sign * push
        rows.append(row)
    return np.vstack(rows) if rows else np.zeros((0, 6 * len(moving)))


def freedom(contacts: Sequence[Patch], moving: Sequence[int]) -> Freedom:
    """The best separating motion of some parts while the others stand still.

    Solves a linear programme: the sum of all separation rates as large as may be, none below
    zero, no component of motion above 1.
    """
    unknowns = 6 * len(moving)
    centre, reach = _frame(contacts)
    centred = [Patch(p.first, p.second, p.normal, p.corners - centre) for p in contacts]
    rates = separations(centred, moving, reach)
    rates = rates[np.abs(rates).max(axis=1) > RATE] if len(rates) else rates
    if not len(rates):
        return Freedom(tuple(moving), 0, unknowns, np.inf, np.zeros((len(moving), 6)))
    from scipy.optimize import linprog

    answer = linprog(-rates.sum(axis=0), A_ub=-rates, b_ub=np.zeros(len(rates)), bounds=(-1, 1))
    rank = int(np.linalg.matrix_rank(rates, tol=RATE))
    return Freedom(
        tuple(moving), rank, unknowns, float(-answer.fun), answer.x.reshape(len(moving), 6)
    )


def _frame(contacts: Sequence[Patch]) -> tuple[Array, float]:
    """Middle of all the contacts and their largest distance from it."""
    if not contacts:
        return np.zeros(3), 1.0
    corners = np.vstack([patch.corners for patch in contacts])
    centre = corners.mean(axis=0)
    return centre, float(np.linalg.norm(corners - centre, axis=1).max())
