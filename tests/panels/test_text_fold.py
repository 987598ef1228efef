"""The brief of a panel as a text: copied out, pasted back, taken up or refused."""

from __future__ import annotations

import tomllib

import pytest

from tablekit.brief import parse_brief
from tablekit.panels.set_out import SetOutPanel

BRIEF = """
name = "Trial table"
[given]
table_height = "735 mm"
top_diameter = "36 in"
post_section = "64 mm"
"""


@pytest.fixture
def panel() -> SetOutPanel:
    panel = SetOutPanel(parse_brief(BRIEF))
    assert panel.as_text.text.value == ""  # folded, it is not written
    panel.as_text.widget.selected_index = 0
    return panel


def given(text: str) -> dict[str, str]:
    """By Python's own reader of TOML."""
    return tomllib.loads(text)["given"]


def test_it_says_what_is_given_in_the_makers_words_and_follows(panel: SetOutPanel) -> None:
    text = panel.as_text.text
    assert given(text.value) == {
        "table_height": "735 mm", "top_diameter": "36 in", "post_section": "64 mm",
    }  # fmt: skip
    panel.rows["table_height"].text.value = "28 1/2 in"
    assert given(text.value)["table_height"] == "28 1/2 in"
    panel.release("top_diameter")
    assert not panel.answered and "top_diameter" not in given(text.value)
    panel.undo.click()
    assert panel.as_text.take.disabled and panel.as_text.back.disabled


def test_what_is_copied_out_and_pasted_back_is_the_same_design(panel: SetOutPanel) -> None:
    panel.rows["table_height"].text.value = "702 mm"
    panel.release("top_diameter")
    panel.give("overhang")
    copied, sizes = panel.as_text.text.value, dict(panel.sheet.si)
    other = SetOutPanel(parse_brief(BRIEF))
    other.as_text.widget.selected_index = 0
    other.as_text.text.value = copied
    other.as_text.take.click()
    assert other.state.given == panel.state.given
    assert other.sheet.si == pytest.approx(sizes, rel=1e-12)


def test_a_text_taken_up_is_a_step_like_any_other(panel: SetOutPanel) -> None:
    fold = panel.as_text
    fold.text.value = BRIEF.replace("735", "690").replace("Trial", "Low")
    assert not fold.take.disabled and "does not follow" in fold.said.value
    fold.take.click()
    assert panel.sheet.number("table_height") == 690 and panel.brief.name == "Low table"
    assert fold.take.disabled and panel.reset.disabled  # it is what was opened last
    panel.undo.click()
    assert panel.sheet.number("table_height") == 735 and panel.brief.name == "Trial table"
    assert given(fold.text.value)["table_height"] == "735 mm"
    panel.redo.click()
    assert panel.sheet.number("table_height") == 690
    assert given(fold.text.value)["table_height"] == "690 mm"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("table_height = tall", "this text"),
        (BRIEF.replace("735 mm", "735 stone"), "stone"),
        (BRIEF.replace("table_height", "girth"), "girth"),
        (BRIEF + 'post_length = "600 mm"', "post_length"),
        ("", "given"),
    ],
)
def test_what_cannot_be_taken_up_is_refused_in_place(
    panel: SetOutPanel, text: str, said: str
) -> None:
    state = panel.state
    panel.as_text.text.value = text
    panel.as_text.take.click()
    assert said in panel.as_text.said.value and 'role="alert"' in panel.as_text.said.value
    assert panel.state is state and panel.undo.disabled
    assert panel.as_text.text.value == text  # to be mended
    panel.as_text.back.click()
    assert given(panel.as_text.text.value)["table_height"] == "735 mm"


def test_a_text_that_is_being_written_is_not_written_over(panel: SetOutPanel) -> None:
    mine = BRIEF.replace("64", "70")
    panel.as_text.text.value = mine
    panel.rows["table_height"].text.value = "700 mm"
    assert panel.as_text.text.value == mine
    panel.as_text.back.click()
    assert given(panel.as_text.text.value)["table_height"] == "700 mm"


def test_reset_goes_back_to_what_was_opened_and_can_be_undone(panel: SetOutPanel) -> None:
    first = panel.state
    assert panel.reset.disabled
    panel.rows["table_height"].text.value = "700 mm"
    panel.give("overhang")  # which clashes
    panel.release("top_diameter")
    panel.reset.click()
    assert panel.state == first and panel.reset.disabled
    panel.undo.click()
    assert panel.sheet.number("table_height") == 700 and not panel.reset.disabled
    panel.redo.click()
    assert panel.state == first
