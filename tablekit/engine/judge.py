"""What came of the values that a compiled plan found, what is wrong with them, and that in words.

Limits, ranges, roots that must be put back and givens that follow from the others are judged here
and nowhere else, with the slack of `slack`: of one design and of many, alike. The judgement is
written with operators that mean the same for a bool and for an array of them, so that a sweep says
of each design what `solve` says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.codegen import Assignment, closing
from tablekit.engine.declarations import Declarations, describe, dimension_of
from tablekit.engine.order import ClosedStep, Order, Step
from tablekit.engine.quantity import Quantity, unit_size
from tablekit.engine.relation import Limit, Relation
from tablekit.engine.shop import plain_number, quantity_text, range_text
from tablekit.engine.slack import NOTHING, SLACK, size_for_slack, with_slack
from tablekit.engine.units import ShopStyle

# -- one design, and its faults in words -----------------------------------------------------------


@dataclass(frozen=True)
class Problem:
    """One reason why a set of numbers is no design. Values in coherent SI.

    kind  "no number": `name` was given as nan;
          "undefined": `relation` gives no real number for `name`;
          "range": `name` found outside [low, high]; "limit": `relation` does not hold, short by
          -`value`; "mismatch": `name` was given as `low` but the others make it `value`;
          "no root": no value of `name` lets a block of relations hold together;
          "open": any value of `name` does
    """

    kind: Literal["no number", "undefined", "range", "limit", "mismatch", "no root", "open"]
    name: str
    value: float
    low: float = -math.inf
    high: float = math.inf
    relation: Relation | None = None
    limit: Limit | None = None


@dataclass
class Outcome:
    """One design: every value (coherent SI), and what is wrong with it.

    problems      in order of solution: what goes wrong first stands first
    alternatives  for a name with several answers in range, all of them
    sampled       whether several values were tried at once, from starts that may miss an answer
    doubtful      whether it may be one of many that lie next to one another
    left_out      names that have no value here, and why
    """

    values: dict[str, float]
    problems: list[Problem] = field(default_factory=list)
    alternatives: dict[str, list[float]] = field(default_factory=dict)
    doubtful: bool = False
    sampled: bool = False
    left_out: dict[str, str] = field(default_factory=dict)


def in_words(problem: Problem, network: Declarations, style: ShopStyle | None = None) -> str:
    """One problem in plain words.

    With a style, the numbers of the design that has it are said too, as that reader writes them;
    without, what is said is the same for every design with this problem.
    """
    quantity = network.quantities[problem.name]
    name, relation = problem.name, problem.relation.name if problem.relation else "a relation"

    def text(si: float) -> str:
        number = quantity.from_si(si)
        if style is None:
            return f"{plain_number(number)} {quantity.unit}".removesuffix(" 1")
        return quantity_text(number, quantity, style)

    match problem.kind:
        case "limit" if problem.limit is not None:
            what = f"outside what {relation!r} holds for: {problem.limit.words}"
            if style is None:
                return what
            return f"{name} is {what}; it is over by {_excess(problem, network, style)}"
        case "range":
            return _beyond(problem, quantity, text, style)
        case "no root":
            low, high = _range_shown(problem, quantity, text, style)
            if style is None:  # the unit once
                low = low.split(" ")[0]
            return f"no {name} between {low} and {high} was found that makes the relations fit"
        case "open":
            return f"any {name} would do: what is given says nothing of it"
        case "mismatch":
            return f"{name} was given but follows from the others, and differs"
        case "no number":
            return f"{name} is no number"
        case _:
            return f"{relation!r} has no real answer for {name}"


def _range_shown(
    problem: Problem, quantity: Quantity, text: Callable[[float], str], style: ShopStyle | None
) -> tuple[str, str]:
    if style is None:
        return text(problem.low), text(problem.high)
    ends = quantity.from_si(problem.low), quantity.from_si(problem.high)
    return range_text(*ends, quantity, style)


def _beyond(
    problem: Problem, quantity: Quantity, text: Callable[[float], str], style: ShopStyle | None
) -> str:
    """How a value leaves its range; with a style by which value."""
    name = quantity.name
    if style is not None:
        low, high = _range_shown(problem, quantity, text, style)
        return f"{name} would be {text(problem.value)}, outside {low} to {high}"
    if problem.value < problem.low:
        return f"{name} would be below {text(problem.low)}"
    return f"{name} would be above {text(problem.high)}"


def _excess(problem: Problem, network: Declarations, style: ShopStyle) -> str:
    """By how much a limit is passed, finer than sizes are rounded: it may be a hair."""
    assert problem.limit is not None
    found = dimension_of(problem.limit.slack, network.dimensions)
    if found is None or describe(found) != "a length":
        return f"{-problem.value:.2g}"
    if style.display == "in":
        return f"{-problem.value / unit_size('mm') / 25.4:.2g} in"
    return f"{-problem.value / unit_size('mm'):.2g} mm"


# -- the judgement ---------------------------------------------------------------------------------

Codes = NDArray[np.int32]
_Mask = Any  # a bool, or an array of them
_Complaint = tuple[int, _Mask, Any]  # its code, where it applies, the value to be told
_Spared = dict[str, list[tuple[_Mask, str]]]  # by name: where its limit does not hold, in words
_GIVEN_AGREES = 1e-6  # the digits to which a given is typed that follows from the others
_NEXT_TO_0 = 1e-12  # of a range: a range may be a million times what is usual in it


def limits_in_force(step: Step, plan: Order) -> list[tuple[Relation, Limit]]:
    """The limits of a step's relations, but for those that mention something free."""
    free = set(plan.free)
    return [
        (relation, limit)
        for relation in step.relations
        for limit in relation.limits
        if not free & {symbol.name for symbol in limit.slack.free_symbols}
    ]


