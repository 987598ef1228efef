"""An independent judge of what the engine says: is this a design, is it the only one, is there one?

It knows what a network declares (relations, assumptions, ranges, limits) and nothing of how the kit
solves it. Of a search it says only what it found: that none was found is no proof that none exists.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tablekit.engine.network import Network
from tablekit.engine.relation import Assumption
from tests.referee.compiled import Compiled, Matrix, Vector
from tests.referee.search import Found, Search

# Left over by a relation that holds, as a share of its size: what rounding leaves of long chains.
CLOSES = 1e-9
# Below, a row says nothing new; above, it does; between the two the referee does not decide.
NOTHING_NEW, SOMETHING_NEW = 1e-9, 1e-6
# A quantity at or near zero is measured against this share of the middle of those of its unit.
LEAST_SHARE = 0.01

Values = Mapping[str, float | None]  # reporting units; None for what has no value


class Referee:
    """The judge of one network. Compiling it takes some seconds."""

    def __init__(self, network: Network):
        self.network = network
        self.compiled = Compiled(network)
        self.names = self.compiled.names
        self.place = self.compiled.place
        quantities = network.quantities.values()
        self.unit = np.array([q.scale for q in quantities])
        self.low = np.array([q.low for q in quantities]) * self.unit
        self.high = np.array([q.high for q in quantities]) * self.unit
        self.margin = CLOSES * np.maximum(np.abs(self.low), np.abs(self.high))
        self.whole = np.array([q.whole for q in quantities])

    # -- one design ---------------------------------------------------------------------------

    def vector(self, values: Values) -> Vector:
        """Values in coherent SI in the network's order, nan where there is none."""
        numbers = (values.get(name) for name in self.names)
        return np.array([np.nan if n is None else n for n in numbers], float) * self.unit

    def values(self, x: Vector) -> dict[str, float | None]:
        """The same back, in reporting units."""
        numbers = x / self.unit
        return {
            name: None if np.isnan(number) else float(number)
            for name, number in zip(self.names, numbers, strict=True)
        }

    def scale(self, x: Vector) -> Vector:
        """By what a change of each quantity is measured: its size, but for those near zero."""
        size = np.abs(np.nan_to_num(x))
        least = np.zeros_like(size)
        for unit in np.unique(self.unit):
            same = self.unit == unit
            some = size[same & (size > 0)]
            least[same] = LEAST_SHARE * (np.median(some) if some.size else unit)
        return np.maximum(size, least)

    def sizes(self, slopes: Matrix, scale: Vector) -> Vector:
        """How much each statement would change if all its quantities changed by their scale: what
        its left-over is measured by."""
        reach = np.nansum(np.abs(slopes) * scale, axis=1)
        return np.where(reach > 0, reach, 1.0)

    def left_over(self, x: Vector) -> Vector:
        """Of every statement, the share of its size by which it does not hold; nan where a
        quantity has no value."""
        sizes = self.sizes(self.compiled.slopes(x), self.scale(x))
        found: Vector = np.abs(self.compiled.left_over(x)) / sizes
        return found

    def residuals(self, values: Values) -> dict[str, float]:
        """Of every relation, the share of its size by which it does not hold."""
        found = self.left_over(self.vector(values))[: self.compiled.relations]
        return dict(zip(self.compiled.names_of_statements, map(float, found), strict=False))

    def violations(
        self, values: Values, givens: Mapping[str, float], closes: float = CLOSES
    ) -> list[str]:
        """Why these values are no design with these givens; empty if they are one.

        Assumptions are not asked: whatever gave way, a design is one that the relations allow. What
        a relation finds may be missing where the relation is outside a limit that leaves it out."""
        x = self.vector(values)
        missing = {int(i) for i in np.flatnonzero(np.isnan(x))}
        passed = self.limits_passed(x, closes)
        told = [*self._off(values, givens, closes), *self._out_of_range(x)]
        may_be_missing = {i for r in passed for i in self.compiled.uses[r]}
        told += [f"{self.names[i]} has no value" for i in sorted(missing - may_be_missing)]
        found = self.left_over(x)
        for i, name in enumerate(self.compiled.names_of_statements[: self.compiled.relations]):
            whole = not missing & {*self.compiled.uses[i]}
            if whole and not found[i] <= closes:
                told.append(f"{name}: {found[i]:.1e} left over")
            if i in passed and (whole or i in self.refusing):
                told.append(f"{name}: outside a limit by {passed[i]:.1e}")
        return told

    def fractional(self, values: Values) -> list[str]:
        """Counts that are not whole."""
        whole = (name for name, q in self.network.quantities.items() if q.whole)
        numbers = ((name, values.get(name)) for name in whole)
        return [n for n, v in numbers if v is not None and abs(v - round(v)) > 1e-9 * max(1, v)]

    def _off(self, values: Values, givens: Mapping[str, float], closes: float) -> Iterable[str]:
        for name, given in givens.items():
            value = values.get(name)
            if value is None or not abs(value - given) <= closes * max(abs(given), abs(value)):
                yield f"{name} is {value}, not {given} as given"

    def _out_of_range(self, x: Vector) -> Iterable[str]:
        outside = (x < self.low - self.margin) | (x > self.high + self.margin)
        for i in np.flatnonzero(outside):
            q = self.network.quantities[self.names[i]]
            yield f"{q.name} is {x[i] / q.scale:.9g}, outside {q.low:g} to {q.high:g} {q.unit}"

    def limits_passed(self, x: Vector, closes: float = CLOSES) -> dict[int, float]:
        """Relations outside their limits, by place, and by how much. A limit that speaks of a
        missing value of its own counts as passed."""
        slack = self.compiled.slack(x)
        reach = np.nansum(np.abs(self.compiled.slack_slopes(x)) * self.scale(x), axis=1)
        passed: dict[int, float] = {}
        for i, relation in enumerate(self.compiled.limit_of):
            if not slack[i] >= -closes * reach[i] - 1e-12:
                passed[relation] = max(-slack[i], passed.get(relation, 0.0))
        return passed

    def unusual(self, values: Values, givens: Iterable[str]) -> list[str]:
        """Quantities that are beyond the usual band of what is assumed of them, though nothing that
        is given speaks of them: a design that has them is meant to be refused, and named."""
        x = self.vector(values)
        numbers = {q.symbol: float(x[self.place[n]]) for n, q in self.network.quantities.items()}
        numbers |= {c.symbol: c.si for c in self.network.constants.values()}
        given, told = frozenset(givens), []
        for assumption in self.network.assumptions:
            assert assumption.quantity is not None
            name, value = assumption.quantity.name, numbers[assumption.quantity.symbol]
            if name in given or assumption.stated_by & given or np.isnan(value):
                continue
            low, high = assumption.band(float(assumption.value.subs(numbers)))
            margin = CLOSES * max(abs(low), abs(high))
            if not low - margin <= value <= high + margin:
                told.append(name)
        return told

    @cached_property
    def refusing(self) -> set[int]:
        """Relations with a limit outside which a design is refused."""
        both = zip(self.compiled.limit_of, self.compiled.refuses, strict=True)
        return {relation for relation, refuses in both if refuses}

    @cached_property
    def rounded(self) -> set[str]:
        """Counts that come of rounding down, which have no slope."""
        compiled = self.compiled
        stepped = (i for i in range(compiled.relations) if compiled.statements[i].steps)
        places = {p for i in stepped for p in compiled.uses[i]}
        return {self.names[p] for p in places if self.whole[p]}

    def same(self, one: Values, other: Values, within: float = 1e-6) -> bool:
        """Whether two designs are one: every value alike to `within` of its scale."""
        return not self.different(one, other, within)

    def different(self, one: Values, other: Values, within: float = 1e-6) -> set[str]:
        """The quantities in which two designs differ."""
        a, b = self.vector(one), self.vector(other)
        alike = (np.abs(a - b) <= within * self.scale(b)) | (np.isnan(a) & np.isnan(b))
        return {name for name, same in zip(self.names, alike, strict=True) if not same}

    # -- what settles a design ----------------------------------------------------------------

    def tangent(self, values: Values) -> Tangent:
        """The ways in which a design can change while the relations go on holding."""
        return Tangent(self, self.vector(values))

    def satisfied(self, values: Values, closes: float = 1e-7) -> list[Assumption]:
        """The assumptions that a design meets, in the network's order."""
        found = self.left_over(self.vector(values))[self.compiled.relations :]
        assumed = zip(self.network.assumptions, found, strict=True)
        return [assumption for assumption, size in assumed if size <= closes]

    # -- is there one -------------------------------------------------------------------------

    @cached_property
    def _search(self) -> Search:
        return Search(self)

    def design_exists(
        self,
        givens: Mapping[str, float],
        *,
        near: Sequence[Values] = (),
        held: Sequence[str] = (),
        seed: int = 0,
    ) -> Found:
        """Looks for any design that meets the givens within ranges and limits.

        near  designs to start from, likeliest first; each is also shaken once
        held  quantities whose assumption is to hold as well; the other assumptions are free
        """
        starts = [self.vector(values) for values in near]
        return self._search.run(givens, starts, held, np.random.default_rng(seed))


