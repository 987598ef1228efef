"""The price of a piece, worked by hand, and what is said of what has no price."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction

import pytest

from tablekit.brief import BriefError, parse_brief
from tablekit.brief.writing import write_brief
from tablekit.design.sheets_beside import sheets_with
from tablekit.engine.shop import in_money, money_text
from tablekit.packet.packet import answer_json
from tablekit.packet.summary import summary_text
from tablekit.planning.quoting import ESTIMATED, OWN_HOURS, Material, QuoteTerms, quote
from tablekit.setting_out import design_of

GIVEN = """
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
BOARDS = """
[[boards]]
name = "A"
width = "140 mm"
length = "2.4 m"
count = 8
price = 18.0
"""
STOCK = """
[[stock]]
name = "plank"
length = "3 m"
width = "150 mm"
price = 31.5
"""
QUOTE = """
[quote]
labour_rate = 45
overhead = "25 %"
margin = 0.2
currency = "EUR"
fittings = 18.0
finish = 22.5
"""


def of(*parts: str, count: int = 1):
    return design_of(parse_brief(f'name = "Trial"\ncount = {count}\n' + "".join(parts)))


@pytest.fixture(scope="module")
def priced():
    return of(GIVEN, BOARDS, STOCK, QUOTE, "hours = 28\n", count=2)


def costs(**changed: float | None) -> Material:
    known = {"planks_cost": 90.0, "boards_cost": 121.5, "fittings_cost": 18.0, "finish_cost": 22.5}
    return Material({**known, **changed}, (), ())


def test_the_worked_example() -> None:
    """By hand in reference/derivations/pricing.md: 252 of material, 28 hours at 45, a quarter on
    both, and a fifth of the price left; two pieces."""
    terms = QuoteTerms(45.0, overhead=0.25, margin=0.2)
    found = quote(terms, costs(), 1680.0, pieces=2)
    names = ("material_cost", "quote_hours", "labour_cost", "overhead_cost", "lot_cost", "margin")
    assert [str(found.amount(name)) for name in names] == [
        "252.00", "28.00", "1260.00", "378.00", "1890.00", "472.50",
    ]  # fmt: skip
    assert (str(found.price), str(found.lot_price)) == ("1181.25", "2362.50")


@pytest.mark.parametrize("rate", [41.37, 63.005, 17.333])
@pytest.mark.parametrize("pieces", [1, 3, 7])
def test_any_price_against_fractions(rate: float, pieces: int) -> None:
    """The same sums in exact fractions, rounded half up by hand at the end."""
    terms = QuoteTerms(rate, overhead=0.17, margin=0.33)
    found = quote(terms, costs(), 1234.0, pieces=pieces)
    exact = [Fraction(str(n)) for n in (rate, 0.17, 0.33, 90, 121.5, 18, 22.5)]
    hour, over, margin, *material = exact
    cost = (sum(material) + Fraction(1234, 60) * hour) * (1 + over)
    price = cost / (1 - margin) / pieces
    cents = int(price * 100 + Fraction(1, 2))
    assert found.price == Decimal(cents) / 100
    # What a customer comes to who multiplies, and never a cent apart from it.
    assert found.lot_price == found.price * pieces


@pytest.mark.parametrize(
    ("number", "text"),
    [
        # Halves are rounded away from zero, though a float holds most of them a little short: by
        # hand, and the float of 2.675 is 2.67499999999999982236431605997495353221893310546875.
        (2.675, "2.68"), (1.005, "1.01"), (0.125, "0.13"), (1181.25, "1,181.25"), (3.0, "3.00"),
        (0.1 + 0.2, "0.30"), (1e6 + 0.005, "1,000,000.01"), (0.0, "0.00"), (-2.675, "−2.68"),
    ],
)  # fmt: skip
def test_money_has_two_decimals_rounded_half_up(number: float, text: str) -> None:
    assert money_text(number) == text
    assert str(in_money(number)).replace("-", "−") == text.replace(",", "")


def test_boards_are_paid_for_by_the_share_used_and_planks_whole(priced) -> None:
    """The share is measured again on the layouts: area used over the area of a board."""
    found = priced.quote
    cut = [one for top in priced.laid for one in top.boards.layout.cut]
    kinds = {b.name: b for top in priced.laid for b in top.brief.boards}
    shares = [(one.used_area / (one.width * one.length), kinds[one.board].price) for one in cut]
    by_hand = sum(share * price for share, price in shares)
    assert float(found.amount("boards_cost")) == pytest.approx(by_hand, abs=0.005)
    assert len(priced.laid) == 2
    planks = priced.cut_list.planks.planks["plank"]
    assert found.amount("planks_cost") == Decimal("31.50") * planks


