"""The letters of the drawings, DejaVu Sans as it comes with matplotlib: how far each takes the pen,
and its outline. Each is read once, whatever is written with it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path as File
from typing import Any

UNITS = 1000  # of outlines, to the em: what other faces in a PDF have as well
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
# What a path of matplotlib says of each of its points: it begins, it goes on straight, it is one of
# two of a quadratic curve, it closes.
_BEGIN, _STRAIGHT, _CURVE, _CLOSE = 1, 2, 3, 79
Outline = tuple[tuple[str, tuple[float, ...]], ...]


@lru_cache(maxsize=2)
def _face(bold: bool) -> Any:
    import matplotlib
    from matplotlib.ft2font import FT2Font

    # From memory: read from the file as it is needed, it would be read by two processes at once,
    # that of either book, each of which moves the place where the other reads on.
    file = File(matplotlib.get_data_path(), "fonts", "ttf", _FILES[bold])
    face = FT2Font(BytesIO(file.read_bytes()))
    face.set_size(100.0, 72)
    return face


@lru_cache(maxsize=4096)
def glyph_index(letter: str, bold: bool) -> int:
    """A letter's place in the face; 0, that of a box, for one that the face lacks."""
    return int(_face(bold).get_char_index(ord(letter)))


@lru_cache(maxsize=4096)
def advance(letter: str, bold: bool) -> float:
    """How far a letter takes the pen, in ems."""
    from matplotlib.ft2font import LoadFlags

    glyph = _face(bold).load_glyph(glyph_index(letter, bold), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536 / 100


@lru_cache(maxsize=16384)
def kerning(before: str, letter: str, bold: bool) -> float:
    """By how much more a letter stands off the one before it than that takes, in ems."""
    from matplotlib.ft2font import Kerning

    pair = glyph_index(before, bold), glyph_index(letter, bold)
    return float(_face(bold).get_kerning(*pair, Kerning.UNFITTED)) / 64 / 100


def kerned(text: str, bold: bool) -> Iterator[tuple[str, float]]:
    """Each letter with its kerning to the one before it, in ems."""
    yield from ((text[0], 0.0),) if text else ()
    for before, letter in pairwise(text):
        yield letter, kerning(before, letter, bold)


def face_box(bold: bool) -> tuple[float, ...]:
    """Left, low, right and high of all letters of the face, in thousandths of an em."""
    face = _face(bold)
    return tuple(side * UNITS / face.units_per_EM for side in face.bbox)


@lru_cache(maxsize=4096)
def outline(letter: str, bold: bool) -> Outline:
    """A letter's outline in thousandths of an em, as steps: "M" and "L" with x, y; "Q" with the
    point that a curve bends to and its end; "Z" closes. A letter that the face lacks is its
    box."""
    from matplotlib.ft2font import LoadFlags

    face, index = _face(bold), glyph_index(letter, bold)
    face.load_glyph(index, flags=LoadFlags.NO_SCALE)
    points, codes = face.get_path()
    scale = 64 * UNITS / face.units_per_EM
    return tuple(_steps((points * scale).tolist(), codes.tolist()))


def _steps(points: list[list[float]], codes: list[int]) -> Iterator[tuple[str, tuple[float, ...]]]:
    place = 0
    while place < len(codes):
        code = codes[place]
        if code == _CURVE:
            yield "Q", (*points[place], *points[place + 1])
            place += 1
        elif code == _CLOSE:
            yield "Z", ()
        else:
            yield {_BEGIN: "M", _STRAIGHT: "L"}[code], (*points[place],)
        place += 1
