"""Assumptions that gave way: to which givens, how far, and whether to something still usual.

An assumption gives way to givens without being asked, so a reader is told of each one that did.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from tablekit.engine.codegen import compile_vector
from tablekit.engine.declarations import Declarations
from tablekit.engine.plan import Plan, assign_roles
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption
from tablekit.engine.shop import ShopStyle, quantities_apart, quantity_text
from tablekit.engine.wording import NO_BREAK, listed, words

Usual = Callable[[Mapping[str, float]], float]

_SAME = 1e-6
_WHOLE = 1e-7  # to which a sheet shows a count as whole
_NO_VALUE = (KeyError, ValueError, ZeroDivisionError, OverflowError, TypeError)


@dataclass(frozen=True)
class GaveWay:
    """One assumption that gave way. Numbers in the quantity's reporting unit.

    name     the quantity
    usual    what would have been assumed of it, at the other values of this design
    now      what it is instead
    band     lowest and highest value that is usual
    because  the givens that it follows from, in the network's order
    within   whether `now` lies in the band, and is whole where it counts something
    whole    whether `now` is whole where it counts something
    """

    name: str
    usual: float
    now: float
    band: tuple[float, float]
    because: tuple[str, ...]
    within: bool
    whole: bool = True


def gave_way(plan: Plan, values: Mapping[str, float]) -> tuple[GaveWay, ...]:
    """The assumptions that gave way to givens for other quantities, in the network's order.

    Left out are those whose quantity is itself given, or follows from a name that says the same
    in other words (`Assumption.stated_by`), and those whose quantity comes to the assumed value
    all the same, within a millionth.

    values  of a design that `plan` found, coherent SI; a name without a value is missing or nan
    """
    told = []
    for assumption, quantity, usual_of in _dropped(plan):
        now, usual = values.get(quantity.name, math.nan), usual_of(values)
        if math.isnan(now) or math.isnan(usual) or _same(quantity, now, usual):
            continue
        low, high = assumption.band(usual)
        slack = 1e-9 * max(abs(low), abs(high))
        whole = not quantity.whole or abs(now - round(now)) <= _WHOLE * max(1.0, abs(now))
        told.append(
            GaveWay(
                name=quantity.name,
                usual=quantity.from_si(usual),
                now=quantity.from_si(now),
                band=(quantity.from_si(low), quantity.from_si(high)),
                because=_because(plan, quantity.name, values),
                within=whole and low - slack <= now <= high + slack,
                whole=whole,
            )
        )
    return tuple(told)


def outside(plan: Plan, values: Mapping[str, float]) -> list[GaveWay]:
    """Those of `gave_way` whose value is beyond what is usual."""
    return [one for one in gave_way(plan, values) if not one.within]


def _same(quantity: Quantity, one: float, other: float) -> bool:
    # Relative to the values, and for a value of zero to the width of the range.
    zero = 1e-9 * quantity.to_si(max(abs(quantity.low), abs(quantity.high)))
    return abs(one - other) <= _SAME * max(abs(one), abs(other)) + zero


# From names alone, so each plan needs it once, however many designs it is asked about.
@lru_cache(maxsize=256)
def _dropped(plan: Plan) -> tuple[tuple[Assumption, Quantity, Usual], ...]:
    """The assumptions that gave way in a plan, with what each would assume."""
    passed_over = {*plan.givens, *plan.redundant, *plan.free}
    place = {name: number for number, name in enumerate(plan.network.quantities)}
    found = []
    for assumption in plan.dropped:
        quantity = assumption.quantity
        assert quantity is not None
        stated = assumption.stated_by.intersection(plan.givens_behind(quantity.name))
        if quantity.name not in passed_over and not stated:
            found.append((assumption, quantity, _usual_of(assumption, plan.network)))
    return tuple(sorted(found, key=lambda one: place[one[1].name]))


def _usual_of(assumption: Assumption, network: Declarations) -> Usual:
    """What an assumption says at the values of a design, coherent SI; nan where it says nothing."""
    if assumption.value.is_number:
        number = float(assumption.value)
        return lambda values: number
    symbols = {symbol.name for symbol in assumption.value.free_symbols}
    rest = [name for name in network.quantities if name in symbols]
    compiled = compile_vector(
        [network.quantities[name].symbol for name in rest],
        [assumption.value],
        arrays=False,
        constants={c.symbol: c.si for c in network.constants.values()},
        share=False,
    )

    def usual(values: Mapping[str, float]) -> float:
        try:
            return float(compiled(*(values[name] for name in rest))[0])
        except _NO_VALUE:
            return math.nan

    return usual


def _because(plan: Plan, name: str, values: Mapping[str, float]) -> tuple[str, ...]:
    """The givens that `name` follows from, without those that say only what would be assumed."""
    behind = plan.givens_behind(name)
    needed = tuple(given for given in behind if not _needless(plan, given, values))
    return needed or behind


def _needless(plan: Plan, given: str, values: Mapping[str, float]) -> bool:
    """Whether all would be as it is without this given, because it would be assumed."""
    found = _assumed_without(plan, given)
    if found is None:
        return False
    assumption, usual_of = found
    assert assumption.quantity is not None
    return _same(assumption.quantity, values.get(given, math.nan), usual_of(values))


@lru_cache(maxsize=1024)
def _assumed_without(plan: Plan, given: str) -> tuple[Assumption, Usual] | None:
    """The assumption that would take the place of a given, if one would."""
    assumption = plan.network.assumption_of(given)
    if assumption is None:
        return None
    others = frozenset({*plan.givens, *plan.redundant} - {given})
    if assumption not in assign_roles(plan.network, others).in_force:
        return None
    return assumption, _usual_of(assumption, plan.network)


# -- in words -------------------------------------------------------------------------------------


def sentences(
    gave_way: Iterable[GaveWay],
    network: Declarations,
    values: Mapping[str, float],
    style: ShopStyle,
) -> tuple[str, ...]:
    """What gave way in a design, in the reader's units: one sentence for what has one reason.

    A measure is held together by no-break spaces."""
    reasons: dict[tuple[str, ...], list[GaveWay]] = {}
    for one in gave_way:
        reasons.setdefault(one.because, []).append(one)
    return tuple(sentence(those, network, values, style) for those in reasons.values())


def sentence(
    those: Iterable[GaveWay], network: Declarations, values: Mapping[str, float], style: ShopStyle
) -> str:
    """What gave way to the same givens, in one sentence.

    those   with the same `because`, at least one
    values  of the design, coherent SI
    """
    those = tuple(those)
    first, *others = [
        f"{words(name)} {_text(network.quantity(name), values[name], style)}"
        for name in those[0].because
    ]
    held = f"{first} with {listed(others)}" if others else first
    return f"To keep {held}, {listed([_clause(one, network, style) for one in those])}."


def ways_out(
    one: GaveWay, instead: Iterable[GaveWay], network: Declarations, style: ShopStyle
) -> str:
    """How something that gave way is kept at its usual value, and what gives way then.

    instead  at least one"""
    quantity = network.quantity(one.name)
    usual = _text(quantity, quantity.to_si(one.usual), style)
    clauses = listed([_clause(other, network, style, ", not the usual") for other in instead])
    return f"Or give {one.name} as {usual}; then {clauses}."


def _clause(
    one: GaveWay, network: Declarations, style: ShopStyle, joint: str = " instead of"
) -> str:
    """ "the name is 41.15° instead of 54.74°"."""
    quantity, assumption = network.quantity(one.name), network.assumption_of(one.name)
    now, usual = (_text(quantity, quantity.to_si(n), style) for n in (one.now, one.usual))
    if now == usual:  # finer where a difference would not show
        finer = quantities_apart(one.now, one.usual, quantity, style)
        now, usual = (text.replace(" ", NO_BREAK) for text in finer)
    says = assumption.says if assumption else ""
    return f"{(says or f'the {words(one.name)} is {{}}').format(now)}{joint} {usual}"


def _text(quantity: Quantity, si: float, style: ShopStyle) -> str:
    number = quantity.from_si(si)
    if quantity.whole:
        return str(math.floor(number + 1e-9))
    return quantity_text(number, quantity, style).replace(" ", NO_BREAK)
