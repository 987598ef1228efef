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
from tablekit.engine.rearrange import solve_for
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning.fixing_plan import outside_rim
from tablekit.planning.glue_up import strips_used
from tablekit.planning.leg_stretchers import leg_stretchers
from tablekit.planning.post_marks import locked_words
from tablekit.relations import edges, glue, quantities, work
from tablekit.relations.bases import base_of
from tablekit.relations.wording import SHOP
from tablekit.relations.work import DAY
from tablekit.shipped import reference_path

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle
    from tablekit.planning.edge_plan import EdgePlan
    from tablekit.planning.glue_stages import Stage
    from tablekit.planning.post_glue import PostGlueUp
    from tablekit.planning.top_joints import TopJoints


# -- the order -------------------------------------------------------------------------------------

# How far an arris is eased, mm. Common practice, no source.
EASED, EASED_IN = 1.0, 25.4 / 32
_NEAR = 1e-6


@dataclass(frozen=True)
class WorkStep:
    """One task before it is given its time.

    after  keys of the tasks that must be done, and have waited, before it
    hands  minutes at the bench; `wait` minutes that must pass afterwards
    whole  whether it cannot be put down half way
    clear  keys of the tasks whose clamps it takes: they must be done and off the clamps, which
           takes each its own `held` minutes, no more than its wait
    how    sizes and tools for it, where there is more to say than its words; "" where not
    """

    key: str
    words: str
    after: tuple[str, ...]
    hands: float
    wait: float
    whole: bool
    clear: tuple[str, ...] = ()
    held: float = 0.0
    how: str = ""


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
                "how": task.step.how,
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


# -- the steps of making a piece, or several alike -------------------------------------------------

# Any units in which a formula reads the same: metres, square metres, minutes.
_rim_length = solve_for(work.RIM_LENGTH, work.rim_length, quantities.top_diameter)
_arris_length = solve_for(work.ARRIS_LENGTH, work.arris_length, edges.edge_passes, work.rim_length)
_sanded = solve_for(work.SANDED, work.sanded_area, work.surface_area, work.grades)
_gluing = solve_for(
    work.GLUING, work.gluing_minutes, glue.clamping_time, work.joints_glued, glue.joint_time
)


@dataclass(frozen=True)
class _Batch:
    """So many pieces alike, made together: each task is set up once for all of them."""

    hours: Mapping[str, float]
    pieces: int

    def task(
        self, key: str, after: Sequence[str], count: float, words: str = "", name: str = ""
    ) -> WorkStep:
        """A task for all the pieces, `count` items to each."""
        return timed(key, after, count, self.hours, words, name, self.pieces)

    def sessions(
        self, key: str, after: Sequence[str], count: float, words: str = "", name: str = ""
    ) -> Iterator[WorkStep]:
        """A task that cannot be put down half way, as few times as the working day allows; the
        last has the name of the task."""
        goes = self._goes(key, count)
        for number, pieces in enumerate(goes, start=1):
            one = timed(key, after, count, self.hours, words, name, pieces)
            if len(goes) > 1:
                said = f"{one.words}; session {number} of {len(goes)}: {counted(pieces)}"
                last = number == len(goes)
                one = replace(one, words=said, key=one.key if last else f"{one.key}_{number}")
            yield one
            after = (one.key,)

    def _goes(self, key: str, count: float) -> list[int]:
        """How many pieces to each session, the most that a day has room for."""
        left, goes = self.pieces, list[int]()
        while left:
            most = next((n for n in range(left, 0, -1) if self._fits(key, count, n)), 1)
            goes.append(most)
            left -= most
        return goes

    def _fits(self, key: str, count: float, pieces: int) -> bool:
        """Whether this number of pieces is done in a day."""
        hands = timed(key, (), count, self.hours, pieces=pieces).hands
        return hands <= self.hours["working_day"] + 1e-6


def counted(pieces: int) -> str:
    """How many pieces, in words: "1 piece", "3 pieces"."""
    return f"{pieces} piece{'s' * (pieces > 1)}"


def piece_order(
    sheet: Sheet,
    joints: Sequence[TopJoints] = (),
    grades: int = 5,
    wishes: Mapping[str, float] | None = None,
    edge: EdgePlan | None = None,
    pieces: int = 1,
    post: PostGlueUp | None = None,
) -> WorkOrder:
    """The order of work of a piece, or of several alike: each task for all of them before the next.

    joints  how each top is glued up; one without is one board, or a panel that is bought
    grades  how many grades of paper it is sanded with
    wishes  see `tablekit.planning.work_order.calendar`
    edge    how the edge of the top is shaped; None where it stays square
    post    how each post is glued up; None where that is not known
    """
    batch = _Batch(calendar(wishes or {}), pieces)
    posts = base_of(sheet).crossed
    base = [*(_posts(sheet, batch, grades) if posts else _legs(sheet, batch))]
    # Of posts that cannot go together nothing is planned beyond where the maker has to stop.
    stopped = base[-1].key == "cut_notches"
    finish = () if stopped else _finish(sheet, batch, not posts)
    steps = [*_top(sheet, joints, batch, grades, edge), *base, *finish]
    how = _how(sheet.shop_style, edge, post)
    named = [
        replace(step, how=next((how[key] for key in how if step.key.startswith(key)), ""))
        for step in steps
    ]
    return work_order(named, wishes)


