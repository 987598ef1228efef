"""The figure of each question: there, within bounds, and telling no more than the question."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from tablekit.drawing.style import Paper
from tablekit.teaching.exercises import exercise
from tablekit.teaching.figures import (
    FIGURES,
    described,
    figure_height,
    figure_of,
    figure_on,
    figure_svg,
)
from tablekit.teaching.kinds import KINDS

each_kind = pytest.mark.parametrize("kind", KINDS)


def test_every_figure_is_used() -> None:
    assert {kind.figure for kind in KINDS.values()} - {""} == set(FIGURES)


@each_kind
@pytest.mark.parametrize("display", ["mm", "in"])
def test_a_figure_says_what_is_given_and_asks_for_what_is_asked(kind: str, display) -> None:
    one = exercise(kind, 3, display)
    ink = figure_of(one)
    assert ink is not None
    said = [label.text for label in ink.labels]
    question = one.question.replace("\N{NO-BREAK SPACE}", " ")
    assert sum(text.endswith("= ?") for text in said) == 1, said
    for text in said:
        for part in text.split(", "):
            value = part.partition(" = ")[2]
            assert not value or value == "?" or value in question, part
    if not one.asked.whole:
        assert not any(one.answer_text in text or one.shop_answer in text for text in said)


@each_kind
def test_most_of_what_is_given_stands_in_the_figure(kind: str) -> None:
    one = exercise(kind, 3)
    said = " ".join(label.text for label in figure_of(one).labels)
    numbers = [text for text in re.findall(r"= ([0-9.]+)", described(one))]
    assert sum(number in said for number in numbers) == len(numbers)


@each_kind
def test_a_figure_fits_on_the_screen_and_on_the_paper(kind: str) -> None:
    for display in ("mm", "in"):
        one = exercise(kind, 3, display)
        box = figure_of(one).box()
        assert box.width < 125 and box.height < 75
        assert figure_height(one) < 50
        paper = Paper(180.0, figure_height(one), margin=0.0)
        on = figure_on(one)(paper).box()
        assert on.left >= 0 and on.right <= 180 and on.low >= -1e-9


@each_kind
def test_a_figure_is_a_drawing_that_a_page_can_take(kind: str) -> None:
    root = ElementTree.fromstring(figure_svg(exercise(kind, 3)))
    assert root.tag.endswith("svg") and root.attrib["viewBox"]
