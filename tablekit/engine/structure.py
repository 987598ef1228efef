"""Who determines whom: matching relations to unknowns, from names alone.

The sets of statements that can hold independently of each other form a transversal matroid:
adding statements greedily, firmest first, and keeping each that still finds an unknown of its
own, gives the best such set. That is how assumptions give way to givens. What is left is split
by the Dulmage-Mendelsohn decomposition into the part that stays free and the part that is
determined, and the latter by strongly connected components into blocks in order of solution.

A. L. Dulmage, N. S. Mendelsohn, Coverings of bipartite graphs, Canad. J. Math. 10 (1958)
(from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field


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
