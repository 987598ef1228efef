"""Full-size templates of the posts' faces, to be printed, cut out and wrapped round the post.

Only what there is to mark is printed: both ends and the crossing. A stretch is the four faces side
by side, cut into tiles no larger than a page has room for, as far as possible along an arris. One
drawing unit is one millimetre on the paper, so what is drawn can be laid on the wood. The lower end
of the post is at the bottom of a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor
from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, InkedSheet, Label, Point
from tablekit.drawing.pdf import write_pdf
from tablekit.drawing.style import Paper
from tablekit.drawing.unrolled import FIGURE, PITCH, bare, hatch, interrupted, spread
from tablekit.planning.post_marks import Mark, PostMarks, clipped
from tablekit.planning.setting_out_posts import post_marks

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle


# -- Which stretches go on which page --------------------------------------------------------------

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


# -- The pages -------------------------------------------------------------------------------------

A4_TEMPLATE = Paper(210.0, 297.0, margin=10.0)
LETTER_TEMPLATE = Paper(215.9, 279.4, margin=10.0)
PAPERS = {"a4": A4_TEMPLATE, "letter": LETTER_TEMPLATE}
HEADER, RULER = 17.0, 12.5
LETTER_ROOM = 7.0  # under a tile, for the letters of its arrises
# Beside a tile, for sizes that stand outside it.
ASIDE = 17.0
HATCH = 6.0
CROSS = 3.0  # arms of a register mark
REACH, LABEL_GAP = 3.2, 0.9  # from an arris, and from a knife line, to a size
LETTERS = "DABCD"
PRINTING = "Print at 100 %, not fitted to the page; check the line below with a rule before use."


def template_pages(
    sheet: Sheet, paper: Paper = A4_TEMPLATE, known: Sequence[PostMarks] | None = None
) -> tuple[InkedSheet, ...]:
    """Every page for every kind of post, in order.

    known  the marks of each kind, where they have been found before

    Raises ValueError when the paper is too small, and what `post_marks` raises.
    """
    room = _room(paper)
    found: list[tuple[PostMarks, list[Placed]]] = []
    for marks in known or post_marks(sheet):
        inches = sheet.shop_style.display == "in"
        every = tiles(marks, inches, room.width - 2 * ASIDE, room.height - BETWEEN_TILES)
        cut = [tile for tile in every if worth_printing(marks, tile)]
        for placed in pages(cut, room.left, room.low, room.width, room.height):
            found.append((marks, placed))
    return tuple(
        InkedSheet(_page(sheet, marks, placed, paper, (number, len(found))), paper)
        for number, (marks, placed) in enumerate(found, start=1)
    )


@dataclass(frozen=True)
class _Room:
    left: float
    low: float
    width: float
    height: float


def _room(paper: Paper) -> _Room:
    margin = paper.margin
    room = _Room(
        margin, margin + RULER + LETTER_ROOM, paper.width - 2 * margin,
        paper.height - 2 * margin - HEADER - RULER - LETTER_ROOM,
    )  # fmt: skip
    if room.width < 2 * ASIDE + 40 or room.height < BETWEEN_TILES + 40 or room.width < 120:
        raise ValueError(
            f"a page of {paper.width:g} × {paper.height:g} mm is too small for templates; "
            "expected 140 × 115 mm or more, such as A4 or Letter"
        )
    return room


def save_pdf(
    sheet: Sheet,
    path: Path | str,
    paper: Paper = A4_TEMPLATE,
    known: Sequence[PostMarks] | None = None,
) -> Path:
    """All pages in one PDF, the same bytes each time."""
    path = Path(path)
    sheets = template_pages(sheet, paper, known)
    write_pdf(path, sheets, f"{sheet.name}: templates at full size")
    return path


# --- One page -----------------------------------------------------------------------------


def _page(
    sheet: Sheet, marks: PostMarks, placed: list[Placed], paper: Paper, count: tuple[int, int]
) -> Ink:
    ink, hatching = Ink(), Ink()
    for one in placed:
        _tile(ink, hatching, marks, sheet.shop_style, one)
    ink.lines["thin"] += interrupted(hatching.lines["thin"], ink.labels)
    left, right, top = paper.margin, paper.width - paper.margin, paper.height - paper.margin
    said = f"Page {count[0]} of {count[1]}"
    room = right - left - style.text_width(said) - 4.0
    title = f"{sheet.name or 'Untitled'}: {marks.called.lower()}"
    ink.labels.append(
        Label(style.fitted(title, room, bold=True), left, top - 4.0, "left", bold=True)
    )
    ink.labels.append(Label(said, right, top - 4.0, "right"))
    unit = "inches" if sheet.shop_style.display == "in" else "millimetres"
    how = (
        f"Full size, 1:1. Sizes in {unit} from the foot end of the post, which is at the bottom.",
        "Cut out, wrap round the post with the print outward and letters on their arrises, and "
        "knife through.",
    )
    for k, line in enumerate(how):
        fitted = style.fitted(line, right - left)
        ink.labels.append(Label(fitted, left, top - 8.6 - 4.0 * k, "left", colour=style.FAINT))
    _ruler(ink, paper, inches=sheet.shop_style.display == "in")
    return ink


def _ruler(ink: Ink, paper: Paper, inches: bool) -> None:
    """4 in or 100 mm, to tell whether the printer kept the size."""
    left, low = paper.margin, paper.margin
    ink.labels.append(Label(PRINTING, left, low + RULER - 5.0, "left", colour=style.FAINT))
    step, steps, text = (25.4, 4, "4 in") if inches else (10.0, 10, "100 mm")
    level = low + 1.0
    ink.line("thin", (left, level), (left + step * steps, level))
    for k in range(steps + 1):
        tall = 2.6 if k in (0, steps) else 1.4
        ink.line("thin", (left + k * step, level), (left + k * step, level + tall))
    ink.labels.append(Label(text, left + step * steps + 2.0, level, "left"))


class _Window:
    """A tile on the page: from the faces' own measures to the paper."""

    def __init__(self, marks: PostMarks, placed: Placed) -> None:
        self.marks, self.tile = marks, placed.tile
        self.x, self.y = placed.x, placed.y
        self.arrises = across(marks)

    def at(self, along: float, side: float) -> Point:
        """Along the post from its foot end, and across the four faces from arris D.

        The faces run from right to left when the post stands on its foot end, seen from
        outside; on a left-hand piece from left to right."""
        tile = self.tile
        from_left = side - tile.left if self.marks.mirrored else tile.right - side
        return self.x + from_left, self.y + along - tile.start

    def visible(self, corners: list[Point]) -> list[Point]:
        """The part of a polygon of (along, side) that lies on the tile, on the paper."""
        tile = self.tile
        kept = clipped(corners, tile.left, tile.right)
        turned = clipped([(side, along) for along, side in kept], tile.start, tile.stop)
        return [self.at(along, side) for side, along in turned]

    def only_a_border(self, one: Point, other: Point) -> bool:
        """Whether a stroke merely runs along the edge of the tile, where there is none to cut."""
        tile = self.tile
        for along in (tile.start, tile.stop):
            if 0.0 < along < self.marks.length and self._both_at(1, along - tile.start, one, other):
                return True
        return any(
            self._both_at(0, side, one, other)
            for side, place in self._sides()
            if all(abs(place - arris) > 1e-9 for arris in self.arrises)
        )

    def _sides(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """(from the tile's left edge on the paper, across the faces) of both its sides."""
        tile = self.tile
        both = (tile.left, tile.right) if self.marks.mirrored else (tile.right, tile.left)
        return (0.0, both[0]), (tile.width, both[1])

    def _both_at(self, axis: int, place: float, one: Point, other: Point) -> bool:
        origin = (self.x, self.y)[axis]
        return all(abs(point[axis] - origin - place) < 1e-9 for point in (one, other))


def _tile(ink: Ink, hatching: Ink, marks: PostMarks, shop: ShopStyle, placed: Placed) -> None:
    window = _Window(marks, placed)
    tile = placed.tile
    for kind in ("seat", "notch", "flat"):
        for area in (a for a in marks.areas if a.kind == kind):
            start = window.arrises[area.face]
            outline = window.visible([(x, start + v) for x, v in area.corners])
            if len(outline) < 3:
                continue
            if kind != "seat":
                hatch(hatching, outline, HATCH)
            for k, end in enumerate(outline):
                if not window.only_a_border(outline[k - 1], end):
                    ink.line("hidden" if kind == "seat" else "visible", outline[k - 1], end)
    sides = (tile.left, tile.right)
    low, high = (window.at(along, sides[0])[1] for along in (tile.start, tile.stop))
    left, right = sorted(window.at(tile.start, side)[0] for side in sides)
    ink.line("thin", (left, low), (right, low), (right, high), (left, high), (left, low))
    _arrises(ink, window, shop, (low, high))
    _register(ink, (left, right), (low, high))
    _caption(ink, window, shop, ((left + right) / 2, high))


def _register(ink: Ink, xs: tuple[float, float], ys: tuple[float, float]) -> None:
    """Crosses at the corners, by which a neighbouring tile is laid against this one."""
    for x in xs:
        for y in ys:
            ink.line("thin", (x - CROSS, y), (x + CROSS, y))
            ink.line("thin", (x, y - CROSS), (x, y + CROSS))


def _caption(ink: Ink, window: _Window, shop: ShopStyle, top: Point) -> None:
    tile = window.tile
    start, stop = (bare(x, shop) for x in (tile.start, tile.stop))
    what = f"{tile.stretch}: from {start} to {stop}"
    if tile.start == 0.0:
        what = f"{tile.stretch}: lower edge on the foot end, upper edge at {stop}"
    elif abs(tile.stop - window.marks.length) < 1e-9:
        what = f"{tile.stretch}: lower edge at {start}, upper edge on the head end"
    ink.labels.append(Label(what, top[0], top[1] + 8.0))


def _arrises(ink: Ink, window: _Window, shop: ShopStyle, ys: tuple[float, float]) -> None:
    """Each arris as a line with its letter at both ends and its sizes beside it."""
    tile = window.tile
    for place, (letter, side) in enumerate(zip(LETTERS, window.arrises, strict=True)):
        if not tile.left - 1e-9 <= side <= tile.right + 1e-9:
            continue
        x = window.at(tile.start, side)[0]
        ink.line("visible", (x, ys[0]), (x, ys[1]))
        ink.labels.append(Label(letter, x, ys[1] + CROSS + 0.8, bold=True))
        ink.labels.append(Label(letter, x, ys[0] - CROSS - 0.8 - FIGURE, bold=True))
        _sizes(ink, window, shop, place, x)


def _sizes(ink: Ink, window: _Window, shop: ShopStyle, place: int, x: float) -> None:
    """The sizes of an arris; those of the end ones outside the tile, the others on a face."""
    tile, way = window.tile, _way(window, place, x)
    marks = [
        m for m in window.marks.on_arris(LETTERS[place]) if tile.start < m.distance < tile.stop
    ]
    texts = [bare(m.size, shop) if m.cut else f"({bare(m.size, shop)})" for m in marks]
    wanted = [
        _beside(window, marks, mark, x, way, style.text_width(text))
        for mark, text in zip(marks, texts, strict=True)
    ]
    order = sorted(range(len(marks)), key=lambda k: wanted[k])
    low, high = window.y + 0.6, window.y + tile.height - 0.6 - FIGURE
    places = spread([wanted[k] for k in order], PITCH, low, high)
    for k, y in zip(order, places, strict=True):
        level = window.at(marks[k].distance, tile.left)[1]
        ink.line("thin", (x, level), (x + way * (REACH - 0.6), y + FIGURE / 2))
        anchor, colour = "left" if way > 0 else "right", style.INK if marks[k].cut else style.FAINT
        ink.labels.append(Label(texts[k], x + way * REACH, y, anchor, colour=colour))


def _beside(
    window: _Window, marks: list[Mark], mark: Mark, x: float, way: float, width: float
) -> float:
    """Where a size's base line goes so that the knife line from its mark does not strike it out:
    outside what is cut away, or on the other side where the line leaves room only there."""
    level = window.at(mark.distance, window.tile.left)[1]
    rise = _rise(window, (x, level), way, width)
    if rise is None:
        return level - FIGURE / 2
    above, below = max(0.0, rise) + LABEL_GAP, min(0.0, rise) - LABEL_GAP - FIGURE
    of_kind = [m.distance for m in marks if m.what == mark.what]
    outward = mark.what != "head flat" if len(of_kind) < 2 else mark.distance == max(of_kind)
    nearest = above if above < -below - FIGURE else below
    if abs(abs(above) - abs(below + FIGURE)) < 3.0:
        nearest = above if outward else below
    return level + nearest


def _rise(window: _Window, start: Point, way: float, width: float) -> float | None:
    """How far the knife line from a mark climbs beside its size; None where there is none."""
    for area in window.marks.areas:
        first = window.arrises[area.face]
        outline = window.visible([(x, first + v) for x, v in area.corners])
        for k, end in enumerate(outline):
            for a, b in ((outline[k - 1], end), (end, outline[k - 1])):
                run = (b[0] - a[0]) * way
                if max(abs(a[0] - start[0]), abs(a[1] - start[1])) < 1e-6 and run > 1e-6:
                    return (b[1] - a[1]) / run * min(run, REACH + width)
    return None


def _way(window: _Window, place: int, x: float) -> float:
    """To which side of an arris its sizes stand: D's outside the tile, B's over the face B-C, A's
    over the face D-A; where that face is on another tile, over the face A-B."""
    left = window.x
    right = left + window.tile.width
    towards_later = 1.0 if window.marks.mirrored else -1.0
    way = {0: -towards_later, 1: -towards_later, 2: towards_later, 3: towards_later,
           4: towards_later}[place]  # fmt: skip
    if place in (1, 2, 3):
        if abs(x - left) < 1e-6:
            return 1.0
        if abs(x - right) < 1e-6:
            return -1.0
    return way
