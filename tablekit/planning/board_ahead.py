"""What covering the rest of the circle costs at least: the bound that lets the search pass over
most layouts.

Proof: `reference/derivations/boards_to_round.md`, "what a layout costs at least".
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from tablekit.planning.board_cost import EASE, Costs, Flags
from tablekit.planning.board_prices import Prices, Uses, plain
from tablekit.planning.board_wood import Floats, Ints

MARKS = 1750  # on the rule from rim to rim
PARTS = 12  # of a tapered board, in each of which it is thought to be one width


class Rule:
    """Marks from rim to rim, and the strips that may be laid from within each. Of boards alike, one
    stands for all. Arrays have shape (marks, strips)."""

    def __init__(self, costs: Costs, shift: float):
        """shift  how far the row may be moved to either side at most, mm"""
        self.costs, task = costs, costs.task
        self.mark = task.diameter / MARKS
        self.group = costs.wood.alike
        self.parts = self._parts()
        self.of = np.array([k for k, _, _ in self.parts], dtype=np.int64)
        low: Floats = -task.radius + self.mark * np.arange(MARKS + 1, dtype=float)[:, None]
        end, (own, single), (filled, fits) = self._options(low, shift)
        # Within a mark a strip is charged the least of either end.
        self.own, self.single = np.minimum(own[:-1], own[1:]), np.minimum(single[:-1], single[1:])
        self.filled = filled[:-1] & filled[1:]
        width = np.maximum(end[:-1] - low[:-1], end[1:] - low[1:])
        self.fits = (fits[:-1] | fits[1:]) & (width >= max(task.narrowest, EASE))
        # From somewhere within a mark, a strip ends within one of these two.
        marks = np.clip(width / self.mark, 0.0, 2.0 * MARKS)
        self.step: Ints = np.floor(marks + 1e-9).astype(np.int64)
        self.last: Ints = np.maximum(np.ceil(marks - 1e-9).astype(np.int64), self.step)

    def _parts(self) -> list[tuple[int, float, float]]:
        """Columns, and how far behind where each begins strips may be cut from it: at once, or
        from a tapered one behind another strip, between two places."""
        costs, wood = self.costs, self.costs.wood
        least = costs.task.shortest + costs.kerf
        parts: list[tuple[int, float, float]] = []
        for k in np.unique(self.group):
            parts.append((k, 0.0, 0.0))
            room = float(wood.room[k])
            if wood.narrows[k] > 0 and room >= 2 * least - EASE:
                step = (room - 2 * least) / PARTS
                parts += [(k, least + j * step, least + (j + 1) * step) for j in range(PARTS)]
        return parts

    def _options(
        self, place: Floats, shift: float
    ) -> tuple[Floats, tuple[Floats, Floats], tuple[Flags, Flags]]:
        """Right edges of strips from each part of the wood; what the wood that they take costs by
        itself; what the board does, and whether they take all of it; and whether they fit."""
        begins, ends = np.array([part[1:] for part in self.parts]).reshape(-1, 2).T
        costs, of = self.costs, self.of
        end, length, least, _ = costs.eased(place, begins, (-shift, shift), of)
        filled, spent, single = costs.filling(length, least, of)
        own = costs.own(length, ends, of)
        # It takes all of its clear length where that is no more to another strip, nor to the rack.
        own = np.where(filled & spent, np.maximum(own, costs.area(costs.wood.room[of], of)), own)
        filled &= costs.alone[of]
        fits = begins + least + costs.kerf <= costs.wood.room[of] + EASE
        return end, (own, single), (filled, fits)

    def marks(self, right: Floats, most: int) -> tuple[Ints, Ints]:
        """The mark that each place lies within, or the two that it is between; at most `most`."""
        place = (right + self.costs.task.radius) / self.mark
        found = [np.floor(place + near).astype(np.int64) for near in (-1e-6, 1e-6)]
        one, other = (np.clip(mark, 0, most) for mark in found)
        return one, other


class Ahead:
    """What covering the rest of the circle costs at least, from each mark on a rule, with strips
    charged by some prices."""

    def __init__(self, rule: Rule, prices: Prices):
        self.rule, self.prices = rule, prices
        rate, over = prices.rate[rule.of], prices.over[rule.of]
        charged = np.where(rule.filled, rule.single + over, rule.own * rate)
        self.cost = np.where(rule.fits, charged + rule.costs.tie, np.inf)
        self.value = self._values()

    @property
    def least(self) -> float:
        """What any layout costs at least."""
        return float(self.value[0]) - self.prices.total

    def _values(self) -> Floats:
        rule = self.rule
        value = np.zeros(MARKS + int(rule.last.max(initial=1)) + 4)
        # No strip from one of so many marks ends within another of them.
        stride = max(1, int(rule.step.min(initial=MARKS, where=rule.fits)))
        for mark in range(MARKS, 0, -stride):
            some = np.arange(max(mark - stride, 0), mark)
            value[some] = (self.cost[some] + self._onward(value, some)).min(axis=1, initial=np.inf)
        return value

    def _onward(self, value: Floats, marks: Ints) -> Floats:
        """From where each strip ends; the lesser value of the two marks that it may end within."""
        one, other = marks[:, None] + self.rule.step[marks], marks[:, None] + self.rule.last[marks]
        return np.minimum(value[one], value[other])

    def cheapest(self) -> tuple[Floats, Floats]:
        """Of the cheapest strips over the whole circle: what the wood that they take of each column
        costs by itself; and how many take up a board alone, by board."""
        rule, wood = self.rule, self.rule.costs.wood
        wanted, alone = np.zeros(len(wood)), np.zeros(int(wood.board.max(initial=-1)) + 1)
        mark = 0
        while mark < MARKS:
            onward = self._onward(self.value, np.array([mark]))[0]
            best = int(np.argmin(self.cost[mark] + onward))
            column = rule.of[best]
            if rule.filled[mark, best]:
                alone[wood.board[column]] += 1
            else:
                wanted[column] += rule.own[mark, best]
            one, other = mark + int(rule.step[mark, best]), mark + int(rule.last[mark, best])
            mark = one if self.value[one] <= self.value[other] else other
        return wanted, alone

    def at(self, right: Floats) -> Floats:
        """From there on; shape of `right`."""
        one, other = self.rule.marks(right, len(self.value) - 1)
        return np.asarray(np.minimum(self.value[one], self.value[other]))

    @cached_property
    def _with(self) -> Floats:
        """What covering the circle costs at least from within each mark, with a strip of each
        column next; shape (marks, columns)."""
        every = self.cost + self._onward(self.value, np.arange(MARKS))
        columns, starts = np.unique(self.rule.of, return_index=True)
        found = np.minimum.reduceat(every, starts, axis=1)
        return np.asarray(found[:, np.searchsorted(columns, self.rule.group)])

    def with_next(self, right: Floats, of: Ints) -> Floats:
        """From there on with a strip of each of some columns next; shape (places, columns).
        `right` is nowhere left of the circle."""
        one, other = self.rule.marks(right, MARKS - 1)
        return np.minimum(self._with[one[:, None], of], self._with[other[:, None], of])

    def through(self) -> Floats:
        """What any layout with a strip of each column costs at least; shape (columns,)."""
        # What lies before it, seen in a mirror.
        so_far = np.minimum(self.value[MARKS:0:-1], self.value[MARKS - 1 :: -1])[:, None]
        return np.asarray((so_far + self._with).min(axis=0, initial=np.inf)) - self.prices.total


ROUNDS = 40
LONG, SHORTER, PATIENCE = 1.0, 0.7, 5  # of a step: at first, and times, after rounds without gain
HOPED = 1.015  # times the best bound, what it is hoped to become at most


def raised(rule: Rule, best: float) -> Ahead:
    """With prices that make the bound high, where the best layout in hand costs `best`.

    By steps along the slope of the bound: up for wood that is wanted more than there is.
    """
    costs, group = rule.costs, rule.group
    uses, many = Uses(costs), np.bincount(group, minlength=len(group))[group]
    found, rate, since, step = Ahead(rule, plain(costs)), costs.share, 0, LONG
    for _ in range(ROUNDS):
        over, taken = uses.over(rate)
        tried = Ahead(rule, Prices(rate, over[costs.wood.board], float(over.sum())))
        since = 0 if tried.least > found.least else since + 1
        found = tried if since == 0 else found
        if since == PATIENCE:
            step, since = step * SHORTER, 0
        wanted, alone = tried.cheapest()
        # What a strip alone in its board is charged rises with what is taken off for that.
        slope = wanted - ((1 - alone)[:, None] * taken).sum(axis=0)
        slope = np.bincount(group, slope, len(group))[group] / many  # boards alike, alike
        size, hoped = float(slope @ slope), min(best, found.least * HOPED)
        if not (np.isfinite(tried.least) and size > 0 and tried.least < best):
            break
        rate = np.maximum(rate + step * (hoped - tried.least) / size * slope, 0.0)
    return found
