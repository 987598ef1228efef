"""The shop packet: what is printed and taken to the bench."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.packet.answer import answer
from tablekit.packet.board_files import write_board_files
from tablekit.packet.folder import write_folder
from tablekit.packet.post_files import write_post_files
from tablekit.packet.summary import summary_text

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet

PAPER_WIDTH = 88  # characters of a fixed-width letter on a sheet of A4


def answer_json(sheet: Sheet, brief: Brief) -> str:
    """The whole answer as JSON, in ASCII so that any terminal and any reader can take it."""
    return json.dumps(answer(sheet, brief), indent=2, allow_nan=False) + "\n"


def undrawn(sheet: Sheet) -> str:
    """Why the packet has no drawings of this piece; empty where it has."""
    style = sheet.network.options.get("style", "")
    return f"There are no drawings yet of {style}: the sizes alone are given." if style else ""


def write_packet(sheet: Sheet, brief: Brief, folder: Path) -> tuple[str, ...]:
    """Write the packet into `folder`, as a whole; returns the names of its files.

    Raises FolderError, with nothing changed, when the folder holds anything not written here.
    """

    def fill(room: Path) -> None:
        text = summary_text(sheet, brief, PAPER_WIDTH)
        if undrawn(sheet):
            text += f"\n{undrawn(sheet)}\n"
        (room / "summary.txt").write_text(text, encoding="utf-8")
        (room / "sheet.json").write_text(answer_json(sheet, brief), encoding="ascii")
        if not undrawn(sheet):
            _draw(sheet, room)
            _write_solids(sheet, room)
        write_post_files(sheet, room)
        write_board_files(sheet, brief, room)

    return write_folder(folder, fill)


def _write_solids(sheet: Sheet, room: Path) -> None:
    """The parts in place, for any program that reads 3MF (millimetres) or glTF (metres)."""
    from tablekit.solids.export import export

    for form in ("3mf", "glb"):
        export(sheet, room, form, sheet.name)


def _draw(sheet: Sheet, room: Path) -> None:
    # Imported here: drawing takes a second to load, which a summary need not wait for.
    from tablekit.drawing.general import draw_general
    from tablekit.drawing.style import save

    figure = draw_general(sheet)
    for ending in ("pdf", "svg"):
        save(figure, room / f"general-arrangement.{ending}")
