"""Bodies and notched posts as solids of manifold3d, whose booleans keep a closed surface closed,
their surfaces as triangles, and plane cuts through them.

The library is loaded only when the first solid is cut. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from itertools import combinations, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.trouble import DesignError
from tablekit.solids.body import Body
from tablekit.solids.notched import NotchedPost
from tablekit.solids.taking_apart import Move

Array = NDArray[np.float64]
# Wood that may be rounding, mm³, and how far beside a place is looked as well, mm.
NOTHING, NEARBY = 1e-6, 1e-3


def library() -> Any:
    """manifold3d. Raises DesignError, saying what to do, where it is not installed."""
    try:
        return import_module("manifold3d")
    except ImportError as missing:
        raise DesignError(
            "cutting the parts as solids needs the library manifold3d, which is not installed. "
            "Install it with: pip install manifold3d"
        ) from missing


def solid(body: Body) -> Any:
    """A convex body as a manifold3d solid, in double precision."""
    lib = library()
    triangles = [(loop[0], *pair) for loop in body.faces for pair in pairwise(loop[1:])]
    made = lib.Manifold(
        lib.Mesh64(
            np.ascontiguousarray(body.vertices, dtype=np.float64),
            np.array(triangles, dtype=np.uint64),
        )
    )
    if made.status() != lib.Error.NoError:
        raise ValueError(f"{body.name} {body.number} has no closed surface: {made.status()}")
    return made


def post_solid(post: NotchedPost) -> Any:
    """A notched post as a solid: the bar less each of its notches."""
    whole = solid(post.prism)
    for notch in post.notches:
        whole = whole - solid(post.cutter(notch))
    return whole


def mesh(shape: Any) -> tuple[Array, NDArray[np.int64]]:
    """Corners (n, 3) and triangles (m, 3), anticlockwise seen from outside, of a solid."""
    found = shape.to_mesh64()
    corners = np.asarray(found.vert_properties)[:, :3]
    return corners, np.asarray(found.tri_verts).astype(np.int64)


def volume_and_centre(shape: Any) -> tuple[float, Array]:
    """Volume, mm³, and centre of mass, shape (3,), by the pyramids under every triangle."""
    corners, triangles = mesh(shape)
    # About a corner of its own: pyramids from a far origin would cancel and lose digits.
    origin = corners.mean(axis=0)
    a, b, c = (corners[triangles[:, k]] - origin for k in range(3))
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    total = float(volumes.sum())
    return total, np.asarray(origin + volumes @ (a + b + c) / 4 / total)


def replay(posts: Sequence[NotchedPost], moves: Sequence[Move], shots: int = 12) -> float:
    """Take posts apart as told, as solids, and give the most wood ever shared by two, mm³.

    shots  positions looked at along each slide, ends included

    A second witness to `tablekit.solids.contact`, which knows nothing of its pieces. It looks at
    positions only, so it can miss what happens between them; the sweep cannot.
    """
    return replay_shapes([post_solid(post) for post in posts], moves, shots)


def replay_shapes(shapes: Sequence[Any], moves: Sequence[Move], shots: int = 12) -> float:
    """The same for any solids of manifold3d; they stay as they are."""
    shapes = list(shapes)
    present = list(range(len(shapes)))
    most = 0.0
    for move in moves:
        others = [shapes[k] for k in present if k != move.part]
        part, direction = shapes[move.part], move.direction

        shared = partial(_along, part, direction, others)
        places = np.linspace(0, move.distance, shots)
        most = max([most, *(_steady(shared, float(place)) for place in places)])
        shapes[move.part] = part.translate(list(move.distance * direction))
        if move.leaves:
            present.remove(move.part)
    return most


def replay_together(posts: Sequence[NotchedPost], travels: Array, shots: int = 12) -> float:
    """The same for posts that all move at once, each by its travel, shape (n, 3), mm; in mm³."""
    return replay_shapes_together([post_solid(post) for post in posts], travels, shots)


def replay_shapes_together(shapes: Sequence[Any], travels: Array, shots: int = 12) -> float:
    """The same for any solids of manifold3d."""
    longest = float(np.linalg.norm(travels, axis=1).max())

    def shared(place: float) -> float:
        share = place / longest
        here = [s.translate(list(share * t)) for s, t in zip(shapes, travels, strict=True)]
        return max(float((a ^ b).volume()) for a, b in combinations(here, 2))

    return max(_steady(shared, float(place)) for place in np.linspace(0, longest, shots))


def _along(part: Any, direction: Array, others: Sequence[Any], place: float) -> float:
    """The most wood that a part shares with one of the others once it has slid to a place, mm³."""
    here = part.translate(list(place * direction))
    return max((float((here ^ other).volume()) for other in others), default=0.0)


def _steady(shared: Callable[[float], float], place: float) -> float:
    """The wood shared at a place of a slide, mm and mm³: the least of there and a micrometre before
    and after, where some is found.

    Faces that slide on one another coincide, and now and then a boolean comes out wrong at one
    position. Wood that is shared in earnest does not vanish within a micrometre.
    """
    found = shared(place)
    if found <= NOTHING:
        return found
    return min(found, shared(place - NEARBY), shared(place + NEARBY))


# -- closed surfaces of triangles ------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Surface:
    """The closed surface of one part.

    name       such as "post 1"
    corners    shape (n, 3), mm
    triangles  corner numbers, anticlockwise seen from outside, shape (m, 3)
    """

    name: str
    corners: Array
    triangles: NDArray[np.int64]


def surfaces_of(posts: Sequence[NotchedPost], bodies: Sequence[Body] = ()) -> tuple[Surface, ...]:
    """Posts as they are cut, and other bodies; mm, in place.

    Raises DesignError where manifold3d is missing."""
    shapes = [(f"post {post.number}", post_solid(post)) for post in posts]
    for body in bodies:
        name = body.name if body.name == "top" else f"{body.name} {body.number}"
        shapes.append((name, solid(body)))
    return tuple(surface_of(name, shape) for name, shape in shapes)


def surface_of(name: str, shape: Any) -> Surface:
    """The closed surface of a manifold3d solid, named."""
    return _in_order(name, *mesh(shape))


def _in_order(name: str, corners: Array, triangles: NDArray[np.int64]) -> Surface:
    """Corners and triangles sorted, so that nothing depends on the order they were cut in."""
    # Sorted as rounded: corners on one plane differ by rounding alone, which must not decide.
    keys = np.round(corners, 6) + 0.0
    order = np.lexsort(keys.T[::-1])
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    renamed = place[triangles]
    lowest = renamed.argmin(axis=1)
    turned = np.take_along_axis(renamed, (lowest[:, None] + np.arange(3)) % 3, axis=1)
    return Surface(name, keys[order], turned[np.lexsort(turned.T[::-1])])


# -- plane cuts, for a section drawing -------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Cut:
    """Where a plane meets one post: outlines in the plane, mm, each shape (n, 2), anticlockwise
    round wood and clockwise round a hole."""

    number: int
    outlines: tuple[Array, ...]


def level_cuts(posts: Sequence[NotchedPost], height: float) -> tuple[Cut, ...]:
    """Each post cut level at `height` mm over the floor, seen from above: x right, y up."""
    return tuple(Cut(post.number, _slice(post_solid(post), height)) for post in posts)


def cut_along(post: NotchedPost, across: Array, through: Array) -> Cut:
    """A post cut by the plane that holds its own direction and is square to `across`.

    across   unit normal of the plane, towards the viewer, square to the post, shape (3,)
    through  a point of the plane, mm, shape (3,); it is (0, 0) of the outlines

    Along the post, from foot to head, is to the right of the outlines.
    """
    right = post.along
    up = np.cross(across, right)
    frame = np.array([right, up, across])
    placed = np.column_stack([frame, -frame @ through])
    return Cut(post.number, _slice(post_solid(post).transform(placed), 0.0))


def _slice(shape: object, height: float) -> tuple[Array, ...]:
    found = shape.slice(height).to_polygons()  # type: ignore[attr-defined]
    return tuple(np.asarray(outline, dtype=float) for outline in found if len(outline) > 2)
