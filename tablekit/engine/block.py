"""Relations that must hold at once: try a value, follow it through, close the loop.

With one tried unknown the left-over relation is a function of it, sampled over its whole range
so that every crossing of zero is found, then closed by Brent's method (scipy). With several,
scipy's hybrid Newton method works on all the block's relations and their symbolic Jacobian from
several starts. Where what follows has several forms (a square root of either sign), each way of
taking them is gone through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, lru_cache
from itertools import islice, product
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine import many_roots
from tablekit.engine.calculus import closing, residual_slope
from tablekit.engine.lambdas import compile_vector
from tablekit.engine.outcome import Outcome, Problem
from tablekit.engine.plan import TogetherStep
from tablekit.engine.roots import all_roots, sample_points, spread
from tablekit.engine.slack import with_slack
from tablekit.engine.way import ARITHMETIC, Way
from tablekit.engine.written import Assignment

if TYPE_CHECKING:
    from tablekit.engine.program import Program

Floats = NDArray[np.float64]
Answer = dict[str, float]
SEVERAL = "several answers"  # marks, among arrays, the designs where a block had a choice
CLOSED = 1e-9  # residual, relative to its terms, below which a loop counts as closed
NOTHING = 1e-15  # and below which it is nothing, whatever its terms
_SAME_ROOT = 1e-7
_STARTS_EACH = {2: 5, 3: 3}
_MOST_STARTS = 250
_MOST_WAYS = 16
# Searches that ended at a root took up to 579 looks, one in a hundred over 300; some that did not
# took thousands.
_CLOSELY = {"xtol": 1e-14, "maxfev": 600}
_KEPT = 32  # sets of numbers whose answers are remembered
_OPEN = 8  # a loop that closes at as many samples closes wherever it is tried


class _Open(Exception):
    """The loop closes whatever is tried: its relations say the same twice and settle nothing."""


class Block:
    """A compiled `TogetherStep`."""

    def __init__(self, program: Program, step: TogetherStep):
        self.step = step
        self.needs = sorted(step.needs - set(program.plan.network.constants))
        self._program = program
        self._ranges = {name: program.range_of(name) for name in step.unknowns}
        self._order = [*step.tried, *(inner.unknown for inner in step.follow)]
        # Answers may differ in these; the rest follows from them.
        forked = [inner.unknown for inner in step.follow if len(inner.forms) > 1]
        self.chosen = (*step.tried, *forked)
        self._checked = [*step.closing, *(s.relation for s in step.follow if s.must_be_put_back)]
        self.ways = self._make_ways()
        # What is preferred only sorts the answers: a run that prefers another asks again.
        self._answers = lru_cache(maxsize=_KEPT)(self._answers_anew)

    def _make_ways(self) -> list[Way]:
        program, step = self._program, self.step
        inputs = [program.symbols[n] for n in (*step.tried, *self.needs)]
        residuals = self._residual_assignments()
        unknowns = [program.symbols[inner.unknown] for inner in step.follow]
        forms = [inner.forms for inner in step.follow]
        constants = program.constants
        return [
            Way(inputs, [*zip(unknowns, chosen, strict=True), *residuals], len(unknowns), constants)
            for chosen in islice(product(*forms), _MOST_WAYS)
        ]

    def _residual_assignments(self) -> list[Assignment]:
        assignments = []
        for index, relation in enumerate(self._checked):
            left_over, size = closing(relation.equation.lhs, relation.equation.rhs)
            assignments.append((sp.Symbol(f"_residual_{index}", real=True), left_over))
            assignments.append((sp.Symbol(f"_size_{index}", real=True), size))
        return assignments

    # -- one design -------------------------------------------------------------------------

    def solve(self, outcome: Outcome, prefer: Mapping[str, float]) -> None:
        """Find the block's unknowns from what is known and add them to the outcome.

        Of several answers within range the one nearest to what is preferred is taken and all are
        recorded. Without any, the unknowns become nan and a "no root" problem is added.
        """
        known = [outcome.values[name] for name in self.needs]
        if not all(map(math.isfinite, known)):
            outcome.values.update(dict.fromkeys(self.step.unknowns, math.nan))
            return
        try:
            answers = list(self._answers(tuple(known)))
        except _Open:
            self._give_up(outcome, "open")
            return
        if not answers:
            self._give_up(outcome, "no root")
            return
        answers.sort(key=lambda answer: self._distance(answer, prefer))
        outcome.values.update(answers[0])
        if len(answers) > 1:
            for name in self.chosen:
                outcome.alternatives[name] = [answer[name] for answer in answers]

    def _give_up(self, outcome: Outcome, kind: Literal["open", "no root"]) -> None:
        outcome.values.update(dict.fromkeys(self.step.unknowns, math.nan))
        name = self.step.tried[0]
        outcome.problems.append(
            Problem(kind, name, math.nan, *self._ranges[name], self.step.closing[0])
        )

    def _distance(self, answer: Answer, prefer: Mapping[str, float]) -> float:
        return sum(
            abs(answer[name] - prefer[name]) / (self._ranges[name][1] - self._ranges[name][0])
            for name in self.chosen
        )

    def _answers_anew(self, known: Sequence[float]) -> list[Answer]:
        if len(self.step.tried) > 1:
            return self._every_way(lambda way: self._several_tried(way, known))
        return self._every_way(lambda way: self._one_tried(way, known, self._points)) or (
            # What is real may be so only in a window between two samples.
            self._every_way(lambda way: self._one_tried(way, known, self._dense_points))
        )

    def _every_way(self, find: Callable[[Way], list[Answer]]) -> list[Answer]:
        answers: list[Answer] = []
        for way in self.ways:
            for answer in find(way):
                if not any(self._same(answer, other) for other in answers):
                    answers.append(answer)
        return answers

    def _same(self, one: Answer, other: Answer) -> bool:
        return all(
            abs(one[name] - other[name]) <= _SAME_ROOT * max(abs(one[name]), abs(other[name]), 1e-9)
            for name in self._order
        )

    def _one_tried(self, way: Way, known: Sequence[float], points: Floats) -> list[Answer]:
        with np.errstate(all="ignore"):
            found = way.sampled(points, *map(np.float64, known))
            if np.count_nonzero(np.broadcast_to(self._closes(found), points.shape)) >= _OPEN:
                raise _Open
        sampled = np.broadcast_to(np.asarray(found[0], dtype=float), points.shape)
        crossings, touches = all_roots(way.residual(known), points, sampled)
        answers = [a for x in sorted(crossings) if (a := self._complete(way, (x,), known))]
        for x in sorted(touches):
            answer = self._complete(way, (x,), known)
            if answer and not any(self._joined(way, answer, other, known) for other in answers):
                answers.append(answer)
        return answers

    def _joined(self, way: Way, one: Answer, other: Answer, known: Sequence[float]) -> bool:
        """Whether two answers are one: the loop closes, as near as can be told, half-way too."""
        (name,) = self.step.tried
        if abs(one[name] - other[name]) > 1e-3 * (self._ranges[name][1] - self._ranges[name][0]):
            return False
        return self._complete(way, ((one[name] + other[name]) / 2,), known) is not None

    def _complete(
        self, way: Way, tried: tuple[float, ...], known: Sequence[float]
    ) -> Answer | None:
        """All the block's unknowns for a root; None if it does not close or falls outside."""
        with np.errstate(all="ignore"):
            found = way.sampled(*map(np.float64, (*tried, *known)))
        if not self._closes(found):
            return None
        values = (*tried, *map(float, self._followed(found)))
        answer = dict(zip(self._order, values, strict=True))
        return answer if all(self._inside(name, v) for name, v in answer.items()) else None

    def _closes(self, found: Sequence[Any]) -> Any:
        """Whether what a way returned leaves next to nothing over."""
        closed: Any = True
        for index in range(len(self._checked)):
            closed &= np.abs(found[2 * index]) <= CLOSED * found[2 * index + 1] + NOTHING
        return closed

    def _followed(self, found: Sequence[Any]) -> Sequence[Any]:
        return found[2 * len(self._checked) :]

    def _inside(self, name: str, value: Any) -> Any:
        low, high = with_slack(*self._ranges[name])
        return (low <= value) & (value <= high)

    @cached_property
    def _points(self) -> Floats:
        return sample_points(*self._ranges[self.step.tried[0]])

    @cached_property
    def _dense_points(self) -> Floats:
        return sample_points(*self._ranges[self.step.tried[0]], dense=True)

    # -- several tried unknowns -------------------------------------------------------------

    @cached_property
    def _system(self) -> tuple[Callable[..., Any], ...]:
        """The block's residuals and their symbolic Jacobian, over all its unknowns."""
        program, unknowns = self._program, self.step.unknowns
        inputs = [program.symbols[n] for n in (*unknowns, *self.needs)]
        equations = [relation.equation for relation in self.step.relations]
        residuals = [eq.lhs - eq.rhs for eq in equations]
        slopes = [residual_slope(eq, program.symbols[n]) for eq in equations for n in unknowns]
        return tuple(
            compile_vector(inputs, forms, arrays=False, constants=program.constants, share=False)
            for forms in (residuals, slopes)
        )

    def _several_tried(self, way: Way, known: Sequence[float]) -> list[Answer]:
        answers: list[Answer] = []
        for start in self._starts(way, known):
            solved = self._newton(start, known)
            if solved is None:
                continue
            answer = self._complete(way, tuple(solved[n] for n in self.step.tried), known)
            if answer and not any(self._same(answer, other) for other in answers):
                answers.append(answer)
        return answers

    def _newton(self, start: Floats, known: Sequence[float]) -> Answer | None:
        from scipy.optimize import root

        residuals, slopes = self._system
        nowhere = np.full(len(start), np.nan)

        def left_over(tried: Floats) -> Floats:
            try:
                return np.array(residuals(*tried.tolist(), *known), dtype=float)
            except ARITHMETIC:  # a step too far, which the method takes back
                return nowhere

        def jacobian(tried: Floats) -> Floats:
            return np.reshape(slopes(*tried.tolist(), *known), (len(tried), len(tried)))

        try:
            result = root(left_over, start, jac=jacobian, method="hybr", options=_CLOSELY)
        except ARITHMETIC:
            return None
        return dict(zip(self.step.unknowns, map(float, result.x), strict=True))

    def _starts(self, way: Way, known: Sequence[float]) -> list[Floats]:
        """Starting points: trial values spread over their ranges, the rest followed from them."""
        each = _STARTS_EACH.get(len(self.step.tried), 2)
        axes = []
        for name in self.step.tried:
            inner = spread(*self._ranges[name], each + 2)[1:-1]
            # The likeliest may be among the others: no start is worth trying twice.
            axes.append([*dict.fromkeys((self._program.preferred(name), *map(float, inner)))])
        starts = []
        for tried in islice(product(*axes), _MOST_STARTS):
            with np.errstate(all="ignore"):
                followed = way.sampled(*map(np.float64, (*tried, *known)))
            tail = map(float, self._followed(followed))
            values = dict(zip(self._order, (*tried, *tail), strict=True))
            # What does not follow from these starts where it is likeliest.
            start = [
                values[name] if math.isfinite(values[name]) else self._program.preferred(name)
                for name in self.step.unknowns
            ]
            starts.append(np.array(start, dtype=float))
        return starts

    # -- many designs -----------------------------------------------------------------------

    def solve_arrays(self, known: dict[str, Any], prefer: Mapping[str, Any]) -> None:
        """As `solve`, for arrays; nan where no answer lies in range.

        What is real only in a window narrower than the sampling is missed here; `solve` samples
        more closely before it gives up.
        """
        columns = np.broadcast_arrays(*[np.asarray(known[n], dtype=float) for n in self.needs])
        shape = columns[0].shape if columns else ()
        flat = [np.atleast_1d(column).ravel() for column in columns]
        count = len(flat[0]) if flat else 1
        wanted = {n: np.broadcast_to(prefer[n], count) for n in self.chosen}
        best = _Best(self, count, wanted)
        if len(self.step.tried) == 1:
            for way in self.ways:
                self._close_columns(way, flat, best)
        else:
            best.doubtful[:] = True
        for values in best.solved.values():
            values[best.open] = np.nan
        for i in np.nonzero(best.doubtful & ~best.open)[0]:
            self._solve_one(int(i), flat, best)
        for name, values in best.solved.items():
            known[name] = values.reshape(shape) if shape else values[0]
        known[SEVERAL] = known.get(SEVERAL, False) | best.several

    def _close_columns(self, way: Way, columns: list[Floats], best: _Best) -> None:
        def residual(tried: Floats, *args: Floats) -> Any:
            return way.array(tried, *args)[0]

        points, count = self._points, len(best.distance)
        found = way.array(points[:, None], *[c[None, :] for c in columns])
        sampled = np.broadcast_to(found[0], (len(points), count))
        closes = np.broadcast_to(self._closes(found), sampled.shape)
        best.open |= np.count_nonzero(closes, axis=0) >= _OPEN
        for designs, roots in many_roots.crossings(residual, points, columns, sampled):
            best.offer(way, designs, roots, columns)
        for designs, roots, edge in many_roots.edge_roots(residual, points, columns, sampled):
            best.offer(way, designs, roots, columns, if_none=edge)
        every = np.arange(count)
        for end in (points[0], points[-1]):
            best.offer(way, every, np.full(count, end), columns, if_none=True)
        best.doubtful |= many_roots.has_deep_dip(points, sampled)

    def _solve_one(self, index: int, columns: list[Floats], best: _Best) -> None:
        outcome = Outcome(
            {name: float(c[index]) for name, c in zip(self.needs, columns, strict=True)}
        )
        self.solve(outcome, {n: float(w[index]) for n, w in best.wanted.items()})
        for name in self.step.unknowns:
            best.solved[name][index] = outcome.values[name]
        best.several[index] = self.step.tried[0] in outcome.alternatives


