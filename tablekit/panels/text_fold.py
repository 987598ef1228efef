"""The brief of a panel as a text, to be copied out, and one pasted to be taken up."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from tablekit.brief import Brief, parse_brief, write_brief
from tablekit.engine.trouble import DesignError
from tablekit.panels.controls import WRAPPED, alert, button, told_html

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