def _how(style: ShopStyle, edge: EdgePlan | None, post: PostGlueUp | None) -> dict[str, str]:
    """What more there is to say of some tasks, by the beginning of their keys."""
    eased = EASED_IN if style.display == "in" else EASED
    small = shop_text(eased, "mm", style)
    found = {"sand_posts": f"arrises {small}"}
    if edge is None:
        found["ease_rim"] = f"a square rim, both arrises {small}"
    elif edge.edge.bevelled:
        found |= dict.fromkeys(("rout_bevel", "plane_bevel"), edge.sizes)
        found["ease_rim"] = f"upper arris {small}"
    else:
        found["round_arrises"] = edge.sizes
    return found if post is None else {**found, "glue_posts": post.how}


def _halt(key: str, after: tuple[str, ...], words: str) -> WorkStep:
    """A place where the maker has to stop: it takes no minutes, since it is not to be done."""
    return WorkStep(key, words, after, 0.0, 0.0, False)


def _top(
    sheet: Sheet, joints: Sequence[TopJoints], batch: _Batch, grades: int, edge: EdgePlan | None
) -> Iterator[WorkStep]:
    faces = sheet.number("top_area")
    rim = _rim_length(sheet.si["top_diameter"])
    glued = [one for one in joints if one.glue is not None]
    if glued:
        strips = sum(len(strips_used(one.layout)) for one in glued)
        count = sum(round(one.glue.number("joints")) for one in glued if one.glue is not None)
        yield timed("mill_strips", (), strips, batch.hours)
        yield timed("cut_tenons", ("mill_strips",), count, batch.hours)
        yield from _glue_up(glued, batch.hours)
        yield batch.task("level_top", ("glue_top",), faces)
    else:
        yield batch.task("level_top", (), faces, "Flatten both faces of the top")
    yield batch.task("fill_top", ("level_top",), 1)
    minutes, before = sheet.get("cutting_minutes") or 0.0, "fill_top"
    if edge is not None and edge.steps:
        yield batch.task("rout_bevel", (before,), edge.minutes)
        before = "rout_bevel"
    yield batch.task("cut_round", (before,), minutes)
    before = "cut_round"
    if edge is not None:
        shape = _edge(edge, rim, batch)
        yield shape
        before = shape.key
    yield batch.task("ease_rim", (before,), rim)
    yield batch.task("sand_top", ("ease_rim",), _sanded(faces, grades))


def _edge(edge: EdgePlan, rim: float, batch: _Batch) -> WorkStep:
    """Planing the bevel, or rounding the arrises, of a rim of this length, in metres."""
    if edge.edge.bevelled:
        return batch.task("plane_bevel", ("cut_round",), rim)
    return batch.task("round_arrises", ("cut_round",), _arris_length(edge.passes, rim))


def _glue_up(tops: Sequence[TopJoints], hours: Mapping[str, float]) -> Iterator[WorkStep]:
    """The glue-up of one top after the other, stage by stage; the last is "glue_top". A stage
    waits for the panels that it joins to dry, and for the clamps of the stage before."""
    stages = [(top, one, stage) for top, one in enumerate(tops, 1) for stage in _stages(one)]
    keys = [*(f"glue_top_{number}" for number in range(1, len(stages))), "glue_top"]
    first: dict[int, int] = {}
    for go, (top, one, stage) in enumerate(stages):
        first.setdefault(top, go)
        which = "the top" if len(tops) == 1 else f"top {top} of {len(tops)}"
        words = f"Glue up {which}" if len(tops) > 1 else ""
        clear = (keys[go - 1],) if go else ()
        if stage is None:  # it cannot be done; the checks say so
            assert one.glue is not None
            clamping, each = (one.glue.number(name) for name in ("clamping_time", "joint_time"))
            minutes = _gluing(clamping, round(one.glue.number("joints")), each)
            step = timed("glue_top", ("cut_tenons",), minutes, hours, words, name=keys[go])
            yield replace(step, clear=clear, held=_held(one, step))
            continue
        assert one.staging is not None
        if (count := len(one.staging.stages)) > 1:
            said = stage.words(one.numbers)
            words = f"Glue up {which}, stage {stage.number} of {count}: {said}"
        dry = tuple(keys[first[top] + number - 1] for number in stage.after) or ("cut_tenons",)
        step = timed("glue_top", dry, stage.minutes, hours, words, name=keys[go])
        yield replace(step, clear=clear, held=_held(one, step))