class _Best:
    """The best answer so far for each of many designs."""

    def __init__(self, block: Block, count: int, wanted: dict[str, Floats]):
        self._block, self.wanted = block, wanted
        self.solved = {name: np.full(count, np.nan) for name in block.step.unknowns}
        self.distance = np.full(count, np.inf)
        self.doubtful, self.several, self.open = np.zeros((3, count), dtype=bool)

    def offer(
        self,
        way: Way,
        designs: NDArray[np.intp],
        tried: Floats,
        columns: Sequence[Floats],
        *,
        if_none: bool = False,
    ) -> None:
        """Keep these roots where they close, lie in range and are nearer than what was kept.

        With `if_none`, only where nothing was kept yet."""
        if if_none:
            open_ones = np.isinf(self.distance[designs])
            designs, tried = designs[open_ones], tried[open_ones]
        found = way.array(tried, *(column[designs] for column in columns))
        tail = self._block._followed(found)
        values = [tried, *(np.broadcast_to(v, tried.shape) for v in tail)]
        named = dict(zip(self._block._order, values, strict=True))
        good = np.broadcast_to(self._block._closes(found), tried.shape).copy()
        for name, value in named.items():
            good &= self._block._inside(name, value)
        before = {name: self.solved[name][designs] for name in self.wanted}
        apart = self._distance(named, before) > _SAME_ROOT  # false for the nan of "none yet"
        self.several[designs[good & apart]] = True
        distance = self._distance(named, {n: w[designs] for n, w in self.wanted.items()})
        nearer = good & (distance < self.distance[designs])
        self.distance[designs[nearer]] = distance[nearer]
        for name, value in named.items():
            self.solved[name][designs[nearer]] = value[nearer]

    def _distance(self, named: Mapping[str, Floats], other: Mapping[str, Floats]) -> Floats:
        ranges = self._block._ranges
        parts = [np.abs(named[n] - o) / (ranges[n][1] - ranges[n][0]) for n, o in other.items()]
        total: Floats = np.sum(parts, axis=0)
        return total
