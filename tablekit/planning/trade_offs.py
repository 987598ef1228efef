"""Trade-offs: how designs stand while two of their givens vary, and which are the best of them.

All designs of a map are worked out at once by the compiled plan. What judges them is what judges
one design, `judge` of the engine: since a verdict depends on one number alone and changes only at
the bounds that a requirement names, it is asked once at each bound and once between any two.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.program import CHUNK
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Requirement
from tablekit.engine.sheet import Value, judge
from tablekit.engine.shop import ShopStyle
from tablekit.engine.sweeps import FeasibleMap, GradualMap, pareto_front
from tablekit.engine.trouble import DesignError
from tablekit.relations.people import Graded

if TYPE_CHECKING:
    from tablekit.engine.declarations import Declarations

Floats = NDArray[np.float64]
Codes = NDArray[np.int8]
CANNOT, FAIL, CAUTION, PASS = range(4)
WORDS = ("cannot be made", "fail", "caution", "pass")
_CODE = {"fail": FAIL, "caution": CAUTION, "pass": PASS}
MOST_CHOICES, MOST_TOLD = 16, 3
MOST_NAMED = 32  # checks, as many as an unsigned integer has bits
LEAST_BORDER = 0.05  # of the border of a region, for a check to be named on it
FEWEST = 64  # designs at a time; of fewer each takes several times as long
SHOWN_ABOUT = 0.4
_SAME = 1e-9  # as `judge` takes two numbers for one

# Which of the network's checks judge a map if nothing else is said. A compound notch is a question
# of work, not of whether the piece stands: it would call every lean but one a caution.
LABOUR = frozenset({"notch_shape"})


@dataclass(frozen=True)
class Goal:
    """Something of which one wants the most, or the least."""

    quantity: str
    most: bool

    def __str__(self) -> str:
        return f"{'most' if self.most else 'least'} {self.quantity.replace('_', ' ')}"


@dataclass(frozen=True)
class AxisSpan:
    """A quantity that varies from `low` to `high`, in its reporting unit."""

    name: str
    low: float
    high: float


@dataclass(frozen=True)
class TradeMap:
    """Designs over a plane: rows follow `y`, columns follow `x`, numbers in reporting units.

    x, y      the quantities that vary, and their values
    verdicts  CANNOT, FAIL, CAUTION or PASS for each design, shape (len(y_at), len(x_at))
    third     the quantity whose lines are drawn, and its values; nan where there is none
    goals     what is wanted most
    front     flat indices of the designs that none beats in one goal without losing in the other,
              none that fails among them
    reached   the goals' values on the front, shape (len(front), 2)
    failed    checks that some design fails, each with the share that does, the largest first
    reasons   why designs cannot be made, each with how many, the most frequent first
    cautioned checks that call for caution on some design, in the same way
    failing   which of `failed` each design fails, the first as the lowest bit, shape as `verdicts`
    cautioning  which of `cautioned` call for caution on it, in the same way
    reason    of each design that cannot be made the place in `reasons`, counted from 1; else 0
    """

    x: Quantity
    y: Quantity
    x_at: Floats
    y_at: Floats
    verdicts: Codes
    third: Quantity
    values: Floats
    goals: tuple[Goal, Goal]
    front: NDArray[np.intp]
    reached: Floats
    failed: tuple[tuple[str, float], ...]
    cautioned: tuple[tuple[str, float], ...]
    reasons: tuple[tuple[str, int], ...]
    failing: NDArray[np.uint32]
    cautioning: NDArray[np.uint32]
    reason: NDArray[np.uint8]

    def fails(self, place: int) -> NDArray[np.bool_]:
        """The designs that fail the check at this place of `failed`, shape as `verdicts`."""
        return np.asarray(self.failing >> np.uint32(place) & np.uint32(1), dtype=bool)

    @cached_property
    def bounding(self) -> tuple[tuple[str, NDArray[np.bool_]], ...]:
        """The checks that bound the region of designs that do not fail, those that make most of its
        border first: each with the failing designs that lie there. None of which another check
        says the same."""
        standing = np.pad(self.verdicts >= CAUTION, 1)
        beside = standing[2:, 1:-1] | standing[:-2, 1:-1] | standing[1:-1, 2:] | standing[1:-1, :-2]
        border = beside & (self.verdicts == FAIL)
        named = enumerate(self.failed[:MOST_NAMED])
        each = [(name, border & self.fails(k)) for k, (name, _) in named]
        least = LEAST_BORDER * border.sum()
        bounds, told = [], np.zeros_like(border)
        for name, where in sorted(each, key=lambda one: -int(one[1].sum())):
            if (where & ~told).sum() >= max(least, 1):
                bounds.append((name, where))
                told |= where
        return tuple(bounds[:MOST_TOLD])

    @property
    def third_ends(self) -> tuple[float, float]:
        """The least and the largest value of the third quantity; 0 and 1 where it has none."""
        known = self.values[np.isfinite(self.values)]
        return (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)

    def at(self, index: int) -> tuple[float, float]:
        """The place in the plane of a flat index."""
        row, column = divmod(int(index), self.x_at.size)
        return float(self.x_at[column]), float(self.y_at[row])

    def beyond_edges(self, x: float, y: float) -> tuple[tuple[Quantity, bool, list[str]], ...]:
        """Where a place, in reporting units, lies at an edge: the axis along which the next design
        of the map fails or cannot be made, whether that has more of it, and which checks fail."""
        columns, rows = _beside(self.x_at, x), _beside(self.y_at, y)
        corners = [(row, column) for row in rows for column in columns]
        stands = [cell for cell in corners if self.verdicts[cell] >= CAUTION]
        if not stands:
            return ()
        row, column = stands[0]
        ways = [(self.x, (row, column), (row, k)) for k in columns]
        ways += [(self.y, (row, column), (k, column)) for k in rows]
        return tuple(
            (axis, there > here, self._fails_at(there))
            for axis, here, there in ways
            if self.verdicts[there] < CAUTION
        )

    def _fails_at(self, cell: tuple[int, int]) -> list[str]:
        """The checks that the design of a row and a column fails."""
        bits = int(self.failing[cell])
        return [name for k, (name, _) in enumerate(self.failed[:MOST_NAMED]) if bits >> k & 1]

    def reached_at(self, index: int) -> tuple[float, float]:
        """What a design on the front, by its flat index, reaches of both goals."""
        first, second = self.reached[int(np.nonzero(self.front == index)[0][0])]
        return float(first), float(second)

    def share(self, verdict: int) -> float:
        """The share of the designs that have this verdict."""
        return float((self.verdicts == verdict).mean())

    @cached_property
    def choices(self) -> NDArray[np.intp]:
        """A few of the front, evenly along it and its ends among them: enough to choose from.
        Flat indices, in the order of the front."""
        if self.front.size <= MOST_CHOICES:
            return self.front
        return self.front[np.linspace(0, self.front.size - 1, MOST_CHOICES).round().astype(int)]

    @property
    def said(self) -> str:
        """The map in a sentence, for those who cannot see it."""
        parts = [
            f"{_percent(self.share(code))} {words}"
            for code, words in reversed([*enumerate(WORDS)])
            if (self.verdicts == code).any()
        ]
        return f"Of {self.verdicts.size} designs tried, {', '.join(parts)}."


def _beside(at: Floats, number: float) -> list[int]:
    """The places of the values on either side of a number, the nearer first; at either end, and
    where it is one of them, its own and those beside it."""
    near = int(np.abs(at - number).argmin())
    exact = math.isclose(at[near], number, rel_tol=_SAME)
    ways = (1, -1) if exact else (1,) if number > at[near] else (-1,)
    return [near, *(near + way for way in ways if 0 <= near + way < at.size)]


def _percent(share: float) -> str:
    return "under 1 %" if 0 < share < 0.01 else f"{share * 100:.0f} %"


def judged_by(network: Declarations) -> tuple[str, ...]:
    """Identifiers of the checks that judge a map where none are named."""
    return tuple(r.id for r in network.requirements if r.id not in LABOUR)


def places_for(reach: float) -> int:
    """The decimals that tell apart some hundred parts of a range; none of a range of hundreds."""
    return max(0, 2 - math.ceil(math.log10(reach))) if reach > 0 else 0


def span_about(quantity: Quantity, number: float, low: float, high: float) -> AxisSpan:
    """A span about a number that shows much of the range from `low` to `high`, all in the
    reporting unit, and always holds the number itself."""
    reach, places = SHOWN_ABOUT * (high - low), places_for(high - low)
    ends = max(min(low, number), number - reach), min(max(high, number), number + reach)
    least, most = (round(end, places) for end in ends)
    return AxisSpan(quantity.name, min(least, number), max(most, number))


class GradualTradeMap:
    """The map about a design: everything else that is given stays as it is. It is filled coarse
    to fine, a little at a time, so that a panel stays alive.

    givens   reporting units; x and y need not be among them
    judged   identifiers of the checks that count, as far as they are asked of these givens; see
             `judged_by`
    sizes    of the maps that are made one after another, the coarsest first
    map      the finest that is whole so far; None before there is any

    Raises UnknownName, DesignError where x and y are one, and NotEnoughGiven where something stays
    free.
    """

    def __init__(
        self,
        network: Declarations,
        givens: Mapping[str, float],
        x: AxisSpan,
        y: AxisSpan,
        third: str,
        goals: tuple[Goal, Goal],
        judged: Sequence[str] | None = None,
        sizes: Sequence[tuple[int, int]] = ((60, 60),),
    ):
        if x.name == y.name:
            raise DesignError(f"both axes are {x.name}; choose another quantity for one of them")
        which = judged_by(network) if judged is None else judged
        self.map: TradeMap | None = None
        self._network, self._third, self._goals = network, third, goals
        given = {*givens, x.name, y.name}
        self._asked = [r for r in network.requirements if r.id in which and r.asked(given)]
        goal_names = [goal.quantity for goal in goals]
        wanted = dict.fromkeys([third, *goal_names, *(r.quantity for r in self._asked)])
        axes = (x.name, x.low, x.high), (y.name, y.low, y.high)
        self._waiting = [
            GradualMap(network, givens, *axes, size, [*wanted], whole_design=True)
            for size in sizes
        ]  # fmt: skip
        self._seconds_each = math.nan  # for a design

    @property
    def done(self) -> bool:
        """Whether the finest map is there."""
        return not self._waiting

    def go_on(self, seconds: float) -> None:
        """Fill for about so long, or until the next map is whole."""
        ends = time.perf_counter() + seconds
        made = self.map
        while self._waiting and self.map is made:
            designs = self._waiting[0].designs
            began = time.perf_counter()
            count = min(designs.left, self._affordable(ends - began))
            designs.go_on(count)
            self._seconds_each = (time.perf_counter() - began) / count
            if not designs.left:
                self.map = self._judged(self._waiting.pop(0).finish())
            if time.perf_counter() >= ends:
                return

    def finish(self) -> TradeMap:
        """The finest map; what is left of it and of the coarser ones is filled first."""
        while not self.done:
            self.go_on(math.inf)
        assert self.map is not None
        return self.map

    def _affordable(self, seconds: float) -> int:
        """How many designs may be worked out in so long, by how long the last ones took."""
        if math.isinf(seconds):
            return CHUNK
        known = not math.isnan(self._seconds_each)
        return max(FEWEST, min(CHUNK, int(seconds / self._seconds_each))) if known else FEWEST

    def _judged(self, found: FeasibleMap) -> TradeMap:
        network, goals = self._network, self._goals
        each = {r.name: _verdicts(network, r, found) for r in self._asked}
        verdicts = _worst([*each.values()], found)
        ends = (goals[0].most, goals[1].most)
        both = [found.sweep[goal.quantity] for goal in goals]
        front = pareto_front(both[0], both[1], verdicts >= CAUTION, maximise=ends)
        reached = np.stack([values.ravel()[front] for values in both], axis=1)
        failed, cautioned = (_shares(each, found, code) for code in (FAIL, CAUTION))
        reasons = [*_reasons(found)]
        places = {text: k for k, (text, _) in enumerate(reasons, start=1)}
        numbered = np.array([places.get(text, 0) for text in found.sweep.reasons], dtype=np.uint8)
        return TradeMap(
            network.quantity(found.x_name), network.quantity(found.y_name), found.x, found.y,
            verdicts, network.quantity(self._third), found.sweep[self._third], goals, front,
            reached, failed, cautioned, tuple(reasons), _bits(each, found, failed, FAIL),
            _bits(each, found, cautioned, CAUTION),
            numbered[found.sweep.reason].reshape(verdicts.shape),
        )  # fmt: skip


def _verdicts(network: Declarations, requirement: Requirement, found: FeasibleMap) -> Codes:
    quantity = network.quantity(requirement.quantity)
    return verdicts_on(requirement, quantity, found.sweep[quantity.name])


def _worst(each: Sequence[Codes], found: FeasibleMap) -> Codes:
    """The worst verdict on each design of a map."""
    best = np.full(found.ok.shape, PASS, dtype=np.int8)
    codes = np.minimum.reduce([best, *each])
    return np.where(found.ok, codes, CANNOT).astype(np.int8)


def _shares(
    each: Mapping[str, Codes], found: FeasibleMap, code: int
) -> tuple[tuple[str, float], ...]:
    """The checks that have this verdict on some design, with the share that does, the largest
    first."""
    shares = {name: float(((codes == code) & found.ok).mean()) for name, codes in each.items()}
    some = [(name, share) for name, share in shares.items() if share > 0]
    return tuple(sorted(some, key=lambda item: -item[1]))


def _bits(
    each: Mapping[str, Codes], found: FeasibleMap, named: Sequence[tuple[str, float]], code: int
) -> NDArray[np.uint32]:
    """Which of these checks have this verdict on each design, the first as the lowest bit."""
    bits = np.zeros(found.ok.shape, dtype=np.uint32)
    for k, (name, _) in enumerate(named[:MOST_NAMED]):
        bits |= ((each[name] == code) & found.ok).astype(np.uint32) << np.uint32(k)
    return bits


def verdicts_on(requirement: Requirement, quantity: Quantity, numbers: Floats) -> Codes:
    """FAIL, CAUTION or PASS for each number (reporting unit); PASS where there is none, since what
    a design does not have cannot be wrong with it."""
    bounds, about, between = _graded(requirement, quantity)
    if not bounds.size:
        return np.full(numbers.shape, between[0], dtype=np.int8)
    place = np.searchsorted(bounds, numbers)
    codes = between[place]
    slack = _SAME * np.maximum(np.abs(numbers), 1.0)
    for one in np.clip(np.stack([place - 1, place]), 0, bounds.size - 1):
        beyond = numbers - bounds[one]
        side = np.sign(np.nan_to_num(beyond)).astype(int) + 1
        codes = np.where(np.abs(beyond) <= slack, about[one, side], codes)
    return np.where(np.isnan(numbers), PASS, codes).astype(np.int8)


@cache
def _graded(requirement: Requirement, quantity: Quantity) -> tuple[Floats, Codes, Codes]:
    """The bounds at which the verdict may change; the verdicts a hair below each, at it and a hair
    above, shape (n, 3), where `judge` may allow for the last bits; and those between bounds."""
    bounds = sorted({bound for bound in _bounds(requirement) if math.isfinite(bound)})
    gaps = [(a + b) / 2 for a, b in pairwise(bounds)]
    ends = (
        [bounds[0] - 1 - abs(bounds[0]), bounds[-1] + 1 + abs(bounds[-1])] if bounds else [0.0, 0]
    )
    inner = [ends[0], *gaps, ends[1]]

    def codes(numbers: Sequence[float]) -> Codes:
        style = ShopStyle()
        found = [judge(requirement, Value(quantity, n, "found"), style).verdict for n in numbers]
        return np.array([_CODE[verdict] for verdict in found], dtype=np.int8)

    hair = [(b, _SAME / 2 * max(abs(b), 1.0)) for b in bounds]
    about = codes([number for b, by in hair for number in (b - by, b, b + by)])
    return np.array(bounds), about.reshape(-1, 3), codes(inner)


def _bounds(requirement: Requirement) -> Iterator[float]:
    for bound in (*requirement.good, *requirement.tolerable):
        if bound is not None:
            yield bound
    if isinstance(requirement, Graded):
        for use in requirement.uses:
            yield from (use.low, use.high)


def _reasons(found: FeasibleMap) -> Iterator[tuple[str, int]]:
    counts = np.bincount(found.sweep.reason.ravel(), minlength=len(found.sweep.reasons))
    for code in np.argsort(-counts, kind="stable"):
        if code and counts[code]:
            yield found.sweep.reasons[int(code)], int(counts[code])
