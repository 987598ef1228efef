"""What strips cost: exactly, and at least. The bounds that let the search pass over most layouts.

Proofs: `reference/derivations/boards_to_round.md`, "what a layout costs at least".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_wood import ClearWood, Floats, Ints

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
