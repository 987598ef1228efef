"""What any layout must cost at least: the bound that lets the search pass over most of them.

Strips that may come nearer the centre than x must between them be 2x wide, for every x. Prices on
the circle's width follow from that, as a linear programme's do from its constraints. Proof:
`reference/derivations/boards_to_round.md`, "a price on every millimetre".
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.planning.board_stock import Ints, StripStock

Floats = NDArray[np.float64]


class Bound(Protocol):
    """What layouts cost at least. Arrays have an entry for each strip."""

    @property
    def gain(self) -> Floats:
        """By how much each strip can undercut the bound, points, not negative."""
        ...

    @property
    def excess(self) -> Floats:
        """By how much the use of each strip lifts the bound, points, not negative."""
        ...

    @property
    def least(self) -> float:
        """What any layout costs at least, points."""
        ...

    def inside(self, left: Ints, right: Ints) -> Floats:
        """Least cost of what covers the circle from `left` of the centre to `right` of it (grains,
        both positive), gains not counted."""
        ...


@dataclass(frozen=True, eq=False)
class Prices:
    """Prices that no strip undercuts by more than its gain: a `Bound`.

    edges   distances from the centre where the price changes, grains, rising from 0 to the radius
    price   points a grain between one edge and the next, falling outwards; shape (len(edges) - 1,)
    gain, excess   see `Bound`
    """

    edges: Floats
    price: Floats
    gain: Floats
    excess: Floats

    @cached_property
    def _worth(self) -> Floats:
        return np.concatenate([[0.0], np.cumsum(np.diff(self.edges) * self.price)])

    def inside(self, left: Ints, right: Ints) -> Floats:
        """Price of the circle from `left` of the centre to `right` of it (grains)."""
        sides = [np.interp(distance, self.edges, self._worth) for distance in (left, right)]
        return np.asarray(sides[0] + sides[1])

    @property
    def least(self) -> float:
        """What any layout costs at least, points."""
        return float(2 * self._worth[-1] - self.gain.sum())


def prices(stock: StripStock, radius: int) -> Prices | None:
    """The prices of a stock for a circle of that radius (grains).

    None where strips that may come near enough the centre are not wide enough together: then
    nothing can be laid out at all.
    """
    # At the radius itself every strip in the stock may be used.
    edges = np.unique(np.append(stock.off[stock.off > 0], radius))
    margins = _margins(stock, edges.tolist())
    if margins is None:
        return None
    price = np.maximum.accumulate(margins[::-1])[::-1]
    at = price[np.searchsorted(edges, stock.off, side="right")]
    over = stock.cost - stock.width * at
    return Prices(
        np.concatenate([[0.0], edges]), price, np.maximum(-over, 0.0), np.maximum(over, 0.0)
    )


def _margins(stock: StripStock, edges: list[int]) -> Floats | None:
    """Cost of the last grain bought within each edge, buying the cheapest that may be used."""
    inward = np.argsort(stock.off, kind="stable").tolist()
    width, off, cost = stock.width.tolist(), stock.off.tolist(), stock.cost.tolist()
    waiting: list[tuple[float, int]] = []
    bought, spare, rate, taken = 0, 0, 0.0, 0
    margins = []
    for edge in edges:
        while taken < len(inward) and off[inward[taken]] < edge:
            strip = inward[taken]
            # A strip that is only partly used goes back among the others.
            heapq.heappush(waiting, (cost[strip] / width[strip], width[strip]))
            taken += 1
        last = 0.0
        if spare and 2 * edge > bought:
            heapq.heappush(waiting, (rate, spare))
        while 2 * edge > bought:
            if not waiting:
                return None
            rate, wide = heapq.heappop(waiting)
            used = min(wide, 2 * edge - bought)
            bought, spare, last = bought + used, wide - used, rate
        margins.append(last)
    return np.array(margins)
