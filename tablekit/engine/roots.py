"""Every root of a function of one value over a range: sampled, then closed by Brent's method.

The function may have no real value (nan) in parts of the range. Two roots between neighbouring
samples show as a dip of the function towards zero, which is followed to its bottom.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.slack import with_slack

Floats = NDArray[np.float64]
Residual = Callable[[float], float]
_SAMPLES, _DENSE = 97, 961
_HAIR = 1e-3  # of the outermost cell
_HALVINGS = 60


def spread(low: float, high: float, count: int) -> Floats:
    """Values over a range: a length that may be a peg or a post by ratio, an angle evenly."""
    if low > 0 and high > 20 * low:
        return np.geomspace(low, high, count)
    return np.linspace(low, high, count)


def sample_points(low: float, high: float, *, dense: bool = False) -> Floats:
    """Where to sample a range.

    A hair beyond each end, so that a root at the very edge lies between two samples, and a hair
    inside, so that a dip in the outermost cell shows.
    """
    inner = spread(low, high, _DENSE if dense else _SAMPLES)
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
    bottom = minimize_scalar(
        lambda x: sign * residual(float(x)),
        bounds=(left, right),
        method="bounded",
        options={"xatol": 1e-12 * max(abs(left), abs(right))},
    )
    if bottom.fun < 0:
        lowest = float(bottom.x)
        crossings += [_close(residual, left, lowest), _close(residual, lowest, right)]
    else:
        touches.append(float(bottom.x))
