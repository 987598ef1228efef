"""Relations that must hold at once: try a value, follow it through, close the loop.

With one tried unknown the left-over relation is a function of it, sampled over its whole range
so that every crossing of zero is found, then closed by Brent's method (scipy). With several,
scipy's hybrid Newton method works on all the block's relations and their symbolic Jacobian from
several starts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.calculus import residual_slope
from tablekit.engine.lambdas import Assignment, compile_assignments, compile_vector
from tablekit.engine.plan import TogetherStep

if TYPE_CHECKING:
    from tablekit.engine.compile import Outcome, Program

Floats = NDArray[np.float64]
_SAMPLES = 97
_CLOSED = 1e-9  # residual, relative to its terms, below which a loop counts as closed
_SAME_ROOT = 1e-7
_STARTS_EACH = {2: 5, 3: 3}


class Block:
    """A compiled `TogetherStep`."""

    def __init__(self, program: Program, step: TogetherStep):
        self.step = step
        self.needs = sorted(step.needs - set(program.plan.network.constants))
        self._program = program
        self._follow = [program.assignment(inner) for inner in step.follow]
        self._residuals = self._residual_assignments()
        # Tried by its range: an angle evenly, a length that may be a peg or a post by ratio.
        self._ranges = {name: program.range_of(name) for name in step.unknowns}
        self._preferred = [program.preferred(name) for name in step.tried]

    def _residual_assignments(self) -> list[Assignment]:
        assignments = []
        for index, relation in enumerate(self.step.closing):
            left, right = relation.equation.lhs, relation.equation.rhs
            terms = [*sp.Add.make_args(left), *sp.Add.make_args(right)]
            size = sum((sp.Abs(self._program.prepared(t)) for t in terms), sp.Float(0))
            difference = self._program.prepared(left) - self._program.prepared(right)
            assignments.append((sp.Symbol(f"residual_{index}", real=True), difference))
            assignments.append((sp.Symbol(f"size_{index}", real=True), size))
        return assignments

    def _compile(self, arrays: bool) -> Callable[..., tuple[Any, ...]]:
        symbols = self._program.symbols
        outputs = [symbol for symbol, _ in (*self._residuals, *self._follow)]
        return compile_assignments(
            [symbols[n] for n in (*self.step.tried, *self.needs)],
            [*self._follow, *self._residuals],
            outputs,
            arrays=arrays,
            functions=self._program.choosers(arrays),
        )

    @cached_property
    def _scalar(self) -> Callable[..., tuple[float, ...]]:
        return self._compile(arrays=False)

    @cached_property
    def _array(self) -> Callable[..., tuple[Any, ...]]:
        return self._compile(arrays=True)

    # -- one design -------------------------------------------------------------------------

    def solve(self, outcome: Outcome) -> None:
        """Find the block's unknowns from what is known and add them to the outcome.

        Of several answers within range the one nearest the assumed shape is taken and all are
        recorded. Without any, the unknowns become nan and a "no root" problem is added.
        """
        known = [outcome.values[name] for name in self.needs]
        answers = self._answers(known) if all(map(math.isfinite, known)) else []
        if not answers:
            self._give_up(outcome)
            return
        answers.sort(key=self._distance)
        outcome.values.update(answers[0])
        if len(answers) > 1:
            for name in self.step.tried:
                outcome.alternatives[name] = [answer[name] for answer in answers]

    def _give_up(self, outcome: Outcome) -> None:
        from tablekit.engine.compile import Problem

        for name in self.step.unknowns:
            outcome.values[name] = math.nan
        name = self.step.tried[0]
        outcome.problems.append(
            Problem("no root", name, math.nan, *self._ranges[name], self.step.closing[0])
        )

    def _distance(self, answer: Mapping[str, float]) -> float:
        return sum(
            abs(answer[name] - wanted) / (self._ranges[name][1] - self._ranges[name][0])
            for name, wanted in zip(self.step.tried, self._preferred, strict=True)
        )

    def _answers(self, known: list[float]) -> list[dict[str, float]]:
        candidates: list[tuple[float, ...]]
        if len(self.step.tried) == 1:
            candidates = [(root,) for root in self._single_roots(known)]
        else:
            candidates = self._multiple_roots(known)
        answers: list[dict[str, float]] = []
        for candidate in candidates:
            answer = self._complete(candidate, known)
            if answer is not None:
                answers.append(answer)
        return answers

    def _complete(self, tried: tuple[float, ...], known: list[float]) -> dict[str, float] | None:
        """All the block's unknowns for a root; None if it does not close or falls outside."""
        with np.errstate(all="ignore"):
            found = self._array(*map(np.float64, (*tried, *known)))
        count = len(self.step.closing)
        for index in range(count):
            residual, size = found[2 * index], found[2 * index + 1]
            if not abs(residual) <= _CLOSED * size + 1e-15:
                return None
        answer = dict(zip(self.step.tried, tried, strict=True))
        follow = (inner.unknown for inner in self.step.follow)
        answer.update(zip(follow, map(float, found[2 * count :]), strict=True))
        for name, value in answer.items():
            low, high = self._ranges[name]
            slack = 1e-9 * max(abs(low), abs(high))
            if not low - slack <= value <= high + slack:
                return None
        return answer

    @cached_property
    def _grid(self) -> Floats:
        low, high = self._ranges[self.step.tried[0]]
        if low > 0 and high > 20 * low:
            return np.geomspace(low, high, _SAMPLES)
        return np.linspace(low, high, _SAMPLES)

    def _residual(self, value: float, known: list[float]) -> float:
        try:
            found = self._scalar(value, *known)[0]
        except (ValueError, ZeroDivisionError, OverflowError, TypeError):
            return math.nan
        return found if isinstance(found, float) else math.nan

    def _single_roots(self, known: list[float]) -> list[float]:
        from scipy.optimize import brentq

        with np.errstate(all="ignore"):
            sampled = self._array(self._grid, *map(np.float64, known))[0]
        sampled = np.broadcast_to(np.asarray(sampled, dtype=float), self._grid.shape)
        brackets = list(self._brackets(self._grid, sampled, known))
        roots: list[float] = []
        for left, right in brackets:
            if left == right:
                roots.append(left)
                continue
            root = float(brentq(self._residual, left, right, args=(known,), xtol=1e-15, rtol=1e-14))
            roots.append(root)
        return _distinct(roots)

    def _brackets(
        self, grid: Floats, sampled: Floats, known: list[float]
    ) -> list[tuple[float, float]]:
        """Neighbouring trial values between which the left-over relation changes sign."""
        brackets = []
        for i in range(len(grid)):
            if sampled[i] == 0:
                brackets.append((float(grid[i]), float(grid[i])))
        for i in range(len(grid) - 1):
            left, right = float(grid[i]), float(grid[i + 1])
            a, b = sampled[i], sampled[i + 1]
            if math.isnan(a) != math.isnan(b):
                left, right, a, b = self._into_domain(left, right, a, b, known)
            if a * b < 0:
                brackets.append((left, right))
        brackets.extend(self._near_touches(grid, sampled, known))
        return brackets

    def _into_domain(
        self, left: float, right: float, a: float, b: float, known: list[float]
    ) -> tuple[float, float, float, float]:
        """Move the end that has no real value up to the edge of where there is one."""
        good, bad = (right, left) if math.isnan(a) else (left, right)
        value = b if math.isnan(a) else a
        edge, edge_value = good, value
        for _ in range(50):
            middle = (edge + bad) / 2
            found = self._residual(middle, known)
            if math.isnan(found):
                bad = middle
            else:
                edge, edge_value = middle, found
        if math.isnan(a):
            return edge, right, edge_value, b
        return left, edge, a, edge_value

    def _near_touches(
        self, grid: Floats, sampled: Floats, known: list[float]
    ) -> list[tuple[float, float]]:
        """Where the residual comes close to zero between samples without changing sign there."""
        from scipy.optimize import minimize_scalar

        brackets = []
        size = np.abs(sampled)
        for i in range(1, len(grid) - 1):
            if not (size[i] < size[i - 1] and size[i] < size[i + 1]):
                continue
            if sampled[i] * sampled[i - 1] <= 0 or sampled[i] * sampled[i + 1] <= 0:
                continue
            sign = math.copysign(1.0, sampled[i])
            best = minimize_scalar(
                lambda x, sign=sign: sign * self._residual(float(x), known),
                bounds=(float(grid[i - 1]), float(grid[i + 1])),
                method="bounded",
                options={"xatol": 1e-12},
            )
            if best.fun < 0:
                brackets += [(float(grid[i - 1]), best.x), (best.x, float(grid[i + 1]))]
            else:
                brackets.append((best.x, best.x))  # kept only if it truly closes
        return brackets

    # -- several tried unknowns -------------------------------------------------------------

    @cached_property
    def _system(self) -> tuple[Callable[..., Any], Callable[..., Any]]:
        """The block's residuals and their symbolic Jacobian, over all its unknowns."""
        program, unknowns = self._program, self.step.unknowns
        inputs = [program.symbols[n] for n in (*unknowns, *self.needs)]
        equations = [relation.equation for relation in self.step.relations]
        residuals = [program.prepared(eq.lhs) - program.prepared(eq.rhs) for eq in equations]
        slopes = [
            program.prepared(residual_slope(eq, program.symbols[name]))
            for eq in equations
            for name in unknowns
        ]
        return (
            compile_vector(inputs, residuals, arrays=True),
            compile_vector(inputs, slopes, arrays=True),
        )

    def _multiple_roots(self, known: list[float]) -> list[tuple[float, ...]]:
        from scipy.optimize import root

        residuals, jacobian = self._system
        unknowns = self.step.unknowns
        found: list[tuple[float, ...]] = []
        for start in self._starts(known):
            with np.errstate(all="ignore"):
                try:
                    result = root(
                        lambda x: np.asarray(residuals(*x, *known), dtype=float),
                        start,
                        jac=lambda x: np.reshape(jacobian(*x, *known), (len(x), len(x))),
                        method="hybr",
                        options={"xtol": 1e-14},
                    )
                except (ValueError, ZeroDivisionError, OverflowError, TypeError):
                    continue
            tried = tuple(float(result.x[unknowns.index(name)]) for name in self.step.tried)
            if all(math.isfinite(x) for x in tried) and not any(
                all(abs(x - y) <= _SAME_ROOT * max(abs(x), abs(y), 1e-9) for x, y in pairs)
                for pairs in (list(zip(tried, other, strict=True)) for other in found)
            ):
                found.append(tried)
        return found

    def _starts(self, known: list[float]) -> list[Floats]:
        """Starting points: trial values spread over their ranges, the rest followed from them."""
        each = _STARTS_EACH.get(len(self.step.tried), 2)
        axes = []
        for name, preferred in zip(self.step.tried, self._preferred, strict=True):
            low, high = self._ranges[name]
            spread = np.geomspace if low > 0 and high > 20 * low else np.linspace
            axes.append([preferred, *spread(low, high, each + 2)[1:-1]])
        starts = []
        for tried in product(*axes):
            with np.errstate(all="ignore"):
                followed = self._array(*map(np.float64, (*tried, *known)))
            values = dict(zip(self.step.tried, tried, strict=True))
            tail = followed[2 * len(self.step.closing) :]
            values.update(zip((s.unknown for s in self.step.follow), map(float, tail), strict=True))
            start = np.array([values[name] for name in self.step.unknowns], dtype=float)
            if np.all(np.isfinite(start)):
                starts.append(start)
        return starts

    # -- many designs -----------------------------------------------------------------------

    def solve_arrays(self, known: dict[str, Any]) -> None:
        """As `solve`, for arrays; nan where no answer lies in range.

        Answers closer together than the sampling of the tried range can be missed here; `solve`
        looks for those too.
        """
        columns = np.broadcast_arrays(*[np.asarray(known[n], dtype=float) for n in self.needs])
        shape = columns[0].shape if columns else ()
        flat = [np.atleast_1d(column).ravel() for column in columns]
        if len(self.step.tried) == 1:
            solved = self._solve_columns(flat)
        else:
            solved = self._solve_each(flat)
        for name, values in solved.items():
            known[name] = values.reshape(shape) if shape else values[0]

    def _solve_each(self, columns: list[Floats]) -> dict[str, Floats]:
        from tablekit.engine.compile import Outcome

        count = len(columns[0]) if columns else 1
        solved = {name: np.full(count, np.nan) for name in self.step.unknowns}
        for i in range(count):
            outcome = Outcome(
                {name: float(c[i]) for name, c in zip(self.needs, columns, strict=True)}
            )
            self.solve(outcome)
            for name in self.step.unknowns:
                solved[name][i] = outcome.values[name]
        return solved

    def _solve_columns(self, columns: list[Floats]) -> dict[str, Floats]:
        from scipy.optimize.elementwise import find_root

        count = len(columns[0]) if columns else 1
        grid = self._grid
        sampled = self._array(grid[:, None], *[c[None, :] for c in columns])[0]
        sampled = np.broadcast_to(sampled, (len(grid), count))
        changes = (sampled[:-1] * sampled[1:] < 0) | (sampled[:-1] == 0)
        solved = {name: np.full(count, np.nan) for name in self.step.unknowns}
        best = np.full(count, np.inf)
        order = np.cumsum(changes, axis=0)
        for nth in range(1, int(order[-1].max(initial=0)) + 1):
            where = changes & (order == nth)
            designs = np.nonzero(where.any(axis=0))[0]
            cell = where[:, designs].argmax(axis=0)
            args = tuple(c[designs] for c in columns)
            result = find_root(
                lambda x, *a: self._array(x, *a)[0] + 0 * x,
                (grid[cell], grid[cell + 1]),
                args=args,
                tolerances={"xatol": 1e-15, "xrtol": 1e-14, "fatol": 0.0, "frtol": 0.0},
            )
            self._keep_nearest(result.x, designs, args, solved, best)
        return solved

    def _keep_nearest(
        self,
        tried: Floats,
        designs: NDArray[np.intp],
        args: tuple[Floats, ...],
        solved: dict[str, Floats],
        best: Floats,
    ) -> None:
        found = self._array(tried, *args)
        names = [self.step.tried[0], *(inner.unknown for inner in self.step.follow)]
        values = [tried, *(np.broadcast_to(v, tried.shape) for v in found[2:])]
        good = np.abs(found[0]) <= _CLOSED * found[1] + 1e-15
        for name, value in zip(names, values, strict=True):
            low, high = self._ranges[name]
            slack = 1e-9 * max(abs(low), abs(high))
            good &= (value >= low - slack) & (value <= high + slack)
        distance = np.abs(tried - self._preferred[0])
        nearer = good & (distance < best[designs])
        best[designs[nearer]] = distance[nearer]
        for name, value in zip(names, values, strict=True):
            solved[name][designs[nearer]] = value[nearer]


def _distinct(roots: list[float]) -> list[float]:
    kept: list[float] = []
    for value in sorted(roots):
        if not kept or abs(value - kept[-1]) > _SAME_ROOT * max(abs(value), 1e-9):
            kept.append(value)
    return kept
