"""Where a camera stands from which parts fill its frame: place, what it looks at, and which way is
up, three numbers each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FILLING = 0.9  # a sphere about the box is larger than what is seen of the parts


class Extent(NamedTuple):
    """The middle of some parts, and how far they reach from it: half the diagonal of their box."""

    middle: Floats
    reach: float

    @classmethod
    def of(cls, corners: Sequence[Floats]) -> Extent:
        """The extent of the corners of each part, shape (n, 3) each."""
        every = np.concatenate(corners)
        low, high = every.min(axis=0), every.max(axis=0)
        return cls((low + high) / 2, float(np.linalg.norm(high - low)) / 2)


def fitted(seen: Extent, yaw: float, pitch: float, field: float) -> list[float]:
    """A camera from which all is seen, turned from x by `yaw` and down from plumb by `pitch`, with
    its field of view from low to high, all in degrees."""
    across, up = np.deg2rad((yaw, pitch))
    way = np.array([np.sin(up) * np.cos(across), np.sin(up) * np.sin(across), np.cos(up)])
    far = FILLING * seen.reach / np.sin(np.deg2rad(field / 2))
    return [*(seen.middle + far * way).tolist(), *seen.middle.tolist(), 0.0, 0.0, 1.0]


def following(camera: Sequence[float], before: Extent, now: Extent, nearer: float) -> list[float]:
    """The camera seen from the same side, gone as far off as what is seen has grown, and so many
    times as near."""
    place, target, up = np.array(camera, dtype=float).reshape(3, 3)
    aim = target + now.middle - before.middle
    place = aim + (place - target) * now.reach / before.reach / nearer
    return [*place.tolist(), *aim.tolist(), *up.tolist()]
