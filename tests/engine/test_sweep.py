"""Many designs at once: the same numbers as one at a time, and a reason for each that cannot be."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest

from tablekit.engine.bands import outside
from tablekit.engine.judge import in_words
from tablekit.engine.network import Network
from tablekit.engine.relation import Limit
from tablekit.engine.sweeps import GradualMap, pareto_front, sweep, sweep_chunks
from tablekit.engine.trouble import DesignError, NotEnoughGiven, UnknownName
from tablekit.relations.families import network
from tests.engine.small_networks import network as engine_network
from tests.engine.small_networks import quantity, relation
from tests.engine.test_program import sympy_calls

TABLE = network("table")
PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
LOW_HIGH = {
    "table_height": (60.0, 1600.0), "top_diameter": (90.0, 2000.0), "post_section": (8.0, 320.0),
    "foot_radius": (50.0, 900.0), "notch_position": (50.0, 900.0), "splay": (4.0, 82.0),
}  # fmt: skip
BRIEFS = [
    ("table_height", "top_diameter", "post_section"),
    ("table_height", "top_diameter", "post_section", "foot_radius"),
    ("table_height", "top_diameter", "post_section", "notch_position", "splay"),
]


def drawn(names: tuple[str, ...], count: int, seed: int) -> dict[str, np.ndarray]:
    random = np.random.default_rng(seed)
    return {name: random.uniform(*LOW_HIGH[name], count) for name in names}


@pytest.mark.parametrize("names", BRIEFS, ids=" ".join)
def test_sweep_is_solving_one_at_a_time(names: tuple[str, ...]) -> None:
    # independent: every design solved by itself along the plan, put back into every relation by
    # `solve`, which refuses what gave way too far
    givens = drawn(names, 120, seed=3)
    plan = TABLE.plan(names)
    found = sweep(TABLE, givens)
    assert found.ok.any() and not found.ok.all()
    for index in range(found.ok.size):
        one = {name: float(column[index]) for name, column in givens.items()}
        si = {name: TABLE.quantities[name].to_si(number) for name, number in one.items()}
        try:
            sheet = TABLE.solve(one, why=False)
        except DesignError:
            if found.ok[index]:
                assert outside(plan, plan.program.run(si).values), one
                continue
            assert not found.ok[index], one
            assert found.why(index)
            assert all(np.isnan(column[index]) for column in found.values.values())
            continue
        assert sheet.plan is plan and found.ok[index] and found.why(index) == ""
        for name, column in found.values.items():
            expected = sheet.number(name)
            assert column[index] == pytest.approx(expected, rel=1e-12, abs=1e-12, nan_ok=True), name


@pytest.mark.parametrize("names", BRIEFS, ids=" ".join)
def test_reasons_are_among_those_of_one_design(names: tuple[str, ...]) -> None:
    givens = drawn(names, 120, seed=4)
    found = sweep(TABLE, givens)
    program = TABLE.plan(names).program
    for index in np.nonzero(~found.ok)[0]:
        one = {name: float(column[index]) for name, column in givens.items()}
        outside = [
            name
            for name, number in one.items()
            if not TABLE.quantities[name].low <= number <= TABLE.quantities[name].high
        ]
        why = found.why(int(index))
        if outside:
            assert why.split(" is ")[0] in outside
            continue
        si = {name: TABLE.quantities[name].to_si(number) for name, number in one.items()}
        problems = program.run(si).problems
        assert why in [in_words(problem, TABLE) for problem in problems]


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"table_height": 90.0}, "table_height is below 100 mm"),
        ({"top_diameter": 3001.0}, "top_diameter is above 3000 mm"),
        ({"top_diameter": np.nan}, "top_diameter is no number"),
        ({"table_height": 300.0, "post_section": 150.0}, "stays clear of the"),
        ({"foot_radius": 2500.0},
         "no splay between 5 and 80 deg was found that makes the relations fit"),
        ({"top_thickness": 28.0, "knee_clearance": 500.0},
         "knee_clearance was given but follows from the others, and differs"),
        ({"table_height": 1500.0, "splay": 70.0}, "post_length would be above 4000 mm"),
        ({"foot_radius": 450.0, "foot_spread": 900.0, "post_length": 1100.0}, "foot_spread was"),
    ],
)  # fmt: skip
def test_the_reason_in_words(changed: dict[str, float], why: str) -> None:
    found = sweep(TABLE, {**PLAIN, **changed})
    assert not found.ok and why in found.why()


def test_a_value_left_out_is_nan_in_a_design_that_holds() -> None:
    found = sweep(TABLE, {**PLAIN, "top_diameter": [420.0, 920.0]})
    assert found.ok.all()
    assert np.isnan(found["tipping_load"]).tolist() == [True, False]
    assert np.isfinite(found["total_mass"]).all()


def test_arrays_broadcast_to_any_shape() -> None:
    heights, widths = np.linspace(700, 760, 4), np.linspace(800, 1000, 5)
    givens = {**PLAIN, "table_height": heights[:, None, None], "top_diameter": widths}
    found = sweep(TABLE, givens, wanted=["post_length", "overhang"])
    assert found.shape == (4, 1, 5) == found["overhang"].shape == found.ok.shape
    assert list(found.values) == ["post_length", "overhang"]
    assert found["overhang"][2, 0, 3] == pytest.approx(
        TABLE.solve({**PLAIN, "table_height": heights[2], "top_diameter": widths[3]}).number(
            "overhang"
        ),
        rel=1e-12,
    )
    # the post does not depend on the top's width: the same in every column
    assert np.ptp(found["post_length"], axis=2).max() == 0
    one = sweep(TABLE, PLAIN)
    assert one.shape == () and one.ok
    assert float(one["post_length"]) == pytest.approx(TABLE.solve(PLAIN).number("post_length"))
    assert sweep(TABLE, {**PLAIN, "table_height": []}).ok.size == 0


# -- only what is asked for ------------------------------------------------------------------------


def parts() -> Network:
    """Two chains from a: b to c, and d to e; c holds only up to what e is."""
    a, b, c, d, e = (quantity(name, 0.0, 100.0) for name in "abcde")
    below = Limit(e.symbol - c.symbol, "c is no more than e")
    return engine_network(
        [a, b, c, d, e],
        [
            relation("to b", b.symbol, 2 * a.symbol),
            relation("to c", c.symbol, b.symbol + 1, [below]),
            relation("to d", d.symbol, a.symbol**2),
            relation("to e", e.symbol, d.symbol + 3),
        ],
    )


def test_only_the_relations_that_lead_to_what_is_asked_for_are_judged() -> None:
    of = parts()
    # b passes its range at a = 51, d its at 11, e its at √97; c is more than e nowhere: a² + 2 > 2a
    givens = {"a": [0.5, 5.0, 9.9, 10.5, 51.0]}
    assert sweep(of, givens, ["b"]).ok.tolist() == [True, True, True, True, False]
    assert sweep(of, givens, ["d"]).ok.tolist() == [True, True, True, False, False]
    assert sweep(of, givens, ["e"]).ok.tolist() == [True, True, False, False, False]
    assert sweep(of, givens, ["a"]).ok.all()
    everything = sweep(of, givens)
    assert everything.ok.tolist() == [True, True, False, False, False]
    for few in (["b"], ["a"], []):
        whole = sweep(of, givens, few, whole_design=True)
        assert whole.ok.tolist() == everything.ok.tolist()
        assert [whole.why(i) for i in range(5)] == [everything.why(i) for i in range(5)]
        assert list(whole.values) == few
    # the limit of c mentions e, so what leads to e is evaluated and judged with c
    assert sweep(of, {"a": [2.0, 9.9]}, ["c"]).ok.tolist() == [True, False]
    of_b = of.plan(["a"]).program.leading_to(["b"])
    assert [step.unknowns for step in of_b.steps] == [("b",)]
    of_c = of.plan(["a"]).program.leading_to(["c"])
    assert {step.unknowns for step in of_c.steps} == {("b",), ("c",), ("d",), ("e",)}


def test_a_program_for_some_results_is_kept_and_so_many_only() -> None:
    program = TABLE.plan(PLAIN).program
    one = program.leading_to(["post_length", "overhang"])
    assert program.leading_to(["overhang", "post_length"]) is one
    assert program.leading_to(program.plan.found) is program
    assert 0 < len(one.steps) < len(program.steps) / 2
    for name in program.plan.found[:40]:
        program.leading_to([name])
    assert program.leading_to(["post_length", "overhang"]) is not one


def test_some_results_are_those_of_the_whole_design() -> None:
    # independent: the steps are told from names alone, the values found by the whole program
    givens = drawn(BRIEFS[1], 200, seed=8)
    whole = sweep(TABLE, givens)
    for names in (["post_length"], ["overhang", "total_mass"], ["tipping_load"]):
        some = sweep(TABLE, givens, names)
        assert not (whole.ok & ~some.ok).any()
        assert (some.ok & ~whole.ok).any(), "no design fails elsewhere: the test says nothing"
        for name in names:
            np.testing.assert_allclose(some[name][whole.ok], whole[name][whole.ok], rtol=1e-9)
            assert np.isnan(some[name][~some.ok]).all()


def test_what_others_rest_on_fails_though_nobody_asked_for_them() -> None:
    """There is no b, and c rests on it: not a value that is simply left out, asked for or not."""
    a, b, c = (quantity(name, 0.0, 100.0) for name in "abc")
    only = Limit(a.symbol - 5, "a is five at least", otherwise="leave out")
    of = engine_network(
        [a, b, c],
        [relation("b", b.symbol, a.symbol + 1, [only]), relation("c", c.symbol, b.symbol)],
    )
    assert sweep(of, {"a": [4.0, 6.0]}, ["b"]).ok.tolist() == [False, True]


# -- what is no number -----------------------------------------------------------------------------


def test_what_is_masked_or_no_number_keeps_its_place_and_its_reason() -> None:
    heights = np.ma.array([735.0, 740.0, np.nan, 90.0, 745.0], mask=[0, 1, 0, 0, 0])
    for wanted in (["post_length"], None):
        found = sweep(TABLE, {**PLAIN, "table_height": heights}, wanted)
        assert found.ok.tolist() == [True, False, False, False, True]
        assert [found.why(i) for i in range(5)] == [
            "", "table_height is masked", "table_height is no number",
            "table_height is below 100 mm", "",
        ]  # fmt: skip
        assert np.isnan(found["post_length"]).tolist() == [False, True, True, True, False]
        given = found.givens["table_height"]
        np.testing.assert_array_equal(given, [735.0, np.nan, np.nan, 90.0, 745.0])
        plain = sweep(TABLE, {**PLAIN, "table_height": [735.0, 745.0]}, wanted)
        np.testing.assert_array_equal(found["post_length"][[0, 4]], plain["post_length"])


def test_masks_broadcast_and_reach_chunks() -> None:
    diameters = np.ma.masked_greater(np.linspace(800, 1000, 5), 940)[:, None]
    givens = {**PLAIN, "top_diameter": diameters, "table_height": [700.0, 735.0, 760.0]}
    found = sweep(TABLE, givens, ["overhang"])
    assert found.ok.tolist() == [[True] * 3] * 3 + [[False] * 3] * 2
    parts = list(sweep_chunks(TABLE, givens, ["overhang"], size=4))
    assert np.concatenate([part.ok for part in parts]).tolist() == found.ok.ravel().tolist()
    assert parts[-1].why(-1) == "top_diameter is masked"
    alone = sweep(TABLE, {**PLAIN, "top_diameter": np.ma.masked})
    assert not alone.ok and alone.why() == "top_diameter is masked"


def test_a_masked_given_that_nothing_asked_for_rests_on_is_told_too() -> None:
    found = sweep(parts(), {"a": np.ma.array([1.0, 2.0], mask=[0, 1])}, ["a"])
    assert found.ok.tolist() == [True, False] and found.why(1) == "a is masked"


def test_no_hair_below_zero_is_shown() -> None:
    whole, part, gap = (quantity(name, 0.0, 1000.0, "mm") for name in ("whole", "part", "gap"))
    of = engine_network(
        [whole, part, gap], [relation("gap", gap.symbol, whole.symbol - part.symbol)]
    )
    found = sweep(of, {"whole": [0.3, 5.0, 4.0], "part": [0.1 + 0.2, 4.0, 5.0]})
    assert found["gap"][0] == 0.0 and found["gap"][1] == pytest.approx(1.0)
    assert found.ok.tolist() == [True, True, False] and found.why(2) == "gap would be below 0 mm"


def test_rows_tell_givens_results_and_reasons() -> None:
    rows = sweep(TABLE, {**PLAIN, "table_height": [735.0, 90.0]}, ["post_length"]).table()
    assert rows[0]["table_height"] == 735.0 and rows[0]["ok"] is True and rows[0]["reason"] == ""
    assert rows[0]["post_length"] == pytest.approx(1152.601, abs=1e-3)
    assert rows[1]["ok"] is False and rows[1]["reason"] == "table_height is below 100 mm"


def test_too_little_given_is_refused() -> None:
    with pytest.raises(NotEnoughGiven):
        sweep(TABLE, {"table_height": [700.0, 710.0]})
    with pytest.raises(UnknownName):
        sweep(TABLE, PLAIN, wanted=["post_lenght"])
    with pytest.raises(ValueError, match="broadcast"):
        sweep(TABLE, {**PLAIN, "table_height": [1.0, 2.0], "top_diameter": [1.0, 2.0, 3.0]})


def test_chunks_join_up_to_the_sweep() -> None:
    givens = {**PLAIN, "table_height": np.linspace(80, 1600, 37)[:, None],
              "top_diameter": np.linspace(300, 1500, 41)}  # fmt: skip
    whole = sweep(TABLE, givens, ["post_length", "tipping_load"])
    parts = list(sweep_chunks(TABLE, givens, ["post_length", "tipping_load"], size=100))
    for name in whole.values:
        joined = np.concatenate([part[name] for part in parts])
        np.testing.assert_array_equal(joined, whole[name].ravel())
    heights = np.concatenate([part.givens["table_height"] for part in parts])
    np.testing.assert_array_equal(heights, whole.givens["table_height"].ravel())
    said = [part.reasons[code] for part in parts for code in part.reason]
    assert said == [whole.reasons[code] for code in whole.reason.ravel()]


def test_a_million_designs_need_little_memory() -> None:
    givens = {**PLAIN, "table_height": np.linspace(300, 1200, 1000)[:, None],
              "top_diameter": np.linspace(300, 1500, 1000)}  # fmt: skip
    next(iter(sweep_chunks(TABLE, givens, ["tipping_load"])))  # compile outside the measurement
    tracemalloc.start()
    designs, holding = 0, 0
    for part in sweep_chunks(TABLE, givens, ["tipping_load"]):
        designs += part.ok.size
        holding += int(part.ok.sum())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert designs == 1_000_000 and holding > 900_000
    assert peak < 32e6  # one result of a million doubles alone is 8e6; fifty would be 400e6


def test_the_map_has_a_row_for_each_y() -> None:
    found = GradualMap(
        TABLE, PLAIN, ("table_height", 200.0, 900.0), ("post_section", 20.0, 200.0), (8, 6)
    ).finish()
    assert found.ok.shape == (6, 8) and found.ok.any() and not found.ok.all()
    for row, column in np.ndindex(6, 8):
        one = {**PLAIN, "table_height": found.x[column], "post_section": found.y[row]}
        assert sweep(TABLE, one).ok == found.ok[row, column]


def test_the_map_never_enters_sympy_twice() -> None:
    def draw(low: float) -> None:
        spans = ("table_height", low, 900.0), ("post_section", 20.0, 200.0)
        GradualMap(TABLE, PLAIN, *spans).finish()

    draw(200.0)
    assert sympy_calls(lambda: draw(250.0)) == 0


@pytest.mark.parametrize("maximise", [(True, False), (True, True), (False, False), (False, True)])
def test_pareto_front_by_brute_force(maximise: tuple[bool, bool]) -> None:
    # independent: every design compared with every other; whole numbers make ties
    random = np.random.default_rng(11)
    for _ in range(40):
        a, b = random.integers(0, 12, (2, 60)).astype(float)
        ok = random.random(60) < 0.8
        a[random.random(60) < 0.05] = np.nan
        up_a, up_b = a * (1 if maximise[0] else -1), b * (1 if maximise[1] else -1)
        good = [i for i in range(60) if ok[i] and np.isfinite(a[i])]
        front = {
            i
            for i in good
            if not any(
                up_a[j] >= up_a[i] and up_b[j] >= up_b[i]
                and (up_a[j] > up_a[i] or up_b[j] > up_b[i])
                for j in good
            )
        }  # fmt: skip
        found = pareto_front(a, b, ok, maximise)
        assert set(found.tolist()) == front and len(found) == len(front)
        assert np.all(np.diff(up_a[found]) <= 0)


def test_pareto_front_of_nothing_is_empty() -> None:
    assert pareto_front([1.0, 2.0], [1.0, 2.0], [False, False]).size == 0
    assert pareto_front([], []).size == 0
