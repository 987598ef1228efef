"""Parts that come apart only when all of them move at once. Lengths in millimetres.

Each part moves evenly along its own straight line, so any two of them slide past one another along
a straight line too, and the exact sweep applies.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.contact import Patch, separations
from tablekit.solids.sweep import Slides

Array = NDArray[np.float64]


def opening(contacts: Sequence[Patch], count: int) -> Array | None:
    """The gentlest velocities, shape (count, 3), that open every contact that can be opened.

    None where none can. No turning; a contact that opens parts by at least 1 for a unit of time,
    none closes, and the sum of squared velocities is the least there is. That motion is the only
    one of its kind, so alike parts move alike.
    """
    rates = separations(contacts, range(count), reach=1.0)
    straight = rates.reshape(len(rates), count, 6)[:, :, :3].reshape(len(rates), 3 * count)
    wanted = _can_open(straight)
    if not wanted.any():
        return None
    return _least_distance(straight, wanted.astype(float)).reshape(count, 3)


def _can_open(rates: Array) -> NDArray[np.bool_]:
    """Which contacts can part at all while none closes: a linear programme."""
    from scipy.optimize import linprog

    corners, unknowns = rates.shape
    # Each contact's opening is counted up to 1. Motions add and can be sped up, so every contact
    # that can open at all reaches 1 in the best answer.
    answer = linprog(
        np.concatenate([np.zeros(unknowns), -np.ones(corners)]),
        A_ub=np.hstack([-rates, np.eye(corners)]),
        b_ub=np.zeros(corners),
        bounds=[(None, None)] * unknowns + [(0, 1)] * corners,
    )
    return np.asarray(answer.x[unknowns:] > 0.5)


def _least_distance(rates: Array, least: Array) -> Array:
    """The shortest x with rates @ x >= least.

    Lawson and Hanson, Solving Least Squares Problems, chapter 23, from memory: the residual of one
    least-squares problem in non-negative unknowns points along the answer.
    """
    from scipy.optimize import nnls

    matrix = np.vstack([rates.T, least])
    target = np.concatenate([np.zeros(rates.shape[1]), [1.0]])
    residual = matrix @ nnls(matrix, target)[0] - target
    return np.asarray(-residual[:-1] / residual[-1])


def part_at_once(slides: Slides, bars: Slides, contacts: Sequence[Patch]) -> Array | None:
    """How far each part travels to be past all others when they move at once, shape (n, 3), mm.

    slides  the parts as they are cut
    bars    the same uncut, which says when they are past
    None where that motion opens nothing or is blocked further on.
    """
    velocities = opening(contacts, slides.count)
    if velocities is None:
        return None
    still = np.zeros_like(velocities)
    if np.isfinite(slides.stop(still, velocities, range(slides.count))):
        return None
    return velocities * bars.all_clear_after(velocities)
