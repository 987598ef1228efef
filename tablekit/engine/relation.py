"""Relations: one equation among quantities, with why it holds, while what, and from where."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.source import Source
from tablekit.engine.trouble import RelationError


def equal(left: sp.Expr, right: sp.Expr) -> sp.Eq:
    """The two are equal. As `sp.Eq`, but without its search for whether they always are, which
    takes longer than all the rest of a declaration."""
    return sp.Eq(left, right, evaluate=False)


@dataclass(frozen=True)
class Limit:
    """What must hold for a relation to be true.

    slack      an expression in coherent SI that must not be negative; its size is the margin
    words      the same in plain words: "the ray stays close to the axis"
    otherwise  "refuse": the design is outside what the relations can answer;
               "leave out": only the quantity this relation finds has no value
    """

    slack: sp.Expr
    words: str
    otherwise: Literal["refuse", "leave out"] = "refuse"


@dataclass(frozen=True)
class Check:
    """A published or independently worked value that the relation must reproduce.

    given and expected map names to texts with units, as printed in the source: a check passes
    within half a unit of the last digit printed.
    """

    given: Mapping[str, str]
    expected: Mapping[str, str]
    source: Source


@dataclass(frozen=True)
class Relation:
    """One equation among quantities.

    name      full words; unique in a network
    equation  sympy Eq in coherent SI
    meaning   one sentence: what it says
    why       one or two sentences: why it holds
    source    where it comes from
    limits    what it holds for
    inverse   hand-given rearrangements {quantity name: expression}, for equations such as a
              rounded-down count that have none in closed form
    checks    published values it reproduces
    """

    name: str
    equation: sp.Eq
    meaning: str
    why: str
    source: Source
    limits: tuple[Limit, ...] = ()
    inverse: Mapping[str, sp.Expr] = field(default_factory=dict)
    checks: tuple[Check, ...] = ()
    assumed: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        # sympy folds Eq(x, x) to a plain true, which would silently drop out of every plan.
        if not isinstance(self.equation, sp.Eq):
            raise RelationError(
                f"relation {self.name!r} is {self.equation}, not an equation", relation=self.name
            )

    def __hash__(self) -> int:
        return hash(self.name)

    @cached_property
    def symbols(self) -> tuple[str, ...]:
        """Names of the quantities and constants in the equation, in alphabetical order."""
        return tuple(sorted(s.name for s in self.equation.free_symbols))

    @cached_property
    def limit_symbols(self) -> tuple[str, ...]:
        """Names that the limits mention."""
        found = {s.name for limit in self.limits for s in limit.slack.free_symbols}
        return tuple(sorted(found))


@dataclass(frozen=True)
class Assumption(Relation):
    """What a quantity is taken to be when nothing given settles it.

    Built from the quantity and its assumed value (coherent SI, may refer to other quantities).
    first_to  names that, when given, make it the first to give way: who gives a mass means the
              density to follow, not the shape
    only      whether no other value holds, so that nobody is told to give one
    """

    quantity: Quantity | None = None
    first_to: frozenset[str] = frozenset()
    only: bool = False

    def __hash__(self) -> int:
        return hash(self.name)

    @property
    def value(self) -> sp.Expr:
        """The assumed value, coherent SI."""
        return self.equation.rhs


def assume(
    quantity: Quantity,
    value: sp.Expr | float,
    why: str,
    source: Source,
    meaning: str = "",
    *,
    first_to: Iterable[str] = (),
    only: bool = False,
) -> Assumption:
    """An assumption that `quantity` is `value` (coherent SI) while nothing given settles it.

    It is the first to give way when one of `first_to` is given. `only`: no other value holds."""
    assumption = Assumption(
        name=f"assumed {quantity.name}",
        equation=sp.Eq(quantity.symbol, sp.sympify(value, strict=True), evaluate=False),
        meaning=meaning or f"{quantity.name} is assumed",
        why=why,
        source=source,
        quantity=quantity,
        first_to=frozenset(first_to),
        only=only,
    )
    object.__setattr__(assumption, "assumed", True)
    return assumption


Verdict = Literal["pass", "caution", "fail"]


@dataclass(frozen=True)
class Requirement:
    """A question asked of a finished design: is this quantity where it should be?

    Inside `good` (low, high; None leaves a side open) it passes, inside `tolerable` it is a
    caution, elsewhere it fails. All in the quantity's reporting unit. `too_low` and `too_high`
    say what it means and what to change. It is asked only when `when_given` is given, and not when
    `unless_given` is: of two that ask alike, one goes by a limit that is given.
    """

    name: str
    quantity: str
    source: Source
    good: tuple[float | None, float | None]
    tolerable: tuple[float | None, float | None] = (None, None)
    too_low: str = ""
    too_high: str = ""
    fine: str = ""
    when_given: str = ""
    unless_given: str = ""

    def asked(self, givens: Collection[str]) -> bool:
        """Whether it is asked of a design with these givens."""
        return (not self.when_given or self.when_given in givens) and (
            self.unless_given not in givens
        )

    def at(self, number: float) -> Requirement:
        """The requirement that holds for this value, in the quantity's reporting unit: itself,
        unless a child grades what it asks by the value itself."""
        return self
