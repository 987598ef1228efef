"""The boards lying flat, each with its cuts: what is sawn from it, what is avoided, what is left.

Every number comes from the layout; only places on the paper are worked out here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tablekit.drawing import style
from tablekit.drawing.board_layout import LayoutSubject, spread, title
from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    INSET,
    METRIC_SCALES,
    Layout,
    strip_height,
)
from tablekit.drawing.ink import Box, Ink, Label
from tablekit.planning.board_layout import pieces_marked

if TYPE_CHECKING:
    from tablekit.drawing.style import Paper
    from tablekit.planning.board_layout import CutBoard

NAME = 5.0  # from a board to its name above it
NAME_LONG = 75.0  # that a name may be, over a board however short it is drawn
CUTS = 8.0  # from a board to the distances of its cuts below it
BETWEEN = 13.0  # from the distances of one board to the next board
ASIDE = 12.0  # between boards side by side
APART = 3.9  # between the middles of upright texts
HATCH = 1.6
WHAT = "Boards to be crosscut. Distances from the end where cutting begins; hatched: to be avoided"


def lay_out_board_cuts(it: LayoutSubject, paper: Paper) -> Layout:
    """All boards that are cut, at the largest scale that fits. Raises ValueError when none does."""
    room = Box(
        paper.margin, paper.margin + strip_height(paper), paper.width - paper.margin,
        paper.height - paper.margin,
    )  # fmt: skip
    wide = room.width - (2 * INSET if paper.with_text else 0.0)
    stated = INCH_SCALES if it.style.display == "in" else METRIC_SCALES
    for scale in stated if paper.to_scale else FREE_SCALES:
        ink = _shelves(it, scale, wide)
        if ink is None:
            continue
        box = ink.box()
        if box.width <= wide and box.height <= room.height:
            left = (room.left + room.right - box.width) / 2 - box.left
            whole = ink.moved(left, (room.low + room.high - box.high - box.low) / 2)
            whole.add(title(it, paper, scale, WHAT))
            return Layout(scale, paper.arrangement, whole)
    raise ValueError(
        f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for the boards of "
        f"{it.name or 'this piece'} at any scale; take a larger one"
    )


def _shelves(it: LayoutSubject, scale: float, wide: float) -> Ink | None:
    """The boards one under another, short ones side by side; None where one is too long."""
    whole, left, level, deep = Ink(), 0.0, 0.0, 0.0
    for one in it.layout.cut:
        long = one.length * scale
        if long > wide - 10.0:  # room for what stands at its ends
            return None
        ink = _board(it, one, scale)
        box = ink.box()
        if left > 0 and left + box.width > wide:
            left, level, deep = 0.0, level - deep - BETWEEN + CUTS, 0.0
        whole.add(ink.moved(left - box.left, level - box.high))
        left, deep = left + box.width + ASIDE, max(deep, box.height)
    return whole


def _board(it: LayoutSubject, one: CutBoard, scale: float) -> Ink:
    """A board with its lower left corner at the origin, cut from the left."""
    ink = Ink()
    near, far = one.width, one.far_width
    if one.from_far:
        near, far = far, near
    high = max(near, far) * scale

    def half(along: float) -> float:
        return (near + (far - near) * along / one.length) * scale / 2

    def outline(start: float, end: float) -> list[tuple[float, float]]:
        a, b, middle = half(start), half(end), high / 2
        x = (start * scale, end * scale)
        return [
            (x[0], middle - a), (x[1], middle - b), (x[1], middle + b), (x[0], middle + a),
        ]  # fmt: skip

    cuts: list[float] = []
    for piece in pieces_marked(it.layout, one, it.style):
        start, end = piece.start, min(piece.end, one.length)
        corners = outline(start, end)
        ink.areas.append((corners, style.POST_TONES[piece.number % 2]))
        for at in (start, end):
            low, top = high / 2 - half(at), high / 2 + half(at)
            ink.line("visible", (at * scale, low), (at * scale, top))
        ink.badge(((start + end) / 2 * scale, high / 2), str(piece.number))
        cuts += [start, end]
    whole = outline(0.0, one.length)
    ink.line("visible", *whole, whole[0])
    hatched = [_hatched(outline(*_along(one, z.start, z.end))) for z in one.zones]
    if hatched:
        ink.pieces["thin"].append(np.concatenate(hatched))
        for zone in one.zones:
            box = outline(*_along(one, zone.start, zone.end))
            ink.line("thin", *box, box[0])
    _words(ink, it, one, scale, high)
    _distances(ink, it, cuts, scale)
    return ink


def _along(one: CutBoard, start: float, end: float) -> tuple[float, float]:
    """From the end where cutting begins."""
    return (one.length - end, one.length - start) if one.from_far else (start, end)


def _hatched(corners: list[tuple[float, float]]) -> np.ndarray:
    """Lines at 45° over what may not be used, shape (n, 2, 2)."""
    (left, low), (right, other), (_, high), _ = corners
    low = max(low, other)
    lines = []
    for k in range(int((left + low) // HATCH), int((right + high) // HATCH) + 1):
        total = k * HATCH
        start, end = max(left, total - high), min(right, total - low)
        if end - start > 0.1:
            lines.append([(start, total - start), (end, total - end)])
    return np.array(lines, dtype=float).reshape(-1, 2, 2)


def _words(ink: Ink, it: LayoutSubject, one: CutBoard, scale: float, high: float) -> None:
    """The board's name and size above it, what goes back on it."""
    sizes = [it.text(one.width), it.text(one.length)]
    if one.width != one.far_width:
        sizes[0] += f" to {it.text(one.far_width)}"
    room = max(one.length * scale, NAME_LONG + style.text_width(one.begun))
    name = style.fitted(f"{one.called}{one.begun}: {' × '.join(sizes)}", room)
    ink.labels.append(Label(name, 0.0, high + NAME, "left"))
    if one.left > 0:
        start, end = _clear(one)
        middle = (start + end) / 2 * scale
        text = f"{it.text(one.left)} left"
        if style.text_width(text) < (end - start) * scale - 2.0:
            base = high / 2 - style.CAP * style.TEXT * style.MM_PER_POINT / 2
            ink.labels.append(Label(text, middle, base, "center", colour=style.FAINT))


def _clear(one: CutBoard) -> tuple[float, float]:
    """From where to where what goes back is clear for longest, from the end where cutting
    begins, mm."""
    left, spans = one.length - one.left, []
    for start, end in sorted(_along(one, zone.start, zone.end) for zone in one.zones):
        spans.append((left, max(start, left)))
        left = max(left, end)
    spans.append((left, max(one.length, left)))
    return max(spans, key=lambda span: span[1] - span[0])


def _distances(ink: Ink, it: LayoutSubject, cuts: list[float], scale: float) -> None:
    """How far each cut is from the end where cutting begins, on lines led down."""
    places = spread([cut * scale for cut in cuts], APART)
    height = style.CAP * style.TEXT * style.MM_PER_POINT
    for cut, place in zip(cuts, places, strict=True):
        x = cut * scale
        ink.line("thin", (x, -0.8), (x, -1.8), (place, -3.6), (place, -4.4))
        ink.labels.append(Label(it.text(cut), place + height / 2, -5.0, "right", rotation=90))
