"""What a network declares: quantities, and the relations that hold among them.

A relation is let in only if it balances in its dimensions and says something that the others do
not. The latter is told from names alone: the sets of statements that can hold independently of
each other form a transversal matroid, and adding statements greedily, firmest first, keeping each
that still finds an unknown of its own, gives the best such set. That is also how assumptions give
way to givens. What is left is split by the Dulmage-Mendelsohn decomposition into the part that
stays free and the part that is determined, and the latter by strongly connected components into
blocks in order of solution.

A. L. Dulmage, N. S. Mendelsohn, Coverings of bipartite graphs, Canad. J. Math. 10 (1958)
(from memory).
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property, reduce

import sympy as sp

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.rearrange import rearrange
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.engine.trouble import RelationError, UnknownName
from tablekit.engine.unit_table import BASE_UNITS, KINDS, PLAIN, Dimension
from tablekit.engine.wording import Wording

# -- the declarations of a network -----------------------------------------------------------------


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


# -- which statement finds which unknown -----------------------------------------------------------


@dataclass
class Matching:
    """Statements (by key) and, for each, the one unknown that it is to find."""

    unknowns_of: dict[str, frozenset[str]] = field(default_factory=dict)
    found_by: dict[str, str] = field(default_factory=dict)  # unknown -> statement

    def copy(self) -> Matching:
        """An independent copy: the network keeps one with its relations matched for every plan."""
        return Matching(dict(self.unknowns_of), dict(self.found_by))

    def would_add(self, unknowns: Iterable[str]) -> bool:
        """Whether a statement about `unknowns` would say anything new."""
        return self._augment(frozenset(unknowns), commit_as=None)

    def add(self, statement: str, unknowns: Iterable[str]) -> bool:
        """Add a statement if it says something new; tells whether it did."""
        wanted = frozenset(unknowns)
        if not self._augment(wanted, commit_as=statement):
            return False
        self.unknowns_of[statement] = wanted
        return True

    def _augment(self, wanted: frozenset[str], commit_as: str | None) -> bool:
        """Breadth-first search for an alternating path from `wanted` to an unmatched unknown."""
        came_from: dict[str, str | None] = {name: None for name in sorted(wanted)}
        queue = list(came_from)
        for name in queue:  # grows while it is walked
            owner = self.found_by.get(name)
            if owner is None:
                if commit_as is not None:
                    self._commit(name, came_from, commit_as)
                return True
            for other in sorted(self.unknowns_of[owner]):
                if other not in came_from:
                    came_from[other] = name
                    queue.append(other)
        return False

    def _commit(self, end: str, came_from: dict[str, str | None], statement: str) -> None:
        name = end
        while (previous := came_from[name]) is not None:
            self.found_by[name] = self.found_by[previous]
            name = previous
        self.found_by[name] = statement

    def free(self, unknowns: Iterable[str]) -> frozenset[str]:
        """The unknowns that nothing pins down: those reached from an unmatched one."""
        queue = [name for name in unknowns if name not in self.found_by]
        reached = set(queue)
        uses: dict[str, list[str]] = {}
        for statement, names in self.unknowns_of.items():
            for name in names:
                uses.setdefault(name, []).append(statement)
        found = {statement: name for name, statement in self.found_by.items()}
        for name in queue:  # grows while it is walked
            for statement in uses.get(name, ()):
                matched = found[statement]
                if matched not in reached:
                    reached.add(matched)
                    queue.append(matched)
        return frozenset(reached)

    def blocks(self, free: frozenset[str]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
        """The determined part, in order of solution: (statements, unknowns) of each block."""
        import networkx as nx

        graph = nx.DiGraph()
        statements = {s: u for u, s in self.found_by.items() if u not in free}
        # Sorted, so that the same set of givens always gives the same plan.
        graph.add_nodes_from(sorted(statements))
        for statement in sorted(statements):
            for name in sorted(self.unknowns_of[statement]):
                owner = self.found_by[name]
                if owner != statement:
                    graph.add_edge(owner, statement)
        condensed = nx.condensation(graph)
        for node in nx.lexicographical_topological_sort(
            condensed, key=lambda n: min(condensed.nodes[n]["members"])
        ):
            members = sorted(condensed.nodes[node]["members"])
            yield tuple(members), tuple(sorted(statements[s] for s in members))


# -- dimensional analysis --------------------------------------------------------------------------

_SAME_KIND = (sp.Add, sp.Min, sp.Max)
_KEEPS_KIND = (sp.Abs,)


def describe(exponents: Sequence[int | Fraction]) -> str:
    """A dimension in words: "a length", "a moment or an energy", or its base units, "kg^2 m^-1".

    exponents   of the seven base quantities, in the order of `Dimension`
    """
    dimension = Dimension(*exponents)
    if dimension == PLAIN:
        return "a plain number"
    names = [kind.noun for kind in KINDS.values() if kind.dimension == dimension]
    if names:
        return " or ".join(names)
    return " ".join(
        f"{unit}^{power}" for unit, power in zip(BASE_UNITS, dimension, strict=True) if power
    )


def dimension_of(expression: sp.Expr, known: Mapping[str, Dimension]) -> Dimension | None:
    """The dimension of `expression`, its exponents whole or fractions.

    known maps symbol names to dimensions. Returns None for a plain zero, which goes with
    anything. Raises ValueError, in words, where the parts do not go together.
    """
    if expression.is_Symbol:
        if expression.name not in known:
            raise ValueError(f"{expression.name} is not a quantity of this network")
        return known[expression.name]
    if expression.is_number:
        return None if expression.is_zero else PLAIN
    if isinstance(expression, _SAME_KIND):
        return _common([(part, dimension_of(part, known)) for part in expression.args])
    if isinstance(expression, sp.Mul):
        parts = (dimension_of(part, known) or PLAIN for part in expression.args)
        return reduce(Dimension.times, parts)
    if isinstance(expression, sp.Pow):
        return _power(expression, known)
    inner = [(part, dimension_of(part, known)) for part in expression.args]
    if isinstance(expression, _KEEPS_KIND):
        return inner[0][1]
    for part, found in inner:
        if (found or PLAIN) != PLAIN:
            raise ValueError(
                f"{type(expression).__name__}({part}) is taken of {describe(found or PLAIN)}"
            )
    return PLAIN


def _power(expression: sp.Pow, known: Mapping[str, Dimension]) -> Dimension:
    base, exponent = expression.args
    if (dimension_of(exponent, known) or PLAIN) != PLAIN:
        raise ValueError(f"the exponent {exponent} is not a plain number")
    found = dimension_of(base, known) or PLAIN
    if found == PLAIN:
        return PLAIN
    if not exponent.is_Rational:
        raise ValueError(f"{base} has {describe(found)} raised to {exponent}")
    return found.power(Fraction(int(exponent.p), int(exponent.q)))


def _common(parts: list[tuple[sp.Expr, Dimension | None]]) -> Dimension | None:
    first: tuple[sp.Expr, Dimension] | None = None
    for part, found in parts:
        if found is None:
            continue
        if first is None:
            first = (part, found)
        elif found != first[1]:
            raise ValueError(f"{first[0]} is {describe(first[1])} but {part} is {describe(found)}")
    return first[1] if first else None


def check_equation(name: str, equation: sp.Eq, known: Mapping[str, Dimension]) -> None:
    """Raises RelationError, naming the relation, when the two sides differ in dimension."""
    try:
        _common([(side, dimension_of(side, known)) for side in (equation.lhs, equation.rhs)])
    except ValueError as reason:
        raise RelationError(
            f"relation {name!r} does not balance: {reason} (in {equation.lhs} = {equation.rhs})",
            relation=name,
        ) from None
