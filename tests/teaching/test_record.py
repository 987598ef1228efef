"""Records of answers: kept as files, collected, and a class at a glance."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tablekit.engine.trouble import DesignError
from tablekit.packet.document import Table
from tablekit.teaching.checking import check
from tablekit.teaching.exercises import exercise_set
from tablekit.teaching.markdown import as_markdown
from tablekit.teaching.record import Record, class_page, collected, read_record


def pupil(student: str, right: int, forget_cutter: bool = False) -> Record:
    """Someone who answers so many of four questions rightly, the first of them at the second try
    where the cutter is forgotten."""
    exercises = exercise_set("autumn", student, 4, kinds=["trammel", "overhang", "offset"])
    record = Record.begin("autumn", student, "mm", exercises)
    for place, one in enumerate(exercises):
        if forget_cutter and one.name == "trammel":
            text = f"{one.givens['top_diameter'] / 2} mm"
            record.add(place, text, check(one, text))
        if place < right:
            record.add(place, one.answer_text, check(one, one.answer_text))
    return record


def written(folder: Path, *records: Record) -> Path:
    for number, record in enumerate(records):
        room = folder / f"pupil {number}"
        room.mkdir()
        (room / record.file_name).write_text(record.to_text(), encoding="utf-8")
    return folder


def table(document, title: str) -> list[tuple[str, ...]]:
    section = next(one for one in document.sections if one.title == title)
    return [row for part in section.parts if isinstance(part, Table) for row in part.rows]


def test_a_record_comes_back_as_it_was() -> None:
    record = pupil("Föhre", 2, forget_cutter=True)
    assert read_record(record.to_text()) == record
    assert "Föhre" not in record.file_name and record.file_name.isascii()


def test_the_same_try_is_kept_once_and_a_flood_is_cut_off() -> None:
    one = exercise_set("autumn", 1, 1)[0]
    record = Record.begin("autumn", 1, "mm", [one])
    for number in range(500):
        for _ in range(2):
            record.add(0, f"{number}.5 mm", check(one, f"{number}.5 mm"))
    record.add(0, "9" * 5000, check(one, "9" * 5000))
    tries = record.answered[0].tries
    assert len(tries) == 200 and len(tries[-1].text) == 200
    assert [t.text for t in tries[:2]] == ["0.5 mm", "1.5 mm"]


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "null", '{"form": "another"}', "[" * 100_000,
     json.dumps({"form": "answers to exercises, 1", "seed": 1, "student": 2, "display": "mm",
                 "answers": [{"kind": "let-in"}]})],
)  # fmt: skip
def test_a_text_that_is_no_record_is_refused(text: str) -> None:
    with pytest.raises(DesignError, match="no record of answers"):
        read_record(text)


def test_a_class_at_a_glance(tmp_path) -> None:
    folder = written(
        tmp_path, pupil("1", 4), pupil("2", 2, forget_cutter=True), pupil("3", 0, True)
    )
    (folder / "answers-XXXXX.json").write_text("no record", encoding="utf-8")
    records, strange = collected(folder)
    assert [one.student for one in records] == ["1", "2", "3"]
    assert strange == ["answers-XXXXX.json"]
    page = class_page(folder)
    rows = {row[0]: row for row in table(page, "Pupils")}
    assert [rows[n][2] for n in ("1", "2", "3")] == ["4 of 4", "2 of 4", "0 of 4"]
    # The rim taken for the cutter: made by two pupils, one of them in more than one question.
    common = table(page, "Common mistakes")
    assert common[0][0] == "answered trammel radius" and common[0][2] == "2"
    assert "answers-XXXXX.json" in as_markdown(page)


def test_a_class_of_no_records(tmp_path) -> None:
    assert "No records" in as_markdown(class_page(tmp_path))


def test_pupils_stand_in_the_order_of_their_numbers(tmp_path) -> None:
    folder = written(tmp_path, *(pupil(student, 1) for student in ("10", "Ash", "2", "9")))
    assert [one.student for one in collected(folder)[0]] == ["2", "9", "10", "Ash"]
    assert [row[0] for row in table(class_page(folder), "Pupils")] == ["2", "9", "10", "Ash"]


def test_of_questions_that_all_had_right_in_the_end_the_one_wrong_at_first_is_the_harder(
    tmp_path,
) -> None:
    page = class_page(written(tmp_path, *(pupil(one, 3, forget_cutter=True) for one in "12")))
    first, *others = table(page, "Questions")
    assert first[0] == "Where does the router go?" and first[1:] == ("2", "0", "2")
    assert others and all(row[1:] == ("2", "2", "2") for row in others)
