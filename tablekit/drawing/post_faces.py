"""The four faces of a post unrolled flat, to scale, with every knife line sized from one end.

Arrises, faces and what is on them come from `tablekit.planning.post_marks`; here they are only
placed on the paper. Lengths here are millimetres on the paper unless they say otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from tablekit.drawing import style
from tablekit.drawing.fixing import is_clear
from tablekit.drawing.general import (
    INCH_SCALES,
    METRIC_SCALES,
    NOTE_LINE,
    Layout,
    scale_bar,
    scale_note,
    scale_text,
    small_print,
)
from tablekit.drawing.ink import Ink, Label, Point, printed
from tablekit.drawing.style import A4_ACROSS, Paper
from tablekit.drawing.unrolled import FIGURE, PITCH, bare, hatch, spread
from tablekit.drawing.wrapping import wrapped
from tablekit.planning.post_marks import BETWEEN, Area, Flat, PostMarks
from tablekit.planning.setting_out_posts import post_marks

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle

COLUMN = 27.0  # for the names of the faces
END_ROOM = 8.0  # beyond either end, for the letters of the arrises
OFFSET = 2.2  # from an outline to the line of an upright size
LEADER = 4.2  # from a face to a size
CLEAR = 0.7  # from the end of that line to the size
BARE_GAP = 7.0  # between faces where their arris carries no size
STRIP, NOTES = 22.0, 3 * NOTE_LINE + 2.0  # at the foot of the paper, and set among text
KEPT = 2.5  # of a broken post, past the sizes on either side of what is marked on it
BREAK, TOOTH = 4.0, 1.0  # between the ends of a broken post, and how far they zigzag
HATCH = 1.6
LEGEND = "Hatched: cut away. Dashed, sizes in brackets: seat in the next post's notch, not cut."


@dataclass(frozen=True)
class Net:
    """Faces and arrises on the paper: which height each lies at, from the bottom up.

    cuts    what is left out of a broken post, full size from its left end
    bands   lower and upper edge of each face
    gaps    lower and upper edge of the room for the sizes of D, A, B, C and again D
    """

    marks: PostMarks
    shop: ShopStyle
    scale: float
    left: float
    bands: tuple[tuple[float, float], ...]
    gaps: tuple[tuple[float, float], ...]
    cuts: tuple[tuple[float, float], ...] = ()

    def x(self, distance: float) -> float:
        """Where a full-size distance from the foot end lies."""
        if self.marks.mirrored:
            distance = self.marks.length - distance
        return self.left + _on_paper(distance, self.scale, self.cuts)

    def at(self, face: int, point: Point) -> Point:
        """A point of a face."""
        return self.x(point[0]), self.bands[face][0] + point[1] * self.scale


def draw_post_faces(
    sheet: Sheet, which: int = 0, figure: Figure | None = None, paper: Paper = A4_ACROSS
) -> Figure:
    """One post's faces on `paper`.

    which   place in `post_marks(sheet)`, of which there is more than one only where not all posts
            are alike
    figure  drawn on; a fresh one when left out

    Raises ValueError when the paper is too small, and what `post_marks` raises.
    """
    marks = post_marks(sheet)[which]
    return printed(lay_out_faces(sheet, marks, paper).ink, paper, figure)


def lay_out_faces(sheet: Sheet, marks: PostMarks, paper: Paper = A4_ACROSS) -> Layout:
    """The drawing, before it becomes artists."""
    net = _net(sheet, marks, paper)
    ink = Ink()
    for face in range(4):
        _face(ink, net, face)
    for place, arris in enumerate("DABCD"):
        _sizes(ink, net, place, arris)
    for flat in marks.flats:
        _flat_sizes(ink, net, flat)
    for depth in marks.depths:
        _depth(ink, net, depth.face, depth.arris, depth.depth)
    _strip(ink, sheet, net, paper)
    return Layout(net.scale, paper.arrangement, ink)


def _net(sheet: Sheet, marks: PostMarks, paper: Paper) -> Net:
    shop = sheet.shop_style
    gaps = [_gap(marks, shop, arris) for arris in "DABCD"]
    wide = paper.width - 2 * paper.margin - COLUMN - 2 * END_ROOM
    strip = NOTES if paper.with_text else STRIP
    high = paper.height - 2 * paper.margin - strip - sum(gaps)
    widths = [face.width for face in marks.faces]
    scales = INCH_SCALES if shop.display == "in" else METRIC_SCALES
    for scale in scales:
        bands = [max(width * scale, 1.0) for width in widths]
        # Among text a post is broken rather than drawn smaller.
        for cuts in ((), _cuts(marks, shop, scale)) if paper.with_text else ((),):
            long = _on_paper(marks.length, scale, cuts)
            if long <= wide and sum(bands) <= high:
                spare = (high - sum(bands)) / 2
                left = paper.margin + COLUMN + END_ROOM + (wide - long) / 2
                edges = _stacked(paper.margin + strip + spare, gaps, bands)
                return Net(marks, shop, scale, left, edges[1], edges[0], cuts)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the faces of these "
        "posts at any scale; take a larger one"
    )


def _on_paper(distance: float, scale: float, cuts: Edges) -> float:
    """How far from the left end of a post a full-size distance lies on the paper."""
    at = 0.0
    for start, end in cuts:
        if distance > start:
            at += BREAK - (min(distance, end) - start) * scale
    return at + distance * scale


def _cuts(marks: PostMarks, shop: ShopStyle, scale: float) -> Edges:
    """What may be left out between the marks on a post, full size from its left end."""
    sizes = [depth.depth for depth in marks.depths]
    sizes += [size for flat in marks.flats for size in (flat.over_bearing, flat.over_side)]
    written = max(style.text_width(bare(size, shop)) for size in sizes)
    kept = (OFFSET + style.TEXT_GAP + written + KEPT) / scale
    found = [0.0, marks.length, *(mark.distance for mark in marks.marks)]
    found += [x for area in marks.areas for x, _ in area.corners]
    if marks.mirrored:
        found = [marks.length - x for x in found]
    found.sort()
    return tuple(
        (before + kept, after - kept)
        for before, after in pairwise(found)
        if after - before > 2 * kept + 2 * BREAK / scale
    )


Edges = tuple[tuple[float, float], ...]


def _stacked(low: float, gaps: Sequence[float], bands: Sequence[float]) -> tuple[Edges, Edges]:
    """Lower and upper edges of gaps and bands in turn, from `low` up."""
    rooms, faces = [], []
    for gap, band in zip(gaps, [*bands, 0.0], strict=True):
        rooms.append((low, low + gap))
        faces.append((low + gap, low + gap + band))
        low += gap + band
    return tuple(rooms), tuple(faces[:-1])


def _gap(marks: PostMarks, shop: ShopStyle, arris: str) -> float:
    texts = [text for text, _ in _texts(marks, shop, arris)]
    if not texts:
        return BARE_GAP
    return max(style.text_width(text) for text in texts) + 2 * LEADER


def _texts(marks: PostMarks, shop: ShopStyle, arris: str) -> Iterator[tuple[str, float]]:
    """What is written at an arris, with the full-size distance; witness lines in brackets."""
    for mark in marks.on_arris(arris):
        text = bare(mark.size, shop)
        yield (text if mark.cut else f"({text})"), mark.distance


def _face(ink: Ink, net: Net, face: int) -> None:
    _outline(ink, net, face)
    own = [area for area in net.marks.areas if area.face == face]
    for area in sorted(own, key=lambda a: a.kind == "seat", reverse=True):
        outline = [net.at(face, corner) for corner in area.corners]
        if not outline:
            continue
        if area.kind == "seat":
            ink.line("hidden", *outline, outline[0])
            continue
        hatch(ink, outline, HATCH)
        ink.line("visible", *outline, outline[0])
    _name(ink, net, face)


def _outline(ink: Ink, net: Net, face: int) -> None:
    """A face, in as many parts as it is broken into."""
    low, high = net.bands[face]
    ends = sorted((net.x(0.0), net.x(net.marks.length)))
    breaks = [net.left + _on_paper(start, net.scale, net.cuts) for start, _ in net.cuts]
    lefts, rights = [ends[0], *(x + BREAK for x in breaks)], [*breaks, ends[1]]
    for left, right in zip(lefts, rights, strict=True):
        corners = [(left, low), (right, low), (right, high), (left, high)]
        ink.areas.append((corners, style.POST_TONES[0]))
        if not breaks:
            ink.line("visible", *corners, corners[0])
            continue
        for level in (low, high):
            ink.line("visible", (left, level), (right, level))
        for x in (left, right):
            if x in ends:
                ink.line("visible", (x, low), (x, high))
            else:
                _zigzag(ink, x, low, high)


def _zigzag(ink: Ink, x: float, low: float, high: float) -> None:
    """A thin break line, on past both edges of the face (ISO 128-2, from memory)."""
    middle = (low + high) / 2
    levels = (low - TOOTH, middle - TOOTH, middle - TOOTH / 2, middle + TOOTH / 2,
              middle + TOOTH, high + TOOTH)  # fmt: skip
    shifts = (0.0, 0.0, -TOOTH, TOOTH, 0.0, 0.0)
    ink.line("thin", *[(x + dx, y) for dx, y in zip(shifts, levels, strict=True)])


def _name(ink: Ink, net: Net, face: int) -> None:
    """Name and how it looks, in lines beside the face."""
    it = net.marks.faces[face]
    lines = [*wrapped(it.name, COLUMN - 2.0), f"faces {it.looks}"]
    low, high = net.bands[face]
    middle = (low + high) / 2 + (len(lines) - 1) / 2 * PITCH - FIGURE / 2
    right = min(net.x(0), net.x(net.marks.length)) - END_ROOM
    for k, line in enumerate(lines):
        colour = style.FAINT if k == len(lines) - 1 else style.INK
        ink.labels.append(Label(line, right, middle - k * PITCH, "right", colour=colour))


def _sizes(ink: Ink, net: Net, place: int, arris: str) -> None:
    """The sizes of one arris in the room beside its faces, read from the right."""
    low, high = net.gaps[place]
    _letter(ink, net, arris, (low + high) / 2)
    marks = sorted(_texts(net.marks, net.shop, arris), key=lambda pair: net.x(pair[1]))
    ends = sorted((net.x(0), net.x(net.marks.length)))
    wanted = [net.x(distance) for _, distance in marks]
    places = spread(wanted, PITCH, ends[0] + FIGURE / 2, ends[1])
    for (text, distance), x in zip(marks, places, strict=True):
        pen = "hidden" if text.startswith("(") else "thin"
        tip, bottom, top = net.x(distance), low + LEADER, high - LEADER
        if place > 0:
            ink.line("thin", (tip, low), (x, bottom - CLEAR))
        if place < 4:
            ink.line("thin", (x, top + CLEAR), (tip, high))
        colour = style.FAINT if pen == "hidden" else style.INK
        ink.labels.append(
            Label(text, x + FIGURE / 2, (bottom + top) / 2, rotation=90.0, colour=colour)
        )


def _letter(ink: Ink, net: Net, arris: str, level: float) -> None:
    """The letter of an arris, at both ends."""
    ends = sorted((net.x(0), net.x(net.marks.length)))
    for x in (ends[0] - style.BADGE - 1.5, ends[1] + style.BADGE + 1.5):
        ink.badge((x, level), arris)


def _flat_sizes(ink: Ink, net: Net, flat: Flat) -> None:
    """How far across the end each cut line of a flat begins, on the face beside what comes off."""
    end = 0.0 if flat.end == "foot" else net.marks.length
    x = net.x(end)
    inward = 1.0 if x <= net.x(net.marks.length / 2) else -1.0
    at = x + inward * (flat.along * net.scale + OFFSET)
    for face, arrises in enumerate(BETWEEN):
        if flat.arris not in arrises:
            continue
        across = flat.over_bearing if face in (0, 2) else flat.over_side
        edge, into = net.bands[face][0], 1.0
        if flat.arris == arrises[1]:
            edge, into = net.bands[face][1], -1.0
        tip = edge + into * across * net.scale
        text = bare(across, net.shop)
        _upright(ink, (at, edge), (x, tip), at, text, inward, net.bands[face])


def _depth(ink: Ink, net: Net, face: int, arris: str, depth: float) -> None:
    """How far down the face the floor lies, beside the notch, clear of the seat."""
    width = net.marks.faces[face].width
    corners = [
        corner
        for area in net.marks.areas
        if area.face == face and area.kind == "notch" and not _right_across(area, width)
        for corner in area.corners
    ]
    seats = [c[0] for a in net.marks.areas if a.kind == "seat" for c in a.corners]
    xs = [x for x, _ in corners]
    middle = (min(xs) + max(xs)) / 2
    headward = not seats or (min(seats) + max(seats)) / 2 < middle
    end = max(xs) if headward else min(xs)
    x = net.x(end)
    beyond = 1.0 if x > net.x(middle) else -1.0
    low, high = net.bands[face]
    first = arris == net.marks.faces[face].arrises[0]
    edge, into = (low, 1.0) if first else (high, -1.0)
    floor = edge + into * depth * net.scale
    at = x + beyond * OFFSET
    _upright(ink, (at, edge), (x, floor), at, bare(depth, net.shop), beyond, (low, high))


def _right_across(area: Area, width: float) -> bool:
    """Whether an area reaches from one arris of its face to the other: no floor shows there."""
    sides = [v for _, v in area.corners]
    return max(sides) - min(sides) > width - 1e-9


def _upright(
    ink: Ink,
    start: Point,
    end: Point,
    at: float,
    text: str,
    beyond: float,
    band: tuple[float, float],
) -> None:
    """An upright size between two heights on a line at `at`. Its text stands beside it, upright
    where it is no longer than the size and level else, and inside the band of its face."""
    for point in (start, end):
        if abs(point[0] - at) > style.EXTENSION_GAP:
            ink.line("thin", point, (at + beyond * 0.8, point[1]))
    low, high = sorted((start[1], end[1]))
    ink.line("thin", (at, low), (at, high))
    if high - low >= 2 * style.ARROW:
        ink.arrow((at, low), (0.0, -1.0))
        ink.arrow((at, high), (0.0, 1.0))
    middle, gap = (low + high) / 2, beyond * style.TEXT_GAP
    if style.text_width(text) <= high - low:
        x = at + gap + (FIGURE if beyond > 0 else 0.0)
        ink.labels.append(Label(text, x, middle, rotation=90.0))
        return
    least, most = band[0] + CLEAR, band[1] - CLEAR - FIGURE
    most = max(most, least)
    levels = (min(max(middle - FIGURE / 2, least), most), most, least)
    labels = [Label(text, at + gap, y, "left" if beyond > 0 else "right") for y in levels]
    ink.labels.append(next((one for one in labels if is_clear(ink, one)), labels[0]))


def _strip(ink: Ink, sheet: Sheet, net: Net, paper: Paper) -> None:
    """Name, what it is, legend, scale and units."""
    long = bare(net.marks.length, net.shop)
    what = f"{net.marks.called}, {long} long: measured along each arris from the foot end"
    if paper.with_text:
        scale = scale_note(net.scale, net.shop.display == "in")
        ink.add(small_print([what, LEGEND, scale], paper))
        return
    left, right = paper.margin, paper.width - paper.margin
    top = paper.margin + STRIP - 4.0
    ink.line("thin", (left, top), (right, top))
    inches = net.shop.display == "in"
    notes = [f"Scale {scale_text(net.scale)}", f"Sizes in {'inches' if inches else 'millimetres'}"]
    upper, lower, lowest = top - 5.5, top - 11.0, top - 16.0
    for note, level in zip(notes, (upper, lower), strict=True):
        ink.labels.append(Label(note, right, level, "right"))
    edge = right - max(style.text_width(note) for note in notes) - 7.0
    bar = scale_bar(ink, net.scale, inches, edge, lower + 1.0)
    room = bar - 8.0 - left
    name = style.fitted(sheet.name or "Untitled", room, style.TITLE, bold=True)
    ink.labels.append(Label(name, left, upper, "left", size=style.TITLE, bold=True))
    ink.labels.append(Label(style.fitted(what, room), left, lower, "left", colour=style.FAINT))
    legend = style.fitted(LEGEND, right - left)
    ink.labels.append(Label(legend, left, lowest, "left", colour=style.FAINT))
