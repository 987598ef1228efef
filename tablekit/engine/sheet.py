"""The sheet: every value of one design, where it came from, and how it stands to what is asked.

What a given count leaves open is found with it: four seats go with many diameters.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

import sympy as sp

from tablekit.engine.bands import GaveWay, gave_way, sentences, ways_out
from tablekit.engine.codegen import compile_vector
from tablekit.engine.judge import Outcome
from tablekit.engine.order import ClosedStep
from tablekit.engine.plan import Plan, plan_of, usual_first
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Requirement, Sense, Verdict
from tablekit.engine.shop import quantities_apart, quantity_text
from tablekit.engine.slack import settle
from tablekit.engine.unit_table import meaning
from tablekit.engine.units import ShopStyle
from tablekit.engine.working import Working

if TYPE_CHECKING:
    import pint


# -- the sheet -------------------------------------------------------------------------------------

Origin = Literal["given", "found", "assumed"]
_MOST_TOLD = 6  # of several answers, in one note


@dataclass(frozen=True)
class Value:
    """One value of a sheet, in its quantity's reporting unit.

    number is None where the quantity has no value in this design; `reason` then says why."""

    quantity: Quantity
    number: float | None
    origin: Origin
    reason: str = ""

    @property
    def si(self) -> float:
        """In coherent SI; nan where there is no value."""
        return math.nan if self.number is None else self.quantity.to_si(self.number)


@dataclass(frozen=True)
class CheckResult:
    """How one quantity stands to one requirement.

    id       what code knows it by; `name` is what a person reads
    value, limit  in `unit`; None, or a limit that is nan, where there is none
    sense    on which side of the limit the good values lie
    message  what it means, what to change and what to mind, as sentences
    mend     what to change alone, or what it means where nothing is to be changed; "" where it
             passes
    """

    id: str
    name: str
    verdict: Verdict
    value: float | None
    limit: float | None
    unit: str
    source: str
    message: str
    quantity: str = ""
    sense: Sense = ""
    mend: str = ""

    def to_json(self) -> dict[str, Any]:
        """As plain data, the numbers to twelve significant digits."""
        return {
            "id": self.id,
            "name": self.name,
            "verdict": self.verdict,
            "value": tidy(self.value),
            "limit": tidy(self.limit),
            "sense": self.sense,
            "unit": self.unit,
            "source": self.source,
            "message": self.message,
            "mend": self.mend,
        }


def _nearest(numbers: Sequence[float], to: float) -> list[float]:
    """As many of several answers as one note tells of, in order."""
    return sorted(sorted(numbers, key=lambda number: abs(number - to))[:_MOST_TOLD])


class Sheet:
    """The answer to one brief."""

    def __init__(
        self,
        plan: Plan,
        givens: Mapping[str, float],
        outcome: Outcome,
        *,
        name: str = "",
        shop: ShopStyle | None = None,
        ended: str = "",
    ):
        self.plan, self.network, self.kind = plan, plan.network, plan.network.kind
        self.name = name or plan.network.name
        self.shop_style = shop or ShopStyle()
        self.givens = dict(givens)
        self._outcome, self._ended = outcome, ended
        self.supplied_notes: Sequence[str] = ()  # what else a reader should know
        self._made: dict[str, Value] = {}  # the values and the texts asked for so far
        self._texts: dict[str, str] = {}
        # Set by the solver: looked for when first asked, since a moved slider asks for neither.
        self.find_further: Callable[[], Mapping[str, Sequence[float]]] = dict
        self.find_instead: Callable[[], Mapping[str, Sequence[GaveWay]]] = dict

    @cached_property
    def values(self) -> dict[str, Value]:
        """Every value, in the network's order."""
        return {name: self._found(name) for name in self.names}

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of every quantity that has a value or a reason for none, in the network's order."""
        free = set(self.plan.free)
        return tuple(name for name in self.network.quantities if name not in free)

    def _found(self, name: str) -> Value:
        """A value, made when it is first asked for: a moved slider asks for a few."""
        value = self._made.get(name)
        if value is None:
            if name in self.plan.free:
                raise KeyError(name)
            value = self._made[name] = self._value(self.network.quantities[name])
        return value

    def _value(self, quantity: Quantity) -> Value:
        name = quantity.name
        if name in self._outcome.left_out:
            return Value(quantity, None, "found", self._outcome.left_out[name])
        origin: Origin = "assumed" if name in self.plan.assumed else "found"
        number = quantity.from_si(self._outcome.values[name])
        if name in self.givens:  # as typed, untouched by a trip through SI and back
            number, origin = self.givens[name], "given"
        elif quantity.whole and number % 1.0 > 0.0 and abs(number - round(number)) <= _SAME:
            number = float(round(number))
        return Value(quantity, settle(number, quantity.low, quantity.high), origin)

    def __getitem__(self, name: str) -> Value:
        self.network.quantity(name)  # raises with the nearest known name
        return self._found(name)

    def number(self, name: str) -> float:
        """A value in its reporting unit; nan where the quantity has none in this design.

        Raises UnknownName for a name the network does not have."""
        number = self[name].number
        return math.nan if number is None else number

    def get(self, name: str) -> float | None:
        """A value in its reporting unit, or None where there is none or no such quantity."""
        known = name in self.network.quantities and name not in self.plan.free
        return self._found(name).number if known else None

    def measure(self, name: str) -> pint.Quantity[float]:
        """A value as a quantity of pint's application registry, for calculating further in any
        unit; nan where the quantity has none in this design.

        Raises UnknownName for a name the network does not have."""
        import pint

        _, unit = meaning(self[name].quantity.unit, "")
        return pint.Quantity(self.number(name), unit)

    def shop(self, name: str) -> str:
        """The text that is read: rounded as the style says."""
        text = self._texts.get(name)
        if text is None:
            text = self._texts[name] = self._text(self[name])
        return text

    def _text(self, value: Value) -> str:
        if value.number is None:
            return f"none: {value.reason}"
        if value.quantity.whole:
            return str(math.floor(value.number + 1e-9))
        return quantity_text(value.number, value.quantity, self.shop_style)

    @property
    def si(self) -> dict[str, float]:
        """All values in coherent SI."""
        return dict(self._outcome.values)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """The assumptions that this answer rests on."""
        return self.plan.assumptions

    @cached_property
    def gave_way(self) -> tuple[GaveWay, ...]:
        """The assumptions that gave way to givens for other quantities. See `bands.gave_way`."""
        return gave_way(self.plan, self._outcome.values)

    @cached_property
    def kept_instead(self) -> Mapping[str, Sequence[GaveWay]]:
        """By what gave way, what would have done so instead had it been given its usual value."""
        return self.find_instead()

    @property
    def gave_way_said(self) -> tuple[str, ...]:
        """What gave way, a sentence for each reason, as this sheet writes its sizes."""
        told = sentences(self.gave_way, self.network, self._outcome.values, self.shop_style)
        ways = ((one, self.kept_instead.get(one.name, ())) for one in self.gave_way)
        others = (
            ways_out(one, those, self.network, self.shop_style) for one, those in ways if those
        )
        return (*told, *others)

    @property
    def free(self) -> tuple[str, ...]:
        """Names that nothing settles. Empty for a sheet that `solve` returned."""
        return self.plan.free

    @cached_property
    def alternatives(self) -> dict[str, tuple[float, ...]]:
        """For a quantity that could have had several values in range: all, in its unit."""
        both = {
            **self.plan.program.branches(self._outcome.values),
            **self._outcome.alternatives,
            **self.find_further(),
        }
        several = {name: distinct(values) for name, values in both.items()}
        return {
            name: tuple(self.network.quantities[name].from_si(value) for value in values)
            for name, values in several.items()
            if len(values) > 1 and name not in self.givens
        }

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What a reader should know of how the answer was reached."""
        notes = [self._ended] if self._ended else []
        more = ", and there may be more" if self._outcome.sampled else ""
        for name, numbers in self.alternatives.items():
            quantity = self.network.quantities[name]
            near = _nearest(numbers, self.number(name))
            texts = [quantity_text(number, quantity, self.shop_style) for number in near]
            if len(numbers) > len(near):
                texts.append(f"one of {len(numbers) - len(near)} others")
            wanted = self.network.quantities[name].from_si(self.plan.program.preferred(name))
            taken = abs(self.number(name) - wanted)
            usual = all(taken <= abs(number - wanted) * (1 + _SAME) for number in numbers)
            why = (
                "the nearest to what would have been assumed"
                if usual
                else "since others do not fit the rest"
            )
            notes.append(
                f"{name} could be {' or '.join(texts)}{more}; {self.shop(name)} was taken, {why}. "
                f"Give {name} to choose another."
            )
        for name in self.plan.redundant:
            notes.append(f"{name} was given but follows from the other givens; they agree.")
        for one in self.open_ranges:
            quantity = self.network.quantities[one.name]
            low, high, here = (
                quantity_text(number, quantity, self.shop_style)
                for number in (one.low, one.high, one.taken)
            )
            notes.append(
                f"{one.count} {self.shop(one.count)} leaves {one.name} open from {low} to {high}; "
                f"{here} was taken. Give {one.name} to choose another."
            )
        return (*notes, *self.supplied_notes)

    @cached_property
    def open_ranges(self) -> tuple[OpenRange, ...]:
        """What the counts that were given leave open."""
        return open_ranges(self.plan, self._outcome.values)

    @cached_property
    def checks(self) -> tuple[CheckResult, ...]:
        """The network's requirements, judged."""
        free = set(self.plan.free)
        return tuple(
            judge(requirement.filled(self.shop), self[requirement.quantity], self.shop_style)
            for requirement in self.network.requirements
            if requirement.quantity not in free and requirement.asked(self.givens)
        )

    @cached_property
    def residuals(self) -> dict[str, float]:
        """Every relation with the values put back: what is left over, relative to its terms."""
        left_out = set(self._outcome.left_out)
        found = self.plan.program.residuals(self._outcome.values)
        if not left_out:
            return found
        return {
            name: size
            for name, size in found.items()
            if not left_out & set(self.network.statement(name).symbols)
        }

    def working(self, name: str, *, style: ShopStyle | None = None, brief: bool = False) -> Working:
        """How `name` was found, step by step. Raises UnknownName.

        style chooses millimetres or inches; `brief` shows the formulas alone in a notebook."""
        self.network.quantity(name)
        return Working(self, name, style, brief)

    def to_json(self) -> dict[str, Any]:
        """The sheet as plain data: numbers in reporting units to twelve significant digits."""
        return {
            "name": self.name,
            "kind": self.kind,
            "options": dict(self.network.options),
            "quantities": {
                name: {
                    "value": tidy(value.number),
                    "unit": value.quantity.unit,
                    "origin": value.origin,
                    "shop": self.shop(name),
                    "meaning": value.quantity.meaning,
                }
                for name, value in self.values.items()
            },
            "assumptions": [
                {
                    "quantity": a.quantity.name if a.quantity else "",
                    "why": a.why,
                    "source": str(a.source),
                }
                for a in self.assumptions
            ],
            "gave_way": self._gave_way_json(),
            "checks": [check.to_json() for check in self.checks],
            "notes": list(self.notes),
        }

    def _gave_way_json(self) -> list[dict[str, Any]]:
        return [
            {
                "name": g.name,
                "usual": tidy(g.usual),
                "now": tidy(g.now),
                "because": list(g.because),
                "instead": [
                    {"name": other.name, "usual": tidy(other.usual), "now": tidy(other.now)}
                    for other in self.kept_instead.get(g.name, ())
                ],
            }
            for g in self.gave_way
        ]


