"""What is seen of convex bodies in a parallel projection, and what is hidden. Exact, no pixels.

A convex body together with the shadow it throws away from the viewer is convex again: it is
bounded by the body's faces that look away from the viewer, and by planes along the line of sight
through its silhouette. A point is hidden just when it lies inside such a shadow body, so each body
hides one stretch of a straight edge, found by clipping the edge with a few half-spaces. On the
plane of a face what it hides is a convex region, and what is left of the face falls into convex
pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import Body, cross

Array = NDArray[np.float64]
Pieces = tuple[Array, NDArray[np.int64]]  # straight ones, shape (n, 2, 2), and whose each is

# As a share of the bodies' size. A point this near a surface lies on it and is not hidden by it.
NEAR = 1e-6
_NO_SLOPE = 1e-60


@dataclass(frozen=True)
class View:
    """A parallel projection: three unit vectors, `right` and `up` on the sheet, and `towards` the
    viewer."""

    name: str
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    towards: tuple[float, float, float]

    def project(self, points: Array) -> Array:
        """Points in space, shape (..., 3), on the sheet, shape (..., 2)."""
        return np.asarray(points @ np.array([self.right, self.up]).T)

    @property
    def line_of_sight(self) -> Array:
        """Unit vector to the viewer, shape (3,)."""
        return np.array(self.towards)


FRONT = View("elevation", (1, 0, 0), (0, 0, 1), (0, -1, 0))
PLAN = View("plan", (1, 0, 0), (0, 1, 0), (0, 0, 1))


@dataclass(frozen=True, eq=False)
class Lines:
    """Straight pieces in space from `start` to `start + run`, shapes (n, 3), and whose they are."""

    start: Array
    run: Array
    owner: NDArray[np.int64]


def shadow(body: Body, towards: Array) -> tuple[Array, Array]:
    """Half-spaces of a body with its shadow: normals, shape (k, 3), and offsets, shape (k,)."""
    facing = body.normals @ towards
    away = facing > -1e-9
    sides = away[body.edge_faces]
    rim = body.edges[sides[:, 0] != sides[:, 1]]
    corners = body.vertices[rim[:, 0]]
    normals = cross(body.vertices[rim[:, 1]] - corners, towards)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    offsets = np.einsum("ij,ij->i", normals, corners)
    inward = np.sign(offsets - normals @ body.vertices.mean(axis=0))
    # A face along the line of sight is itself one of the planes through the silhouette.
    behind = facing > 1e-9
    return (
        np.vstack([normals * inward[:, None], body.normals[behind]]),
        np.concatenate([offsets * inward, body.offsets[behind]]),
    )


@dataclass(frozen=True, eq=False)
class SharedShadows:
    """What several views or several parts of one view have in common.

    shadows   of each body, as `shadow` has it
    meetings  the lines where bodies that run through one another meet, by joints
    """

    shadows: Sequence[tuple[Array, Array]]
    meetings: Sequence[Lines]

    @classmethod
    def of(cls, bodies: Sequence[Body], view: View, met: Sequence[Lines]) -> SharedShadows:
        """In one view, of bodies that meet in these lines."""
        return cls([shadow(body, view.line_of_sight) for body in bodies], met)


def meetings(bodies: Sequence[Body], joints: Sequence[tuple[int, int]]) -> list[Lines]:
    """Lines where bodies meet that run through one another, in any view: host and guest by their
    places in `bodies`."""
    near = NEAR * size_of(bodies)
    return [_meeting(bodies, host, guest, near) for host, guest in joints]


def _stretches(lines: Lines, regions: Sequence[tuple[Array, Array]]) -> tuple[Array, Array]:
    """Where each line, run from 0 to 1, is inside all the half-spaces of each region: from, to,
    shape (r, n). Empty stretches have from >= to."""
    if not regions:
        none = np.empty((0, len(lines.owner)))
        return none, none
    normals = np.concatenate([normals for normals, _ in regions])
    first = np.cumsum([0, *(len(offsets) for _, offsets in regions[:-1])])
    slope = normals @ lines.run.T
    room = np.concatenate([offsets for _, offsets in regions])[:, None] - normals @ lines.start.T
    # Along a plane a line is inside it everywhere or nowhere: it crosses it beyond all measure.
    slope[np.abs(slope) < 1e-12] = _NO_SLOPE
    at = room / slope
    entered = slope < 0
    low = np.maximum.reduceat(np.where(entered, at, 0.0), first)
    high = np.minimum.reduceat(np.where(entered, 1.0, at), first)
    return np.clip(low, 0.0, 1.0), np.clip(high, 0.0, 1.0)


def outline(
    bodies: Sequence[Body],
    view: View,
    joints: Sequence[tuple[int, int]] = (),
    dashed_behind: Sequence[int] | None = None,
    found: SharedShadows | None = None,
) -> tuple[Pieces, Pieces]:
    """What is drawn of the bodies' edges, and what is hidden of them.

    joints          places (host, guest) in `bodies` of two that run through one another: the
                    host's edges inside the guest are cut away, and the lines where their faces
                    meet are drawn with the host
    dashed_behind   places of the bodies through which hidden edges are shown; an edge that any
                    other body hides as well is left out. None shows all; () shows none
    found           what was found of these bodies before
    """
    near = NEAR * size_of(bodies)
    towards = view.line_of_sight
    backs = dashed_behind is None
    found = found or SharedShadows.of(bodies, view, meetings(bodies, joints))
    lines = gathered(
        [rim_edges(body, k, towards, backs) for k, body in enumerate(bodies)] + [*found.meetings]
    )
    shadows = [shrunk(one, near) for one in found.shadows]
    hiding = hidden_stretches(lines, shadows, _may_hide(bodies, view, near))
    gone = _cut_away(lines, bodies, joints, near)
    seen = left_over(*_stacked(hiding, gone))
    opaque = [k for k in range(len(bodies)) if not backs and k not in (dashed_behind or ())]
    others = hiding[0][opaque], hiding[1][opaque]
    drawn, owner = drawn_pieces(lines, view, seen)
    if len(opaque) == len(bodies):
        return (drawn, owner), (drawn[:0], owner[:0])
    behind = left_over(*_stacked(others, gone, seen))
    return (drawn, owner), drawn_pieces(lines, view, behind)


def _stacked(*stretches: tuple[Array, Array]) -> tuple[Array, Array]:
    return np.vstack([low for low, _ in stretches]), np.vstack([high for _, high in stretches])


def _cut_away(
    lines: Lines, bodies: Sequence[Body], joints: Sequence[tuple[int, int]], near: float
) -> tuple[Array, Array]:
    """Stretches of the hosts' edges that lie inside their guests, shapes (len(joints), n)."""
    concerns = np.zeros((len(joints), len(bodies)), dtype=bool)
    concerns[np.arange(len(joints)), [host for host, _ in joints]] = True
    guests = [shrunk(bodies[guest].planes, near) for _, guest in joints]
    return hidden_stretches(lines, guests, concerns)


