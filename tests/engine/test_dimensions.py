"""Dimensional analysis: what balances, what does not, and that the relation at fault is named."""

from __future__ import annotations

from fractions import Fraction

import pytest
import sympy as sp

from tablekit.engine.declarations import describe, dimension_of
from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Limit
from tablekit.engine.trouble import RelationError
from tablekit.engine.unit_table import Dimension
from tests.engine.small_networks import INVENTED, guess, relation
from tests.together import each

LENGTH = Quantity("length", "l", "mm", "", 1, 100)
WIDTH = Quantity("width", "w", "mm", "", 1, 100)
AREA = Quantity("area", "A", "mm^2", "", 1, 100)
MASS = Quantity("mass", "m", "kg", "", 1, 100)
FORCE = Quantity("force", "F", "N", "", 1, 100)
ANGLE = Quantity("angle", "a", "deg", "", 1, 80)
RATIO = Quantity("ratio", "r", "1", "", 0.1, 10)
GRAVITY = Constant("gravity", "g", 9.8, "m/s^2", "", INVENTED)
VOLTAGE = Quantity("voltage", "V", "V", "", 1, 100)
RESISTANCE = Quantity("resistance", "R", "kΩ", "", 1, 100)
CURRENT = Quantity("current", "I", "mA", "", 1, 100)
POWER = Quantity("power", "P", "W", "", 1, 100)
TIME = Quantity("time", "t", "s", "", 1, 100)
TEMPERATURE = Quantity("temperature", "T", "degC", "", 1, 100)
READING = Quantity("reading", "T", "degC", "", 1, 100, reading=True)
EVERY = (
    LENGTH, WIDTH, AREA, MASS, FORCE, ANGLE, RATIO, VOLTAGE, RESISTANCE, CURRENT, POWER, TIME,
    TEMPERATURE, READING,
)  # fmt: skip
KNOWN = {item.name: item.dimension for item in (*EVERY, GRAVITY)}
length, w, A, m, F, a, r, V, R, current, P, t, T, reading = (q.symbol for q in EVERY)
g = GRAVITY.symbol

BALANCED = [
    (A, length * w),
    (A, length**2 + length * w),
    (length, sp.sqrt(A)),
    (length, A ** sp.Rational(3, 2) / (w * length)),
    (F, m * g),
    (F, m * g * sp.sin(a) + 0),
    (sp.tan(a), length / w),
    (a, sp.atan(length / w) + sp.pi / 4),
    (length, sp.Min(length, w) * r),
    (sp.Abs(length - w), w),
    (r, sp.floor(length / w)),
    (r**r, sp.exp(length / w)),
    (F * length, m * g * w),
    (sp.S.Zero, length - w),
    (r, 1 + reading / 100),  # the number that is read, not a temperature
    (V, R * current),
    (P, V**2 / R),
    (P * t, m * w**2 / t**2),
    (T, r * T),
]
UNBALANCED = [
    (V, R / current, "a voltage"),
    (P, V * R, "a power"),
    (T, V, "a temperature but .*a voltage"),
    (sp.exp(T), r, r"exp\(temperature\) is taken of a temperature"),
    (A, length, "an area.*a length"),
    (A, length + length * w, "length.*area|area.*length"),
    (length, A, "length.*area|area.*length"),
    (F, m, "force.*mass|mass.*force"),
    (F, m * g + g, "acceleration"),
    (r, sp.sin(length), r"sin\(length\) is taken of a length"),
    (r, sp.log(A), "log.*an area"),
    (r, sp.exp(m), "exp.*mass|exponent mass"),
    (r, r**length, "exponent length is not a plain number"),
    (length, sp.Min(length, A), "a length but .*an area|an area but .*a length"),
    (r, sp.floor(length), "floor.*a length"),
    (length, sp.Integer(5), "a length but 5 is a plain number"),
    (length**sp.sqrt(2), w, r"raised to sqrt\(2\)"),
    (length**r, w, "raised to ratio"),
    (length, sp.Symbol("stranger") * w, "stranger is not a quantity"),
    (sp.Abs(A), length, "area.*length"),
]  # fmt: skip


@each(("left", "right"), BALANCED)
def test_balanced(left: sp.Expr, right: sp.Expr) -> None:
    network = Network("n", EVERY, [relation("fine", left, right)], constants=[GRAVITY])
    assert network.relations[0].name == "fine"


@each(("left", "right", "words"), UNBALANCED)
def test_unbalanced_names_the_relation_and_says_why(
    left: sp.Expr, right: sp.Expr, words: str
) -> None:
    pattern = f"relation 'crooked' does not balance: .*({words})"
    with pytest.raises(RelationError, match=pattern) as caught:
        Network("n", EVERY, [relation("crooked", left, right)], constants=[GRAVITY])
    assert caught.value.relation == "crooked"


def test_a_constant_left_out_of_the_network_is_a_stranger() -> None:
    with pytest.raises(RelationError, match=r"'weight'.*gravity is not a quantity"):
        Network("n", EVERY, [relation("weight", F, m * g)])


def test_a_limit_is_checked_too() -> None:
    crooked = Limit(length - A, "never balances")
    with pytest.raises(RelationError, match="a limit of relation 'fine' does not balance"):
        Network("n", EVERY, [relation("fine", A, length * w, limits=[crooked])])


def test_assumptions_a_number_stands_in_the_quantitys_own_unit_a_formula_must_balance() -> None:
    Network("n", EVERY, [], [guess(LENGTH, 0.05), guess(AREA, w**2)])
    with pytest.raises(RelationError, match="'assumed area' does not balance"):
        Network("n", EVERY, [], [guess(AREA, w)])


@pytest.mark.parametrize("power", [Fraction(1, 2), Fraction(-3), Fraction(5, 3)])
def test_exponents_are_exact(power: Fraction) -> None:
    expression = F ** sp.Rational(power.numerator, power.denominator)
    assert dimension_of(expression, KNOWN) == Dimension(power, power, -2 * power)


def test_a_plain_zero_goes_with_anything_other_numbers_do_not() -> None:
    assert dimension_of(sp.S.Zero, KNOWN) is None
    assert dimension_of(sp.pi, KNOWN) == Dimension()


@pytest.mark.parametrize(
    ("exponents", "words"),
    [
        ((0, 0, 0), "a plain number"),
        ((1, -1, -2), "a pressure or stress"),
        ((1, 2, -2), "a moment or an energy"),
        ((0, 1, -1), "a speed"),
        ((0, 0, -1), "a rate of turning or a frequency"),
        ((0, 2, -1), "m^2 s^-1"),
        ((Fraction(1, 2), 0, 0), "kg^1/2"),
        ((0, 1, 0, 0, -1), "m^1 K^-1"),
    ],
)
def test_dimensions_in_words(exponents: tuple[int, int, int], words: str) -> None:
    assert describe(exponents) == words


@pytest.mark.parametrize("equation", [sp.true, sp.Eq(length, w) & sp.Eq(A, length * w)])
def test_what_is_no_equation_is_refused(equation: sp.Basic) -> None:
    from tablekit.engine.relation import Relation

    with pytest.raises(RelationError, match=r"'folded' is .* not an equation"):
        Relation("folded", equation, "", "", INVENTED)
