"""The three-post base by plain vectors, as an independent witness for the relations.

Nothing here knows a formula of `tablekit.relations`: posts are boxes given by directions and
corners, distances come from nearest points, flats from cutting the boxes with a level plane,
and volumes from clipping boxes with half-spaces. Lengths may be in any one unit; angles are in
radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection

Vector = NDArray[np.float64]
PLUMB = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Design:
    """What a maker settles.

    notches_up  which way the notches open
    width       of a post, across; as deep as the post (`section`) where left out
    clockwise   whether the guest of a post is the next one clockwise, seen from above
    """

    section: float
    length: float
    splay: float
    offset: float
    notch_position: float
    foot_depth: float
    head_depth: float
    notches_up: bool = True
    width: float | None = None
    clockwise: bool = False

    @property
    def across(self) -> float:
        """Width of a post."""
        return self.section if self.width is None else self.width

    @property
    def sense(self) -> int:
        """+1 where the guest of a post is the next one anticlockwise, -1 clockwise."""
        return -1 if self.clockwise else 1


@dataclass(frozen=True)
class Post:
    """A box: `middle` of its axis line, three unit directions, ends along the first one."""

    waist: Vector  # the point of the axis nearest the plumb centre line
    along: Vector
    bearing: Vector
    side: Vector
    low: float  # foot end, measured along the post from the waist
    high: float
    section: float
    width: float | None = None  # as deep as the post where left out

    @property
    def halves(self) -> tuple[float, float]:
        """Half the depth and half the width."""
        return self.section / 2, (self.section if self.width is None else self.width) / 2

    def corners(self, end: float) -> Vector:
        """The four corners of one end, shape (4, 3)."""
        deep, wide = self.halves
        middle = self.waist + end * self.along
        pairs = product((-deep, deep), (-wide, wide))
        return np.array([middle + a * self.bearing + b * self.side for a, b in pairs])

    def half_spaces(self) -> Vector:
        """The box as rows (normal, offset) with normal·x + offset <= 0, shape (6, 4)."""
        deep, wide = self.halves
        rows = []
        for direction, below, above in (
            (self.along, self.low, self.high),
            (self.bearing, -deep, deep),
            (self.side, -wide, wide),
        ):
            at = direction @ self.waist
            rows.append([*direction, -(at + above)])
            rows.append([*(-direction), at + below])
        return np.array(rows)


def unit(vector: Vector) -> Vector:
    """The same direction, one long."""
    return vector / np.linalg.norm(vector)


def lean(splay: float, number: int) -> Vector:
    """Direction of post `number` from foot to head."""
    turn = 2 * np.pi * number / 3  # negative numbers go round clockwise
    plan = np.array([np.cos(turn), np.sin(turn), 0.0])
    return np.sin(splay) * plan + np.cos(splay) * PLUMB


def tangent(number: int) -> Vector:
    """Level direction square to the lean of post `number`."""
    turn = 2 * np.pi * number / 3
    return np.array([-np.sin(turn), np.cos(turn), 0.0])


def waist_position(design: Design) -> float:
    """Signed distance of the axes from the centre line, so that guests lie at the offset.

    A guest lies above its host when the notches open upward, below it otherwise.
    """
    guest = design.sense
    rise = unit(np.cross(lean(design.splay, 0), lean(design.splay, guest)))
    rise *= np.sign(rise @ PLUMB)
    per_unit = rise @ (tangent(guest) - tangent(0))
    towards = 1.0 if design.notches_up else -1.0
    return towards * design.offset / per_unit


def nearest(first: tuple[Vector, Vector], second: tuple[Vector, Vector]) -> tuple[float, float]:
    """Where two lines (point, direction) pass closest: distances along each from its point."""
    (p, u), (q, v) = first, second
    along, _, _, _ = np.linalg.lstsq(np.column_stack([u, -v]), q - p, rcond=None)
    return float(along[0]), float(along[1])


def posts(design: Design) -> tuple[list[Post], float, float]:
    """The three posts, each the host of the next, and where notch and seat lie along each.

    Notch and seat are measured from the waist."""
    place = waist_position(design)
    round_about = [design.sense * k for k in range(3)]
    lines = [(place * tangent(k), lean(design.splay, k)) for k in round_about]
    notch, seat = nearest(lines[0], lines[1])
    low = notch - design.notch_position
    built = []
    for k, (waist, along) in enumerate(lines):
        bearing = unit(np.cross(lines[k - 1][1], along))
        bearing *= np.sign(bearing @ PLUMB)
        side = np.cross(along, bearing)
        side *= np.sign(side @ PLUMB)
        high = low + design.length
        built.append(Post(waist, along, bearing, side, low, high, design.section, design.across))
    return built, notch, seat


def level_cut(post: Post, level: float) -> Vector:
    """Where the edges of the box meet the plane at height `level`; the polygon's corners."""
    low, high = post.corners(post.low), post.corners(post.high)
    edges = list(zip(low, high, strict=True))
    for end in (low, high):
        edges += [(end[a], end[b]) for a, b in ((0, 1), (1, 3), (3, 2), (2, 0))]
    found = []
    for a, b in edges:
        if (a[2] - level) * (b[2] - level) < 0:
            found.append(a + (level - a[2]) / (b[2] - a[2]) * (b - a))
    return np.array(found)


