"""Setting text, tables and small drawings on sheets of paper.

Letters, lines and tones are those of the drawings (`tablekit.drawing.style`), a little larger, to
be read at arm's length. Lengths are millimetres on the paper, letters in points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import singledispatchmethod

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label
from tablekit.drawing.style import Paper
from tablekit.drawing.wrapping import wrapped as lines_within
from tablekit.packet.document import (
    Formula,
    Inset,
    Section,
    Steps,
    Subheading,
    Table,
    TableWithInset,
    Text,
    WritingRoom,
)

SIZE, SMALL = 10.0, 9.0  # of the text, and of tables
HEAD, SUB = 15.0, 11.0
LINE, TIGHT = 5.0, 4.4  # from one base line to the next
PARAGRAPH, NEXT = 2.2, 0.7  # more between paragraphs, and between the lines of a list
COLUMN_GAP = 4.0
Cell = tuple[float, float]
# Above and below the text of a row, and of one in a close table.
CELL, CLOSE = (1.6, 1.6), (1.05, 0.35)
FOOT = 8.0  # kept for the line at the foot
BAR = 1.2  # beside a caution
INDENT = 7.0
NARROWEST_COLUMN = 14.0
FEW = 0.25  # of the height of a sheet: with no more on it, it is nearly empty
HAIR = 1e-6  # mm: what fits exactly has room
RULING = 8.5  # from one line to write on to the next


@dataclass
class Setter:
    """Fills one sheet after another. `sheets` are those begun so far."""

    paper: Paper
    sheets: list[Ink] = field(default_factory=list)
    level: float = 0.0  # the upper edge of what is still free

    @property
    def left(self) -> float:
        """Where text begins."""
        return self.paper.margin

    @property
    def width(self) -> float:
        """Room for text across the paper."""
        return self.paper.width - 2 * self.paper.margin

    @property
    def floor(self) -> float:
        """Below this nothing is set but the foot."""
        return self.paper.margin + FOOT

    @property
    def ink(self) -> Ink:
        """The sheet that is being filled."""
        if not self.sheets:
            self.turn()
        return self.sheets[-1]

    @property
    def fresh(self) -> bool:
        """Whether nothing stands on the sheet yet."""
        return not self.sheets or self.level >= self.paper.height - self.paper.margin

    @property
    def nearly_empty(self) -> bool:
        """Whether only a few lines stand on the sheet."""
        used = self.paper.height - self.paper.margin - self.level
        return not self.fresh and used < FEW * self.paper.height

    def turn(self) -> None:
        """Begin a new sheet."""
        self.sheets.append(Ink())
        self.level = self.paper.height - self.paper.margin

    def keep(self, height: float) -> None:
        """Turn over unless so much is free on this sheet."""
        if not self.sheets or (self.level - height < self.floor - HAIR and not self.fresh):
            self.turn()

    def line(
        self, text: str, x: float, size: float = SIZE, anchor: str = "left", bold: bool = False,
        colour: str = style.INK,
    ) -> None:  # fmt: skip
        """One line with its capitals' tops at the level; the level stays."""
        ink = self.ink  # begins the first sheet
        base = self.level - style.CAP * size * style.MM_PER_POINT
        ink.labels.append(Label(text, x, base, anchor, size=size, bold=bold, colour=colour))

    def drop(self, by: float) -> None:
        """Go down the sheet."""
        self.level -= by

    def heading(self, section: Section) -> None:
        """A section's heading, kept together with what follows it."""
        if section.fresh and not self.fresh:
            self.turn()
        self.keep(max(40.0, 18.0 + self.beginning(section.parts)))
        if not self.fresh:
            self.drop(6.0)
        self.line(style.fitted(section.title, self.width, HEAD, True), self.left, HEAD, bold=True)
        self.drop(7.4)
        self.ink.line("visible", (self.left, self.level), (self.left + self.width, self.level))
        self.drop(4.5)

    def beginning(self, parts: Sequence[object]) -> float:
        """How much of a sheet the beginning of some parts takes, from which a heading above them
        is not parted."""
        first = parts[0] if parts else None
        if isinstance(first, Subheading):
            return 9.0 + self.beginning(parts[1:])
        if isinstance(first, Table):
            return self._first_rows(first, self.width)
        if isinstance(first, Inset):
            return first.height
        return first.inset.height if isinstance(first, TableWithInset) else 3 * LINE

    def _first_rows(self, part: Table, room: float) -> float:
        """The height of a table's caption, head and first two rows, or three of three."""
        first = part.rows if len(part.rows) <= 3 else part.rows[:2]
        cell, widths = CLOSE if part.close else CELL, column_widths(part, room)
        rows = [_cells(part.head, widths, bold=True), *(_cells(r, widths) for r in first)]
        caption = wrapped(part.caption, room, SMALL)
        return len(caption) * TIGHT + 2.0 + sum(_height(row, cell) for row in rows)

    @singledispatchmethod
    def put(self, part: object) -> None:
        """Set one part of a section."""
        raise TypeError(f"nothing is known of setting a {type(part).__name__}")

    @put.register
    def _(self, part: Subheading) -> None:
        self.keep(20.0)
        if not self.fresh:
            self.drop(2.5)
        for text in wrapped(part.text, self.width, SUB, True):
            self.line(text, self.left, SUB, bold=True)
            self.drop(LINE)
        self.drop(1.4)

    @put.register
    def _(self, part: Text) -> None:
        shift = INDENT / 2 if part.tone == "caution" else 0.0
        colour = style.FAINT if part.tone in ("faint", "lead") else style.INK
        if part.tone == "lead":
            self.keep(5 * LINE)
        lines = wrapped(part.text, self.width - shift)
        for left, text in zip(range(len(lines), 0, -1), lines, strict=True):
            # No first or last line is left on a sheet by itself.
            self.keep((2 if left in (2, len(lines)) and len(lines) > 1 else 1) * LINE)
            if shift:
                at = self.left + BAR / 2
                low, high = self.level - LINE + 0.6, self.level + 0.6
                corners = [
                    (at - BAR / 2, low),
                    (at + BAR / 2, low),
                    (at + BAR / 2, high),
                    (at - BAR / 2, high),
                ]
                self.ink.areas.append((corners, style.INK))
            self.line(text, self.left + shift, colour=colour)
            self.drop(LINE)
        self.drop(NEXT if part.close else PARAGRAPH)

    @put.register
    def _(self, part: Steps) -> None:
        for number, item in enumerate(part.items, start=1):
            lines = wrapped(item, self.width - INDENT - (INDENT if part.boxes else 0.0))
            self.keep(min(3, len(lines)) * LINE)
            x = self.left + INDENT
            if part.boxes:
                self._box(self.left)
                x += INDENT
            self.line(f"{number}", x - 2.0, anchor="right")
            for text in lines:
                self.keep(LINE)
                self.line(text, x)
                self.drop(LINE)
            self.drop(NEXT if part.boxes else PARAGRAPH)

    def _box(self, x: float) -> None:
        side, top = 3.4, self.level + 0.4
        self.ink.line(
            "thin", (x, top), (x + side, top), (x + side, top - side), (x, top - side), (x, top)
        )

    @put.register
    def _(self, part: Formula) -> None:
        sides = max(style.text_width(left) for left, _ in part.lines)
        at = self.left + INDENT + min(sides, self.width / 3)
        self.keep(min(4, len(part.lines)) * LINE)
        for left, right in part.lines:
            for k, text in enumerate(wrapped(right, self.left + self.width - at - 5.0)):
                self.keep(LINE)
                if k == 0:
                    self.line(left, at, anchor="right")
                    self.line("=", at + 1.2)
                self.line(text, at + 5.0)
                self.drop(LINE)
        self.drop(PARAGRAPH)

    @put.register
    def _(self, part: Table) -> None:
        self._table(part, self.width)

    def _table(self, part: Table, room: float) -> None:
        cell = CLOSE if part.close else CELL
        widths = column_widths(part, room)
        rows = [_cells(row, widths) for row in part.rows]
        head = _cells(part.head, widths, bold=True)
        caption = wrapped(part.caption, room, SMALL)
        self.keep(self._first_rows(part, room))
        for text in caption:
            self.line(text, self.left, SMALL, colour=style.FAINT)
            self.drop(TIGHT)
        self.drop(1.0)
        self._row(head, widths, part.right, cell, bold=True)
        for number, row in enumerate(rows):
            # Nor is a last row.
            last = rows[number:] if number == len(rows) - 2 else rows[number : number + 1]
            if self.level - sum(_height(one, cell) for one in last) < self.floor - HAIR:
                self.turn()
                self._row(head, widths, part.right, cell, bold=True)
            self._row(row, widths, part.right, cell)
        self.drop(PARAGRAPH + 2.0)

    def _row(
        self, cells: Sequence[Sequence[str]], widths: Sequence[float], right: frozenset[int],
        cell: Cell, bold: bool = False,
    ) -> None:  # fmt: skip
        top, height = self.level, _height(cells, cell)
        x = self.left
        for column, (lines, width) in enumerate(zip(cells, widths, strict=True)):
            self.level = top - cell[0]
            anchor, at = ("right", x + width) if column in right else ("left", x)
            for text in lines:
                self.line(text, at, SMALL, anchor, bold)
                self.drop(TIGHT)
            x += width + COLUMN_GAP
        self.level = top - height
        pen = "visible" if bold else "thin"
        self.ink.line(pen, (self.left, self.level), (x - COLUMN_GAP, self.level))

    @put.register
    def _(self, part: Inset) -> None:
        self.keep(part.height + PARAGRAPH)
        paper = Paper(self.width, part.height, margin=0.0, to_scale=False, arrangement="beside")
        self.ink.add(part.lay_out(paper).moved(self.left, self.level - part.height))
        self.drop(part.height + PARAGRAPH)

    @put.register
    def _(self, part: TableWithInset) -> None:
        inset = part.inset
        self.keep(inset.height + PARAGRAPH)
        top, right = self.level, self.left + self.width - part.width
        paper = Paper(part.width, inset.height, margin=0.0, to_scale=False, arrangement="beside")
        self.ink.add(inset.lay_out(paper).moved(right, top - inset.height))
        sheets = len(self.sheets)
        self._table(part.table, self.width - part.width - COLUMN_GAP)
        if len(self.sheets) == sheets:  # the table may end higher than the drawing
            self.level = min(self.level, top - inset.height - PARAGRAPH)

    @put.register
    def _(self, part: WritingRoom) -> None:
        # Set on a sheet of its own first, to learn how high it all is.
        trial = Setter(self.paper)
        trial.turn()
        before = trial.level
        trial._with_room(part)
        self.keep(before - trial.level if len(trial.sheets) == 1 else before)
        self._with_room(part)

    def _with_room(self, part: WritingRoom) -> None:
        for one in part.parts:
            self.put(one)
        lines = max(1, round(part.height / RULING))
        for number in range(1, lines + 1):
            self.keep(RULING)
            self.drop(RULING)
            start = self.left
            if number == lines and part.label:
                self.drop(-style.CAP * SIZE * style.MM_PER_POINT)
                self.line(part.label, self.left, bold=True)
                self.drop(style.CAP * SIZE * style.MM_PER_POINT)
                start += style.text_width(part.label, SIZE, True) + 2.0
            self.ink.line("thin", (start, self.level), (self.left + self.width, self.level))
        self.drop(PARAGRAPH + LINE / 2)


