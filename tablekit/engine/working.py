"""Working: how a value was found, step by step, as a teacher would write it on the board."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import sympy as sp

from tablekit.engine.plan import ClosedStep, Step, TogetherStep
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation
from tablekit.engine.units import ShopStyle, shop_text

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


@dataclass(frozen=True)
class ClosedWorking:
    """One unknown from one relation. Expressions are in coherent SI symbols."""

    unknown: str
    relation: Relation
    form: sp.Expr
    kind: str = field(default="closed", init=False)

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
    kind: str = field(default="assumed", init=False)

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
    kind: str = field(default="together", init=False)

    @property
    def finds(self) -> frozenset[str]:
        """What is known after it."""
        return frozenset((*self.tried, *(step.unknown for step in self.follow)))


WorkedStep = ClosedWorking | AssumedWorking | TogetherWorking


class Working:
    """The working of one quantity of a sheet.

    style decides the units shown; by default those of the sheet. With `brief` a notebook shows only
    the formulas. Rounding comes last: numbers put in are shown to six figures and carried in full.
    """

    def __init__(
        self, sheet: Sheet, name: str, style: ShopStyle | None = None, brief: bool = False
    ):
        self.sheet, self.name, self.brief = sheet, name, brief
        self.quantity: Quantity = sheet.network.quantity(name)
        self.style = style or sheet.shop_style

    @cached_property
    def givens(self) -> tuple[str, ...]:
        """The givens that it rests on."""
        return self.sheet.plan.givens_behind(self.name)

    @cached_property
    def steps(self) -> tuple[WorkedStep, ...]:
        """Every step that leads to it, in order; none for a given."""
        if self.name in self.sheet.plan.givens:
            return ()
        return tuple(self._worked(step) for step in self.sheet.plan.steps_to(self.name))

    @cached_property
    def relations_used(self) -> tuple[Relation, ...]:
        """Every relation that the steps rest on."""
        return tuple(r for s in self.sheet.plan.steps_to(self.name) for r in s.relations)

    def _worked(self, step: Step) -> WorkedStep:
        if isinstance(step, TogetherStep):
            left_over = self.sheet.residuals
            return TogetherWorking(
                step.tried,
                tuple(self._closed(inner) for inner in step.follow),
                step.closing,
                step.relations,
                {relation.name: left_over[relation.name] for relation in step.relations},
                {n: self.sheet.alternatives[n] for n in step.tried if n in self.sheet.alternatives},
            )
        assumption = self.sheet.plan.assumed_directly(step.unknown)
        if assumption is not None:
            waits_for = step.needs & set(self.sheet.plan.found)
            return AssumedWorking(step.unknown, assumption, outright=not waits_for)
        return self._closed(step)

    def _closed(self, step: ClosedStep) -> ClosedWorking:
        return ClosedWorking(step.unknown, step.relation, self._branch_taken(step))

    def _branch_taken(self, step: ClosedStep) -> sp.Expr:
        """The branch whose value is the one on the sheet."""
        if len(step.forms) == 1:
            return step.forms[0]
        wanted = self.sheet.si[step.unknown]

        def distance(form: sp.Expr) -> float:
            put_in = {symbol: self.si(symbol.name) for symbol in form.free_symbols}
            found = complex(form.evalf(subs=put_in))
            return abs(found - wanted) if math.isfinite(found.real) else math.inf

        return min(step.forms, key=distance)

    def thing(self, name: str) -> Quantity | Constant:
        """The quantity or constant of that name."""
        network = self.sheet.network
        return network.constants[name] if name in network.constants else network.quantity(name)

    def si(self, name: str) -> float:
        """Its value in coherent SI."""
        thing = self.thing(name)
        return thing.si if isinstance(thing, Constant) else self.sheet.si[name]

    @cached_property
    def answer(self) -> str:
        """The value rounded, with the rounding error."""
        if self.sheet[self.name].number is None or self.quantity.whole:
            return self.sheet.shop(self.name)
        number = self.sheet.number(self.name)
        return shop_text(number, self.quantity.unit, self.style, with_error=True)

    def text(self, brief: bool = False) -> str:
        """As plain text for a terminal."""
        from tablekit.engine.board import TextBoard

        return TextBoard(self).write(brief)

    def markdown(self, brief: bool = False) -> str:
        """As Markdown with TeX formulas, for a notebook."""
        from tablekit.engine.board import MarkdownBoard

        return MarkdownBoard(self).write(brief)

    def latex(self, brief: bool = False) -> str:
        """As LaTeX, to be put into a document that loads amsmath."""
        from tablekit.engine.board import LatexBoard

        return LatexBoard(self).write(brief)

    def html(self, brief: bool = False) -> str:
        """As HTML with MathML, which needs no script."""
        from tablekit.engine.board import HtmlBoard

        return HtmlBoard(self).write(brief)

    def _repr_markdown_(self) -> str:
        return self.markdown(self.brief)

    def __repr__(self) -> str:
        return self.text(self.brief)
