"""The boards of a brief in the JSON, the summary and the packet."""

from __future__ import annotations

import json
import math

import pytest

from tablekit.brief import parse_brief
from tablekit.packet.bench import top
from tablekit.packet.board_text import HEADING
from tablekit.packet.document import Plate
from tablekit.packet.packet import answer_json
from tablekit.packet.pages import A4, LETTER
from tablekit.packet.summary import summary_text
from tablekit.setting_out import design_of
from tests.packet.documents import book_drawings

PLAIN = """
name = "Trial table"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
BOARDS = """
[[boards]]
name = "A"
width = "140 mm"
length = "1.1 m"
count = 4
price = 18.0
[[boards]]
name = "B"
width = "185 mm"
length = "980 mm"
count = 3
"""


def solved(text):
    return design_of(parse_brief(text))


def answered(text):
    return json.loads(answer_json(solved(text)))


def test_the_layout_stands_in_the_json() -> None:
    found = answered(PLAIN + BOARDS)["board_layout"]
    assert set(found) == {"strips", "boards_area", "circle_area", "proved", "gap"}
    assert [set(strip) for strip in found["strips"]] == [
        {"board", "left", "right", "length_needed"}
    ] * 6
    # Worked by hand: reference/derivations/boards_to_round.md; 10 mm, 15 mm and 2 mm are assumed.
    assert found["boards_area"] == 1_005_900 and found["proved"] is True and found["gap"] == 0
    assert found["circle_area"] == pytest.approx(math.pi * 470**2, rel=1e-11)
    assert found["strips"][0]["left"] == -475.5 and found["strips"][-1]["right"] == 475.5
    assert [s["board"] for s in found["strips"]] in (list("AAABBB"), list("BBBAAA"))


def test_a_brief_without_boards_says_nothing_of_them() -> None:
    design = solved(PLAIN)
    assert "board_layout" not in answered(PLAIN)
    assert HEADING not in summary_text(design)
    assert "board-layout" not in book_drawings(design)


def test_a_rack_that_falls_short_is_answered_for_all_else() -> None:
    text = PLAIN + BOARDS.replace("count = 3", "count = 1")
    found = answered(text)
    assert found["board_layout"] is None
    (check,) = (c for c in found["checks"] if c["name"] == "boards for the top")
    # 4 × 136 + 181 = 725 mm of the 940 needed.
    assert (check["name"], check["verdict"]) == ("boards for the top", "fail")
    assert (check["value"], check["limit"], check["unit"]) == (725, 940, "mm")
    assert "215 mm of width is missing" in check["message"]
    assert found["quantities"] == answered(PLAIN)["quantities"]
    design = solved(text)
    said = " ".join(summary_text(design).split())
    assert "FAIL: boards for the top" in said and "215 mm of width is missing" in said
    assert "board-layout" not in book_drawings(design)


def test_the_check_passes_with_the_width_there_is() -> None:
    checks = answered(PLAIN + BOARDS)["checks"]
    (check,) = (c for c in checks if c["name"] == "boards for the top")
    assert check["verdict"] == "pass"
    assert (check["value"], check["limit"]) == (951, 940)


def test_the_summary_tells_each_strip_and_what_is_assumed() -> None:
    design = solved(PLAIN + BOARDS + '[top]\nmargin = "10 mm"\n')
    said = " ".join(summary_text(design, 100).split())
    assert "edge loss 2 mm assumed" in said and "margin all round 10 mm end waste" in said
    assert "475.5 mm left to" in said and "at least 847.5 mm long" in said
    assert "push blocks" in said  # the caution stands where the work is described
    short = summary_text(design, 48)
    assert max(map(len, short.splitlines())) <= 48


def test_all_alike_is_read_from_the_brief() -> None:
    design = solved(PLAIN + BOARDS + '[top]\nrip = "all alike"\n')
    found = design.boards
    assert found.layout.rip_width == 136 and len(found.layout.strips) == 7


def test_the_drawings_are_in_the_packet() -> None:
    design = solved(PLAIN + BOARDS)
    names = book_drawings(design)
    assert {"board-layout", "glue-up", "end-grain"} <= set(names)


def test_more_strips_than_a_page_lists_are_in_the_summary_alone() -> None:
    thin = PLAIN + '[[boards]]\nname = "A"\nwidth = "10 mm"\nlength = "1 m"\ncount = 200\n'
    design = solved(thin)
    assert len(design.boards.layout.strips) == 157  # of 6 mm, for 940
    drawn = {p.name: p for p in top(design).parts if isinstance(p, Plate)}
    for paper in (A4, LETTER):
        with pytest.raises(ValueError, match="too small"):
            drawn["board-layout"].lay_out(paper)
    assert "157: A" in summary_text(design)
