"""The boards lying flat: drawn where they are cut, legible, and true."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest

from tablekit.drawing.board_cuts import lay_out_board_cuts
from tablekit.drawing.board_layout import LayoutSubject
from tablekit.drawing.style import A4, A4_ACROSS, Paper
from tablekit.engine.shop import ShopStyle
from tablekit.planning.boards import Wishes, Zone, lay_out
from tests.planning.racks import TOP, Board, rack
from tests.together import each

ODD = (
    Board("plank with a long name that is cut short where it must be", 190, 2900, 2),
    Board("knotty", 205, 1950, 1, avoid=(Zone(1040, 1110), Zone(1500, 1520))),
    Board("tapered", 150, 1250, 2, end_width=185, avoid=(Zone(0, 60),)),
)


@cache
def subjects() -> dict[str, LayoutSubject]:
    def of(name, boards, top, display="mm"):
        layout = lay_out(boards, top, wishes=Wishes(), **TOP)
        return LayoutSubject(layout, name, top, ShopStyle(display=display))

    return {
        "odd": of("Odd", ODD, 1000),
        "inches": of("Inches", ODD, 1000, "in"),
        "many": of("Many", rack(3, 30, 1200, (0.7, 1.3), (0.07, 0.13), 0.3, 0.3), 1200),
        "one": of("One", (Board("x", 450, 700),), 300),
    }


@each("paper", [A4, A4_ACROSS], ids=["A4", "A4 across"])
@each("name", subjects)
def test_texts_stand_apart_and_all_is_inside_the_margin(name, paper):
    ink = lay_out_board_cuts(subjects()[name], paper).ink
    box = ink.box()
    edge = paper.margin - 0.3
    assert box.left >= edge and box.low >= edge
    assert box.right <= paper.width - edge and box.high <= paper.height - edge
    found = []
    for label in ink.labels:
        corners = np.array(label.corners())
        found.append((label.text, *corners.min(axis=0), *corners.max(axis=0)))
    assert len(found) > 5
    for one, other in combinations(found, 2):
        apart = one[1] > other[3] or other[1] > one[3] or one[2] > other[4] or other[2] > one[4]
        assert apart, (one[0], other[0])


@each("name", subjects)
def test_each_strip_is_on_one_board_and_as_long_as_it_must_be(name):
    it = subjects()[name]
    laid = lay_out_board_cuts(it, A4)
    strips = [s for s in it.layout.strips if s.length_needed > 0]
    drawn = sorted(
        max(x for x, _ in area[0]) - min(x for x, _ in area[0]) for area in laid.ink.areas
    )
    needed = sorted(strip.length_needed * laid.scale for strip in strips)
    assert len(drawn) == len(needed)
    step = (25.4 / 32 if it.style.display == "in" else 0.5) * laid.scale
    for one, other in zip(drawn, needed, strict=True):
        assert other - 1e-6 <= one <= other + step
    texts = [label.text for label in laid.ink.labels]
    numbers = [str(n) for n, s in enumerate(it.layout.strips, 1) if s.length_needed > 0]
    assert all(texts.count(number) >= 1 for number in numbers)


def test_sizes_are_on_the_boards():
    texts = [label.text for label in lay_out_board_cuts(subjects()["odd"], A4).ink.labels]
    assert any("150 to 185 × 1250" in text for text in texts) or not any(
        one.board == "tapered" for one in subjects()["odd"].layout.cut
    )
    assert any(text.endswith("190 × 2900") or "…" in text for text in texts)


def test_too_small_a_sheet_says_so():
    with pytest.raises(ValueError, match="40 × 40 mm is too small for the boards of Odd"):
        lay_out_board_cuts(subjects()["odd"], Paper(40, 40, margin=5))
