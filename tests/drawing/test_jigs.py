"""The drawings of the jigs: on the paper, legible, to scale, and with the plan's own numbers."""

from __future__ import annotations

from functools import cache
from math import atan2, degrees, hypot

import numpy as np
import pytest

from tablekit.brief import parse_brief
from tablekit.design import Design
from tablekit.drawing.ink import Ink
from tablekit.drawing.jigs import VIEWS, JigSubject, lay_out_jig
from tablekit.drawing.style import A4, A4_ACROSS, SCREEN, Paper
from tablekit.relations.jigs import EVERY
from tablekit.setting_out import design_of
from tests.drawing.legible import off_the_paper, overlapping
from tests.together import each

TEXTS = {
    "mm": """name = "Trial"
[given]
table_height = "700 mm"
top_diameter = "820 mm"
post_section = "64 mm"
splay = "45 deg"
[base]
hand = "{hand}"
way_up = "{way}"
[workshop]
jigs = true
""",
    "in": """name = "Trial"
display = "in"
[given]
table_height = "28 in"
top_diameter = "34 in"
post_section = "2 1/2 in"
splay = "47 deg"
[base]
hand = "{hand}"
way_up = "{way}"
[workshop]
jigs = true
""",
}


@cache
def design(unit: str = "mm", hand: str = "right", way: str = "notches up") -> Design:
    return design_of(parse_brief(TEXTS[unit].format(hand=hand, way=way)))


def subject(which: str, of: Design | None = None) -> JigSubject:
    of = of or design()
    assert of.jigs is not None
    return JigSubject(of.jigs, which, of.sheet.name, of.trammel)


def view(which: str, number: int, of: Design | None = None, scale: float = 1 / 3) -> Ink:
    ink = VIEWS[which][number](subject(which, of), scale)
    assert ink is not None
    return ink


# What each drawing has to tell.
TOLD = {
    "stop": ("stop_distance", "stop_batten", "stop_block", "stop_short", "last_stop"),
    "sled": (
        "sled_channel", "sled_cheek", "sled_cheek_board", "sled_opening", "sled_rail_length",
        "sled_rail_width", "sled_length", "stop_to_near_rail", "depth_of_cut",
    ),
    "wedge": ("wedge_gauge", "sled_length"),
    "cradle": (
        "cradle_near_rail", "cradle_far_rail", "cradle_inside", "cradle_outside", "cradle_cheek",
        "cradle_rail_height", "cradle_cheek_board", "cradle_length", "cradle_kerf_run",
        "cradle_grip",
    ),
    "trammel": ("pivot_from_edge", "first_pivot", "hole_aside", "board_length"),
}  # fmt: skip


@each("unit", TEXTS)
@each("which", EVERY)
@each("paper", [A4, A4_ACROSS, SCREEN], ids=["A4", "across", "screen"])
def test_a_jig_is_on_the_paper_and_its_sizes_are_told(which: str, paper: Paper, unit: str) -> None:
    it = subject(which, design(unit))
    ink = lay_out_jig(it, paper).ink
    box = ink.box()
    assert box.left >= paper.margin - 1e-6 and box.right <= paper.width - paper.margin + 1e-6
    assert overlapping(ink) == [] and off_the_paper(ink, paper) == []
    said = " ".join(label.text for label in ink.labels)
    for name in TOLD[which]:
        assert it.text(name) in said, name
    for name in it.size:
        if name in ("cradle_cut", "cradle_near_slope", "cradle_far_slope", "wedge_angle"):
            assert f"{it.size[name]:.2f}°" in said
    assert ("inches" if unit == "in" else "millimetres") in said
    assert unit == "mm" or " mm" not in said


SHALLOW = """name = "Trial"
[given]
table_height = "620 mm"
top_diameter = "760 mm"
post_section = "55 mm"
splay = "48 deg"
[workshop]
jigs = true
"""


@pytest.mark.parametrize("which", EVERY)
@pytest.mark.parametrize("high", [75.0, 90.0, 110.0, 130.0])
def test_no_text_runs_into_another_beside_the_words_of_a_page(which: str, high: float) -> None:
    """As on the pages of the jigs: as wide as an A4 sheet's text, and of several heights. The notch
    of this table is not square and shallow."""
    paper = Paper(190.0, high, 0.0, "beside", with_text=True)
    try:
        ink = lay_out_jig(subject(which, design_of(parse_brief(SHALLOW))), paper).ink
    except ValueError:
        assert high < 110.0  # a drawing that asks for more
        return
    assert overlapping(ink) == []


def test_too_small_a_sheet_is_refused() -> None:
    with pytest.raises(ValueError, match="too small for the flat cradle"):
        lay_out_jig(subject("cradle"), Paper(50, 50))


