"""Roots: of several equations from many starts at once, and every root of one over a range.

Several equations in several unknowns are closed by a damped Gauss-Newton method (Levenberg and
Marquardt) that works on all starts together as arrays: the equations are functions compiled for
NumPy, and one call for a hundred points takes little longer than one for a single point. Fewer
equations than unknowns are allowed: the step is then the shortest that closes them, so that a start
is moved no further than it must.

A function of one value is sampled over its range, and each root closed by Brent's method. It may
have no real value (nan) in parts of the range. Two roots between neighbouring samples show as a dip
of the function towards zero, which is followed to its bottom. For many designs at once, `crossings`
and `edge_roots` close what lies between the samples of all of them together; a design with a dip is
left to the search for one.

K. Levenberg, Quart. Appl. Math. 2 (1944); D. W. Marquardt, SIAM J. 11 (1963) (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.slack import with_slack

# -- several equations, from many starts -----------------------------------------------------------

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


# -- one value, over a range -----------------------------------------------------------------------

Indices = NDArray[np.intp]
Residual = Callable[[float], float]
ArrayResidual = Callable[..., Any]  # (tried, *columns) -> residual
_SAMPLES, _DENSE = 193, 1921
_HAIR = 1e-3  # of the outermost cell
_HALVINGS = 60
_DEEP = 0.05  # a dip whose parabola comes within this share of its rims is looked at closely


def sample_points(low: float, high: float, *, dense: bool = False) -> Floats:
    """Where to sample a range.

    A hair beyond each end, so that a root at the very edge lies between two samples, and a hair
    inside, so that a dip in the outermost cell shows.
    """
    inner = over_range(np.linspace(0.0, 1.0, _DENSE if dense else _SAMPLES), low, high)
    lower, upper = with_slack(low, high)
    first, last = _HAIR * (inner[1] - inner[0]), _HAIR * (inner[-1] - inner[-2])
    return np.concatenate(([lower, low, low + first], inner[1:-1], [high - last, high, upper]))


def all_roots(
    residual: Residual, points: Floats, sampled: Floats
) -> tuple[list[float], list[float]]:
    """Roots between the sampled points: (crossings of zero, places where it may just touch).

    `sampled` holds the residual at the points, nan where it is not real. The second list is for
    the caller to test: bottoms of dips and edges of what is real or sampled.
    """
    xs, fs = _with_edges(residual, points.tolist(), sampled.tolist())
    crossings = [x for x, f in zip(xs, fs, strict=True) if f == 0]
    for i in range(len(xs) - 1):
        if fs[i] * fs[i + 1] < 0:
            crossings.append(_close(residual, xs[i], xs[i + 1]))
    touches = _ends(xs, fs)
    for i in range(1, len(xs) - 1):
        before, here, after = fs[i - 1 : i + 2]
        if before * here > 0 and here * after > 0 and abs(before) >= abs(here) < abs(after):
            _into_dip(residual, xs[i - 1], xs[i + 1], here, crossings, touches)
    return crossings, touches


def _with_edges(
    residual: Residual, xs: list[float], fs: list[float]
) -> tuple[list[float], list[float]]:
    """The samples with the edges of what is real put in, and a point a hair inside of each."""
    points, values = [xs[0]], [fs[0]]
    for i in range(1, len(xs)):
        if math.isnan(fs[i - 1]) != math.isnan(fs[i]):
            good, bad = (xs[i], xs[i - 1]) if math.isnan(fs[i - 1]) else (xs[i - 1], xs[i])
            edge = _edge(residual, good, bad)
            extra = sorted({edge, edge + _HAIR * (good - edge)} - {good})
            points += extra
            values += [residual(x) for x in extra]
        points.append(xs[i])
        values.append(fs[i])
    return points, values


def _edge(residual: Residual, good: float, bad: float) -> float:
    for _ in range(_HALVINGS):
        middle = (good + bad) / 2
        if math.isnan(residual(middle)):
            bad = middle
        else:
            good = middle
    return good


def _ends(xs: Sequence[float], fs: Sequence[float]) -> list[float]:
    """The first and last point of every stretch of real values."""
    real = [not math.isnan(f) for f in fs]
    before, after = [False, *real[:-1]], [*real[1:], False]
    return [x for x, r, b, a in zip(xs, real, before, after, strict=True) if r and not (b and a)]


def _close(residual: Residual, left: float, right: float) -> float:
    """The root between two points of opposite sign."""
    from scipy.optimize import brentq

    at_left, at_right = residual(left), residual(right)
    if not at_left * at_right < 0:
        # The samples came from NumPy, this from math: a last bit may turn a sign, but only
        # where the value is next to nothing.
        return left if abs(at_left) <= abs(at_right) else right
    try:
        return float(brentq(residual, left, right, xtol=1e-15, rtol=1e-14))
    except ValueError:  # it stopped being real on the way
        return math.nan


def _into_dip(
    residual: Residual,
    left: float,
    right: float,
    value: float,
    crossings: list[float],
    touches: list[float],
) -> None:
    from scipy.optimize import minimize_scalar

    sign = math.copysign(1.0, value)
    # As a distance from `left`: scipy finds x to 1.5e-8 of its own size at best, so that far out a
    # narrow cell would be searched too coarsely.
    bottom = minimize_scalar(
        lambda x: sign * residual(left + float(x)),
        bounds=(0.0, right - left),
        method="bounded",
        options={"xatol": 1e-12 * max(abs(left), abs(right))},
    )
    lowest = left + float(bottom.x)
    if bottom.fun < 0:
        crossings += [_close(residual, left, lowest), _close(residual, lowest, right)]
    else:
        touches.append(lowest)


# -- many designs at once -------------------------------------------------------------------------


def crossings(
    residual: ArrayResidual, points: Floats, columns: Sequence[Floats], sampled: Floats
) -> Iterator[tuple[Indices, Floats]]:
    """Roots between sampled points, some designs at a time: (which designs, their roots).

    points of shape (p,), columns each of shape (n,), sampled of shape (p, n).
    """
    changes = (sampled[:-1] * sampled[1:] < 0) | (sampled[:-1] == 0)
    for designs, cell in _cells(changes):
        args = tuple(column[designs] for column in columns)
        yield designs, _close_many(residual, points[cell], points[cell + 1], args)


def edge_roots(
    residual: ArrayResidual, points: Floats, columns: Sequence[Floats], sampled: Floats
) -> Iterator[tuple[Indices, Floats, bool]]:
    """Roots between a sample and the edge of what is real, as `crossings`; and, marked True, the
    edges themselves, where a root may be hidden by rounding."""
    nan = np.isnan(sampled)
    for designs, cell in _cells(nan[:-1] != nan[1:]):
        args = tuple(column[designs] for column in columns)
        backward = nan[cell, designs]
        good = np.where(backward, points[cell + 1], points[cell])
        edge = _edge_many(residual, good, np.where(backward, points[cell], points[cell + 1]), args)
        opposite = residual(edge, *args) * residual(good, *args) < 0
        if opposite.any():
            yield (
                designs[opposite],
                _close_many(
                    residual, edge[opposite], good[opposite], tuple(a[opposite] for a in args)
                ),
                False,
            )
        yield designs, edge, True


def _cells(marked: NDArray[np.bool_]) -> Iterator[tuple[Indices, Indices]]:
    """The first marked cell of every design that has one, then the second, and so on."""
    order = np.cumsum(marked, axis=0)
    for nth in range(1, int(order[-1].max(initial=0)) + 1):
        where = marked & (order == nth)
        designs = np.nonzero(where.any(axis=0))[0]
        yield designs, where[:, designs].argmax(axis=0)


def _close_many(
    residual: ArrayResidual, left: Floats, right: Floats, args: tuple[Floats, ...]
) -> Floats:
    from scipy.optimize.elementwise import find_root

    found = find_root(
        lambda x, *known: residual(x, *known) + 0 * x,
        (left, right),
        args=args,
        tolerances={"xatol": 1e-15, "xrtol": 1e-14, "fatol": 0.0, "frtol": 0.0},
    )
    roots: Floats = found.x
    return roots


def _edge_many(
    residual: ArrayResidual, good: Floats, bad: Floats, args: tuple[Floats, ...]
) -> Floats:
    for _ in range(_HALVINGS):
        middle = (good + bad) / 2
        real = np.isfinite(residual(middle, *args))
        good, bad = np.where(real, middle, good), np.where(real, bad, middle)
    return good


def has_deep_dip(points: Floats, sampled: Floats) -> NDArray[np.bool_]:
    """Designs that may have two roots between samples: where the parabola through a least value
    and its neighbours comes near zero or beyond. points (p,), sampled (p, n); returns (n,)."""
    size = np.abs(sampled)
    least = (size[1:-1] <= size[:-2]) & (size[1:-1] < size[2:])
    least &= (sampled[1:-1] * sampled[:-2] > 0) & (sampled[1:-1] * sampled[2:] > 0)
    rows, designs = np.nonzero(least)
    x0, x1, x2 = (points[rows + shift] for shift in (0, 1, 2))
    f0, f1, f2 = (size[rows + shift, designs] for shift in (0, 1, 2))
    slope0, slope1 = (f1 - f0) / (x1 - x0), (f2 - f1) / (x2 - x1)
    curve = (slope1 - slope0) / (x2 - x0)
    at_least = slope0 + curve * (x1 - x0)  # slope at the least sample
    bottom = f1 - at_least**2 / (4 * curve)
    deep = np.zeros(sampled.shape[1], dtype=bool)
    deep[designs[bottom < _DEEP * np.maximum(f0, f2)]] = True
    return deep
