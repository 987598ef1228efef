"""A map that goes on being filled while its panel answers: coarse first, finer when there is time.

Without a running loop, as in a plain script, nothing can go on later and all is done at once.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

from tablekit.panels.frames import running_loop
from tablekit.planning.trade_offs import GradualTradeMap, TradeMap

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
