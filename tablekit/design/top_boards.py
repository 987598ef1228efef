"""What a brief's boards make of its top: the layout or what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.relation import Assumption
from tablekit.engine.sheet import CheckResult, tidy
from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.engine.wording import capital
from tablekit.planning.board_layout import (
    AREA,
    AS_WIDE,
    SAW_KERF,
    BoardLayout,
    Objective,
    Rip,
    Wishes,
)
from tablekit.planning.board_wood import Losses
from tablekit.planning.boards import BoardsFallShort, lay_out
from tablekit.relations.boards import ASSUMPTIONS, DERIVATION
from tablekit.relations.inch_practice import in_practice

if TYPE_CHECKING:
    from tablekit.brief import Board, Brief, Top
    from tablekit.engine.sheet import Sheet
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
    from tablekit.brief.workshop import SAWING, wishes_for

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
