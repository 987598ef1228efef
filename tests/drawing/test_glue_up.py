"""The glue-up drawing and the end grain: legible over many layouts, and true to the plan."""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest

from tablekit.brief import Board
from tablekit.drawing.board_layout import LayoutSubject
from tablekit.drawing.end_grain import (
    EndGrainSubject,
    draw_end_grain,
    factor,
    lay_out_end_grain,
    ring_arcs,
)
from tablekit.drawing.end_grain import view as end_view
from tablekit.drawing.glue_up import (
    GlueUpSubject,
    clamps_figure,
    draw_glue_up,
    joints_figure,
    lay_out_glue_up,
    places_text,
    sentences,
    view,
)
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper
from tablekit.engine.shop import ShopStyle
from tablekit.planning.boards import Wishes, lay_out
from tablekit.planning.top_joints import TopJoints, top_joints
from tablekit.relations import families
from tests.drawing.test_general import boxes, crossed, outlines
from tests.together import each

PAPERS = {"A4": A4, "A4 across": A4_ACROSS, "screen": SCREEN}
TOP = {"margin": 10, "end_waste": 15, "edge_loss": 2}
MIXED = (Board("A", 140, 1100, 4), Board("B", 185, 980, 3))
LONG = "a board with a long name that has to be shortened somewhere"
# name: rack, diameter, what else is asked of the layout, what of the joints
CASES = {
    "seven": ((Board("A", 140, 1100, 9),), 900, {}, {}),
    "mixed": (MIXED, 920, {}, {"species": "white ash"}),
    "two": ((Board("x", 520, 1100, 2),), 900, {}, {}),
    "three": ((Board("x", 330, 1100, 3),), 900, {}, {"heart_up": True}),
    "fourteen": ((Board("n", 76, 1400, 30),), 1000, {"rip": "all alike"}, {}),
    "narrow": ((Board(LONG, 55, 1400, 30),), 1000, {}, {"wishes": {"tenon_reach": 12.0}}),
    "stool": ((Board("x", 60, 500, 8),), 330, {}, {}),
    "small": ((Board("x", 60, 300, 6),), 200, {}, {}),
    "odd": ((*MIXED, Board("C", 230, 700, 2), Board("D", 75, 1500, 2)), 1000, {}, {}),
    "outside": (MIXED, 600, {"wishes": Wishes(order=tuple("AABBBAA"))}, {}),
    "symmetrical": (MIXED, 900, {"wishes": Wishes(symmetrical=True)}, {"from_below": False}),
    "quarter": (MIXED, 920, {}, {"cut": "quarter-sawn"}),
    "one": ((Board("w", 700, 700),), 400, {}, {}),
    "large": ((Board("x", 200, 2000, 12),), 1500, {}, {"wishes": {"caul_depth": 80.0}}),
}
SHOWN = [("mm", "A4"), ("in", "A4 across"), ("mm", "screen")]  # a unit and a paper


@cache
def subject(name: str, display: str) -> tuple[LayoutSubject, TopJoints]:
    rack, top, asked, more = CASES[name]
    layout, style = lay_out(rack, top, **TOP, **asked), ShopStyle(display=display)
    piece = families.network("table").solve(
        {"table_height": 735.0, "top_diameter": float(top), "post_section": 64.0,
         "top_thickness": 28.0}, shop=style,
    )  # fmt: skip
    found = top_joints(layout, piece, **{"wishes": {}, **more})
    return LayoutSubject(layout, "Reading-room table", top, style), found


def glue(name: str, display: str = "mm") -> GlueUpSubject:
    return GlueUpSubject(*subject(name, display))


def ends(name: str, display: str = "mm") -> EndGrainSubject:
    it, joints = subject(name, display)
    return EndGrainSubject(it, joints.rings, joints.thickness)


every = each("name", CASES)
in_each = each("display, paper", SHOWN)


@in_each
@each("name", CASES, ordinary=5)
def test_texts_keep_apart_and_all_is_inside_the_margin(name: str, display: str, paper: str) -> None:
    size = PAPERS[paper]
    for ink in (
        lay_out_glue_up(glue(name, display), size).ink,
        lay_out_end_grain(ends(name, display), size).ink,
    ):
        found = [np.array(label.corners()) for label in ink.labels]
        low, high = (np.array([side(one, axis=0) for one in found]) for side in (np.min, np.max))
        meet = ((low[:, None] <= high[None]) & (low[None] <= high[:, None])).all(axis=2)
        pairs = np.argwhere(np.triu(meet, 1))
        assert not len(pairs), [(ink.labels[k].text, ink.labels[n].text) for k, n in pairs]
        box, edge = ink.box(), size.margin - 0.3
        assert box.left >= edge and box.low >= edge
        assert box.right <= size.width - edge and box.high <= size.height - edge


