"""Roots of several equations in several unknowns, from many starts at once.

A damped Gauss-Newton method (Levenberg and Marquardt) that works on all starts together as arrays:
the equations are functions compiled for NumPy, and one call for a hundred points takes little
longer than one for a single point. Fewer equations than unknowns are allowed: the step is then the
shortest that closes them, so that a start is moved no further than it must.

K. Levenberg, Quart. Appl. Math. 2 (1944); D. W. Marquardt, SIAM J. 11 (1963) (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# Points of shape (n, unknowns) and, for each, the index of the start it belongs to -> what each
# equation leaves over, of shape (n, equations), in units in which 1 is large.
Residuals = Callable[[Floats, NDArray[np.intp]], Floats]

STEPS = 40
_DIFFERENCE = 1e-7  # of the size of an unknown: half the figures of a float
_DAMPING, _EASE, _STIFFEN, _MOST_DAMPING = 1e-3, 0.2, 8.0, 1e8
_SHARE = 1e-6  # of the damping, relative to the largest slopes
_STEEPEST = 1e100  # beyond which a slope is an accident of the range of floats
_FEW, _MANY = 8, 100  # equations or unknowns; starts
_STALLED, _PATIENCE = 1e-3, 8  # a start that gains less than this share in these steps is given up


@lru_cache(maxsize=64)
def quasi_random(count: int, dimensions: int) -> Floats:
    """Points spread evenly over the unit cube, shape (count, dimensions), always the same.

    The additive recurrence of M. Roberts, "The unreasonable effectiveness of quasirandom
    sequences" (2018) (from memory)."""
    root = 2.0
    for _ in range(64):  # the positive root of x^(d+1) = x + 1
        root = (1 + root) ** (1 / (dimensions + 1))
    shares = root ** -np.arange(1, dimensions + 1, dtype=float)
    points: Floats = (0.5 + np.arange(1, count + 1)[:, None] * shares[None, :]) % 1.0
    points.flags.writeable = False  # it is kept
    return points


def spans_decades(low: float, high: float) -> bool:
    """Whether a value in this range is better compared with another by ratio than by difference."""
    return low > 0 and high > 20 * low


def over_range(share: Floats, low: float, high: float) -> Floats:
    """Values over a range for shares from 0 to 1, on the scale that suits the range.

    By ratio where it spans decades; closer together towards zero where it begins at zero or lies
    on both sides of it, so that a small value in a wide range is met; evenly otherwise."""
    if spans_decades(low, high):
        return np.asarray(low * (high / low) ** share)
    if low < 0 < high:
        turn = 2 * share - 1
        return np.asarray(np.where(turn < 0, -low, high) * turn**3)
    if low == 0:
        return np.asarray(high * share**2)
    return np.asarray(low + (high - low) * share)


def polish(
    residuals: Residuals,
    starts: Floats,
    low: Floats,
    high: Floats,
    *,
    close: float = 1e-12,
    steps: int = STEPS,
    patience: int = _PATIENCE,
) -> tuple[Floats, Floats]:
    """Move starts towards roots: (points of shape (n, unknowns), their largest residuals, or inf).

    starts     shape (n, unknowns)
    low, high  bounds of the unknowns, shape (unknowns,) or (n, unknowns); never left
    close      the residual at which a point is taken for a root
    patience   steps in which a start must gain something, or it is given up"""
    low, high = np.broadcast_to(low, starts.shape), np.broadcast_to(high, starts.shape)
    points = np.clip(starts, low, high)
    left, slopes, scale = _around(residuals, points, np.arange(len(points)), low, high)
    size, damping = _size(left), np.full(len(points), _DAMPING)
    earlier = np.full((patience, len(points)), math.inf)
    for step in range(steps):
        stalled = size > (1 - _STALLED) * earlier[step % patience]
        earlier[step % patience] = size
        going = (size > close) & np.isfinite(size) & ~stalled & (damping < _MOST_DAMPING)
        active = np.nonzero(going)[0]
        if not len(active):
            break
        here = points[active], scale[active], low[active], high[active]
        moved = _step(slopes[active], left[active], damping[active], *here)
        # The slopes there come along in the same call: most steps are good ones.
        after, slopes_after, scale_after = _around(residuals, moved, active, *here[2:])
        # Judged by the sum of squares, which a Gauss-Newton step is sure to lower if it is short.
        better = _norm(after) < _norm(left[active])
        chosen = active[better]
        points[chosen], left[chosen] = moved[better], after[better]
        slopes[chosen], scale[chosen] = slopes_after[better], scale_after[better]
        size = _size(left)
        damping[active] = _damped(damping[active], better, after)
    return points, size


def _damped(damping: Floats, better: NDArray[np.bool_], after: Floats) -> Floats:
    """The damping for the next step: less after a good one, more after a bad one; a step to where
    there is no real value is halved at once."""
    eased = np.where(better, np.maximum(damping * _EASE, 1e-15), damping * _STIFFEN)
    nowhere = ~np.isfinite(_size(after))
    return np.asarray(np.where(nowhere, np.maximum(eased, 1 / _SHARE), eased))


