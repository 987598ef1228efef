"""What strips cost, exactly and at least: the bounds that let the search pass over most layouts.

Strips are charged prices for the clear lengths of boards. Any prices give a bound: of each board is
taken off again what its strips can be charged above what it costs. Proofs:
`reference/derivations/boards_to_round.md`, "what a layout costs at least".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tablekit.planning import formulas as formulas
from tablekit.planning.board_wood import ClearWood, Floats, Ints

# -- Prices of clear lengths -----------------------------------------------------------------------


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


# -- What strips cost ------------------------------------------------------------------------------

Columns = Ints | slice
Flags = NDArray[np.bool_]
EVERY = slice(None)
EASE = 4e-6  # mm: what rounding may hide; a strip that fits to this fits
TIE = 1.0  # mm², or its worth in money: what a strip more counts among equals


@dataclass(frozen=True, eq=False)
class RowTask:
    """What is asked of a row of strips; lengths in mm.

    diameter   of the circle to be covered
    outermost  how far from the centre the nearest point of a strip may lie at most
    clear      no joint comes nearer the centre than this
    narrowest  no strip is narrower
    match      strips of one board lie side by side
    alike      the width to which all strips are ripped; None where each is as wide as it goes
    order      kinds of board from left to right; None where any will do
    """

    diameter: float
    outermost: float
    clear: float = 0.0
    narrowest: float = 0.0
    match: bool = False
    alike: float | None = None
    order: tuple[int, ...] | None = None

    @property
    def radius(self) -> float:
        """Of the circle, mm."""
        return self.diameter / 2

    @property
    def shortest(self) -> float:
        """Length that every strip has at least, mm."""
        return float(chord(self.diameter, np.array(self.outermost)))


def chord(diameter: float, near: Floats) -> Floats:
    """Chord of the circle so far from its centre, mm; 0 outside it."""
    return np.asarray(formulas.chord_at(diameter, np.minimum(near, diameter / 2)))


def nearest(left: Floats, right: Floats) -> Floats:
    """How near the centre strips between two places come, mm."""
    return np.maximum(np.maximum(left, -right), 0.0)


class Costs:
    """What strips from the clear lengths of some wood cost in one task."""

    def __init__(self, wood: ClearWood, task: RowTask):
        self.wood, self.task = wood, task
        timbers, losses = wood.timbers, wood.losses
        self.kerf = losses.saw_kerf
        self.length = np.array([one.length for one in timbers], dtype=float)
        self.width = np.array([one.width for one in timbers], dtype=float)
        self.far = np.array([one.far_width for one in timbers], dtype=float)
        self.whole = np.array([one.whole for one in timbers], dtype=float)
        self.per_area = np.array([one.rate for one in timbers], dtype=float)
        self.keeps: Floats = self.length - losses.shortest_kept  # up to where the rest goes back
        self.firsts = np.searchsorted(wood.timber, np.arange(len(timbers)))
        spans = np.bincount(wood.timber[np.unique(wood.origin, return_index=True)[1]])
        self.alone = spans[wood.timber] == 1
        self.tie = TIE * float(np.min(self.per_area)) if len(timbers) else 0.0
        clear = formulas.keep_off(task.diameter, np.minimum(wood.room - self.kerf, task.diameter))
        # How near the centre a strip of the whole clear length may come.
        self.off: Floats = np.where(wood.room - self.kerf >= task.diameter - EASE, 0.0, clear)

    def up_to(self, along: Floats, of: Ints | slice = slice(None)) -> Floats:
        """What each timber costs up to there, or those of some numbers; shape (…, timbers)."""
        width = self.width[of]
        there = formulas.width_there(width, self.far[of], self.length[of], along)
        return np.asarray(self.per_area[of] * formulas.used_area(width, there, along))

    def ends(self, used: Floats) -> Floats:
        """Where the last kerf of each timber ends, 0 where it is not cut; shape (…, timbers).

        used  what strips and kerfs take of each clear length; shape (…, columns)
        """
        reach = np.where(used > 0, self.wood.start + used, 0.0)
        return np.maximum.reduceat(reach, self.firsts, axis=-1)

    def exact(self, used: Floats) -> Floats:
        """What a layout costs; shape of `used` less its last."""
        end = self.ends(used)
        cost = np.where(end <= self.keeps + EASE, self.up_to(end), self.whole)
        return np.asarray(np.where(end > 0, cost, 0.0).sum(axis=-1))

    def if_shifted(self, used: Floats, least: Floats) -> Floats:
        """At most what it costs where the row may still be shifted, and its strips take no less
        than `least`."""
        end, low = self.ends(used), self.ends(least)
        returned = np.minimum(self.up_to(np.minimum(end, self.length)), self.whole)
        cost = np.where(low <= self.keeps + EASE, returned, self.whole)
        return np.asarray(np.where(low > 0, cost, 0.0).sum(axis=-1))

    @cached_property
    def share(self) -> Floats:
        """By how much ends, zones and remainders raise what strips cost at least; shape
        (columns,)."""
        wood, timber = self.wood, self.wood.timber
        last = np.minimum(wood.start + wood.room, self.keeps[timber])
        back, before = self.each_up_to(last), self.each_up_to(wood.start)
        own = self.each_up_to(wood.start + wood.room) - before
        own = np.where(wood.narrows > 0, own, wood.rate * wood.room)
        whole = np.where(wood.start + wood.room > self.keeps[timber], self.whole[timber], np.inf)
        share, so_far = np.full(len(wood), np.inf), 0.0
        for k in range(len(wood)):  # of strips no farther from the first end than this clear length
            so_far = so_far * (k > 0 and timber[k] == timber[k - 1])
            if k > 0 and wood.origin[k] == wood.origin[k - 1]:
                share[k] = share[k - 1]
                continue
            share[k] = whole[k] / (so_far + own[k])
            if last[k] > wood.start[k] + self.kerf:
                share[k] = min(share[k], back[k] / (so_far + back[k] - before[k]))
            so_far += own[k]
        for k in reversed(range(len(wood) - 1)):
            if timber[k] == timber[k + 1]:
                share[k] = min(share[k], share[k + 1])
        return share

    def area(self, used: Floats, of: Columns = EVERY, begin: Floats | float = 0.0) -> Floats:
        """What the wood of a strip costs by itself, from `begin` on behind where its clear length
        begins to what is then used; shape (…, columns)."""
        wood = self.wood
        plain = wood.rate[of] * (used - begin)
        if not wood.tapers:
            return np.asarray(plain)
        start = wood.start[of]
        own = self.each_up_to(start + used, of) - self.each_up_to(start + begin, of)
        return np.where(wood.narrows[of] > 0, own, plain)

    def own(self, length: Floats, behind: Floats | float = 0.0, of: Columns = EVERY) -> Floats:
        """What the wood of a strip and its kerf costs by itself at least, with so much used at most
        of the column before it."""
        takes = length + self.kerf
        most = np.maximum(self.wood.room[of] - takes, 0.0) if self.wood.tapers else 0.0
        far = np.minimum(behind, most)
        return self.area(far + takes, of, far)

    def filling(
        self, length: Floats, least: Floats, of: Columns = EVERY
    ) -> tuple[Flags, Flags, Floats]:
        """Of strips of each column: whether no other finds room beside it in its clear length;
        whether nothing goes back if its board is cut no farther; and what the board then costs."""
        wood, kerf, timber = self.wood, self.kerf, self.wood.timber[of]
        whole = self.whole[timber]
        filled = least + 2 * kerf + self.task.shortest > wood.room[of] + EASE
        spent = least + kerf > self.keeps[timber] - wood.start[of] + EASE
        up_to = np.minimum(self.each_up_to(wood.start[of] + length + kerf, of), whole)
        return filled, spent, np.where(spent, whole, up_to)

    def at_least(
        self, length: Floats, least: Floats, behind: Floats | float = 0.0, of: Columns = EVERY
    ) -> Floats:
        """What a strip of each column adds to any layout at least; infinite where too long.

        length, least  that it takes, and may take once the row is shifted; shape (…, columns)
        behind         what is used at most of the column before it
        of             the columns, where not all of them in turn
        """
        filled, _, single = self.filling(length, least, of)
        shared = self.own(length, behind, of) * self.share[of]
        cost = np.where(filled & self.alone[of], single, shared) + self.tie
        return np.where(least + self.kerf <= self.wood.room[of] + EASE, cost, np.inf)

    def each_up_to(self, along: Floats, of: Columns = EVERY) -> Floats:
        """As `up_to`, for each column; shape (…, columns)."""
        timber = self.wood.timber[of]
        end = np.minimum(along, self.length[timber])
        if not self.wood.tapers:
            return np.asarray(self.per_area[timber] * self.width[timber] * end)
        return self.up_to(end, timber)

    def widths(self, length: Floats, used: Floats | float, of: Columns = EVERY) -> Floats:
        """Width of strips cut behind what is used of each column."""
        wide = self.wood.wide[of] - self.wood.narrows[of] * (used + length)
        if self.task.alike is None:
            return wide
        return np.where(wide >= self.task.alike - EASE, self.task.alike, 0.0)

    def laid(
        self, left: Floats, used: Floats | float = 0.0, of: Columns = EVERY
    ) -> tuple[Floats, Floats]:
        """Right edges and lengths of strips laid from `left`, behind what is used of each column.

        left, used  shape (…, 1) and (…, columns)
        """
        length = np.zeros(np.broadcast_shapes(left.shape, self.wood.wide[of].shape))
        for _ in range(5 if self.wood.tapers else 1):
            wide = self.widths(length, used, of)
            length = chord(self.task.diameter, nearest(left, left + wide))
        return left + self.widths(length, used, of), length

    def eased(
        self, left: Floats, used: Floats | float, shifts: tuple[Floats | float, ...],
        of: Columns = EVERY,
    ) -> tuple[Floats, ...]:  # fmt: skip
        """Right edges of strips laid from `left` behind what is used at least of each column, no
        narrower than wherever between the shifts (mm, to the left) the row lies; their lengths,
        and these at least and at most once it is shifted.

        left, used  shape (…, 1) and (…, columns)
        """
        low = np.zeros(np.broadcast_shapes(left.shape, self.wood.wide[of].shape))
        for _ in range(5 if self.wood.tapers else 1):
            right = left + self.widths(low, used, of)
            length = low = high = chord(self.task.diameter, nearest(left, right))
            for shift in shifts:
                moved = chord(self.task.diameter, nearest(left - shift, right - shift))
                # Over the centre somewhere between.
                over = nearest(left, right) + nearest(left - shift, right - shift)
                most = np.where(over <= np.abs(shift), self.task.diameter, moved)
                low, high = np.minimum(low, moved), np.maximum(high, most)
        return left + self.widths(low, used, of), length, low, high


# -- What the rest of the circle costs at least ----------------------------------------------------

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
