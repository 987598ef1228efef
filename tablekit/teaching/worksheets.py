"""Worksheets for a class as one PDF, and the answers for its teacher as another.

write_worksheets("class", students=12, seed="autumn")
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tablekit.drawing.style import Paper
from tablekit.engine.shop import figures_text
from tablekit.engine.trouble import DesignError
from tablekit.packet.document import (
    Document,
    Inset,
    Section,
    Subheading,
    Table,
    Text,
    WritingRoom,
)
from tablekit.packet.pages import A4, LETTER, Page, lay_out_pages, save_book
from tablekit.teaching.exercises import exercise_set, together
from tablekit.teaching.figures import described, figure_height, figure_on
from tablekit.teaching.kinds import Display
from tablekit.teaching.lines import short_working, with_numbers
from tablekit.teaching.question import Exercise
from tablekit.teaching.slips import own_slips
from tablekit.teaching.stream import sheet_code
from tablekit.teaching.teacher import teacher_page

NAME = "Setting out a three-post table"
WORKSHEETS, ANSWERS, LESSON_PLAN = "worksheets.pdf", "answers.pdf", "lesson-plan.pdf"
PAPERS = {"mm": A4, "in": LETTER}
_ROOM = {"mm": 25.5, "in": 17.0}  # Letter is shorter than A4
_NAME_ROOM = 8.5
_MISTAKES = 4  # that the teacher's page names for each question
_HOW = (
    "Show your working in the space under each question. Carry all figures through and round only "
    "at the end. Write each answer on its line, with its unit."
)


@dataclass(frozen=True)
class Sheets:
    """One student's exercises.

    number  of the student, from 1
    name    as it is printed; "" leaves a line to write it on
    code    by which the answers are found
    """

    number: int
    name: str
    code: str
    exercises: tuple[Exercise, ...]


def class_of(
    students: int | Sequence[str],
    seed: int | str,
    *,
    count: int = 6,
    display: Display = "mm",
    kinds: Sequence[str] | None = None,
) -> tuple[Sheets, ...]:
    """The exercises of a whole class, student by student.

    students  how many, or their names; the numbers go by the place in the list, not by the name
    count     exercises for each
    kinds     those to choose from, all if not said
    Raises DesignError for a class of none, or a kind that is not there.
    """
    names = [""] * students if isinstance(students, int) else list(students)
    if not names:
        raise DesignError("a class needs at least one student: give students = 1 or more, or names")
    return tuple(
        Sheets(
            number,
            name,
            sheet_code(seed, display, number),
            exercise_set(seed, number, count, display, kinds),
        )
        for number, name in enumerate(names, start=1)
    )


def write_worksheets(
    folder: str | Path,
    students: int | Sequence[str],
    seed: int | str,
    *,
    count: int = 6,
    display: Display = "mm",
    kinds: Sequence[str] | None = None,
    paper: Paper | None = None,
) -> tuple[Path, Path]:
    """Write `worksheets.pdf` and `answers.pdf` into `folder`; gives both paths.

    The same class and seed give the same bytes. Letter paper where the class works in inches and A4
    otherwise, unless another is given; `kinds` are those to choose from, all if not said. Earlier
    sheets of these names are replaced, once both new ones are finished.
    Raises DesignError for a class of none or a count below one, OSError where it cannot be written.
    """
    sheets = class_of(students, seed, count=count, display=display, kinds=kinds)
    paper = paper or PAPERS[display]
    papers = [page for one in sheets for page in lay_out_pages(worksheet(one, display), paper)]
    answers = lay_out_pages(answer_sheet(sheets, seed), paper)
    room = Path(folder)
    room.mkdir(parents=True, exist_ok=True)
    written = (room / WORKSHEETS, room / ANSWERS)
    _save({written[0]: (papers, NAME), written[1]: (answers, f"{NAME}: answers")})
    return written


def _save(books: Mapping[Path, tuple[Sequence[Page], str]]) -> None:
    """Write books, each its pages and its title, under their names once all are finished."""
    parts = {path: path.with_suffix(".part") for path in books}
    try:
        for path, (pages, title) in books.items():
            save_book(pages, parts[path], title)
        for path, part in parts.items():
            os.replace(part, path)
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)


def write_lesson_plan(
    folder: str | Path, display: Display = "mm", paper: Paper | None = None
) -> Path:
    """Write `lesson-plan.pdf`, the page for the teacher, into a folder; gives its path. Raises
    OSError where it cannot be written."""
    path = Path(folder) / LESSON_PLAN
    _save({path: (lay_out_pages(teacher_page(display), paper or PAPERS[display]), NAME)})
    return path


# -- the student's sheet --------------------------------------------------------------------------


def worksheet(sheets: Sheets, display: Display = "mm") -> Document:
    """One student's questions with room to work, and no answers."""
    who = f"Name: {sheets.name}" if sheets.name else ""
    head = (Text(who),) if who else (WritingRoom(_NAME_ROOM, label="Name"),)
    questions = tuple(
        _question(number, one, _ROOM[display])
        for number, one in enumerate(sheets.exercises, start=1)
    )
    return Document(
        f"Sheet {sheets.code}",
        f"{NAME}. {_HOW}",
        (Section("Questions", (*head, *questions)),),
    )


