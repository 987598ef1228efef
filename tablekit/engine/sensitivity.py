"""How results change when something changes: slopes, and the reverse question.

`slopes` asks how a result answers the givens of a sheet. `change` turns the design round: what
if a length that followed from a given height is made 10 mm shorter?
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import sympy as sp

from tablekit.engine.chain import Chain, Partial, chain
from tablekit.engine.formula import Formula, Piece, Plain, Script, Tex
from tablekit.engine.jacobian import slopes_at
from tablekit.engine.order import ClosedStep, Step
from tablekit.engine.outcome import in_words
from tablekit.engine.plan import Plan
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.release import Released, released_plan
from tablekit.engine.shop import ShopStyle, figures_text, shown_unit
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
    style: ShopStyle = field(default_factory=ShopStyle)

    def text(self) -> str:
        """The working as plain text."""
        return as_text(self)

    def markdown(self) -> str:
        """The working as Markdown with TeX formulas."""
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
        style=sheet.shop_style,
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
        style = sheet.shop_style
        texts = [figures_text(one, mover.unit, style) for one in (moved, mover.low, mover.high)]
        return None, f"{by_name} would be {texts[0]}, outside {texts[1]} to {texts[2]}"
    givens = {given: sheet.si[given] for given in found.plan.givens}
    outcome = found.plan.program.run({**givens, by_name: mover.to_si(moved)})
    if outcome.problems:
        return None, in_words(outcome.problems[0], sheet.network)
    value = outcome.values[name]
    if math.isnan(value):
        return None, outcome.left_out.get(name, f"{name} has no value there")
    return result.from_si(value) - sheet.number(name), ""


# -- in words ---------------------------------------------------------------------------------


def as_text(change: Change) -> str:
    """Plain text, one step a line."""
    return "\n".join(_lines(change, _Pen(change, Plain())))


def as_markdown(change: Change) -> str:
    """Markdown with TeX formulas."""
    pen = _Pen(change, Tex())
    first, *rest = _lines(change, pen)
    return "\n\n".join([f"**{first}**", *rest])


class _Pen:
    """Writes quantities and slopes in one script."""

    def __init__(self, change: Change, script: Script):
        self._change, self._tex = change, isinstance(script, Tex)
        self._formula = Formula(script, lambda symbol: Piece(self.letter(symbol.name)))

    def thing(self, name: str) -> Quantity | Constant:
        network = self._change.plan.network
        return network.constants.get(name) or network.quantity(name)

    def letter(self, name: str) -> str:
        thing = self.thing(name)
        return thing.tex if self._tex else thing.letter

    def slope_sign(self, name: str, by: str, mark: str) -> str:
        """d name / d by; `mark` is d, or ∂ for one of several quantities in a step."""
        if self._tex:
            sign = r"\partial" if mark == "∂" else r"\mathrm{d}"
            return rf"\frac{{{sign} {self.letter(name)}}}{{{sign} {self.letter(by)}}}"
        return f"{mark}{self.letter(name)}/{mark}{self.letter(by)}"

    def number(self, value: float) -> str:
        """Six figures."""
        return f"{value:.6g}" if self._tex else _figures(value)

    def expression(self, value: sp.Expr) -> str:
        """The expression in letters; '' where it has a corner in it and no plain slope."""
        if value.has(sp.Heaviside, sp.sign, sp.Derivative, sp.Piecewise):
            return ""
        text = self._formula.text(value)
        return text if self._tex else text.replace("-", "−")

    def formula(self, *sides: str) -> str:
        """Sides with equals signs, empty and repeated ones left out."""
        kept = [side for side in dict.fromkeys(sides) if side]
        joined = " = ".join(kept)
        return f"${joined}$" if self._tex else joined


def _lines(change: Change, pen: _Pen) -> list[str]:
    lines = [f"How {change.name} changes with {change.by}", _stance(change)]
    partials, count = iter(change.partials), 0
    for link in change.chain.links:
        slopes = [(partial, next(partials)) for partial in link.partials]
        if not any(change.totals[name] for name in link.unknowns):
            continue
        count += 1
        if isinstance(link.step, ClosedStep):
            moving = [(p, n) for p, n in slopes if p.by == change.by or change.totals[p.by]]
            lines.append(f"{count}. {_closed(change, link.step, moving, pen)}")
        else:
            lines.append(f"{count}. {_together(change, link.step, pen)}")
    exact = "" if change.exact is None else pen.expression(change.exact)
    by, name = pen.thing(change.by), pen.thing(change.name)
    slope = _total(change, change.name)
    whole = pen.formula(
        pen.slope_sign(change.name, change.by, "d"),
        exact if slope == change.slope else "",
        pen.number(slope),
    )
    of, per = (_shown(change, thing)[0] for thing in (name, by))
    lines.append(f"Together: {whole}{of} per {per.strip() or '1'}.")
    return [*lines, _outcome(change, by, name)]


def _stance(change: Change) -> str:
    lead = f"{change.by} is moved"
    if change.replaced:
        ways = "gives way" if len(change.replaced) == 1 else "give way"
        lead += f" and {' and '.join(change.replaced)} {ways}"
    if change.held:
        lead += f", while {', '.join(change.held)} stays as it is"
    if change.gave_way:
        lead += f"; {change.gave_way} follows instead of being assumed"
    return f"{lead}. Everything else is given or assumed as before."


def _closed(
    change: Change, step: ClosedStep, slopes: Sequence[tuple[Partial, float]], pen: _Pen
) -> str:
    direct = len(slopes) == 1 and slopes[0][0].by == change.by
    said = []
    for partial, number in slopes:
        units = _in_units(change, step.unknown, partial.by)
        units *= _ratio(change, step.unknown, partial.by)
        # An exact slope in coherent units reads the same only where the reporting units agree.
        exact = "" if partial.exact is None or units != 1 else pen.expression(partial.exact)
        sign = pen.slope_sign(step.unknown, partial.by, "d" if direct else "∂")
        letters = partial.slope.free_symbols or units == 1
        slope = pen.expression(partial.slope) if letters else ""
        formula = pen.formula(sign, slope, exact, pen.number(number * units))
        said.append(formula + _per_unit(change, step.unknown, partial.by))
    line = f"{step.relation.name}: {', '.join(said)}"
    if direct:
        return line
    total = pen.formula(
        pen.slope_sign(step.unknown, change.by, "d"),
        pen.number(_total(change, step.unknown)),
    )
    return f"{line}; so {total}"


def _in_units(change: Change, name: str, by: str) -> float:
    quantities = change.plan.network.quantities
    return quantities[by].scale / quantities[name].scale


def _shown(change: Change, thing: Quantity | Constant) -> tuple[str, float]:
    return shown_unit(thing.unit, change.style)


def _ratio(change: Change, name: str, by: str) -> float:
    """From a slope in reporting units to one in the units that are shown."""
    of, per = (_shown(change, change.plan.network.quantities[one])[1] for one in (name, by))
    return of / per if of != per else 1.0


def _total(change: Change, name: str) -> float:
    """The slope of `name` by what is moved, in the units that are shown."""
    return change.totals[name] * _ratio(change, name, change.by)


def _per_unit(change: Change, name: str, by: str) -> str:
    """Said where the reporting units differ: the formula then holds in metres and radians."""
    if _in_units(change, name, by) == 1:
        return ""
    quantities = change.plan.network.quantities
    of, per = (_shown(change, quantities[one])[0] for one in (name, by))
    return f"{of} per {per.strip() or '1'}"


def _together(change: Change, step: Step, pen: _Pen) -> str:
    names = ", ".join(relation.name for relation in step.relations)
    slopes = [
        pen.formula(pen.slope_sign(name, change.by, "d"), pen.number(_total(change, name)))
        for name in step.unknowns
    ]
    return f"solved together ({names}): {', '.join(slopes)}"


def _outcome(change: Change, by: Quantity | Constant, name: Quantity | Constant) -> str:
    def said(value: float, of: Quantity | Constant, unit: bool = True) -> str:
        label, size = _shown(change, of)
        return f"{_figures(value * size)}{label if unit else ''}"

    moved = change.by_before + change.amount
    lead = (
        f"{change.by} changed by {said(change.amount, by)}, from "
        f"{said(change.by_before, by, unit=False)} to {said(moved, by)}: {change.name} changes by "
        f"{said(change.first_order, name)} to first order"
    )
    if change.actual is None:
        thing = change.plan.network.wording.thing
        return f"{lead}. Worked out again there is no such {thing}: {change.impossible}."
    return (
        f"{lead}; worked out again by {said(change.actual, name)}, from "
        f"{said(change.before, name, unit=False)} to {said(change.before + change.actual, name)}."
    )


def _figures(value: float) -> str:
    return f"{value:.6g}".replace("-", "−")
