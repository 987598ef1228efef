"""The rack panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

from dataclasses import replace
from unittest.mock import patch

import pytest

from tablekit.brief import parse_brief, write_brief
from tablekit.design.top_boards import CENTRE_CLEAR, top_boards
from tablekit.panels.rack import OLD, RackPanel
from tests.together import each

BRIEF = """
name = "Trial <b>table</b>"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
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
price = 21.5
[top]
margin = "10 mm"
end_waste = "15 mm"
edge_loss = "2 mm"
"""


@pytest.fixture
def panel() -> RackPanel:
    return RackPanel(parse_brief(BRIEF))


def used(panel: RackPanel) -> dict[str, int]:
    assert panel.layout is not None
    return panel.layout.boards


def test_it_opens_with_the_brief(panel: RackPanel) -> None:
    assert [row.texts["length"] for row in panel.rows] == ["1.1 m", "980 mm"]
    assert panel.lengths["edge_loss"].value == "2 mm"
    assert bytes(panel.picture.value).startswith(b"\x89PNG")
    # Worked by hand: 3 of 136 mm and 3 of 181 mm make 951 mm; 4 and 2 make 906 of the 940 needed.
    assert used(panel) == {"A": 3, "B": 3}
    assert panel.trouble.value == ""
    # Of 884 900 mm², 9.4 or 9.5 % of half a square metre: 1 − π 470² / 884 900 = 0.2158.
    assert "22 %" in panel.said.value


def test_a_taper_and_zones_are_typed_as_a_maker_says_them(panel: RackPanel) -> None:
    row = panel.rows[1]
    assert row.flaws.layout.display == "none"  # folded away where there is nothing in it
    row.more.click()
    assert row.flaws.layout.display is None
    row.fields["end_width"].value = "150 mm"
    row.fields["avoid"].value = "0 mm to 60 mm, 900 mm to 0.98 m"
    board = panel.brief.boards[1]
    assert board.end_width == 150
    assert [(zone.start, zone.end) for zone in board.avoid] == [(0, 60), (900, 980)]
    # A tapered board of 185 to 150 mm has no strip as wide as a straight one, less 2 mm either
    # side, and nothing is cut from what is avoided.
    assert panel.trouble.value == ""
    mine = [strip for strip in panel.layout.strips if strip.board == "B"]
    assert mine and all(strip.width < 181 for strip in mine)
    assert all(strip.start >= 60 - 1e-6 and strip.end <= 900 + 1e-6 for strip in mine)
    again = RackPanel(parse_brief(write_brief(panel.brief)))
    assert again.rows[1].flaws.layout.display is None
    assert again.rows[1].texts == row.texts and again.brief.boards == panel.brief.boards


def test_a_wider_board_is_drawn_at_once(panel: RackPanel) -> None:
    before = panel.picture.value
    panel.rows[1].fields["width"].value = "9 in"
    assert panel.picture.value != before
    assert max(strip.width for strip in panel.layout.strips) == pytest.approx(9 * 25.4 - 4)


@each(
    ("field", "text", "words"),
    [
        ("width", "140", "has no unit"),
        ("width", "", "width is missing"),
        ("width", "2 mm", "out of range"),
        ("length", "long", "not a quantity"),
        ("length", "1 kg", "expected a length"),
        ("count", "0", "out of range"),
        ("count", "two", "not a quantity"),
        ("count", "1.5", "not a whole number"),
        ("price", "-1", "negative"),
        ("end_width", "150", "has no unit"),
        ("avoid", "a knot", "from where to where"),
        ("avoid", "80 mm to 20 mm", "not beyond"),
        ("avoid", "20 to 80 mm", "has no unit"),
        ("name", "B", "names two boards"),
    ],
)
def test_what_is_wrong_with_a_board_is_told_under_it(
    panel: RackPanel, field: str, text: str, words: str
) -> None:
    before = panel.picture.value
    row = panel.rows[1] if field == "name" else panel.rows[0]
    row.fields[field].value = "A" if field == "name" else text
    assert words in row.trouble.value and 'role="alert"' in row.trouble.value
    assert panel.picture.value == before and OLD in panel.trouble.value
    row.fields[field].value = {"width": "140 mm", "length": "1.1 m", "count": "4", "price": "18",
                               "name": "B", "end_width": "", "avoid": ""}[field]  # fmt: skip
    assert row.trouble.value == "" and OLD not in panel.trouble.value


def test_boards_come_and_go(panel: RackPanel) -> None:
    row = panel.add_board()
    assert len(panel.table.children) == 3 and panel.trouble.value == ""
    row.fields["width"].value = "500 mm"
    assert "length is missing" in row.trouble.value
    row.fields["length"].value = "970 mm"
    row.fields["count"].value = "2"
    # One, with a B and two A, is 949 mm wide; the strips of the A are short enough to leave some.
    assert used(panel) == {"board 3": 1, "A": 2, "B": 1}
    row.remove.click()
    assert len(panel.table.children) == 2 and used(panel) == {"A": 3, "B": 3}
    for one in list(panel.rows):
        one.remove.click()
    assert "The rack is empty" in panel.trouble.value and OLD in panel.trouble.value


def test_a_rack_that_falls_short_says_by_how_much(panel: RackPanel) -> None:
    panel.rows[1].remove.click()
    # 4 strips of 136 mm make 544 mm of the 940 needed.
    assert "396 mm of width is missing" in panel.trouble.value
    panel.rows[0].fields["count"].value = "7"
    assert panel.trouble.value == "" and used(panel) == {"A": 7}


def test_wishes_are_read_from_their_controls(panel: RackPanel) -> None:
    panel.order.value = "A, B, B, B, A, A"
    assert [strip.board for strip in panel.layout.strips] == ["A", "B", "B", "B", "A", "A"]
    panel.order.value = "A, C"
    assert "board &quot;C&quot;: the rack has none" in panel.trouble.value
    panel.order.value = ""
    panel.symmetrical.value = True
    assert sum(panel.layout.joints) == pytest.approx(0)
    panel.centre.value = True
    assert min(map(abs, panel.layout.joints)) >= CENTRE_CLEAR
    panel.centre.value = False
    panel.symmetrical.value = False
    panel.rip.value = "all alike"
    assert panel.layout.rip_width == 136
    panel.keep.value = "A"
    assert "kept in the rack" in panel.trouble.value
    panel.keep.value = ""
    panel.lengths["narrowest"].value = "150 mm"
    assert "no strip narrower than 150 mm" in panel.trouble.value
    panel.lengths["narrowest"].value = "150"
    assert "narrowest" in panel.trouble.value and "has no unit" in panel.trouble.value


def test_the_least_price(panel: RackPanel) -> None:
    panel.rip.value = "as wide as each goes"
    panel.rows[0].fields["price"].value = ""
    panel.objective.value = "price"
    assert "board A has no price" in panel.trouble.value
    panel.rows[0].fields["price"].value = "18"
    assert panel.layout.objective == "price" and panel.layout.price < 118.5  # three of each, whole


def test_lengths_left_empty_are_assumed(panel: RackPanel) -> None:
    panel.lengths["margin"].value = ""
    assert panel.brief.top.margin is None and panel.layout.diameter == 940
    panel.lengths["margin"].value = "wide"
    assert "margin" in panel.trouble.value


def test_what_was_typed_can_be_saved(panel: RackPanel) -> None:
    panel.rows[0].fields["length"].value = "43 in"
    again = parse_brief(write_brief(panel.brief))
    assert again.boards == panel.brief.boards and again.boards[0].length == 43 * 25.4


def test_a_name_cannot_smuggle_in_html(panel: RackPanel) -> None:
    panel.rows[0].fields["name"].value = "<b>A</b>"
    panel.order.value = "<i>x</i>"
    shown = (panel.said.value, panel.trouble.value, panel.rows[0].trouble.value)
    assert not any("<b>A" in text or "<i>x" in text for text in shown)


def test_a_board_typed_never_runs_the_symbolic_solver(panel: RackPanel) -> None:
    def forbidden(*args: object, **options: object) -> None:
        raise AssertionError("a board reached the symbolic solver")

    with patch("sympy.solve", forbidden), patch("sympy.lambdify", forbidden):
        panel.rows[0].fields["width"].value = "150 mm"
        assert used(panel) and panel.trouble.value == ""


def test_a_brief_without_boards_opens_empty() -> None:
    panel = RackPanel(parse_brief(BRIEF.split("[[boards]]")[0]))
    assert panel.layout is None and "The rack is empty" in panel.trouble.value
    panel.add_board(width="500 mm", length="1 m", count="2")
    assert panel.layout is not None and panel.trouble.value == ""


def test_it_opens_with_what_the_brief_asks_of_the_layout() -> None:
    asked = 'order = ["A", "B", "B", "B", "A", "A"]\nleast = "price"\nno_centre_joint = true\n'
    brief = parse_brief(BRIEF + asked)
    panel = RackPanel(brief)
    assert panel.order.value == "A, B, B, B, A, A" and panel.objective.value == "price"
    assert panel.centre.value and not panel.symmetrical.value
    assert [strip.board for strip in panel.layout.strips] == ["A", "B", "B", "B", "A", "A"]
    panel.rows[0].fields["width"].value = "141 mm"
    assert panel.brief.top.order == brief.top.order and panel.brief.top.no_centre_joint


def test_what_a_row_does_not_show_is_kept() -> None:
    more = 'count = 4\nthickness = "34 mm"\ncut = "quarter-sawn"\nspecies = "white oak"\n'
    panel = RackPanel(parse_brief(BRIEF.replace("count = 4\n", more, 1)))
    panel.rows[0].fields["width"].value = "142 mm"
    board = panel.brief.boards[0]
    assert (board.width, board.thickness, board.cut) == (142, 34, "quarter-sawn")
    assert board.species == "white oak" and panel.brief.boards[1].thickness is None


def test_a_message_under_a_row_takes_room_only_while_it_stands(panel: RackPanel) -> None:
    row = panel.rows[0]
    assert row.trouble.layout.display == "none"
    row.fields["width"].value = "140"
    assert row.trouble.layout.display is None
    row.fields["width"].value = "140 mm"
    assert row.trouble.layout.display == "none"


def test_a_gap_that_is_left_is_shown(panel: RackPanel) -> None:
    found = top_boards(panel.brief, panel.sheet)
    left = replace(found, layout=replace(found.layout, gap=0.034))
    with patch("tablekit.panels.rack.top_boards", lambda *args: left):
        panel.rows[0].fields["width"].value = "141 mm"
    assert "not proved: another uses at most 3.4 % less" in panel.said.value
    panel.rows[0].fields["width"].value = "140 mm"
    assert "Proved: no other layout uses less, to within one part in a thousand" in panel.said.value


def test_without_a_kernel_there_are_words(panel: RackPanel) -> None:
    bundle = panel._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in bundle
    assert "needs a running kernel" in bundle["text/plain"]
