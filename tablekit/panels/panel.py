"""What the panels have in common: what a notebook shows of them, and how a maker gives, moves,
types and releases quantities and is answered at each move.

A panel only reads its controls, asks for a sheet, and writes the answer into widgets made once. An
error is shown in its place, and the last good answer stays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from functools import partial
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from tablekit.brief import Brief
from tablekit.engine.shop import rule_step
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.units import shop_round
from tablekit.engine.wording import spoken, words
from tablekit.panels.controls import WRAPPED, alert, button, mark_old
from tablekit.panels.frames import Frames
from tablekit.panels.givens import Givens, evaluate
from tablekit.panels.live_drawing import About, PageView, Told
from tablekit.panels.row import NO_VALUE, Row, shown, slider_range, step_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


class Panel:
    """Something that a notebook shows.

    piece    the name of what it is about
    trouble  why there is no answer, where there is none
    widget   what it shows; also shown when the panel itself is the last line of a cell

    A child says in `old` what is still shown while there is no answer, and in `offline` what a
    reader without a running kernel misses.
    """

    old = offline = ""
    widget: widgets.Widget

    def __init__(self, piece: str):
        self.piece = piece
        self.trouble = widgets.HTML()
        self._quiet = False

    @contextmanager
    def _silence(self) -> Iterator[None]:
        """Writing a control must not be taken for the maker moving it."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False

    def _show(self, trouble: Exception) -> None:
        """Say why there is no answer, and that the one shown is the last."""
        why = self._in_words(trouble)
        if why and not why.endswith((".", "?", "!")):
            why += "."
        self.trouble.value = alert(f"{why} {self.old}".strip())

    def _in_words(self, trouble: Exception) -> str:
        """What is amiss, as it is read in a panel."""
        return str(trouble)

    @property
    def text(self) -> str:
        """What a reader without a running kernel is told."""
        return f"{self.piece or 'Untitled'}: {self.offline} It needs a running kernel."

    def _repr_mimebundle_(self, **options: Any) -> Any:
        shown = self.widget._repr_mimebundle_(**options)
        return {**shown, "text/plain": self.text} if self.offline else shown


