"""Compiled plans: numbers in, numbers out, no sympy on the way."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

import numpy as np
import sympy as sp
from numpy.typing import ArrayLike, NDArray

from tablekit.engine.audit import Audit
from tablekit.engine.block import CLOSED, NOTHING, SEVERAL, Block
from tablekit.engine.calculus import closing
from tablekit.engine.lambdas import chooser
from tablekit.engine.plan import ClosedStep, Plan, Step, TogetherStep
from tablekit.engine.relation import Limit, Relation
from tablekit.engine.segment import Segment, preferred_symbol
from tablekit.engine.slack import with_slack
from tablekit.engine.written import Assignment

Floats = NDArray[np.float64]
_CHUNK = 8192  # designs at a time: some fifty arrays of this length stay in the second cache
LIMIT_SLACK = 1e-10
_MOST_ATTEMPTS = 24
_ARITHMETIC = (ValueError, ZeroDivisionError, OverflowError, TypeError)


@dataclass(frozen=True)
class Problem:
    """One reason why a set of numbers is no design. Values in coherent SI.

    kind  "undefined": `relation` gives no real number for `name`;
          "range": `name` found outside [low, high]; "limit": `relation` does not hold, short by
          -`value`; "mismatch": `name` was given as `low` but the others make it `value`;
          "no root": no value of `name` lets a block of relations hold together;
          "open": any value of `name` does
    """

    kind: Literal["undefined", "range", "limit", "mismatch", "no root", "open"]
    name: str
    value: float
    low: float = -math.inf
    high: float = math.inf
    relation: Relation | None = None
    limit: Limit | None = None


@dataclass
class Outcome:
    """One design: every value (coherent SI), and what is wrong with it.

    alternatives  for a name with several answers in range, all of them
    left_out      names that have no value here, and why
    """

    values: dict[str, float]
    problems: list[Problem] = field(default_factory=list)
    alternatives: dict[str, list[float]] = field(default_factory=dict)
    left_out: dict[str, str] = field(default_factory=dict)


class Program:
    """A compiled plan.

    `run` takes one design as floats, `run_arrays` any number of them; both in coherent SI.
    """

    def __init__(self, plan: Plan):
        self.plan = plan
        network = plan.network
        self.symbols = {n: q.symbol for n, q in network.quantities.items()}
        self.constants = {c.symbol: c.si for c in network.constants.values()}
        self.branching: dict[str, ClosedStep] = {}
        self.limits = self._active_limits()
        self._put_back = [
            step.unknown
            for step in plan.steps
            if isinstance(step, ClosedStep) and step.must_be_put_back
        ]
        self.parts: list[Segment | Block] = list(self._assemble())
        self.bounds = self._bounds()
        tried = [n for part in self.parts if isinstance(part, Block) for n in part.chosen]
        self._preferences = {n: self.preferred(n) for n in (*self.branching, *tried)}

    # -- building ---------------------------------------------------------------------------

    def assignment(self, step: ClosedStep) -> Assignment:
        """What a closed step computes, with a choice between branches where there are several."""
        symbol = self.symbols[step.unknown]
        if len(step.forms) == 1:
            return (symbol, step.forms[0])
        self.branching[step.unknown] = step
        choose = sp.Function(f"_choose_{step.unknown}")
        return (symbol, choose(preferred_symbol(step.unknown), *step.forms))

    def choosers(self, arrays: bool) -> dict[str, Callable[..., Any]]:
        """The functions that choose between branches."""
        return {
            f"_choose_{name}": chooser(*self.range_of(name), arrays=arrays)
            for name in self.branching
        }

    def range_of(self, name: str) -> tuple[float, float]:
        """The sensible range of a quantity in coherent SI."""
        quantity = self.plan.network.quantities[name]
        return quantity.to_si(quantity.low), quantity.to_si(quantity.high)

    def preferred(self, name: str) -> float:
        """The value to stay near when several are possible: the assumed one, else mid-range."""
        assumption = self.plan.network.assumption_of(name)
        if assumption is not None and assumption.value.is_number:
            return float(assumption.value)
        low, high = self.range_of(name)
        return math.sqrt(low * high) if low > 0 else (low + high) / 2

    def _active_limits(self) -> list[tuple[Step, Relation, Limit]]:
        free = set(self.plan.free)
        return [
            (step, relation, limit)
            for step in self.plan.steps
            for relation in step.relations
            for limit in relation.limits
            if not free & {s.name for s in limit.slack.free_symbols}
        ]

    def _assemble(self) -> Iterator[Segment | Block]:
        run: list[Assignment] = []
        for step in self.plan.steps:
            if isinstance(step, TogetherStep):
                if run:
                    yield Segment(self, run)
                    run = []
                yield Block(self, step)
            else:
                run.append(self.assignment(step))
        for index, (_, _, limit) in enumerate(self.limits):
            run.append((sp.Symbol(f"_slack_{index}", real=True), limit.slack))
        for name in self._put_back:
            equation = self.plan.step_of[name].relations[0].equation
            left_over, size = closing(equation.lhs, equation.rhs)
            margin = CLOSED * size + NOTHING - sp.Abs(left_over)
            run.append((sp.Symbol(f"_closes_{name}", real=True), margin))
        if run:
            yield Segment(self, run)

    def _bounds(self) -> list[tuple[str, float, float]]:
        bounds = []
        for name in self.plan.found:
            bounds.append((name, *with_slack(*self.range_of(name))))
        return bounds

    # -- one design -------------------------------------------------------------------------

    def run(self, values: Mapping[str, float]) -> Outcome:
        """One design. `values` holds the plan's givens, redundant ones too, in coherent SI.

        Where several answers are possible, the one nearest the preferred is taken: what was
        given besides, else what would have been assumed. Where that one fails further on, the
        others are tried before giving up.
        """
        first = None
        queue = [self._preferred_in(values)]
        for prefer in queue:  # grows while it is walked
            outcome = self._attempt(values, prefer)
            if not outcome.problems or not self._preferences:
                return outcome
            first = first or outcome
            for other in self._other_choices(outcome, prefer):
                if other not in queue and len(queue) < _MOST_ATTEMPTS:
                    queue.append(other)
        assert first is not None
        return first

    def _preferred_in(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What to stay near: a value given besides says which answer is meant."""
        given = {n: values[n] for n in self.plan.redundant if n in self._preferences}
        return {**self._preferences, **given}

    def _other_choices(
        self, outcome: Outcome, prefer: Mapping[str, float]
    ) -> Iterator[dict[str, float]]:
        choices = {**outcome.alternatives}
        if self.branching:
            choices.update(self.branches(outcome.values))
        for name, numbers in choices.items():
            for number in numbers:
                if number != outcome.values[name]:
                    yield {**prefer, name: number}

    def _attempt(self, values: Mapping[str, float], prefer: Mapping[str, float]) -> Outcome:
        try:
            outcome = self._evaluate(values, prefer, arrays=False)
            self._judge(outcome)
        except _ARITHMETIC:
            # A root of a negative number or a division by zero: again with NumPy, whose nan
            # travels on and shows where it started.
            known = {n: np.float64(v) for n, v in values.items()}
            with np.errstate(all="ignore"):
                outcome = self._evaluate(known, prefer, arrays=True)
            outcome.values = {n: float(v) for n, v in outcome.values.items()}
            self._judge(outcome)
        self._compare_redundant(outcome, values)
        return outcome

    def _evaluate(
        self, values: Mapping[str, float], prefer: Mapping[str, float], arrays: bool
    ) -> Outcome:
        outcome = Outcome({name: values[name] for name in self.plan.givens})
        known = outcome.values
        for part in self.parts:
            if isinstance(part, Block):
                part.solve(outcome, prefer)
            else:
                inputs = [known[n] for n in part.inputs] + [prefer[n] for n in part.choices]
                # A block hands back plain floats, whose roots would turn complex, not nan.
                found = part.array(*map(np.float64, inputs)) if arrays else part.scalar(*inputs)
                known.update(zip(part.names, found, strict=True))
        return outcome

    def _judge(self, outcome: Outcome) -> None:
        values = outcome.values
        for name in self._put_back:
            if not values.pop(f"_closes_{name}") >= 0:
                values[name] = math.nan
        for index, (step, relation, limit) in enumerate(self.limits):
            slack = values.pop(f"_slack_{index}")
            if slack >= -LIMIT_SLACK or (math.isnan(slack) and self._unknown(limit, values)):
                continue
            name = step.unknowns[0]
            if limit.otherwise == "leave out" and self.can_be_left_out(step):
                outcome.left_out[name] = f"there is one only where {limit.words}"
                values[name] = math.nan
            else:
                outcome.problems.append(
                    Problem("limit", name, slack, relation=relation, limit=limit)
                )
        blamed = {
            name
            for problem in outcome.problems
            if problem.kind in ("no root", "open")
            for name in self.plan.step_of[problem.name].unknowns
        }
        for name, low, high in self.bounds:
            if low <= values[name] <= high or name in outcome.left_out:
                continue
            if not math.isnan(values[name]):
                outcome.problems.append(Problem("range", name, values[name], *self.range_of(name)))
            elif name not in blamed and not self._rests_on_nan(name, values):
                outcome.problems.append(self._undefined(name))
        if len(outcome.problems) > 1:  # the first to go wrong is told first
            outcome.problems.sort(key=lambda problem: self._place[problem.name])

    @staticmethod
    def _unknown(limit: Limit, values: Mapping[str, float]) -> bool:
        """Whether a limit cannot be judged, for want of a value that is complained of already."""
        return any(math.isnan(values.get(s.name, 0.0)) for s in limit.slack.free_symbols)

    def _rests_on_nan(self, name: str, values: Mapping[str, float]) -> bool:
        needs = self.plan.step_of[name].needs
        return any(math.isnan(values[need]) for need in needs if need in values)

    @cached_property
    def _place(self) -> dict[str, int]:
        return {name: place for place, name in enumerate(self.plan.found)}

    def _undefined(self, name: str) -> Problem:
        return Problem("undefined", name, math.nan, relation=self.plan.step_of[name].relations[0])

    def can_be_left_out(self, step: Step) -> bool:
        """Whether nothing rests on what the step finds and nobody gave it besides."""
        return (
            isinstance(step, ClosedStep)
            and step.unknown not in self.plan.redundant
            and not any(step.unknown in other.needs for other in self.plan.steps)
        )

    def _compare_redundant(self, outcome: Outcome, values: Mapping[str, float]) -> None:
        for name in self.plan.redundant:
            given, found = values[name], outcome.values[name]
            if math.isnan(found):
                continue
            if abs(given - found) > 1e-6 * max(abs(given), abs(found)) + 1e-9:
                outcome.problems.append(Problem("mismatch", name, found, given, given))

    # -- many designs -----------------------------------------------------------------------

    def chunks(
        self, values: Mapping[str, ArrayLike], wanted: Sequence[str]
    ) -> Iterator[tuple[slice, dict[str, Any], NDArray[np.bool_]]]:
        """Designs a chunk at a time, so that memory stays flat.

        values are scalars or one-dimensional arrays of one length (coherent SI). Yields the
        slice, the wanted quantities (a scalar where nothing varied) and which designs hold.
        Raises ValueError for arrays of different lengths.
        """
        columns = {name: np.asarray(values[name], dtype=float) for name in self.plan.givens}
        extra = {name: np.asarray(values[name], dtype=float) for name in self.plan.redundant}
        lengths = {n: c.size for n, c in {**columns, **extra}.items() if c.ndim}
        if len(set(lengths.values())) > 1:
            raise ValueError(f"arrays of one length are expected, not {lengths}")
        length = next(iter(lengths.values()), 1)
        for start in range(0, length, _CHUNK):
            where = slice(start, min(start + _CHUNK, length))

            def part(column: Floats, where: slice = where) -> Any:
                return column[where] if column.ndim else np.float64(column)

            with np.errstate(all="ignore"):
                besides = {n: part(c) for n, c in extra.items()}
                prefer = self._preferred_in(besides)
                known = self._arrays({n: part(c) for n, c in columns.items()}, prefer)
                good = self._good(known, where.stop - start)
                for name, given in besides.items():
                    slack = 1e-6 * np.maximum(np.abs(given), np.abs(known[name])) + 1e-9
                    good &= np.abs(given - known[name]) <= slack
            if self._preferences and not good.all():
                self._retry(known, besides, good)
            yield where, {name: known[name] for name in wanted}, good

    def _retry(self, known: dict[str, Any], besides: dict[str, Any], good: Any) -> None:
        """Look one by one at designs that fail though another answer was possible."""
        several = known.get(SEVERAL, False) | bool(self.branching)
        doubtful = np.nonzero(~good & several)[0]
        if not len(doubtful):
            return
        count = len(good)
        given = {n: known[n] for n in self.plan.givens} | besides
        given = {n: np.broadcast_to(v, count) for n, v in given.items()}
        for name in self.plan.found:
            known[name] = np.array(np.broadcast_to(known[name], count), dtype=float)
        for i in doubtful:
            outcome = self.run({n: float(v[i]) for n, v in given.items()})
            if not outcome.problems:
                good[i] = True
                for name in self.plan.found:
                    known[name][i] = outcome.values[name]

    def _arrays(self, known: dict[str, Any], prefer: Mapping[str, Any]) -> dict[str, Any]:
        for part in self.parts:
            if isinstance(part, Block):
                part.solve_arrays(known, prefer)
            else:
                inputs = [known[n] for n in part.inputs] + [prefer[n] for n in part.choices]
                found = part.array(*inputs)
                known.update(zip(part.names, found, strict=True))
        return known

    def _good(self, known: dict[str, Any], length: int) -> NDArray[np.bool_]:
        good = np.ones(length, dtype=bool)
        left_out: dict[str, Any] = {}
        for name in self._put_back:
            known[name] = np.where(known[f"_closes_{name}"] >= 0, known[name], np.nan)
        for index, (step, _, limit) in enumerate(self.limits):
            holds = known[f"_slack_{index}"] >= -LIMIT_SLACK
            if limit.otherwise == "leave out" and self.can_be_left_out(step):
                name = step.unknowns[0]
                left_out[name] = holds
                known[name] = np.where(holds, known[name], np.nan)
            else:
                good &= holds
        for name, low, high in self.bounds:
            value = known[name]
            inside = (value >= low) & (value <= high)
            good &= inside | ~left_out[name] if name in left_out else inside
        return good

    # -- auditing ---------------------------------------------------------------------------

    @cached_property
    def _audit(self) -> Audit:
        return Audit(self)

    def residuals(self, values: Mapping[str, float]) -> dict[str, float]:
        """Every relation with the values put back: what is left over, relative to its terms."""
        return self._audit.residuals(values)

    def branches(self, values: Mapping[str, float]) -> dict[str, list[float]]:
        """For each step that had to choose, all the branches that fall in range."""
        return self._audit.branches(values)
