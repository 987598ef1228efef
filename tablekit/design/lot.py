"""The boards of several tops alike, laid out one after the other: what each leaves for the next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tablekit.brief.boards import Board
from tablekit.brief.section import Typed
from tablekit.engine.shop import ShopStyle, shop_down, shop_text, shop_up
from tablekit.engine.wording import lowered
from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_layout import Zone

if TYPE_CHECKING:
    from tablekit.design.top_boards import TopBoards
    from tablekit.engine.sheet import CheckResult
    from tablekit.planning.board_layout import CutBoard

IN_TURN = (
    "The tops are laid out one after the other, each as well as may be from what the tops before "
    "it left. The lot together is not claimed to use the least."
)


@dataclass(frozen=True)
class LeftBoard(Board):
    """A board after some tops were cut.

    gone  how many of its kind those tops took
    rest  of which board it is an offcut: "plank no. 2"; "" for a whole board
    """

    gone: int = 0
    rest: str = ""


def rack_after(
    rack: Sequence[Board], found: TopBoards | None, style: ShopStyle, top: int | None = None
) -> tuple[LeftBoard, ...] | None:
    """The rack once a top is cut from it: whole boards, also kinds of which none is left, then
    offcuts. None without a layout.

    top  its number in a lot, by which the offcuts are named
    """
    if found is None or found.layout is None:
        return None
    cut, kinds = found.layout.cut, {board.name: board for board in rack}
    whole = [_left(board, [one for one in cut if one.board == board.name]) for board in rack]
    back = [offcut(kinds[one.board], one, style, top) for one in cut if one.left > 0]
    return (*(board for board in whole if board.count or not board.rest), *back)


def _left(board: Board, cut: Sequence[CutBoard]) -> LeftBoard:
    """Boards of one kind, less those that were cut."""
    before = vars(board)
    taken = len(cut)
    return LeftBoard(
        **{**before, "count": board.count - taken, "gone": before.get("gone", 0) + taken}
    )


def offcut(board: Board, one: CutBoard, style: ShopStyle, top: int | None = None) -> LeftBoard:
    """The board that is left, its first end the same as before where that is left, its price the
    share of its area."""
    length = shop_down(one.left, style)
    ends = (one.width, one.cut_width) if one.from_far else (one.cut_width, one.far_width)
    tapers = board.end_width is not None
    whole = getattr(board, "rest", "") or (
        board.name if one.alone else f"{board.name} no. {one.copy}"
    )
    left = {
        "name": f"rest of {whole}" if top is None else f"{whole}, left by top {top}",
        "width": _typed(shop_down(ends[0], style), style) if tapers else board.width,
        "end_width": _typed(shop_down(ends[1], style), style) if tapers else None,
        "length": _typed(length, style),
        "count": 1,
        "price": _price(board, one),
        "avoid": tuple(_zones(one, length, style)),
        "gone": 0,
        "rest": whole,
    }
    return LeftBoard(**{**vars(board), **left})


def _price(board: Board, one: CutBoard) -> float | None:
    """What is left of the price once the share used is paid for."""
    if board.price is None:
        return None
    whole = float(formulas.used_area(one.width, one.far_width, one.length))
    return board.price * (1 - one.used_area / whole)


def _zones(one: CutBoard, length: float, style: ShopStyle) -> Iterator[Zone]:
    """The zones on what is left, from its first end."""
    shift = 0.0 if one.from_far else one.used
    for zone in one.zones:
        start, end = max(zone.start - shift, 0.0), min(zone.end - shift, length)
        if end > start:
            yield Zone(
                _typed(shop_down(start, style), style),
                _typed(min(shop_up(end, style), length), style),
            )


def _typed(number: float, style: ShopStyle) -> Typed:
    return Typed(number, shop_text(number, "mm", style))


def lot_check(tops: Sequence[TopBoards], pieces: int) -> CheckResult:
    """Whether there are boards for every top of a lot: of the last that was laid out."""
    first, last = tops[0].check, tops[-1].check
    if pieces == 1:
        return first
    if last.verdict == "pass":
        said = f"There are boards for all {pieces} tops. {IN_TURN}"
        return replace(first, message=f"{first.message} {said}")
    covered = len(tops) - 1
    lacking = pieces - covered
    said = f"There are boards for {covered} of {pieces} tops; {lacking} "
    said += "lacks them. " if lacking == 1 else "lack them. "
    if covered:
        said += "The tops are laid out one after the other; another order might serve more. "
    return replace(last, message=f"{said}Top {len(tops)}: {lowered(last.message)}")
