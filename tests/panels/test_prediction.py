"""A prediction is kept until the page has the answer, and then compared with it."""

from __future__ import annotations

import pytest

from tablekit.panels.prediction import FIRST, NOTED, Prediction


def asked() -> Prediction:
    return Prediction("Is 2 < 3?", ["yes", "no", "<maybe>"], "yes", "Count: 1, 2, 3.")


def test_nothing_is_said_before_a_choice() -> None:
    it = asked()
    assert it.picked is None and it.noted.value == ""
    assert FIRST in it.found.widget.value and "yes" not in it.found.widget.value
    assert it.radio.options == ("yes", "no", "<maybe>")


def test_a_choice_is_noted_but_not_judged_until_the_answer_comes() -> None:
    it = asked()
    it.radio.value = "no"
    assert NOTED in it.noted.value and "Count" not in it.noted.value
    assert "You predicted “no”. It is “yes”." in it.found.widget.value
    assert "Count: 1, 2, 3." in it.found.widget.value


def test_a_right_choice_and_a_change_of_mind() -> None:
    it = asked()
    it.radio.value = "<maybe>"
    assert "&lt;maybe&gt;" in it.found.widget.value  # as text, not as a tag
    it.radio.value = "yes"
    assert "You predicted “yes”, and so it is." in it.found.widget.value


def test_what_a_reader_without_a_kernel_reads() -> None:
    it = asked()
    assert it._repr_mimebundle_()["text/plain"] == "Predict. Is 2 < 3? yes / no / <maybe>?"
    assert it.found._repr_mimebundle_()["text/plain"] == "Predicted: yes. Count: 1, 2, 3."


def test_the_right_answer_must_be_among_the_choices() -> None:
    with pytest.raises(ValueError, match="'blue' is not among"):
        Prediction("?", ["yes", "no"], "blue", "")
