"""The board layout as files of the packet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet

NAME = "board-layout"


def write_board_files(sheet: Sheet, brief: Brief, room: Path) -> None:
    """Writes board-layout.pdf and .svg into `room` where the boards of the brief make the top,
    unless the strips are so many that even a sheet of A3 has no room for them."""
    if not brief.boards:
        return
    from tablekit.packet.top_boards import top_boards

    found = top_boards(brief, sheet)
    if found is None or found.layout is None:
        return
    # Imported here: drawing takes a second to load.
    from tablekit.drawing.board_layout import LayoutSubject, draw_board_layout
    from tablekit.drawing.style import A4, Paper, save

    it = LayoutSubject(found.layout, sheet.name, sheet.number("top_diameter"), sheet.shop_style)
    for paper in (A4, Paper(297, 420)):
        try:
            figure = draw_board_layout(it, paper=paper)
        except ValueError:  # more strips than the page has room for; the summary lists them
            continue
        for ending in ("pdf", "svg"):
            save(figure, room / f"{NAME}.{ending}")
        return
