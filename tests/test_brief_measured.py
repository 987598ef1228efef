"""Measured sizes as a CSV file: what is read, and what is said of a file that is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tablekit.brief import BriefError
from tablekit.brief.measured import COLUMNS, MOST_ROWS, Measured, parse_measured, read_measured

HEAD = "piece,size,drawn,measured,unit\n"


def refused(text: str) -> str:
    with pytest.raises(BriefError) as caught:
        parse_measured(text, "mine.csv")
    return str(caught.value)


def test_rows_are_read_in_any_unit_and_order_of_columns() -> None:
    text = (
        "size,measured,piece,drawn,unit,remark\n"
        "# a remark of the shop\n\n"
        "post_length,1146.9,post 1,1146.5,mm,warm day\n"
        "notch depth,1 1/4 in,post 1,31.75 mm,,\n"
        "length,45 1/8,post 2,45,in,\n"
    )
    # An inch is 25.4 mm exactly (NIST SP 811).
    assert parse_measured(text, "mine.csv") == (
        Measured("post 1", "post_length", 1146.5, 1146.9),
        Measured("post 1", "notch_depth", 31.75, 31.75),
        Measured("post 2", "post_length", 1143.0, 1146.175),
    )


def test_a_spreadsheet_with_decimal_commas_is_read() -> None:
    text = "\ufeffpiece;size;drawn;measured;unit\r\npost 1;post_length;1146,5;1146,9;mm\r\n"
    assert parse_measured(text.lstrip("\ufeff"), "mine.csv") == (
        Measured("post 1", "post_length", 1146.5, 1146.9),
    )


def test_what_is_not_measured_yet_is_passed_over() -> None:
    text = HEAD + "post 1,post_length,1146.5,,mm\npost 1,notch_depth,32,32.1,mm\n"
    assert [one.name for one in parse_measured(text, "mine.csv")] == ["notch_depth"]
    assert "no row has a size under measured" in refused(HEAD + "post 1,post_length,1146.5,,mm\n")


@pytest.mark.parametrize(
    "row, said",
    [
        ("post 1,post_length,1146,5,1146,9,mm", "has 7 cells for 5 columns; a decimal comma needs"),
        ("post 1,post_length,1146.5,114.69,mm", "is no cutting error; look for a slip of the pen"),
        ("post 1,post_length,1146.5,45.15,in", "drawn \"1146.5 in\" is out of range"),
        ("post 1,pots_length,1146.5,1146.9,mm", "did you mean post_length?"),
        ("post 1,post_length,,1146.9,mm", "post_length has nothing under drawn"),
        ("post 1,post_length,1146.5,1146.9,", 'drawn = "1146.5" has no unit'),
        ("post 1,post_length,1146.5,1146.9,kg", "drawn"),
        ("post 1,post_length,1146.5,-3,mm", "measured"),
        (",post_length,1146.5,1146.9,mm", "the piece has no name"),
        ("post 1,post_length,1146.5,=1+1,mm", 'measured = "=1+1" is not a quantity'),
    ],
)  # fmt: skip
def test_a_row_that_is_wrong_is_named_by_its_line(row: str, said: str) -> None:
    told = refused(HEAD + "post 9,post_length,1146.5,1146.9,mm\n" + row + "\n")
    assert "line 3: " in told and said in told and "line 2" not in told


def test_a_piece_is_measured_once() -> None:
    row = "post 1,post_length,1146.5,1146.9,mm\n"
    assert 'line 3: "post 1" has its post_length in line 2 already' in refused(HEAD + row + row)


def test_a_piece_in_two_files_is_refused(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(HEAD + "post 1,post_length,1146.5,1146.9,mm\n", "utf-8")
    with pytest.raises(BriefError, match='"post 1" has its post_length in two files'):
        read_measured([tmp_path / "a.csv", tmp_path / "b.csv"])
    assert len(read_measured([tmp_path / "a.csv"])) == 1


@pytest.mark.parametrize(
    "text, said",
    [
        ("", "is empty; its first line names the columns piece, size, drawn, measured and"),
        ("\n\n# only a remark\n", "is empty"),
        ("piece,size,drawn\n", "the column measured is missing"),
        ("a;b\n1;2\n", "line 1: the columns piece, size, drawn, measured are missing"),
        ("piece,piece,size,drawn,measured\n", 'the column "piece" stands there twice'),
    ],
)
def test_a_file_without_its_columns_is_refused(text: str, said: str) -> None:
    assert said in refused(text)


def test_a_file_that_is_too_long_is_refused() -> None:
    rows = "".join(f"post {k},post_length,1146.5,1146.9,mm\n" for k in range(MOST_ROWS))
    assert f"has more than {MOST_ROWS:,} lines" in refused(HEAD + rows)


def test_a_file_that_cannot_be_read_says_so(tmp_path: Path) -> None:
    (tmp_path / "near.csv").write_text(HEAD, "utf-8")
    with pytest.raises(BriefError, match=r"there is no such file; beside it: near\.csv"):
        read_measured([tmp_path / "far.csv"])


CELLS = st.one_of(
    st.text(max_size=12), st.sampled_from([*COLUMNS, "post_length", "1146.5", "mm", '"', "1e9"])
)


# A busy machine is slow to draw letters the first time, which says nothing of the reader.
@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.lists(CELLS, max_size=7), max_size=6), st.sampled_from(",;\t"), st.booleans())
def test_no_text_leads_the_reader_astray(rows: list[list[str]], mark: str, headed: bool) -> None:
    """It answers with rows or with faults, whatever it is given."""
    head = mark.join((*COLUMNS, "unit")) + "\n" if headed else ""
    text = head + "\n".join(mark.join(row) for row in rows)
    try:
        found = parse_measured(text, "mine.csv")
    except BriefError as trouble:
        assert trouble.problems
    else:
        assert found and all(one.measured > 0 for one in found)
