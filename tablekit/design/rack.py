"""What the boards of a brief do beyond covering the circle: clean up, and move with the seasons."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from tablekit.design.lot import lot_check
from tablekit.design.top_boards import TopBoards, top_boards
from tablekit.engine.shop import shop_text
from tablekit.planning.board_cleaning import cleaning_check
from tablekit.planning.board_movement import (
    BoardMovement,
    board_movement,
    plate_factor,
    top_factor,
)
from tablekit.wood_movement import CUTS, find_movement

if TYPE_CHECKING:
    from tablekit.brief import Board, Brief
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.planning.board_layout import BoardLayout

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
