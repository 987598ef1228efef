"""What of the packet goes to the bench with the posts: marking out, faces, full-size templates."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.engine.trouble import Trouble

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

PAPER_WIDTH = 88  # characters of a fixed-width letter on a sheet of A4


def write_post_files(sheet: Sheet, room: Path) -> None:
    """Write them into `room`; nothing for a piece without crossed posts.

    Where such posts cannot be marked out, `post-marks.txt` says why and the rest is left out.
    """
    from tablekit.planning.setting_out_posts import crossing_of, post_marks

    if crossing_of(sheet) is None:
        return
    from tablekit.planning.post_text import marking_text

    try:
        every = post_marks(sheet)
        text = marking_text(sheet, PAPER_WIDTH)
    except Trouble as reason:
        why = f"The posts of {sheet.name} are not marked out here: {reason}\n"
        (room / "post-marks.txt").write_text(why, encoding="utf-8")
        return
    (room / "post-marks.txt").write_text(text, encoding="utf-8")
    _draw(sheet, len(every), room)


def _draw(sheet: Sheet, kinds: int, room: Path) -> None:
    # Imported here: drawing takes a second to load.
    from tablekit.drawing import style
    from tablekit.drawing.post_faces import draw_post_faces
    from tablekit.drawing.templates import PAPERS, save_pdf

    for which in range(kinds):
        # Where one post differs from the others, each kind has a drawing of its own.
        name = "post-faces" if which == 0 else f"post-faces-{which + 1}"
        figure = draw_post_faces(sheet, which)
        for ending in ("pdf", "svg"):
            style.save(figure, room / f"{name}.{ending}")
    for paper, size in PAPERS.items():
        save_pdf(sheet, room / f"templates-{paper}.pdf", size)
