"""The slopes of everything a plan solves, by everything that drives it.

All relations and assumptions in force say F(found, given) = 0 at once. The symbolic slopes of each
are compiled once, whatever plan it stands in; at given values the implicit function theorem then
turns them into slopes of what is found, step by step: one division for a step in closed form, one
small linear system for a block.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.calculus import residual_slope
from tablekit.engine.declarations import Declarations
from tablekit.engine.lambdas import compile_vector
from tablekit.engine.order import ClosedStep, Step
from tablekit.engine.plan import Plan
from tablekit.engine.trouble import DesignError

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