def can_be_left_out(step: Step, plan: Order) -> bool:
    """Whether nothing in the whole plan rests on what the step finds and nobody gave it as well."""
    return (
        isinstance(step, ClosedStep)
        and step.unknown not in plan.redundant
        and not any(step.unknown in other.needs for other in plan.steps)
    )


def wrong_givens(
    network: Declarations, columns: Mapping[str, Any], masked: Mapping[str, _Mask]
) -> Iterator[tuple[_Mask, str]]:
    """Where givens cannot be, and why in words.

    columns  by name, scalars or arrays in reporting units, none empty; nan is no number
    masked   by name, where an entry is masked; names may be left out
    """
    for name, column in columns.items():
        quantity = network.quantities[name]
        low, high = with_slack(quantity.low, quantity.high)
        unit = f" {quantity.unit}".removesuffix(" 1")
        least, most = _ends(column)
        if name not in masked and least >= low and most <= high:
            continue
        yield masked.get(name, False), f"{name} is masked"
        yield _missing(column), f"{name} is no number"
        yield column < low, f"{name} is below {plain_number(quantity.low)}{unit}"
        yield column > high, f"{name} is above {plain_number(quantity.high)}{unit}"


class Judge:
    """Judges what some steps of a plan find.

    assignments  what must be computed along with the values
    problems     by code: what `many` says of a design, without its numbers; 0 is "nothing"
    """

    def __init__(self, plan: Order, steps: Sequence[Step]):
        self._plan = plan
        self.problems: list[Problem | None] = [None]
        self.assignments: list[Assignment] = []
        quantities = plan.network.quantities
        self._ranges = {name: quantity.si_range for name, quantity in quantities.items()}
        given = (*plan.givens, *plan.redundant)
        self._numbers = {n: self._code(Problem("no number", n, math.nan)) for n in given}
        self._put_back = dict(self._roots_to_put_back(steps))
        # In the order in which it is complained of: each rule with what passes at first sight.
        self._rules = [
            (rule.key, rule.low, rule.high, rule) for step in steps for rule in self._rules_of(step)
        ]
        found = {name for step in steps for name in step.unknowns}
        self._compared = {
            name: self._code(Problem("mismatch", name, math.nan))
            for name in plan.redundant
            if name in found
        }

    # -- what is asked ----------------------------------------------------------------------

    def _code(self, problem: Problem) -> int:
        self.problems.append(problem)
        return len(self.problems) - 1

    def _roots_to_put_back(self, steps: Sequence[Step]) -> Iterator[tuple[str, str]]:
        for step in steps:
            if isinstance(step, ClosedStep) and step.must_be_put_back:
                key = f"_closes_{step.unknown}"
                left_over, size = closing(*step.relation.equation.args)
                margin = SLACK * size + NOTHING - sp.Abs(left_over)
                self.assignments.append((sp.Symbol(key, real=True), margin))
                yield step.unknown, key

    def _rules_of(self, step: Step) -> Iterator[_Held | _Bound]:
        for relation, limit in limits_in_force(step, self._plan):
            key = f"_slack_{len(self.assignments)}"
            self.assignments.append((sp.Symbol(key, real=True), limit.slack))
            name = step.unknowns[0]
            code = self._code(Problem("limit", name, math.nan, relation=relation, limit=limit))
            spares = limit.otherwise == "leave out" and can_be_left_out(step, self._plan)
            yield _Held(key, limit, code, name if spares else "", self._plan.network)
        needs = tuple(step.needs & self._ranges.keys())
        for name in step.unknowns:
            low, high = self._ranges[name]
            missing = 0
            if isinstance(step, ClosedStep):
                problem = Problem("undefined", name, math.nan, relation=step.relation)
                missing = self._code(problem)
            elif name == step.tried[0]:  # a block finds all its values or none
                problem = Problem("no root", name, math.nan, low, high, step.closing[0])
                missing = self._code(problem)
            below = self._code(Problem("range", name, -math.inf, low, high))
            above = self._code(Problem("range", name, math.inf, low, high))
            yield _Bound(name, *with_slack(low, high), below, above, missing, needs)

    # -- the judgement ----------------------------------------------------------------------

    def one(self, outcome: Outcome, given: Mapping[str, float]) -> None:
        """Judge one design (floats, coherent SI).

        Adds to the outcome what is wrong, in order of solution, and what is left out. A value that
        is left out, or that does not fit when it is put back, becomes nan."""
        by_block = {problem.name: problem for problem in outcome.problems}
        spared: _Spared = {}
        outcome.problems = [
            self._told(code, float(value), given, by_block)
            for code, applies, value in self._complaints(outcome.values, given, spared, _suspects)
            if applies
        ]
        for name, cases in spared.items():
            for applies, words in cases:
                if applies:
                    outcome.left_out[name] = f"there is one only where {words}"
        for symbol, _ in self.assignments:
            del outcome.values[symbol.name]

    def many(self, values: dict[str, Any], given: Mapping[str, Any], count: int) -> Codes:
        """Judge `count` designs (arrays or scalars, coherent SI): the code of what goes wrong first
        in each, 0 where it can be. Changes values as `one` does."""
        codes = np.zeros(count, dtype=np.int32)
        for code, applies, _ in self._complaints(values, given, {}, _suspects_of_many):
            if np.any(applies):
                codes[(codes == 0) & applies] = code
        for symbol, _ in self.assignments:
            del values[symbol.name]
        return codes

    def _told(
        self,
        code: int,
        value: float,
        given: Mapping[str, float],
        by_block: Mapping[str, Problem],
    ) -> Problem:
        """The problem of a code with the numbers of one design."""
        problem = self.problems[code]
        assert problem is not None
        if problem.kind == "no root":  # or whatever else the block says
            return by_block.get(problem.name, problem)
        if problem.kind == "mismatch":
            return replace(problem, value=value, low=given[problem.name], high=given[problem.name])
        return replace(problem, value=value)

    def _complaints(
        self,
        values: dict[str, Any],
        given: Mapping[str, Any],
        spared: _Spared,
        suspects: Callable[[_Rules, Mapping[str, Any]], list[_Held | _Bound]],
    ) -> Iterator[_Complaint]:
        """All that may be wrong, in order of solution.

        suspects  picks the rules that do not pass at first sight; only these are looked at design
                  by design"""
        for name, code in self._numbers.items():
            if math.isnan(_ends(given[name])[0]):  # of an array, where any of it is nan
                yield code, _missing(given[name]), given[name]
        for name, key in self._put_back.items():
            fits = values[key] >= 0
            if not np.all(fits):
                values[name] = _without(values[name], np.logical_not(fits))
        for rule in suspects(self._rules, values):
            yield from rule.complaints(values, spared)
        for name, code in self._compared.items():
            one, other = given[name], values[name]
            margin = _GIVEN_AGREES * np.maximum(abs(one), abs(other))
            low, high = self._ranges[name]
            if low <= 0 <= high:
                margin = np.maximum(margin, _NEXT_TO_0 * max(-low, high))
            yield code, abs(one - other) > margin, other


