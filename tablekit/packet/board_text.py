"""The boards of a top as lines of the summary."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.design.top_boards import TopBoards
from tablekit.engine.shop import (
    ShopStyle,
    area_text,
    share_text,
    shop_text,
    shop_text_up,
    sum_text,
    times,
)
from tablekit.engine.wording import capital, listed
from tablekit.packet.checks import VERDICTS
from tablekit.planning.board_steps import pieces_marked

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.planning.board_layout import BoardLayout, CutBoard

HEADING = "Boards for the top, from left to right"
Row = tuple[str, str, str]  # label, value, remark
_WORDS = {
    "top_margin": "margin all round", "end_waste": "end waste", "edge_loss": "edge loss",
    "shortest_kept": "back to the rack from", "rim_strip": "shows at the rim at least",
}  # fmt: skip
SHORT = 300.0  # mm, below which a piece is not fed into a machine: common practice, no source
CAUTION = (
    "Joint and rip boards as the machines' manuals say, with guards, push blocks and a feather "
    "board. Work short or narrow pieces by hand."
)


def board_rows(
    found: TopBoards, sheet: Sheet, match: str | None = None, again: bool = False
) -> tuple[list[Row], list[str]]:
    """Rows and paragraphs of what is said of the boards of a top, their check apart.

    again  for a further top, see `cutting_lines`
    """
    rows = [*(() if again else _given(found, sheet)), *_strips(found, sheet)]
    return rows, [*_said(found, sheet), *cutting_lines(found, sheet, match, again)]


def check_text(check: CheckResult) -> str:
    """Whether the boards cover the circle, where no list of checks says it."""
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
    layout = found.layout
    if layout is None:
        return
    for number, strip in enumerate(layout.strips, start=1):
        where = " to ".join(_place(edge, style) for edge in (strip.left, strip.right))
        length = shop_text_up(strip.length_needed, style)
        wide = shop_text(strip.width, "mm", style)
        called = layout.source(strip).called if strip.length_needed > 0 else strip.board
        of = f"{number}: {called}"
        yield of, f"{wide} wide", f"{where}; at least {length} long"


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
    alone = {one.board for one in layout.cut if one.alone}
    used = ", ".join(
        name if name in alone else f"{count} × {name}" for name, count in layout.boards.items()
    )
    area = area_text(layout.boards_area, sheet.shop_style)
    price = "" if layout.price is None else f", worth {sum_text(layout.price, found.currency)}"
    waste = share_text(layout.waste, 2)
    yield (
        f"Cut from {used}: {area}{price}, {waste} of it outside the rough circle. "
        f"{bound_text(layout)} Measure from the centre mark."
    )


def bound_text(layout: BoardLayout) -> str:
    """How good the layout is, and whether that is proved."""
    if layout.ordered:
        return "The boards lie in the order asked for."
    least = "costs" if layout.objective == "price" else "uses"
    if layout.proved:
        return f"Proved: no other layout {least} less, to within one part in a thousand."
    gap = share_text(layout.gap, 2)
    return f"The best layout found, not proved: another {least} at most {gap} less."


def cutting_lines(
    found: TopBoards, sheet: Sheet, match: str | None = None, again: bool = False
) -> Iterator[str]:  # fmt: skip
    """How each board is cut, in the order of the work: crosscut first, then joint and rip.

    again  for a further top, of which what holds for every top is not said again
    """
    layout, style = found.layout, sheet.shop_style
    if layout is None:
        return
    waste = shop_text(found.lengths["end_waste"], "mm", style)
    if not again:
        yield _crosscut_first(waste, layout)
    for one in layout.cut:
        yield _board_line(layout, one, style)
    yield f"{_ripped(layout, style)}{'' if again else f' {CAUTION}'}"
    if short := [n for n, s in enumerate(layout.strips, 1) if 0 < s.length_needed < SHORT]:
        limit = shop_text(SHORT, "mm", style)
        yield (
            f"{_numbers(short).capitalize()} {'is' if len(short) == 1 else 'are'} shorter than "
            f"{limit}, too short to feed into a machine: joint by hand, or rip on a sled that "
            "holds the piece."
        )
    if match is not None:
        yield f"Lay the strips of one board side by side, all {match}, so that the colour runs on."
    if back := [one for one in layout.cut if one.left > 0]:
        sizes = [
            times(*(shop_text(side, "mm", style) for side in (one.left_width, one.left)))
            for one in back
        ]
        named = (f"{one.called}, {size}" for one, size in zip(back, sizes, strict=True))
        yield f"Back to the rack: {'; '.join(named)}."


def _crosscut_first(waste: str, layout: BoardLayout) -> str:
    zones = any(one.zones and one.from_far for one in layout.cut)
    return (
        "Crosscut first, each board from the end drawn on the left; the strips are numbered as in "
        f"the layout. Distances are from that end and include the {waste} lost there."
        f"{' Knots and checks were measured from the first end of each board.' * zones}"
    )


def _ripped(layout: BoardLayout, style: ShopStyle) -> str:
    """To which widths the pieces are ripped."""
    wide: dict[str, list[int]] = {}
    for number, strip in enumerate(layout.strips, start=1):
        if strip.length_needed > 0:
            wide.setdefault(shop_text(strip.width, "mm", style), []).append(number)
    each = "; ".join(f"{_numbers(of)} to {width}" for width, of in wide.items())
    return f"Then joint one edge of each piece and rip it parallel: {each}."


def _board_line(layout: BoardLayout, one: CutBoard, style: ShopStyle) -> str:
    def mm(number: float) -> str:
        return shop_text(number, "mm", style)

    pieces = [
        f"strip {piece.number} from {mm(piece.start)} to {mm(piece.end)} ({mm(piece.length)} long)"
        for piece in pieces_marked(layout, one, style)
    ]
    rest = f"{mm(one.left)} goes back to the rack" if one.left else "the rest is too short to keep"
    return f"{capital(one.called)}{one.begun}: {'; '.join(pieces)}; {rest}."


def _numbers(of: list[int]) -> str:
    """ "Strip 7", "strips 1, 2 and 5"."""
    return f"strip{'s' * (len(of) > 1)} {listed(of)}"
