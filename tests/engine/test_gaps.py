"""Not enough given: what is free, how much is missing, and what would settle it."""

from __future__ import annotations

from itertools import combinations, pairwise

import networkx as nx
import numpy as np
import pytest

from tablekit.engine.network import Network
from tablekit.engine.plan import missing_count, settling_sets
from tablekit.engine.trouble import NotEnoughGiven
from tablekit.relations import families
from tests.engine.small_networks import guess, network, quantities, relation
from tests.together import each


def settled(of: Network, statements: list[set[str]]) -> bool:
    """Every unknown has a statement of its own: networkx's matching, not ours."""
    graph = nx.Graph([(i, name) for i, row in enumerate(statements) for name in row])
    graph.add_nodes_from(of.quantities)
    matching = nx.bipartite.maximum_matching(graph, range(len(statements)))
    return all(name in matching for name in of.quantities)


def brute_force(of: Network, given: list[str]) -> tuple[int, set[frozenset[str]]]:
    """The least number of further givens, and every set of that many that settles all."""
    plan = of.plan(given)
    rows = [set(of.unknowns_in(s)) for s in (*of.relations, *plan.assumptions)]
    rows += [{name} for name in given]
    others = [name for name in of.quantities if name not in given]
    for count in range(len(others) + 1):
        found = {
            frozenset(chosen)
            for chosen in combinations(others, count)
            if settled(of, [*rows, *({name} for name in chosen)])
        }
        if found:
            return count, found
    raise AssertionError("nothing settles it")


def random_network(seed: int) -> tuple[Network, list[str]]:
    random = np.random.default_rng(seed)
    of = quantities("a b c d e f g")
    relations = []
    for index in range(int(random.integers(2, 5))):
        x, y, z = (of[int(i)].symbol for i in random.choice(7, 3, replace=False))
        relations.append(relation(f"r{index}", x + 2 * y, (index + 2) * z))
    names = [q.name for q in of]
    given = list(random.choice(names, int(random.integers(0, 3)), replace=False))
    return network(of, relations), [str(name) for name in given]


@each("seed", range(40))
def test_the_smallest_settling_sets_are_those_of_brute_force(seed: int) -> None:
    of, given = random_network(seed)
    count, expected = brute_force(of, given)
    plan = of.plan(given)
    assert missing_count(plan) == count
    assert {frozenset(s) for s in settling_sets(plan, most=1000)} == (expected if count else set())


@pytest.mark.parametrize("given", [[], ["top_diameter"], ["post_section", "seats"], ["splay"]])
def test_the_tables_settling_sets_settle_it(given: list[str]) -> None:
    of = families.network("table")
    plan = of.plan(given)
    sets = settling_sets(plan)
    assert sets
    for names in sets:
        assert len(names) == missing_count(plan)
        assert of.plan([*given, *names]).free == ()
        for name in names:  # and none of them is there for nothing
            assert of.plan([*given, *(n for n in names if n != name)]).free


def test_the_usual_wishes_come_first() -> None:
    of = families.network("table")
    first = settling_sets(of.plan([]))[0]
    assert first == ("table_height", "top_diameter", "post_section")
    assert settling_sets(of.plan(["table_height", "post_section"]))[0] == ("top_diameter",)


def test_a_settled_plan_lacks_nothing() -> None:
    plan = families.network("table").plan(["table_height", "top_diameter", "post_section"])
    assert missing_count(plan) == 0
    assert settling_sets(plan) == []


def test_the_message_counts_and_names() -> None:
    with pytest.raises(NotEnoughGiven) as caught:
        families.network("table").solve({"table_height": 735, "post_section": 64})
    error, text = caught.value, str(caught.value)
    assert text.startswith("not enough is given: top_diameter")
    assert "One more value settles the design: top_diameter or " in text
    assert "top_diameter" in error.free and "top_mass" in error.free
    assert "post_length" not in error.free
    assert ("top_diameter",) in error.settling
    assert error.exit_code == 3


def test_two_missing_are_offered_in_pairs() -> None:
    with pytest.raises(NotEnoughGiven, match=r"2 more values settle .*\(top_diameter, "):
        families.network("table").solve({"table_height": 735})


def test_any_of_the_offers_is_then_answered() -> None:
    of = families.network("table")
    given = {"table_height": 735.0, "post_section": 64.0}
    reference = of.solve({**given, "top_diameter": 920.0})
    tried = 0
    for (name,) in settling_sets(of.plan(given), most=30):
        number = reference.number(name)
        if of.quantities[name].whole:
            continue  # a count is many diameters
        answer = of.solve({**given, name: number})
        assert answer.number("top_diameter") == pytest.approx(920.0, rel=1e-9), name
        tried += 1
    assert tried >= 5


def test_assumptions_count_as_settled() -> None:
    a, b, c = quantities("a b c")
    of = network([a, b, c], [relation("sum", a.symbol + b.symbol, c.symbol)], [guess(a, 1)])
    assert missing_count(of.plan([])) == 1
    assert settling_sets(of.plan([])) == [("b",), ("c",)]


def test_what_settles_is_found_behind_many_that_do_not() -> None:
    """Six a, five b, one c: those of a letter all follow from one of them. One of each settles, and
    the triples before the first that does all hold two of a letter."""
    of = quantities(" ".join([*(f"a{i}" for i in range(6)), *(f"b{i}" for i in range(5)), "c"]))
    chains = [*pairwise(of[:6]), *pairwise(of[6:11])]
    relations = [
        relation(f"r{i}", y.symbol, (1 + i / 10) * x.symbol) for i, (x, y) in enumerate(chains)
    ]
    names = [q.name for q in of]
    with pytest.raises(NotEnoughGiven) as caught:
        network(of, relations, wishes=names).solve({})
    triples = list(combinations(names, 3))
    one_of_each = [t for t in triples if sorted(n[0] for n in t) == ["a", "b", "c"]]
    assert triples.index(one_of_each[0]) > 40
    assert caught.value.settling == tuple(one_of_each[:12])
