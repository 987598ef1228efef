"""The table beside or under a board layout: each strip, its board and what to cut it to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label

if TYPE_CHECKING:
    from tablekit.drawing.board_layout import LayoutSubject

HEADS = ("", "board", "width", "length needed", "usable")
ROW = 4.8
GUTTER = 3.5  # between columns
APART = 9.0  # between the halves of a long table
MOST_PARTS = 3
NAME_WIDTHS = (34.0, 18.0)  # of a board, the second where there is no room for the first


def strip_table(it: LayoutSubject, width: float, height: float, summed: bool = True) -> Ink | None:
    """The strips as a table within `width` and `height` (mm on the paper), in up to three parts
    side by side, with a line on what it takes if `summed`. None where that does not fit."""
    said = [summed_up(it)] if summed else []
    for widest in NAME_WIDTHS:
        rows = [
            (
                str(number), style.fitted(strip.board, widest), it.text(strip.width),
                it.at_least(strip.length_needed), it.text(strip.usable_length),
            )
            for number, strip in enumerate(it.layout.strips, start=1)
        ]  # fmt: skip
        found = table(HEADS, rows, said, width, height, named=(1,))
        if found is not None:
            return found
    return None


def table(
    heads: tuple[str, ...],
    rows: Sequence[tuple[str, ...]],
    sentences: Sequence[str],
    width: float,
    height: float,
    named: Sequence[int] = (),
) -> Ink | None:
    """Rows under their heads within `width` and `height`, in up to three parts side by side, with
    sentences below, each beginning a line. Columns in `named` are set to the left, others to the
    right. None where that does not fit."""
    said = [line for sentence in sentences for line in _in_lines(sentence, width)]
    below = ROW * len(said) + 1.0
    columns = [max(style.text_width(row[k]) for row in (heads, *rows)) for k in range(len(heads))]
    across = sum(columns) + GUTTER * max(len(columns) - 1, 0)
    head = 1 if heads else 0
    for parts in range(1, MOST_PARTS + 1):
        deep = -(-len(rows) // parts) + head - 1
        wide = parts * across + (parts - 1) * APART
        if wide <= width and (deep + 1) * ROW + below <= height:
            ink = Ink()
            for part in range(parts):
                some = rows[part * deep : (part + 1) * deep]
                if some:
                    _part(ink, (heads, *some), columns, part * (across + APART), named)
            for number, line in enumerate(said):
                ink.labels.append(
                    Label(line, 0.0, -(deep + number + 1) * ROW - 1.6, "left", colour=style.FAINT)
                )
            return ink
    return None


def summed_up(it: LayoutSubject) -> str:
    """What the layout takes and what of it is waste, in a sentence."""
    layout = it.layout
    used = ", ".join(f"{count} of {name}" for name, count in layout.boards.items())
    if len(layout.boards) > 6:
        used = f"{len(layout.strips)} boards of {len(layout.boards)} kinds"
    least = "proved minimum" if layout.proved else f"at most {layout.gap:.1%} above the minimum"
    return f"Uses {used}; {layout.waste:.0%} of their area lies outside the rough circle ({least})."


def _in_lines(text: str, width: float) -> list[str]:
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and style.text_width(longer) > width:
            lines.append(style.fitted(word, width))
        else:
            lines[-1] = style.fitted(longer, width)
    return lines


def _part(
    ink: Ink, rows: Sequence[tuple[str, ...]], columns: list[float], left: float,
    named: Sequence[int],
) -> None:  # fmt: skip
    """Names to the left of their columns, numbers to the right."""
    for line, row in enumerate(rows):
        x = left
        for k, (text, wide) in enumerate(zip(row, columns, strict=True)):
            at, anchor = (x, "left") if k in named else (x + wide, "right")
            colour = style.FAINT if line == 0 else style.INK
            if text:
                ink.labels.append(Label(text, at, -line * ROW, anchor, colour=colour))
            x += wide + GUTTER
    end = left + sum(columns) + GUTTER * (len(columns) - 1)
    ink.line("thin", (left, -1.4), (end, -1.4))
