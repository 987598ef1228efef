"""The map of designs: its places, its tones, its lines, and whether it can be read."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from matplotlib.figure import Figure

from tablekit.drawing.axes import Frame, in_words, rounds, shown_unit
from tablekit.drawing.ink import Box
from tablekit.drawing.style import A4_ACROSS, SCREEN, Paper, save
from tablekit.drawing.trade_offs import (
    HATCHES,
    KEY,
    TONES,
    TradeDrawing,
    TradeSubject,
    hatched,
    outside,
)
from tablekit.engine.shop import ShopStyle
from tablekit.planning.trade_offs import CAUTION, FAIL, PASS, WORDS, AxisSpan, Goal, GradualTradeMap
from tablekit.relations import quantities as q
from tablekit.relations.families import network
from tests.drawing.legible import off_the_paper, overlapping
from tests.together import each

GIVENS = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
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


def drawing(paper: Paper = SCREEN) -> TradeDrawing:
    return TradeDrawing(Figure(), paper)


@each("axes", AXES)
@each("shop", [MM, INCHES], ids=["mm", "in"])
@each("paper", [SCREEN, A4_ACROSS], ids=["screen", "A4"])
def test_every_text_can_be_read(axes: str, shop: ShopStyle, paper: Paper) -> None:
    it = subject(axes, shop)
    ink = drawing(paper).laid_out(it).ink
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
    ink = drawing().laid_out(it).ink
    frame = Frame.of((25.0, 70.0), (500.0, 1300.0), SCREEN, KEY)
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


def test_a_place_on_the_paper_and_back() -> None:
    view, it = drawing(), subject()
    frame = Frame.of((25.0, 70.0), (500.0, 1300.0), SCREEN, KEY)
    for point in ((25.0, 500.0), (40.0, 900.0), (70.0, 1300.0)):
        x, y = frame.at(np.array([point]))[0]
        found = view.place(it, x / SCREEN.width, y / SCREEN.height)
        assert found == pytest.approx(point)
    assert view.place(it, 0.0, 0.5) is None and view.place(it, 0.5, 0.02) is None


def area(corners) -> float:
    x, y = np.array(corners).T
    return float(np.ptp(x) * np.ptp(y))


def test_tones_cover_the_map_as_the_verdicts_do() -> None:
    # The lean alone decides: crossing.md; steeper than 54.74° passes.
    it = subject("lean and top", MM, "assembly")
    ink = drawing().laid_out(it).ink
    frame = Frame.of((25.0, 70.0), (500.0, 1300.0), SCREEN, KEY)
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
    view, it = drawing(), subject()
    first = view.update(it).ink
    artists = list(view.figure.axes[0].get_children())
    frame = Frame.of((25.0, 70.0), (500.0, 1300.0), SCREEN, KEY)
    moved = view.update(TradeSubject(it.map, (30.0, 600.0), it.shop, it.name)).ink
    assert list(view.figure.axes[0].get_children()) == artists
    assert [label.text for label in moved.labels] == [label.text for label in first.labels]
    ring = np.array(moved.badges[-1][:-1])
    assert ring.mean(axis=0) == pytest.approx(frame.at(np.array([[30.0, 600.0]]))[0])
    off = view.update(TradeSubject(it.map, (80.0, 600.0), it.shop, it.name)).ink
    assert len(off.badges) == len(moved.badges) - 1  # outside the map there is no mark


def test_lines_of_the_third_quantity_lie_where_it_has_that_value() -> None:
    """At each line's number, against designs solved one by one."""
    it = subject("feet and height")
    ink = drawing().laid_out(it).ink
    frame = Frame.of((200.0, 1900.0), (350.0, 1100.0), SCREEN, KEY)
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


def test_paper_too_small_is_refused_and_files_are_the_same_each_time(tmp_path) -> None:
    with pytest.raises(ValueError, match="too small"):
        TradeDrawing.drawn(subject(), None, Paper(100, 80))
    one, two = (
        save(TradeDrawing.drawn(subject(), None, SCREEN), tmp_path / name).read_bytes()
        for name in ("one.svg", "two.svg")
    )
    assert one == two
