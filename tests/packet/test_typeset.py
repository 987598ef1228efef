"""Text on paper: all of it there, none of it over anything else."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tablekit.drawing import style
from tablekit.packet.document import Section, Table, Text
from tablekit.packet.pages import A4, LETTER, lay_out_pages, save_book, save_pages
from tablekit.packet.typeset import COLUMN_GAP, SMALL, Setter, column_widths, wrapped
from tests.drawing.legible import overlapping
from tests.packet.documents import LONG, document
from tests.together import each


def sheets(paper=A4, **more):
    setter = Setter(paper)
    for section in document(**more).sections[:2]:
        setter.heading(section)
        for part in section.parts:
            if type(part).__name__ != "Drawing":
                setter.put(part)
    return setter.sheets


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
def test_nothing_overlaps_or_leaves_its_margins(paper) -> None:
    filled = sheets(paper)
    assert len(filled) > 3
    for ink in filled:
        assert overlapping(ink) == []
        box = ink.box()
        assert box.left >= paper.margin - 1e-6
        assert box.right <= paper.width - paper.margin + 1e-6
        assert box.high <= paper.height - paper.margin + 1.0 and box.low >= paper.margin


def test_every_word_is_set() -> None:
    said = " ".join(label.text for ink in sheets() for label in ink.labels)
    assert said.count("plane") == 1 and "faintly" in said
    for k in range(60):
        assert f"size {k}" in said and f"{k * 12.5:g} mm" in said
    # Words of the long text: once as a text, in seven rows, one step and the caution.
    assert said.count("neighbour.") == 5 * (1 + 7 + 1 + 1)


def test_a_table_that_goes_on_repeats_its_head() -> None:
    heads = [sum(label.text == "why" and label.bold for label in ink.labels) for ink in sheets()]
    rows = [any(label.text.startswith("size ") for label in ink.labels) for ink in sheets()]
    assert sum(rows) > 1
    assert [bool(h) for h in heads] == rows


@each("above", range(20, 50))
def test_no_row_and_no_line_stands_on_a_sheet_by_itself(above: int) -> None:
    few, rows = (tuple((f"row {k}", "x") for k in range(count)) for count in (3, 5))
    head = ("row", "what")
    lines = Text(" ".join(f"word{k}" for k in range(80)))  # five lines or so
    tables = (Table("Rows", head, few), Table("Rows", head, rows))
    for part, own in (*((table, "row ") for table in tables), (lines, "word")):
        setter = Setter(A4)
        for _ in range(above):
            setter.put(Text("above", close=True))
        setter.put(part)
        for ink in setter.sheets:
            found = [label for label in ink.labels if label.text.startswith(own)]
            assert len(found) != 1, above


def test_lines_are_as_wide_as_they_may_be_and_no_wider() -> None:
    lines = wrapped(LONG, 90.0)
    assert " ".join(lines) == " ".join(LONG.split())
    for line, after in pairwise(lines):
        assert style.text_width(line, 10.0) <= 90.0
        assert style.text_width(f"{line} {after.split()[0]}", 10.0) > 90.0
    assert "".join(wrapped("m" * 80, 30.0)) == "m" * 80
    assert all(style.text_width(line, 10.0) <= 30.0 for line in wrapped("m" * 80, 30.0))
    assert wrapped("", 30.0) == []


def test_a_size_is_broken_over_two_lines_only_where_the_line_is_too_short_for_it() -> None:
    text = "Sides of the triangle: 1 11/16 in, 10 11/16 in and, on the end, 1 11/16 in."
    for room in range(25, 120, 3):
        lines = wrapped(text, float(room))
        assert " ".join(lines) == text
        for line, following in pairwise(lines):
            assert not (line[-1].isdigit() and (following[0].isdigit() or following[:2] == "in"))
    assert all(style.text_width(line, 10.0) <= 12.0 for line in wrapped(text, 12.0))


def test_narrow_columns_keep_what_they_ask_for() -> None:
    table = Table("t", ("a", "b", "c"), (("1153.5 mm", LONG, LONG), ("x", "y", "z")))
    widths = column_widths(table, 180.0)
    assert widths[0] >= style.text_width("1153.5 mm", SMALL)
    assert widths[1] == pytest.approx(widths[2])
    assert sum(widths) + 2 * COLUMN_GAP == pytest.approx(180.0)


def test_a_row_of_the_wrong_length_is_refused() -> None:
    with pytest.raises(ValueError, match="2 cells"):
        Table("t", ("a",), (("1", "2"),))


def test_a_heading_is_not_left_alone_at_the_foot() -> None:
    setter = Setter(A4)
    for _ in range(40):
        setter.put(Text("one line"))
        level, count = setter.level, len(setter.sheets)
        if level < setter.floor + 30:
            setter.heading(Section("Next", ()))
            assert len(setter.sheets) == count + 1
            return
    pytest.fail("the sheet was never nearly full")


def test_pages_are_numbered_through_and_written_alike_each_time(tmp_path) -> None:
    from pypdf import PdfReader

    for name in ("one", "two"):
        save_book(lay_out_pages(document()), tmp_path / f"{name}.pdf", "A table")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    read = PdfReader(tmp_path / "one.pdf")
    count = len(read.pages)
    for number, page in enumerate(read.pages, start=1):
        assert f"{number} / {count}" in page.extract_text()
    assert read.metadata is not None and read.metadata.title == "A table"
    text = " ".join(page.extract_text() for page in read.pages)
    assert "after the drawing" in text and "= 1153.6 mm" in " ".join(text.split())
    pages = lay_out_pages(document())
    (tmp_path / "pages").mkdir()
    names = [name for name, _ in save_pages(pages, tmp_path / "pages")]
    assert len(names) == count and names[0] == "page-01.svg"
    assert sum(page.name == "lines" for page in pages) == 2
    titles: list[str] = []
    lay_out_pages(document(), tell=titles.append)
    assert titles == ["First", "Second", "Third", "Fourth"]


def test_a_narrow_column_breaks_sizes_at_their_times_and_no_fraction() -> None:
    """Three sizes are wider than the column: they part at a ×, never inside "1 5/8"."""
    table = Table("x", ("size", "what"), (("24 13/32 × 4 7/16 × 1 5/8", "w " * 60),))
    lines = wrapped(table.rows[0][0], 30.0, SMALL)
    assert len(lines) > 1 and " ".join(lines) == table.rows[0][0]
    for size in ("24 13/32", "4 7/16", "1 5/8"):
        assert any(size in line for line in lines)


def test_words_beside_a_drawing_break_no_measure_either() -> None:
    from tablekit.drawing.board_table import table

    said = "Tenons 2 × 2 × 15/32, half in each strip. 12 clamps, 3 15/32 in apart, 831 lbf each."
    for width in range(40, 120, 3):
        ink = table((), (), [said], float(width), 200.0)
        assert ink is not None
        lines = [label.text for label in ink.labels]
        assert " ".join(lines) == said
        for size in ("3 15/32 in", "831 lbf", "2 × 2 × 15/32"):
            assert sum(size in line for line in lines) == 1, (width, size)
