"""What takes too long for a frame of a drag, done once nothing moves any more."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from tablekit.panels.frames import running_loop

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
