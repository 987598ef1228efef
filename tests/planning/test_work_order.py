"""Work laid over days: nothing before its time, nobody in two places, and how short it can be."""

from __future__ import annotations

import random
from itertools import pairwise, permutations

import pytest

from tablekit.engine.trouble import DesignError, RangeError
from tablekit.planning.work_order import WorkOrder, WorkStep, calendar, timed, work_order
from tablekit.relations.work import DAY
from tests.together import each

NINE, SIX_HOURS = 540.0, 360.0


def assert_it_can_be_worked(order: WorkOrder, steps: list[WorkStep]) -> None:
    by_key = {task.step.key: task for task in order.tasks}
    assert sorted(by_key) == sorted(step.key for step in steps)
    spells = sorted(spell for task in order.tasks for spell in task.spells)
    for (_, end), (start, _) in pairwise(spells):
        assert start >= end - 1e-6  # one maker has two hands
    for task in order.tasks:
        assert sum(end - start for start, end in task.spells) == pytest.approx(task.step.hands)
        assert len(task.spells) == 1 or not task.step.whole
        for start, end in task.spells:
            assert start % DAY >= NINE - 1e-6 and end // DAY == start // DAY
            assert end % DAY <= NINE + SIX_HOURS + 1e-6
        for before in task.step.after:
            assert task.start >= by_key[before].ready - 1e-6
        for other in task.meanwhile:
            assert any(
                start < task.ready and end > task.done for start, end in by_key[other].spells
            )


def some_steps(dice: random.Random, count: int) -> list[WorkStep]:
    steps = []
    for n in range(count):
        after = tuple(f"s{k}" for k in range(n) if dice.random() < 0.35)
        whole = dice.random() < 0.3
        hands = float(dice.choice([20, 45, 90, 200] if whole else [20, 45, 90, 200, 500]))
        wait = float(dice.choice([0, 0, 60, 480, 720]))
        steps.append(WorkStep(f"s{n}", f"step {n}", after, hands, wait, whole))
    return steps


@each("seed", range(40))
def test_every_plan_can_be_worked(seed: int) -> None:
    steps = some_steps(random.Random(seed), 12)
    order = work_order(steps)
    assert_it_can_be_worked(order, steps)
    assert order.least <= order.days
    assert order.hands == sum(step.hands for step in steps)


def finish_in_this_order(steps: list[WorkStep]) -> float | None:
    """When the last hands leave, each step begun as soon as may be after the one before it; None
    where the order is not possible. Written without the planner."""
    ready: dict[str, float] = {}
    now = NINE
    for step in steps:
        if any(before not in ready for before in step.after):
            return None
        now = max([now, *(ready[before] for before in step.after)])
        left = step.hands
        while True:
            day, time = divmod(now, DAY)
            if time < NINE:
                now = day * DAY + NINE
            elif time >= NINE + SIX_HOURS or (step.whole and time + step.hands > NINE + SIX_HOURS):
                now = (day + 1) * DAY + NINE
            else:
                worked = min(left, NINE + SIX_HOURS - time)
                left, now = left - worked, now + worked
                if left <= 1e-9:
                    break
        ready[step.key] = now + step.wait
    return now


@each("seed", range(12))
def test_against_every_order_there_is(seed: int) -> None:
    steps = some_steps(random.Random(1000 + seed), 6)
    ends = [finish_in_this_order(list(order)) for order in permutations(steps)]
    shortest = min(end for end in ends if end is not None)
    order = work_order(steps)
    best_days = int((shortest - 1e-6) // DAY) + 1
    assert order.least <= best_days <= order.days  # the bound bounds, and nothing beats the best
    assert order.days <= best_days + 1


def test_what_dries_overnight_by_hand() -> None:
    # Glue at nine, 30 minutes; twelve hours later is 21:30, so planing begins next morning.
    hours = calendar({})
    steps = [
        WorkStep("glue", "Glue", (), 30.0, hours["glue_wait"], True),
        WorkStep("plane", "Plane", ("glue",), 60.0, 0.0, False),
        WorkStep("saw", "Saw", (), 120.0, 0.0, False),
    ]
    order = work_order(steps)
    at = {task.step.key: (task.start, task.done) for task in order.tasks}
    assert at == {
        "glue": (540.0, 570.0), "saw": (570.0, 690.0), "plane": (DAY + 540.0, DAY + 600.0),
    }  # fmt: skip
    glue = next(task for task in order.tasks if task.step.key == "glue")
    assert glue.meanwhile == ("saw",)
    assert (order.days, order.least) == (2, 2)
    assert order.to_json()[0]["start"] == {"day": 1, "time": "09:00"}


def test_a_glue_up_does_not_run_into_the_evening() -> None:
    steps = [
        WorkStep("saw", "Saw", (), 340.0, 0.0, False),
        WorkStep("glue", "Glue", ("saw",), 40.0, 0.0, True),
    ]  # fmt: skip
    order = work_order(steps)
    assert order.tasks[1].start == DAY + NINE
    longer = work_order(steps, {"working_day": 380.0})
    assert longer.days == 1


def test_minutes_of_a_row_of_the_table() -> None:
    # reference/work.csv: cutting notches takes 30 minutes to set up and 25 for each.
    assert timed("cut_notches", (), 3, calendar({})).hands == pytest.approx(105.0)
    assert timed("cut_notches", (), 3, calendar({"pace": 2.0})).hands == pytest.approx(210.0)
    assert timed("coat", (), 2, calendar({"coat_interval": 600.0})).wait == pytest.approx(600.0)


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ([WorkStep("a", "A", ("b",), 1, 0, False)], 'waits for "b"'),
        ([WorkStep("a", "A", (), 1, 0, False)] * 2, "one name"),
        (
            [WorkStep("a", "A", ("b",), 1, 0, False), WorkStep("b", "B", ("a",), 1, 0, False)],
            "wait for one another",
        ),
        ([WorkStep("a", "A", (), 400, 0, True)], "cannot be interrupted"),
    ],
)
def test_what_cannot_be_laid_is_told(steps: list[WorkStep], words: str) -> None:
    with pytest.raises(DesignError, match=words):
        work_order(steps)


def test_absurd_hours_are_refused() -> None:
    with pytest.raises(RangeError):
        calendar({"working_day": 5000.0})
    with pytest.raises(DesignError, match="past midnight"):
        calendar({"day_start": 1200.0, "working_day": 600.0})
    assert work_order([]).days == 0
