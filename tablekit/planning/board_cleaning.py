"""Whether rough boards clean up to the thickness of the top."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Protocol

from tablekit.engine.sheet import CheckResult
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning.formulas import found
from tablekit.relations import milling

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

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
