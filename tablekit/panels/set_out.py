"""The setting-out panel: pin what matters, read off what follows, and see why.

It only reads its controls, asks for a sheet, and writes the answer into widgets made once. An
error is shown in its place and the last good drawing stays.
"""

from __future__ import annotations

import html
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from tablekit.brief import Brief
from tablekit.drawing.live import GeneralView
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import Contradiction, Trouble
from tablekit.engine.units import parse_quantity, shop_round
from tablekit.panels.givens import Givens, evaluate
from tablekit.panels.row import ROWS, Row
from tablekit.panels.tables import checks_html, found_html


class SetOutPanel:
    """A panel over one brief.

    rows     names of the quantities that get a slider; by default those of the brief's kind
    sheet    the last sheet that could be solved
    state    the state of the controls, as data
    widget   what a notebook shows; also shown when the panel itself is the last line of a cell
    """

    def __init__(self, brief: Brief, rows: Sequence[str] = ()):
        self.state = Givens.of(brief)
        self.sheet: Sheet = evaluate(self.state)
        self._quiet = False
        names = [*rows] or [*ROWS[brief.kind]]
        extra = [name for name in self.state.given if name not in names]
        self.rows = {
            name: Row(self.sheet.network.quantity(name), self._moved, self._typed, self._switched)
            for name in (*names, *extra)
        }
        self._make_widgets()
        self._view = GeneralView()
        self._write(self.sheet)

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
        self.trouble = widgets.HTML()
        self.releases = widgets.HBox()
        self.picture = widgets.Image(
            format="png", layout=widgets.Layout(width="100%", max_width="960px")
        )
        self.found = widgets.HTML()
        self.checks = widgets.HTML()
        self.pick = widgets.Dropdown(
            options=list(self.sheet.values),
            value="post_length" if "post_length" in self.sheet.values else None,
            description="Working of",
            style={"description_width": "initial"},
        )
        self.pick.observe(lambda _: self._write_working(), "value")
        self.in_full = widgets.Checkbox(value=False, description="in full", indent=False)
        self.in_full.observe(lambda _: self._write_working(), "value")
        self.working = widgets.HTML()
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        controls = widgets.VBox(
            [
                widgets.HBox([self.display, self.way_up], layout={"flex_flow": "row wrap"}),
                *(row.widget for row in self.rows.values()),
                self.trouble,
                self.releases,
            ],
            layout={"flex": "1 1 430px", "min_width": "430px", "max_width": "520px"},
        )
        picture = widgets.Box([self.picture], layout={"flex": "2 1 560px", "min_width": "420px"})
        # Each column keeps its place while its text changes length, so nothing jumps.
        below = widgets.HBox(
            [
                widgets.VBox([self.found], layout={"flex": "3 1 560px", "min_width": "340px"}),
                widgets.VBox([self.checks], layout={"flex": "2 1 380px", "min_width": "340px"}),
            ],
            layout={"flex_flow": "row wrap"},
        )
        asked = widgets.HBox([self.pick, self.in_full])
        return widgets.VBox(
            [
                widgets.HBox([controls, picture], layout={"flex_flow": "row wrap"}),
                below,
                asked,
                self.working,
            ]
        )

    # -- what the maker does ----------------------------------------------------------------

    def _moved(self, row: Row, number: float) -> None:
        """A slider moved: to the nearest size the shop works to."""
        name, unit = row.quantity.name, row.quantity.unit
        self._try(self.state.with_given(name, shop_round(number, unit, self.state.style)[0]))

    def _typed(self, row: Row, text: str) -> None:
        """A measure was typed, in whatever unit."""
        name = row.quantity.name
        try:
            number = parse_quantity(text, row.quantity.unit, name)
        except Trouble as trouble:
            self._show(trouble)
            return
        self._try(self.state.with_given(name, number))

    def _switched(self, row: Row, given: bool) -> None:
        """A quantity was switched between given and found."""
        name = row.quantity.name
        if given:
            number = self.sheet.get(name)
            if number is None:
                number = row.slider.value
            self._try(self.state.with_given(name, number))
        else:
            self._try(self.state.without([name]))

    def _chosen(self, _: Any) -> None:
        if not self._quiet:
            self._try(replace(self.state, display=self.display.value, way_up=self.way_up.value))

    def release(self, name: str) -> None:
        """Let go of a given: it is found from then on."""
        self._try(self.state.without([name]))

    # -- what the panel answers -------------------------------------------------------------

    def _try(self, state: Givens) -> None:
        if self._quiet:
            return
        self.state = state
        try:
            sheet = evaluate(state)
        except Trouble as trouble:
            self._show(trouble)
            return
        self.sheet = sheet
        self._write(sheet)

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
            for row in self.rows.values():
                row.show(sheet, given=row.quantity.name in self.state.given)
        self.picture.value = self._view.png()
        self.found.value = found_html(sheet)
        self.checks.value = checks_html(sheet)
        self.trouble.value = ""
        self.releases.children = ()
        self._write_working()

    def _write_working(self) -> None:
        self.working.value = self.sheet.working(self.pick.value).html(brief=not self.in_full.value)

    def _show(self, trouble: Trouble) -> None:
        self.trouble.value = (
            '<div role="alert" style="border-left:4px solid #7a1f1f; padding:2px 10px; '
            f'line-height:1.4">{html.escape(str(trouble))}</div>'
        )
        buttons = []
        for offer in trouble.releases if isinstance(trouble, Contradiction) else ():
            button = widgets.Button(description=f"let go of {offer.name}", layout={"width": "auto"})
            button.on_click(lambda _, name=offer.name: self.release(name))
            buttons.append(button)
        self.releases.children = tuple(buttons)
        with self._silence():
            for row in self.rows.values():
                row.mark(given=row.quantity.name in self.state.given)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)
