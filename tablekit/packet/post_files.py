"""Marking out the posts, in words for the bench, as a file of the packet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.design import Design

NAME = "post-marks.txt"


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
    (room / NAME).write_text(text, encoding="utf-8")
