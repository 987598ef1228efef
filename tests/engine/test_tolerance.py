"""Spread of results: three methods against one another and against an independent library."""

from __future__ import annotations

import math

import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from tablekit.engine.as_cut import as_cut
from tablekit.engine.quantity import common_practice
from tablekit.engine.sheet import Sheet
from tablekit.engine.tolerance import ResultSpread, Tolerance, spread
from tablekit.engine.trouble import DesignError, UnknownName
from tablekit.relations.families import network
from tablekit.relations.levelling import DEFAULT, tolerances
from tests.engine import small_networks as small

TABLE = network("table")
PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
CIRCLE = {**PLAIN, "foot_radius": 450.0}
RESULTS = ("table_height", "foot_spread", "head_radius", "total_mass", "tipping_load", "overhang")


def by(name: str, plus_minus: float) -> Tolerance:
    return Tolerance(name, plus_minus, common_practice())


def linear(**givens: float) -> Sheet:
    """z = 2x − 3y + 5k with x and y cut."""
    x, y = (
        small.Quantity(n, n, "1", "an invented quantity", 0.001, 1000.0, cut=True) for n in "xy"
    )
    z, k = small.quantity("z", -1e6, 1e6), small.quantity("k")
    rule = small.relation("rule", z.symbol, 2 * x.symbol - 3 * y.symbol + 5 * k.symbol)
    return small.network([x, y, z, k], [rule]).solve({"x": 10.0, "y": 2.0, **givens})


@pytest.mark.parametrize("given", [{"k": 3.2}, {"z": 30.0}], ids=["k given", "z wished"])
def test_linear_spread_by_hand(given: dict[str, float]) -> None:
    # by hand: ±√((2·0.3)² + (3·0.1)²), worst case 2·0.3 + 3·0.1; x has 0.36/0.45 of the variance
    found = spread(linear(**given), ["z"], [by("x", 0.3), by("y", 0.1)])["z"]
    assert found.nominal == pytest.approx(30.0)
    assert found.plus_minus == pytest.approx(math.sqrt(0.45))
    assert found.worst == pytest.approx(0.9)
    assert found.corners == pytest.approx((29.1, 30.9))
    assert dict(found.shares) == pytest.approx({"x": 0.8, "y": 0.2})
    assert list(found.shares) == ["x", "y"]
    assert "x matters most, with 80 %" in found.sentence()
    agree_within_sampling(found, 20_000)


def agree_within_sampling(found: ResultSpread, drawn: int) -> None:
    """First order and random draws within three standard errors of sampling."""
    deviation = found.plus_minus / 2
    assert abs(found.mean - found.nominal) < 3 * deviation / math.sqrt(drawn)
    assert abs(found.drawn - found.plus_minus) < 3 * found.drawn_error
    # The 2.5 % quantile of a normal sample has the standard error √(p(1−p)/n)/density (textbook).
    error = deviation * math.sqrt(0.025 * 0.975 / drawn) / 0.058
    for bound, sign in ((found.low, -1), (found.high, 1)):
        assert abs(bound - (found.nominal + sign * 1.95996 * deviation)) < 3 * error


@pytest.mark.parametrize("seed", [0, 1])
@pytest.mark.parametrize("givens", [PLAIN, CIRCLE], ids=["plain", "foot circle"])
def test_first_order_and_random_draws_agree(givens: dict[str, float], seed: int) -> None:
    sheet = TABLE.solve(givens)
    # A hundredth of the usual, so that what is not linear is far below the error of sampling.
    fine = [by(t.name, t.plus_minus / 100) for t in DEFAULT]
    found = spread(sheet, RESULTS, fine, seed=seed)
    assert found.failed == 0
    for result in found.results.values():
        agree_within_sampling(result, found.drawn)


def test_usual_tolerances_are_near_enough_linear() -> None:
    found = spread(TABLE.solve(PLAIN), RESULTS, DEFAULT)
    for result in found.results.values():
        assert abs(result.drawn - result.plus_minus) < 4 * result.drawn_error
        low, high = result.corners or (math.nan, math.nan)
        assert result.nominal - low == pytest.approx(result.worst, rel=0.02)
        assert high - result.nominal == pytest.approx(result.worst, rel=0.02)
        assert sum(result.shares.values()) == pytest.approx(1)


def test_spread_against_the_uncertainties_library() -> None:
    # independent: PyPI `uncertainties`, on the formulas of reference/derivations written out anew
    sheet = TABLE.solve(PLAIN)
    value = {t.name: uncertainties.ufloat(sheet.number(t.name), t.plus_minus / 2) for t in DEFAULT}
    lean = value["splay"] * math.pi / 180
    climb, sine = umath.cos(lean), umath.sin(lean)
    roll = umath.atan(1 / (math.sqrt(3) * climb))
    n, m = sine * umath.sin(roll), sine * umath.cos(roll)
    section, length = value["post_section"], value["post_length"]
    corner = length * climb + section * (n + m)
    height = corner - value["foot_flat_depth"] - value["head_flat_depth"] + 3
    height += value["top_thickness"]
    offset = section - value["notch_depth"]
    arm = value["notch_position"] + offset / 2 * umath.tan(lean) * umath.sin(roll)
    ratio = climb * sine + n * umath.sqrt(climb**2 + m**2) + m * umath.sqrt(climb**2 + n**2)
    radius = value["foot_flat_depth"] / ratio
    out_n = section / 2 - radius * umath.sqrt(climb**2 + m**2)
    out_m = section / 2 - radius * umath.sqrt(climb**2 + n**2)
    reach = (arm - radius * sine) * sine - climb * (
        out_n * umath.sin(roll) + out_m * umath.cos(roll)
    )
    aside = offset / (2 * umath.cos(roll)) - (out_n * umath.cos(roll) - out_m * umath.sin(roll))
    spread_of_feet = math.sqrt(3) * umath.sqrt(reach**2 + aside**2)
    found = spread(sheet, ["table_height", "foot_spread"], DEFAULT)
    for name, expected in (("table_height", height), ("foot_spread", spread_of_feet)):
        assert found[name].nominal == pytest.approx(expected.n, rel=1e-9)
        assert found[name].plus_minus == pytest.approx(2 * expected.s, rel=1e-6)
        parts = {part: error**2 for part, error in expected.error_components().items()}
        for cut, share in found[name].shares.items():
            assert share == pytest.approx(parts.get(value[cut], 0) / expected.s**2, abs=1e-6)