def test_hours_of_ones_own_take_over(priced) -> None:
    """By hand: 28 hours at 45."""
    assert priced.quote.amount("labour_cost") == Decimal("1260.00")
    assert priced.quote.hours_from == OWN_HOURS
    kits = of(GIVEN, BOARDS, STOCK, QUOTE, count=2)
    assert kits.quote.hours_from == ESTIMATED and "rough estimate" in ESTIMATED
    hours = kits.order.hands / 60
    assert float(kits.quote.amount("labour_cost")) == pytest.approx(45 * hours, abs=0.005)


@pytest.mark.parametrize(
    ("parts", "missing"),
    [
        ((BOARDS.replace("price = 18.0", ""), STOCK), "boards A (price in [[boards]])"),
        ((BOARDS, STOCK.replace("price = 31.5", "")), "planks plank (price in [[stock]])"),
        ((BOARDS,), "price in [[stock]]"),  # those of a likely yard
        ((STOCK,), "the panel for the top"),
        ((BOARDS, STOCK.replace("3 m", "900 mm")), "the planks, of which there are not enough"),
        ((BOARDS.replace("count = 8", "count = 2"), STOCK), "the panel for the top"),
    ],
)
def test_wood_without_a_price_is_named_and_there_is_no_price(
    parts: tuple[str, ...], missing: str
) -> None:
    found = of(GIVEN, *parts, QUOTE).quote
    assert found.price is None and found.lot_price is None and not found.complete
    assert any(missing in one for one in found.missing)
    said = " ".join(found.lines())
    assert "There is no price yet" in said and missing in said
    plain = found.to_json()
    assert plain["price"] is None and plain["lot_price"] is None
    assert any(missing in one for one in plain["not_priced"])
    assert ("price", "none yet") in [row[:2] for row in found.rows()]


def test_what_is_not_priced_is_no_nought() -> None:
    found = of(GIVEN, STOCK, BOARDS.replace("price = 18.0", ""), QUOTE).quote
    assert found.to_json()["boards_cost"] is None and found.to_json()["material_cost"] is None
    assert ("boards", "not priced", "") in found.rows()
    free = of(GIVEN, STOCK, BOARDS.replace("18.0", "0.0"), QUOTE).quote
    assert free.complete and free.to_json()["boards_cost"] == 0.0  # what is free costs nothing


def test_nothing_priced_is_not_a_sum_of_nought() -> None:
    found = of(
        GIVEN, BOARDS.replace("price = 18.0", ""), "[quote]\nlabour_rate = 45\n", count=2
    ).quote
    assert ("material", "not priced", "") in found.rows()
    # Offcuts are of the same boards, which are named once.
    assert [one for one in found.missing if "boards" in one] == ["boards A (price in [[boards]])"]


def test_fittings_and_finish_may_be_in_the_overhead() -> None:
    found = of(GIVEN, BOARDS, STOCK, "[quote]\nlabour_rate = 45\n").quote
    assert found.complete and found.price is not None
    assert found.to_json()["not_priced"] == ["fittings", "finish"]
    assert "Not priced" in " ".join(found.lines())
    assert found.amount("overhead_cost") == found.amount("margin") == 0


def test_posts_that_cannot_be_assembled_have_no_price() -> None:
    locked = '[base]\ncrossing = "two notches"\n'
    found = of(GIVEN, locked, BOARDS, STOCK, QUOTE).quote
    assert any("cannot be assembled" in one for one in found.missing)


def test_a_price_is_in_json_summary_and_working(priced) -> None:
    found = json.loads(answer_json(priced))["quote"]
    assert found["price"] == float(priced.quote.price) and found["currency"] == "EUR"
    assert found["hours"] == 28.0 and found["pieces"] == 2
    text = summary_text(priced)
    assert f"{priced.quote.price:,} EUR" in text
    (beside,) = sheets_with("quote_price", priced)
    assert f"{priced.quote.price}" in beside.working("quote_price").text() + beside.shop(
        "quote_price"
    )
    plain = of(GIVEN, BOARDS, STOCK)
    assert plain.quote is None and "quote" not in json.loads(answer_json(plain))


def test_the_section_is_read_and_written() -> None:
    brief = parse_brief(f'name = "Trial"\n{GIVEN}{QUOTE}')
    assert brief.quote == QuoteTerms(45.0, 0.25, 0.2, "EUR", 18.0, 22.5)
    assert parse_brief(write_brief(brief)) == brief
    for wrong, said in (
        ("[quote]\nmargin = 0.2\n", "labour_rate is missing"),
        ("[quote]\nlabour_rate = 45\nmargin = 0.99\n", "out of range"),
        ('[quote]\nlabour_rate = "45 EUR"\n', "is not a number"),
        ('[quote]\nlabour_rate = 45\ncurrency = "dollars of the realm"\n', "longer than"),
        ("[quote]\nlabour_rate = -1\n", "out of range"),
    ):
        with pytest.raises(BriefError, match=said):
            parse_brief(f'name = "Trial"\n{GIVEN}{wrong}')
