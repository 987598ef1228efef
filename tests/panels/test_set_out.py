"""The setting-out panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

import json
import re
from math import atan, degrees, hypot, radians, tan
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest

from tablekit.brief import parse_brief, read_brief, write_brief
from tablekit.drawing.general import lay_out, shown
from tablekit.drawing.style import SCREEN
from tablekit.panels.controls import OLD_CLASS
from tablekit.panels.row import NO_VALUE
from tablekit.panels.set_out import PICTURED, UNSETTLED, SetOutPanel
from tablekit.pupils import arrive, forget_arrivals
from tablekit.setting_out import set_out
from tests.panels.dragging import drag
from tests.panels.no_symbols import no_symbolic_solver
from tests.together import each

BRIEF = """
name = "Trial <b>table</b>"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""


@pytest.fixture
def panel() -> SetOutPanel:
    return SetOutPanel(parse_brief(BRIEF))


def given(panel: SetOutPanel) -> set[str]:
    return set(panel.state.given)


def whole(panel: SetOutPanel, name: str) -> str:
    """A size as a page shows it, value and unit not parted by a line's end."""
    return panel.sheet.shop(name).replace(" ", "\u00a0")


def test_it_opens_with_the_brief(panel: SetOutPanel) -> None:
    assert given(panel) == {"table_height", "top_diameter", "post_section"}
    assert panel.rows["table_height"].switch.value
    assert not panel.rows["post_length"].switch.value
    assert panel.rows["post_length"].slider.disabled
    assert panel.rows["table_height"].text.value == "735 mm"
    assert {"table_height", "top_diameter", "post_section", "splay"} <= {*panel.picture.names}


def test_the_picture_can_be_shown_and_has_words(panel: SetOutPanel) -> None:
    assert panel.picture.control.label == PICTURED
    # Until a page has shown the drawing there is a picture of it, for one that cannot.
    assert f'alt="{PICTURED}"' in panel.picture.still.value
    panel.picture.control.room = 600
    assert panel.picture.still.value == ""


def test_a_slider_moves_everything_that_hangs_on_it(panel: SetOutPanel) -> None:
    before, picture = panel.sheet.number("post_length"), panel.picture.value
    panel.rows["table_height"].slider.value = 745
    # Ten millimetres of height are √3 times as much of post (reference/derivations/crossing.md).
    assert panel.sheet.number("post_length") - before == pytest.approx(10 * 3**0.5, rel=1e-12)
    assert panel.rows["table_height"].text.value == "745 mm"
    assert panel.rows["post_length"].text.value == panel.sheet.shop("post_length")
    assert panel.picture.value != picture
    panel.every_size.selected_index = 0
    assert whole(panel, "tipping_load") in panel.found.value
    for name in ("post_length", "notch_depth", "foot_spread"):
        assert f"<strong>{whole(panel, name)}</strong>" in panel.card.value


def test_a_measure_is_typed_in_any_unit(panel: SetOutPanel) -> None:
    panel.rows["table_height"].text.value = "28 7/8 in"
    assert panel.sheet.number("table_height") == 28.875 * 25.4  # exact: the inch is 25.4 mm
    assert panel.rows["table_height"].text.value == "733.5 mm"


def test_a_number_alone_is_in_the_unit_that_is_shown(panel: SetOutPanel) -> None:
    panel.rows["table_height"].text.value = "740"
    assert panel.sheet.number("table_height") == 740
    panel.display.value = "in"
    panel.rows["table_height"].text.value = "28 7/8"
    assert panel.sheet.number("table_height") == 28.875 * 25.4  # exact: the inch is 25.4 mm
    panel.rows["splay"].switch.value = True
    panel.rows["splay"].text.value = "50.5"
    assert panel.sheet.number("splay") == pytest.approx(50.5, abs=1e-12)
    again = parse_brief(write_brief(panel.brief))  # what was typed has its unit in the brief
    assert again.givens == panel.brief.givens


