"""The page for a customer: what is on it, and that nothing of the workshop is."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from tablekit.brief import parse_brief
from tablekit.packet import planning_pages
from tablekit.packet.customer import quote_book
from tablekit.packet.packet import write_packet
from tablekit.packet.pages import PAPERS, lay_out_pages, save_book
from tablekit.packet.summary import summary_text
from tablekit.setting_out import design_of

BRIEF = """
name = "Trial table"
count = 2
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
[wood]
species = "white ash"
[[boards]]
name = "A"
width = "140 mm"
length = "2.4 m"
count = 8
price = 18.0
[[stock]]
name = "plank"
length = "3 m"
width = "150 mm"
price = 31.5
[quote]
labour_rate = 47.11
overhead = "23 %"
margin = "19 %"
currency = "EUR"
"""


def page_of(text: str, tmp_path) -> tuple[str, int]:
    """What is written on the pages of the PDF, read by another library, and how many there are."""
    design = design_of(parse_brief(text))
    path = tmp_path / "quote.pdf"
    save_book(lay_out_pages(quote_book(design), PAPERS[design.paper]), path, "quote")
    reader = PdfReader(io.BytesIO(path.read_bytes()))
    return " ".join(page.extract_text() for page in reader.pages), len(reader.pages)


@pytest.fixture(scope="module")
def design():
    return design_of(parse_brief(BRIEF))


def test_the_page_says_what_is_sold_and_what_it_costs(design, tmp_path) -> None:
    text, pages = page_of(BRIEF, tmp_path)
    assert pages == 1
    found = design.quote
    wanted = ("Round table on three crossed posts", "white ash", "735 mm", "920 mm across", "28 mm",
              f"One table as described: {found.price:,} EUR",
                  f"Both tables: {found.lot_price:,} EUR", "Care")  # fmt: skip
    for one in wanted:
        assert one in text


def test_nothing_of_the_workshop_is_on_it(design, tmp_path) -> None:
    """No hours, rates, shares or costs; no size of posts, notches or boards."""
    text, _ = page_of(BRIEF, tmp_path)
    found = design.quote
    secrets = [
        "47.11", "23 %", "19 %", "hour", "labour", "overhead", "margin", "notch", "lamination",
        "31.5", "18.0", str(found.amount("lot_cost")), str(found.amount("labour_cost")),
        str(found.amount("material_cost")), design.sheet.shop("post_length").split()[0],
        design.sheet.shop("splay"),
    ]  # fmt: skip
    assert [one for one in secrets if one.lower() in text.lower()] == []
    # Of the drawing there are three sizes: the diameter, the thickness, the height.
    numbers = set(
        re.findall(r"(?<![\d.])\d{2,4}(?:\.\d+)?(?= |$|\n)", text.split("What you get")[0])
    )
    assert numbers == {"920", "28", "735"}


def test_a_page_in_inches_has_no_millimetres(tmp_path) -> None:
    inches = BRIEF.replace('name = "Trial table"', 'name = "Trial table"\ndisplay = "in"', 1)
    text, pages = page_of(inches, tmp_path)
    assert pages == 1 and " mm" not in text and " kg" not in text and " lb" in text


def test_without_a_price_for_the_wood_the_page_names_none(tmp_path) -> None:
    text, _ = page_of(BRIEF.replace("price = 31.5", ""), tmp_path)
    assert "The price follows." in text and "EUR" not in text


def test_splayed_legs_have_a_page_too(tmp_path) -> None:
    text, pages = page_of(
        'name = "Stool"\nkind = "stool"\n[given]\nseat_height = "450 mm"\ntop_diameter = "330 mm"\n'
        'leg_diameter = "40 mm"\n[base]\nstyle = "splayed legs"\n[quote]\nlabour_rate = 40\n',
        tmp_path,
    )
    assert pages == 1 and "Round stool on three splayed legs" in text
    assert "Ø330" in text and "Ø40" not in text  # of the picture: the whole, nothing of the legs


def test_the_packet_has_the_page_where_a_price_is_asked(design, tmp_path) -> None:
    assert "quote.pdf" in write_packet(design, tmp_path / "packet")


def test_every_sum_shows_the_currency_of_the_brief(design) -> None:
    """Boards, planks and what is to be bought, as well as the quote: no sum stands alone."""
    said = [summary_text(design)]
    said += [str(part) for part in planning_pages.cutting(design).parts]
    text = " ".join(" ".join(said).replace("\xa0", " ").split())
    assert "at 18.00 EUR" in text  # a board, as the brief has it
    planks = design.cut_list.planks
    assert planks is not None and planks.price is not None
    # 31.50 for each plank.
    paid = f"{31.5 * sum(planks.planks.values()):.2f} EUR"
    assert f"for {paid} together" in text and f"altogether for {paid}." in text
    sums = re.findall(r"(?:at|worth|for) \d[\d,]*\.\d\d(?!\d| m²)( EUR)?", text)
    assert len(sums) >= 4 and all(sums)
    without = design_of(parse_brief(BRIEF.replace('currency = "EUR"', "")))
    assert "EUR" not in summary_text(without)
