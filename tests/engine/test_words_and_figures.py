"""Figures as they are written for working, and the words of a clash."""

from __future__ import annotations

import math
import re

import pytest

from tablekit.engine.sensitivity import change
from tablekit.engine.sheet import distinct
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.units import ShopStyle, figures_text
from tests.engine.small_networks import guess, network, quantities, relation
from tests.together import each

INCHES = ShopStyle("in", 16)


@each(
    ("number", "unit", "text"),
    [
        (1152.6004, "mm", "1152.6 mm"),
        (0.0, "mm", "0 mm"),
        (-0.5, "mm", "−0.5 mm"),
        (1234567.0, "N", "1234567 N"),
        (0.00012345678, "mm", "0.000123457 mm"),
        (3e-5, "mm", "3.00000e-05 mm"),  # smaller than four places show
        (-4e-9, "mm", "−4.00000e-09 mm"),
        (2.5e8, "N", "2.50000e+08 N"),
        (1e-13, "mm", "0 mm"),  # the noise of a solver
        (-1e-13, "mm", "0 mm"),
        (math.nan, "mm", "no value"),
        (math.inf, "mm", "no value"),
    ],
)
def test_six_figures_and_no_more(number: float, unit: str, text: str) -> None:
    assert figures_text(number, unit, ShopStyle()) == text


def test_as_many_figures_as_asked_for_and_in_inches() -> None:
    assert figures_text(0.12345, "mm", ShopStyle(), 2) == "0.12 mm"
    assert figures_text(98.7654, "mm", ShopStyle(), 3) == "98.8 mm"
    assert figures_text(254.0, "mm", INCHES) == "10 in"
    assert figures_text(1.0, "mm", INCHES) == "0.0393701 in"  # 1/25.4


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (1, "with b as assumed"),
        (2, "with b and c as assumed"),
        (3, "with b, c and d as assumed"),
        (4, "with b, c, d and e as assumed"),
    ],
)
def test_what_a_clash_rests_on_is_listed_as_one_says_it(count: int, words: str) -> None:
    a, *assumed = quantities("a b c d e"[: 2 * count + 1])
    (total,) = quantities("total", high=50.0)
    form = a.symbol + sum(one.symbol for one in assumed)
    of = network(
        [a, *assumed, total], [relation("sum", total.symbol, form)], [guess(x, 1) for x in assumed]
    )
    with pytest.raises(DesignError) as caught:  # any one of them given smaller would mend it
        of.solve({"a": 50.9 - count})
    assert words in str(caught.value)
    assert str(caught.value).startswith(f"a {50.9 - count:g} cannot be answered. (total would be ")
    assert of.solve({"a": 10.0}).number("total") == 10 + count


def test_a_clash_does_not_rest_on_what_makes_no_difference() -> None:
    a, b = quantities("a b")
    (total,) = quantities("total", high=50.0)
    of = network([a, b, total], [relation("sum", total.symbol, a.symbol + b.symbol)], [guess(b, 1)])
    with pytest.raises(DesignError) as caught:  # too much whatever b is
        of.solve({"a": 100.0})
    assert "assumed" not in str(caught.value)


def test_of_two_that_clash_either_may_change() -> None:
    a, b, c = quantities("a b c", high=10.0)
    of = network([a, b, c], [relation("sum", c.symbol, a.symbol + b.symbol)])
    with pytest.raises(Contradiction) as caught:
        of.solve({"a": 9.0, "b": 8.0})
    told = r"a 9 and b 8 cannot both hold\. \(c would be 17, outside 0.001 to 10\.\) Make "
    assert re.match(told + r"a 1\.\d+, or b 0\.\d+\.$", str(caught.value))
    for release in caught.value.releases:
        changed = {"a": 9.0, "b": 8.0} | {release.name: release.number}
        assert sum(changed.values()) <= 10 and of.solve(changed).number("c") <= 10


@pytest.mark.parametrize(
    ("values", "kept"),
    [
        ([3.0, 1.0, 3.0 * (1 + 1e-9)], [1.0, 3.0]),
        ([2.0, 2.001], [2.0, 2.001]),
        ([-500.0, -1.0, -1.0 + 1e-6], [-500.0, -1.0, -1.0 + 1e-6]),  # a small one beside a large
        ([], []),
        ([0.0, 0.0], [0.0]),
    ],
)
def test_answers_that_differ_by_a_solvers_rounding_are_one(
    values: list[float], kept: list[float]
) -> None:
    assert distinct(values) == kept


def test_the_steps_of_a_change_are_counted_from_one() -> None:
    a, b, c = quantities("a b c")
    of = network(
        [a, b, c],
        [relation("twice", b.symbol, 2 * a.symbol), relation("squared", c.symbol, b.symbol**2)],
    )
    lines = change(of.solve({"a": 3.0}), "c", "a", 0.1).text().splitlines()
    first = next(k for k, line in enumerate(lines) if line.startswith("1. "))
    assert lines[first].startswith("1. twice: ") and lines[first + 1].startswith("2. squared: ")
    assert "dc/da = 24" in "".join(lines)  # 2 · 2b at b = 6
