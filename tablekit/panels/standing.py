"""The standing panel: how large a top, how wide the feet, what load wanted of the rim, and whether
it tips.

It only reads its controls, asks for a sheet, and writes the answer into widgets made once. An
error is shown in its place and the last good drawing stays. Ways to mend are solved for, so a
button asks for them, never a slider.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Brief, Typed
from tablekit.drawing.style import Paper
from tablekit.drawing.tipping import TippingDrawing
from tablekit.engine.outcome import in_words
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import shop_round
from tablekit.panels.board_row import alert
from tablekit.panels.frames import Frames
from tablekit.panels.givens import Givens, evaluate
from tablekit.panels.row import Row
from tablekit.panels.top_view import TopView
from tablekit.planning.tipping_ways import ways_to_mend

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

ROWS = ("top_diameter", "foot_radius", "wanted_tipping_load")
# Where these run that the setting-out panel has no slider for, in reporting units.
RUNS: dict[str, tuple[float, float]] = {
    "foot_radius": (150, 900),
    "wanted_tipping_load": (50, 600),
}
# What a piece is asked about its standing, as far as its kind is asked it.
CHECKS = (
    "tipping", "tipping_wanted", "sitter_leaning", "assembly", "heads_under_top", "post_strength",
    "rim_deflection",
)  # fmt: skip
MARKS = {"pass": "✓ pass", "caution": "△ caution", "fail": "✗ fail"}
# As wide as the words under the drawing are long.
PAPER = Paper(188, 150, margin=3, to_scale=False)
OLD = "The drawing still shows the last design that could be made."
ASK = "Find remedies"


class StandingPanel:
    """A panel over one brief of crossed posts.

    rows    the controls, by quantity
    mend    the button that asks for ways to mend
    ways    the ways found, of the piece as it stands; empty once anything has moved
    sheet   the last sheet that could be solved
    state   the state of the controls, as data
    widget  what a notebook shows; also shown when the panel itself is the last line of a cell

    Raises as `set_out` does for a brief that cannot be answered, and DesignError for splayed legs.
    """

    def __init__(self, brief: Brief):
        self.state = Givens.of(brief)
        self.sheet: Sheet = evaluate(self.state)
        # What is wanted of the rim is the maker's to say, so it opens as something given.
        wanted = self.sheet.number("wanted_tipping_load")
        if "wanted_tipping_load" not in self.state.given:
            self.state = self.state.with_given("wanted_tipping_load", wanted)
            self.sheet = evaluate(self.state)
        self._names = set(self.state.given)
        self.frames = Frames(self._answer)
        self._view = TopView(TippingDrawing, PAPER)
        self._make_widgets()
        self._write()

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self) -> None:
        self.rows = {name: self._row(name) for name in ROWS}
        self.trouble = widgets.HTML()
        wide = f"{PAPER.width / 25.4 * 100:.0f}px"
        self.picture = widgets.Image(
            format="png", layout=widgets.Layout(width="100%", max_width=wide)
        )
        self.checks, self.ways = widgets.HTML(), widgets.HTML()
        self.mend = widgets.Button(
            description=ASK, tooltip="solves for the wanted load; takes a few seconds",
            layout={"width": "160px"},
        )  # fmt: skip
        self.mend.on_click(lambda _: self.find_ways())
        controls = widgets.VBox([row.widget for row in self.rows.values()])
        self.widget = widgets.VBox(
            [controls, self.trouble, self.picture, self.checks, self.mend, self.ways]
        )

    def _row(self, name: str) -> Row:
        row = Row(self.sheet.network.quantity(name), self._moved, self._typed, self._switched)
        row.switch.layout.flex = "0 1 168px"
        if name in RUNS:
            # Opened wide before it is narrowed: a slider's ends may never cross.
            row.slider.max = max(RUNS[name][1], row.slider.min)
            row.slider.min, row.slider.max = RUNS[name]
        return row

    # -- what the maker does ----------------------------------------------------------------

    def _moved(self, row: Row, number: float) -> None:
        name, unit = row.quantity.name, row.quantity.unit
        rounded = shop_round(number, unit, self.state.style)[0]
        self._take(self.state.with_given(name, rounded), by_hand=row.slider.from_page)

    def _typed(self, row: Row, text: str) -> None:
        self.frames.finish()
        name = row.quantity.name
        try:
            number = row.read(text)
        except DesignError as trouble:
            self._refuse(str(trouble))
            return
        self._take(self.state.with_given(name, Typed(number, text.strip())))

    def _switched(self, row: Row, given: bool) -> None:
        self.frames.finish()
        name = row.quantity.name
        number = self.sheet.get(name)
        if given and number is not None:
            self._take(self.state.with_given(name, number))
        else:
            self._take(self.state.without([name]))

    def find_ways(self) -> None:
        """Solve for the wanted load in every way there is, and show them."""
        self.frames.finish()
        if self.trouble.value:
            return
        self.mend.disabled, self.mend.description = True, "searching"
        try:
            lines = ways_to_mend(self.sheet).text().splitlines()
            said = "".join(f'<p style="margin:4px 0">{html.escape(line)}</p>' for line in lines)
            self.ways.value = f'<div style="line-height:1.4">{said}</div>'
        except DesignError as trouble:
            self.ways.value = alert(str(trouble))
        finally:
            self.mend.disabled, self.mend.description = False, ASK

    # -- what the panel answers -------------------------------------------------------------

    def _take(self, state: Givens, *, by_hand: bool = False) -> None:
        self.state = state
        self.ways.value = ""
        if by_hand:
            self.frames.ask()
        else:
            self.frames.now()

    def _answer(self) -> None:
        why = self._cannot()
        if why:
            self._refuse(why)
            return
        try:
            self.sheet = evaluate(self.state)
            self._names = set(self.state.given)
            self._write()
        except (DesignError, ValueError) as trouble:  # a drawing that does not fit is a ValueError
            self._refuse(str(trouble))

    def _cannot(self) -> str:
        """Why the numbers cannot be, "" where they can; from the compiled plan of the sheet.

        A full account of what clashes makes new plans, which is too slow for what a slider passes
        over; it is given where something was switched."""
        if set(self.state.given) != self._names:
            return ""
        network = self.sheet.network
        values = {name: self.sheet.si[name] for name in self.sheet.givens}
        values |= {
            name: network.quantity(name).to_si(float(number))
            for name, number in self.state.given.items()
        }
        problems = self.sheet.plan.program.run(values).problems
        return (
            f"This is not possible: {in_words(problems[0], self.sheet.network)}."
            if problems
            else ""
        )

    def _refuse(self, why: str) -> None:
        self.trouble.value = alert(f"{why.rstrip('.')}. {OLD}")
        self._mark()

    def _mark(self) -> None:
        for name, row in self.rows.items():
            row.mark(given=name in self.state.given)

    def _write(self) -> None:
        self._view.update(self.sheet)
        self.picture.value = self._view.png()
        for name, row in self.rows.items():
            row.show(self.sheet, given=name in self.state.given)
        self.checks.value = standing_html(self.sheet)
        self.trouble.value = ""

    @property
    def text(self) -> str:
        """What a reader without a running kernel is told."""
        return (
            f"{self.sheet.name or 'Untitled'}: its tipping load, with sliders for the top, the "
            "feet and the load wanted at the rim, and a button that finds remedies. It needs a "
            "running kernel."
        )

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return {**self.widget._repr_mimebundle_(**options), "text/plain": self.text}


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