def wrapped(text: str, room: float, size: float = SIZE, bold: bool = False) -> list[str]:
    """A text in lines no wider than `room`, as `drawing/wrapping.py` breaks them."""
    return lines_within(text, room, size, bold)


def column_widths(table: Table, room: float) -> list[float]:
    """How wide each column is set: as its text asks where there is room; else narrow columns keep
    what they ask for and the wide ones share the rest alike. They fill the room together."""
    columns = list(zip(table.head, *table.rows, strict=True))
    asked = [max(_line_width(cell, k == 0) for k, cell in enumerate(c)) for c in columns]
    free = room - COLUMN_GAP * (len(columns) - 1)
    asked[0] = min(asked[0], table.lead * room)
    if sum(asked) <= free:
        return [*asked[:-1], free - sum(asked[:-1])]
    widths = dict.fromkeys(range(len(columns)), 0.0)
    left = sorted(widths, key=lambda n: asked[n])
    while left:
        share = max(NARROWEST_COLUMN, (free - sum(widths.values())) / len(left))
        widths[left[0]] = min(asked[left[0]], share)
        left = left[1:]
    over = sum(widths.values()) / free
    return [widths[n] / max(over, 1.0) for n in range(len(columns))]


def _line_width(cell: str, bold: bool) -> float:
    return style.text_width(cell, SMALL, bold) + 0.1


def _cells(row: Sequence[str], widths: Sequence[float], bold: bool = False) -> list[list[str]]:
    return [
        wrapped(cell, width, SMALL, bold) or [""] for cell, width in zip(row, widths, strict=True)
    ]


def _height(cells: Sequence[Sequence[str]], cell: Cell) -> float:
    lines = max(len(lines) for lines in cells)
    return lines * TIGHT + sum(cell) - (TIGHT - SMALL * style.MM_PER_POINT)