@pytest.mark.parametrize("name", ["seven", "fourteen"])
@pytest.mark.parametrize("draw", [draw_glue_up, draw_end_grain])
def test_texts_as_they_are_set_keep_apart(draw, name) -> None:  # type: ignore[no-untyped-def]
    found = boxes(draw(*subject(name, "in")))
    assert len(found) > 12
    for one, other in combinations(found, 2):
        apart = one[1] > other[3] or other[1] > one[3] or one[2] > other[4] or other[2] > one[4]
        assert apart, (one[0], other[0])


@each("name", CASES, ordinary=6)
def test_no_thick_line_runs_through_a_text(name: str) -> None:
    for ink in (lay_out_glue_up(glue(name), A4).ink, lay_out_end_grain(ends(name), A4).ink):
        pieces = outlines(ink)
        plates = {"no tenon", *(str(n) for n in range(1, 60))}  # white underneath
        for label in ink.labels:
            if label.text not in plates:
                corners = np.array(label.corners())
                box = (*corners.min(axis=0), *corners.max(axis=0))
                assert not any(crossed(piece, box) for piece in pieces), label.text


# -- the glue-up ---------------------------------------------------------------------------------


@every
def test_tenons_are_drawn_where_they_go(name: str) -> None:
    it = glue(name)
    seen = joints_figure(it, 1.0).lines["visible"]
    squares = [np.array(line) for line in seen if len(line) == 5]
    drawn = sorted((round(s[:, 0].mean(), 3), round(np.ptp(s[:, 0]), 3), round(np.ptp(s[:, 1]), 3))
                   for s in (square[:4] for square in squares))  # fmt: skip
    joints = it.joints
    wanted = sorted(
        (round(one.offset, 3), round(2 * joints.tenon_reach, 3), round(joints.tenon_width, 3))
        for one in joints.tenons for _ in one.places
    )  # fmt: skip
    assert len(drawn) == len(wanted)
    assert np.allclose(np.array(drawn), np.array(wanted))
    rim = it.it.top_diameter / 2
    assert all(np.hypot(*square.T).max() < rim for square in squares)


def glue_ups(name: str):  # type: ignore[no-untyped-def]
    """Each glue-up: its clamps, its strips, and the figure of it at full size."""
    it = glue(name)
    for stage, up in it.glue_ups:
        strips = it.strips[up.joining.first : up.joining.last + 1]
        yield up, strips, clamps_figure(it, stage, up, 1.0)


def test_each_glue_up_has_a_figure_and_joints_have_one() -> None:
    for name in CASES:
        it = glue(name)
        texts = [label.text for label in view(it, 0.05, it.glue_ups).labels]
        assert texts.count("Joints and tenons") == 1
        named = [text for text in texts if text.startswith("Stage ")]
        ups = it.glue_ups
        assert len(named) == (len(ups) if len(ups) > 1 else 0)
        assert texts.count("Clamps and cauls") == (1 if len(ups) == 1 else 0)
    assert len(glue("fourteen").glue_ups) > 1 and len(glue("two").glue_ups) == 1


@every
def test_clamps_stand_evenly_and_cross_the_strips_alternately_over_and_under(name: str) -> None:
    for up, strips, ink in glue_ups(name):
        ends = strips[0].left, strips[-1].right
        bars = sorted(
            (line[0][1], pen == "visible", line[0][0], line[1][0])
            for pen in ("visible", "hidden") for line in ink.lines[pen]
            if len(line) == 2 and line[0][1] == line[1][1]
        )  # fmt: skip
        wet = [min(strips[k - up.joining.first].length_needed,
                   strips[k + 1 - up.joining.first].length_needed)
               for k in up.joining.wet]  # fmt: skip
        pitch = max(wet) / len(bars)  # evenly along the longest joint, half a share at its ends
        assert len(bars) == up.clamps
        for k, (y, above, left, right) in enumerate(bars):
            assert y == pytest.approx(-max(wet) / 2 + (k + 0.5) * pitch, abs=1e-6)
            assert above == (k % 2 == 0)
            held = [s for s in strips if s.length_needed / 2 >= abs(y) - 1e-9]
            assert left < held[0].left - up.held.caul_depth
            assert right > held[-1].right + up.held.caul_depth
            assert ends[0] <= held[0].left and held[-1].right <= ends[1]


def shown_cauls(ink) -> list[np.ndarray]:  # type: ignore[no-untyped-def]
    return [np.array(corners) for corners, colour in ink.areas if colour == "#e2e4e4"]


