"""Relations: one equation among quantities, with why it holds, while what, and from where."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import sympy as sp

from tablekit.engine.quantity import Quantity, Source, Term, common_practice
from tablekit.engine.shop import ShopStyle
from tablekit.engine.trouble import RelationError


def equal(left: sp.Expr | Term, right: sp.Expr | Term | float) -> sp.Eq:
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

    def __post_init__(self) -> None:
        object.__setattr__(self, "slack", sp.sympify(self.slack, strict=True))


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
        inverse = {name: sp.sympify(form, strict=True) for name, form in self.inverse.items()}
        object.__setattr__(self, "inverse", inverse)

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
    usual     lowest and highest value that is usual, in the quantity's reporting unit
    usual_share   the same as multiples of the assumed value, for an assumption that is a rule in
              other quantities; not both. With neither, all of the quantity's range is usual
    usual_source  where the band comes from
    stated_by names that say the same in other words: where the value follows from one of them,
              the quantity counts as given, not as an assumption that gave way
    says      how a sentence says what the quantity is, `{}` in place of the value; by default
              the name, "is" and the value

    The band matters only where the assumption gives way to givens for other quantities. A value
    given for the quantity itself is limited by its range alone.

    Raises RelationError for a band that is empty, leaves the quantity's range or does not contain
    what is assumed, and for a share of a plain number.
    """

    quantity: Quantity | None = None
    first_to: frozenset[str] = frozenset()
    only: bool = False
    usual: tuple[float, float] | None = None
    usual_share: tuple[float, float] | None = None
    usual_source: Source = field(default_factory=common_practice)
    stated_by: frozenset[str] = frozenset()
    says: str = ""

    def __post_init__(self) -> None:
        super().__post_init__()
        object.__setattr__(self, "assumed", True)
        if fault := self._fault_in_band():
            raise RelationError(f"{self.name!r}: {fault}", relation=self.name)

    def __hash__(self) -> int:
        return hash(self.name)

    @property
    def value(self) -> sp.Expr:
        """The assumed value, coherent SI."""
        return self.equation.rhs

    def _fault_in_band(self) -> str:
        """What is wrong with the band as declared; '' where nothing is."""
        if self.usual is not None and self.usual_share is not None:
            return "usual and usual_share are both set; set one"
        if self.only and (self.usual or self.usual_share):
            return "no other value holds, so there is no band"
        if self.usual_share is not None:
            low, high = self.usual_share
            if self.value.is_number:
                return "usual_share goes with a rule; give a plain number its usual values"
            return "" if 0 <= low <= 1 <= high else f"usual_share {low:g} to {high:g} is without 1"
        if self.usual is None:
            return ""
        quantity, (low, high) = self.quantity, self.usual
        assert quantity is not None
        if not quantity.low <= low < high <= quantity.high:
            return f"usual {low:g} to {high:g} is empty or leaves the range of {quantity.name}"
        if not self.value.is_number:
            return "usual goes with a plain number; give a rule its usual_share"
        assumed = quantity.from_si(float(self.value))
        slack = 1e-9 * max(abs(low), abs(high))
        if not low - slack <= assumed <= high + slack:
            return f"usual {low:g} to {high:g} is without the {assumed:g} that is assumed"
        return ""

    def band(self, assumed: float) -> tuple[float, float]:
        """Lowest and highest usual value, coherent SI.

        assumed  what would be assumed in the design at hand, coherent SI
        """
        assert self.quantity is not None
        if self.only:
            return assumed, assumed
        if self.usual_share is not None:
            low, high = sorted(share * assumed for share in self.usual_share)
            return low, high
        low, high = self.usual or (self.quantity.low, self.quantity.high)
        return self.quantity.to_si(low), self.quantity.to_si(high)


