"""Relations that must hold at once: try values, follow them through, close what is left over.

With one value tried (one tear variable) the residual is a function of it, sampled over its whole
range so that every crossing of zero is found, then closed by Brent's method (scipy). With several,
many starts over their ranges are evaluated as arrays and the best polished (`roots`). Where what
follows has several forms (a square root of either sign), each way of taking them is gone through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, lru_cache
from itertools import islice, product
from typing import Any, Literal

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.codegen import Assignment, closing, compile_assignments
from tablekit.engine.judge import Outcome, Problem
from tablekit.engine.order import Compiling, TogetherStep
from tablekit.engine.roots import (
    all_roots,
    crossings,
    edge_roots,
    has_deep_dip,
    over_range,
    polish,
    quasi_random,
    sample_points,
)
from tablekit.engine.slack import with_slack

Floats = NDArray[np.float64]
Answer = dict[str, float]
SEVERAL = "several answers"  # marks, among arrays, the designs where a block had a choice
CLOSED = 1e-9  # residual, relative to its terms, below which a loop counts as closed
NOTHING = 1e-15  # and below which it is nothing, whatever its terms
_SAME_ROOT = 1e-7
_MOST_WAYS = 16
# Starts that are evaluated, and those of them that are polished: for one design, for each of many.
_EFFORTS = (1024, 32), (4096, 96)  # the second where the first finds nothing
_EFFORTS_EACH = (32, 3), (512, 8)  # the second where the first finds nothing
_AT_A_TIME = 200_000  # points evaluated together
_BESIDE = 1e-5  # of the size of a tried value: how far off its neighbours are looked at
_FLAT = 1e-6  # slopes of a residual below which an answer may be one of a continuum
_KEPT = 32  # sets of numbers whose answers are remembered
_OPEN = 8  # a loop that closes at as many samples closes wherever it is tried


# What `math` raises where NumPy gives nan.
ARITHMETIC = (ValueError, ZeroDivisionError, OverflowError, TypeError)


class Branch:
    """One way of taking the forms of what follows, compiled: returns for each closing relation its
    residual and the size of its terms, then what follows."""

    def __init__(
        self,
        inputs: Sequence[sp.Symbol],
        assignments: Sequence[Assignment],
        tail: int,
        constants: Mapping[sp.Symbol, float],
    ):
        self._inputs, self._assignments, self._constants = inputs, assignments, constants
        # What is left over comes first, so that a root finder need not look for it.
        symbols = [symbol for symbol, _ in assignments]
        self._outputs = [*symbols[tail:], *symbols[:tail]]

    def _compile(self, arrays: bool, share: bool) -> Callable[..., tuple[Any, ...]]:
        return compile_assignments(
            self._inputs,
            self._assignments,
            self._outputs,
            arrays=arrays,
            constants=self._constants,
            share=share,
        )

    @cached_property
    def scalar(self) -> Callable[..., tuple[float, ...]]:
        """Of floats."""
        return self._compile(arrays=False, share=False)

    @cached_property
    def sampled(self) -> Callable[..., tuple[Any, ...]]:
        """Of arrays, for the samples of one design: compiled sooner than it would be shared."""
        return self._compile(arrays=True, share=False)

    @cached_property
    def array(self) -> Callable[..., tuple[Any, ...]]:
        """Of arrays, for many designs."""
        return self._compile(arrays=True, share=True)

    def residual(self, known: Sequence[float]) -> Callable[[float], float]:
        """What the first closing relation leaves over, as a function of one tried value."""

        def left_over(value: float) -> float:
            try:
                found = self.scalar(value, *known)[0]
            except ARITHMETIC:
                return math.nan
            return found if isinstance(found, float) else math.nan

        return left_over


class _Open(Exception):
    """The loop closes whatever is tried: its relations say the same twice and settle nothing."""


class Block:
    """A compiled `TogetherStep`."""

    def __init__(self, program: Compiling, step: TogetherStep):
        self.step = step
        self.needs = sorted(step.needs - set(program.plan.network.constants))
        self._program = program
        self._ranges = {name: program.range_of(name) for name in step.unknowns}
        self._order = [*step.tried, *(inner.unknown for inner in step.follow)]
        # Answers may differ in these; the rest follows from them.
        forked = [inner.unknown for inner in step.follow if len(inner.forms) > 1]
        self.chosen = (*step.tried, *forked)
        self._checked = [*step.closing, *(s.relation for s in step.follow if s.must_be_put_back)]
        self.branches = self._make_branches()
        # What is preferred only sorts the answers: a run that prefers another asks again.
        self._answers = lru_cache(maxsize=_KEPT)(self._answers_anew)
        self._stands_alone = lru_cache(maxsize=_KEPT)(self._stands_alone_anew)

    def _make_branches(self) -> list[Branch]:
        program, step = self._program, self.step
        inputs = [program.symbols[n] for n in (*step.tried, *self.needs)]
        residuals = self._residual_assignments()
        unknowns = [program.symbols[inner.unknown] for inner in step.follow]
        forms = [inner.forms for inner in step.follow]
        constants = program.constants
        return [
            Branch(
                inputs, [*zip(unknowns, chosen, strict=True), *residuals], len(unknowns), constants
            )
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
        outcome.sampled |= len(self.step.tried) > 1
        tried = tuple(answers[0][name] for name in self.step.tried)
        outcome.doubtful |= not self._stands_alone(tuple(known), tried)
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
            few, many = (
                lambda branch, e=effort: self._several_tried(branch, known, e)
                for effort in _EFFORTS
            )
        else:
            # What is real may be so only in a window between two samples.
            few, many = (
                lambda branch, at=points: self._one_tried(branch, known, at)
                for points in (self._points, self._dense_points)
            )
        return self._every_branch(few) or self._every_branch(many)

    def _every_branch(self, find: Callable[[Branch], list[Answer]]) -> list[Answer]:
        answers: list[Answer] = []
        for branch in self.branches:
            for answer in find(branch):
                if not any(self._same(answer, other) for other in answers):
                    answers.append(answer)
        return answers

    def _same(self, one: Answer, other: Answer) -> bool:
        return all(
            abs(one[name] - other[name]) <= _SAME_ROOT * max(abs(one[name]), abs(other[name]), 1e-9)
            for name in self._order
        )

    def _one_tried(self, branch: Branch, known: Sequence[float], points: Floats) -> list[Answer]:
        with np.errstate(all="ignore"):
            found = branch.sampled(points, *map(np.float64, known))
            if np.count_nonzero(np.broadcast_to(self._closes(found), points.shape)) >= _OPEN:
                raise _Open
        sampled = np.broadcast_to(np.asarray(found[0], dtype=float), points.shape)
        crossings, touches = all_roots(branch.residual(known), points, sampled)
        answers = [a for x in sorted(crossings) if (a := self._complete(branch, (x,), known))]
        for x in sorted(touches):
            answer = self._complete(branch, (x,), known)
            if answer and not any(self._joined(branch, answer, other, known) for other in answers):
                answers.append(answer)
        return answers

    def _joined(self, branch: Branch, one: Answer, other: Answer, known: Sequence[float]) -> bool:
        """Whether two answers are one: the loop closes, as near as can be told, half-way too."""
        (name,) = self.step.tried
        if abs(one[name] - other[name]) > 1e-3 * (self._ranges[name][1] - self._ranges[name][0]):
            return False
        return self._complete(branch, ((one[name] + other[name]) / 2,), known) is not None

    def _complete(
        self, branch: Branch, tried: tuple[float, ...], known: Sequence[float]
    ) -> Answer | None:
        """All the block's unknowns for a root; None if it does not close or falls outside."""
        with np.errstate(all="ignore"):
            found = branch.sampled(*map(np.float64, (*tried, *known)))
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

    # -- several tried values ---------------------------------------------------------------

    def _relative(self, found: Sequence[Any], count: int) -> Floats:
        """Residuals of the closing relations, relative to their terms, shape (count, relations)."""
        tried = len(self.step.tried)
        columns = [
            np.broadcast_to(found[2 * i] / np.maximum(found[2 * i + 1], NOTHING), count)
            for i in range(tried)
        ]
        return np.stack(columns, axis=1)

    def _bounds(self) -> tuple[Floats, Floats]:
        low, high = zip(*(self._ranges[name] for name in self.step.tried), strict=True)
        return np.array(low), np.array(high)

    def _spread(self, count: int, prefer: Floats) -> Floats:
        """Starts over the ranges of what is tried, the preferred one first: (count, tried)."""
        low, high = self._bounds()
        shares = quasi_random(count - 1, len(low)).T
        columns = [over_range(u, a, b) for u, a, b in zip(shares, low, high, strict=True)]
        return np.concatenate([prefer[None, :], np.stack(columns, axis=1)])

    def _several_tried(
        self, branch: Branch, known: Sequence[float], effort: tuple[int, int]
    ) -> list[Answer]:
        prefer = np.array([self._program.preferred(name) for name in self.step.tried])
        columns = [np.array([value]) for value in known]
        answers: list[Answer] = []
        points, size = self._polished(branch, columns, prefer[None, :], *effort)
        for point in points[size <= CLOSED]:
            answer = self._complete(branch, tuple(map(float, point)), known)
            if answer and not any(self._same(answer, other) for other in answers):
                answers.append(answer)
        return answers

    def _polished(
        self, branch: Branch, columns: Sequence[Floats], prefer: Floats, samples: int, starts: int
    ) -> tuple[Floats, Floats]:
        """The best of many starts for each design, moved to where the loop closes.

        columns  what is known, each of shape (designs,); prefer of shape (designs, tried)
        Returns points of shape (designs * starts, tried), those of a design together, and the
        largest relative residual of each."""
        designs, tried = prefer.shape
        spread = self._spread(samples, prefer[0])
        every = np.broadcast_to(spread, (designs, samples, tried)).copy()
        every[:, 0] = prefer
        starts = min(starts, samples)

        def residuals(points: Floats, which: NDArray[np.intp]) -> Floats:
            with np.errstate(all="ignore"):
                found = branch.array(*points.T, *(column[which // starts] for column in columns))
                return self._relative(found, len(points))

        with np.errstate(all="ignore"):
            flat = every.reshape(-1, tried)
            found = branch.array(*flat.T, *(np.repeat(column, samples) for column in columns))
            left = self._relative(found, len(flat))
        size = np.abs(left).max(axis=1).reshape(designs, samples)
        size = np.where(np.isfinite(size), size, np.inf)
        # What is preferred is always tried, where it has a value at all.
        size[:, 0] = np.where(np.isfinite(size[:, 0]), 0.0, np.inf)
        best = np.argpartition(size, starts - 1, axis=1)[:, :starts]
        chosen = np.take_along_axis(every, best[:, :, None], axis=1).reshape(-1, tried)
        low, high = self._bounds()
        return polish(residuals, chosen, low, high, close=1e-13)

    # -- whether an answer stands alone -----------------------------------------------------

    def _stands_alone_anew(self, given: Sequence[float], tried: Sequence[float]) -> bool:
        """Whether the loop is open on all sides of an answer, to first order.

        If not, two answers meet there, or it is one of a continuum."""
        known, at = list(map(np.float64, given)), np.array(tried)
        low, high = self._bounds()
        step = _BESIDE * np.maximum(np.abs(at), 1e-3 * (high - low))
        points = np.concatenate([at + np.diag(step), at - np.diag(step)])
        with np.errstate(all="ignore"):
            for branch in self.branches:
                found = branch.sampled(*at, *known)
                if not self._closes(found):
                    continue
                beside = self._relative(branch.sampled(*points.T, *known), len(points))
                rises = (beside[: len(at)] - beside[len(at) :]) / (2 * _BESIDE)
                if not np.isfinite(rises).all():
                    return False
                return bool(np.linalg.svd(rises, compute_uv=False)[-1] > _FLAT)
        return True

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
            for branch in self.branches:
                self._close_columns(branch, flat, best)
        else:
            for effort in _EFFORTS_EACH:
                left = np.nonzero(np.isinf(best.distance))[0]
                for branch in self.branches:
                    self._polish_columns(branch, flat, best, left, effort)
        for values in best.solved.values():
            values[best.open] = np.nan
        for i in np.nonzero(best.doubtful & ~best.open)[0]:
            self._solve_one(int(i), flat, best)
        for name, values in best.solved.items():
            known[name] = values.reshape(shape) if shape else values[0]
        known[SEVERAL] = known.get(SEVERAL, False) | best.several

    def _close_columns(self, branch: Branch, columns: list[Floats], best: _Best) -> None:
        def residual(tried: Floats, *args: Floats) -> Any:
            return branch.array(tried, *args)[0]

        points, count = self._points, len(best.distance)
        found = branch.array(points[:, None], *[c[None, :] for c in columns])
        sampled = np.broadcast_to(found[0], (len(points), count))
        closes = np.broadcast_to(self._closes(found), sampled.shape)
        best.open |= np.count_nonzero(closes, axis=0) >= _OPEN
        for designs, roots in crossings(residual, points, columns, sampled):
            best.offer(branch, designs, roots[:, None], columns)
        for designs, roots, edge in edge_roots(residual, points, columns, sampled):
            best.offer(branch, designs, roots[:, None], columns, if_none=edge)
        every = np.arange(count)
        for end in (points[0], points[-1]):
            best.offer(branch, every, np.full((count, 1), end), columns, if_none=True)
        best.doubtful |= has_deep_dip(points, sampled)

    def _polish_columns(
        self,
        branch: Branch,
        columns: list[Floats],
        best: _Best,
        which: NDArray[np.intp],
        effort: tuple[int, int],
    ) -> None:
        samples, starts = effort
        size_each = max(1, _AT_A_TIME // samples)
        for begin in range(0, len(which), size_each):
            part = which[begin : begin + size_each]
            prefer = np.stack([best.wanted[name][part] for name in self.step.tried], axis=1)
            points, size = self._polished(
                branch, [column[part] for column in columns], prefer, samples, starts
            )
            for start in range(starts):
                closed = size[start::starts] <= CLOSED
                if closed.any():
                    best.offer(branch, part[closed], points[start::starts][closed], columns)

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
        branch: Branch,
        designs: NDArray[np.intp],
        tried: Floats,
        columns: Sequence[Floats],
        *,
        if_none: bool = False,
    ) -> None:
        """Keep these roots, of shape (designs, tried), where they close, lie in range and are
        nearer than what was kept.

        With `if_none`, only where nothing was kept yet."""
        if if_none:
            open_ones = np.isinf(self.distance[designs])
            designs, tried = designs[open_ones], tried[open_ones]
        found = branch.array(*tried.T, *(column[designs] for column in columns))
        tail = self._block._followed(found)
        values = [*tried.T, *(np.broadcast_to(v, len(tried)) for v in tail)]
        named = dict(zip(self._block._order, values, strict=True))
        good = np.broadcast_to(self._block._closes(found), len(tried)).copy()
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
