"""What a packet says of a piece that cannot be made, or be judged, as it stands."""

from __future__ import annotations

import re
from functools import cache

import pytest

from tablekit import cli
from tablekit.brief import parse_brief
from tablekit.design import Design
from tablekit.design.checks import not_checked, unjudged
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.packet.answer import answer
from tablekit.packet.bench import can_be_marked, fastening, joint, posts, top
from tablekit.packet.books import at_a_glance
from tablekit.packet.document import Plate, Text
from tablekit.packet.packet import work_text
from tablekit.packet.summary import NO_WAY_UP_WHY, WAY_UP_WHY, assumed_rows, summary_text
from tablekit.panels.tables import checks_html
from tablekit.setting_out import design_of
from tests.packet.documents import texts

SIZES = 'table_height = "740 mm"\ntop_diameter = "{}"\npost_section = "64 mm"\n'
TWO = '[base]\ncrossing = "two notches"\n'
LEGS = """kind = "stool"
[given]
seat_height = "450 mm"
top_diameter = "340 mm"
leg_diameter = "38 mm"
[base]
style = "splayed legs"
"""


@cache
def job(across: str = "900 mm", more: str = "", base: str = "", head: str = "") -> Design:
    brief = parse_brief(f'{head}kind = "table"\n[given]\n{SIZES.format(across)}{more}{base}')
    return design_of(brief)


@cache
def legged() -> Design:
    brief = parse_brief(LEGS)
    return design_of(brief)


def cautions(section) -> str:
    return " ".join(one.text for one in texts(section) if one.tone == "caution")


def test_what_is_not_checked_of_splayed_legs_stands_before_the_checks() -> None:
    it = legged()
    (said,) = not_checked(it.sheet)
    assert "rocking it on two legs" in said and "trial piece" in said
    told = answer(it)
    assert told["not_checked"] == [said] and said not in told["notes"]
    summary = " ".join(summary_text(it).split())
    assert summary.count("NOT CHECKED for splayed legs: someone") == 1
    assert summary.index("NOT CHECKED") < summary.index(" pass; see Checks that pass, below")
    assert said in cautions(at_a_glance(it))
    assert checks_html(it.sheet).index("Not checked for splayed legs") < checks_html(
        it.sheet
    ).index("<table")
    assert not not_checked(job().sheet) and answer(job())["not_checked"] == []


def test_locked_posts_are_warned_of_before_they_are_marked_and_freed_ones_are_not() -> None:
    locked, freed = job(base=TWO), job(more='notch_relief = "32 mm"\n', base=TWO)
    assert "do not cut these posts" in cautions(posts(locked)) and not can_be_marked(locked)
    assert "do not cut these posts" not in cautions(posts(freed)) and can_be_marked(freed)
    for section in (posts(locked), joint(locked)):  # before it is told how to cut them
        first = texts(section)[0]
        assert first.tone == "caution" and "notch_relief" in first.text


def test_the_loose_block_is_sized_as_the_maker_reads() -> None:
    # By hand: half of 64 mm is 32 mm, 1.2598 in, which to the next 1/32 in up is 1 9/32 in.
    in_inches = job(base=TWO, head='display = "in"\n').solids.pulling.words
    assert "by 1 9/32 in and" in in_inches and " mm" not in in_inches
    assert "by 32 mm and" in job(base=TWO).solids.pulling.words


def test_a_spread_is_told_of_a_piece_whose_cuts_follow_one_another(tmp_path, capsys) -> None:
    path = tmp_path / "two.toml"
    path.write_text(f'kind = "table"\n[given]\n{SIZES.format("900 mm")}{TWO}')
    assert cli.main(["working", str(path), "table_height", "--spread"]) == 0
    said = capsys.readouterr().out
    assert "19 times in 20" in said and "cannot be" not in said
    assert "notch_depth" not in said and "splay ±" not in said and "post_length ±" in said


def test_no_other_lean_is_offered_where_none_is_set_out() -> None:
    with pytest.raises(DesignError, match='crossing = "one notch"'):
        job(more='splay = "45 deg"\n', base=TWO)
    with pytest.raises(DesignError) as told:
        job(more='foot_radius = "300 mm"\npost_length = "1300 mm"\n', base=TWO)
    assert "cannot both hold" in str(told.value) and "splay" not in str(told.value)


