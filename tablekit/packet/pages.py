"""A document as sheets of paper: one PDF, and each page as SVG."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, InkedSheet, Label
from tablekit.drawing.pdf import write_pdf
from tablekit.drawing.style import Paper
from tablekit.drawing.svg import svg_bytes
from tablekit.packet.document import Document, Drawing, Part, Plate, Section, Subheading
from tablekit.packet.plates import Block, Drawn, across, better_whole, heading_room, place
from tablekit.packet.typeset import FOOT, SIZE, SMALL, Setter, wrapped

A4 = Paper(210.0, 297.0, margin=15.0)
LETTER = Paper(215.9, 279.4, margin=15.0)
PAPERS = {"A4": A4, "Letter": LETTER}
TEXT = "text"
TITLE = 22.0
ROUND = 1.5  # round a drawing that is shown apart from its sheet
ABOVE = 6.0  # from the upper edge of a drawing's sheet to its page number
FEW = 0.15  # of the height of a sheet, for lines that are not worth one of their own
CLOSER = 3.0  # mm by which margins are narrower to save such a sheet
Told = Callable[[str], None]  # hears what is being worked on


@dataclass(frozen=True)
class Page:
    """One finished page. `name` is that of the drawings on it, or "text".

    plates  drawings set among text, each on a sheet of its own, by their names
    """

    sheet: InkedSheet
    name: str
    plates: tuple[tuple[str, InkedSheet], ...] = ()


@dataclass(frozen=True)
class _Sheet:
    """A sheet of text that is full, with the plates on it."""

    ink: Ink
    paper: Paper
    plates: tuple[tuple[str, Drawn], ...] = ()


def lay_out_pages(document: Document, paper: Paper = A4, tell: Told | None = None) -> list[Page]:
    """Every page of the document, numbered, in order. Where a few lines alone would be left for the
    last one, margins are a little narrower if that saves it.

    tell  hears the title of each section before it is set
    Raises whatever a drawing raises.
    """
    pages = _laid_out(document, paper, tell)
    if len(pages) > 1 and _nearly_empty(pages[-1]):
        closer = _laid_out(document, replace(paper, margin=paper.margin - CLOSER))
        pages = closer if len(closer) < len(pages) else pages
    count = len(pages)
    return [_numbered(page, document, k, count) for k, page in enumerate(pages, start=1)]


def _nearly_empty(page: Page | _Sheet) -> bool:
    if isinstance(page, Page) or page.plates:
        return False
    box, paper = page.ink.box(), page.paper
    return paper.height - paper.margin - box.low < FEW * paper.height


def _laid_out(document: Document, paper: Paper, tell: Told | None = None) -> list[Page | _Sheet]:
    book = _Book(Setter(paper))
    _title(book.setter, document)
    blocks: list[Block] = [
        block for section in document.sections for block in (section, *section.parts)
    ]
    while blocks:
        block, *blocks = blocks
        if isinstance(block, Section):
            if tell:
                tell(block.title)
            book.begin(block, blocks)
        else:
            blocks = book.add(block, blocks)
    return book.closed()


@dataclass
class _Book:
    """Sheets in the making. A drawing on a page of its own follows the sheet of text on which it
    is called for, so that text runs on and no sheet is left half empty for its sake.

    heading  of a section, kept until the plate that it stands over is set
    plates   on the sheet that is being filled
    """

    setter: Setter
    pages: list[Page | _Sheet] = field(default_factory=list)
    waiting: list[Page | _Sheet] = field(default_factory=list)
    heading: Section | None = None
    plates: list[tuple[str, Drawn]] = field(default_factory=list)

    def begin(self, section: Section, blocks: Sequence[Block]) -> None:
        """Begin a section. Drawings alone need no heading: each has its own title."""
        if section.below_title or all(isinstance(part, Drawing) for part in section.parts):
            return
        if isinstance(section.parts[0], Plate):
            self.heading = section
            if section.fresh and not self.setter.fresh:
                self.setter.turn()
                self.turn_over()
            return
        if section.whole and better_whole(self.setter, section, blocks):
            self.setter.turn()
        self.setter.keep(heading_room(self.setter, section))
        self.setter.heading(section)
        self.turn_over()

    def add(self, part: Part, after: list[Block]) -> list[Block]:
        """Set a part; gives what is still to be set."""
        if isinstance(part, Drawing):
            sheets = part.sheets(self.setter.paper)
            self.waiting += [Page(sheet, part.name) for sheet in sheets]
            return after
        if isinstance(part, Plate):
            return self._plate(part, after)
        if isinstance(part, Subheading):
            self.setter.keep(self.setter.beginning([part, *after]))
        self.setter.put(part)
        self.turn_over()
        return after

    def _plate(self, plate: Plate, after: list[Block]) -> list[Block]:
        heading, self.heading = self.heading, None
        if plate.text == "across":
            ink, sheet, drawn, placed = across(self.setter.paper, plate, heading)
            own = ((plate.name, drawn),) if drawn else ()
            self.waiting.append(_Sheet(ink, sheet, own))
            return [*plate.parts[placed:], *after]
        drawn, text = place(self.setter, plate, heading, after)
        self.turn_over()  # the sheet before it, where it has gone on to another
        if drawn is not None:
            self.plates.append((plate.name, drawn))
        return [*text, *after]

    def turn_over(self) -> None:
        """Hand over the sheets that are full, and after the first of them what waits for it."""
        *full, last = self.setter.sheets
        for ink in full:
            self.pages += [self._sheet(ink), *self.waiting]
            self.waiting = []
        self.setter.sheets = [last]

    def _sheet(self, ink: Ink) -> _Sheet:
        plates, self.plates = tuple(self.plates), []
        return _Sheet(ink, self.setter.paper, plates)

    def closed(self) -> list[Page | _Sheet]:
        """All pages, the last sheet and what waits for it too."""
        return [*self.pages, *map(self._sheet, self.setter.sheets), *self.waiting]


def room_below_title(name: str, what: str, paper: Paper) -> float:
    """How much of the first sheet of a document is left below its title."""
    setter = Setter(paper)
    setter.turn()
    _title(setter, Document(name, what, ()))
    return setter.level - setter.floor


def _title(setter: Setter, document: Document) -> None:
    for text in wrapped(document.name or "Untitled", setter.width, TITLE, True):
        setter.line(text, setter.left, TITLE, bold=True)
        setter.drop(9.5)
    for text in wrapped(document.what, setter.width):
        setter.line(text, setter.left, SIZE, colour=style.FAINT)
        setter.drop(5.0)
    setter.drop(3.0)


def _numbered(page: Page | _Sheet, document: Document, number: int, count: int) -> Page:
    said = f"{number} / {count}"
    if isinstance(page, Page):
        return replace(page, sheet=_numbered_drawing(page.sheet, said))
    ink, paper = page.ink, page.paper
    low = paper.margin + 2.0
    left, right = paper.margin, paper.width - paper.margin
    ink.line("thin", (left, low + FOOT - 4.0), (right, low + FOOT - 4.0))
    room = right - left - style.text_width(said, SMALL) - 6.0
    name = style.fitted(document.name or "Untitled", room, SMALL)
    ink.labels.append(Label(name, left, low, "left", size=SMALL, colour=style.FAINT))
    ink.labels.append(Label(said, right, low, "right", size=SMALL))
    plates = tuple((name, _alone(one)) for name, one in page.plates)
    return Page(InkedSheet(ink, paper), "-".join(name for name, _ in plates) or TEXT, plates)


def _alone(drawn: Drawn) -> InkedSheet:
    """A plate's drawing on a sheet of its size, with room round it for lines at its edge."""
    sheet = Paper(drawn.width + 2 * ROUND, drawn.height + 2 * ROUND)
    return InkedSheet(drawn.ink.moved(ROUND, ROUND), sheet)


