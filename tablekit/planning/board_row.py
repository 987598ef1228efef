"""Strips in a given order: where the row lies best over the circle, and what it then takes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tablekit.planning.board_cost import EASE, Costs, chord, nearest
from tablekit.planning.board_wood import Floats, Ints

PLACES = 33  # tried at a time
ROUNDS = 5  # of trying between the best and its neighbours
SAME = 1e-9  # share by which costs may differ and yet be equal


@dataclass(frozen=True, eq=False)
class Laid:
    """A row at several places, in mm: left edges and one right edge more, shape (m, n + 1), lengths
    needed and where each strip begins on its board, shape (m, n), and the cost, shape (m,),
    infinite where it does not fit."""

    edges: Floats
    lengths: Floats
    begins: Floats
    cost: Floats


class RowPlaces:
    """Rows of strips from some wood over one circle. Only in an order of the maker's may strips
    lie outside it."""

    def __init__(self, costs: Costs):
        self.costs, self.loose = costs, costs.task.order is not None
        self.seen: dict[tuple[int, ...], tuple[float, bool]] = {}

    def best(self, columns: tuple[int, ...]) -> tuple[float, bool]:
        """What a row costs where it lies best, infinite where it fits nowhere; and whether it is
        too narrow wherever it lies."""
        if columns not in self.seen:
            self.seen[columns] = self._best(columns)
        return self.seen[columns]

    def at_least(self, rows: Ints, begin: Floats, start: Floats, stop: Floats) -> Floats:
        """What rows cost at least, shifted to the left from `begin` by no less than `start` and no
        more than `stop`; infinite where they fit nowhere there. Without what is counted for each
        strip; shape (m,), that of `rows` (m, n)."""
        costs, task, every = self.costs, self.costs.task, np.arange(len(rows))
        left, far = begin - start, stop - start
        used = np.zeros((3, len(rows), len(costs.wood)))  # at `start`, at `stop`, at least
        for column in rows.T:
            right, near, least, _ = costs.eased(left, used[2, every, column], (far,), column)
            moved = chord(task.diameter, nearest(left - far, right - far))
            for of, length in zip(used, (near, moved, least), strict=True):
                of[every, column] += np.where(length > 0, length + costs.kerf, 0.0)
            left = right
        ends = np.minimum(costs.if_shifted(used[0], used[2]), costs.if_shifted(used[1], used[2]))
        fits = (used[2] <= costs.wood.room + EASE).all(axis=1) & (left >= task.radius - EASE)
        return np.where(fits, ends, np.inf)

    def _best(self, columns: tuple[int, ...]) -> tuple[float, bool]:
        found = [self.placed(columns, turned) for turned in self._ways(columns)]
        short = all(one is None for one in found)
        return min((one[0] for one in found if one is not None), default=np.inf), short

    def row(self, columns: tuple[int, ...]) -> tuple[Laid, float] | None:
        """The row where it lies best, with what it costs; None where it fits nowhere."""
        ways = [(turned, self.placed(columns, turned)) for turned in self._ways(columns)]
        fits = [(found[0], turned, found[1]) for turned, found in ways if found is not None]
        if not fits or not np.isfinite(min(fits)[0]):
            return None
        cost, turned, shift = min(fits)
        return self.laid(np.array(columns), np.array([shift]), turned), cost

    def _ways(self, columns: tuple[int, ...]) -> tuple[bool, ...]:
        """Strips of one board are cut in the order of the row, or from a tapered one in reverse."""
        twice = len(set(columns)) < len(columns)
        return (False, True) if twice and self.costs.wood.tapers else (False,)

    def placed(self, columns: tuple[int, ...], turned: bool) -> tuple[float, float] | None:
        """Cost and shift where a row lies best; None where it is too narrow everywhere."""
        row = np.array(columns)
        flush = self.laid(row, np.zeros(1), turned)
        surplus = float(flush.edges[0, -1]) - self.costs.task.radius
        if surplus < -EASE and not self.costs.wood.tapers:
            return None
        # A tapered strip gets wider as it moves away from the centre.
        reach = max(surplus, 0.0) + (5.0 if self.costs.wood.tapers else 0.0)
        shifts = self._critical(row, flush, reach)
        cost = self.laid(row, shifts, turned).cost
        if not np.isfinite(cost).any() and surplus < -EASE:
            return None
        for _ in range(ROUNDS):
            at = int(np.argmin(cost))
            low, high = shifts[max(at - 1, 0)], shifts[min(at + 1, len(shifts) - 1)]
            shifts = np.unique(np.append(np.linspace(low, high, PLACES), shifts[at]))
            cost = self.laid(row, shifts, turned).cost
        even = np.array([max(surplus, 0.0) / 2])
        shifts, cost = np.append(shifts, even), np.append(cost, self.laid(row, even, turned).cost)
        least = float(cost.min())
        equal = shifts[cost <= least * (1 + SAME) + SAME]
        best = equal[np.argmin(np.abs(equal - even))] if np.isfinite(least) else even[0]
        return least, float(best)

    def _critical(self, row: Ints, flush: Laid, reach: float) -> Floats:
        """Shifts between which a row is to be tried: evenly, and where a strip just fits."""
        task, off = self.costs.task, self.costs.off[row]
        left, right = flush.edges[0, :-1], flush.edges[0, 1:]
        some = [
            np.linspace(0.0, reach, PLACES), left - off, right + off, right - task.clear,
            right + task.clear, left - task.outermost, right + task.outermost,
        ]  # fmt: skip
        every = np.concatenate(some)
        return np.unique(every[(every >= 0) & (every <= reach)])

    def laid(self, row: Ints, shifts: Floats, turned: bool = False) -> Laid:
        """A row shifted to the left by so much from where it is flush with the left rim."""
        costs, wood, alike = self.costs, self.costs.wood, self.costs.task.alike
        many, count = len(shifts), len(row)
        lengths = np.zeros((many, count))
        start = -costs.task.radius - shifts[:, None]
        for _ in range(12 if wood.tapers else 1):
            begins, used = self._begins(row, lengths, turned)
            given = self._widths(row, lengths, begins)
            widths = given if alike is None else np.full_like(given, alike)
            edges = np.concatenate([start, start + np.cumsum(widths, axis=1)], axis=1)
            lengths = chord(costs.task.diameter, nearest(edges[:, :-1], edges[:, 1:]))
        begins, used = self._begins(row, lengths, turned)
        fits = (used <= wood.room + EASE).all(axis=1) & self._allowed(edges, widths)
        fits &= (given >= widths - EASE).all(axis=1)
        cost = np.where(fits, costs.exact(used) + costs.tie * count, np.inf)
        return Laid(edges, lengths, wood.start[row] + begins, cost)

    def _begins(self, row: Ints, lengths: Floats, turned: bool) -> tuple[Floats, Floats]:
        """How far behind the beginning of its clear length each strip begins, and what is used of
        each column."""
        taken = np.where(lengths > 0, lengths + self.costs.kerf, 0.0)
        used = np.zeros((len(lengths), len(self.costs.wood)))
        begins = np.zeros_like(lengths)
        for k in reversed(range(len(row))) if turned else range(len(row)):
            begins[:, k] = used[:, row[k]]
            used[:, row[k]] += taken[:, k]
        return begins, used

    def _widths(self, row: Ints, lengths: Floats, begins: Floats) -> Floats:
        wood = self.costs.wood
        narrows = wood.narrows[row]
        end = np.where(narrows > 0, begins + lengths, begins)
        return np.asarray(wood.wide[row] - narrows * end)

    def _allowed(self, edges: Floats, widths: Floats) -> np.ndarray:
        task = self.costs.task
        left, right = edges[:, :-1], edges[:, 1:]
        ok = (edges[:, 0] <= -task.radius + EASE) & (edges[:, -1] >= task.radius - EASE)
        near = nearest(left, right)
        out = near >= task.radius if self.loose else np.zeros(near.shape, dtype=bool)
        ok &= ((near <= task.outermost + EASE) | out).all(axis=1)
        ok &= (widths >= task.narrowest - EASE).all(axis=1)
        return ok & (np.abs(edges[:, 1:-1]) >= task.clear - EASE).all(axis=1)


def spans(edges: Floats) -> list[tuple[float, float]]:
    """Left and right edge of each strip."""
    return list(pairwise(float(edge) for edge in edges))
