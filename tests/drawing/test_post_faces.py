"""The four faces of a post unrolled: to scale, every size readable, nothing clipped."""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest

from tablekit.drawing import style
from tablekit.drawing.post_faces import BREAK, Net, _net, draw_post_faces, lay_out_faces
from tablekit.drawing.style import A4_ACROSS, Paper
from tablekit.drawing.unrolled import bare, hatch, spread
from tablekit.engine.shop import ShopStyle
from tablekit.planning.setting_out_posts import post_marks
from tablekit.relations.families import network
from tests.drawing.designs import designs, sheet
from tests.drawing.legible import off_the_paper, overlapping
from tests.drawing.test_general import boxes
from tests.together import each

EVERY = [*sorted(designs()), "splay 40", "two notches", "two notches, one longer", "left hand"]
SIZES = {"table_height": 735, "top_diameter": 900, "post_section": 64}


@cache
def one(name: str):
    """A sheet, solved once."""
    if name == "splay 40":
        return sheet("Leaning", splay=40, **SIZES)
    if name == "left hand":
        return network("table", hand="left").solve(dict(SIZES, splay=40), name="Left")
    if name.startswith("two notches"):
        given = dict(SIZES, notch_relief=32) if "longer" in name else SIZES
        return network("table", crossing="two notches").solve(given, name="Two")
    return designs()[name]


def every_post():
    return [(name, k) for name in EVERY for k in range(2 if "longer" in name else 1)]


@each(("name", "which"), every_post, ordinary=11)
def test_no_text_overlaps_another_or_leaves_the_paper(name, which):
    figure = draw_post_faces(one(name), which)
    found = boxes(figure)
    width, height = figure.get_size_inches() * figure.dpi
    assert len(found) > 25
    for text, left, low, right, high in found:
        assert left > 0 and low > 0 and right < width and high < height, text
    for first, other in combinations(found, 2):
        apart = (
            first[1] > other[3] or other[1] > first[3]
            or first[2] > other[4] or other[2] > first[4]
        )  # fmt: skip
        assert apart, (first[0], other[0])


@each(("name", "which"), every_post)
def test_everything_drawn_is_inside_the_margin(name, which):
    marks = post_marks(one(name))[which]
    box = lay_out_faces(one(name), marks).ink.box()
    edge = A4_ACROSS.margin - 0.3
    assert box.left >= edge and box.low >= edge
    assert box.right <= A4_ACROSS.width - edge and box.high <= A4_ACROSS.height - edge


@each(("name", "which"), every_post)
def test_every_mark_is_sized_at_its_arris(name, which):
    marks = post_marks(one(name))[which]
    texts = [label.text for label in lay_out_faces(one(name), marks).ink.labels]
    for arris in "ABC":
        for mark in marks.on_arris(arris):
            said = bare(mark.size, one(name).shop_style)
            assert (said if mark.cut else f"({said})") in texts
    for depth in marks.depths:
        assert bare(depth.depth, one(name).shop_style) in texts
    for flat in marks.flats:
        assert bare(flat.over_bearing, one(name).shop_style) in texts


@pytest.mark.parametrize("name", ["table", "splay 40", "left hand", "huge in inches"])
def test_knife_lines_are_drawn_to_scale(name):
    marks = post_marks(one(name))[0]
    net = _net(one(name), marks, A4_ACROSS)
    ink = lay_out_faces(one(name), marks).ink
    drawn = [np.array(line) for line in ink.lines["visible"]]
    for area in (a for a in marks.areas if a.kind == "notch"):
        # By the arris: the paper's distances from the foot end, over the scale.
        for x, v in area.corners:
            at = np.array(net.at(area.face, (x, v)))
            assert min(np.abs(line - at).max(axis=1).min() for line in drawn) < 1e-9
            from_end = abs(at[0] - net.x(0.0))
            assert from_end / net.scale == pytest.approx(x)
    assert abs(net.x(marks.length) - net.x(0)) == pytest.approx(marks.length * net.scale)
    assert (net.x(marks.length) < net.x(0)) == (name == "left hand")


AMONG_TEXT = {
    "A4": Paper(151.0, 148.0, 0.0, "beside", with_text=True),
    "Letter": Paper(142.0, 155.0, 0.0, "beside", with_text=True),
}


