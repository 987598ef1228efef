"""What rounding may carry a number past, by how much, and that no such hair is ever shown."""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.slack import settle, size_for_slack, with_slack
from tablekit.engine.trouble import RangeError
from tests.engine.small_networks import network, quantity, relation


def test_a_range_is_a_billionth_of_its_larger_end_wider() -> None:
    for low, high, lower, upper in (
        (0.0, 50.0, -5e-8, 50 + 5e-8),
        (-20.0, 50.0, -20 - 5e-8, 50 + 5e-8),
        (-50.0, 0.0, -50 - 5e-8, 5e-8),
        (5.0, 50.0, 5 - 5e-8, 50 + 5e-8),
    ):
        assert with_slack(low, high) == pytest.approx((lower, upper), rel=1e-15, abs=0)


def test_a_range_that_leaves_0_out_still_does() -> None:
    low, high = with_slack(1e-6, 1e6)  # a billionth of a million is a thousandth
    assert (low, high) == (5e-7, 1e6 + 1e-3)
    assert with_slack(-1e6, -1e-6) == (-high, -low)


def test_what_rounding_carried_past_0_is_0_and_all_else_stays() -> None:
    assert settle(-9.4e-14, 0.0, 50.0) == 0.0
    assert settle(-1e-6, 0.0, 50.0) == -1e-6  # more than rounding: to be refused, not hidden
    assert settle(9.4e-14, 0.0, 50.0) == 9.4e-14
    assert settle(9.4e-14, -50.0, 0.0) == 0.0
    assert settle(1e-6, -50.0, 0.0) == 1e-6 and settle(-3.0, -50.0, 0.0) == -3.0
    assert settle(-9.4e-14, -50.0, 50.0) == -9.4e-14
    assert np.isnan(settle(np.nan, 0.0, 50.0))
    found = settle(np.array([-9.4e-14, -1.0, 0.0, 7.0, np.nan]), 0.0, 50.0)
    np.testing.assert_array_equal(found, [0.0, -1.0, 0.0, 7.0, np.nan])
    assert settle(found, 0.0, 50.0) is not None and settle(np.array([]), 0.0, 1.0).size == 0


def test_the_size_that_slack_is_a_share_of() -> None:
    a, b = sp.symbols("a b", real=True)

    def size(expression: sp.Expr, **at: float) -> float:
        return float(size_for_slack(expression)(at, {"a": 10.0, "b": 4.0}))

    assert size(a - b, a=3, b=-2) == 14  # each with the end of its range
    assert size(a * b, a=3, b=-2) == 10 * 2 + 3 * 4  # d(ab) = da·b + a·db
    assert size(-2 * a, a=3, b=0) == 20
    assert size(a**2, a=3, b=0) == 2 * 3 * 10
    assert size(sp.sin(a), a=3, b=0) == pytest.approx(abs(np.sin(3)))
    assert size(1 / b, a=3, b=-2) == 0.5
    assert size(sp.Max(a, b, 7) - sp.Abs(b), a=3, b=-2) == 10 + 4  # each as what is in it
    assert size(sp.sqrt(3) * a * b, a=3, b=-2) == pytest.approx(3**0.5 * (10 * 2 + 3 * 4))
    assert size(a * sp.Symbol("g"), a=3, b=0, g=9.81) == pytest.approx(2 * 3 * 9.81 + 7 * 9.81)
    assert np.isnan(size(sp.gamma(a), a=3, b=0))  # no slack where nothing is known of it


def test_the_size_may_be_asked_of_arrays() -> None:
    a, b = sp.symbols("a b", real=True)
    at = {"a": np.array([1.0, 2.0]), "b": np.array([3.0, -4.0])}
    found = size_for_slack(a * b)(at, {"a": 10.0, "b": 4.0})
    np.testing.assert_array_equal(found, [10 * 3 + 1 * 4, 10 * 4 + 2 * 4])


# -- as it is met ---------------------------------------------------------------------------------

WHOLE, PART, GAP = (quantity(name, 0.0, 2000.0, "mm") for name in ("whole", "part", "gap"))
PADDING = quantity("padding", 0.0, 2000.0, "mm")
STACK = network(
    [WHOLE, PART, PADDING, GAP],
    [relation("stack", WHOLE.symbol, PART.symbol + PADDING.symbol + GAP.symbol)],
)
# In doubles 0.705 - 0.682 - 0.023 is -7e-17, not 0.
HAIR = {"whole": 705.0, "part": 682.0, "padding": 23.0}


def test_a_gap_that_is_nothing_but_rounding_is_shown_as_0_and_may_be_given_again() -> None:
    assert 0.705 - 0.682 - 0.023 < 0, "the example no longer shows the rounding"
    sheet = STACK.solve(HAIR)
    assert sheet.number("gap") == 0.0 and sheet.shop("gap") == "0 mm"
    assert str(sheet.number("gap")) == "0.0"  # and not -0.0
    assert max(sheet.residuals.values()) < 1e-15
    again = STACK.solve({**HAIR, "gap": sheet.number("gap")})
    assert again.number("gap") == 0.0


@pytest.mark.parametrize("number", [-9.36750677e-14, -1e-9, 0.0, 2000 + 1e-9])
def test_a_given_may_lie_a_hair_outside_its_range(number: float) -> None:
    padded = {"padding": 0.0, "part": 0.0, "gap": number}
    assert STACK.solve(padded).number("gap") == (number if number > 0 else 0.0)


@pytest.mark.parametrize("number", [-1e-5, 2000.0001, float("nan"), float("inf")])
def test_a_given_further_out_is_refused(number: float) -> None:
    with pytest.raises(RangeError):
        STACK.solve({"padding": 0.0, "part": 0.0, "gap": number})


def test_the_range_of_a_quantity_is_what_its_own_unit_says() -> None:
    of = Quantity("far", "f", "mm", "an invented quantity", 0.0, 50.0)
    low, high = with_slack(of.to_si(of.low), of.to_si(of.high))
    assert (of.from_si(low), of.from_si(high)) == pytest.approx(with_slack(0.0, 50.0), rel=1e-12)
