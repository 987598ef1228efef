"""A table on the paper, beside or under a drawing of boards."""

from __future__ import annotations

from collections.abc import Sequence

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label
from tablekit.drawing.wrapping import wrapped

ROW = 4.8
GUTTER = 3.5  # between columns
APART = 9.0  # between the halves of a long table
MOST_PARTS = 3


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
    said = [line for sentence in sentences for line in wrapped(sentence, width)]
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
