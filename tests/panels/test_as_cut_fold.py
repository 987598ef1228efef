"""The fold "As cut" of the setting-out panel, driven by its traits as a browser would."""

from __future__ import annotations

from pathlib import Path
from unittest.mock import patch

import pytest

from tablekit.brief import parse_brief, read_brief, write_brief
from tablekit.design import Design
from tablekit.panels.as_cut_fold import NOT_HERE, NOTHING_YET
from tablekit.panels.set_out import SetOutPanel
from tablekit.setting_out import design_of
from tests.panels.dragging import drag
from tests.panels.no_symbols import no_symbolic_solver

SHORT = Path(__file__).parents[2] / "notebooks" / "briefs" / "short-post.toml"
PLAIN = """
name = "Trial"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""


@pytest.fixture
def panel() -> SetOutPanel:
    return SetOutPanel(read_brief(SHORT))


def unfolded(panel: SetOutPanel) -> SetOutPanel:
    panel.cut.widget.selected_index = 0
    return panel


def type_in(panel: SetOutPanel, post: str, key: str, text: str) -> None:
    panel.cut.fields[post, key].value = text


def test_it_opens_folded_with_the_makers_words(panel: SetOutPanel) -> None:
    assert panel.cut.widget.selected_index is None and panel.cut.answer.value == ""
    assert panel.cut.fields["post_2", "length"].value == "1115.4 mm"
    assert panel.cut.fields["post_3", "length"].value == ""


def test_unfolded_it_says_what_the_terminal_says(panel: SetOutPanel) -> None:
    made = design_of(read_brief(SHORT)).as_cut
    assert made is not None
    said = unfolded(panel).cut.answer.value.replace("\u00a0", " ")
    assert made.verdict[1:] in said
    assert all(one.text in said for one in made.remedies)
    assert "head 2" in said and f"{made.standing.heads[1]:.1f} mm" in said
    assert panel.cut.fields["post_3", "length"].placeholder == panel.sheet.shop("post_length")


def test_the_glued_panel_is_typed_and_answered(panel: SetOutPanel) -> None:
    unfolded(panel)
    type_in(panel, "", "boards", "150 mm; 151.5 mm; 150 mm, 150.5 mm; 149 mm; 160 mm")
    # 150 + 151.5 + 150 + 150.5 + 149 + 160 = 911 mm, and 900 + 2 × 10 = 920 mm are needed.
    assert panel.brief.as_cut.boards == (150, 151.5, 150, 150.5, 149, 160)
    said = panel.cut.answer.value.replace("\u00a0", " ")
    assert "911.0 mm wide, 9 mm too narrow" in said and "strip 6" in said
    made = design_of(panel.brief).glued
    assert made is not None and all(one.text in said for one in made.remedies)
    with no_symbolic_solver():
        panel.rows["table_height"].slider.value = 745
    type_in(panel, "", "centre", "450 mm")
    assert panel.brief.as_cut.centre == 450
    type_in(panel, "", "boards", "150 kg")
    assert "is a mass" in panel.cut.trouble.value
    assert parse_brief(write_brief(panel.brief)).as_cut.boards == panel.brief.as_cut.boards


def test_while_it_is_folded_nothing_of_it_is_worked_out(panel: SetOutPanel) -> None:
    with patch.object(Design, "as_cut", property(lambda _: pytest.fail("worked out"))):
        panel.rows["table_height"].slider.value = 745
        drag(panel.rows["table_height"].slider, [746, 748, 750])
        panel.frames.finish()
    assert panel.cut.answer.value == ""


def test_a_slider_runs_no_symbolic_solver_with_the_fold_open(panel: SetOutPanel) -> None:
    unfolded(panel)
    before = panel.cut.answer.value
    with no_symbolic_solver():
        panel.rows["table_height"].slider.value = 745
    assert panel.cut.answer.value != before


def test_what_is_typed_is_a_fact_of_the_brief(panel: SetOutPanel) -> None:
    unfolded(panel)
    type_in(panel, "post_2", "length", "1123 mm")
    assert panel.brief.as_cut.sizes["post_length_2"] == 1123
    assert "Within tolerance, nothing to do." in panel.cut.answer.value
    type_in(panel, "post_3", "section", "2 1/2 in")
    assert panel.brief.as_cut.sizes["post_section_3"] == 63.5
    assert 'section = "2 1/2 in"' in write_brief(panel.brief)
    type_in(panel, "post_2", "length", "")
    assert "post_length_2" not in panel.brief.as_cut.sizes


def test_a_size_that_has_no_field_is_kept() -> None:
    text = PLAIN + '[as_cut]\npost_1 = { length = "1146 mm", width = "63 mm" }\n'
    panel = SetOutPanel(parse_brief(text))
    type_in(panel, "post_1", "length", "1147 mm")
    assert panel.brief.as_cut.sizes == {"post_length_1": 1147, "post_width_1": 63}


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("length", "1123", "post 2: length = &quot;1123&quot; has no unit"),
        ("length", "1115 in", "is out of range"),
        ("length", "-4 mm", "is negative"),
        ("notch_position", "1200 mm", "lies outside a post"),
        ("notch_depth", "deep", "is not a quantity"),
    ],
)
def test_what_cannot_be_is_said_below_the_fields_and_nothing_lost(
    panel: SetOutPanel, key: str, text: str, said: str
) -> None:
    before, answer = panel.brief, unfolded(panel).cut.answer.value
    type_in(panel, "post_2", key, text)
    assert said in panel.cut.trouble.value
    assert panel.brief == before and panel.cut.answer.value == answer
    assert panel.cut.fields["post_2", key].value == text  # to be mended
    type_in(panel, "post_2", key, "")
    assert panel.cut.trouble.value == ""


def test_posts_that_no_longer_fit_are_said_in_place_of_the_answer(panel: SetOutPanel) -> None:
    unfolded(panel)
    type_in(panel, "post_1", "notch_position", "20 mm")
    assert "notch 1 stays clear of the foot" in panel.cut.answer.value
    assert panel.trouble.value == ""  # the sheet stands


def test_undo_brings_back_what_was_measured(panel: SetOutPanel) -> None:
    unfolded(panel)
    before = panel.cut.answer.value
    type_in(panel, "post_2", "length", "1123 mm")
    panel.undo.click()
    assert panel.cut.fields["post_2", "length"].value == "1115.4 mm"
    assert panel.cut.answer.value == before
    panel.redo.click()
    assert panel.cut.fields["post_2", "length"].value == "1123 mm"


def test_moisture_as_measured_moves_the_sheet() -> None:
    panel = unfolded(SetOutPanel(parse_brief(PLAIN)))
    assert panel.cut.answer.value == NOTHING_YET
    type_in(panel, "", "moisture", "11 %")
    assert panel.sheet.number("shop_moisture") == 11
    assert panel.brief.as_cut.moisture == 11


def test_two_notches_to_a_post_leave_the_moisture_alone() -> None:
    text = PLAIN + '[base]\ncrossing = "two notches"\n'
    panel = unfolded(SetOutPanel(parse_brief(text)))
    assert panel.cut.introduction.value == NOT_HERE
    assert panel.cut.parts.children == ()
    type_in(panel, "", "moisture", "10 %")
    assert panel.sheet.number("shop_moisture") == 10
    panel.open(read_brief(SHORT))
    assert len(panel.cut.parts.children) == 3 and "low over head 2" in panel.cut.answer.value


LEGS = """
name = "Trial"
kind = "stool"
[base]
style = "splayed legs"
legs = 4
[given]
seat_height = "450 mm"
"""


def test_legs_and_their_sockets_have_fields_of_their_own() -> None:
    panel = unfolded(SetOutPanel(parse_brief(LEGS)))
    assert len(panel.cut.parts.children) == 4 and panel.cut.answer.value == NOTHING_YET
    assert panel.cut.fields["leg_4", "length"].placeholder == panel.sheet.shop("leg_length")
    assert panel.cut.fields["leg_1", "lean_aside"].placeholder == "0°"
    for leg, long in enumerate(("462", "458", "462", "462"), start=1):
        type_in(panel, f"leg_{leg}", "length", f"{long} mm")
    type_in(panel, "leg_3", "lean", "16.5 deg")
    type_in(panel, "leg_3", "socket_aside", "-2 mm")
    assert panel.brief.as_cut.sizes == {
        "leg_length_1": 462, "leg_length_2": 458, "leg_length_3": 462, "leg_length_4": 462,
        "leg_lean_3": 16.5, "socket_aside_3": -2,
    }  # fmt: skip
    made = design_of(parse_brief(write_brief(panel.brief))).as_cut
    said = panel.cut.answer.value.replace("\u00a0", " ")
    assert made is not None and made.verdict[1:] in said and made.remedies
    assert all(one.text in said for one in made.remedies)
    type_in(panel, "leg_2", "lean", "16 mm")
    assert "leg 2: lean = &quot;16 mm&quot; is a length" in panel.cut.trouble.value


def test_a_slider_runs_no_symbolic_solver_with_legs_as_cut() -> None:
    cut = '[as_cut]\nleg_1 = { length = "462 mm", lean = "16 deg", tenon_diameter = "29.4 mm" }\n'
    panel = unfolded(SetOutPanel(parse_brief(LEGS + cut)))
    panel.frames.finish()
    before = panel.cut.answer.value
    with no_symbolic_solver():
        panel.rows["seat_height"].slider.value = 445
        panel.frames.finish()
    assert panel.cut.answer.value != before


def test_the_fields_are_those_of_the_base_that_is_open() -> None:
    panel = unfolded(SetOutPanel(read_brief(SHORT)))
    assert ("leg_1", "length") not in panel.cut.fields  # made when they are wanted
    three = LEGS.replace("legs = 4", "legs = 3") + '[as_cut]\nleg_1 = { tenon_length = "30 mm" }\n'
    panel.open(parse_brief(three))
    assert len(panel.cut.parts.children) == 3
    type_in(panel, "leg_2", "length", "458 mm")
    # What has no field is kept, and of posts and a fourth leg nothing is read.
    assert panel.brief.as_cut.sizes == {"leg_length_2": 458, "tenon_length_1": 30}
    panel.open(read_brief(SHORT))
    assert panel.cut.fields["post_2", "length"].value == "1115.4 mm"
    assert "low over head 2" in panel.cut.answer.value
