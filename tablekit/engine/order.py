"""The order of solution: steps, each of which finds one quantity or a few together."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

import sympy as sp

from tablekit.engine.declarations import Declarations, Matching
from tablekit.engine.rearrange import must_be_put_back
from tablekit.engine.relation import Assumption, Relation


@dataclass(frozen=True)
class ClosedStep:
    """One unknown found from one relation by one of `forms`; the range chooses between several."""

    unknown: str
    relation: Relation
    forms: tuple[sp.Expr, ...]

    kind = "closed"

    @property
    def unknowns(self) -> tuple[str, ...]:
        """The one unknown, in the shape a block has it."""
        return (self.unknown,)

    @property
    def relations(self) -> tuple[Relation, ...]:
        """The one relation, in the shape a block has it."""
        return (self.relation,)

    @property
    def must_be_put_back(self) -> bool:
        """Whether what is found must be put back into the relation to be sure of it."""
        symbol = next(s for s in self.relation.equation.free_symbols if s.name == self.unknown)
        return must_be_put_back(self.relation.equation, symbol)

    @property
    def needs(self) -> frozenset[str]:
        """Names whose values the step uses."""
        return frozenset(self.relation.symbols) - {self.unknown}


@dataclass(frozen=True)
class TogetherStep:
    """Several relations that must hold at once.

    Try values for `tried`; everything else in the block then follows one relation at a time
    (`follow`), and as many relations as values were tried are left over and must close.
    """

    unknowns: tuple[str, ...]
    relations: tuple[Relation, ...]
    tried: tuple[str, ...]
    follow: tuple[ClosedStep, ...]
    closing: tuple[Relation, ...]

    kind = "together"

    @property
    def needs(self) -> frozenset[str]:
        """Names from outside the block whose values it uses."""
        used = {name for relation in self.relations for name in relation.symbols}
        return frozenset(used - set(self.unknowns))


Step = ClosedStep | TogetherStep


@dataclass(frozen=True, eq=False)
class Order:
    """An order of solution for one set of givens.

    givens      names whose values drive the plan
    redundant   names also given, though the others settle them: they are compared, not used
    assumptions those in force; `dropped` gave way to the givens
    steps       in order of solution
    free        names that nothing settles
    """

    network: Declarations
    givens: tuple[str, ...]
    redundant: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    dropped: tuple[Assumption, ...]
    steps: tuple[Step, ...]
    free: tuple[str, ...]
    matching: Matching = field(repr=False)
    _memo: dict[str, tuple[str, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def found(self) -> tuple[str, ...]:
        """Names the plan finds, in order of solution."""
        return tuple(name for step in self.steps for name in step.unknowns)

    @cached_property
    def assumed(self) -> frozenset[str]:
        """Names whose value is what an assumption in force says it is."""
        return frozenset(a.quantity.name for a in self.assumptions if a.quantity)

    @cached_property
    def step_of(self) -> dict[str, Step]:
        """The step that finds each name."""
        return {name: step for step in self.steps for name in step.unknowns}

    def steps_to(self, *names: str, known: Collection[str] = frozenset[str]()) -> tuple[Step, ...]:
        """The steps that lead to these, in order, and no others; none for what is `known`."""
        wanted, chosen = {*names}, []
        for step in reversed(self.steps):
            if wanted & set(step.unknowns):
                chosen.append(step)
                wanted |= step.needs.difference(known)
        return tuple(reversed(chosen))

    def givens_behind(self, name: str) -> tuple[str, ...]:
        """The givens that `name` rests on, in the network's order."""
        if name not in self._memo:
            used = {name}.union(*(step.needs for step in self.steps_to(name)))
            self._memo[name] = tuple(given for given in self.givens if given in used)
        return self._memo[name]

    def assumed_directly(self, name: str) -> Assumption | None:
        """The assumption that says what `name` is, where it is simply assumed."""
        step = self.step_of.get(name)
        assumption = self.network.assumption_of(name)
        simply = isinstance(step, ClosedStep) and step.relation is assumption
        return assumption if simply else None


class Compiling(Protocol):
    """What the parts of a compiled order of solution need of the whole."""

    @property
    def plan(self) -> Order:
        """What is compiled."""

    @property
    def symbols(self) -> Mapping[str, sp.Symbol]:
        """The symbol of each quantity."""

    @property
    def constants(self) -> Mapping[sp.Symbol, float]:
        """The symbols that are numbers."""

    @property
    def branching(self) -> Mapping[str, ClosedStep]:
        """The steps that choose between several forms."""

    def range_of(self, name: str) -> tuple[float, float]:
        """The sensible range of a quantity in coherent SI."""

    def preferred(self, name: str) -> float:
        """The value to stay near when several are possible, coherent SI."""
