"""Worksheets and answers, read back from their PDFs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tablekit.cli import main
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.packet.document import Document, Section, Subheading, Text, WritingRoom
from tablekit.packet.pages import A4
from tablekit.packet.typeset import Setter, wrapped
from tablekit.packet.web import web_page
from tablekit.teaching.checking import own_slips
from tablekit.teaching.kinds import KINDS
from tablekit.teaching.question import network
from tablekit.teaching.worksheets import PAPERS, answer_sheet, class_of, worksheet, write_worksheets

CLASS, COUNT = 3, 6


def read(path: Path) -> list[str]:
    """The text of each page, with plain single spaces."""
    import pypdf

    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(path).pages]


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module", params=["mm", "in"])
def made(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("class")
    written = write_worksheets(folder, CLASS, "autumn", count=COUNT, display=request.param)
    return request.param, *written


def test_each_student_has_a_sheet_with_every_number_of_every_question(made) -> None:
    display, worksheets, _ = made
    pages = read(worksheets)
    sheets = class_of(CLASS, "autumn", count=COUNT, display=display)
    assert len({one.code for one in sheets}) == CLASS
    for one in sheets:
        own = [page for page in pages if f"Sheet {one.code}" in page]
        assert 1 <= len(own) <= 3
        assert f"1 / {len(own)}" in own[0] and "Name" in own[0]
        text = " ".join(own)
        for question in one.exercises:
            assert flat(question.question) in text
        assert text.count("Answer ") >= COUNT
    assert all(sum(f"Sheet {one.code}" in page for one in sheets) == 1 for page in pages)


def test_no_answer_stands_on_the_students_sheets(made) -> None:
    display, worksheets, _ = made
    pages = read(worksheets)
    for one in class_of(CLASS, "autumn", count=COUNT, display=display):
        text = " ".join(page for page in pages if f"Sheet {one.code}" in page)
        given = []
        for question in one.exercises:
            text = text.replace(flat(question.question), "")
            # The figure says what the question gives, and a question mark for what it asks for.
            for name, number in question.givens.items():
                unit = network(question.kind.topic).quantity(name.removesuffix("_after")).unit
                given.append(f"= {shop_text(number, unit, question.style)}")
            text = text.replace("H_2", "").replace(question.kind.caution, "")
        for said in sorted(given, key=len, reverse=True):  # "= 7" would spoil "= 72 mm"
            text = text.replace(said, "")
        # With the questions taken out, no number is left but those of questions and pages.
        left = re.sub(r"\b[1-9]\. |\b\d / \d\b", " ", text.replace(one.code, ""))
        assert not re.search(r"\d", left), left
        for question in one.exercises:
            assert question.answer_text not in left


def test_the_teacher_has_every_answer(made) -> None:
    display, _, answers = made
    text = " ".join(read(answers))
    for one in class_of(CLASS, "autumn", count=COUNT, display=display):
        assert f"{one.code}: student {one.number}" in text
        for question in one.exercises:
            assert question.answer_text in text


def test_paper_goes_by_the_units_of_the_class(made) -> None:
    import pypdf

    display, *paths = made
    size = {"mm": (210.0, 297.0), "in": (215.9, 279.4)}[display]  # ISO 216 A4; ANSI Letter
    for path in paths:
        for page in pypdf.PdfReader(path).pages:
            found = [
                float(side) / 72 * 25.4 for side in (page.mediabox.width, page.mediabox.height)
            ]
            assert found == pytest.approx(size, abs=0.1)


def test_the_teacher_has_mistakes_to_look_for(made) -> None:
    display, _, answers = made
    text = " ".join(read(answers))
    sheets = class_of(CLASS, "autumn", count=COUNT, display=display)
    assert text.count("Mistakes to look for") == CLASS
    for question in sheets[0].exercises:
        assert own_slips(question)[0].mistake.name in text


def test_topics_and_paper_may_be_chosen(tmp_path) -> None:
    import pypdf

    written = write_worksheets(
        tmp_path, 1, "autumn", count=2, kinds=["overhang"], paper=PAPERS["in"]
    )
    text = " ".join(read(written[0]))
    assert text.count("How far does the top overhang?") == 2
    assert float(pypdf.PdfReader(written[0]).pages[0].mediabox.width) == pytest.approx(612, abs=0.5)


def test_sheets_from_a_terminal(tmp_path, capsys) -> None:
    room = tmp_path / "class"
    asked = ["worksheets", str(room), "--seed", "autumn", "--students", "1", "--questions", "1"]
    assert main([*asked, "--topics", "overhang", "--unit", "in"]) == 0
    names = ["worksheets.pdf", "answers.pdf", "lesson-plan.pdf"]
    assert capsys.readouterr().out == "".join(f"wrote {room / name}\n" for name in names)
    assert sorted(path.name for path in room.iterdir()) == sorted(names)
    assert "How far does the top overhang?" in " ".join(read(room / names[0]))
    assert "Two hours, at screens" in " ".join(read(room / names[2]))


@pytest.mark.parametrize("wrong", [["--topics", "posts"], ["--students", "0"], ["--unit", "cm"]])
def test_a_terminal_is_told_what_it_asked_for_wrongly(wrong, tmp_path, capsys) -> None:
    assert main(["worksheets", str(tmp_path / "none"), *wrong]) in (2, 3)
    assert not (tmp_path / "none").exists()
    assert "Traceback" not in capsys.readouterr().err


def test_the_same_seed_gives_the_same_bytes(made, tmp_path) -> None:
    display, *paths = made
    again = write_worksheets(tmp_path / "new", CLASS, "autumn", count=COUNT, display=display)
    assert [path.read_bytes() for path in again] == [path.read_bytes() for path in paths]
    assert sorted(path.name for path in again[0].parent.iterdir()) == [
        "answers.pdf", "worksheets.pdf",
    ]  # fmt: skip


def test_names_are_printed_and_numbers_do_not_hang_on_them() -> None:
    named, numbered = class_of(["Ash", "Birch"], 1, count=2), class_of(2, 1, count=2)
    assert [s.exercises for s in named] == [s.exercises for s in numbered]
    parts = worksheet(named[0]).sections[0].parts
    assert parts[0] == Text("Name: Ash")
    assert "student 2, Birch" in answer_sheet(named, 1).sections[1].title


def test_a_caution_goes_with_tipping_with_saw_and_bit_and_with_nothing_else() -> None:
    sheets = class_of(1, 1, count=len(KINDS))[0]
    rooms = [one for one in worksheet(sheets).sections[0].parts if isinstance(one, WritingRoom)]
    questions = [one for one in rooms if one.label == "Answer"]
    for exercise, room in zip(sheets.exercises, questions, strict=True):
        cautions = [p for p in room.parts if isinstance(p, Text) and p.tone == "caution"]
        tips, saws = exercise.name.startswith("tipping"), exercise.name == "saw setting"
        bores = exercise.name == "boring"
        assert len(cautions) == (tips or saws or bores)
        assert all("not a safe load" in one.text for one in cautions if tips)
        assert all("switched off" in one.text for one in cautions if saws)
        assert all("while the bit turns" in one.text for one in cautions if bores)


def test_a_class_of_none_is_refused_and_nothing_is_written(tmp_path) -> None:
    for students in (0, [], -2):
        with pytest.raises(DesignError, match="at least one student"):
            write_worksheets(tmp_path / "none", students, 1)
    with pytest.raises(DesignError, match="count = 0"):
        write_worksheets(tmp_path / "none", 1, 1, count=0)
    assert not (tmp_path / "none").exists()


# -- room to write --------------------------------------------------------------------------------


def test_room_stays_with_its_question() -> None:
    setter = Setter(A4)
    part = WritingRoom(40.0, (Subheading("1. A question"), Text("How long is it?")), "Answer")
    for _ in range(9):
        setter.put(part)
    for ink in setter.sheets:
        words = [label.text for label in ink.labels]
        assert words.count("1. A question") == words.count("Answer") > 0
        lowest = min(label.y for label in ink.labels)
        assert lowest >= A4.margin + 8.0


def test_room_is_as_high_as_said_and_its_lines_clear_the_text() -> None:
    setter = Setter(A4)
    setter.turn()
    top = setter.level
    setter.put(WritingRoom(34.0, (), "Answer"))
    assert 34.0 <= top - setter.level <= 34.0 + 10.0
    label = next(one for one in setter.ink.labels if one.text == "Answer")
    assert setter.level < label.y < top


def test_room_on_a_page_for_the_phone() -> None:
    document = Document("A", "b", (Section("C", (WritingRoom(20.0, (Text("x < y"),), "Answer"),)),))
    page = web_page(document, {})
    assert "<p>x &lt; y</p>" in page and 'min-height: 20mm">Answer</p>' in page


def test_a_space_that_does_not_break_is_not_broken() -> None:
    text = "a long post of 1\N{NO-BREAK SPACE}1/4\N{NO-BREAK SPACE}in"
    for room in (25.0, 30.0, 35.0, 40.0):
        assert any("1\N{NO-BREAK SPACE}1/4\N{NO-BREAK SPACE}in" in line
                   for line in wrapped(text, room))  # fmt: skip
