"""How results change when something changes: slopes, and the reverse question.

`slopes` asks how a result answers the givens of a sheet. `change` turns the design round: what
if a length that followed from a given height is made 10 mm shorter? A given has to let go for that,
and which one does is chosen here too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import sympy as sp

from tablekit.engine.as_cut import assumed_numbers, difference
from tablekit.engine.formula import FormulaWriter, Piece, Plain, Script, Tex
from tablekit.engine.jacobian import Chain, Partial, chain, slopes_at
from tablekit.engine.judge import in_words
from tablekit.engine.order import ClosedStep, Step
from tablekit.engine.plan import Plan, plan_of
from tablekit.engine.quantity import Constant, Quantity
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
        self._formula = FormulaWriter(script, lambda symbol: Piece(self.letter(symbol.name)))

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


# -- which given lets go ---------------------------------------------------------------------------


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
