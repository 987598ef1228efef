"""The strip at the foot of a drawing: what it is of, in bold, and a few lines of small print."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tablekit.drawing import style
from tablekit.drawing.general import STRIP, small_print, strip_height
from tablekit.drawing.ink import Box, Ink, Label
from tablekit.drawing.style import Paper


def title(heading: str, lines: Sequence[str], paper: Paper) -> Ink:
    """The strip within the margins of `paper`; lines too long for it are shortened."""
    if paper.with_text:
        return small_print(lines, paper)
    ink, left, right = Ink(), paper.margin, paper.width - paper.margin
    high = paper.margin + STRIP
    ink.line("thin", (left, high), (right, high))
    drop = style.TITLE * style.MM_PER_POINT * style.CAP
    room = right - left
    heading = style.fitted(heading, room, style.TITLE, bold=True)
    ink.labels.append(Label(heading, left, high - 2 - drop, "left", size=style.TITLE, bold=True))
    step = style.TEXT * style.MM_PER_POINT * 1.3
    for row, line in enumerate(lines):
        level = high - 2.6 - drop - (row + 1) * step
        line = style.fitted(line, room)
        ink.labels.append(Label(line, left, level, "left", colour=style.FAINT))
    return ink


def too_large(ink: Ink, room: Box) -> bool:
    """Whether a part of a drawing is by itself too large for the room."""
    box = ink.box()
    return box.width > room.width or box.height > room.height


def in_a_row(parts: Iterable[Ink], gap: float) -> Ink:
    """Parts side by side, their tops level, `gap` mm between them; the first one stays."""
    return _placed(parts, gap, across=True)


def in_a_column(parts: Iterable[Ink], gap: float) -> Ink:
    """Parts one under the other, their left sides level, `gap` mm between them."""
    return _placed(parts, gap, across=False)


def _placed(parts: Iterable[Ink], gap: float, across: bool) -> Ink:
    whole: Ink | None = None
    at = Box(0.0, 0.0, 0.0, 0.0)
    for part in parts:
        box = part.box()
        if whole is None:
            whole, at = part.moved(0.0, 0.0), box  # a copy: the part itself is left as it is
            continue
        if across:
            by = (at.right + gap - box.left, at.high - box.high)
        else:
            by = (at.left - box.left, at.low - gap - box.high)
        whole.add(part.moved(*by))
        at = at.round(box.moved(*by))
    if whole is None:
        raise ValueError("there is nothing to place")
    return whole


def centred(ink: Ink, room: Box) -> Ink | None:
    """`ink` in the middle of `room`; None where it does not fit."""
    box = ink.box()
    if box.width > room.width + 1e-9 or box.height > room.height + 1e-9:
        return None
    return ink.moved(
        (room.left + room.right - box.left - box.right) / 2,
        (room.low + room.high - box.low - box.high) / 2,
    )


def drawing_room(paper: Paper) -> Box:
    """What is left of the paper over the strip."""
    margin = paper.margin
    low = margin + strip_height(paper) + 3
    return Box(margin, low, paper.width - margin, paper.height - margin)
