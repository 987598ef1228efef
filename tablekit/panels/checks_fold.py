"""The checks of a design in a panel: what needs attention in sight, what passes and the notes
folded, and written only while they are open."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from tablekit.design import Design
from tablekit.design.checks import not_checked, own_checks, own_notes
from tablekit.engine.sheet import CheckResult, Sheet
from tablekit.panels.controls import alert
from tablekit.panels.tables import (
    ELSEWHERE,
    attention_html,
    notes_html,
    passed_html,
    passed_said,
)

PASSED, NOTES = range(2)


class ChecksFold:
    """The checks of one design.

    attention  what does not pass
    folds      what passes, and the notes
    """

    def __init__(self) -> None:
        self.attention = widgets.HTML()
        self._texts = widgets.HTML(), widgets.HTML()
        self._checks: Sequence[CheckResult] = ()
        self._notes: Sequence[str] = ()
        self.folds = widgets.Accordion(self._texts, titles=("", "Notes"))
        self.folds.observe(lambda _: self._unfold(), "selected_index")
        self.widget = widgets.VBox([self.attention, self.folds])

    def show_own(self, sheet: Sheet, trouble: str = "") -> None:
        """The checks on the sizes alone, which are there at once, and that there are more.

        trouble  why those on the plans are not there"""
        notes = (*own_notes(sheet), ELSEWHERE)
        self._show(own_checks(sheet), not_checked(sheet), notes, trouble)

    def show_every(self, design: Design) -> None:
        """Every check and every note. Raises DesignError, of a plan."""
        self._show(design.every_check, design.not_checked, design.notes)

    def _show(
        self, checks: Sequence[CheckResult], unchecked: Sequence[str], notes: Sequence[str],
        trouble: str = "",
    ) -> None:  # fmt: skip
        self._checks, self._notes = checks, notes
        self.attention.value = alert(trouble) + attention_html(checks, unchecked)
        self.folds.set_title(PASSED, passed_said(checks))
        self._unfold()

    def _unfold(self) -> None:
        if self.folds.selected_index == PASSED:
            self._texts[PASSED].value = passed_html(self._checks)
        elif self.folds.selected_index == NOTES:
            self._texts[NOTES].value = notes_html(self._notes)
