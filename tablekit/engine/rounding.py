"""Rounding every size that is made to what can be marked, and what then becomes of the wishes."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.as_cut import as_cut
from tablekit.engine.shop import ShopStyle, quantity_text, shop_round, shop_text
from tablekit.engine.slack import with_slack
from tablekit.engine.solve import solve
from tablekit.engine.trouble import Contradiction, NotEnoughGiven

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet

_HAIR = 1e-3  # of a limit: what is past it by less is on it


@dataclass(frozen=True)
class RoundedCut:
    """One size that is made, in `unit`: exact, as marked, and the error (marked less exact)."""

    name: str
    exact: float
    marked: float
    error: float
    unit: str


@dataclass(frozen=True)
class Wish:
    """One given in `unit`: wanted, what it becomes (None where it then has no
    value), and how far off that is (becomes less wanted)."""

    name: str
    wanted: float
    becomes: float | None
    off: float | None
    unit: str


@dataclass(frozen=True)
class Rounded:
    """A design with the sizes that are made rounded.

    sheet      solved anew from the rounded sizes
    cuts       every size that was rounded
    wishes     every given
    following  sizes that the others settle: left to follow, not rounded
    too_small  sizes that would round to zero, or out of their range: left as they are
    worse      checks that pass exactly and do not as marked, by more than a thousandth of the limit
    """

    sheet: Sheet
    cuts: tuple[RoundedCut, ...]
    wishes: tuple[Wish, ...]
    following: tuple[str, ...]
    too_small: tuple[str, ...]
    worse: tuple[CheckResult, ...] = ()

    @property
    def _made(self) -> str:
        return self.sheet.network.wording.made

    def lines(self, of: Collection[str] | None = None) -> list[tuple[str, str]]:
        """What is marked, and what becomes of each wish, or only of those named in `of`: name and
        what is said of it, or no name and a sentence on several."""
        style = self.sheet.shop_style
        lines = [(c.name, shop_text(c.exact, c.unit, style, with_error=True)) for c in self.cuts]
        for wish in self.wishes:
            if of is None or wish.name in of:
                lines.append((wish.name, self._told(wish)))
        lines += [(check.name, self._past(check)) for check in self.worse]
        if self.following:
            names = ", ".join(self.following)
            lines.append(("", f"Not rounded, because the other {self._made} settle it: {names}."))
        if self.too_small:
            names = ", ".join(self.too_small)
            lines.append(("", f"Too small to round, left as it is: {names}."))
        return lines

    def text(self) -> str:
        """All of it, one thing to a line."""
        return "\n".join(f"{name}: {said}" if name else said for name, said in self.lines())

    def _past(self, check: CheckResult) -> str:
        def said(number: float | None) -> str:
            quantity = self.sheet.network.quantities[check.quantity]
            return quantity_text(number or 0.0, quantity, self.sheet.shop_style, 4)

        return f"{said(check.value)} as marked, which is past its limit of {said(check.limit)}"

    def _told(self, wish: Wish) -> str:
        def said(number: float, figures: int = 6) -> str:
            quantity = self.sheet.network.quantities[wish.name]
            return quantity_text(number, quantity, self.sheet.shop_style, figures)

        lead = f"wanted {said(wish.wanted)}"
        if wish.becomes is None or wish.off is None:
            return f"{lead}, has no value once the {self._made} are rounded"
        if abs(wish.off) < 1e-9 * max(1.0, abs(wish.wanted)):
            return f"{lead}, stays"
        side = "over" if wish.off > 0 else "under"
        return f"{lead}, becomes {said(wish.becomes)} ({said(abs(wish.off), 2)} {side})"


def round_to_shop(sheet: Sheet, style: ShopStyle | None = None) -> Rounded:
    """Round every size that is made to the fraction or step of `style`, and solve with those.

    style is the sheet's own if not given. Where the rounded sizes settle one another, the first
    independent ones are used and the others are left to follow. What is not made to a size (an
    angle set once) stays as it is. Raises OutsideLimits or Contradiction where no design has the
    rounded sizes, or where they leave it open.
    """
    style = style or sheet.shop_style
    cut = as_cut(sheet)
    givens = dict(cut.numbers)
    rounded, too_small = [], []
    for name, exact in cut.numbers.items():
        quantity = sheet.network.quantities[name]
        if not quantity.cut:
            continue
        marked, error = shop_round(exact, quantity.unit, style)
        low, high = with_slack(quantity.low, quantity.high)
        if not low <= marked <= high:
            too_small.append(name)
            continue
        givens[name] = marked
        rounded.append(RoundedCut(name, exact, marked, error, quantity.unit))
    try:
        again = solve(sheet.network, givens, name=sheet.name, shop=style)
    except NotEnoughGiven as left:  # rounded, something has no value that the rest hangs on
        raise Contradiction(f"no design has the rounded sizes: {left}") from left
    wishes = tuple(_wish(sheet, again, name) for name in sheet.givens)
    worse = tuple(_worse(sheet, again))
    return Rounded(again, tuple(rounded), wishes, cut.following, tuple(too_small), worse)


def _worse(sheet: Sheet, again: Sheet) -> Iterator[CheckResult]:
    passed = {check.id: check for check in sheet.checks if check.verdict == "pass"}
    for check in again.checks:
        before = passed.get(check.id)
        # Where a limit depends on the value, as that of a use, it was passed by a rounding alone.
        if before is not None and check.verdict != "pass" and check.limit == before.limit:
            value, limit = check.value or 0.0, check.limit or 0.0
            if abs(value - limit) > _HAIR * abs(limit):
                yield check


def _wish(sheet: Sheet, again: Sheet, name: str) -> Wish:
    wanted, becomes = sheet.givens[name], again.get(name)
    off = None if becomes is None else becomes - wanted
    return Wish(name, wanted, becomes, off, sheet.network.quantities[name].unit)
