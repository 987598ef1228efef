"""A drawing of legs at the bench, as large as fits its paper: at a stated scale, or at any."""

from __future__ import annotations

from collections.abc import Callable

from tablekit.drawing.general import (
    FREE_SCALES,
    INCH_SCALES,
    METRIC_SCALES,
    Layout,
    scale_note,
    small_print,
)
from tablekit.drawing.ink import Ink
from tablekit.drawing.style import Paper
from tablekit.drawing.title import centred, drawing_room
from tablekit.planning.leg_work import LegWork


def to_scale(
    work: LegWork,
    drawn: Callable[[LegWork, float], Ink],
    paper: Paper,
    said: str,
    what: str,
    *,
    most: float = 1.0,
    size: tuple[float, float] = (0.0, 0.0),
) -> Layout:
    """What `drawn` draws at a scale, in the middle of the paper, with a line of small print.

    what  is drawn, for the error
    most  the largest scale that is tried
    size  width and height that it has at least, mm at full size: scales too large are passed over

    Raises ValueError when none fits.
    """
    inches, room = work.sheet.shop_style.display == "in", drawing_room(paper)
    for scale in INCH_SCALES if inches else METRIC_SCALES:
        if scale > most or size[0] * scale > room.width or size[1] * scale > room.height:
            continue
        placed = centred(drawn(work, scale), room)
        if placed is not None:
            placed.add(small_print([said], paper, scale_note(scale, inches)))
            return Layout(scale, paper.arrangement, placed)
    raise _too_small(paper, f"{what} at any scale")


def not_to_scale(
    work: LegWork, drawn: Callable[[LegWork, float], Ink], paper: Paper, said: str, what: str
) -> Layout:
    """The same of what shows how a thing is done, at any size up to its own.

    Raises ValueError where the paper is too small.
    """
    for scale in FREE_SCALES:
        if scale > 1:
            continue
        placed = centred(drawn(work, scale), drawing_room(paper))
        if placed is not None:
            placed.add(small_print([said], paper))
            return Layout(scale, paper.arrangement, placed)
    raise _too_small(paper, what)


def _too_small(paper: Paper, what: str) -> ValueError:
    return ValueError(
        f"{paper.width:g} × {paper.height:g} mm is too small for {what}; take a larger sheet"
    )
