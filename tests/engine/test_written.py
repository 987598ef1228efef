"""Expressions written out as Python, against sympy's own printers and against mpmath."""

import math
from collections.abc import Callable, Mapping
from itertools import product
from typing import Any

import mpmath
import numpy as np
import pytest
import sympy as sp
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tablekit.engine.codegen import (
    Unwritable,
    closing,
    compile_assignments,
    compile_vector,
    function_of,
    left_over,
    magnitude,
    size_of,
)
from tablekit.relations.bases import CROSSINGS, WAYS_UP
from tablekit.relations.families import network
from tablekit.relations.kinds import KINDS
from tests.together import each

X, Y, Z = sp.symbols("x y z", positive=True)
K = sp.Symbol("k", positive=True)  # a constant: it stands for 0.5
F = sp.Function("f")
SCALAR = {
    name: getattr(math, name)
    for name in ("sin", "cos", "tan", "asin", "acos", "atan", "exp", "log", "sqrt", "floor", "ceil")
}
SCALAR |= {"abs": math.fabs, "sign": lambda x: math.copysign(1.0, x), "f": lambda x, y: x - 2 * y}
SCALAR |= {"smaller": min, "larger": max, "step": lambda x: 0.5 if x == 0 else float(x > 0)}


def written(expression: sp.Expr, **values: float) -> float:
    """The value of one expression in x, y and z, written out."""
    out = sp.Symbol("out")
    function = function_of([X, Y, Z], [(out, expression)], [out], SCALAR, {K: 0.5})
    (value,) = function(
        *(values.get(name, default) for name, default in zip("xyz", (2.0, 3.0, 5.0), strict=True))
    )
    return float(value)


raw = lambda kind, *parts: kind(*parts, evaluate=False)  # noqa: E731  shorter below


# expression, its value at x = 2, y = 3, z = 5 by mental arithmetic
SIGNS = [
    (X - Y - Z, -6.0),
    (X - (Y - Z), 4.0),
    (-(X**2), -4.0),
    (raw(sp.Pow, raw(sp.Mul, -1, X), 2), 4.0),
    (raw(sp.Pow, sp.Integer(-2), Y), -8.0),
    (raw(sp.Pow, raw(sp.Pow, X, Y), 2), 64.0),
    (X ** (Y**2), 512.0),
    (raw(sp.Pow, X, raw(sp.Mul, -1, Y)), 0.125),
    (X / (Y * Z), 2 / 15),
    (X / Y * Z, 10 / 3),
    (X / raw(sp.Pow, Y / Z, 1), 10 / 3),
    (1 / (X + Y), 0.2),
    (1 / X**2, 0.25),
    (1 / sp.sqrt(X + 2), 0.5),
    (sp.sqrt(X + 2) ** 3, 8.0),
    (sp.Rational(-3, 4) * X, -1.5),
    (-sp.Rational(3, 4) * (X + Y), -3.75),
    (sp.Float(-0.5) * X * (Y - Z), 2.0),
    (raw(sp.Mul, sp.Float(-0.5), sp.Integer(-4), X), 4.0),
    (raw(sp.Mul, raw(sp.Add, X, Y), raw(sp.Add, X, -Z)), -15.0),
    (raw(sp.Mul, X, raw(sp.Mul, Y, raw(sp.Pow, Z, -1))), 1.2),
    (raw(sp.Add, X, sp.Integer(-7)), -5.0),
    (sp.Abs(X - Z), 3.0),
    (sp.sign(X - Z) * Y, -3.0),
    (sp.floor(Z / X) + sp.ceiling(Z / X), 5.0),
    (F(X, Y - Z), 6.0),
    (sp.Max(X, Y, Z - Y) + 10 * sp.Min(Z, 4, X * Y), 43.0),
    (sp.Heaviside(X - Y) + 10 * sp.Heaviside(Y - X), 10.0),
    (K * X + K**2, 1.25),
    (X / K, 4.0),
    (sp.sqrt(3) * X / sp.sqrt(12), 1.0),
    (raw(sp.Mul, X, raw(sp.Pow, sp.Integer(4), sp.Rational(-1, 2))), 1.0),
    (sp.cos(sp.pi / 3) * X, 1.0),
    (sp.Integer(-3), -3.0),
    (sp.Rational(1, 8), 0.125),
    (raw(sp.Mul, sp.S.NegativeOne, sp.S.NegativeOne), 1.0),
]  # fmt: skip


@each(("expression", "expected"), SIGNS, ids=lambda one: str(one))
def test_brackets_and_signs(expression: sp.Expr, expected: float) -> None:
    assert written(expression) == pytest.approx(expected, rel=1e-15, abs=0)


