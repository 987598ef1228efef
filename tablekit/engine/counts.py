"""What a given count leaves open: four seats go with many diameters."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import sympy as sp

from tablekit.engine.lambdas import compile_vector
from tablekit.engine.order import ClosedStep
from tablekit.engine.plan import Plan, plan_of, usual_first

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
