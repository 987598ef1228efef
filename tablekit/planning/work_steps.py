"""The steps of making one piece, each with what must come before it and its minutes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from tablekit.engine.one_relation import solve_for
from tablekit.planning.fixing_plan import outside_rim
from tablekit.planning.glue_up import strips_used
from tablekit.planning.notches import locked_words
from tablekit.planning.work_order import Step, WorkOrder, calendar, timed, work_order
from tablekit.relations import edges, glue, quantities, work
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.edge_plan import EdgePlan
    from tablekit.planning.top_joints import TopJoints

# Any units in which a formula reads the same: metres, square metres, minutes.
_rim_length = solve_for(work.RIM_LENGTH, work.rim_length, quantities.top_diameter)
_arris_length = solve_for(work.ARRIS_LENGTH, work.arris_length, edges.edge_passes, work.rim_length)
_sanded = solve_for(work.SANDED, work.sanded_area, work.surface_area, work.grades)
_gluing = solve_for(
    work.GLUING, work.gluing_minutes, glue.clamping_time, work.joints_glued, glue.joint_time
)


def piece_order(
    sheet: Sheet,
    joints: TopJoints | None = None,
    grades: int = 5,
    wishes: Mapping[str, float] | None = None,
    edge: EdgePlan | None = None,
) -> WorkOrder:
    """The order of work of a piece.

    joints  how the top is glued up; without them it is one board, or a panel that is bought
    grades  how many grades of paper it is sanded with
    wishes  see `tablekit.planning.work_order.calendar`
    edge    how the edge of the top is shaped; None where it stays square
    """
    hours = calendar(wishes or {})
    posts = base_of(sheet).crossed
    base = [*(_posts(sheet, hours, grades) if posts else _legs(sheet, hours))]
    # Of posts that cannot go together nothing is planned beyond where the maker has to stop.
    stopped = base[-1].key == "cut_notches"
    finish = () if stopped else _finish(sheet, hours, not posts)
    return work_order([*_top(sheet, joints, hours, grades, edge), *base, *finish], wishes)


def _halt(key: str, after: tuple[str, ...], words: str) -> Step:
    """A place where the maker has to stop: it takes no minutes, since it is not to be done."""
    return Step(key, words, after, 0.0, 0.0, False)


def _top(
    sheet: Sheet, joints: TopJoints | None, hours: Mapping[str, float], grades: int,
    edge: EdgePlan | None,
) -> Iterator[Step]:  # fmt: skip
    faces = sheet.number("top_area")
    rim = _rim_length(sheet.si["top_diameter"])
    if joints is not None and joints.glue is not None:
        strips = len(strips_used(joints.layout))
        count = round(joints.glue.number("joints"))
        yield timed("mill_strips", (), strips, hours)
        yield timed("cut_tenons", ("mill_strips",), count, hours)
        yield from _glue_up(joints, hours)
        yield timed("level_top", ("glue_top",), faces, hours)
    else:
        yield timed("level_top", (), faces, hours, "Flatten both faces of the top")
    yield timed("fill_top", ("level_top",), 1, hours)
    minutes, before = sheet.get("cutting_minutes") or 0.0, "fill_top"
    if edge is not None and edge.steps:
        yield timed("rout_bevel", (before,), edge.minutes, hours)
        before = "rout_bevel"
    yield timed("cut_round", (before,), minutes, hours)
    before = "cut_round"
    if edge is not None:
        shape = _edge(edge, rim, hours)
        yield shape
        before = shape.key
    yield timed("ease_rim", (before,), rim, hours)
    yield timed("sand_top", ("ease_rim",), _sanded(faces, grades), hours)


def _edge(edge: EdgePlan, rim: float, hours: Mapping[str, float]) -> Step:
    """Planing the bevel, or rounding the arrises, of a rim so many metres long."""
    if edge.edge.bevelled:
        return timed("plane_bevel", ("cut_round",), rim, hours)
    return timed("round_arrises", ("cut_round",), _arris_length(edge.passes, rim), hours)


def _glue_up(joints: TopJoints, hours: Mapping[str, float]) -> Iterator[Step]:
    """The glue-up stage by stage; the last is "glue_top". A stage waits for the panels that it
    joins to dry, and for the clamps of the stage before."""
    assert joints.glue is not None
    staging = joints.staging
    if staging is None or not staging.stages:  # it cannot be done; the checks say so
        clamping, each = (joints.glue.number(name) for name in ("clamping_time", "joint_time"))
        minutes = _gluing(clamping, round(joints.glue.number("joints")), each)
        yield timed("glue_top", ("cut_tenons",), minutes, hours)
        return
    count = len(staging.stages)
    keys = [*(f"glue_top_{number}" for number in range(1, count)), "glue_top"]
    for stage, key in zip(staging.stages, keys, strict=True):
        words = ""
        if count > 1:
            words = (
                f"Glue up the top, stage {stage.number} of {count}: {stage.words(joints.numbers)}"
            )
        before = tuple(keys[number - 1] for number in stage.after) or ("cut_tenons",)
        step = timed("glue_top", before, stage.minutes, hours, words, name=key)
        clear = (keys[stage.number - 2],) if stage.number > 1 else ()
        yield replace(step, clear=clear, held=min(staging.dwell, step.wait))


def _posts(sheet: Sheet, hours: Mapping[str, float], grades: int) -> Iterator[Step]:
    layers = round(sheet.number("post_laminations"))
    if layers > 1:
        yield timed("mill_layers", (), 3 * layers, hours)
        yield timed("glue_posts", ("mill_layers",), 3, hours)
        yield timed("square_posts", ("glue_posts",), 3, hours)
    else:
        yield timed("square_posts", (), 3, hours)
    yield timed("mark_posts", ("square_posts",), 3, hours)
    if locked_words(sheet):
        # Short enough for the chart of the days; the posts' own page says what to do.
        stop = "Stop here. Do not cut the notches: these posts cannot be assembled"
        yield _halt("cut_notches", ("mark_posts",), stop)
        return
    yield timed("cut_notches", ("mark_posts",), base_of(sheet).notches, hours)
    yield timed("try_dry", ("cut_notches",), 3, hours)
    yield timed("cut_flats", ("try_dry",), 6, hours)
    area = sheet.number("base_area")
    yield timed("sand_posts", ("cut_flats",), _sanded(area, grades), hours)
    yield timed("glue_base", ("sand_posts",), 3, hours)
    if outside_rim(sheet):
        wait = "Leave the plates out: the heads stand outside the rim"
        yield _halt("fit_plates", ("glue_base",), wait)
    else:
        yield timed("fit_plates", ("glue_base",), 3, hours)
    yield timed("try_top", ("fit_plates", "sand_top"), 3, hours)


def _legs(sheet: Sheet, hours: Mapping[str, float]) -> Iterator[Step]:
    legs = base_of(sheet).count
    yield timed("turn_legs", (), legs, hours)
    yield timed("drill_sockets", ("sand_top",), legs, hours)
    # A blind socket leaves no end to wedge; a tenon that comes through is sawn and wedged.
    through = sheet.number("socket_cover") <= 0
    words = "Fit the legs dry, then glue and wedge them in" if through else ""
    yield timed("fit_legs", ("turn_legs", "drill_sockets"), legs, hours, words)
    yield timed("trim_legs", ("fit_legs",), legs, hours)


def _finish(sheet: Sheet, hours: Mapping[str, float], legs: bool) -> Iterator[Step]:
    before, area = ("trim_legs" if legs else "try_top"), sheet.number("finish_area")
    coats = round(sheet.number("coats"))
    for number in range(1, coats + 1):
        words = f"Coat {number} of {coats}: oil all faces, wait, wipe off the excess"
        yield timed("coat", (before,), area, hours, words, name=f"coat_{number}")
        before = f"coat_{number}"
    if not legs:
        if outside_rim(sheet):
            bare = "Do not fasten this top: the heads stand outside the rim"
            yield _halt("fasten_top", (before,), bare)
        else:
            yield timed("fasten_top", (before,), 3, hours)
        before = "fasten_top"
    yield timed("look_over", (before,), 1, hours)