numbers = st.one_of(
    st.integers(-9, 9).map(sp.Integer),
    st.fractions(-4, 4, max_denominator=9).map(lambda q: sp.Rational(q.numerator, q.denominator)),
    st.floats(-4, 4, allow_nan=False).map(lambda x: sp.Float(x, 17)),
)
leaves = st.one_of(st.sampled_from([X, Y, Z]), numbers)
# No floor or ceiling: at a step the last figure would decide. They stand among the signs.
ONE = (sp.sin, sp.cos, sp.tan, sp.atan, sp.exp, sp.Abs)


def tried(make: Callable[..., sp.Expr]) -> Callable[..., sp.Expr]:
    """As `make`; plain x where sympy itself stumbles, as over 1/0 left unevaluated."""

    def made(*parts: object) -> sp.Expr:
        try:
            return make(*parts)
        except (ArithmeticError, TypeError, RecursionError):
            return X

    return made


def grown(inner: st.SearchStrategy[sp.Expr]) -> st.SearchStrategy[sp.Expr]:
    evaluated, odd = st.booleans(), st.sampled_from([-3, -1, 1, 3])
    return st.one_of(
        st.builds(tried(lambda e, *p: sp.Add(*p, evaluate=e)), evaluated, inner, inner, inner),
        st.builds(tried(lambda e, *p: sp.Mul(*p, evaluate=e)), evaluated, inner, inner, inner),
        st.builds(
            tried(lambda e, *p: sp.Pow(*p, evaluate=e)), evaluated, inner, st.integers(-3, 3)
        ),
        st.builds(tried(lambda a, n: sp.Abs(a) ** sp.Rational(n, 2)), inner, odd),
        st.builds(
            tried(lambda e, kind, a: kind(a, evaluate=e)), evaluated, st.sampled_from(ONE), inner
        ),
    )


def by_mpmath(expression: sp.Expr, at: dict[sp.Symbol, float]) -> mpmath.mpf:
    """The value, branch by branch, with as many figures as mpmath is set to. Not by way of a
    printer: sympy's own prints x*x/(1/x), left unevaluated, as x*x/1/x.

    Raises OverflowError where a part is so large that no float holds its sine.
    """
    value = _at_a_branch(expression, at)
    if abs(value) > 1e6:
        raise OverflowError(value)
    return value


def _at_a_branch(expression: sp.Expr, at: dict[sp.Symbol, float]) -> mpmath.mpf:
    if expression.is_Symbol:
        return mpmath.mpf(at[expression])
    if expression.is_Rational:
        return mpmath.mpf(expression.p) / expression.q
    if expression.is_Number:
        return mpmath.mpf(float(expression))
    parts = [by_mpmath(part, at) for part in expression.args]
    if expression.is_Add:
        return mpmath.fsum(parts)
    if expression.is_Mul:
        return mpmath.fprod(parts)
    if isinstance(expression, sp.Pow):
        return mpmath.power(*parts)
    name = "fabs" if isinstance(expression, sp.Abs) else type(expression).__name__
    return getattr(mpmath, name)(*parts)


@settings(max_examples=300, deadline=None)
@given(st.recursive(leaves, grown, max_leaves=12))
def test_any_expression_is_what_mpmath_finds(expression: sp.Expr) -> None:
    values = (0.75, 1.3, 0.4)
    at = dict(zip((X, Y, Z), values, strict=True))
    try:
        with mpmath.workdps(60):
            expected = float(by_mpmath(expression, at))
        rough = float(by_mpmath(expression, at))
        value = written(expression, **dict(zip("xyz", values, strict=True)))
    except (ArithmeticError, ValueError, TypeError, AttributeError, Unwritable):
        assume(False)
    # How far mpmath itself strays with the figures of a float tells how much a difference of near
    # numbers has lost.
    assume(abs(rough - expected) < 1e-9 * (1 + abs(expected)))
    assert value == pytest.approx(expected, rel=1e-6, abs=1e-6)


def sympys(form: sp.Expr, values: Mapping[sp.Symbol, Any], module: str) -> Any:
    """What sympy's own printer makes of a form, at those of the values that it names."""
    named = [symbol for symbol in values if symbol in form.free_symbols]
    return sp.lambdify(named, form, module)(*[values[symbol] for symbol in named])


SEEN: set[sp.Expr] = set()  # what several kinds of piece share is tried once


