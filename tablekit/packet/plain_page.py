"""Plain text within a width: headings, paragraphs, and rows of label, value and remark."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from tablekit.engine.wording import NO_BREAK, WITHIN_A_MEASURE, WITHIN_A_SIZE

NARROWEST, WIDEST = 48, 100
Row = tuple[str, str, str]  # label, value, remark


def _wrapped(text: str, width: int, **indents: str) -> list[str]:
    """Lines of text, broken neither at a no-break space nor within a size."""
    lines = textwrap.wrap(WITHIN_A_SIZE.sub(NO_BREAK, text), width, **indents)  # type: ignore[arg-type]
    return [line.replace(NO_BREAK, " ") for line in lines]


def whole_measures(text: str) -> str:
    """The text with spaces that do not break between each number and its fraction and unit. A
    narrow column may still break at the × of several sizes."""
    return WITHIN_A_MEASURE.sub(NO_BREAK, text)


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
        self.lines += _wrapped(text, self.width, initial_indent=space, subsequent_indent=space)

    def row(
        self, label: str, value: str, remark: str = "", columns: tuple[int, int] = (23, 40)
    ) -> None:
        """Label, value and a remark that goes on below itself, or below the value if narrow.

        columns  where the value and the remark begin, in characters
        """
        second, third = columns
        start = f"  {label:<{second - 3}} {value:<{third - second - 1}}"
        if not remark:
            self.lines += _wrapped(start.rstrip(), self.width, subsequent_indent=" " * second)
            return
        column = third if self.width >= 76 else 6
        wrapped = _wrapped(remark, self.width - column)
        if column == third and len(start) < column:
            self.lines.append(f"{start:<{third}}{wrapped[0]}")
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
