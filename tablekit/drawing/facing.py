"""How much of each face of a set of convex bodies is seen in a parallel projection. Exact.

What a body hides is convex (see `outline`): on the plane of a face it is a convex region, and what
is left of the face falls into convex pieces.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing.outline import NEAR, View, shadow, shrunk, size_of
from tablekit.solids.body import Body

Array = NDArray[np.float64]
Polygon = list[tuple[float, float]]
Region = list[tuple[float, float, float]]  # where all a·x + b·y <= c


def silhouette(body: Body, view: View) -> Array:
    """The border of a body's picture, as corners in order, shape (n, 2)."""
    away = body.normals @ view.line_of_sight > -1e-9
    sides = away[body.edge_faces]
    rim = np.unique(body.edges[sides[:, 0] != sides[:, 1]])
    points = view.project(body.vertices[rim])
    arms = points - points.mean(axis=0)
    return np.asarray(points[np.argsort(np.arctan2(arms[:, 1], arms[:, 0]))])


def seen_faces(
    bodies: Sequence[Body],
    view: View,
    thrown: Sequence[tuple[Array, Array]] | None = None,
    count: int | None = None,
) -> list[list[Polygon]]:
    """For each body, the parts of its faces that are seen, as convex polygons.

    thrown  the bodies' shadows, where they were found before
    count   of how many bodies, the first ones, it is asked; of all where left out
    """
    towards = view.line_of_sight
    near = NEAR * size_of(bodies)
    thrown = thrown or [shadow(body, towards) for body in bodies]
    frame = np.array([view.right, view.up, view.towards])
    # Few numbers at a time: plain ones take less time than arrays.
    shadows = [
        np.column_stack([planes[0] @ frame.T, planes[1]]).tolist()
        for planes in (shrunk(one, near) for one in thrown)
    ]
    seen: list[list[Polygon]] = []
    for k, body in enumerate(bodies[:count]):
        flat = [(x, y) for x, y in view.project(body.vertices).tolist()]
        others = [planes for other, planes in enumerate(shadows) if other != k]
        seen.append([])
        for loop, normal, offset in _facing(body, towards):
            plane = (*(frame @ normal).tolist(), offset)
            hiders = [_on_face(plane, planes) for planes in others]
            seen[-1] += _seen_parts([flat[corner] for corner in loop], hiders)
    return seen


def shows(parts: Sequence[Polygon], point: tuple[float, float]) -> bool:
    """Whether a point of the sheet lies on one of these parts or its border."""
    x, y = point
    for part in parts:
        left = right = False
        for k, (c, d) in enumerate(part):
            a, b = part[k - 1]
            turn = (c - a) * (y - b) - (d - b) * (x - a)
            least = NEAR * (abs(c - a) + abs(d - b)) * (abs(x) + abs(y))
            left, right = left or turn > least, right or turn < -least
            if left and right:
                break
        else:
            return True
    return False


def _facing(body: Body, towards: Array) -> list[tuple[tuple[int, ...], Array, float]]:
    """The faces that look at the viewer: corners, normal, offset."""
    square = body.normals @ towards
    return [
        (body.faces[k], body.normals[k], float(body.offsets[k]))
        for k in np.nonzero(square > 1e-6)[0]
    ]


def _on_face(plane: Sequence[float], planes: Sequence[Sequence[float]]) -> Region:
    """Half-spaces met with a face's plane, as a·x + b·y <= c on the sheet.

    All planes are given by their normals across, up and towards the viewer, and their offsets.
    """
    across, up, depth, offset = plane
    return [
        (a - towards / depth * across, b - towards / depth * up, c - towards / depth * offset)
        for a, b, towards, c in planes
    ]


def _seen_parts(polygon: Polygon, hiders: list[Region]) -> list[Polygon]:
    """A convex polygon less convex regions, as convex pieces."""
    pieces = [polygon]
    for region in hiders:
        pieces = [left for piece in pieces for left in _less(piece, region)]
    return pieces


def _less(polygon: Polygon, region: Region) -> list[Polygon]:
    """A convex polygon less the convex region where all a·x + b·y <= c."""
    inside, outside = polygon, []
    for a, b, c in region:
        gaps = [a * x + b * y - c for x, y in inside]
        if min(gaps) >= 0:
            return [polygon]
        if max(gaps) <= 0:
            continue
        outside.append(_half(inside, gaps, 1))
        inside = _half(inside, gaps, -1)
    return outside


def _half(polygon: Polygon, gaps: list[float], sign: int) -> Polygon:
    """The part of a polygon where sign·gap >= 0."""
    kept: Polygon = []
    for k, (x, y) in enumerate(polygon):
        gap, last, (u, v) = gaps[k], gaps[k - 1], polygon[k - 1]
        if (gap > 0 > last) or (gap < 0 < last):
            share = last / (last - gap)
            kept.append((u + share * (x - u), v + share * (y - v)))
        if sign * gap >= 0:
            kept.append((x, y))
    return kept
