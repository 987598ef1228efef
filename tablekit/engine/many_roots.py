"""A root for each of many designs at once: the array counterpart of `roots`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
ArrayResidual = Callable[..., Any]  # (tried, *columns) -> residual
_HALVINGS = 60
_DEEP = 0.05  # a dip whose parabola comes within this share of its rims is looked at closely


def crossings(
    residual: ArrayResidual, points: Floats, columns: Sequence[Floats], sampled: Floats
) -> Iterator[tuple[Indices, Floats]]:
    """Roots between sampled points, some designs at a time: (which designs, their roots).

    points of shape (p,), columns each of shape (n,), sampled of shape (p, n).
    """
    changes = (sampled[:-1] * sampled[1:] < 0) | (sampled[:-1] == 0)
    for designs, cell in _cells(changes):
        args = tuple(column[designs] for column in columns)
        yield designs, _close(residual, points[cell], points[cell + 1], args)


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
        edge = _edge(residual, good, np.where(backward, points[cell], points[cell + 1]), args)
        opposite = residual(edge, *args) * residual(good, *args) < 0
        if opposite.any():
            yield (
                designs[opposite],
                _close(residual, edge[opposite], good[opposite], tuple(a[opposite] for a in args)),
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


def _close(
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


def _edge(residual: ArrayResidual, good: Floats, bad: Floats, args: tuple[Floats, ...]) -> Floats:
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