def _may_hide(bodies: Sequence[Body], view: View, near: float) -> NDArray[np.bool_]:
    """Whether the row's body can hide any of the column's: their pictures overlap, and some of
    the former is nearer the viewer than the farthest of the latter. Shape (b, b)."""
    flat = [view.project(body.vertices) for body in bodies]
    depth = [body.vertices @ view.line_of_sight for body in bodies]
    low = np.array([points.min(axis=0) for points in flat]) + near
    high = np.array([points.max(axis=0) for points in flat]) - near
    apart = ((low[:, None] > high[None]) | (low[None] > high[:, None])).any(axis=2)
    front, back = np.array([d.max() for d in depth]), np.array([d.min() for d in depth])
    return np.asarray(~apart & (front[:, None] > back[None] + near))


def hidden_stretches(
    lines: Lines, regions: Sequence[tuple[Array, Array]], concerns: NDArray[np.bool_]
) -> tuple[Array, Array]:
    """The stretch of each line inside each region: from and to, shape (r, n).

    concerns   whether the row's region is to be tried on the column's lines; others are empty
    """
    low, high = _stretches(lines, regions)
    return low, np.where(concerns[:, lines.owner], high, 0.0)


def size_of(bodies: Sequence[Body]) -> float:
    """The longest side of the box round the bodies."""
    every = np.vstack([body.vertices for body in bodies])
    return float(np.ptp(every, axis=0).max())


def shrunk(planes: tuple[Array, Array], by: float) -> tuple[Array, Array]:
    """Half-spaces drawn in by so much."""
    return planes[0], planes[1] - by


def rim_edges(body: Body, owner: int, towards: Array, backs: bool) -> Lines:
    """A body's edges, less those inside a curved surface that are not its silhouette.

    backs   whether to take those of two faces that look away, which their own body hides, too
    """
    away = (body.normals @ towards > -1e-9)[body.edge_faces]
    if backs:
        drawn = body.edges[~body.smooth | (away[:, 0] != away[:, 1])]
    else:
        facing = (body.normals @ towards > 1e-9)[body.edge_faces]
        sharp = ~body.smooth & facing.any(axis=1)
        drawn = body.edges[sharp | (away[:, 0] != away[:, 1])]
    start = body.vertices[drawn[:, 0]]
    return Lines(start, body.vertices[drawn[:, 1]] - start, np.full(len(drawn), owner))


