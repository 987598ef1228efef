"""What a network declares: quantities, and the relations that hold among them."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from functools import cached_property

import sympy as sp

from tablekit.engine.dimensions import check_equation, dimension_of
from tablekit.engine.quantity import Constant, Dimension, Quantity
from tablekit.engine.rearrange import rearrange
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.engine.structure import Matching
from tablekit.engine.trouble import RelationError, UnknownName
from tablekit.engine.wording import Wording


class Declarations:
    """Quantities and relations that hold among them.

    quantities    in the order in which they are read
    relations     each one independent equation
    assumptions   firmest first: the last gives way first
    constants     numbers that nobody may change
    requirements  questions asked of a finished design
    wishes        names that are usually given, used to order suggestions
    kind, options what the network describes, e.g. "table" and which crossing
    wording       what messages call a design, its givens and what is made to a size

    Raises RelationError, naming the relation, when one is declared twice, mentions an unknown
    symbol, does not balance in its dimensions, or says nothing that the others do not.
    """

    def __init__(
        self,
        name: str,
        quantities: Sequence[Quantity],
        relations: Sequence[Relation],
        assumptions: Sequence[Assumption] = (),
        constants: Sequence[Constant] = (),
        requirements: Sequence[Requirement] = (),
        *,
        wishes: Sequence[str] = (),
        kind: str = "",
        options: Mapping[str, str] | None = None,
        wording: Wording | None = None,
    ):
        self.name, self.kind, self.options = name, kind or name, dict(options or {})
        self.wording = wording or Wording()
        self.quantities = {q.name: q for q in quantities}
        self.constants = {c.name: c for c in constants}
        self.relations = tuple(relations)
        self.assumptions = tuple(assumptions)
        self.requirements = tuple(requirements)
        self.wishes = tuple(wishes)
        self.plans: dict[tuple[object, ...], object] = {}
        self._forms: dict[tuple[str, str], tuple[sp.Expr, ...] | None] = {}
        self._check(quantities)

    def _check(self, quantities: Sequence[Quantity]) -> None:
        if len(self.quantities) < len(quantities):
            raise RelationError(f"network {self.name!r} has two quantities of one name")
        if twice := sorted(self.quantities.keys() & self.constants.keys()):
            raise RelationError(
                f"network {self.name!r} has a quantity and a constant of one name: {twice[0]}"
            )
        statements = [*self.relations, *self.assumptions]
        if len({s.name for s in statements}) < len(statements):
            raise RelationError(f"network {self.name!r} has two relations of one name")
        for statement in statements:
            # An assumed constant is a bare number in the coherent unit of its own quantity.
            if not (isinstance(statement, Assumption) and statement.value.is_number):
                check_equation(statement.name, statement.equation, self.dimensions)
            for limit in statement.limits:
                self._check_limit(statement, limit.slack)
        asked = [name for r in self.requirements for name in (r.quantity, *r.named)]
        for name in (*self.wishes, *asked):
            self.quantity(name)
        _ = self.matched

    def _check_limit(self, relation: Relation, slack: sp.Expr) -> None:
        try:
            dimension_of(slack, self.dimensions)
        except ValueError as reason:
            raise RelationError(
                f"a limit of relation {relation.name!r} does not balance: {reason}",
                relation=relation.name,
            ) from None

    @cached_property
    def dimensions(self) -> dict[str, Dimension]:
        """Dimension of every quantity and constant, by name."""
        both: list[Quantity | Constant] = [*self.quantities.values(), *self.constants.values()]
        return {item.name: item.dimension for item in both}

    @cached_property
    def matched(self) -> Matching:
        """The relations, each matched to an unknown of its own; copied by every plan."""
        matching = Matching()
        for relation in self.relations:
            if not matching.add(relation.name, self.unknowns_in(relation)):
                raise RelationError(
                    f"relation {relation.name!r} says nothing that the others do not",
                    relation=relation.name,
                )
        return matching

    @cached_property
    def _statements(self) -> dict[str, Relation]:
        return {s.name: s for s in (*self.relations, *self.assumptions)}

    def statement(self, name: str) -> Relation:
        """The relation or assumption of that name. Raises KeyError."""
        return self._statements[name]

    def assumption_of(self, name: str) -> Assumption | None:
        """What would be assumed of a quantity, if anything."""
        return self._assumptions.get(name)

    @cached_property
    def _assumptions(self) -> dict[str, Assumption]:
        return {a.quantity.name: a for a in self.assumptions if a.quantity is not None}

    def quantity(self, name: str) -> Quantity:
        """The quantity of that name. Raises UnknownName with the nearest known one."""
        try:
            return self.quantities[name]
        except KeyError:
            near = difflib.get_close_matches(name, self.quantities, n=1, cutoff=0.6)
            hint = f": did you mean {near[0]}?" if near else ""
            if name in self.wording.renamed:
                near = [self.wording.renamed[name]]
                hint = f": it is now called {near[0]}"
            raise UnknownName(
                f"{name} is not a quantity of this {self.wording.thing}{hint}",
                name=name,
                nearest=near[0] if near else None,
            ) from None

    def unknowns_in(self, relation: Relation) -> tuple[str, ...]:
        """The quantities a relation mentions, constants left out."""
        return tuple(name for name in relation.symbols if name not in self.constants)

    def rearranged(self, relation: Relation, unknown: str) -> tuple[sp.Expr, ...] | None:
        """Closed forms of `relation` for `unknown`, kept once found; None if there are none."""
        key = (relation.name, unknown)
        if key not in self._forms:
            quantity = self.quantity(unknown)
            if unknown in relation.inverse:
                self._forms[key] = (relation.inverse[unknown],)
            else:
                within = (quantity.to_si(quantity.low), quantity.to_si(quantity.high))
                self._forms[key] = rearrange(relation.equation, quantity.symbol, within)
        return self._forms[key]
