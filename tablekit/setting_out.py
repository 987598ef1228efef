"""From a brief to its sheet, and to the whole answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from tablekit.brief import Brief
    from tablekit.design import Design
    from tablekit.engine.network import Network
    from tablekit.engine.sheet import Sheet
    from tablekit.supplied import Supplied


def design_of(brief: Brief, near: Sheet | None = None) -> Design:
    """The whole answer to a brief: its sheet, and from the two each plan when it is wanted.

    Arguments and errors as `set_out`.
    """
    from tablekit.design import Design

    return Design(brief, set_out(brief, near))


def set_out(brief: Brief, near: Sheet | None = None) -> Sheet:
    """Everything that follows from a brief.

    near  the answer shown last, to stay near to where several are possible
    Raises Contradiction, OutsideLimits or NotEnoughGiven (see `Network.solve`).
    """
    from tablekit.relations.families import network
    from tablekit.supplied import notes_alone, open_names, supplied

    piece = network(brief.kind, **brief.options)
    givens = {name: float(number) for name, number in brief.givens.items()}
    offered = supplied(brief)
    if not offered:
        sheet = piece.solve(givens, name=brief.name, shop=brief.shop, near=near)
        return _with_boards_as_laid(brief, piece, givens, sheet)
    assumed = open_names(piece, givens)
    used = [one for one in offered if one.instead_of in assumed]
    givens |= {one.name: one.number for one in used}
    try:
        sheet = piece.solve(givens, name=brief.name, shop=brief.shop, near=near)
        sheet = _with_boards_as_laid(brief, piece, givens, sheet)
    except DesignError as trouble:
        _say_whence(trouble, used)
        raise
    notes = (one.used if one in used else one.unused for one in offered)
    sheet.supplied_notes = (*(note for note in notes if note), *notes_alone(brief))
    return sheet


def _with_boards_as_laid(
    brief: Brief, piece: Network, givens: Mapping[str, float], sheet: Sheet
) -> Sheet:
    """The same design with its movement and its slots calculated board by board.

    Which boards lie where is known only once the top has a size, so it takes a second turn. The
    layout asks for the diameter alone, which the movement does not change.
    """
    from tablekit.design.top_boards import rack_factors

    factors = {n: v for n, v in rack_factors(brief, sheet).items() if n not in givens}
    if not factors:
        return sheet
    laid = piece.solve({**givens, **factors}, name=brief.name, shop=brief.shop, near=sheet)
    laid.find_further, laid.find_instead = sheet.find_further, sheet.find_instead
    return laid


def _say_whence(trouble: DesignError, used: Iterable[Supplied]) -> None:
    """The maker never typed these names and must be told where they come from."""
    text = str(trouble)
    told = [f"{one.name} is {one.given_by}" for one in used if one.name in text]
    if told:
        trouble.args = (f"{text} ({'; '.join(told)})",)
