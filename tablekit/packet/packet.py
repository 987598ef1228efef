"""The shop packet: what is printed and taken to the bench."""

from __future__ import annotations

import json
import re
import warnings
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.packet.answer import answer
from tablekit.packet.beside import beside
from tablekit.packet.folder import write_folder
from tablekit.packet.job import Job
from tablekit.packet.post_files import write_marks
from tablekit.packet.summary import summary_text
from tablekit.packet.top_work import write_work

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet
    from tablekit.packet.document import Document
    from tablekit.packet.pages import Page

BENCH, REASONS = "bench", "reasons"  # the two books, and the names of their files
PAPER_WIDTH = 88  # characters of a fixed-width letter on a sheet of A4
Progress = Callable[[float, str], None]  # hears the share that is done, and what comes next
# The share of the work that is done when the pages are set, and again when all but they is written.
_SET, _BESIDE = 0.6, 0.7


def answer_json(sheet: Sheet, brief: Brief) -> str:
    """The whole answer as JSON, in ASCII so that any terminal and any reader can take it."""
    return json.dumps(answer(sheet, brief), indent=2, allow_nan=False) + "\n"


def undrawn(sheet: Sheet) -> str:
    """Why the packet has no drawings of the base; empty where it has."""
    style = sheet.network.options.get("style", "")
    told = f"No drawings of {style} yet: the packet gives the sizes of the base only."
    return told if style else ""


def boxed(heard: Sequence[warnings.WarningMessage]) -> str:
    """What matplotlib warned of letters that the drawings lack, in a maker's words; empty where it
    did not. Any other warning goes where it would have gone."""
    lacking: dict[str, None] = {}
    for one in heard:
        if match := re.match(r"Glyph (\d+) .*missing from", str(one.message)):
            lacking[chr(int(match[1]))] = None
        else:
            warnings.showwarning(one.message, one.category, one.filename, one.lineno)
    told = f"The drawing font lacks {', '.join(lacking)}: a box is printed in its place."
    return told if lacking else ""


def write_packet(
    sheet: Sheet, brief: Brief, folder: Path | str, progress: Progress | None = None
) -> tuple[str, ...]:
    """Write the packet into `folder`, as a whole; returns the names of its files.

    progress  hears now and then which share is done and what is worked on
    Raises FolderError, with nothing changed, when the folder holds anything not written here.
    """
    tell: Progress = progress or (lambda share, what: None)

    def fill(room: Path) -> None:
        _write_all(Job(brief, sheet), room, tell)
        tell(1.0, "done")

    return write_folder(Path(folder), fill)


def _write_rest(job: Job, room: Path) -> None:
    _write_texts(job, room)
    _write_solids(job, room)


def _write_texts(job: Job, room: Path) -> None:
    sheet, brief = job.sheet, job.brief
    text = summary_text(sheet, brief, PAPER_WIDTH)
    if undrawn(sheet):
        text += f"\n{undrawn(sheet)}\n"
    (room / "summary.txt").write_text(text, encoding="utf-8")
    (room / "sheet.json").write_text(answer_json(sheet, brief), encoding="ascii")
    # newline: a spreadsheet wants the line ends of RFC 4180 as they were written.
    with open(room / "cut-list.csv", "w", encoding="utf-8", newline="") as file:
        file.write(job.cut_list.to_csv(job.sheet.shop_style))
    write_marks(job, room, PAPER_WIDTH)
    write_work(sheet, brief, room, PAPER_WIDTH)


def _write_solids(job: Job, room: Path) -> None:
    """The parts in place, for any program that reads 3MF (millimetres) or glTF (metres)."""
    from tablekit.solids.export import export

    if job.on_posts:
        for form in ("3mf", "glb"):
            export(job.sheet, room, form, job.sheet.name)


def _write_all(job: Job, room: Path, tell: Progress) -> None:
    """Both books as PDF, and beside them, which takes as long: page by page as SVG, as one page
    for the phone, and all that has no pages."""
    # Imported here: drawing takes a second to load, which a summary need not wait for.
    from tablekit.packet.books import bench_book, reasons_book
    from tablekit.packet.pages import PAPERS, lay_out_pages

    books = {BENCH: bench_book(job), REASONS: reasons_book(job)}
    count, done = sum(len(book.sections) for book in books.values()), 0

    def told(title: str) -> None:
        nonlocal done
        tell(_SET * done / count, title.lower())
        done += 1

    paper = PAPERS[job.paper]
    pages = {name: lay_out_pages(book, paper, told) for name, book in books.items()}
    tell(_SET, "the books as PDF")
    with beside(partial(_write_books, job, pages, room)):
        tell(_SET, "texts")
        _write_rest(job, room)
        drawn = _write_svgs(pages, room, tell)
        _write_phone(books, drawn, room)
        _write_templates(job, room)


def _write_books(job: Job, pages: Mapping[str, Sequence[Page]], room: Path) -> None:
    from tablekit.packet.pages import save_book

    for name, own in pages.items():
        save_book(own, room / f"{name}.pdf", f"{job.sheet.name}: {name}")


def _write_svgs(
    pages: Mapping[str, Sequence[Page]], room: Path, tell: Progress
) -> dict[str, list[bytes]]:
    """Every page of both books; what was written of each drawing, by its name."""
    from tablekit.packet.pages import save_pages
    from tablekit.packet.web import svg_bytes

    (room / "pages").mkdir()
    drawn: dict[str, list[bytes]] = {}
    count, number = sum(map(len, pages.values())), 0
    for name, own in pages.items():
        for page, (_, svg) in zip(own, save_pages(own, room / "pages", name), strict=True):
            number += 1
            tell(_BESIDE + (1.0 - _BESIDE) * number / count, f"page {number} as SVG")
            if not page.plates:
                drawn.setdefault(page.name, []).append(svg)
            for drawing, figure in page.plates:
                drawn.setdefault(drawing, []).append(svg_bytes(figure))
    return drawn


def _write_phone(
    books: Mapping[str, Document], drawn: Mapping[str, list[bytes]], room: Path
) -> None:
    from tablekit.packet.web import web_page

    page = web_page(books[BENCH], drawn, folded=books[REASONS])
    (room / "packet.html").write_text(page, encoding="utf-8")


def _write_templates(job: Job, room: Path) -> None:
    """The faces of the posts at full size, for either paper."""
    from tablekit.drawing.templates import PAPERS, save_pdf
    from tablekit.packet.bench import can_be_marked

    if can_be_marked(job):
        for name, paper in PAPERS.items():
            save_pdf(job.sheet, room / f"templates-{name}.pdf", paper)
