"""Parts of the setting-out panel: the main sizes; the checks, what passes and the notes folded and
written only while they are open; and the brief as a text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import ipywidgets as widgets

from tablekit.brief import Brief, parse_brief, write_brief
from tablekit.design import Design
from tablekit.design.checks import not_checked, own_checks, own_notes
from tablekit.engine.sheet import CheckResult, Sheet
from tablekit.engine.shop import quantity_text, shop_round
from tablekit.engine.trouble import DesignError
from tablekit.packet.card import MainSize, main_sizes
from tablekit.panels.controls import WRAPPED, alert, button, told_html
from tablekit.panels.row import NO_VALUE
from tablekit.panels.tables import (
    ELSEWHERE,
    attention_html,
    notes_html,
    passed_html,
    passed_said,
    rows_html,
)

# -- The main sizes --------------------------------------------------------------------------------

CAPTION = "Main sizes, beside those kept (drawn faint)"


def main_html(job: Design, kept: Design | None = None) -> str:
    """Those sizes as a small table, each from where to where; with `kept` those of that design
    too, and by how much this one differs."""
    sizes = main_sizes(job)
    if kept is None:
        return rows_html("Main sizes", [one.row for one in sizes])
    then = {one.row[0]: one for one in main_sizes(kept)}
    rows = [
        (one.row[0], one.whole or one.row[1], *_beside(job, one, kept, then.get(one.row[0])))
        for one in sizes
    ]
    return rows_html(CAPTION, rows, ("", "now", "kept", "difference"))


def _beside(job: Design, now: MainSize, kept: Design, then: MainSize | None) -> tuple[str, str]:
    """What the kept design has of a size, and by how much the present one is more or less: the
    difference of the sizes as they are shown, where each is one size."""
    if then is None:
        return NO_VALUE, NO_VALUE
    was = then.whole or then.row[1]
    if was == (now.whole or now.row[1]):
        return was, "same"
    name = now.quantity
    if not name:
        return was, NO_VALUE
    it, style = job.sheet[name].quantity, job.sheet.shop_style
    after, before = (shop_round(one.sheet.number(name), it.unit, style)[0] for one in (job, kept))
    sign = "+" if after > before else "−"
    return was, sign + quantity_text(abs(after - before), it, style)


# -- The checks ------------------------------------------------------------------------------------

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


# -- The brief as a text ---------------------------------------------------------------------------

TITLE = "The brief as a text"
HOW = "Copy it, or paste another over it and take that up. Undo brings the last design back."
YOURS = "You have changed this text, so it does not follow the design: take it up, or go back."


class TextFold:
    """The brief as TOML, written while the fold is open.

    brief()    the brief as the panel has it
    opened(b)  called with a brief that was pasted; may raise DesignError

    text       the text; it follows the design until a hand changes it
    said       what came of it, in words
    """

    def __init__(self, brief: Callable[[], Brief], opened: Callable[[Brief], None]):
        self._brief, self._opened = brief, opened
        self._written = ""
        self.text = widgets.Textarea(rows=16, continuous_update=False, layout={"width": "98%"})
        self.text.add_class("tablekit-brief-text")
        self.text.observe(lambda _: self._tell(), "value")
        self.take = button("take this text up", self._take, "150px", icon="check")
        self.back = button("back to the design", self._write, "150px", icon="refresh")
        self.said = widgets.HTML()
        steps = widgets.HBox([self.take, self.back], layout=WRAPPED)
        self.widget = widgets.Accordion(
            [widgets.VBox([self.said, self.text, steps])], titles=(TITLE,)
        )
        self.widget.observe(lambda _: self.at_rest(), "selected_index")

    def at_rest(self) -> None:
        """Follow the design, where the fold is open and the text is still its."""
        if self.widget.selected_index is not None and not self._changed:
            self._write()

    @property
    def _changed(self) -> bool:
        return bool(self.text.value != self._written)

    def _write(self) -> None:
        try:
            self._written = write_brief(self._brief())
        except DesignError as trouble:  # of givens that clash there may be no text
            self.said.value = alert(str(trouble))
        else:
            self.text.value = self._written
            self._tell()

    def _tell(self) -> None:
        self.take.disabled = self.back.disabled = not self._changed
        self.said.value = told_html([YOURS if self._changed else HOW])

    def _take(self) -> None:
        try:
            self._opened(parse_brief(self.text.value, "this text"))
        except DesignError as trouble:
            self.said.value = alert(str(trouble)).replace("\n", "<br>")
        else:
            self._write()
