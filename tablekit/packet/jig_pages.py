"""The jigs that a brief asks for, as a book of their own."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from tablekit.engine.shop import figures_text, shop_text
from tablekit.engine.wording import capital, listed, lowered
from tablekit.packet.document import Document, Plate, Section, Steps, Table, Text
from tablekit.packet.plain_page import PlainPage

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.planning.jigs import Jig, JigPart

# Height in mm below which a jig is drawn on the next sheet rather than smaller on this one.
LEAST = {"stop": 80.0, "sled": 120.0, "wedge": 60.0, "cradle": 120.0, "trammel": 80.0}


def jigs_book(job: Design) -> Document | None:
    """Each jig with its drawing, its cut list and its steps; None where none is asked for."""
    if job.jigs is None:
        return None
    return Document(
        f"{job.sheet.name}: jigs", f"What to make before the {job.base.part}s and the top are cut.",
        tuple(_sections(job)),
    )  # fmt: skip


def jigs_for(job: Design, *wanted: str) -> Iterator[Text]:
    """Which of the jigs that the brief asks for serve some work, by their identifiers, and where
    they are drawn; nothing where none does."""
    made = [] if job.jigs is None else [jig.name for jig in job.jigs.made if jig.id in wanted]
    if made:
        yield Text(f"The {listed(made)} for this {'are' if len(made) > 1 else 'is'} in jigs.pdf.")


def _sections(job: Design) -> Iterator[Section]:
    from tablekit.drawing.jigs import JigSubject, lay_out_jig
    from tablekit.planning.jigs import CAUTION

    found = job.jigs
    assert found is not None
    yield Section("Before you begin", (Text(CAUTION, "caution"), *_left_out(job)))
    for jig in found.made:
        subject = JigSubject(found, jig.id, job.sheet.name, job.trammel)
        said = (_parts(job, jig), Steps(tuple(jig.how)))
        alt = f"The {jig.name} with its sizes."
        drawn = Plate(alt, f"jig-{jig.id}", partial(lay_out_jig, subject), said, LEAST[jig.id])
        yield Section(capital(jig.name), (drawn,))


def _left_out(job: Design) -> Iterator[Text]:
    from tablekit.relations.jigs import NAMES

    found = job.jigs
    assert found is not None
    for why in dict.fromkeys(found.left_out.values()):
        named = [NAMES[one] for one, reason in found.left_out.items() if reason == why]
        yield Text(f"No {listed(named, 'or')}: {lowered(why)}", close=True)


def _parts(job: Design, jig: Jig) -> Table:
    from tablekit.planning.jigs import PLANED

    unit = job.sheet.shop_style.display

    def size(part: JigPart) -> str:
        style = job.sheet.shop_style
        thick = shop_text(part.thickness, "mm", style)
        if part.name in PLANED:
            thick = figures_text(part.thickness, "mm", style, 4)
        every = (*(shop_text(mm, "mm", style) for mm in (part.length, part.width)), thick)
        return " × ".join(text.removesuffix(f" {unit}") for text in every)

    return Table(
        f"Parts: length × width × thickness, {unit}",
        ("part", "no.", "size"),
        tuple((part.name, str(part.count), size(part)) for part in jig.parts),
        frozenset({1}),
        close=True,
    )  # fmt: skip


def add_jigs(page: PlainPage, job: Design) -> None:
    """The jigs in words; nothing where none is asked for."""
    if job.jigs is None:
        return
    from tablekit.planning.jigs import CAUTION

    page.heading("Jigs")
    page.paragraph(CAUTION, indent=2)
    for text in _left_out(job):
        page.paragraph(text.text, indent=2)
    for jig in job.jigs.made:
        rows = "; ".join(f"{count} × {name}, {size}" for name, count, size in _parts(job, jig).rows)
        page.paragraph(f"{capital(jig.name)} ({job.sheet.shop_style.display}): {rows}.", indent=2)
        for step in jig.how:
            page.paragraph(step, indent=6)


def numbers_text(job: Design, width: int) -> str:
    """The calculated and assumed sizes of each jig, by the names that the command *working* takes.
    Ends in a line end."""
    page = PlainPage(width)
    page.paragraph(f"{job.sheet.name}: the quantities of its jigs")
    for jig in () if job.jigs is None else job.jigs.made:
        for sheet in jig.sheets:
            page.heading(
                capital(jig.name)
                if sheet.name == jig.name
                else f"{capital(jig.name)}: {sheet.name}"
            )
            for name, value in sheet.values.items():
                page.row(name, sheet.shop(name), "" if value.origin == "found" else value.origin)
    return "\n".join(page.lines) + "\n"