def _question(number: int, exercise: Exercise, room: float) -> WritingRoom:
    caution = exercise.kind.caution
    said = (Text(caution, "caution"),) if caution else ()
    question = (Subheading(f"{number}. {exercise.title}"), Text(exercise.question))
    high = figure_height(exercise)
    figure = (Inset(described(exercise), figure_on(exercise), high),) if high else ()
    return WritingRoom(room, (*question, *said, *figure), "Answer")


# -- the teacher's sheet --------------------------------------------------------------------------


def answer_sheet(sheets: Sequence[Sheets], seed: int | str) -> Document:
    """Answers and short workings of the whole class."""
    return Document(
        f"{NAME}: answers",
        f"For the teacher. Class of {len(sheets)}, seed {seed}. Each student's numbers differ; "
        "find the sheet by its code.",
        tuple(_answers(one) for one in sheets),
    )


def _answers(sheets: Sheets) -> Section:
    who = f", {sheets.name}" if sheets.name else ""
    rows = tuple(
        (f"{number}", one.title, _one_line(one), _answer(one), _within(one))
        for number, one in enumerate(sheets.exercises, start=1)
    )
    table = Table(
        "Last step of each working, answer and tolerance",
        ("", "question", "working", "answer", "within"),
        rows,
    )  # fmt: skip
    return Section(f"{sheets.code}: student {sheets.number}{who}", (table, _to_look_for(sheets)))


def _to_look_for(sheets: Sheets) -> Text:
    """The first mistakes of each question with the numbers that they lead to."""
    said = []
    for number, one in enumerate(sheets.exercises, start=1):
        found = {slip.mistake.name: slip for slip in reversed(own_slips(one))}
        first = [found[name] for name in reversed(found)][:_MISTAKES]
        told = (
            f"{figures_text(slip.number, one.unit, one.style, 5)} ({slip.mistake.name})"
            for slip in first
        )
        said.append(f"{number}. {', '.join(told)}")
    return Text(together(f"Mistakes to look for: {'; '.join(said)}."), "faint")


def _one_line(exercise: Exercise) -> str:
    """The last calculation on one line, its result left to the next column."""
    if exercise.kind.last_step:
        return exercise.kind.last_step
    if line := with_numbers(exercise):
        return together(line)
    if exercise.after is not None:
        return "; ".join(f"{left} = {right}" for left, right in short_working(exercise))
    (left, first), *rest = short_working(exercise)
    return together(" = ".join((left, first, *(right for _, right in rest[:-1]))))


def _answer(exercise: Exercise) -> str:
    exact, marked = exercise.answer_text, exercise.marked
    return together(f"{exact}, or {marked}" if marked else exact)


def _within(exercise: Exercise) -> str:
    return "exactly" if exercise.asked.whole else together(exercise.tolerance_text)
