"""A drawing packed for a page that keeps it as SVG: numbers alone, a few kilobytes a frame.

The page makes its elements once and moves them at each frame. A frame is the length of its head
(four bytes, the lowest first), the head as JSON (RFC 8259) padded with blanks to whole words, and
the points of all shapes one after another as 16-bit integers, the lowest byte first. Lengths are
hundredths of a millimetre on the paper, from its upper left corner to the right and down.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, groupby
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import style
from tablekit.drawing.ink import Grip, Ink
from tablekit.drawing.label import Label, Point
from tablekit.drawing.style import Paper

PER_MM = 100
LARGEST = 327.0  # mm: what a number of 16 bits can say
ANCHORS = {"left": "start", "center": "middle", "right": "end"}


def packed(ink: Ink, paper: Paper) -> bytes:
    """One frame. Raises ValueError for a paper that is too large.

    Its head: `paper`, width and height; `shapes`, each a kind ("area", "line", "arrow", "badge"),
    its colour or pen and how many points each of its strokes has; `labels`, each a text, x, y, its
    anchor, the turn in degrees clockwise, size of letters, width, whether bold, colour and
    quantity; `grips`, each a quantity, x, y, the direction and what one hundredth of a millimetre
    adds.
    """
    if max(paper.width, paper.height) > LARGEST:
        raise ValueError(f"a drawing for a page is at most {LARGEST:.0f} mm wide and high")
    shapes, strokes = [], []
    for kind, look, some in _shapes(ink):
        shapes.append([kind, look, [len(stroke) for stroke in some]])
        strokes += some
    head = {
        "paper": [round(paper.width * PER_MM), round(paper.height * PER_MM)],
        "shapes": shapes,
        "labels": [_label(label, paper) for label in ink.labels],
        "grips": [_grip(grip, paper) for grip in ink.grips],
    }
    text = json.dumps(head, ensure_ascii=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    return struct.pack("<I", len(text)) + text + _points(strokes, paper).tobytes()


def pens() -> dict[str, list[Any]]:
    """How each pen draws: colour, width and dashes, in the lengths of a frame."""
    return {
        name: [pen.colour, pen.width * PER_MM, [part * pen.width * PER_MM for part in pen.dashes]]
        for name, pen in style.PENS.items()
    }


def _shapes(ink: Ink) -> Iterator[tuple[str, str, list[Sequence[Point]]]]:
    """From the lowest to the uppermost; areas of one colour that follow one another as one."""
    for colour, run in groupby(ink.areas, key=lambda area: area[1]):
        yield "area", colour, [polygon for polygon, _ in run]
    for pen in style.PENS:
        pieces: Iterable[Any] = chain.from_iterable(ink.pieces[pen])
        strokes = [*pieces, *ink.lines[pen]]
        if strokes:
            yield "line", pen, strokes
    if ink.arrows:
        yield "arrow", style.FAINT, list(ink.arrows)
    if ink.badges:
        yield "badge", style.PAPER, list(ink.badges)


def _points(strokes: Sequence[Sequence[Point]], paper: Paper) -> NDArray[np.int16]:
    flat = np.array([*chain.from_iterable(strokes)], dtype=float).reshape(-1, 2)
    turned = flat * (PER_MM, -PER_MM) + (0.0, paper.height * PER_MM)
    return np.clip(np.rint(turned), -32768, 32767).astype("<i2")


def _place(x: float, y: float, paper: Paper) -> tuple[int, int]:
    return round(x * PER_MM), round((paper.height - y) * PER_MM)


def _label(label: Label, paper: Paper) -> list[Any]:
    size = label.size * style.MM_PER_POINT * PER_MM
    return [
        label.text, *_place(label.x, label.y, paper), ANCHORS[label.anchor],
        round(-label.rotation, 2), round(size, 1), round(label.width * PER_MM), int(label.bold),
        label.colour, label.quantity,
    ]  # fmt: skip


def _grip(grip: Grip, paper: Paper) -> list[Any]:
    (a, b), per_mm = grip.towards, grip.of.per_mm
    where = _place(*grip.at, paper)
    return [grip.of.quantity, *where, round(a, 4), round(-b, 4), round(per_mm / PER_MM, 9)]
