"""What the maker did in a panel, one step after another, so that it can be undone."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Generic, TypeVar

State = TypeVar("State")

MOST_STEPS = 200
# Moves of one slider that follow within this are one drag, and one step to undo. Seconds.
SAME_DRAG = 1.0


class History(Generic[State]):
    """The states that a panel went through, the present one among them.

    most    how many steps can be undone; the oldest are forgotten first
    clock   tells the time in seconds; a test brings its own
    """

    def __init__(
        self, start: State, most: int = MOST_STEPS, clock: Callable[[], float] = time.monotonic
    ):
        self._past: list[State] = []
        self._future: list[State] = []
        self.present = start
        self._most, self._clock = most, clock
        self._drag, self._last = "", 0.0

    def note(self, state: State, drag: str = "") -> None:
        """Take down a new present. Moves with the same `drag`, close upon one another, count as
        one step. What was undone before can no longer be redone."""
        now = self._clock()
        goes_on = bool(drag) and drag == self._drag and now - self._last <= SAME_DRAG
        self._drag, self._last = drag, now
        if state == self.present:
            return
        if not goes_on:
            self._past = [*self._past, self.present][-self._most :]
        self.present = state
        self._future.clear()

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to undo."""
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        """Whether there is an undone step to do again."""
        return bool(self._future)

    def undo(self) -> State:
        """The state before the last step; the present one where there is none."""
        return self._step(self._past, self._future)

    def redo(self) -> State:
        """The state that was undone last; the present one where there is none."""
        return self._step(self._future, self._past)

    def _step(self, taken: list[State], kept: list[State]) -> State:
        self._drag = ""
        if taken:
            kept.append(self.present)
            self.present = taken.pop()
        return self.present
