"""The drawing of a board layout as a draughtsman would check it, and that it tells the truth."""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
from scipy.optimize import linprog

from tablekit.drawing.board_layout import (
    BoardDrawing,
    LayoutSubject,
    draw_board_layout,
    lay_out_drawing,
    spread,
    view,
)
from tablekit.drawing.live import LiveView
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper, save
from tablekit.engine.shop import ShopStyle
from tablekit.planning.boards import Wishes, lay_out
from tests.drawing.test_general import boxes, crossed, outlines
from tests.planning.racks import Board
from tests.together import each

PAPERS = {"A4": A4, "A4 across": A4_ACROSS, "screen": SCREEN}


RACK = (Board("A", 140, 1100, 4), Board("B", 185, 980, 3))
LONG = "a board with a long name that has to be shortened somewhere"
TOP = {"margin": 10, "end_waste": 15, "edge_loss": 2}


@cache
def subjects() -> dict[str, LayoutSubject]:
    def of(name, rack, top, display="mm", **asked):
        layout = lay_out(rack, top, **TOP, **asked)
        return LayoutSubject(layout, name, top, ShopStyle(display=display))

    return {
        "table": of("Reading-room table", RACK, 920),
        "inches": of("Reading-room table", RACK, 920, "in"),
        "narrow": of(LONG, (Board(LONG, 55, 1400, 30),), 1000, rip="all alike"),
        "stool": of("Stool", (Board("x", 60, 300, 6),), 200, "in"),
        "two": of("Two wide boards", (Board("x", 520, 1100, 2),), 900),
        "odd": of("Odd", (*RACK, Board("C", 230, 700, 2), Board("D", 75, 1500, 2)), 1000),
        "outside": of("Order", RACK, 600, wishes=Wishes(order=tuple("AABBBAA"))),
    }


@each("paper", PAPERS)
@each("name", subjects, ordinary=3)
def test_no_text_overlaps_another_or_leaves_the_paper(name, paper):
    figure = draw_board_layout(subjects()[name], paper=PAPERS[paper])
    found = boxes(figure)
    width, height = figure.get_size_inches() * figure.dpi
    assert len(found) > 12
    for text, left, low, right, high in found:
        assert left > 0 and low > 0 and right < width and high < height, text
    for one, other in combinations(found, 2):
        apart = one[1] > other[3] or other[1] > one[3] or one[2] > other[4] or other[2] > one[4]
        assert apart, (one[0], other[0])


@each("paper", PAPERS)
@each("name", subjects)
def test_everything_drawn_is_inside_the_margin(name, paper):
    size = PAPERS[paper]
    box = lay_out_drawing(subjects()[name], size).ink.box()
    edge = size.margin - 0.3
    assert box.left >= edge and box.low >= edge
    assert box.right <= size.width - edge and box.high <= size.height - edge


@each("name", subjects)
def test_no_joint_and_no_rim_runs_through_a_text(name):
    ink = lay_out_drawing(subjects()[name], A4).ink
    pieces = outlines(ink)
    numbers = {str(n) for n in range(1, 60)}  # stand in white rings over the lines
    for label in ink.labels:
        if label.text not in numbers:
            corners = np.array(label.corners())
            box = (*corners.min(axis=0), *corners.max(axis=0))
            assert not any(crossed(piece, box) for piece in pieces), label.text


@each("name", subjects)
def test_joints_stand_where_the_layout_has_them(name):
    it = subjects()[name]
    ink = view(it, 0.1)
    drawn = {round(line[0][0], 6) for line in ink.lines["visible"] if line[0][0] == line[1][0]}
    inside = [s for s in it.layout.strips if s.length_needed > 0]
    assert drawn == {round(x / 10, 6) for s in inside for x in (s.left, s.right)}
    rims = [np.hypot(*np.array(line).T).max() * 10 for pen in ("visible", "thin")
            for line in ink.lines[pen] if len(line) > 100]  # fmt: skip
    assert sorted(2 * np.array(rims)) == pytest.approx([it.top_diameter, it.layout.diameter])


