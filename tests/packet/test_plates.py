"""Drawings among text: each on one sheet with what speaks of it, and no sheet half empty."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from tablekit.brief import parse_brief, read_brief
from tablekit.design import Design
from tablekit.drawing.board_layout import LayoutSubject, lay_out_drawing
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink
from tablekit.drawing.style import Paper
from tablekit.packet.books import at_a_glance, bench_book
from tablekit.packet.document import Document, Plate, Section, Subheading, Text
from tablekit.packet.pages import A4, PAPERS, Page, lay_out_pages, save_book
from tablekit.packet.plates import INSET, across, drawn_within, place
from tablekit.packet.typeset import HEAD, SUB, Setter
from tablekit.setting_out import design_of
from tablekit.shipped import notebooks_path
from tests.drawing.legible import off_the_paper, overlapping
from tests.packet.documents import LONG, texts
from tests.together import each

FOOT = 26.0  # mm from the lower edge: below this stands the line at the foot


def square(paper: Paper) -> Layout:
    """A square as large as there is room for, up to 160 mm, by steps of 20 mm; and a line over it
    that says how large it is."""
    side = min(paper.width, paper.height) // 20 * 20
    if side < 40:
        raise ValueError("too small")
    side = min(side, 160.0)
    left, low = (paper.width - side) / 2, (paper.height - side) / 2
    ink = Ink()
    ink.line("visible", (left, low), (left + side, low), (left + side, low + side))
    return Layout(side, paper.arrangement, ink)


def plate(parts: Sequence[Text] = (), least: float = 80.0, **more) -> Plate:
    return Plate("a square", "square", square, tuple(parts), least, **more)


def spread(page: Page) -> list[tuple[float, str]]:
    """Texts of a page above the line at its foot: height on the paper, and what they say."""
    return [(one.y, one.text) for one in page.sheet.ink.labels if one.y > FOOT]


def book(*sections: Section, paper: Paper = A4) -> list[Page]:
    return lay_out_pages(Document("A table", "Try", sections), paper)


# --- One plate ------------------------------------------------------------------------------------


def test_a_drawing_is_as_large_as_its_text_leaves_room_for_and_no_higher() -> None:
    low, high = drawn_within(plate(), 180.0, 90.0), drawn_within(plate(), 180.0, 150.0)
    assert low is not None and high is not None
    assert low.ink.box().height == 80.0 and high.ink.box().height == 140.0
    for one in (low, high):
        assert one.ink.box().height <= one.height < one.ink.box().height + 12.0
    assert drawn_within(plate(), 180.0, 30.0) is None


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS)
@pytest.mark.parametrize("paragraphs", [0, 3, 5])
def test_a_drawing_and_its_text_are_on_one_page(paper: Paper, paragraphs: int) -> None:
    said = [Text(f"{k}: {LONG}") for k in range(paragraphs)]
    filling = Text(LONG * 3)
    pages = book(Section("First", (filling,)), Section("Second", (plate(said),)), paper=paper)
    (found,) = (page for page in pages if page.plates)
    texts = [text for _, text in spread(found)]
    assert "Second" in texts
    assert all(any(text.startswith(f"{k}: ") for text in texts) for k in range(paragraphs))


def test_more_text_than_a_sheet_holds_goes_on_to_the_next() -> None:
    pages = book(Section("First", (plate([Text(f"{k}: {LONG}") for k in range(30)]),)))
    assert len(pages) > 2 and pages[0].plates
    said = " ".join(text for page in pages for _, text in spread(page))
    assert all(f"{k}: The" in said for k in range(30))


def test_two_drawings_that_fit_are_on_one_sheet() -> None:
    pages = book(
        Section("First", (plate([Text("one")]),)), Section("Second", (plate([Text("two")]),))
    )
    assert [len(page.plates) for page in pages] == [2]


@pytest.mark.parametrize("lines", [4, 10, 20, 28])
def test_a_drawing_leaves_room_for_what_comes_after_it(lines: int) -> None:
    after = tuple(Text("One line.", close=True) for _ in range(lines))
    setter = Setter(A4)
    setter.turn()
    drawn, _ = place(setter, plate(), None, after)
    for part in after:
        setter.put(part)
    assert drawn is not None and len(setter.sheets) == 1


@each("lines", range(10, 45))
def test_a_heading_and_the_lines_under_it_stay_with_their_drawing(lines: int) -> None:
    above = Section("Above", tuple(Text(f"{k}", close=True) for k in range(lines)))
    with_drawing = Section("Heading", (Text("one line"), plate([Text("said")], title="Drawn")))
    found = {
        text: number
        for number, page in enumerate(book(above, with_drawing))
        for _, text in spread(page)
        if text in ("Heading", "one line", "Drawn", "said")
    }
    assert len(found) == 4 and len(set(found.values())) == 1, found


def test_text_stands_beside_a_drawing_where_that_saves_a_sheet() -> None:
    # 35 lines of 5.7 mm below a drawing of 85 mm are more than a sheet has room for; 22 are not.
    said = [Text("Beside it.", close=True) for _ in range(13)]
    after = tuple(Text("After it.", close=True) for _ in range(22))
    pages = book(Section("First", (plate(said, 85.0, text="beside"), *after)))
    assert len(pages) == 1
    xs = {label.text: label.x for label in pages[0].sheet.ink.labels}
    assert xs["Beside it."] >= A4.width / 2 > xs["After it."]


@each("lines", range(12, 45))
def test_a_turned_sheet_loses_no_text_and_parts_no_heading(lines: int) -> None:
    """Whatever room is left when a heading comes, what is counted as set is on the sheet."""
    before = [Text(f"line {k}.") for k in range(lines)]
    after = [Text(f"end {k}.") for k in range(8)]
    ink, _, _, placed = across(
        A4, plate([*before, Subheading("Heading"), *after], text="across"), None
    )
    told = [label.text for label in ink.labels]
    names = [*(one.text for one in before), "Heading", *(one.text for one in after)]
    assert [name for name in names if name in told] == names[:placed]
    assert names[placed - 1] != "Heading"


def test_text_beside_a_drawing_on_a_turned_sheet_is_to_its_right() -> None:
    ink, sheet, drawn, placed = across(A4, plate([Text(LONG), Text(LONG)]), Section("First", ()))
    assert (sheet.width, sheet.height) == (A4.height, A4.width) and placed == 2
    assert drawn is not None
    right = A4.margin - INSET + drawn.ink.box().right
    own = [label for label in ink.labels if label.size < SUB]
    assert own and min(label.x for label in own) > right
    assert overlapping(ink) == [] and off_the_paper(ink, sheet) == []


# --- Whole books ----------------------------------------------------------------------------------

TABLE = """
name = "Try"
{more}

