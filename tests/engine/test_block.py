"""Relations that must hold together: every answer in range is found, wherever it hides."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest
import sympy as sp
from scipy.optimize import brentq

from tablekit.engine.network import Network
from tablekit.engine.order import TogetherStep
from tablekit.engine.program import Program
from tablekit.engine.quantity import Quantity
from tablekit.engine.roots import sample_points
from tablekit.engine.trouble import Contradiction, NotEnoughGiven
from tests.engine.small_networks import guess, network, quantity, relation

k = quantity("k", -1000, 1000)


def one(form: sp.Expr, low: float, high: float, assumed: float | None = None) -> Network:
    """A network whose only relation, form(x) = k, has no closed form for x."""
    x = quantity("x", low, high)
    return network(
        [x, k],
        [relation("loop", form, k.symbol)],
        [] if assumed is None else [guess(x, assumed)],
    )


def answers(of: Network, level: float, name: str = "x") -> tuple[float, list[float]]:
    """The value taken and all that were found, for k = level."""
    outcome = of.plan(["k"]).program.run({"k": level})
    assert not outcome.problems, outcome.problems
    taken = outcome.values[name]
    return taken, sorted(outcome.alternatives.get(name, [taken]))


def tried(of: Network, *names: str) -> tuple[str, ...]:
    (step,) = (s for s in of.plan(names).steps if isinstance(s, TogetherStep))
    return step.tried


def in_arrays(of: Network, levels: Sequence[float], name: str = "x") -> list[float]:
    """What a sweep finds; nan where it says that the design does not hold."""
    found: list[float] = []
    for where, known, good in of.plan(["k"]).program.chunks({"k": np.asarray(levels)}, [name]):
        column = np.broadcast_to(known[name], where.stop - where.start)
        found += np.where(good, column, np.nan).tolist()
    return found


def X(low: float, high: float) -> sp.Symbol:
    return quantity("x", low, high).symbol


# -- one value tried -----------------------------------------------------------------------------

SMOOTH = [
    (lambda x: x + sp.sin(x), 0.0, 3.0),
    (lambda x: x * sp.exp(x), 0.0, 4.0),
    (lambda x: x + sp.sqrt(x), 0.01, 900.0),
    (lambda x: x**3 + x, 0.1, 80.0),
    (lambda x: x - sp.cos(x), -3.0, 3.0),
]


@pytest.mark.parametrize(("form", "low", "high"), SMOOTH)
def test_the_value_put_in_comes_back(form: object, low: float, high: float) -> None:
    x = X(low, high)
    of = one(form(x), low, high)  # type: ignore[operator]
    forward = sp.lambdify(x, form(x), "math")  # type: ignore[operator]
    true = np.random.default_rng(0).uniform(low, high, 40)
    levels = [forward(v) for v in true]
    for value, level in zip(true, levels, strict=True):
        taken, every = answers(of, level)
        assert taken == pytest.approx(value, rel=1e-11)
        assert len(every) == 1
    assert in_arrays(of, levels) == pytest.approx(true, rel=1e-11)


@pytest.mark.parametrize(("assumed", "nearest"), [(0.3, 0.5), (2.9, math.pi - 0.5), (1.4, 0.5)])
def test_two_answers_are_both_reported_and_the_one_nearest_the_assumed_is_taken(
    assumed: float, nearest: float
) -> None:
    """sin x + (x - x) hides sin x from the rearranger: answers at 0.5 and at π - 0.5."""
    x = X(0, math.pi)
    of = one(sp.sin(x) + sp.sin(x) ** 3, 0, math.pi, assumed)
    level = math.sin(0.5) + math.sin(0.5) ** 3
    taken, every = answers(of, level)
    assert taken == pytest.approx(nearest, rel=1e-12)
    assert every == pytest.approx([0.5, math.pi - 0.5], rel=1e-12)
    assert in_arrays(of, [level] * 3) == pytest.approx([nearest] * 3, rel=1e-11)
    sheet = of.solve({"k": level})
    assert sheet.alternatives["x"] == pytest.approx((0.5, math.pi - 0.5))
    (note,) = sheet.notes
    assert note.startswith(f"x could be 0.5 or 2.642; {sheet.shop('x')} was taken")


GRID = np.linspace(0, 10, 193)  # where the kit samples a range of 0 to 10
HIDDEN = [
    # the middle between the two answers, and half their distance
    (4.0, 0.02),
    (float(GRID[40] + GRID[41]) / 2, 0.01),  # in the middle of a cell of the sampling
    (float(GRID[40]), 0.01),  # astride a sample
    (0.03, 0.02),  # in the first cell
    (9.97, 0.02),  # in the last cell
    (5.0, 1e-4),
    (5.03, 2e-6),
]


@pytest.mark.parametrize(("middle", "half"), HIDDEN)
def test_two_answers_close_together_are_both_found(middle: float, half: float) -> None:
    x = X(0, 10)
    form = (x - middle) ** 2 * (1 + x**4 / 1e4)  # lopsided, so that no symmetry helps
    of = one(form - half**2 * (1 + x**4 / 1e4), 0, 10)
    _, every = answers(of, 0.0)
    assert every == pytest.approx([middle - half, middle + half], abs=1e-7)


@pytest.mark.parametrize("middle", [m for m, _ in HIDDEN] + [1e-9, 10 - 1e-9, 3.3])
def test_a_root_that_only_touches_is_found(middle: float) -> None:
    x = X(0, 10)
    of = one((x - middle) ** 2 * (1 + x), 0, 10)
    taken, every = answers(of, 0.0)
    # at a double root half the figures of a float are all there are
    assert taken == pytest.approx(middle, abs=2e-7)
    assert len(every) == 1


@pytest.mark.parametrize("middle", [float(GRID[40] + GRID[41]) / 2, float(GRID[40]), 3.3])
def test_a_touching_root_of_a_symmetric_form(middle: float) -> None:
    x = X(0, 10)
    of = one(sp.cosh(x - middle) + (x - middle) ** 2 - 1, 0, 10)
    assert answers(of, 0.0)[0] == pytest.approx(middle, abs=2e-7)


@pytest.mark.parametrize("edge", [0.5, 7.3])
@pytest.mark.parametrize("form", [f for f, _, _ in SMOOTH])
def test_an_answer_at_the_very_edge_of_the_range(form: object, edge: float) -> None:
    x = X(0.5, 7.3)
    of = one(form(x), 0.5, 7.3)  # type: ignore[operator]
    forward = sp.lambdify(x, form(x), "math")  # type: ignore[operator]
    exact = forward(edge)
    for level in (exact, math.nextafter(exact, 1e9), math.nextafter(exact, -1e9)):
        assert answers(of, level)[0] == pytest.approx(edge, rel=1e-9)
        assert in_arrays(of, [level]) == pytest.approx([edge], rel=1e-9)


def test_answers_on_and_beside_every_sample() -> None:
    """math and numpy differ by the last bit of a sine: no root may be lost, or crash, for that."""
    low, high = 0.1, 3.0
    x = X(low, high)
    of = one(x + sp.sin(x), low, high)
    true, levels = [], []
    for sample in sample_points(low, high):
        for forward in (lambda v: v + math.sin(v), lambda v: float(v + np.sin(v))):
            level = forward(float(sample))
            for near in (level, math.nextafter(level, 9), math.nextafter(level, -9)):
                true.append(float(sample))
                levels.append(near)
    for value, level in zip(true, levels, strict=True):
        assert answers(of, level)[0] == pytest.approx(value, rel=1e-9)
    assert in_arrays(of, levels) == pytest.approx(true, rel=1e-9)


def test_answers_near_the_edge_of_what_is_real() -> None:
    """sqrt(x - 5) has no value over most of the range; the answer lies just inside."""
    x = X(0, 100)
    of = one(sp.sqrt(x - 5) + x, 0, 100)
    for true in (5.0 + 1e-6, 5.01, 5.5, 6.0, 50.0):
        level = math.sqrt(true - 5) + true
        assert answers(of, level)[0] == pytest.approx(true, rel=1e-9)
        assert in_arrays(of, [level, 70.0])[0] == pytest.approx(true, rel=1e-9)


def test_real_only_in_a_window_between_two_samples() -> None:
    """One design is sampled more closely before it is given up; a still narrower window is
    missed and said to have no answer, never a wrong one."""
    x = X(0, 100)
    samples = sample_points(0, 100)
    low, high = samples[150] + 0.2, samples[150] + 0.6
    form = sp.sqrt((x - low) * (high - x)) + x
    level = math.sqrt(0.1 * 0.3) + low + 0.1
    assert samples[150] < low and high < samples[151]
    assert answers(one(form, 0, 100), level)[0] == pytest.approx(low + 0.1)
    narrow = sp.sqrt((x - low) * (low + 1e-4 - x)) + x
    (problem,) = one(narrow, 0, 100).plan(["k"]).program.run({"k": low + 5e-5}).problems
    assert problem.kind == "no root"


def test_a_pole_is_not_an_answer() -> None:
    x = X(0.1, 10)
    of = one(1 / (x - 3) + x**3 / 1000, 0.1, 10)
    _, every = answers(of, 5.0)
    forward = sp.lambdify(x, 1 / (x - 3) + x**3 / 1000)
    assert len(every) == 1 and forward(every[0]) == pytest.approx(5.0)
    assert in_arrays(of, [5.0]) == pytest.approx(every)


def test_no_answer_is_a_problem_and_names_the_loop() -> None:
    x = X(0, 3)
    of = one(x + sp.sin(x), 0, 3)
    (problem,) = of.plan(["k"]).program.run({"k": 7.0}).problems
    assert (problem.kind, problem.name, problem.low, problem.high) == ("no root", "x", 0, 3)
    assert problem.relation is not None and problem.relation.name == "loop"
    assert np.isnan(in_arrays(of, [7.0, 1.0])).tolist() == [True, False]
    with pytest.raises(Contradiction, match="no x between 0 and 3 was found that makes them fit"):
        of.solve({"k": 7.0})


def test_a_loop_that_closes_wherever_it_is_tried_settles_nothing() -> None:
    """x + y = k and 2x + 2y = 2k say the same: neither x nor y is to be had from k."""
    x, y = quantity("x", 0.1, 10), quantity("y", 0.1, 10)
    total = x.symbol + y.symbol
    of = network(
        [k, x, y], [relation("one", total, k.symbol), relation("two", total**2, k.symbol**2)]
    )
    assert of.plan(["k"]).free == ()  # from names alone all seems settled
    (problem,) = of.plan(["k"]).program.run({"k": 5.0}).problems
    assert problem.kind == "open"
    assert np.isnan(in_arrays(of, [5.0, 6.0])).all()
    with pytest.raises(NotEnoughGiven) as caught:
        of.solve({"k": 5.0})
    assert caught.value.free == ("x", "y")
    assert set(caught.value.settling) == {("x",), ("y",)}


def test_what_is_not_known_gives_no_answer() -> None:
    """A block downstream of a failure adds no complaint of its own."""
    x, y = quantity("x", 0, 10), quantity("y", 0.1, 10)
    of = network(
        [k, y, x],
        [
            relation("before", y.symbol, sp.sqrt(k.symbol)),
            relation("loop", x.symbol + sp.sin(x.symbol), y.symbol),
        ],
    )
    found = of.plan(["k"]).program.run({"k": -4.0}).problems
    assert found[0].kind == "undefined" and found[0].name == "y"


# -- what follows from the value tried -----------------------------------------------------------


def branching() -> Network:
    """x² + y² = 25 with x + sin x + y = k: whichever is tried, the other has two signs."""
    x, y = quantity("x", -10, 10), quantity("y", -10, 10)
    return network(
        [k, x, y],
        [
            relation("circle", x.symbol**2 + y.symbol**2, 25),
            relation("loop", x.symbol + sp.sin(x.symbol) + y.symbol, k.symbol),
        ],
    )


@pytest.mark.parametrize(
    ("x", "y"), [(3.0, 4.0), (3.0, -4.0), (-3.0, 4.0), (-3.0, -4.0), (-4.9, -0.995)]
)
def test_the_other_sign_of_what_follows_is_looked_at_too(x: float, y: float) -> None:
    y = math.copysign(math.sqrt(25 - x * x), y)
    level = x + math.sin(x) + y
    of = branching()
    outcome = of.plan(["k"]).program.run({"k": level})
    assert not outcome.problems
    (name,) = tried(of, "k")
    wanted = {"x": x, "y": y}[name]
    every = outcome.alternatives.get(name, [outcome.values[name]])
    assert min(abs(v - wanted) for v in every) < 1e-9
    column = in_arrays(of, [level] * 2, name)
    assert column == pytest.approx([outcome.values[name]] * 2, rel=1e-9)


def test_an_answer_invented_by_squaring_is_not_taken() -> None:
    """√(x y) = 2 z − 2.67 is turned round by squaring: z = 0.33 would do for the square alone."""
    x, y, z = quantity("x", 0.05, 60), quantity("y", 0.05, 60), quantity("z", 0.05, 60)
    root = sp.sqrt(x.symbol * y.symbol)
    of = network(
        [x, y, z],
        [
            relation("one", root + 2.670999, 2 * z.symbol),
            relation("two", root + 0.8012997, 1.3 * z.symbol),
        ],
    )
    outcome = of.plan(["x"]).program.run({"x": 2.670999})
    assert not outcome.problems
    assert outcome.values["z"] == pytest.approx(2.670999)
    assert outcome.alternatives == {}
    ((_, known, good),) = of.plan(["x"]).program.chunks({"x": np.array([2.670999])}, ["z"])
    assert good.all() and known["z"][0] == pytest.approx(2.670999)


@pytest.mark.parametrize("signs", list(product((1, -1), repeat=3)))
def test_every_way_of_taking_the_roots_is_gone_through(signs: tuple[int, ...]) -> None:
    """Three circles round x, each with a root of either sign: eight ways to what is given."""
    x, *others = (quantity(name, -10, 10) for name in "xpqr")
    circles = [
        relation(f"circle {i}", x.symbol**2 + other.symbol**2, 25 + 30 * i)
        for i, other in enumerate(others)
    ]
    p, q, r = (other.symbol for other in others)
    total = x.symbol + sp.sin(x.symbol) + p + 2 * q + 4 * r
    of = network([k, x, *others], [*circles, relation("loop", total, k.symbol)], wishes=["x"])
    assert tried(of, "k") == ("x",)
    level = 1.0 + math.sin(1.0)
    level += sum(2**i * s * math.sqrt(24 + 30 * i) for i, s in enumerate(signs))
    _, every = answers(of, level)
    assert min(abs(value - 1.0) for value in every) < 1e-9
    assert every == pytest.approx(by_signs(level), abs=1e-8)


def by_signs(level: float) -> list[float]:
    """The same answers from scipy, one way of taking the signs after another."""
    found: list[float] = []
    grid = np.linspace(-5, 5, 4000)  # none of them a root itself
    for signs in product((1, -1), repeat=3):

        def left(v: float, signs: tuple[int, ...] = signs) -> float:
            roots = (math.sqrt(max(25 + 30 * i - v * v, 0)) for i in range(3))
            return v + math.sin(v) + sum(2**i * s * r for i, (s, r) in enumerate(
                zip(signs, roots, strict=True))) - level  # fmt: skip

        sizes = [left(float(v)) for v in grid]
        found += [
            float(brentq(left, a, b, xtol=1e-14))
            for a, b, f, g in zip(grid, grid[1:], sizes, sizes[1:], strict=False)
            if f * g < 0
        ]
    return sorted(found)


def squares(of: tuple[Quantity, ...]) -> list[sp.Expr]:
    """As many forms that each mix all of the quantities, so that none can be had from another."""
    symbols = [q.symbol for q in of]
    total = sp.Add(*symbols)
    return [symbol + sp.sin(symbol * total / 4) / 3 + total**3 / 60 for symbol in symbols]


@pytest.mark.parametrize("count", [2, 3])
def test_several_values_tried_at_once(count: int) -> None:
    of_x = tuple(quantity(f"x{i}", 0.1, 3) for i in range(count))
    levels = tuple(quantity(f"k{i}", -100, 100) for i in range(count))
    forms = squares(of_x)
    of = network(
        [*levels, *of_x],
        [relation(f"r{i}", forms[i], levels[i].symbol) for i in range(count)],
    )
    names = [q.name for q in levels]
    program = of.plan(names).program
    (step,) = program.plan.steps
    assert isinstance(step, TogetherStep)
    assert len(step.tried) == count
    forward = sp.lambdify([q.symbol for q in of_x], forms, "math")
    random = np.random.default_rng(4)
    found: list[list[float]] = []
    rows: list[list[float]] = []
    for _ in range(25):
        true = random.uniform(0.2, 2.9, count)
        row = forward(*true)
        outcome = program.run(dict(zip(names, row, strict=True)))
        assert not outcome.problems
        ways = len(outcome.alternatives.get("x0", [0]))
        each = [outcome.alternatives.get(q.name, [outcome.values[q.name]]) for q in of_x]
        assert any(
            all(abs(each[i][way] - true[i]) < 1e-8 for i in range(count)) for way in range(ways)
        )
        rows.append(row)
        found.append([outcome.values[q.name] for q in of_x])
    columns = dict(zip(names, np.array(rows).T, strict=True))
    ((_, known, good),) = program.chunks(columns, [q.name for q in of_x])
    assert good.all()
    swept = np.array([known[q.name] for q in of_x]).T
    np.testing.assert_allclose(swept, np.array(found), rtol=1e-9)


def test_two_values_tried_and_no_answer() -> None:
    x, y = quantity("x", 0.1, 3), quantity("y", 0.1, 3)
    u, v = squares((x, y))
    of = network([k, x, y], [relation("one", u, k.symbol), relation("two", v, 2 * k.symbol)])
    assert len(tried(of, "k")) == 2
    (problem,) = of.plan(["k"]).program.run({"k": 50.0}).problems
    assert problem.kind == "no root"


# -- the table -----------------------------------------------------------------------------------


def test_floats_and_arrays_agree_on_the_tables_own_loops() -> None:
    from tablekit.relations import families

    of = families.network("table")
    names = ("table_height", "top_diameter", "post_section", "foot_spread", "overhang")
    program: Program = of.plan(names).program
    assert any(isinstance(s, TogetherStep) for s in program.plan.steps)
    random = np.random.default_rng(0)
    columns = {
        "table_height": random.uniform(0.60, 0.90, 60),
        "top_diameter": random.uniform(0.70, 1.10, 60),
        "post_section": random.uniform(0.045, 0.08, 60),
        "foot_spread": random.uniform(0.15, 0.90, 60),
        "overhang": random.uniform(0.0, 0.4, 60),
    }
    ((_, known, good),) = program.chunks(columns, program.plan.found)
    held = 0
    for i in range(60):
        outcome = program.run({n: float(c[i]) for n, c in columns.items()})
        assert good[i] == (not outcome.problems)
        if good[i]:
            held += 1
            for name in ("post_length", "splay", "notch_position", "tipping_load"):
                value = np.broadcast_to(known[name], 60)[i]
                assert value == pytest.approx(outcome.values[name], rel=1e-9)
    assert 10 < held < 60