def _held(one: TopJoints, step: WorkStep) -> float:
    """Minutes for which a glue-up keeps the clamps: all the time that it dries where unknown."""
    return step.wait if one.staging is None else min(one.staging.dwell, step.wait)


def _stages(one: TopJoints) -> tuple[Stage | None, ...]:
    """The stages of its glue-up; one that is unknown where it cannot be done."""
    return (one.staging.stages if one.staging is not None else ()) or (None,)


def _posts(sheet: Sheet, batch: _Batch, grades: int) -> Iterator[WorkStep]:
    layers = round(sheet.number("post_laminations"))
    if layers > 1:
        yield batch.task("mill_layers", (), 3 * layers)
        yield from batch.sessions("glue_posts", ("mill_layers",), 3)
        yield batch.task("square_posts", ("glue_posts",), 3)
    else:
        yield batch.task("square_posts", (), 3)
    yield batch.task("mark_posts", ("square_posts",), 3)
    if locked_words(sheet):
        # Short enough for the chart of the days; the posts' own page says what to do.
        stop = "Stop here. Do not cut the notches: these posts cannot be assembled"
        yield _halt("cut_notches", ("mark_posts",), stop)
        return
    yield batch.task("cut_notches", ("mark_posts",), base_of(sheet).notches)
    yield batch.task("try_dry", ("cut_notches",), 3)
    yield batch.task("cut_flats", ("try_dry",), 6)
    area = sheet.number("base_area")
    yield batch.task("sand_posts", ("cut_flats",), _sanded(area, grades))
    yield from batch.sessions("glue_base", ("sand_posts",), 3)
    if outside_rim(sheet):
        wait = "Leave the plates out: the heads stand outside the rim"
        yield _halt("fit_plates", ("glue_base",), wait)
    else:
        yield batch.task("fit_plates", ("glue_base",), 3)
    yield batch.task("try_top", ("fit_plates", "sand_top"), 3)


def _legs(sheet: Sheet, batch: _Batch) -> Iterator[WorkStep]:
    legs = base_of(sheet).count
    dried = sheet.number("tenon_moisture") < sheet.number("shop_moisture")
    turned = "Saw out and shape the legs, then keep them warm and dry" if dried else ""
    # The bit is tried, and a tenon fitted to it, before any leg is shaped to that size.
    yield batch.task("trial_socket", (), 1)
    yield batch.task("turn_legs", ("trial_socket",), legs, turned)
    angle, deep = sheet.shop("drill_angle"), sheet.shop("socket_depth")
    # A blind socket leaves no end to wedge; a tenon that comes through is sawn and wedged.
    through = sheet.number("socket_cover") <= 0
    bored = "right through into waste wood" if through else f"{deep} deep, with a depth stop"
    words = f"Clamp the top and bore the sockets at {angle}, {bored}"
    yield batch.task("drill_sockets", ("sand_top",), legs, words)
    words = "Fit the legs dry, then glue and wedge them in, wedges across the grain of the top"
    if not through:
        words = "Fit the legs dry, growth rings across the grain of the top, then glue them in"
    before: tuple[str, ...] = ("turn_legs", "drill_sockets")
    if (joins := leg_stretchers(sheet)) is not None:
        yield batch.task("turn_stretchers", (), joins.count)
        yield batch.task("bore_legs", before, len(joins.mortises))
        before = ("bore_legs", "turn_stretchers")
        words = (
            "Put legs and stretchers together, start all legs at once and drive them home by "
            "turns: dry, then with glue"
        )
        if through:
            words += ", and wedges across the grain of the top"
    yield from batch.sessions("fit_legs", before, legs, words)
    yield batch.task("trim_legs", ("fit_legs",), legs)


def _finish(sheet: Sheet, batch: _Batch, legs: bool) -> Iterator[WorkStep]:
    before, area = ("trim_legs" if legs else "try_top"), sheet.number("finish_area")
    coats = round(sheet.number("coats"))
    for number in range(1, coats + 1):
        words = f"Coat {number} of {coats}: oil all faces, wait, wipe off the excess"
        yield from batch.sessions("coat", (before,), area, words, name=f"coat_{number}")
        before = f"coat_{number}"
    if not legs:
        if outside_rim(sheet):
            bare = "Do not fasten this top: the heads stand outside the rim"
            yield _halt("fasten_top", (before,), bare)
        else:
            yield batch.task("fasten_top", (before,), 3)
        before = "fasten_top"
    yield batch.task("look_over", (before,), 1)
