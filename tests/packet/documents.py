"""A document with every kind of part, for the tests of both settings."""

from __future__ import annotations

from tablekit.design import Design
from tablekit.drawing.ink import Ink, InkedSheet
from tablekit.drawing.style import A4, Paper
from tablekit.packet.books import bench_book, reasons_book
from tablekit.packet.document import (
    Document,
    Drawing,
    Formula,
    Inset,
    Plate,
    Section,
    Steps,
    Subheading,
    Table,
    TableWithInset,
    Text,
    drawing_of,
)

LONG = "The posts are square and lean alike; each lies in the notch of its neighbour. " * 5
NASTY = '<script>alert("x")</script> & $\\alpha$ </table>'


def a_line(paper: Paper = A4) -> Ink:
    ink = Ink()
    ink.line("visible", (20, 20), (60, 60))
    return ink


def drawn(paper: Paper = A4) -> InkedSheet:
    return InkedSheet(a_line(paper), paper)


def lay_out(paper: Paper) -> Ink:
    ink = Ink()
    ink.line("visible", (0, 0), (paper.width, paper.height))
    return ink


def two_pages(paper: Paper):
    yield drawn()
    yield drawn()


def beside() -> TableWithInset:
    """A close table, longer than the drawing to its right is high."""
    rows = tuple((f"part {k}", f"{k} mm") for k in range(14))
    table = Table("Parts", ("what", "size"), rows, close=True)
    return TableWithInset(table, Inset("a line to its right", lay_out, 50.0), 50.0)


def document(name: str = "A table", rows: int = 60) -> Document:
    table = Table(
        "Sizes of every post", ("what", "size", "why"),
        tuple(
            (f"size {k}", f"{k * 12.5:g} mm", LONG if k % 9 == 0 else "short")
            for k in range(rows)
        ),
        frozenset({1}),
    )  # fmt: skip
    return Document(
        name,
        "Of no use to anyone",
        (
            Section("First", (Inset("a slanting line", lay_out, 60.0), Text(LONG), table)),
            Section(
                "Second",
                (
                    Subheading("Below it"),
                    Steps(("saw", LONG, "plane"), boxes=True),
                    Steps(("one", "two")),
                    Text(f"Caution: {LONG}", "caution"),
                    Text("faintly", "faint"),
                    Formula((("L", "(H − n·w)/cos θ " * 12), ("", "1153.6 mm"))),
                    drawing_of("one line", "line", a_line),
                    Text("after the drawing"),
                ),
                fresh=True,
            ),
            Section("Third", (Drawing("two lines", two_pages, "lines"),)),
            Section("Fourth", (beside(), Text("close", close=True), Text("to this"))),
        ),
    )


def book_drawings(job: Design) -> list[str]:
    """The drawings of both books, by the names of their files."""
    return [*drawing_names(bench_book(job)), *drawing_names(reasons_book(job))]


def drawing_names(of: Document) -> list[str]:
    """The drawings of a document, by the names of their files, in order."""
    drawn = (p for section in of.sections for p in section.parts if isinstance(p, Drawing | Plate))
    return [part.name for part in drawn]


def texts(section: Section) -> list[Text]:
    """Its paragraphs in order, those that stand with a drawing among them."""
    within = (p.parts if isinstance(p, Plate) else (p,) for p in section.parts)
    return [one for some in within for one in some if isinstance(one, Text)]
