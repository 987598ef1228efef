"""The exercise panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

import html

import pytest

from tablekit.engine.trouble import DesignError
from tablekit.panels.exercise import ExercisePanel
from tablekit.teaching.lines import hint, hint_count


@pytest.fixture
def panel() -> ExercisePanel:
    return ExercisePanel("autumn", student=2, count=3)


def test_it_opens_with_the_first_question(panel: ExercisePanel) -> None:
    assert html.escape(panel.current.question) in panel.question.value
    assert "Question 1 of 3" in panel.question.value
    assert panel.told.value == panel.hints.value == "" and panel.verdict is None


def test_a_right_answer(panel: ExercisePanel) -> None:
    panel.answer.value = panel.current.answer_text
    panel.check.click()
    assert panel.verdict is not None and panel.verdict.right
    assert "✓ right" in panel.told.value


def test_an_answer_without_its_unit_or_with_tags_in_it(panel: ExercisePanel) -> None:
    panel.answer.value = '<script>alert("x")</script>'
    assert panel.verdict is not None and not panel.verdict.right
    assert "<script>" not in panel.told.value
    panel.answer.value = ""
    panel.check.click()
    assert panel.verdict.outcome == "unreadable" and "not read" in panel.told.value


def test_a_mistake_is_named(panel: ExercisePanel) -> None:
    while panel.current.unit != "mm":
        panel.next.click()
    panel.answer.value = f"{panel.current.answer * 10:.6f} mm"
    assert panel.verdict is not None and panel.verdict.outcome == "mistake"
    assert "not yet" in panel.told.value and "decimal point" in panel.told.value


def test_hints_come_one_at_a_time_up_to_the_answer(panel: ExercisePanel) -> None:
    count = hint_count(panel.current)
    for number in range(1, count + 1):
        assert not panel.hint.disabled
        panel.hint.click()
        assert panel.hints.value.count("<li>") == number
        assert html.escape(hint(panel.current, number)) in panel.hints.value
    assert panel.hint.disabled


def test_next_goes_round_and_clears_what_was_said(panel: ExercisePanel) -> None:
    first = panel.current
    panel.answer.value = "3 kg"
    panel.hint.click()
    panel.next.click()
    assert panel.current is not first and panel.verdict is None
    assert panel.answer.value == panel.told.value == panel.hints.value == ""
    panel.next.click()
    panel.next.click()
    assert panel.current is first


def test_it_shows_itself_and_refuses_an_empty_set(panel: ExercisePanel) -> None:
    assert "application/vnd.jupyter.widget-view+json" in panel._repr_mimebundle_()
    with pytest.raises(DesignError, match="count = 0"):
        ExercisePanel(1, count=0)
