"""The trade-off panel: two givens as axes, a map of how each design stands, and the design one
has as a point on it, to be moved by slider, by a click, or to one of the best.

It only reads its controls, asks for a map and a sheet, and writes the answer into widgets made
once. While the point alone moves the map is not worked out again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Brief, Typed
from tablekit.drawing.style import SCREEN
from tablekit.drawing.trade_offs import TradeDrawing, TradeSubject
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.units import shop_round
from tablekit.panels.board_row import alert
from tablekit.panels.click import ClickImage
from tablekit.panels.filling import Filling
from tablekit.panels.frames import Frames
from tablekit.panels.givens import Givens, evaluate
from tablekit.panels.row import ROWS, Row, slider_range
from tablekit.panels.tables import checks_html
from tablekit.panels.told import told_html
from tablekit.panels.top_view import TopView
from tablekit.panels.trade_words import choice_told, choices_head, map_told, point_told
from tablekit.planning.trade_offs import (
    Goal,
    GradualTradeMap,
    Span,
    TradeMap,
    judged_by,
    span_about,
)

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

GOALS = (
    Goal("tipping_load", True), Goal("foot_spread", False), Goal("top_diameter", True),
    Goal("overhang", True), Goal("overhang", False), Goal("total_mass", False),
    Goal("post_length", False), Goal("knee_clearance", True), Goal("splay", False),
)  # fmt: skip
THIRDS = (
    "tipping_load", "foot_spread", "overhang", "total_mass", "post_length", "splay",
    "knee_clearance", "seats", "top_diameter",
)  # fmt: skip
SIZES = (12, 12), (60, 60)
NARROW, WIDE = "190px", "430px"
LABEL = {"description_width": "initial"}


class TradeOffPanel:
    """A panel over one brief.

    x, y     the axes to open with
    third    the quantity whose lines are drawn
    goals    what is wanted most
    take     called with the brief of the point when the maker takes it, for instance the `open` of
             a SetOutPanel; without it there is no button

    state    the givens of the point, as data; `brief` the same as a brief
    sheet    the last point that could be solved
    map      the last map
    widget   what a notebook shows; also shown when the panel itself is the last line of a cell

    Raises as `set_out` does for a brief that cannot be answered, and UnknownName.
    """

    def __init__(
        self,
        brief: Brief,
        x: str = "splay",
        y: str = "top_diameter",
        third: str = "tipping_load",
        goals: tuple[Goal, Goal] = (GOALS[0], GOALS[1]),
        take: Callable[[Brief], None] | None = None,
    ):
        self.state = Givens.of(brief)
        self.sheet: Sheet = evaluate(self.state)
        self.map: TradeMap
        self._filling = Filling(self._finer)
        self._own = frozenset(self.state.given)
        self._supplied = self._not_typed()
        self._take = take
        self._quiet, self._stale = True, True
        self.frames = Frames(self._answer)
        self.rows: dict[str, Row] = {}
        self._view = TopView(TradeDrawing, SCREEN)
        self._make_widgets(x, y, third, goals)
        self._quiet = False
        self._choose_axes(None)

    @property
    def brief(self) -> Brief:
        """The point as a brief."""
        return self.state.as_brief()

    @property
    def axes(self) -> tuple[str, str]:
        """The quantities across and up."""
        return self.x.value, self.y.value

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self, x: str, y: str, third: str, goals: tuple[Goal, Goal]) -> None:
        quantities = self.sheet.network.quantities
        for name in (x, y, third, *(goal.quantity for goal in goals)):
            self.sheet.network.quantity(name)
        axes = _words(dict.fromkeys((*ROWS[self.sheet.kind], x, y)))
        self.x = self._dropdown("across", axes, x, self._choose_axes)
        self.y = self._dropdown("up", axes, y, self._choose_axes)
        self.x_span, self.y_span = self._span("from … to"), self._span("from … to")
        thirds = _words(n for n in dict.fromkeys((*THIRDS, third)) if n in quantities)
        self.third = self._dropdown("lines of", thirds, third, self._choose)
        known = [goal for goal in GOALS if goal.quantity in quantities]
        options = [(str(goal), goal) for goal in dict.fromkeys((*known, *goals))]
        self.goals = tuple(
            self._dropdown(word, options, goal, self._choose)
            for word, goal in zip(("best between", "and"), goals, strict=True)
        )
        usual = judged_by(self.sheet.network)
        self.judged = {
            check.id: widgets.Checkbox(
                description=check.name, value=check.id in usual, indent=False,
                layout={"width": "260px"},
            )
            for check in self.sheet.network.requirements
        }  # fmt: skip
        for box in self.judged.values():
            box.observe(self._choose, "value")
        self.best = widgets.Select(rows=5, options=[("none chosen", None)], value=None,
                                   layout={"width": WIDE})  # fmt: skip
        self.best.observe(self._picked, "value")
        self.best_head = widgets.HTML()
        self.take = widgets.Button(description="take this design", icon="check",
                                   layout={"width": "160px"})  # fmt: skip
        self.take.on_click(lambda _: self._hand_over())
        self.held = widgets.VBox()
        self.picture = ClickImage()
        self.picture.observe(self._clicked, "clicked")
        self.trouble, self.said, self.checks = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.point_said = widgets.HTML()
        self.releases = widgets.HBox()
        self.widget = self._laid_out()

    def _dropdown(
        self, word: str, options: Sequence[Any], value: Any, action: Callable[[Any], None]
    ) -> widgets.Dropdown:
        dropdown = widgets.Dropdown(
            description=word, options=options, value=value, style=LABEL, layout={"width": "auto"}
        )
        dropdown.observe(action, "value")
        return dropdown

    def _span(self, word: str) -> widgets.FloatRangeSlider:
        span = widgets.FloatRangeSlider(
            description=word, min=0, max=1, step=1, continuous_update=False, style=LABEL,
            readout_format=".0f", layout={"width": "330px"},
        )  # fmt: skip
        span.observe(self._choose, "value")
        return span

    def _laid_out(self) -> widgets.Widget:
        row = {"flex_flow": "row wrap", "grid_gap": "0 16px", "align_items": "center"}
        judged = widgets.HBox([*self.judged.values()], layout={"flex_flow": "row wrap"})
        best = widgets.VBox([self.best_head, self.best])
        known = widgets.VBox([self.held, *([self.take] if self._take else [])])
        axes = [widgets.HBox([self.x, self.x_span]), widgets.HBox([self.y, self.y_span])]
        told = widgets.Accordion(
            [self.checks, judged], titles=("Checks on this design", "Which checks judge the map")
        )
        return widgets.VBox(
            [
                widgets.HBox(axes, layout=row),
                widgets.HBox([self.third, *self.goals], layout=row),
                widgets.HBox([known, best], layout=row),
                self.trouble,
                self.releases,
                self.picture,
                self.point_said,
                self.said,
                told,
            ]
        )

    # -- what the maker does ----------------------------------------------------------------

    def _choose_axes(self, _: Any) -> None:
        """Other axes: both are given from now on, at the values of the point."""
        if self._quiet:
            return
        self.frames.finish()
        axes = self.axes
        kept = {n: v for n, v in self.state.given.items() if n in self._own or n in axes}
        for name in axes:
            kept.setdefault(name, self._number(name))
        self.state = self.state.without(self.state.given)
        for name, number in kept.items():
            self.state = self.state.with_given(name, number)
        self._quiet = True
        for name, span in zip(axes, (self.x_span, self.y_span), strict=True):
            self._set_span(name, span)
        self._quiet = False
        names = [*axes, *(name for name in kept if name not in axes)]
        self.rows = {name: self._row(name) for name in dict.fromkeys(names)}
        for name in axes:
            self.rows[name].switch.disabled = True
        self.held.children = tuple(row.widget for row in self.rows.values())
        self._choose(None)

    def _row(self, name: str) -> Row:
        quantity = self.sheet.network.quantity(name)
        return Row(quantity, self._moved, self._typed, self._switched)

    def _number(self, name: str) -> float:
        number = self.sheet.get(name)
        if number is None:
            raise DesignError(f"{name} has no value in this design, so it cannot be an axis")
        return number  # unrounded: at the square crossing a hundredth of a degree decides

    def _set_span(self, name: str, span: widgets.FloatRangeSlider) -> None:
        quantity, number = self.sheet.network.quantity(name), float(self.state.given[name])
        low, high = slider_range(quantity)
        shown = span_about(quantity, number, low, high)
        span.min, span.max = min(span.min, shown.low, low), max(span.max, shown.high, high)
        span.value = (shown.low, shown.high)
        span.min, span.max = min(shown.low, low), max(shown.high, high)

    def _choose(self, _: Any) -> None:
        """Something about the map was chosen."""
        if not self._quiet:
            self._stale = True
            self.frames.now()

    def _moved(self, row: Row, number: float) -> None:
        name, unit = row.quantity.name, row.quantity.unit
        self._give(name, shop_round(number, unit, self.state.style)[0], row.slider.from_page)

    def _typed(self, row: Row, text: str) -> None:
        name = row.quantity.name
        try:
            number = row.read(text)
        except DesignError as trouble:
            self._show(trouble)
            return
        self._give(name, Typed(number, text.strip()))

    def _give(self, name: str, number: float, by_hand: bool = False) -> None:
        self.state = self.state.with_given(name, number)
        self._stale = self._stale or name not in self.axes
        if by_hand:
            self.frames.ask()
        else:
            self.frames.now()

    def _switched(self, row: Row, given: bool) -> None:
        name = row.quantity.name
        self.frames.finish()
        if given:
            self._give(name, self._number(name))
        else:
            self.release(name)

    def release(self, name: str) -> None:
        """Release a given; the axes stay."""
        if name not in self.axes:
            self.state = self.state.without([name])
            self._stale = True
            self.frames.now()

    def move_to(self, x: float, y: float) -> None:
        """Take a place on the map, in the axes' reporting units, as the point."""
        for axis, number in zip((self.map.x, self.map.y), (x, y), strict=True):
            size, _ = shop_round(number, axis.unit, self.state.style)
            self.state = self.state.with_given(axis.name, size)
        self.frames.now()

    def _clicked(self, change: Any) -> None:
        across, up, _ = change["new"]
        place = self._view.drawing.place(self._subject(), across, up)
        if place is not None:
            self.move_to(*place)

    def _picked(self, change: Any) -> None:
        if not self._quiet and change["new"] is not None:
            self.move_to(*self.map.at(change["new"]))

    def _hand_over(self) -> None:
        self.frames.finish()
        try:
            if self._take:
                self._take(self.brief)
        except DesignError as trouble:
            self._show(trouble)

    # -- what the panel answers -------------------------------------------------------------

    def _answer(self) -> None:
        problem = None
        try:
            self.sheet = evaluate(self.state)
            self._supplied = self._not_typed()
        except DesignError as trouble:
            problem = trouble
        try:
            if self._stale:
                self._redo_map()
        except DesignError as trouble:
            problem = problem or trouble
        self._write(problem)

    def _not_typed(self) -> dict[str, float]:
        """What the wood and the rack of the brief supply in addition to the givens."""
        return {n: v for n, v in self.sheet.givens.items() if n not in self.state.given}

    def _redo_map(self) -> None:
        ends = zip(self.axes, (self.x_span.value, self.y_span.value), strict=True)
        x, y = (Span(name, *span) for name, span in ends)
        first, second = (goal.value for goal in self.goals)
        givens = {**self._supplied, **{n: float(v) for n, v in self.state.given.items()}}
        wanted = GradualTradeMap(
            self.sheet.network, givens, x, y, self.third.value, (first, second), self._judged(),
            SIZES,
        )  # fmt: skip
        self._stale = False
        shown = (self.map.x.name, self.map.y.name) if hasattr(self, "map") else None
        self._take_map(self._filling.begin(wanted, patient=shown != self.axes))

    def _finer(self, made: TradeMap | None) -> None:
        """A map that was worked out meanwhile; None where it took too long."""
        self._take_map(made)
        self._draw_map()

    def _take_map(self, made: TradeMap | None) -> None:
        self.map = made or self.map
        self._quiet = True
        self.best.options = [("none chosen", None), *map(self._told, self.map.choices)]
        self._quiet = False
        self.best_head.value = told_html([choices_head(self.map)])
        self.said.value = told_html([*map_told(self.map), *self._filling.said])

    def _judged(self) -> list[str]:
        return [name for name, box in self.judged.items() if box.value]

    def _named(self) -> list[str]:
        goals = (goal.value.quantity for goal in self.goals)
        return [*dict.fromkeys([self.third.value, *goals])]

    def _told(self, index: int) -> tuple[str, int]:
        text = choice_told(self.map, index, self.sheet.network, self.state.style)
        return text, int(index)

    def _subject(self) -> TradeSubject:
        # The map may be one of the last axes that could be drawn.
        x, y = (self._point(axis.name) for axis in (self.map.x, self.map.y))
        return TradeSubject(self.map, (x, y), self.state.style, self.state.brief.name)

    def _point(self, name: str) -> float:
        given = self.state.given.get(name)
        return self.sheet.number(name) if given is None else float(given)

    def _write(self, problem: DesignError | None) -> None:
        for name, row in self.rows.items():
            given = name in self.state.given
            if problem is None:
                row.show(self.sheet, given=given)
            else:
                row.mark(given=given)
        if hasattr(self, "map"):
            self._draw_map()
        self.checks.value = checks_html(self.sheet)
        self.point_said.value = told_html([point_told(self.sheet, self._named(), self._judged())])
        self.trouble.value = ""
        self.releases.children = ()
        if problem is not None:
            self._show(problem)

    def _draw_map(self) -> None:
        self._view.update(self._subject())
        self.picture.value = self._view.png()
        self.picture.alt = f"Map of designs. {self.map.said}"

    def _show(self, trouble: DesignError) -> None:
        self.trouble.value = alert(str(trouble))
        offers = trouble.releases if isinstance(trouble, Contradiction) else ()
        buttons = []
        for offer in offers:
            if offer.name in self.state.given and offer.name not in self.axes:
                button = widgets.Button(
                    description=f"release {offer.name}", layout={"width": "auto"}
                )
                button.on_click(lambda _, name=offer.name: self.release(name))
                buttons.append(button)
        self.releases.children = tuple(buttons)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)


def _words(names: Any) -> list[tuple[str, str]]:
    """Names as a dropdown shows them."""
    return [(name.replace("_", " "), name) for name in names]
