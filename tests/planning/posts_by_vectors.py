"""Three posts that are not alike by plain vectors: a witness for `relations/posts_as_cut.py`.

Nothing here knows a formula of the kit. Directions come from cross products; the posts are put in
place by a linear system of nine equations, three walls, three floors and one post that is held;
flats are found by cutting the edges at a corner with a level plane; and floor and top are planes
that three corners touch while all the others lie on one side.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tablekit.planning.as_cut import Pieces
from tests.relations.reference_vectors import lean, triangle_circle, unit

Vector = NDArray[np.float64]
PLUMB = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Cut:
    """The sizes of three posts, each of shape (3,), mm; splay in radians.

    Post k + 1 lies in the notch of post k. `depth` of a notch as the kit has it: half the depth of
    the one post and half the width of the other, less what is left between the axes.
    """

    splay: float
    up: float
    length: Vector
    place: Vector
    depth: Vector
    deep: Vector
    wide: Vector
    foot_flat: Vector
    head_flat: Vector
    pad: float
    thickness: float
    foot_shim: Vector = field(default_factory=lambda: np.zeros(3))
    head_shim: Vector = field(default_factory=lambda: np.zeros(3))


@dataclass(frozen=True)
class Built:
    """Where things came to lie. Frames are rows (along, bearing, side) of each post."""

    frames: Vector
    ends: Vector
    feet: Vector
    heads: Vector
    floor: tuple[Vector, float]
    under: tuple[Vector, float]
    heights: Vector
    tilt: float
    height: float
    foot_circle: float
    head_circle: float
    downhill: Vector


def frames(splay: float) -> Vector:
    """Along each post, square to its bearing face, square to its side face; shape (3, 3, 3)."""
    axes = [lean(splay, k) for k in range(3)]
    rows = []
    for k in range(3):
        bearing = unit(np.cross(axes[k - 1], axes[k]))
        side = np.cross(axes[k], bearing)
        rows.append([axes[k], bearing * np.sign(bearing[2]), side * np.sign(side[2])])
    return np.array(rows)


def placed(cut: Cut, ways: Vector) -> Vector:
    """The foot end of each axis, shape (3, 3), post 0 held at the origin."""
    rows, right = np.zeros((9, 9)), np.zeros(9)
    for host in range(3):
        guest = (host + 1) % 3
        along = ways[host, 0]
        _, bearing, side = ways[guest]
        # Half way between the walls, the plane of the guest's axis passes the notch's middle.
        right[host] = cut.place[host] * along @ side
        # The floor is so far from the host's axis, and the guest lies on it with its face.
        floor = cut.wide[host] / 2 - cut.depth[host]
        right[host + 3] = cut.up * (floor + cut.deep[guest] / 2)
        for row, facing in ((host, side), (host + 3, bearing)):
            rows[row, 3 * guest : 3 * guest + 3] += facing
            rows[row, 3 * host : 3 * host + 3] -= facing
    rows[6:, :3] = np.eye(3)
    return np.linalg.solve(rows, right).reshape(3, 3)


def flat_corners(corner: Vector, edges: Vector, circle: float) -> Vector:
    """The flat at a sharp corner whose largest circle is so wide, by its three corners.

    `edges` are the directions away from the corner; the flat is cut 1 mm deep and then scaled,
    since all flats of one corner are alike.
    """
    at_one = np.array([edge / abs(edge[2]) for edge in edges])
    _, diameter = triangle_circle(at_one)
    return corner + circle / diameter * at_one


def touching_plane(flats: Vector, below: bool) -> tuple[Vector, float, list[Vector]]:
    """The plane (unit normal up, offset) that three corners touch and all others lie above, or
    below; one corner of each flat. flats of shape (3, 3, 3). Also the three points."""
    every = [(post, corner) for post in range(3) for corner in range(3)]
    best = None
    for chosen in combinations(every, 3):
        if len({post for post, _ in chosen}) < 3:
            continue
        points = [flats[c] for c in chosen]
        normal = np.cross(points[1] - points[0], points[2] - points[0])
        normal = unit(normal * np.sign(normal[2]))
        offset = normal @ points[0]
        over = flats.reshape(9, 3) @ normal - offset
        worst = over.min() if below else -over.max()
        if best is None or worst > best[0]:
            best = (worst, normal, offset, points)
    assert best is not None and best[0] > -1e-9
    return best[1], float(best[2]), best[3]


def around(points: Vector) -> float:
    """Radius of the circle through three points, from the point as far from each of them."""
    a, b, c = points
    normal = np.cross(b - a, c - a)
    rows = np.array([b - a, c - a, normal])
    middle = np.linalg.solve(rows, [(b - a) @ (b + a) / 2, (c - a) @ (c + a) / 2, normal @ a])
    return float(np.linalg.norm(middle - a))


def build(cut: Cut) -> Built:
    """The posts in place, the floor under them and the top on them."""
    ways = frames(cut.splay)
    ends = placed(cut, ways)
    feet, heads = [], []
    for k in range(3):
        along, bearing, side = ways[k]
        half = cut.deep[k] / 2 * bearing + cut.wide[k] / 2 * side
        feet.append(flat_corners(ends[k] - half, ways[k], cut.foot_flat[k]))
        far = ends[k] + cut.length[k] * along + half
        heads.append(flat_corners(far, -ways[k], cut.head_flat[k]))
    middles = [np.array([triangle_circle(one)[0] for one in flats]) for flats in (feet, heads)]
    feet, heads = np.array(feet), np.array(heads)
    if cut.pad > 0:  # a pad gives: the floor lies so far under the middles of the flats
        points = middles[0] - (cut.pad + cut.foot_shim[:, None]) * PLUMB
        normal = unit(np.cross(points[1] - points[0], points[2] - points[0]))
        normal = normal * np.sign(normal[2])
        floor = (normal, float(normal @ points[0]))
    else:
        shimmed = feet - cut.foot_shim[:, None, None] * PLUMB
        normal, offset, _ = touching_plane(shimmed, below=True)
        floor = (normal, offset)
    upward, level, touched = touching_plane(
        heads + cut.head_shim[:, None, None] * PLUMB, below=False
    )
    heights = np.array(touched) @ floor[0] - floor[1]
    tilt = float(np.arctan2(np.linalg.norm(np.cross(upward, floor[0])), upward @ floor[0]))
    middle = np.array(touched).mean(axis=0)
    # Straight up from the floor through the middle of the three points to the upper face.
    rise = (level + cut.thickness - upward @ middle) / (upward @ floor[0])
    height = float(floor[0] @ middle - floor[1] + rise)
    downhill = upward - (upward @ floor[0]) * floor[0]
    return Built(ways, ends, feet, heads, floor, (upward, level), heights, tilt, height,
                 around(middles[0]), around(middles[1]), downhill)  # fmt: skip


def by_vectors(pieces: Pieces) -> Built:
    """The same posts, built here from their bare sizes."""

    def three(name: str) -> np.ndarray:
        return np.array([pieces.numbers[f"{name}_{k}"] for k in (1, 2, 3)])

    return build(
        Cut(
            splay=np.radians(pieces.numbers["splay"]), up=pieces.numbers["notch_sense"],
            length=three("post_length"), place=three("notch_position"), depth=three("notch_depth"),
            deep=three("post_section"), wide=three("post_width"), foot_flat=three("foot_flat"),
            head_flat=three("head_flat"), pad=pieces.numbers["pad_projection"],
            thickness=pieces.numbers["top_thickness"], foot_shim=three("foot_shim"),
            head_shim=three("head_shim"),
        )
    )  # fmt: skip