def test_a_size_typed_over_what_is_calculated_is_given(panel: SetOutPanel) -> None:
    row = panel.rows["top_thickness"]
    assert row.switch.value is False
    row.text.value = "40 mm"
    assert row.switch.value is True and panel.sheet.number("top_thickness") == 40
    panel.undo.click()
    assert row.switch.value is False


@each("text", ["tall", "0 mm", "-3 mm", "9 km", "", "735 kg"])
def test_a_text_that_is_no_height_is_refused_in_place(panel: SetOutPanel, text: str) -> None:
    sheet, picture = panel.sheet, panel.picture.value
    panel.rows["table_height"].text.value = text
    assert "table height" in panel.trouble.value
    assert panel.sheet is sheet and panel.picture.value == picture
    panel.rows["table_height"].text.value = "700 mm"
    assert panel.trouble.value == "" and panel.sheet.number("table_height") == 700


def test_given_and_found_can_be_switched(panel: SetOutPanel) -> None:
    panel.rows["top_diameter"].switch.value = False
    assert "not enough is given" in panel.trouble.value
    panel.rows["overhang"].switch.value = True
    panel.rows["overhang"].text.value = "40 mm"
    assert panel.trouble.value == ""
    assert panel.sheet.number("top_diameter") == pytest.approx(
        2 * (panel.sheet.number("head_radius") + 40)
    )
    assert panel.rows["top_diameter"].slider.disabled


def test_what_gave_way_is_said_first_of_the_messages(panel: SetOutPanel) -> None:
    assert panel.gave_way.value == ""
    panel.rows["post_length"].switch.value = True
    panel.rows["post_length"].text.value = "900 mm"
    told = panel.gave_way.value.replace("\u00a0", " ")
    # The lean is checked by hand in tests/test_cli.py.
    assert (
        "To keep table height 735 mm with post section 64 mm and post length 900 mm, the posts "
        "lean 41.15° instead of 54.74°." in told
    )
    assert 'role="status"' in told
    controls = panel.widget.children[0].children[0].children
    assert controls.index(panel.gave_way) + 1 == controls.index(panel.trouble)
    # Of what cannot be made nothing is told but why.
    panel.rows["post_length"].text.value = "600 mm"
    assert panel.trouble.value and panel.gave_way.value == ""
    panel.release("post_length")
    assert (panel.trouble.value, panel.gave_way.value) == ("", "")


def test_a_contradiction_offers_its_releases_and_keeps_the_last_drawing(
    panel: SetOutPanel,
) -> None:
    panel.rows["post_length"].switch.value = True
    good = panel.picture.value
    panel.rows["post_length"].text.value = "600 mm"
    assert "post length 600 mm is too short for table height 735 mm" in panel.trouble.value
    assert panel.picture.value == good
    offered = {button.description: button for button in panel.releases.children}
    assert set(offered) == {"release table height", "release post length"}
    offered["release table height"].click()
    assert panel.trouble.value == "" and panel.releases.children == ()
    assert "table_height" not in given(panel)
    assert panel.sheet.number("post_length") == 600


def test_what_a_browser_echoes_is_not_taken_for_a_move(panel: SetOutPanel) -> None:
    """A slider in a page snaps the value to its own step and sends it back."""
    before = given(panel)
    for row in panel.rows.values():
        if row.slider.disabled:
            row.slider.value = round(row.slider.value, 1) + 0.04
    panel.rows["post_section"].slider.value = 64.04
    assert given(panel) == before
    assert panel.sheet.number("post_section") == 64


def test_inches_and_the_way_up(panel: SetOutPanel) -> None:
    panel.display.value = "in"
    assert panel.rows["post_section"].text.value == "2 17/32 in"
    assert panel.sheet.number("post_section") == 64  # shown in inches, not changed
    wide = panel.sheet.number("foot_radius")
    panel.choices.way_up.value = "notches down"
    assert panel.sheet.number("foot_radius") < wide  # circles.md: notches up, wider feet