@each("paper", AMONG_TEXT.values(), ids=AMONG_TEXT)
@each(("name", "which"), every_post)
def test_a_broken_post_has_all_its_marks_and_no_text_on_another_or_on_what_is_cut_away(
    name, which, paper
):
    marks = post_marks(one(name))[which]
    try:
        net = _net(one(name), marks, paper)
    except ValueError:  # a post too stout for a sheet that is shared with text
        assert name.startswith("huge")
        return
    ink = lay_out_faces(one(name), marks, paper).ink
    assert overlapping(ink) == [] and off_the_paper(ink, paper) == []
    texts = [label.text for label in ink.labels]
    for arris in "ABC":
        for mark in marks.on_arris(arris):
            said = bare(mark.size, one(name).shop_style)
            assert (said if mark.cut else f"({said})") in texts
    cut = [[net.at(a.face, c) for c in a.corners] for a in marks.areas if a.kind == "notch"]
    for label in ink.labels:
        own = np.array(label.corners())
        for corners in map(np.array, cut):
            low, high = (
                np.maximum(own.min(0), corners.min(0)),
                np.minimum(own.max(0), corners.max(0)),
            )
            assert (high - low).min() < 0.05, label.text


@pytest.mark.parametrize("name", ["table", "tall", "left hand"])
def test_what_is_left_out_of_a_broken_post_has_no_mark_on_it_and_the_rest_is_to_scale(name):
    marks = post_marks(one(name))[0]
    net = _net(one(name), marks, AMONG_TEXT["A4"])
    assert len(net.cuts) == 2
    shown = [mark.distance for mark in marks.marks]
    shown += [x for area in marks.areas for x, _ in area.corners]
    if name == "left hand":
        shown = [marks.length - x for x in shown]
    for start, end in net.cuts:
        assert 0.0 < start < end < marks.length
        assert not any(start < x < end for x in shown)
    left_out = sum(end - start for start, end in net.cuts)
    long = abs(net.x(marks.length) - net.x(0.0))
    assert long == pytest.approx((marks.length - left_out) * net.scale + len(net.cuts) * BREAK)
    (notch,) = [a for a in marks.areas if a.kind == "notch" and a.face == 1]
    xs = [x for x, _ in notch.corners]
    wide = abs(net.x(max(xs)) - net.x(min(xs)))
    assert wide == pytest.approx((max(xs) - min(xs)) * net.scale)


def test_faces_follow_one_another_round_the_post():
    net: Net = _net(one("table"), post_marks(one("table"))[0], A4_ACROSS)
    for (_, high), (low, top) in zip(net.bands, net.gaps[1:], strict=True):
        assert high == pytest.approx(low) and top > low


def test_a_sheet_of_paper_too_small_says_so():
    with pytest.raises(ValueError, match="too small for the faces"):
        draw_post_faces(one("huge"), paper=Paper(60, 40))


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_a_saved_file_is_the_same_each_time(tmp_path, ending):
    first = style.save(draw_post_faces(one("table")), tmp_path / f"a.{ending}").read_bytes()
    again = style.save(draw_post_faces(one("table")), tmp_path / f"b.{ending}").read_bytes()
    assert first == again


# --- Helpers ------------------------------------------------------------------------------


def test_sizes_are_spread_no_further_than_needed():
    assert spread([1.0, 10.0, 20.0], 4.0, 0.0, 30.0) == pytest.approx([1, 10, 20])
    assert spread([10.0, 11.0], 4.0, 0.0, 30.0) == pytest.approx([8.5, 12.5])
    crowded = spread([10.0, 11.0, 12.0, 13.5], 4.0, 0.0, 30.0)
    assert np.diff(crowded) == pytest.approx([4, 4, 4])
    assert np.mean(crowded) == pytest.approx(np.mean([10, 11, 12, 13.5]))


def test_sizes_are_kept_inside():
    assert spread([0.0, 1.0], 4.0, 0.0, 30.0) == pytest.approx([0, 4])
    assert spread([29.0, 30.0], 4.0, 0.0, 30.0) == pytest.approx([26, 30])
    rng = np.random.default_rng(5)
    for _ in range(50):
        places = sorted(rng.uniform(0, 60, size=rng.integers(1, 12)))
        moved = spread(places, 4.0, 0.0, 60.0)
        assert all(b - a >= 4.0 - 1e-9 for a, b in pairwise(moved))
        assert min(moved) >= -1e-9 and max(moved) <= 60 + 1e-9


def test_hatching_stays_inside_its_outline():
    from tablekit.drawing.ink import Ink

    ink = Ink()
    hatch(ink, [(0, 0), (10, 0), (13, 6), (3, 6)], 2.0)
    assert len(ink.lines["thin"]) > 3
    for (x0, y0), (x1, y1) in ink.lines["thin"]:
        assert x1 - x0 == pytest.approx(y1 - y0)
        for x, y in ((x0, y0), (x1, y1)):
            assert -1e-9 <= y <= 6 + 1e-9 and y / 2 - 1e-9 <= x <= 10 + y / 2 + 1e-9


def test_units_are_noted_once():
    assert bare(544.3, ShopStyle()) == "544.5"
    assert bare(25.4 * 1.5, ShopStyle(display="in")) == "1 1/2"