def triangle_circle(corners: Vector) -> tuple[Vector, float]:
    """Middle and diameter of the circle inscribed in a triangle given by its corners."""
    if len(corners) != 3:
        raise ValueError(f"the flat has {len(corners)} corners; it runs off the end of the post")
    a, b, c = corners
    sides = np.array([np.linalg.norm(b - c), np.linalg.norm(c - a), np.linalg.norm(a - b)])
    middle = sides @ corners / sides.sum()
    area = np.linalg.norm(np.cross(b - a, c - a)) / 2
    return middle, float(4 * area / sides.sum())


def flat(post: Post, end: float, depth: float, upward: bool) -> tuple[Vector, float, float]:
    """Middle and diameter of the flat at an end, and the height of the sharp corner there."""
    heights = post.corners(end)[:, 2]
    tip = heights.max() if upward else heights.min()
    if depth == 0:
        corner = post.corners(end)[heights.argmax() if upward else heights.argmin()]
        return corner, 0.0, float(tip)
    middle, diameter = triangle_circle(level_cut(post, tip - depth if upward else tip + depth))
    return middle, diameter, float(tip)


def reaches(post: Post, end: float, level: float, upward: bool, aside: Vector) -> dict[str, float]:
    """How far the corners of a post's end lie from the centre line in plan, and the farthest point
    of the end as it is cut level. `aside` is level, towards where the post passes the centre."""
    corners = post.corners(end)
    heights = corners[:, 2] * (1 if upward else -1)
    # Opposite to the sharp corner lies the outer one; the two between differ by their side.
    sharp, outer = corners[heights.argmax()], corners[heights.argmin()]
    sides = [c for c in corners if not (np.array_equal(c, sharp) or np.array_equal(c, outer))]
    off, near = sorted(sides, key=lambda corner: float(corner @ aside))
    cut = level_cut(post, level)
    left = [outer, near, off, *(cut if len(cut) else [sharp])]
    return {
        "outer_corner": float(np.hypot(*outer[:2])),
        "near_corner": float(np.hypot(*near[:2])),
        "off_corner": float(np.hypot(*off[:2])),
        "extent": max(float(np.hypot(*corner[:2])) for corner in left),
    }


