"""The boards of a top as lines of the summary."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.design.top_boards import TopBoards
from tablekit.engine.shop import ShopStyle, shop_text, shop_text_up
from tablekit.packet.checks import VERDICTS

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

HEADING = "Boards for the top, from left to right"
Row = tuple[str, str, str]  # label, value, remark
_WORDS = {"top_margin": "margin all round", "end_waste": "end waste", "edge_loss": "edge loss"}
CAUTION = (
    "Joint and rip boards as the machines' manuals say, with guards, push blocks and a feather "
    "board. Work short or narrow pieces by hand."
)


def board_rows(found: TopBoards, sheet: Sheet) -> tuple[list[Row], list[str]]:
    """Rows and paragraphs of what is said of the boards of a top, their check apart."""
    return [*_given(found, sheet), *_strips(found, sheet)], [*_said(found, sheet)]


def check_text(found: TopBoards) -> str:
    """Whether the boards cover the circle, where no list of checks says it."""
    check = found.check
    return f"{VERDICTS[check.verdict]}: {check.name}. {check.message} Source: {check.source}."


def _given(found: TopBoards, sheet: Sheet) -> Iterator[Row]:
    assumed = {a.quantity.name: a for a in found.assumed if a.quantity is not None}
    for name, number in found.lengths.items():
        remark = ""
        if name in assumed:
            remark = f"assumed: {assumed[name].why} Source: {assumed[name].source}."
        yield _WORDS[name], shop_text(number, "mm", sheet.shop_style), remark


def _strips(found: TopBoards, sheet: Sheet) -> Iterator[Row]:
    style = sheet.shop_style
    if found.layout is None:
        return
    for number, strip in enumerate(found.layout.strips, start=1):
        where = " to ".join(_place(edge, style) for edge in (strip.left, strip.right))
        length = shop_text_up(strip.length_needed, style)
        wide = shop_text(strip.width, "mm", style)
        yield f"{number}: {strip.board}", f"{wide} wide", f"{where}; at least {length} long"


def _place(edge: float, style: ShopStyle) -> str:
    """Where an edge is, in words."""
    text = shop_text(abs(edge), "mm", style)
    if abs(edge) < 0.05:
        return "the centre mark"
    return f"{text} {'left' if edge < 0 else 'right'}"


def _said(found: TopBoards, sheet: Sheet) -> Iterator[str]:
    layout = found.layout
    if layout is None:
        return
    used = ", ".join(f"{count} of {name}" for name, count in layout.boards.items())
    area = shop_text(layout.boards_area, "mm^2", sheet.shop_style)
    price = "" if layout.price is None else f", for {layout.price:.2f} together"
    if layout.proved:
        least = "No other choice and order of these boards, one strip from each, uses less."
    else:
        least = f"The best layout found; any better one saves at most {layout.gap:.1%}."
    yield (
        f"Uses {used}: {area} of boards{price}, of which {layout.waste:.0%} lies outside the "
        f"rough circle. {least} Measure from the centre mark. {CAUTION}"
    )
