"""What drawings of a post's faces have in common: hatching, and sizes kept from overprinting."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor, sqrt

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.engine.shop import shop_text
from tablekit.engine.units import ShopStyle

# Lines of text side by side, and how near a size may stand to the next, mm.
PITCH = 3.7
AROUND = 0.7  # between a text and the hatching that leaves room for it, mm
# The height of figures over their line, mm.
FIGURE = style.CAP * style.TEXT * style.MM_PER_POINT


def bare(number: float, shop: ShopStyle) -> str:
    """A length as the maker reads it less its unit, which is noted once."""
    return shop_text(number, "mm", shop).removesuffix(" in" if shop.display == "in" else " mm")


def hatch(ink: Ink, corners: Sequence[Point], spacing: float) -> None:
    """Slanting lines over a convex polygon, on one grid for all, so that overlaps show no seam."""
    step = spacing * sqrt(2.0)
    sums = [x - y for x, y in corners]
    for place in range(ceil(min(sums) / step), floor(max(sums) / step) + 1):
        ends = list(_crossings(corners, place * step))
        if len(ends) >= 2:
            low, high = min(ends), max(ends)
            if high[0] - low[0] > 1e-6:
                ink.line("thin", low, high)


def interrupted(lines: Iterable[Sequence[Point]], labels: Iterable[Label]) -> list[list[Point]]:
    """What is left of straight lines where they leave room for level texts."""
    boxes = []
    for label in labels:
        xs, ys = zip(*label.corners(), strict=True)
        boxes.append((min(xs) - AROUND, min(ys) - AROUND, max(xs) + AROUND, max(ys) + AROUND))
    left = []
    for (x, y), (u, v) in lines:
        gaps = sorted(gap for box in boxes if (gap := _within((x, y), (u, v), box)) is not None)
        start = 0.0
        for low, high in [*gaps, (1.0, 1.0)]:
            if low > start:
                ends = ((x + t * (u - x), y + t * (v - y)) for t in (start, low))
                left.append(list(ends))
            start = max(start, high)
    return left


def _within(
    start: Point, end: Point, box: tuple[float, float, float, float]
) -> tuple[float, float] | None:
    """From which to which share of a line it lies in a level box; None where it does not."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        a, run = start[axis], end[axis] - start[axis]
        if abs(run) < 1e-9:
            if not box[axis] < a < box[axis + 2]:
                return None
            continue
        first, last = sorted(((box[axis] - a) / run, (box[axis + 2] - a) / run))
        low, high = max(low, first), min(high, last)
    return (low, high) if low < high else None


def _crossings(corners: Sequence[Point], level: float) -> Iterator[Point]:
    """Where the line x - y = level meets the border of a polygon."""
    for k, (x, y) in enumerate(corners):
        u, v = corners[k - 1]
        here, last = x - y - level, u - v - level
        if (here >= 0) != (last >= 0):
            share = last / (last - here)
            yield (u + share * (x - u), v + share * (y - v))


def spread(places: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """The same places, moved apart to `pitch` and kept within low to high where there is room.

    places  in rising order
    """
    groups: list[list[float]] = []  # [sum of wanted firsts, how many, first]
    for place in places:
        groups.append([place, 1.0, place])
        while len(groups) > 1 and groups[-1][2] < groups[-2][2] + groups[-2][1] * pitch:
            total, many, _ = groups.pop()
            before = groups[-1]
            # Those of the later group start `many` pitches on from the first of the earlier.
            before[0] += total - many * before[1] * pitch
            before[1] += many
            before[2] = before[0] / before[1]
    moved = [first + k * pitch for _, many, first in groups for k in range(round(many))]
    if moved and moved[-1] > high:
        moved = _pushed(moved, pitch, high)
    if moved and moved[0] < low:
        moved = [-x for x in reversed(_pushed([-x for x in reversed(moved)], pitch, -low))]
    return moved


def _pushed(places: list[float], pitch: float, high: float) -> list[float]:
    pushed: list[float] = []
    for place in reversed(places):
        pushed.append(min(place, high))
        high = pushed[-1] - pitch
    return pushed[::-1]
