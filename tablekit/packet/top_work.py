"""The work on the top in words, as a file of the packet."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.packet.plain_page import PlainPage
from tablekit.planning.fixing_plan import outside_rim
from tablekit.planning.said import Said

if TYPE_CHECKING:
    from tablekit.design import Design

NAME = "top-work.txt"
FASTENING = "Fastening the top"


def write_work(design: Design, room: Path, width: int = 88) -> None:
    """Write the steps of the work on the top as `top-work.txt`, lines of `width` characters."""
    (room / NAME).write_text(work_text(design, width), encoding="utf-8")


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
