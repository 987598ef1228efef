"""Compiled plans: one design and many agree, problems name what failed, and no sympy runs twice."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

import numpy as np
import pytest
import sympy as sp

from tablekit.engine import program as compiled
from tablekit.engine.codegen import chooser, compile_assignments
from tablekit.engine.network import Network
from tablekit.engine.relation import Limit
from tablekit.relations import families
from tests.engine.small_networks import network, quantities, quantity, relation, unseen

A, B, C = quantities("a b c")
a, b, c = (q.symbol for q in (A, B, C))
BRIEFS = [
    ("table_height", "top_diameter", "post_section"),
    ("table_height", "top_diameter", "post_section", "foot_spread"),
    ("top_diameter", "post_section", "splay", "post_length"),
    ("table_height", "post_section", "overhang", "splay"),
    ("table_height", "seats", "post_section"),
    ("table_height", "top_diameter", "post_section", "tipping_load"),
]


def designs(names: tuple[str, ...], count: int, seed: int = 0) -> dict[str, Any]:
    """Random values near a design that works, coherent SI."""
    of = families.network("table")
    middle = of.solve({"table_height": 735, "top_diameter": 920, "post_section": 64})
    random = np.random.default_rng(seed)
    si = {n: middle[n].si for n in names}
    spread = {n: (1.0 if n == "seats" else random.uniform(0.97, 1.03, count)) for n in names}
    return {n: si[n] * spread[n] for n in names}


def gathered(program: Any, values: dict[str, Any]) -> tuple[dict[str, Any], Any]:
    """All the chunks joined up."""
    wanted = program.plan.found
    columns: dict[str, list[Any]] = {name: [] for name in wanted}
    good = []
    for where, known, holds in program.chunks(values, wanted):
        good.append(holds)
        for name in wanted:
            columns[name].append(np.broadcast_to(known[name], where.stop - where.start))
    return {n: np.concatenate(c) for n, c in columns.items()}, np.concatenate(good)


@pytest.mark.parametrize("names", BRIEFS, ids=" ".join)
def test_floats_and_arrays_agree(names: tuple[str, ...]) -> None:
    program = families.network("table").plan(names).program
    values = designs(names, 40)
    many, good = gathered(program, values)
    closed = all(step.kind == "closed" for step in program.plan.steps)
    # a loop is closed to 1e-14 of the value tried; what follows from it may magnify that
    tolerance = 1e-13 if closed else 1e-10
    assert good.sum() > 20
    for i in range(40):
        one = program.run({n: float(np.broadcast_to(v, 40)[i]) for n, v in values.items()})
        assert good[i] == (not one.problems)
        if not good[i]:
            continue
        for name in program.plan.found:
            scale = max(abs(one.values[name]), program.range_of(name)[1] * 1e-3)
            assert many[name][i] == pytest.approx(one.values[name], abs=tolerance * scale), name


@pytest.mark.parametrize("length", [1, 2, 31, 32, 33, 64, 100])
def test_arrays_of_any_length_across_the_edges_of_chunks(
    length: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = BRIEFS[0]
    program = families.network("table").plan(names).program
    values = designs(names, length, seed=length)
    whole, whole_good = gathered(program, values)
    monkeypatch.setattr(compiled, "CHUNK", 32)
    slices = [where for where, _, _ in program.chunks(values, ("post_length",))]
    assert [i for where in slices for i in range(where.start, where.stop)] == list(range(length))
    pieces, good = gathered(program, values)
    assert np.array_equal(good, whole_good)
    for name in whole:
        assert np.array_equal(pieces[name], whole[name], equal_nan=True)


def test_no_designs_are_no_designs() -> None:
    program = families.network("table").plan(BRIEFS[0]).program
    values = {"table_height": np.array([]), "top_diameter": 0.9, "post_section": 0.06}
    assert sum(good.size for _, _, good in program.chunks(values, ("post_length",))) == 0


@pytest.mark.parametrize("shape", [(3, 4), (1, 3)])
def test_columns_that_do_not_go_together_are_refused(shape: tuple[int, int]) -> None:
    program = families.network("table").plan(BRIEFS[0]).program
    few, many = shape
    values = {
        "table_height": np.full(few, 0.735),
        "top_diameter": np.full(many, 0.9),
        "post_section": 0.06,
    }
    with pytest.raises(ValueError, match="length"):
        list(program.chunks(values, ("post_length",)))


def test_a_redundant_column_is_compared_design_by_design() -> None:
    of = network([A, B], [relation("double", b, 2 * a)])
    program = of.plan(["a", "b"]).program
    ((_, known, good),) = program.chunks({"a": [1.0, 2.0, 3.0], "b": [2.0, 4.1, 6.0]}, ["b"])
    assert good.tolist() == [True, False, True]
    assert known["b"].tolist() == [2, 4, 6]


# -- what is no design ---------------------------------------------------------------------------


def problems(of: Network, **values: float) -> list[tuple[str, str, str]]:
    found = of.plan(values).program.run(values).problems
    return [(p.kind, p.name, p.relation.name if p.relation else "") for p in found]


ROOT = relation("root of a difference", b, sp.sqrt(a - 5))
UNDEFINED: list[tuple[sp.Expr, float]] = [
    (sp.sqrt(a - 5), 4.0),
    (sp.log(a - 5), 4.0),
    (sp.asin(a), 1.5),
    (sp.acos(a - 5), 3.0),
    (1 / (a - 5), 5.0),
    (sp.exp(a), 900.0),
    ((a - 5) ** sp.Rational(1, 3), 4.0),
    (sp.Abs((a - 5) ** sp.Rational(1, 3)), 4.0),
    ((a - 5) ** sp.Rational(3, 2) + 1, 4.0),
]


@pytest.mark.parametrize(("form", "value"), UNDEFINED, ids=str)
def test_no_real_answer_names_the_relation(form: sp.Expr, value: float) -> None:
    of = network([A, B, C], [relation("strange", b, form), relation("after", c, b + 1)])
    found = problems(of, a=value)
    assert found, "no problem was seen"
    assert found[0][1] == "b"
    assert found[0][0] == "range" or found[0] == ("undefined", "b", "strange")
    ((_, _, good),) = of.plan(["a"]).program.chunks({"a": np.array([value])}, ["b"])
    assert not good[0]


def test_a_nan_travels_but_the_blame_starts_where_it_arose() -> None:
    of = network([A, B, C], [ROOT, relation("after", c, b + 1)])
    assert problems(of, a=4.0)[0] == ("undefined", "b", "root of a difference")


def test_a_limit_is_not_blamed_for_a_value_that_is_missing() -> None:
    limited = relation("after", c, b + 1, limits=[Limit(b - 2, "b is at least two")])
    of = network([A, B, C], [ROOT, limited])
    assert problems(of, a=4.0) == [("undefined", "b", "root of a difference")]
    assert problems(of, a=6.0) == [("limit", "c", "after")]


def test_out_of_range_names_the_quantity_and_its_range() -> None:
    of = network([A, quantity("b", 1, 10)], [relation("double", b, 2 * a)])
    (problem,) = of.plan(["a"]).program.run({"a": 6.0}).problems
    assert (problem.kind, problem.name, problem.value) == ("range", "b", 12.0)
    assert (problem.low, problem.high) == (1, 10)


@pytest.mark.parametrize(("value", "ok"), [(5.0, True), (5 + 4e-9, True), (5 + 1e-7, False)])
def test_a_hair_over_the_range_is_rounding_not_a_problem(value: float, ok: bool) -> None:
    of = network([A, quantity("b", 1, 10)], [relation("double", b, 2 * a)])
    outcome = of.plan(["a"]).program.run({"a": value})
    assert (not outcome.problems) is ok


def test_a_limit_passed_names_the_relation_and_by_how_much() -> None:
    limit = Limit(5 - a, "a is at most five")
    of = network([A, B], [relation("held", b, 2 * a, limits=[limit])])
    assert not of.plan(["a"]).program.run({"a": 5.0}).problems
    (problem,) = of.plan(["a"]).program.run({"a": 5.5}).problems
    assert (problem.kind, problem.value) == ("limit", -0.5)
    assert problem.relation is not None and problem.relation.name == "held"
    assert problem.limit is limit


LEAVE = Limit(5 - a, "a is at most five", otherwise="leave out")


def test_left_out_has_no_value_and_is_no_problem() -> None:
    of = network([A, B], [relation("held", b, a - 5.5, limits=[LEAVE])])
    outcome = of.plan(["a"]).program.run({"a": 5.2})
    assert not outcome.problems
    assert outcome.left_out == {"b": "there is one only where a is at most five"}
    assert math.isnan(outcome.values["b"])
    ((_, known, good),) = of.plan(["a"]).program.chunks({"a": np.array([5.2, 900.0])}, ["b"])
    assert good.all()
    assert np.isnan(known["b"]).all()


def test_left_out_but_in_range_has_no_value_either() -> None:
    of = network([A, B], [relation("held", b, 2 * a, limits=[LEAVE])])
    outcome = of.plan(["a"]).program.run({"a": 6.0})
    assert math.isnan(outcome.values["b"])


def test_what_others_rest_on_cannot_be_left_out() -> None:
    held = relation("held", b, 2 * a, limits=[LEAVE])
    of = network([A, B, C], [held, relation("after", c, b + 1)])
    assert problems(of, a=6.0) == [("limit", "b", "held")]


def test_given_what_should_be_left_out_is_a_problem() -> None:
    """Giving a value cannot conjure up what does not exist."""
    of = network([A, B], [relation("held", b, 2 * a, limits=[LEAVE])])
    assert problems(of, a=6.0, b=12.0), "b was accepted though there is none"
    ((_, _, good),) = of.plan(["a", "b"]).program.chunks({"a": [6.0], "b": [12.0]}, ["b"])
    assert not good[0]


def test_a_mismatch_names_what_was_given_and_what_was_found() -> None:
    of = network([A, B], [relation("double", b, 2 * a)])
    (problem,) = of.plan(["a", "b"]).program.run({"a": 2.0, "b": 5.0}).problems
    assert (problem.kind, problem.name, problem.value, problem.low) == ("mismatch", "b", 4.0, 5.0)


# -- what is computed for arrays ------------------------------------------------------------------


def test_what_rests_on_no_input_is_put_in_and_names_are_used_again() -> None:
    """Long enough to be shared; the same numbers by putting them into each expression in turn."""
    p, q, r = quantity("p", -9, 9), quantity("q", -9, 9), quantity("r", -9, 9)
    x, y = p.symbol, q.symbol
    steps: list[tuple[sp.Symbol, sp.Expr]] = [(r.symbol, sp.Float(0.7))]
    for i in range(30):
        last = steps[-1][0]
        form = sp.cos(r.symbol) * x / 2 - (x - y) ** 3 / 7 + last * y / (3 + x**2) - x / 2
        steps.append((sp.Symbol(f"s{i}", real=True), form + 1 / (9 + x - y) ** 3))
    outputs = [symbol for symbol, _ in steps]
    values = {x: np.array([0.3, -1.2, 2.0]), y: np.array([1.1, 0.4, -0.8])}
    for arrays in (True, False):
        made = compile_assignments([x, y], steps, outputs, arrays=arrays)
        for at in range(3):
            known = {symbol: float(column[at]) for symbol, column in values.items()}
            inputs = values.values() if arrays else known.values()
            found = [float(np.broadcast_to(v, 3)[at]) for v in made(*inputs)]
            for (symbol, form), value in zip(steps, found, strict=True):
                known[symbol] = float(form.subs(known))
                assert value == pytest.approx(known[symbol], rel=1e-12)


NO_NUMBER = [sp.sqrt(a - 9), sp.log(a - 9), 1 / (a - 5), sp.asin(a), (a - 9) ** 1.5, c / (a - 5)]


@pytest.mark.parametrize("form", NO_NUMBER, ids=str)
def test_what_is_no_number_whatever_is_given_is_nan_and_not_an_error(form: sp.Expr) -> None:
    steps = [(a, sp.Float(5)), (b, form), (sp.Symbol("d", real=True), b + c)]
    made = compile_assignments([c], steps, [b, sp.Symbol("d", real=True)], arrays=True)
    with np.errstate(all="ignore"):
        found = made(np.array([1.0, 2.0]))
    assert not np.isfinite(np.asarray(found[0], dtype=float)).any()
    assert not np.isfinite(np.asarray(found[1], dtype=float)).any()


# -- choosing between branches -------------------------------------------------------------------

_NAN = math.nan
CHOICES = [
    # low, high, preferred, branches, chosen
    (0, 10, 5, (4, 7), 4),
    (0, 10, 5, (2, 7), 7),
    (0, 10, 5, (11, 7), 7),
    (0, 10, 5, (-1, 12), -1),
    (0, 10, 5, (_NAN, 9), 9),
    (0, 10, 9, (1, 10.0000001), 1),
    (0, 10, 9, (1, 10.001), 1),
    (0, 10, 9, (-0.1, 10.2), -0.1),
    (0, 1000, 999, (0, 1000.01), 0),
    (0, 10, 5, (10.000000001, 9), 9),
]


@pytest.mark.parametrize(("low", "high", "preferred", "branches", "chosen"), CHOICES, ids=str)
def test_the_branch_inside_the_range_and_nearest_is_chosen(
    low: float, high: float, preferred: float, branches: tuple[float, ...], chosen: float
) -> None:
    assert chooser(low, high, arrays=False)(preferred, *branches) == chosen
    choose = chooser(low, high, arrays=True)
    columns = [np.full(3, branch, dtype=float) for branch in branches]
    assert choose(preferred, *columns).tolist() == [chosen] * 3
    assert choose(preferred, columns[0], np.float64(branches[1])).tolist() == [chosen] * 3
    assert choose(np.full(3, preferred), *map(np.float64, branches)).tolist() == [chosen] * 3


def test_no_branch_at_all_is_nan() -> None:
    assert math.isnan(chooser(0, 1, arrays=False)(0.5, _NAN, _NAN))
    assert np.isnan(chooser(0, 1, arrays=True)(0.5, np.array([_NAN]), np.array([_NAN]))).all()


def test_in_order_with_shared_parts_drawn_out_before_use() -> None:
    steps = [(b, sp.sin(a) * sp.cos(a)), (c, b * sp.sin(a) + sp.cos(a) * sp.sin(a))]
    function = compile_assignments([a], steps, [b, c], arrays=False)
    expected = math.sin(0.3) * math.cos(0.3)
    assert function(0.3) == pytest.approx((expected, expected * (math.sin(0.3) + 1)), rel=1e-15)


@pytest.mark.parametrize("share", [False, True])
@pytest.mark.parametrize("arrays", [False, True])
def test_smallest_largest_and_size(arrays: bool, share: bool) -> None:
    k, y = sp.symbols("k y")
    form = sp.Min(a, b, c) + 10 * sp.Max(a, b, 5 * k)
    function = compile_assignments(
        [a, b, c], [(y, form)], [y], arrays=arrays, constants={k: 1.0}, share=share
    )
    assert function(3.0, 7.0, 2.0)[0] == 72
    if arrays:
        assert function(np.array([3.0, 1.0]), 7.0, 2.0)[0].tolist() == [72, 71]


# -- staying near ---------------------------------------------------------------------------------


def test_an_answer_stays_near_to_what_it_is_told() -> None:
    side, area = quantity("side", -30.0, 30.0), quantity("area", 0.0, 900.0)
    of = network([side, area], [relation("square", area.symbol, side.symbol**2)])
    program = of.plan(["area"]).program
    for near, root in (({"side": -3.0}, -4.0), ({"side": 2.0}, 4.0)):
        assert program.run({"area": 16.0}, near).values["side"] == pytest.approx(root)
        # names that have no choice, and what is no number, are passed over
        more = {**near, "area": 7.0, "unknown": 1.0}
        assert program.run({"area": 16.0}, more).values["side"] == pytest.approx(root)
    plain = program.run({"area": 16.0}).values
    assert program.run({"area": 16.0}, {"side": math.nan}).values == plain
    both = of.plan(["area", "side"]).program  # what is given besides is meant
    assert both.run({"area": 16.0, "side": 4.0}, {"side": -4.0}).problems == []


def test_an_answer_of_a_loop_stays_near_too() -> None:
    x, level = quantity("x", 0.0, 10.0), quantity("level", -5.0, 5.0)
    of = network([x, level], [relation("wave", sp.sin(x.symbol) + x.symbol / 50, level.symbol)])
    program = of.plan(["level"]).program
    answers = program.run({"level": 0.5}).alternatives["x"]
    assert len(answers) > 2
    for answer in answers:
        assert program.run({"level": 0.5}, {"x": answer + 0.05}).values["x"] == answer


# -- sympy is not touched again ------------------------------------------------------------------

_SYMPY = str(Path(sp.__file__).parent)


def sympy_calls(action: Callable[[], object]) -> int:
    """How many functions of sympy's own files are entered while `action` runs."""
    count = 0

    def watch(frame: FrameType, event: str, argument: object) -> None:
        nonlocal count
        if event == "call" and frame.f_code.co_filename.startswith(_SYMPY):
            count += 1

    sys.setprofile(watch)
    try:
        action()
    finally:
        sys.setprofile(None)
    return count


GIVENS = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


@pytest.mark.parametrize("extra", [{}, {"foot_spread": 700.0}, {"tipping_load": 250.0}], ids=str)
def test_a_second_solution_of_the_same_plan_never_enters_sympy(extra: dict[str, float]) -> None:
    of = unseen(families.network("table"))

    def answer(givens: dict[str, float]) -> None:
        sheet = of.solve(givens)
        assert sheet.values and sheet.checks
        assert isinstance(sheet.to_json(), dict)

    assert sympy_calls(lambda: answer({**GIVENS, **extra})) > 1000, "the watch does not work"
    moved = {**GIVENS, **extra, "top_diameter": 930.0, "table_height": 740.0}
    assert sympy_calls(lambda: answer(moved)) == 0


def test_a_sweep_after_the_first_never_enters_sympy() -> None:
    program = families.network("table").plan(tuple(GIVENS)).program
    first = list(program.chunks(designs(BRIEFS[0], 10), ["post_length"]))
    assert len(first) == 1
    assert sympy_calls(lambda: list(program.chunks(designs(BRIEFS[0], 10, 9), ["splay"]))) == 0
