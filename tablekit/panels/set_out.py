"""The setting-out panel: pin what matters, read off what follows, and see why.

It only reads its controls, asks for a sheet, and writes the answer into widgets made once. An
error is shown in its place and the last good drawing stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from tablekit.brief import Brief, Typed
from tablekit.design import Design
from tablekit.drawing.live import GeneralView
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.units import parse_quantity, shop_round
from tablekit.panels.board_row import alert
from tablekit.panels.files import TITLE, FilesPanel
from tablekit.panels.focus import focus_seen
from tablekit.panels.frames import Frames
from tablekit.panels.givens import Givens, evaluate
from tablekit.panels.history import History
from tablekit.panels.resting import Rest
from tablekit.panels.row import ROWS, Row
from tablekit.panels.tables import card_html, checks_html, every_check_html, found_html
from tablekit.panels.told import told_html, unseen_html

OLD = "The drawing still shows the last design that could be made."
PICTURED = "The piece to scale: elevation and plan, with its main sizes."
UNSETTLED = "the given sizes do not fit together; correct them first, then write the packet"

# Not stretched to the height of the controls: it is to scale.
_PICTURE = {
    "flex": "2 1 560px", "min_width": "420px", "overflow": "hidden", "align_items": "flex-start",
}  # fmt: skip


class SetOutPanel:
    """A panel over one brief.

    rows     names of the quantities that get a slider; by default those of the brief's kind
    folder   where briefs and packets are kept; the folder one works in if not said
    sheet    the last sheet that could be solved
    state    the state of the controls, as data
    brief    the same as a brief
    history  the states before and after it
    design   the whole answer that the sheet belongs to
    frames   what keeps a fast drag from queueing frames
    files    saving, loading and the packet
    widget   what a notebook shows; also shown when the panel itself is the last line of a cell

    Raises as `set_out` does for a brief that cannot be answered.
    """

    def __init__(self, brief: Brief, rows: Sequence[str] = (), folder: Path | None = None):
        self.state = Givens.of(brief)
        self.sheet: Sheet = evaluate(self.state)
        self.history = History(self.state)
        self.frames = Frames(self._answer)
        self._rest = Rest(self._write_every_check)
        self.files = FilesPanel(lambda: self.brief, self._settled, self.open, folder)
        self._quiet = self._moved_on = False
        self._asked = tuple(rows)
        self.rows: dict[str, Row] = {}
        self._make_widgets()
        self._view = GeneralView()
        self._write(self.sheet)

    @property
    def brief(self) -> Brief:
        """What the controls say, as a brief: to be saved, or handed to another panel."""
        return self.state.as_brief()

    def _make_widgets(self) -> None:
        self.display = widgets.ToggleButtons(
            options=[("millimetres", "mm"), ("inches", "in")],
            value=self.state.display,
            style={"button_width": "110px"},
        )
        self.way_up = widgets.ToggleButtons(
            options=["notches up", "notches down"],
            value=self.state.way_up,
            style={"button_width": "124px"},
        )
        self.display.observe(self._chosen, "value")
        self.way_up.observe(self._chosen, "value")
        self.undo = self._step("undo", lambda: self._go_back(self.history.undo()))
        self.redo = self._step("redo", lambda: self._go_back(self.history.redo()))
        self.gave_way, self.trouble = widgets.HTML(), widgets.HTML()
        self.releases = widgets.HBox()
        # No tooltip: ipywidgets 8.1 cannot show a picture that has one. Words stand beside it.
        self.picture = widgets.Image(
            format="png", layout=widgets.Layout(width="100%", max_width="960px")
        )
        self.card = widgets.HTML()
        self.found = widgets.HTML()
        self.checks = widgets.HTML()
        self.pick = widgets.Dropdown(
            description="Working for",
            style={"description_width": "initial"},
        )
        self.pick.observe(lambda _: self._write_working(), "value")
        self.in_full = widgets.Checkbox(value=False, description="in full", indent=False)
        self.in_full.observe(lambda _: self._write_working(), "value")
        self.working = widgets.HTML()
        self.widget = self._laid_out()

    @staticmethod
    def _step(word: str, action: Any) -> widgets.Button:
        button = widgets.Button(description=word, icon=word, layout={"width": "84px"})
        button.on_click(lambda _: action())
        return button

    def _laid_out(self) -> widgets.Widget:
        self.controls = widgets.VBox()
        steps = widgets.HBox([self.undo, self.redo])
        controls = widgets.VBox(
            [
                widgets.HBox([self.display, self.way_up], layout={"flex_flow": "row wrap"}),
                self.controls,
                steps,
                self.gave_way,
                self.trouble,
                self.releases,
            ],
            layout={"flex": "1 1 430px", "min_width": "430px", "max_width": "520px"},
        )
        self.picture_box = widgets.Box(
            [self.picture, widgets.HTML(unseen_html(PICTURED))],
            layout=_PICTURE,
        )
        # Each column keeps its place while its text changes length, so nothing jumps.
        below = widgets.HBox(
            [
                widgets.VBox([self.card], layout={"flex": "3 1 560px", "min_width": "340px"}),
                widgets.VBox([self.checks], layout={"flex": "2 1 380px", "min_width": "340px"}),
            ],
            layout={"flex_flow": "row wrap"},
        )
        asked = widgets.HBox([self.pick, self.in_full])
        files = widgets.Accordion([self.files.widget], titles=(TITLE,))
        every_size = widgets.Accordion([self.found], titles=("Every size",))
        return widgets.VBox(
            [
                widgets.HBox([controls, self.picture_box], layout={"flex_flow": "row wrap"}),
                below,
                every_size,
                files,
                asked,
                self.working,
                focus_seen(),
            ]
        )

    # -- what the maker does ----------------------------------------------------------------

    def _moved(self, row: Row, number: float) -> None:
        """A slider moved: to the nearest size the shop works to."""
        name, unit = row.quantity.name, row.quantity.unit
        state = self.state.with_given(name, shop_round(number, unit, self.state.style)[0])
        self._take(state, drag=name, by_hand=row.slider.from_page)

    def _typed(self, row: Row, text: str) -> None:
        """A measure was typed, in whatever unit."""
        name = row.quantity.name
        self.frames.finish()
        try:
            number = parse_quantity(text, row.quantity.unit, name)
        except DesignError as trouble:
            self._show(trouble)
            return
        self._take(self.state.with_given(name, Typed(number, text.strip())))

    def _switched(self, row: Row, given: bool) -> None:
        """A quantity was switched between given and found."""
        name = row.quantity.name
        self.frames.finish()
        if given:
            number = self.sheet.get(name)
            if number is None:
                number = row.slider.value
            self._take(self.state.with_given(name, number))
        else:
            self._take(self.state.without([name]))

    def _chosen(self, _: Any) -> None:
        if not self._quiet:
            self._take(replace(self.state, display=self.display.value, way_up=self.way_up.value))

    def release(self, name: str) -> None:
        """Release a given: it is calculated from then on."""
        self._take(self.state.without([name]))

    def open(self, brief: Brief) -> None:
        """Take up another brief, as a step that can be undone.

        Raises DesignError, with nothing changed, for one that the panel cannot show."""
        state = Givens.of(brief)
        evaluate(state)
        self._take(state)

    # -- what the panel answers -------------------------------------------------------------

    def _take(self, state: Givens, drag: str = "", by_hand: bool = False) -> None:
        if self._quiet:
            return
        self.state, self._moved_on = state, by_hand
        self.history.note(state, drag)
        if by_hand:
            self.frames.ask()
        else:
            self.frames.now()

    def _go_back(self, state: Givens) -> None:
        self.state, self._moved_on = state, False
        self.frames.now()

    def _answer(self) -> None:
        try:
            # A moved slider stays on its answer where several are possible.
            sheet = evaluate(self.state, self.sheet if self._moved_on else None)
        except DesignError as trouble:
            self._show(trouble)
            return
        self.sheet = sheet
        self._write(sheet)

    def _settled(self) -> Sheet:
        self.frames.finish()
        if self.trouble.value:
            raise DesignError(UNSETTLED)
        return self.sheet

    @contextmanager
    def _silence(self) -> Iterator[None]:
        """Writing a control must not be taken for the maker moving it."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False

    def _write(self, sheet: Sheet) -> None:
        self._view.update(sheet)
        with self._silence():
            self._fit(sheet)
            for row in self.rows.values():
                row.show(sheet, given=row.quantity.name in self.state.given)
        self.picture.value = self._view.png()
        self.design = Design(self.state.as_brief(), sheet)
        self.card.value = card_html(self.design)
        self.found.value = found_html(sheet)
        self.checks.value = checks_html(sheet)
        self._rest.later()
        told = sheet.gave_way_said
        self.gave_way.value = told_html(told) if told else ""
        self.trouble.value = ""
        self.releases.children = ()
        self._write_working()
        self._write_state()

    def _write_every_check(self) -> None:
        """With the checks of the plans, which take longer than a frame of a drag may."""
        try:
            self.checks.value = every_check_html(self.design)
        except DesignError as trouble:  # of a plan: the sizes stand
            self.checks.value = alert(str(trouble)) + checks_html(self.sheet)

    def _fit(self, sheet: Sheet) -> None:
        """A row for each quantity that this kind of piece is asked for or that was given, and
        each of its quantities among those whose working can be asked for."""
        known = sheet.network.quantities
        others = [name for name in (*self.rows, *self.state.given) if name in known]
        names = dict.fromkeys((*(self._asked or ROWS[sheet.kind]), *others))
        if [*names] != [*self.rows]:
            self.rows = {name: self.rows.get(name) or self._row(sheet, name) for name in names}
            self.controls.children = tuple(row.widget for row in self.rows.values())
        if self.pick.options != tuple(sheet.values):
            picked = self.pick.value or "post_length"
            self.pick.options = tuple(sheet.values)
            self.pick.value = picked if picked in sheet.values else next(iter(sheet.values))

    def _row(self, sheet: Sheet, name: str) -> Row:
        return Row(sheet.network.quantity(name), self._moved, self._typed, self._switched)

    def _write_state(self) -> None:
        """The controls that show the state itself, whether or not it can be answered."""
        with self._silence():
            self.display.value, self.way_up.value = self.state.display, self.state.way_up
            for row in self.rows.values():
                row.mark(given=row.quantity.name in self.state.given)
        self.undo.disabled = not self.history.can_undo
        self.redo.disabled = not self.history.can_redo

    def _write_working(self) -> None:
        if not self._quiet:
            short = not self.in_full.value
            self.working.value = self.sheet.working(self.pick.value).html(brief=short)

    def _show(self, trouble: DesignError) -> None:
        self._rest.finish()
        self.gave_way.value = ""  # of the last design, not of what is asked for now
        self.trouble.value = alert(f"{trouble} {OLD}")
        buttons = []
        for offer in trouble.releases if isinstance(trouble, Contradiction) else ():
            button = widgets.Button(description=f"release {offer.name}", layout={"width": "auto"})
            button.on_click(lambda _, name=offer.name: self.release(name))
            buttons.append(button)
        self.releases.children = tuple(buttons)
        self._write_state()

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)
