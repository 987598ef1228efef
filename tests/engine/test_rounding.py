"""Rounding to the shop: what is marked can be marked, and the wishes are told what they become."""

from __future__ import annotations

import math

import pytest
import sympy as sp

from tablekit.engine.as_cut import round_to_shop
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Requirement
from tablekit.engine.shop import ShopStyle
from tablekit.relations.families import network
from tests.engine import small_networks as small

TABLE = network("table")
PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
STYLES = [
    (ShopStyle("mm", step_mm=0.5), 0.5),
    (ShopStyle("mm", step_mm=1.0), 1.0),
    (ShopStyle("in", fraction=32), 25.4 / 32),
    (ShopStyle("in", fraction=8), 25.4 / 8),
]


@pytest.mark.parametrize(("style", "step"), STYLES, ids=lambda value: str(value))
def test_every_cut_lies_on_the_rule(style: ShopStyle, step: float) -> None:
    found = round_to_shop(TABLE.solve(PLAIN), style)
    # The two sides of a square post are cut to one setting: the width goes with the section.
    every = {q.name for q in TABLE.quantities.values() if q.cut}
    assert {c.name for c in found.cuts} == every - {"post_width"}
    assert found.sheet.number("post_width") == found.sheet.number("post_section")
    for cut in found.cuts:
        marks = cut.marked / step
        assert marks == pytest.approx(round(marks), abs=1e-9)
        assert abs(cut.error) <= step / 2 * (1 + 1e-5)
        assert cut.marked - cut.exact == pytest.approx(cut.error, abs=1e-9)
        assert found.sheet.number(cut.name) == cut.marked


@pytest.mark.parametrize(("style", "step"), STYLES, ids=lambda value: str(value))
def test_the_height_from_the_rounded_cuts_by_hand(style: ShopStyle, step: float) -> None:
    # reference/derivations/crossing.md at the square crossing: (L + 2w)/√3 less the flats,
    # and 3 mm of pad under it as assumed
    found = round_to_shop(TABLE.solve(PLAIN), style)
    marked = {c.name: c.marked for c in found.cuts}
    height = (marked["post_length"] + 2 * marked["post_section"]) / math.sqrt(3)
    height += 3 + marked["top_thickness"] - marked["foot_flat_depth"] - marked["head_flat_depth"]
    wish = next(w for w in found.wishes if w.name == "table_height")
    assert wish.wanted == 735.0
    assert wish.becomes == pytest.approx(height, abs=1e-9)
    assert wish.off == pytest.approx(height - 735.0, abs=1e-9)
    assert found.sheet.number("splay") == pytest.approx(math.degrees(math.acos(3**-0.5)))


def test_every_wish_is_reported_and_the_lean_is_not_bent_to_meet_it() -> None:
    sheet = TABLE.solve({**PLAIN, "foot_radius": 450.0})
    found = round_to_shop(sheet)
    assert [w.name for w in found.wishes] == list(sheet.givens)
    assert found.sheet.number("splay") == pytest.approx(sheet.number("splay"), rel=1e-12)
    off = {w.name: w.off for w in found.wishes}
    assert off["top_diameter"] == 0 and off["post_section"] == 0
    assert 0 < abs(off["table_height"] or 0) < 1.5 and 0 < abs(off["foot_radius"] or 0) < 1.5


def test_a_share_lost_to_rounding_is_told() -> None:
    """Six shares of 10.1 mm need 60.6 mm; 60.5 mm holds five."""
    whole, share = cut("whole"), small.Quantity("share", "share", "mm", "an invented size", 1, 99)
    count = small.quantity("count", 1, 100)
    held = small.relation(
        "count", count.symbol, sp.floor(whole.symbol / share.symbol),
        inverse={"whole": count.symbol * share.symbol},
    )  # fmt: skip
    found = round_to_shop(
        small.network([share, whole, count], [held]).solve({"share": 10.1, "count": 6.0})
    )
    wish = next(w for w in found.wishes if w.name == "count")
    assert (wish.becomes, wish.off) == (5.0, -1.0)
    assert "count: wanted 6, becomes 5 (1 under)" in found.text()


def test_a_count_given_alone_has_room_to_spare_for_rounding() -> None:
    found = round_to_shop(TABLE.solve({"table_height": 735.0, "seats": 6.0, "post_section": 64.0}))
    wish = next(w for w in found.wishes if w.name == "seats")
    assert (wish.becomes, wish.off) == (6.0, 0.0)


def cut(name: str, low: float = 0.001) -> small.Quantity:
    return small.Quantity(name, name, "mm", "an invented cut", low, 1000.0, cut=True)


def test_cuts_that_settle_one_another_are_left_to_follow() -> None:
    a, b, c = cut("a"), cut("b"), cut("c")
    of = small.network([a, b, c], [small.relation("sum", a.symbol + b.symbol, c.symbol)])
    found = round_to_shop(of.solve({"a": 10.3, "c": 30.6}))
    assert found.following == ("c",)
    assert {x.name: x.marked for x in found.cuts} == {"a": 10.5, "b": 20.5}
    wish = {w.name: w for w in found.wishes}["c"]
    assert wish.becomes == pytest.approx(31.0) and wish.off == pytest.approx(0.4)
    assert "Not rounded, because the other values settle it: c." in found.text()


def test_what_would_round_to_nothing_stays() -> None:
    a, b, k = cut("a", 0.01), cut("b"), small.quantity("k")
    of = small.network([a, b, k], [small.relation("times", b.symbol, k.symbol * a.symbol)])
    found = round_to_shop(of.solve({"a": 0.2, "k": 30.2}))
    assert {x.name: x.marked for x in found.cuts} == {"b": 6.0}
    assert found.too_small == ("a",) and found.sheet.number("a") == 0.2
    assert "Too small to round" in found.text()


def test_the_style_of_the_sheet_is_the_default() -> None:
    sheet = TABLE.solve(PLAIN, shop=ShopStyle("in", fraction=16))
    found = round_to_shop(sheet)
    assert found.sheet.shop_style == sheet.shop_style
    assert found.cuts[0].marked / (25.4 / 16) == pytest.approx(580)  # 36 1/4 in
    assert "36 1/4 in (0.030 in over)" in found.text()


@pytest.mark.parametrize(
    ("limit", "x", "worse"), [(12, 5.76, []), (11.6, 5.7, []), (11.6, 5.76, ["double"])]
)
def test_a_check_that_rounding_pushes_past_its_limit_is_told(
    limit: float, x: float, worse: list[str]
) -> None:
    """y = 2 x: 5.76 mm is marked 6 mm and makes 12 mm, 5.7 mm is marked 5.5 mm and makes 11 mm."""
    of_x = Quantity("x", "x", "mm", "invented", 0.001, 1000, cut=True)
    of_y = small.quantity("y", unit="mm")
    most = Requirement("double", "double", "y", small.INVENTED, (None, limit), too_high="Too much.")
    twice = small.relation("twice", of_y.symbol, 2 * of_x.symbol)
    found = round_to_shop(small.network([of_x, of_y], [twice], [], [most]).solve({"x": x}))
    assert [check.name for check in found.worse] == worse
    said = "double: 12 mm as marked, which is past its limit of 11.6 mm"
    assert (said in found.text()) is bool(worse)
