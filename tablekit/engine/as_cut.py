"""A design as it is made: the plan in which the sizes made come first and the wishes follow.

The givens say what a design shall be; who makes it works to sizes (`Quantity.cut`). To ask what an
inexact or a rounded size does to the design, those sizes have to drive the plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from tablekit.engine.plan import Plan, plan_of
from tablekit.engine.relation import Assumption
from tablekit.engine.structure import Matching
from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.engine.declarations import Declarations
    from tablekit.engine.sheet import Sheet

_SAME = 1e-6


@dataclass(frozen=True)
class AsCut:
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


def as_cut(sheet: Sheet, also: Sequence[str] = (), asked: Sequence[str] = ()) -> AsCut:
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
    return AsCut(plan, {name: sheet.number(name) for name in plan.givens}, following)


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
