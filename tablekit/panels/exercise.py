"""The exercise panel: a question, room for an answer, what to make of it, hints, the next one."""

from __future__ import annotations

import html

import ipywidgets as widgets

from tablekit.panels.controls import LABEL, WRAPPED, button, heard
from tablekit.panels.panel import Panel
from tablekit.teaching.checking import Verdict, check
from tablekit.teaching.exercises import Exercise, exercise_set
from tablekit.teaching.kinds import Display
from tablekit.teaching.lines import hint, hint_count

# A word beside the mark: neither colour nor sign alone carries the verdict.
_MARKS = {"right": "✓ right", "rounded": "△ nearly", "mistake": "✗ not yet", "wrong": "✗ not yet"}
_UNREAD = "△ not read"


class ExercisePanel(Panel):
    """Exercises of one student, one after another.

    exercises  those of the set, in order
    current    the one that is shown
    verdict    the last verdict on it, or None
    """

    def __init__(
        self, seed: int | str, student: int | str = 1, count: int = 6, display: Display = "mm"
    ):
        """As for `exercise_set`; raises what it raises."""
        super().__init__("")
        self.exercises = exercise_set(seed, student, count, display)
        self.place = 0
        self.verdict: Verdict | None = None
        self._hints = 0
        self._make_widgets()
        self._ask()

    @property
    def current(self) -> Exercise:
        """The exercise that is shown."""
        return self.exercises[self.place]

    def _make_widgets(self) -> None:
        self.question = widgets.HTML()
        self.answer = widgets.Text(
            placeholder="number and unit", description="Answer", continuous_update=False,
            layout={"width": "300px"}, style=LABEL,
        )  # fmt: skip
        self.check = button("Check", self._check)
        self.hint = button("Hint", self._hint)
        self.next = button("Next", self._next)
        self.told, self.hints = widgets.HTML(), widgets.HTML()
        # Leaving the box with a new answer, or pressing enter in it, checks it as well.
        heard(self.answer, self._answered)
        self.widget = widgets.VBox(
            [
                self.question,
                widgets.HBox([self.answer, self.check, self.hint, self.next], layout=WRAPPED),
                self.told,
                self.hints,
            ],
            layout={"max_width": "760px"},
        )

    # -- what the student does ----------------------------------------------------------------

    def _answered(self, text: str) -> None:
        if text:  # an empty box is what a new question begins with
            self._check()

    def _check(self) -> None:
        verdict = check(self.current, self.answer.value)
        self.verdict = verdict
        mark = _MARKS.get(verdict.outcome, _UNREAD)
        self.told.value = (
            '<div role="status" style="border-left:4px solid #4a5763; padding:2px 10px; '
            f'line-height:1.4"><b>{mark}</b> {html.escape(verdict.message)}</div>'
        )

    def _hint(self) -> None:
        self._hints = min(self._hints + 1, hint_count(self.current))
        told = [hint(self.current, number) for number in range(1, self._hints + 1)]
        lines = "".join(f"<li>{html.escape(line)}</li>" for line in told)
        self.hints.value = f'<ol style="line-height:1.5">{lines}</ol>'
        self.hint.disabled = self._hints == hint_count(self.current)

    def _next(self) -> None:
        self.place = (self.place + 1) % len(self.exercises)
        self._ask()

    # -- what the panel answers ---------------------------------------------------------------

    def _ask(self) -> None:
        one = self.current
        self.verdict, self._hints = None, 0
        self.hint.disabled = False
        self.answer.value = ""
        self.told.value = self.hints.value = ""
        self.question.value = (
            f'<h4 style="margin:4px 0">Question {self.place + 1} of {len(self.exercises)}. '
            f"{html.escape(one.title)}</h4>"
            f'<p style="line-height:1.5">{html.escape(one.question)}</p>'
        )
