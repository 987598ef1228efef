"""A drawing of legs at the bench, at the largest stated scale that fits its paper."""

from __future__ import annotations

from collections.abc import Callable

from tablekit.drawing.general import INCH_SCALES, METRIC_SCALES, Layout, scale_note, small_print
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
    raise ValueError(
        f"{paper.width:g} × {paper.height:g} mm is too small for {what} at any scale; take a "
        "larger sheet"
    )
