"""Undo and redo as data."""

from __future__ import annotations

from tablekit.panels.givens import SAME_DRAG, History


class Clock:
    """Seconds that pass when a test says so."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def test_steps_go_back_and_forth() -> None:
    history = History("a")
    assert not history.can_undo and not history.can_redo
    assert history.undo() == "a" and history.redo() == "a"
    for state in "bc":
        history.note(state)
    assert [history.undo(), history.undo(), history.undo()] == ["b", "a", "a"]
    assert history.can_redo and not history.can_undo
    assert [history.redo(), history.redo(), history.redo()] == ["b", "c", "c"]


def test_what_was_undone_is_gone_once_something_new_is_done() -> None:
    history = History("a")
    history.note("b")
    history.undo()
    history.note("c")
    assert not history.can_redo and history.undo() == "a"


def test_a_drag_is_one_step_and_another_drag_another() -> None:
    clock = Clock()
    history = History(0, clock=clock)
    for place in range(1, 20):  # as long as it takes, with short rests only
        clock.now += SAME_DRAG * 0.9
        history.note(place, drag="height")
    clock.now += SAME_DRAG * 1.1  # the hand let go
    history.note(30, drag="height")
    history.note(31, drag="width")  # another slider at once
    assert [history.undo(), history.undo(), history.undo()] == [30, 19, 0]


def test_a_move_after_an_undo_is_a_step_of_its_own() -> None:
    history = History(0, clock=Clock())
    history.note(1, drag="height")
    history.undo()
    history.note(2, drag="height")
    assert history.undo() == 0


def test_what_changes_nothing_is_no_step() -> None:
    history = History("a")
    history.note("a")
    assert not history.can_undo


def test_only_so_many_steps_are_kept() -> None:
    history = History(0, most=5)
    for state in range(1, 100):
        history.note(state)
    seen = [history.undo() for _ in range(10)]
    assert seen[:5] == [98, 97, 96, 95, 94] and set(seen[5:]) == {94}
