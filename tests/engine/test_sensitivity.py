"""Slopes against solving again, exact slopes against the derivations, and what gives way."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.sensitivity import change, slopes
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle
from tablekit.engine.trouble import DesignError, UnknownName
from tablekit.relations.families import network
from tests.engine import small_networks as small
from tests.engine.test_program import sympy_calls
from tests.together import each

TABLE = network("table")
PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
BRIEFS: dict[str, dict[str, float]] = {
    "square crossing": PLAIN,
    "splay and posts given": {
        "post_length": 1000.0, "splay": 48.0, "top_diameter": 900.0, "post_section": 60.0,
    },
    "foot circle given": {**PLAIN, "foot_radius": 450.0},
    "overhang given": {
        "table_height": 720.0, "post_section": 58.0, "overhang": 40.0, "splay": 50.0,
    },
    "tipping load given": {**PLAIN, "tipping_load": 230.0},
    "notch moved": {**PLAIN, "notch_position": 540.0, "notch_depth": 30.0},
}  # fmt: skip
RESULTS = (
    "post_length", "foot_spread", "head_radius", "total_mass", "tipping_load", "notch_volume",
    "crossing_angle", "notch_floor_tilt", "base_height", "foot_flat_depth", "splay",
)  # fmt: skip


def varied(givens: Mapping[str, float], seed: int) -> dict[str, float]:
    random = np.random.default_rng(seed)
    return {name: value * random.uniform(0.99, 1.01) for name, value in givens.items()}


def central(sheet: Sheet, name: str, results: tuple[str, ...], step: float) -> list[float]:
    """Slopes by solving on either side, to the fourth order (Richardson)."""

    def at(size: float) -> list[float]:
        found = sheet.network.solve({**sheet.givens, name: sheet.number(name) + size})
        return [found.number(result) for result in results]

    near, far = (
        [(up - down) / (2 * size) for up, down in zip(at(size), at(-size), strict=True)]
        for size in (step, 2 * step)
    )
    return [(4 * a - b) / 3 for a, b in zip(near, far, strict=True)]


@each("seed, brief", enumerate(BRIEFS))
def test_slopes_are_what_solving_again_gives(seed: int, brief: str) -> None:
    # independent: finite differences of whole solutions
    sheet = TABLE.solve(varied(BRIEFS[brief], seed))
    found = slopes(sheet, RESULTS, tuple(sheet.givens))
    for name, value in sheet.givens.items():
        expected = central(sheet, name, RESULTS, 2e-4 * value)
        for result, slope in zip(RESULTS, expected, strict=True):
            scale = abs(sheet.number(result) / value) + 1e-6
            assert found[result, name] == pytest.approx(slope, rel=2e-6, abs=2e-7 * scale), (
                result, name,
            )  # fmt: skip


@pytest.mark.parametrize("name", ["splay", "axis_offset", "top_thickness", "notch_position"])
def test_moving_an_assumed_value_is_giving_it(name: str) -> None:
    sheet = TABLE.solve({**PLAIN, "post_section": 66.0})
    assert name not in sheet.givens
    # At the square crossing the smallest of two equal sides has a corner: keep clear of it.
    results = ("post_length", "foot_spread", "total_mass", "tipping_load", "notch_position")
    expected = central(sheet, name, results, 1e-3)
    found = slopes(sheet, results, [name])
    for result, slope in zip(results, expected, strict=True):
        assert found[result, name] == pytest.approx(slope, rel=1e-6, abs=1e-7), result


def test_slopes_of_a_small_block_follow_the_implicit_function_theorem() -> None:
    # independent: x + y = s, x y = p has dx/ds = x/(x − y), dx/dp = −1/(x − y); by hand
    x, y, s, p = small.quantities("x y s p")
    of = small.network(
        [x, y, s, p],
        [
            small.relation("sum", x.symbol + y.symbol, s.symbol),
            small.relation("product", x.symbol * y.symbol, p.symbol),
        ],
    )
    sheet = of.solve({"s": 7.0, "p": 12.0})
    big, little = sheet.number("x"), sheet.number("y")
    found = slopes(sheet, ("x", "y"), ("s", "p"))
    assert found["x", "s"] == pytest.approx(big / (big - little))
    assert found["x", "p"] == pytest.approx(-1 / (big - little))
    assert found["y", "s"] == pytest.approx(little / (little - big))


def test_the_count_of_seats_has_no_slope_but_its_inverse_has() -> None:
    # shares of the rim: π D = N q, so dD/dN = q/π; reference/derivations/mass_and_heights.md
    sheet = TABLE.solve({"table_height": 735.0, "seats": 6.0, "post_section": 64.0})
    assert slopes(sheet, ["top_diameter"], ["seats"])["top_diameter", "seats"] == pytest.approx(
        610 / math.pi
    )
    plain = TABLE.solve(PLAIN)
    assert slopes(plain, ["seats"], ["top_diameter"])["seats", "top_diameter"] == 0


def test_a_value_left_out_has_no_slope_and_spoils_no_other() -> None:
    sheet = TABLE.solve({**PLAIN, "top_diameter": 420.0})
    assert sheet["tipping_load"].number is None
    found = slopes(sheet, ["tipping_load", "total_mass"], ["top_diameter"])
    assert math.isnan(found["tipping_load", "top_diameter"])
    # a round slab of δ t π D²/4 gains δ t π D/2 for each unit of D
    slab = 620 * 0.028 * math.pi * 0.420 / 2 * 1e-3
    assert found["total_mass", "top_diameter"] == pytest.approx(slab, rel=1e-9)


def test_what_follows_cannot_be_moved_alone() -> None:
    with pytest.raises(DesignError, match="post_length is neither given nor assumed"):
        slopes(TABLE.solve(PLAIN), ["table_height"], ["post_length"])
    with pytest.raises(UnknownName):
        slopes(TABLE.solve(PLAIN), ["table_hight"], ["post_section"])


# -- exact slopes -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "by", "exact"),
    [
        # reference/derivations/crossing.md, "height over sharp corners": 1/cos θ = √3
        ("post_length", "table_height", sp.sqrt(3)),
        ("table_height", "post_length", 1 / sp.sqrt(3)),
        # crossing.md, "angle between posts": sin φ dφ = 3 sin θ cos θ dθ
        ("crossing_angle", "splay", sp.sqrt(2)),
        # flats.md: d = f K/2 with K = √2
        ("foot_flat_depth", "foot_flat", 1 / sp.sqrt(2)),
        # crossing.md, "axis to centre line": ρ = e/√2
        ("centre_distance", "axis_offset", 1 / sp.sqrt(2)),
        # crossing.md, "notch to waist": λ = e/2, and e = w − h
        ("waist_step", "notch_depth", -sp.Rational(1, 2)),
        # circles.md: reach grows by sin θ = √(2/3) of the arm, the arm by half the post
        ("foot_reach", "post_length", sp.sqrt(sp.Rational(2, 3)) / 2),
        ("knee_clearance", "table_height", sp.Integer(1)),
        # mass_and_heights.md: a gap under the top, assumed nothing, adds to the height
        ("post_length", "plate_gap", -sp.sqrt(3)),
        # flats.md: a flat cut deeper lowers the base by as much, and posts grow √3 to make up
        ("post_length", "foot_flat_depth", sp.sqrt(3)),
        ("splay", "table_height", sp.Integer(0)),
    ],
)
def test_exact_slopes_at_the_square_crossing(name: str, by: str, exact: sp.Expr) -> None:
    answer = change(TABLE.solve(PLAIN), name, by, 1.0)
    assert answer.exact is not None
    assert sp.simplify(answer.exact - exact) == 0
    assert answer.slope == pytest.approx(float(exact), rel=1e-12, abs=1e-15)


def test_no_exact_slope_is_claimed_where_numbers_decide() -> None:
    leaning = TABLE.solve({**PLAIN, "splay": 50.0})
    assert change(leaning, "post_length", "table_height", 1.0).exact is None
    assert change(TABLE.solve(PLAIN), "foot_spread", "post_length", 1.0).exact is None
    circle = TABLE.solve(BRIEFS["foot circle given"])
    assert change(circle, "post_length", "foot_radius", 1.0).exact is None


# -- the reverse question ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("brief", "name", "by", "amount", "gives_way"),
    [
        ("square crossing", "table_height", "post_length", -10.0, "table_height"),
        ("square crossing", "foot_spread", "post_length", -10.0, "table_height"),
        ("square crossing", "tipping_load", "foot_radius", 5.0, "table_height"),
        ("square crossing", "tipping_load", "total_mass", 0.5, "table_height"),
        ("foot circle given", "foot_radius", "post_length", -5.0, "foot_radius"),
        ("foot circle given", "splay", "post_length", -5.0, "table_height"),
        ("overhang given", "overhang", "top_diameter", 10.0, "overhang"),
        ("square crossing", "post_volume", "notch_depth", 1.0, ""),
        ("square crossing", "post_length", "splay", 0.5, ""),
    ],
)
def test_changes_are_what_solving_again_gives(
    brief: str, name: str, by: str, amount: float, gives_way: str
) -> None:
    # independent: the whole network solved at the moved value
    sheet = TABLE.solve(BRIEFS[brief])
    answer = change(sheet, name, by, amount)
    assert answer.replaced == ((gives_way,) if gives_way else ())
    moved = {n: v for n, v in sheet.givens.items() if n != gives_way}
    again = TABLE.solve({**moved, by: sheet.number(by) + amount})
    assert answer.actual == pytest.approx(again.number(name) - sheet.number(name), abs=1e-9)
    small_step = change(sheet, name, by, amount * 1e-4)
    assert small_step.actual == pytest.approx(small_step.first_order, rel=1e-3, abs=1e-9)


def test_where_both_were_given_the_posts_are_held() -> None:
    sheet = TABLE.solve(PLAIN)
    answer = change(sheet, "table_height", "post_section", 2.0)
    assert (answer.replaced, answer.held) == (("table_height",), ("post_length",))
    # crossing.md: the height over sharp corners gains (n + m) = 2/√3 of the section
    assert answer.slope == pytest.approx(2 / math.sqrt(3))
    assert answer.actual == pytest.approx(4 / math.sqrt(3))


def test_two_givens_give_way_where_one_is_not_enough() -> None:
    sheet = TABLE.solve(BRIEFS["foot circle given"])
    answer = change(sheet, "table_height", "foot_spread", 3.0)
    assert answer.replaced == ("table_height", "foot_radius")
    assert answer.held == ("post_length",)
    rest = {n: v for n, v in sheet.givens.items() if n not in answer.replaced}
    rest |= {"post_length": sheet.number("post_length")}
    again = TABLE.solve({**rest, "foot_spread": sheet.number("foot_spread") + 3.0})
    assert answer.actual == pytest.approx(again.number("table_height") - 735.0, abs=1e-9)


def test_what_is_held_does_not_change() -> None:
    answer = change(TABLE.solve(PLAIN), "splay", "foot_flat_depth", 1.0)
    assert answer.exact == 0 and answer.slope == 0 and answer.actual == pytest.approx(0)


def test_another_way_of_saying_an_assumed_value_lets_that_go_first() -> None:
    answer = change(TABLE.solve(PLAIN), "post_volume", "notch_depth", 1.0)
    assert (answer.replaced, answer.gave_way) == ((), "axis_offset")
    # a plain notch is w × w × depth: reference/derivations/notch_volume.md
    assert answer.actual == pytest.approx(-64.0 * 64.0)


def test_a_deeper_flat_grows_wider_and_does_not_tilt_the_posts() -> None:
    answer = change(TABLE.solve(PLAIN), "foot_flat", "foot_flat_depth", 1.0)
    assert (answer.replaced, answer.gave_way) == ((), "foot_flat")
    # flats.md: f = d √2 at the square crossing
    assert answer.actual == pytest.approx(math.sqrt(2))


def test_a_deeper_flat_lowers_the_table_by_as_much() -> None:
    # crossing.md, "height over sharp corners": each end loses the depth of its flat
    answer = change(TABLE.solve(PLAIN), "table_height", "foot_flat_depth", 1.5)
    assert answer.exact == -1 and answer.actual == pytest.approx(-1.5)
    assert (answer.replaced, answer.held) == (("table_height",), ("post_length",))
    assert answer.gave_way == "foot_flat"


@pytest.mark.slow
def test_every_question_that_is_answered_is_answered_alike_by_both_ways() -> None:
    # independent: the exact slope by the chain rule against the numeric Jacobian
    sheet, exact, refused = TABLE.solve(PLAIN), 0, set()
    movers = ("post_length", "plate_gap", "foot_radius", "axis_offset", "splay", "foot_spread")
    for place, by in enumerate(movers):
        for name in [*sheet.values][place % 3 :: 3]:  # each asked of two of the six
            if name in (by, "seats"):
                continue
            try:
                answer = change(sheet, name, by, 1e-3 * (sheet.number(by) or 1))
            except DesignError:
                refused.add((name, by))
                continue
            assert by in answer.text() and "$" in answer.markdown()
            if answer.exact is not None:
                exact += 1
                assert float(answer.exact) == pytest.approx(answer.slope, rel=1e-9, abs=1e-12)
    # Only a result that follows the assumed lean alone can refuse.
    assert exact > 60 and len(refused) < 10, (exact, refused)


def test_a_change_to_nothing_says_why() -> None:
    answer = change(TABLE.solve(PLAIN), "table_height", "post_length", -1000.0)
    assert answer.actual is None and "stays clear" in answer.impossible
    assert "there is no such table" in answer.text()
    beyond = change(TABLE.solve(PLAIN), "table_height", "post_length", 9000.0)
    assert beyond.actual is None and "outside 50 mm to 4000 mm" in beyond.impossible


def test_asking_for_the_impossible() -> None:
    sheet = TABLE.solve(PLAIN)
    with pytest.raises(DesignError, match="two quantities"):
        change(sheet, "splay", "splay", 1.0)
    with pytest.raises(UnknownName):
        change(sheet, "splay", "post_lenght", 1.0)
    narrow = TABLE.solve({**PLAIN, "top_diameter": 420.0})
    with pytest.raises(DesignError, match="tipping_load has no value"):
        change(narrow, "tipping_load", "top_diameter", 1.0)


def test_the_working_shows_every_step_and_the_exact_slope() -> None:
    answer = change(TABLE.solve(PLAIN), "table_height", "post_length", -10.0)
    text = answer.text()
    for relation in ("height over sharp corners", "height of the base", "height of the piece"):
        assert relation in text
    assert "cos θ = 1/√3 = 0.57735" in text
    assert "−5.7735 mm" in text and "from 735 to 729.226 mm" in text
    assert "post_length is moved and table_height gives way" in text
    assert r"\frac{\mathrm{d} H}{\mathrm{d} L} = \frac{1}{\sqrt{3}}" in answer.markdown()


def test_the_steps_shown_multiply_up_to_the_slope() -> None:
    answer = change(TABLE.solve(PLAIN), "foot_spread", "post_length", 1.0)
    by_hand, numbers = {"post_length": 1.0}, iter(answer.partials)
    for link in answer.chain.links:
        (unknown,) = link.unknowns
        by_hand[unknown] = sum(by_hand[part.by] * next(numbers) for part in link.partials)
    assert by_hand["foot_spread"] == pytest.approx(answer.slope, rel=1e-12)


@pytest.mark.slow
def test_the_same_question_with_other_numbers_never_enters_sympy() -> None:
    def ask(height: float) -> None:
        sheet = TABLE.solve({**PLAIN, "table_height": height, "top_thickness": 25.0})
        slopes(sheet, RESULTS, ("table_height", "splay"))
        change(sheet, "table_height", "post_length", -5.0)
        change(sheet, "foot_spread", "notch_depth", 1.0)

    assert sympy_calls(lambda: ask(730.0)) > 1000, "the watch does not work"
    assert sympy_calls(lambda: ask(741.0)) == 0


def test_a_number_is_not_said_to_equal_itself_in_another_unit() -> None:
    share, turn = small.quantity("share"), small.quantity("turn", 0.1, 720.0, "deg")
    of = small.network(
        [share, turn], [small.relation("turning", turn.symbol, sp.sqrt(3) * share.symbol)]
    )
    text = change(of.solve({"share": 0.5}), "turn", "share", 0.1).text()
    # √3 rad per 1 is √3·180/π = 99.2392° per 1
    (line,) = (line for line in text.splitlines() if line.startswith("1. "))
    assert "99.2392° per 1" in line and "√3 = 99" not in line


def test_inches_are_answered_in_inches() -> None:
    given = {"table_height": 736.6, "top_diameter": 914.4, "post_section": 63.5}
    sheet = network("table").solve(given, shop=ShopStyle(display="in"))
    text = change(sheet, "table_height", "post_length", -12.7).text()
    # The cosine of the square crossing's lean is 1/√3, whatever the unit.
    assert "= 0.57735 in per in." in text
    assert "post_length changed by −0.5 in" in text and "from 29 to 28.7113 in" in text
    assert "mm" not in text
    turned = change(sheet, "table_height", "splay", 1.0).text()
    # dH/dθ = −L·sin θ + …, and −0.0066 m per degree here is −0.26 in
    slope = change(sheet, "table_height", "splay", 1.0).slope
    assert f"dH/dθ = −{abs(slope) / 25.4:.6g} in per °" in turned and "mm" not in turned
