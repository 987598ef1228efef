"""One relation on its own, outside a network: an unknown from numbers for all the rest.

Plans that try thousands of layouts or places take their formulas from the declared relations by
this door; what belongs to a design is found in its sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import Any

import sympy as sp

from tablekit.engine.lambdas import compile_vector
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.rearrange import Interval, rearrange
from tablekit.engine.relation import Limit, Relation

__all__ = ["Compiled", "slack_of", "solve_for"]


class Compiled:
    """An expression as a function of numbers, made when it is first wanted.

    Numbers are coherent SI, or in any units in which the formula reads the same.
    """

    def __init__(
        self,
        make: Callable[[], sp.Expr],
        given: Iterable[Quantity],
        constants: Iterable[Constant],
        arrays: bool,
    ):
        self._make, self._given, self._arrays = make, tuple(given), arrays
        self._constants = {one.symbol: one.si for one in constants}

    @cached_property
    def _form(self) -> sp.Expr:
        return self._make()

    @cached_property
    def _symbols(self) -> list[sp.Symbol]:
        if self._given:
            return [quantity.symbol for quantity in self._given]
        return sorted(self._form.free_symbols - self._constants.keys(), key=str)

    @cached_property
    def _function(self) -> Callable[..., tuple[Any, ...]]:
        return compile_vector(
            self._symbols, [self._form], arrays=self._arrays, constants=self._constants
        )

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of the quantities that it takes, in order: those given, else alphabetically."""
        return tuple(symbol.name for symbol in self._symbols)

    def __call__(self, *numbers: Any) -> Any:
        """Its value for numbers in the order of `names`; arrays elementwise where it was made for
        them."""
        return self._function(*numbers)[0]

    def of(self, known: Mapping[str, Any]) -> Any:
        """Its value for numbers by name. Raises KeyError where one is missing."""
        return self(*(known[name] for name in self.names))


def solve_for(
    relation: Relation,
    unknown: Quantity,
    *given: Quantity,
    within: Interval | None = None,
    constants: Iterable[Constant] = (),
    arrays: bool = False,
) -> Compiled:
    """`unknown` as a function of the other quantities of a relation.

    given      the others, in the order in which their numbers come; without them, by name
    within     where the unknown lies, coherent SI, for a relation that may have several roots: of
               those that can lie there the first is taken, the greater of two square roots
    constants  those of the relation that are numbers of nature
    arrays     whether the numbers may be arrays

    The limits of the relation are not looked at: see `slack_of`. Raises ValueError, when it is
    first called, where the relation has no single closed form for the unknown.
    """

    def form() -> sp.Expr:
        if unknown.name in relation.inverse:
            return relation.inverse[unknown.name]
        forms = rearrange(relation.equation, unknown.symbol, within or unknown.si_range) or ()
        if len(forms) != 1 and not (forms and within):
            raise ValueError(f"{relation.name!r} has no single form for {unknown.name}: {forms}")
        return forms[0]

    return Compiled(form, given, constants, arrays)


def slack_of(limit: Limit, *, constants: Iterable[Constant] = (), arrays: bool = False) -> Compiled:
    """How much of a limit is left, as a function; negative where it does not hold."""
    return Compiled(lambda: limit.slack, (), constants, arrays)
