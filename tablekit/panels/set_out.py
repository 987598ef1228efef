"""The setting-out panel: pin what matters, read off what follows, and see why."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from tablekit.brief import AsCut, Brief
from tablekit.design import Design
from tablekit.drawing.general import Layout, lay_out, screen_paper, shown
from tablekit.drawing.style import Paper
from tablekit.drawing.views import Arrangement
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.panels.as_cut_fold import AsCutFold
from tablekit.panels.choices import Choices
from tablekit.panels.controls import (
    LABEL,
    WRAPPED,
    button,
    focus_seen,
    heard,
    long_text,
    styled,
    told_html,
)
from tablekit.panels.files import TITLE, AsLeft, FilesPanel
from tablekit.panels.folds import ChecksFold, TextFold, main_html
from tablekit.panels.frames import MOMENT, Rest
from tablekit.panels.givens import Givens, History, evaluate
from tablekit.panels.live_drawing import LiveSheet
from tablekit.panels.panel import GivensPanel
from tablekit.panels.row import Row, usual_rows
from tablekit.panels.tables import card_html, found_html
from tablekit.pupils import on_arrival
from tablekit.relations.bases import base_of

PLACES = Path(__file__).with_name("set_out.css").read_text(encoding="utf-8")
PICTURED = "The piece to scale: elevation and plan, with its main sizes."
KEEP, DROP = "compare", "drop kept"
WHY_KEEP = "Keep this design: its main sizes and its outline stay beside those of the next"
AS_OPENED = "Go back to the brief as it was opened; undo takes that back"
AS_LEFT = "This is how you left it; undo takes it back to how the page begins."
UNSETTLED = "the given sizes do not fit together; correct them first, then write the packet"


class SetOutPanel(GivensPanel):
    """A panel over one brief, as a `GivensPanel`.

    rows     names of the quantities that get a slider; by default those of the brief's kind
    folder   where briefs and packets are kept; the folder one works in if not said
    history  the states before and after the present one
    design   the whole answer that the sheet belongs to
    files    saving, loading and the packet
    as_text  the brief as a text
    cut      what is cut already, and what follows from it
    kept     another design to compare with: its state, the whole answer, and its views
    """

    old = "The drawing still shows the last design that could be made."
    offline = "its sizes with sliders, its drawing and its checks, all redrawn at each move."

    def __init__(self, brief: Brief, rows: Sequence[str] = (), folder: Path | None = None):
        super().__init__(brief)
        self._begun = self.brief
        self._left: AsLeft | None = None  # until it is known whose page this is
        self.history, self._first = History(self.state), self.state
        self._moment = Rest(self._write_in_a_moment, MOMENT)
        self._rest = Rest(self._write_at_rest)
        self.files = FilesPanel(lambda: self.brief, self._settled, self.open, folder)
        self.cut = AsCutFold(self._measured)
        self.as_text = TextFold(lambda: self.brief, self.open)
        self._asked = tuple(rows)
        self.kept: tuple[Givens, Design, Arrangement] | None = None
        self._make_widgets()
        self._write()
        self._moment.finish()  # at once where it opens
        self._come_in()
        on_arrival(self._come_in)

    def _come_in(self) -> None:
        """As the pupil left it, if whoever opens the page is one who did."""
        self._left = left = AsLeft(self._begun)
        kept = left.read()
        if kept is not None:
            with suppress(DesignError):
                self.open(kept)
                self.as_left.value = told_html([AS_LEFT])

    def _make_widgets(self) -> None:
        self.display = widgets.ToggleButtons(
            options=["mm", "in"], tooltips=["millimetres", "inches"], value=self.state.display,
            style={"button_width": "52px"},
        )  # fmt: skip
        heard(self.display, self._chosen)
        self.choices = Choices(self._chose)
        self.undo = button("undo", self._undo, "84px", icon="undo")
        self.redo = button("redo", self._redo, "84px", icon="redo")
        self.reset = button("reset", self._reset, "62px", tooltip=AS_OPENED)
        self.keep = button(KEEP, self._keep_or_drop, "100px", tooltip=WHY_KEEP)
        self.picture: LiveSheet[Sheet] = LiveSheet(
            self._drawn, screen_paper, PICTURED, self._told_of, self._drawn_out, self._asked_of,
        )  # fmt: skip
        self.as_left = widgets.HTML()
        self.gave_way, self.card, self.found = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.main, self.checks, self.working = widgets.HTML(), ChecksFold(), long_text()
        texts = (self.main, self.card, self.found, self.checks.widget, self.working)
        self.of_design = (self.picture.widget, *texts)
        self.pick = heard(
            widgets.Dropdown(description="Working for", style=LABEL), self._write_working
        )
        self.in_full = heard(
            widgets.Checkbox(value=False, description="in full", indent=False), self._write_working
        )
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        self.controls = widgets.VBox()
        choices = widgets.HBox([self.display, *self.choices.widgets], layout=WRAPPED)
        steps = widgets.HBox([self.undo, self.redo, self.reset, self.keep], layout=WRAPPED)
        parts = {
            "controls": [
                choices,
                self.controls,
                steps,
                self.as_left,
                self.gave_way,
                self.trouble,
                self.releases,
            ],
            "beside": [self.picture.widget],
            "main": [self.main],
            "checks": [self.checks.widget],
            "card-of-sizes": [self.card],
        }
        self.bench = widgets.Box([_part(name, made) for name, made in parts.items()])
        self.bench.add_class("tablekit-bench")
        asked = widgets.HBox([self.pick, self.in_full], layout=WRAPPED)
        files = widgets.Accordion([self.files.widget], titles=(TITLE,))
        self.every_size = widgets.Accordion([self.found], titles=("Every size",))
        self.every_size.observe(lambda _: self._write_found(), "selected_index")
        self.how_found = widgets.Accordion(
            [widgets.VBox([asked, self.working])], titles=("How a size was found",)
        )
        self.how_found.observe(self._write_working, "selected_index")
        folds = [
            self.how_found, self.every_size, self.cut.widget, self.as_text.widget, files,
        ]  # fmt: skip
        whole = widgets.VBox([self.bench, *folds, focus_seen(), styled(PLACES)])
        whole.add_class("tablekit-desk")
        return whole

    # -- what the maker does ----------------------------------------------------------------

    def _chosen(self, _: Any) -> None:
        if not self._quiet:
            self._take(replace(self.state, display=self.display.value))

    def _chose(self, brief: Brief) -> None:
        """Something else than a given was chosen: a step that can be undone."""
        self.frames.finish()
        self._take(replace(self.state, brief=brief))

    def _measured(self, made: AsCut) -> None:
        """Something was measured: a fact beside the givens."""
        self._chose(replace(self.state.brief, as_cut=made))

    def open(self, brief: Brief) -> None:
        """Take up another brief, as a step that can be undone.

        Raises DesignError, with nothing changed, for one that cannot be answered."""
        state = Givens.of(brief)
        evaluate(state)
        self._first = state
        self._take(state)

    def _undo(self) -> None:
        self._go_to(self.history.undo())

    def _redo(self) -> None:
        self._go_to(self.history.redo())

    def _reset(self) -> None:
        """Back to the brief that was opened last, as a step that can be undone."""
        self.frames.finish()
        self._take(self._first)

    def _go_to(self, state: Givens) -> None:
        self.as_left.value = ""
        super()._take(state)

    def _keep_or_drop(self) -> None:
        """Keep the design to compare others with, or keep none."""
        self.frames.finish()
        kept = (self.state, self.design, shown(self.sheet, quick=True))
        self.kept = None if self.kept else kept
        self.keep.description = DROP if self.kept else KEEP
        self.picture.draw(self.sheet)
        self._write_main()

    # -- what the panel answers -------------------------------------------------------------

    def _take(self, state: Givens, moved: Row | None = None) -> None:
        self.as_left.value = ""
        self.history.note(state, moved.quantity.name if moved else "")
        super()._take(state, moved)

    def _solve(self) -> Sheet:
        # A moved slider stays on its answer where several are possible.
        return evaluate(self.state, self.sheet if self.in_hand else None)

    def _settled(self) -> Design:
        self.frames.finish()
        if self.trouble.value:
            raise DesignError(UNSETTLED)
        return self.design

    def _write(self) -> None:
        sheet = self.sheet
        with self._silence():
            self._fit_rows(sheet)
            self._fit_pick(sheet)
        super()._write()
        self.picture.draw(sheet)
        self.picture.refuse("")
        self.design = Design(self.brief, sheet)
        self._moment.later()
        self._rest.later()
        told = sheet.gave_way_said
        self.gave_way.value = told_html(told) if told else ""

    def _drawn(self, sheet: Sheet, paper: Paper, last: float | None) -> Layout:
        return lay_out(shown(sheet, quick=True), paper, last, self.kept and self.kept[2])

    def _write_main(self) -> None:
        if self.kept and self.kept[0].display != self.state.display:  # read in the same unit
            state, design, views = self.kept
            state = replace(state, display=self.state.display)
            design = Design(state.as_brief(), evaluate(state, design.sheet))
            self.kept = state, design, views
        self.main.value = main_html(self.design, self.kept and self.kept[1])

    def _write_in_a_moment(self) -> None:
        """What is read and not looked at while a hand drags."""
        self._write_main()
        self.card.value = card_html(self.design)
        self.checks.show_own(self.design.sheet)
        self._write_found()

    def _write_found(self) -> None:
        if self.every_size.selected_index is not None:  # folded, it is not worked out
            self.found.value = found_html(self.sheet)

    def _write_at_rest(self) -> None:
        """The checks of the plans, and the working where it is open: they take longer than a frame
        of a drag may."""
        try:
            self.checks.show_every(self.design)
        except DesignError as trouble:  # of a plan: the sizes stand
            self.checks.show_own(self.design.sheet, str(trouble))
        self.cut.at_rest(self.design)
        self._write_working()
        self.as_text.at_rest()
        if self._left is not None:
            self._left.write(self.brief)

    def _fit_rows(self, sheet: Sheet) -> None:
        """A row for each quantity that this kind of piece is asked for or that was given."""
        known = sheet.network.quantities
        others = [name for name in (*self.rows, *self.state.given) if name in known]
        base = base_of(sheet)
        usual = usual_rows(sheet.kind, base.crossed)
        asked = [name for name in self._asked if name in known]
        names = dict.fromkeys((*(asked or usual), *others))
        if [*names] != [*self.rows]:
            self.rows = {name: self.rows.get(name) or self._row(name) for name in names}
            self.controls.children = tuple(row.widget for row in self.rows.values())

    def _fit_pick(self, sheet: Sheet) -> None:
        """Each quantity of this piece among those whose working can be asked for."""
        if self.pick.options != sheet.names:
            picked = self.pick.value or base_of(sheet).blank.length
            self.pick.options = sheet.names
            self.pick.value = picked if picked in sheet.names else sheet.names[0]

    def _write_state(self) -> None:
        self._fit_rows(self.sheet)
        super()._write_state()
        with self._silence():
            self.display.value = self.state.display
        self.choices.show(self.state.brief)
        self.cut.show(self.state.brief)
        self.undo.disabled = not self.history.can_undo
        self.redo.disabled = not self.history.can_redo
        self.reset.disabled = self.state == self._first
        self.keep.disabled = not (self.answered or self.kept)

    def _write_working(self, _: Any = None) -> None:
        if not self._quiet and self.how_found.selected_index is not None:
            short = not self.in_full.value
            self.working.value = self.sheet.working(self.pick.value).html(brief=short)

    def _show(self, trouble: Exception) -> None:
        self.gave_way.value = ""  # of the last design, not of what is asked for now
        super()._show(trouble)
        self.picture.refuse(self._in_words(trouble))
        self.picture.tell()
        self.as_text.at_rest()


def _part(name: str, parts: Sequence[widgets.Widget]) -> widgets.Widget:
    """A part of the panel that `set_out.css` puts in its place."""
    made = widgets.VBox(parts)
    made.add_class(f"tablekit-{name}")
    return made