class GivensPanel(Panel):
    """A panel over the givens of one brief.

    state     the state of the controls, as data; `brief` the same as a brief
    sheet     the last sheet that could be solved
    answered  whether that sheet is the answer to the state; if not, the controls show the state
    in_hand   whether a hand made the state by moving something, and may be moving it still
    rows      the controls, by quantity
    releases  buttons for what would help where there is no answer
    frames    what keeps a fast drag from queueing frames
    picture   the drawing whose sizes are controls, where there is one
    of_design what shows a design, and is marked as old while the givens have none

    A child makes the rows and shows an answer in `_write`, whatever the base.

    Raises DesignError as `set_out` does for a brief that cannot be answered.
    """

    picture: PageView[Any] | None = None

    def __init__(self, brief: Brief):
        super().__init__(brief.name)
        self.state = Givens.of(brief)
        self.sheet: Sheet = evaluate(self.state)
        self.answered, self.in_hand = True, False
        self.frames = Frames(self._answer)
        self.rows: dict[str, Row] = {}
        self.of_design: tuple[widgets.DOMWidget, ...] = ()
        self.releases = widgets.HBox(layout=WRAPPED)

    @property
    def brief(self) -> Brief:
        """What the controls say, as a brief: to be saved, or handed to another panel."""
        return self.state.as_brief()

    def _row(self, name: str) -> Row:
        quantity = self.sheet.network.quantity(name)
        return Row(quantity, self._moved, self._typed, self._switched)

    # -- what the maker does ----------------------------------------------------------------

    def _moved(self, row: Row, number: float) -> None:
        """A slider moved: to the nearest size the shop works to."""
        size, _ = shop_round(number, row.quantity.unit, self.state.style)
        self._take(self.state.with_given(row.quantity.name, size), row)

    def _typed(self, row: Row, text: str) -> None:
        """A measure was typed, in whatever unit."""
        self.frames.finish()
        try:
            typed = row.read(text, self.state.style)
        except DesignError as trouble:
            self._show(trouble)
        else:
            self._take(self.state.with_given(row.quantity.name, typed))

    def _switched(self, row: Row, given: bool) -> None:
        """A quantity was switched between given and found."""
        change = self.give if given else self.release
        change(row.quantity.name)

    def give(self, *names: str) -> None:
        """Take quantities as given, at the sizes they had last."""
        self.frames.finish()
        state = self.state
        for name in names:
            state = state.with_given(name, self._last(name))
        self._take(state)

    def _last(self, name: str) -> float:
        number = self.sheet.get(name)
        return (self.rows.get(name) or self._row(name)).slider.value if number is None else number

    def release(self, name: str) -> None:
        """Release a given: it is calculated from then on."""
        self.frames.finish()
        if self._may_release(name):
            self._take(self.state.without([name]))

    def _drawn_out(self, name: str, number: float) -> None:
        """A given was moved by its dimension in the drawing."""
        row = self.rows.get(name)
        if row is not None and name in self.state.given:
            with row.held():
                self._moved(row, number)

    def _asked_of(self, what: str, name: str, text: str) -> None:
        """A dimension of the drawing was clicked: to "give" it, to "release" it, or to "type"."""
        if name not in self.sheet.network.quantities:
            return
        if what == "type":
            self._typed(self.rows.get(name) or self._row(name), text)
        elif what == "give":
            self.give(name)
        else:
            self.release(name)

    def _told_of(self, name: str) -> tuple[About, Told]:
        """What a dimension of the drawing says of its quantity."""
        it, style, number = self.sheet[name].quantity, self.state.style, self.sheet.number(name)
        row, step = self.rows.get(name), step_of(it)
        low, high = (row.slider.min, row.slider.max) if row else slider_range(it)
        step = max(step, rule_step(style)) if it.unit == "mm" else step
        about = About(words(name), it.meaning, low, high, step)
        if self.answered:
            return about, Told(self.sheet.shop(name), self.sheet[name].origin, number)
        if name in self.state.given:
            given = float(self.state.given[name])
            return about, Told(shown(given, it, style), "given", given)
        return about, Told(NO_VALUE, "found", number)

    def _may_release(self, name: str) -> bool:
        return name in self.state.given

    # -- what the panel answers -------------------------------------------------------------

    def _take(self, state: Givens, moved: Row | None = None) -> None:
        """Answer another state; while a hand moves the slider of a row, only its newest place."""
        self.state, self.in_hand = state, moved is not None and moved.in_hand
        if self.in_hand:
            self.frames.ask()
        else:
            self.frames.now()

    def _answer(self) -> None:
        with self._one_message():
            try:
                self._find()
                self._write()
            except (DesignError, ValueError) as trouble:  # ValueError: a drawing that does not fit
                self._show(trouble)
                mark_old(self.of_design, True)

    def _one_message(self) -> AbstractContextManager[None]:
        """While a hand moves something, all that moves with it goes to the page in one message."""
        if self.picture is None or not self.in_hand:
            return nullcontext()
        moving = (part for row in self.rows.values() for part in row.carried)
        return self.picture.control.carrying(moving)

    def _find(self) -> None:
        """The sheet that belongs to the state. Raises where there is none."""
        self.answered = False
        self.sheet = self._solve()
        self.answered = True

    def _solve(self) -> Sheet:
        return evaluate(self.state)

    def _write(self) -> None:
        """Show the sheet."""
        for name, row in self.rows.items():
            row.show(self.sheet, given=name in self.state.given)
        self._write_state()
        self.trouble.value = ""
        self.releases.children = ()
        mark_old(self.of_design, False)

    def _write_state(self) -> None:
        """The controls that show the state itself, whether or not it can be answered."""
        for name, row in self.rows.items():
            if self.answered:
                row.mark(given=name in self.state.given)
            else:
                row.show_unanswered(self.state.given.get(name), self.state.style)

    def _in_words(self, trouble: Exception) -> str:
        return spoken(str(trouble), self.sheet.network.quantities)

    def _show(self, trouble: Exception) -> None:
        super()._show(trouble)
        self.releases.children = tuple(button(*offer) for offer in self._offers(trouble))
        self._write_state()

    def _offers(self, trouble: Exception) -> Iterable[tuple[str, Callable[[], None]]]:
        """What would help: in words, and how it is done."""
        for offer in trouble.releases if isinstance(trouble, Contradiction) else ():
            if self._may_release(offer.name):
                yield f"release {words(offer.name)}", partial(self.release, offer.name)
