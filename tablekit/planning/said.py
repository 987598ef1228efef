"""What a plan says, a paragraph each, before anybody sets it on a page, a screen or a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from tablekit.engine.wording import NO_BREAK


@dataclass(frozen=True)
class Said:
    """A paragraph, a heading above those that follow, or a caution.

    indent  steps to the right in a plain text: 0 for what is said of all, 1 under a heading, 2
            below such a paragraph
    """

    text: str
    kind: Literal["plain", "heading", "caution"] = "plain"
    indent: int = 1

    @property
    def line(self) -> str:
        """The text for a page that breaks its own lines."""
        return self.text.replace(NO_BREAK, " ")


def lines_of(paragraphs: Iterable[Said], width: int) -> list[str]:
    """Lines of at most `width` characters, an empty one above each heading and round a caution."""
    lines: list[str] = []
    for before, one in _with_what_is_before(paragraphs):
        if one.kind != "plain" or before == "caution":
            lines.append("")
        space = "  " * one.indent if one.kind == "plain" else ""
        hanging = space + "  " if one.kind == "plain" else space
        wrapped = textwrap.wrap(one.text, width, initial_indent=space, subsequent_indent=hanging)
        lines += [line.replace(NO_BREAK, " ") for line in wrapped]
    return lines


def _with_what_is_before(paragraphs: Iterable[Said]) -> Iterable[tuple[str, Said]]:
    before = ""
    for one in paragraphs:
        yield before, one
        before = one.kind
