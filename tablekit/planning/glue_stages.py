"""Which joints of a panel are glued in which stage, with the clamps and the open time there are.

A *glue-up* spreads some neighbouring joints and clamps what they join, all within the open time of
the glue. A *stage* is one glue-up, or several side by side while the clamps last.

plan = stage_plan(row, terms, {"clamps": 8})
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from tablekit.engine.network import Network
from tablekit.engine.sheet import tidy
from tablekit.engine.sweeps import sweep
from tablekit.planning.clamping import Caul, ClampedStrip, Clamping, clamping
from tablekit.relations import glue
from tablekit.relations.inch_practice import in_practice, judged_in_practice
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.sheet import CheckResult, Sheet
    from tablekit.engine.shop import ShopStyle

EXACT_MOST = 8  # joints for which every way of staging is compared
WINDOW = 10  # joints of one glue-up that are tried beyond that number
WISHES = ("clamps", "clamp_reach", "clamp_dwell")
_NEAR = 1e-9


class Joining(NamedTuple):
    """One glue-up: strips `first` to `last`, from 0, and the joints in it that are wet; joint k is
    between strips k and k + 1, and those in it that are not wet are glued already."""

    first: int
    last: int
    wet: tuple[int, ...]

    @property
    def pieces(self) -> tuple[tuple[int, int], ...]:
        """What is joined: the first and last strip of each piece, from left to right."""
        ends = [self.first - 1, *self.wet, self.last]
        return tuple((left + 1, right) for left, right in pairwise(ends))


@dataclass(frozen=True)
class StripRow:
    """The strips of a panel from left to right, mm.

    edges    n + 1 places across the panel, from the centre mark
    lengths  of the n strips, as they are cut
    joints   length of each of the n − 1 joints
    tenons   how many each joint has
    """

    edges: tuple[float, ...]
    lengths: tuple[float, ...]
    joints: tuple[float, ...]
    tenons: tuple[int, ...]

    def width(self, first: int, last: int) -> float:
        """From the left edge of one strip to the right edge of another."""
        return self.edges[last + 1] - self.edges[first]

    def strips(self, first: int, last: int) -> list[ClampedStrip]:
        """Strips `first` to `last`, numbered from 0."""
        return [
            ClampedStrip(k, self.edges[k], self.edges[k + 1], self.lengths[k])
            for k in range(first, last + 1)
        ]

    def givens(self, one: Joining) -> dict[str, float]:
        """What the network of a glue-up is asked with for one."""
        left, right = one.pieces[0], one.pieces[-1]
        return {
            "joint_length": max(self.joints[k] for k in one.wet),
            "joint_lengths": sum(self.joints[k] for k in one.wet),
            "joints": float(len(one.wet)),
            "outer_strip": min(self.width(*left), self.width(*right)),
            "joint_tenons": float(max(self.tenons[k] for k in one.wet)),
        }


@dataclass(frozen=True)
class Terms:
    """What holds for every glue-up of a panel: the network, and what it is asked with beside what
    belongs to the joints (thickness and wishes, in reporting units)."""

    network: Network
    shared: Mapping[str, float]
    shop: ShopStyle | None = None

    def sheet(self, row: StripRow, one: Joining) -> Sheet:
        """The sheet of one glue-up."""
        return self.network.solve(
            {**self.shared, **row.givens(one)}, name="glue-up", shop=self.shop
        )


@dataclass(frozen=True, eq=False)
class GlueUp:
    """One glue-up of a stage.

    clamps, minutes   that it takes; minutes from the first glue to the last clamp
    held              where those clamps and the cauls lie; strips numbered from 0, as in the row
    tenons            in its wet joints, together
    sheet             the sheet of it
    """

    joining: Joining
    clamps: int
    minutes: float
    held: Clamping
    tenons: int
    sheet: Sheet

    def words(self, numbers: Sequence[int]) -> str:
        """What is joined, by the numbers of the strips: "1–3 + 4 + 5"."""
        return _joined(self.joining, numbers)


@dataclass(frozen=True, eq=False)
class Stage:
    """What is in clamps at one time.

    after   numbers of the stages, from 1, whose panels it joins further
    sheet   clamps in use and left over, how far they must open
    """

    number: int
    glue_ups: tuple[GlueUp, ...]
    after: tuple[int, ...]
    sheet: Sheet

    @property
    def joints(self) -> int:
        """How many joints are glued in it."""
        return sum(len(one.joining.wet) for one in self.glue_ups)

    @property
    def clamps(self) -> int:
        """How many clamps are in use."""
        return sum(one.clamps for one in self.glue_ups)

    @property
    def minutes(self) -> float:
        """At the bench, one glue-up after another."""
        return sum(one.minutes for one in self.glue_ups)

    def words(self, numbers: Sequence[int]) -> str:
        """What is joined in each of its glue-ups: "1–3 + 4 + 5; 6 + 7"."""
        return "; ".join(one.words(numbers) for one in self.glue_ups)


@dataclass(frozen=True)
class StagePlan:
    """The stages of a glue-up, in order; none where a joint cannot be glued with what there is.

    clamps    in the shop; None where the brief does not say: then one glue-up at a time
    least     whether no order of gluing takes fewer stages: every one was compared
    dwell     minutes that a glued joint stays in its clamps
    """

    row: StripRow
    stages: tuple[Stage, ...]
    clamps: int | None
    least: bool
    dwell: float
    checks: tuple[CheckResult, ...] = field(default=())

    @property
    def joints(self) -> tuple[int, ...]:
        """How many joints are glued in each stage."""
        return tuple(stage.joints for stage in self.stages)

    @property
    def longest(self) -> float:
        """Minutes of the longest glue-up; 0 where there is none."""
        return max((one.minutes for stage in self.stages for one in stage.glue_ups), default=0.0)

    def to_json(self, numbers: Sequence[int]) -> dict[str, Any]:
        """Plain data: mm and minutes; strips by their numbers in the layout."""
        return {
            "clamps": self.clamps,
            "clamp_dwell": tidy(self.dwell),
            "least_stages": self.least,
            "stages": [_stage_json(stage, numbers) for stage in self.stages],
        }


def _stage_json(stage: Stage, numbers: Sequence[int]) -> dict[str, Any]:
    ups = [
        {
            "pieces": [[numbers[left], numbers[right]] for left, right in one.joining.pieces],
            "joints": [[numbers[k], numbers[k + 1]] for k in one.joining.wet],
            "clamps": one.clamps,
            "clamp_pitch": tidy(one.sheet.number("clamp_pitch")),
            "minutes": tidy(one.minutes),
            "tenons": one.tenons,
            "clamp_places": [
                {"place": tidy(clamp.place), "side": "above" if clamp.above else "below"}
                for clamp in one.held.clamps
            ],
            "cauls": [_caul_json(caul, one, numbers) for caul in one.held.cauls],
        }
        for one in stage.glue_ups
    ]
    return {
        "stage": stage.number,
        "after": list(stage.after),
        "joints": stage.joints,
        "clamps": stage.clamps,
        "clamp_opening": tidy(stage.sheet.number("clamp_opening")),
        "minutes": tidy(stage.minutes),
        "glue_ups": ups,
    }


def _caul_json(caul: Caul, of: GlueUp, numbers: Sequence[int]) -> dict[str, Any]:
    return {
        "where": caul.where,
        "count": caul.count,
        "length": tidy(caul.length),
        "depth": tidy(of.held.caul_depth),
        "thickness": tidy(of.sheet.number("top_thickness")),
        "place": tidy(caul.place),
        "strip": numbers[caul.strip],
        "from_end": tidy(caul.from_end),
    }


def _joined(one: Joining, numbers: Sequence[int]) -> str:
    pieces = [
        f"{numbers[left]}" if left == right else f"{numbers[left]}–{numbers[right]}"
        for left, right in one.pieces
    ]
    return " + ".join(pieces)


@cache
def stage_network(display: str = "mm") -> Network:
    """Clamps in use at one time, as a shop that works in "mm" or "in" assumes."""
    inches = display == "in"
    return Network(
        "stage of a glue-up", glue.STAGE_QUANTITIES, glue.STAGE_RELATIONS,
        in_practice(glue.STAGE_ASSUMPTIONS, inches),
        requirements=judged_in_practice(glue.STAGE_REQUIREMENTS, inches), wording=SHOP,
    )  # fmt: skip


def stage_plan(row: StripRow, terms: Terms, wishes: Mapping[str, float]) -> StagePlan:
    """The stages of a panel.

    wishes  any of `WISHES`, in reporting units: with `clamps`, as many glue-ups side by side as
            they do for; without, one at a time

    Up to eight joints, no way of staging has fewer stages; of those with as few, it is one with the
    fewest dryings one after another, and then with the fewest clamps to set. Beyond that number the
    stages fit the clamps and the time, and that is all that is said of them.
    """
    limit = round(wishes["clamps"]) if "clamps" in wishes else None
    costs = _Costs(row, terms)
    exact = len(row.joints) <= EXACT_MOST
    found = _fewest(costs, limit) if exact else _one_by_one(costs, limit)
    made: list[Stage] = []
    for joinings in found:
        made.append(_stage(row, terms, wishes, joinings, made))
    sheets = [stage.sheet for stage in made] or [_hardest(costs, wishes)]
    return StagePlan(
        row, tuple(made), limit, exact and bool(made), sheets[0].number("clamp_dwell"),
        _checks(sheets, wishes),
    )  # fmt: skip


def _stage(
    row: StripRow, terms: Terms, wishes: Mapping[str, float], joinings: Sequence[Joining],
    before: Sequence[Stage],
) -> Stage:  # fmt: skip
    ups = tuple(_glue_up(row, terms, one) for one in joinings)
    made_of = {piece for one in joinings for piece in one.pieces}
    after = tuple(
        stage.number for stage in before
        if any((up.joining.first, up.joining.last) in made_of for up in stage.glue_ups)
    )  # fmt: skip
    widest = max(row.width(one.first, one.last) for one in joinings)
    sheet = _in_clamps(terms, wishes, sum(up.clamps for up in ups), widest, ups[0].sheet)
    return Stage(len(before) + 1, ups, after, sheet)


def _glue_up(row: StripRow, terms: Terms, one: Joining) -> GlueUp:
    sheet = terms.sheet(row, one)
    held = clamping(row.strips(one.first, one.last), sheet)
    return GlueUp(
        one, round(sheet.number("clamp_count")), sheet.number("glue_up_minutes"), held,
        sum(row.tenons[k] for k in one.wet), sheet,
    )  # fmt: skip


def _in_clamps(
    terms: Terms, wishes: Mapping[str, float], count: int, width: float, of: Sheet
) -> Sheet:
    """The sheet of a stage with this number of clamps in use, on pieces of this width at most."""
    given = {"stage_clamps": float(count), "piece_width": width}
    given["caul_depth"] = of.number("caul_depth")
    display = terms.shop.display if terms.shop else "mm"
    return stage_network(display).solve({**given, **wishes}, name="stage", shop=terms.shop)


def _hardest(costs: _Costs, wishes: Mapping[str, float]) -> Sheet:
    """The sheet of a stage that glues only the joint that takes most clamps, with the widest pieces
    on either side of it: what no staging can do with less."""
    row, terms = costs.row, costs.terms
    last = len(row.lengths) - 1
    alone = [Joining(0, last, (k,)) for k in range(len(row.joints))]
    costs.work_out(alone)
    one = max(alone, key=lambda joining: costs[joining].clamps)
    sheet = terms.sheet(row, one)
    return _in_clamps(terms, wishes, costs[one].clamps, row.width(0, last), sheet)


def _checks(sheets: Sequence[Sheet], wishes: Mapping[str, float]) -> tuple[CheckResult, ...]:
    """The checks on what the brief says of clamps, of that stage which has least to spare."""
    asked = {"clamps": "clamps_spare", "clamp_reach": "reach_spare"}
    found = []
    for wish, spare in asked.items():
        if wish in wishes:
            worst = min(sheets, key=lambda sheet: sheet.number(spare))
            found += [check for check in worst.checks if check.quantity == spare]
    return tuple(found)


# --- choosing -------------------------------------------------------------------------------------


class _Cost(NamedTuple):
    clamps: int
    fits: bool  # within the open time


class _Costs:
    """Clamps of each glue-up, and whether there is time for it: many worked out at once."""

    def __init__(self, row: StripRow, terms: Terms):
        self.row, self.terms = row, terms
        self._known: dict[tuple[float, ...], _Cost] = {}

    def __getitem__(self, one: Joining) -> _Cost:
        key = self._key(one)
        if key not in self._known:
            self.work_out([one])
        return self._known[key]

    def _key(self, one: Joining) -> tuple[float, ...]:
        return tuple(self.row.givens(one).values())

    def work_out(self, some: Iterable[Joining]) -> None:
        """As arrays, those that are not known yet."""
        asked = {tuple(givens.values()): givens for givens in map(self.row.givens, some)}
        new = {key: givens for key, givens in asked.items() if key not in self._known}
        if not new:
            return
        names = next(iter(new.values()))
        columns = {name: [given[name] for given in new.values()] for name in names}
        wanted = ("clamp_count", "glue_up_minutes", "open_time")
        found = sweep(self.terms.network, {**self.terms.shared, **columns}, wanted)
        rows = zip(new, *(found[name] for name in wanted), found.ok, strict=True)
        for key, count, minutes, time, ok in rows:
            fits = bool(ok) and bool(minutes <= time * (1 + _NEAR))
            self._known[key] = _Cost(round(float(count)) if ok else 0, fits)


Pieces = tuple[tuple[int, int], ...]  # first and last strip of each, from left to right
Dryings = tuple[int, ...]  # of each piece: how many glue-ups one after another are in it


@dataclass(frozen=True)
class _Way:
    """How some pieces came about."""

    dryings: Dryings
    clamps: int
    stages: tuple[tuple[Joining, ...], ...]

    def better(self, other: _Way) -> bool:
        """Whether the other has nothing for it."""
        drier = all(a <= b for a, b in zip(self.dryings, other.dryings, strict=True))
        return drier and self.clamps <= other.clamps


def _fewest(costs: _Costs, limit: int | None) -> tuple[tuple[Joining, ...], ...]:
    """The stages of a way with the fewest; none where there is no way. Every way is compared, one
    more stage at a time, and dropped only where another leads to the same pieces, no worse."""
    strips = len(costs.row.lengths)
    costs.work_out(_every(strips))
    start: Pieces = tuple((k, k) for k in range(strips))
    reached: dict[Pieces, list[_Way]] = {start: [_Way((0,) * strips, 0, ())]}
    while reached:
        if done := reached.get(((0, strips - 1),)):
            return min(done, key=lambda way: (max(way.dryings), way.clamps)).stages
        further: dict[Pieces, list[_Way]] = {}
        for pieces, ways in reached.items():
            for joinings in _moves(pieces, costs, limit):
                after = _joined_up(pieces, joinings)
                for way in ways:
                    _keep(
                        further.setdefault(after, []), _went_on(way, pieces, after, joinings, costs)
                    )
        reached = further
    return ()


def _every(strips: int) -> Iterator[Joining]:
    """Every glue-up of a row of this number of strips, whatever is glued before it."""
    for first in range(strips):
        for last in range(first + 1, strips):
            joints = range(first, last)
            for some in range(1, 1 << len(joints)):
                yield Joining(first, last, tuple(k for k in joints if some >> (k - first) & 1))


def _moves(pieces: Pieces, costs: _Costs, limit: int | None) -> Iterator[tuple[Joining, ...]]:
    """Every stage that can follow: glue-ups of neighbouring pieces, from left to right, that the
    clamps do for at one time."""

    def rest(at: int, left: int | None) -> Iterator[tuple[Joining, ...]]:
        yield ()
        for first in range(at, len(pieces) - 1):
            for last in range(first + 1, len(pieces)):
                one = _joining(pieces, first, last)
                cost = costs[one]
                if not cost.fits or (left is not None and cost.clamps > left):
                    continue
                if left is None:  # one glue-up at a time
                    yield (one,)
                    continue
                for others in rest(last + 1, left - cost.clamps):
                    yield (one, *others)

    for some in rest(0, limit):
        if some:
            yield some


def _joining(pieces: Pieces, first: int, last: int) -> Joining:
    wet = tuple(right for _, right in pieces[first:last])
    return Joining(pieces[first][0], pieces[last][1], wet)


def _joined_up(pieces: Pieces, joinings: Sequence[Joining]) -> Pieces:
    """The pieces after a stage."""
    made = [(one.first, one.last) for one in joinings]
    left = [p for p in pieces if not any(low <= p[0] and p[1] <= high for low, high in made)]
    return tuple(sorted([*left, *made]))


def _went_on(
    way: _Way, pieces: Pieces, after: Pieces, joinings: Sequence[Joining], costs: _Costs
) -> _Way:
    dried = dict(zip(pieces, way.dryings, strict=True))
    for one in joinings:
        dried[one.first, one.last] = 1 + max(dried[piece] for piece in one.pieces)
    clamps = way.clamps + sum(costs[one].clamps for one in joinings)
    return _Way(tuple(dried[piece] for piece in after), clamps, (*way.stages, tuple(joinings)))


def _keep(ways: list[_Way], new: _Way) -> None:
    """Takes in a way unless one that is there is no worse; drops those that are worse then."""
    if any(way.better(new) for way in ways):
        return
    ways[:] = [way for way in ways if not new.better(way)] + [new]


def _one_by_one(costs: _Costs, limit: int | None) -> tuple[tuple[Joining, ...], ...]:
    """Stages of a long row, each as full as can be from the left; none where it gets stuck."""
    strips = len(costs.row.lengths)
    pieces: Pieces = tuple((k, k) for k in range(strips))
    stages: list[tuple[Joining, ...]] = []
    while len(pieces) > 1:
        stage = _full(pieces, costs, limit)
        if not stage:
            return ()
        stages.append(stage)
        pieces = _joined_up(pieces, stage)
    return tuple(stages)


def _full(pieces: Pieces, costs: _Costs, limit: int | None) -> tuple[Joining, ...]:
    windows = [
        (first, last) for first in range(len(pieces) - 1)
        for last in range(min(first + WINDOW, len(pieces) - 1), first, -1)
    ]  # fmt: skip
    costs.work_out(_joining(pieces, *ends) for ends in windows)
    taken: list[Joining] = []
    at, left = 0, limit
    for first, last in windows:
        one = _joining(pieces, first, last)
        cost = costs[one]
        if first < at or not cost.fits or (left is not None and cost.clamps > left):
            continue
        taken.append(one)
        if left is None:
            break
        at, left = last + 1, left - cost.clamps
    return tuple(taken)
