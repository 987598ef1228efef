"""Matching, freedom and order, against brute force and against two independent libraries."""

from __future__ import annotations

from itertools import combinations

import networkx as nx
import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from tablekit.engine.declarations import Matching
from tests.together import each

Rows = list[tuple[str, ...]]
SEEDS = range(60)


def random_rows(seed: int, statements: int = 7, names: int = 7) -> tuple[Rows, list[str]]:
    """Statements, each about one to three of the unknowns."""
    random = np.random.default_rng(seed)
    unknowns = [f"u{i}" for i in range(names)]
    rows = [
        tuple(random.choice(unknowns, size=random.integers(1, 4), replace=False))
        for _ in range(statements)
    ]
    return rows, unknowns


def rank(rows: Rows) -> int:
    """How many of these statements can each have an unknown of its own: networkx's answer."""
    graph = nx.Graph()
    left = [("row", i) for i in range(len(rows))]
    graph.add_nodes_from(left)
    graph.add_edges_from((("row", i), name) for i, row in enumerate(rows) for name in row)
    return len(nx.bipartite.hopcroft_karp_matching(graph, left)) // 2


def matched(rows: Rows) -> tuple[Matching, list[int]]:
    matching = Matching()
    kept = [i for i, row in enumerate(rows) if matching.add(f"s{i:02}", row)]
    return matching, kept


def proper(matching: Matching) -> bool:
    owners = list(matching.found_by.values())
    return sorted(owners) == sorted(matching.unknowns_of) and all(
        name in matching.unknowns_of[owner] for name, owner in matching.found_by.items()
    )


@each("seed", SEEDS)
def test_as_many_matched_as_networkx_and_scipy_find(seed: int) -> None:
    rows, unknowns = random_rows(seed, statements=9)
    matching, kept = matched(rows)
    table = csr_matrix([[name in row for name in unknowns] for row in rows])
    scipy_size = int(np.sum(maximum_bipartite_matching(table, perm_type="column") >= 0))
    assert len(kept) == len(matching.found_by) == rank(rows) == scipy_size
    assert proper(matching)


@each("seed", SEEDS)
def test_greedy_keeps_the_firmest_set_there_is(seed: int) -> None:
    """Of all the largest independent sets, the one that comes first in order of firmness."""
    rows, _ = random_rows(seed, statements=8, names=5)
    _, kept = matched(rows)
    size = rank(rows)
    independent = (
        chosen
        for chosen in combinations(range(len(rows)), size)  # in lexicographic order
        if rank([rows[i] for i in chosen]) == size
    )
    assert tuple(kept) == next(independent)


@each("seed", SEEDS)
def test_would_add_tells_what_add_then_does(seed: int) -> None:
    rows, _ = random_rows(seed, statements=9, names=5)
    matching = Matching()
    refused = 0
    for index, row in enumerate(rows):
        before = dict(matching.found_by)
        expected = matching.would_add(row)
        assert matching.found_by == before, "asking must not change anything"
        assert matching.add(f"s{index}", row) is expected
        refused += not expected
        assert proper(matching)
    assert refused >= 4  # nine statements about five unknowns


@each("seed", SEEDS)
def test_free_is_what_one_more_value_could_still_change(seed: int) -> None:
    """An unknown is settled when giving it would say nothing new: brute force by rank."""
    rows, unknowns = random_rows(seed, statements=5, names=7)
    matching, kept = matched(rows)
    rows = [rows[i] for i in kept]
    free = {name for name in unknowns if rank([*rows, (name,)]) > rank(rows)}
    assert matching.free(unknowns) == free
    assert len(free) >= 2


@each("seed", SEEDS)
def test_blocks_come_in_an_order_that_can_be_solved(seed: int) -> None:
    rows, unknowns = random_rows(seed, statements=9, names=7)
    matching, _ = matched(rows)
    free = matching.free(unknowns)
    known: set[str] = set()
    for statements, found in matching.blocks(free):
        mentioned = {name for s in statements for name in matching.unknowns_of[s]}
        assert len(statements) == len(found)
        assert mentioned - set(found) <= known, "uses what is not yet known"
        assert not known & set(found)
        assert smallest(statements, matching, known), "the block could have been split"
        known |= set(found)
    assert known == set(unknowns) - free


def smallest(statements: tuple[str, ...], matching: Matching, known: set[str]) -> bool:
    """No part of the block is a block by itself (Hall: k statements about only k unknowns)."""
    for size in range(1, len(statements)):
        for part in combinations(statements, size):
            names = {n for s in part for n in matching.unknowns_of[s]} - known
            if len(names) <= size:
                return False
    return True


def test_a_ring_is_one_block() -> None:
    matching, _ = matched([("a", "b"), ("b", "c"), ("c", "a")])
    assert list(matching.blocks(frozenset())) == [(("s00", "s01", "s02"), ("a", "b", "c"))]


def test_a_chain_is_solved_from_its_end() -> None:
    matching, _ = matched([("c", "b"), ("b", "a"), ("a",)])
    assert [found for _, found in matching.blocks(frozenset())] == [("a",), ("b",), ("c",)]


def test_a_longer_way_round_is_found() -> None:
    """The last statement fits only if all the others make room in turn."""
    matching = Matching()
    assert matching.add("first", ("a", "b"))
    assert matching.add("second", ("b", "c"))
    assert matching.add("third", ("c", "d"))
    assert matching.add("last", ("a",))
    assert proper(matching)
    assert not matching.add("too many", ("a", "b", "c", "d"))


def test_a_copy_is_independent() -> None:
    matching, _ = matched([("a", "b")])
    copy = matching.copy()
    assert copy.add("more", ("a",))
    assert "more" not in matching.unknowns_of
    assert len(matching.found_by) == 1


def test_the_order_of_names_does_not_change_the_answer() -> None:
    one, _ = matched([("a", "b", "c"), ("c", "d")])
    other, _ = matched([("c", "b", "a"), ("d", "c")])
    assert one.found_by == other.found_by
