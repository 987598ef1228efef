"""How results change when something changes: slopes, and the reverse question.

`slopes` asks how a result answers the givens of a sheet. `change` turns the design round: what
if a length that followed from a given height is made 10 mm shorter?
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import sympy as sp

from tablekit.engine.chain import Chain, chain
from tablekit.engine.jacobian import slopes_at
from tablekit.engine.outcome import in_words
from tablekit.engine.plan import Plan
from tablekit.engine.release import Released, released_plan
from tablekit.engine.slack import with_slack
from tablekit.engine.trouble import DesignError

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

_NOISE = 1e-12


def slopes(sheet: Sheet, of: Sequence[str], by: Sequence[str]) -> dict[tuple[str, str], float]:
    """Slope of each of `of` by each of `by`, reporting unit per reporting unit (deg per mm, …).

    `by` are givens of the sheet, or quantities it assumes directly; of these the assumed value
    is moved, and what else is assumed stays assumed. A count has the slope 0 (it has none at its
    steps), a quantity with no value in this design has nan. Raises UnknownName, and DesignError
    where a name of `by` follows from others.
    """
    return slopes_at(sheet.plan, sheet.si, of, by)


@dataclass(frozen=True)
class Change:
    """What a change of one quantity does to another. Numbers in reporting units.

    plan          the plan the question was answered with
    replaced      the givens that let go; none where nothing had to
    held          found quantities that were held where they are, because what was asked about
                  and what moves were both given
    gave_way      the quantity whose assumption let go; '' if none had to
    exact         the slope as an exact expression where exact assumed values alone decide it
    slope         the slope as a number
    first_order   slope × amount
    chain         the steps on the way; `partials` their slopes in turn, in coherent SI
    totals        slope of everything on the way by `by`
    actual        the change found by solving again; None where that is no design, `impossible`
                  then says why
    """

    name: str
    by: str
    amount: float
    plan: Plan
    replaced: tuple[str, ...]
    held: tuple[str, ...]
    gave_way: str
    exact: sp.Expr | None
    slope: float
    first_order: float
    actual: float | None
    impossible: str
    before: float
    by_before: float
    chain: Chain
    partials: tuple[float, ...]
    totals: dict[str, float]

    def text(self) -> str:
        """The working as plain text."""
        from tablekit.engine.change_text import as_text

        return as_text(self)

    def markdown(self) -> str:
        """The working as Markdown with TeX formulas."""
        from tablekit.engine.change_text import as_markdown

        return as_markdown(self)

    def _repr_markdown_(self) -> str:
        return self.markdown()


def change(sheet: Sheet, name: str, by_name: str, amount: float) -> Change:
    """How `name` changes when `by_name` is changed by `amount` (reporting unit of `by_name`).

    `by_name` is given at its present value in place of a given that has to give way: `name`
    itself if it was given, else the likeliest wish without which `by_name` is undetermined and
    `name` is not. All else stays given or assumed as in the sheet. Where both were given, a size
    already made is held instead. Raises UnknownName, and DesignError where `by_name` cannot
    be moved so.
    """
    for asked in (name, by_name):
        if sheet.network.quantity(asked) and sheet.get(asked) is None:
            raise DesignError(f"{asked} has no value in this design, so nothing can be asked of it")
    if name == by_name:
        raise DesignError(f"{name} changes by what you change it by: ask about two quantities")
    found = released_plan(sheet, name, by_name)
    plan, values = found.plan, sheet.si
    steps = chain(plan, name, by_name, sheet.plan)
    totals = _totals(plan, values, steps)
    slope = totals[name]
    actual, impossible = _again(sheet, found, name, by_name, amount)
    return Change(
        name=name,
        by=by_name,
        amount=amount,
        plan=plan,
        replaced=found.replaced,
        held=found.held,
        gave_way=found.gave_way,
        exact=steps.exact,
        slope=slope,
        first_order=slope * amount,
        actual=actual,
        impossible=impossible,
        before=sheet.number(name),
        by_before=sheet.number(by_name),
        chain=steps,
        partials=tuple(steps.numbers(values)),
        totals=totals,
    )


def _totals(plan: Plan, values: Mapping[str, float], steps: Chain) -> dict[str, float]:
    """Slope of everything on the way, reporting units; what is only noise of floats is 0."""
    names = [unknown for link in steps.links for unknown in link.unknowns]
    found = slopes_at(plan, values, [*names, steps.name], [steps.by])
    quantities, totals = plan.network.quantities, {}
    for (name, _), slope in found.items():
        mover, result = quantities[steps.by], quantities[name]
        share = abs(slope * (mover.from_si(values[steps.by]) or mover.high))
        noise = share <= _NOISE * abs(result.from_si(values[name]))
        totals[name] = 0.0 if noise else slope
    return totals


def _again(
    sheet: Sheet, found: Released, name: str, by_name: str, amount: float
) -> tuple[float | None, str]:
    """The change found by solving again, or why there is none."""
    mover, result = sheet.network.quantities[by_name], sheet.network.quantities[name]
    moved = sheet.number(by_name) + amount
    low, high = with_slack(mover.low, mover.high)
    if not low <= moved <= high:
        return None, (
            f"{by_name} would be {moved:g} {mover.unit}, outside {mover.low:g} to {mover.high:g}"
        )
    givens = {given: sheet.si[given] for given in found.plan.givens}
    outcome = found.plan.program.run({**givens, by_name: mover.to_si(moved)})
    if outcome.problems:
        return None, in_words(outcome.problems[0], sheet.network)
    value = outcome.values[name]
    if math.isnan(value):
        return None, outcome.left_out.get(name, f"{name} has no value there")
    return result.from_si(value) - sheet.number(name), ""
