"""Looking for designs: values that meet what is given, what is assumed, every range and limit.

The search works on the explicit form of a network: from many starts it moves the free parameters
until the given values come out. What it finds is a design; where it finds none it says so, and no
more than that.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.declarations import Declarations
from tablekit.engine.explicit import explicit_form
from tablekit.engine.roots import over_range, polish, quasi_random, spans_decades

Floats = NDArray[np.float64]
ROOT = 1e-11  # the residual, relative to what was given, at which a design counts as found
_SAME = 1e-6
_SINGULAR = 1e-7  # of the largest singular value; differences give slopes to some 1e-10
_FLAT = 1e-9  # a row of slopes that are all smaller is the rounding of differences
_REFERENCES = 256
_ANY_SHARE = 0.01, 100.0  # of a rule without a usual band
_WALK = 0.01  # how far along a direction, as a share, further designs are looked for
_INSIDE_STEPS, _INSIDE_STARTS, _INSIDE_ROUNDS, _INSIDE_PATIENCE = 12, 6, 3, 3


@dataclass(frozen=True)
class Solution:
    """One solution: every value, coherent SI; nan where a quantity has none."""

    values: Mapping[str, float]


@dataclass(frozen=True)
class Rank:
    """What is settled at a design and what is not.

    free     quantities that can still move, in the network's order
    nullity  in how many independent ways they can
    moves    for each free quantity how it moves along each of these ways, relative to its size,
             shape (len(free), nullity)
    """

    free: tuple[str, ...]
    nullity: int
    moves: Floats


@dataclass(frozen=True)
class Effort:
    """How hard to look: `samples` points are evaluated, the best `starts` of them polished."""

    samples: int
    starts: int


QUICK, CLOSER, DENSE = Effort(1024, 16), Effort(4096, 32), Effort(16384, 96)


class Search:
    """Looks for designs of one network.

    work  how much has been evaluated so far: 1 for every call over a few designs, and a thousand
          designs count as one more. Unlike seconds it is the same on every machine."""

    def __init__(self, network: Declarations):
        self.network = network
        self.form = explicit_form(network)
        self.work = 0.0

    # -- reference designs -------------------------------------------------------------------

    @cached_property
    def _reference(self) -> tuple[dict[str, Floats], dict[str, Floats]]:
        """Designs in which everything assumed has its assumed value: (parameters, all values)."""
        form = self.form
        names = (*form.free, *form.tried)
        points = quasi_random(16 * _REFERENCES, max(len(names), 1))
        columns = {
            n: over_range(u, *form.range_of(n)) for n, u in zip(names, points.T, strict=False)
        }
        values = form.evaluate(columns)
        good = np.all(form.violations(values) == 0, axis=1)
        for relation in form.closing:
            good = good & (np.abs(form.left_over(relation, values)) < 1.0)
        chosen = np.nonzero(np.broadcast_to(good, len(points)))[0][:_REFERENCES]
        if not len(chosen):
            chosen = np.arange(_REFERENCES)
        return (
            {name: column[chosen] for name, column in columns.items()},
            {n: np.broadcast_to(value, len(points))[chosen] for n, value in values.items()},
        )

    @property
    def references(self) -> dict[str, Floats]:
        """Parameters of some designs in which everything assumed has its assumed value."""
        return self._reference[0]

    def least_size(self, name: str) -> float:
        """What a value of a quantity that is next to zero is measured by: a thousandth of what it
        varies by among the reference designs, at least a millionth of its range; where the range
        spans decades a hundredth of that, since there a small value is as good as a large one."""
        column = self._reference[1][name]
        column = column[np.isfinite(column)]
        low, high = self.form.range_of(name)
        size = max(1e-3 * float(np.ptp(column)) if len(column) else 0.0, 1e-6 * (high - low))
        return 0.01 * size if spans_decades(low, high) else size

    @cached_property
    def copes(self) -> bool:
        """Whether any design is found where nothing is given; else it has nothing to say."""
        return bool(self.designs({}, (), effort=(QUICK, CLOSER)))

    # -- designs -----------------------------------------------------------------------------

    def designs(
        self,
        given: Mapping[str, float],
        held: Collection[str],
        *,
        near: Sequence[Solution] = (),
        effort: Sequence[Effort] = (QUICK, DENSE),
        usual: bool = True,
    ) -> list[Solution]:
        """Designs that meet `given` (coherent SI) and hold the assumptions named in `held`.

        Any other assumption may give way: within its usual band, or with `usual` false anywhere in
        the range of its quantity. The nearest to `near`, or to what is usual, comes first. Empty
        where none was found."""
        task = _Task(self, given, frozenset(held), usual)
        for one in effort:
            found = task.look(one, near)
            if found:
                return found
        return []

    def rank(self, design: Solution, given: Mapping[str, float], held: Collection[str]) -> Rank:
        """What is settled at a design by what is given and held."""
        return _Task(self, given, frozenset(held)).rank(design)

    def relevant(self, given: Mapping[str, float]) -> frozenset[str]:
        """The parameters that what is given rests on, where everything assumed may give way."""
        task = _Task(self, given, frozenset())
        return frozenset(task.every) & task.needed

    def gives_way(
        self, design: Solution, given: Mapping[str, float], order: Sequence[str]
    ) -> tuple[str, ...]:
        """The assumptions that must give way at a design, the softest first.

        order  names of all assumptions that could be held, firmest first"""
        return _Task(self, given, frozenset()).gives_way(design, order)


@lru_cache(maxsize=32)
def search_of(network: Declarations) -> Search:
    """The search over a network, made once."""
    return Search(network)


class _Task:
    """One question: which designs meet these values and hold these assumptions?"""

    def __init__(
        self, search: Search, given: Mapping[str, float], held: frozenset[str], usual: bool = True
    ):
        self.search, self.form = search, search.form
        self.given, self.held, self.usual = given, held, usual
        form = self.form
        self.fixed = {n: given[n] for n in form.parameters if n in given}
        wanted = {**given, **self._counted()}
        self.targets = {n: v for n, v in wanted.items() if n not in self.fixed}
        network = search.network
        self.rules = [
            network.assumption_of(n) for n in held if n not in form.assumed and n not in given
        ]
        # Assumptions that may give way: those given as a plain number by their value, others by
        # the multiple of their assumed value.
        soft = [
            n for n, a in form.assumed.items() if n not in held and n not in given and not a.only
        ]
        self.shares = [n for n in soft if not form.assumed[n].value.is_number]
        self.plain = plain = [n for n in soft if n not in self.shares]
        every = [*(n for n in (*form.free, *form.tried) if n not in given), *plain, *self.shares]
        self.every = every
        statements = [*form.closing, *(rule for rule in self.rules if rule is not None)]
        self.statements = statements
        self.closed = [
            *self.targets,
            *(n for s in statements for n in s.symbols if n not in network.constants),
        ]
        needed = form.behind(self.closed, {*self.fixed, *plain})
        self.needed = needed
        # What counts something has no values between: it is tried, and never moved.
        self.counts_tried = [n for n in every if network.quantities[n].whole]
        self.unknowns = [n for n in every if n in needed and n not in self.counts_tried]
        self.idle = [n for n in every if n not in self.unknowns]
        bounds = [self._bounds(n) for n in self.unknowns]
        self.low = np.array([low for low, _ in bounds])
        self.high = np.array([high for _, high in bounds])

    def _counted(self) -> dict[str, float]:
        """For a given count, the quantity that is rounded to it, where that is the only other."""
        found = {}
        for relation in self.search.network.relations:
            if not relation.inverse or not relation.equation.has(sp.floor, sp.ceiling):
                continue
            for name in relation.inverse:
                names = [n for n in self.search.network.unknowns_in(relation) if n != name]
                if len(names) == 1 and names[0] in self.given and name not in self.given:
                    found[name] = math.nan  # its target depends on where it is now
                    self.counts = getattr(self, "counts", {})
                    self.counts[name] = (names[0], relation)
        return found

    def _bounds(self, name: str) -> tuple[float, float]:
        assumption = self.form.assumed.get(name)
        if assumption is None:
            return self.form.range_of(name)
        stated = not self.usual or not assumption.stated_by.isdisjoint(self.given)
        if name in self.shares:
            return _ANY_SHARE if stated else assumption.usual_share or _ANY_SHARE
        return self.form.range_of(name) if stated else assumption.band(math.nan)

    # -- evaluating --------------------------------------------------------------------------

    def values(
        self, unknowns: Floats, idle: Mapping[str, Any], names: Any = None
    ) -> dict[str, Any]:
        self.search.work += 1 + len(unknowns) / 1000
        columns = dict(zip(self.unknowns, unknowns.T, strict=True))
        both = {**idle, **columns}
        shares = {n: both.pop(n) for n in self.shares if n in both}
        return self.form.evaluate({**self.fixed, **both}, shares, names)

    @cached_property
    def scales(self) -> dict[str, float]:
        return {
            name: max(abs(target), self.search.least_size(name))
            for name, target in self.targets.items()
            if not math.isnan(target)
        }

    def residuals(self, unknowns: Floats, idle: Mapping[str, Any]) -> Floats:
        return self._left_over(self.values(unknowns, idle, self.closed), len(unknowns))

    def _left_over(self, values: Mapping[str, Any], count: int) -> Floats:
        """What the targets and statements leave over, shape (count, targets + statements)."""
        scales, targets = self.scales, self.targets
        left = np.empty((count, len(targets) + len(self.statements)))
        for column, (name, target) in enumerate(targets.items()):
            if math.isnan(target):
                left[:, column] = self._count_left(name, values)
            else:
                left[:, column] = (values[name] - target) / scales[name]
        for column, statement in enumerate(self.statements, start=len(targets)):
            left[:, column] = self.form.left_over(statement, values)
        return left

    def _count_left(self, name: str, values: Mapping[str, Any]) -> Any:
        """How far a quantity lies from where it is rounded to the given count."""
        count, relation = self.counts[name]
        with np.errstate(all="ignore"):
            aim = self.form.inverse(relation, name)({**values, count: self.given[count]})[0]
            right = values[count] == self.given[count] if count in values else False
            return np.where(right, 0.0, (values[name] - aim) / np.maximum(np.abs(aim), 1e-12))

    # -- looking -----------------------------------------------------------------------------

    def look(self, effort: Effort, near: Sequence[Solution]) -> list[Solution]:
        starts, idle = self._starts(effort, near)
        with np.errstate(all="ignore"):
            left = self.residuals(starts, idle)
            first = np.where(
                np.isfinite(left).all(axis=1), np.abs(left).max(axis=1, initial=0), np.inf
            )
        chosen = _best(first, effort.starts, len(near))
        if not len(chosen):
            return []
        starts = starts[chosen]
        idle = {n: c[chosen] for n, c in idle.items()}

        def residuals(points: Floats, which: NDArray[np.intp]) -> Floats:
            return self.residuals(points, {n: c[which] for n, c in idle.items()})

        if self.unknowns and left.shape[1]:
            points, size = polish(residuals, starts, self.low, self.high)
        else:
            points, size = starts, first[chosen]
        roots = np.nonzero(size <= ROOT)[0]
        if not len(roots):
            return []
        points, idle = points[roots], {n: c[roots] for n, c in idle.items()}
        values = self.values(points, idle)
        over = self.form.violations(values, self.given).max(axis=1)
        if not (over == 0).any() and len(self.every) > left.shape[1]:
            nearest = np.argsort(over, kind="stable")[:_INSIDE_STARTS]
            points, idle = points[nearest], {n: c[nearest] for n, c in idle.items()}
            points, idle = self._inside(points, idle)
            values = self.values(points, idle)
            over = self.form.violations(values, self.given).max(axis=1)
            over = np.where(self._root_size(points, idle) <= ROOT, over, np.inf)
        good = np.nonzero(np.broadcast_to(over == 0, len(points)))[0]
        names = list(self.search.network.quantities)
        table = np.stack([np.broadcast_to(values[n], len(points))[good] for n in names], axis=1)
        found = [Solution(dict(zip(names, row, strict=True))) for row in table.tolist()]
        return self._distinct(found, near)

    def _root_size(self, points: Floats, idle: Mapping[str, Floats]) -> Floats:
        left: Floats = np.abs(self.residuals(points, idle))
        return np.asarray(left.max(axis=1, initial=0.0))

    def _inside(self, points: Floats, idle: dict[str, Floats]) -> tuple[Floats, dict[str, Floats]]:
        """Points moved along what is still free until no range and no limit is passed."""
        judged = self.form.judged(self.given)
        passed = np.zeros(len(judged), dtype=bool)
        for _ in range(_INSIDE_ROUNDS):
            over = self.form.violations(self.values(points, idle), self.given)
            if not over.any(axis=1).all():
                break
            passed |= over.any(axis=0)
            blamed = {name for index in np.nonzero(passed)[0] for name in judged[index]}
            reached = self.form.behind(blamed, {*self.fixed, *self.plain})
            points, idle = self._moved_inside(points, idle, passed, reached)
        return points, idle

    def _moved_inside(
        self,
        points: Floats,
        idle: dict[str, Floats],
        passed: NDArray[np.bool_],
        reached: Collection[str],
    ) -> tuple[Floats, dict[str, Floats]]:
        split = len(self.unknowns)
        loose = [n for n in self.idle if n in reached and n not in self.counts_tried]
        if not self.unknowns and not loose:
            return points, idle
        at = np.stack([*points.T, *(idle[n] for n in loose)], axis=1)
        bounds = [self._bounds(n) for n in (*self.unknowns, *loose)]
        low, high = (np.array(side) for side in zip(*bounds, strict=True))

        def parted(at: Floats, which: NDArray[np.intp]) -> tuple[Floats, dict[str, Floats]]:
            rest = {n: c[which] for n, c in idle.items()}
            return at[:, :split], {**rest, **{n: at[:, split + i] for i, n in enumerate(loose)}}

        judged, columns = self.form.judged(self.given), np.nonzero(passed)[0].tolist()
        names = {*self.closed, *(name for index in columns for name in judged[index])}

        def residuals(at: Floats, which: NDArray[np.intp]) -> Floats:
            values = self.values(*parted(at, which), names)
            over = self.form.violations(values, self.given, columns)
            # What has no value yet shows no way; it may have one once the rest is inside. Aim a
            # little inside, so that what is met is met in spite of rounding.
            short = np.where((over > 0) & np.isfinite(over), over + 1e-6, 0.0)
            return np.concatenate([self._left_over(values, len(at)), short], axis=1)

        moved, _ = polish(residuals, at, low, high, steps=_INSIDE_STEPS, patience=_INSIDE_PATIENCE)
        return parted(moved, np.arange(len(moved)))

    def _starts(self, effort: Effort, near: Sequence[Solution]) -> tuple[Floats, dict[str, Floats]]:
        """Where to begin: (unknowns of shape (n, unknowns), the other parameters, each (n,))."""
        references = self.search.references
        count = effort.samples
        size = len(next(iter(references.values()), np.zeros(1)))
        which = np.arange(count) % size
        columns: dict[str, Floats] = {}
        spread = quasi_random(count, max(len(self.unknowns), 1)).T
        # Half of the starts are reference designs and their neighbours, half lie anywhere.
        anywhere = np.arange(count) >= count // 2
        for row, name in zip(spread, self.unknowns, strict=False):
            low, high = self._bounds(name)
            usual = self._usual(name, which)
            columns[name] = np.where(anywhere, over_range(row, low, high), usual)
        for name in self.idle:
            columns[name] = self._usual(name, which)
        counts = [n for n in self.counts_tried if n in self.needed]
        for row, name in zip(quasi_random(count, max(len(counts), 1)).T, counts, strict=False):
            low, high = self._bounds(name)
            any_count = np.floor(low + row * (high - low + 1))
            columns[name] = np.where(anywhere, any_count, columns[name])
        for design in near:
            for name, column in columns.items():
                columns[name] = np.concatenate([[self._place(design, name)], column])
        total = count + len(near)
        points = (
            np.stack([columns[n] for n in self.unknowns], axis=1)
            if self.unknowns
            else np.zeros((total, 0))
        )
        return points, {n: columns[n] for n in self.idle}

    def _usual(self, name: str, which: NDArray[np.intp]) -> Floats:
        if name in self.search.references:
            return self.search.references[name][which]
        if name in self.shares:
            return np.ones(len(which))
        return np.full(len(which), float(self.form.assumed[name].value))

    def _place(self, design: Solution, name: str) -> float:
        """Where a design lies along a parameter: its value, or the multiple of what is assumed."""
        if name not in self.shares:
            return design.values[name]
        share = self.form.share(name, design.values)
        return share if math.isfinite(share) else 1.0

    def _distinct(self, found: Sequence[Solution], near: Sequence[Solution]) -> list[Solution]:
        kept: list[Solution] = []
        for design in sorted(found, key=lambda d: self._distance(d, near)):
            if not any(self._alike(design, other) for other in kept):
                kept.append(design)
        return kept

    def _distance(self, design: Solution, near: Sequence[Solution]) -> float:
        total = 0.0
        for name in self.every:
            low, high = self._bounds(name)
            value = self._place(design, name)
            if near:
                usual = self._place(near[0], name)
            else:
                usual = 1.0 if name in self.shares else self.form.typical(name)
            total += abs(value - usual) / (high - low)
        return total

    def _alike(self, one: Solution, other: Solution) -> bool:
        return all(
            abs(value - other.values[name])
            <= _SAME * max(abs(value), abs(other.values[name])) + 1e-12
            for name, value in one.values.items()
            if not math.isnan(value)
        )

    # -- rank --------------------------------------------------------------------------------

    def _slopes(self, design: Solution, names: Sequence[str]) -> tuple[Floats, dict[str, Floats]]:
        """Slopes by each of `names` in the scale of each: of what must close, shape (equations,
        names), and of every quantity, relative to its size, shape (names,)."""
        at = np.array([self._place(design, n) for n in names])
        scale = np.maximum(np.abs(at), [1e-3 * np.subtract(*self._bounds(n)[::-1]) for n in names])
        steps = np.array([1e-4, -1e-4, 2e-4, -2e-4])  # four points: the error is of fourth order
        count = len(names)
        moved = at[None, None, :] + steps[:, None, None] * np.diag(scale)[None, :, :]
        moved = moved.reshape(4 * count, count)
        columns = dict(zip(names, moved.T, strict=True))
        both = {n: columns[n] if n in columns else self._place(design, n) for n in self.every}
        shares = {n: both.pop(n) for n in self.shares}
        values = self.form.evaluate({**both, **self.fixed}, shares)

        def slope(column: Any) -> Floats:
            there = np.broadcast_to(column, len(moved)).reshape(4, count)
            near, far = there[0] - there[1], there[2] - there[3]
            return np.asarray((8 * near - far) / 12e-4)

        rows = [slope(values[n]) / self._row_scale(n, design) for n in self.targets]
        rows += [slope(self.form.left_over(s, values)) for s in self.statements]
        sizes = {n: self._row_scale(n, design) for n in self.search.network.quantities}
        quantities = {n: slope(values[n]) / sizes[n] for n in sizes}
        matrix = np.stack(rows) if rows else np.zeros((0, count))
        return np.where(np.isfinite(matrix), matrix, 0.0), quantities

    def _row_scale(self, name: str, design: Solution) -> float:
        value = abs(design.values[name])
        return max(value if math.isfinite(value) else 0.0, self.search.least_size(name))

    def rank(self, design: Solution) -> Rank:
        names = [n for n in self.every if n not in self.counts_tried]
        if not names:
            return Rank((), 0, np.zeros((0, 0)))
        rows, quantities = self._slopes(design, names)
        null = self._verified(design, names, _null_space(rows))
        moves = {n: np.where(np.isfinite(q), q, 0.0) @ null for n, q in quantities.items()}
        free = tuple(
            n for n, m in moves.items()
            if n not in self.given and np.abs(m).max(initial=0) > _SINGULAR
        )  # fmt: skip
        table = np.stack([moves[n] for n in free]) if free else np.zeros((0, null.shape[1]))
        return Rank(free, null.shape[1], table)

    def _verified(self, design: Solution, names: Sequence[str], null: Floats) -> Floats:
        """Those directions along which there really are further designs, as columns.

        Where two answers meet, the slopes see a direction in which nothing can move."""
        if not null.shape[1]:
            return null
        at = np.array([self._place(design, n) for n in names])
        bounds = [self._bounds(n) for n in names]
        low, high = (np.array(side) for side in zip(*bounds, strict=True))
        scale = np.maximum(np.abs(at), 1e-3 * (high - low))
        shifts = np.concatenate([null.T, -null.T]) * _WALK * scale
        starts = np.clip(at + shifts, low, high)
        chosen = [names.index(n) for n in self.unknowns]
        counts = {n: np.full(len(starts), self._place(design, n)) for n in self.counts_tried}
        rest = {n: starts[:, names.index(n)] for n in self.idle if n not in counts} | counts
        if self.unknowns:
            moved, size = polish(
                lambda points, which: self.residuals(
                    points, {n: c[which] for n, c in rest.items()}
                ),
                starts[:, chosen], self.low, self.high,
            )  # fmt: skip
            starts[:, chosen] = moved
        else:
            size = np.abs(self.residuals(starts[:, chosen], rest)).max(axis=1, initial=0.0)
        went = np.einsum("kn,kn->k", (starts - at) / scale, shifts / scale) / _WALK**2
        real = (size <= ROOT) & (went > 0.3)
        return np.asarray(null[:, real[: null.shape[1]] | real[null.shape[1] :]])

    def gives_way(self, design: Solution, order: Sequence[str]) -> tuple[str, ...]:
        hard = [n for n in self.every if n not in self.form.assumed]
        soft = [n for n in reversed(order) if n in self.every]
        rows, _ = self._slopes(design, [*hard, *soft])
        rows = _one_size(rows)
        whole = _rank(rows)
        columns = list(range(len(hard)))
        chosen = []
        for index, name in enumerate(soft, start=len(hard)):
            have = _rank(rows[:, columns])
            if have == whole:
                break
            if _rank(rows[:, [*columns, index]]) > have:
                columns.append(index)
                chosen.append(name)
        return tuple(chosen)


def _one_size(rows: Floats) -> Floats:
    """Each row divided by its largest entry; nothing where that is rounding."""
    size = np.abs(rows).max(axis=1, keepdims=True, initial=0.0)
    return np.where(size > _FLAT, rows / np.where(size > 0, size, 1.0), 0.0)


def _rank(rows: Floats) -> int:
    """The rank of rows whose entries are at most 1 in size."""
    return int(np.linalg.matrix_rank(rows, tol=_SINGULAR)) if rows.size else 0


def _null_space(matrix: Floats) -> Floats:
    """Directions that no row sees, as columns; rows are first brought to one size."""
    if not matrix.size:
        return np.eye(matrix.shape[1])
    _, s, vt = np.linalg.svd(_one_size(matrix))
    return np.asarray(vt[int(np.count_nonzero(s > _SINGULAR)) :].T)


def _best(size: Floats, most: int, near: int) -> NDArray[np.intp]:
    """Indices of starts worth polishing: those near a known design, the best of all, and the best
    of as many groups, so that they do not all lie in one place."""
    finite = np.isfinite(size)
    order = np.argsort(np.where(finite, size, np.inf), kind="stable")[: most // 2]
    groups = np.array_split(np.arange(near, len(size)), most - most // 2)
    bests = [g[np.argmin(np.where(finite[g], size[g], np.inf))] for g in groups if len(g)]
    chosen = np.unique(np.concatenate([np.arange(near), order, np.array(bests, dtype=np.intp)]))
    return np.asarray(chosen[finite[chosen]], dtype=np.intp)
