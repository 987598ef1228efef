"""Marking out the posts, in words for the bench, as a file of the packet."""

from __future__ import annotations

from pathlib import Path

from tablekit.engine.trouble import DesignError
from tablekit.packet.job import Job
from tablekit.packet.shop_plans import tools

NAME = "post-marks.txt"


def write_marks(job: Job, room: Path, width: int) -> None:
    """Write `post-marks.txt` into `room`, lines of `width` characters; nothing for a piece without
    crossed posts. Where such posts cannot be marked out, it says why."""
    from tablekit.planning.post_text import marking_text

    if not job.on_posts:
        return
    try:
        text = marking_text(job.sheet, width, tools(job.brief, job.sheet))
    except DesignError as reason:
        text = f"The posts of {job.sheet.name} cannot be marked out: {reason}\n"
    (room / NAME).write_text(text, encoding="utf-8")
