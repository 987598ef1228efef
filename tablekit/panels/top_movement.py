"""The movement panel: how wide the top becomes in the driest and in the dampest air."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import ipywidgets as widgets

from tablekit.brief import Air, Brief, Room, Wood
from tablekit.brief.boards import CUTS
from tablekit.drawing.movement import MovementDrawing
from tablekit.drawing.style import SQUARE
from tablekit.engine.outcome import in_words
from tablekit.engine.trouble import DesignError
from tablekit.panels.controls import WRAPPED, Picture, focus_seen, heard
from tablekit.panels.givens import problem_with
from tablekit.panels.panel import Panel
from tablekit.panels.tables import movement_html
from tablekit.panels.top_air import AIRS, SPANS, AirControls
from tablekit.setting_out import set_out
from tablekit.species import every_species
from tablekit.wood_movement import every_movement, find_movement

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

UNKNOWN = "not known: average hardwood"
OLD = "The drawing still shows the last air that could be calculated."


def woods() -> tuple[str, ...]:
    """Every wood with a published movement, once each, by its everyday name where it has one."""
    names = list(every_species())
    told = {row.name for row in map(find_movement, names) if row is not None}
    more = [row.name for row in every_movement().values() if row.tangential is not None]
    return tuple(sorted([*names, *(name for name in more if name not in told)]))


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
        self.picture = Picture(MovementDrawing, SQUARE)
        self.said = widgets.HTML()
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        airs = widgets.HBox(
            [air.widget for air in self.airs.values()],
            layout={**WRAPPED, "grid_gap": "4px 12px"},
        )
        wood = widgets.HBox([widgets.Label("wood", layout={"width": "84px"}), self.species])
        controls = widgets.VBox(
            [wood, self.cut, airs, self.trouble],
            layout={"flex": "1 1 306px", "min_width": "306px"},
        )
        picture = widgets.Box(
            [self.picture],
            # Not stretched to the height of the controls: it is to scale.
            layout={
                "flex": "2 1 460px", "min_width": "400px", "overflow": "hidden",
                "align_items": "flex-start",
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

    def _moved(self, name: str, air: Air) -> None:
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

    def _write(self) -> None:
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
