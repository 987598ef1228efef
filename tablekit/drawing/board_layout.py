"""The board layout: strips over the circle, seen from above, with a table of what to cut.

Every number comes from the layout; only places on the paper are worked out here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, sqrt
from typing import TYPE_CHECKING

import numpy as np

from tablekit.drawing import dimension, style
from tablekit.drawing.board_table import table
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    INSET,
    METRIC_SCALES,
    STRIP,
    Layout,
    LiveDrawing,
    scale_note,
    scale_text,
    small_print,
    strip_height,
)
from tablekit.drawing.ink import Array, Box, Ink, Label, ring
from tablekit.drawing.style import A4, Paper
from tablekit.engine.shop import ShopStyle, shop_text, shop_text_up
from tablekit.planning.glue_up import strips_used

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from tablekit.planning.board_layout import BoardLayout, Strip

HATCH = 2.2  # between the lines across waste
BETWEEN = 8.0  # drawing and table
BESIDE_TEXT = 3.9  # between the middles of upright texts
CENTRE_PAST = 4.0
NAME_WIDTH = 4.4  # a strip on the paper must be so wide to have its name on it
DIAMETER = "Ø"
WHAT = "Board layout from above. Distances from the centre mark; hatched: cut away"


@dataclass(frozen=True)
class LayoutSubject:
    """A layout with what else a drawing says of it.

    name          of the piece
    top_diameter  of the finished top, mm
    style         how the maker reads lengths
    """

    layout: BoardLayout
    name: str
    top_diameter: float
    style: ShopStyle

    def text(self, number: float) -> str:
        """A length as the maker reads it, less its unit, which is noted once."""
        return shop_text(number, "mm", self.style).removesuffix(f" {self.style.display}")

    def at_least(self, number: float) -> str:
        """The same, rounded up: a strip must not be cut shorter than it needs to be."""
        return shop_text_up(number, self.style).removesuffix(f" {self.style.display}")


def draw_board_layout(it: LayoutSubject, figure: Figure | None = None, paper: Paper = A4) -> Figure:
    """The layout to scale on `paper`, on `figure` or a fresh one.

    Raises ValueError when the paper is too small for any scale."""
    return BoardDrawing.drawn(it, figure, paper)


class BoardDrawing(LiveDrawing[LayoutSubject]):
    """The artists of one board layout."""

    def laid_out(self, it: LayoutSubject) -> Layout:
        """The strips over the circle and the table of what to cut."""
        return lay_out_drawing(it, self.paper)


def lay_out_drawing(it: LayoutSubject, paper: Paper) -> Layout:
    """View and table at the largest scale that fits. Raises ValueError when none does."""
    return arrange(
        it, paper, WHAT, "board layout", lambda scale: view(it, scale),
        partial(strip_table, it, summed=not paper.with_text),
    )  # fmt: skip


def arrange(
    it: LayoutSubject,
    paper: Paper,
    what: str,
    kind: str,
    drawn: Callable[[float], Ink],
    table_within: Callable[[float, float], Ink | None],
) -> Layout:
    """A view of a round panel with its table beside or below, at the largest scale that fits.

    what, kind     what the strip at the foot says, and what an error calls the drawing
    drawn, table_within   the view at a scale; the table within a width and a height, or None
    Raises ValueError when no scale fits.
    """
    room = Box(
        paper.margin, paper.margin + strip_height(paper), paper.width - paper.margin,
        paper.height - paper.margin,
    )  # fmt: skip
    stated = INCH_SCALES if it.style.display == "in" else METRIC_SCALES
    beside, wide = paper.arrangement == "beside", room.width
    if paper.with_text:
        wide -= 2 * INSET  # sentences as wide as the text below them
    for scale in stated if paper.to_scale else FREE_SCALES:
        ink = _seen(it, room, scale, drawn)
        if ink is None:
            continue
        seen = ink.box()
        left = wide - seen.width - BETWEEN if beside else wide
        high = room.height if beside else room.height - seen.height - BETWEEN
        table = table_within(left, high)
        if table is None:
            continue
        _beside_or_under(ink, table, seen, beside)
        whole = _centred(ink, room)
        whole.add(title(it, paper, scale, what))
        return Layout(scale, paper.arrangement, whole)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the {kind} of "
        f"{it.name or 'this piece'} at any scale; take a larger one"
    )


def _seen(it: LayoutSubject, room: Box, scale: float, drawn: Callable[[float], Ink]) -> Ink | None:
    """The view at a scale; None where there is no room for it."""
    # It takes more than the circle, whatever the scale.
    if it.layout.diameter * scale > min(room.width, room.height):
        return None
    ink = drawn(scale)
    seen = ink.box()
    return ink if seen.width <= room.width and seen.height <= room.height else None


def _beside_or_under(ink: Ink, table: Ink, seen: Box, beside: bool) -> None:
    """Sets the table to the right of the view, level with its top, or in the middle under it."""
    box = table.box()
    if beside:
        dx, dy = seen.right + BETWEEN - box.left, seen.high - box.high
    else:
        dx = (seen.left + seen.right - box.left - box.right) / 2
        dy = seen.low - BETWEEN - box.high
    ink.add(table.moved(dx, dy))


def _centred(ink: Ink, room: Box) -> Ink:
    box = ink.box()
    return ink.moved(
        (room.left + room.right - box.left - box.right) / 2,
        (room.low + room.high - box.low - box.high) / 2,
    )


# --- the view -----------------------------------------------------------------------------------


def view(it: LayoutSubject, scale: float) -> Ink:
    """Strips and circles about the centre mark, with sizes, mm on the paper."""
    ink = Ink()
    strips = strips_used(it.layout)
    first = it.layout.strips.index(strips[0]) + 1  # numbered as in the table
    radius = it.layout.diameter / 2 * scale
    for number, strip in enumerate(strips):
        _strip(ink, strip, scale, number)
    ink.pieces["thin"].append(np.concatenate([_hatched(strip, scale, radius) for strip in strips]))
    ink.line("thin", *ring(radius))
    ink.line("visible", *ring(it.top_diameter / 2 * scale))
    past = radius + CENTRE_PAST
    ink.line("centre", (-past, 0.0), (past, 0.0))
    ink.line("centre", (0.0, -past), (0.0, past))
    within = it.top_diameter / 2 * scale
    badges(ink, strips, scale, first, within)
    _names(ink, strips, scale, within)
    _distances(ink, it, strips, scale, -past)
    level = max(strip.length_needed for strip in strips) / 2 * scale + 7.0
    for diameter, note in ((it.top_diameter, " finished"), (it.layout.diameter, " to cover")):
        half = diameter / 2 * scale
        text = DIAMETER + it.text(diameter) + note
        dimension.across(ink, (-half, 0.0), (half, 0.0), level, text)
        level += 7.0
    return ink


def _strip(ink: Ink, strip: Strip, scale: float, number: int) -> None:
    """A strip cut to the length it needs; neighbours in two tones, to be told apart."""
    left, right = strip.left * scale, strip.right * scale
    half = strip.length_needed / 2 * scale
    corners = [(left, -half), (right, -half), (right, half), (left, half)]
    ink.areas.append((corners, style.POST_TONES[number % 2]))
    ink.line("thin", *corners, corners[0])
    # Joints are what the layout is about.
    ink.line("visible", (left, -half), (left, half))
    ink.line("visible", (right, -half), (right, half))


def _hatched(strip: Strip, scale: float, radius: float) -> Array:
    """Lines at 45° over what of a strip lies outside the circle, shape (n, 2, 2)."""
    left, right = strip.left * scale, strip.right * scale
    half = strip.length_needed / 2 * scale
    pieces = []
    step = HATCH * sqrt(2)
    for k in range(ceil((left - half) / step), int((right + half) // step) + 1):
        total = k * step  # along the line, x + y
        start, end = max(left, total - half), min(right, total + half)
        inside = radius**2 - total**2 / 2
        if inside <= 0:
            spans = [(start, end)]
        else:
            reach = sqrt(inside / 2)
            spans = [(start, min(end, total / 2 - reach)), (max(start, total / 2 + reach), end)]
        pieces += [[(a, total - a), (b, total - b)] for a, b in spans if b - a > 0.2]
    return np.array(pieces, dtype=float).reshape(-1, 2, 2)


def _middle(strip: Strip, scale: float, radius: float) -> float:
    """The middle of what of a strip lies within the circle; that of the strip where little does."""
    left, right = max(strip.left * scale, -radius), min(strip.right * scale, radius)
    if right - left < 2 * style.BADGE:
        return (strip.left + strip.right) / 2 * scale
    return (left + right) / 2


def badges(ink: Ink, strips: Sequence[Strip], scale: float, first: int, radius: float) -> None:
    """A number in each strip, above the centre line, in as many rows as narrow strips ask for."""
    narrowest = min(strip.width for strip in strips) * scale
    rows = min(6, max(1, ceil((2 * style.BADGE + 0.6) / narrowest)))
    for number, strip in enumerate(strips):
        middle = _middle(strip, scale, radius)
        level = 5.0 + (number % rows) * (2 * style.BADGE + 0.6)
        ink.badge((middle, level), str(number + first))


def _names(ink: Ink, strips: Sequence[Strip], scale: float, radius: float) -> None:
    """The board's name along each strip, below the centre line, where there is room for it within
    the finished circle."""
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    for strip in strips:
        middle = _middle(strip, scale, radius)
        # Over the centre the name stands beside the centre line, not on it.
        at = max(middle, height) if abs(middle) < height else middle
        out = abs(at) + height
        room = sqrt(max(radius**2 - out**2, 0.0)) - 5.0
        narrow = strip.width * scale < NAME_WIDTH or strip.right * scale - at < height
        if not narrow and room > 4.0:
            text = style.fitted(strip.board, room)
            if len(text) < min(SHORTENED, len(strip.board)):
                continue  # a letter or two say nothing
            ink.labels.append(Label(text, at + height / 2, -3.0, "right", rotation=90))


def _distances(
    ink: Ink, it: LayoutSubject, strips: Sequence[Strip], scale: float, level: float
) -> None:
    """How far each edge is from the centre mark, on lines led down from the edges."""
    edges = [strips[0].left, *(strip.right for strip in strips)]
    halves = [strip.length_needed / 2 for strip in strips]
    lows = [max(pair) for pair in zip([0.0, *halves], [*halves, 0.0], strict=True)]
    marks = [(edge, low) for edge, low in zip(edges, lows, strict=True) if abs(edge) > 0.05]
    places = spread([edge * scale for edge, _ in marks] + [0.0], BESIDE_TEXT)
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    for (edge, low), place in zip([*marks, (0.0, -level / scale)], places, strict=True):
        x = edge * scale
        ink.line(
            "thin", (x, -low * scale - style.EXTENSION_GAP), (x, level - 1.0),
            (place, level - 4.5), (place, level - 6.0),
        )  # fmt: skip
        text = it.text(abs(edge))
        ink.labels.append(Label(text, place + height / 2, level - 6.8, "right", rotation=90))


def spread(places: Sequence[float], apart: float) -> list[float]:
    """Places moved as little as may be so that any two are `apart`, in the same order along."""
    order = sorted(range(len(places)), key=lambda k: places[k])
    # Groups that have run into one another stand about their common middle.
    groups: list[tuple[float, list[int]]] = []
    for k in order:
        middle, members = places[k], [k]
        while groups and (middle - groups[-1][0] < apart * (len(members) + len(groups[-1][1])) / 2):
            other, before = groups.pop()
            whole = len(members) + len(before)
            shift = apart * whole / 2
            # Each asks to stand at its own place; the mean of what all ask of the middle.
            middle = (
                (other + shift - apart * len(before) / 2) * len(before)
                + (middle - shift + apart * len(members) / 2) * len(members)
            ) / whole
            members = before + members
        groups.append((middle, members))
    moved = [0.0] * len(places)
    for middle, members in groups:
        for place, k in enumerate(members):
            moved[k] = middle + apart * (place - (len(members) - 1) / 2)
    return moved


# --- the strip at the foot of the paper ----------------------------------------------------------


def title(it: LayoutSubject, paper: Paper, scale: float, what: str) -> Ink:
    """The strip at the foot of the paper: name, what is drawn, scale and units."""
    if paper.with_text:
        return small_print([what], paper, scale_note(scale, it.style.display == "in"))
    ink = Ink()
    left, right, top = paper.margin, paper.width - paper.margin, paper.margin + STRIP - 3.0
    ink.line("thin", (left, top), (right, top))
    notes = [f"Sizes in {'inches' if it.style.display == 'in' else 'millimetres'}"]
    if paper.to_scale:
        notes.insert(0, f"Scale {scale_text(scale)}")
    for note, level in zip(notes, (top - 5.5, top - 11.0), strict=False):
        ink.labels.append(Label(note, right, level, "right"))
    room = right - left - max(style.text_width(note) for note in notes) - 8.0
    name = style.fitted(it.name or "Untitled", room, style.TITLE, bold=True)
    ink.labels.append(Label(name, left, top - 5.5, "left", size=style.TITLE, bold=True))
    ink.labels.append(Label(style.fitted(what, room), left, top - 11.0, "left", colour=style.FAINT))
    return ink


# --- The table beside or under it ------------------------------------------------------

HEADS = ("", "board", "no.", "width", "length")
SHORTENED = 5  # letters of a name, below which it is left out
NAME_WIDTHS = (52.0, 34.0, 18.0)  # of a board, the next where there is no room for the one before


def strip_table(it: LayoutSubject, width: float, height: float, summed: bool = True) -> Ink | None:
    """The strips as a table within `width` and `height` (mm on the paper), in up to three parts
    side by side, with a line on what it takes if `summed`. None where that does not fit."""
    said = [summed_up(it)] if summed else []
    for widest in NAME_WIDTHS:
        rows: list[tuple[str, ...]] = [
            (
                str(number), style.fitted(strip.board, widest), _number(it, strip),
                it.text(strip.width), it.at_least(strip.length_needed),
            )
            for number, strip in enumerate(it.layout.strips, start=1)
        ]  # fmt: skip
        shown = [k for k in range(len(HEADS)) if k != HEADS.index("no.") or any(r[k] for r in rows)]
        heads, *rows = (tuple(row[k] for k in shown) for row in (HEADS, *rows))
        found = table(heads, rows, said, width, height, named=(1,))
        if found is not None:
            return found
    return None


def _number(it: LayoutSubject, strip: Strip) -> str:
    """Which of several boards of one name."""
    alone = strip.length_needed > 0 and it.layout.source(strip).alone
    return "" if alone else str(strip.copy)


def summed_up(it: LayoutSubject) -> str:
    """What the layout takes and what of it is waste, in a sentence."""
    layout = it.layout
    used = ", ".join(f"{count} of {name}" for name, count in layout.boards.items())
    if len(layout.boards) > 6:
        used = f"{len(layout.cut)} boards of {len(layout.boards)} kinds"
    least = "proved" if layout.proved else f"another uses at most {layout.gap:.1%} less"
    least = "" if layout.ordered else f" ({least})"
    return f"Cuts {used}; {layout.waste:.0%} of what is used lies outside the rough circle{least}."
