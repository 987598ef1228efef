"""Plain text within a width: headings, paragraphs, and rows of label, value and remark."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

NARROWEST, WIDEST = 48, 100
NO_BREAK = "\u00a0"
Row = tuple[str, str, str]  # label, value, remark


def words(name: str) -> str:
    """The name of a quantity as it is read."""
    return name.replace("_", " ")


class PlainPage:
    """Lines of text within a width, kept between `NARROWEST` and `WIDEST`."""

    def __init__(self, width: int):
        self.width = max(NARROWEST, min(width, WIDEST))
        self.lines: list[str] = []

    def title(self, name: str, below: str) -> None:
        """The first lines."""
        self.lines += textwrap.wrap(name, self.width) or [""]
        self.paragraph(below)

    def gap(self) -> None:
        """An empty line."""
        self.lines.append("")

    def heading(self, text: str) -> None:
        """A heading, with an empty line above it."""
        self.lines += ["", text]

    def paragraph(self, text: str, indent: int = 0) -> None:
        """A paragraph, indented as a whole; never broken at a no-break space."""
        space = " " * indent
        wrapped = textwrap.wrap(text, self.width, initial_indent=space, subsequent_indent=space)
        self.lines += [line.replace(NO_BREAK, " ") for line in wrapped]

    def row(self, label: str, value: str, remark: str = "") -> None:
        """Label, value and a remark that goes on below itself, or below the value if narrow."""
        start = f"  {label:<20} {value:<16}"
        if not remark:
            self.lines += textwrap.wrap(
                start.rstrip(), self.width, subsequent_indent=" " * 23, drop_whitespace=True
            )
            return
        column = 40 if self.width >= 76 else 6
        wrapped = textwrap.wrap(remark, self.width - column)
        if column == 40 and len(start) < column:
            self.lines.append(f"{start:<40}{wrapped[0]}")
            wrapped = wrapped[1:]
        else:
            self.lines.append(start.rstrip())
        self.lines += [" " * column + line for line in wrapped]

    def pairs(self, rows: Sequence[tuple[str, str]]) -> None:
        """Labels and values alone, side by side where there is room for two of them."""
        across = 2 if self.width >= 76 else 1
        down = -(-len(rows) // across)
        texts = [f"{label:<22} {value:<13}" for label, value in rows]
        for line in range(down):
            both = texts[line::down]
            self.lines.append("  " + "  ".join(both).rstrip())
