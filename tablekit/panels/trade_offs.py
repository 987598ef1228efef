"""The trade-off panel: two givens as axes, a map of how each design stands, and the design one
has as a point on it, to be moved by a hand, by slider, or to one of the best. While the point
alone moves the map is not worked out again.

The map goes on being filled while the panel answers: coarse first, finer when there is time.
Without a running loop, as in a plain script, nothing can go on later and all is done at once.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from tablekit.brief import Brief
from tablekit.design.checks import planned
from tablekit.drawing.trade_offs import TradeSubject
from tablekit.engine.quantity import Quantity
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import shop_round, shop_text
from tablekit.engine.wording import declared, words
from tablekit.panels.controls import LABEL, WRAPPED, button, focus_seen, heard, mark_old, told_html
from tablekit.panels.frames import running_loop
from tablekit.panels.givens import Givens, refuse_at_once
from tablekit.panels.live_map import LiveMap
from tablekit.panels.panel import GivensPanel
from tablekit.panels.row import Row, column, run_about, usual_rows
from tablekit.panels.tables import checks_html
from tablekit.planning.trade_offs import (
    AxisSpan,
    Goal,
    GradualTradeMap,
    TradeMap,
    judged_by,
    places_for,
    span_about,
)

# -- A map that is being filled --------------------------------------------------------------------

# Seconds: what may pass before the first answer, then between two looks at what the maker does,
# and in all. A map that takes longer stays as coarse as it is.
AT_ONCE, A_WHILE, LONGEST = 0.5, 0.3, 60.0


class Filling:
    """Fills one map at a time.

    show  called with each map that becomes whole after `begin` has returned, and once more with the
          last one, or None, where a finer one takes too long
    """

    def __init__(self, show: Callable[[TradeMap | None], None]):
        self._show = show
        self._map: GradualTradeMap | None = None
        self._began, self._given_up = 0.0, False

    def begin(self, wanted: GradualTradeMap, *, patient: bool) -> TradeMap | None:
        """The finest map that is there in time, None where there is none; finer ones are shown
        later.

        What was being filled before is dropped. Raises as filling a map does.

        patient  whether to wait for the coarsest at least"""
        self._map, self._began, self._given_up = wanted, time.monotonic(), False
        loop = running_loop()
        if loop is None:
            return wanted.finish()
        while not wanted.done:
            waits = patient and wanted.map is None
            if not waits and self._spent > AT_ONCE:
                loop.call_later(0, self._go_on, loop, wanted)
                break
            wanted.go_on(A_WHILE)
        return wanted.map

    @property
    def said(self) -> list[str]:
        """What is still to come, in a sentence; nothing where the map is as fine as can be."""
        if self._map is None or self._map.done:
            return []
        if self._map.map is None:
            if self._given_up:
                return ["This map is for the previous values: a new one takes too long here."]
            return ["This map is for the previous values; a new one is being calculated."]
        if self._given_up:
            return ["This map stays coarse: a finer one takes too long here."]
        return ["A finer map is being calculated."]

    @property
    def _spent(self) -> float:
        return time.monotonic() - self._began

    def _go_on(self, loop: asyncio.AbstractEventLoop, wanted: GradualTradeMap) -> None:
        if wanted is not self._map:  # another one is wanted by now
            return
        before = wanted.map
        wanted.go_on(A_WHILE)
        self._given_up = self._spent > LONGEST and not wanted.done
        if wanted.map is not before or self._given_up:
            self._show(wanted.map)
        if not (wanted.done or self._given_up):
            loop.call_later(0, self._go_on, loop, wanted)


# -- The panel -------------------------------------------------------------------------------------

GOALS = (
    Goal("tipping_load", True), Goal("foot_spread", False), Goal("top_diameter", True),
    Goal("overhang", True), Goal("overhang", False), Goal("total_mass", False),
    Goal("post_length", False), Goal("knee_clearance", True), Goal("splay", False),
    Goal("leg_length", False), Goal("leg_resultant", False),
)  # fmt: skip
THIRDS = (
    "tipping_load", "foot_spread", "overhang", "total_mass", "post_length", "splay",
    "knee_clearance", "seats", "top_diameter", "leg_length", "leg_resultant",
)  # fmt: skip
SIZES = (12, 12), (60, 60)
WIDE = "430px"
MOST_REASONS = 2
PIN, UNPIN = "pin this map", "unpin the map"
WHY_PIN = "Keep this map beside the next, to compare them"


class TradeOffPanel(GivensPanel):
    """A panel over one brief, as a `GivensPanel`; its givens and its sheet are those of the point.

    x, y     the axes to open with; across, where it is left out, the lean of the posts or legs
    third    the quantity whose lines are drawn
    goals    what is wanted most
    take     called with the brief of the point when the maker takes it, for instance the `open` of
             a SetOutPanel; without it there is no button

    map      the last map
    pinned   a map that is kept beside it, to compare with

    Raises UnknownName.
    """

    offline = "a map of designs over two quantities, redrawn as its axes are chosen."

    def __init__(
        self,
        brief: Brief,
        x: str = "",
        y: str = "top_diameter",
        third: str = "tipping_load",
        goals: tuple[Goal, Goal] = (GOALS[0], GOALS[1]),
        take: Callable[[Brief], None] | None = None,
    ):
        super().__init__(brief)
        self.map: TradeMap
        self._filling = Filling(self._finer)
        self._own = frozenset(self.state.given)
        self._supplied = self._not_typed()
        self._taker = take
        self._stale = True
        with self._silence():
            lean = "splay" if brief.base.chosen.crossed else "leg_resultant"
            self._make_widgets(x or lean, y, third, goals)
        self._choose_axes()

    @property
    def axes(self) -> tuple[str, str]:
        """The quantities across and up."""
        return self._axes

    # -- what it is made of -----------------------------------------------------------------

    def _make_widgets(self, x: str, y: str, third: str, goals: tuple[Goal, Goal]) -> None:
        quantities = self.sheet.network.quantities
        for name in (x, y, third, *(goal.quantity for goal in goals)):
            self.sheet.network.quantity(name)
        self._axes = x, y
        self.x, self.y = self._axis("across", x), self._axis("up", y)
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
            check.id: heard(
                widgets.Checkbox(
                    description=check.name, value=check.id in usual, indent=False,
                    layout={"width": "auto", "min_width": "260px"},
                ),
                self._choose,
            )
            for check in self.sheet.network.requirements
        }  # fmt: skip
        best = widgets.Select(rows=5, options=[("none chosen", None)], value=None,
                              layout={"width": WIDE})  # fmt: skip
        self.best = heard(best, self._picked)
        self.take = button("take this design", self._hand_over, "160px", icon="check")
        self.picture: LiveMap = LiveMap(self._drawn_to)
        self.pinned = LiveMap(None)
        self.pin = button(PIN, self._pin_or_not, "140px", icon="thumb-tack", tooltip=WHY_PIN)
        self.pinned_said = widgets.HTML()
        self.best_head, self.point_said = widgets.HTML(), widgets.HTML()
        self.said, self.checks = widgets.HTML(), widgets.HTML()
        self.of_design = (self.point_said, self.checks)
        self.held = widgets.VBox()
        self.widget = self._laid_out()

    def _axis(self, word: str, name: str) -> widgets.Combobox:
        """Any quantity that has a number, found by typing a part of its name."""
        box = widgets.Combobox(
            description=word, value=words(name), options=[*map(words, self._possible())],
            continuous_update=False, placeholder="type a part of its name", style=LABEL,
            layout={"width": "250px"},
        )  # fmt: skip
        return heard(box, self._choose_axes)

    def _possible(self) -> list[str]:
        """What may be an axis: the usual first, then all by name."""
        sheet, usual = self.sheet, usual_rows(self.sheet.kind, self.brief.base.chosen.crossed)
        known = (name for name in (*usual, *sorted(sheet.names)) if sheet.get(name) is not None)
        return [n for n in dict.fromkeys(known) if not sheet[n].quantity.whole]

    @staticmethod
    def _dropdown(
        word: str, options: Sequence[Any], value: Any, action: Callable[[Any], None]
    ) -> widgets.Dropdown:
        dropdown = widgets.Dropdown(
            description=word, options=options, value=value, style=LABEL, layout={"width": "auto"}
        )
        return heard(dropdown, action)

    def _span(self, word: str) -> widgets.FloatRangeSlider:
        span = widgets.FloatRangeSlider(
            description=word, min=0, max=1, step=1, continuous_update=False, style=LABEL,
            readout_format=".0f", layout={"width": "330px"},
        )  # fmt: skip
        return heard(span, self._choose)

    def _laid_out(self) -> widgets.Widget:
        row = {**WRAPPED, "grid_gap": "0 16px", "align_items": "center"}
        judged = widgets.HBox([*self.judged.values()], layout=WRAPPED)
        best = widgets.VBox([self.best_head, self.best])
        known = widgets.VBox([self.held, *([self.take] if self._taker else [])])
        axes = [widgets.HBox([self.x, self.x_span]), widgets.HBox([self.y, self.y_span])]
        self.folds = widgets.Accordion(
            [self.checks, judged], titles=("Checks on this design", "Which checks judge the map")
        )
        self.folds.observe(self._write_checks, "selected_index")
        self.maps = widgets.HBox([self._with_words(self.picture, self.point_said)], layout=WRAPPED)
        return widgets.VBox(
            [
                widgets.HBox(axes, layout=row),
                widgets.HBox([self.third, *self.goals], layout=row),
                widgets.HBox([known, best], layout=row),
                self.trouble,
                self.releases,
                self.pin,
                self.maps,
                self.said,
                self.folds,
                focus_seen(),
            ]
        )

    @staticmethod
    def _with_words(picture: LiveMap, words: widgets.HTML) -> widgets.Widget:
        """A map and what is said of its point, beside another where there is room for both."""
        return widgets.VBox([picture.widget, words], layout=column(1, 320, 480))

    # -- what the maker does ----------------------------------------------------------------

    def _pin_or_not(self) -> None:
        """Keep the map and its point as they are, beside those that come; or keep none."""
        self.frames.finish()
        first, *pinned = self.maps.children
        self.pin.description = PIN if pinned else UNPIN
        if pinned:
            self.maps.children = (first,)
            return
        self.pinned.draw(self._subject(), self._point_told())
        third = words(self.map.third.name)
        told = f"Pinned: {words(self.map.x.name)} × {words(self.map.y.name)}, lines of {third}."
        self.pinned_said.value = told_html([f"{told} {self._point_told('Its design')}"])
        self.maps.children = (first, self._with_words(self.pinned, self.pinned_said))

    def _choose_axes(self, _: Any = None) -> None:
        """Other axes: both are given from now on, at the values of the point."""
        if self._quiet:
            return
        self.frames.finish()
        try:
            axes = self._axes = self._named_axes()
        except DesignError as trouble:  # the map and its point stay
            self._show(trouble)
            return
        kept = {n: v for n, v in self.state.given.items() if n in self._own or n in axes}
        for name in axes:
            kept.setdefault(name, self._number(name))
        self.state = replace(self.state, given=kept)
        with self._silence():
            for name, span in zip(axes, (self.x_span, self.y_span), strict=True):
                self._set_span(name, span)
        names = [*axes, *(name for name in kept if name not in axes)]
        self.rows = {name: self._row(name) for name in dict.fromkeys(names)}
        for name in axes:
            self.rows[name].switch.disabled = True
        self.held.children = tuple(row.widget for row in self.rows.values())
        self._choose()

    def _named_axes(self) -> tuple[str, str]:
        """The quantities that the boxes name; in a box that was emptied the last one stays.

        Raises UnknownName, and DesignError for one that can be no axis."""
        x, y = (declared(box.value) or last
                for box, last in zip((self.x, self.y), self._axes, strict=True))  # fmt: skip
        for name in (x, y):
            self.sheet.network.quantity(name)
            self._number(name)
        with self._silence():
            self.x.value, self.y.value = words(x), words(y)
        return x, y

    def _number(self, name: str) -> float:
        number = self.sheet.get(name)
        if number is None:
            raise DesignError(f"{name} has no value in this design, so it cannot be an axis")
        return number  # unrounded: at the square crossing a hundredth of a degree decides

    def _set_span(self, name: str, span: widgets.FloatRangeSlider) -> None:
        quantity, number = self.sheet.network.quantity(name), float(self.state.given[name])
        low, high = run_about(quantity, number)
        shown = span_about(quantity, number, low, high)
        span.min, span.max = min(span.min, shown.low, low), max(span.max, shown.high, high)
        places = places_for(high - low)
        span.step, span.readout_format = 10.0**-places, f".{places}f"
        span.value = (shown.low, shown.high)
        span.min, span.max = min(shown.low, low), max(shown.high, high)

    def _choose(self, _: Any = None) -> None:
        """Something about the map was chosen."""
        if not self._quiet:
            self._stale = True
            self.frames.now()

    def _may_release(self, name: str) -> bool:
        return super()._may_release(name) and name not in self.axes

    def move_to(self, x: float, y: float, moved: Row | None = None) -> None:
        """Take a place on the map, in the axes' reporting units, as the point.

        moved  the row of an axis, where a hand moves it"""
        state = self.state
        for axis, number in zip((self.map.x, self.map.y), (x, y), strict=True):
            state = state.with_given(axis.name, shop_round(number, axis.unit, state.style)[0])
        self._take(state, moved)

    def _drawn_to(self, x: float, y: float) -> None:
        """A hand or the keys moved the point."""
        rows = [self.rows.get(axis.name) for axis in (self.map.x, self.map.y)]
        with ExitStack() as stack:
            for row in rows:
                if row is not None:
                    stack.enter_context(row.held())
            self.move_to(x, y, rows[0])

    def _picked(self, index: int | None) -> None:
        if not self._quiet and index is not None:
            self.move_to(*self.map.at(index))

    def _hand_over(self) -> None:
        self.frames.finish()
        try:
            if self._taker:
                self._taker(self.brief)
        except DesignError as trouble:
            self._show(trouble)

    # -- what the panel answers -------------------------------------------------------------

    def _take(self, state: Givens, moved: Row | None = None) -> None:
        was, now = self.state.given, state.given
        changed = {name for name in {*was, *now} if was.get(name) != now.get(name)}
        self._stale = self._stale or not changed <= set(self.axes)
        super()._take(state, moved)

    def _answer(self) -> None:
        with self._one_message():
            self._answer_both()

    def _answer_both(self) -> None:
        problems = []
        for part in (self._answer_point, self._redo_map):
            try:
                part()
            except DesignError as trouble:
                problems.append(trouble)
        if hasattr(self, "map"):
            self._draw_map()
        self._write_checks()
        self.point_said.value = told_html([self._point_told()])
        if problems:
            self._show(problems[0])
            mark_old(self.of_design, not self.answered)

    def _solve(self) -> Sheet:
        # A full account of what clashes takes too long for what a hand passes over.
        if self.in_hand:
            refuse_at_once(self.sheet, self.state.given)
        return super()._solve()

    def _write_checks(self, _: Any = None) -> None:
        if self.folds.selected_index == 0:  # folded, they are not written
            self.checks.value = checks_html(self.sheet)

    def _answer_point(self) -> None:
        self._find()
        self._supplied = self._not_typed()
        self._write()

    def _not_typed(self) -> dict[str, float]:
        """What the wood and the rack of the brief supply in addition to the givens."""
        return {n: v for n, v in self.sheet.givens.items() if n not in self.state.given}

    def _redo_map(self) -> None:
        if not self._stale:
            return
        ends = zip(self.axes, (self.x_span.value, self.y_span.value), strict=True)
        x, y = (AxisSpan(name, *span) for name, span in ends)
        first, second = (goal.value for goal in self.goals)
        givens = {**self._supplied, **{n: float(v) for n, v in self.state.given.items()}}
        wanted = GradualTradeMap(
            self.sheet.network, givens, x, y, self.third.value, (first, second), self._judged(),
            SIZES,
        )  # fmt: skip
        self._stale = False
        self._offer_asked({*givens, *self.axes})
        shown = (self.map.x.name, self.map.y.name) if hasattr(self, "map") else None
        self._take_map(self._filling.begin(wanted, patient=shown != self.axes))

    def _offer_asked(self, given: set[str]) -> None:
        """Checks that are not asked of these givens are not there to be chosen."""
        for check in self.sheet.network.requirements:
            self.judged[check.id].layout.display = None if check.asked(given) else "none"

    def _finer(self, made: TradeMap | None) -> None:
        """A map that was worked out meanwhile; None where it took too long."""
        self._take_map(made)
        self._draw_map()

    def _take_map(self, made: TradeMap | None) -> None:
        self.map = made or self.map
        with self._silence():
            self.best.options = [("none chosen", None), *map(self._told, self.map.choices)]
        goals = (goal.quantity for goal in self.map.goals)
        across, up, first, second = map(words, (self.map.x.name, self.map.y.name, *goals))
        self.best_head.value = told_html([f"Best designs, {across} × {up}: {first}, {second}"])
        whys = [f"Cannot be made: {text}." for text, _ in self.map.reasons[:MOST_REASONS]]
        said = [self.map.said, *whys, *self._left_out(), *self._filling.said]
        self.said.value = told_html(said)

    def _left_out(self) -> Iterator[str]:
        """Which checks of one design the map does not have, in a sentence."""
        unticked = [
            box.description for box in self.judged.values()
            if not box.value and box.layout.display != "none"
        ]  # fmt: skip
        plans = planned(self.sheet, self.state.brief)
        parts = [f"{', '.join(unticked)} (not ticked below)"] if unticked else []
        parts += [f"{', '.join(plans)} (planned for one design at a time)"] if plans else []
        if parts:
            yield f"Not judged on the map: {'; '.join(parts)}."

    def _judged(self) -> list[str]:
        return [name for name, box in self.judged.items() if box.value]

    def _told(self, index: int) -> tuple[str, int]:
        """One of the best designs: where it lies, and what it reaches of both goals."""
        plane, network = self.map, self.sheet.network

        def sizes(quantities: Iterable[Quantity], numbers: Iterable[float]) -> list[str]:
            pairs = zip(quantities, numbers, strict=True)
            return [shop_text(number, of.unit, self.state.style) for of, number in pairs]

        goals = (network.quantity(goal.quantity) for goal in plane.goals)
        place = sizes((plane.x, plane.y), plane.at(index))
        reached = sizes(goals, plane.reached_at(index))
        return f"{' × '.join(place)}: {', '.join(reached)}", int(index)

    def _point_told(self, which: str = "This design") -> str:
        """The point, called `which`: what it has of what is asked for, and which of the judging
        checks it does not pass."""
        goals = (goal.value.quantity for goal in self.goals)
        names = dict.fromkeys([self.third.value, *goals])
        parts = [f"{words(name)} {self.sheet.shop(name)}" for name in names]
        judged = self._judged()
        for verdict in ("fail", "caution"):
            found = [c.name for c in self.sheet.checks if c.verdict == verdict and c.id in judged]
            parts += [f"{verdict}: {', '.join(found)}"] if found else []
        said = f"{which}: {'; '.join(parts)}."
        if self.answered and "fail" not in {c.verdict for c in self.sheet.checks if c.id in judged}:
            said += "".join(self._edge_told())
        return said

    def _edge_told(self) -> Iterator[str]:
        """That the point lies at an edge of what will do, and what fails beyond, in a sentence."""
        x, y = (self._point(axis.name) for axis in (self.map.x, self.map.y))
        beyond = [
            f"with {'more' if more else 'less'} {words(axis.name)}, "
            + (f"{' and '.join(names[:MOST_REASONS])} fail{'s' * (len(names) == 1)}" if names
               else "it cannot be made")
            for axis, more, names in self.map.beyond_edges(x, y)
        ]  # fmt: skip
        if beyond:
            yield f" It lies at an edge: {'; '.join(beyond)}."

    def _subject(self) -> TradeSubject:
        # The map may be one of the last axes that could be drawn.
        x, y = (self._point(axis.name) for axis in (self.map.x, self.map.y))
        return TradeSubject(self.map, (x, y), self.state.style, self.state.brief.name)

    def _point(self, name: str) -> float:
        given = self.state.given.get(name)
        return self.sheet.number(name) if given is None else float(given)

    def _draw_map(self) -> None:
        self.picture.draw(self._subject(), self._point_told())


def _words(names: Iterable[str]) -> list[tuple[str, str]]:
    """Names as a dropdown shows them."""
    return [(words(name), name) for name in names]
