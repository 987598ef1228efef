"""What strips cost: exactly, and at least. The bounds that let the search pass over most layouts.

Proofs: `reference/derivations/boards_to_round.md`, "what a layout costs at least".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_wood import ClearWood, Floats, Ints

Columns = Ints | slice
EVERY = slice(None)
EASE = 4e-6  # mm: what rounding may hide; a strip that fits to this fits
MARKS = 1750  # on the rule from rim to rim
PARTS = 12  # of a tapered board, in each of which it is thought to be one width
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
        back, before = self._each_up_to(last), self._each_up_to(wood.start)
        own = self._each_up_to(wood.start + wood.room) - before
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

    def at_least(
        self, length: Floats, least: Floats, behind: Floats | float = 0.0, of: Columns = EVERY
    ) -> Floats:
        """What a strip of each column adds to any layout at least; infinite where too long.

        length, least  that it takes, and may take once the row is shifted; shape (…, columns)
        behind         what is used at most of the column before it
        of             the columns, where not all of them in turn
        """
        wood, kerf, timber = self.wood, self.kerf, self.wood.timber[of]
        start, room, share = wood.start[of], wood.room[of], self.share[of]
        whole, keeps = self.whole[timber], self.keeps[timber] - start
        takes = length + kerf
        single = np.minimum(self._each_up_to(start + takes, of), whole)
        single = np.where(least + kerf > keeps + EASE, whole, single)
        shared = wood.rate[of] * takes * share
        if wood.tapers:
            far = start + np.minimum(behind, np.maximum(room - takes, 0.0))
            own = self._each_up_to(far + takes, of) - self._each_up_to(far, of)
            shared = np.where(wood.narrows[of] > 0, own * share, shared)
        # Where no other strip finds room beside it, it bears all that the board costs.
        filled = self.alone[of] & (least + 2 * kerf + self.task.shortest > room + EASE)
        cost = np.where(filled, single, np.minimum(shared, whole)) + self.tie
        return np.where(least + kerf <= room + EASE, cost, np.inf)

    def _each_up_to(self, along: Floats, of: Columns = EVERY) -> Floats:
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


class Ahead:
    """What covering the rest of the circle costs at least, from each mark on a rule."""

    def __init__(self, costs: Costs, shift: float):
        """shift  how far the row may be moved to either side at most, mm"""
        self.costs, task = costs, costs.task
        self.mark = task.diameter / MARKS
        self.parts = self._parts()
        low: Floats = -task.radius + self.mark * np.arange(MARKS + 1, dtype=float)[:, None]
        end, cost = self._options(low, shift)
        self.cost = np.minimum(cost[:-1], cost[1:])
        width = np.maximum(end[:-1] - low[:-1], end[1:] - low[1:])
        self.cost[width < max(task.narrowest, EASE)] = np.inf
        # From somewhere within a mark, a strip ends within one of these two.
        marks = np.clip(width / self.mark, 0.0, 2.0 * MARKS)
        self.step: Ints = np.floor(marks + 1e-9).astype(np.int64)
        self.last: Ints = np.maximum(np.ceil(marks - 1e-9).astype(np.int64), self.step)
        self.value = self._values()

    def _parts(self) -> list[tuple[int, float, float]]:
        """Columns, and how far behind where each begins strips may be cut from it: at once, or
        from a tapered one behind another strip, between two places."""
        costs, wood = self.costs, self.costs.wood
        least = costs.task.shortest + costs.kerf
        parts: list[tuple[int, float, float]] = []
        for k in range(len(wood)):
            parts.append((k, 0.0, 0.0))
            room = float(wood.room[k])
            if wood.narrows[k] > 0 and room >= 2 * least - EASE:
                step = (room - 2 * least) / PARTS
                parts += [(k, least + j * step, least + (j + 1) * step) for j in range(PARTS)]
        return parts

    def _options(self, place: Floats, shift: float) -> tuple[Floats, Floats]:
        """Right edges and least cost of strips from each part of the wood."""
        of = np.array([k for k, _, _ in self.parts], dtype=np.int64)
        begins, ends = np.array([part[1:] for part in self.parts]).reshape(-1, 2).T
        costs, room = self.costs, self.costs.wood.room[of] + EASE
        end, length, least, _ = costs.eased(place, begins, (-shift, shift), of)
        cost = costs.at_least(length, least, ends, of)
        return end, np.where(begins + least + costs.kerf <= room, cost, np.inf)

    def _values(self) -> Floats:
        value = np.zeros(MARKS + int(self.last.max(initial=1)) + 4)
        for mark in range(MARKS - 1, -1, -1):
            onward = self._onward(value, mark + self.step[mark], mark + self.last[mark])
            value[mark] = (self.cost[mark] + onward).min(initial=np.inf)
        return value

    @staticmethod
    def _onward(value: Floats, first: Ints, last: Ints) -> Floats:
        """The lesser value of two marks that strips may end within."""
        return np.minimum(value[first], value[last])

    def at(self, right: Floats) -> Floats:
        """From there on; shape of `right`."""
        one, other = self._marks(right)
        return np.asarray(np.minimum(self.value[one], self.value[other]))

    def _marks(self, right: Floats) -> tuple[Ints, Ints]:
        """The mark that each place lies within; where it lies between two, both."""
        place = (right + self.costs.task.radius) / self.mark
        found = [np.floor(place + near).astype(np.int64) for near in (-1e-6, 1e-6)]
        one, other = (np.clip(mark, 0, len(self.value) - 1) for mark in found)
        return one, other

    @cached_property
    def _with(self) -> Floats:
        """What covering the circle costs at least from within each mark, with a strip of each
        column next; shape (marks, columns)."""
        marks = np.arange(MARKS)[:, None]
        every = self.cost + self._onward(self.value, marks + self.step, marks + self.last)
        starts = np.searchsorted([k for k, _, _ in self.parts], np.arange(len(self.costs.wood)))
        return np.asarray(np.minimum.reduceat(every, starts, axis=1))

    def with_next(self, right: Floats, of: Ints) -> Floats:
        """From there on with a strip of each of some columns next; shape (places, columns).
        `right` is nowhere left of the circle."""
        one, other = (np.minimum(mark, MARKS - 1) for mark in self._marks(right))
        return np.minimum(self._with[one[:, None], of], self._with[other[:, None], of])

    def through(self) -> Floats:
        """What any layout with a strip of each column costs at least; shape (columns,)."""
        # What lies before it, seen in a mirror.
        so_far = np.minimum(self.value[MARKS:0:-1], self.value[MARKS - 1 :: -1])[:, None]
        return np.asarray((so_far + self._with).min(axis=0, initial=np.inf))
