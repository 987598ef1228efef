"""The movement panel: how wide the top becomes in the driest and in the dampest air."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import ipywidgets as widgets

from tablekit.brief import HUMIDITY, TEMPERATURE, Air, Brief, Room, Wood
from tablekit.brief.boards import CUTS
from tablekit.brief.section import Span, typed_in
from tablekit.drawing.movement import MovementDrawing
from tablekit.drawing.style import SQUARE
from tablekit.engine.judge import in_words
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.panels.controls import (
    WRAPPED,
    LivePicture,
    focus_seen,
    heard,
    long_text,
    mark_old,
)
from tablekit.panels.givens import problem_with
from tablekit.panels.panel import Panel
from tablekit.panels.row import column
from tablekit.panels.tables import movement_html
from tablekit.setting_out import set_out
from tablekit.species import every_movement, every_species, find_movement

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

AIRS = {
    "driest": "Driest room air",
    "shop": "Shop air",
    "dampest": "Dampest room air",
}
SPANS: dict[str, Span] = {"temperature": TEMPERATURE, "humidity": HUMIDITY}
STEPS = {"temperature": 0.5, "humidity": 1.0}
UNKNOWN = "not known: average hardwood"
OLD = "The drawing still shows the last air that could be calculated."


def woods() -> tuple[str, ...]:
    """Every wood with a published movement, once each, by its everyday name where it has one."""
    names = list(every_species())
    told = {row.name for row in map(find_movement, names) if row is not None}
    more = [row.name for row in every_movement().values() if row.tangential is not None]
    return tuple(sorted([*names, *(name for name in more if name not in told)]))


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
        try:
            with typed_in({self.part: text}) as section:
                number = section.measure(self.part, SPANS[self.part], required=True)
        except DesignError as trouble:
            self._refused(str(trouble))
            return
        assert number is not None, "a required measure is there, or it is wrong"
        self.show(float(number), text.strip())
        self._moved(self.part, self.number)


class AirControls:
    """Both measures of one air, under its name. `changed(name, part, number)` is called when one
    of them changes, `refused(text)` when what was typed is no such measure."""

    def __init__(
        self, name: str, air: Air, style: ShopStyle, changed: Callable[[str, str, float], None],
        refused: Callable[[str], None],
    ):  # fmt: skip
        self.parts = {
            part: AirSlider(
                part, getattr(air, part), style, partial(changed, name),
                lambda text: refused(f"{AIRS[name]}: {text}"),
            )
            for part in SPANS
        }  # fmt: skip
        rows = [part.widget for part in self.parts.values()]
        head = widgets.HTML(f"<b>{AIRS[name]}</b>")
        self.widget = widgets.VBox([head, *rows], layout={"width": "304px"})


class MovementPanel(Panel):
    """A panel over the wood and the airs of one brief.

    brief    the brief with the airs and the wood as they stand in the controls
    sheet    the last sheet that could be solved

    Raises as `set_out` does for a brief that cannot be answered.
    """

    old = OLD
    offline = (
        "the top over the seasons, with sliders for the air in the room and in the shop, redrawn "
        "at each move."
    )

    def __init__(self, brief: Brief):
        super().__init__(brief.name)
        sheet = set_out(brief)
        # An air that the brief does not tell opens as the sheet assumes it.
        self.brief = replace(brief, room=Room(**{name: _air(sheet, name) for name in AIRS}))
        self.sheet: Sheet = set_out(self.brief)
        self._make_widgets()
        self._lock()
        self._write()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self) -> None:
        wood = self.brief.wood
        self.species = widgets.Dropdown(
            options=[UNKNOWN, *woods()], value=wood.species or UNKNOWN,
            tooltip="uses its published movement", layout={"width": "212px"},
        )  # fmt: skip
        self.cut = widgets.ToggleButtons(
            options=list(CUTS), value=wood.cut or CUTS[0], style={"button_width": "106px"},
            tooltips=[
                "the width of a board lies along the rings",
                "the width of a board lies across the rings",
            ],
        )  # fmt: skip
        for choice in (self.species, self.cut):
            heard(choice, self._chosen)
        self.airs = {
            name: AirControls(
                name, getattr(self.brief.room, name), self.brief.shop, self._moved, self._refuse
            )
            for name in AIRS
        }
        self.picture = LivePicture(MovementDrawing, SQUARE)
        self.said = long_text()
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        airs = widgets.HBox(
            [air.widget for air in self.airs.values()],
            layout={**WRAPPED, "grid_gap": "4px 12px"},
        )
        wood = widgets.HBox([widgets.Label("wood", layout={"width": "84px"}), self.species])
        controls = widgets.VBox(
            [wood, self.cut, airs, self.trouble],
            layout=column(1, 306),
        )
        picture = widgets.Box(
            [self.picture],
            # Not stretched to the height of the controls: it is to scale.
            layout={
                **column(2, 400, 460), "overflow": "hidden", "align_items": "flex-start",
            },
        )  # fmt: skip
        top = widgets.HBox([controls, picture], layout=WRAPPED)
        return widgets.VBox([top, self.said, focus_seen()])

    def _lock(self) -> None:
        """A brief may give what otherwise follows from an air or from the wood."""
        for name, air in self.airs.items():
            for part, slider in air.parts.items():
                if self.sheet[f"{name}_{part}"].origin != "given":
                    slider.lock("calculated from what the brief gives")
        self.species.disabled = self.cut.disabled = (
            "movement_coefficient" in self.brief.givens
            or self.sheet["movement_coefficient"].origin == "found"
        )

    # -- what the maker does ----------------------------------------------------------------

    def _moved(self, name: str, part: str, number: float) -> None:
        air = replace(getattr(self.brief.room, name), **{part: number})
        self._answer(replace(self.brief, room=replace(self.brief.room, **{name: air})))

    def _chosen(self, _: str) -> None:
        species = None if self.species.value == UNKNOWN else self.species.value
        self._answer(replace(self.brief, wood=Wood(species, self.cut.value)))

    def _refuse(self, text: str) -> None:
        self._show(DesignError(text))

    # -- what the panel answers -------------------------------------------------------------

    def _answer(self, brief: Brief) -> None:
        self.brief = brief
        try:
            _check_airs(brief, self.sheet)
            self.sheet = set_out(brief)
            self._write()
        except (DesignError, ValueError) as trouble:  # a drawing that does not fit is a ValueError
            self._show(trouble)
            mark_old((self.picture, self.said), True)

    def _write(self) -> None:
        mark_old((self.picture, self.said), False)
        self.picture.draw(self.sheet)
        self.said.value = movement_html(self.sheet)
        self.trouble.value = ""


def _check_airs(brief: Brief, sheet: Sheet) -> None:
    """Raises DesignError where the airs of a brief cannot be."""
    airs = {
        f"{name}_{part}": getattr(getattr(brief.room, name), part)
        for name in AIRS for part in SPANS
    }  # fmt: skip
    worst = problem_with(sheet, airs)
    if worst is None:
        return
    if worst.name == "top_movement" and worst.limit is not None:
        raise DesignError(
            f"Required: {worst.limit.words}. Make that air damper, or the driest air drier."
        )
    raise DesignError(f"This air is not possible: {in_words(worst, sheet.network)}.")


def _air(sheet: Sheet, name: str) -> Air:
    return Air(**{part: sheet.number(f"{name}_{part}") for part in SPANS})
