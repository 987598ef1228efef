"""Which opening a part goes through when it is carried straight. Lengths in millimetres.

A part goes straight through a slot if, in some direction across it, it is no wider than the slot.
It goes straight through a rectangular opening if that holds in two directions square to one
another, along which the sides of the opening are laid. Both depend on the part's convex hull alone.
A part that is turned on its way, one leg first, may go through less; so whatever is found here is
enough, and not always needed. The one thing that is certain the other way is that nothing is
carried straight through an opening that is narrower than its least width.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.relations.bases import base_of
from tablekit.solids.body import crosses

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.solids.model import Model

Array = NDArray[np.float64]
HAIR = 1e-6
_AROUND, _TURNS, _AT_A_TIME = 2000, 90, 200  # directions tried for an opening of a given size
_SIDES = 96  # of the polygon that stands round a disc


@dataclass(frozen=True)
class Opening:
    """The narrowest slot that a part goes through, and how long that has to be at least, mm.

    narrow  the least width of the part's convex hull
    wide    the least width square to it: together they are a rectangular opening that the part
            goes through when carried straight. Another may be shorter and less narrow.
    """

    narrow: float
    wide: float


def hull(points: Array) -> tuple[Array, Array, Array]:
    """Corners of the convex hull, outward normals of its faces, unit directions of its edges.

    Shapes (n, 3), (f, 3) and (m, 3); directions that are parallel are given once.
    """
    from scipy.spatial import ConvexHull

    found = ConvexHull(points)
    normals = found.equations[:, :3]
    edges = [
        points[face[a]] - points[face[b]]
        for face, beside, normal in zip(found.simplices, found.neighbors, normals, strict=True)
        for corner in range(3)
        # Two triangles of one flat face have no edge between them.
        if normal @ normals[beside[corner]] < 1 - 1e-12
        for a, b in [((corner + 1) % 3, (corner + 2) % 3)]
    ]
    return points[found.vertices], _unlike(normals), _unlike(np.array(edges))


def _unlike(directions: Array) -> Array:
    """Each direction once, whichever way it points, shape (k, 3), unit; all but alike to rounding
    counts as alike. Of thousands, where `convex.unlike` compares each with each."""
    units = directions / np.linalg.norm(directions, axis=1, keepdims=True)
    first = units[np.arange(len(units)), (np.abs(units) > HAIR).argmax(axis=1)]
    _, kept = np.unique((units * np.sign(first)[:, None]).round(9), axis=0, return_index=True)
    return units[kept]


def widths(corners: Array, directions: Array) -> Array:
    """How far corners, shape (n, 3), reach along each unit direction, shape (k, 3), from one side
    to the other; or corners and directions in a plane."""
    along = directions @ corners.T
    return np.asarray(along.max(axis=1) - along.min(axis=1))


def least_opening(points: Array) -> Opening:
    """The narrowest slot for a part with these points, shape (n, 3).

    The least width of a convex solid is found across one of its faces, or square to an edge on
    either side; all of them are tried (M. E. Houle and G. T. Toussaint, Computing the width of a
    set, 1988, from memory).
    """
    corners, normals, edges = hull(points)
    best, across = np.inf, normals[0]
    for directions in _across(normals, edges):
        if not len(directions):
            continue
        found = widths(corners, directions)
        k = int(found.argmin())
        if found[k] < best - HAIR:
            best, across = float(found[k]), directions[k]
    return Opening(best, _least_square_to(corners, across))


def _across(normals: Array, edges: Array) -> Iterator[Array]:
    """The directions in which a convex solid may be least wide, shapes (k, 3): across its faces,
    and square to two of its edges."""
    yield normals
    for k in range(len(edges) - 1):
        yield crosses(edges[k : k + 1], edges[k + 1 :])


def _plane(normals: Array) -> tuple[Array, Array]:
    """Two unit directions square to each of the normals and to one another, shapes (k, 3)."""
    helper = np.where(np.abs(normals[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    first = np.cross(normals, helper)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    return first, np.cross(normals, first)


def _least_square_to(corners: Array, across: Array) -> float:
    """The least width in the directions that are square to `across`: that of a shadow, which has it
    square to one of its sides."""
    from scipy.spatial import ConvexHull

    (first,), (second,) = _plane(across[None])
    shadow = np.column_stack([corners @ first, corners @ second])
    sides = ConvexHull(shadow).equations[:, :2]
    return float(widths(shadow, sides).min())


def goes_through(points: Array, width: float, height: float) -> bool:
    """Whether a way was found to carry a part straight through a rectangular opening, its hull held
    at any slant. False is no proof, unless the opening is narrower than the part's least width."""
    corners, normals, edges = hull(points)
    every = np.vstack([*_across(normals, edges), _all_round()])
    short, long = sorted((width, height))
    every = every[widths(corners, every) <= short + HAIR]
    for k in range(0, len(every), _AT_A_TIME):
        if _turned(corners, every[k : k + _AT_A_TIME], long):
            return True
    return False


def _turned(corners: Array, across: Array, long: float) -> bool:
    """Whether the corners are no wider than `long` in a direction square to one of `across`."""
    first, second = _plane(across)
    angles = np.linspace(0, np.pi, _TURNS, endpoint=False)[:, None, None]
    every = (np.cos(angles) * first + np.sin(angles) * second).reshape(-1, 3)
    if (widths(corners, every) <= long + HAIR).any():
        return True
    return any(_least_square_to(corners, one) <= long + HAIR for one in across[:8])


def _all_round() -> Array:
    """Directions spread evenly over half a sphere, shape (k, 3)."""
    number = np.arange(_AROUND) + 0.5
    up, turn = number / _AROUND, number * np.pi * (3 - np.sqrt(5))
    flat = np.sqrt(1 - up**2)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), up])


# -- the parts of a piece -------------------------------------------------------------------------


def round_points(centre: Sequence[float], radius: float, thickness: float) -> Array:
    """Corners of a prism that a level disc just fits into, its centre that of the lower face."""
    turn = 2 * np.pi * np.arange(_SIDES) / _SIDES
    out = radius / np.cos(np.pi / _SIDES)
    ring = np.column_stack([out * np.cos(turn), out * np.sin(turn), np.zeros(_SIDES)]) + centre
    return np.vstack([ring, ring + np.array([0.0, 0.0, thickness])])


def top_points(sheet: Sheet, height: float) -> Array:
    """The top in place, its upper face at that height."""
    thick = sheet.number("top_thickness")
    radius = sheet.number("top_diameter") / 2
    return round_points([0.0, 0.0, height - thick], radius, thick)


def base_points(model: Model) -> Array:
    """The three posts and their pads in place."""
    pads = [
        round_points(
            [*pad.vertices[:, :2].mean(axis=0), pad.vertices[:, 2].min()],
            float(np.linalg.norm(pad.vertices[0, :2] - pad.vertices[:, :2].mean(axis=0))),
            float(np.ptp(pad.vertices[:, 2])),
        )
        for pad in model.pads
    ]
    return np.vstack([*(post.vertices for post in model.posts), *pads])


def legged_points(sheet: Sheet) -> Array:
    """The feet of splayed legs in place, each as the ellipse where a leg is cut off level, with
    room all round it; the legs lie between them and the top."""
    count, lean = base_of(sheet).count, np.radians(sheet.number("leg_resultant"))
    out, radius = sheet.number("foot_radius"), sheet.number("foot_diameter") / 2 / np.cos(lean)
    turn = 2 * np.pi * np.arange(count) / count
    return np.vstack(
        [round_points([out * np.cos(a), out * np.sin(a), 0.0], radius, 0.0) for a in turn]
    )
