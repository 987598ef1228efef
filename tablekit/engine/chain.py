"""The chain rule written out: how a change travels from one quantity to another, step by step.

Everything symbolic is done once for each plan and pair of names. Where each slope on the way
follows from exact assumed values alone (a right angle, say), so does the whole.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import sympy as sp

from tablekit.engine.calculus import derivative
from tablekit.engine.lambdas import compile_vector
from tablekit.engine.order import ClosedStep, Step
from tablekit.engine.plan import Plan
from tablekit.engine.quantity import Constant
from tablekit.engine.unit_table import SYMBOLS, UNITS


@dataclass(frozen=True)
class Partial:
    """How one step answers one of the quantities it uses.

    slope is in symbols (coherent SI); exact is the same with exact assumed values put in, or None
    where something else than those decides it.
    """

    by: str
    slope: sp.Expr
    exact: sp.Expr | None


@dataclass(frozen=True)
class Link:
    """One step of the chain: `partials` are empty for a block, whose slopes are only numbers."""

    step: Step
    partials: tuple[Partial, ...]

    @property
    def unknowns(self) -> tuple[str, ...]:
        """What the step finds."""
        return self.step.unknowns


class Chain:
    """The steps of `plan` through which `by` acts on `name`, as `links`.

    exact  slope of `name` by `by`, reporting unit per reporting unit; None where it is not exact.
    The exact values put in are those of `sheet_plan`, which the design was first solved with.
    """

    def __init__(self, plan: Plan, name: str, by: str, sheet_plan: Plan):
        self.plan, self.name, self.by = plan, name, by
        self._known = exact_values(sheet_plan)
        self.links: list[Link] = []
        # Exact slope of everything that moves, by `by`; None where it is not exact.
        self._totals: dict[str, sp.Expr | None] = {by: sp.Integer(1)}
        for step in plan.steps_to(name):
            if step.needs & self._totals.keys():
                self._add(step)
        self.exact = self._in_reporting_units()

    def _add(self, step: Step) -> None:
        if not isinstance(step, ClosedStep):
            self.links.append(Link(step, ()))
            self._totals.update(dict.fromkeys(step.unknowns))
            return
        partials = []
        for name in sorted(step.needs & self._totals.keys()):
            slope = self._slope(step, name)
            if slope != 0:
                partials.append(Partial(name, slope, self._put_in(slope)))
        if partials:
            self.links.append(Link(step, tuple(partials)))
            self._totals[step.unknown] = self._total(partials)

    def _slope(self, step: ClosedStep, name: str) -> sp.Expr:
        symbols = self.plan.program.symbols
        if len(step.forms) == 1:
            return derivative(step.forms[0], symbols[name])
        # The same for every branch: the relation itself, differentiated where it stands.
        equation = step.relation.equation
        difference = equation.lhs - equation.rhs
        down = derivative(difference, symbols[step.unknown])
        return -derivative(difference, symbols[name]) / down

    def _put_in(self, slope: sp.Expr) -> sp.Expr | None:
        if any(s.name not in self._known for s in slope.free_symbols):
            return None
        value = slope.xreplace({s: self._known[s.name] for s in slope.free_symbols})
        return None if value.has(sp.Float) else _simplest(value)

    def _total(self, partials: list[Partial]) -> sp.Expr | None:
        total = sp.Integer(0)
        for partial in partials:
            upstream = self._totals[partial.by]
            if upstream is None or partial.exact is None:
                return None
            total += upstream * partial.exact
        return _simplest(total)

    def _in_reporting_units(self) -> sp.Expr | None:
        """Exact slope of `name` by `by`, reporting unit per reporting unit; None if not exact."""
        total = self._totals.get(self.name, sp.Integer(0))
        if total is None:
            return None
        quantities = self.plan.network.quantities
        per_unit = _exact_size(quantities[self.by].unit) / _exact_size(quantities[self.name].unit)
        return _simplest(total * per_unit)

    @cached_property
    def _function(self) -> tuple[list[str], Callable[..., tuple[Any, ...]]]:
        program = self.plan.program
        slopes = [partial.slope for link in self.links for partial in link.partials]
        used = {s.name for slope in slopes for s in slope.free_symbols}
        inputs = sorted(used & program.symbols.keys())
        symbols = [program.symbols[name] for name in inputs]
        return inputs, compile_vector(symbols, slopes, arrays=True, constants=program.constants)

    def numbers(self, values: Mapping[str, float]) -> list[float]:
        """Every partial slope of every link in turn, coherent SI per coherent SI."""
        inputs, function = self._function
        with np.errstate(all="ignore"):
            found = function(*[np.float64(values[name]) for name in inputs])
        return [float(number) for number in found]


@lru_cache(maxsize=1024)
def chain(plan: Plan, name: str, by: str, sheet_plan: Plan) -> Chain:
    """The chain from `by` to `name`, worked out once."""
    return Chain(plan, name, by, sheet_plan)


@lru_cache(maxsize=512)
def exact_values(plan: Plan) -> dict[str, sp.Expr]:
    """Every quantity and constant that exact assumed values alone decide, in coherent SI."""
    constants = plan.network.constants.values()
    known = {constant.name: exact_value(constant) for constant in constants}
    for step in plan.steps:
        if not isinstance(step, ClosedStep) or not step.needs <= known.keys():
            continue
        values = [
            _simplest(form.xreplace({s: known[s.name] for s in form.free_symbols}))
            for form in step.forms
        ]
        low, high = plan.program.range_of(step.unknown)
        inside = [v for v in values if v.is_real and low - 1e-12 <= float(v) <= high + 1e-12]
        if len(inside) == 1 and not inside[0].has(sp.Float):
            known[step.unknown] = inside[0]
    return known


def exact_value(constant: Constant) -> sp.Expr:
    """The value of a constant in coherent SI, without rounding."""
    zero = UNITS[SYMBOLS[constant.unit]].zero
    return sp.Rational(repr(constant.value)) * _exact_size(constant.unit) + _rational(zero)


# Sizes of units that are no fraction: the table has them to as many figures as pint.
_OF_PI = {
    "deg": sp.pi / 180,
    "arcmin": sp.pi / 10800,
    "arcsec": sp.pi / 648000,
    "rpm": sp.pi / 30,
}


def _exact_size(unit: str) -> sp.Expr:
    return _OF_PI[unit] if unit in _OF_PI else _rational(UNITS[SYMBOLS[unit]].size)


def _rational(number: Fraction) -> sp.Rational:
    return sp.Rational(number.numerator, number.denominator)


def _simplest(value: sp.Expr) -> sp.Expr:
    return sp.radsimp(sp.simplify(value))
