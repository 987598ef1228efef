"""The exercise panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

import html

import pytest

from tablekit.engine.trouble import DesignError
from tablekit.panels.exercise import ExercisePanel
from tablekit.teaching.question import hint, hint_count
from tablekit.teaching.record import read_record


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
    assert "<b>✓ Right</b>: " in panel.told.value


def test_an_answer_without_its_unit_or_with_tags_in_it(panel: ExercisePanel) -> None:
    panel.answer.value = '<script>alert("x")</script>'
    assert panel.verdict is not None and not panel.verdict.right
    assert "<script>" not in panel.told.value
    panel.answer.value = ""
    panel.check.click()
    assert panel.verdict.outcome == "unreadable" and "<b>△ Not read.</b> " in panel.told.value


def test_a_mistake_is_named() -> None:
    panel = ExercisePanel("autumn", student=2, count=12)
    while panel.current.unit != "mm":
        assert not panel.finished
        panel.next.click()
    panel.answer.value = f"{panel.current.answer * 10:.6f} mm"
    assert panel.verdict is not None and panel.verdict.outcome == "mistake"
    assert "<b>✗ Not yet</b>. " in panel.told.value and "decimal point" in panel.told.value


def test_hints_come_one_at_a_time_up_to_the_answer(panel: ExercisePanel) -> None:
    count = hint_count(panel.current)
    for number in range(1, count + 1):
        assert not panel.hint.disabled
        panel.hint.click()
        assert panel.hints.value.count("<li>") == number
        assert html.escape(hint(panel.current, number)) in panel.hints.value
    assert panel.hint.disabled


def test_next_clears_what_was_said_and_the_last_one_leads_to_a_summary(panel) -> None:
    first = panel.current
    assert panel.back.disabled
    panel.answer.value = "3 kg"
    panel.hint.click()
    panel.next.click()
    assert panel.current is not first and panel.verdict is None
    assert panel.answer.value == panel.told.value == panel.hints.value == ""
    panel.next.click()
    assert panel.next.description == "Finish"
    panel.answer.value = panel.current.answer_text
    panel.next.click()
    assert panel.finished and "Finished: 1 of 3 right" in panel.question.value
    assert "right at the first try" in panel.question.value
    assert panel.check.disabled and panel.answer.disabled
    panel.check.click()
    panel.hint.click()
    panel.next.click()  # on to the first question that is not right yet
    assert panel.current is first and not panel.check.disabled


def test_the_way_back(panel: ExercisePanel) -> None:
    first = panel.current
    panel.next.click()
    panel.back.click()
    assert panel.current is first
    for _ in range(3):
        panel.next.click()
    panel.back.click()
    assert not panel.finished and panel.place == 2


def test_the_score_counts_questions_and_not_tries(panel: ExercisePanel) -> None:
    assert "Right so far: 0 of 3" in panel.score.value
    panel.answer.value = "0.1 mm"
    panel.answer.value = panel.current.answer_text
    panel.answer.value = panel.current.shop_answer
    assert "Right so far: 1 of 3" in panel.score.value
    assert panel.record.answered[0].standing == "right after 2 tries"


def test_the_figure_goes_with_the_question_and_is_told_in_words(panel: ExercisePanel) -> None:
    assert "<svg" in panel.question.value and 'aria-label="A sketch' in panel.question.value


def test_a_pupil_types_a_set_and_a_number_in_the_page() -> None:
    panel = ExercisePanel("autumn", count=2)
    assert "number or a name" in panel.trouble.value
    panel.student.value = "17"
    panel.start.click()
    assert panel.trouble.value == ""
    assert panel.exercises == ExercisePanel("autumn", 17, 2).exercises
    before = panel.exercises
    panel.seed.value = "winter"
    panel.start.click()
    assert panel.exercises != before


def test_answers_that_are_not_saved_are_not_left_in_silence(tmp_path) -> None:
    panel = ExercisePanel("autumn", 2, 2, folder=tmp_path)
    first = panel.exercises
    panel.answer.value = "0.1 mm"
    panel.student.value = "3"
    panel.start.click()
    assert panel.exercises is first and "not saved" in panel.trouble.value
    panel.start.click()
    assert panel.exercises is not first


def test_a_record_is_saved_and_read_again_without_a_name_in_its_file_name(tmp_path) -> None:
    panel = ExercisePanel("autumn", "Ash", 2, folder=tmp_path)
    panel.answer.value = panel.current.answer_text
    panel.save.click()
    (path,) = tmp_path.iterdir()
    assert "Ash" not in path.name and path.name in panel.saved.value
    again = read_record(path.read_text(encoding="utf-8"))
    assert again == panel.record and again.student == "Ash" and again.right == 1
    # Another page does not write over it unless it is asked twice.
    other = ExercisePanel("autumn", "Ash", 2, folder=tmp_path)
    other.save.click()
    assert "already exists" in other.saved.value
    assert read_record(path.read_text(encoding="utf-8")) == panel.record


def test_it_shows_itself_and_refuses_an_empty_set(panel: ExercisePanel) -> None:
    assert "application/vnd.jupyter.widget-view+json" in panel._repr_mimebundle_()
    with pytest.raises(DesignError, match="count = 0"):
        ExercisePanel(1, count=0)


def test_in_a_class_answers_are_kept_and_there_again(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("TABLEKIT_PUPIL", "7")
    first = ExercisePanel("autumn", count=3, folder=tmp_path)
    assert first.student.value == "7" and not first.trouble.value
    first.answer.value = "3 mm"
    (saved,) = tmp_path.glob("answers-*.json")
    again = ExercisePanel("autumn", count=3, folder=tmp_path)
    assert [one.text for one in again.record.answered[0].tries] == ["3 mm"]
    again.answer.value = "4 mm"  # over its own record, without being asked
    assert len(read_record(saved.read_text("utf-8")).answered[0].tries) == 2
    # Nor does a page take what is no record of this set for one.
    saved.write_text("{}", "utf-8")
    assert ExercisePanel("autumn", count=3, folder=tmp_path).record.answered[0].tries == []
