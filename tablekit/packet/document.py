"""What a packet says, before it becomes pages of paper or a page for the phone.

A document is sections of parts: text, steps, tables and drawings. It knows nothing of paper but the
sizes that its drawings are made for; `pages.py` and `web.py` set it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tablekit.drawing.ink import Ink, InkedSheet
from tablekit.drawing.style import Paper

if TYPE_CHECKING:
    from tablekit.drawing.general import Layout
    from tablekit.planning.said import Said

Tone = Literal["plain", "caution", "faint", "lead"]
EDGE = 10.0  # kept clear round a drawing on a page of its own, mm


@dataclass(frozen=True)
class Text:
    """A paragraph. A caution is set apart so that it is not read over; a lead is faint and stays
    with what follows it. A close one has next to no gap below it: one of a list."""

    text: str
    tone: Tone = "plain"
    close: bool = False


@dataclass(frozen=True)
class Subheading:
    """A heading within a section."""

    text: str


@dataclass(frozen=True)
class Steps:
    """Numbered steps, each a paragraph; with `boxes` each has a box to tick when it is done."""

    items: tuple[str, ...]
    boxes: bool = False


@dataclass(frozen=True)
class Formula:
    """Lines of one calculation: (left side or "", right side), set with the = signs in a row."""

    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """Rows under a head. Every row has as many cells as the head.

    caption  what the table shows, for those who hear it read; also set above it
    right    columns of figures, set to the right
    lead     share of the room that the first column takes at the most
    close    whether its rows are set close together
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    lead: float = 1.0
    close: bool = False

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.head):
                raise ValueError(
                    f"a row of {len(row)} cells in the table {self.caption!r}, whose head has "
                    f"{len(self.head)}: {row}"
                )


@dataclass(frozen=True)
class Inset:
    """A drawing among the text, as high as said (mm on the paper).

    alt      what it shows, in words
    lay_out  its ink on a paper of the width that there is and this height
    """

    alt: str
    lay_out: Callable[[Paper], Ink]
    height: float


@dataclass(frozen=True)
class TableWithInset:
    """A table with a drawing to its right, as wide as said (mm on the paper)."""

    table: Table
    inset: Inset
    width: float


@dataclass(frozen=True)
class Drawing:
    """Drawings on pages of their own.

    alt     what they show, in words
    sheets  for a book on this paper, which may be turned; drawn when they are wanted
    name    of the files, without ending
    """

    alt: str
    sheets: Callable[[Paper], Iterator[InkedSheet]]
    name: str


@dataclass(frozen=True)
class Plate:
    """A drawing and the text that speaks of it, `parts`, on one sheet.

    alt      what it shows, in words
    name     of the files, without ending
    lay_out  the drawing on a paper; raises ValueError where that is too small
    title    a heading above it
    least    height below which it is not drawn where a sheet of its own gives it more, mm
    most     height beyond which it gains nothing, however much of the sheet is free, mm
    text     where its text stands: below it, to its right, or to its right on a turned sheet of
             their own
    """

    alt: str
    name: str
    lay_out: Callable[[Paper], Layout]
    parts: tuple[Text | Subheading | Steps | Formula | Table, ...] = ()
    least: float = 120.0
    title: str = ""
    text: Literal["below", "beside", "across"] = "below"
    most: float = math.inf


@dataclass(frozen=True)
class WritingRoom:
    """Room to write by hand, ruled, kept on one sheet with what it is for.

    height  of the ruled room, mm on the paper
    parts   what stands above it and goes with it, no drawings on pages of their own
    label   before the last line, such as "Answer"
    """

    height: float
    parts: tuple[Text | Subheading | Steps | Formula | Table | Inset, ...] = ()
    label: str = ""


Part = (
    Text
    | Subheading
    | Steps
    | Formula
    | Table
    | Inset
    | TableWithInset
    | Drawing
    | Plate
    | WritingRoom
)


@dataclass(frozen=True)
class Section:
    """Part of a document with a heading. `fresh` starts it on a new page, `whole` where it would
    else be divided and no page is lost by it; `below_title` leaves its heading out on paper, where
    it follows the title of the document."""

    title: str
    parts: tuple[Part, ...]
    fresh: bool = False
    whole: bool = False
    below_title: bool = False


@dataclass(frozen=True)
class Document:
    """A whole packet.

    name   of the piece
    what   the line below it: kind, base, units
    """

    name: str
    what: str
    sections: tuple[Section, ...]


def turned(paper: Paper) -> Paper:
    """The same sheet, its other side up."""
    arrangement = "beside" if paper.height > paper.width else "stacked"
    return Paper(paper.height, paper.width, paper.margin, arrangement)


def drawing_of(
    alt: str, name: str, lay_out: Callable[[Paper], Ink], across: bool = False
) -> Drawing:
    """A drawing of one page: upright or `across`, on the other where that has no room for it, on
    none where neither has. `lay_out` raises ValueError for such a sheet."""

    def sheets(book: Paper) -> Iterator[InkedSheet]:
        upright = Paper(book.width, book.height, EDGE)
        papers = (upright, turned(upright))
        for paper in reversed(papers) if across else papers:
            try:
                yield InkedSheet(lay_out(paper), paper)
                return
            except ValueError:
                continue

    return Drawing(alt, sheets, name)


def told(paragraphs: Iterable[Said], close: bool = True) -> Iterator[Text | Subheading]:
    """What a plan says, as parts of a page."""
    for one in paragraphs:
        if one.kind == "heading":
            yield Subheading(one.line)
        else:
            yield Text(one.line, one.kind, close)
