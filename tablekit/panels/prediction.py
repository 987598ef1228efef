"""A question that a reader answers before the page does, and what came of the answer."""

from __future__ import annotations

import html
from collections.abc import Sequence

import ipywidgets as widgets

from tablekit.drawing.style import FAINT
from tablekit.panels.controls import heard
from tablekit.panels.panel import Panel

SAID = "font-size:var(--jp-content-font-size1, 14px); line-height:1.5"  # as the text of the page
NOTED = "Noted. Now read on; further down this page comes back to it."
FIRST = "Predict first: the question stands further up on this page."


class Prediction(Panel):
    """A question with answers to pick from, none of them picked yet.

    choices  the answers, in the order in which they are offered
    picked   the one that the reader has picked, or None
    found    what came of it: a second panel, for the place where the page has the answer

    Raises ValueError where `right` is none of the choices.
    """

    def __init__(self, question: str, choices: Sequence[str], right: str, why: str):
        """`why` says in a sentence or two how the answer comes about."""
        super().__init__("")
        if right not in choices:
            raise ValueError(f"the right answer {right!r} is not among the choices {choices}")
        self.question, self.choices = question, tuple(choices)
        self.right, self.why = right, why
        self.radio = widgets.RadioButtons(
            options=self.choices, value=None, layout={"width": "auto", "max_width": "100%"}
        )
        self.noted = widgets.HTML()
        asked = widgets.HTML(f'<div style="{SAID}"><b>Predict.</b> {html.escape(question)}</div>')
        self.widget = widgets.VBox([asked, self.radio, self.noted], layout={"max_width": "760px"})
        self.found = PredictionResult(self)
        heard(self.radio, lambda _: self._pick())

    @property
    def picked(self) -> str | None:
        """The answer that the reader has picked."""
        answer: str | None = self.radio.value
        return answer

    def _pick(self) -> None:
        self.noted.value = f'<div role="status" style="{SAID}">{NOTED}</div>'
        self.found.show()

    @property
    def text(self) -> str:
        """The question and its answers, for a reader without a running kernel."""
        return f"Predict. {self.question} {' / '.join(self.choices)}?"

    offline = "a question to answer before reading on."


class PredictionResult(Panel):
    """What came of a prediction; empty-handed until there is one."""

    offline = "the answer to a prediction."

    def __init__(self, prediction: Prediction):
        super().__init__("")
        self.prediction = prediction
        self.widget = widgets.HTML()
        self.show()

    def show(self) -> None:
        """Compare what was picked with what is right."""
        it = self.prediction
        if it.picked is None:
            said = html.escape(FIRST)
        elif it.picked == it.right:
            said = f"<b>You predicted “{html.escape(it.picked)}”, and so it is.</b> "
            said += html.escape(it.why)
        else:
            said = f"<b>You predicted “{html.escape(it.picked)}”. It is “{html.escape(it.right)}”."
            said += f"</b> {html.escape(it.why)}"
        self.widget.value = (
            f'<div role="status" style="border-left:4px solid {FAINT}; padding:2px 10px; '
            f'margin:8px 0 16px; max-width:760px; {SAID}">{said}</div>'
        )

    @property
    def text(self) -> str:
        """The answer, for a reader without a running kernel."""
        return f"Predicted: {self.prediction.right}. {self.prediction.why}"
