"""Compiled plans: numbers in, numbers out, no sympy on the way, and every value put back after."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import Any, Literal
from weakref import WeakKeyDictionary

import numpy as np
import sympy as sp
from numpy.typing import ArrayLike, NDArray

from tablekit.engine.block import SEVERAL, Block
from tablekit.engine.codegen import Assignment, chooser, compile_assignments, left_over, size_of
from tablekit.engine.declarations import Declarations
from tablekit.engine.judge import Codes, Judge, Outcome, limits_in_force
from tablekit.engine.order import ClosedStep, Compiling, Order, Step, TogetherStep
from tablekit.engine.slack import with_slack

Floats = NDArray[np.float64]
# Of fewer designs it is not worth finding out what the formulas share: that takes some half a
# second, and makes each a third quicker.
FEW = 4096
CHUNK = 8192  # designs at a time: some fifty arrays of this length stay in the second cache
_MOST_ATTEMPTS = 24
_KEPT = 16  # programs for some of the results of one plan
_ARITHMETIC = (ValueError, ZeroDivisionError, OverflowError, TypeError)

# How steps are evaluated: one design by `math`, quick, which raises an error of arithmetic; one by
# NumPy, whose nan travels on and shows where it started; many by NumPy, with what they share
# computed once, which takes longest to compile.
How = Literal["floats", "nan", "arrays"]


class Program:
    """The compiled steps of a plan: all of them, or those that lead to some of its results.

    `run` takes one design as floats, `chunks` any number of them as arrays; both in coherent SI.
    Both judge the steps that the program has and no others: the whole program of a plan says
    whether a design can be, one that leads to some results whether these can.
    """

    def __init__(
        self,
        plan: Order,
        steps: Sequence[Step] | None = None,
        blocks: dict[tuple[str, ...], Block] | None = None,
    ):
        self.plan = plan
        self.steps = tuple(plan.steps if steps is None else steps)
        self.symbols = {n: q.symbol for n, q in plan.network.quantities.items()}
        self.constants = {c.symbol: c.si for c in plan.network.constants.values()}
        closed = [step for step in self.steps if isinstance(step, ClosedStep)]
        self.branching = {step.unknown: step for step in closed if len(step.forms) > 1}
        self.judge = Judge(plan, self.steps)
        self._blocks = {} if blocks is None else blocks
        self._parts = list(self._assemble())
        tried = [n for part in self._parts if isinstance(part, Block) for n in part.chosen]
        self._preferences = {n: self.preferred(n) for n in (*self.branching, *tried)}
        self._leading_to = lru_cache(maxsize=_KEPT)(self._restricted)

    @property
    def choices(self) -> tuple[str, ...]:
        """The names that may have several values in range."""
        return tuple(self._preferences)

    # -- building ---------------------------------------------------------------------------

    def leading_to(self, names: Iterable[str]) -> Program:
        """The program that finds `names` and what they rest on, and nothing else.

        Also what the limits on the way mention. Compiled once for a set of names and kept; the
        least recently used goes first. Names that the plan does not find need no steps."""
        return self._leading_to(frozenset(names))

    def _restricted(self, names: frozenset[str]) -> Program:
        steps = _steps_to(self.plan, names)
        if len(steps) == len(self.steps):
            return self
        return Program(self.plan, steps, self._blocks)

    def range_of(self, name: str) -> tuple[float, float]:
        """The sensible range of a quantity in coherent SI."""
        return self.plan.network.quantities[name].si_range

    def preferred(self, name: str) -> float:
        """The value to stay near when several are possible: the assumed one, else mid-range."""
        assumption = self.plan.network.assumption_of(name)
        if assumption is not None and assumption.value.is_number:
            return float(assumption.value)
        low, high = self.range_of(name)
        return math.sqrt(low * high) if low > 0 else (low + high) / 2

    def _assemble(self) -> Iterator[_Segment | Block]:
        run: list[Assignment] = []
        for step in self.steps:
            if isinstance(step, TogetherStep):
                if run:
                    yield _Segment(self, run)
                    run = []
                yield self._block(step)
            else:
                run.append(self.assignment(step))
        run += self.judge.assignments
        if run:
            yield _Segment(self, run)

    def _block(self, step: TogetherStep) -> Block:
        if step.unknowns not in self._blocks:
            self._blocks[step.unknowns] = Block(self, step)
        return self._blocks[step.unknowns]

    def assignment(self, step: ClosedStep) -> Assignment:
        """What a closed step computes, with a choice between branches where there are several."""
        symbol = self.symbols[step.unknown]
        if len(step.forms) == 1:
            return (symbol, step.forms[0])
        choose = sp.Function(f"_choose_{step.unknown}")
        return (symbol, choose(preferred_symbol(step.unknown), *step.forms))

    def choosers(self, arrays: bool) -> dict[str, Callable[..., Any]]:
        """The functions that choose between branches."""
        return {
            f"_choose_{name}": chooser(*self.range_of(name), arrays=arrays)
            for name in self.branching
        }

    # -- evaluating -------------------------------------------------------------------------

    def _evaluate(
        self,
        known: dict[str, Any],
        prefer: Mapping[str, Any],
        solve: Callable[[Block], None],
        how: How,
    ) -> None:
        """Find everything from the givens in `known`, the one way for a design and for many.

        solve  adds to `known` what a block finds
        """
        for part in self._parts:
            if isinstance(part, Block):
                solve(part)
            else:
                part.evaluate(known, prefer, how)

    def _preferred_in(
        self, values: Mapping[str, Any], near: Mapping[str, float] | None = None
    ) -> dict[str, Any]:
        """What to stay near: a value given in addition says which answer is meant."""
        prefer: dict[str, Any] = dict(self._preferences)
        for name in prefer:
            if name in self.plan.redundant:
                prefer[name] = values[name]
            elif near and math.isfinite(near.get(name, math.nan)):
                prefer[name] = near[name]
        return prefer

    # -- one design -------------------------------------------------------------------------

    def run(self, values: Mapping[str, float], near: Mapping[str, float] | None = None) -> Outcome:
        """One design. `values` holds the plan's givens, redundant ones too, in coherent SI.

        near  values that the answers are to stay near to where several are possible (coherent SI,
              say those of the design before); names that have no choice are passed over

        Where several answers are possible, the one nearest the preferred is taken: what was
        given in addition, else what `near` says, else what would have been assumed. Where that one
        fails further on, the others are tried before giving up.
        """
        first = None
        queue = [self._preferred_in(values, near)]
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
        outcome = Outcome({name: values[name] for name in self.plan.givens})
        try:
            self._evaluate(
                outcome.values, prefer, lambda block: block.solve(outcome, prefer), "floats"
            )
            self.judge.one(outcome, values)
        except _ARITHMETIC:
            # A root of a negative number or a division by zero: again with NumPy.
            outcome = self._attempt_with_nan(values, prefer)
        return outcome

    def _attempt_with_nan(
        self, values: Mapping[str, float], prefer: Mapping[str, float]
    ) -> Outcome:
        known = {name: np.float64(values[name]) for name in self.plan.givens}
        outcome = Outcome(known)  # type: ignore[arg-type]

        def solve(block: Block) -> None:
            block.solve(outcome, prefer)
            # Plain floats, whose roots would turn complex and not nan.
            known.update((name, np.float64(known[name])) for name in block.step.unknowns)

        with np.errstate(all="ignore"):
            self._evaluate(known, prefer, solve, "nan")
        outcome.values = {name: float(value) for name, value in known.items()}
        self.judge.one(outcome, values)
        return outcome

    def judged(self, values: Mapping[str, float], given: Mapping[str, float]) -> Outcome:
        """A design that was found in another way: with what it leaves out, judged as by `run`.

        values  of every quantity, coherent SI; given  as for `run`"""
        known: dict[str, Any] = {name: np.float64(value) for name, value in values.items()}
        with np.errstate(all="ignore"):
            self._judgement.evaluate(known, self._preferences, "nan")
        outcome = Outcome({name: float(value) for name, value in known.items()})
        self.judge.one(outcome, given)
        return outcome

    @cached_property
    def _judgement(self) -> _Segment:
        return _Segment(self, self.judge.assignments)

    # -- many designs -----------------------------------------------------------------------

    def chunks(
        self, values: Mapping[str, ArrayLike], wanted: Sequence[str]
    ) -> Iterator[tuple[slice, dict[str, Any], NDArray[np.bool_]]]:
        """Designs a chunk at a time, so that memory stays flat.

        values are scalars or one-dimensional arrays of one length (coherent SI); what is masked
        counts as nan. Yields the slice, the wanted quantities (a scalar where nothing varied) and
        which designs hold. Raises ValueError for arrays of different lengths.
        """
        for where, known, codes in self.judged_chunks(values):
            yield where, {name: known[name] for name in wanted}, codes == 0
            del known  # not held while the next are found

    def judged_chunks(
        self, values: Mapping[str, ArrayLike]
    ) -> Iterator[tuple[slice, dict[str, Any], Codes]]:
        """As `chunks`, with all that is known and with codes of what is wrong: indices into
        `judge.problems`, 0 where a design holds."""
        names = (*self.plan.givens, *self.plan.redundant)
        columns = {name: as_floats(values[name]) for name in names}
        lengths = {n: c.size for n, c in columns.items() if c.ndim}
        if len(set(lengths.values())) > 1:
            raise ValueError(f"arrays of one length are expected, not {lengths}")
        length = next(iter(lengths.values()), 1)
        for start in range(0, length, CHUNK):
            where = slice(start, min(start + CHUNK, length))
            given = {n: c[where] if c.ndim else c[()] for n, c in columns.items()}
            with np.errstate(all="ignore"):
                known, codes = self._judged(given, where.stop - where.start, length > FEW)
            yield where, known, codes
            del known, codes

    def _judged(
        self, given: dict[str, Any], count: int, many: bool
    ) -> tuple[dict[str, Any], Codes]:
        prefer = self._preferred_in(given)
        known = {name: given[name] for name in self.plan.givens}
        how: How = "arrays" if many else "nan"
        self._evaluate(known, prefer, lambda b: b.solve_arrays(known, prefer), how)
        codes = self.judge.many(known, given, count)
        if self._preferences and codes.any():
            self._retry(known, given, codes)
        return known, codes

    def _retry(self, known: dict[str, Any], given: Mapping[str, Any], codes: Codes) -> None:
        """Look one by one at designs that fail though another answer was possible."""
        several = known.get(SEVERAL, False) | self._audit.several(known)
        doubtful = np.nonzero((codes != 0) & several)[0]
        if not len(doubtful):
            return
        count, found = len(codes), [name for step in self.steps for name in step.unknowns]
        every = {n: np.broadcast_to(v, count) for n, v in given.items()}
        for name in found:
            known[name] = np.array(np.broadcast_to(known[name], count), dtype=float)
        for i in doubtful:
            outcome = self.run({n: float(v[i]) for n, v in every.items()})
            if not outcome.problems:
                codes[i] = 0
                for name in found:
                    known[name][i] = outcome.values[name]

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


class _Segment:
    """A run of closed steps compiled into one function."""

    def __init__(self, program: Program, assignments: Sequence[Assignment]):
        self._outputs = [symbol for symbol, _ in assignments]
        self._names = [symbol.name for symbol in self._outputs]
        used = {s.name for _, expression in assignments for s in expression.free_symbols}
        # Where branches are chosen between, the value preferred is an input too.
        self._choices = [n for n in program.branching if preferred_symbol(n).name in used]
        self._inputs = sorted((used - {*self._names}) & program.symbols.keys())
        self._program, self._assignments = program, assignments
        self._functions: dict[How, Callable[..., tuple[Any, ...]]] = {}

    def evaluate(self, known: dict[str, Any], prefer: Mapping[str, Any], how: How) -> None:
        """Add to what is known what follows from it."""
        inputs = [known[n] for n in self._inputs] + [prefer[n] for n in self._choices]
        found = self._compiled(how)(*inputs)
        known.update(zip(self._names, found, strict=True))

    def _compiled(self, how: How) -> Callable[..., tuple[Any, ...]]:
        """Compiled when it is first wanted."""
        if how not in self._functions:
            symbols = [self._program.symbols[name] for name in self._inputs]
            self._functions[how] = compile_assignments(
                [*symbols, *map(preferred_symbol, self._choices)],
                self._assignments,
                self._outputs,
                arrays=how != "floats",
                functions=self._program.choosers(how != "floats"),
                constants=self._program.constants,
                share=how == "arrays",
            )
        return self._functions[how]


def as_floats(column: ArrayLike) -> Floats:
    """An array of floats, with nan where an entry is masked."""
    if type(column) is np.ndarray:  # not one of its kinds that may be masked
        return column.astype(float, copy=False)
    floats: Any = np.ma.asarray(column, dtype=float)
    plain: Floats = floats.filled(math.nan) if np.ma.is_masked(floats) else floats.data
    return plain


def preferred_symbol(name: str) -> sp.Symbol:
    """The input that says which of several branches for a quantity to stay near, by its name."""
    return sp.Symbol(f"_preferred_{name}", real=True)


def _steps_to(plan: Order, names: Iterable[str]) -> list[Step]:
    """The steps that lead to `names`, and to all that the limits of these steps mention."""
    wanted = set(names)
    while True:
        steps = list(plan.steps_to(*wanted))
        limits = [limit for step in steps for _, limit in limits_in_force(step, plan)]
        mentioned = {symbol.name for limit in limits for symbol in limit.slack.free_symbols}
        found = {name for step in steps for name in step.unknowns}
        if not mentioned & plan.step_of.keys() - found:
            return steps
        wanted |= mentioned


# -- putting the values back -----------------------------------------------------------------------

_LEAST_TERMS = 1e-6
_COMPILED: WeakKeyDictionary[Declarations, Callable[..., tuple[Any, ...]]] = WeakKeyDictionary()


class Audit:
    """The audit of one compiled plan; itself compiled when it is first asked for."""

    def __init__(self, program: Compiling):
        self._program = program

    @cached_property
    def _statements(self) -> list[tuple[int, str]]:
        """Place and name of what this plan rests on, among all that the network can say."""
        plan = self._program.plan
        free = set(plan.free)
        held = {s.name for s in (*plan.network.relations, *plan.assumptions)}
        everything = (*plan.network.relations, *plan.network.assumptions)
        return [
            (place, statement.name)
            for place, statement in enumerate(everything)
            if statement.name in held and not free & set(statement.symbols)
        ]

    def _compiled(self) -> Callable[..., tuple[Any, ...]]:
        # One function for all plans of a network: compiling it takes as long as the plan itself.
        network = self._program.plan.network
        if network not in _COMPILED:
            _COMPILED[network] = self._compile_residuals()
        return _COMPILED[network]

    def _compile_residuals(self) -> Callable[..., tuple[Any, ...]]:
        network = self._program.plan.network
        assignments: list[Assignment] = []
        for index, statement in enumerate((*network.relations, *network.assumptions)):
            sides = statement.equation.args
            assignments.append((sp.Symbol(f"_residual_{index}"), left_over(*sides)))
            assignments.append((sp.Symbol(f"_size_{index}"), size_of(*sides)))
        return compile_assignments(
            [quantity.symbol for quantity in network.quantities.values()],
            assignments,
            [symbol for symbol, _ in assignments],
            arrays=True,
            constants=self._program.constants,
            share=False,
        )

    def residuals(self, values: Mapping[str, float]) -> dict[str, float]:
        """Every relation with the values put back: what is left over, relative to its terms.

        Terms that vanish together, such as the cosine of a right angle, leave nothing but the
        rounding of a float; they count as no smaller than a millionth (of a metre, of a radian).
        """
        known = [values.get(name, math.nan) for name in self._program.plan.network.quantities]
        with np.errstate(all="ignore"):
            found = np.array(self._compiled()(*map(np.float64, known)))
            shares = (np.abs(found[::2]) / np.maximum(found[1::2], _LEAST_TERMS)).tolist()
        return {name: shares[i] for i, name in self._statements}

    @cached_property
    def _branches(self) -> dict[str, tuple[list[str], Callable[..., tuple[Any, ...]]]]:
        compiled = {}
        for name, step in self._program.branching.items():
            used = {s.name for form in step.forms for s in form.free_symbols}
            inputs = sorted(used & self._program.symbols.keys())
            outputs = [sp.Symbol(f"_branch_{index}") for index in range(len(step.forms))]
            function = compile_assignments(
                [self._program.symbols[n] for n in inputs],
                list(zip(outputs, step.forms, strict=True)),
                outputs,
                arrays=True,
                constants=self._program.constants,
            )
            compiled[name] = (inputs, function)
        return compiled

    def branches(self, values: Mapping[str, float]) -> dict[str, list[float]]:
        """For each step that had to choose, all the branches that fall in range."""
        known = {name: np.float64(value) for name, value in values.items()}
        return {
            name: sorted({float(x) for x, fits in branches if fits})
            for name, branches in self._in_range(known)
        }

    def several(self, values: Mapping[str, Any]) -> Any:
        """Where some step had more than one branch in range to choose from: arrays, or scalars."""
        found: Any = False
        for _, branches in self._in_range(values):
            found |= sum(np.asarray(fits, dtype=int) for _, fits in branches) > 1
        return found

    def _in_range(self, values: Mapping[str, Any]) -> Iterator[tuple[str, list[tuple[Any, Any]]]]:
        """For each step that had to choose, its branches and where each falls in range."""
        for name, (inputs, function) in self._branches.items():
            low, high = with_slack(*self._program.range_of(name))
            with np.errstate(all="ignore"):
                numbers = function(*[values[n] for n in inputs])
            yield name, [(x, (x >= low) & (x <= high)) for x in numbers]
