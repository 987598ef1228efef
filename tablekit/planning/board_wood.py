"""What a rack yields: the clear lengths of its boards, from either end, as columns of numbers; and
whether rough boards clean up to the thickness of the top.

A board is cut from one end towards the other, a tapered one from its wide end. Strips are cut one
after another, each where the last kerf ends or behind a zone that is avoided. All lengths are in
mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.sheet import CheckResult
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning import formulas as formulas
from tablekit.planning.board_layout import RackBoard, Zone
from tablekit.planning.formulas import found
from tablekit.relations import milling

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Losses:
    """What is lost: at each raw end, at each edge, in each cut; and the length from which what is
    left goes back to the rack. mm."""

    end_waste: float
    edge_loss: float
    saw_kerf: float
    shortest_kept: float


@dataclass(frozen=True)
class Timber:
    """One board as it is cut: its kind in the rack and which of these, from 1; whether cutting
    begins at its second end; length, width where cutting begins and where it ends; `whole`, what
    all of it costs, and `rate`, what a square millimetre of it costs."""

    kind: int
    copy: int
    from_far: bool
    length: float
    width: float
    far_width: float
    whole: float
    rate: float


@dataclass(frozen=True, eq=False)
class ClearWood:
    """Clear lengths that strips may be cut from, one column each. Arrays have shape (n,).

    timber   the board as it is cut, as an index into `timbers`
    board    which board of the rack, whichever way it is cut, from 0
    start    where the clear length begins, from the end where cutting begins
    room     its length and one kerf: what strips and their kerfs may take
    wide     width of a strip that begins there, jointed
    narrows  by how much narrower it gets with each mm along the board
    rate     what a mm of its length costs where it is narrowest
    before   the board alike that must have been begun first; -1 for none
    origin   the column of the rack's own wood that this is
    """

    timbers: tuple[Timber, ...]
    losses: Losses
    timber: Ints
    board: Ints
    start: Floats
    room: Floats
    wide: Floats
    narrows: Floats
    rate: Floats
    before: Ints
    origin: Ints

    def __len__(self) -> int:
        return len(self.start)

    def part(self, chosen: Ints) -> ClearWood:
        """Some columns, in the same order, with the timbers that they lie on."""
        timbers, timber = np.unique(self.timber[chosen], return_inverse=True)
        boards, board = np.unique(self.board[chosen], return_inverse=True)
        before = self.before[chosen]
        there = np.isin(before, boards)
        return ClearWood(
            tuple(self.timbers[k] for k in timbers), self.losses, timber, board,
            self.start[chosen], self.room[chosen], self.wide[chosen], self.narrows[chosen],
            self.rate[chosen], np.where(there, np.searchsorted(boards, before), -1),
            self.origin[chosen],
        )  # fmt: skip

    @property
    def alike(self) -> Ints:
        """Of each column the first that is alike, of another board of its kind."""
        kind = [(self.timbers[k].kind, self.timbers[k].from_far) for k in self.timber]
        first: dict[tuple[object, ...], int] = {}
        found = [
            first.setdefault((of, float(start)), k)
            for k, (of, start) in enumerate(zip(kind, self.start, strict=True))
        ]
        return np.array(found, dtype=np.int64)

    @property
    def tapers(self) -> bool:
        """Whether any of it tapers."""
        return bool((self.narrows != 0).any())


def clear_lengths(
    length: float, zones: Sequence[Zone], losses: Losses
) -> list[tuple[float, float]]:
    """Where a board may be used: from and to, from its first end."""
    left, spans = losses.end_waste, []
    for zone in sorted(zones, key=lambda one: one.start):
        # A zone narrower than the saw still takes a cut.
        if zone.start > left:
            spans.append((left, min(zone.start, length - losses.end_waste)))
        left = max(left, zone.end, zone.start + losses.saw_kerf)
    spans.append((left, length - losses.end_waste))
    return [(a, b) for a, b in spans if b > a]


def zones_of(board: RackBoard) -> tuple[Zone, ...]:
    """The zones of a board that are avoided."""
    return tuple(getattr(board, "avoid", ()))


def far_width_of(board: RackBoard) -> float:
    """Width of a board at its second end, mm."""
    far = getattr(board, "end_width", None)
    return float(board.width if far is None else far)


def gone_of(board: RackBoard) -> int:
    """How many boards of its kind earlier tops took: the next is numbered after them."""
    return int(getattr(board, "gone", 0))


def wood_of(
    rack: Sequence[RackBoard], counts: Sequence[int], prices: Sequence[float] | None,
    losses: Losses, shortest: float, most: Callable[[RackBoard], int],
) -> ClearWood:  # fmt: skip
    """The clear lengths of a rack.

    counts    how many of each board may be cut
    prices    of each board, to be made least; None for the area
    shortest  no strip is shorter: a clear length that is shorter is of no use
    most      how many of a kind of board any layout could use
    """
    timbers: list[Timber] = []
    rows: list[tuple[float, ...]] = []
    boards = 0
    for kind, board in enumerate(rack):
        spans = clear_lengths(board.length, zones_of(board), losses)
        spans = [(a, b) for a, b in spans if b - a >= shortest]
        for copy in range(1, min(counts[kind], most(board)) + 1) if spans else ():
            price = None if prices is None else prices[kind]
            before = boards - 1 if copy > 1 else -1
            for turned in _ways(board, spans, losses):
                timber = _timber(board, kind, copy, turned, price)
                found = _columns(timber, (len(timbers), boards, before), spans, losses)
                timbers += [timber] * bool(found)
                rows += found
            boards += 1
    columns = np.array(rows, dtype=float).reshape(-1, 8).T
    timber, board_of, before_of = (columns[k].astype(np.int64) for k in range(3))
    start, room, wide, narrows, rate = columns[3:]
    return ClearWood(
        tuple(timbers), losses, timber, board_of, start, room, wide, narrows, rate, before_of,
        np.arange(len(rows)),
    )  # fmt: skip


def _ways(
    board: RackBoard, spans: Sequence[tuple[float, float]], losses: Losses
) -> tuple[bool, ...]:
    """From which ends a board may be cut to advantage: False for the first, True for the second."""
    if board.width != far_width_of(board):
        return (board.width < far_width_of(board),)  # from the wide end
    middle = len(spans) == 1 and abs(sum(spans[0]) - board.length) < 1e-9
    # Too short for anything to go back: then either end will do.
    spent = board.length - losses.end_waste - losses.saw_kerf <= losses.shortest_kept
    return (False,) if middle or spent else (False, True)


def _timber(board: RackBoard, kind: int, copy: int, turned: bool, price: float | None) -> Timber:
    widths = (float(board.width), far_width_of(board))
    near, far = reversed(widths) if turned else widths
    area = float(formulas.used_area(near, far, board.length))
    whole = area if price is None else price
    return Timber(kind, copy, turned, float(board.length), near, far, whole, whole / area)


def _columns(
    timber: Timber, places: tuple[int, int, int], spans: Sequence[tuple[float, float]],
    losses: Losses,
) -> list[tuple[float, ...]]:  # fmt: skip
    narrows = (timber.width - timber.far_width) / timber.length
    rows: list[tuple[float, ...]] = []
    if timber.from_far:
        spans = [(timber.length - b, timber.length - a) for a, b in reversed(spans)]
    for start, end in spans:
        there, last = (
            float(formulas.width_there(timber.width, timber.far_width, timber.length, along))
            for along in (start, end)
        )
        wide = float(formulas.strip_width(there, losses.edge_loss))
        if wide > 0:
            room = end - start + losses.saw_kerf
            rows.append((*places, start, room, wide, narrows, timber.rate * min(there, last)))
    return rows


# -- Cleaning up -----------------------------------------------------------------------------------

NAME = "thickness of the boards"
_ALLOWANCES = ("jointing_allowance", "planing_allowance", "sanding_allowance")
_HAIR = 1e-6  # mm


class RoughBoard(Protocol):
    """What is read of a board in the rack."""

    @property
    def name(self) -> str:
        """What the maker calls it."""
        ...

    @property
    def thickness(self) -> float | None:
        """As it lies in the rack, mm; None where it is finished to thickness."""
        ...


def cleaning_check(boards: Iterable[RoughBoard], sheet: Sheet) -> CheckResult | None:
    """The thinnest of the boards against what the top needs; None where no thickness is known."""
    rough = [(one.thickness, one.name) for one in boards if one.thickness is not None]
    if not rough:
        return None
    thinnest, style = min(rough)[0], sheet.shop_style
    names = ", ".join(name for thickness, name in rough if thickness <= thinnest + _HAIR)
    needed, top = sheet.number("rough_thickness"), sheet.number("top_thickness")
    said, need, made = (shop_text(n, "mm", style) for n in (thinnest, needed, top))
    mend = ""
    if thinnest >= needed - _HAIR:
        verdict, message = "pass", f"{names}: {said} rough (at least {need} for {made} finished)."
    else:
        verdict, mend = "fail", _way_out(thinnest, sheet)
        message = (
            f"{names}: {said} rough (at least {need} for {made} finished, with allowances for "
            f"jointing, planing and sanding). {mend}"
        )
    source = str(milling.ROUGH_THICKNESS.source)
    return CheckResult(
        "board_thickness", NAME, verdict, thinnest, needed, "mm", source, message,  # type: ignore[arg-type]
        "rough_thickness", "at least", mend,
    )  # fmt: skip


def _way_out(thinnest: float, sheet: Sheet) -> str:
    taken = {name: sheet.number(name) for name in _ALLOWANCES}
    advice = "Use thicker boards, or flatter boards with smaller allowances"
    try:
        left = found(milling.ROUGH_THICKNESS, "top_thickness", rough_thickness=thinnest, **taken)
    except DesignError:
        left = 0.0
    if left <= 0:
        return f"{advice}."
    return f"{advice}, or make top_thickness {shop_text(left, 'mm', sheet.shop_style)}."
