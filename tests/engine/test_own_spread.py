"""A shop's own spread from measured pieces: mean, deviation, and the ranges few pieces leave."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tablekit.engine.tolerance import ENOUGH, OwnSpread

# NIST StRD, univariate set "Michelso": 100 measurements of the speed of light, in km/s, and the
# certified mean and standard deviation. Data and figures from memory; that they agree to all
# digits is what shows both to be remembered rightly.
_MICHELSON = """
    850 740 900 1070 930 850 950 980 980 880 1000 980 930 650 760 810 1000 1000 960 960
    960 940 960 940 880 800 850 880 900 840 830 790 810 880 880 830 800 790 760 800
    880 880 880 860 720 720 620 860 970 950 880 910 850 870 840 840 850 840 840 840
    890 810 810 820 800 770 760 740 750 760 910 920 890 860 880 720 840 850 850 780
    890 840 780 810 760 810 790 810 820 850 870 870 810 740 810 940 950 800 810 870
"""
MICHELSON = OwnSpread("speed", tuple(float(one) for one in _MICHELSON.split()))


def with_deviation(deviation: float, count: int, mean: float = 0.0) -> OwnSpread:
    """A sample that has just this mean and this standard deviation."""
    odd = np.linspace(-1, 1, count)
    return OwnSpread("size", tuple(mean + deviation * odd / np.std(odd, ddof=1)))


def test_mean_and_deviation_are_the_certified_ones() -> None:
    assert MICHELSON.count == 100
    assert MICHELSON.mean == pytest.approx(852.4, rel=1e-14)
    assert MICHELSON.deviation == pytest.approx(79.0105478190518, rel=1e-14)
    assert MICHELSON.plus_minus == 2 * MICHELSON.deviation


# Boost.Math's documentation, "Confidence intervals on the standard deviation", prints for a
# standard deviation of one the limits at 95 %, by the number of observations.
BOOST = [
    (2, 0.4461, 31.9102), (3, 0.5207, 6.2847), (4, 0.5665, 3.7285), (5, 0.5991, 2.8736),
    (6, 0.6242, 2.4526), (10, 0.6878, 1.8256), (30, 0.7964, 1.3443), (1000, 0.9580, 1.0459),
]  # fmt: skip


@pytest.mark.parametrize("count, low, high", BOOST)
def test_the_range_of_the_spread_is_the_published_one(count: int, low: float, high: float) -> None:
    found = with_deviation(1.0, count).plus_minus_range
    assert found == pytest.approx((2 * low, 2 * high), abs=1e-4 * 2)


def test_the_worked_example_of_the_gears() -> None:
    """The same page, on the NIST data of 100 gears: 0.0062789 lies between 0.00551 and 0.00729."""
    low, high = with_deviation(0.0062789, 100).plus_minus_range
    assert (low / 2, high / 2) == pytest.approx((0.00551, 0.00729), abs=5e-6)


# Student's t with 0.975 below it, from the table in any textbook (from memory).
@pytest.mark.parametrize("count, t", [(2, 12.706), (3, 4.303), (5, 2.776), (10, 2.262)])
def test_the_range_of_the_mean_is_by_students_t(count: int, t: float) -> None:
    low, high = with_deviation(0.3, count, 0.4).mean_range
    off = t * 0.3 / math.sqrt(count)
    assert (low, high) == pytest.approx((0.4 - off, 0.4 + off), abs=2e-4)


@pytest.mark.parametrize("count", [3, 5, 12])
def test_both_ranges_hold_the_truth_19_times_in_20(count: int) -> None:
    """4,000 shops that cut 0.2 mm long with a deviation of 0.35 mm; the count may be off by four of
    its own deviations, √(4000 · 0.95 · 0.05) = 13.8."""
    random = np.random.default_rng(count)
    mean = spread = 0
    for errors in random.normal(0.2, 0.35, (4000, count)):
        one = OwnSpread("size", tuple(errors))
        mean += one.mean_range[0] < 0.2 < one.mean_range[1]
        spread += one.plus_minus_range[0] < 0.7 < one.plus_minus_range[1]
    assert abs(mean - 3800) < 56 and abs(spread - 3800) < 56


def test_a_bias_is_what_chance_does_not_explain() -> None:
    # Five pieces with a deviation of 0.2 mm: the mean is known to 2.776 · 0.2/√5 = 0.248 mm.
    assert with_deviation(0.2, 5, 0.26).biased and with_deviation(0.2, 5, -0.26).biased
    assert not with_deviation(0.2, 5, 0.24).biased and not with_deviation(0.2, 5, -0.24).biased
    assert not OwnSpread("size", (3.0,)).biased


def test_few_pieces_and_pieces_all_alike_tell_no_spread() -> None:
    assert with_deviation(0.2, ENOUGH).serves and not with_deviation(0.2, ENOUGH - 1).serves
    alike = OwnSpread("size", (0.5,) * 9)
    assert alike.alike and not alike.serves and alike.biased
    assert math.isnan(OwnSpread("size", (0.5,)).plus_minus)


def test_the_tolerance_says_that_it_was_measured() -> None:
    made = with_deviation(0.2, 6).tolerance()
    assert made.plus_minus == pytest.approx(0.4) and made.name == "size"
    assert str(made.source) == "measured on 6 pieces"
