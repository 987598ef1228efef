"""Prices that strips are charged for the clear lengths of boards.

Any prices give a bound: of each board is taken off again what its strips can be charged above what
it costs. Proof: `reference/derivations/boards_to_round.md`, "what a layout costs at least".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tablekit.planning.board_cost import EASE, Costs
from tablekit.planning.board_wood import Floats, Ints


@dataclass(frozen=True, eq=False)
class Prices:
    """What strips are charged; arrays have an entry for each clear length.

    rate   times what its wood costs
    over   what the strips of its board can be charged at most above what that costs
    total  the same of all boards together
    """

    rate: Floats
    over: Floats
    total: float

    def part(self, chosen: Ints) -> Prices:
        """Those of some clear lengths."""
        return Prices(self.rate[chosen], self.over[chosen], self.total)


def plain(costs: Costs) -> Prices:
    """Prices at which no board can be charged more than it costs."""
    return Prices(costs.share, np.zeros(len(costs.wood)), 0.0)


class Uses:
    """The ways to use a board that matter for what its strips can be charged above its cost: up to
    one clear length, those before it full, and itself least, as far as the rest still goes back,
    or full. Between these the charge grows faster than the cost all the way, or slower.

    own    what the wood taken of each column costs by itself; shape (uses, columns)
    cost   what the board costs; shape (uses,)
    firsts  where the uses of each board begin
    """

    def __init__(self, costs: Costs):
        wood, every = costs.wood, np.arange(len(costs.wood))
        first = np.full(len(wood), costs.task.shortest + costs.kerf)
        timber, whole = wood.timber, costs.whole[wood.timber]
        back = np.minimum(costs.keeps[timber] - wood.start, wood.room)
        before = (timber[:, None] == timber) & (every[:, None] > every)
        full = np.where(before, costs.area(wood.room), 0.0)
        own, cost = [], []
        for used, all_of_it in ((first, False), (back, False), (wood.room, True)):
            there = full.copy()
            there[every, every] = costs.area(used)
            own.append(there)
            up_to = np.minimum(costs.each_up_to(wood.start + used), whole)
            cost.append(whole if all_of_it else np.where(first <= back + EASE, up_to, np.inf))
        order = np.argsort(np.tile(wood.board, 3), kind="stable")
        self.own, self.cost = np.concatenate(own)[order], np.concatenate(cost)[order]
        self.firsts = np.searchsorted(np.tile(wood.board, 3)[order], np.unique(wood.board))

    def over(self, rate: Floats) -> tuple[Floats, Floats]:
        """By board: what strips are charged at most above its cost, 0 where nowhere above it; and
        what the wood that they then take costs by itself, shape (boards, columns)."""
        above = self.own @ rate - self.cost
        ends = np.append(self.firsts[1:], len(above))
        at = [a + int(np.argmax(above[a:b])) for a, b in zip(self.firsts, ends, strict=True)]
        gain = above[at] > 0
        return np.where(gain, above[at], 0.0), self.own[at] * gain[:, None]


class Left:
    """What strips of a board can be charged above its cost, once some are cut from it."""

    def __init__(self, costs: Costs, rates: Floats):
        """rates  of some prices, shape (prices, columns)"""
        self.costs, self.rates = costs, rates
        many = np.bincount(costs.wood.timber, minlength=len(costs.wood.timbers))
        self.there = np.arange(int(many.max(initial=0))) < many[:, None]
        self.columns = costs.firsts[:, None] + np.where(self.there, np.cumsum(self.there, 1) - 1, 0)

    @cached_property
    def first(self) -> float:
        """What a strip takes at least, mm."""
        return self.costs.task.shortest + self.costs.kerf

    def over(self, timber: Ints, low: Floats, high: Floats) -> Floats:
        """At most; shape (prices, rows).

        timber     that is cut, of each row
        low, high  what is used of each column at least and at most, shape (rows, columns)
        """
        rows, room = np.arange(len(timber)), self.costs.wood.room
        most = np.full((len(self.rates), len(timber)), -np.inf)
        full = np.zeros_like(most)
        for k in range(self.columns.shape[1]):
            column, there = self.columns[timber, k], self.there[timber, k]
            least = low[rows, column]
            begun = there & (least > 0)
            more = there & (least + self.first <= room[column] + EASE)
            last = np.where(more, room[column], np.minimum(high[rows, column], room[column]))
            first = np.where(begun, least, self.first)
            most = np.where(begun, -np.inf, most)  # nothing ends before what is begun
            ends = full + self._ends(column, first, last)
            most = np.where(begun | more, np.maximum(most, ends), most)
            all_of_it = self.rates[:, column] * self.costs.area(last, column)
            full = full + np.where(begun | more, all_of_it, 0.0)
        return most

    def _ends(self, column: Ints, first: Floats, last: Floats) -> Floats:
        """Charged above the cost at most where so much is used of the last column in use."""
        costs, rate = self.costs, self.rates[:, column]
        start, timber = costs.wood.start[column], costs.wood.timber[column]
        keeps, whole = costs.keeps[timber] - start, costs.whole[timber]
        ends = rate * costs.area(last, column) - whole
        for used in (first, np.minimum(last, np.maximum(keeps, first))):
            up_to = np.minimum(costs.each_up_to(start + used, column), whole)
            back = rate * costs.area(used, column) - up_to
            ends = np.maximum(ends, np.where(first <= keeps + EASE, back, -np.inf))
        return ends
