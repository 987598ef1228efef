"""The steps of a working: what was found or assumed, and from what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation


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