@pytest.mark.parametrize("way", ["notches up", "notches down"])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_kerf_is_to_scale_and_slants_as_the_words_have_it(hand: str, way: str) -> None:
    of = design("mm", hand, way)
    it, scale = subject("cradle", of), 1 / 3
    ink = view("cradle", 1, of, scale)
    high = it.size["cradle_outside"] * scale
    (kerf,) = (
        line for line in ink.lines["visible"]
        if len(line) == 2 and line[0][1] == 0.0 and abs(line[1][1] - high) < 1e-9
    )  # fmt: skip
    (x, _), (far, _) = kerf
    assert abs(far - x) == pytest.approx(it.size["cradle_kerf_run"] * scale)
    angle = degrees(atan2(high, abs(far - x)))
    assert angle == pytest.approx(it.size["cradle_cut"])
    # The foot end is to the left of a right-hand piece, to the right of a left-hand one.
    ends = {label.text: label.x for label in ink.labels if label.text.endswith(" end")}
    assert (ends["foot end"] < ends["head end"]) == (hand == "right")
    away = f"{it.jig.towards} end"
    other = "head end" if it.jig.towards == "foot" else "foot end"
    assert (far < x) == (ends[away] < ends[other])
    assert f"towards the {it.jig.towards} end as it goes away" in " ".join(it.jig.how)


def test_the_post_lies_on_both_rails_of_the_cradle() -> None:
    """Two edges of the post's section lie along the bevels, and A stands level with the cheeks."""
    it, scale = subject("cradle"), 0.5
    shapes = [np.array(corners) for corners, _ in view("cradle", 0, scale=scale).areas]
    (post,) = (one for one in shapes if len(one) == 4 and np.ptp(one[:2, 1]) > 1e-9
               and np.ptp(one[1:3, 1]) > 1e-9)  # fmt: skip
    rails = [one for one in shapes if len(one) == 5]
    assert len(rails) == 2
    assert post[:, 1].max() == pytest.approx(it.size["cradle_cheek"] * scale)
    assert sorted(np.hypot(*np.diff(np.vstack([post, post[:1]]), axis=0).T)) == pytest.approx(
        [64 * scale] * 4
    )
    low = post[post[:, 1].argmin()]
    for rail in rails:
        toe, shoulder = rail[2], rail[3]
        to_toe, to_shoulder = toe - low, shoulder - low
        assert abs(to_toe[0] * to_shoulder[1] - to_toe[1] * to_shoulder[0]) < 1e-9


@pytest.mark.parametrize("hand", ["right", "left"])
def test_rails_of_the_sled_are_as_far_apart_as_they_are_said_and_cross_at_the_angle(
    hand: str,
) -> None:
    of = design("mm", hand)
    it, scale = subject("sled", of), 1 / 4
    shapes = [np.array(corners) for corners, _ in view("sled", 1, of, scale).areas]
    width = it.size["sled_rail_width"] * scale
    rails = [one for one in shapes if hypot(*(one[1] - one[0])) == pytest.approx(width)]
    assert len(rails) == 2
    along = rails[0][3] - rails[0][0]
    assert hypot(*along) == pytest.approx(it.size["sled_rail_length"] * scale)
    square = np.array([along[1], -along[0]]) / hypot(*along)
    apart = abs((rails[1][0] - rails[0][0]) @ square)
    assert apart == pytest.approx(it.size["sled_opening"] * scale)
    crossing = of.sheet.number("crossing_angle")
    assert degrees(atan2(along[1], abs(along[0]))) == pytest.approx(crossing)
    towards_right = (it.jig.towards == "head") == (hand == "right")
    assert (along[0] > 0) == towards_right


@pytest.mark.parametrize("way", ["notches up", "notches down"])
def test_the_wedge_lies_under_the_post_and_stays_inside_the_sled(way: str) -> None:
    of = design("mm", "right", way)
    it, scale = subject("sled", of), 0.5
    shapes = [np.array(corners) for corners, _ in view("sled", 0, of, scale).areas]
    post, wedge = shapes[-2], shapes[-3]
    inside = it.size["sled_channel"] * scale
    assert post[:, 0].min() == pytest.approx(0, abs=1e-9)
    assert post[:, 0].max() == pytest.approx(inside)
    assert post[:, 1].max() == pytest.approx(it.size["sled_cheek"] * scale)
    assert wedge[:, 0].min() > -1e-9 and wedge[:, 0].max() < inside + 1e-9
    # Both upper corners of the wedge are corners of the post.
    for corner in (wedge[2], wedge[3]):
        assert np.hypot(*(post - corner).T).min() < 1e-9


def test_the_first_hole_of_the_trammel_is_where_the_plan_has_it() -> None:
    it, scale = subject("trammel"), 1 / 3
    rings = [np.array(line)[:-1].mean(axis=0) for line in view("trammel", 0).lines["visible"]
             if len(line) == 33]  # fmt: skip
    assert len(rings) == 2
    first = max(rings, key=lambda middle: middle[1])
    assert first == pytest.approx([it.size["first_pivot"] * scale, it.size["hole_aside"] * scale])
