"""What is left of the boards, as [[boards]] for the next brief."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablekit.brief.writing import board_lines
from tablekit.design.top_boards import rack_after
from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.design import Design


def offcuts_text(design: Design) -> str:
    """The offcuts of a top, or of all the tops of a lot, as `[[boards]]`, ready to paste into a
    brief.

    Raises DesignError where the brief has no boards, or these fall short."""
    if design.boards is None:
        raise DesignError("the brief lists no boards, so there are no offcuts")
    last = design.tops[-1]
    alone = design.brief.count == 1
    rack = rack_after(
        last.brief.boards, last.boards, design.sheet.shop_style,
        None if alone else len(design.tops),
    )  # fmt: skip
    if rack is None:
        raise DesignError("the boards fall short, so none is cut and there are no offcuts")
    name = design.brief.name or "a top without a name"
    made = name if alone else f"{design.brief.count} × {name}"
    lines = [f"# Left of the boards for {made}, each as it goes back to the rack."]
    left = [board for board in rack if board.rest]
    if not left:
        lines.append("# Nothing: every board that is cut is used up.")
    for one in left:
        lines += ["", *board_lines(replace(one, name=f"rest of {one.rest}", price=None))]
    return "\n".join(lines) + "\n"
