"""What strips cost: exactly, and at least. The bounds that let the search pass over most layouts.

Proofs: `reference/derivations/boards_to_round.md`, "what a layout costs at least".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_wood import ClearWood, Floats, Ints

EASE = 4e-6  # mm: what rounding may hide; a strip that fits to this fits
MARKS = 1750  # on the rule from rim to rim
PARTS = 6  # of a tapered board, in each of which it is thought to be one width
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
        """By how much ends and remainders raise what strips cost at least; shape (columns,)."""
        wood = self.wood
        kept = self.keeps[wood.timber] - wood.start
        with np.errstate(divide="ignore", invalid="ignore"):
            back = np.where(kept > self.kerf, 1 + wood.start / kept, np.inf)
            whole = self.whole[wood.timber] / (wood.rate * wood.room)
        return np.where(self.alone, np.fmin(back, whole), 1.0)

    def at_least(self, length: Floats, least: Floats, behind: Floats | float = 0.0) -> Floats:
        """What a strip of each column adds to any layout at least; infinite where too long.

        length, least  that it takes, and may take once the row is shifted; shape (…, columns)
        behind         what is used at most of the column before it
        """
        wood, kerf = self.wood, self.kerf
        whole, keeps = self.whole[wood.timber], self.keeps[wood.timber] - wood.start
        takes = length + kerf
        single = np.minimum(self._each_up_to(wood.start + takes), whole)
        single = np.where(least + kerf > keeps + EASE, whole, single)
        shared = wood.rate * takes * self.share
        if wood.tapers:
            far = wood.start + np.minimum(behind, np.maximum(wood.room - takes, 0.0))
            own = self._each_up_to(far + takes) - self._each_up_to(far)
            shared = np.where(wood.narrows > 0, own, shared)
        # Where no other strip finds room beside it, it bears all that the board costs.
        filled = self.alone & (least + 2 * kerf + self.task.shortest > wood.room + EASE)
        cost = np.where(filled, single, np.minimum(shared, whole)) + self.tie
        return np.where(least + kerf <= wood.room + EASE, cost, np.inf)

    def _each_up_to(self, along: Floats) -> Floats:
        """As `up_to`, for each column; shape (…, columns)."""
        timber = self.wood.timber
        end = np.minimum(along, self.length[timber])
        if not self.wood.tapers:
            return np.asarray(self.per_area[timber] * self.width[timber] * end)
        return self.up_to(end, timber)

    def widths(self, length: Floats, used: Floats | float) -> Floats:
        """Width of strips cut behind what is used of each column."""
        wide = self.wood.wide - self.wood.narrows * (used + length)
        if self.task.alike is None:
            return wide
        return np.where(wide >= self.task.alike - EASE, self.task.alike, 0.0)

    def laid(self, left: Floats, used: Floats | float = 0.0) -> tuple[Floats, Floats]:
        """Right edges and lengths of strips laid from `left`, behind what is used of each column.

        left, used  shape (…, 1) and (…, columns)
        """
        length = np.zeros(np.broadcast_shapes(left.shape, self.wood.wide.shape))
        for _ in range(5 if self.wood.tapers else 1):
            wide = self.widths(length, used)
            length = chord(self.task.diameter, nearest(left, left + wide))
        return left + self.widths(length, used), length

    def eased(
        self, left: Floats, used: Floats | float, shifts: tuple[Floats | float, ...]
    ) -> tuple[Floats, ...]:
        """Right edges of strips laid from `left` behind what is used at least of each column, no
        narrower than wherever between the shifts (mm, to the left) the row lies; their lengths,
        and these at least and at most once it is shifted.

        left, used  shape (…, 1) and (…, columns)
        """
        low = np.zeros(np.broadcast_shapes(left.shape, self.wood.wide.shape))
        for _ in range(5 if self.wood.tapers else 1):
            right = left + self.widths(low, used)
            length = low = high = chord(self.task.diameter, nearest(left, right))
            for shift in shifts:
                moved = chord(self.task.diameter, nearest(left - shift, right - shift))
                # Over the centre somewhere between.
                over = nearest(left, right) + nearest(left - shift, right - shift)
                most = np.where(over <= np.abs(shift), self.task.diameter, moved)
                low, high = np.minimum(low, moved), np.maximum(high, most)
        return left + self.widths(low, used), length, low, high


class Ahead:
    """What covering the rest of the circle costs at least, from each mark on a rule."""

    def __init__(self, costs: Costs, shift: float):
        """shift  how far the row may be moved to either side at most, mm"""
        self.costs, task = costs, costs.task
        self.mark = task.diameter / MARKS
        low: Floats = -task.radius + self.mark * np.arange(MARKS, dtype=float)[:, None]
        ends, cost = [], []
        places: tuple[Floats, Floats] = (low, low + self.mark)
        for place in places:
            found = [self._option(place, part, shift) for part in self._parts()]
            ends.append(np.concatenate([end for end, _ in found], axis=1))
            cost.append(np.concatenate([price for _, price in found], axis=1))
        self.cost = np.minimum(*cost)
        width = np.minimum(ends[0] - low, ends[1] - low - self.mark)
        self.cost[width < max(task.narrowest, EASE)] = np.inf
        self.step: Ints = np.maximum(np.floor(width / self.mark + 1e-9), 0).astype(np.int64)
        self.looks = 3 if costs.wood.tapers else 2
        self.value = self._values()

    def _parts(self) -> list[tuple[float, float]]:
        """From where and up to where, as shares of a clear length, a strip may be cut."""
        parts = PARTS if self.costs.wood.tapers else 1
        return [(k / parts, (k + 1) / parts) for k in range(parts)]

    def _option(
        self, place: Floats, part: tuple[float, float], shift: float
    ) -> tuple[Floats, Floats]:
        """Right edges and least cost of strips cut from a part of each clear length."""
        costs, room = self.costs, self.costs.wood.room
        end, length, least, _ = costs.eased(place, part[0] * room, (-shift, shift))
        cost = costs.at_least(length, least, part[1] * room)
        return end, np.where(part[0] * room + least + costs.kerf <= room + EASE, cost, np.inf)

    def _values(self) -> Floats:
        far = int(self.step.max(initial=1)) + 4
        value = np.zeros(MARKS + far)
        for mark in range(MARKS - 1, -1, -1):
            onward = self._onward(value, mark + self.step[mark])
            value[mark] = (self.cost[mark] + onward).min(initial=np.inf)
        return value

    def _onward(self, value: Floats, to: Ints) -> Floats:
        """The least value at the marks that strips may end at which end at or behind `to`."""
        onward = np.minimum(value[to], value[to + 1])
        return np.minimum(onward, value[to + 2]) if self.looks == 3 else onward

    def at(self, right: Floats) -> Floats:
        """From there on; shape of `right`."""
        mark = np.floor((right + self.costs.task.radius) / self.mark - 1e-9).astype(np.int64)
        mark = np.clip(mark, 0, len(self.value) - 3)
        return np.asarray(np.minimum(self.value[mark], self.value[mark + 1]))

    def through(self) -> Floats:
        """What any layout with a strip of each column costs at least; shape (columns,)."""
        onward = self._onward(self.value, np.arange(MARKS)[:, None] + self.step)
        # What lies before it, seen in a mirror.
        so_far = np.minimum(self.value[MARKS:0:-1], self.value[MARKS - 1 :: -1])[:, None]
        every = (so_far + self.cost + onward).min(axis=0, initial=np.inf)
        return np.asarray(every.reshape(-1, len(self.costs.wood)).min(axis=0))
