"""Layouts of a few boards by trying them all, written without the kit.

Every sequence of strips from the boards, cut in every way, laid at every place on a fine rule: the
least area of those that cover the circle is one that the kit must reach.
"""

from __future__ import annotations

from itertools import product
from math import inf

import numpy as np

FINE = 301  # places of each row
NEAR = 1e-6


def chord(radius, near):
    return 2 * np.sqrt(np.maximum(radius**2 - np.minimum(near, radius) ** 2, 0.0))


class Brute:
    """boards: (width, far width, length, zones); all lengths in mm."""

    def __init__(self, boards, radius, *, kerf=3.0, waste=15.0, edge=2.0, kept=300.0, rim=20.0,
                 margin=0.0, clear=0.0, match=False):  # fmt: skip
        self.boards, self.radius, self.kerf, self.kept = boards, radius, kerf, kept
        self.edge, self.clear, self.match = edge, clear, match
        self.outermost = radius - margin - rim
        self.spans = []
        for width, far, length, zones in boards:
            taken, spans = waste, []
            for start, end in sorted(zones):
                if start > taken:
                    spans.append((taken, min(start, length - waste)))
                taken = max(taken, end, start + kerf)
            spans.append((taken, length - waste))
            spans = [(a, b) for a, b in spans if b > a]
            if far > width:  # turned round, so that the wide end is first
                spans = [(length - b, length - a) for a, b in reversed(spans)]
            self.spans.append(spans)
        self.ends = [(max(w, f), min(w, f)) for w, f, _, _ in boards]

    def best(self, most):
        """Least area of any row of up to so many strips."""
        places = [(b, s) for b, spans in enumerate(self.spans) for s in range(len(spans))]
        found = inf
        for count in range(1, most + 1):
            for row in product(places, repeat=count):
                if self.match and self._mixed([b for b, _ in row]):
                    continue
                for turned in (False, True):
                    if turned and len(set(row)) == len(row):
                        continue
                    found = min(found, self.row(row, turned, found))
        return found

    @staticmethod
    def _mixed(boards):
        runs = [b for k, b in enumerate(boards) if k == 0 or boards[k - 1] != b]
        return len(runs) != len(set(runs))

    def row(self, row, turned, below):
        """Least area of one row, whichever place it lies at."""
        widest = [self.ends[b][0] - 2 * self.edge for b, _ in row]
        surplus = sum(widest) - 2 * self.radius
        if surplus < -NEAR:
            return inf
        shift = np.linspace(0.0, max(surplus, 0.0), FINE)
        lengths = np.zeros((len(row), FINE))
        tapers = any(self.ends[b][0] != self.ends[b][1] for b, _ in row)
        for _ in range(10 if tapers else 1):
            begins, widths = self._cut(row, lengths, turned)
            edges = np.vstack([-self.radius - shift, -self.radius - shift + np.cumsum(widths, 0)])
            near = np.maximum(np.maximum(edges[:-1], -edges[1:]), 0.0)
            lengths = chord(self.radius, near)
        begins, _ = self._cut(row, lengths, turned)
        ok = (edges[-1] >= self.radius - NEAR) & (near <= self.outermost + NEAR).all(0)
        ok &= (np.abs(edges[1:-1]) >= self.clear - NEAR).all(0)
        for k, (b, s) in enumerate(row):
            ok &= begins[k] + lengths[k] <= self.spans[b][s][1] + NEAR
        if not ok.any():
            return inf
        return min(float(self._area(row, begins, lengths)[ok].min()), below)

    def _cut(self, row, lengths, turned):
        begins, widths = np.zeros_like(lengths), np.zeros_like(lengths)
        at = {place: np.full(FINE, float(self.spans[place[0]][place[1]][0])) for place in set(row)}
        for k in range(len(row))[:: -1 if turned else 1]:
            board = row[k][0]
            begins[k] = at[row[k]]
            end = begins[k] + lengths[k]
            at[row[k]] = end + self.kerf
            wide, narrow = self.ends[board]
            widths[k] = wide - (wide - narrow) * end / self.boards[board][2] - 2 * self.edge
        return begins, widths

    def _area(self, row, begins, lengths):
        total = np.zeros(FINE)
        for board in {b for b, _ in row}:
            wide, narrow = self.ends[board]
            length = self.boards[board][2]
            ends = [
                begins[k] + lengths[k] + self.kerf for k, (b, _) in enumerate(row) if b == board
            ]
            total += self._one(np.max(ends, axis=0), wide, narrow, length, board, row, lengths)
        return total

    def _one(self, end, wide, narrow, length, board, row, lengths):
        def up_to(along):
            return (wide + wide - (wide - narrow) * along / length) / 2 * along

        whole = up_to(length)
        used = np.where(length - end >= self.kept - NEAR, up_to(end), whole)
        if wide == narrow:  # as well from the other end
            spans = self.spans[board]
            first = min(s for b, s in row if b == board)
            taken = sum(
                lengths[k] + self.kerf for k, place in enumerate(row) if place == (board, first)
            )
            back = length - spans[first][1] + taken
            used = np.minimum(used, np.where(length - back >= self.kept - NEAR, wide * back, whole))
        return used