@pytest.mark.parametrize(("kind", "crossing", "way"), [*product(KINDS, CROSSINGS, WAYS_UP)])
def test_every_relation_as_sympy_prints_it(kind: str, crossing: str, way: str) -> None:
    piece = network(kind, crossing=crossing, way_up=way)
    constants = {constant.symbol: constant.si for constant in piece.constants.values()}
    every = {side: None for relation in piece.relations for side in relation.equation.args}
    sides = [side for side in every if side not in SEEN and not side.is_Symbol]
    SEEN.update(sides)
    fixed = [side.subs(constants) for side in sides]
    inputs = [quantity.symbol for quantity in piece.quantities.values()]
    middle = [q.to_si((q.low + q.high) / 2) for q in piece.quantities.values()]
    ends = np.array([[q.to_si(q.low), q.to_si(q.high)] for q in piece.quantities.values()])
    rng = np.random.default_rng(20)
    drawn = [*(ends.T[0] + (ends.T[1] - ends.T[0]) * rng.random((40, len(ends)))).T]
    drawn_of = dict(zip(inputs, drawn, strict=True))
    with np.errstate(all="ignore"):
        found = compile_vector(inputs, sides, arrays=True, constants=constants)(*drawn)
        by_sympy = [sympys(side, drawn_of, "numpy") for side in fixed]
    for one, other, side in zip(found, by_sympy, sides, strict=True):
        alike = np.isclose(one, other, rtol=1e-12, atol=1e-300, equal_nan=True)
        if not np.all(alike):  # terms that cancel leave a rounding of their own size
            terms = sympys(magnitude(side).subs(constants), drawn_of, "numpy")
            alike |= np.abs(one - other) <= 4e-16 * terms
        assert np.all(alike), side
    outputs = [sp.Symbol(f"side_{index}") for index in range(len(sides))]
    for index, (side, plain) in enumerate(zip(sides, fixed, strict=True)):
        try:
            expected = sympys(plain, dict(zip(inputs, middle, strict=True)), "math")
        except (ValueError, ZeroDivisionError, OverflowError):  # out of all reason
            continue
        (alone,) = compile_assignments(
            inputs, [(outputs[index], side)], outputs[index : index + 1],
            arrays=False, constants=constants, share=False,
        )(*middle)  # fmt: skip
        assert alone == pytest.approx(expected, rel=1e-12), side


@pytest.mark.parametrize(("kind", "crossing"), [*product(KINDS, CROSSINGS)])
def test_what_is_left_over_and_its_size_are_those_of_calculus(kind: str, crossing: str) -> None:
    piece = network(kind, crossing=crossing)
    constants = {constant.symbol: constant.si for constant in piece.constants.values()}
    inputs = [quantity.symbol for quantity in piece.quantities.values()]
    rng = np.random.default_rng(30)
    drawn = [rng.uniform(q.to_si(q.low), q.to_si(q.high), 20) for q in piece.quantities.values()]
    quick, slow = [], []
    for statement in (*piece.relations, *piece.assumptions):
        sides = statement.equation.args
        quick += [left_over(*sides), size_of(*sides)]
        slow += closing(*sides)
    with np.errstate(all="ignore"):
        found, expected = (
            compile_vector(inputs, forms, arrays=True, constants=constants, share=False)(*drawn)
            for forms in (quick, slow)
        )
    for index in range(0, len(quick), 2):
        size = np.broadcast_to(expected[index + 1], 20)
        assert np.broadcast_to(found[index + 1], 20) == pytest.approx(size, rel=1e-12, nan_ok=True)
        apart = np.abs(found[index] - expected[index])  # measured by its terms, as it is read
        assert np.all((apart <= 1e-12 * size) | np.isnan(apart) | np.isinf(size)), slow[index]


def test_what_is_left_over_is_written_by_sympy_too() -> None:
    sides = (X - 3 * Y, sp.Piecewise((Y, Y > 0), (0, True)))
    gap, size = compile_vector([X, Y], [left_over(*sides), size_of(*sides)], arrays=False)(2.0, 5.0)
    assert (gap, size) == (-18.0, 22.0)


@pytest.mark.parametrize(
    "expression",
    [
        sp.Piecewise((X, X > 1), (Y, True)),
        sp.erf(X),
        sp.oo * X,
        sp.Symbol("not a name"),
        sp.Symbol("lambda"),
        sp.Symbol("__import__('os')"),
        sp.Symbol("__sqrt"),
    ],
)
def test_what_cannot_be_written_is_refused(expression: sp.Expr) -> None:
    with pytest.raises(Unwritable):
        written(expression)


def test_what_cannot_be_written_here_sympy_writes() -> None:
    (value,) = compile_vector([X], [sp.Piecewise((X, X > 1), (7 * X, True))], arrays=False)(0.5)
    assert value == 3.5
    (row,) = compile_vector([X], [sp.Piecewise((X, X > 1), (7 * X, True))], arrays=True)(
        np.array([0.5, 1, 2])
    )
    assert row.tolist() == [3.5, 7, 2]


def test_a_quantity_may_be_called_as_a_function_is() -> None:
    sine = sp.Symbol("sin")
    (value,) = compile_vector([sine], [sp.sin(sine)], arrays=False)(0.5)
    assert value == math.sin(0.5)
