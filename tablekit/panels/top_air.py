"""The controls of one air: a slider and a text for its temperature, and for its humidity."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import ipywidgets as widgets

from tablekit.brief import HUMIDITY, TEMPERATURE, Air
from tablekit.brief.section import Page, Section, Span
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.panels.controls import heard

AIRS = {
    "driest": "Driest room air",
    "shop": "Shop air",
    "dampest": "Dampest room air",
}
SPANS: dict[str, Span] = {"temperature": TEMPERATURE, "humidity": HUMIDITY}
STEPS = {"temperature": 0.5, "humidity": 1.0}


class AirSlider:
    """One measure of an air. `moved(part, number)` is called when the maker changes it, by either
    control; `refused(text)` when what was typed is no such measure."""

    def __init__(
        self, part: str, number: float, style: ShopStyle, moved: Callable[[str, float], None],
        refused: Callable[[str], None],
    ):  # fmt: skip
        self.part, self.number, self.style = part, number, style
        self._moved, self._refused = moved, refused
        self._writing = False
        span = SPANS[part]
        self.slider = widgets.FloatSlider(
            min=span.low, max=span.high, step=STEPS[part], value=number, readout=False,
            tooltip=span.meaning, layout={"width": "128px"},
        )  # fmt: skip
        self.text = widgets.Text(
            continuous_update=False, tooltip=f"{span.meaning}, with its unit",
            layout={"width": "76px"},
        )  # fmt: skip
        label = widgets.Label(part, layout={"width": "84px"})
        self.widget = widgets.HBox([label, self.slider, self.text])
        self.show(number)
        heard(self.slider, self._slid)
        heard(self.text, self._typed)

    def show(self, number: float, text: str = "") -> None:
        """Show a number, in the maker's own words where there are any; calls nobody back."""
        self.number = number
        self._writing = True
        self.slider.value = number
        self.text.value = text or shop_text(number, SPANS[self.part].unit, self.style)
        self._writing = False

    def lock(self, why: str) -> None:
        """It follows from something else, or nothing follows from it: it cannot be moved."""
        self.slider.disabled = self.text.disabled = True
        self.slider.tooltip = self.text.tooltip = why

    def _slid(self, number: float) -> None:
        # A page snaps what it is told to its own steps and sends it back; that is not a move.
        told = abs(number - self.number) <= self.slider.step / 2
        if self._writing or self.slider.disabled or told:
            return
        self.show(number)
        self._moved(self.part, self.number)

    def _typed(self, text: str) -> None:
        if self._writing or self.text.disabled:
            return
        section = Section(Page(""), {self.part: text}, ())
        try:
            number = section.measure(self.part, SPANS[self.part], required=True)
        except DesignError as trouble:
            self._refused(str(trouble))
            return
        if number is None:
            self._refused("; ".join(problem.message for problem in section.page.problems))
            return
        self.show(float(number), text.strip())
        self._moved(self.part, self.number)


class AirControls:
    """Both measures of one air, under its name. `changed(air)` is called with the new air."""

    def __init__(
        self, name: str, air: Air, style: ShopStyle, changed: Callable[[str, Air], None],
        refused: Callable[[str], None],
    ):  # fmt: skip
        self.name, self.air = name, air
        self._changed = changed
        self._refused = refused
        self.parts = {
            part: AirSlider(part, getattr(air, part), style, self._move, self._refuse)
            for part in SPANS
        }
        head = widgets.HTML(f"<b>{AIRS[name]}</b>")
        rows = [part.widget for part in self.parts.values()]
        self.widget = widgets.VBox([head, *rows], layout={"width": "304px"})

    def _refuse(self, text: str) -> None:
        self._refused(f"{AIRS[self.name]}: {text}")

    def _move(self, part: str, number: float) -> None:
        self.air = replace(self.air, **{part: number})
        self._changed(self.name, self.air)
