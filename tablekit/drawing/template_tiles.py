"""Which stretches of a post's faces go on which page of the full-size templates.

Only what there is to mark is printed: both ends and the crossing. A stretch is the four faces side
by side, cut into tiles no larger than a page has room for, as far as possible along an arris.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from tablekit.planning.post_marks import PostMarks

# Beyond the outermost mark, so that there is paper to hold and to wrap, mm.
BEYOND = 12.0
# A stretch begins at a distance that is easily laid off: whole 5 mm or quarter inches.
METRIC_STEP, INCH_STEP = 5.0, 6.35
BETWEEN_TILES = 19.0
ENOUGH = 1e-6


@dataclass(frozen=True)
class Tile:
    """A piece of the faces at full size.

    stretch      "foot end", "crossing" or "head end"
    start, stop  along the post from its foot end, mm
    left, right  across the four faces, from arris D, mm
    """

    stretch: str
    start: float
    stop: float
    left: float
    right: float

    @property
    def width(self) -> float:
        """Across the faces, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Along the post, mm."""
        return self.stop - self.start


@dataclass(frozen=True)
class Placed:
    """A tile with its lower left corner on a page."""

    tile: Tile
    x: float
    y: float


def across(marks: PostMarks) -> tuple[float, ...]:
    """Where D, A, B, C and D lie across the four faces, from D."""
    places = [0.0]
    for face in marks.faces:
        places.append(places[-1] + face.width)
    return tuple(places)


def stretches(marks: PostMarks, inches: bool) -> tuple[tuple[str, float, float], ...]:
    """(name, start, stop) of what is printed, from the foot end up; none overlap."""
    step = INCH_STEP if inches else METRIC_STEP
    foot, head = marks.flats
    xs = [x for area in marks.areas if area.kind != "flat" for x, _ in area.corners]
    low = floor((min(xs) - BEYOND) / step) * step
    high = ceil((max(xs) + BEYOND) / step) * step
    lower = ceil((foot.along + BEYOND) / step) * step
    upper = floor((marks.length - head.along - BEYOND) / step) * step
    if lower >= upper:
        return (("whole post", 0.0, marks.length),)
    if lower >= low and high >= upper:
        return (("whole post", 0.0, marks.length),)
    if lower >= low:
        return (("foot end", 0.0, high), ("head end", upper, marks.length))
    if high >= upper:
        return (("foot end", 0.0, lower), ("head end", low, marks.length))
    return (
        ("foot end", 0.0, lower), ("crossing", low, high), ("head end", upper, marks.length)
    )  # fmt: skip


def tiles(marks: PostMarks, inches: bool, width: float, height: float) -> tuple[Tile, ...]:
    """Every tile; `width` and `height` are the most that a page has room for, mm."""
    columns = _columns(across(marks), width)
    found = []
    for name, start, stop in stretches(marks, inches):
        rows = ceil((stop - start) / height - ENOUGH)
        edges = [start + (stop - start) * k / rows for k in range(rows + 1)]
        for low, high in pairwise(edges):
            found += [Tile(name, low, high, *column) for column in columns]
    return tuple(found)


def worth_printing(marks: PostMarks, tile: Tile) -> bool:
    """Whether anything of a notch, a flat or a seat lies on the tile."""
    arrises = across(marks)
    for area in marks.areas:
        sides = [arrises[area.face] + v for _, v in area.corners]
        xs = [x for x, _ in area.corners]
        beside = max(sides) <= tile.left + ENOUGH or min(sides) >= tile.right - ENOUGH
        if not beside and max(xs) > tile.start + ENOUGH and min(xs) < tile.stop - ENOUGH:
            return True
    return False


def _columns(arrises: Sequence[float], width: float) -> list[tuple[float, float]]:
    """As many whole faces side by side as there is room for; a wider face in equal parts."""
    columns: list[tuple[float, float]] = []
    start = arrises[0]
    for left, right in pairwise(arrises):
        if right - left > width:
            if left > start:
                columns.append((start, left))
            parts = ceil((right - left) / width - ENOUGH)
            edges = [left + (right - left) * k / parts for k in range(parts + 1)]
            columns += list(pairwise(edges))
            start = right
        elif right - start > width + ENOUGH:
            columns.append((start, left))
            start = left
    if arrises[-1] > start:
        columns.append((start, arrises[-1]))
    return columns


def pages(
    found: Sequence[Tile], left: float, low: float, width: float, height: float
) -> list[list[Placed]]:
    """Tiles stacked on pages from the top down, each on the first that has room for it; `left`,
    `low` is the room's corner."""
    sheets: list[list[Placed]] = []
    for tile in found:
        takes = tile.height + BETWEEN_TILES
        tops = [sheet[-1].y for sheet in sheets]
        number = next((k for k, top in enumerate(tops) if top - takes >= low - ENOUGH), len(sheets))
        if number == len(sheets):
            sheets.append([])
            tops.append(low + height)
        sheets[number].append(Placed(tile, left + (width - tile.width) / 2, tops[number] - takes))
    return sheets
