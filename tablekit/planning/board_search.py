"""The search for the best layout: from both rims inwards, one strip after another.

What has been laid on one side is summed up in one number, how near the centre the rest must reach.
Proof that nothing better is passed over: `reference/derivations/boards_to_round.md`.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tablekit.planning.board_bound import Bound, Prices, prices
from tablekit.planning.board_middles import Middles, one_strip, several
from tablekit.planning.board_steps import StepBound, steps
from tablekit.planning.board_stock import Ints, StripStock

Floats = NDArray[np.float64]
NOTHING = 2**62  # dearer than any layout
CLOSE = 1 + 1e-13  # what rounding may take from a bound

STAGES = 16  # of progress, at each of which some are kept
FIRST_TRY = 96  # half-done layouts kept in a first, quick search
CORE = 180  # strips looked at in it
BANDS = 8  # of lengths, each to have its share of them
MOST_STRIPS = 240  # strips looked at in a full search
MOST_STATES = 600_000  # half-done layouts looked at in a full search
MOST_SETS = 60_000  # sets of strips for the middle
FEW_MIDDLES, MOST_MIDDLES = 4, 24  # strips tried over the centre, at first and in full


@dataclass(frozen=True)
class Found:
    """The best layout found.

    cost    points; NOTHING where none was found
    least   what any layout costs at least, points; as much as `cost` where that is proved
    strips  indices into the stock, from left to right; empty where none was found
    """

    cost: int
    least: float
    strips: tuple[int, ...]

    @property
    def proved(self) -> bool:
        """Whether nothing cheaper can exist; of an empty one, whether nothing can be laid out."""
        return self.least >= self.cost


@dataclass(frozen=True, eq=False)
class _States:
    """Half-done layouts: how near the centre the rest must reach, on the side where it must reach
    less near and on the other; what they cost; and from which they came, by doing what."""

    far: Ints
    near: Ints
    cost: Ints
    parent: Ints
    move: Ints

    def part(self, chosen: NDArray[np.bool_] | Ints) -> _States:
        return _States(*(column[chosen] for column in vars(self).values()))


_SKIP, _FAR, _NEAR = 0, 1, 2


def search(
    stock: StripStock, radius: int, clear: int, best: int = NOTHING, most: int = MOST_STATES
) -> Found:
    """The cheapest layout of strips from `stock` that costs less than `best`.

    radius  of the circle, grains
    clear   no joint may come nearer the centre than this, grains
    most    half-done layouts to look at, about
    """
    kept_clear, order = _kept_clear(stock, clear)
    found = _searched(kept_clear, radius, clear, best, most)
    return replace(found, strips=tuple(int(order[strip]) for strip in found.strips))


def _kept_clear(stock: StripStock, clear: int) -> tuple[StripStock, Ints]:
    """Only a strip over the centre may come nearer than `clear`, and it must reach as far.

    Gives the stock in its new order, and where each strip was in the old one."""
    middle = (stock.off == 0) & (stock.width >= 2 * clear)
    off = np.where(middle, 0, np.maximum(stock.off, clear))
    order = np.argsort(-off, kind="stable")
    return replace(stock, off=off).part(order), order


def _searched(stock: StripStock, radius: int, clear: int, best: int, most: int) -> Found:
    priced = prices(stock, radius)
    if priced is None or not (stock.off == 0).any():
        return Found(NOTHING, NOTHING, ())
    every = np.arange(len(stock))
    core, _ = promising(stock, every, priced, radius, CORE)
    found = _sweep(stock, core, priced, radius, clear, best, 0)
    if found.proved and len(core) == len(stock):
        return found
    sharp = steps(stock, radius, priced)
    reach = min(best, found.cost)
    # A strip whose use alone lifts the bound to what is in hand is in no better layout.
    open_ = every[sharp.least + sharp.excess < reach * CLOSE]
    use, left_out = promising(stock, open_, sharp, radius, MOST_STRIPS)
    again = _sweep(stock, use, sharp, radius, clear, reach, most)
    least = min(again.least, left_out)
    if again.cost < found.cost:
        found = again
    return replace(found, least=min(least, found.cost))


def promising(
    stock: StripStock, of: Ints, by: Bound, radius: int, number: int
) -> tuple[Ints, float]:
    """Some `number` of strips, of every length, and what a layout with any other costs at least."""
    if len(of) <= number:
        return of, np.inf
    over = by.excess - by.gain
    # The longest apart from all others: without one for the middle there is no layout.
    band = np.where(stock.off[of] == 0, -1, stock.off[of] * BANDS // radius)
    chosen = [
        here[np.argsort(over[here], kind="stable")[: number // (BANDS + 1)]]
        for here in (of[band == one] for one in range(-1, BANDS))
    ]
    use = np.sort(np.concatenate(chosen))
    return use, by.least + float(by.excess[np.setdiff1d(of, use)].min(initial=np.inf))


def _sweep(
    stock: StripStock,
    use: Ints,
    by: Prices | StepBound,
    radius: int,
    clear: int,
    best: int,
    most: int,
) -> Found:
    """The cheapest layout of the strips `use` below `best`, after a look at some `most` states."""
    priced = by.prices if isinstance(by, StepBound) else by
    unused = by.gain.sum() - by.gain[use].sum()
    inner = use[stock.off[use] == 0]
    outer = use[stock.off[use] > 0]
    if clear == 0:
        sets = several(stock, inner, priced, radius, best, MOST_SETS)
        run = _Run(stock, outer, sets, by, radius, best, most, float(unused))
        return run.found(sets.least_dropped)
    return _kept_apart(stock, outer, inner, by, radius, clear, best, most, float(unused))


def _kept_apart(
    stock: StripStock, outer: Ints, inner: Ints, by: Bound, radius: int, clear: int, best: int,
    most: int, unused: float,
) -> Found:  # fmt: skip
    """With joints kept clear of the centre: one strip lies over it and all others beside it."""
    found, least = Found(best, NOTHING, ()), float(NOTHING)
    middles = _one_of_each(stock, inner, by.excess)
    tried = middles[:MOST_MIDDLES] if most else middles[:FEW_MIDDLES]
    if len(tried) < len(middles):
        least = by.least + float(by.excess[middles[len(tried)]])
    for number, middle in enumerate(tried):
        if by.least + by.excess[middle] >= found.cost * CLOSE:
            break
        beside = np.append(outer, inner[inner != middle])
        off = np.maximum(stock.off, clear)
        off[middle] = 0
        apart, share = replace(stock, off=off), most // (len(tried) - number)
        run = _Run(apart, beside, one_strip(stock, middle), by, radius, found.cost, share, unused)
        one, most = run.found(np.inf), max(0, most - run.looked)
        least = min(least, one.least)
        if one.cost < found.cost:
            found = one
    return replace(found, cost=found.cost if found.strips else NOTHING, least=least)


def _one_of_each(stock: StripStock, strips: Ints, excess: Floats) -> list[int]:
    """One strip of each width and cost, those first whose use lifts the bound least."""
    kinds = {(int(stock.width[k]), int(stock.cost[k])): int(k) for k in strips}
    return sorted(kinds.values(), key=lambda k: float(excess[k]))


class _Run:
    """One search inwards, over the strips `outer`, the shortest first."""

    def __init__(
        self, stock: StripStock, outer: Ints, middles: Middles, by: Bound, radius: int, best: int,
        most: int, unused: float,
    ):  # fmt: skip
        self.stock, self.outer, self.middles, self.by = stock, outer, middles, by
        self.radius, self.best, self.most = radius, best, most
        self.looked, self.dropped = 0, np.inf
        self.trail: list[_States] = []
        self.end: tuple[int, int, int, int] | None = None  # layer, state, move, middle
        widest = int(middles.width[-1]) if len(middles.width) else 0
        wide = stock.width[outer]
        self.ahead = widest + np.append(np.cumsum(wide[::-1])[::-1], 0)
        gains = by.gain[outer]
        middle_gain = by.gain.sum() - unused - gains.sum()
        self.gain_ahead = unused + middle_gain + np.append(np.cumsum(gains[::-1])[::-1], 0.0)
        self._go()

    def _go(self) -> None:
        one, none = np.full(1, self.radius, dtype=np.int64), np.zeros(1, dtype=np.int64)
        states = _States(one, one, none, none, none)
        self._finish(states, np.zeros(1, dtype=np.int64), 0)
        for layer, strip in enumerate(self.outer.tolist()):
            states = self._thinned(self._with(states, strip, layer), layer + 1)
            self.trail.append(states)
            if not len(states.cost):
                return

    def _with(self, states: _States, strip: int, layer: int) -> _States:
        """Each state without the strip, and with it on either side where it is of use."""
        wide, off = int(self.stock.width[strip]), int(self.stock.off[strip])
        price = int(self.stock.cost[strip])
        index = np.arange(len(states.cost))
        parts = [(states.far, states.near, states.cost, index, np.full_like(index, _SKIP))]
        on_far = np.nonzero(states.far > off)[0]
        on_near = np.nonzero((states.near > off) & (states.near < states.far))[0]
        for chosen, move in ((on_far, _FAR), (on_near, _NEAR)):
            moved, other = states.far[chosen], states.near[chosen]
            if move == _NEAR:
                moved, other = other, moved
            moved = np.maximum(moved - wide, off)
            cost = states.cost[chosen] + price
            parts.append((np.maximum(moved, other), np.minimum(moved, other), cost, chosen,
                          np.full_like(chosen, move)))  # fmt: skip
        grown = _States(*(np.concatenate(column) for column in zip(*parts, strict=True)))
        new = np.arange(len(index), len(grown.cost))
        self._finish(grown, new, layer)
        return grown

    def _finish(self, states: _States, new: Ints, layer: int) -> None:
        """Closes each new state with the cheapest middle that is wide enough for it."""
        if not len(self.middles.width) or not len(new):
            return
        cost, which = self.middles.cheapest(states.far[new] + states.near[new])
        total = np.where(which >= 0, states.cost[new] + cost, NOTHING)
        first = int(np.argmin(total))
        if total[first] < self.best:
            at = int(new[first])
            self.best = int(total[first])
            self.end = (layer, int(states.parent[at]), int(states.move[at]), int(which[first]))

    def _thinned(self, states: _States, layer: int) -> _States:
        """Without those that cannot be closed, cannot become the best, or are beaten by others."""
        low = self._lowest(states, layer)
        open_ = states.far + states.near <= self.ahead[layer]
        states = states.part(open_ & (low < self.best * CLOSE))
        self.looked += len(states.cost)
        states = states.part(undominated(states.far, states.near, states.cost))
        room = max(FIRST_TRY, self.most - self.looked)
        if len(states.cost) > room:
            low = self._lowest(states, layer)
            ranked = self._ranked(states, low)
            self.dropped = min(self.dropped, float(low[ranked[room:]].min()))
            states = states.part(np.sort(ranked[:room]))
        return states

    def _ranked(self, states: _States, low: Floats) -> Ints:
        """Indices of the states, those with the lowest bound at each stage of progress first."""
        stage = (states.far + states.near) * STAGES // (2 * self.radius + 1)
        order = np.lexsort((low, stage))
        starts = np.searchsorted(stage[order], np.arange(STAGES))
        place = np.arange(len(order)) - starts[stage[order]]
        return np.asarray(order[np.argsort(place, kind="stable")])

    def _lowest(self, states: _States, layer: int) -> Floats:
        """What any layout that goes on from a state costs at least."""
        inside = self.by.inside(states.far, states.near)
        return np.asarray(states.cost + inside - self.gain_ahead[layer])

    def found(self, dropped_before: float) -> Found:
        """What came of it."""
        if self.end is None:
            return Found(NOTHING, min(dropped_before, self.dropped, float(NOTHING)), ())
        least = min(dropped_before, self.dropped, float(self.best))
        return Found(self.best, least, self._strips(self.end))

    def _strips(self, end: tuple[int, int, int, int]) -> tuple[int, ...]:
        """The strips from left to right, from the moves that led to the end."""
        layer, state, move, middle = end
        moves = []
        while True:
            if move != _SKIP:
                moves.append((int(self.outer[layer]), move))
            layer -= 1
            if layer < 0:
                break
            move = int(self.trail[layer].move[state])
            state = int(self.trail[layer].parent[state])
        return self._replayed(moves[::-1], self.middles.strips[middle])

    def _replayed(self, moves: list[tuple[int, int]], middle: tuple[int, ...]) -> tuple[int, ...]:
        far: tuple[int, list[int]] = (self.radius, [])
        near: tuple[int, list[int]] = (self.radius, [])
        for strip, move in moves:
            grown, other = (far, near) if move == _FAR else (near, far)
            need = max(grown[0] - int(self.stock.width[strip]), int(self.stock.off[strip]))
            grown = (need, [*grown[1], strip])
            far, near = (grown, other) if grown[0] >= other[0] else (other, grown)
        return (*far[1], *middle, *reversed(near[1]))


def undominated(far: Ints, near: Ints, cost: Ints) -> Ints:
    """Indices of the states to which no other has all three numbers as small.

    A sweep by `far` that keeps the staircase of `near` against `cost` of what it has passed."""
    order = np.lexsort((cost, near, far))
    nears: list[int] = []
    costs: list[int] = []
    kept = []
    rows = zip(order.tolist(), near[order].tolist(), cost[order].tolist(), strict=True)
    for index, reach, price in rows:
        place = bisect_right(nears, reach)
        if place and costs[place - 1] <= price:
            continue
        kept.append(index)
        start = place - 1 if place and nears[place - 1] == reach else place
        stop = place
        while stop < len(costs) and costs[stop] >= price:
            stop += 1
        nears[start:stop] = [reach]
        costs[start:stop] = [price]
    return np.array(kept, dtype=np.int64)
