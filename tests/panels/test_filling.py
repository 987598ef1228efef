"""Maps that go on being filled while their panel answers."""

from __future__ import annotations

import asyncio
import time
from typing import cast

import pytest

from tablekit.panels import trade_offs
from tablekit.panels.trade_offs import Filling
from tablekit.planning.trade_offs import GradualTradeMap, TradeMap


class Slow:
    """A map of two sizes that takes `steps` goes to each; its maps are their numbers."""

    def __init__(self, steps: int = 3) -> None:
        self.map: int | None = None
        self.goes, self._steps = 0, steps

    @property
    def done(self) -> bool:
        return self.map == 1

    def finish(self) -> int | None:
        while not self.done:
            self.go_on(0.0)
        return self.map

    def go_on(self, seconds: float) -> None:
        self.goes += 1
        time.sleep(0.001)
        if self.goes % self._steps == 0:
            self.map = self.goes // self._steps - 1


def begin(of: Filling, slow: Slow, *, patient: bool = True) -> int | None:
    return cast("int | None", of.begin(cast(GradualTradeMap, slow), patient=patient))


def test_without_a_loop_all_is_done_at_once() -> None:
    shown: list[TradeMap | None] = []
    of = Filling(shown.append)
    assert begin(of, Slow()) == 1 and of.said == [] and shown == []


def test_the_coarse_map_comes_first_and_others_run_between(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trade_offs, "AT_ONCE", 0.0)

    async def play() -> None:
        shown: list[TradeMap | None] = []
        of, slow = Filling(shown.append), Slow()
        assert begin(of, slow) == 0 and of.said == ["A finer map is being calculated."]
        between = 0
        while not shown:
            between += 1
            await asyncio.sleep(0)
        assert shown == [1] and of.said == [] and between >= 3 and slow.goes == 6

    asyncio.run(play())


def test_another_map_drops_the_one_before(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trade_offs, "AT_ONCE", 0.0)

    async def play() -> None:
        shown: list[TradeMap | None] = []
        of, first, second = Filling(shown.append), Slow(), Slow()
        begin(of, first)
        begin(of, second)
        await asyncio.sleep(0.1)
        assert first.goes == 3 and second.done and shown == [1]

    asyncio.run(play())


def test_a_map_that_takes_too_long_stays_coarse_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(trade_offs, "AT_ONCE", 0.0)
    monkeypatch.setattr(trade_offs, "LONGEST", 0.0)

    async def play() -> None:
        shown: list[TradeMap | None] = []
        of, slow = Filling(shown.append), Slow()
        begin(of, slow)
        await asyncio.sleep(0.05)
        assert shown == [0] and not slow.done and slow.goes == 4
        assert of.said == ["This map stays coarse: a finer one takes too long here."]

    asyncio.run(play())


def test_where_a_map_is_shown_already_nobody_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trade_offs, "AT_ONCE", 0.0)

    async def play() -> None:
        shown: list[TradeMap | None] = []
        of = Filling(shown.append)
        assert begin(of, Slow(), patient=False) is None
        assert of.said == ["This map is for the previous values; a new one is being calculated."]
        await asyncio.sleep(0.1)
        assert shown == [0, 1] and of.said == []
        monkeypatch.setattr(trade_offs, "LONGEST", 0.0)
        assert begin(of, Slow(), patient=False) is None
        await asyncio.sleep(0.05)
        assert shown[2:] == [None]
        assert of.said == ["This map is for the previous values: a new one takes too long here."]

    asyncio.run(play())
