"""The network: the quantities and relations of one subject, without inputs or outputs, and how it
is solved: from what is given to a sheet, or to the reason why there is none.

The plan of the givens is run first; where it finds an isolated design, that is the answer. Where it
finds none, or one that could still move, the search over the whole network decides: whether there
is a design after all, which assumption has to give way, whether too little is given, or whether no
design was found.

Other designs that meet what is given are told of beside an answer: those of the same assumptions,
where the equations have several answers, and those in which something else gives way, so that what
gave way in the answer keeps its usual value.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import cached_property, partial
from itertools import islice

import numpy as np

from tablekit.engine.bands import GaveWay, outside
from tablekit.engine.conflict import different, explain, settling_values, too_little
from tablekit.engine.declarations import Declarations
from tablekit.engine.judge import Outcome, Problem
from tablekit.engine.order import TogetherStep
from tablekit.engine.plan import Plan, by_firmness, confirming, plan_of, usual_first
from tablekit.engine.search import CLOSER, DENSE, QUICK, Rank, Search, Solution, search_of
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle, plain_number, quantity_text
from tablekit.engine.slack import with_slack
from tablekit.engine.trouble import (
    Contradiction,
    DesignError,
    NotEnoughGiven,
    OutsideLimits,
    RangeError,
)

# -- the network -----------------------------------------------------------------------------------


class Network(Declarations):
    """Declarations that can be planned and solved. Built and checked as `Declarations`."""

    def plan(self, names: Iterable[str], without: Iterable[str] = ()) -> Plan:
        """The plan for a set of givens, made once and kept.

        without  quantities whose assumption is not to be made
        Raises UnknownName for a name the network does not have."""
        return plan_of(self, names, without)

    def solve(
        self,
        givens: Mapping[str, float],
        *,
        name: str = "",
        shop: ShopStyle | None = None,
        why: bool = True,
        near: Sheet | None = None,
    ) -> Sheet:
        """Everything that follows from `givens` (reporting units).

        why  whether to find out which givens clash and what would mend it, which takes longer than
             the design; without, no search follows where the plan finds no design
        near an answer to stay near to, where the givens allow several: what was shown last
        Raises RangeError for a value outside its range, Contradiction when no design was found
        that meets the givens, OutsideLimits when a relation does not hold for them,
        NotEnoughGiven when something stays free.
        """
        return solve(self, givens, name=name, shop=shop, why=why, near=near)


# -- solving ---------------------------------------------------------------------------------------

_CLOSES = 1e-9
_MOST_WAYS = 12


@np.errstate(all="ignore")  # what has no value somewhere is told of, and not by a warning
def solve(
    network: Declarations,
    givens: Mapping[str, float],
    *,
    name: str = "",
    shop: ShopStyle | None = None,
    why: bool = True,
    near: Sheet | None = None,
) -> Sheet:
    """See `Network.solve`."""
    check_numbers(network, givens)
    solving = _Solving(network, givens, near, name=name, shop=shop)
    sheet = solving.at_once()
    if sheet is None and not why:
        raise solving.none_found()
    alone = why and near is None  # else the answer that goes on is all that is asked for
    sheet = sheet or solving.by_search()
    return solving.with_others(sheet) if alone else sheet


def check_numbers(network: Declarations, givens: Mapping[str, float]) -> None:
    """Raises UnknownName or RangeError for the first given that cannot be."""
    for name, number in givens.items():
        quantity = network.quantity(name)
        low, high = with_slack(quantity.low, quantity.high)
        if not (math.isfinite(number) and low <= number <= high):
            raise RangeError(
                f"{name} is {plain_number(number, 9)} {quantity.unit}; it must lie between "
                f"{plain_number(quantity.low)} and {plain_number(quantity.high)} {quantity.unit}",
                name=name,
                found=number,
                low=quantity.low,
                high=quantity.high,
            )


class _Solving:
    """One set of givens on its way to a sheet."""

    def __init__(
        self,
        network: Declarations,
        givens: Mapping[str, float],
        near: Sheet | None,
        *,
        name: str,
        shop: ShopStyle | None,
    ):
        self.network, self.givens, self.name = network, givens, name
        self.style = ShopStyle() if shop is None else shop
        self.given = {n: network.quantities[n].to_si(number) for n, number in givens.items()}
        self.before, self.near = near, near.si if near is not None else None
        self.unusual: list[GaveWay] = []
        self.too_little: tuple[Sequence[Solution], Sequence[str]] | None = None
        self.problems: list[Problem] = []  # of the first plan
        self.unmet: OutsideLimits | None = None
        self.held: Sequence[str] = ()  # assumptions in force in what the search found
        self.found: Sequence[Solution] = ()
        self.outcome: Outcome  # of the sheet

    def at_once(self) -> Sheet | None:
        """The sheet that the plan finds without a search; None where it finds none."""
        return self.confirmed() or self.along(plan_of(self.network, self.givens))

    def with_others(self, sheet: Sheet) -> Sheet:
        """The sheet, which finds the other designs that meet what is given when asked."""
        if is_searched(sheet.plan):
            held = self.held or _in_force(sheet.plan)
            sheet.find_further = partial(
                further_answers, self.search, self.outcome, self.given, held
            )

        def solved(givens: Mapping[str, float]) -> Sheet | None:
            return _Solving(self.network, givens, None, name=self.name, shop=self.style).at_once()

        sheet.find_instead = partial(kept_instead, sheet, solved)
        return sheet

    def confirmed(self) -> Sheet | None:
        """The sheet that the other givens lead to, where a given count and what goes with it only
        confirm what it finds; no assumption has to give way to them then."""
        last = confirming(self.network, self.givens)
        plan = plan_of(self.network, self.givens, confirming=last)
        return None if last.isdisjoint(plan.redundant) else self.along(plan)

    def along(self, plan: Plan, near: Mapping[str, float] | None = None) -> Sheet | None:
        """The sheet that a plan finds; None where it finds none that is sure to be the answer."""
        outcome = plan.program.run(self.given, near or self.near)
        if near is None:
            self.problems = outcome.problems
        if outcome.problems or plan.free or (outcome.doubtful and near is None):
            return None
        ended = ""
        if near is None and self.before is not None and self.before.plan is plan:
            outcome, ended = followed(self.before, self.given, outcome)
        return self.sheet(plan, outcome, ended)

    def sheet(self, plan: Plan, outcome: Outcome, ended: str = "") -> Sheet | None:
        """The audited sheet of an outcome; None where something assumed would be unusual, or where
        the values do not meet every relation."""
        unusual = outside(plan, outcome.values)
        if unusual:
            self.unusual = self.unusual or unusual
            return None
        if self.found:
            told, given = outcome.alternatives, self.given
            list_others(self.search, outcome.values, told, given, self.held, self.found)
        self.outcome = outcome
        sheet = Sheet(plan, self.givens, outcome, name=self.name, shop=self.style, ended=ended)
        try:
            audit(sheet)
        except OutsideLimits as trouble:  # another value of what is assumed may meet all the same
            self.unmet = self.unmet or trouble
            return None
        return sheet

    # -- by search ---------------------------------------------------------------------------

    def by_search(self) -> Sheet:
        """What the search over the whole network finds.

        Raises NotEnoughGiven, Contradiction and OutsideLimits."""
        plan = plan_of(self.network, self.givens)
        held = _in_force(plan)
        designs = self.search.designs(self.given, held)
        sheet = self._answer(plan, held, designs)
        sheet = sheet or self._with_others_giving_way()
        if sheet is not None:
            return sheet
        if self.too_little is not None:
            raise self._what_is_missing(*self.too_little)
        if self.unmet is not None and designs:
            raise self.unmet
        if not self.search.copes:
            raise self.unmet or self.none_found()
        problem = self.problems[0] if self.problems else None
        raise explain(self.search, plan, self.givens, held, problem, self.unusual, self.style)

    def none_found(self) -> DesignError:
        """The error that says no more than the names tell."""
        free = plan_of(self.network, self.givens).free
        if free and not self.problems:
            return too_little(self.network, free, 0, ())
        return Contradiction("no design was found that meets what is given")

    def _answer(self, plan: Plan, held: Sequence[str], designs: Sequence[Solution]) -> Sheet | None:
        """The sheet of the nearest design that is isolated; None where none is."""
        if not designs:
            return None
        rank = self.search.rank(designs[0], self.given, held)
        if rank.nullity:
            held, designs, rank = self._taken_back(held, designs, rank)
        if rank.nullity:
            self.too_little = self.too_little or (designs, held)
            return None
        self.held, self.found = held, designs[:MOST_DESIGNS]
        for design in islice(designs, MOST_DESIGNS):
            sheet = self.along(plan, design.values)
            if sheet is not None:
                return sheet
        # The plan does not come to the design by itself, as where it divides zero by zero.
        if plan.free:
            given_way = set(self.order) - set(held)
            plan = plan_of(self.network, self.givens, given_way, turned=True)
        outcome = plan.program.judged(designs[0].values, self.given)
        missing = any(math.isnan(v) for n, v in outcome.values.items() if n not in outcome.left_out)
        return None if plan.free or missing else self.sheet(plan, outcome)

    def _taken_back(
        self, held: Sequence[str], designs: Sequence[Solution], rank: Rank
    ) -> tuple[Sequence[str], Sequence[Solution], Rank]:
        """As handed in, with those assumptions in force again that gave way by name alone: what
        is given says nothing of their quantities, which can still move."""
        for name in self.order:
            if name in held or name not in rank.free:
                continue
            more = [*held, name]
            found = self.search.designs(self.given, more, near=designs[:1], effort=(QUICK,))
            if found:
                less = self.search.rank(found[0], self.given, more)
                if less.nullity < rank.nullity:
                    held, designs, rank = more, found, less
        return held, designs, rank

    def _with_others_giving_way(self) -> Sheet | None:
        """The sheet in which other assumptions give way: those that must by the slopes of a
        design, or that what is given calls into question, else others in the place of one of them,
        the softest first."""
        # Before anything is refused, the closest look that there is.
        loose = self.search.designs(self.given, (), effort=(QUICK, CLOSER, DENSE))
        if not loose or self.too_little is not None:
            return None
        must = self.search.gives_way(loose[0], self.given, self.order)
        # At that design the slopes may see another way; as assumed there may be none.
        first = [names for names in (must, self._called_into_question) if names]
        tries = list(first)
        # What did not come out along the plan tells which others to try first.
        blamed = {n for p in self.problems if p.relation for n in p.relation.symbols}
        for other in sorted(reversed(self.order), key=lambda name: name not in blamed):
            tries += [tuple(sorted({*must, other} - {one})) for one in must if other not in must]
        relevant = self.search.relevant(self.given)
        tries = [names for names in dict.fromkeys(tries) if set(names) <= relevant]
        for names in islice(tries, _MOST_WAYS):
            held = [name for name in self.order if name not in names]
            designs = self.search.designs(self.given, held, near=loose[:1], effort=(QUICK,))
            sheet = self._answer(plan_of(self.network, self.givens, names), held, designs)
            if sheet is not None or (names in first and self.too_little is not None):
                return sheet
        return None

    @property
    def _called_into_question(self) -> tuple[str, ...]:
        """The quantities of which what is given says that they may be unusual."""
        assumed = ((name, self.network.assumption_of(name)) for name in self.order)
        return tuple(n for n, a in assumed if a is not None and a.first_to & self.givens.keys())

    @cached_property
    def order(self) -> list[str]:
        """Quantities that could be assumed, firmest first."""
        assumptions = by_firmness(self.network, frozenset(self.givens))
        names = [a.quantity.name for a in assumptions if a.quantity is not None]
        return [name for name in names if name not in self.givens]

    @cached_property
    def search(self) -> Search:
        """The search over the network."""
        return search_of(self.network)

    def _what_is_missing(self, designs: Sequence[Solution], held: Sequence[str]) -> NotEnoughGiven:
        sets, free, count = settling_values(self.search, designs, self.given, held)
        return too_little(self.network, free, count, sets)


# -- staying on a branch -------------------------------------------------------------------------

_JUMP = 0.02  # of a range: a move of an answer that is worth following in shorter strides
_MOST_HALVINGS = 9


def followed(before: Sheet, given: Mapping[str, float], outcome: Outcome) -> tuple[Outcome, str]:
    """The answer that continues the one before, and where that one ended if it did.

    Where several answers are possible, each moves on a branch of its own as the givens move. A
    large move of the answer is followed in short strides, each answer the nearest to the last.

    before   the sheet of the same plan that was shown last
    given    what is given now, coherent SI
    outcome  the answer nearest to the one before
    Returns the outcome and '' where the branch goes on, or a sentence that says where it ends."""
    branch = _Branch(before, given)
    if not branch.leaps(before.si, outcome):
        return outcome, ""
    last, reached = branch.follow(before.si, 0.0, 1.0, _MOST_HALVINGS)
    if reached == 1.0:
        return before.plan.program.run(given, last), ""
    quantities, texts = before.network.quantities, []
    for name, value in branch.at(reached).items():
        if given[name] != before.si[name]:
            number = quantities[name].from_si(value)
            text = quantity_text(number, quantities[name], before.shop_style, 4)
            texts.append(f"{name} {text}")
    return outcome, (
        f"The answer shown before goes no further than about {' with '.join(texts)}; "
        "this is another one."
    )


class _Branch:
    """Answers from one sheet to a new set of its givens, a share of the way at a time."""

    def __init__(self, before: Sheet, given: Mapping[str, float]):
        self._program, self._start, self._end = before.plan.program, before.si, given
        self._ranges = {n: self._program.range_of(n) for n in self._program.choices}

    def at(self, share: float) -> dict[str, float]:
        """What is given a share of the way."""
        return {n: self._start[n] + share * (v - self._start[n]) for n, v in self._end.items()}

    def leaps(self, last: Mapping[str, float], found: Outcome) -> bool:
        """Whether an answer is none, or far from the last."""
        return bool(found.problems) or any(
            not abs(found.values[n] - last[n]) <= _JUMP * (high - low)
            for n, (low, high) in self._ranges.items()
        )

    def follow(
        self, last: Mapping[str, float], start: float, end: float, halvings: int
    ) -> tuple[Mapping[str, float], float]:
        """The branch followed from `start` towards `end`: (its values, how far it goes)."""
        found = self._program.run(self.at(end), last)
        if not self.leaps(last, found):
            return found.values, end
        if not halvings:
            return last, start
        middle = (start + end) / 2
        last, reached = self.follow(last, start, middle, halvings - 1)
        if reached < middle:
            return last, reached
        return self.follow(last, middle, end, halvings - 1)


def _in_force(plan: Plan) -> tuple[str, ...]:
    return tuple(a.quantity.name for a in plan.assumptions if a.quantity is not None)


def audit(sheet: Sheet) -> None:
    """Put every value back into every relation: no wrong root may pass unseen.

    Raises OutsideLimits where one does not hold."""
    worst = max(
        sheet.residuals.items(),
        key=lambda item: math.inf if math.isnan(item[1]) else item[1],  # max passes over a nan
        default=("", 0.0),
    )
    if not worst[1] <= _CLOSES:
        raise OutsideLimits(
            f"the values found do not satisfy {worst[0]!r} (left over: {worst[1]:.1e} of its "
            "terms); the givens are outside what it holds for",
            relation=worst[0],
            excess=worst[1],
        )


# -- other designs, told of beside an answer -------------------------------------------------------

_SAME = 1e-6  # relative: values that differ by less are one
MOST_DESIGNS = 6  # that are told of beside an answer
_MOST_KEPT = 3


def is_searched(plan: Plan) -> bool:
    """Whether a plan has a loop in which several values are tried at once: it finds one answer of
    such a loop, the nearest to what is usual, and does not look for all."""
    return any(isinstance(step, TogetherStep) and len(step.tried) > 1 for step in plan.steps)


def list_others(
    search: Search,
    values: Mapping[str, float],
    told: dict[str, list[float]],
    given: Mapping[str, float],
    held: Collection[str],
    designs: Iterable[Solution],
) -> None:
    """Adds designs that each stand alone to the alternatives told of an answer: of each that they
    do not tell of yet, the first value in which it differs.

    values       of the answer
    told         values by name, added to
    given, held  what all of them meet: values in coherent SI, and assumptions by name"""
    here = Solution(values)
    for design in designs:
        apart = usual_first(search.network, different(search, [here, design]) - given.keys())
        known = any(
            math.isclose(v, design.values[n], rel_tol=_SAME) for n in apart for v in told.get(n, ())
        )
        if not apart or known or search.rank(design, given, held).nullity:
            continue
        name = apart[0]
        told.setdefault(name, [values[name]]).append(design.values[name])


@np.errstate(all="ignore")
def further_answers(
    search: Search,
    outcome: Outcome,
    given: Mapping[str, float],
    held: Collection[str],
) -> dict[str, list[float]]:
    """The alternatives of an outcome with those that the closest look finds, coherent SI."""
    found = search.designs(given, held, effort=(DENSE,))
    told = {name: [*values] for name, values in outcome.alternatives.items()}
    list_others(search, outcome.values, told, given, held, found[:MOST_DESIGNS])
    return told


@np.errstate(all="ignore")
def kept_instead(
    sheet: Sheet, solved: Callable[[Mapping[str, float]], Sheet | None]
) -> dict[str, tuple[GaveWay, ...]]:
    """For what gave way in a sheet: what would give way instead, were it given its usual value.
    Left out is what the rest does not allow to keep it.

    solved  the sheet of some givens (reporting units), or None where none was found at once"""
    found = {}
    for one in sheet.gave_way[:_MOST_KEPT]:
        other = solved({**sheet.givens, one.name: one.usual})
        if other is not None and other.gave_way:
            found[one.name] = other.gave_way
    return found
