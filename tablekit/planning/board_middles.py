"""The middle of a layout: sets of strips as long as the diameter, which may lie anywhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tablekit.planning.board_bound import Prices
from tablekit.planning.board_stock import Ints, StripStock


@dataclass(frozen=True, eq=False)
class Middles:
    """Sets of strips that are worth having in the middle, from the narrowest to the widest.

    width, cost   of each set, grains and points, both rising; shape (n,)
    strips        of each set, as indices into the stock they were made from
    least_dropped what a layout with a set that was given up costs at least, points
    """

    width: Ints
    cost: Ints
    strips: list[tuple[int, ...]]
    least_dropped: float = np.inf

    def cheapest(self, width: Ints) -> tuple[Ints, Ints]:
        """Cost of the cheapest set of at least each width, and which; -1 where none is as wide."""
        which = np.searchsorted(self.width, width, side="left")
        there = which < len(self.width)
        cost = np.where(there, self.cost[np.minimum(which, len(self.width) - 1)], -1)
        return cost, np.where(there, which, -1)


def one_strip(stock: StripStock, strip: int) -> Middles:
    """A single strip in the middle."""
    return Middles(stock.width[[strip]], stock.cost[[strip]], [(strip,)])


def several(
    stock: StripStock, indices: Ints, by: Prices, radius: int, best: float, limit: int
) -> Middles:
    """All sets of these strips of which none is both narrower and dearer than another.

    Sets that can only lead to more than `best` are left out; of more than `limit` sets the least
    promising are given up, and `least_dropped` says what that may have cost.
    """
    width, cost, passed = (np.zeros(1, dtype=np.int64) for _ in range(3))
    over = np.zeros(1)
    trail: list[tuple[Ints, NDArray[np.bool_]]] = []
    dropped = np.inf
    for strip in indices.tolist():
        old = len(width)
        over = np.concatenate([over + by.gain[strip], over + by.excess[strip]])
        width = np.minimum(np.concatenate([width, width + stock.width[strip]]), 2 * radius)
        cost = np.concatenate([cost, cost + stock.cost[strip]])
        kept = _undominated(width, cost)
        kept = kept[by.least + over[kept] < best * (1 + 1e-13)]
        if len(kept) > limit:
            ranked = kept[np.argsort(over[kept], kind="stable")]
            dropped = min(dropped, by.least + float(over[ranked[limit]]))
            kept = np.sort(ranked[:limit])
        passed = kept % old
        trail.append((passed, kept >= old))
        width, cost, over = width[kept], cost[kept], over[kept]
        if not len(kept):
            return Middles(width, cost, [], dropped)
    order = np.argsort(width, kind="stable")
    sets = _retrace(trail, indices.tolist(), order)
    some = np.array([bool(one) for one in sets], dtype=bool)
    chosen = order[some] if len(order) else order
    return Middles(width[chosen], cost[chosen], [one for one in sets if one], dropped)


def _undominated(width: Ints, cost: Ints) -> Ints:
    """Indices of the sets to which no other is at least as wide and no dearer."""
    order = np.lexsort((cost, -width))
    falling = cost[order]
    cheapest_so_far = np.minimum.accumulate(falling)
    new = np.append(True, falling[1:] < cheapest_so_far[:-1])
    return np.sort(order[new])


def _retrace(
    trail: list[tuple[Ints, NDArray[np.bool_]]], strips: list[int], order: Ints
) -> list[tuple[int, ...]]:
    sets = []
    for state in order.tolist():
        chosen = []
        for strip, (parent, taken) in zip(reversed(strips), reversed(trail), strict=True):
            if taken[state]:
                chosen.append(strip)
            state = int(parent[state])
        sets.append(tuple(chosen))
    return sets
