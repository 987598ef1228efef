"""The steps of making a piece, or several alike: what must come before each, and its minutes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tablekit.engine.rearrange import solve_for
from tablekit.planning.fixing_plan import outside_rim
from tablekit.planning.glue_up import strips_used
from tablekit.planning.leg_stretchers import leg_stretchers
from tablekit.planning.notches import locked_words
from tablekit.planning.work_order import WorkOrder, WorkStep, calendar, timed, work_order
from tablekit.relations import edges, glue, quantities, work
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.edge_plan import EdgePlan
    from tablekit.planning.glue_stages import Stage
    from tablekit.planning.top_joints import TopJoints

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
) -> WorkOrder:
    """The order of work of a piece, or of several alike: each task for all of them before the next.

    joints  how each top is glued up; one without is one board, or a panel that is bought
    grades  how many grades of paper it is sanded with
    wishes  see `tablekit.planning.work_order.calendar`
    edge    how the edge of the top is shaped; None where it stays square
    """
    batch = _Batch(calendar(wishes or {}), pieces)
    posts = base_of(sheet).crossed
    base = [*(_posts(sheet, batch, grades) if posts else _legs(sheet, batch))]
    # Of posts that cannot go together nothing is planned beyond where the maker has to stop.
    stopped = base[-1].key == "cut_notches"
    finish = () if stopped else _finish(sheet, batch, not posts)
    return work_order([*_top(sheet, joints, batch, grades, edge), *base, *finish], wishes)


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
