"""A sharper bound, for racks that the prices alone leave open: strips bought whole, not in parts.

Every strip may be used as often as one likes, at its own cost and what it undercuts the prices by;
the cheapest way from a distance out to the rim is then found step by step on a fine rule. Proof:
`reference/derivations/boards_to_round.md`, "a step at a time".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tablekit.planning.board_bound import Floats, Prices
from tablekit.planning.board_stock import Ints, StripStock

MOST_MARKS, LEAST_MARKS = 3000, 400  # on the rule from the centre to the rim
MOST_WORK = 2_000_000  # marks times strips


@dataclass(frozen=True, eq=False)
class StepBound:
    """A `Bound`: the higher of this one and the prices it is made from.

    way     cheapest way out to the rim from each mark of the rule, points; shape (marks + 1,)
    mark    distance between marks, grains
    across  cheapest way from rim to rim, points
    over    by how much the use of each strip makes that dearer, points
    prices  the prices
    """

    way: Floats
    mark: int
    across: float
    over: Floats
    prices: Prices

    @property
    def gain(self) -> Floats:
        """By how much each strip can undercut it, points."""
        return self.prices.gain

    @property
    def _least(self) -> float:
        return float(self.across - self.gain.sum())

    @property
    def least(self) -> float:
        """What any layout costs at least, points."""
        return max(self._least, self.prices.least)

    @cached_property
    def excess(self) -> Floats:
        """By how much the use of a strip lifts it, points."""
        with_it = self.prices.least + self.prices.excess
        return np.asarray(np.maximum(self._least + self.over, with_it) - self.least)

    def inside(self, left: Ints, right: Ints) -> Floats:
        """Least cost of what covers the circle from `left` of the centre to `right` of it."""
        out = self.way[-(-left // self.mark)] + self.way[-(-right // self.mark)]
        return np.maximum(self.across - out, self.prices.inside(left, right))


def steps(stock: StripStock, radius: int, prices: Prices) -> StepBound:
    """The bound for a stock that holds a strip as long as the diameter; radius in grains."""
    marks = int(np.clip(MOST_WORK // len(stock), LEAST_MARKS, MOST_MARKS))
    mark = -(-radius // marks)
    # Each step counts a little too wide and may begin a little too far in, so that none is thought
    # dearer than it is.
    wide = -(-stock.width // mark)
    start = -(-stock.off // mark)
    cost = stock.cost + prices.gain
    way, over = _ways(-(-radius // mark), wide, start, cost)
    middle = np.full(len(stock), np.inf)
    for strip in np.nonzero(stock.off == 0)[0]:
        middle[strip] = cost[strip] + _two_ways(way, int(wide[strip]))
    across = float(middle.min())
    return StepBound(way, mark, across, np.maximum(np.minimum(over, middle - across), 0.0), prices)


def _ways(marks: int, wide: Ints, start: Ints, cost: Floats) -> tuple[Floats, Floats]:
    """Cheapest way out from each mark, and by how much each strip makes any way dearer."""
    inward = np.argsort(start, kind="stable")
    wide, cost = wide[inward], cost[inward]
    may = np.searchsorted(start[inward], np.arange(marks), side="right")
    way = np.zeros(marks + int(wide.max()) + 1)
    over = np.full(len(wide), np.inf)
    for mark in range(marks - 1, -1, -1):
        some = int(may[mark])
        onward = cost[:some] + way[mark + wide[:some]]
        way[mark] = onward.min()
        np.minimum(over[:some], onward - way[mark], out=over[:some])
    back = np.empty_like(over)
    back[inward] = over
    return way[: marks + 1], back


def _two_ways(way: Floats, wide: int) -> float:
    """Cheapest two ways out from the edges of a strip over the centre."""
    one = np.arange(wide + 1)
    other = wide - one + 1  # both may be rounded up
    last = len(way) - 1
    return float((way[np.minimum(one, last)] + way[np.minimum(other, last)]).min())
