"""Where each board is crosscut, as it is marked with a rule."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from tablekit.engine.shop import ShopStyle, shop_up
from tablekit.planning.board_layout import BoardLayout, CutBoard


@dataclass(frozen=True)
class MarkedStrip:
    """A strip as it is marked on its board: its number in the row; from where to where, from the
    end where cutting begins, and its length, mm, in whole steps of the rule and never too short."""

    number: int
    start: float
    end: float

    @property
    def length(self) -> float:
        """From one crosscut to the other, mm."""
        return self.end - self.start


def pieces_marked(layout: BoardLayout, one: CutBoard, style: ShopStyle) -> list[MarkedStrip]:
    """The strips of a board, in the order in which they are cut.

    Each begins where the kerf of the one before ends, or where its zone is behind it.
    """
    found: list[MarkedStrip] = []
    places = []
    for number, strip in layout.pieces(one):
        ends = (strip.start, strip.end)
        if one.from_far:
            ends = (one.length - strip.end, one.length - strip.start)
        places.append((number, *ends, strip.length_needed))
    gaps = [0.0, *(b[1] - a[2] for a, b in pairwise(places))]
    for (number, start, _, needed), gap in zip(places, gaps, strict=True):
        begin = max(start, found[-1].end + gap if found else start)
        begin = shop_up(begin, style)
        found.append(MarkedStrip(number, begin, begin + shop_up(needed, style)))
    return found
