"""Maps of designs: each of their designs is as the kit would set it out and judge it alone."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from tablekit.engine.quantity import common_practice
from tablekit.engine.relation import Requirement
from tablekit.engine.sheet import Value, judge
from tablekit.engine.shop import ShopStyle
from tablekit.engine.trouble import DesignError, NotEnoughGiven, UnknownName
from tablekit.planning.trade_offs import (
    CANNOT,
    CAUTION,
    FAIL,
    MOST_CHOICES,
    PASS,
    AxisSpan,
    Goal,
    GradualTradeMap,
    TradeMap,
    judged_by,
    span_about,
    verdicts_on,
)
from tablekit.relations import quantities as q
from tablekit.relations.families import network
from tablekit.relations.people import HEIGHT, KNEES

GIVENS = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
GOALS = (Goal("tipping_load", True), Goal("foot_spread", False))
CODES = {"fail": FAIL, "caution": CAUTION, "pass": PASS}


@cache
def plane(size: int = 9, *judged: str) -> TradeMap:
    return GradualTradeMap(
        network("table"), GIVENS, AxisSpan("splay", 25, 70), AxisSpan("top_diameter", 500, 1300),
        "overhang", GOALS, judged or None, [(size, size - 2)],
    ).finish()  # fmt: skip


def test_each_design_is_judged_as_it_would_be_alone() -> None:
    """Against the sheet of each design, solved one by one."""
    it = plane()
    usual, seen = judged_by(network("table")), set()
    for row, top in enumerate(it.y_at):
        for column, splay in enumerate(it.x_at):
            sheet = network("table").solve({**GIVENS, "splay": splay, "top_diameter": top})
            marks = [CODES[c.verdict] for c in sheet.checks if c.id in usual]
            assert it.verdicts[row, column] == min(marks), (splay, top)
            assert it.values[row, column] == pytest.approx(sheet.number("overhang"), abs=1e-9)
            seen.add(min(marks))
    assert len(seen) > 1


def test_the_lean_alone_decides_whether_it_goes_together() -> None:
    # Flatter than the square crossing the last post cannot slide in: crossing.md.
    it = plane(31, "assembly")
    square = math.degrees(math.acos(1 / math.sqrt(3)))
    expected = np.where(it.x_at <= square, PASS, FAIL)
    assert (it.verdicts == expected).all()
    assert it.failed == (("assembly", pytest.approx((it.x_at > square).mean())),)
    assert it.share(PASS) + it.share(FAIL) == pytest.approx(1)


@pytest.mark.parametrize("given", [{}, {"wanted_tipping_load": 260.0}])
def test_a_load_that_nobody_asked_for_judges_no_design(given: dict[str, float]) -> None:
    """Against the checks on the sheet of each design."""
    spans = AxisSpan("splay", 25, 50), AxisSpan("top_diameter", 700, 1300)
    judged = ("tipping", "tipping_wanted")
    asked = {**GIVENS, **given}
    it = GradualTradeMap(network("table"), asked, *spans, "overhang", GOALS, judged, [(5, 5)])
    plane = it.finish()
    failed = set()
    for row, top in enumerate(plane.y_at):
        for column, splay in enumerate(plane.x_at):
            sheet = network("table").solve({**asked, "splay": splay, "top_diameter": top})
            (check,) = (c for c in sheet.checks if c.id in judged)
            assert plane.verdicts[row, column] == CODES[check.verdict]
            failed |= {check.name} if check.verdict == "fail" else set()
    assert (
        {name for name, _ in plane.failed}
        == failed
        == {"tipping load required" if given else "tipping load"}
    )


def test_no_checks_no_blame() -> None:
    it = GradualTradeMap(
        network("table"), GIVENS, AxisSpan("splay", 25, 70), AxisSpan("top_diameter", 500, 1300),
        "overhang", GOALS, (), [(5, 4)],
    ).finish()  # fmt: skip
    assert (it.verdicts == PASS).all() and it.failed == ()
    assert it.said == "Of 20 designs tried, 100 % pass."


def test_what_cannot_be_made_is_marked_with_its_reason() -> None:
    it = GradualTradeMap(
        network("table"), GIVENS, AxisSpan("foot_spread", 200, 1900),
        AxisSpan("table_height", 300, 1100), "tipping_load", GOALS, None, [(12, 12)],
    ).finish()  # fmt: skip
    cannot = it.verdicts == CANNOT
    assert cannot.any() and not cannot.all()
    assert np.isnan(it.values[cannot]).all()
    assert sum(count for _, count in it.reasons) == cannot.sum()
    assert not set(it.front) & set(np.nonzero(cannot.ravel())[0])


def test_none_of_the_front_is_beaten_and_all_others_are() -> None:
    """Every design compared with every other."""
    it = plane(21, "tipping")
    sheets = [
        network("table").solve({**GIVENS, "splay": it.at(k)[0], "top_diameter": it.at(k)[1]})
        for k in range(it.verdicts.size)
    ]
    standing = np.nonzero(it.verdicts.ravel() >= CAUTION)[0]
    load = np.array([sheet.number("tipping_load") for sheet in sheets])
    feet = np.array([sheet.number("foot_spread") for sheet in sheets])
    # Where no load on the rim tips it there is no number to compare, and it is passed over.
    standing = [k for k in standing if not math.isnan(load[k])]
    best = {
        k for k in standing
        if not any(
            load[j] >= load[k] and feet[j] <= feet[k] and (load[j] > load[k] or feet[j] < feet[k])
            for j in standing
        )
    }  # fmt: skip
    # Feet stand alike under every top: what the solver's last bits make of a tie is no matter.
    assert {(round(load[k], 6), round(feet[k], 6)) for k in it.front} == {
        (round(load[k], 6), round(feet[k], 6)) for k in best
    }
    for k in it.front:
        assert it.reached_at(k) == pytest.approx((load[k], feet[k]))


def test_choices_are_a_few_of_the_front_with_its_ends() -> None:
    it = plane(41, "tipping")
    assert len(it.front) > MOST_CHOICES >= len(it.choices) > 3
    assert it.choices[0] == it.front[0] and it.choices[-1] == it.front[-1]
    assert set(it.choices) <= set(it.front)


# -- verdicts ------------------------------------------------------------------------------------

BOUNDED = Requirement(
    "try", "try", "overhang", common_practice("none"), good=(0, 50), tolerable=(-20, 120)
)
OPEN = Requirement("try", "try", "overhang", common_practice("none"), good=(10, None))
NO_BOUNDS = Requirement("try", "try", "overhang", common_practice("none"), good=(None, None))


@pytest.mark.parametrize(
    ("requirement", "quantity"),
    [(BOUNDED, q.overhang), (OPEN, q.overhang), (NO_BOUNDS, q.overhang), (HEIGHT, q.table_height),
     (KNEES, q.knee_clearance)],
    ids=["bounded", "open", "no bounds", "height", "knees"],
)  # fmt: skip
def test_verdicts_on_many_are_those_on_each(requirement: Requirement, quantity) -> None:
    low, high = max(quantity.low, -300), min(quantity.high, 1500)
    numbers = np.concatenate([np.linspace(low, high, 701), np.arange(400.0, 1100), [0, 50, -20]])
    hair = np.concatenate([numbers, numbers + 1e-12, numbers - 1e-12, numbers + 1e-6])
    found = verdicts_on(requirement, quantity, hair)
    style = ShopStyle()
    alone = [judge(requirement, Value(quantity, float(n), "found"), style).verdict for n in hair]
    assert found.tolist() == [CODES[verdict] for verdict in alone]


def test_what_a_design_does_not_have_is_not_blamed() -> None:
    assert verdicts_on(BOUNDED, q.overhang, np.array([np.nan, 500.0])).tolist() == [PASS, FAIL]


# -- what is refused -----------------------------------------------------------------------------


def test_axes_must_differ_and_names_be_known() -> None:
    splay, top = AxisSpan("splay", 25, 70), AxisSpan("top_diameter", 500, 1300)
    piece = network("table")
    with pytest.raises(DesignError, match="both axes are splay"):
        GradualTradeMap(piece, GIVENS, splay, splay, "overhang", GOALS)
    with pytest.raises(UnknownName):
        GradualTradeMap(piece, GIVENS, splay, AxisSpan("girth", 1, 2), "overhang", GOALS)
    with pytest.raises(NotEnoughGiven):
        GradualTradeMap(piece, {"post_section": 64.0}, splay, top, "overhang", GOALS)


@pytest.mark.parametrize(("number", "low", "high"), [(735, 350, 1100), (5, 10, 90), (2000, 0, 90)])
def test_a_span_holds_its_number(number: float, low: float, high: float) -> None:
    span = span_about(q.top_diameter, number, low, high)
    assert span.low <= number <= span.high and span.low < span.high


# -- speed ---------------------------------------------------------------------------------------


def test_a_map_is_worked_out_by_the_compiled_plan_alone(monkeypatch) -> None:
    plane(9)

    def forbidden(*args: object, **options: object) -> None:
        raise AssertionError("a map was worked out design by design, or symbolically")

    for name in (
        "sympy.solve",
        "sympy.lambdify",
        "sympy.cse",
        "tablekit.engine.plan.make_plan",
        "tablekit.engine.codegen.function_of",
        "tablekit.engine.program.Program.run",
    ):
        monkeypatch.setattr(name, forbidden)
    it = GradualTradeMap(
        network("table"), {**GIVENS, "table_height": 700.0}, AxisSpan("splay", 25, 54),
        AxisSpan("top_diameter", 500, 1300), "overhang", GOALS, None, [(60, 60)],
    ).finish()  # fmt: skip
    assert it.verdicts.shape == (60, 60)


def test_a_map_filled_a_little_at_a_time_is_the_map_made_at_once() -> None:
    spans = AxisSpan("splay", 25, 70), AxisSpan("top_diameter", 500, 1300)
    rest = "overhang", GOALS, None
    filled = GradualTradeMap(network("table"), GIVENS, *spans, *rest, [(3, 3), (9, 7)])
    made: list[TradeMap] = []
    while not filled.done:
        filled.go_on(0.0)
        if filled.map is not None and (not made or made[-1] is not filled.map):
            made.append(filled.map)
    assert [one.verdicts.shape for one in made] == [(3, 3), (7, 9)]
    at_once = plane()
    np.testing.assert_array_equal(made[1].verdicts, at_once.verdicts)
    np.testing.assert_array_equal(made[1].values, at_once.values)
    np.testing.assert_array_equal(made[1].front, at_once.front)
    # The coarse one has the middle and the corners of the same plane.
    np.testing.assert_array_equal(made[0].verdicts, at_once.verdicts[::3, ::4])
