"""A design as it is made: the sizes made come first and the wishes follow.

The givens say what a design shall be; who makes it works to sizes (`Quantity.cut`). To ask what an
inexact or a rounded size does to the design, those sizes have to drive the plan.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from tablekit.engine.declarations import Matching
from tablekit.engine.network import solve
from tablekit.engine.plan import Plan, plan_of
from tablekit.engine.relation import Assumption
from tablekit.engine.shop import ShopStyle, quantity_text, shop_round, shop_text
from tablekit.engine.slack import with_slack
from tablekit.engine.trouble import Contradiction, DesignError, NotEnoughGiven

if TYPE_CHECKING:
    from tablekit.engine.declarations import Declarations
    from tablekit.engine.sheet import CheckResult, Sheet


# -- the plan in which the sizes drive -------------------------------------------------------------

_SAME = 1e-6


@dataclass(frozen=True)
class CutPlan:
    """A plan driven by the sizes that are made.

    plan       its givens are those sizes, and whatever else is needed to settle everything
    numbers    the sheet's value of each given, in its reporting unit
    following  sizes that the others settle, and which are therefore not givens
    """

    plan: Plan
    numbers: dict[str, float]
    following: tuple[str, ...]

    @property
    def si(self) -> dict[str, float]:
        """The numbers in coherent SI."""
        quantities = self.plan.network.quantities
        return {name: quantities[name].to_si(number) for name, number in self.numbers.items()}


def as_cut(sheet: Sheet, also: Sequence[str] = (), asked: Sequence[str] = ()) -> CutPlan:
    """The plan that has the sizes of `sheet` that are made (`Quantity.cut`) as givens.

    Taken in this order, each if what came before does not settle it: the sizes that are made; the
    names in `also`; quantities that the network has an assumption for, which are what is set or
    chosen, those with a plain number first; the sheet's own givens. What the sheet assumes
    stays assumed as far as it can. Names in `asked` are what the question is about: they are
    held only where nothing else settles the design. Raises DesignError where that leaves something
    free, and UnknownName for a name in `also` or `asked` that the network does not have.
    """
    network = sheet.network
    for name in (*also, *asked):
        network.quantity(name)
    matching = network.matched.copy()
    alike = _alike(sheet)
    cuts = [q.name for q in network.quantities.values() if q.cut and _has_value(sheet, q.name)]
    cuts = [name for name in cuts if name not in alike]
    for name, assumption in alike.items():
        matching.add(f"alike {name}", network.unknowns_in(assumption))
    chosen = _independent(matching, cuts)
    following = tuple(name for name in cuts if name not in chosen)
    chosen += _independent(matching, [name for name in also if _has_value(sheet, name)])
    settings = [n for n in _settings(network) if n not in alike and _has_value(sheet, n)]
    settings = _independent(matching, settings)
    others = [*sheet.plan.givens, *(sheet.plan.found if asked else ())]
    others = [name for name in others if _has_value(sheet, name)]
    chosen += _independent(matching, sorted(others, key=lambda name: name in asked))
    assumed = [name for name in settings if sheet.values[name].origin == "assumed"]
    plan = plan_of(network, [*chosen, *(name for name in settings if name not in assumed)])
    still = {a.quantity.name for a in plan.assumptions if a.quantity is not None}
    if still - alike.keys() != set(assumed):
        # Left to the order of assumptions, a firmer one would find what a softer one says, and a
        # size made a little off would move what is set by itself.
        plan = plan_of(network, [*chosen, *settings])
    if plan.free:
        raise _unsettled(network, plan.free)
    return CutPlan(plan, {name: sheet.number(name) for name in plan.givens}, following)


def _unsettled(network: Declarations, free: Sequence[str]) -> DesignError:
    words = network.wording
    return DesignError(
        f"the {words.made} of this {words.thing} do not settle {', '.join(free)}; add one of these "
        f"to {words.source_of_givens}"
    )


@lru_cache(maxsize=64)
def assumed_numbers(network: Declarations) -> frozenset[str]:
    """Quantities that are assumed to be a plain number, not by a rule of thumb from others."""
    numbers = (a for a in network.assumptions if a.value.is_number)
    return frozenset(a.quantity.name for a in numbers if a.quantity is not None)


def _alike(sheet: Sheet) -> dict[str, Assumption]:
    """Quantities the sheet assumes to be the same as another: made to one setting with it, so that
    where one is off the other is too."""
    assumed = {a.quantity.name: a for a in sheet.plan.assumptions if a.quantity is not None}
    return {name: assumption for name, assumption in assumed.items() if assumption.value.is_Symbol}


def _settings(network: Declarations) -> list[str]:
    """Quantities the network has an assumption for: a plain number first, a rule of thumb after."""
    names = [a.quantity.name for a in network.assumptions if a.quantity is not None]
    return sorted(names, key=lambda name: name not in assumed_numbers(network))


def _has_value(sheet: Sheet, name: str) -> bool:
    return sheet.get(name) is not None


def _independent(matching: Matching, names: Sequence[str]) -> list[str]:
    """Those names that are not settled yet, which they then are."""
    return [name for name in names if matching.add(f"given {name}", (name,))]


def difference(found: dict[str, float], sheet: Sheet) -> str:
    """The first quantity that `found` (coherent SI) has otherwise than the sheet; '' if none."""
    for name, value in sheet.values.items():
        here, there = found.get(name, math.nan), value.si
        if math.isnan(there):
            continue
        if not abs(here - there) <= _SAME * max(abs(here), abs(there)) + 1e-9:
            return name
    return ""


# -- every size rounded to what can be marked ------------------------------------------------------

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
        if before is None or check.verdict == "pass":
            continue
        # Where a limit depends on the value, as that of a use, it was passed by a rounding alone;
        # what fails has passed another limit besides.
        if check.verdict == "fail" or check.limit == before.limit:
            value, limit = check.value or 0.0, check.limit or 0.0
            if abs(value - limit) > _HAIR * abs(limit):
                yield check


def _wish(sheet: Sheet, again: Sheet, name: str) -> Wish:
    wanted, becomes = sheet.givens[name], again.get(name)
    off = None if becomes is None else becomes - wanted
    return Wish(name, wanted, becomes, off, sheet.network.quantities[name].unit)
