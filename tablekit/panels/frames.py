"""Frames of a drag: only the newest is drawn, however many moves have come in meanwhile.

A page of Jupyter's own sends the next move of a slider once the kernel is done with the last one,
and always the newest; such a move is best drawn at once, while the page waits. Other pages send
every move, and those that come while a frame is drawn wait in the kernel. A move that has waited
is known by its arrival right after a frame, sooner than any page could have answered it. Of those
all are taken in first, and then the last one is drawn.

What takes too long for a frame is done once nothing moves any more.
"""

from __future__ import annotations

import asyncio
import math
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets as widgets
import traitlets

# Seconds. A move that comes within WAITED of the last frame had been waiting for it. Moves are
# taken in until none has come for PAUSE, but for no longer than LONGEST.
WAITED, PAUSE, LONGEST = 0.004, 0.004, 0.06


class Frames:
    """Calls `draw` for the newest of many requests.

    drawn   how many frames were drawn
    asked   how many were asked for
    """

    def __init__(self, draw: Callable[[], None]) -> None:
        self._draw = draw
        self.asked = self.drawn = 0
        self._seen = 0
        self._first, self._ended = 0.0, -math.inf
        self._timer: asyncio.TimerHandle | None = None

    def ask(self) -> None:
        """A frame at once, unless moves are waiting: then soon, and one for all of them."""
        self.asked += 1
        loop = running_loop()
        if self._timer is None:
            if loop is None or loop.time() - self._ended > WAITED:
                self.now()
            else:
                self._first = loop.time()
                self._wait(loop)

    def now(self) -> None:
        """A frame at once, instead of any that is waited for."""
        self.cancel()
        self.drawn += 1
        try:
            self._draw()
        finally:
            loop = running_loop()
            self._ended = -math.inf if loop is None else loop.time()

    def finish(self) -> None:
        """Draw the frame that is waited for, if any, so that all that is shown is of now."""
        if self._timer is not None:
            self.now()

    def cancel(self) -> None:
        """Wait for no frame any more."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _wait(self, loop: asyncio.AbstractEventLoop) -> None:
        self._seen = self.asked
        self._timer = loop.call_later(PAUSE, self._turn, loop)

    def _turn(self, loop: asyncio.AbstractEventLoop) -> None:
        if self.asked != self._seen and loop.time() - self._first < LONGEST:
            self._wait(loop)
        else:
            self.now()


def running_loop() -> asyncio.AbstractEventLoop | None:
    """The loop of the kernel; None where nothing runs one, as in a plain script."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


class Carried(widgets.Widget):
    """A control whose news a drawing's frame may carry to the page, so that a step of a drag is one
    message and not one for each control.

    news  what has changed meanwhile, by trait; None while it tells the page by itself
    """

    news: dict[str, Any] | None = None

    def send_state(self, key: Any = None) -> None:
        """Tell the page, or what carries the news."""
        if self.news is None or key is None:
            super().send_state(key)
        else:
            self.news |= self.get_state(key)


class SizeText(Carried, widgets.Text):
    """A field for a size."""


class Slider(Carried, widgets.FloatSlider):
    """A slider that knows whether it is a page that moves it, or a line of Python.

    from_page   true while a message from a page is being taken in; a line of Python expects its
                answer at once, a hand does not

    What a page tells is not told back to it: nobody else shows the slider, and it would be one more
    message before each frame.
    """

    value: Any = traitlets.CFloat(0.0).tag(sync=True, echo_update=False)
    from_page = False

    def set_state(self, sync_data: Mapping[str, Any]) -> None:
        """What a page says of the slider."""
        self.from_page = True
        try:
            super().set_state(sync_data)
        finally:
            self.from_page = False


# -- Once nothing moves ----------------------------------------------------------------------------

# Seconds without a frame: a moment, in which a hand that drags does not pause, and a rest.
MOMENT, REST = 0.08, 0.3


class Rest:
    """Calls `settle` once no frame has come for a while; at once where no page is waiting, as in a
    plain script.

    after  how long a while, seconds; REST if not said
    """

    def __init__(self, settle: Callable[[], None], after: float | None = None) -> None:
        self._settle, self._after = settle, after
        self._timer: asyncio.TimerHandle | None = None

    def later(self) -> None:
        """There was a frame."""
        self.cancel()
        loop = running_loop()
        if loop is None:
            self._settle()
        else:
            self._timer = loop.call_later(REST if self._after is None else self._after, self.finish)

    def finish(self) -> None:
        """Do at once what is waited with, if anything."""
        if self._timer is not None:
            self.cancel()
            self._settle()

    def cancel(self) -> None:
        """Leave it undone."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
