"""The exercise panel: a set for a pupil, a question with its figure, room for an answer, what to
make of it, hints, the way back and on, the score, and a record that a teacher collects."""

from __future__ import annotations

import html
import os
from collections.abc import Callable, Sequence
from pathlib import Path

import ipywidgets as widgets

from tablekit.drawing.style import FAINT
from tablekit.engine.trouble import DesignError
from tablekit.panels.controls import FINGER, LABEL, WRAPPED, alert, button, heard
from tablekit.panels.files import Saved
from tablekit.panels.panel import Panel
from tablekit.pupils import NUMBER, on_arrival
from tablekit.teaching.checking import Verdict, check
from tablekit.teaching.exercises import exercise_set
from tablekit.teaching.figures import described, figure_svg
from tablekit.teaching.kinds import Display
from tablekit.teaching.question import Exercise, hint_count, lines
from tablekit.teaching.record import QuestionRecord, Record, read_record

# A word beside the mark: neither colour nor sign alone carries the verdict.
_MARKS = {"right": "✓", "mistake": "✗", "wrong": "✗"}
_FIRST_WORDS = ("Right", "Not yet", "Very close", "Close", "Not read")
_OTHERWISE = {"rounded": "Nearly."}
_STATUS = (
    f'<div role="status" style="border-left:4px solid {FAINT}; padding:2px 10px; line-height:1.4">'
)