def test_the_working_follows_the_pick_once_it_is_opened(panel: SetOutPanel) -> None:
    panel.pick.value = "tipping_load"
    assert panel.working.value == ""
    panel.how_found.selected_index = 0
    assert "tipping_load: vertical load on the rim" in panel.working.value
    short = len(panel.working.value)
    panel.in_full.value = True
    assert len(panel.working.value) > short and "Source:" in panel.working.value


def test_a_name_cannot_smuggle_in_html(panel: SetOutPanel) -> None:
    panel.how_found.selected_index = 0
    shown = (
        panel.found.value,
        panel.checks.attention.value,
        panel.trouble.value,
        panel.working.value,
    )
    assert not any("<b>table" in text for text in shown)


def test_a_slider_never_runs_the_symbolic_solver(panel: SetOutPanel) -> None:
    before = panel.sheet.number("post_length")
    with no_symbolic_solver():
        panel.rows["table_height"].slider.value = 690
        assert panel.trouble.value == ""
        assert panel.sheet.number("post_length") < before
        panel.undo.click()
        panel.redo.click()
        drag(panel.rows["table_height"].slider, (700, 710, 720))
    assert panel.sheet.number("table_height") == 720 and panel.trouble.value == ""


@pytest.mark.parametrize(
    ("kind", "thinned"),
    [("table", 3), *(pytest.param(kind, 1, marks=pytest.mark.slow) for kind in ("table", "stool"))],
)
def test_every_slider_end_is_answered_or_refused_in_words(kind: str, thinned: int) -> None:
    height = "table_height" if kind == "table" else "seat_height"
    text = BRIEF.replace("table_height", height).replace("[given]", f'kind="{kind}"\n[given]')
    brief = parse_brief(text)
    for name in list(SetOutPanel(brief).rows)[::thinned]:
        panel = SetOutPanel(brief)
        row = panel.rows[name]
        row.switch.value = True
        assert panel.trouble.value == ""
        for end in (row.slider.min, row.slider.max):
            row.slider.value = end
            if panel.trouble.value == "":
                assert panel.sheet.number(name) == pytest.approx(end, abs=row.slider.step)
            else:
                assert name.replace("_", " ") in panel.trouble.value


# -- undo and redo -------------------------------------------------------------------------------


def test_undo_and_redo_walk_through_the_givens(panel: SetOutPanel) -> None:
    assert panel.undo.disabled and panel.redo.disabled
    panel.rows["table_height"].text.value = "700 mm"
    panel.rows["top_diameter"].text.value = "800 mm"
    panel.choices.way_up.value = "notches down"
    assert not panel.undo.disabled and panel.redo.disabled
    panel.undo.click()
    assert panel.choices.way_up.value == "notches up" and panel.sheet.number("top_diameter") == 800
    panel.undo.click()
    assert panel.rows["top_diameter"].text.value == "920 mm"
    panel.undo.click()
    assert panel.sheet.number("table_height") == 735 and panel.undo.disabled
    for _ in range(3):
        panel.redo.click()
    assert panel.redo.disabled and panel.state.brief.base.way_up == "notches down"
    assert panel.sheet.number("table_height") == 700 and panel.sheet.number("top_diameter") == 800


