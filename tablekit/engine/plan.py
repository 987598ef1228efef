"""The plan: for one set of givens, what to solve and in which order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, islice

from tablekit.engine.declarations import Declarations, Matching
from tablekit.engine.order import ClosedStep, Order, Step, TogetherStep
from tablekit.engine.program import Program
from tablekit.engine.relation import Assumption, Relation


class Plan(Order):
    """An order of solution, compiled once and used for every value."""

    @cached_property
    def program(self) -> Program:
        """The compiled plan."""
        return Program(self)


@dataclass(frozen=True)
class Roles:
    """What drives a plan, told from names alone; the fields are those of `Plan`."""

    matching: Matching
    givens: list[str] = field(default_factory=list)
    redundant: list[str] = field(default_factory=list)
    in_force: list[Assumption] = field(default_factory=list)
    dropped: list[Assumption] = field(default_factory=list)


def by_firmness(network: Declarations, wanted: frozenset[str]) -> list[Assumption]:
    """The assumptions of a network, firmest first; those that a given calls into question last."""
    return sorted(network.assumptions, key=lambda a: bool(a.first_to & wanted))


def assign_roles(
    network: Declarations,
    wanted: frozenset[str],
    without: frozenset[str] = frozenset(),
    *,
    confirming: frozenset[str] = frozenset(),
    turned: bool = False,
) -> Roles:
    """Givens first, then the assumptions, firmest first, as far as each says something new.

    without     quantities whose assumption is not to be made
    confirming  givens that come after the assumptions, so that none gives way to them
    turned      whether an assumption may, as a last resort, find a quantity other than its own"""
    roles = Roles(network.matched.copy())
    matching = roles.matching

    def give(names: Iterable[str]) -> None:
        for name in names:
            independent = matching.add(f"given {name}", (name,))
            (roles.givens if independent else roles.redundant).append(name)

    give(n for n in network.quantities if n in wanted and n not in confirming)
    for assumption in by_firmness(network, wanted):
        assert assumption.quantity is not None
        name = assumption.quantity.name
        # Ask for the quantity alone: an assumption may mention others (half the section), and
        # must not be turned round to find those from a value that was given for its own.
        undecided = name not in without and matching.would_add((name,))
        if undecided and matching.add(assumption.name, network.unknowns_in(assumption)):
            roles.in_force.append(assumption)
        else:
            roles.dropped.append(assumption)
    give(n for n in network.quantities if n in confirming)
    if turned:
        _turn_round(network, roles, without | wanted)
    return roles


def _turn_round(network: Declarations, roles: Roles, without: frozenset[str]) -> None:
    """Puts in force as well the assumptions that say something new of other quantities only."""
    for assumption in tuple(roles.dropped):
        assert assumption.quantity is not None
        if assumption.quantity.name in without:
            continue
        if roles.matching.add(assumption.name, network.unknowns_in(assumption)):
            roles.dropped.remove(assumption)
            roles.in_force.append(assumption)


def confirming(network: Declarations, names: Iterable[str]) -> frozenset[str]:
    """Those of the givens that may do no more than confirm what the others lead to: counts and
    switches that have no assumption of their own, and what goes with a count, as the depth of
    each pass goes with their number."""
    counts = {name for name, quantity in network.quantities.items() if quantity.whole}
    stepped = {
        name
        for assumption in network.assumptions
        if not counts.isdisjoint(assumption.first_to)
        for name in assumption.first_to
    }
    return frozenset(
        name
        for name in names
        if network.assumption_of(name) is None and (network.quantity(name).whole or name in stepped)
    )


def make_plan(network: Declarations, roles: Roles) -> Plan:
    """The plan in which givens and assumptions have these roles."""
    matching = roles.matching
    free = matching.free(network.quantities)
    steps = []
    for statements, unknowns in matching.blocks(free):
        if statements[0].startswith("given "):
            continue
        relations = tuple(network.statement(s) for s in statements)
        steps.append(_make_step(relations, unknowns, network))
    return Plan(
        network=network,
        givens=tuple(roles.givens),
        redundant=tuple(roles.redundant),
        assumptions=tuple(roles.in_force),
        dropped=tuple(roles.dropped),
        steps=tuple(steps),
        free=tuple(name for name in network.quantities if name in free),
        matching=matching,
    )


def plan_of(
    network: Declarations,
    names: Iterable[str],
    without: Iterable[str] = (),
    *,
    confirming: Iterable[str] = (),
    turned: bool = False,
) -> Plan:
    """The plan for a set of givens, made once and kept with the declarations.

    The rest as for `assign_roles`. Raises UnknownName for a name the network does not have."""
    key = frozenset(names), frozenset(without), frozenset(confirming), turned
    plan = network.plans.get(key)
    if not isinstance(plan, Plan):
        for name in key[0]:
            network.quantity(name)
        roles = assign_roles(network, key[0], key[1], confirming=key[2], turned=turned)
        plan = network.plans[key] = make_plan(network, roles)
    return plan


def _make_step(
    relations: Sequence[Relation], unknowns: Sequence[str], network: Declarations
) -> Step:
    if len(relations) == 1:
        forms = network.rearranged(relations[0], unknowns[0])
        if forms:
            return ClosedStep(unknowns[0], relations[0], forms)
    preferred = _by_preference(unknowns, network)
    tried = next(_Tearing(relations, preferred, network).tried(), None)
    if tried is not None:
        follow, closing = _follow(relations, unknowns, tried, network)
        return TogetherStep(tuple(unknowns), tuple(relations), tried, tuple(follow), tuple(closing))
    return TogetherStep(tuple(unknowns), tuple(relations), tuple(unknowns), (), tuple(relations))


_MOST_TRIED = 3


class _Tearing:
    """Which unknowns of a block need to be tried so that all others follow, one relation at a
    time. Sets of unknowns are bits of a number: a block of fifty has twenty thousand triples.

    unknowns  in the order in which they are preferred"""

    def __init__(
        self, relations: Sequence[Relation], unknowns: Sequence[str], network: Declarations
    ):
        self._network, self._unknowns = network, unknowns
        self._bit = {name: 1 << i for i, name in enumerate(unknowns)}
        self._name = {bit: name for name, bit in self._bit.items()}
        self._relations = [
            (sum(self._bit[name] for name in relation.symbols if name in self._bit), relation)
            for relation in relations
        ]
        self._touching = {
            bit: [(mask, relation) for mask, relation in self._relations if mask & bit]
            for bit in self._name
        }

    def tried(self) -> Iterator[tuple[str, ...]]:
        """The sets that do, the smallest and the most preferred first; none of more than three."""
        everything = (1 << len(self._unknowns)) - 1
        reached: dict[tuple[str, ...], int] = {(): self._following(0, self._relations)}
        most = min(_MOST_TRIED, len(self._unknowns))
        for count in range(1, most + 1):
            further: dict[tuple[str, ...], int] = {}
            for names in combinations(self._unknowns, count):
                known, last = reached[names[:-1]], self._bit[names[-1]]
                if not known & last:
                    known = self._following(known | last, self._touching[last])
                if known == everything:
                    yield names
                if count < most:
                    further[names] = known
            reached = further

    def _following(self, known: int, relations: Iterable[tuple[int, Relation]]) -> int:
        """What is known once everything has followed that can; in which order does not matter.

        relations  those in which no more than one unknown may be left by now"""
        waiting = list(relations)
        for mask, relation in waiting:  # grows while it is walked
            left = mask & ~known
            single = left and not left & (left - 1)
            if single and self._network.rearranged(relation, self._name[left]):
                known |= left
                waiting += self._touching[left]
        return known


def _by_preference(unknowns: Sequence[str], network: Declarations) -> list[str]:
    """Which unknown to try first: one with an assumed value, else what is usually given.

    An assumed value says which of several answers is meant; where there is none, several answers
    are easiest to choose between when they are stated in something well known.
    """
    assumed = {
        name
        for name in unknowns
        if (assumption := network.assumption_of(name)) and assumption.value.is_number
    }
    wished = {name: index for index, name in enumerate(network.wishes)}
    return sorted(
        unknowns, key=lambda name: (name not in assumed, wished.get(name, len(wished)), name)
    )


def _follow(
    relations: Sequence[Relation],
    unknowns: Sequence[str],
    tried: Sequence[str],
    network: Declarations,
) -> tuple[list[ClosedStep], list[Relation]]:
    """What follows one at a time once `tried`, from which everything follows, are known, and the
    relations left over."""
    waiting = set(unknowns) - set(tried)
    left = list(relations)
    follow: list[ClosedStep] = []
    progress = True
    while waiting and progress:
        progress = False
        for relation in left:
            open_names = [name for name in relation.symbols if name in waiting]
            if len(open_names) != 1:
                continue
            forms = network.rearranged(relation, open_names[0])
            if not forms:
                continue
            follow.append(ClosedStep(open_names[0], relation, forms))
            waiting.discard(open_names[0])
            left.remove(relation)
            progress = True
            break
    return follow, left


# -- too little given, from names alone ----------------------------------------------------------

_MOST_TRIALS = 4000


def usual_first(network: Declarations, names: Iterable[str]) -> list[str]:
    """The usual wishes first, the others in the order in which they come."""
    rank = {name: index for index, name in enumerate(network.wishes)}
    return sorted(names, key=lambda name: rank.get(name, len(rank)))


def missing_count(plan: Plan) -> int:
    """How many more givens a plan needs, from names alone."""
    return sum(1 for name in plan.network.quantities if name not in plan.matching.found_by)


def settling_sets(plan: Plan, most: int = 12) -> list[tuple[str, ...]]:
    """The smallest sets of free quantities that would settle a plan, from names alone; the usual
    ones first. Whether their values settle a design, `settling_values` says."""
    count = missing_count(plan)
    if count == 0:
        return []
    trials = islice(combinations(usual_first(plan.network, plan.free), count), _MOST_TRIALS)
    return list(islice((names for names in trials if _settles(plan, names)), most))


def _settles(plan: Plan, names: Sequence[str]) -> bool:
    # Assigned anew, not added to the plan: what is given may make assumptions give way.
    wanted = frozenset((*plan.givens, *plan.redundant, *names))
    found = assign_roles(plan.network, wanted).matching.found_by
    return len(found) == len(plan.network.quantities)
