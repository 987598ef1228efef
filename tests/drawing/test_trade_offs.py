"""The map of designs: its places, its tones, its lines, and whether it can be read."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.drawing.ink import Box, Ink
from tablekit.drawing.style import A4_ACROSS, Paper
from tablekit.drawing.trade_offs import (
    HATCHES,
    TONES,
    TradeSubject,
    frame_of,
    hatched,
    in_words,
    lay_out_map,
    map_paper,
    outside,
    rounds,
    shown_unit,
    with_point,
)
from tablekit.engine.shop import ShopStyle
from tablekit.planning.trade_offs import CAUTION, FAIL, PASS, WORDS, AxisSpan, Goal, GradualTradeMap
from tablekit.relations import quantities as q
from tablekit.relations.families import network
from tests.drawing.legible import off_the_paper, overlapping
from tests.together import each

GIVENS = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
SCREEN, PHONE = map_paper(190.0), map_paper(100.0)
MM, INCHES = ShopStyle(), ShopStyle(display="in")
LEANS = (Goal("tipping_load", True), Goal("foot_spread", False))
AXES = {
    "lean and top": (
        AxisSpan("splay", 25, 70), AxisSpan("top_diameter", 500, 1300), "tipping_load",
    ),
    "feet and height": (
        AxisSpan("foot_spread", 200, 1900), AxisSpan("table_height", 350, 1100), "total_mass",
    ),
    "section and lean": (AxisSpan("post_section", 25, 120), AxisSpan("splay", 15, 75), "overhang"),
}  # fmt: skip


@cache
def subject(axes: str = "lean and top", shop: ShopStyle = MM, *judged: str) -> TradeSubject:
    x, y, third = AXES[axes]
    asked = network("table"), GIVENS, x, y, third, LEANS, judged or None
    plane = GradualTradeMap(*asked, [(30, 24)]).finish()
    middle = ((x.low + x.high) / 2, (y.low + y.high) / 2)
    return TradeSubject(plane, middle, shop, "A table for the long room on the first floor")


def drawn(it: TradeSubject, paper: Paper = SCREEN) -> Ink:
    return with_point(lay_out_map(it, paper), it, paper)


@each("axes", AXES)
@each("shop", [MM, INCHES], ids=["mm", "in"])
@each("paper", [SCREEN, A4_ACROSS, PHONE], ids=["screen", "A4", "phone"])
def test_every_text_can_be_read(axes: str, shop: ShopStyle, paper: Paper) -> None:
    it = subject(axes, shop)
    ink = drawn(it, paper)
    assert overlapping(ink) == [] and off_the_paper(ink, paper) == []
    texts = {label.text for label in ink.labels}
    assert {in_words(it.map.x, shop), in_words(it.map.y, shop)} <= texts
    assert set(WORDS) <= texts and "this design" in texts


def test_axes_are_told_in_the_maker_s_words_and_units() -> None:
    assert in_words(q.top_diameter, MM) == "top diameter, millimetres"
    assert in_words(q.top_diameter, INCHES) == "top diameter, inches"
    assert in_words(q.splay, INCHES) == "splay, degrees"
    assert in_words(q.tipping_load, INCHES) == "tipping load, pounds of force"
    assert shown_unit(q.top_diameter, INCHES)[0] == pytest.approx(1 / 25.4)  # exact: the inch
    # 1 lbf is 4.448 222 N: NIST SP 811 (2008), appendix B.8, from memory.
    assert shown_unit(q.tipping_load, INCHES)[0] == pytest.approx(1 / 4.448222, rel=1e-6)


def test_numbers_on_the_axes_stand_where_they_belong() -> None:
    it = subject("lean and top", INCHES)
    ink = drawn(it)
    frame = frame_of(it.map, SCREEN)
    ticks = {label.text: label for label in ink.labels if label.anchor == "right"}
    height = frame.at(np.array([[25.0, 30 * 25.4]]))[0, 1]
    # The middle of its figures, 0.76 of 8.5 points high, is level with 30 in.
    assert ticks["30"].y + 0.76 * 8.5 * 25.4 / 72 / 2 == pytest.approx(height)


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (0, 10, 8, [0, 2, 4, 6, 8, 10]),
        (31, 75, 8, [40, 50, 60, 70]),
        (-0.3, 0.3, 7, [-0.3, -0.2, -0.1, 0, 0.1, 0.2, 0.3]),
        (380, 1460, 8, [400, 600, 800, 1000, 1200, 1400]),
        (5, 5, 8, []),
    ],
)
def test_round_numbers(low: float, high: float, most: int, expected: list[float]) -> None:
    assert rounds(low, high, most) == pytest.approx(expected)


def area(corners) -> float:
    x, y = np.array(corners).T
    return float(np.ptp(x) * np.ptp(y))


def test_tones_cover_the_map_as_the_verdicts_do() -> None:
    # The lean alone decides: crossing.md; steeper than 54.74° passes.
    it = subject("lean and top", MM, "assembly")
    ink = drawn(it)
    frame = frame_of(it.map, SCREEN)
    inside = [(c, t) for c, t in ink.areas if max(x for x, _ in c) <= frame.room.right + 1e-6]
    passed = [c for c, tone in inside if tone == TONES[PASS]]
    failed = [c for c, tone in inside if tone == TONES[FAIL]]
    whole = frame.room.width * frame.room.height
    assert sum(map(area, passed)) + sum(map(area, failed)) == pytest.approx(whole)
    # Each design stands for a cell about it; the border lies half way between two of them.
    step = 45.0 / 29
    last = 25 + step * np.floor((54.7356 - 25) / step)
    assert max(x for c in passed for x, _ in c) == pytest.approx(
        frame.at(np.array([[last + step / 2, 500.0]]))[0, 0]
    )


def test_verdicts_differ_in_grey() -> None:
    def lightness(tone: str) -> float:
        red, green, blue = (int(tone[k : k + 2], 16) for k in (1, 3, 5))
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue  # weights of ITU-R BT.709

    tones = [lightness(TONES[code]) for code in (PASS, CAUTION, FAIL)]
    assert tones[0] - tones[1] > 20 and tones[1] - tones[2] > 20
    assert HATCHES[CAUTION][0] != HATCHES[FAIL][0] and PASS not in HATCHES


def test_the_point_moves_and_the_map_stays() -> None:
    it = subject()
    ink, frame = lay_out_map(it, SCREEN), frame_of(it.map, SCREEN)
    before = len(ink.badges)
    moved = with_point(ink, TradeSubject(it.map, (30.0, 600.0), it.shop, it.name), SCREEN)
    assert moved.labels == ink.labels and len(ink.badges) == before
    ring = np.array(moved.badges[-1][:-1])
    assert ring.mean(axis=0) == pytest.approx(frame.at(np.array([[30.0, 600.0]]))[0])
    off = with_point(ink, TradeSubject(it.map, (80.0, 600.0), it.shop, it.name), SCREEN)
    assert len(off.badges) == before  # outside the map there is no mark


def test_what_bounds_the_region_is_named_where_it_fails() -> None:
    # Checks that every sheet is judged by, whatever its brief asks for.
    it = subject("feet and height", MM, "tipping", "rim_deflection", "post_strength", "assembly")
    named = [label for label in drawn(it).labels if label.text.endswith(" fails")]
    assert named and {label.text.removesuffix(" fails") for label in named} <= {
        name for name, _ in it.map.bounding
    }
    room = frame_of(it.map, SCREEN).room
    for label in named:
        across = (label.x - room.left) / room.width
        up = (label.y + 0.76 * 8.5 * 25.4 / 72 / 2 - room.low) / room.height
        given = {"foot_spread": 200 + 1700 * across, "table_height": 350 + 750 * up}
        sheet = network("table").solve({**GIVENS, **given})
        verdicts = {check.name: check.verdict for check in sheet.checks}
        assert verdicts[label.text.removesuffix(" fails")] == "fail"


def test_the_border_of_the_region_is_the_checks_that_are_named() -> None:
    it = subject("feet and height").map
    border = np.zeros_like(it.verdicts, dtype=bool)
    for row, column in np.ndindex(it.verdicts.shape):  # told one by one
        beside = [(row + a, column + b) for a, b in ((0, 1), (0, -1), (1, 0), (-1, 0))]
        inside = [p for p in beside if 0 <= p[0] < 24 and 0 <= p[1] < 30]
        stands = any(it.verdicts[p] >= CAUTION for p in inside)
        border[row, column] = stands and it.verdicts[row, column] == FAIL
    for name, where in it.bounding:
        fails = it.fails([one for one, _ in it.failed].index(name))
        assert (where == (border & fails)).all() and where.sum() >= 0.05 * border.sum()


def test_the_best_designs_are_a_curve_within_half_a_step_of_those_tried() -> None:
    it = subject()
    frame = frame_of(it.map, SCREEN)
    room = frame.room
    best = frame.at(np.array([it.map.at(index) for index in it.map.front]))
    inside = [
        np.array(line) for line in drawn(it).lines["visible"]
        if all(room.left <= x <= room.right and room.low <= y <= room.high for x, y in line)
    ]  # fmt: skip
    assert sum(map(len, inside)) == it.map.front.size > 4
    cell = np.array([room.width / 30, room.height / 24])
    for line in inside:
        apart = np.abs(line[:, None] - best[None]) / cell
        assert (apart.max(axis=2).min(axis=1) <= 0.5 + 1e-9).all()


def test_lines_of_the_third_quantity_lie_where_it_has_that_value() -> None:
    """At each line's number, against designs solved one by one."""
    it = subject("feet and height")
    ink = drawn(it)
    frame = frame_of(it.map, SCREEN)
    room = frame.room
    marks = [
        label for label in ink.labels
        if room.left < label.x < room.right and label.y > room.low and label.text[0].isdigit()
    ]  # fmt: skip
    assert len(marks) >= 3
    for label in marks:
        across = (label.x - room.left) / room.width
        up = (label.y + 0.76 * 8.5 * 25.4 / 72 / 2 - room.low) / room.height
        given = {"foot_spread": 200 + 1700 * across, "table_height": 350 + 750 * up}
        sheet = network("table").solve({**GIVENS, **given})
        assert sheet.number("total_mass") == pytest.approx(float(label.text), rel=0.02)


