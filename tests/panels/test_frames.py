"""Frames of a fast drag, in an event loop of the test's own with a clock of the test's own."""

from __future__ import annotations

import asyncio
import selectors
from collections.abc import Callable
from itertools import pairwise

import pytest

from tablekit.panels.frames import LONGEST, PAUSE, Frames, Slider


class TimedLoop(asyncio.SelectorEventLoop):
    """An event loop in which waiting takes no time, and work as long as a test says."""

    def __init__(self) -> None:
        super().__init__(_NoWait(self))
        self.clock = 0.0

    def time(self) -> float:
        return self.clock


class _NoWait(selectors.DefaultSelector):  # type: ignore[misc, valid-type]
    def __init__(self, loop: TimedLoop) -> None:
        super().__init__()
        self.loop = loop

    def select(self, timeout: float | None = None) -> list:  # type: ignore[type-arg]
        self.loop.clock += timeout or 0.0
        return super().select(0)


@pytest.fixture
def loop() -> TimedLoop:
    loop = TimedLoop()
    yield loop  # type: ignore[misc]
    loop.close()


class Hand:
    """A slider's place, and the frames that were drawn of it; a frame takes `work` seconds."""

    def __init__(self, loop: TimedLoop, work: float = 0.0) -> None:
        self.loop, self.work, self.place = loop, work, 0
        self.frames: list[tuple[float, int]] = []
        self.view = Frames(self.draw)

    def draw(self) -> None:
        self.frames.append((self.loop.clock, self.place))
        self.loop.clock += self.work

    def move(self, place: int) -> None:
        self.place = place
        self.view.ask()


def drag(loop: TimedLoop, hand: Hand, times: list[float]) -> None:
    """Moves taken in at these times, or as soon after as the loop is free."""

    async def run() -> None:
        def at(k: int) -> Callable[[], None]:
            return lambda: hand.move(k + 1)

        for k, when in enumerate(times):
            loop.call_at(when, at(k))
        await asyncio.sleep(times[-1] + 10)

    loop.run_until_complete(run())


def test_without_a_loop_the_frame_is_drawn_at_once() -> None:
    drawn: list[int] = []
    frames = Frames(lambda: drawn.append(1))
    frames.ask()
    assert drawn == [1] and frames.drawn == frames.asked == 1


def test_a_move_is_drawn_at_once(loop: TimedLoop) -> None:
    hand = Hand(loop)
    drag(loop, hand, [1.0, 2.0])
    assert hand.frames == [(1.0, 1), (2.0, 2)]


def test_a_page_that_waits_for_the_kernel_sees_every_move_it_sends(loop: TimedLoop) -> None:
    """It sends the newest place once the last is done with, as Jupyter's own pages do. Each is
    drawn as it comes: none is put off, for then the page would send an older one meanwhile."""
    hand, road = Hand(loop, work=0.1), 0.005
    sent: list[float] = []

    async def run() -> None:
        for place in range(20):
            await asyncio.sleep(road)
            sent.append(loop.time())
            hand.move(place)

    loop.run_until_complete(run())
    assert hand.frames == [(when, place) for place, when in enumerate(sent)]


def test_slow_frames_are_not_queued(loop: TimedLoop) -> None:
    """A page sends every move, and each frame takes as long as twenty of them: those that came
    meanwhile make one frame more."""
    hand = Hand(loop, work=0.2)
    drag(loop, hand, [0.01 * k for k in range(200)])  # two seconds
    assert 3 < len(hand.frames) <= 2.0 / 0.2 + 2
    assert hand.frames[-1][1] == 200
    start, _ = hand.frames[-1]
    assert start - 1.99 <= 0.2 + LONGEST + PAUSE  # one frame behind at the most
    # No frame shows a place that had been left before the last frame was even begun.
    for (began, _), (_, shown) in pairwise(hand.frames):
        assert 0.01 * (shown - 1) >= began - 1e-9


def test_moves_that_never_stop_still_make_frames(loop: TimedLoop) -> None:
    """Moves come faster than they can be taken in one by one with a pause between them."""
    hand = Hand(loop, work=0.02)
    drag(loop, hand, [PAUSE / 2 * k for k in range(1000)])  # two seconds
    gaps = [b - a for (a, _), (b, _) in pairwise(hand.frames)]
    assert max(gaps) <= 0.02 + LONGEST + 2 * PAUSE + 1e-9 and hand.frames[-1][1] == 1000
    assert len(hand.frames) < 100


def test_a_frame_now_takes_the_place_of_the_one_waited_for(loop: TimedLoop) -> None:
    hand = Hand(loop)

    async def run() -> None:
        hand.move(1)  # drawn
        hand.move(2)  # waited for
        hand.place = 3
        hand.view.now()
        hand.view.finish()  # nothing is waited for any more
        hand.move(4)
        hand.view.finish()
        hand.move(5)
        hand.view.cancel()
        await asyncio.sleep(1)

    loop.run_until_complete(run())
    assert [place for _, place in hand.frames] == [1, 3, 4]


def test_a_frame_that_fails_does_not_stop_the_next(loop: TimedLoop) -> None:
    drawn = []

    def draw() -> None:
        drawn.append(frames.asked)
        if len(drawn) == 1:
            raise ValueError("once")

    frames = Frames(draw)

    async def run() -> None:
        with pytest.raises(ValueError, match="once"):
            frames.ask()
        frames.ask()
        await asyncio.sleep(1)

    loop.run_until_complete(run())
    assert drawn == [1, 2]


def test_a_slider_knows_who_moves_it() -> None:
    slider = Slider(min=0, max=10)
    seen = []
    slider.observe(lambda change: seen.append((change["new"], slider.from_page)), "value")
    slider.set_state({"value": 3.0})
    slider.value = 4.0
    assert seen == [(3.0, True), (4.0, False)] and not slider.from_page


def test_a_slider_whose_move_fails_is_free_again() -> None:
    slider = Slider(min=0, max=10)
    with pytest.raises(Exception, match="value"):
        slider.set_state({"value": "tall"})
    assert not slider.from_page