def assume(
    quantity: Quantity,
    value: sp.Expr | float,
    why: str,
    source: Source,
    meaning: str = "",
    *,
    first_to: Iterable[str] = (),
    only: bool = False,
    usual: tuple[float, float] | None = None,
    usual_share: tuple[float, float] | None = None,
    usual_source: Source | None = None,
    stated_by: Iterable[str] = (),
    says: str = "",
) -> Assumption:
    """An assumption that `quantity` is `value` (coherent SI) while nothing given settles it.

    The keywords are the fields of `Assumption`. Raises RelationError as that does."""
    return Assumption(
        name=f"assumed {quantity.name}",
        equation=sp.Eq(quantity.symbol, sp.sympify(value, strict=True), evaluate=False),
        meaning=meaning or f"{quantity.name} is assumed",
        why=why,
        source=source,
        quantity=quantity,
        first_to=frozenset(first_to),
        only=only,
        usual=usual,
        usual_share=usual_share,
        usual_source=usual_source or common_practice(),
        stated_by=frozenset(stated_by),
        says=says,
    )


Verdict = Literal["pass", "caution", "fail"]
Sense = Literal["at least", "at most", "between", ""]
_WORDS = ("too_low", "far_too_low", "too_high", "mend_low", "mend_high", "care", "fine")
_NAMED = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True)
class Requirement:
    """A question asked of a finished design: is this quantity where it should be?

    Inside `good` (low, high; None leaves a side open) it passes, inside `tolerable` it is a
    caution, elsewhere it fails. All in the quantity's reporting unit. `too_low` and `too_high`
    say what it means, `far_too_low` what it means where it fails if that is another thing,
    `mend_low` and `mend_high` what to change, and `care` what to mind until then; a quantity's
    name in braces there becomes its value, as it is shown. It is asked only when `when_given` is
    given, and not when `unless_given` is: of two that ask alike, one goes by a limit that is
    given. `id` is what code knows it by, `name` what a person reads.
    """

    id: str
    name: str
    quantity: str
    source: Source
    good: tuple[float | None, float | None]
    tolerable: tuple[float | None, float | None] = (None, None)
    too_low: str = ""
    far_too_low: str = ""
    too_high: str = ""
    mend_low: str = ""
    mend_high: str = ""
    care: str = ""
    fine: str = ""
    when_given: str = ""
    unless_given: str = ""

    def asked(self, givens: Collection[str]) -> bool:
        """Whether it is asked of a design with these givens."""
        return (not self.when_given or self.when_given in givens) and (
            self.unless_given not in givens
        )

    def filled(self, text_of: Callable[[str], str]) -> Requirement:
        """The same, with the values of the quantities that its words name in braces.

        text_of  the value of a quantity, as text, by its name
        """
        if not self.named:
            return self
        words = {
            field: _NAMED.sub(lambda found: text_of(found[1]), getattr(self, field))
            for field in _WORDS
        }
        return replace(self, **words)  # type: ignore[arg-type]

    @property
    def named(self) -> tuple[str, ...]:
        """The quantities that its words name in braces."""
        return tuple(_NAMED.findall(" ".join(getattr(self, field) for field in _WORDS)))

    def means(self, end: int, fails: bool) -> str:
        """What it means to be past the lower limit (`end` 0) or the upper one (1)."""
        if end:
            return self.too_high
        return self.far_too_low if fails and self.far_too_low else self.too_low

    @property
    def said_low(self) -> str:
        """All that is said of a value below the good ones."""
        return " ".join(filter(None, (self.too_low, self.mend_low, self.care)))

    @property
    def said_high(self) -> str:
        """All that is said of a value above the good ones."""
        return " ".join(filter(None, (self.too_high, self.mend_high, self.care)))

    @property
    def sense(self) -> Sense:
        """On which side of its limits the good values lie."""
        low, high = self.good
        if low is None:
            return "at most" if high is not None else ""
        return "at least" if high is None else "between"

    def at(self, number: float, style: ShopStyle | None = None) -> Requirement:
        """The requirement that holds for this value, in the quantity's reporting unit: itself,
        unless a child grades what it asks by the value itself.

        style  how a child writes the sizes that it names
        """
        return self
