"""A search for any design that meets some givens: bounded least squares from many starts."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import least_squares

from tests.referee.compiled import Expression, Matrix, Vector

if TYPE_CHECKING:
    from tests.referee.referee import Referee

# A design that was found closes to this share of the size of every relation.
FOUND = 1e-8
# From a start whose relations close no better than this, the ranges need not be asked.
HOPELESS = 1e-6
CLOSE_ENOUGH = 1e-11
STEPPINGS = 3  # how often what is rounded down is chosen anew
WIDENINGS = 8  # how often more relations are solved together
MOST_EVALUATIONS = 150
SHAKEN = 0.15
LARGEST = 1e100  # so that squares do not overflow
A_LITTLE = 1e-9  # what is rounded down stays so far below the next whole number


@dataclass(frozen=True)
class Found:
    """What a search found.

    design   values in reporting units, or None where none was found
    starts   how many starts it took, or how many were tried in vain
    closest  the least left over by the relations that have to be solved together, whatever the
             ranges of the others: a small number without a design means that ranges or limits
             stand in the way
    """

    design: dict[str, float | None] | None
    starts: int
    closest: float

    def __bool__(self) -> bool:
        return self.design is not None


class Search:
    """The searches in one network."""

    def __init__(self, referee: Referee):
        self.referee = referee
        compiled = self.compiled = referee.compiled
        # Counts that do not come of rounding down are kept whole by keeping them.
        whole = map(int, np.flatnonzero(referee.whole))
        self.counts = [i for i in whole if referee.names[i] not in referee.rounded]
        self.mentions = np.zeros(len(compiled.names), int)
        for places in compiled.uses:
            self.mentions[list(places)] += 1
        self.leaving_out = {
            relation
            for relation, refuses in zip(compiled.limit_of, compiled.refuses, strict=True)
            if not refuses
        }
        low, high = referee.low, referee.high
        with np.errstate(all="ignore"):
            self.middle = np.where(low > 0, np.sqrt(np.abs(low * high)), (low + high) / 2)

    def run(
        self,
        givens: Mapping[str, float],
        starts: Sequence[Vector],
        held: Sequence[str],
        random: np.random.Generator,
    ) -> Found:
        """From each start, then from each once more, shaken; last from the middle of the ranges."""
        network = self.referee.network
        assumed = {a.quantity.name: i for i, a in enumerate(network.assumptions) if a.quantity}
        rows = [self.compiled.relations + assumed[name] for name in held]
        starts = [np.where(np.isnan(x), self.middle, x) for x in starts]
        shaken = [x * (1 + SHAKEN * random.standard_normal(len(x))) for x in starts]
        closest = math.inf
        tried = 0
        for start in (*starts, *shaken, self.middle):
            tried += 1
            attempt = Attempt(self, givens, rows, start)
            attempt.run()
            closest = min(closest, attempt.closest)
            if attempt.design:
                return Found(attempt.design, tried, closest)
        return Found(None, tried, closest)


class Attempt:
    """One search from one start.

    Most relations have a quantity of their own, which can follow when all else is known: they are
    peeled off. What remains has to be solved together. Where a quantity that follows then falls out
    of its range, or a limit is passed, the relations behind it are solved together with the rest.
    """

    def __init__(
        self, search: Search, givens: Mapping[str, float], held: Sequence[int], start: Vector
    ):
        self.search, self.referee, self.compiled = search, search.referee, search.compiled
        self.givens, self.held = givens, held
        self.closest = math.inf
        self.design: dict[str, float | None] | None = None
        referee = self.referee
        self.x = np.clip(start, referee.low, referee.high)
        self.fixed = {
            referee.place[name]: number * referee.network.quantities[name].scale
            for name, number in givens.items()
        }
        for place in search.counts:
            self.fixed.setdefault(place, float(np.round(self.x[place])))
        for place, value in self.fixed.items():
            self.x[place] = value
        self.scale = referee.scale(self.x)

    def run(self) -> None:
        """Sets `design` if one is found."""
        steps = self._steps()
        for _ in range(STEPPINGS):
            self._with(steps)
            again = self._steps()
            if self.design or again == steps:
                return
            steps = again

    def _steps(self) -> list[float]:
        """What is rounded down, from where the search stands; but where a relation has all else
        fixed, what it then has to be."""
        steps = [0.0 if math.isnan(step) else step for step in self.compiled.steps(self.x)]
        at = self.x.tolist()
        for statement in self.compiled.statements[: self.compiled.relations]:
            if len(statement.steps) == 1 and all(place in self.fixed for place in statement.uses):
                (step,) = statement.steps
                before = statement.value(at, steps)
                more = [*steps]
                more[step] += 1
                rise = statement.value(at, more) - before
                if rise and math.isfinite(before):
                    steps[step] = float(round(steps[step] - before / rise))
        return steps

    def _with(self, steps: list[float]) -> None:
        """Looks for a design in which just so much is rounded down."""
        together, follow = self._peel(steps)
        limits: set[int] = set()
        left = self._solve(together, limits, steps)
        self.closest = min(self.closest, left)
        if not left <= HOPELESS:
            return
        for _ in range(WIDENINGS):
            wrong = self._follow(follow, steps)
            if not wrong and self._is_design():
                return
            wrong |= self._passed(limits, steps)
            drawn_in = self._behind(wrong, follow)
            if not drawn_in and not wrong:
                return
            together += [row for row, _ in follow if row in drawn_in]
            follow = [(row, place) for row, place in follow if row not in drawn_in]
            if not self._solve(together, limits, steps) <= HOPELESS:
                return

    def _peel(self, steps: list[float]) -> tuple[list[int], list[tuple[int, int]]]:
        """The relations that have to be solved together, and those that follow, each with the
        quantity it is solved for, in the order in which to do so."""
        with np.errstate(all="ignore"):
            reach = np.abs(np.nan_to_num(self.compiled.slopes(self.x, steps))) * self.scale
        rows = [*range(self.compiled.relations), *self.held]
        count = np.zeros(len(self.x), int)
        # What is rounded down counts too, though no row is solved for it.
        open_in = {row: [p for p in self.compiled.uses[row] if p not in self.fixed] for row in rows}
        for places in open_in.values():
            count[places] += 1
        follow = []
        progress = True
        while progress:
            progress = False
            for row in list(rows):
                own = [p for p in open_in[row] if count[p] == 1 and reach[row, p] > 0]
                if own:
                    follow.append((row, max(own, key=lambda p: reach[row, p])))
                    count[open_in[row]] -= 1
                    rows.remove(row)
                    progress = True
        return rows, follow[::-1]

    def _follow(self, follow: Sequence[tuple[int, int]], steps: list[float]) -> set[int]:
        """Solves relations one after another; the quantities that would fall out of range, which
        stop at its end. One that has no value there is not among them."""
        x = self.x.tolist()
        wrong = set()
        referee = self.referee
        for row, place in follow:
            found = _newton(self.compiled.statements[row], place, x, steps)
            low, high = referee.low[place], referee.high[place]
            if low - referee.margin[place] <= found <= high + referee.margin[place]:
                x[place] = found
                continue
            if math.isfinite(found):
                x[place] = min(max(found, low), high)
            if not (self._alone(row, place) and row in referee.limits_passed(np.array(x))):
                wrong.add(place)
        self.x = np.array(x)
        return wrong

    def _alone(self, row: int, place: int) -> bool:
        """Whether a quantity may have no value: it is not given, and nothing else speaks of it,
        not even an assumption."""
        return (
            row in self.search.leaving_out
            and self.search.mentions[place] == 1
            and place not in self.fixed
        )

    def _passed(self, limits: set[int], steps: list[float]) -> set[int]:
        """Adds the limits that are passed; the quantities that they speak of."""
        slack = self.compiled.slack(self.x)
        places: set[int] = set()
        for i in np.flatnonzero(~(slack >= 0)):
            if self.compiled.refuses[i] and int(i) not in limits:
                limits.add(int(i))
                places |= set(self.compiled.limits[i].uses)
        return places

    def _behind(self, places: Collection[int], follow: Sequence[tuple[int, int]]) -> set[int]:
        """The relations that these quantities follow from, and those that theirs follow from."""
        row_of = {place: row for row, place in follow}
        waiting, rows = list(places), set()
        while waiting:
            row = row_of.get(waiting.pop())
            if row is not None and row not in rows:
                rows.add(row)
                waiting += self.compiled.statements[row].uses
        return rows

    def _is_design(self) -> bool:
        x = self.x.copy()
        passed = self.referee.limits_passed(x, FOUND)
        for relation in passed:
            for place in self.compiled.uses[relation]:
                if self._alone(relation, place):
                    x[place] = np.nan
        values = self.referee.values(x) | {n: float(v) for n, v in self.givens.items()}
        if self.referee.violations(values, self.givens, FOUND) or self.referee.fractional(values):
            return False
        self.design = values
        return True

    def _solve(self, rows: Sequence[int], limits: Collection[int], steps: list[float]) -> float:
        """Moves what the rows speak of until they close as far as they will, within ranges and
        limits; the greatest share of its size that a row leaves over."""
        problem = _Together(self, rows, sorted(limits), steps)
        if not problem.open or problem.worst(problem.start) <= CLOSE_ENOUGH:
            return problem.worst(problem.start)
        done = least_squares(
            problem.left, problem.start, jac=problem.slopes, method="lm",
            ftol=1e-15, xtol=1e-15, gtol=1e-15, max_nfev=MOST_EVALUATIONS,
        )  # fmt: skip
        self.x = problem.put(done.x)
        return problem.worst(done.x)


class _Together:
    """Rows, limits and ranges as a function of what they can move, each quantity in its scale.

    A limit, or an end of a range, leaves over what it is passed by. (The bounds of least_squares
    itself keep a start at the very end of a range, where many a default lies, from moving.)
    """

    def __init__(
        self, attempt: Attempt, rows: Sequence[int], limits: Sequence[int], steps: list[float]
    ):
        self.compiled, self.x, self.steps = attempt.compiled, attempt.x, steps
        # A step stays what it was chosen to be.
        stepped = sorted({i for row in rows for i in self.compiled.statements[row].steps})
        self.chosen = [steps[i] for i in stepped]
        self.counts = len(rows), len(limits), len(stepped)
        self.expressions = [
            *(self.compiled.statements[row] for row in rows),
            *(self.compiled.limits[i] for i in limits),
            *(self.compiled.floors[i] for i in stepped),
        ]
        moved = {place for expression in self.expressions for place in expression.uses}
        self.open = sorted(moved - attempt.fixed.keys())
        self.scale = attempt.scale[self.open]
        self.low = attempt.referee.low[self.open] / self.scale
        self.high = attempt.referee.high[self.open] / self.scale
        slopes = np.abs(np.nan_to_num(self.compiled.matrix(self.expressions, self.x, steps)))
        self.sizes = np.maximum(slopes @ attempt.scale, 1e-300)
        self.start = self.x[self.open] / self.scale

    def put(self, z: Vector) -> Vector:
        """All values, with z for what moves."""
        x = self.x.copy()
        x[self.open] = z * self.scale
        return x

    def worst(self, z: Vector) -> float:
        """The greatest share left over."""
        return float(np.max(np.abs(self.left(z)), initial=0.0))

    def left(self, z: Vector) -> Vector:
        """What the rows leave over, and by how much limits, steps and ranges are passed."""
        at = self.put(z).tolist()
        with np.errstate(over="ignore"):
            found = np.array([e.value(at, self.steps) for e in self.expressions]) / self.sizes
        rows, limits, _ = self.counts
        found[rows : rows + limits] = np.minimum(found[rows : rows + limits], 0)
        for i, step in enumerate(self.chosen, rows + limits):
            value, size = found[i], self.sizes[i]
            found[i] = min(value - step / size, 0) + max(value - (step + 1 - A_LITTLE) / size, 0)
        outside = np.minimum(z - self.low, 0) + np.maximum(z - self.high, 0)
        return np.clip(np.nan_to_num(np.append(found, outside), nan=1e3), -LARGEST, LARGEST)

    def slopes(self, z: Vector) -> Matrix:
        """Derivatives of `left`."""
        found = self.compiled.matrix(self.expressions, self.put(z), self.steps)
        with np.errstate(over="ignore"):
            found = found[:, self.open] * self.scale / self.sizes[:, None]
        found = np.clip(np.nan_to_num(found), -LARGEST, LARGEST)
        left = self.left(z)
        rows = self.counts[0]
        found[rows:][left[rows : len(found)] == 0] = 0
        return np.vstack([found, np.diag((left[len(found) :] != 0).astype(float))])


def _newton(statement: Expression, place: int, x: list[float], steps: list[float]) -> float:
    """The value of one quantity that closes a statement, from the one it has; nan where Newton's
    method finds none."""
    at = list(x)
    where = statement.uses.index(place)
    for _ in range(60):
        left, slope = statement.value(at, steps), statement.slopes(at, steps)[where]
        if not (math.isfinite(left) and math.isfinite(slope) and slope):
            return math.nan
        change = left / slope
        at[place] -= change
        if abs(change) <= 1e-14 * abs(at[place]) or at[place] == at[place] + change:
            return at[place]
    return at[place] if abs(change) <= 1e-9 * abs(at[place]) else math.nan