def test_a_drag_is_undone_as_one(panel: SetOutPanel, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tablekit.panels.givens.SAME_DRAG", 600.0)  # whatever the machine
    for height in (736, 740, 745, 751):
        panel.rows["table_height"].slider.value = height
    panel.undo.click()
    assert panel.sheet.number("table_height") == 735 and panel.undo.disabled
    panel.redo.click()
    assert panel.rows["table_height"].slider.value == 751


def test_undo_leads_out_of_a_contradiction(panel: SetOutPanel) -> None:
    panel.rows["post_length"].switch.value = True
    panel.rows["post_length"].text.value = "600 mm"
    assert panel.trouble.value and panel.releases.children
    panel.undo.click()
    assert panel.trouble.value == "" and panel.releases.children == ()
    assert given(panel) == {"table_height", "top_diameter", "post_section", "post_length"}


def test_a_text_that_is_no_measure_is_no_step(panel: SetOutPanel) -> None:
    panel.rows["table_height"].text.value = "tall"
    assert panel.undo.disabled and not panel.history.can_undo


# -- frames --------------------------------------------------------------------------------------


def test_a_fast_drag_draws_the_newest_place_and_drops_the_others(panel: SetOutPanel) -> None:
    drawn, before = panel.frames.drawn, panel.picture.value
    drag(panel.rows["table_height"].slider, range(736, 766))
    assert panel.frames.drawn == drawn + 2  # the first, and the last of those that waited
    assert panel.sheet.number("table_height") == 765 and panel.picture.value != before
    assert panel.rows["table_height"].text.value == "765 mm"
    panel.undo.click()
    assert panel.sheet.number("table_height") == 735


def test_what_follows_a_drag_at_once_does_not_lose_it(panel: SetOutPanel) -> None:
    def give() -> None:
        assert panel.sheet.number("table_height") == 750  # the second move has waited
        panel.rows["post_length"].switch.value = True  # given as it follows from 760 mm

    drag(panel.rows["table_height"].slider, (750, 760), give)
    assert panel.trouble.value == "" and panel.sheet.number("table_height") == 760


def test_a_slider_in_hand_is_not_tugged_at_for_less_than_a_step() -> None:
    panel = SetOutPanel(parse_brief(BRIEF.replace("[given]", 'display = "in"\n[given]')))
    row = panel.rows["table_height"]
    row.slider.value = 745
    # 745 mm is 29.33 in, to the nearest 32nd 29 11/32 in.
    assert panel.sheet.number("table_height") == pytest.approx(25.4 * (29 + 11 / 32))
    assert row.slider.value == 745 and row.text.value == "29 11/32 in"


# -- files ---------------------------------------------------------------------------------------


def test_a_brief_is_saved_and_loaded_and_loading_can_be_undone(tmp_path: Path) -> None:
    panel = SetOutPanel(parse_brief(BRIEF), folder=tmp_path)
    panel.rows["table_height"].text.value = "28 7/8 in"
    panel.files.name.value = "mine"
    panel.files.save.click()
    saved = read_brief(tmp_path / "mine.toml")
    assert saved == panel.brief and "28 7/8 in" in (tmp_path / "mine.toml").read_text()
    panel.rows["table_height"].text.value = "700 mm"
    panel.files.load.click()
    assert panel.sheet.number("table_height") == 28.875 * 25.4
    panel.undo.click()
    assert panel.sheet.number("table_height") == 700


STOOL = BRIEF.replace("table_height", "seat_height").replace("735", "460").replace("920", "340")


def test_a_stool_is_loaded_into_the_panel_of_a_table(tmp_path: Path) -> None:
    (tmp_path / "stool.toml").write_text(f'kind = "stool"\n{STOOL}')
    panel = SetOutPanel(parse_brief(BRIEF), folder=tmp_path)
    panel.files.name.value = "stool"
    panel.files.load.click()
    assert panel.sheet.kind == "stool" and "seat_height" in panel.rows
    assert "table_height" not in panel.rows and panel.trouble.value == ""
    shown = [row.widget for row in panel.rows.values()]
    assert list(panel.controls.children) == shown
    panel.undo.click()
    assert panel.sheet.kind == "table" and "seat_height" not in panel.rows


def test_a_brief_that_cannot_be_answered_changes_nothing(tmp_path: Path) -> None:
    bad = BRIEF.replace("[given]", '[given]\npost_length = "600 mm"')
    (tmp_path / "bad.toml").write_text(bad)
    panel = SetOutPanel(parse_brief(BRIEF), folder=tmp_path)
    state = panel.state
    panel.files.name.value = "bad"
    panel.files.load.click()
    assert "too short" in panel.files.said.value
    assert panel.state is state and panel.trouble.value == "" and panel.undo.disabled


def test_no_packet_is_written_of_givens_that_clash(tmp_path: Path) -> None:
    panel = SetOutPanel(parse_brief(BRIEF), folder=tmp_path)
    panel.rows["post_length"].switch.value = True
    panel.rows["post_length"].text.value = "600 mm"
    panel.files.make.click()
    assert UNSETTLED in panel.files.said.value and list(tmp_path.iterdir()) == []


def test_the_packet_is_that_of_the_controls(tmp_path: Path) -> None:
    told, seen = [], []

    def write(design, folder, progress=None):
        sheet, brief = design.sheet, design.brief
        progress(0.5, "drawing")
        seen.append(panel.files.progress.value)
        told.append((sheet.number("table_height"), brief.givens["table_height"], folder))
        return ("summary.txt",)

    panel = SetOutPanel(parse_brief(BRIEF), folder=tmp_path)
    panel.rows["table_height"].text.value = "700 mm"
    panel.files.packet_name.value = "packet"
    with patch("tablekit.panels.files.write_packet", write):
        panel.files.make.click()
    assert told == [(700, 700, tmp_path / "packet")] and seen == [0.5]
    assert "written to packet" in panel.files.said.value


def test_no_size_of_the_card_is_broken_over_a_line(panel: SetOutPanel) -> None:
    found = re.findall(r"<(?:strong|td)[^>]*>([^<]+)<", panel.card.value)
    assert sum("\u00a0mm" in text for text in found) > 5
    for text in found:
        assert not re.search(r"\d (mm|in)\b", text), text


# -- while the givens clash ----------------------------------------------------------------------


@pytest.fixture
def clashing(panel: SetOutPanel) -> SetOutPanel:
    """Posts of 600 mm, even plumb, do not reach under a top whose upper face is at 735 mm."""
    panel.rows["post_length"].switch.value = True
    panel.rows["post_length"].text.value = "600 mm"
    assert not panel.answered
    return panel


def test_the_controls_show_the_givens_that_clash(clashing: SetOutPanel) -> None:
    length = clashing.rows["post_length"]
    assert length.switch.value and (length.text.value, length.slider.value) == ("600 mm", 600)
    # What is calculated has no value: that of the last design does not belong to these givens.
    assert not clashing.rows["splay"].switch.value
    assert clashing.rows["splay"].text.value == NO_VALUE
    clashing.release("post_length")
    assert clashing.rows["splay"].text.value == clashing.sheet.shop("splay")


def test_undo_into_a_contradiction_shows_what_was_given(clashing: SetOutPanel) -> None:
    clashing.release("post_length")
    assert clashing.answered and clashing.rows["post_length"].text.value != "600 mm"
    clashing.undo.click()
    assert not clashing.answered and clashing.rows["post_length"].text.value == "600 mm"
    assert clashing.rows["post_length"].slider.value == 600
    clashing.redo.click()
    assert clashing.answered and not clashing.rows["post_length"].switch.value


def test_a_slider_moved_in_a_contradiction_takes_its_text_along(clashing: SetOutPanel) -> None:
    clashing.rows["table_height"].slider.value = 800
    assert not clashing.answered and clashing.state.given["table_height"] == 800
    assert clashing.rows["table_height"].text.value == "800 mm"
    clashing.display.value = "in"
    assert clashing.rows["table_height"].text.value == "31 1/2 in"  # 800 / 25.4 = 31.496


def test_a_contradiction_marks_what_is_shown_as_old(panel: SetOutPanel) -> None:
    shown = (panel.picture.widget, panel.card, panel.found, panel.checks.widget, panel.working)
    panel.rows["post_length"].switch.value = True
    panel.rows["post_length"].text.value = "tall"  # refused: the givens are as they were
    assert panel.trouble.value and not any(OLD_CLASS in one._dom_classes for one in shown)
    panel.rows["post_length"].text.value = "600 mm"
    assert all(OLD_CLASS in one._dom_classes for one in shown)
    panel.undo.click()
    assert not any(OLD_CLASS in one._dom_classes for one in shown)


def test_what_is_given_in_a_contradiction_has_a_row(clashing: SetOutPanel) -> None:
    assert "foot_radius" not in clashing.rows
    clashing.give("foot_radius")
    assert not clashing.answered and clashing.rows["foot_radius"].switch.value
    assert clashing.rows["foot_radius"].widget in clashing.controls.children


# -- splayed legs ---------------------------------------------------------------------------------

STOOL_ON_LEGS = """name = "Legs"
kind = "stool"

[given]
seat_height = "500 mm"
top_diameter = "320 mm"
leg_rake = "12 deg"
leg_splay = "9 deg"

[base]
style = "splayed legs"
legs = 4
"""


def test_splayed_legs_are_set_out_by_rake_and_splay() -> None:
    panel = SetOutPanel(parse_brief(STOOL_ON_LEGS))
    assert [*panel.rows][:3] == ["seat_height", "top_diameter", "top_thickness"]
    assert "post_section" not in panel.rows and panel.choices.way_up.layout.display == "none"
    assert panel.pick.value == "leg_length"
    # tan² θ = tan² α + tan² β (Machinery's Handbook, 31st edition, page 121, figure 6).
    for rake, splay in ((15, 9), (12.5, 9)):
        with no_symbolic_solver():
            panel.rows["leg_rake"].slider.value = rake
        lean = degrees(atan(hypot(tan(radians(rake)), tan(radians(splay)))))
        assert panel.sheet.number("leg_resultant") == pytest.approx(lean, abs=1e-9)
        assert panel.rows["leg_resultant"].text.value == f"{lean:.2f}°"
    panel.undo.click()
    assert panel.state.given["leg_rake"] == 12  # moves of one slider are one step


def test_the_number_of_legs_is_chosen_and_what_joins_them_suits() -> None:
    panel = SetOutPanel(parse_brief(STOOL_ON_LEGS + 'stretchers = "H"\n'))
    assert panel.choices.legs.value == 4 and panel.choices.stretchers.value == "H"
    panel.choices.legs.value = 3
    base = panel.state.brief.base
    assert (base.legs, base.stretchers) == (3, "T") and panel.answered
    assert panel.choices.stretchers.options == ("none", "T", "ring")
    panel.choices.stretchers.value = "none"
    assert "stretcher_height" not in panel.sheet.network.quantities
    panel.undo.click()
    panel.undo.click()
    assert panel.state.brief.base.legs == 4 and panel.choices.stretchers.value == "H"


def test_the_wood_is_chosen_and_weighs_what_its_table_says(panel: SetOutPanel) -> None:
    panel.choices.wood.value = "white oak"
    assert panel.state.brief.wood.species == "white oak"
    # Wood Handbook FPL-GTR-190 table 5-3b: white oak 0.68 at 12 % moisture (from memory).
    assert panel.sheet.number("specific_gravity") == 0.68
    panel.choices.wood.value = None
    assert panel.state.brief.wood.species is None
    assert parse_brief(write_brief(panel.brief)).wood == panel.brief.wood


def test_the_ends_of_the_sliders_of_legs_are_answered_or_refused_in_words() -> None:
    panel = SetOutPanel(parse_brief(STOOL_ON_LEGS))
    for name in ("seat_height", "top_diameter", "leg_rake", "leg_splay"):
        slider, was = panel.rows[name].slider, panel.state.given[name]
        for end in (slider.min, slider.max):
            panel.rows[name].slider.value = end
            told = panel.trouble.value
            assert (end == panel.sheet.number(name)) != bool(told), (name, end, told)
        panel.rows[name].slider.value = was
        assert panel.trouble.value == ""


def test_posts_and_legs_can_follow_one_another_in_one_panel(panel: SetOutPanel) -> None:
    posts = [*panel.rows]
    panel.open(parse_brief(STOOL_ON_LEGS))
    assert "leg_rake" in panel.rows and panel.choices.way_up.layout.display == "none"
    panel.undo.click()
    assert set(posts) <= set(panel.rows) and "leg_rake" not in panel.rows
    assert panel.choices.way_up.layout.display == "" and panel.choices.way_up.value == "notches up"


# -- another design kept to compare with ----------------------------------------------------------


def main_rows(panel: SetOutPanel) -> dict[str, list[str]]:
    """What stands in the table of main sizes, by the name of the size."""
    rows = re.findall(r'<th scope="row">([^<]+)</th>(.*?)</tr>', panel.main.value)
    return {
        name: [text.replace("\u00a0", " ") for text in re.findall(r">([^<>]+)<", cells)]
        for name, cells in rows
    }


def kept_lines(panel: SetOutPanel) -> int:
    length = int.from_bytes(panel.picture.value[:4], "little")
    shapes = json.loads(panel.picture.value[4 : 4 + length])["shapes"]
    return sum(len(counts) for kind, look, counts in shapes if (kind, look) == ("line", "kept"))


def test_a_kept_design_stands_beside_the_next(panel: SetOutPanel) -> None:
    alone = main_rows(panel)
    assert [*alone] == ["post length", "notch", "notch depth", "lean", "foot spread"]
    assert kept_lines(panel) == 0
    panel.keep.click()
    assert {row[2] for row in main_rows(panel).values()} == {"same"}
    panel.rows["table_height"].text.value = "785 mm"
    beside = main_rows(panel)
    assert {name: row[1] for name, row in beside.items()} == {n: row[0] for n, row in alone.items()}
    # Fifty millimetres of height are √3 times as much of post (reference/derivations/crossing.md):
    # 86.6, and of two sizes rounded to half millimetres no more than half a millimetre from it.
    more = float(beside["post length"][2].removeprefix("+").removesuffix(" mm"))
    now, was = (float(text.removesuffix(" mm")) for text in beside["post length"][:2])
    assert more == now - was and abs(more - 50 * 3**0.5) <= 0.5
    assert beside["lean"][2] == "same"
    assert beside["notch"][2] == NO_VALUE  # two sizes: the eye compares them
    assert kept_lines(panel) > 10
    panel.rows["table_height"].text.value = "685 mm"
    assert main_rows(panel)["post length"][2].startswith("−")
    panel.display.value = "in"
    texts = [text for row in main_rows(panel).values() for text in row]
    assert all(text.endswith((" in", "°", "same", NO_VALUE)) for text in texts)
    panel.keep.click()
    assert kept_lines(panel) == 0 and "kept" not in panel.main.value


@each("splay", ["54.7356103172 deg", "45 deg"])
def test_the_main_sizes_say_where_the_card_has_the_notch(splay: str) -> None:
    """What is marked, never the middle of the notch; and where its floor is tilted, how deep it is
    on each arris: w/2 ± (w/2) tan(tilt) of a post w square, cut in half, with sin(tilt) =
    cos φ/(1 + cos φ) and cos φ = 1 − (3/2) sin² of the lean (reference/derivations/marking.md)."""
    panel = SetOutPanel(parse_brief(f'{BRIEF}\nsplay = "{splay}"'))
    main, card = main_rows(panel), panel.card.value.replace("\u00a0", " ")
    rows = {name: row for name, row in main.items() if name.startswith("notch")}
    for name, (size, *where) in rows.items():
        cells = f'<th scope="row">{name}</th><td><strong>{size}</strong></td><td>'
        assert cells + "".join(where) in card
        assert name == "notch depth" or where[0].startswith("from the foot end")
    if not splay.startswith("45"):
        assert list(rows) == ["notch", "notch depth"] and rows["notch depth"][0] == "32 mm"
        return
    crossing = 1 - 1.5 * np.sin(np.radians(45)) ** 2
    tilt = np.arcsin(crossing / (1 + crossing))
    for arris, way in (("A", 1), ("B", -1)):
        deep = 32 + way * 32 * np.tan(tilt)
        where = rows[f"notch, arris {arris}"][1]
        assert where == f"from the foot end; {round(2 * deep) / 2:g} mm deep"
        alone = f"{rows[f'notch, arris {arris}'][0]}, {where.removeprefix('from the foot end; ')}"
        panel.keep.click()  # beside another nothing of it is lost
        assert main_rows(panel)[f"notch, arris {arris}"] == [alone, alone, "same"]
        panel.keep.click()
    assert len(rows) == 2


def test_the_kept_outline_lies_where_that_design_stood() -> None:
    """The same design kept: its outline lies under its own lines."""
    sheet = set_out(parse_brief(BRIEF))
    it = shown(sheet)
    ink = lay_out(it, SCREEN, None, it).ink
    kept = np.concatenate(ink.pieces["kept"])
    drawn = np.concatenate(ink.pieces["visible"])
    assert len(kept) > 10
    for piece in kept:
        assert np.isclose(drawn, piece).all(axis=(1, 2)).any()


def test_nothing_is_kept_that_was_not_answered(panel: SetOutPanel) -> None:
    panel.rows["post_length"].switch.value = True
    panel.rows["post_length"].text.value = "600 mm"
    assert panel.keep.disabled
    panel.undo.click()
    assert not panel.keep.disabled


def test_a_pupil_finds_it_as_they_left_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each page by itself, in the pupil's own folder; undo leads back to where the page begins."""
    monkeypatch.chdir(tmp_path)
    SetOutPanel(parse_brief(BRIEF)).give("post_length")
    assert not list(tmp_path.iterdir())  # nobody's
    monkeypatch.setenv("TABLEKIT_PUPIL", "7")
    monkeypatch.setenv("TABLEKIT_PAGE", "one.ipynb")
    first = SetOutPanel(parse_brief(BRIEF))
    assert not list(tmp_path.iterdir()) and first.as_left.value == ""
    first.rows["top_diameter"].text.value = "36 in"
    first.rows["table_height"].switch.value = False
    first.rows["post_length"].switch.value = True
    first.display.value = "in"
    again = SetOutPanel(parse_brief(BRIEF))
    assert "how you left it" in again.as_left.value
    assert given(again) == given(first) == {"top_diameter", "post_section", "post_length"}
    assert again.state.given == first.state.given and again.display.value == "in"
    assert again.files.name.options == ()  # not among the briefs to choose from
    monkeypatch.setenv("TABLEKIT_PAGE", "two.ipynb")
    assert SetOutPanel(parse_brief(BRIEF)).as_left.value == ""
    monkeypatch.setenv("TABLEKIT_PAGE", "one.ipynb")
    again.undo.click()
    assert again.as_left.value == "" and given(again) == {
        "table_height", "top_diameter", "post_section",
    }  # fmt: skip
    assert not list(tmp_path.iterdir()) and SetOutPanel(parse_brief(BRIEF)).as_left.value == ""


def test_what_was_left_and_cannot_be_read_is_let_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TABLEKIT_PUPIL", "7")
    SetOutPanel(parse_brief(BRIEF)).display.value = "in"
    (left,) = tmp_path.iterdir()
    for spoiled in (b"\xff", b"[given]\ntable_height = 1", left.read_bytes().replace(b"735", b"7")):
        left.write_bytes(spoiled)
        panel = SetOutPanel(parse_brief(BRIEF))
        assert panel.display.value == "mm" and panel.rows["table_height"].text.value == "735 mm"


def test_a_page_that_was_made_before_its_pupil_came(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in a class: the panel is there, and then it is known whose folder it is in."""
    for name in ("made", "mine", "mine/briefs"):
        (tmp_path / name).mkdir()
    (tmp_path / "mine" / "briefs" / "own.toml").write_text(BRIEF)
    monkeypatch.chdir(tmp_path / "mine")
    monkeypatch.setenv("TABLEKIT_PUPIL", "7")
    left = SetOutPanel(parse_brief(BRIEF))
    left.rows["top_diameter"].text.value = "950 mm"
    forget_arrivals()
    monkeypatch.delenv("TABLEKIT_PUPIL")
    monkeypatch.chdir(tmp_path / "made")
    panel = SetOutPanel(parse_brief(BRIEF))
    assert panel.files.name.options == () and panel.sheet.number("top_diameter") == 920
    monkeypatch.chdir(tmp_path / "mine")
    monkeypatch.setenv("TABLEKIT_PUPIL", "7")
    arrive()
    assert panel.files.name.options == ("briefs/own.toml",)
    assert panel.sheet.number("top_diameter") == 950 and "you left it" in panel.as_left.value
