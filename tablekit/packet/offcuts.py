"""What is left of the boards, as [[boards]] for the next brief."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from tablekit.brief.section import Typed
from tablekit.brief.writing import board_lines
from tablekit.engine.shop import ShopStyle, rule_step, shop_text, shop_up
from tablekit.engine.trouble import DesignError
from tablekit.planning.board_layout import Zone

if TYPE_CHECKING:
    from tablekit.brief import Board
    from tablekit.design import Design
    from tablekit.planning.board_layout import CutBoard


def offcuts_text(design: Design) -> str:
    """The offcuts of a top as `[[boards]]`, ready to paste into a brief.

    Raises DesignError where the brief has no boards, or these fall short."""
    found = design.boards
    if found is None:
        raise DesignError("the brief lists no boards, so there are no offcuts")
    if found.layout is None:
        raise DesignError("the boards fall short, so none is cut and there are no offcuts")
    kinds = {board.name: board for board in design.brief.boards}
    style = design.sheet.shop_style
    name = design.brief.name or "a top without a name"
    lines = [f"# Left of the boards for {name}, each as it goes back to the rack."]
    left = [one for one in found.layout.cut if one.left > 0]
    if not left:
        lines.append("# Nothing: every board that is cut is used up.")
    for one in left:
        lines += ["", *board_lines(_offcut(kinds[one.board], one, style))]
    return "\n".join(lines) + "\n"


def _offcut(board: Board, one: CutBoard, style: ShopStyle) -> Board:
    """The board that is left, its first end the same as before where that is left."""
    length = _down(one.left, style)
    ends = (one.width, one.cut_width) if one.from_far else (one.cut_width, one.far_width)
    tapers = board.end_width is not None
    return replace(
        board,
        name=f"{board.name}, rest of no. {one.copy}",
        width=_typed(_down(ends[0], style), style) if tapers else board.width,
        end_width=_typed(_down(ends[1], style), style) if tapers else None,
        length=_typed(length, style),
        count=1,
        price=None,
        avoid=tuple(_zones(one, length, style)),
    )


def _zones(one: CutBoard, length: float, style: ShopStyle) -> Iterator[Zone]:
    """The zones on what is left, from its first end."""
    shift = 0.0 if one.from_far else one.used
    for zone in one.zones:
        start, end = max(zone.start - shift, 0.0), min(zone.end - shift, length)
        if end > start:
            yield Zone(
                _typed(_down(start, style), style), _typed(min(shop_up(end, style), length), style)
            )


def _down(number: float, style: ShopStyle) -> float:
    """A length rounded down to what can be marked, mm."""
    up = shop_up(number, style)
    return max(up - rule_step(style), 0.0) if up > number + 1e-6 else up


def _typed(number: float, style: ShopStyle) -> Typed:
    return Typed(number, shop_text(number, "mm", style))
