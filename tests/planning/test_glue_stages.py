"""Stages of a glue-up: each fits clamps and open time, and no order of gluing takes fewer."""

from __future__ import annotations

import itertools
import json
import math
import random

import pytest

from tablekit.brief import parse_brief
from tablekit.drawing.board_layout import LayoutSubject
from tablekit.drawing.glue_up import GlueUpSubject, clamps_figure, lay_out_glue_up
from tablekit.drawing.style import A4
from tablekit.packet.packet import answer_json
from tablekit.packet.summary import summary_text
from tablekit.planning.glue_stages import Joining, StagePlan, StripRow, stage_plan
from tablekit.planning.glue_up import stage_terms
from tablekit.setting_out import design_of
from tests.drawing.legible import overlapping
from tests.together import each

THICK = 28.0
# What a glue-up takes, as the sheet assumes it: 1.2 MPa, 4000 N a clamp, cauls of 40 mm; half a
# minute a clamp and a board, ten seconds a tenon, 0.04 m² spread in a minute (our own estimates).
PRESSURE, CAPACITY, CAUL = 1.2, 4000.0, 40.0


def row_of(widths: list[float], lengths: list[float], tenons: list[int]) -> StripRow:
    edges = (0.0, *itertools.accumulate(widths))
    joints = tuple(min(pair) for pair in itertools.pairwise(lengths))
    return StripRow(edges, tuple(lengths), joints, tuple(tenons))


def random_row(strips: int, seed: int) -> StripRow:
    choose = random.Random(seed)
    return row_of(
        [choose.uniform(50, 220) for _ in range(strips)],
        [choose.uniform(250, 1100) for _ in range(strips)],
        [choose.randrange(0, 6) for _ in range(strips - 1)],
    )


def by_hand(row: StripRow, first: int, last: int, wet: tuple[int, ...]) -> tuple[int, float]:
    """Clamps and minutes of one glue-up, by plain arithmetic."""
    length = max(row.joints[k] for k in wet)
    left = row.edges[wet[0] + 1] - row.edges[first]
    right = row.edges[last + 1] - row.edges[wet[-1] + 1]
    spacing = 2 * (CAUL + min(left, right))
    count = max(
        math.ceil(length / spacing - 1e-9), math.ceil(PRESSURE * length * THICK / CAPACITY - 1e-9)
    )
    joint = length * THICK / 40_000 + max(row.tenons[k] for k in wet) / 6 + 0.5
    return count, len(wet) * joint + count / 2


def groups(strips: int, glued: frozenset[int], wet: tuple[int, ...]) -> list[Joining]:
    """The glue-ups that wet joints make: joints on the same piece are in one clamp."""
    found: list[list[int]] = []
    for joint in wet:
        reach = joint  # back to the left over what is glued
        while reach - 1 in glued:
            reach -= 1
        if found and found[-1][-1] == reach - 1:
            found[-1].append(joint)
        else:
            found.append([joint])
    made = []
    for joints in found:
        first, last = joints[0], joints[-1] + 1
        while first - 1 in glued:
            first -= 1
        while last in glued:
            last += 1
        made.append(Joining(first, last, tuple(joints)))
    return made


def allowed(row: StripRow, ups: list[Joining], limit: int | None, time: float) -> bool:
    taken = [by_hand(row, *one) for one in ups]
    if any(minutes > time + 1e-9 for _, minutes in taken):
        return False
    return len(ups) == 1 if limit is None else sum(count for count, _ in taken) <= limit


def every_way(
    row: StripRow, limit: int | None, time: float, stages: int, glued: frozenset[int] = frozenset()
):
    """Every sequence of so many stages that glues the whole row, without any pruning."""
    left = [k for k in range(len(row.joints)) if k not in glued]
    if not left:
        yield ()
        return
    if not stages:
        return
    for size in range(1, len(left) + 1):
        for wet in itertools.combinations(left, size):
            ups = groups(len(row.lengths), glued, wet)
            if allowed(row, ups, limit, time):
                for rest in every_way(row, limit, time, stages - 1, glued | set(wet)):
                    yield (ups, *rest)


def dryings(way) -> int:
    """The most glue-ups one after another that are in the panel."""
    deep: dict[tuple[int, int], int] = {}
    for ups in way:
        new = {
            (one.first, one.last): 1 + max(deep.get(piece, 0) for piece in one.pieces)
            for one in ups
        }
        deep |= new
    return max(deep.values())


def planned(row: StripRow, limit: int | None, time: float) -> StagePlan:
    wishes = {} if limit is None else {"clamps": float(limit)}
    return stage_plan(row, stage_terms(THICK, open_time=time), wishes)


