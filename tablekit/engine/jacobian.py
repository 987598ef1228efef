"""Slopes of everything a plan solves, by what drives it, and the chain rule written out.

All relations and assumptions in force say F(found, given) = 0 at once. The symbolic slopes of each
are compiled once, whatever plan it stands in; at given values the implicit function theorem then
turns them into slopes of what is found, step by step: one division for a step in closed form, one
small linear system for a block.

A `Chain` shows how a change travels from one quantity to another. Everything symbolic is done once
for each plan and pair of names. Where each slope on the way follows from exact assumed values alone
(a right angle, say), so does the whole.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.codegen import compile_vector, derivative, residual_slope
from tablekit.engine.declarations import Declarations
from tablekit.engine.order import ClosedStep, Step
from tablekit.engine.plan import Plan
from tablekit.engine.quantity import Constant
from tablekit.engine.trouble import DesignError
from tablekit.engine.unit_table import SYMBOLS, UNITS

# -- slopes in numbers -----------------------------------------------------------------------------

Floats = NDArray[np.float64]


def step_equations(step: Step) -> Iterator[sp.Eq]:
    """The equations a step satisfies; a hand-given rearrangement stands for its relation.

    A count that is rounded down has no slope to invert: given the count, the rearrangement says
    which share of the rim was meant.
    """
    if not isinstance(step, ClosedStep):
        for inner in step.follow:
            yield from step_equations(inner)
        yield from (relation.equation for relation in step.closing)
    elif step.unknown in step.relation.inverse:
        symbol = next(s for s in step.relation.equation.free_symbols if s.name == step.unknown)
        yield sp.Eq(symbol, step.relation.inverse[step.unknown], evaluate=False)
    else:
        yield step.relation.equation


class EquationSlopes:
    """The compiled slopes of what one equation leaves over.

    names  the quantities that it mentions, in order
    """

    def __init__(self, equation: sp.Eq, network: Declarations):
        symbols = {name: quantity.symbol for name, quantity in network.quantities.items()}
        self.names = sorted(s.name for s in equation.free_symbols if s.name in symbols)
        inputs = [symbols[name] for name in self.names]
        self._function = compile_vector(
            inputs,
            [residual_slope(equation, symbol) for symbol in inputs],
            arrays=True,
            constants={c.symbol: c.si for c in network.constants.values()},
            share=False,
        )

    def at(self, values: Mapping[str, Any]) -> Sequence[float]:
        """By each of its quantities, at NumPy floats in coherent SI; nan where there is none."""
        return self._function(*[values[name] for name in self.names])


# As many as several networks hold.
@lru_cache(maxsize=4096)
def equation_slopes(equation: sp.Eq, network: Declarations) -> EquationSlopes:
    """The slopes of an equation of a network, compiled once."""
    return EquationSlopes(equation, network)


def _moves(
    plan: Plan, values: Mapping[str, float], of: Sequence[str], by: Sequence[str]
) -> dict[str, Floats]:
    """By name the slopes by each of `by`, coherent SI per coherent SI: of `of` and of all that
    they rest on; 0 for the rest."""
    at = {name: np.float64(value) for name, value in values.items()}
    moves = {name: np.zeros(len(by)) for name in plan.network.quantities}
    for column, name in enumerate(by):
        if name in plan.givens:
            moves[name][column] = 1.0
    with np.errstate(all="ignore"):
        for step in plan.steps_to(*of):
            _through(plan, step, at, moves, by)
    return moves


def _through(
    plan: Plan, step: Step, at: Mapping[str, Any], moves: dict[str, Floats], by: Sequence[str]
) -> None:
    count = len(step.unknowns)
    place = {name: index for index, name in enumerate(step.unknowns)}
    own, driven = np.zeros((count, count)), np.zeros((count, len(by)))
    for row, equation in enumerate(step_equations(step)):
        slopes = equation_slopes(equation, plan.network)
        for name, slope in zip(slopes.names, slopes.at(at), strict=True):
            if name in place:
                own[row, place[name]] += slope
            elif moves[name].any():  # else a slope without a value would spoil what it never moves
                driven[row] -= slope * moves[name]
    if count == 1 and step.unknowns[0] in by and plan.assumed_directly(step.unknowns[0]):
        driven[0, list(by).index(step.unknowns[0])] += 1.0
    for name, move in zip(step.unknowns, _solve(own, driven, step, at), strict=True):
        moves[name] = move + 0.0  # no minus zero on the sheet


def _solve(own: Floats, driven: Floats, step: Step, values: Mapping[str, float]) -> Floats:
    if len(own) == 1:
        return np.asarray(driven / own[0, 0], dtype=float)
    # Metres beside cubic millimetres: scaled so that the pivots are chosen by what matters.
    across = np.array([abs(values[name]) or 1.0 for name in step.unknowns])
    scaled = own * across
    down = np.max(np.abs(scaled), axis=1, keepdims=True)
    try:
        solved = np.linalg.solve(scaled / down, driven / down)
        return np.asarray(solved * across[:, None], dtype=float)
    except np.linalg.LinAlgError:  # two answers meet here, and the slope is without bound
        return np.full_like(driven, math.nan)


def slopes_at(
    plan: Plan, values: Mapping[str, float], of: Sequence[str], by: Sequence[str]
) -> dict[tuple[str, str], float]:
    """Slope of each of `of` by each of `by`, reporting unit per reporting unit.

    values are in coherent SI and satisfy the plan. Each of `by` is a given, or a quantity assumed
    directly, which is then moved off what it is assumed to be. A count has the slope 0 (it has none
    at its steps), a quantity without a value nan. Raises UnknownName, and DesignError where a name
    of `by` follows from others or one of `of` is still free.
    """
    network = plan.network
    for name in (*of, *by):
        network.quantity(name)
    for name in by:
        if name not in plan.givens and plan.assumed_directly(name) is None:
            raise DesignError(
                f"{name} is neither given nor assumed here but follows from "
                f"{', '.join(plan.givens_behind(name)) or 'what is assumed'}, so it cannot be "
                "moved alone. Ask how a result changes with one of those, or use `change`, which "
                "lets one of them give way."
            )
    free = set(plan.free)
    for name in of:
        if name in free:
            raise DesignError(f"{name} is still free, so it has no slope")
    moves = _moves(plan, values, of, by)
    quantities = network.quantities
    found = {}
    for result in of:
        for column, name in enumerate(by):
            per_unit = quantities[name].scale / quantities[result].scale
            slope = float(moves[result][column]) * per_unit
            found[result, name] = math.nan if math.isnan(values[result]) else slope
    return found


# -- the chain rule, written out -------------------------------------------------------------------


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