@dataclass(frozen=True)
class Settled:
    """How far givens and assumptions settle a design to first order.

    open      in how many independent ways it can still change
    in_force  assumptions that are made, in the order in which they are
    free      names that can still change
    firmness  least singular value of what settles it: 1e-6 means that it hardly does
    doubtful  whether a row was too nearly dependent to decide
    """

    open: int
    in_force: tuple[Assumption, ...]
    free: frozenset[str]
    firmness: float
    doubtful: bool

    @property
    def assumed(self) -> tuple[str, ...]:
        """Quantities whose assumption is made."""
        return tuple(a.quantity.name for a in self.in_force if a.quantity)


class Tangent:
    """The space of changes of one design that the relations allow, in scaled quantities.

    Laws are the relations and those assumptions of which no other value holds, where the design
    meets them. A relation with a quantity that has no value is no law here.
    """

    def __init__(self, referee: Referee, x: Vector):
        self.referee = referee
        compiled, network = referee.compiled, referee.network
        self.scale = referee.scale(x)
        slopes = compiled.slopes(x) * self.scale
        found = referee.left_over(x)
        only = {compiled.relations + i for i, a in enumerate(network.assumptions) if a.only}
        laws = [
            i
            for i in range(len(slopes))
            if (i < compiled.relations or (i in only and found[i] <= 1e-7))
            and not any(np.isnan(x[j]) for j in compiled.uses[i])
        ]
        self.has_value = ~np.isnan(x)
        self._laws = laws
        self.met = {a.name for a in referee.satisfied(referee.values(x))}
        self._rows = self._unit(np.nan_to_num(slopes))
        basis = _null_space(self._rows[np.ix_(laws, np.flatnonzero(self.has_value))])
        self.basis = np.zeros((len(x), basis.shape[1]))
        self.basis[self.has_value] = basis

    @staticmethod
    def _unit(rows: Matrix) -> Matrix:
        length = np.linalg.norm(rows, axis=1, keepdims=True)
        return rows / np.where(length > 0, length, 1.0)

    def in_order(self, givens: Iterable[str]) -> list[Assumption]:
        """Assumptions in the order in which they are taken: firmest first, those that a given
        calls into question last."""
        given = frozenset(givens)
        return sorted(self.referee.network.assumptions, key=lambda a: bool(a.first_to & given))

    def settle(self, givens: Sequence[str]) -> Settled:
        """What is left open by the givens and by the assumptions that are then made.

        An assumption is made where nothing before it settles its own quantity (it is never turned
        round to find another from it) and where it says something new."""
        taken = _Rows(self.basis.shape[1])
        place, laws = self.referee.place, set(self._laws)
        for name in givens:
            taken.add(self.basis[place[name]])
        in_force = []
        rows = {a.name: i for i, a in enumerate(self.referee.network.assumptions)}
        for assumption in self.in_order(givens):
            row = self.referee.compiled.relations + rows[assumption.name]
            assert assumption.quantity is not None
            if row in laws or not taken.new(self.basis[place[assumption.quantity.name]]):
                continue
            if taken.add(self._rows[row] @ self.basis):
                in_force.append(assumption)
        free = np.linalg.norm(taken.beside(self.basis), axis=1) > SOMETHING_NEW
        return Settled(
            taken.open,
            tuple(in_force),
            frozenset(n for n, is_free in zip(self.referee.names, free, strict=True) if is_free),
            taken.firmness,
            taken.doubtful,
        )

    def circuit(self, names: Sequence[str]) -> list[str]:
        """Of these quantities, those that follow from the others of them."""
        rows = self.basis[[self.referee.place[name] for name in names]]
        full = np.linalg.matrix_rank(rows, tol=SOMETHING_NEW)
        return [
            name
            for i, name in enumerate(names)
            if np.linalg.matrix_rank(np.delete(rows, i, axis=0), tol=SOMETHING_NEW) == full
        ]