def _numbered_drawing(sheet: InkedSheet, said: str) -> InkedSheet:
    right, middle = sheet.paper.width - 10.0, sheet.paper.height - ABOVE
    base = middle - (style.CAP - style.TAIL) * SMALL * style.MM_PER_POINT / 2
    number = Label(said, right, base, "right", size=SMALL)
    return replace(sheet, ink=replace(sheet.ink, labels=[*sheet.ink.labels, number]))


def save_book(pages: Iterable[Page], path: Path, title: str) -> None:
    """All pages in one PDF, the same bytes each time."""
    write_pdf(path, (page.sheet for page in pages), title)


def save_pages(
    pages: Sequence[Page], room: Path, stem: str = "page"
) -> Iterator[tuple[str, bytes]]:
    """Each page as page-01.svg, page-02.svg, … in `room`; gives their names and what was written,
    one by one. A drawing's name goes with its number.

    stem  of the names, "page" where it is left out
    """
    digits = max(2, len(str(len(pages))))
    for number, page in enumerate(pages, start=1):
        what = "" if page.name == TEXT else f"-{page.name}"
        name = f"{stem}-{number:0{digits}d}{what}.svg"
        written = svg_bytes(page.sheet, letters=page.name == TEXT)
        (room / name).write_bytes(written)
        yield name, written