def test_hatching_is_clipped_to_its_boxes_and_on_one_grid() -> None:
    boxes = [[(0, 0), (10, 0), (10, 5), (0, 5)], [(10, 0), (14, 0), (14, 5), (10, 5)]]
    for slope in (1, -1):
        lines = hatched(boxes, slope, 2.0)
        ends = lines.reshape(-1, 2)
        assert ends.min() >= -1e-9 and ends[:, 0].max() <= 14 + 1e-9 and ends[:, 1].max() <= 5
        steps = (lines[:, 0, 1] - slope * lines[:, 0, 0]) / (2.0 * 2**0.5)
        assert steps == pytest.approx(np.round(steps), abs=1e-9)
        # Lines half a right angle from level, 2 mm apart: an area of 70 has 35 mm of them.
        assert np.hypot(*(lines[:, 1] - lines[:, 0]).T).sum() == pytest.approx(35, rel=0.1)
    assert hatched([], 1, 2.0).shape == (0, 2, 2)


def test_what_lies_in_a_box_is_cut_out() -> None:
    box = Box(4.0, -1.0, 6.0, 1.0)
    pieces = np.array([[(0, 0), (10, 0)], [(5, -3), (5, 3)], [(0, 2), (10, 2)], [(4.5, 0), (5, 0)],
                       [(5, 0), (9, 0)]], dtype=float)  # fmt: skip
    kept = {tuple(map(tuple, piece)) for piece in outside(pieces, [box]).tolist()}
    assert kept == {
        ((0, 0), (4, 0)), ((6, 0), (10, 0)), ((5, -3), (5, -1)), ((5, 1), (5, 3)),
        ((0, 2), (10, 2)), ((6, 0), (9, 0)),
    }  # fmt: skip


def test_paper_too_small_is_refused() -> None:
    with pytest.raises(ValueError, match="too small"):
        lay_out_map(subject(), Paper(60, 80))
