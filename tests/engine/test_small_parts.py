"""Small parts of the engine taken by themselves: what dimensions are called, where roots are looked
for, which designs are looked at twice, and how sums are set in TeX."""

from __future__ import annotations

import math

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.as_cut import difference
from tablekit.engine.codegen import magnitude
from tablekit.engine.declarations import describe
from tablekit.engine.formula import Tex
from tablekit.engine.relation import Limit
from tablekit.engine.roots import all_roots, has_deep_dip, over_range, sample_points
from tablekit.engine.sensitivity import change, slopes
from tablekit.engine.sweeps import sweep
from tablekit.engine.unit_table import Dimension
from tests.engine.small_networks import guess, network, quantity, relation
from tests.together import each

# -- dimensions in words --------------------------------------------------------------------------

# The SI brochure, 9th edition, tables 4 to 6 (from memory).
DIMENSIONS = {
    Dimension(): "a plain number",
    Dimension(length=1): "a length", Dimension(length=2): "an area",
    Dimension(length=3): "a volume", Dimension(mass=1): "a mass", Dimension(time=1): "a time",
    Dimension(current=1): "an electric current", Dimension(temperature=1): "a temperature",
    Dimension(amount=1): "an amount of substance",
    Dimension(luminous_intensity=1): "a luminous intensity or a luminous flux",
    Dimension(1, 1, -2): "a force", Dimension(1, 2, -2): "a moment or an energy",
    Dimension(1, -1, -2): "a pressure or stress", Dimension(1, 2, -3): "a power",
    Dimension(1, -3): "a density", Dimension(0, 1, -2): "an acceleration",
    Dimension(0, 1, -1): "a speed", Dimension(0, 0, -1): "a rate of turning or a frequency",
    Dimension(1, 2, -3, -1): "a voltage", Dimension(1, 2, -3, -2): "a resistance",
    Dimension(-1, -2, 4, 2): "a capacitance", Dimension(0, 0, 1, 1): "an electric charge",
}  # fmt: skip


@each(("dimension", "word"), DIMENSIONS.items())
def test_a_dimension_that_has_a_name_is_called_by_it(dimension: Dimension, word: str) -> None:
    assert describe(dimension) == word


def test_another_dimension_is_told_by_its_exponents() -> None:
    assert describe((2, -1, 0)) == "kg^2 m^-1"
    assert describe((-1, 0, 1)) == "kg^-1 s^1"
    assert describe((0, 0, 0, 1, 2, 0, -1)) == "A^1 K^2 cd^-1"


# -- roots ----------------------------------------------------------------------------------------


def test_a_range_is_spread_as_suits_it() -> None:
    shares = np.linspace(0.0, 1.0, 4)
    assert over_range(shares, 1.0, 1000.0) == pytest.approx([1, 10, 100, 1000])  # by ratio
    assert over_range(shares, 1.0, 4.0) == pytest.approx([1, 2, 3, 4])  # evenly
    # closer together towards zero, as the square or, on both sides of it, the cube
    assert over_range(shares, 0.0, 9.0) == pytest.approx([0, 1, 4, 9])
    assert over_range(shares, -27.0, 54.0) == pytest.approx([-27, -1, 2, 54])


def test_samples_reach_a_hair_past_either_end_and_never_turn_back() -> None:
    for low, high in ((0.0, 10.0), (-3.0, 2.0), (0.5, 900.0)):
        points = sample_points(low, high)
        assert (np.diff(points) > 0).all()
        assert low - 1e-6 < points[0] < low == points[1]
        assert points[-2] == high < points[-1] < high + 1e-5
        assert len(sample_points(low, high, dense=True)) > 5 * len(points)


@pytest.mark.parametrize("scale", [1e-6, 1.0, 3e5])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_dip_that_passes_between_samples_is_noticed_at_any_scale(scale: float, sign: int) -> None:
    """A parabola just through zero, just short of it, and far from it; four designs at once, since
    a dip of one must not be told of another."""
    points = np.linspace(0, 1, 11)
    bottoms = np.array([-1e-4, 1e-4, 0.5, 2.0])
    sampled = sign * scale * ((points[:, None] - 0.55) ** 2 + bottoms)
    assert has_deep_dip(points, sampled).tolist() == [True, True, False, False]


def test_the_parabola_of_a_dip_is_drawn_through_three_samples_unevenly_apart() -> None:
    # (x - 1)² + b over samples at 0, 0.8 and 3: its bottom is b, whatever the samples
    points = np.array([0.0, 0.8, 3.0])
    bottoms = np.array([0.15, 0.25])  # the higher rim is 4 + b; a twentieth of it is 0.21
    sampled = (points[:, None] - 1) ** 2 + bottoms
    assert has_deep_dip(points, sampled).tolist() == [True, False]


