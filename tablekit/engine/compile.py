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

from tablekit.engine.block import Block
from tablekit.engine.lambdas import Assignment, chooser, compile_assignments, prepare
from tablekit.engine.plan import ClosedStep, Plan, Step, TogetherStep
from tablekit.engine.relation import Limit, Relation

Floats = NDArray[np.float64]
_CHUNK = 8192  # designs at a time: some fifty arrays of this length stay in the second cache
_LIMIT_SLACK = 1e-10
_LEAST_TERMS = 1e-6
_ARITHMETIC = (ValueError, ZeroDivisionError, OverflowError, TypeError)


@dataclass(frozen=True)
class Problem:
    """One reason why a set of numbers is no design. Values in coherent SI.

    kind  "undefined": `relation` gives no real number for `name`;
          "range": `name` found outside [low, high]; "limit": `relation` does not hold, short by
          -`value`; "mismatch": `name` was given as `low` but the others make it `value`;
          "no root": no value of `name` lets a block of relations hold together
    """

    kind: Literal["undefined", "range", "limit", "mismatch", "no root"]
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


class Segment:
    """A run of closed steps compiled into one function."""

    def __init__(self, program: Program, assignments: Sequence[Assignment]):
        self.outputs = [symbol for symbol, _ in assignments]
        own = {symbol.name for symbol in self.outputs}
        used = {s.name for _, expression in assignments for s in expression.free_symbols}
        self.inputs = sorted(used - own)
        self._program, self._assignments = program, assignments

    def _compile(self, arrays: bool) -> Callable[..., tuple[Any, ...]]:
        return compile_assignments(
            [self._program.symbols[name] for name in self.inputs],
            self._assignments,
            self.outputs,
            arrays=arrays,
            functions=self._program.choosers(arrays),
        )

    @cached_property
    def scalar(self) -> Callable[..., tuple[float, ...]]:
        """The compiled function of floats."""
        return self._compile(arrays=False)

    @cached_property
    def array(self) -> Callable[..., tuple[Any, ...]]:
        """The compiled function of arrays."""
        return self._compile(arrays=True)

    @cached_property
    def names(self) -> list[str]:
        """Names of the outputs, in order."""
        return [symbol.name for symbol in self.outputs]


