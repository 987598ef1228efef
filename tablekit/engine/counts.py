"""What a given count leaves open: four seats go with many diameters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import sympy as sp

from tablekit.engine.lambdas import compile_vector
from tablekit.engine.plan import ClosedStep, usual_first

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

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


def open_ranges(sheet: Sheet) -> tuple[OpenRange, ...]:
    """For each count that was given, what it leaves open: the first usual wish that it settles,
    else what is rounded to it."""
    found = []
    for step in sheet.plan.steps:
        if not isinstance(step, ClosedStep) or step.unknown not in step.relation.inverse:
            continue
        if not step.relation.equation.has(sp.floor, sp.ceiling):
            continue
        counts = [n for n in sheet.network.unknowns_in(step.relation) if n in sheet.givens]
        if len(counts) == 1:
            found += _of(sheet, step, counts[0])
    return tuple(found)


def _of(sheet: Sheet, step: ClosedStep, count: str) -> list[OpenRange]:
    network, name = sheet.network, step.unknown
    low, high = (_end(sheet, step, bound) for bound in sheet.plan.program.range_of(name))
    low, high = low + _INSIDE * (high - low), high - _INSIDE * (high - low)
    names = {*sheet.givens, name} - {count}
    plan = network.plan(names)
    ends = []
    for value in (low, high):
        outcome = plan.program.run({n: value if n == name else sheet.si[n] for n in names})
        if outcome.problems or plan.free:
            return [_range(sheet, count, name, low, high)]
        ends.append(outcome.values)
    first, last = ends
    moved = [
        n
        for n in usual_first(network, network.wishes)
        if n not in sheet.givens
        and abs(first[n] - last[n]) > _SAME * max(abs(first[n]), abs(last[n]))
    ]
    wish = moved[0] if moved else name
    return [_range(sheet, count, wish, *sorted((first[wish], last[wish])))]


def _range(sheet: Sheet, count: str, name: str, low: float, high: float) -> OpenRange:
    quantity = sheet.network.quantities[name]
    return OpenRange(count, name, quantity.from_si(low), quantity.from_si(high), sheet.number(name))


def _end(sheet: Sheet, step: ClosedStep, bound: float) -> float:
    """How far towards a bound the unknown can go while the relation still holds, coherent SI."""
    holds = _holds(sheet, step)
    inside = sheet.si[step.unknown]
    if holds(bound):
        return bound
    for _ in range(_HALVINGS):
        middle = (inside + bound) / 2
        inside, bound = (middle, bound) if holds(middle) else (inside, middle)
    return inside


def _holds(sheet: Sheet, step: ClosedStep) -> Callable[[float], bool]:
    equation, program = step.relation.equation, sheet.plan.program
    names = [n for n in sheet.network.unknowns_in(step.relation) if n != step.unknown]
    left_over = compile_vector(
        [program.symbols[n] for n in (step.unknown, *names)],
        [equation.lhs - equation.rhs],
        arrays=False,
        constants=program.constants,
        share=False,
    )
    others = [sheet.si[n] for n in names]
    return lambda value: abs(left_over(value, *others)[0]) < _SAME
