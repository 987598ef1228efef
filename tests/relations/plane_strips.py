"""Strips side by side as a plane of finite elements that want to change along and across rings.

Knows nothing of the kit's formulas: each element is told how it would change by itself, from the
direction to its pith, and the least strain energy decides what the glued whole does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

Floats = NDArray[np.float64]
# Bilinear squares, two Gauss points each way.
_GAUSS = [(a / np.sqrt(3), b / np.sqrt(3)) for a in (-1, 1) for b in (-1, 1)]
_CORNERS = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=float)


@dataclass(frozen=True)
class PlaneStrip:
    """A strip of a width, and its pith from the strip's middle, to the right and up."""

    width: float
    pith: tuple[float, float]


def middle_line(
    strips: Sequence[PlaneStrip], thickness: float, radial: float, tangential: float,
    cells: int = 16,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Places across the panel and how far its middle line stands above the chord of its ends."""
    xs, _, moved = glued(strips, thickness, radial, tangential, cells)
    line = moved[:, cells // 2, 1]
    return xs, line - np.interp(xs, xs[[0, -1]], line[[0, -1]])


def edge_turn(strip: PlaneStrip, thickness: float, radial: float, tangential: float) -> float:
    """How much the strip's left edge turns against its right one, at half its thickness, rad."""
    _, ys, moved = glued([strip], thickness, radial, tangential, 16)
    turns = [-np.gradient(moved[k, :, 0], ys)[8] for k in (0, -1)]
    return float(turns[0] - turns[1])


def glued(
    strips: Sequence[PlaneStrip], thickness: float, radial: float, tangential: float, cells: int
) -> tuple[Floats, Floats, Floats]:
    """Grid lines across and up, and the displacements there, shape (across, up, 2).

    radial, tangential   free change across the rings and along them, as shares
    cells                over the thickness; even
    """
    size = thickness / cells
    columns = [max(2, round(strip.width / size)) for strip in strips]
    edges = np.concatenate([[0], np.cumsum([strip.width for strip in strips])])
    xs = np.concatenate(
        [np.linspace(edges[k], edges[k + 1], n + 1)[:-1] for k, n in enumerate(columns)]
        + [edges[-1:]]
    )
    ys = np.linspace(-thickness / 2, thickness / 2, cells + 1)
    pith = [
        (edges[k] + strip.width / 2 + strip.pith[0], strip.pith[1])
        for k, strip in enumerate(strips) for _ in range(columns[k])
    ]  # fmt: skip
    return xs, ys, _solve(xs, ys, np.array(pith), radial, tangential)


def _solve(xs: Floats, ys: Floats, pith: Floats, radial: float, tangential: float) -> Floats:
    poisson = 0.3
    stiff = np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]])
    wide, high = len(xs), len(ys)
    rows, cols, values, load = [], [], [], np.zeros(2 * wide * high)
    for i in range(wide - 1):
        for j in range(high - 1):
            nodes = [i * high + j, (i + 1) * high + j, (i + 1) * high + j + 1, i * high + j + 1]
            freedoms = [2 * n + axis for n in nodes for axis in (0, 1)]
            a, b = (xs[i + 1] - xs[i]) / 2, (ys[j + 1] - ys[j]) / 2
            matrix, push = np.zeros((8, 8)), np.zeros(8)
            for s, t in _GAUSS:
                bent = _strains(s, t, a, b)
                x, y = (xs[i] + xs[i + 1]) / 2 + s * a, (ys[j] + ys[j + 1]) / 2 + t * b
                free = _free_strain(np.array([x, y]) - pith[i], radial, tangential)
                matrix += bent.T @ stiff @ bent * a * b
                push += bent.T @ stiff @ free * a * b
            rows += [f for f in freedoms for _ in freedoms]
            cols += freedoms * 8
            values += matrix.ravel().tolist()
            load[freedoms] += push
    # Held in three freedoms, so that it can neither shift nor turn.
    held = [0, 1, 2 * (wide - 1) * high + 1]
    free = np.setdiff1d(np.arange(2 * wide * high), held)
    whole = coo_matrix((values, (rows, cols))).tocsr()
    moved = np.zeros(2 * wide * high)
    moved[free] = spsolve(whole[free][:, free], load[free])
    return moved.reshape(wide, high, 2)


def _strains(s: float, t: float, a: float, b: float) -> Floats:
    found = np.zeros((3, 8))
    for k, (p, q) in enumerate(_CORNERS):
        by_x, by_y = p * (1 + q * t) / 4 / a, q * (1 + p * s) / 4 / b
        found[0, 2 * k], found[1, 2 * k + 1] = by_x, by_y
        found[2, 2 * k], found[2, 2 * k + 1] = by_y, by_x
    return found


def _free_strain(from_pith: Floats, radial: float, tangential: float) -> Floats:
    """Across, up and sheared, of wood whose rings are square to the line from the pith."""
    out = from_pith / np.hypot(*from_pith)
    round_ = np.array([-out[1], out[0]])
    tensor = radial * np.outer(out, out) + tangential * np.outer(round_, round_)
    return np.array([tensor[0, 0], tensor[1, 1], 2 * tensor[0, 1]])
