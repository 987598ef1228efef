"""The slopes of everything a plan solves, by everything that drives it.

All relations and assumptions in force say F(found, given) = 0 at once. Their symbolic Jacobian is
compiled once for each plan; at given values the implicit function theorem then turns it into
slopes, step by step: one division for a step in closed form, one small linear system for a block.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.calculus import residual_slope
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


class Jacobian:
    """The compiled slopes of everything a plan solves."""

    def __init__(self, plan: Plan):
        self.plan = plan
        self._entries: list[list[tuple[int, str, int]]] = []
        symbols, program = plan.program.symbols, plan.program
        slopes: list[sp.Expr] = []
        for step in plan.steps:
            entries = []
            for row, equation in enumerate(step_equations(step)):
                names = sorted(s.name for s in equation.free_symbols if s.name in symbols)
                for name in names:
                    entries.append((row, name, len(slopes)))
                    slopes.append(residual_slope(equation, symbols[name]))
            self._entries.append(entries)
        used = {s.name for slope in slopes for s in slope.free_symbols}
        self._inputs = sorted(used & symbols.keys())
        inputs = [symbols[name] for name in self._inputs]
        self._function = compile_vector(inputs, slopes, arrays=True, constants=program.constants)

    def solve(self, values: Mapping[str, float], by: Sequence[str]) -> dict[str, Floats]:
        """For every quantity its slopes by each of `by`, coherent SI per coherent SI.

        values are in coherent SI and satisfy the plan. Each of `by` is a given, or a quantity
        assumed directly, which is then moved off what it is assumed to be.
        """
        with np.errstate(all="ignore"):
            numbers = self._function(*[np.float64(values[name]) for name in self._inputs])
            moves = {name: np.zeros(len(by)) for name in self.plan.network.quantities}
            for column, name in enumerate(by):
                if name in self.plan.givens:
                    moves[name][column] = 1.0
            for step, entries in zip(self.plan.steps, self._entries, strict=True):
                self._through(step, entries, numbers, moves, by, values)
        return moves

    def _through(
        self,
        step: Step,
        entries: Sequence[tuple[int, str, int]],
        numbers: Sequence[float],
        moves: dict[str, Floats],
        by: Sequence[str],
        values: Mapping[str, float],
    ) -> None:
        count = len(step.unknowns)
        place = {name: index for index, name in enumerate(step.unknowns)}
        own, driven = np.zeros((count, count)), np.zeros((count, len(by)))
        for row, name, index in entries:
            if name in place:
                own[row, place[name]] += numbers[index]
            elif moves[name].any():  # else a slope without a value would spoil what it never moves
                driven[row] -= numbers[index] * moves[name]
        if count == 1 and step.unknowns[0] in by and self.plan.assumed_directly(step.unknowns[0]):
            driven[0, list(by).index(step.unknowns[0])] += 1.0
        for name, move in zip(step.unknowns, _solve(own, driven, step, values), strict=True):
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


@lru_cache(maxsize=512)
def jacobian(plan: Plan) -> Jacobian:
    """The Jacobian of a plan, compiled once."""
    return Jacobian(plan)


def slopes_at(
    plan: Plan, values: Mapping[str, float], of: Sequence[str], by: Sequence[str]
) -> dict[tuple[str, str], float]:
    """Slope of each of `of` by each of `by`, reporting unit per reporting unit.

    values are in coherent SI; `by` as in `Jacobian.solve`. A count has the slope 0 (it has none
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
    moves = jacobian(plan).solve(values, by)
    quantities = network.quantities
    found = {}
    for result in of:
        for column, name in enumerate(by):
            per_unit = quantities[name].scale / quantities[result].scale
            slope = float(moves[result][column]) * per_unit
            found[result, name] = math.nan if math.isnan(values[result]) else slope
    return found
