"""What a panel holds: the state of its controls as plain data, and the sheet that follows; and the
states before it, so that a step can be undone.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Generic, Literal, TypeVar

from tablekit.brief import Brief
from tablekit.engine.judge import in_words
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle
from tablekit.setting_out import set_out

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablekit.engine.judge import Problem


@dataclass(frozen=True)
class Givens:
    """The state of a panel.

    given   names switched to given, with their numbers in reporting units
    """

    brief: Brief
    given: Mapping[str, float]
    display: Literal["mm", "in"] = "mm"

    @classmethod
    def of(cls, brief: Brief) -> Givens:
        """The state that a brief opens with."""
        return cls(
            brief,
            dict(brief.givens),  # with the maker's own words, which a saved brief keeps
            brief.shop.display,
        )

    @property
    def style(self) -> ShopStyle:
        """How measures are read and shown."""
        return replace(self.brief.shop, display=self.display)

    def as_brief(self) -> Brief:
        """The same state as a brief, to be saved or solved."""
        return replace(
            self.brief,
            givens=dict(self.given),
            shop=self.style,
        )

    def with_given(self, name: str, number: float) -> Givens:
        """With `name` given as `number` (reporting unit)."""
        return replace(self, given={**self.given, name: number})

    def without(self, names: Iterable[str]) -> Givens:
        """With some names left to be found."""
        left_out = set(names)
        kept = {name: number for name, number in self.given.items() if name not in left_out}
        return replace(self, given=kept)


def evaluate(givens: Givens, near: Sheet | None = None) -> Sheet:
    """The sheet that follows from the state of a panel. Arguments and errors as `set_out`."""
    return set_out(givens.as_brief(), near)


def problem_with(sheet: Sheet, numbers: Mapping[str, float]) -> Problem | None:
    """Why the givens of a sheet cannot have other numbers (reporting units); None where they can.

    From the compiled plan of the sheet: a full account of what clashes makes new plans, which is
    too slow for what a slider passes over. What the sheet was not given is passed by."""
    values = {name: sheet.si[name] for name in sheet.givens}
    values |= {
        name: sheet.network.quantity(name).to_si(float(number))
        for name, number in numbers.items()
        if name in values
    }
    problems = sheet.plan.program.run(values).problems
    return problems[0] if problems else None


def refuse_at_once(sheet: Sheet, numbers: Mapping[str, float]) -> None:
    """Raises DesignError for what `problem_with` finds, in a sentence."""
    if problem := problem_with(sheet, numbers):
        raise DesignError(f"This is not possible: {in_words(problem, sheet.network)}.")


# -- Undo and redo ---------------------------------------------------------------------------------

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