[given]
table_height = "735 mm"
top_diameter = "1000 mm"
top_thickness = "32 mm"
post_section = "64 mm"

[[boards]]
name = "A"
width = "150 mm"
length = "1.1 m"
count = {count}
"""
MORE = {
    "mm": "", "in": 'display = "in"', "mm on Letter": 'paper = "Letter"',
    "in on A4": 'display = "in"\npaper = "A4"',
}  # fmt: skip


@cache
def job(name: str, count: int = 8) -> Design:
    brief = parse_brief(TABLE.format(more=MORE[name], count=count))
    return design_of(brief)


@pytest.fixture(scope="module", params=MORE)
def pages(request: pytest.FixtureRequest) -> list[Page]:
    """The bench book of a table with boards."""
    it = job(request.param)
    return lay_out_pages(bench_book(it), PAPERS[it.paper])


def test_a_book_is_on_the_paper_that_the_brief_says() -> None:
    assert [job(name).paper for name in MORE] == ["A4", "Letter", "Letter", "A4"]


def test_a_table_with_boards_takes_14_pages_at_most_of_one_paper(pages: list[Page]) -> None:
    assert len(pages) <= 14
    papers = [page.sheet.paper for page in pages]
    sizes = {tuple(sorted((paper.width, paper.height))) for paper in papers}
    assert len(sizes) == 1


def test_no_page_is_half_empty_and_no_heading_alone_at_its_foot(pages: list[Page]) -> None:
    for number, page in enumerate(pages, start=1):
        high = page.sheet.paper.height
        said = [one for one in page.sheet.ink.labels if one.y > FOOT]
        assert overlapping(Ink(labels=said)) == [], number
        lowest = min(one.y for one in said)
        if number < len(pages):
            assert lowest < high / 2, number
        for one in said:
            if one.bold and one.size in (HEAD, SUB):
                assert one.y > lowest + 5.0, (number, one.text)


def test_every_strip_is_named_on_the_drawing_of_the_boards() -> None:
    for name in MORE:
        it = job(name)
        assert it.boards is not None and it.boards.layout is not None
        strips = it.boards.layout.strips
        shown = LayoutSubject(
            it.boards.layout, it.sheet.name, it.sheet.number("top_diameter"), it.sheet.shop_style
        )
        ink = lay_out_drawing(shown, Paper(190.0, 150.0, 0.0, with_text=True)).ink
        upright = [label for label in ink.labels if label.rotation == 90.0]
        assert sum(label.text == "A" for label in upright) == len(strips) > 4


# --- Pages as printed -----------------------------------------------------------------------------

# Pieces with many failures, without boards, on other legs: what has left a page nearly empty.
ODD = {
    "plant stand": """
