"""The three-post base as solids, by a road of its own: plain vectors and boxes of manifold3d.

Nothing of `tablekit` is used. Posts come from `tests.relations.reference_vectors`.
"""

from __future__ import annotations

from typing import Any

import manifold3d
import numpy as np

from tests.relations import reference_vectors as vectors

SQUARE = float(np.arcsin(np.sqrt(2 / 3)))


def bar(middle: Any, directions: Any, low: Any, high: Any) -> Any:
    """A box between `low` and `high` along three unit directions that make a right-handed set."""
    box = manifold3d.Manifold.cube([float(b - a) for a, b in zip(low, high, strict=True)])
    frame = np.column_stack([np.column_stack(directions), middle])
    return box.translate([float(a) for a in low]).transform(frame)


def one_notch(design: vectors.Design) -> tuple[list[Any], list[vectors.Post]]:
    """Three posts less their notches, ends left sharp."""
    posts, _, _ = vectors.posts(design)
    half, far = design.section / 2, 10 * design.length
    bars, cutters = [], []
    for post in posts:
        directions = (post.along, post.bearing, post.side)
        bars.append(bar(post.waist, directions, (post.low, -half, -half), (post.high, half, half)))
        # What lies in a notch, with room without end above it.
        low, high = (-half, far) if design.notches_up else (-far, half)
        cutters.append(bar(post.waist, directions, (-far, low, -half), (far, high, half)))
    return [bars[k] - cutters[(k + 1) % 3] for k in range(3)], posts


def two_notches(section: float, length: float) -> list[Any]:
    """Three posts along x, y and z through one point, an eighth left to each end of each core.

    Post x keeps what lies at y > 0 and z < 0 of the crossing, the others likewise, taken in turn.
    """
    half, core = section / 2, section
    made = []
    for k in range(3):
        axes = np.roll(np.eye(3), -k, axis=0)
        whole = bar(np.zeros(3), axes, (-length / 2, -half, -half), (length / 2, half, half))
        for low, high in (
            ((-half, -core, -core), (half, 0, core)),
            ((-half, -core, 0), (half, core, core)),
        ):
            whole = whole - bar(np.zeros(3), axes, low, high)
        made.append(whole)
    return made


def shared(first: Any, second: Any) -> float:
    """Wood that two solids share, mm³."""
    return float((first ^ second).volume())
