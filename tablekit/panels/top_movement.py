"""The movement panel: how wide the top becomes in the driest and in the dampest air.

It only reads its controls, asks for a sheet, and writes the answer into widgets made once. An
error is shown in its place and the last good drawing stays.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Air, Brief, Room, Wood
from tablekit.brief.boards import CUTS
from tablekit.drawing.movement import MovementDrawing
from tablekit.engine.outcome import in_words
from tablekit.engine.trouble import DesignError
from tablekit.panels.board_row import alert
from tablekit.panels.focus import focus_seen
from tablekit.panels.row import column
from tablekit.panels.tables import movement_html
from tablekit.panels.top_air import AIRS, SPANS, AirControls
from tablekit.panels.top_view import SQUARE, TopView
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


class MovementPanel:
    """A panel over the wood and the airs of one brief.

    brief    the brief with the airs and the wood as they stand in the controls
    sheet    the last sheet that could be solved
    widget   what a notebook shows; also shown when the panel itself is the last line of a cell

    Raises as `set_out` does for a brief that cannot be answered.
    """

    def __init__(self, brief: Brief):
        sheet = set_out(brief)
        # An air that the brief does not tell opens as the sheet assumes it.
        self.brief = replace(brief, room=Room(**{name: _air(sheet, name) for name in AIRS}))
        self.sheet: Sheet = set_out(self.brief)
        self._view = TopView(MovementDrawing)
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
        self.species.observe(lambda _: self._chosen(), "value")
        self.cut.observe(lambda _: self._chosen(), "value")
        self.airs = {
            name: AirControls(
                name, getattr(self.brief.room, name), self.brief.shop, self._moved, self._refuse
            )
            for name in AIRS
        }
        self.trouble = widgets.HTML()
        wide = f"{SQUARE.width / 25.4 * 100:.0f}px"
        self.picture = widgets.Image(
            format="png", layout=widgets.Layout(width="100%", max_width=wide)
        )
        self.said = widgets.HTML()
        self.widget = self._laid_out()

    def _laid_out(self) -> widgets.Widget:
        airs = widgets.HBox(
            [air.widget for air in self.airs.values()],
            layout={"flex_flow": "row wrap", "grid_gap": "4px 12px"},
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
        top = widgets.HBox([controls, picture], layout={"flex_flow": "row wrap"})
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

    def _chosen(self) -> None:
        species = None if self.species.value == UNKNOWN else self.species.value
        self._answer(replace(self.brief, wood=Wood(species, self.cut.value)))

    def _refuse(self, text: str) -> None:
        self.trouble.value = alert(text)

    # -- what the panel answers -------------------------------------------------------------

    def _answer(self, brief: Brief) -> None:
        self.brief = brief
        why = _refused(brief, self.sheet)
        if why:
            self._refuse(f"{why} {OLD}")
            return
        try:
            self.sheet = set_out(brief)
            self._write()
        except (DesignError, ValueError) as trouble:  # a drawing that does not fit is a ValueError
            self._refuse(f"{trouble}. {OLD}")

    def _write(self) -> None:
        self._view.update(self.sheet)
        self.picture.value = self._view.png()
        self.said.value = movement_html(self.sheet)
        self.trouble.value = ""

    @property
    def text(self) -> str:
        """What a reader without a running kernel is told."""
        return (
            f"{self.brief.name or 'Untitled'}: the top over the seasons, with sliders for the air "
            "in the room and in the shop, redrawn at each move. It needs a running kernel."
        )

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return {**self.widget._repr_mimebundle_(**options), "text/plain": self.text}


def _refused(brief: Brief, sheet: Sheet) -> str:
    """Why the airs of a brief cannot be, "" where they can; from the compiled plan of the sheet.

    A full account of what clashes makes new plans, which is too slow for what a slider passes
    over."""
    given = {
        f"{name}_{part}": getattr(getattr(brief.room, name), part)
        for name in AIRS for part in SPANS
    }  # fmt: skip
    values = {name: sheet.si[name] for name in sheet.givens}
    told = {name: number for name, number in given.items() if name in values}
    values |= {name: sheet.network.quantity(name).to_si(number) for name, number in told.items()}
    problems = sheet.plan.program.run(values).problems
    if not problems:
        return ""
    worst = problems[0]
    if worst.name == "top_movement" and worst.limit is not None:
        return f"Required: {worst.limit.words}. Make that air damper, or the driest air drier."
    return f"This air is not possible: {in_words(worst, sheet.network)}."


def _air(sheet: Sheet, name: str) -> Air:
    return Air(**{part: sheet.number(f"{name}_{part}") for part in SPANS})
