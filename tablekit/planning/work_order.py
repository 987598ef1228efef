"""The order of work: what must come before what, how long it takes, laid over working days.

order = work_order(sheet, joints=joints)
order.tasks, order.days
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import networkx as nx

from tablekit.engine.network import Network
from tablekit.engine.trouble import DesignError
from tablekit.relations import work
from tablekit.relations.wording import SHOP
from tablekit.relations.work import DAY
from tablekit.shipped import reference_path

if TYPE_CHECKING:
    from tablekit.engine.network import Network

_NEAR = 1e-6


@dataclass(frozen=True)
class WorkStep:
    """One task before it is given its time.

    after  keys of the tasks that must be done, and have waited, before it
    hands  minutes at the bench; `wait` minutes that must pass afterwards
    whole  whether it cannot be put down half way
    clear  keys of the tasks whose clamps it takes: they must be done and off the clamps, which
           takes each its own `held` minutes, no more than its wait
    """

    key: str
    words: str
    after: tuple[str, ...]
    hands: float
    wait: float
    whole: bool
    clear: tuple[str, ...] = ()
    held: float = 0.0


@dataclass(frozen=True)
class Task:
    """A task with its time: minutes from midnight of the first day.

    spells     stretches at the bench, (start, end); more than one where it runs into another day
    meanwhile  keys of the tasks that are worked on while this one waits
    """

    step: WorkStep
    spells: tuple[tuple[float, float], ...]
    meanwhile: tuple[str, ...] = ()

    @property
    def start(self) -> float:
        """When it is begun."""
        return self.spells[0][0]

    @property
    def done(self) -> float:
        """When hands leave it."""
        return self.spells[-1][1]

    @property
    def ready(self) -> float:
        """When it has waited, too."""
        return self.done + self.step.wait


@dataclass(frozen=True)
class WorkOrder:
    """Tasks in the order of work.

    hands   minutes at the bench in all
    days    working days, the first and the last counted
    least   days that no plan can do with fewer
    day     (start, end) of a working day, minutes from midnight
    """

    tasks: tuple[Task, ...]
    hands: float
    days: int
    least: int
    day: tuple[float, float]

    def to_json(self) -> list[dict[str, Any]]:
        """The tasks as plain data; days count from 1, times as "HH:MM", durations in minutes."""
        return [
            {
                "task": task.step.words,
                "key": task.step.key,
                "after": list(task.step.after),
                "hands_on": round(task.step.hands, 6),
                "wait": round(task.step.wait, 6),
                "start": moment(task.start),
                "done": moment(task.done),
                "meanwhile": list(task.meanwhile),
            }
            for task in self.tasks
        ]


def moment(minutes: float) -> dict[str, Any]:
    """{"day": from 1, "time": "HH:MM"} of minutes from midnight of the first day."""
    whole = round(minutes)
    return {"day": whole // 1440 + 1, "time": f"{whole % 1440 // 60:02d}:{whole % 60:02d}"}


@cache
def network() -> Network:
    """The relation of one task's minutes."""
    return Network(
        "a task", work.OF_A_TASK, (work.TASK_MINUTES,), work.ASSUMPTIONS[:1], wording=SHOP
    )


@cache
def calendar_network() -> Network:
    """Working hours, waiting and pace, each assumed unless it is given."""
    return Network("working days", work.CALENDAR, (), work.ASSUMPTIONS, wording=SHOP)


@cache
def _table() -> dict[str, dict[str, str]]:
    with open(reference_path("work.csv"), encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["task"]: row for row in rows}