@every
def test_every_clamp_bears_on_a_caul_either_side(name: str) -> None:
    for up, strips, ink in glue_ups(name):
        middle = (strips[0].left + strips[-1].right) / 2
        along = [c for c in shown_cauls(ink) if np.ptp(c[:, 0]) <= up.held.caul_depth + 1e-9]
        for clamp in up.held.clamps:
            under = [
                c for c in along if c[:, 1].min() - 1e-6 <= clamp.place <= c[:, 1].max() + 1e-6
            ]
            assert {np.sign(c[:, 0].mean() - middle) for c in under} == {-1.0, 1.0}


@every
def test_cauls_across_lie_on_the_panel_between_clamps(name: str) -> None:
    for up, strips, ink in glue_ups(name):
        deep = up.held.caul_depth
        over = [c for c in shown_cauls(ink) if np.ptp(c[:, 0]) > deep + 1e-9]
        places = sorted(clamp.place for clamp in up.held.clamps)
        roomy = len(places) > 1 and places[1] - places[0] > deep
        assert len(over) <= 4 and (roomy or not over)
        shortest = min(strip.length_needed for strip in strips) / 2
        inside = [(a + b) / 2 for a, b in pairwise(places) if abs(a + b) / 2 + deep / 2 <= shortest]
        if roomy and inside:  # over every strip, as far out as may be
            lies = {round(float(c[:, 1].mean()), 6) for c in over}
            assert {round(min(inside), 6), round(max(inside), 6)} <= lies
        for caul in over:
            low, high = caul[:, 1].min(), caul[:, 1].max()
            assert not any(low < place < high for place in places)
            assert any(place < low for place in places) and any(place > high for place in places)
            on = [
                s
                for s in strips
                if s.right > caul[:, 0].min() + 1e-6 and s.left < caul[:, 0].max() - 1e-6
            ]
            assert all(strip.length_needed / 2 >= max(-low, high) - 1e-6 for strip in on)


@every
def test_what_is_said_of_a_caul_is_where_it_is_drawn(name: str) -> None:
    """Lengths, and distances from the end of the strip named, measured on the figure."""
    it = glue(name)
    by_number = dict(zip(it.joints.numbers, it.strips, strict=True))
    said = "\n".join(sentences(it))
    for up, _, ink in glue_ups(name):
        drawn = shown_cauls(ink)
        for caul in up.held.cauls:
            (one,) = (c for c in drawn if np.allclose(
                (c[:, 0].min(), c[:, 0].max(), c[:, 1].min(), c[:, 1].max()),
                (caul.left, caul.right, caul.low, caul.high)))  # fmt: skip
            strip = by_number[it.joints.numbers[caul.strip]]
            middle = one[:, 1].mean()
            if caul.where == "across":
                long = np.ptp(one[:, 0])
                end = strip.length_needed / 2 - abs(middle)
                assert f"{it.it.text(long)} long, {it.it.text(end)} from the" in said
                assert all(
                    s.length_needed <= strip.length_needed + 1e-9
                    for s in by_number.values()
                    if s.left >= caul.left - 1e-6 and s.right <= caul.right + 1e-6
                )
            else:
                long = np.ptp(one[:, 1])
                end = strip.length_needed / 2 - max(one[:, 1].max(), -one[:, 1].min())
                assert it.it.text(long) in said.replace("\N{NO-BREAK SPACE}", " ")
                edge = strip.left if caul.where == "left" else strip.right
                assert min(abs(one[:, 0] - edge)) < 1e-9
            assert caul.length == pytest.approx(long) and caul.from_end == pytest.approx(end)


def test_labels_say_how_far_clamps_and_cauls_are_from_the_centre_line() -> None:
    it = glue("two")  # one joint, by hand: 900 + 2 · 10 mm long where it runs through the centre
    ((stage, up),) = it.glue_ups
    ink = clamps_figure(it, stage, up, 0.1)
    said = {label.text for label in ink.labels}
    pitch = 920 / up.clamps
    outermost = pitch * (up.clamps - 1) / 2
    assert it.it.text(outermost) in said
    upper = [clamp for clamp in up.held.clamps if clamp.place > -1e-6]
    assert len(said & {it.it.text(abs(clamp.place)) for clamp in upper}) in (1, len(upper))


def test_places_are_written_both_ways_from_the_centre_line() -> None:
    it = glue("seven")
    for one in it.joints.tenons:
        text = places_text(it, one)
        assert text.count("±") * 2 + text.split(", ").count("0") == len(one.places)
    # an even number either side of nothing, 384.1 mm at the ends (reference/derivations/glue_up.md)
    from tablekit.planning.top_joints import place_along

    five = place_along(150, 920)
    assert places_text(it, five) == "0, ±192, ±384"


