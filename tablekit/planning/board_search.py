"""The search for the best row of strips: from the left rim to the right, one strip after another; a
quick one first, then one that proves.

Half-done rows are kept in layers, as arrays; one that cannot become better than the best in hand is
dropped, by the bounds of `board_bounds`. Proof that nothing better is passed over:
`reference/derivations/boards_to_round.md`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tablekit.planning.board_bounds import EASE, Ahead, Costs, Left, RowTask, Rule, plain, raised
from tablekit.planning.board_row import RowPlaces
from tablekit.planning.board_wood import ClearWood, Floats, Ints

NOTHING = float("inf")
NEAR = 1e-6  # share by which a row must be better than the best in hand
# the same once LOOKED rows have been looked at, so that the search ends
LOOKED, NEAR_ENOUGH = 60_000, 5e-4
FIRST_TRY = 200  # half-done rows kept in a first, quick search
FEW = 50  # and at the least, for one of many tops
USUAL_STRIPS = 40  # in a row; where there are more, fewer rows are looked at in proportion
BLOCK = 4096  # half-done rows whose next strips are thought of at a time
MOST_GROWN = 6_000_000  # rows times columns that are made at a time, before the best are kept
MOST_ROWS = 3_000_000  # half-done rows times columns that are kept at a time in a full search
MOST_LOOKED = 700_000  # rows looked at in it
MOST_WEIGHED = 60_000_000  # rows looked at times columns, likewise
MOST_PLACED = 150  # complete rows for which the best place is sought
ALIKE_KEPT = 3  # half-done rows made of the same strips that are kept before others
FINER = (8, 8)  # parts of a step in which complete rows are looked at, and parts of these
STEP = 1 / 80  # of the diameter, between the places where rows begin in a search that proves


@dataclass(frozen=True)
class Found:
    """The best row found.

    cost     of it; infinite where none was found
    least    what any row costs at least
    columns  of the rack's own wood, from left to right; empty where none was found
    reach    how wide the widest row was that was found, mm
    """

    cost: float
    least: float
    columns: tuple[int, ...]
    reach: float = 0.0


@dataclass(frozen=True, eq=False)
class _Rows:
    """Half-done rows, flush with the left rim. Arrays have a row for each; lengths in mm.

    right      their right edge
    used       what strips and kerfs take of each column
    low, high  the same, at least and at most, once shifted
    cost       what their strips are charged, less what is taken off; shape (rows, prices)
    over       that, of each board; shape (rows, prices, boards)
    begin      their left edge
    play       how much farther to the left their right edge may be, where boards taper
    start, stop  how far to the left they may be shifted
    side       whether that is to the left (1) or to the right (-1)
    path       columns from left to right
    """

    right: Floats
    used: Floats
    low: Floats
    high: Floats
    cost: Floats
    over: Floats
    begin: Floats
    play: Floats
    start: Floats
    stop: Floats
    side: Floats
    path: Ints

    def part(self, chosen: Ints | slice) -> _Rows:
        return _Rows(*(column[chosen] for column in vars(self).values()))


class RowSearch:
    """One search. `eased` takes in all rows that fit once they are shifted, for a proof; without
    it, rows are flush with the left rim. Without an `ahead` it seeks the widest rows, whatever they
    cost. `effort` is the share of the usual number of rows that are kept and looked at, `kept` how
    many are kept in a search that is not to take long."""

    def __init__(
        self, costs: Costs, ahead: Sequence[Ahead], places: RowPlaces, eased: bool, most: int,
        effort: float = 1.0, kept: int | None = None,
    ):  # fmt: skip
        self.costs, self.places, self.eased, self.kept = costs, places, eased, kept
        wood, self.task = costs.wood, costs.task
        self.step = self.task.diameter * STEP if eased else 0.0
        self.ahead, self.widest = ahead, not ahead
        if len(wood):
            share = min(1.0, USUAL_STRIPS * float(wood.wide.max()) / self.task.diameter)
            effort, most = effort * share, max(min(most, 20), round(most * share))
        self.most, self.placed, self.looked = most, 0, 0
        self.few = max(FEW, int(effort * (kept or 0)))
        self.most_rows = effort * MOST_ROWS
        self.most_looked = effort * min(MOST_LOOKED, MOST_WEIGHED / max(len(wood), 1))
        self.first_try = max(FEW, int(effort * FIRST_TRY))
        # Those of them that `ahead` knows: it may know more.
        self.columns = wood.origin
        self.boards = int(wood.board.max(initial=-1)) + 1
        self.first_of = np.searchsorted(wood.board, np.arange(self.boards))
        self.marks = np.random.default_rng(0).integers(1, 2**40, (3, max(len(wood), 1)))
        self.near = NEAR
        # As many as there are boards to be charged for; none where only the width counts.
        self.prices = [one.prices.part(wood.origin) for one in ahead] or [plain(costs)]
        self.rates = np.array([one.rate for one in self.prices]).T
        self.left = Left(costs, self.rates.T)

    def run(self, best: float = NOTHING) -> Found:
        """The cheapest row below `best`."""
        self.best, self.dropped, self.reach = best, NOTHING, 0.0
        self.row: tuple[int, ...] = ()
        n = len(self.costs.wood)
        if n == 0:
            return Found(NOTHING, NOTHING, ())
        rows = self._begun()
        while len(rows.right):
            rows = self._thinned(self._longer(rows))
        enough = self.best * (1 - self.near) if self.near > NEAR else self.best
        least = min(self.dropped, enough) if self.eased else 0.0
        return Found(self.best if self.row else NOTHING, least, self.row, self.reach)

    def _begun(self) -> _Rows:
        """Rows without a strip: flush with the rim, or beginning at any step outside it."""
        widest = float(self.costs.wood.wide.max())
        if self.task.order is not None:
            widest *= len(self.task.order)
        out = np.arange(0.0, widest + self.step, self.step) if self.eased else np.zeros(1)
        side = np.repeat([1.0, -1.0], [len(out), len(out) - 1])
        out = np.append(out, out[1:])
        n, many = len(self.costs.wood), len(out)
        none = np.zeros((many, n))
        over = np.array([one.over[self.first_of] for one in self.prices])
        total = np.array([one.total for one in self.prices])
        shift = side * self.step
        return _Rows(
            -self.task.radius - out, none, none, none, np.tile(-total, (many, 1)),
            np.tile(over, (many, 1, 1)), -self.task.radius - out, np.zeros(many),
            np.minimum(shift, 0.0), np.maximum(shift, 0.0), side,
            np.zeros((many, 0), dtype=np.int64),
        )  # fmt: skip

    # -- one strip more -----------------------------------------------------------------------

    def _longer(self, rows: _Rows) -> _Rows:
        """Each row with each strip that may come next; the complete ones are taken out."""
        row, column = self._likely(rows)
        left, used, least = rows.right[row], rows.used[row, column], rows.low[row, column]
        side = rows.side[row]
        if self.eased:
            right, length, low, high = self.costs.eased(left, least, (side * self.step,), column)
        else:
            right, length = self.costs.laid(left, used, column)
            low = high = length
        play = rows.play[row] + self._play(right - left, high, rows.high[row, column], column)
        start, stop = self._window(rows, row, column, right, play)
        own = self.costs.own(length, rows.high[row, column], column)
        may = (start <= stop + EASE) & (right - left >= max(self.task.narrowest, 1.0) - EASE)
        may &= least + low + self.costs.kerf <= self.costs.wood.room[column] + EASE
        cost = rows.cost[row] + own[:, None] * self.rates[column] + self.costs.tie
        low_in_all = self._in_all(cost, right)
        may &= low_in_all < self.best * (1 - self.near)
        chosen = self._most_promising(np.nonzero(may)[0], -right if self.widest else low_in_all)
        row, column = row[chosen], column[chosen]
        self.looked += len(row)
        self.near = NEAR_ENOUGH if self.eased and self.looked > LOOKED else self.near
        taken, least, most = (
            self._taken(before, takes[chosen], row, column)
            for before, takes in ((rows.used, length), (rows.low, low), (rows.high, high))
        )
        cost, over = self._settled(cost[chosen], rows.over[row], (least, most), column)
        grown = _Rows(
            right[chosen], taken, least, most, cost, over, rows.begin[row], play[chosen],
            start[chosen], stop[chosen], side[chosen], np.column_stack([rows.path[row], column]),
        )  # fmt: skip
        if len(row):
            self.reach = max(self.reach, float(grown.right.max()) + self.task.radius)
        return self._completed(grown)

    def _settled(
        self, cost: Floats, over: Floats, used: tuple[Floats, Floats], column: Ints
    ) -> tuple[Floats, Floats]:
        """Cost and what is taken off of each board, now that one has a strip less to give."""
        wood, every = self.costs.wood, np.arange(len(column))
        board = wood.board[column]
        before = over[every, :, board]
        now = np.minimum(self.left.over(wood.timber[column], *used).T, before)
        over[every, :, board] = now
        return cost + before - now, over

    def _likely(self, rows: _Rows) -> tuple[Ints, Ints]:
        """Rows and columns of the strips that may come next, by what is left and what is ahead."""
        found = []
        below = self.best * (1 - self.near)
        for k in range(0, len(rows.right), BLOCK):
            some = rows.part(slice(k, k + BLOCK))
            may = self._free(some)
            for one, cost in zip(self.ahead, some.cost.T, strict=False):
                if rows.path.shape[1]:
                    may &= cost[:, None] + one.with_next(some.right, self.columns) < below
            row, column = np.nonzero(may)
            found.append((row + k, column))
        row, column = (np.concatenate(part) for part in zip(*found, strict=True))
        return row, column

    def _in_all(self, cost: Floats, right: Floats) -> Floats:
        """What covering the circle costs at least with rows of some cost that end there."""
        if self.widest:
            return np.asarray(cost[:, 0])
        every = [of + one.at(right) for one, of in zip(self.ahead, cost.T, strict=True)]
        return np.asarray(np.max(every, axis=0))

    def _most_promising(self, may: Ints, low: Floats) -> Ints:
        """Of the candidates that may be grown, the best where there are too many."""
        room = MOST_GROWN // len(self.costs.wood)
        if len(may) <= room:
            return may
        order = np.argsort(low[may], kind="stable")
        self.dropped = min(self.dropped, float(low[may[order[room]]]))
        return np.sort(may[order[:room]])

    def _taken(self, before: Floats, length: Floats, row: Ints, column: Ints) -> Floats:
        """What is taken of each column once the strips are cut from theirs."""
        taken = before[row]
        taken[np.arange(len(row)), column] += length + self.costs.kerf
        return taken

    def _window(
        self, rows: _Rows, row: Ints, column: Ints, right: Floats, play: Floats
    ) -> tuple[Floats, Floats]:
        """How far to the left each row may be shifted once it has the strip."""
        start, stop, left, lower = rows.start[row], rows.stop[row], rows.right[row], right - play
        off, task = self.costs.off[column], self.task
        inside = (off == 0) | (left - off >= start - EASE)
        outside = (off == 0) | (stop - lower >= off - EASE)
        new_start = np.where(inside, start, np.maximum(start, lower + off))
        new_stop = np.where(outside, stop, np.minimum(stop, left - off))
        if task.order is None:  # what shows of it at either rim
            new_start = np.maximum(new_start, left - rows.play[row] - task.outermost)
            new_stop = np.minimum(new_stop, right + task.outermost)
        if task.clear > 0:
            near = (right - new_start < task.clear) & (new_start - lower < task.clear)
            near &= right < task.radius
            new_start = np.where(near, np.maximum(new_start, lower + task.clear), new_start)
        return new_start, new_stop

    def _play(self, wide: Floats, most: Floats, used: Floats, column: Ints) -> Floats:
        """How much narrower strips may be than so wide, taking so much at most."""
        if self.task.alike is not None or not self.costs.wood.tapers:
            return np.zeros_like(wide)
        return np.maximum(wide - self.costs.widths(most, used, column), 0.0)

    def _free(self, rows: _Rows) -> np.ndarray:
        """Which columns each row may take a strip from."""
        wood, task = self.costs.wood, self.task
        begun = np.add.reduceat(rows.used, self.first_of, axis=1) > 0
        own = np.add.reduceat(rows.used, self.costs.firsts, axis=1)[:, wood.timber] > 0
        may = own | ~begun[:, wood.board]
        may &= (wood.before < 0) | begun[:, wood.before]
        depth = rows.path.shape[1]
        if task.match and depth:
            may &= (wood.board == wood.board[rows.path[:, -1:]]) | ~begun[:, wood.board]
        if task.order is not None:
            kinds = np.array([wood.timbers[k].kind for k in wood.timber])
            more = depth < len(task.order)
            may &= more and kinds == task.order[min(depth, len(task.order) - 1)]
        return np.asarray(may)

    # -- complete rows -------------------------------------------------------------------------

    def _completed(self, rows: _Rows) -> _Rows:
        whole = self.task.order is None or rows.path.shape[1] == len(self.task.order)
        over = rows.right - self.task.radius
        full = rows.part(np.nonzero((over >= rows.start - EASE) & whole)[0])
        if len(full.right):
            self._take(full)
        # One that covers the circle in some places may want another strip in others.
        more = over < rows.stop - EASE if self.task.order is None else np.full(len(over), not whole)
        return rows if more.all() else rows.part(np.nonzero(more)[0])

    def _take(self, full: _Rows) -> None:
        """The best of some complete rows, wherever they lie."""
        more = self.costs.tie * full.path.shape[1]
        exact = self.costs.exact(full.used) + more
        fits = (full.used <= self.costs.wood.room + EASE).all(axis=1)
        low = np.where(fits, exact, NOTHING)
        if self.eased:
            shifted = self.costs.if_shifted(full.used, full.low) + more
            low = np.maximum(shifted, full.cost.max(axis=1))
            some = np.nonzero(low < self.best * (1 - self.near))[0]
            low[some] = np.maximum(low[some], self._closer(full.part(some)) + more)
        for k in np.argsort(low, kind="stable"):
            if low[k] >= self.best * (1 - self.near):
                break
            if self.placed >= self.most:
                self.dropped = min(self.dropped, float(low[k]))
                break
            self._place(full, int(k), float(low[k]))

    def _closer(self, full: _Rows) -> Floats:
        """What complete rows cost at least in their step, looked at in smaller and smaller parts of
        it; without the tie."""
        low = np.full(len(full.right), NOTHING)
        which = np.arange(len(low))
        start, stop = np.minimum(full.side * self.step, 0), np.maximum(full.side * self.step, 0)
        for parts in FINER:
            if not len(which):
                break
            edges = start[:, None] + (stop - start)[:, None] * np.linspace(0.0, 1.0, parts + 1)
            which = np.repeat(which, parts)
            start, stop = edges[:, :-1].ravel(), edges[:, 1:].ravel()
            row = self.costs.wood.origin[full.path[which]]
            found = self.places.at_least(row, full.begin[which], start, stop)
            low[:] = NOTHING
            np.minimum.at(low, which, found)
            near = found + self.costs.tie * full.path.shape[1] < self.best * (1 - self.near)
            which, start, stop = which[near], start[near], stop[near]
        return low

    def _place(self, full: _Rows, k: int, low: float) -> None:
        columns = tuple(self.costs.wood.origin[full.path[k]].tolist())
        self.placed += columns not in self.places.seen
        cost, short = self.places.best(columns)
        if cost < self.best:
            self.best, self.row = cost, columns
        if short:  # narrower than thought: one strip more might do
            shortest = np.full(1, self.task.shortest)
            charge = self.costs.at_least(shortest, shortest, self.costs.wood.room)
            more = max(low, float(full.cost[k, 0] + charge.min()))
            self.dropped = min(self.dropped, more)

    # -- those that are kept -------------------------------------------------------------------

    def _thinned(self, rows: _Rows) -> _Rows:
        low = -rows.right if self.widest else self._in_all(rows.cost, rows.right)
        chosen = self._undominated(rows, np.nonzero(low < self.best * (1 - self.near))[0])
        room = self.first_try
        if self.kept is not None:
            room = self.few
        elif self.eased:
            room = max(room, int(self.most_rows) // len(self.costs.wood))
            room = room if self.looked < self.most_looked else self.first_try
        if len(chosen) > room:
            order = chosen[np.argsort(low[chosen], kind="stable")]
            if self.kept is not None:
                order = self._mixed(rows, order)
            chosen = order[:room]
            self.dropped = min(self.dropped, float(low[order[room:]].min(initial=NOTHING)))
        return rows.part(chosen)

    def _mixed(self, rows: _Rows, order: Ints) -> Ints:
        """First the best few made of the same strips, and then the others."""
        key = self.marks[0][rows.path[order]].sum(axis=1)
        by_key = np.argsort(key, kind="stable")
        first = np.append(True, np.diff(key[by_key]) != 0)
        start = np.maximum.accumulate(np.where(first, np.arange(len(key)), 0))
        place = np.empty(len(key), dtype=np.int64)
        place[by_key] = np.arange(len(key)) - start
        return np.append(order[place < ALIKE_KEPT], order[place >= ALIKE_KEPT])

    def _undominated(self, rows: _Rows, of: Ints) -> Ints:
        """Less those made of the same strips as a cheaper one that leaves no less of any board."""
        if not len(of):
            return of
        path = rows.path[of]
        key = self.marks[0][path].sum(axis=1)
        if self.task.match:
            key = key + self.marks[1][path[:, -1]]
        key = key + np.round(rows.right[of] * 2**20).astype(np.int64) + (rows.side[of] > 0)
        order = np.lexsort((rows.cost[of, 0], key))
        key, of = key[order], of[order]
        first = np.append(True, key[1:] != key[:-1])
        lead = of[np.maximum.accumulate(np.where(first, np.arange(len(of)), 0))]
        worse = ~first & (rows.cost[of] >= rows.cost[lead] - 1e-9).all(axis=1)
        worse &= np.abs(rows.right[of] - rows.right[lead]) <= 1e-9
        worse &= rows.side[of] == rows.side[lead]
        worse &= (rows.start[of] >= rows.start[lead]) & (rows.stop[of] <= rows.stop[lead])
        for used in (rows.used, rows.low):
            some = np.nonzero(worse)[0]
            worse[some] = (used[of[some]] >= used[lead[some]] - 1e-9).all(axis=1)
        return of[~worse]


# -- The best row for one task ---------------------------------------------------------------------

# half-done rows kept in one search after another; in the last as many as there is room for
KEPT = (200, 1600, None)
FAR = 0.01  # share by which the bound so far must fall short for better prices to be worth the time
MOST_WIDTHS = 24  # common widths tried where all strips are ripped alike


def cheapest(
    wood: ClearWood, task: RowTask, best: float = NOTHING, proving: bool = True, effort: float = 1.0
) -> Found:
    """The cheapest row below `best`; its columns are those of `wood`.

    proving  whether to look on until it is proved, so far as that is to be had
    effort   share of the rows that are looked at for it
    """
    costs = Costs(wood, task)
    most = max(20, round(effort * MOST_PLACED))
    places, rule = RowPlaces(costs), Rule(costs, task.diameter * STEP if proving else 0.0)
    ahead = [Ahead(rule, plain(costs))]
    found = RowSearch(costs, ahead, places, False, most, effort=effort).run(best)
    if not proving or not len(wood):
        return found
    least, most_cost, widest = 0.0, min(best, found.cost), found.reach
    for kept in KEPT:
        if kept is None and least < most_cost * (1 - FAR):
            ahead.append(raised(rule, most_cost))
        through = np.max([one.through() for one in ahead], axis=0)
        some = Costs(wood.part(np.nonzero(through < most_cost)[0]), task)
        tried = RowSearch(some, ahead, places, True, most, effort, kept).run(most_cost)
        least, widest = max(least, tried.least), max(widest, tried.reach)
        if tried.cost < most_cost:
            found, most_cost = tried, tried.cost
        if least >= most_cost * (1 - NEAR_ENOUGH):
            break
    return replace(found, least=min(least, most_cost), reach=widest)


def reach(wood: ClearWood, task: RowTask) -> float:
    """How wide a row the wood makes at most, so far as is found, mm."""
    costs = Costs(wood, task)
    return RowSearch(costs, [], RowPlaces(costs), eased=False, most=0).run().reach


def cheapest_alike(
    wood: ClearWood,
    task: RowTask,
    proving: bool = True,
    effort: float = 1.0,
    likely: float | None = None,
) -> tuple[Found, RowTask]:
    """The cheapest row of strips of one width, and the task with that width; without `proving` the
    first that is found, the `likely` width tried before the others.

    Of a row of strips alike, the width may be taken as that of the narrowest board in it.
    """
    widths = np.unique(wood.wide[wood.wide >= max(task.narrowest, 1.0)])[::-1]
    tried = widths[:: -(-len(widths) // MOST_WIDTHS)] if len(widths) else widths
    tasks = [replace(task, alike=float(width)) for width in tried]
    best, of = Found(NOTHING, NOTHING, ()), task
    for one in tasks if proving else sorted(tasks, key=lambda one: one.alike != likely):
        found = cheapest(wood, one, best.cost, proving=False)
        best, of = (found, one) if found.cost < best.cost else (best, of)
        if found.columns and not proving:
            break
    if not proving:
        return best, of
    least = NOTHING if len(tried) == len(widths) and not wood.tapers else 0.0
    for one in tasks:
        costs = Costs(wood, one)
        if _least(costs) >= best.cost:
            continue
        found = cheapest(wood, one, best.cost, effort=effort)
        least = min(least, found.least)
        best, of = (found, one) if found.cost < best.cost else (best, of)
    if least == 0.0:  # strips as wide as they go cost no more
        least = _least(Costs(wood, task))
    return replace(best, least=min(least, best.cost)), of


def _least(costs: Costs) -> float:
    """What any row costs at least."""
    return Ahead(Rule(costs, costs.task.diameter * STEP), plain(costs)).least