def work_order(steps: Sequence[WorkStep], wishes: Mapping[str, float] | None = None) -> WorkOrder:
    """Steps laid over working days, one maker at the bench.

    wishes  working_day, day_start (minutes); see `calendar`
    Raises DesignError where steps wait for one another in a circle or for one that is not there, or
    where one that cannot be put down is longer than a day.
    """
    hours = calendar(wishes or {})
    day = (hours["day_start"], hours["day_start"] + hours["working_day"])
    graph = _graph(steps)
    for step in steps:
        if step.whole and step.hands > day[1] - day[0] + _NEAR:
            raise DesignError(
                f'"{step.words}" takes {step.hands:.0f} minutes and cannot be interrupted, '
                f"but the working day has {day[1] - day[0]:.0f}. Set a longer working_day, or "
                "split the work"
            )
    tasks = _laid(graph, {step.key: step for step in steps}, day)
    return WorkOrder(
        tuple(_with_meanwhile(tasks)),
        sum(step.hands for step in steps),
        int((tasks[-1].done - _NEAR) // DAY) + 1 if tasks else 0,
        _least_days(graph, {step.key: step for step in steps}, day),
        day,
    )


def calendar(wishes: Mapping[str, float]) -> dict[str, float]:
    """Minutes of the working day, its start and the waits, and the pace; assumed where not wished.

    Raises UnknownName for another wish and RangeError for an absurd one, or for a day that runs
    past midnight.
    """
    sheet = calendar_network().solve(dict(wishes))
    found = {quantity.name: sheet.number(quantity.name) for quantity in work.CALENDAR}
    if fault := work.past_midnight(found):
        raise DesignError(fault)
    return found


def timed(
    key: str, after: Sequence[str], count: float, hours: Mapping[str, float], words: str = "",
    name: str = "", pieces: int = 1,
) -> WorkStep:  # fmt: skip
    """A step with the minutes that `reference/work.csv` gives for `count` of them to a piece.

    key     row of the table; `name` calls the step otherwise where a row serves several
    hours   from `calendar`
    pieces  how many pieces it is done for, set up once
    """
    row = _table()[key]
    minutes = network().solve(
        {
            "task_setup": float(row["setup"]), "task_each": float(row["each"]),
            "task_count": float(count), "lot_count": float(pieces), "pace": hours["pace"],
        }
    )  # fmt: skip
    wait = 0.0 if row["wait"] == "none" else hours[row["wait"]]
    return WorkStep(
        name or key, words or row["words"], tuple(after), minutes.number("task_minutes"), wait,
        row["whole"] == "yes",
    )  # fmt: skip


def _graph(steps: Sequence[WorkStep]) -> nx.DiGraph:
    waits = {step.key: step.wait for step in steps}
    held = {step.key: step.held for step in steps}
    graph = nx.DiGraph()
    graph.add_nodes_from(step.key for step in steps)
    if len(graph) < len(steps):
        raise DesignError("two steps of the work have one name")
    for step in steps:
        for before in step.after:
            if before not in graph:
                raise DesignError(
                    f'"{step.key}" waits for "{before}", which is not a step of the work'
                )
            graph.add_edge(before, step.key, wait=waits[before])
        for before in step.clear:
            if before not in graph:
                raise DesignError(f'"{step.key}" takes the clamps of "{before}", which is no step')
            if before not in step.after:
                graph.add_edge(before, step.key, wait=held[before])
    if not nx.is_directed_acyclic_graph(graph):
        circle = ", ".join(before for before, _ in nx.find_cycle(graph))
        raise DesignError(f"these steps wait for one another: {circle}")
    return graph


def _tails(graph: nx.DiGraph, steps: Mapping[str, WorkStep]) -> dict[str, float]:
    """Minutes from the beginning of each step to the end of the longest chain behind it."""
    tails: dict[str, float] = {}
    for key in reversed(list(nx.topological_sort(graph))):
        behind = (graph.edges[key, after]["wait"] + tails[after] for after in graph.successors(key))
        tails[key] = steps[key].hands + max(behind, default=steps[key].wait)
    return tails


def _laid(graph: nx.DiGraph, steps: Mapping[str, WorkStep], day: tuple[float, float]) -> list[Task]:
    tails, order = _tails(graph, steps), {key: n for n, key in enumerate(steps)}
    laid: dict[str, Task] = {}
    now = day[0]
    while len(laid) < len(steps):
        now = _at_work(now, day)
        open_keys = [
            key for key in steps
            if key not in laid and all(before in laid for before in graph.predecessors(key))
        ]  # fmt: skip
        free = {
            key: max(
                (
                    laid[before].done + graph.edges[before, key]["wait"]
                    for before in graph.predecessors(key)
                ),
                default=0.0,
            )
            for key in open_keys
        }
        fits = [
            key for key in open_keys if free[key] <= now + _NEAR and _fits(steps[key], now, day)
        ]
        if fits:
            key = max(fits, key=lambda one: (tails[one], -order[one]))
            laid[key] = Task(steps[key], tuple(_spells(now, steps[key].hands, day)))
            now = laid[key].done
        else:
            later = [free[key] for key in open_keys if free[key] > now + _NEAR]
            # What is free but does not fit today begins tomorrow at the latest.
            tomorrow = (now // DAY + 1) * DAY + day[0]
            now = min([*later, tomorrow]) if len(later) < len(open_keys) else min(later)
    return sorted(laid.values(), key=lambda task: task.start)


def _at_work(now: float, day: tuple[float, float]) -> float:
    """The first moment not before `now` at which there is work."""
    midnight, time = now // DAY * DAY, now % DAY
    if time < day[0]:
        return midnight + day[0]
    return now if time < day[1] - _NEAR else midnight + DAY + day[0]


def _fits(step: WorkStep, now: float, day: tuple[float, float]) -> bool:
    return not step.whole or now % DAY + step.hands <= day[1] + _NEAR


def _spells(now: float, hands: float, day: tuple[float, float]) -> Iterator[tuple[float, float]]:
    while True:
        end = min(now + hands, now // DAY * DAY + day[1])
        yield now, end
        hands -= end - now
        if hands <= _NEAR:
            return
        now = _at_work(end, day)


def _with_meanwhile(tasks: Sequence[Task]) -> Iterator[Task]:
    for task in tasks:
        beside = (
            other.step.key
            for other in tasks
            if any(start < task.ready - _NEAR and end > task.done + _NEAR
                   for start, end in other.spells)
        )  # fmt: skip
        yield replace(task, meanwhile=tuple(beside) if task.step.wait else ())


def _least_days(graph: nx.DiGraph, steps: Mapping[str, WorkStep], day: tuple[float, float]) -> int:
    """Days that any plan takes: the longest chain with a helper for everything, or all the minutes
    at the bench."""
    if not steps:
        return 0
    ends: dict[str, float] = {}
    for key in nx.topological_sort(graph):
        before = (ends[one] + graph.edges[one, key]["wait"] for one in graph.predecessors(key))
        start = _at_work(max(before, default=day[0]), day)
        if not _fits(steps[key], start, day):
            start = (start // DAY + 1) * DAY + day[0]
        ends[key] = [*_spells(start, steps[key].hands, day)][-1][1]
    bench = [*_spells(day[0], sum(step.hands for step in steps.values()), day)][-1][1]
    return int((max(*ends.values(), bench) - _NEAR) // DAY) + 1