kind = "table"
display = "in"
[given]
table_height = "32 in"
top_diameter = "14 in"
post_section = "1 1/4 in"
foot_spread = "15 in"
[base]
hand = "left"
""",
    "bedside table": """
kind = "table"
[given]
table_height = "24 in"
top_diameter = "24 in"
post_section = "1 in"
rim_per_sitter = "8 in"
""",
    "eight boards": """
kind = "table"
[given]
table_height = "730 mm"
top_diameter = "900 mm"
post_section = "60 mm"
[[boards]]
width = "125 mm"
length = "960 mm"
count = 8
""",
    "four legs": """
kind = "table"
[given]
table_height = "720 mm"
top_diameter = "800 mm"
foot_spread = "500 mm"
leg_diameter = "45 mm"
[base]
style = "splayed legs"
legs = 4
""",
}
BRIEFS = notebooks_path() / "briefs"
# Each book takes seconds: of two stools on four legs in mm the garden stool stands for both.
DEMOS = [path.stem for path in sorted(BRIEFS.glob("*.toml")) if path.stem != "bench-stool"]
LEAST_LINES = 10  # of text on a page that has no drawing


@cache
def odd_or_demo(name: str) -> Design:
    return design_of(parse_brief(ODD[name]) if name in ODD else read_brief(BRIEFS / f"{name}.toml"))


@pytest.mark.parametrize("name", [*ODD, *DEMOS])
def test_no_page_of_the_bench_book_is_nearly_empty(name: str, tmp_path: Path) -> None:
    it = odd_or_demo(name)
    pages = lay_out_pages(bench_book(it), PAPERS[it.paper])
    save_book(pages, tmp_path / "bench.pdf", name)
    read = [page.extract_text() for page in PdfReader(tmp_path / "bench.pdf").pages]
    assert len(read) == len(pages) <= 14
    for number, (said, page) in enumerate(zip(read, pages, strict=True), start=1):
        if page.name == "text":
            assert len(said.splitlines()) >= LEAST_LINES, (number, said)
    assert "have the last word." in " ".join(read[0].split())  # how the card ends


def test_the_card_counts_what_one_page_has_no_room_for() -> None:
    it = odd_or_demo("plant stand")
    looked_at = [check for check in it.checks if check.verdict != "pass"]
    (said,) = (one.text for one in texts(at_a_glance(it)) if one.text.endswith("reasons.pdf."))
    found = re.search(r"And (\d+) more cautions? in reasons\.pdf\.$", said)
    assert found is not None
    assert int(found[1]) + sum(f" {check.name}" in said for check in looked_at) == len(looked_at)
    assert all(f"FAIL {check.name}" in said for check in looked_at if check.verdict == "fail")


def test_a_line_left_for_the_last_page_is_taken_in_by_narrower_margins() -> None:
    for lines in range(40, 60):
        pages = book(Section("First", tuple(Text("a line", close=True) for _ in range(lines))))
        assert len(pages) == 1 or len(spread(pages[-1])) > 1