def _size(left: Floats) -> Floats:
    largest = np.max(np.abs(left), axis=1, initial=0.0)
    return np.asarray(np.where(np.isfinite(largest), largest, math.inf))


def _norm(left: Floats) -> Floats:
    total = np.sum(left * left, axis=1)
    return np.asarray(np.where(np.isfinite(total), total, math.inf))


def unknown_scale(points: Floats, low: Floats, high: Floats) -> Floats:
    """How large a change of each unknown counts as a whole: its size, or a thousandth of its
    range where it is next to zero. Of the shape of the points."""
    return np.asarray(np.maximum(np.abs(points), 1e-3 * (high - low)))


def _around(
    residuals: Residuals, at: Floats, which: NDArray[np.intp], low: Floats, high: Floats
) -> tuple[Floats, Floats, Floats]:
    """What the equations leave over at points, their slopes there by differences in the scale of
    the unknowns, and that scale: shapes (n, equations), (n, equations, unknowns), (n, unknowns)."""
    count, unknowns = at.shape
    scale = unknown_scale(at, low, high)
    step = _DIFFERENCE * scale
    step = np.where(at + step > high, -step, step)  # never over the upper bound
    stacked = np.repeat(at[:, None, :], unknowns + 1, axis=1)
    diagonal = np.arange(unknowns)
    stacked[:, diagonal, diagonal] += step
    all_left = residuals(stacked.reshape(-1, unknowns), np.repeat(which, unknowns + 1))
    beside = all_left.reshape(count, unknowns + 1, -1)
    left = beside[:, -1, :].copy()
    with np.errstate(invalid="ignore"):  # where there is no value there is no slope
        slopes = (beside[:, :-1, :] - left[:, None, :]) / (step / scale)[:, :, None]
    return left, np.swapaxes(np.where(np.abs(slopes) < _STEEPEST, slopes, 0.0), 1, 2).copy(), scale


def _step(
    slopes: Floats,
    left: Floats,
    damping: Floats,
    at: Floats,
    scale: Floats,
    low: Floats,
    high: Floats,
) -> Floats:
    """The points after one damped step; what would leave its bounds stops there and the rest
    of the step is worked out again without it."""
    moved = at + scale * _least(slopes, left, damping)
    held = (moved < low) | (moved > high)
    moved = np.clip(moved, low, high)
    again = np.nonzero(held.any(axis=1))[0]
    while len(again):  # each time one more unknown of each stops
        stopped, start, size = held[again], at[again], scale[again]
        gone = np.where(stopped, (moved[again] - start) / size, 0.0)
        ahead = left[again] + np.einsum("kcf,kf->kc", slopes[again], gone)
        inner = np.where(stopped[:, None, :], 0.0, slopes[again])
        there = start + size * _least(inner, ahead, damping[again])
        there = np.where(stopped, moved[again], there)
        moved[again] = np.clip(there, low[again], high[again])
        outside = (there < low[again]) | (there > high[again])
        held[again] = stopped | outside
        again = again[outside.any(axis=1)]
    return moved


def _least(slopes: Floats, left: Floats, damping: Floats) -> Floats:
    """The shortest damped step that lowers what is left over."""
    rows, unknowns = slopes.shape[1:]
    if min(rows, unknowns) <= _FEW and len(slopes) <= _MANY:
        # By singular values, which lose fewer figures where the equations are nearly alike.
        u, s, vt = np.linalg.svd(slopes, full_matrices=False)
        weight = s / (s * s + (_SHARE * damping[:, None] + 1e-28) * s[:, :1] ** 2 + 1e-300)
        along = np.einsum("kcr,kc->kr", u, left) * weight
        return np.asarray(-np.einsum("krf,kr->kf", vt, along), dtype=float)
    with np.errstate(all="ignore"):  # a step to nowhere is refused where it is judged
        return _least_squares(slopes, left, damping)


def _least_squares(slopes: Floats, left: Floats, damping: Floats) -> Floats:
    """As `_least`, by the normal equations."""
    rows, unknowns = slopes.shape[1:]
    turned = np.swapaxes(slopes, 1, 2)
    square = np.matmul(slopes, turned) if rows <= unknowns else np.matmul(turned, slopes)
    size = np.trace(square, axis1=1, axis2=2) + 1e-300
    square += ((_SHARE * damping + 1e-14) * size)[:, None, None] * np.eye(square.shape[1])
    if rows <= unknowns:
        step = np.matmul(turned, np.linalg.solve(square, left[:, :, None]))
    else:
        step = np.linalg.solve(square, np.matmul(turned, left[:, :, None]))
    return np.asarray(-step[:, :, 0], dtype=float)
