"""The parts of a piece as closed surfaces of triangles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.body import Body
from tablekit.solids.cutting import mesh, post_solid, solid
from tablekit.solids.notched import NotchedPost

Array = NDArray[np.float64]


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