def test_the_way_up_is_not_explained_by_circles_that_are_alike() -> None:
    def why(it: Design) -> str:
        return next(row[2] for row in assumed_rows(it) if row[0] == "way up")

    assert why(job()) == WAY_UP_WHY
    assert why(job(base=TWO)) == NO_WAY_UP_WHY and "wider" not in NO_WAY_UP_WHY


def test_no_fixing_in_mid_air() -> None:
    narrow, wide = job("500 mm"), job()
    section = fastening(narrow)
    assert "outside the rim" in cautions(section)
    assert not any(isinstance(part, Plate) for part in section.parts)
    assert any(isinstance(part, Plate) for part in fastening(wide).parts)
    assert any(isinstance(part, Plate) for part in top(narrow).parts)
    told = answer(narrow)
    assert "fixing" not in told and "fixing" in answer(wide)
    text = work_text(narrow, 88)
    assert "draw the grain line" not in text and "outside the rim" in text
    assert "draw the grain line" in work_text(wide, 88)


def test_what_takes_the_top_to_bear_on_its_heads_is_not_judged_where_it_does_not() -> None:
    narrow, wide = job("500 mm"), job()
    idle = unjudged(narrow.sheet)
    here = {check.id for check in narrow.every_check}
    assert idle and not here & set(idle) and "heads_under_top" in here
    names = {check.id: check.name for check in wide.every_check}
    note = next(n for n in narrow.notes if n.startswith("Not judged"))
    assert all(names[one] in note for one in idle)

    def shown(sheet: Sheet, one: str) -> bool:
        panel = checks_html(sheet)
        return f">{names[one]}</td>" in panel or f": {names[one]}.</strong>" in panel

    assert note in checks_html(narrow.sheet)
    assert not any(shown(narrow.sheet, one) for one in idle)
    assert all(shown(wide.sheet, one) for one in idle)
    assert not unjudged(wide.sheet)


WITH_BOARDS = (
    '[wood]\nspecies = "white ash"\n[[boards]]\nname = "A"\nwidth = "150 mm"\nlength = "1.2 m"\n'
    "count = 8\n"
)


@pytest.mark.parametrize("boards", ["", WITH_BOARDS], ids=["bare", "with boards"])
def test_terminal_packet_and_json_count_the_same_checks(boards: str) -> None:
    it = job(base=boards)
    told = answer(it)["checks"]
    passed = sum(check["verdict"] == "pass" for check in told)
    said = summary_text(it)
    assert f"{passed} of {len(told)} pass" in " ".join(said.split())
    cover = " ".join(p.text for p in at_a_glance(it).parts if isinstance(p, Text))
    assert f"{passed} of {len(told)} checks pass" in cover
    # and as many stand in the terminal, each by its name
    listed = re.findall(r"^  (?:pass|CAUTION|FAIL): ([^(.\n]+?)(?: \(.*)?$", said, re.MULTILINE)
    assert sorted(name.strip() for name in listed) == sorted(check["name"] for check in told)


def test_pads_are_drilled_at_one_time_wherever_it_is_told() -> None:
    it = job()
    order = [task.step.key for task in it.order.tasks]
    assert order.index("glue_base") < order.index("fit_plates")  # "let in plates and pads"
    (check,) = [one for one in it.checks if one.name == "room for the pads in the feet"]
    page = fastening(it)
    assert page is not None
    (pads,) = [one.text for one in texts(page) if one.text.startswith("Pads")]
    for said in (check.message, pads):
        assert "once the feet are level" in said and "base upside down" in said
        assert "before the base" not in said


def test_sizes_that_cannot_all_be_rounded_are_no_reason_to_refuse_the_piece() -> None:
    # The flats end at the edge of the post, and an inch rule carries them past it.
    brief = parse_brief("""
kind = "stool"
display = "in"
[given]
seat_height = "26 in"
top_diameter = "14 in"
top_thickness = "1 1/4 in"
post_section = "1 3/4 in"
overhang = "1 in"
""")
    told = " ".join(summary_text(design_of(brief)).split())
    assert (
        "these sizes no longer make a stool: the flat of the foot stays inside the end of the post"
        in told
    )
