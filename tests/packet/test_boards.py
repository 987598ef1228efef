"""The boards of a brief in the JSON, the summary and the packet."""

from __future__ import annotations

import json
import math
from functools import cache
from itertools import pairwise

import pytest

from tablekit.brief import parse_brief
from tablekit.cli import main
from tablekit.engine.trouble import DesignError
from tablekit.packet.bench import top
from tablekit.packet.document import Plate
from tablekit.packet.offcuts import offcuts_text
from tablekit.packet.packet import answer_json
from tablekit.packet.pages import A4, LETTER
from tablekit.packet.summary import summary_text
from tablekit.packet.top_text import HEADING, cutting_lines
from tablekit.planning.board_layout import pieces_marked
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


@cache
def solved(text):
    return design_of(parse_brief(text))


@cache
def written(text):
    return answer_json(solved(text))


def answered(text):
    return json.loads(written(text))


def test_the_layout_stands_in_the_json() -> None:
    found = answered(PLAIN + BOARDS)["board_layout"]
    assert set(found) == {"strips", "used_area", "circle_area", "offcuts", "proved", "gap"}
    assert [set(strip) for strip in found["strips"]] == [
        {"board", "copy", "from", "to", "left", "right", "length_needed"}
    ] * 6
    # Worked by hand: reference/derivations/boards_to_round.md; 10 mm, 15 mm and 2 mm are assumed.
    assert found["used_area"] == pytest.approx(884_900, abs=60)
    assert found["proved"] is True and found["gap"] == 0
    backs = sorted(round(one["length"], 1) for one in found["offcuts"])
    assert backs == [420.7, 443.6] and {one["width"] for one in found["offcuts"]} == {140}
    assert found["circle_area"] == pytest.approx(math.pi * 470**2, rel=1e-11)
    ends = sorted(abs(found["strips"][k][side]) for k, side in ((0, "left"), (-1, "right")))
    assert ends == pytest.approx([470, 481])


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
    assert "470 mm left to" in said and "at least 661.5 mm long" in said
    assert "strip 1 from 15 mm to 676.5 mm (661.5 mm long); 420.5 mm goes back" in said
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
    thin = PLAIN + '[[boards]]\nname = "A"\nwidth = "20 mm"\nlength = "1 m"\ncount = 80\n'
    design = solved(thin)
    assert len(design.boards.layout.strips) == 59  # of 16 mm, for 940
    drawn = {p.name: p for p in top(design).parts if isinstance(p, Plate)}
    for paper in (A4, LETTER):
        with pytest.raises(ValueError, match="too small"):
            drawn["board-layout"].lay_out(paper)
    assert "59: A" in summary_text(design)


ODD = """
[[boards]]
name = "long"
width = "200 mm"
length = "3 m"
avoid = [{ from = "400 mm", to = "460 mm" }]
[[boards]]
name = "wide end second"
width = "170 mm"
end_width = "210 mm"
length = "2.2 m"
count = 2
avoid = [{ from = "100 mm", to = "140 mm" }]
thickness = "34 mm"
[top]
shortest_kept = "250 mm"
match = "heart side up"
"""


def test_offcuts_are_boards_for_the_next_brief() -> None:
    """What is left is measured again from the strips, and the text is read as a brief."""
    design = solved(PLAIN + ODD)
    text = offcuts_text(design)
    found = {board.name: board for board in parse_brief(PLAIN + text).boards}
    strips = design.boards.layout.strips
    kinds = {board.name: board for board in design.brief.boards}
    expected = {}
    for one in design.boards.layout.cut:
        ends = [s for s in strips if (s.board, s.copy) == (one.board, one.copy)]
        first, last = min(s.start for s in ends), max(s.end for s in ends)
        rest = first - 3 if one.from_far else one.length - last - 3  # less a kerf
        if rest >= 250:
            number = "" if kinds[one.board].count == 1 else f" no. {one.copy}"
            expected[f"rest of {one.board}{number}"] = (one, rest)
    assert found.keys() == expected.keys() and len(found) >= 1
    for name, (one, rest) in expected.items():
        board, kind = found[name], kinds[one.board]
        assert rest - 0.5 <= board.length <= rest + 1e-6
        assert board.thickness == kind.thickness and board.count == 1
        if kind.end_width is not None:  # the narrow end is left: the first one
            assert one.from_far and board.width == 170
            at = 170 + 40 * rest / 2200
            assert at - 0.5 <= board.end_width <= at + 1e-6
            assert [(z.start, z.end) for z in board.avoid] == [(100, 140)]


def test_offcuts_without_boards_are_refused() -> None:
    with pytest.raises(DesignError, match="lists no boards"):
        offcuts_text(solved(PLAIN))
    with pytest.raises(DesignError, match="fall short"):
        offcuts_text(solved(PLAIN + BOARDS.replace("count = 3", "count = 1")))


def test_the_cutting_list_goes_board_by_board() -> None:
    design = solved(PLAIN + ODD)
    said = list(cutting_lines(design.boards, design.sheet, design.brief.top.match))
    assert said[0].startswith("Crosscut first")
    layout = design.boards.layout
    of_boards = said[1 : 1 + len(layout.cut)]
    for line, one in zip(of_boards, layout.cut, strict=True):
        for number, _ in layout.pieces(one):
            assert f"strip {number} from" in line
    assert sum(line.count(" long)") for line in of_boards) == len(layout.strips)
    assert any("from its wide end" in line for line in of_boards)
    assert sum("push blocks" in line for line in said) == 1  # one caution, where the hand is
    assert "all heart side up" in said[-2] and said[-1].startswith("Back to the rack")


def test_places_marked_are_never_too_short_and_leave_room_for_the_saw() -> None:
    design = solved(PLAIN.replace("[given]", 'display = "in"\n[given]') + ODD)
    layout, style = design.boards.layout, design.sheet.shop_style
    for one in layout.cut:
        marked = pieces_marked(layout, one, style)
        for piece in marked:
            strip = layout.strips[piece.number - 1]
            assert strip.length_needed - 1e-6 <= piece.length < strip.length_needed + 25.4 / 32
            for at in (piece.start, piece.length):
                assert at * 32 / 25.4 == pytest.approx(round(at * 32 / 25.4))
        for a, b in pairwise(marked):
            assert b.start - a.end >= 3 - 1e-6


def test_a_board_too_thin_to_clean_up_is_not_chosen() -> None:
    thin = BOARDS.replace("count = 4\n", 'count = 4\nthickness = "25 mm"\n')
    more = '[[boards]]\nname = "C"\nwidth = "200 mm"\nlength = "1 m"\ncount = 5\n'
    layout = solved(PLAIN + thin + more).boards.layout
    assert layout.boards.keys() <= {"B", "C"}


def test_the_command_writes_offcuts_and_says_where(tmp_path, capsys) -> None:
    brief, file = tmp_path / "trial.toml", tmp_path / "left.toml"
    brief.write_text(PLAIN + ODD, encoding="utf-8")
    assert main(["set-out", str(brief), "--offcuts", str(file)]) == 0
    assert f"Offcuts written to {file}" in capsys.readouterr().out
    assert parse_brief(PLAIN + file.read_text(encoding="utf-8")).boards
    assert [one.name for one in tmp_path.iterdir() if one.name.endswith(".part")] == []
    brief.write_text(PLAIN, encoding="utf-8")
    assert main(["set-out", str(brief), "--offcuts", str(tmp_path / "none.toml")]) == 3
    assert not (tmp_path / "none.toml").exists()
