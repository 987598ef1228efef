"""The drawing of people at the table: what is on it, that nothing overlaps or runs off it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tablekit.drawing.ink import Ink
from tablekit.drawing.sitters import (
    People,
    draw_sitters,
    elevation,
    lay_out_sitters,
    people,
    plan,
    wrapped,
)
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper, save, text_width
from tablekit.planning.wheelchair import KNEE_HEIGHT, needed_depth
from tests.drawing.designs import TABLE, designs, sheet
from tests.drawing.legible import overlapping
from tests.together import each

TABLES = [name for name, it in designs().items() if it.kind == "table" and "small" not in name]


@cache
def planned(name: str) -> People:
    return people(designs()[name])


def boxes(ink: Ink) -> list[tuple[str, np.ndarray]]:
    """Each text with the level box round it."""
    found = []
    for label in ink.labels:
        corners = np.array(label.corners())
        found.append((label.text, np.array([corners.min(axis=0), corners.max(axis=0)])))
    return found


@each("paper", [A4, A4_ACROSS, SCREEN], ids=["A4", "across", "screen"])
@each("name", TABLES, ordinary=4)
def test_no_text_lies_on_another_and_all_is_on_the_paper(name: str, paper: Paper) -> None:
    ink = lay_out_sitters(planned(name), paper).ink
    assert overlapping(ink) == []
    box = ink.box()
    assert box.left >= paper.margin - 0.6 and box.right <= paper.width - paper.margin + 0.6
    assert box.low >= paper.margin - 0.6 and box.high <= paper.height - paper.margin + 0.6


def test_the_search_for_overlaps_finds_one() -> None:
    ink = lay_out_sitters(planned("table"), A4).ink
    ink.labels.append(ink.labels[-1])
    assert overlapping(ink)


@pytest.mark.parametrize("name", ["table", "table in inches", "tall", "low"])
def test_the_plan_shows_every_sitter_post_and_foot_in_its_place(name: str) -> None:
    it, scale = planned(name), 1 / 10
    ink = plan(it, scale)
    numbers = [label.text for label in ink.labels]
    for place in it.sitters.places:
        assert str(place.number) in numbers
    assert {"P1", "P2", "P3", "A"} <= set(numbers)
    loops = [np.array(area) for area, _ in ink.areas if len(area) == len(it.sitters.posts.loops[0])]
    for loop in it.sitters.posts.loops:
        assert any(np.allclose(np.array(area), loop * scale) for area in loops)
    rings = [np.array(line)[:-1].mean(axis=0) for line in ink.lines["thin"] if len(line) == 49]
    for middle in it.model.foot_middles:
        assert min(np.hypot(*(ring - middle[:2] * scale)) for ring in rings) < 1e-9


@pytest.mark.parametrize("name", ["table", "steep", "huge"])
def test_knee_spaces_are_dashed_where_a_post_is_in_them(name: str) -> None:
    it = planned(name)
    ink = plan(it, 1 / 10)
    dashed = [line for line in ink.lines["hidden"] if len(line) > 20]
    assert len(dashed) == len(it.sitters.meeting)
    radius, depth = it.sitters.top_diameter / 2, it.sitters.knee_depth
    spaces = [np.array(area) for area, _ in ink.areas if len(area) == 26]
    assert len(spaces) == len(it.sitters.places)
    for space, place in zip(spaces, it.sitters.places, strict=True):
        turn = np.radians(place.bearing)
        out = space @ np.array([np.cos(turn), np.sin(turn)]) * 10
        aside = space @ np.array([-np.sin(turn), np.cos(turn)]) * 10
        assert out.min() == pytest.approx(radius - depth)
        assert out.max() == pytest.approx(radius, rel=1e-3)
        assert np.ptp(aside) == pytest.approx(it.sitters.knee_width, rel=1e-6)


@pytest.mark.parametrize("name", ["table", "low", "huge in inches"])
def test_the_elevation_shows_the_space_the_standards_ask_for(name: str) -> None:
    # 2010 ADA Standards 306.2 and 306.3 (quoted): 17 in deep to 9 in; 11 in at 9 in, 8 in at 27 in
    it, scale = planned(name), 1 / 10
    ink = elevation(it, scale)
    (profile,) = (np.array(line) for line in ink.lines["hidden"] if len(line) == 7)
    rim = it.sitters.top_diameter / 2
    inches = (np.array([rim, 0]) - profile / scale * [1, -1]) * [1, 1] / 25.4
    inward = [(round(float(x), 6), round(float(z / scale / 25.4), 6)) for x, z in
              zip(inches[:, 0], profile[:, 1], strict=True)]  # fmt: skip
    assert inward[:6] == [(0, 0), (17, 0), (17, 9), (11, 9), (8, 27), (0, 27)]


@pytest.mark.parametrize("name", ["table", "low", "feet beyond the top"])
def test_posts_in_the_elevation_leave_clear_what_is_said(name: str) -> None:
    """No corner of what is drawn stands in the needed space farther than the worst shortfall."""
    it = planned(name)
    ink = elevation(it, 1.0)
    rim, short = it.sitters.top_diameter / 2, it.wheelchair.short
    posts = [np.array(area) for area, _ in ink.areas[:-1]]  # the top is drawn last
    corners = np.vstack(posts)
    corners = corners[corners[:, 1] <= KNEE_HEIGHT]
    stands_in = [o + needed_depth(z) - rim for o, z in corners]
    assert len(posts) > 1 and max(stands_in) <= short + 1e-6


@pytest.mark.parametrize("name", ["table", "low", "huge in inches"])
def test_posts_in_the_elevation_stand_on_their_pads_and_carry_the_top(name: str) -> None:
    """Each post is drawn from foot to head, also where it lies beside the place."""
    it = planned(name)
    ink = elevation(it, 1.0)
    outlines = [np.array(line) for line in ink.lines["thin"]]
    pad, under = it.sheet.number("pad_projection"), it.sheet.number("knee_clearance")
    high = under - (it.sheet.get("plate_gap") or 0.0)
    whole = [
        line
        for line in outlines
        if len(line) > 4
        and line[:, 1].min() == pytest.approx(pad, abs=1e-6)
        and line[:, 1].max() == pytest.approx(high, abs=1e-6)
    ]
    assert len(whole) >= 3


def test_what_is_said_is_said_whole() -> None:
    it = planned("table")
    words = " ".join(label.text for label in lay_out_sitters(it, A4).ink.labels)
    for text in (it.sitters.text(), it.wheelchair.text()):
        assert text in words
    lines = wrapped(it.sitters.text(), 80.0)
    assert " ".join(lines) == it.sitters.text()
    assert max(text_width(line) for line in lines) <= 80.0


def test_a_sheet_too_small_is_refused_and_files_are_the_same_each_time(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="too small"):
        lay_out_sitters(planned("table"), Paper(90, 110))
    it = sheet("Table", **TABLE)
    one = save(draw_sitters(it, seats=3), tmp_path / "one.svg").read_bytes()
    assert save(draw_sitters(it, seats=3), tmp_path / "two.svg").read_bytes() == one
