"""Strips in a given order: where the row lies best over the circle, and what it then takes; rows
whose joints mirror one another about the centre mark.

In such a row strips come in pairs, each pair ripped to the narrower of the two, about one strip or
one joint in the middle. The search goes outwards from there, so that the length of each strip is
known when it is laid, and nothing can be shifted.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tablekit.planning.board_bounds import EASE, Ahead, Costs, RowTask, Rule, chord, nearest, plain
from tablekit.planning.board_wood import ClearWood, Floats, Ints

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


# -- Joints that mirror one another ----------------------------------------------------------------

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
