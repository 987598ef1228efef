"""The [base] of a brief: crossed posts or splayed legs, and what goes with which."""

from __future__ import annotations

import pytest

from tablekit import cli
from tablekit.brief import Brief, BriefBase, BriefError, known_quantities, parse_brief, write_brief
from tablekit.relations.bases import SplayedLegs
from tablekit.setting_out import set_out
from tests.together import each

LEGS = """kind = "stool"

[given]
seat_height = "450 mm"
top_diameter = "340 mm"
leg_diameter = "1 1/2 in"

[base]
style = "splayed legs"
legs = 4
"""


def trouble(text: str) -> BriefError:
    with pytest.raises(BriefError) as caught:
        parse_brief(text, "trial.toml")
    assert caught.value.exit_code == 2
    return caught.value


def test_splayed_legs_are_read():
    brief = parse_brief(LEGS)
    assert brief.base == BriefBase(style="splayed legs", legs=4)
    assert brief.options == {"style": "splayed legs", "legs": "four legs"}
    # 1 1/2 in at 25.4 mm to the inch (international yard and pound, 1959)
    assert brief.givens["leg_diameter"] == pytest.approx(38.1)


def test_three_legs_where_the_brief_does_not_say():
    brief = parse_brief(LEGS.replace("legs = 4\n", ""))
    assert brief.base.legs is None
    assert brief.options == {"style": "splayed legs", "legs": "three legs"}


def test_crossed_posts_may_be_said_and_are_assumed():
    said = parse_brief('[given]\n[base]\nstyle = "crossed posts"\nway_up = "notches down"\n')
    unsaid = parse_brief('[given]\n[base]\nway_up = "notches down"\n')
    assert said.options == unsaid.options
    assert said.options["way_up"] == "notches down" and "style" not in said.options


@pytest.mark.parametrize("legs", [None, 3, 4])
@pytest.mark.parametrize("kind", ["table", "stool"])
def test_written_and_read_back_equal(kind, legs):
    brief = Brief(
        "Trial",
        kind,
        givens={"top_diameter": 400.0, "leg_rake": 9.5, "socket_depth": 27.25},
        base=BriefBase(style="splayed legs", legs=legs),
    )
    text = write_brief(brief)
    assert parse_brief(text) == brief
    assert ('style = "splayed legs"' in text) and ((f"legs = {legs}" in text) is (legs is not None))


def test_every_known_quantity_of_splayed_legs_can_be_given():
    for kind in ("table", "stool"):
        names = known_quantities(kind, SplayedLegs())
        assert ("seat_height" in names) is (kind == "stool")
        assert "leg_rake" in names and "post_section" not in names
        for quantity in names.values():
            middle = (quantity.low + quantity.high) / 2
            number = float(round(middle)) if quantity.whole else middle
            brief = Brief(
                "Trial", kind, givens={quantity.name: number}, base=BriefBase(style="splayed legs")
            )
            assert parse_brief(write_brief(brief)).givens == {quantity.name: number}


@each(
    ("line", "told"),
    [
        ('style = "splayed leg"', 'did you mean "splayed legs"?'),
        ('style = "trestle"', '"crossed posts" or "splayed legs"'),
        ("legs = 3", "legs = 3 goes with splayed legs, and a base of crossed posts always has thr"),
        ("legs = 4", 'leave it out, or write style = "splayed legs"'),
        ("legs = 5", "legs = 5 is not among the choices: 3 or 4"),
        ('style = "crossed posts"\nlegs = 3', "a base of crossed posts always has three"),
        ('style = "splayed legs"\nlegs = "four"', 'legs = "four" is not among the choices: 3 or 4'),
        ('style = "splayed legs"\nlegs = 4.0', "legs = 4.0 is not among the choices: 3 or 4"),
        ('style = "splayed legs"\nlegs = true', "legs = true is not among the choices"),
        (
            'style = "splayed legs"\ncrossing = "one notch"',
            'crossing = "one notch" goes with crossed posts, and splayed legs do not cross; leave '
            'it out, or write style = "crossed posts"',
        ),
        ('style = "splayed legs"\nway_up = "notches up"', "splayed legs do not cross"),
        ('style = "splayed legs"\nhand = "left"', "splayed legs do not cross"),
        ('leg = 4\nstyle = "splayed legs"', "did you mean legs?"),
    ],
)
def test_what_does_not_go_together_is_told_once(line, told):
    error = trouble(f"[given]\n[base]\n{line}\n")
    told_of_legs = [p for p in error.problems if told in str(p)]
    assert len(told_of_legs) == 1, error
    assert str(told_of_legs[0]).startswith("line ")
    # legs = 5 without a style has two faults, and both are told
    assert len(error.problems) == (2 if line == "legs = 5" else 1), error


@pytest.mark.parametrize(
    ("base", "given", "told"),
    [
        ("", 'leg_rake = "10 deg"', 'goes with splayed legs: write style = "splayed legs"'),
        ('style = "splayed legs"', 'post_section = "6 cm"', "post_section goes with crossed posts"),
        ('style = "splayed legs"', 'notch_relief = "6 cm"', "notch_relief goes with crossed posts"),
        ('style = "splayed legs"', 'splay = "10 deg"', "leg_resultant for their whole lean"),
        ('style = "splayed legs"', 'rake = "10 deg"', "did you mean leg_rake?"),
        ('style = "splayed legs"', 'seat_height = "45 cm"', "a table has table_height instead"),
        ('style = "splayed legs"', 'leg_rake = "80 deg"', "between 0 deg and 60 deg"),
    ],
)
def test_names_of_the_other_base_are_told(base, given, told):
    error = trouble(f"[given]\n{given}\n[base]\n{base}\n")
    assert len(error.problems) == 1, error
    assert told in str(error)


def test_set_out_answers_it():
    sheet = set_out(parse_brief(LEGS))
    assert sheet.network.options == {"style": "splayed legs", "legs": "four legs"}
    # derived: reference/derivations/splayed_legs.md, neighbours: the side of a square
    assert sheet.number("foot_spread") == pytest.approx(2**0.5 * sheet.number("foot_radius"))


def test_the_packet_has_drawings_of_its_legs_and_none_of_posts(tmp_path, capsys):
    brief = tmp_path / "legs.toml"
    brief.write_text(LEGS.replace("legs = 4\n", ""))
    assert cli.main(["set-out", str(brief), "--out", str(tmp_path / "packet")]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "No drawings" not in out
    assert "Legs: 3 alike" in out
    assert "crossing" not in out and "notch" not in out
    names = {path.name for path in (tmp_path / "packet").iterdir()}
    assert {"summary.txt", "sheet.json"} <= names
    pages = tmp_path / "packet" / "pages"
    assert {name for name in names if name.endswith(".pdf")} == {"bench.pdf", "reasons.pdf"}
    drawn = " ".join(path.stem for path in pages.iterdir())
    for name in ("movement", "trammel", "general-arrangement", "sockets", "boring-gauge", "leg",
                 "levelling", "pulled-apart"):  # fmt: skip
        assert name in drawn, name
    for name in ("post-faces", "joint", "fixing"):
        assert name not in drawn, name
    summary = (tmp_path / "packet" / "summary.txt").read_text(encoding="utf-8")
    assert "No drawings" not in summary


def test_working_of_a_leg_is_told(tmp_path, capsys):
    brief = tmp_path / "legs.toml"
    brief.write_text(LEGS)
    assert cli.main(["working", str(brief), "foot_radius", "--full"]) == 0
    assert "circle of the feet" in capsys.readouterr().out
