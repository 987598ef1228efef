"""Posts or legs as they are cut: how the piece stands with them, whichever base it has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.brief.workshop import SAWING, wishes_for
from tablekit.engine.trouble import DesignError
from tablekit.planning import as_cut, legs_as_cut
from tablekit.planning.stock_cutting import PiecesAlike, StockFallsShort, cut_stock
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.cut_list import CutList
    from tablekit.planning.leg_remedies import LegsMade
    from tablekit.planning.leg_work import LegWork
    from tablekit.planning.mending import AsMade


def made(
    brief: Brief, sheet: Sheet, whole: Callable[[], CutList], work: LegWork | None
) -> AsMade | LegsMade | None:
    """What is cut so far, how it stands and what to do now; None where nothing is cut.

    whole  the cut list, which says what a post is got out of
    work   legs at the bench; None for posts, and where a size of the legs is open
    Raises DesignError, with the line of the brief, where what is cut no longer fits together.
    """
    if not brief.as_cut:
        return None
    try:
        return made_of(sheet, brief.as_cut.sizes, work, lambda length: _wood(brief, whole, length))
    except as_cut.NoLongerFit as trouble:
        line = brief.as_cut.line(*trouble.names)
        where = "[as_cut]" if line is None else f"line {line}, [as_cut]"
        raise DesignError(f"{where}: {trouble}") from None


def made_of(
    sheet: Sheet,
    sizes: Mapping[str, float],
    work: LegWork | None,
    wood: Callable[[float], str] | None = None,
) -> AsMade | LegsMade | None:
    """The piece with these sizes cut, as `as_made` and `legs_made` take them; None where legs have
    an open size. Raises what those raise."""
    if base_of(sheet).crossed:
        from tablekit.planning.mending import as_made

        return as_made(sheet, sizes, wood)
    from tablekit.planning.leg_remedies import legs_made

    return None if work is None else legs_made(work, sizes)


def drawn_size(sheet: Sheet, work: LegWork | None, stem: str) -> float | None:
    """What a size of a post or a leg was drawn, or one of the piece, in its reporting unit; None
    where it is open."""
    if stem in legs_as_cut.OF_A_LEG and not base_of(sheet).crossed:
        return None if work is None else legs_as_cut.drawn(work).drawn_size(stem)
    return sheet.get(stem)


def make_ready(sheet: Sheet, work: LegWork | None) -> None:
    """Compile all that standing the piece up may need, so that nothing of it is left to a slider.

    Raises DesignError where it cannot be stood up."""
    if base_of(sheet).crossed:
        as_cut.make_ready(as_cut.drawn(sheet))
    elif work is not None:
        from tablekit.planning import leg_remedies

        leg_remedies.make_ready(work)


def _wood(brief: Brief, whole: Callable[[], CutList], length: float) -> str:
    """Whether the brief's planks hold one more post of that length, mm, to go on a sentence with;
    nothing where it names none."""
    if not brief.stock:
        return ""
    from tablekit.planning.cut_list import PLANK_ENDS, SAW_KERF

    sawing = wishes_for(SAWING, brief.workshop)
    line = whole().lines[0]
    size = PiecesAlike(line.part, max(line.rough.length, length), line.rough.width, line.count // 3)
    kerf, ends = sawing.get("saw_kerf", SAW_KERF), sawing.get("plank_ends", PLANK_ENDS)
    try:
        cut = cut_stock([size], brief.stock, saw_kerf=kerf, plank_ends=ends)
    except StockFallsShort:
        return "; your stock has no plank for it"
    return f", from {' and '.join(cut.planks)}"
