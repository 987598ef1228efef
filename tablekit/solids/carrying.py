"""What the joint must carry: equilibrium of posts that press on one another. Millimetres, newtons.

Posts and top are rigid bodies. The load stands on the top; a post is pushed by the top at its head,
by the floor at its foot, by the posts that it touches, and perhaps by its weight. Where it touches
another, a push may act at any corner of the face they share; pushes at the corners make every even
and uneven pressure that the whole face could give. Whether such pushes exist, and how small their
sum can be, is a linear programme.

The forces so found are the *least* there can be: stiff posts wedged into one another, swollen or
clamped, may press harder, but none can carry the load with less.
(`reference/derivations/joint_load.md`)

The faces on which notched posts bear on one another come first. The post that lies in a notch is
itself cut away for the next one, so it does not fill the notch that it lies in: with one notch to a
post there is an empty corner where all three meet, and one wall of each notch, and its floor, bear
on part of their width only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import NEAR, Body
from tablekit.solids.contact import Patch, patches
from tablekit.solids.notched import FLOOR, FOOT_WALL, HEAD_WALL, NotchedPost

# -- the faces that posts bear on ------------------------------------------------------------------

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


# -- equilibrium -----------------------------------------------------------------------------------

# The three posts and the top.
BODIES, TOP = 4, 3
# Arms are counted in decimetres, so that forces and turning forces are alike in size.
_ARM = 100.0


@dataclass(frozen=True)
class Holding:
    """What keeps the posts from sliding, other than their faces.

    heads_tied      the top is screwed to all three heads: it keeps their distances, and may pull
                    one of them up; otherwise it only rests on them
    floor_friction  coefficient under the feet
    joint_friction  coefficient where posts touch
    glued           the notch floors are glued; walls are not counted, since one side of every
                    wall is end grain
    top_held        something outside (a wall, a hand) also keeps the top from shifting and turning
    *_sides         sides of the pyramid that stands for the cone of friction. Its edges lie on the
                    cone, so it allows less than the cone: the forces come out too large, never too
                    small, by less than 1 − cos(π/sides) of the friction
    glue_shear, glue_pull   what the glue is trusted with, MPa
    """

    heads_tied: bool = False
    floor_friction: float = 0.0
    joint_friction: float = 0.0
    glued: bool = False
    top_held: bool = False
    floor_sides: int = 24
    joint_sides: int = 16
    glue_shear: float = 1.0
    glue_pull: float = 0.5


@dataclass(frozen=True, eq=False)
class Burden:
    """What is to be carried, and where it is supported.

    feet, heads       points of support of the posts, shape (3, 3), mm
    load, at          plumb load on the top, downward above 0, N, and its place in plan, shape (2,)
    top_weight        weight of the top, N; it acts on the centre line
    weights, middles  weight of each post, shape (3,), N, and the point it acts at, shape (3, 3)
    """

    feet: Array
    heads: Array
    load: float
    at: Array
    top_weight: float
    weights: Array
    middles: Array


@dataclass(frozen=True, eq=False)
class Forces:
    """A set of forces in equilibrium.

    least    the sum of all pushes and pulls square to the shared faces, N; there is no smaller one
    bound    the same from the dual programme: a proof that nothing smaller exists
    points   where posts press on one another, shape (n, 3)
    face     which face each point is of, shape (n,)
    pushes   force at each point on the guest of its face, shape (n, 3), N
    normals  its part square to the face, less than 0 where glue pulls, shape (n,), N
    feet     force of the floor on each foot, shape (3, 3), N
    heads    force of the top on each head, shape (3, 3), N
    """

    least: float
    bound: float
    points: Array
    face: NDArray[np.int64]
    pushes: Array
    normals: Array
    feet: Array
    heads: Array


@dataclass(frozen=True, eq=False)
class Pressures:
    """The gentlest way to spread the forces over the shared faces.

    peak    the greatest pressure of that way, MPa; every other way has one as great or greater
    forces  its forces, one for each cell of the faces
    areas   area of each cell, shape (n,), mm²
    """

    peak: float
    forces: Forces
    areas: Array


def least_forces(
    posts: Sequence[NotchedPost], faces: Sequence[Face], burden: Burden, holding: Holding
) -> Forces | None:
    """The forces whose normal parts have the smallest sum; None where no forces will do."""
    spots = cells(faces) if holding.glued else corners_of(faces)
    programme = _Programme(posts, faces, spots, burden, holding)
    answer = programme.solve(programme.cost, None)
    if answer is None:
        return None
    values, bound = answer
    return programme.forces(values, bound)


def least_pressure(
    posts: Sequence[NotchedPost],
    faces: Sequence[Face],
    burden: Burden,
    holding: Holding,
    halvings: int = 1,
) -> Pressures | None:
    """The forces whose greatest pressure on any cell is the smallest; None where none will do.

    Each face is cut into small triangles, each pressed evenly. So the answer is a pressure that
    could act, and finer triangles (more `halvings`) can only lower it.
    """
    spots = cells(faces, halvings)
    programme = _Programme(posts, faces, spots, burden, holding)
    peak = np.zeros(len(programme.cost) + 1)
    peak[-1] = 1.0
    answer = programme.solve(peak, programme.pressed(spots.areas))
    if answer is None:
        return None
    values, bound = answer
    return Pressures(float(values[-1]), programme.forces(values[:-1], bound), spots.areas)


class _Programme:
    """Unknown forces, and the six conditions of equilibrium of each post and of the top.

    Every column is what one unit of an unknown does: (force, turning force) on post 1, on 2, on 3
    and on the top.
    """

    def __init__(
        self,
        posts: Sequence[NotchedPost],
        faces: Sequence[Face],
        spots: Cells,
        burden: Burden,
        holding: Holding,
    ) -> None:
        self._faces, self._spots, self._burden, self._holding = faces, spots, burden, holding
        self._middle = burden.heads.mean(axis=0)
        self._blocks: list[tuple[str, Array]] = []
        self._columns: list[Array] = []
        self._bounds: list[tuple[Array, Array]] = []
        self._costs: list[Array] = []
        self._joint(posts)
        if holding.glued:
            self._glue(posts)
        self._floor()
        self._top()
        self.cost = np.concatenate(self._costs)
        self._matrix = np.vstack(self._columns).T
        self._load = self._outside()

    # -- the unknowns ----------------------------------------------------------------------------

    def _joint(self, posts: Sequence[NotchedPost]) -> None:
        """A push at every spot, square to the face or leaning as far as friction lets it."""
        normals = np.array([face.normal for face in self._faces])
        first, second = self._tangents(posts)
        fan = _fan(self._holding.joint_friction, self._holding.joint_sides)
        leaning = (
            normals[:, None]
            + fan[:, 0, None] * first[:, None]
            + fan[:, 1, None] * (second[:, None])
        )
        self._at_spots("joint", leaning[self._spots.face], 0.0, np.inf, cost=1.0)

    def _glue(self, posts: Sequence[NotchedPost]) -> None:
        """Pull and shear at every spot of a glued face, within what the glue is trusted with."""
        glued = np.array([face.what == "floor" for face in self._faces])[self._spots.face]
        areas = np.where(glued, self._spots.areas, 0.0)[:, None]
        normals = np.array([face.normal for face in self._faces])[self._spots.face]
        pull = areas * self._holding.glue_pull
        self._at_spots("pull", -normals[:, None], 0.0, pull, cost=1.0)
        # Either way at most 1/√2 of it: the square lies inside the circle of allowed shears.
        shear = areas * self._holding.glue_shear / np.sqrt(2)
        both = np.stack(self._tangents(posts), axis=1)[self._spots.face]
        self._at_spots("shear", both, -shear, shear, cost=0.0)

    def _floor(self) -> None:
        """A push under each foot."""
        fan = _fan(self._holding.floor_friction, self._holding.floor_sides)
        pushes = np.column_stack([fan, np.ones(len(fan))])
        for post, foot in enumerate(self._burden.feet):
            self._add("feet", _wrench(post, foot - self._middle, pushes), pushes, 0.0, np.inf)

    def _top(self) -> None:
        """What the top does to each head, and each head to the top."""
        plumb, level = np.eye(3)[2:], np.eye(3)[:2]
        tied = self._holding.heads_tied
        for post, head in enumerate(self._burden.heads):
            arm = head - self._middle
            rest = _wrench(post, arm, -plumb) - _wrench(TOP, arm, -plumb)
            self._add("rest", rest, -plumb, -np.inf if tied else 0.0, np.inf)
            if tied:
                tie = _wrench(post, arm, level) - _wrench(TOP, arm, level)
                self._add("tie", tie, level)
        if self._holding.top_held:
            turn = np.zeros((1, BODIES * 6))
            turn[0, -1] = 1.0
            held = np.vstack([_wrench(TOP, np.zeros(3), level), turn])
            self._add("held", held, np.zeros((3, 3)))

    def _at_spots(
        self, name: str, pushes: Array, low: Array | float, high: Array | float, cost: float
    ) -> None:
        """Unknown pushes, shape (spots, k, 3), on the guest of each face, and back on its host."""
        ways = pushes.shape[1]
        arms = (self._spots.points - self._middle)[:, None] / _ARM
        own = np.concatenate([pushes, np.cross(arms, pushes)], axis=2)
        columns = np.zeros((len(own), ways, 6 * BODIES))
        for number, face in enumerate(self._faces):
            at = self._spots.face == number
            columns[at, :, 6 * face.guest : 6 * face.guest + 6] += own[at]
            columns[at, :, 6 * face.host : 6 * face.host + 6] -= own[at]
        self._blocks.append((name, pushes.reshape(-1, 3)))
        self._columns.append(columns.reshape(-1, 6 * BODIES))
        shape = (len(own), ways)
        self._bounds.append(
            (np.broadcast_to(low, shape).ravel(), np.broadcast_to(high, shape).ravel())
        )
        self._costs.append(np.full(len(own) * ways, cost))

    def _add(
        self, name: str, columns: Array, pushes: Array, low: float = -np.inf, high: float = np.inf
    ) -> None:
        count = len(columns)
        self._blocks.append((name, pushes))
        self._columns.append(columns)
        self._bounds.append((np.full(count, low), np.full(count, high)))
        self._costs.append(np.zeros(count))

    def _tangents(self, posts: Sequence[NotchedPost]) -> tuple[Array, Array]:
        """Two directions in each face, the first along the post that lies in the notch."""
        first = np.array([_within(face, posts) for face in self._faces])
        return first, np.cross([face.normal for face in self._faces], first)

    # -- the answer ------------------------------------------------------------------------------

    def _outside(self) -> Array:
        """What the unknown forces have to balance."""
        own = self._burden
        level = self._middle[2]
        plumb: list[tuple[int, Array, float]] = [
            (TOP, np.array([*own.at, level]), own.load),
            (TOP, np.array([0.0, 0.0, level]), own.top_weight),
            *((post, own.middles[post], float(own.weights[post])) for post in range(3)),
        ]
        down = np.array([[0.0, 0.0, -1.0]])
        return -sum(
            (_wrench(body, point - self._middle, down * force)[0] for body, point, force in plumb),
            np.zeros(6 * BODIES),
        )

    def pressed(self, areas: Array) -> Array:
        """Rows that say: the push on each cell is at most the peak, the last unknown, times its
        area. Shape (cells, unknowns + 1)."""
        rows = np.zeros((len(areas), len(self.cost) + 1))
        ways = len(self._blocks[0][1]) // len(areas)
        for cell in range(len(areas)):
            rows[cell, cell * ways : (cell + 1) * ways] = 1.0
        rows[:, -1] = -areas
        return rows

    def solve(self, cost: Array, rows: Array | None) -> tuple[Array, float] | None:
        """The unknowns and the value of the dual programme; None where nothing will do."""
        from scipy.optimize import linprog
        from scipy.sparse import csr_matrix

        low, high = (np.concatenate(side) for side in zip(*self._bounds, strict=True))
        matrix = self._matrix
        extra = len(cost) - matrix.shape[1]
        matrix = np.hstack([matrix, np.zeros((len(matrix), extra))])
        bounds = np.column_stack(
            [np.append(low, np.zeros(extra)), np.append(high, np.full(extra, np.inf))]
        )
        # Worked with loads of about 1, and put back: a solver's tolerances are not relative.
        size = float(np.abs(self._load).max())
        answer = linprog(
            cost,
            A_eq=matrix,
            b_eq=self._load / size,
            A_ub=None if rows is None else csr_matrix(rows),
            b_ub=None if rows is None else np.zeros(len(rows)),
            bounds=bounds / size,
            method="highs",
        )
        if answer.status != 0:
            return None
        finite = np.isfinite(bounds)
        dual = answer.eqlin.marginals @ self._load
        for side, margin in enumerate((answer.lower, answer.upper)):
            kept = finite[:, side]
            dual += margin.marginals[kept] @ bounds[kept, side]
        return answer.x * size, float(dual)

    def forces(self, values: Array, bound: float) -> Forces:
        """The unknowns as forces at their places."""
        count = len(self._spots.points)
        normals = np.array([face.normal for face in self._faces])[self._spots.face]
        pushes, feet, heads = np.zeros((count, 3)), np.zeros((3, 3)), np.zeros((3, 3))
        place, seen = 0, {"feet": 0, "rest": 0, "tie": 0}
        for name, ways in self._blocks:
            own = values[place : place + len(ways)]
            place += len(ways)
            if name in seen:
                (feet if name == "feet" else heads)[seen[name]] += own @ ways
                seen[name] += 1
            elif name != "held":
                pushes += (own[:, None] * ways).reshape(count, -1, 3).sum(axis=1)
        least = float(values @ self.cost)
        square = (pushes * normals).sum(axis=1)
        return Forces(
            least, bound, self._spots.points, self._spots.face, pushes, square, feet, heads
        )


def _fan(friction: float, sides: int) -> Array:
    """Edges of the friction pyramid for a normal force of 1, shape (sides, 2) or (1, 2)."""
    if friction <= 0:
        return np.zeros((1, 2))
    turns = 2 * np.pi * np.arange(sides) / sides
    return friction * np.column_stack([np.cos(turns), np.sin(turns)])


def _within(face: Face, posts: Sequence[NotchedPost]) -> Array:
    """A direction in the face: along the guest, or along the host where the guest stands out."""
    for post in (face.guest, face.host):
        along = posts[post].along - (posts[post].along @ face.normal) * face.normal
        length = float(np.linalg.norm(along))
        if length > 0.5:
            return np.asarray(along / length)
    raise AssertionError("two posts that touch along a plane both stand square to it")


def _wrench(post: int, arm: Array, pushes: Array) -> Array:
    """Forces, shape (k, 3), at an arm from the middle: columns of one post, shape (k, 24)."""
    columns = np.zeros((len(pushes), 6 * BODIES))
    columns[:, 6 * post : 6 * post + 3] = pushes
    columns[:, 6 * post + 3 : 6 * post + 6] = np.cross(arm / _ARM, pushes)
    return columns