def follows_the_rules(plan: StagePlan, limit: int | None, time: float) -> None:
    row, glued = plan.row, set()
    pieces = {(k, k) for k in range(len(row.lengths))}
    for stage in plan.stages:
        ups = [one.joining for one in stage.glue_ups]
        assert allowed(row, ups, limit, time)
        for one, joining in zip(stage.glue_ups, ups, strict=True):
            assert (one.clamps, one.minutes) == pytest.approx(by_hand(row, *joining))
            assert set(joining.pieces) <= pieces
            pieces = (pieces - set(joining.pieces)) | {(joining.first, joining.last)}
            assert not glued & set(joining.wet)
            glued |= set(joining.wet)
            # a stage comes after those whose panels it takes
            for before in plan.stages[: stage.number - 1]:
                made = {(up.joining.first, up.joining.last) for up in before.glue_ups}
                if made & set(joining.pieces):
                    assert before.number in stage.after
    assert pieces == {(0, len(row.lengths) - 1)} and glued == set(range(len(row.joints)))


CASES = list(itertools.product((2, 3, 4, 5), (None, 8, 12, 20), (5.0, 8.0, 12.0, 30.0), (1, 2)))


@each(("strips", "limit", "time", "seed"), CASES)
def test_no_way_of_staging_has_fewer_stages(
    strips: int, limit: int | None, time: float, seed: int
) -> None:
    """Every sequence of stages is tried, for rows of up to five strips."""
    row = random_row(strips, 100 * strips + seed)
    plan = planned(row, limit, time)
    fewest = next(
        (count for count in range(1, strips) if any(every_way(row, limit, time, count))), None
    )
    if fewest is None:
        assert plan.stages == () and not plan.least
        return
    assert plan.least and len(plan.stages) == fewest
    follows_the_rules(plan, limit, time)
    ways = [*every_way(row, limit, time, fewest)]
    best = min(
        (dryings(way), sum(by_hand(row, *one)[0] for ups in way for one in ups)) for way in ways
    )
    mine = [[up.joining for up in stage.glue_ups] for stage in plan.stages]
    clamps = sum(up.clamps for stage in plan.stages for up in stage.glue_ups)
    assert (dryings(mine), clamps) == best


def test_the_cases_have_every_outcome() -> None:
    counts = set()
    for strips, limit, time, seed in CASES:
        counts.add(len(planned(random_row(strips, 100 * strips + seed), limit, time).stages))
    assert {0, 1, 2, 3} <= counts


@pytest.mark.parametrize("seed", [3, 4])
@pytest.mark.parametrize("limit", [None, 16])
def test_seven_strips_in_no_fewer_stages(limit: int | None, seed: int) -> None:
    row = random_row(7, seed)
    plan = planned(row, limit, 12.0)
    assert plan.least
    follows_the_rules(plan, limit, 12.0)
    assert not any(every_way(row, limit, 12.0, len(plan.stages) - 1))


@pytest.mark.parametrize("limit", [None, 30])
def test_a_long_row_fits_and_is_not_called_least(limit: int | None) -> None:
    row = random_row(14, 9)
    plan = planned(row, limit, 12.0)
    assert plan.stages and not plan.least
    follows_the_rules(plan, limit, 12.0)


def test_more_clamps_never_take_more_stages() -> None:
    row = random_row(6, 5)
    counts = [len(planned(row, limit, 12.0).stages) or 99 for limit in range(4, 40, 3)]
    assert counts == sorted(counts, reverse=True) and counts[-1] < counts[0]


def test_clamps_that_do_not_do_for_one_joint_are_told() -> None:
    row = row_of([120, 120, 120], [1000, 1000, 1000], [3, 3])
    # by hand: 1.2 MPa on 1000 · 28 mm is 33 600 N, nine clamps of 4000 N
    short = stage_plan(row, stage_terms(THICK, open_time=30.0), {"clamps": 8.0})
    (check,) = short.checks
    assert short.stages == () and check.id == "clamp_stock" and check.verdict == "fail"
    assert check.value == 8 - 9
    enough = stage_plan(row, stage_terms(THICK, open_time=30.0), {"clamps": 9.0})
    assert enough.joints == (2,) and enough.checks[0].verdict == "pass"


@pytest.mark.parametrize(("reach", "verdict"), [(439.0, "fail"), (441.0, "pass")])
def test_clamps_must_open_over_panel_and_cauls(reach: float, verdict: str) -> None:
    # by hand: 3 · 120 mm and two cauls of 40 mm are 440 mm
    row = row_of([120, 120, 120], [500, 500, 500], [2, 2])
    plan = stage_plan(row, stage_terms(THICK), {"clamp_reach": reach})
    (check,) = plan.checks
    assert (check.id, check.verdict) == ("clamp_reach", verdict)
    assert plan.stages[-1].sheet.number("clamp_opening") == pytest.approx(440)


# -- a brief with few clamps -----------------------------------------------------------------------

BRIEF = """
name = "Trial table"
[given]
table_height = "735 mm"
top_diameter = "900 mm"
post_section = "64 mm"
[[boards]]
name = "A"
width = "160 mm"
length = "1 m"
count = 8
[workshop]
"""
INCHES = """
name = "Trial table"
display = "in"
[given]
table_height = "29 in"
top_diameter = "36 in"
post_section = "2 1/2 in"
[[boards]]
name = "A"
width = "6 in"
length = "40 in"
count = 8
[workshop]
"""


