"""Tidying up when a run is ended from outside."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

# What `kill` sends, and what a terminal that is closed does.
ENDING = ("SIGTERM", "SIGHUP")


class _Ended(BaseException):
    """A signal came; on the way out everything is tidied up."""


@contextmanager
def tidied_up() -> Iterator[None]:
    """Within, a signal that would end this process at once lets what was begun be undone first, by
    every `finally` on the way out; then it ends the process as it would have.

    In the main thread alone, since no other is told of signals; and a signal that is ignored, as
    under nohup, or that someone else answers to, is left to them."""
    came: list[int] = []

    def end(number: int, _: FrameType | None) -> None:
        if not came:  # a second one would stop the tidying up
            came.append(number)
            raise _Ended

    numbers = [int(getattr(signal, name)) for name in ENDING if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        numbers = []
    answered = [number for number in numbers if signal.getsignal(number) is signal.SIG_DFL]
    for number in answered:
        signal.signal(number, end)
    try:
        yield
    except BaseException:
        # Whatever comes out once a signal came is due to it, also where the code that it fell into
        # made another fault of it.
        if not came:
            raise
    finally:
        for number in answered:
            signal.signal(number, signal.SIG_DFL)
    if came:
        os.kill(os.getpid(), came[0])


def ended_at_once() -> None:
    """In a copy of a process: signals end it as if nobody had asked to tidy up."""
    for name in ENDING:
        number = getattr(signal, name, None)
        if number is not None and callable(signal.getsignal(number)):
            signal.signal(number, signal.SIG_DFL)