def test_joints_too_short_are_marked_in_both_places() -> None:
    it = glue("fourteen")
    short = [one for one in it.joints.tenons if not one.places]
    texts = [label.text for label in lay_out_glue_up(it, A4).ink.labels]
    assert len(short) == texts.count("no tenon") >= 1
    assert texts.count("none: too short") == 1  # one row for all of them
    assert "no tenon" not in [label.text for label in lay_out_glue_up(glue("two"), A4).ink.labels]


def test_too_small_a_sheet_says_so() -> None:
    for draw, what in ((draw_glue_up, "glue-up"), (draw_end_grain, "end grain")):
        with pytest.raises(ValueError, match=f"too small for the {what} of Reading-room"):
            draw(*subject("seven", "mm"), paper=Paper(40, 40, margin=5))


# -- the end grain -------------------------------------------------------------------------------


@pytest.mark.parametrize("pith", [(20.0, -30.0), (-50.0, 2.0), (5.0, 40.0)])
def test_rings_are_circles_about_the_pith_inside_the_strip(pith: tuple[float, float]) -> None:
    box = (0.0, 0.0, 18.0, 4.0)
    arcs = ring_arcs(pith, box)
    assert len(arcs) >= 3
    radii = []
    for arc in arcs:
        points = np.array(arc)
        away = np.hypot(*(points - pith).T)
        assert np.ptp(away) < 1e-9
        radii.append(round(float(away.mean()), 6))
        assert (points >= [-1e-9, -1e-9]).all() and (points <= [18 + 1e-9, 4 + 1e-9]).all()
    gaps = np.diff(sorted(set(radii)))
    assert np.allclose(gaps / 1.1, np.round(gaps / 1.1))


def test_rings_of_quarter_sawn_strips_stand_nearly_upright() -> None:
    it = ends("quarter")
    strip = it.rings.strips[0]
    high = it.thickness
    wide = strip.right - strip.left
    pith = (wide / 2 - strip.pith_aside, high / 2 - strip.pith_depth)
    for arc in ring_arcs(pith, (0.0, 0.0, wide, high), 5.0):
        (x, y), (a, b) = arc[0], arc[-1]
        if abs(b - y) > high / 2:
            assert abs(a - x) < 0.1 * abs(b - y)


@every
@each("scale", [0.1, 0.2])
def test_bows_are_drawn_as_large_as_is_said(name: str, scale: float) -> None:
    it = ends(name)
    times = factor(it, scale)
    title = lay_out_end_grain(it, A4)
    said = [label.text for label in title.ink.labels if label.text.startswith("End grain")]
    own = factor(it, title.scale)
    assert said and (f"exaggerated {own} times" in said[0] or (own == 1 and "to scale" in said[0]))
    most = max(it.rings.alternating.most, it.rings.one_way.most)
    assert most * scale * times <= 8.0 or times == 1
    # Measured on the paper: the lower faces of each row of strips, from the row's first edge.
    drawn = end_view(it, scale, 190.0).lines["visible"]
    bowed = [np.array(line)[:17] for line in drawn if len(line) > 20]
    count = len(it.rings.strips)
    rows = [np.concatenate(bowed[k : k + count]) for k in range(0, len(bowed), count)]
    panels = (it.rings.alternating, it.rings.one_way)
    said_of = [bow for panel in panels for bow in (panel.winter, panel.summer)]
    assert len(rows) == len(said_of) == 4
    for row, bow in zip(rows, said_of, strict=True):
        heights = row[:, 1] - row[0, 1]
        # A row may stray as far to the other side, but no farther.
        assert np.abs(heights).max() == pytest.approx(abs(bow) * scale * times, abs=1e-6)
        assert np.abs(heights - bow * scale * times).min() < 1e-6


@pytest.mark.parametrize("name", ["seven", "outside", "three"])
def test_arrows_point_to_the_bark(name: str) -> None:
    it = ends(name)
    ink = lay_out_end_grain(it, A4).ink
    heads = [np.array(arrow) for arrow in ink.arrows]
    up = [bool(head[0, 1] > head[1:, 1].mean()) for head in heads]
    both = (*it.rings.alternating.heart_up, *it.rings.one_way.heart_up)
    assert up == [not heart for heart in both]
    numbers = [label.text for label in ink.labels if label.text.isdigit()]
    assert all(numbers.count(str(strip.number)) >= 2 for strip in it.rings.strips)
