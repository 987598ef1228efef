"""Rows whose joints mirror one another about the centre mark.

Strips then come in pairs, each pair ripped to the narrower of the two, about one strip or one joint
in the middle. The search goes outwards from there, so that the length of each strip is known when
it is laid, and nothing can be shifted.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tablekit.planning.board_ahead import Ahead, Rule
from tablekit.planning.board_cost import EASE, Costs, RowTask, chord
from tablekit.planning.board_prices import plain
from tablekit.planning.board_row import Laid
from tablekit.planning.board_wood import ClearWood, Floats, Ints

NEAR = 1e-6
MOST_ROWS = 2_000_000  # half-done rows times pairs that are kept at a time


@dataclass(frozen=True)
class Pairs:
    """The best row found: cost, what any costs at least, columns from left to right, and the row;
    without one, infinite costs and None."""

    cost: float
    least: float
    columns: tuple[int, ...]
    laid: Laid | None


@dataclass(frozen=True, eq=False)
class _Halves:
    """Half-done rows: how far from the centre they reach, what is used of each column, their cost
    at least, the pairs from the middle outwards, and the width of each; a middle strip is a pair
    with −1."""

    reach: Floats
    used: Floats
    cost: Floats
    first: Ints
    second: Ints
    begins: Floats
    widths: Floats

    def part(self, chosen: Ints) -> _Halves:
        return _Halves(*(column[chosen] for column in vars(self).values()))


def paired(wood: ClearWood, task: RowTask, best: float = np.inf) -> Pairs:
    """The cheapest row below `best` with joints that mirror one another."""
    search = _Search(Costs(wood, task), best)
    return search.run() if len(wood) else Pairs(np.inf, np.inf, (), None)


class _Search:
    def __init__(self, costs: Costs, best: float):
        self.costs, self.task, self.best, self.dropped = costs, costs.task, best, np.inf
        self.ahead = Ahead(Rule(costs, 0.0), plain(costs))
        self.first, self.second = np.triu_indices(len(costs.wood))
        self.marks = np.random.default_rng(0).integers(1, 2**40, len(costs.wood))
        self.found: Pairs | None = None
        wood = costs.wood
        self.boards = np.searchsorted(wood.board, np.arange(int(wood.board.max(initial=-1)) + 1))

    def run(self) -> Pairs:
        rows = self._kept(self._completed(self._middles()))
        while len(rows.reach):
            rows = self._kept(self._completed(self._wider(rows)))
        least = min(self.dropped, self.best)
        if self.found is None:
            return Pairs(np.inf, least, (), None)
        return Pairs(self.found.cost, least, self.found.columns, self.found.laid)

    def _middles(self) -> _Halves:
        """A joint on the centre mark, or one strip over it."""
        costs, n = self.costs, len(self.costs.wood)
        length = np.full(n, self.task.diameter)
        width = costs.widths(length, 0.0)
        cost = costs.at_least(length, length)
        clear = max(2 * self.task.clear, self.task.narrowest, EASE)
        may = np.isfinite(cost) & (width >= clear) & (costs.wood.before < 0)
        one = np.nonzero(may)[0]
        used = np.zeros((len(one), n))
        used[np.arange(len(one)), one] = length[one] + costs.kerf
        alone, none = np.full((len(one), 1), -1), np.zeros((len(one), 2))
        single = _Halves(
            width[one] / 2, used, cost[one], one[:, None], alone, none[:, None, :],
            width[one][:, None],
        )  # fmt: skip
        if self.task.clear > 0:
            return single
        joint = _Halves(
            np.zeros(1), np.zeros((1, n)), np.zeros(1), alone[:0, :0].reshape(1, 0),
            alone[:0, :0].reshape(1, 0), np.zeros((1, 0, 2)), np.zeros((1, 0)),
        )  # fmt: skip
        return _joined(single, self._wider(joint))

    def _wider(self, rows: _Halves) -> _Halves:
        """Each row with each pair that may come next."""
        costs, task, wood = self.costs, self.task, self.costs.wood
        one, two = self.first, self.second
        length = chord(task.diameter, rows.reach)[:, None] + np.zeros(len(wood))
        width = costs.widths(length, rows.used)
        again = costs.widths(length, rows.used + length + costs.kerf)
        other = np.where(one == two, again[:, two], width[:, two])
        pair = np.minimum(width[:, one], other)
        price = costs.at_least(length, length, rows.used)
        behind = costs.at_least(length, length, rows.used + length + costs.kerf)
        cost = rows.cost[:, None] + price[:, one] + np.where(
            one == two, behind[:, two], price[:, two]
        )  # fmt: skip
        may = self._may(rows, length[:, :1] + costs.kerf) & (pair >= max(task.narrowest, EASE))
        may &= (rows.reach <= task.outermost + EASE)[:, None]
        may &= cost + 2 * self.ahead.at(rows.reach[:, None] + pair) < self.best * (1 - NEAR)
        row, which = np.nonzero(may)
        takes = length[row, 0] + costs.kerf
        used, every = rows.used[row], np.arange(len(row))
        begins = np.zeros((len(row), 2))
        for side, columns in enumerate((one[which], two[which])):
            begins[:, side] = used[every, columns]
            used[every, columns] += takes
        return _Halves(
            rows.reach[row] + pair[row, which], used, cost[row, which],
            np.column_stack([rows.first[row], one[which]]),
            np.column_stack([rows.second[row], two[which]]),
            np.concatenate([rows.begins[row], begins[:, None, :]], axis=1),
            np.column_stack([rows.widths[row], pair[row, which]]),
        )  # fmt: skip

    def _may(self, rows: _Halves, takes: Floats) -> np.ndarray:
        """Which pairs each row may take from the boards that are left."""
        wood, one, two = self.costs.wood, self.first, self.second
        fits = rows.used + takes <= wood.room + EASE
        twice = rows.used + 2 * takes <= wood.room + EASE
        begun = np.add.reduceat(rows.used, self.boards, axis=1) > 0
        own = np.add.reduceat(rows.used, self.costs.firsts, axis=1)[:, wood.timber] > 0
        free = own | ~begun[:, wood.board]
        first = (wood.before < 0) | begun[:, wood.before]
        # Of boards alike the second may be begun together with the first.
        with_it = first[:, two] | (wood.before[two] == wood.board[one])
        may = fits[:, one] & fits[:, two] & free[:, one] & free[:, two] & first[:, one] & with_it
        may &= np.where(one == two, twice[:, two], True)
        # Nor may one board be cut from both ends.
        may &= (wood.board[one] != wood.board[two]) | (wood.timber[one] == wood.timber[two])
        if self.task.match:
            new = ~begun[:, wood.board]
            apart = new[:, one] & new[:, two] & (wood.board[one] != wood.board[two])
            may &= apart | ((wood.board[one] == wood.board[two]) & (rows.reach == 0)[:, None])
        return np.asarray(may)

    def _completed(self, rows: _Halves) -> _Halves:
        done = rows.reach >= self.task.radius - EASE
        full = rows.part(np.nonzero(done)[0])
        if len(full.reach):
            count = 2 * full.first.shape[1] - (full.second == -1).sum(axis=1)
            cost = self.costs.exact(full.used) + self.costs.tie * count
            k = int(np.argmin(cost))
            if cost[k] < self.best * (1 - NEAR):
                self.best = float(cost[k])
                self.found = self._row(full, k)
        return rows.part(np.nonzero(~done)[0])

    def _row(self, full: _Halves, k: int) -> Pairs:
        """The row, from left to right."""
        begin = self.costs.wood.start
        reach, sides = 0.0, ([], [])  # type: tuple[float, tuple[list[tuple[float, ...]], ...]]
        for one, two, begins, width in zip(
            full.first[k], full.second[k], full.begins[k], full.widths[k], strict=True
        ):
            if two < 0:
                middle = [(one, -width / 2, width / 2, begin[one] + begins[0])]
                sides[0].extend(middle)
                reach = width / 2
                continue
            sides[0].append((one, -reach - width, -reach, begin[one] + begins[0]))
            sides[1].append((two, reach, reach + width, begin[two] + begins[1]))
            reach += width
        row = sorted([*sides[0], *sides[1]], key=lambda strip: strip[1])
        edges = np.array([[row[0][1], *(strip[2] for strip in row)]])
        near = np.maximum(np.maximum(edges[:, :-1], -edges[:, 1:]), 0.0)
        laid = Laid(
            edges, chord(self.task.diameter, near), np.array([[strip[3] for strip in row]]),
            np.array([self.best]),
        )  # fmt: skip
        return Pairs(self.best, 0.0, tuple(int(strip[0]) for strip in row), laid)

    def _kept(self, rows: _Halves) -> _Halves:
        low = rows.cost + 2 * self.ahead.at(rows.reach)
        chosen = np.nonzero(low < self.best * (1 - NEAR))[0]
        chosen = chosen[np.argsort(low[chosen], kind="stable")]
        room = max(50, MOST_ROWS // max(1, len(self.first)))
        if len(chosen) > room:
            self.dropped = min(self.dropped, float(low[chosen[room]]))
            chosen = chosen[:room]
        return rows.part(chosen)


def _joined(one: _Halves, other: _Halves) -> _Halves:
    both = zip(vars(one).values(), vars(other).values(), strict=True)
    return _Halves(*(np.concatenate(pair) for pair in both))
