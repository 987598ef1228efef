"""What a rack yields, as whole numbers, so that sums come out the same in any order.

Lengths are counted in grains of a millionth of a micrometre and what is to be kept small in whole
points: thousandths of a square millimetre (or of the price) first, the number of strips second.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]

GRAINS = 10**9  # to a millimetre
POINTS = 1000  # to a square millimetre, or to one of the maker's coins
STRIP_COUNT = 8192  # more than the strips of any layout, so that they only decide between equals
MOST_COST = 2**62 // (POINTS * STRIP_COUNT)


def grains(number: float) -> int:
    """A length in mm as whole grains."""
    return round(float(number) * GRAINS)


def points(cost: float) -> int:
    """One board's area (mm²) or price as whole points, itself counted as one strip."""
    return round(cost * POINTS) * STRIP_COUNT + 1


@dataclass(frozen=True, eq=False)
class StripStock:
    """Strips that may be used, one by one, the shortest first. All arrays have shape (n,).

    width   of each strip, grains
    off     how far its nearest point must stay from the centre, grains; 0 for one as long as
            the diameter
    cost    points
    board   which board of the rack it comes from
    """

    width: Ints
    off: Ints
    cost: Ints
    board: Ints

    def __len__(self) -> int:
        return len(self.width)

    def part(self, chosen: NDArray[np.bool_] | Ints) -> StripStock:
        """Some of them, in the same order."""
        return StripStock(
            self.width[chosen], self.off[chosen], self.cost[chosen], self.board[chosen]
        )


def stock(
    width: Sequence[int], off: Sequence[int], cost: Sequence[int], count: Sequence[int], radius: int
) -> StripStock:
    """The strips of several boards, `count` of each, all in grains and points.

    Left out are strips that could not lie in the circle at all, and more of a kind than any
    layout could use: on either side of the centre, no more than reach from there to the rim.
    """
    rows = []
    for board, (wide, away, price, copies) in enumerate(zip(width, off, cost, count, strict=True)):
        if wide > 0 and away < radius:
            rows += [(wide, away, price, board)] * min(copies, 2 * -(-radius // wide) + 1)
    rows.sort(key=lambda row: (-row[1], row[2] / row[0], row[3]))
    columns = np.array(rows, dtype=np.int64).reshape(-1, 4).T
    return StripStock(columns[0], columns[1], columns[2], columns[3])