@each("name", subjects)
def test_hatching_lies_on_the_strips_and_off_the_circle(name):
    it = subjects()[name]
    hatched = np.concatenate(view(it, 1.0).pieces["thin"])
    assert len(hatched) > 20
    middles = hatched.mean(axis=1)
    assert (np.hypot(*middles.T) > it.layout.diameter / 2 - 1e-9).all()
    ends = hatched.reshape(-1, 2)
    assert (np.hypot(*ends.T) > it.layout.diameter / 2 - 1e-6).all()
    for x, y in middles:
        over = [s for s in it.layout.strips if s.left - 1e-9 <= x <= s.right + 1e-9]
        assert any(abs(y) <= s.length_needed / 2 + 1e-9 for s in over)


@pytest.mark.parametrize("name", ["table", "inches"])
def test_distances_and_lengths_are_written_as_the_maker_reads_them(name):
    it = subjects()[name]
    texts = [label.text for label in lay_out_drawing(it, A4).ink.labels]
    # Worked by hand: the row of 951 mm begins at the rim, 470 mm off: 470 − 136 = 334, and
    # A B A B B A are 136 and 181 wide in turn.
    edges = [470, 334, 153, 17, 164, 345, 481]
    written = [it.text(edge) for edge in edges]
    assert all(texts.count(text) >= written.count(text) for text in written)
    assert it.text(920) == ("36 7/32" if name == "inches" else "920")
    assert f"Ø{it.text(920)} finished" in texts and f"Ø{it.text(940)} to cover" in texts
    assert ("Sizes in inches" in texts) == (name == "inches")
    assert all(texts.count(number) >= 2 for number in "123456")  # in the view, in the table


def test_lengths_are_rounded_up_never_down():
    it = subjects()["table"]
    assert it.at_least(847.32) == "847.5" and it.at_least(912.18) == "912.5"
    assert it.at_least(940.0) == "940" and it.at_least(650.0000000001) == "650"
    assert subjects()["inches"].at_least(25.4 * 10.01) == "10 1/32"


def test_spread_moves_as_little_as_may_be():
    """Against the least sum of squares, bounded by what a linear programme allows of the most."""
    random = np.random.default_rng(3)
    for _ in range(30):
        places = sorted(random.uniform(0, 30, 9).tolist())
        moved = spread(places, 4.0)
        assert min(b - a for a, b in pairwise(moved)) >= 4.0 - 1e-9
        # Least possible largest move: SciPy's linear programme, not the kit.
        rows = [[-(i == k) + (i == k + 1) for i in range(9)] + [0] for k in range(8)]
        bounds = [[s * (i == k) for i in range(9)] + [-1] for k in range(9) for s in (1, -1)]
        sides = [s * places[k] for k in range(9) for s in (1, -1)]
        least = linprog(
            [0] * 9 + [1], A_ub=[[-x for x in row] for row in rows] + bounds,
            b_ub=[-4.0] * 8 + sides, bounds=[(None, None)] * 9 + [(0, None)],
        ).fun  # fmt: skip
        assert max(abs(a - b) for a, b in zip(moved, places, strict=True)) <= 2 * least + 1e-6
    assert spread([0.0, 10.0, 20.0], 4.0) == [0.0, 10.0, 20.0]


def test_too_small_a_sheet_says_so():
    with pytest.raises(ValueError, match="40 × 40 mm is too small for the board layout of Odd"):
        draw_board_layout(subjects()["odd"], paper=Paper(40, 40, margin=5))


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
def test_a_saved_file_is_the_same_each_time(tmp_path, ending):
    it = subjects()["table"]
    first = save(draw_board_layout(it), tmp_path / f"a.{ending}").read_bytes()
    assert first == save(draw_board_layout(it), tmp_path / f"b.{ending}").read_bytes()
    assert (
        first != save(draw_board_layout(subjects()["odd"]), tmp_path / f"c.{ending}").read_bytes()
    )


def test_a_live_view_keeps_its_last_drawing():
    shown = LiveView(BoardDrawing)
    shown.update(subjects()["table"])
    before = shown.png()
    assert before.startswith(b"\x89PNG")
    small = LiveView(BoardDrawing, Paper(160, 110, margin=2, arrangement="beside", to_scale=False))
    small.update(subjects()["two"])
    kept = small.png()
    with pytest.raises(ValueError, match="too small"):
        small.update(subjects()["narrow"])
    assert small.png() == kept
    shown.update(subjects()["odd"])
    assert shown.png() != before
