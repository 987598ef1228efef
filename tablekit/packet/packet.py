"""The shop packet: what is printed and taken to the bench."""

from __future__ import annotations

import json
import multiprocessing
import re
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from tablekit.engine.trouble import DesignError
from tablekit.packet.answer import answer
from tablekit.packet.folder import ended_at_once, write_folder
from tablekit.packet.measuring import measuring
from tablekit.packet.plain_page import PlainPage
from tablekit.packet.summary import summary_text
from tablekit.planning.fixing_plan import outside_rim
from tablekit.planning.said import Said

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from tablekit.design import Design
    from tablekit.packet.pages import Page


BENCH, REASONS, JIGS = "bench", "reasons", "jigs"  # the books, and the names of their files
PAPER_WIDTH = 88  # characters of a fixed-width letter on a sheet of A4
Progress = Callable[[float, str], None]  # hears the share that is done, and what comes next
Told = Callable[[str], None]  # hears what comes next
# The share of the work that is done when the pages are set, when they are a PDF, and when they are
# drawn one by one.
_SET, _SAVED, _DRAWN = 0.4, 0.7, 0.95


def answer_json(design: Design) -> str:
    """The whole answer as JSON, in ASCII so that any terminal and any reader can take it."""
    return json.dumps(answer(design), indent=2, allow_nan=False) + "\n"


def undrawn(design: Design) -> str:
    """Why the packet has no drawings of the base; empty where it has."""
    why = design.not_drawn
    return f"No drawings: {why}. The packet gives the sizes of the base only." if why else ""


def boxed(heard: Sequence[warnings.WarningMessage]) -> str:
    """What was warned of letters that the drawings lack, in a maker's words; empty where nothing
    was. Any other warning goes where it would have gone."""
    lacking: dict[str, None] = {}
    for one in heard:
        if match := re.match(r"Glyph (\d+) .*missing from", str(one.message)):
            lacking[chr(int(match[1]))] = None
        else:
            warnings.showwarning(one.message, one.category, one.filename, one.lineno)
    told = f"The drawing font lacks {', '.join(lacking)}: a box is printed in its place."
    return told if lacking else ""


def write_packet(
    design: Design, folder: Path | str, progress: Progress | None = None
) -> tuple[str, ...]:
    """Write the packet into `folder`, as a whole; returns the names of its files.

    progress  hears now and then which share is done and what is worked on
    Raises FolderError, with nothing changed, when the folder holds anything not written here.
    """
    tell: Progress = progress or (lambda share, what: None)

    def fill(room: Path) -> None:
        _write_all(design, room, tell)
        tell(1.0, "done")

    return write_folder(Path(folder), fill)


def _write_rest(design: Design, room: Path) -> None:
    _write_texts(design, room)
    _write_solids(design, room)


def _write_texts(design: Design, room: Path) -> None:
    text = summary_text(design, PAPER_WIDTH)
    if undrawn(design):
        text += f"\n{undrawn(design)}\n"
    (room / "summary.txt").write_text(text, encoding="utf-8")
    (room / "sheet.json").write_text(answer_json(design), encoding="ascii")
    # newline: a spreadsheet wants the line ends of RFC 4180 as they were written.
    with open(room / "cut-list.csv", "w", encoding="utf-8", newline="") as file:
        file.write(design.cut_list.to_csv(design.sheet.shop_style))
    write_marks(design, room, PAPER_WIDTH)
    write_work(design, room, PAPER_WIDTH)


def _write_solids(design: Design, room: Path) -> None:
    """The parts in place, for any program that reads 3MF (millimetres) or glTF (metres)."""
    from tablekit.solids.export import export

    if not design.not_drawn:
        for form in ("3mf", "glb"):
            export(design.solids, room, form, design.sheet.name)


