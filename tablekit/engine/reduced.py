"""The steps of a working, cut down to what a person would write: no step that finds nothing new, no
term that is zero, and exact numbers where a quantity stands at an exact value.

A quantity stands at an exact value where it has the one that is usually assumed of it and that is
no plain number, such as a lean of arccos(1/√3), and where it follows from such a one alone. Each
form is held against the value on the sheet; one that does not agree stays as it was declared.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Protocol

import sympy as sp

from tablekit.engine.formula import FormulaWriter, Piece, Plain
from tablekit.engine.jacobian import exact_value
from tablekit.engine.order import ClosedStep
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation

# -- the steps -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ClosedWorking:
    """One unknown from one relation. Expressions are in coherent SI symbols."""

    unknown: str
    relation: Relation
    form: sp.Expr

    @property
    def finds(self) -> frozenset[str]:
        """What is known after it."""
        return frozenset((self.unknown,))


@dataclass(frozen=True)
class AssumedWorking:
    """A value taken because nothing given settles it.

    outright  it is a plain value, or one in terms of the givens alone
    """

    unknown: str
    assumption: Assumption
    outright: bool

    @property
    def finds(self) -> frozenset[str]:
        """What is known after it."""
        return frozenset((self.unknown,))


@dataclass(frozen=True)
class TogetherWorking:
    """Relations solved together.

    tried      unknowns whose values were tried
    follow     what then follows, in order
    closing    the relations left over that have to close
    left_over  what remains of each relation, relative to its terms
    others     further answers within range: {name: values in its reporting unit}
    """

    tried: tuple[str, ...]
    follow: tuple[ClosedWorking, ...]
    closing: tuple[Relation, ...]
    relations: tuple[Relation, ...]
    left_over: Mapping[str, float]
    others: Mapping[str, tuple[float, ...]]

    @property
    def finds(self) -> frozenset[str]:
        """What is known after it."""
        return frozenset((*self.tried, *(step.unknown for step in self.follow)))


WorkedStep = ClosedWorking | AssumedWorking | TogetherWorking


class WorkedSteps(Protocol):
    """What a reduction needs of a working: the steps that lead to one quantity of a sheet."""

    sheet: Any
    name: str

    @property
    def givens(self) -> tuple[str, ...]:
        """The givens that it rests on."""

    @property
    def steps(self) -> tuple[WorkedStep, ...]:
        """Every step that leads to it, in order."""

    def thing(self, name: str) -> Quantity | Constant:
        """The quantity or constant of that name."""

    def si(self, name: str) -> float:
        """Its value in coherent SI."""


# -- cut down --------------------------------------------------------------------------------------

_SAME = 1e-12  # as near as an exact number must come to the value on the sheet
_AGREES = 1e-9  # as near as a form must come to it, which rounds on the way
_LONGEST = 60  # operations of a form that is still multiplied out
_NUMBERS = ("1", "deg")  # units of what may stand at an exact value
_RATIOS = (sp.sin, sp.cos, sp.tan)


class Reduction:
    """What is left of a working, and what was put in for the rest.

    exact  names that stand at an exact value, in order: {name: value in coherent SI}
    same   names of quantities that are another one unchanged: {name: symbol of the other}
    zero   names of quantities that are nought
    steps  steps that are left; that of the quantity asked for always is
    """

    def __init__(self, working: WorkedSteps):
        self.working = working
        self.exact = {} if working.sheet[working.name].number is None else self._exact()
        self.same: dict[str, sp.Symbol] = {}
        self.zero = {name for name in working.givens if working.si(name) == 0}
        self._forms: dict[str, sp.Expr] = {}
        self._left_out: set[str] = set()
        for step in working.steps:
            self._read(step)
        self.steps: tuple[WorkedStep, ...] = tuple(
            step for step in working.steps if not step.finds <= self._left_out
        )

    @property
    def equal(self) -> tuple[str, ...]:
        """Names of quantities whose steps are left out because they are another one, or nought."""
        return tuple(
            name for name in (*self.same, *sorted(self.zero))
            if name in self._left_out and name not in self.exact
        )  # fmt: skip

    @cached_property
    def ratios(self) -> tuple[sp.Expr, ...]:
        """Sines, cosines and tangents of exact angles that the working needs."""
        exact = {self._symbol(name) for name in self.exact}
        found: dict[sp.Expr, None] = {}
        for form in self._needed():
            for ratio in form.atoms(*_RATIOS):
                if ratio.args[0] in exact and self._value(ratio.args[0]).has(sp.acos, sp.asin):
                    found[ratio] = None
        return tuple(sorted(found, key=str))

    @property
    def exact_used(self) -> tuple[str, ...]:
        """Names at an exact value that the steps left would have quoted."""
        used = {symbol.name for form in self._needed() for symbol in form.free_symbols}
        return tuple(name for name in self.exact if name in used and name != self.working.name)

    def value(self, expression: sp.Expr) -> sp.Expr:
        """The exact value of an expression in what stands at one."""
        return expression.xreplace(self._put_in())

    def form(self, step: ClosedWorking) -> sp.Expr:
        """The form of a step, cut down."""
        return self._forms.get(step.unknown, step.form)

    def plain(self, step: WorkedStep) -> bool:
        """Whether it is a value taken as it is: outright, or the plain one of several bounds."""
        if not isinstance(step, AssumedWorking):
            return False
        return step.outright or self.plain_bound(step.unknown, step.assumption.value)

    def plain_bound(self, name: str, value: sp.Expr) -> bool:
        """Whether the value is a plain one, such as 25 mm, of which others are only bounds."""
        bounds = value.args if isinstance(value, sp.Max | sp.Min) else ()
        here = self.working.si(name) if bounds else 0.0
        return any(
            abs(one - here) <= _SAME * abs(here) for one in filter(None, map(self._size, bounds))
        )

    def _size(self, bound: sp.Expr) -> float | None:
        """A bound in coherent SI where it is a plain value, such as 25 mm."""
        constants = self.working.sheet.network.constants
        names = [symbol.name for symbol in bound.free_symbols]
        if any(name not in constants for name in names):
            return None
        return float(bound.evalf(subs={s: constants[s.name].si for s in bound.free_symbols}))

    def side(self, expression: sp.Expr) -> sp.Expr:
        """One side of an equation with equal quantities named alike."""
        return expression.xreplace({self._symbol(n): other for n, other in self.same.items()})

    def numerals(self, form: sp.Expr) -> dict[sp.Expr, sp.Expr]:
        """What in a form is shown by an exact number: {letter or ratio: number}."""
        exact = {self._symbol(name): value for name, value in self.exact.items()}
        ratios = {ratio: ratio.xreplace(exact) for ratio in form.atoms(*_RATIOS)}
        plain = {s: v for s, v in exact.items() if not v.has(sp.acos, sp.asin, sp.pi)}
        return {
            **{ratio: value for ratio, value in ratios.items() if not value.free_symbols},
            **{s: v for s, v in plain.items() if form.has(s)},
        }

    def _needed(self) -> Iterator[sp.Expr]:
        for step in self.working.steps:
            asked = self.working.name in step.finds
            if isinstance(step, ClosedWorking) and (asked or not step.finds & self.exact.keys()):
                yield step.form
            elif isinstance(step, TogetherWorking):
                yield from (inner.form for inner in step.follow)

    def _exact(self) -> dict[str, sp.Expr]:
        """Names that stand at an exact value, found along the plan."""
        sheet = self.working.sheet
        known: dict[str, sp.Expr] = {}
        for assumption in sheet.network.assumptions:
            value, quantity = assumption.value, assumption.quantity
            if quantity is not None and value.has(sp.acos, sp.asin, sp.atan):
                self._keep(known, quantity.name, value)
        if not known:
            return {}
        constants = {
            constant.name: exact_value(constant) for constant in sheet.network.constants.values()
        }
        for step in sheet.plan.steps_to(self.working.name):
            if not isinstance(step, ClosedStep) or not step.needs & known.keys():
                continue
            if step.needs <= known.keys() | constants.keys():
                for form in step.forms:
                    symbols = {s: {**constants, **known}[s.name] for s in form.free_symbols}
                    self._keep(known, step.unknown, sp.radsimp(form.xreplace(symbols)))
        return known

    def _keep(self, known: dict[str, sp.Expr], name: str, value: sp.Expr) -> None:
        number = self.working.sheet.si.get(name)
        unit = self.working.sheet.network.quantity(name).unit
        if number is None or unit not in _NUMBERS or value.free_symbols:
            return
        if abs(complex(value.evalf(20)) - number) <= _SAME:
            known.setdefault(name, value)

    def _read(self, step: WorkedStep) -> None:
        if isinstance(step, AssumedWorking):
            self._read_value(step.unknown, step.assumption.value)
        elif isinstance(step, TogetherWorking):
            for inner in step.follow:
                self._forms[inner.unknown] = self._reduced(inner.unknown, inner.form)
        elif step.unknown in self.exact and step.unknown != self.working.name:
            self._left_out.add(step.unknown)
        elif not step.finds & self.exact.keys():
            form = self._reduced(step.unknown, step.form)
            self._forms[step.unknown] = form
            self._read_value(step.unknown, form)
            if (form.is_Symbol or form == 0) and step.unknown != self.working.name:
                self._left_out.add(step.unknown)

    def _read_value(self, name: str, value: sp.Expr) -> None:
        number = self.working.sheet.si.get(name)
        if value.is_Symbol and not isinstance(self._thing(value), Constant):
            self.same[name] = self.same.get(value.name, value)
        elif number == 0 or value == 0:
            self.zero.add(name)

    def _put_in(self) -> dict[sp.Symbol, sp.Expr]:
        return {
            **{self._symbol(name): sp.Integer(0) for name in self.zero},
            **{self._symbol(name): other for name, other in self.same.items()},
            **{self._symbol(name): value for name, value in self.exact.items()},
        }

    def _reduced(self, name: str, form: sp.Expr) -> sp.Expr:
        """The form with all that put in, in the shortest of a few ways of writing it."""
        put_in = form.xreplace(self._put_in())
        if put_in == form or not self._agrees(name, put_in):
            return form
        return _shortest(put_in)

    def _agrees(self, name: str, form: sp.Expr) -> bool:
        """Whether it comes to the value on the sheet."""
        number = self.working.sheet.si.get(name)
        if number is None or form.has(sp.nan, sp.zoo, sp.oo):
            return False
        values = {symbol: self.working.si(symbol.name) for symbol in form.free_symbols}
        found = complex(form.evalf(subs=values)) if values else complex(form)
        size = max(abs(number), *map(abs, values.values()), 0.0) if number == 0 else abs(number)
        return bool(abs(found - number) <= _AGREES * size)

    def _value(self, symbol: sp.Symbol) -> sp.Expr:
        return self.exact[symbol.name]

    def _thing(self, symbol: sp.Symbol) -> object:
        return self.working.thing(symbol.name)

    def _symbol(self, name: str) -> sp.Symbol:
        return self.working.thing(name).symbol


@lru_cache(maxsize=512)
def _shortest(form: sp.Expr) -> sp.Expr:
    """The shortest of a few ways of writing a form. Kept: several workings have steps in common,
    and factoring takes a hundred times as long as all else that is done to a step."""
    ways = [form]
    if form.count_ops() <= _LONGEST and not form.has(sp.Max, sp.Min, sp.floor):
        ways += [sp.factor(form), sp.expand(form), sp.factor_terms(sp.expand(form))]
    return min(ways, key=lambda way: len(_LETTERS.text(way)))


_LETTERS = FormulaWriter(Plain(), lambda symbol: Piece("x"))