def test_what_only_rises_or_falls_has_no_dip() -> None:
    points = np.linspace(0, 1, 11)
    steep = np.exp(3 * points)
    sampled = np.column_stack([steep, steep[::-1], -steep, 1 + points, np.ones(11)])
    assert not has_deep_dip(points, sampled).any()


def test_roots_a_touch_and_the_edge_of_what_is_real() -> None:
    def residual(x: float) -> float:  # real from 2 on: zero at 2, at 3 and, touching, at 5
        return math.sqrt(x - 2) * (x - 3) * (x - 5) ** 2 if x >= 2 else math.nan

    points = np.linspace(0, 8, 50)
    crossings, touches = all_roots(residual, points, np.array([residual(x) for x in points]))
    assert crossings == pytest.approx([3.0], abs=1e-9) or crossings == pytest.approx(
        [2.0, 3.0], abs=1e-9
    )
    assert min(abs(x - 5) for x in touches) < 1e-5
    assert min(abs(x - 2) for x in [*touches, *crossings]) < 1e-9


@pytest.mark.parametrize("mirrored", [False, True])
def test_two_roots_between_the_edge_of_what_is_real_and_the_next_sample(mirrored: bool) -> None:
    points = np.linspace(0, 8, 50)  # the edge at 2 lies between samples at 1.96 and 2.12

    def residual(x: float) -> float:
        x = 8 - x if mirrored else x
        return (x - 2.03) ** 2 - 0.005**2 if x >= 2 else math.nan

    crossings, _ = all_roots(residual, points, np.array([residual(x) for x in points]))
    expected = [8 - 2.035, 8 - 2.025] if mirrored else [2.025, 2.035]
    assert sorted(crossings) == pytest.approx(expected, abs=1e-9)


# -- as cut ---------------------------------------------------------------------------------------


def test_a_quantity_found_otherwise_is_named_and_a_last_bit_is_not() -> None:
    a, b = quantity("a"), quantity("b")
    sheet = network([a, b], [relation("double", b.symbol, 2 * a.symbol)]).solve({"a": 400.0})
    assert difference({"a": 400.0, "b": 800.0}, sheet) == ""
    assert difference({"a": 400.0, "b": 800.0 * (1 + 1e-14)}, sheet) == ""
    assert difference({"a": 400.0, "b": 800.1}, sheet) == "b"
    assert difference({"a": 400.1, "b": 800.0}, sheet) == "a"
    assert difference({"a": 400.0}, sheet) == "b"  # not found at all


# -- slopes where there are two answers -----------------------------------------------------------


@pytest.mark.parametrize(("wanted", "root"), [(-3, -4.0), (5, 4.0)])
def test_the_slope_of_a_square_root_whichever_is_taken(wanted: int, root: float) -> None:
    side, area = quantity("side", -30.0, 30.0), quantity("area")
    square = relation("square", area.symbol, side.symbol**2)
    of = network([side, area], [square], [guess(side, wanted)])
    sheet = of.solve({"area": 16.0})
    assert sheet.number("side") == pytest.approx(root)
    answer = change(sheet, "side", "area", 0.5)
    assert answer.slope == pytest.approx(1 / (2 * root))  # d√a/da
    assert answer.partials == pytest.approx([1 / (2 * root)])  # and as the steps shown have it
    assert slopes(sheet, ["side"], ["area"])["side", "area"] == pytest.approx(1 / (2 * root))
    assert answer.actual == pytest.approx(math.copysign(math.sqrt(16.5), root) - root)


@pytest.mark.parametrize(
    ("unit", "by_unit", "shown"),
    [("mm", "mm", True), ("deg", "1", False), ("1", "deg", False)],
)
def test_an_exact_slope_is_shown_only_where_the_units_read_the_same(
    unit: str, by_unit: str, shown: bool
) -> None:
    """2√3 m a metre is 2√3 mm a millimetre, but 2√3 rad is no 2√3 degrees."""
    moved, by, twice = quantity("moved", unit=unit), quantity("by", unit=by_unit), quantity("twice")
    form = sp.sqrt(3) * by.symbol * twice.symbol
    of = network([moved, by, twice], [relation("r", moved.symbol, form)], [guess(twice, 2)])
    answer = change(of.solve({"by": 1.0}), "moved", "by", 0.1)
    assert ("= 2·√3 = " in answer.text()) == shown
    degrees = {"mm": 1, "deg": 180 / sp.pi, "1": sp.pi / 180}[unit]
    assert sp.simplify(answer.exact - 2 * sp.sqrt(3) * degrees) == 0