def _write_all(design: Design, room: Path, tell: Progress) -> None:
    """Both books as PDF and page by page as SVG, the texts, and last the page for the phone, which
    is made of both books. The reasons take as long as all else, and are written beside it."""
    # Imported here: drawing takes a while to load, which a summary need not wait for; and the
    # letters before all else, so that not both processes load them.
    import matplotlib.ft2font  # noqa: F401

    from tablekit.packet.books import bench_book
    from tablekit.packet.pages import PAPERS, lay_out_pages
    from tablekit.packet.web import framed, opened_html

    (room / "pages").mkdir()
    _work_out(design)
    tell(0.0, "the reasons")  # before all else, where there is no second process
    with beside(partial(_write_reasons, design, room)) as reasons:
        book = bench_book(design)
        told = _Counted(tell, 0.0, _SET, len(book.sections))
        paper = PAPERS[design.paper]
        pages = lay_out_pages(book, paper, lambda title: told(title.lower()))
        _write_pdf(BENCH, pages, design, room, _Counted(tell, _SET, _SAVED, len(pages)))
        _write_rest(design, room)
        drawn = _write_svgs(BENCH, pages, room, _Counted(tell, _SAVED, _DRAWN, len(pages)))
        _write_templates(design, room)
        _write_quote(design, room)
        fields, script = measuring(design)
        body = opened_html(book, drawn) + fields + _write_jigs(design, room)
        tell(_DRAWN, "the reasons")
    page = framed(book, body + (reasons.made or ""), script)
    (room / "packet.html").write_text(page, encoding="utf-8")


def _work_out(design: Design) -> None:
    """What both books tell, so that neither process works it out for itself."""
    _ = design.checks, design.notes, design.order, design.tipping, design.wheelchair


@dataclass
class _Counted:
    """Reports how much is done of a part of the work that has this number of steps."""

    tell: Progress
    start: float
    end: float
    count: int
    done: int = 0

    def __call__(self, what: str) -> None:
        self.tell(self.start + (self.end - self.start) * self.done / self.count, what)
        self.done += 1


def _write_reasons(design: Design, room: Path) -> str:
    """The book of reasons; gives it back as a part of the page for the phone."""
    from tablekit.packet.books import reasons_book
    from tablekit.packet.pages import PAPERS, lay_out_pages
    from tablekit.packet.web import folded_html

    book = reasons_book(design)
    pages = lay_out_pages(book, PAPERS[design.paper])
    _write_pdf(REASONS, pages, design, room)
    return folded_html("Reasons", book, _write_svgs(REASONS, pages, room))


def _write_jigs(design: Design, room: Path) -> str:
    """The book of jigs, where any are asked for; gives it back as a part of the page for the
    phone."""
    from tablekit.packet.jig_pages import jigs_book
    from tablekit.packet.pages import PAPERS, lay_out_pages
    from tablekit.packet.web import folded_html

    book = jigs_book(design)
    if book is None:
        return ""
    pages = lay_out_pages(book, PAPERS[design.paper])
    _write_pdf(JIGS, pages, design, room)
    return folded_html("Jigs", book, _write_svgs(JIGS, pages, room))


def _silently(what: str) -> None:
    """Hears of progress and tells nobody."""


def _write_pdf(
    name: str, pages: Sequence[Page], design: Design, room: Path, tell: Told = _silently
) -> None:
    from tablekit.packet.pages import save_book

    def one_by_one() -> Iterator[Page]:
        for number, page in enumerate(pages, start=1):
            tell(f"page {number} as PDF")
            yield page

    save_book(one_by_one(), room / f"{name}.pdf", f"{design.sheet.name}: {name}")


def _write_svgs(
    name: str, pages: Sequence[Page], room: Path, tell: Told = _silently
) -> dict[str, list[bytes]]:
    """Every page of a book; what was written of each drawing, by its name."""
    from tablekit.drawing.svg import svg_bytes
    from tablekit.packet.pages import save_pages

    drawn: dict[str, list[bytes]] = {}
    written = save_pages(pages, room / "pages", name)
    for number, (page, (_, svg)) in enumerate(zip(pages, written, strict=True), start=1):
        tell(f"page {number} as SVG")
        if not page.plates:
            drawn.setdefault(page.name, []).append(svg)
        for drawing, sheet in page.plates:
            drawn.setdefault(drawing, []).append(svg_bytes(sheet))
    return drawn


def _write_quote(design: Design, room: Path) -> None:
    """The page for a customer, where the brief asks for a price."""
    from tablekit.packet.customer import quote_book
    from tablekit.packet.pages import PAPERS, lay_out_pages

    if design.quote is not None:
        pages = lay_out_pages(quote_book(design), PAPERS[design.paper])
        _write_pdf("quote", pages, design, room)