def test_stages_of_a_brief_in_json_and_in_the_order_of_work() -> None:
    design = design_of(parse_brief(BRIEF + 'clamps = 14\nopen_time = "10 min"\n'))
    data = json.loads(answer_json(design))
    stages = data["glue_up"]["stages"]
    assert len(stages) > 1 and data["glue_up"]["clamps"] == 14
    assert sum(one["joints"] for one in stages) == data["top_joints"]["glue_up"]["joints"]["value"]
    assert all(one["clamps"] <= 14 for one in stages)
    assert all(up["minutes"] <= 10 + 1e-9 for one in stages for up in one["glue_ups"])
    for one in stages:
        for up in one["glue_ups"]:
            assert len(up["clamp_places"]) == up["clamps"]
            assert {caul["where"] for caul in up["cauls"]} >= {"left", "right"}
            for caul in up["cauls"]:
                strip = data["board_layout"]["strips"][caul["strip"] - 1]
                half = strip["length_needed"] / 2
                assert caul["count"] == (2 if caul["where"] == "across" else 1)
                reach = 0 if caul["where"] == "across" else caul["length"] / 2
                assert half - abs(caul["place"]) - reach == pytest.approx(
                    caul["from_end"], abs=1e-6
                )
    assert any(c["where"] == "across" for one in stages for up in one["glue_ups"]
               for c in up["cauls"])  # fmt: skip
    assert data["top_joints"]["stages"] == [one["joints"] for one in stages]
    tasks = {task.step.key: task for task in design.order.tasks}
    keys = [key for key in tasks if key.startswith("glue_top")]
    assert len(keys) == len(stages)
    named = [*(f"glue_top_{n}" for n in range(1, len(stages))), "glue_top"]
    for stage, key in zip(stages, named, strict=True):
        task = tasks[key]
        for number in stage["after"]:  # panels that are glued again are dry: 12 hours
            assert task.start >= tasks[named[number - 1]].done + 720 - 1e-6
        if stage["stage"] > 1:  # and the clamps of the last stage are free: one hour
            assert task.start >= tasks[named[stage["stage"] - 2]].done + 60 - 1e-6
    (check,) = (one for one in data["checks"] if one["id"] == "clamp_stock")
    assert check["verdict"] == "pass"


def test_a_stage_that_needs_only_the_clamps_is_glued_the_same_day() -> None:
    design = design_of(parse_brief(BRIEF + 'open_time = "9 min"\n'))
    stages = design.joints.staging.stages
    independent = [stage for stage in stages if stage.number > 1 and not stage.after]
    assert independent
    tasks = {task.step.key: task for task in design.order.tasks}
    (stage, *_) = independent
    first, second = tasks[f"glue_top_{stage.number - 1}"], tasks[f"glue_top_{stage.number}"]
    assert second.start < first.ready
    slow = design_of(parse_brief(BRIEF + 'open_time = "9 min"\nclamp_dwell = "12 h"\n'))
    again = {task.step.key: task for task in slow.order.tasks}
    assert again[f"glue_top_{stage.number}"].start >= again[f"glue_top_{stage.number - 1}"].ready


def test_without_a_word_on_clamps_no_check_speaks_of_them() -> None:
    design = design_of(parse_brief(BRIEF))
    assert not {"clamp_stock", "clamp_reach"} & {check.id for check in design.checks}
    assert design.joints.staging.clamps is None
    assert all(len(stage.glue_ups) == 1 for stage in design.joints.staging.stages)


@pytest.mark.parametrize("text", [BRIEF, INCHES], ids=["mm", "in"])
def test_the_stages_are_drawn_side_by_side_in_the_makers_unit(text: str) -> None:
    design = design_of(parse_brief(text + 'clamps = 14\nopen_time = "10 min"\n'))
    found, sheet, joints = design.boards, design.sheet, design.joints
    it = LayoutSubject(found.layout, sheet.name, sheet.number("top_diameter"), sheet.shop_style)
    subject = GlueUpSubject(it, joints)
    row, scale = joints.staging.row, 0.1
    for stage, up in subject.glue_ups:
        ink = clamps_figure(subject, stage, up, scale)
        said = [label.text for label in ink.labels]
        assert any(one.startswith(f"Stage {stage.number}:") for one in said)
        # each wet joint once, thick, as long to scale as it is
        drawn = sorted(
            (line[0][0], abs(line[0][1] - line[1][1])) for line in ink.lines["visible"]
            if len(line) == 2 and line[0][0] == line[1][0] and line[0][1] == -line[1][1]
        )  # fmt: skip
        wet = [(row.edges[k + 1] * scale, row.joints[k] * scale) for k in up.joining.wet]
        assert [pytest.approx(one) for one in wet] == drawn
    assert sorted(k for _, up in subject.glue_ups for k in up.joining.wet) == list(
        range(len(row.joints))
    )
    layout = lay_out_glue_up(subject, A4)
    assert overlapping(layout.ink) == []
    if sheet.shop_style.display == "in":
        shown = summary_text(design, 88).partition("Gluing up the top")[2].partition("Finishing")[0]
        assert " mm" not in shown and "clamps open to" in shown
