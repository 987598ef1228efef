"""A network in explicit form: every quantity as a function of a few parameters.

The usual givens of a network, together with what it assumes, settle everything in closed form. Here
each of them is a parameter: a quantity that is assumed takes its assumed value unless it is given a
value of its own. So one compiled form serves every set of givens, whatever assumptions give way to
it, and over any number of designs as arrays. Where a few relations of a network hold only together,
the values tried for them are parameters too, and the relations left over must close.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import islice
from typing import Any

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.codegen import chooser, closing, compile_vector
from tablekit.engine.declarations import Declarations
from tablekit.engine.judge import can_be_left_out, limits_in_force
from tablekit.engine.order import ClosedStep, TogetherStep
from tablekit.engine.plan import Plan, plan_of, settling_sets
from tablekit.engine.relation import Assumption, Relation
from tablekit.engine.slack import SLACK

Floats = NDArray[np.float64]
_MOST_BASES = 12
_KEPT = 128  # chains of formulas that are remembered
_Bounds = tuple[list[str], Floats, Floats]
LIMIT_SLACK = 1e-10  # finer than what judges an answer, so that what is found passes there


@dataclass(frozen=True)
class ArrayFormula:
    """One or more values worked out from others, compiled for arrays."""

    needs: tuple[str, ...]
    function: Callable[..., tuple[Any, ...]]

    def __call__(self, values: Mapping[str, Any]) -> tuple[Any, ...]:
        return self.function(*map(values.__getitem__, self.needs))


class Explicit:
    """The explicit form of a network.

    free      parameters that nothing is assumed of
    assumed   parameters that an assumption has a value for, firmest first
    tried     parameters that relations must close over: `closing`
    rigid     assumptions that this form always holds; of most networks there are none
    """

    def __init__(self, network: Declarations):
        self.network = network
        self.plan = _base(network)
        self.free = self.plan.givens
        direct = [
            a for a in network.assumptions
            if a in self.plan.assumptions
            and a.quantity is not None
            and self.plan.assumed_directly(a.quantity.name) is a
        ]  # fmt: skip
        self.assumed: dict[str, Assumption] = {
            a.quantity.name: a for a in direct if a.quantity is not None
        }
        self.rigid = tuple(a for a in self.plan.assumptions if a not in direct)
        blocks = [step for step in self.plan.steps if isinstance(step, TogetherStep)]
        self.tried = tuple(name for step in blocks for name in step.tried)
        self.closing = tuple(relation for step in blocks for relation in step.closing)
        self._steps = [s for step in self.plan.steps for s in _closed(step)]
        self._step_of = {step.unknown: step for step in self._steps}
        self._formulas: dict[str, ArrayFormula] = {}
        self._residuals: dict[str, ArrayFormula] = {}
        self._chain = lru_cache(maxsize=_KEPT)(self._chain_anew)
        self._judging = lru_cache(maxsize=_KEPT)(self._judging_anew)
        self._kept_ranges: dict[str, tuple[float, float]] = {}

    @cached_property
    def parameters(self) -> tuple[str, ...]:
        """All parameters."""
        return (*self.free, *self.assumed, *self.tried)

    def range_of(self, name: str) -> tuple[float, float]:
        """The range of a quantity in coherent SI."""
        if name not in self._kept_ranges:
            self._kept_ranges[name] = self.plan.program.range_of(name)
        return self._kept_ranges[name]

    def typical(self, name: str) -> float:
        """A value of a quantity to begin from, coherent SI."""
        return self.plan.program.preferred(name)

    # -- what is worked out from what --------------------------------------------------------

    def behind(self, names: Iterable[str], fixed: Collection[str] = ()) -> frozenset[str]:
        """Every quantity that `names` rest on, they themselves among them.

        fixed  parameters with a value of their own, which rest on nothing"""
        reached: set[str] = set()
        queue = list(names)
        while queue:
            name = queue.pop()
            if name in reached:
                continue
            reached.add(name)
            step = self._step_of.get(name)
            if step is not None and name not in fixed:
                queue += [need for need in step.needs if need not in self.network.constants]
        return frozenset(reached)

    def evaluate(
        self,
        parameters: Mapping[str, Any],
        shares: Mapping[str, Any] | None = None,
        names: Collection[str] | None = None,
    ) -> dict[str, Any]:
        """Values of `names` (of all where left out) and of all they rest on, coherent SI.

        parameters  arrays or floats: all of `free` and `tried` that are needed, and those of
                    `assumed` that have a value of their own
        shares      for others of `assumed`, the multiple of its assumed value that each takes
        """
        values: dict[str, Any] = dict(parameters)
        shares = shares or {}
        wanted = None if names is None else frozenset(names)
        with np.errstate(all="ignore"):
            for name, formula in self._chain(wanted, frozenset(parameters)):
                (value,) = formula(values)
                values[name] = value * shares[name] if name in shares else value
        return values

    def _chain_anew(
        self, names: frozenset[str] | None, parameters: frozenset[str]
    ) -> tuple[tuple[str, ArrayFormula], ...]:
        """What is worked out to come to `names` from `parameters`, in order."""
        needed = None if names is None else self.behind(names, parameters)
        return tuple(
            (step.unknown, self._formula(step))
            for step in self._steps
            if step.unknown not in parameters and (needed is None or step.unknown in needed)
        )

    def _formula(self, step: ClosedStep) -> ArrayFormula:
        name = step.unknown
        if name not in self._formulas:
            one = [self._compiled([form]) for form in step.forms]
            self._formulas[name] = one[0] if len(one) == 1 else self._chosen(name, one)
        return self._formulas[name]

    def _chosen(self, name: str, branches: Sequence[ArrayFormula]) -> ArrayFormula:
        choose = chooser(*self.range_of(name), arrays=True)
        needs = tuple(sorted({need for branch in branches for need in branch.needs}))
        preferred = self.typical(name)

        def chosen(*numbers: Any) -> tuple[Any, ...]:
            values = dict(zip(needs, numbers, strict=True))
            return (choose(preferred, *(branch(values)[0] for branch in branches)),)

        return ArrayFormula(needs, chosen)

    def _compiled(self, expressions: Sequence[sp.Expr]) -> ArrayFormula:
        program = self.plan.program
        used = {s.name for expression in expressions for s in expression.free_symbols}
        needs = tuple(sorted(used & program.symbols.keys()))
        inputs = [program.symbols[name] for name in needs]
        function = compile_vector(
            inputs, expressions, arrays=True, constants=program.constants, share=False
        )
        return ArrayFormula(needs, function)

    def left_over(self, statement: Relation, values: Mapping[str, Any]) -> Any:
        """What a relation or an assumption leaves over, relative to the size of its terms."""
        if statement.name not in self._residuals:
            pair = closing(statement.equation.lhs, statement.equation.rhs)
            self._residuals[statement.name] = self._compiled(pair)
        with np.errstate(all="ignore"):
            left, size = self._residuals[statement.name](values)
            return left / np.maximum(size, 1e-9)

    def share(self, name: str, values: Mapping[str, float]) -> float:
        """What multiple of its assumed value a parameter of `assumed` has in a design."""
        with np.errstate(all="ignore"):
            return float(values[name] / self._formula(self._step_of[name])(values)[0])

    def inverse(self, relation: Relation, name: str) -> ArrayFormula:
        """A relation's own rearrangement for one of its quantities."""
        key = f"{relation.name} for {name}"
        if key not in self._residuals:
            self._residuals[key] = self._compiled([relation.inverse[name]])
        return self._residuals[key]

    # -- what a design must keep to ----------------------------------------------------------

    @cached_property
    def _limits(self) -> list[tuple[ArrayFormula, bool, str]]:
        """Of every limit its slack, whether passing it only leaves a quantity out, and which."""
        return [
            (
                self._compiled([limit.slack]),
                limit.otherwise == "leave out" and can_be_left_out(step, self.plan),
                step.unknowns[0],
            )
            for step in self.plan.steps
            for _, limit in limits_in_force(step, self.plan)
        ]

    def violations(
        self,
        values: Mapping[str, Any],
        given: Collection[str] = (),
        only: Sequence[int] | None = None,
    ) -> Floats:
        """By how much designs pass each limit and each range, as a share; 0 where they do not.

        values   of all quantities that are judged, arrays of shape (n,) or floats
        given    names that must have a value
        only     the columns to work out, in order; all if not said
        Returns shape (n, quantities + limits), or of `only`; inf where a value is missing that is
        not simply left out.
        """
        bounds, limits = self._judging(frozenset(given), None if only is None else tuple(only))
        names, low, high = bounds
        count = max((np.size(value) for value in values.values()), default=1)
        table = np.empty((count, len(names)))
        for column, name in enumerate(names):
            table[:, column] = values[name]
        passed: list[Floats] = []
        with np.errstate(all="ignore"):
            over = np.maximum(np.maximum(low - table, table - high) / (high - low), 0.0)
            over[over < SLACK] = 0.0  # nan stays
            for slack, place in limits:
                margin = np.broadcast_to(slack(values)[0], count)
                if place is None:
                    passed.append(np.where(margin >= -LIMIT_SLACK, 0.0, np.abs(margin)))
                else:  # what has no value is in no range
                    over[~(margin >= -LIMIT_SLACK), place] = 0.0
        both = np.concatenate([over, np.stack(passed, axis=1)] if passed else [over], axis=1)
        return np.asarray(np.where(np.isnan(both), math.inf, both))

    def _judging_anew(
        self, given: frozenset[str], only: tuple[int, ...] | None
    ) -> tuple[_Bounds, list[tuple[ArrayFormula, int | None]]]:
        """What `violations` works out for some of its columns: names with the ends of their
        ranges, and limits, each with the place of the quantity that passing it leaves out."""
        names, low, high = self._ranges
        columns = range(self._judged_count(given)) if only is None else only
        ranged = [index for index in columns if index < len(names)]
        place_of = {names[index]: place for place, index in enumerate(ranged)}
        limits: list[tuple[ArrayFormula, int | None]] = []
        number, wanted = len(names), set(columns)
        for slack, leave_out, name in self._limits:
            if leave_out and name not in given:
                if name in place_of:
                    limits.append((slack, place_of[name]))
                continue
            if number in wanted:
                limits.append((slack, None))
            number += 1
        return ([names[index] for index in ranged], low[ranged], high[ranged]), limits

    def _judged_count(self, given: Collection[str]) -> int:
        left_out = sum(leave_out and name not in given for _, leave_out, name in self._limits)
        return len(self.network.quantities) + len(self._limits) - left_out

    def judged(self, given: Collection[str] = ()) -> list[tuple[str, ...]]:
        """The quantities that each column of `violations` judges."""
        needs = {
            name: slack.needs
            for slack, leave_out, name in self._limits
            if leave_out and name not in given
        }
        columns = [(name, *needs.get(name, ())) for name in self.network.quantities]
        for slack, leave_out, name in self._limits:
            if not leave_out or name in given:
                columns.append(slack.needs)
        return columns

    @cached_property
    def _ranges(self) -> tuple[list[str], Floats, Floats]:
        low, high = zip(*map(self.range_of, self.network.quantities), strict=True)
        return list(self.network.quantities), np.array(low), np.array(high)


def _closed(step: ClosedStep | TogetherStep) -> tuple[ClosedStep, ...]:
    return (step,) if isinstance(step, ClosedStep) else step.follow


def _base(network: Declarations) -> Plan:
    """The plan of a usual set of givens that has to try the fewest values."""
    nothing = plan_of(network, ())
    best, least = nothing, (math.inf, 0)
    sets = settling_sets(nothing, _MOST_BASES) if nothing.free else [()]
    for names in islice(sets, _MOST_BASES):
        plan = plan_of(network, names)
        tried = sum(len(step.tried) for step in plan.steps if isinstance(step, TogetherStep))
        indirect = sum(
            a.quantity is None or plan.assumed_directly(a.quantity.name) is not a
            for a in plan.assumptions
        )
        if (tried, indirect) < least:
            best, least = plan, (tried, indirect)
        if least == (0, 0):
            break
    return best


@lru_cache(maxsize=32)
def explicit_form(network: Declarations) -> Explicit:
    """The explicit form of a network, made once."""
    return Explicit(network)