def _write_templates(design: Design, room: Path) -> None:
    """The faces of the posts at full size, for either paper."""
    from tablekit.drawing.templates import PAPERS, save_pdf
    from tablekit.packet.bench import can_be_marked

    if can_be_marked(design):
        for name, paper in PAPERS.items():
            save_pdf(design.sheet, room / f"templates-{name}.pdf", paper, design.post_work.marks)


# -- the posts in words ----------------------------------------------------------------------------

MARKS = "post-marks.txt"


def write_marks(design: Design, room: Path, width: int) -> None:
    """Write `post-marks.txt` into `room`, lines of `width` characters; nothing for a piece without
    crossed posts. Where such posts cannot be marked out, it says why."""
    from tablekit.planning.post_text import marking_text

    if not design.on_posts:
        return
    try:
        text = marking_text(design.sheet, width, design.tools, work=design.post_work)
    except DesignError as reason:
        text = f"The posts of {design.sheet.name} cannot be marked out: {reason}\n"
    (room / MARKS).write_text(text, encoding="utf-8")


# -- the work on the top in words ------------------------------------------------------------------

WORK = "top-work.txt"
FASTENING = "Fastening the top"


def write_work(design: Design, room: Path, width: int = 88) -> None:
    """Write the steps of the work on the top as `top-work.txt`, lines of `width` characters."""
    (room / WORK).write_text(work_text(design, width), encoding="utf-8")


def work_text(design: Design, width: int) -> str:
    """Cutting the round, fastening and finishing, in words. Ends in a line end."""
    page = PlainPage(width)
    page.paragraph(f"{design.sheet.name}: working the top")
    for heading, said in _work(design):
        page.heading(heading)
        for one in said:
            page.paragraph(one.text, indent=2 * one.indent)
    return "\n".join(page.lines) + "\n"


def _work(design: Design) -> Iterator[tuple[str, tuple[Said, ...]]]:
    for heading, plan in (
        ("Routing the top round", design.trammel),
        ("Shaping the edge", design.edge),
        (FASTENING, design.fixing),
        ("Finishing", design.surface),
    ):
        if plan is not None:
            yield heading, plan.said()
        elif heading == FASTENING and outside_rim(design.sheet):
            yield heading, (Said(outside_rim(design.sheet)),)


# -- one thing while another is done ---------------------------------------------------------------

Made = TypeVar("Made")


@dataclass
class Work(Generic[Made]):
    """What is done beside something else. `made` is what it gave, once both are done."""

    made: Made | None = None


@contextmanager
def beside(work: Callable[[], Made]) -> Iterator[Work[Made]]:
    """Runs `work` beside what stands within, in a copy of this process; before it where a process
    cannot be copied, or has threads that a copy would lack, as in a notebook.

    `work` may write files, give back something that can be sent from one process to another, and
    warn: what it warns of is heard here. Raises OSError when it comes to grief in its copy.
    """
    done: Work[Made] = Work()
    can_copy = "fork" in multiprocessing.get_all_start_methods()
    if not can_copy or threading.active_count() > 1:
        done.made = work()
        yield done
        return
    context = multiprocessing.get_context("fork")
    hear, say = context.Pipe(duplex=False)
    copy = context.Process(target=_quietly, args=(work, say), daemon=True)
    copy.start()
    say.close()  # so that a copy that is killed is not waited for
    try:
        yield done
        try:
            grief, made, heard = hear.recv()
        except EOFError:  # killed before it could say anything
            copy.join()
            grief, made, heard = f"exit code {copy.exitcode}", None, []
    except BaseException:
        copy.terminate()
        copy.join()
        raise
    copy.join()
    for one in heard:
        warnings.warn_explicit(*one)
    if grief:
        raise OSError(f"writing stopped half way: {grief}")
    done.made = made


def _quietly(work: Callable[[], Any], say: Connection) -> None:
    """Does it and sends what it made; on grief why, in words and not by a traceback."""
    ended_at_once()
    grief, made = "", None
    with warnings.catch_warnings(record=True) as heard:
        try:
            made = work()
        except Exception as reason:
            grief = str(getattr(reason, "strerror", None) or reason) or type(reason).__name__
    say.send((grief, made, [(str(w.message), w.category, w.filename, w.lineno) for w in heard]))
