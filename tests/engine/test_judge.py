"""One judgement for floats and arrays: what is wrong, in which order, and what rounding may do."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.judge import Problem, in_words
from tablekit.engine.network import Network
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Limit
from tablekit.engine.units import ShopStyle
from tests.engine.small_networks import guess, network, quantities, quantity, relation


def every_way_to_fail() -> Network:
    """From a, c and k, in order: a root that may not be real, a value that may leave its range
    either way, one that only holds up to a point, one that then has no value, a branch to choose, a
    root that must be put back, a loop that may not close, and what rests on each."""
    a, c, k = quantities("a c k", -100.0, 100.0)
    root, twice = quantity("root", 0.0, 9.0), quantity("twice", -50.0, 60.0)
    held, spare = quantity("held", -1e4, 1e4), quantity("spare", -1e3, 1e3)
    side, after = quantity("side", -8.0, 5.0), quantity("after", -1e3, 1e3)
    back, loop = quantity("back", -1e3, 1e3), quantity("loop", 0.0, 6.0)
    a_, c_, k_ = a.symbol, c.symbol, k.symbol
    at_most = Limit(40 - a_ - c_, "a and c are forty at most")
    only = Limit(a_ - c_, "a is no less than c", otherwise="leave out")
    return network(
        [a, c, k, root, twice, held, spare, side, after, back, loop],
        [
            relation("root", root.symbol, sp.sqrt(a_ + 50)),
            relation("twice", twice.symbol, 2 * c_),
            relation("held", held.symbol, a_ * c_, [at_most]),
            relation("spare", spare.symbol, sp.sqrt(a_ - c_ + 20), [only]),
            relation("square", side.symbol**2 - 10, c_),
            relation("after", after.symbol, side.symbol + 1 / (a_ - 3)),
            relation("back", sp.sqrt(back.symbol + 30), a_ / 5 + 4),
            relation("loop", loop.symbol + sp.sin(loop.symbol) / 2, k_ / 10),
        ],
        [guess(side, 2)],
    )


def gathered(
    of: Network, columns: dict[str, np.ndarray]
) -> tuple[list[str], dict[str, np.ndarray]]:
    """What the arrays say of each design, '' where it can be, and what they find."""
    program = of.plan(columns).program
    ((_, known, codes),) = program.judged_chunks(columns)
    told = [program.judge.problems[code] for code in codes.tolist()]
    found = {n: np.broadcast_to(known[n], codes.shape) for n in program.plan.found}
    return ["" if one is None else in_words(one, of) for one in told], found


@pytest.mark.parametrize("besides", [(), ("twice",), ("side",)], ids=str)
def test_arrays_say_of_each_design_what_is_said_of_it_alone(besides: tuple[str, ...]) -> None:
    of, count = every_way_to_fail(), 600
    random = np.random.default_rng(17)
    columns = {
        "a": random.uniform(-70, 100, count),
        "c": random.uniform(-30, 40, count),
        "k": random.uniform(-10, 80, count),
    }
    columns["a"][::23] = 3.0  # where something is divided by nothing
    columns["k"][::31] = np.nan
    if "twice" in besides:
        columns["twice"] = 2 * columns["c"] + random.choice([0.0, 1e-9, 0.5], count)
    if "side" in besides:
        columns["side"] = random.choice([-1.0, 1.0], count) * np.sqrt(np.abs(columns["c"] + 10))
    words, found = gathered(of, columns)
    program = of.plan(columns).program
    kinds: Counter[str] = Counter()
    for i in range(count):
        outcome = program.run({name: float(column[i]) for name, column in columns.items()})
        first = outcome.problems[0] if outcome.problems else None
        if first is not None:
            kinds[first.kind] += 1
            assert words[i] == in_words(first, of)
            continue
        kinds["left out" if outcome.left_out else "none"] += 1
        assert words[i] == ""
        for name, column in found.items():
            expected = pytest.approx(outcome.values[name], rel=1e-9, abs=1e-9, nan_ok=True)
            assert column[i] == expected, name
    wanted = {"none", "left out", "undefined", "range", "limit", "no root", "no number"}
    assert wanted <= kinds.keys(), kinds
    assert not besides or kinds["mismatch"] > 0


def test_each_kind_of_problem_is_told_with_and_without_numbers() -> None:
    a = quantity("a", 5.0, 50.0, "mm")
    b = quantity("b", 5.0, 50.0, "mm")
    limit = Limit(a.symbol - b.symbol, "a is no less than b")
    rule = relation("rule", b.symbol, 2 * a.symbol, [limit])
    of, style = network([a, b], [rule]), ShopStyle()
    for problem, plain, full in (
        (Problem("no number", "a", math.nan), "a is no number", "a is no number"),
        (Problem("undefined", "b", math.nan, relation=rule),
         "'rule' has no real answer for b", "'rule' has no real answer for b"),
        (Problem("range", "b", 0.002, 0.005, 0.05),
         "b would be below 5 mm", "b would be 2 mm, outside 5 mm to 50 mm"),
        (Problem("range", "b", 0.2, 0.005, 0.05),
         "b would be above 50 mm", "b would be 200 mm, outside 5 mm to 50 mm"),
        (Problem("limit", "b", -0.0015, relation=rule, limit=limit),
         "outside what 'rule' holds for: a is no less than b",
         "b is outside what 'rule' holds for: a is no less than b; it is over by 1.5 mm"),
        (Problem("mismatch", "b", 0.01, 0.02, 0.02),
         "b was given but follows from the others, and differs",
         "b was given but follows from the others, and differs"),
        (Problem("no root", "b", math.nan, 0.005, 0.05),
         "no b between 5 and 50 mm was found that makes the relations fit",
         "no b between 5 mm and 50 mm was found that makes the relations fit"),
        (Problem("open", "b", math.nan, 0.005, 0.05),
         "any b would do: what is given says nothing of it",
         "any b would do: what is given says nothing of it"),
    ):  # fmt: skip
        assert in_words(problem, of) == plain
        assert in_words(problem, of, style) == full


# -- rounding -------------------------------------------------------------------------------------


def limited(slack: sp.Expr, first: Quantity, *others: Quantity) -> Network:
    found = quantity("found", -1e12, 1e12)
    held = relation("held", found.symbol, first.symbol, [Limit(slack, "it holds")])
    return network([first, *others, found], [held])


def holds(of: Network, **values: float) -> bool:
    """What is said of one design, which arrays must say too."""
    program = of.plan(values).program
    one = not program.run(values).problems
    two = {name: np.array([value, value]) for name, value in values.items()}
    ((_, _, good),) = program.chunks(two, ["found"])
    assert good.tolist() == [one, one]
    return one


def test_a_limit_allows_the_rounding_of_its_terms_whatever_their_size() -> None:
    for size in (1e-6, 1.0, 1e9):
        a, b = quantities("a b", 0.0, 10 * size)
        of = limited(a.symbol - b.symbol, a, b)
        assert holds(of, a=size, b=size)
        assert holds(of, a=size * (1 - 1e-15), b=size)
        assert holds(of, a=size * (1 - 1e-9), b=size)
        assert not holds(of, a=size * (1 - 1e-6), b=size)


def test_a_limit_of_one_quantity_allows_what_its_range_does() -> None:
    a = quantity("a", -50.0, 50.0)
    of = limited(a.symbol, a)
    assert holds(of, a=0.0) and holds(of, a=-9.4e-14) and holds(of, a=-4.9e-8)
    assert not holds(of, a=-6e-8) and not holds(of, a=-1.0)


def test_a_limit_that_is_infinitely_passed_is_passed() -> None:
    a, b = quantity("a", -5.0, 5.0), quantity("b", -1.0, 5.0)
    of = limited(1 - 1 / b.symbol, a, b)
    assert holds(of, a=1.0, b=2.0) and not holds(of, a=1.0, b=0.5)
    assert not holds(of, a=1.0, b=0.0)


def test_a_given_that_follows_from_the_others_agrees_to_a_millionth() -> None:
    a, b = quantity("a", 0.0, 10.0), quantity("b", 0.0, 20.0)
    of = network([a, b], [relation("double", b.symbol, 2 * a.symbol)])
    program = of.plan(["a", "b"]).program
    for given, agrees in ((4.0, True), (4 + 3e-6, True), (4 + 6e-6, False), (4 - 6e-6, False)):
        assert (not program.run({"a": 2.0, "b": given}).problems) is agrees
        ((_, _, good),) = program.chunks({"a": [2.0], "b": [given]}, ["b"])
        assert good.tolist() == [agrees]
    assert not program.run({"a": 0.0, "b": 1e-11}).problems  # nothing, but for rounding
    assert program.run({"a": 0.0, "b": 1e-9}).problems


# -- names ----------------------------------------------------------------------------------------


def test_quantities_may_be_called_as_parts_of_a_plan_are() -> None:
    names = "slack_0 residual_0 size_0 closes_a preferred_a branch_0 choose_a shared_0 output_0"
    of = {name: quantity(name, 0.1, 100.0) for name in names.split()}
    s = {name: one.symbol for name, one in of.items()}
    a = quantity("a", -30.0, 30.0)
    rules = [
        relation("r1", s["residual_0"], 2 * s["slack_0"], [Limit(60 - s["slack_0"], "x")]),
        relation("r2", s["size_0"], s["slack_0"] + s["residual_0"]),
        relation("r3", a.symbol**2, s["slack_0"] * 4),
        relation("r4", sp.sqrt(s["closes_a"] + 1), s["slack_0"] - 1),
        relation("r5", s["preferred_a"] * (2 + sp.sin(s["preferred_a"])), s["branch_0"]),
        relation("r6", s["branch_0"], s["slack_0"] * s["size_0"] / 10),
        relation("r7", s["choose_a"], a.symbol + 20),
        relation("r8", s["shared_0"], (s["slack_0"] + s["size_0"]) ** 3 / 200),
        relation("r9", s["output_0"], (s["slack_0"] + s["size_0"]) ** 3 / 100),
    ]
    made = network([*of.values(), a], rules, [guess(a, -1)])
    sheet = made.solve({"slack_0": 4.0})
    expected = {
        "residual_0": 8.0, "size_0": 12.0, "a": -4.0, "closes_a": 8.0, "branch_0": 4.8,
        "choose_a": 16.0, "shared_0": 20.48, "output_0": 40.96,
    }  # fmt: skip
    assert {n: sheet.number(n) for n in expected} == pytest.approx(expected, rel=1e-12)
    tried = sheet.number("preferred_a")
    assert tried * (2 + math.sin(tried)) == pytest.approx(4.8, rel=1e-9)
    assert sheet.alternatives["a"] == pytest.approx((-4, 4))
    assert max(sheet.residuals.values()) < 1e-9
    ((_, known, good),) = made.plan(["slack_0"]).program.chunks(
        {"slack_0": np.array([4.0, 4.0, 70.0])}, [*expected, "preferred_a"]
    )
    assert good.tolist() == [True, True, False]
    for name, value in {**expected, "preferred_a": tried}.items():
        assert known[name][1] == pytest.approx(value, rel=1e-9), name