def test_the_cuts_drive_and_the_wishes_follow() -> None:
    for givens in (PLAIN, CIRCLE, {**PLAIN, "foot_flat": 20.0, "overhang": 40.0}):
        sheet = TABLE.solve(givens)
        cut = as_cut(sheet)
        assert cut.plan.free == () and cut.plan.redundant == () and cut.following == ()
        # The two sides of a square post are cut to one setting: the width goes with the section.
        cuts = {q.name for q in TABLE.quantities.values() if q.cut} - {"post_width"}
        assert cuts <= set(cut.plan.givens)
        assert cut.plan.assumed_directly("post_width")
        assert "table_height" in cut.plan.found and "foot_radius" in cut.plan.found
        # A flat cut too deep must not make the posts lean otherwise.
        assert "splay" not in cut.plan.found or cut.plan.assumed_directly("splay")
        again = TABLE.solve(cut.numbers)
        for name, known in sheet.values.items():
            if known.number is not None:
                assert again.number(name) == pytest.approx(known.number, rel=1e-9, abs=1e-9)


def test_the_same_seed_gives_the_same_draws() -> None:
    sheet = TABLE.solve(PLAIN)
    one, same, other = (spread(sheet, ["table_height"], DEFAULT, seed=s) for s in (5, 5, 6))
    assert one["table_height"] == same["table_height"]
    assert one["table_height"].drawn != other["table_height"].drawn


def test_designs_that_cannot_be_are_counted_and_left_out() -> None:
    # A flat of 0.99 of what the end of the post has room for: some draws run off its edge.
    sheet = TABLE.solve({**PLAIN, "post_section": 30.0})
    found = spread(sheet, ["base_height"], [by("foot_flat_depth", 1.0)], samples=4000)
    room = 30 / math.sqrt(3) - sheet.number("foot_flat_depth")  # flats.md: depth ≤ w n
    beyond = 0.5 * math.erfc(room / 0.5 / math.sqrt(2))
    expected, error = 4000 * beyond, math.sqrt(4000 * beyond * (1 - beyond))
    assert 0 < expected < 4000 and abs(found.failed - expected) < 4 * error
    assert "cannot be" in found.text()
    assert math.isfinite(found["base_height"].mean)


def test_many_cuts_have_no_corners_but_a_worst_case() -> None:
    names = [f"x{i}" for i in range(13)]
    cuts = [small.quantity(name) for name in names]
    z = small.quantity("z", 0, 1e6)
    rule = small.relation("sum", z.symbol, sum(q.symbol for q in cuts))
    sheet = small.network([*cuts, z], [rule]).solve(dict.fromkeys(names, 1.0))
    found = spread(sheet, ["z"], [by(name, 0.1) for name in names])["z"]
    assert found.corners is None and found.worst == pytest.approx(1.3)
    assert found.plus_minus == pytest.approx(0.1 * math.sqrt(13))


def test_tolerances_that_make_no_sense_are_refused() -> None:
    sheet = TABLE.solve(PLAIN)
    with pytest.raises(DesignError, match="without a sign"):
        spread(sheet, ["table_height"], [by("post_length", -0.5)])
    with pytest.raises(DesignError, match="two tolerances"):
        spread(sheet, ["table_height"], [by("splay", 0.5), by("splay", 0.1)])
    with pytest.raises(DesignError, match="follows from the other cuts"):
        spread(sheet, ["table_height"], [by("axis_offset", 0.5), *DEFAULT])
    with pytest.raises(UnknownName):
        spread(sheet, ["table_height"], [by("post_lenght", 0.5)])


def test_no_tolerance_no_spread() -> None:
    found = spread(TABLE.solve(PLAIN), ["table_height"], [by("top_diameter", 1.0)])["table_height"]
    assert found.plus_minus == 0 and found.worst == 0
    assert found.sentence() == "None of these cuts moves table_height."


def test_the_usual_tolerances_are_of_quantities_a_stool_has_too() -> None:
    stool = network("stool").solve(
        {"seat_height": 450.0, "top_diameter": 360.0, "post_section": 34.0}
    )
    chosen = tolerances(set(stool.values))
    assert [t.name for t in chosen] == [t.name for t in DEFAULT]
    found = spread(stool, ["seat_height"], chosen)["seat_height"]
    assert np.isfinite(found.drawn) and found.plus_minus > 0
