"""Every root of a function of one value over a range: sampled, then closed by Brent's method.

The function may have no real value (nan) in parts of the range. Two roots between neighbouring
samples show as a dip of the function towards zero, which is followed to its bottom.

For many designs at once, `crossings` and `edge_roots` close what lies between the samples of all of
them together; a design with a dip is left to the search for one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.newton import over_range
from tablekit.engine.slack import with_slack

Floats = NDArray[np.float64]
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