def solid_corners(half_spaces: Vector) -> Vector:
    """Corners of the convex solid inside the half-spaces, shape (n, 3); none if it is empty."""
    normals, offsets = half_spaces[:, :3], half_spaces[:, 3]
    inside = linprog(
        [0, 0, 0, -1],
        A_ub=np.column_stack([normals, np.linalg.norm(normals, axis=1)]),
        b_ub=-offsets,
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    if not inside.success or inside.x[3] < 1e-12:
        return np.empty((0, 3))
    return HalfspaceIntersection(half_spaces, inside.x[:3]).intersections


def volume(half_spaces: Vector) -> float:
    """Volume of the convex solid inside the half-spaces; 0 if there is none."""
    corners = solid_corners(half_spaces)
    return float(ConvexHull(corners).volume) if len(corners) else 0.0


def notch_solid(host: Post, guest: Post) -> Vector:
    """What is sawn and chopped out of the host: between the guest's sides, above its bed."""
    rows = guest.half_spaces()
    opens_up = (guest.waist - host.waist) @ guest.bearing > 0
    bed = rows[3] if opens_up else rows[2]  # the guest's face nearest the host's axis
    return np.vstack([host.half_spaces(), rows[4:6], bed])


def trimmed_volume(post: Post, low_level: float, high_level: float) -> float:
    """Volume of an unnotched post between two level planes."""
    levels = [[0, 0, 1, -high_level], [0, 0, -1, low_level]]
    return volume(np.vstack([post.half_spaces(), levels]))


def measure(design: Design) -> dict[str, float]:
    """Every length, angle and volume of the base, by the kit's names."""
    (post, guest, _), notch, seat = posts(design)
    foot, foot_flat, floor_corner = flat(post, post.low, design.foot_depth, upward=False)
    head, head_flat, top_corner = flat(post, post.high, design.head_depth, upward=True)
    forward = unit(post.along * np.array([1, 1, 0]))
    aside = tangent(0) * np.sign(waist_position(design))
    notch_volume = volume(notch_solid(post, guest))
    low, high = floor_corner + design.foot_depth, top_corner - design.head_depth
    ends = {
        f"{name}_{what}": found
        for name, at, level, upward in (
            ("foot", post.low, low, False),
            ("head", post.high, high, True),
        )
        for what, found in reaches(post, at, level, upward, aside).items()
    }
    towards_guest = guest.bearing * (1 if design.notches_up else -1)
    floor = guest.waist - design.section / 2 * towards_guest
    return {
        "notch_depth": design.across / 2 - float((floor - post.waist) @ towards_guest),
        "crossing_angle": float(np.arccos(post.along @ guest.along)),
        "bearing_rise": abs(float(post.bearing[2])),
        "side_rise": abs(float(post.side[2])),
        "centre_distance": float(np.linalg.norm(post.waist)),
        "waist_step": (seat - notch) / 2 * (1 if design.notches_up else -1),
        "foot_arm": -post.low,
        "head_arm": post.high,
        "corner_height": top_corner - floor_corner,
        "base_height": high - low,
        "foot_flat": foot_flat,
        "head_flat": head_flat,
        "foot_reach": -float(foot @ forward),
        "head_reach": float(head @ forward),
        "foot_sidestep": float(foot @ aside),
        "head_sidestep": float(head @ aside),
        "foot_radius": float(np.hypot(foot[0], foot[1])),
        "head_radius": float(np.hypot(head[0], head[1])),
        "foot_spread": float(np.linalg.norm(foot - _third_turn(foot))),
        # counted positive where the posts cross more sharply than square
        "notch_floor_tilt": float(
            np.arctan2(-guest.bearing @ post.bearing, guest.bearing @ post.side)
        ),
        "notch_width": design.across / abs(float(post.along @ guest.side)),
        "notch_volume": notch_volume,
        "post_volume": trimmed_volume(post, low, high) - notch_volume,
        **ends,
    }


def _third_turn(point: Vector) -> Vector:
    """The point turned by a third of a circle about the centre line."""
    cos, sin = -0.5, np.sqrt(3) / 2
    return np.array([cos * point[0] - sin * point[1], sin * point[0] + cos * point[1], point[2]])


def foot_loads(foot_radius: float, weight: float, load: float, at: tuple[float, float]) -> Vector:
    """What three feet on a circle carry, with `weight` at its centre and `load` at plan point `at`.

    From the balance of forces and of moments about two level axes; shape (3,).
    """
    turns = 2 * np.pi * np.arange(3) / 3
    feet = foot_radius * np.column_stack([np.cos(turns), np.sin(turns)])
    balance = np.vstack([np.ones(3), feet.T])
    return np.linalg.solve(balance, np.array([weight + load, load * at[0], load * at[1]]))


def tipping_load(foot_radius: float, weight: float, rim: float, bearing: float) -> float:
    """Load on the rim, `bearing` radians round from a foot, that takes the last load off a foot.

    Infinite where no load does. The loads on the feet grow in step with the load, so two trials
    settle where each becomes nothing.
    """
    at = (rim * np.cos(bearing), rim * np.sin(bearing))
    bare = foot_loads(foot_radius, weight, 0.0, at)
    per_newton = foot_loads(foot_radius, weight, 1.0, at) - bare
    lifting = per_newton < -1e-15
    return float(np.min(-bare[lifting] / per_newton[lifting])) if lifting.any() else np.inf
