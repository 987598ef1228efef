"""What a brief's boards make of its top, or of several alike: the layout or what is missing.

Of several tops, each is laid out from what the tops before it left. Beyond covering the circle, the
boards have to clean up, and they move with the seasons.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from tablekit.brief.boards import Board
from tablekit.brief.section import Typed
from tablekit.brief.workshop import SAWING, wishes_for
from tablekit.engine.relation import Assumption
from tablekit.engine.sheet import CheckResult, tidy
from tablekit.engine.shop import ShopStyle, shop_down, shop_text, shop_up
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import capital, lowered
from tablekit.planning import formulas as formulas
from tablekit.planning.board_layout import (
    AREA,
    AS_WIDE,
    SAW_KERF,
    BoardLayout,
    Objective,
    Rip,
    Wishes,
    Zone,
)
from tablekit.planning.board_movement import BoardMovement, board_movement, plate_factor, top_factor
from tablekit.planning.board_wood import Losses, cleaning_check
from tablekit.planning.boards import BoardsFallShort, lay_out
from tablekit.relations.boards import ASSUMPTIONS, DERIVATION
from tablekit.relations.inch_practice import in_practice
from tablekit.species import CUTS, find_movement

if TYPE_CHECKING:
    from tablekit.brief import Board, Brief, Top
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import CutBoard
    from tablekit.planning.glued_panel import GluedPanel, PanelTerms


CHECK = "boards for the top"
# How far a joint stays from the centre where none may go through it, mm: clear of the pin that the
# router swings about. Common practice, no source.
CENTRE_CLEAR = 20.0
# What a brief calls these.
_KEYS = {
    "top_margin": "margin", "end_waste": "end_waste", "edge_loss": "edge_loss",
    "shortest_kept": "shortest_kept", "rim_strip": "narrowest",
}  # fmt: skip


@dataclass(frozen=True)
class TopBoards:
    """The layout of a top, or None where the boards fall short; and the check that says so.

    lengths  margin, losses and limits used, mm, by the names of their quantities
    assumed  those of them that the brief left out
    rip      how the boards are ripped, whether said or not
    currency what is written behind a sum of money
    """

    layout: BoardLayout | None
    check: CheckResult
    lengths: Mapping[str, float]
    assumed: tuple[Assumption, ...]
    rip: Rip
    currency: str = ""

    def to_json(self) -> dict[str, Any] | None:
        """The layout as plain data; None where the boards fall short.

        Lengths in mm, areas in mm², `gap` a share: of what is used, what another layout could at
        most save; `proved` where that is a part in a thousand or less. `from` and `to` are where a
        strip is cut, from the first end of its board; `used_area` leaves out what goes back to the
        rack, the offcuts, each as wide as its narrower end; `circle_area` has the margin round the
        top.
        """
        layout = self.layout
        if layout is None:
            return None
        return {
            "strips": [
                {
                    "board": strip.board,
                    "copy": strip.copy,
                    "from": tidy(strip.start),
                    "to": tidy(strip.end),
                    "left": tidy(strip.left),
                    "right": tidy(strip.right),
                    "length_needed": tidy(strip.length_needed),
                }
                for strip in layout.strips
            ],
            "used_area": tidy(layout.boards_area),
            "circle_area": tidy(layout.circle_area),
            "offcuts": [
                {
                    "board": one.board,
                    "copy": one.copy,
                    "width": tidy(one.left_width),
                    "length": tidy(one.left),
                }
                for one in layout.cut
                if one.left > 0
            ],
            "proved": layout.proved,
            "gap": tidy(layout.gap),
        }


def top_boards(
    brief: Brief,
    sheet: Sheet,
    wishes: Wishes | None = None,
    objective: Objective | None = None,
) -> TopBoards | None:
    """What the boards of a brief make of the top on its sheet; None for a brief without boards.

    wishes, objective  in place of those below [top]
    A rack that falls short is an answer, with a check that fails; the rest of the sheet stands.
    Raises RangeError and DesignError as `lay_out` does.
    """
    diameter = sheet.get("top_diameter")
    if not brief.boards or diameter is None:
        return None
    lengths, assumed = _lengths(brief)
    asked = wishes or replace(wishes_of(brief.top), at_rim=lengths["rim_strip"])
    rip: Rip = brief.top.rip or AS_WIDE  # type: ignore[assignment]  # the reader lets no other by
    least: Objective = objective or brief.top.least or AREA  # type: ignore[assignment]  # as above
    losses = Losses(
        lengths["end_waste"], lengths["edge_loss"], _kerf(brief), lengths["shortest_kept"]
    )
    thick = thick_enough(brief, sheet)
    thin = [board.name for board in brief.boards if board not in thick]
    asked = replace(asked, keep=tuple(name for name in asked.keep if name not in thin))
    layout, check = _worked_out(
        thick, diameter, lengths["top_margin"], losses, rip, least, asked,
        sheet.shop_style, 1 / brief.count,
    )  # fmt: skip
    if layout is None and thin:
        also = f"Too thin to clean up, and left out: {', '.join(thin)}."
        check = replace(check, message=f"{check.message} {also}")
    return TopBoards(layout, check, lengths, assumed, rip, brief.currency)


def _lengths(brief: Brief) -> tuple[dict[str, float], tuple[Assumption, ...]]:
    """Margin, losses and limits, mm, by the names of their quantities, and which are assumed."""
    said = {name: getattr(brief.top, key) for name, key in _KEYS.items()}
    usual = in_practice(ASSUMPTIONS, brief.shop.display == "in")
    assumed = tuple(a for a in usual if a.quantity and said[a.quantity.name] is None)
    lengths = {name: float(number) for name, number in said.items() if number is not None}
    for assumption in assumed:
        if assumption.quantity is not None:
            lengths[assumption.quantity.name] = assumption.quantity.from_si(float(assumption.value))
    return lengths, assumed


def as_glued(brief: Brief, sheet: Sheet, found: TopBoards | None) -> GluedPanel | None:
    """The panel of the top as it was glued; None where the brief does not say how it came out.

    found  how the boards of the brief make the top
    Raises DesignError, with the line of the brief, where what was measured cannot be.
    """
    made = brief.as_cut
    if not made.boards or sheet.get("top_diameter") is None:
        return None
    from tablekit.planning.glued_panel import glued_panel

    terms = panel_terms(brief, found)
    try:
        return glued_panel(sheet, made.boards, terms, made.centre, made.sizes.get("top_diameter"))
    except DesignError as trouble:
        line = made.line("boards")
        where = "[as_cut]" if line is None else f"line {line}, [as_cut]"
        raise DesignError(f"{where}: {trouble}") from None


def panel_terms(brief: Brief, found: TopBoards | None) -> PanelTerms:
    """What is asked of the round on its glued panel, and the strips that `found` lays for it."""
    from tablekit.planning.glued_panel import PanelTerms

    lengths, _ = _lengths(brief)
    layout = None if found is None else found.layout
    return PanelTerms(
        margin=lengths["top_margin"],
        edge_loss=lengths["edge_loss"],
        at_rim=lengths["rim_strip"],
        narrowest=float(brief.top.narrowest or 0.0),
        clear=CENTRE_CLEAR if brief.top.no_centre_joint else 0.0,
        planned=() if layout is None else tuple(strip.width for strip in layout.strips),
        centre=None if layout is None else -layout.strips[0].left,
    )


def thick_enough(brief: Brief, sheet: Sheet) -> tuple[Board, ...]:
    """The boards that clean up to the thickness of the top; all where none does."""
    needed = sheet.get("rough_thickness")
    if needed is None:
        return brief.boards
    thick = tuple(
        one for one in brief.boards if one.thickness is None or one.thickness >= needed - 1e-6
    )
    # What the maker puts in order stays; the check on the thickness speaks of it.
    asked = {*brief.top.order}
    return tuple(one for one in brief.boards if one in thick or one.name in asked) or brief.boards


def _kerf(brief: Brief) -> float:
    return wishes_for(SAWING, brief.workshop).get("saw_kerf", SAW_KERF)


def wishes_of(top: Top) -> Wishes:
    """What the section [top] also asks of the layout."""
    return Wishes(
        order=top.order,
        keep=top.keep,
        symmetrical=top.symmetrical,
        clear_of_centre=CENTRE_CLEAR if top.no_centre_joint else 0.0,
        narrowest=float(top.narrowest or 0.0),
        match=top.match is not None,
    )


# Kept by what was asked, not by whose design it is: where boards differ, a brief is solved twice
# over the same layout, and a panel asks for it again at every move of anything else.
@lru_cache(maxsize=64)
def _worked_out(
    boards: tuple[Board, ...], diameter: float, margin: float, losses: Losses, rip: Rip,
    objective: Objective, wishes: Wishes, style: ShopStyle, effort: float,
) -> tuple[BoardLayout | None, CheckResult]:  # fmt: skip
    try:
        layout = lay_out(
            boards, diameter, margin=margin, rip=rip, objective=objective, wishes=wishes,
            style=style, effort=effort, **vars(losses),
        )  # fmt: skip
    except BoardsFallShort as short:
        message = f"{capital(str(short))}."
        return None, _check("fail", short.found, short.needed, message)
    wide = layout.strips[-1].right - layout.strips[0].left
    message = (
        f"The strips are {shop_text(wide, 'mm', style)} wide together and cover the circle; each "
        "is long enough where it lies."
    )
    return layout, _check("pass", wide, layout.diameter, message)


def _check(verdict: Any, value: float, limit: float, message: str) -> CheckResult:
    source = f"derived here, {DERIVATION}"
    return CheckResult(
        "boards", CHECK, verdict, value, limit, "mm", source, message, "top_diameter", "at least"
    )


# -- several tops alike, one after the other -------------------------------------------------------

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


# -- cleaning up, and the seasons ------------------------------------------------------------------

# How much more the boards move as they are laid than with one coefficient for all.
FACTORS = {"top_factor": top_factor, "plate_factor": plate_factor}


def used_boards(brief: Brief, found: TopBoards | None) -> tuple[Board, ...]:
    """The kinds of board that the top is made of; all of the rack where they fall short."""
    if found is None or found.layout is None:
        return brief.boards
    return tuple(board for board in brief.boards if board.name in found.layout.boards)


def rack_checks(
    brief: Brief, sheet: Sheet, tops: Sequence[tuple[Brief, TopBoards | None]]
) -> list[CheckResult]:
    """The checks on the boards: whether they cover the circle of every top and whether they clean
    up.

    tops  for each top the brief with the rack that it is cut from, and what the boards make of it
    """
    laid = [(of, found) for of, found in tops if found is not None]
    if not laid:
        return []
    used = {board.name: board for of, found in laid for board in used_boards(of, found)}
    cleaning = cleaning_check(used.values(), sheet)
    covering = lot_check([found for _, found in laid], brief.count)
    return [covering, *([cleaning] if cleaning else [])]


def rack_movement(brief: Brief, sheet: Sheet, found: TopBoards | None) -> BoardMovement | None:
    """The movement board by board; None where all are alike, or there is no layout."""
    laid = _unlike(brief, found)
    return None if laid is None else board_movement(*laid, sheet)


def rack_factors(brief: Brief, sheet: Sheet) -> dict[str, float]:
    """`top_factor` and `plate_factor` of the boards as laid, so far as the sheet has them; none
    where all are alike, or there is no layout."""
    if not _may_differ(brief):
        return {}
    laid = _unlike(brief, top_boards(brief, sheet))
    if laid is None:
        return {}
    here = {name: factor for name, factor in FACTORS.items() if sheet.get(name) is not None}
    return {name: factor(*laid, sheet) for name, factor in here.items()}


def _may_differ(brief: Brief) -> bool:
    """Whether any of the boards says of itself what [wood] says of all."""
    return any(board.cut or board.species for board in brief.boards)


def _unlike(brief: Brief, found: TopBoards | None) -> tuple[BoardLayout, dict[str, float]] | None:
    """The layout, and the coefficients of the boards that differ from [wood]; None where none do,
    or there is no layout."""
    if not _may_differ(brief) or found is None or found.layout is None:
        return None
    coefficients = dict(_coefficients(brief, used_boards(brief, found)))
    return (found.layout, coefficients) if coefficients else None


def _coefficients(brief: Brief, boards: tuple[Board, ...]) -> Iterator[tuple[str, float]]:
    """Published coefficients of boards that differ from [wood], by their names."""
    for board in boards:
        if board.cut is None and board.species is None:
            continue
        wood = find_movement(board.species or brief.wood.species or "")
        value = None if wood is None else wood.coefficient(board.cut or brief.wood.cut or CUTS[0])
        if value is not None:
            yield board.name, value


def rack_notes(
    brief: Brief, sheet: Sheet, found: TopBoards | None, moves: BoardMovement | None
) -> list[str]:
    """What else is to be said of the boards."""
    return [*_unknown(brief, found), *_movement_note(sheet, moves)]


def lot_notes(brief: Brief, moves: BoardMovement | None) -> list[str]:
    """What is to be said of the boards of several tops."""
    if brief.count == 1 or moves is None:
        return []
    return [
        "The movement is that of the first top, as its boards are laid. The other tops have other "
        "boards and may move a little more or less."
    ]


def _unknown(brief: Brief, found: TopBoards | None) -> Iterator[str]:
    for board in used_boards(brief, found) if brief.boards else ():
        wood = board.species or brief.wood.species
        if (board.cut or board.species) and (wood is None or find_movement(wood) is None):
            what = f"of {wood}" if wood else "without a species"
            yield (
                f"Board {board.name} {what} has no published movement coefficient here; it is "
                "taken to move like the rest of the top."
            )


def _movement_note(sheet: Sheet, moves: BoardMovement | None) -> Iterator[str]:
    if moves is None:
        return
    style = sheet.shop_style
    both = [shop_text(n, "mm", style) for n in (moves.together, moves.alone)]
    said = f"Calculated board by board, the top moves {both[0]} over the year; with the [wood] "
    said += f"coefficient throughout, {both[1]}. "
    factor = sheet.get("plate_factor")
    if factor is not None and sheet.get("slot_needed") is not None:
        times = f"{factor:.3g}"
        moves_as = "as much as" if times == "1" else f"{times} times as much as"
        said += (
            "As the boards are laid, the wood between the centre and the farthest plate moves "
            f"{moves_as} that coefficient predicts; the slots allow for this."
        )
    yield said