def test_sizes_of_parts_are_added_up_whatever_their_signs() -> None:
    a, b = sp.symbols("a b", real=True)

    def size(expression: sp.Expr) -> float:
        return float(magnitude(expression).subs({a: 3, b: -2}))

    assert size(a + b) == 5 and size(a - b) == 5
    assert size(a * (a + b)) == 15 and size(-2 * a * b) == 12
    assert size((a + b) ** 2) == 25 and size(1 / (a + b)) == 1
    assert size(sp.sin(a + b)) == pytest.approx(math.sin(1))  # nothing is looked at inside


# -- many designs ---------------------------------------------------------------------------------


def test_what_is_left_out_does_not_fail_a_design_and_what_passes_a_limit_does() -> None:
    a, b, c, d = quantity("a"), quantity("b", 0.0), quantity("c", 0.0), quantity("d")
    spared = Limit(a.symbol - 2, "a is two or more", otherwise="leave out")
    of = network(
        [a, b, c, d],
        [
            relation("root", b.symbol, sp.sqrt(a.symbol - 2), [spared]),
            relation("rest", c.symbol, 9 - a.symbol, [Limit(8 - a.symbol, "a is eight or less")]),
            relation("last", d.symbol, 2 * a.symbol, [Limit(a.symbol - 1, "a is one or more")]),
        ],
    )
    found = sweep(of, {"a": [1.0, 6.0, 8.5, 0.5]})
    assert found.ok.tolist() == [True, True, False, False]
    assert np.isnan(found["b"]).tolist() == [True, False, True, True]
    assert "a is one or more" in found.why(3)  # and not that there is no b
    assert found["b"][1] == 2.0 and found["c"][:2].tolist() == [8.0, 3.0]
    assert "a is eight or less" in found.why(2) and found.why(0) == ""


def test_two_answers_between_samples_are_found_for_many_designs_at_once() -> None:
    x, k = quantity("x", 0.0, 10.0), quantity("k", -1000.0, 1000.0)
    # two answers 0.02 apart, in the middle of a cell of the sampling, but for the last design
    middle = float(np.linspace(0, 10, 97)[40:42].mean())
    form = ((x.symbol - middle) ** 2 - 1e-4) * (1 + x.symbol**4 / 1e4)
    of = network([x, k], [relation("loop", form, k.symbol)])
    found = sweep(of, {"k": [0.0, 0.0, 4.0]})
    one = of.solve({"k": 0.0})
    assert found.ok.all()
    assert found["x"][:2] == pytest.approx([one.number("x")] * 2, abs=1e-7)
    assert abs(found["x"][0] - middle) == pytest.approx(0.01, abs=1e-7)
    value = float(form.subs(x.symbol, found["x"][2]))
    assert value == pytest.approx(4.0, rel=1e-9)


# -- TeX ------------------------------------------------------------------------------------------


def test_a_sum_in_tex_has_each_sign_where_it_belongs() -> None:
    pen = Tex()
    assert pen.add([(False, "a"), (True, "b"), (False, "c")]) == "a - b + c"
    assert pen.add([(True, "a"), (True, "b")]) == "-a - b"


def test_the_very_ends_of_a_range_are_inside_it() -> None:
    a, b = quantity("a", 2.0, 9.0), quantity("b")
    of = network([a, b], [relation("twice", b.symbol, 2 * a.symbol)])
    found = sweep(of, {"a": [2.0, 9.0, 1.999, 9.001]})
    assert found.ok.tolist() == [True, True, False, False]
    assert "a is below 2" in found.why(2) and "a is above 9" in found.why(3)


def test_what_has_no_real_answer_is_told_though_its_limit_holds() -> None:
    a, b = quantity("a"), quantity("b", 0.0)
    held = Limit(a.symbol - 1, "a is one or more")
    of = network([a, b], [relation("root", b.symbol, sp.sqrt(9 - a.symbol), [held])])
    found = sweep(of, {"a": [5.0, 10.0, 0.5]})
    assert found.ok.tolist() == [True, False, False] and found["b"][0] == 2.0
    assert found.why(1) == "'root' has no real answer for b"
    assert "a is one or more" in found.why(2)


def test_where_nothing_is_assumed_the_middle_of_the_range_is_preferred() -> None:
    even, odd = quantity("even", 2.0, 8.0), quantity("odd", -10.0, 30.0)
    of = network([even, odd], [relation("sum", even.symbol, odd.symbol)])
    program = of.plan(["even"]).program
    # Of what is never negative the geometric middle, √(2·8); else half-way.
    assert program.preferred("even") == pytest.approx(4.0, rel=1e-15)
    assert program.preferred("odd") == pytest.approx(10.0, rel=1e-15)
