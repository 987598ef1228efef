"""Breaking a text into lines of a width, and never within a measure where that can be helped."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tablekit.drawing import style
from tablekit.engine.wording import WITHIN_A_MEASURE, WITHIN_A_SIZE

_HELD = "\ue000"  # in place of a space that does not break while a text is taken apart


def wrapped(text: str, room: float, size: float = style.TEXT, bold: bool = False) -> list[str]:
    """A text broken into lines no wider than `room`, mm; a word too long for a line is cut.

    size  of the letters, in points
    """
    lines: list[str] = []
    line = ""
    for word in _words(text, room, size, bold):
        tried = f"{line} {word}" if line else word
        if line and style.text_width(tried, size, bold) > room:
            lines.append(line)
            line = word
        else:
            line = tried
    return [*lines, line] if line else lines


def _words(text: str, room: float, size: float, bold: bool) -> Iterator[str]:
    # Not at every space: one that does not break holds a number and its unit together.
    for word in _unbroken(text, room, size, bold):
        while style.text_width(word, size, bold) > room and len(word) > 1:
            cut = next(
                k for k in range(len(word) - 1, 0, -1)
                if k == 1 or style.text_width(word[:k], size, bold) <= room
            )  # fmt: skip
            yield word[:cut]
            word = word[cut:]
        yield word


def _unbroken(text: str, room: float, size: float, bold: bool) -> Iterator[str]:
    """The words of a text: sizes such as "1 11/16 × 2 in" are one where they fit the room; else
    each of them is, "1 11/16"; and only where that does not fit either is it broken too."""
    for word in _held(WITHIN_A_SIZE, text):
        if style.text_width(word, size, bold) <= room:
            yield word
            continue
        for part in _held(WITHIN_A_MEASURE, word):
            yield from (part,) if style.text_width(part, size, bold) <= room else part.split(" ")


def _held(within: re.Pattern[str], text: str) -> list[str]:
    """The words of a text, what a pattern holds together being one."""
    return [
        word.replace(_HELD, " ") for word in re.findall(r"[^ \t\r\n]+", within.sub(_HELD, text))
    ]