class _Rows:
    """Rows taken one after another, each only if it says something that the others do not."""

    def __init__(self, width: int):
        self.directions = np.zeros((0, width))
        self.taken: list[Vector] = []
        self.doubtful = False

    def new(self, row: Vector) -> bool:
        """Whether a row says something new."""
        size = float(np.linalg.norm(self.beside(row[None, :])))
        self.doubtful |= NOTHING_NEW < size < SOMETHING_NEW
        return size >= SOMETHING_NEW

    def add(self, row: Vector) -> bool:
        """Take a row if it says something new; whether it did."""
        if not self.new(row):
            return False
        left = self.beside(row[None, :])
        self.directions = np.vstack([self.directions, left / np.linalg.norm(left)])
        self.taken.append(row)
        return True

    def beside(self, rows: Matrix) -> Matrix:
        """What the rows taken do not say of these."""
        for _ in range(2):  # once more, against rounding
            rows = rows - (rows @ self.directions.T) @ self.directions
        return rows

    @property
    def open(self) -> int:
        return int(self.directions.shape[1] - len(self.directions))

    @property
    def firmness(self) -> float:
        if not self.taken:
            return 1.0
        return float(np.linalg.svd(np.array(self.taken), compute_uv=False)[-1])


def _null_space(rows: Matrix) -> Matrix:
    """An orthonormal basis, a column a direction, of what no row sees."""
    if not len(rows):
        return np.eye(rows.shape[1])
    _, sizes, directions = np.linalg.svd(rows)
    rank = int(np.sum(sizes > NOTHING_NEW * sizes[0]))
    found: Matrix = directions[rank:].T
    return found
