"""The standing panel: how large a top, how wide the feet, what load wanted of the rim, and whether
it tips. Ways to mend are solved for, so a button asks for them, never a slider.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import ipywidgets as widgets

from tablekit.brief import Brief
from tablekit.drawing.general import Layout
from tablekit.drawing.style import Paper
from tablekit.drawing.tipping import lay_out_tipping, tipping_words
from tablekit.engine.trouble import DesignError
from tablekit.panels.controls import alert, button, focus_seen, told_html
from tablekit.panels.givens import Givens, evaluate, refuse_at_once
from tablekit.panels.live_drawing import LiveSheet
from tablekit.panels.panel import GivensPanel
from tablekit.panels.row import Row
from tablekit.panels.tables import MARKS
from tablekit.planning.tipping_polar import tipping_polar
from tablekit.planning.tipping_ways import ways_to_mend

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

ROWS = ("top_diameter", "foot_radius", "wanted_tipping_load")
# Where these run that the setting-out panel has no slider for, in reporting units.
RUNS: dict[str, tuple[float, float]] = {
    "foot_radius": (150, 900),
    "tipping_load": (50, 600),
    "wanted_tipping_load": (50, 600),
}
# What a piece is asked about its standing, as far as its kind is asked it.
CHECKS = (
    "tipping", "tipping_wanted", "sitter_leaning", "assembly", "heads_under_top", "post_strength",
    "rim_deflection",
)  # fmt: skip
WIDEST = "740px"  # of the drawing, which is nearly square
HIGHEST = 130.0  # mm: all of it is seen at once
PICTURED = "The piece from above, with the load that tips it at each point of its rim."
OLD = "The drawing still shows the last design that could be made."
ASK = "Find remedies"


class StandingPanel(GivensPanel):
    """A panel over one brief, as a `GivensPanel`.

    mend    the button that asks for ways to mend
    ways    the ways found, of the piece as it stands; empty once anything has moved
    """

    old = OLD
    offline = (
        "its tipping load, with sliders for the top, the feet and the load wanted at the rim, and "
        "a button that finds remedies."
    )

    def __init__(self, brief: Brief):
        super().__init__(brief)
        # What is wanted of the rim is the maker's to say, so it opens as something given.
        wanted = self.sheet.number("wanted_tipping_load")
        if "wanted_tipping_load" not in self.state.given:
            self.state = self.state.with_given("wanted_tipping_load", wanted)
            self.sheet = evaluate(self.state)
        self._names = set(self.state.given)
        self._make_widgets()
        self._write()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self) -> None:
        self.rows = {name: self._row(name) for name in ROWS}
        self.picture: LiveSheet[Sheet] = LiveSheet(
            _laid_out, _paper, PICTURED, self._told_of, self._drawn_out, self._asked_of
        )
        self.picture.widget.layout.max_width = WIDEST
        self.words = widgets.HTML()
        self.checks, self.ways = widgets.HTML(), widgets.HTML()
        self.of_design = (self.picture.widget, self.words, self.checks)
        hint = "solves for the wanted load; takes a few seconds"
        self.mend = button(ASK, self.find_ways, "160px", tooltip=hint)
        self.controls = widgets.VBox([row.widget for row in self.rows.values()])
        self.widget = widgets.VBox(
            [
                self.controls, self.trouble, self.releases, self.picture.widget, self.words,
                self.checks, self.mend, self.ways, focus_seen(),
            ]
        )  # fmt: skip

    def _row(self, name: str) -> Row:
        row = super()._row(name)
        row.switch.layout.flex = "0 1 168px"
        if name in RUNS:
            # Opened wide before it is narrowed: a slider's ends may never cross.
            row.slider.max = max(RUNS[name][1], row.slider.min)
            row.slider.min, row.slider.max = RUNS[name]
        return row

    # -- what the maker does ----------------------------------------------------------------

    def find_ways(self) -> None:
        """Solve for the wanted load in every way there is, and show them."""
        self.frames.finish()
        if self.trouble.value:
            return
        self.mend.disabled, self.mend.description = True, "searching"
        try:
            lines = ways_to_mend(self.sheet).lines()
            said = "".join(f'<p style="margin:4px 0">{html.escape(line)}</p>' for line in lines)
            self.ways.value = f'<div style="line-height:1.4">{said}</div>'
        except DesignError as trouble:
            self.ways.value = alert(str(trouble))
        finally:
            self.mend.disabled, self.mend.description = False, ASK

    # -- what the panel answers -------------------------------------------------------------

    def _take(self, state: Givens, moved: Row | None = None) -> None:
        self.ways.value = ""
        super()._take(state, moved)

    def _solve(self) -> Sheet:
        names = set(self.state.given)
        # A full account of what clashes is given where something was switched.
        if names == self._names:
            refuse_at_once(self.sheet, self.state.given)
        sheet = evaluate(self.state)
        self._names = names
        return sheet

    def _write_state(self) -> None:
        self._fit_rows()
        super()._write_state()

    def _fit_rows(self) -> None:
        """A row for whatever was given in the drawing."""
        for name in self.picture.names:
            if name in self.state.given and name not in self.rows:
                self.rows[name] = self._row(name)
                self.controls.children = tuple(row.widget for row in self.rows.values())

    def _show(self, trouble: Exception) -> None:
        super()._show(trouble)
        self.picture.refuse(self._in_words(trouble))
        self.picture.tell()

    def _write(self) -> None:
        self._fit_rows()
        super()._write()
        self.picture.draw(self.sheet)
        self.picture.refuse("")
        self.words.value = told_html(tipping_words(self.sheet, tipping_polar(self.sheet)))
        self.checks.value = standing_html(self.sheet)


def _paper(width: float) -> Paper:
    return Paper(width, min(0.9 * width, HIGHEST), margin=3, to_scale=False)


def _laid_out(sheet: Sheet, paper: Paper, _: float | None) -> Layout:
    return lay_out_tipping(sheet, paper, words=False)


def standing_html(sheet: Sheet) -> str:
    """The checks that tell how a piece stands, each with what to change."""
    found = {check.id: check for check in sheet.checks}
    lines = [
        f"<b>{MARKS[check.verdict]}</b> {html.escape(f'{check.name}: {check.message}')}"
        for one in CHECKS
        if (check := found.get(one)) is not None
    ]
    lines.append("The joint under load is judged in the shop packet, not here.")
    return "".join(f'<p style="margin:4px 0; line-height:1.4">{line}</p>' for line in lines)
