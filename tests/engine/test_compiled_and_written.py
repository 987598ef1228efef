"""Compiled functions against what they are of, and formulas and working as they are written."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.codegen import chooser, compile_vector, prepare
from tablekit.engine.formula import FormulaWriter, Piece, Plain, Tex
from tablekit.engine.network import Network
from tests.engine.small_networks import guess, network, quantity, relation

X, Y = sp.symbols("x y", real=True)


def both_ways(expression: sp.Expr, points: list[float]) -> list[float]:
    """A function of x compiled for floats and for arrays, which must say the same."""
    ready = [prepare(expression, {})]
    (found,) = compile_vector([X], ready, arrays=True)(np.array(points))
    of_floats = compile_vector([X], ready, arrays=False)
    one_by_one = [float(of_floats(x)[0]) for x in points]
    assert np.broadcast_to(found, len(points)).tolist() == one_by_one
    return one_by_one


def test_least_and_most_and_their_slopes() -> None:
    points = [-1.0, 2.0, 5.0]
    assert both_ways(sp.Min(X, 2), points) == [-1, 2, 2]
    assert both_ways(sp.Max(X, 2, -X), points) == [2, 2, 5]
    # Half of each side where they meet.
    assert both_ways(sp.diff(sp.Min(X, 2), X), points) == [1, 0.5, 0]
    assert both_ways(sp.diff(sp.Max(X, 2), X), points) == [0, 0.5, 1]


def test_size_sign_and_constants_put_in() -> None:
    points = [-1.5, 0.0, 4.0]
    assert both_ways(sp.Abs(X), points) == [1.5, 0, 4]
    assert both_ways(sp.sign(X), points) == [-1, 0, 1]
    gravity = sp.Symbol("g", positive=True)
    (weight,) = compile_vector([X], [prepare(gravity * X, {gravity: 9.5})], arrays=False)(2.0)
    assert weight == 19.0
    folded = prepare(sp.sqrt(3) * X + sp.pi, {})
    assert {float(n) for n in folded.atoms(sp.Float)} == {math.sqrt(3), math.pi}


def test_what_many_expressions_share_is_worked_out_alike() -> None:
    """Long enough that common parts are drawn out; the same numbers by plain evaluation."""
    part = sp.sqrt(1 + sp.sin(X) ** 2) * sp.exp(Y / 7)
    every = [sp.cos(k * part) + part / (k + 1) + X**k for k in range(1, 25)]
    found = compile_vector([X, Y], every, arrays=True)(np.array([0.3, 2.0]), np.array([1.0, -3.0]))
    for column, expression in zip(found, every, strict=True):
        for at, (x, y) in enumerate(((0.3, 1.0), (2.0, -3.0))):
            assert column[at] == pytest.approx(float(expression.subs({X: x, Y: y})), rel=1e-12)


@pytest.mark.parametrize("arrays", [False, True])
def test_of_several_branches_the_nearest_inside_is_taken(arrays: bool) -> None:
    choose = chooser(0.0, 10.0, arrays=arrays)
    for preferred, branches, taken in (
        (4.0, (3.0, 6.0), 3.0),  # the nearer
        (5.0, (3.0, 6.0), 6.0),
        (5.0, (-1.0, 9.0), 9.0),  # the one inside, though the other were nearer
        (0.0, (-1.0, 9.0), 9.0),
        (9.0, (10.5, 1.0), 1.0),
        (5.0, (-4.0, 12.0), 12.0),  # none inside: the one that lies least outside
        (5.0, (-2.0, 15.0), -2.0),
        (5.0, (math.nan, 7.0), 7.0),
        (5.0, (7.0, math.nan), 7.0),
        (5.0, (10.0 + 1e-9, -3.0), 10.0 + 1e-9),  # the last bits of a float are inside
    ):
        assert float(choose(preferred, *branches)) == taken
    assert math.isnan(float(choose(5.0, math.nan, math.nan)))


def test_branches_are_chosen_design_by_design() -> None:
    choose = chooser(0.0, 10.0, arrays=True)
    preferred = np.array([1.0, 9.0, 5.0])
    found = choose(preferred, np.array([2.0, 2.0, -1.0]), 8.0)
    assert found.tolist() == [2.0, 8.0, 8.0]


# -- formulas -------------------------------------------------------------------------------------


def plain(expression: sp.Expr) -> str:
    return FormulaWriter(Plain(), lambda symbol: Piece(symbol.name)).text(expression)


def tex(expression: sp.Expr) -> str:
    return FormulaWriter(Tex(), lambda symbol: Piece(symbol.name)).text(expression)


def test_a_fraction_in_tex_needs_no_brackets_and_in_plain_text_does() -> None:
    a, b, c = sp.symbols("a b c", positive=True)
    assert tex(1 / (a + b)) == r"\frac{1}{a + b}"
    assert tex((a + b) / c) == r"\frac{a + b}{c}"
    assert tex(a * b / c) == r"\frac{a \, b}{c}"
    assert plain(1 / (a + b)) == "1/(a + b)"
    assert plain((a + b) / c) == "(a + b)/c"
    assert plain(a / (b * c)) == "a/(b·c)"


def test_signs_powers_and_numbers() -> None:
    a, b = sp.symbols("a b", positive=True)
    assert plain(-a * b) == "−a·b" and tex(-a) == "-a"
    assert plain(b - a) == "b − a"  # a sum does not open with a minus sign
    assert plain(2 * a / 3) == "2·a/3"
    assert plain(a / 3) == "a/3"
    assert plain(a**2) == "a²" and tex(a**2) == "a^{2}"
    assert plain(sp.sqrt(a)) == "√a" and tex(sp.sqrt(a + b)) == r"\sqrt{a + b}"
    assert plain((a + b) ** 2) == "(a + b)²"
    assert plain(a ** sp.Rational(-1)) == "1/a"
    assert plain(sp.Min(a, b)) == "min(a; b)" and plain(sp.floor(a)) == "⌊a⌋"


def test_numbers_put_in_are_written_as_they_are_read() -> None:
    assert plain(sp.Float(0.5)) == "0.5" and plain(sp.Integer(3)) == "3"
    assert plain(sp.Rational(1, 4)) == "1/4"
    assert plain(sp.Float(1e-12)) == "10⁻¹²"
    assert plain(sp.Float(1234.5)) == "1234.5"


# -- working --------------------------------------------------------------------------------------


def tank() -> Network:
    deep, base, holds = quantity("deep"), quantity("base"), quantity("holds", high=1e6)
    filled = relation("filled", holds.symbol, base.symbol * deep.symbol)
    return network([deep, base, holds], [filled], [guess(base, 4)])


def test_a_relation_is_shown_as_declared_before_it_is_turned_round() -> None:
    sheet = tank().solve({"holds": 20.0})
    whole = re.sub(r"\s+", " ", sheet.working("deep").text())
    assert "holds = base·deep deep = holds/base = 20/4 = 5" in whole
    brief = re.sub(
        r"\s+",
        " ",
        sheet.working(
            "deep",
        ).text(brief=True),
    )
    assert "holds = base·deep" not in brief and "deep = holds/base = 20/4 = 5" in brief


def test_a_relation_that_needs_no_turning_round_is_shown_once() -> None:
    text = re.sub(r"\s+", " ", tank().solve({"deep": 5.0}).working("holds").text())
    assert text.count("base·deep") == 1 and "holds = base·deep = 4 × 5 = 20" in text


def test_what_is_given_has_no_other_answers() -> None:
    side, area = quantity("side", -30, 30), quantity("area")
    of = network([side, area], [relation("square", area.symbol, side.symbol**2)])
    assert of.solve({"area": 16.0}).alternatives == {"side": pytest.approx((-4, 4))}
    assert of.solve({"area": 900.0}).alternatives == {"side": pytest.approx((-30, 30))}  # the ends
    assert of.solve({"side": 4.0}).alternatives == {}
    short = quantity("side", -3, 30)  # the other answer lies outside
    only = network([short, area], [relation("square", area.symbol, short.symbol**2)])
    assert only.solve({"area": 16.0}).alternatives == {}
    both = of.solve({"side": 4.0, "area": 16.0})
    assert both.alternatives == {} and both.number("side") == 4.0
