"""The trammel drawing tells the plan's numbers, to scale, and stays on the paper."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tablekit.drawing.general import Layout
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper, save
from tablekit.drawing.trammel import board, draw_trammel, lay_out_trammel, sections, way_round
from tablekit.engine.sheet import Sheet
from tablekit.planning.trammel_plan import trammel_plan
from tablekit.relations.families import network
from tests.drawing.designs import designs
from tests.drawing.legible import overlapping
from tests.together import each

ALL = designs()


def on_paper(layout: Layout, paper: Paper) -> bool:
    box = layout.ink.box()
    slack = 1e-6
    return (
        box.left >= paper.margin - slack
        and box.right <= paper.width - paper.margin + slack
        and box.low >= 0
        and box.high <= paper.height - paper.margin + slack
    )


@each("name", ALL)
@each("paper", [A4, A4_ACROSS, SCREEN], ids=["A4", "across", "screen"])
def test_all_is_on_the_paper_no_text_over_another_and_numbers_are_told(
    name: str, paper: Paper
) -> None:
    it: Sheet = ALL[name]
    layout = lay_out_trammel(it, paper)
    assert on_paper(layout, paper)
    assert overlapping(layout.ink) == []
    said = " ".join(label.text for label in layout.ink.labels)
    for quantity, words in (
        ("trammel_radius", "to the near side"), ("trammel_centre", "to the centre"),
        ("pivot_to_far_side", "to the far side"), ("pivot_from_edge",
            "reference end to pivot hole"),
    ):  # fmt: skip
        assert f"{it.shop(quantity).removesuffix(f' {it.shop_style.display}')} {words}" in said
    assert "Unplug" in said and "against the grain" in said


def test_board_pivot_cutter_and_rim_are_to_scale() -> None:
    plan = trammel_plan(ALL["table"])
    assert plan is not None
    scale = 1 / 5
    ink = board(plan, scale)
    rings = {len(line): np.array(line) for line in ink.lines["visible"] if len(line) in (49, 33)}
    cutter, pivot = (rings[n][:-1].mean(axis=0) for n in (49, 33))
    assert pivot[0] - cutter[0] == pytest.approx(plan.middle * scale)
    assert np.ptp(rings[49][:, 0]) == pytest.approx(plan.cutter * scale)
    (rim,) = (np.array(line) for line in ink.lines["hidden"])
    away = np.hypot(*(rim - pivot).T)
    assert away == pytest.approx([plan.near * scale] * len(rim))
    # the cutter touches the rim from outside
    assert np.hypot(*(rings[49] - pivot).T).min() == pytest.approx(plan.near * scale)


def test_a_long_board_is_broken_and_keeps_its_two_ends_to_scale() -> None:
    plan = trammel_plan(ALL["huge"])
    assert plan is not None
    whole, broken = board(plan, 1 / 5), board(plan, 1 / 5, broken=True)
    assert broken.box().width < 0.6 * whole.box().width
    rings = [np.array(line) for line in broken.lines["visible"] if len(line) == 33]
    pivot = rings[0][:-1].mean(axis=0)
    ends = [line for line in broken.lines["visible"] if len(line) == 2 and line[0][0] == line[1][0]]
    right = max(line[0][0] for line in ends)
    assert right - pivot[0] == pytest.approx((plan.board_length - plan.pivot_from_end) / 5)
    layout = lay_out_trammel(ALL["huge"], A4)
    zigzags = [line for line in layout.ink.lines["thin"] if len(line) == 6]
    assert len(zigzags) == 2


def test_every_pass_has_its_line_at_its_depth() -> None:
    plan = trammel_plan(ALL["table"])
    assert plan is not None
    ink = sections(plan, 1.0)
    levels = [line[0][1] for line in ink.lines["thin"] if line[0][1] == line[1][1]]
    wanted = [-one.stop for one in (*plan.equal, *plan.thin_last)]
    for depth in wanted:
        assert min(abs(level - depth) for level in levels) < 1e-6


def test_thick_arcs_lie_where_the_router_sees_the_cut_against_the_grain() -> None:
    # reference/derivations/trammel.md: seen from the router, 0° to 90° and 180° to 270°
    plan = trammel_plan(ALL["table"])
    assert plan is not None
    ink = way_round(plan)
    points = np.array([line[0] for line in ink.lines["visible"]])
    assert len(points) > 20
    assert (points[:, 0] * points[:, 1] > 0).all()
    # arrows run anticlockwise
    for tip, left, right in ink.arrows:
        back = (np.array(left) + np.array(right)) / 2
        way = np.array(tip) - back
        assert tip[0] * way[1] - tip[1] * way[0] > 0


def test_splayed_legs_too_and_too_small_a_sheet(tmp_path: Path) -> None:
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 40.0}, name="Stool"
    )
    assert on_paper(lay_out_trammel(stool, A4), A4)
    with pytest.raises(ValueError, match="too small"):
        lay_out_trammel(stool, Paper(60, 60))
    one = save(draw_trammel(stool), tmp_path / "one.svg").read_bytes()
    assert save(draw_trammel(stool), tmp_path / "two.svg").read_bytes() == one
