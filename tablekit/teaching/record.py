"""What a pupil answered, as a small file that a teacher collects, and what a class answered.

A record has the seed, a number or a name that the pupil chose, and each try as it was written.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tablekit.engine.trouble import DesignError
from tablekit.packet.document import Document, Section, Table, Text
from tablekit.teaching.exercises import sheet_code

if TYPE_CHECKING:
    from tablekit.teaching.checking import Verdict
    from tablekit.teaching.question import Exercise

FORM = "answers to exercises, 1"
_LARGEST = 1_000_000  # bytes; a set of thirty questions with ten tries each takes 40 000
_TRIES = 200  # of one question that are kept; more are counted as one of the last
_LONGEST_TRY = 200  # characters of an answer that are kept


@dataclass(frozen=True)
class Try:
    """One answer as it was written, with its outcome and the mistakes that lead to it."""

    text: str
    outcome: str
    mistakes: tuple[str, ...] = ()


@dataclass
class QuestionRecord:
    """What was done with one question: its kind and title, the tries, how many hints were read."""

    kind: str
    title: str
    tries: list[Try] = field(default_factory=list)
    hints: int = 0

    @property
    def right(self) -> bool:
        """Whether one of the tries was right."""
        return any(one.outcome == "right" for one in self.tries)

    @property
    def standing(self) -> str:
        """How it stands, in words."""
        if not self.right:
            return "not yet" if self.tries else "not tried"
        tries = next(k for k, one in enumerate(self.tries, start=1) if one.outcome == "right")
        said = "right at the first try" if tries == 1 else f"right after {tries} tries"
        if not self.hints:
            return said
        return f"{said}, with {self.hints} hint{'s' * (self.hints > 1)}"


@dataclass
class Record:
    """The answers of one pupil to one set."""

    seed: str
    student: str
    display: str
    answered: list[QuestionRecord]

    @classmethod
    def begin(
        cls, seed: int | str, student: int | str, display: str, exercises: Sequence[Exercise]
    ) -> Record:
        """A record with no answers in it."""
        rows = [QuestionRecord(one.name, one.title) for one in exercises]
        return cls(str(seed), str(student), display, rows)

    def add(self, place: int, text: str, verdict: Verdict) -> None:
        """Note a try. The same answer given twice on end is noted once."""
        tries = self.answered[place].tries
        mistakes = tuple(one.name for one in verdict.possible)
        made = Try(text[:_LONGEST_TRY], verdict.outcome, mistakes)
        if not tries or tries[-1] != made:
            del tries[_TRIES - 1 :]
            tries.append(made)

    @property
    def right(self) -> int:
        """How many questions are answered rightly."""
        return sum(one.right for one in self.answered)

    @property
    def code(self) -> str:
        """Five signs that stand for this pupil and set."""
        return sheet_code(self.seed, self.display, self.student)

    @property
    def file_name(self) -> str:
        """The name of its file, which does not show who it is of."""
        return f"answers-{self.code}.json"

    def to_text(self) -> str:
        """The record as JSON."""
        rows = [
            {"kind": one.kind, "title": one.title, "right": one.right, "hints": one.hints,
             "tries": [{"text": t.text, "outcome": t.outcome, "mistakes": list(t.mistakes)}
                       for t in one.tries]}
            for one in self.answered
        ]  # fmt: skip
        data = {"form": FORM, "seed": self.seed, "student": self.student, "display": self.display,
                "answers": rows}  # fmt: skip
        return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def read_record(text: str) -> Record:
    """The record that a text says. Raises DesignError for a text that is no record."""
    try:
        data = json.loads(text)
        if data["form"] != FORM:
            raise ValueError(data["form"])
        rows = [_row(one) for one in data["answers"]]
        return Record(str(data["seed"]), str(data["student"]), str(data["display"]), rows)
    except (ValueError, KeyError, TypeError, RecursionError) as reason:
        raise DesignError(f"this is no record of answers ({type(reason).__name__})") from None


def _row(data: Mapping[str, Any]) -> QuestionRecord:
    tries = [
        Try(str(t["text"]), str(t["outcome"]), tuple(str(name) for name in t["mistakes"]))
        for t in data["tries"]
    ]
    return QuestionRecord(str(data["kind"]), str(data["title"]), tries, int(data["hints"]))


# -- the class ------------------------------------------------------------------------------------


def collected(folder: str | Path) -> tuple[list[Record], list[str]]:
    """The records in a folder and in the folders inside it, by student, and the names of the files
    that are called like records and are none."""
    records, strange = [], []
    for path in sorted(Path(folder).rglob("answers-*.json")):
        try:
            if path.stat().st_size > _LARGEST:
                raise DesignError("too large for a record")
            records.append(read_record(path.read_text(encoding="utf-8")))
        except (DesignError, OSError, UnicodeDecodeError):
            strange.append(path.name)
    return sorted(records, key=lambda one: (one.seed, _in_order(one.student))), strange


def _in_order(student: str) -> tuple[bool, int, str]:
    """Numbers by their size and before names: 2 comes before 10."""
    number = int(student) if student.isdecimal() and len(student) < 10 else 0
    return not number, number, student


def class_page(folder: str | Path) -> Document:
    """The results of a class at a glance: how each pupil stands, which questions were hard, and the
    mistakes that were most common. `folder` is where the records lie."""
    records, strange = collected(folder)
    if not records:
        ask = Text("Ask the pupils to press Save, then open this again.")
        return Document(
            "Results of the class",
            "No records of answers were found.",
            (Section("No records", (ask,)),),
        )
    what = f"{len(records)} records of answers."
    return Document("Results of the class", what, _results(records, strange))


def class_results(folder: str | Path) -> tuple[Section, ...]:
    """The sections of `class_page`; none where there are no records."""
    records, strange = collected(folder)
    return _results(records, strange) if records else ()


def _results(records: Sequence[Record], strange: Sequence[str]) -> tuple[Section, ...]:
    sections = [_pupils(records), _questions(records), _mistakes(records)]
    if strange:
        said = f"Not read, since they are no records: {', '.join(strange)}."
        sections.append(Section("Files left out", (Text(said),)))
    return tuple(sections)


def _pupils(records: Iterable[Record]) -> Section:
    rows = tuple(
        (one.student, one.code, f"{one.right} of {len(one.answered)}",
         f"{sum(len(a.tries) for a in one.answered)}", f"{sum(a.hints for a in one.answered)}")
        for one in records
    )  # fmt: skip
    head = ("pupil", "sheet", "right", "tries", "hints")
    return Section("Pupils", (Table("How each pupil stands", head, rows, frozenset({3, 4})),))


def _questions(records: Iterable[Record]) -> Section:
    every = [answered for one in records for answered in one.answered if answered.tries]
    titles = {one.kind: one.title for one in every}
    rows = []
    for kind, title in titles.items():
        of_kind = [one for one in every if one.kind == kind]
        right = sum(one.right for one in of_kind)
        first = sum(one.tries[0].outcome == "right" for one in of_kind)
        rows.append((title, f"{len(of_kind)}", f"{first}", f"{right}"))
    rows.sort(key=lambda row: (int(row[3]) / int(row[1]), int(row[2]) / int(row[1])))
    head = ("question", "tried by", "right at once", "right in the end")
    table = Table("Questions, the hardest first", head, tuple(rows), frozenset({1, 2, 3}))
    return Section("Questions", (table,) if rows else (Text("No question was answered yet."),))


def _mistakes(records: Iterable[Record]) -> Section:
    """Each mistake once for each pupil who made it, however often."""
    made: Counter[tuple[str, str]] = Counter()
    for one in records:
        made.update({(a.title, name) for a in one.answered for t in a.tries for name in t.mistakes})
    rows = tuple((name, title, f"{count}") for (title, name), count in made.most_common(12))
    if not rows:
        return Section("Common mistakes", (Text("No known mistake was met."),))
    head = ("mistake", "question", "pupils")
    caption = "What the numbers written point to; where two mistakes lead to one, both are counted"
    return Section("Common mistakes", (Table(caption, head, rows, frozenset({2})),))