class ExercisePanel(Panel):
    """Exercises of one pupil, one after another. The pupil may type another set, and a number or a
    name, in the panel itself. In the pages of a class each answer is saved as it is given, and is
    there again when the page is opened anew.

    exercises  those of the set, in order
    place      of the one that is shown, from 0; after the last one the summary is shown
    verdict    the last verdict on it, or None
    record     what was answered so far
    """

    def __init__(
        self,
        seed: int | str,
        student: int | str = "",
        count: int = 6,
        display: Display = "mm",
        *,
        kinds: Sequence[str] | None = None,
        folder: Path | None = None,
    ):
        """As for `exercise_set`; raises what it raises. Records are saved in `folder`, the folder
        one works in if not said."""
        super().__init__("")
        self._count, self._display, self._kinds = count, display, kinds
        self._files = Saved(folder)
        self.place = self._shown_hints = 0
        self.verdict: Verdict | None = None
        self._unsaved, self._warned = False, False
        self._make_widgets(seed, student)
        self._come_in()
        on_arrival(self._come_in)

    def _come_in(self) -> None:
        """In the pages of a class everybody has a number, and a folder that keeps the answers."""
        self._pupil = os.environ.get(NUMBER, "")
        self.student.value = self.student.value or self._pupil
        self._begin()

    @property
    def finished(self) -> bool:
        """Whether the summary is shown."""
        return self.place == len(self.exercises)

    @property
    def current(self) -> Exercise:
        """The exercise that is shown; the last one while the summary is."""
        return self.exercises[min(self.place, len(self.exercises) - 1)]

    def _make_widgets(self, seed: int | str, student: int | str) -> None:
        self.seed = widgets.Text(value=str(seed), description="Set", style=LABEL,
                                 layout={"width": "170px", "height": FINGER})  # fmt: skip
        self.student = widgets.Text(
            value=str(student), description="Number or name", placeholder="of your choice",
            style=LABEL, layout={"width": "280px", "height": FINGER},
        )  # fmt: skip
        self.start = _pressed("Start", self.begin)
        self.question = widgets.HTML()
        self.answer = widgets.Text(
            placeholder="number and unit", description="Answer", continuous_update=False,
            layout={"width": "300px", "height": FINGER}, style=LABEL,
        )  # fmt: skip
        self.check = _pressed("Check", self._check)
        self.hint = _pressed("Hint", self._hint)
        self.back = _pressed("Back", self._back)
        self.next = _pressed("Next", self._next)
        self.save = _pressed("Save", self.save_record)
        self.told, self.hints, self.score = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.saved = widgets.HTML()
        # Leaving the box with a new answer, or pressing enter in it, checks it as well.
        heard(self.answer, self._answered)
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        row = {**WRAPPED, "align_items": "center"}
        return widgets.VBox(
            [
                widgets.HBox([self.seed, self.student, self.start], layout=row),
                self.trouble,
                self.question,
                widgets.HBox([self.answer, self.check, self.hint], layout=row),
                self.told,
                self.hints,
                widgets.HBox([self.back, self.next, self.save], layout=row),
                self.score,
                self.saved,
            ],
            layout={"max_width": "900px"},
        )

    # -- what the pupil does ------------------------------------------------------------------

    def begin(self) -> None:
        """Begin the set that is typed. Answers not saved are left only when asked again."""
        if self._unsaved and not self._warned:
            self._warned = True
            self.trouble.value = alert(
                "Some answers are not saved. Save them, or press Start again to leave them."
            )
            return
        self._begin()

    def save_record(self) -> None:
        """Write the record; over a file that was not written from here only when asked again."""
        record = self.record
        try:
            path = self._files.write(record.file_name, ".json", record.to_text())
        except DesignError as trouble:
            self.saved.value = alert(f"{trouble}.")
            return
        self._unsaved = self._warned = False
        self.saved.value = (
            f"{_STATUS}Saved as <b>{html.escape(path.name)}</b>, for your teacher. The name of the "
            "file does not say who you are; what you typed above is in it.</div>"
        )

    def _answered(self, text: str) -> None:
        if text and not self._quiet:  # an empty box is what a new question begins with
            self._check()

    def _check(self) -> None:
        if self.finished:
            return
        verdict = check(self.current, self.answer.value)
        self.verdict = verdict
        if self.answer.value.strip():
            self.record.add(self.place, self.answer.value, verdict)
            self._unsaved, self.saved.value = True, ""
            if self._pupil:
                self.save_record()
        self.told.value = f"{_STATUS}{_marked(verdict)}</div>"
        self._tell_score()

    def _hint(self) -> None:
        if self.finished:
            return
        answered = self._here()
        self._shown_hints = min(self._shown_hints + 1, hint_count(self.current))
        # A hint that is read after the answer was right helped no one.
        if not answered.right:
            answered.hints = max(answered.hints, self._shown_hints)
        self._tell_hints()

    def _back(self) -> None:
        self._go(self.place - 1)

    def _next(self) -> None:
        if not self.finished:
            self._go(self.place + 1)
            return
        open_ones = (k for k, one in enumerate(self.record.answered) if not one.right)
        self._go(next(open_ones, 0))

    # -- what the panel answers ---------------------------------------------------------------

    def _begin(self) -> None:
        student = self.student.value.strip()
        self.exercises = exercise_set(
            self.seed.value.strip(), student, self._count, self._display, self._kinds
        )
        self.record = Record.begin(self.seed.value.strip(), student, self._display, self.exercises)
        self._unsaved = self._warned = False
        self.saved.value = ""
        kept = self._kept() if self._pupil else None
        if kept is not None:
            self.record = kept
        self.trouble.value = "" if student else alert(
            "Type a number or a name of your choice and press Start, so that your questions have "
            "numbers of your own."
        )  # fmt: skip
        open_ones = (k for k, one in enumerate(self.record.answered) if not one.right)
        self._go(next(open_ones, len(self.exercises)))

    def _kept(self) -> Record | None:
        """What was answered of this set before, as the folder has it."""
        path = self._files.folder / self.record.file_name
        try:
            kept = read_record(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, DesignError):
            return None
        asked = [one.kind for one in self.record.answered]
        if (kept.seed, kept.student, kept.display) != (
            self.record.seed, self.record.student, self.record.display,
        ) or [one.kind for one in kept.answered] != asked:  # fmt: skip
            return None
        self._files.take_over(path.name)
        return kept

    def _here(self) -> QuestionRecord:
        return self.record.answered[self.place]

    def _go(self, place: int) -> None:
        """Show the question at a place, or the summary after the last one."""
        self.place = max(0, min(place, len(self.exercises)))
        self.verdict, self._shown_hints = None, 0
        self.told.value = self.hints.value = ""
        with self._silence():
            self.answer.value = ""
        for one in (self.answer, self.check, self.hint):
            one.disabled = self.finished
        self.back.disabled = self.place == 0
        self.next.description = self._next_words()
        self.question.value = self._summary() if self.finished else self._asked()
        self._tell_score()

    def _next_words(self) -> str:
        if not self.finished:
            return "Next" if self.place < len(self.exercises) - 1 else "Finish"
        return "From the start" if self.record.right == len(self.exercises) else "Open question"

    def _asked(self) -> str:
        one = self.current
        drawing = figure_svg(one)
        figure = (
            f'<div role="img" aria-label="{html.escape(described(one))}" '
            f'style="flex:0 1 340px">{_fluid(drawing)}</div>'
            if drawing
            else ""
        )
        return (
            f'<h4 style="margin:4px 0">Question {self.place + 1} of {len(self.exercises)}. '
            f"{html.escape(one.title)}</h4>"
            '<div style="display:flex; flex-wrap:wrap; gap:8px 20px; align-items:flex-start">'
            f'<p style="line-height:1.5; flex:1 1 320px; margin:4px 0">{html.escape(one.question)}'
            f"</p>{figure}</div>"
        )

    def _summary(self) -> str:
        rows = "".join(
            f"<li>{html.escape(one.title)} <b>{one.standing}</b></li>"
            for one in self.record.answered
        )
        head = f"Finished: {self.record.right} of {len(self.exercises)} right"
        return (
            f'<h4 style="margin:4px 0">{head}</h4><ol style="line-height:1.6">{rows}</ol>'
            "<p>Press <b>Save</b> for your teacher, or go back to any question.</p>"
        )

    def _tell_hints(self) -> None:
        every = lines(self.current)
        told = "".join(f"<li>{html.escape(line)}</li>" for line in every[: self._shown_hints])
        self.hints.value = f'<ol style="line-height:1.5">{told}</ol>'
        self.hint.disabled = self._shown_hints == len(every)

    def _tell_score(self) -> None:
        signs = " ".join(
            f"{k}&nbsp;{'✓' if one.right else '✗' if one.tries else '·'}"
            for k, one in enumerate(self.record.answered, start=1)
        )
        said = f"Right so far: {self.record.right} of {len(self.exercises)}"
        self.score.value = f"{_STATUS}{said}. <span>{signs}</span></div>"


def _marked(verdict: Verdict) -> str:
    """What is said of an answer, with its mark and its first words in bold."""
    mark, message = _MARKS.get(verdict.outcome, "△"), html.escape(verdict.message)
    first = next((one for one in _FIRST_WORDS if message.startswith(one)), "")
    said = first or _OTHERWISE.get(verdict.outcome, "Not read.")
    return f"<b>{mark} {said}</b>{message[len(first) :] if first else f' {message}'}"


def _pressed(words: str, action: Callable[[], object]) -> widgets.Button:
    made = button(words, action)
    made.layout.height, made.layout.min_width = FINGER, "84px"
    return made


def _fluid(drawing: str) -> str:
    """An SVG that is as wide as it is drawn, and no wider than its column."""
    return drawing.replace("<svg ", '<svg style="max-width:100%; height:auto" ', 1)
