"""Turning a design round: which given lets go so that another quantity can be moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.as_cut import assumed_numbers, difference
from tablekit.engine.plan import Plan, plan_of
from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


@dataclass(frozen=True)
class Released:
    """A plan with the mover among its givens; fields as in `Change`."""

    plan: Plan
    replaced: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    gave_way: str = ""


def released_plan(sheet: Sheet, name: str, mover: str) -> Released:
    """The first of `_tries` that settles everything and gives the sheet's own values.

    Raises DesignError where none does."""
    for names, replaced, held, may_give_way in _tries(sheet, name, mover):
        plan = plan_of(sheet.network, names)
        lost = _lost_assumptions(sheet, plan, mover)
        if plan.free or plan.redundant or (name in replaced and name not in plan.found):
            continue
        if (lost and lost != may_give_way) or not _same_design(sheet, plan):
            continue
        return Released(plan, replaced, held, "".join(lost))
    raise DesignError(
        f"{mover} cannot be moved to see what {name} does: with everything else as it is, nothing "
        f"can give way. Add {mover} to {sheet.network.wording.source_of_givens} and solve again."
    )


_Names = tuple[str, ...]
_Try = tuple[frozenset[str], _Names, _Names, _Names]


def _tries(sheet: Sheet, name: str, mover: str) -> Iterator[_Try]:
    """Sets of givens, the natural ones first: (givens, replaced, held, what may give way)."""
    givens = frozenset(sheet.plan.givens)
    other_way = _other_way_of_saying(sheet, mover)
    if name in givens:
        yield from _tries_with_cuts(sheet, name, mover, other_way)
        return
    if mover in givens or sheet.plan.assumed_directly(mover):
        yield givens | {mover}, (), (), ()
    if other_way:
        yield givens | {mover}, (), (), other_way
        yield givens | {mover} | (_plainly_assumed(sheet) - {*other_way}), (), (), other_way
    for given in _likeliest(sheet, givens):
        yield (givens - {given}) | {mover}, (given,), (), ()
    for assumption in reversed(sheet.plan.assumptions):
        assert assumption.quantity is not None
        yield givens | {mover}, (), (), (assumption.quantity.name,)


def _tries_with_cuts(sheet: Sheet, name: str, mover: str, other_way: _Names) -> Iterator[_Try]:
    """`name` was given and lets go; where that frees too much, a cut is held."""
    givens, plain = frozenset(sheet.plan.givens), _plainly_assumed(sheet)
    rest = (givens - {name}) | {mover}
    cuts = _found_cuts(sheet, name, mover)
    yield rest, (name,), (), ()
    for cut in cuts:
        yield rest | {cut}, (name,), (cut,), ()
        yield rest | {cut}, (name,), (cut,), other_way
        # Said outright, so that a firmer assumption does not find one of them instead.
        yield rest | {cut} | (plain - {*other_way}), (name,), (cut,), other_way
    for given in _likeliest(sheet, givens - {name, mover}):
        for cut in cuts:
            yield (rest - {given}) | {cut}, (name, given), (cut,), ()
    for assumption in reversed(sheet.plan.assumptions):
        assert assumption.quantity is not None
        way = assumption.quantity.name
        for cut in cuts:
            yield rest | {cut} | (plain - {way}), (name,), (cut,), (way,)


def _likeliest(sheet: Sheet, givens: frozenset[str]) -> list[str]:
    """The usual wishes first: what is wished for gives way, not what is there."""
    wishes = [wish for wish in sheet.network.wishes if wish in givens]
    return wishes + [g for g in sheet.plan.givens if g in givens and g not in wishes]


def _plainly_assumed(sheet: Sheet) -> frozenset[str]:
    assumed = {a.quantity.name for a in sheet.plan.assumptions if a.quantity is not None}
    return assumed_numbers(sheet.network) & assumed


def _found_cuts(sheet: Sheet, name: str, mover: str) -> list[str]:
    """Sizes that are made and were found: they are held when what was wished for lets go."""
    found = set(sheet.plan.found) - {name, mover}
    return [q.name for q in sheet.network.quantities.values() if q.cut and q.name in found]


def _other_way_of_saying(sheet: Sheet, mover: str) -> tuple[str, ...]:
    """The assumed quantity that `mover` says in other words, where one relation ties them.

    Depth and remaining thickness say the same of a part that is given: who changes the depth
    means the assumed remainder to follow, not the part to grow thicker.
    """
    plan = sheet.plan
    step = plan.step_of.get(mover)
    if step is None or len(step.relations) != 1:
        return ()
    others = set(sheet.network.unknowns_in(step.relations[0])) - {mover}
    settled = {n for n in others if n in plan.givens or not plan.givens_behind(n)}
    rules = {n: plan.assumed_directly(n) for n in others if n not in plan.givens}
    assumed = [n for n, rule in rules.items() if rule is not None]
    if len(assumed) > 1:  # only the one that is said to be the same in other words
        settled |= {n for n in assumed if set(plan.givens_behind(n)) <= others}
        assumed = [n for n, rule in rules.items() if rule is not None and mover in rule.first_to]
    if len(assumed) != 1 or not others - {*assumed} <= settled:
        return ()
    rule = plan.step_of[assumed[0]].needs - {*sheet.network.constants}
    ruled_by_givens = all(n in plan.givens or not plan.givens_behind(n) for n in rule)
    return (assumed[0],) if ruled_by_givens else ()


def _lost_assumptions(sheet: Sheet, plan: Plan, mover: str) -> tuple[str, ...]:
    """What was assumed before and is no longer; the mover's own assumption does not count."""
    kept = {assumption.name for assumption in plan.assumptions}
    lost = [a.quantity.name for a in sheet.plan.assumptions if a.quantity and a.name not in kept]
    return tuple(name for name in lost if name != mover and name not in plan.givens)


def _same_design(sheet: Sheet, plan: Plan) -> bool:
    outcome = plan.program.run({given: sheet.si[given] for given in plan.givens})
    return not outcome.problems and not difference(outcome.values, sheet)