@dataclass(frozen=True)
class _Bound:
    """The range of what a step finds, its slack allowed for, and the codes of what may be wrong.

    key      the name of the quantity
    missing  the code for there being no value; 0 where another value of its block tells that
    needs    what the step rests on
    """

    key: str
    low: float
    high: float
    below: int
    above: int
    missing: int
    needs: tuple[str, ...]

    def complaints(self, values: Mapping[str, Any], spared: _Spared) -> Iterator[_Complaint]:
        """What is wrong with the value, if anything."""
        value = values[self.key]
        if self.missing:
            missing = _missing(value)
            for need in self.needs:  # what is missing there is complained of already
                missing = missing & np.logical_not(_missing(values[need]))
            for applies, _ in spared.get(self.key, ()):
                missing = missing & np.logical_not(applies)
            yield self.missing, missing, value
        yield self.below, value < self.low, value
        yield self.above, value > self.high, value


class _Held:
    """A limit as it is judged.

    key     the name under which its slack is computed
    spares  the quantity that has no value where the limit does not hold, if that is all
    """

    low, high = 0.0, math.inf

    def __init__(self, key: str, limit: Limit, code: int, spares: str, network: Declarations):
        self.key = key
        self._limit, self._code, self._spares, self._network = limit, code, spares, network

    def complaints(self, values: dict[str, Any], spared: _Spared) -> Iterator[_Complaint]:
        """What is wrong where the limit does not hold, unless there is only no value then."""
        fails = self._fails(values)
        if self._spares:
            spared.setdefault(self._spares, []).append((fails, self._limit.words))
            values[self._spares] = _without(values[self._spares], fails)
        else:
            yield self._code, fails, values[self.key]

    def _fails(self, values: Mapping[str, Any]) -> _Mask:
        """Where the limit does not hold. Where something it mentions has no value it cannot be
        judged, and that is complained of instead."""
        known = {name: np.asarray(values[name], dtype=float) for name in self._ends}
        size = self._size({**self._constants, **known}, self._ends)
        allowed = np.where(np.isfinite(size), SLACK * size, 0.0)
        fails = np.logical_not(values[self.key] >= -allowed)
        for value in known.values():
            fails = fails & np.logical_not(_missing(value))
        return fails

    @cached_property
    def _ends(self) -> dict[str, float]:
        """The larger end of the range of each quantity that the limit mentions."""
        quantities = self._network.quantities
        used = {symbol.name for symbol in self._limit.slack.free_symbols} & quantities.keys()
        return {name: max(map(abs, quantities[name].si_range)) for name in sorted(used)}

    @cached_property
    def _size(self) -> Callable[..., Any]:
        return size_for_slack(self._limit.slack)

    @cached_property
    def _constants(self) -> dict[str, float]:
        return {c.symbol.name: c.si for c in self._network.constants.values()}


_Rules = list[tuple[str, float, float, _Held | _Bound]]


def _suspects(rules: _Rules, values: Mapping[str, float]) -> list[_Held | _Bound]:
    return [rule for key, low, high, rule in rules if not low <= values[key] <= high]


def _suspects_of_many(rules: _Rules, values: Mapping[str, Any]) -> list[_Held | _Bound]:
    found = []
    ends: dict[int, tuple[float, float]] = {}  # of arrays: one may have several names
    for key, low, high, rule in rules:
        value = values[key]
        if id(value) not in ends:
            ends[id(value)] = _ends(value)
        least, most = ends[id(value)]
        if not (least >= low and most <= high):  # a nan comes through, and compares as false
            found.append(rule)
    return found


def _ends(value: Any) -> tuple[float, float]:
    if isinstance(value, np.ndarray) and value.ndim:
        return np.minimum.reduce(value), np.maximum.reduce(value)
    return value, value


def _missing(value: Any) -> _Mask:
    return value != value  # nan alone, of a float and in an array


def _without(value: Any, where: _Mask) -> Any:
    """The value, or nan where it is not to be had."""
    if np.ndim(where) == 0:
        return math.nan if where else value
    return np.where(where, math.nan, value)
