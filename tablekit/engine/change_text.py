"""The answer of `change` written out, with the slope of every step on the way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import sympy as sp

from tablekit.engine.chain import Partial
from tablekit.engine.formula import Formula, Piece, Plain, Script, Tex
from tablekit.engine.plan import ClosedStep, Step
from tablekit.engine.quantity import Constant, Quantity

if TYPE_CHECKING:
    from tablekit.engine.sensitivity import Change


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
    whole = pen.formula(
        pen.slope_sign(change.name, change.by, "d"), exact, pen.number(change.slope)
    )
    by, name = pen.thing(change.by), pen.thing(change.name)
    lines.append(f"Together: {whole}{_unit(name.unit)} per {_unit(by.unit).strip() or '1'}.")
    return [*lines, _outcome(change, by.unit, name.unit)]


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
        pen.slope_sign(step.unknown, change.by, "d"), pen.number(change.totals[step.unknown])
    )
    return f"{line}; so {total}"


def _in_units(change: Change, name: str, by: str) -> float:
    quantities = change.plan.network.quantities
    return quantities[by].scale / quantities[name].scale


def _per_unit(change: Change, name: str, by: str) -> str:
    """Said where the reporting units differ: the formula then holds in metres and radians."""
    if _in_units(change, name, by) == 1:
        return ""
    quantities = change.plan.network.quantities
    return f"{_unit(quantities[name].unit)} per {quantities[by].unit}"


def _together(change: Change, step: Step, pen: _Pen) -> str:
    names = ", ".join(relation.name for relation in step.relations)
    slopes = [
        pen.formula(pen.slope_sign(name, change.by, "d"), pen.number(change.totals[name]))
        for name in step.unknowns
    ]
    return f"solved together ({names}): {', '.join(slopes)}"


def _outcome(change: Change, by_unit: str, unit: str) -> str:
    def said(value: float, of: str) -> str:
        return f"{_figures(value)}{_unit(of)}"

    moved = change.by_before + change.amount
    lead = (
        f"{change.by} changed by {said(change.amount, by_unit)}, from "
        f"{_figures(change.by_before)} to {said(moved, by_unit)}: {change.name} changes by "
        f"{said(change.first_order, unit)} to first order"
    )
    if change.actual is None:
        thing = change.plan.network.wording.thing
        return f"{lead}. Worked out again there is no such {thing}: {change.impossible}."
    return (
        f"{lead}; worked out again by {said(change.actual, unit)}, from "
        f"{_figures(change.before)} to {said(change.before + change.actual, unit)}."
    )


def _figures(value: float) -> str:
    return f"{value:.6g}".replace("-", "−")


def _unit(unit: str) -> str:
    return "" if unit == "1" else f" {unit}"