class Program:
    """A compiled plan.

    `run` takes one design as floats, `run_arrays` any number of them; both in coherent SI.
    """

    def __init__(self, plan: Plan):
        self.plan = plan
        network = plan.network
        self.symbols = {n: q.symbol for n, q in network.quantities.items()}
        self._constants = {c.symbol: c.si for c in network.constants.values()}
        self._branching: dict[str, ClosedStep] = {}
        self.limits = self._active_limits()
        self.parts: list[Segment | Block] = list(self._assemble())
        self.bounds = self._bounds()

    # -- building ---------------------------------------------------------------------------

    def prepared(self, expression: sp.Expr) -> sp.Expr:
        """An expression ready to compile: constants put in."""
        return prepare(expression, self._constants)

    def assignment(self, step: ClosedStep) -> Assignment:
        """What a closed step computes, with a choice between branches where there are several."""
        forms = [self.prepared(form) for form in step.forms]
        symbol = self.symbols[step.unknown]
        if len(forms) == 1:
            return (symbol, forms[0])
        self._branching[step.unknown] = step
        return (symbol, sp.Function(f"choose_{step.unknown}")(*forms))

    def choosers(self, arrays: bool) -> dict[str, Callable[..., Any]]:
        """The functions that choose between branches."""
        return {
            f"choose_{name}": chooser(*self.range_of(name), self.preferred(name), arrays=arrays)
            for name in self._branching
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
            run.append((sp.Symbol(f"slack_{index}", real=True), self.prepared(limit.slack)))
        if run:
            yield Segment(self, run)

    def _bounds(self) -> list[tuple[str, float, float]]:
        bounds = []
        for name in self.plan.found:
            low, high = self.range_of(name)
            slack = 1e-9 * max(abs(low), abs(high))
            bounds.append((name, low - slack, high + slack))
        return bounds

    # -- one design -------------------------------------------------------------------------

    def run(self, values: Mapping[str, float]) -> Outcome:
        """One design. `values` holds the plan's givens, redundant ones too, in coherent SI."""
        try:
            outcome = self._evaluate(values, arrays=False)
            self._judge(outcome)
        except _ARITHMETIC:
            # A root of a negative number or a division by zero: again with NumPy, whose nan
            # travels on and shows where it started.
            with np.errstate(all="ignore"):
                outcome = self._evaluate({n: np.float64(v) for n, v in values.items()}, arrays=True)
            outcome.values = {n: float(v) for n, v in outcome.values.items()}
            self._judge(outcome)
        self._compare_redundant(outcome, values)
        return outcome

    def _evaluate(self, values: Mapping[str, float], arrays: bool) -> Outcome:
        outcome = Outcome({name: values[name] for name in self.plan.givens})
        known = outcome.values
        for part in self.parts:
            if isinstance(part, Block):
                part.solve(outcome)
            else:
                function = part.array if arrays else part.scalar
                found = function(*[known[n] for n in part.inputs])
                known.update(zip(part.names, found, strict=True))
        return outcome

    def _judge(self, outcome: Outcome) -> None:
        values = outcome.values
        for index, (step, relation, limit) in enumerate(self.limits):
            slack = values.pop(f"slack_{index}")
            if slack >= -_LIMIT_SLACK:
                continue
            name = step.unknowns[0]
            if limit.otherwise == "leave out" and self._can_be_left_out(step):
                outcome.left_out[name] = limit.words
                values[name] = math.nan
            else:
                outcome.problems.append(
                    Problem("limit", name, slack, relation=relation, limit=limit)
                )
        blamed = {
            name
            for problem in outcome.problems
            if problem.kind == "no root"
            for name in self.plan.step_of[problem.name].unknowns
        }
        for name, low, high in self.bounds:
            if low <= values[name] <= high or name in outcome.left_out:
                continue
            if not math.isnan(values[name]):
                outcome.problems.append(Problem("range", name, values[name], *self.range_of(name)))
            elif name not in blamed:
                outcome.problems.append(self._undefined(name))

    def _undefined(self, name: str) -> Problem:
        return Problem("undefined", name, math.nan, relation=self.plan.step_of[name].relations[0])

    def _can_be_left_out(self, step: Step) -> bool:
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
                known = self._arrays({n: part(c) for n, c in columns.items()})
                good = self._good(known, where.stop - start)
                for name, column in extra.items():
                    given = part(column)
                    slack = 1e-6 * np.maximum(np.abs(given), np.abs(known[name])) + 1e-9
                    good &= np.abs(given - known[name]) <= slack
            yield where, {name: known[name] for name in wanted}, good

    def _arrays(self, known: dict[str, Any]) -> dict[str, Any]:
        for part in self.parts:
            if isinstance(part, Block):
                part.solve_arrays(known)
            else:
                found = part.array(*[known[n] for n in part.inputs])
                known.update(zip(part.names, found, strict=True))
        return known

    def _good(self, known: dict[str, Any], length: int) -> NDArray[np.bool_]:
        good = np.ones(length, dtype=bool)
        left_out: dict[str, Any] = {}
        for index, (step, _, limit) in enumerate(self.limits):
            holds = known[f"slack_{index}"] >= -_LIMIT_SLACK
            if limit.otherwise == "leave out" and self._can_be_left_out(step):
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
    def _residuals(self) -> tuple[list[Relation], list[str], Callable[..., tuple[float, ...]]]:
        free = set(self.plan.free)
        relations = [r for r in self.plan.network.relations if not free & set(r.symbols)] + [
            a for a in self.plan.assumptions if not free & set(a.symbols)
        ]
        assignments: list[Assignment] = []
        for index, relation in enumerate(relations):
            left, right = relation.equation.lhs, relation.equation.rhs
            terms = [*sp.Add.make_args(left), *sp.Add.make_args(right)]
            difference = self.prepared(left) - self.prepared(right)
            size = sum((sp.Abs(self.prepared(term)) for term in terms), sp.Float(0))
            assignments.append((sp.Symbol(f"residual_{index}"), difference))
            assignments.append((sp.Symbol(f"size_{index}"), size))
        inputs = sorted({s.name for _, e in assignments for s in e.free_symbols})
        function = compile_assignments(
            [self.symbols[name] for name in inputs],
            assignments,
            [symbol for symbol, _ in assignments],
            arrays=True,
        )
        return relations, inputs, function

    def residuals(self, values: Mapping[str, float]) -> dict[str, float]:
        """Every relation with the values put back: what is left over, relative to its terms.

        Terms that vanish together, such as the cosine of a right angle, leave nothing but the
        rounding of a float; they count as no smaller than a millionth (of a metre, of a radian).
        """
        relations, inputs, function = self._residuals
        with np.errstate(all="ignore"):
            found = function(*[np.float64(values[name]) for name in inputs])
        return {
            relation.name: float(abs(found[2 * i]) / max(found[2 * i + 1], _LEAST_TERMS))
            for i, relation in enumerate(relations)
        }

    @cached_property
    def _branch_functions(self) -> dict[str, tuple[list[str], Callable[..., tuple[Any, ...]]]]:
        compiled = {}
        for name, step in self._branching.items():
            forms = [self.prepared(form) for form in step.forms]
            inputs = sorted({s.name for form in forms for s in form.free_symbols})
            outputs = [sp.Symbol(f"branch_{index}") for index in range(len(forms))]
            function = compile_assignments(
                [self.symbols[n] for n in inputs],
                list(zip(outputs, forms, strict=True)),
                outputs,
                arrays=True,
            )
            compiled[name] = (inputs, function)
        return compiled

    def branches(self, values: Mapping[str, float]) -> dict[str, list[float]]:
        """For each step that had to choose, all the branches that fall in range."""
        found = {}
        for name, (inputs, function) in self._branch_functions.items():
            low, high = self.range_of(name)
            slack = 1e-9 * max(abs(low), abs(high))
            with np.errstate(all="ignore"):
                numbers = function(*[np.float64(values[n]) for n in inputs])
            inside = [float(x) for x in numbers if low - slack <= x <= high + slack]
            found[name] = sorted(set(inside))
        return found