def _meeting(bodies: Sequence[Body], host: int, guest: int, near: float) -> Lines:
    """Lines where a face of the host crosses a face of the guest."""
    first, second = bodies[host], bodies[guest]
    pair = np.indices((len(first.normals), len(second.normals))).reshape(2, -1)
    n, m = first.normals[pair[0]], second.normals[pair[1]]
    direction = cross(n, m)
    square = np.einsum("ij,ij->i", direction, direction)
    crossing = square > 1e-12
    n, m, direction, square = n[crossing], m[crossing], direction[crossing], square[crossing]
    a, b = first.offsets[pair[0]][crossing], second.offsets[pair[1]][crossing]
    # The point of both planes nearest the origin.
    foot = cross(a[:, None] * m - b[:, None] * n, direction) / square[:, None]
    reach = 4 * size_of([first, second]) + np.abs(foot).max()
    run = direction / np.sqrt(square)[:, None] * 2 * reach
    lines = Lines(foot - run / 2, run, np.full(len(foot), host))
    offsets = np.concatenate([first.offsets, second.offsets]) + near
    planes = np.vstack([first.normals, second.normals]), offsets
    (low,), (high,) = _stretches(lines, [planes])
    kept = (high - low) * 2 * reach > 10 * near
    low, high = low[kept, None], high[kept, None]
    run, start = run[kept], lines.start[kept]
    return Lines(start + low * run, (high - low) * run, lines.owner[kept])


def gathered(groups: Sequence[Lines]) -> Lines:
    """Several sets of lines as one."""
    return Lines(
        np.vstack([group.start for group in groups]),
        np.vstack([group.run for group in groups]),
        np.concatenate([group.owner for group in groups]),
    )


def left_over(low: Array, high: Array) -> tuple[Array, Array]:
    """The parts of 0…1 outside all the stretches: from and to, shape (b + 1, n)."""
    empty = high <= low
    # Sorted to the front, empty ones leave no gap before them.
    low, high = np.where(empty, 0.0, low), np.where(empty, 0.0, high)
    order = np.argsort(low, axis=0)
    low, high = np.take_along_axis(low, order, 0), np.take_along_axis(high, order, 0)
    reached = np.maximum.accumulate(high, axis=0)
    edge = np.ones((1, low.shape[1]))
    return np.vstack([0 * edge, reached]), np.vstack([low, edge])


def drawn_pieces(
    lines: Lines, view: View, parts: tuple[Array, Array]
) -> tuple[Array, NDArray[np.int64]]:
    """The parts of lines on the sheet, shape (n, 2, 2), and whose they are, shape (n,)."""
    low, high = parts
    which, line = np.nonzero(high - low > 1e-7)
    start, run = lines.start[line], lines.run[line]
    ends = np.stack(
        [start + low[which, line, None] * run, start + high[which, line, None] * run], axis=1
    )
    flat = view.project(ends)
    seen = np.abs(flat[:, 1] - flat[:, 0]).max(axis=1, initial=0.0) > 1e-7
    return flat[seen], lines.owner[line][seen]


def joined_up(pieces: Array, owners: NDArray[np.int64]) -> tuple[Array, NDArray[np.int64]]:
    """The same lines with every run of an owner's pieces that overlap or touch on one straight
    line made one: pieces, shape (m, 2, 2), and owners, shape (m,).

    pieces   shape (n, 2, 2). One stroke instead of many keeps dashes regular and pictures small.
    """
    if not len(pieces):
        return pieces, owners
    run = pieces[:, 1] - pieces[:, 0]
    run /= np.linalg.norm(run, axis=1)[:, None]
    back = (run[:, 0] < -1e-9) | ((np.abs(run[:, 0]) <= 1e-9) & (run[:, 1] < 0))
    run[back] *= -1
    along = np.sort(np.einsum("nij,nj->ni", pieces, run), axis=1)
    beside = pieces[:, 0, 1] * run[:, 0] - pieces[:, 0, 0] * run[:, 1]
    size = float(np.abs(pieces).max()) or 1.0
    # Pieces of one line agree far beyond these roundings.
    keys = np.round(run[:, 1], 6), np.round(beside / size, 6), owners
    order = np.lexsort((along[:, 0], *keys))
    run, along, beside, owners = run[order], along[order], beside[order], owners[order]
    fresh = np.any([key[order][1:] != key[order][:-1] for key in keys], axis=0)
    line = np.concatenate([[0], np.cumsum(fresh)])
    # Lines are set far apart on one scale so that one pass serves them all.
    low, high = along[:, 0] + line * 10 * size, along[:, 1] + line * 10 * size
    reached = np.maximum.accumulate(high)
    first = np.nonzero(np.concatenate([[True], low[1:] > reached[:-1] + 1e-6 * size]))[0]
    last = np.concatenate([first[1:], [len(low)]]) - 1
    ends = np.column_stack([low[first], reached[last]]) - line[first, None] * 10 * size
    across = np.column_stack([-run[first, 1], run[first, 0]]) * beside[first, None]
    return ends[:, :, None] * run[first, None, :] + across[:, None, :], owners[first]


# -- How much of a face is seen --------------------------------------------------------------------

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
