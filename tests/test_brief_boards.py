"""Boards that differ and what may be asked of their layout: read, refused, written."""

from __future__ import annotations

import pytest

from tablekit.brief import Board, BriefError, Top, parse_brief, write_brief
from tablekit.planning.boards import Zone
from tests.together import each

RACK = """
[given]
table_height = "735 mm"
[[boards]]
name = "A"
width = "6 in"
length = "1 m"
count = 2
thickness = "1 1/4 in"
species = "Black Cherry"
cut = "quarter-sawn"
price = 9
[[boards]]
name = "B"
width = "150 mm"
length = "1 m"
"""


def trouble(text: str) -> str:
    with pytest.raises(BriefError) as caught:
        parse_brief(text, "trial.toml")
    assert len(caught.value.problems) == 1, caught.value
    return str(caught.value)


def test_a_board_may_be_rough_and_of_another_wood():
    first, second = parse_brief(RACK).boards
    # 1 1/4 in at 25.4 mm to the inch
    assert first == Board("A", 152.4, 1000, 2, 9.0, 31.75, "quarter-sawn", "black cherry")
    assert (second.thickness, second.cut, second.species) == (None, None, None)
    assert 'thickness = "1 1/4 in"' in write_brief(parse_brief(RACK)).splitlines()


def test_a_board_may_taper_and_have_zones_to_avoid():
    zones = 'avoid = [{ from = "12 in", to = "15 in" }, { from = "900 mm", to = "1 m" }]\n'
    text = RACK.replace("count = 2\n", f'count = 2\nend_width = "5 1/2 in"\n{zones}')
    first, second = parse_brief(text).boards
    assert first.end_width == pytest.approx(5.5 * 25.4) and second.end_width is None
    # 12 and 15 in at 25.4 mm to the inch
    assert first.avoid == (Zone(304.8, 381.0), Zone(900.0, 1000.0)) and second.avoid == ()
    again = write_brief(parse_brief(text))
    assert parse_brief(again).boards == (first, second)
    assert zones.strip() in again.splitlines()
    assert trouble(text.replace('"1 m" }', '"1.1 m" }')).endswith(
        "avoid ends at 1100 mm, beyond the end of the board"
    )
    assert 'to = "11 in" is not beyond from = "12 in"' in trouble(text.replace("15 in", "11 in"))
    also = trouble(text.replace('to = "15 in"', 'to = "15 in", till = "16 in"'))
    assert '"till" is not a name known here' in also
    assert "avoid is a list of sections" in trouble(RACK.replace("count = 2", 'avoid = ["300 mm"]'))


def test_what_is_asked_of_the_layout():
    text = RACK + (
        '[top]\norder = ["A", "B", "A"]\nkeep = ["B"]\nsymmetrical = true\n'
        'shortest_kept = "1 ft"\nmatch = "bark side up"\nno_centre_joint = false\n'
        'narrowest = "60 mm"\nleast = "area"\n'
    )
    brief = parse_brief(text)
    assert brief.top == Top(
        order=("A", "B", "A"),
        keep=("B",),
        symmetrical=True,
        narrowest=60.0,
        least="area",
        shortest_kept=304.8,
        match="bark side up",
    )
    assert parse_brief(write_brief(brief)) == brief


@each(
    ("line", "told"),
    [
        ('order = ["A", "C"]', 'order names "C", which is not in the rack; there are A, B'),
        ('keep = ["A", "A", "A"]', 'keep names "A" 3 times, but the rack has 2'),
        ('keep = "A"', 'keep = "A" is not a list of texts; write keep = ["…", "…"]'),
        ("order = [1, 2]", "is not a list of texts"),
        ("order = []", "order = [] names no board"),
        ('keep = ["a\\u0007b"]', "keep has a name that is no short plain text"),
        ("keep = [" + '"A", ' * 201 + "]", "keep has 201 names; 200 are the most"),
        ("symmetrical = 1", "symmetrical = 1 is not among the choices: true or false"),
        ('no_centre_joint = "yes"', "is not among the choices: true or false"),
        ("narrowest = 60", 'narrowest = 60 has no unit: write "60 mm"'),
        (
            'narrowest = "2 m"',
            "no strip of the top shows less than this inside the rim, between 0 mm and 1500 mm",
        ),
        ('least = "cost"', '"area" or "price"'),
        ('least = "price"', 'least = "price" needs a price for every board; "B" has none'),
        ('narowest = "60 mm"', "did you mean narrowest?"),
    ],
)
def test_what_cannot_be_asked_is_told_with_its_line(line, told):
    error = trouble(f"{RACK}[top]\n{line}\n")
    assert told in error
    assert error.startswith(f"trial.toml, line {(RACK + '[top]').count(chr(10)) + 2}, [top]: ")


def test_wishes_without_boards_say_so():
    text = '[given]\n[top]\norder = ["A"]\n'
    assert "there are none: write a [[boards]] section" in trouble(text)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"1 1/4 in"', '"0 mm"', 'thickness = "0 mm" is out of range: thickness of a board as it'),
        ('"1 1/4 in"', '"-3 mm"', "is negative"),
        ('"Black Cherry"', '"blak cherry"', "did you mean black cherry"),
        ('"quarter-sawn"', '"rift-sawn"', '"flat-sawn" or "quarter-sawn"'),
        ("count = 2", "count = 5000", "count = 5000 is out of range: how many boards of this size"),
        ("count = 2", "count = 0", "count = 0 is out of range"),
        ('width = "6 in"', 'width = "0 mm"', 'width = "0 mm" is out of range: width of a board'),
        ('width = "6 in"', 'width = "-6 in"', "is negative"),
    ],
)
def test_a_bad_board_is_told(old, new, told):
    assert told in trouble(RACK.replace(old, new, 1))
