"""Planning: what gives way to what, what is redundant, what is tried."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.order import ClosedStep, TogetherStep
from tablekit.engine.quantity import Constant
from tablekit.engine.trouble import Contradiction, RelationError, UnknownName
from tablekit.relations import families
from tests.engine.small_networks import INVENTED, guess, network, quantities, relation
from tests.together import each

A, B, C, D = quantities("a b c d")
a, b, c, d = (q.symbol for q in (A, B, C, D))


def chain() -> Network:
    """d = a + b + c, each of the three assumed; c gives way first."""
    return network(
        [A, B, C, D],
        [relation("sum", d, a + b + c)],
        [guess(A, 1), guess(B, 2), guess(C, 4)],
    )


def forced(plan: object) -> list[str]:
    return [x.quantity.name for x in plan.assumptions]  # type: ignore[attr-defined]


def test_nothing_given_everything_assumed() -> None:
    sheet = chain().solve({})
    assert sheet.number("d") == 7
    assert [sheet[n].origin for n in "abcd"] == ["assumed", "assumed", "assumed", "found"]


@pytest.mark.parametrize(
    ("givens", "in_force", "values"),
    [
        ({"d": 10}, "ab", (1, 2, 7, 10)),
        ({"a": 3}, "bc", (3, 2, 4, 9)),
        ({"c": 3}, "ab", (1, 2, 3, 6)),
        ({"c": 3, "d": 10}, "a", (1, 6, 3, 10)),
        ({"a": 1, "c": 3, "d": 10}, "", (1, 6, 3, 10)),
    ],
)
def test_the_last_assumption_gives_way_first(
    givens: dict[str, float], in_force: str, values: tuple[float, ...]
) -> None:
    sheet = chain().solve(givens)
    assert forced(sheet.plan) == list(in_force)
    assert tuple(sheet.number(n) for n in "abcd") == values
    for name in givens:
        assert sheet[name].origin == "given"


def test_an_assumption_gives_way_to_givens_that_decide_its_quantity_though_not_named() -> None:
    plan = chain().plan(["a", "b", "d"])
    assert forced(plan) == []
    assert [x.quantity.name for x in plan.dropped] == ["a", "b", "c"]


def test_an_assumed_share_is_not_turned_round() -> None:
    """b is assumed half of a: giving b must not find a from it."""
    of = network([A, B], [], [guess(B, a / 2)])
    assert of.plan(["b"]).free == ("a",)
    assert of.solve({"a": 6}).number("b") == 3
    assert of.plan(["a", "b"]).dropped[0].quantity is B


@each("seed", range(25), ordinary=9)
def test_brute_force_the_assumptions_in_force_are_the_firmest_that_can_be(seed: int) -> None:
    """Each is kept if, on top of the firmer ones kept, its quantity was still open (by rank)."""
    of = families.network("table")
    random = np.random.default_rng(seed)
    statements = {s.name: set(of.unknowns_in(s)) for s in (*of.relations, *of.assumptions)}
    names = random.choice(list(of.wishes), size=random.integers(1, 5), replace=False)
    plan = of.plan(names)
    rows = [statements[r.name] for r in of.relations] + [{n} for n in plan.givens]
    kept = []
    for assumption in of.assumptions:
        quantity = assumption.quantity
        assert quantity is not None
        if _rank([*rows, {quantity.name}]) > len(rows):
            rows.append(statements[assumption.name])
            kept.append(assumption)
    assert list(plan.assumptions) == kept
    assert {*plan.assumptions, *plan.dropped} == set(of.assumptions)


def _rank(rows: list[set[str]]) -> int:
    import networkx as nx

    graph = nx.Graph([(i, name) for i, row in enumerate(rows) for name in row])
    return len(nx.bipartite.hopcroft_karp_matching(graph, range(len(rows)))) // 2


# -- redundant givens ----------------------------------------------------------------------------


def test_a_redundant_given_that_agrees_is_accepted_and_noted() -> None:
    sheet = chain().solve({"a": 1, "b": 2, "c": 5, "d": 8})
    assert sheet.plan.redundant == ("d",)
    assert any("d was given but follows" in note for note in sheet.notes)
    assert sheet["d"].origin == "given"


@pytest.mark.parametrize(("d_given", "agrees"), [(8 + 7e-6, True), (8 + 9e-6, False)])
def test_a_redundant_given_agrees_within_a_millionth(d_given: float, agrees: bool) -> None:
    givens = {"a": 1, "b": 2, "c": 5, "d": d_given}
    if agrees:
        assert chain().solve(givens).number("d") == d_given
    else:
        with pytest.raises(Contradiction):
            chain().solve(givens)


def test_the_order_in_which_givens_are_named_does_not_matter() -> None:
    of = chain()
    one = of.solve({"d": 8, "a": 1, "b": 2, "c": 5})
    other = of.solve({"c": 5, "b": 2, "a": 1, "d": 8})
    assert one.plan is other.plan


# -- the plan itself -----------------------------------------------------------------------------


def test_a_plan_is_made_once_for_a_set_of_names() -> None:
    of = chain()
    assert of.plan(["a", "b"]) is of.plan(("b", "a"))
    assert of.plan(["a", "b"]).program is of.plan({"b", "a"}).program
    assert of.plan(["a", "b"]) is not of.plan(["a"])


def test_planning_leaves_the_networks_own_matching_alone() -> None:
    of = chain()
    before = dict(of.matched.found_by)
    of.plan(["a", "b", "c"])
    assert of.matched.found_by == before


@pytest.mark.parametrize("name", ["heigth", "table height", "", "b_"])
def test_an_unknown_name_is_refused(name: str) -> None:
    with pytest.raises(UnknownName) as caught:
        chain().plan([name])
    assert caught.value.name == name


def test_an_unknown_name_is_told_its_neighbour() -> None:
    with pytest.raises(UnknownName, match="did you mean table_height") as caught:
        families.network("table").plan(["tabel_height"])
    assert caught.value.nearest == "table_height"
    assert not str(caught.value).startswith(("'", '"'))


def test_steps_to_a_name_are_those_it_needs() -> None:
    of = network(
        [A, B, C, D],
        [relation("double", b, 2 * a), relation("triple", c, 3 * a), relation("both", d, b * a)],
    )
    plan = of.plan(["a"])
    assert [s.unknowns for s in plan.steps_to("d")] == [("b",), ("d",)]
    assert plan.givens_behind("d") == ("a",)
    assert plan.givens_behind("a") == ("a",)
    assert plan.steps_to("a") == ()


def test_givens_behind_a_value_on_the_table() -> None:
    plan = families.network("table").plan(["table_height", "top_diameter", "post_section"])
    assert plan.givens_behind("top_volume") == ("top_diameter",)
    assert plan.givens_behind("post_length") == ("table_height", "post_section")
    assert plan.givens_behind("tipping_load") == ("table_height", "top_diameter", "post_section")
    assert plan.givens_behind("crossing_angle") == ()


def test_free_names_are_those_that_nothing_settles() -> None:
    of = network([A, B, C, D], [relation("sum", a + b, c)])
    assert of.plan([]).free == ("a", "b", "c", "d")
    assert of.plan(["a"]).free == ("b", "c", "d")
    assert of.plan(["a", "c"]).free == ("d",)


def test_what_hangs_on_itself_is_solved_together_by_trying_one_value() -> None:
    of = network(
        [A, B, C],
        [relation("one", a + sp.sqrt(b), c), relation("two", a * b, 2 * c)],
    )
    (step,) = of.plan(["c"]).steps
    assert isinstance(step, TogetherStep)
    assert len(step.tried) == 1 and len(step.follow) == 1 and len(step.closing) == 1
    assert set(step.unknowns) == {"a", "b"}


def test_the_value_tried_is_one_with_an_assumed_size() -> None:
    relations = [relation("one", a + sp.sqrt(b), c), relation("two", a * b, 2 * c)]
    for name, of in (("a", A), ("b", B)):
        (step,) = network([A, B, C], relations, [guess(of, 1)]).plan(["c"]).steps
        assert isinstance(step, TogetherStep)
        assert step.tried == (name,)


def test_every_plan_of_the_table_finds_each_name_once_and_in_order() -> None:
    of = families.network("table")
    for names in combinations(of.wishes, 2):
        plan = of.plan(names)
        known = {*plan.givens, *of.constants}
        for step in plan.steps:
            assert step.needs <= known
            if isinstance(step, ClosedStep):
                assert step.forms
            known.update(step.unknowns)
        assert known | set(plan.free) == {*of.quantities, *of.constants}
        assert not known & set(plan.free)


# -- declaring a network -------------------------------------------------------------------------


def test_relations_that_say_the_same_are_refused() -> None:
    with pytest.raises(RelationError, match="'again' says nothing that the others do not"):
        network([A], [relation("once", a, 2), relation("again", a * 3, 6)])


def test_two_of_one_name_are_refused() -> None:
    with pytest.raises(RelationError, match="two relations of one name"):
        network([A, B], [relation("same", a, 2), relation("same", b, 6)])
    with pytest.raises(RelationError, match="two quantities of one name"):
        network([A, A], [])
    also_a = Constant("a", "a", 1.0, "1", "", INVENTED)
    with pytest.raises(RelationError, match=r"a quantity and a constant of one name: a$"):
        Network("invented", [A, B], [], constants=[also_a])


def test_wishes_and_requirements_must_be_quantities() -> None:
    with pytest.raises(UnknownName):
        network([A], [], wishes=["z"])