def distinct(values: Sequence[float]) -> list[float]:
    """In ascending order, those that differ by more than the rounding of a solver."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or abs(value - kept[-1]) > _SAME * max(abs(value), abs(kept[-1])):
            kept.append(value)
    return kept


def tidy(number: float | None) -> float | None:
    """To twelve significant digits: a trip through SI and back leaves noise in the last four."""
    if number is None or not math.isfinite(number):
        return None
    return float(f"{number:.12g}")


def _beyond(number: float, bound: float, quantity: Quantity, style: ShopStyle) -> str:
    """As it is shown, finer where that reads like the bound: never 6 mm; at most 6 mm."""
    rounded = quantity_text(number, quantity, style)
    if rounded != quantity_text(bound, quantity, style):
        return rounded
    finer, other = quantities_apart(number, bound, quantity, style)
    return finer if finer != other else rounded


def judge(requirement: Requirement, value: Value, style: ShopStyle) -> CheckResult:
    """One requirement against one value."""
    unit, number = value.quantity.unit, value.number

    def result(verdict: Verdict, limit: float | None, message: str, mend: str = "") -> CheckResult:
        return CheckResult(
            requirement.id, requirement.name, verdict, number, limit, unit,
            str(requirement.source), message.strip(), requirement.quantity, requirement.sense, mend,
        )  # fmt: skip

    if number is None:
        return result("pass", None, value.reason)
    requirement = requirement.at(number, style)
    low, high = requirement.good
    slack = 1e-9 * max(abs(number), 1.0)
    if low is not None and number < low - slack:
        return result(*_missed(requirement, value.quantity, number, style, "at least", slack))
    if high is not None and number > high + slack:
        return result(*_missed(requirement, value.quantity, number, style, "at most", slack))
    bounds = [bound for bound in (low, high) if bound is not None]
    limit = min(bounds, key=lambda bound: abs(bound - number)) if bounds else math.nan
    found = quantity_text(number, value.quantity, style)
    return result("pass", limit, f"{found}. {requirement.fine}")


def _missed(
    requirement: Requirement, quantity: Quantity, number: float, style: ShopStyle,
    side: Literal["at least", "at most"], slack: float,
) -> tuple[Verdict, float, str, str]:  # fmt: skip
    """Verdict, the limit that it breaks, message and mend of a value past it on one side. The
    message has its own number first, then what is wanted, and if it fails where failing begins."""
    end, sign = (0, 1) if side == "at least" else (1, -1)
    limit, last = requirement.good[end], requirement.tolerable[end]
    assert limit is not None
    fails = last is not None and sign * (last - number) > slack
    passed = last if fails and last is not None else limit
    wanted = quantity_text(limit, quantity, style)
    said = f"{_beyond(number, passed, quantity, style)}; {side} {wanted} is wanted"
    if passed != limit:
        further = "below" if end == 0 else "above"
        said += f", and {further} {quantity_text(passed, quantity, style)} it fails"
    means, mend = requirement.means(end, fails), (requirement.mend_low, requirement.mend_high)[end]
    words = " ".join(filter(None, (means, mend, requirement.care)))
    return "fail" if fails else "caution", passed, f"{said}. {words}", mend or means


# -- what a given count leaves open ----------------------------------------------------------------

_HALVINGS = 60
_INSIDE = 1e-9  # how far inside its ends a range is shown, as a share: at the end the count changes
_SAME = 1e-7


@dataclass(frozen=True)
class OpenRange:
    """A quantity that a given count leaves a range for, in its reporting unit.

    count      name of the count that was given
    name       the quantity
    low, high  the ends of its range; with anything between them the count is the same
    taken      the value in this design
    """

    count: str
    name: str
    low: float
    high: float
    taken: float


def open_ranges(plan: Plan, values: Mapping[str, float]) -> tuple[OpenRange, ...]:
    """For each count that was given, what it leaves open: the first usual wish that it settles,
    else what is rounded to it.

    values  of a design that `plan` found, coherent SI"""
    found: list[OpenRange] = []
    for step in plan.steps:
        if not isinstance(step, ClosedStep) or step.unknown not in step.relation.inverse:
            continue
        if not step.relation.equation.has(sp.floor, sp.ceiling):
            continue
        counts = [n for n in plan.network.unknowns_in(step.relation) if n in plan.givens]
        if len(counts) == 1:
            found.append(_of(plan, values, step, counts[0]))
    return tuple(found)


def _of(plan: Plan, values: Mapping[str, float], step: ClosedStep, count: str) -> OpenRange:
    network, name = plan.network, step.unknown
    holds = _holds(plan, values, step)
    low, high = (_end(holds, values[name], bound) for bound in plan.program.range_of(name))
    low, high = low + _INSIDE * (high - low), high - _INSIDE * (high - low)
    given = (*plan.givens, *plan.redundant)
    others = {n: values[n] for n in given if n != count}
    turned = plan_of(network, {*others, name})
    first, last = (turned.program.run({**others, name: value}) for value in (low, high))
    wish = name
    if not (turned.free or first.problems or last.problems):
        moved = (
            n
            for n in usual_first(network, network.wishes)
            if n not in given and not _same(first.values[n], last.values[n])
        )
        wish = next(moved, name)
        low, high = sorted((first.values[wish], last.values[wish]))
    quantity = network.quantities[wish]
    return OpenRange(count, wish, *map(quantity.from_si, (low, high, values[wish])))


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= _SAME * max(abs(one), abs(other))


def _end(holds: Callable[[float], bool], inside: float, bound: float) -> float:
    """How far towards a bound an unknown can go while its relation still holds, coherent SI."""
    if holds(bound):
        return bound
    for _ in range(_HALVINGS):
        middle = (inside + bound) / 2
        inside, bound = (middle, bound) if holds(middle) else (inside, middle)
    return inside


def _holds(plan: Plan, values: Mapping[str, float], step: ClosedStep) -> Callable[[float], bool]:
    equation, program = step.relation.equation, plan.program
    names = [n for n in plan.network.unknowns_in(step.relation) if n != step.unknown]
    left_over = compile_vector(
        [program.symbols[n] for n in (step.unknown, *names)],
        [equation.lhs - equation.rhs],
        arrays=False,
        constants=program.constants,
        share=False,
    )
    others = [values[n] for n in names]
    return lambda value: bool(abs(left_over(value, *others)[0]) < _SAME)
