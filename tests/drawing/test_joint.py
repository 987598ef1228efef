"""The drawing of the joint."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.drawing.joint import clipped_between, draw_joint, hatched, lay_out_joint, subject
from tablekit.drawing.style import A4, A4_ACROSS, Paper, save
from tablekit.engine.shop import ShopStyle
from tablekit.relations.families import network
from tablekit.solids.cutting import post_solid, volume_and_centre
from tablekit.solids.notched import notched_posts
from tests.drawing.legible import off_the_paper, overlapping
from tests.together import each

GIVEN = {"post_section": 64.0, "top_diameter": 900.0, "table_height": 735.0}


def sheet(crossing: str = "one notch", hand: str = "right", display="mm", **given: float):
    it = network("table", crossing, hand=hand)
    return it.solve({**GIVEN, **given}, name="A table", shop=ShopStyle(display=display))


DESIGNS = {
    "square": {},
    "steep": {"splay": 35.0},
    "left hand": {"hand": "left", "splay": 45.0},
    "in inches": {"display": "in", "post_section": 63.5},
    "rectangular": {"post_width": 90.0},
    "shallow": {"axis_offset": 45.0},
    "stout": {"post_section": 150.0, "table_height": 900.0},
    "thin": {"post_section": 25.0, "table_height": 400.0},
    "two notches": {"crossing": "two notches"},
    "two notches with relief": {"crossing": "two notches", "notch_relief": 32.0},
}


@each("name", DESIGNS)
@each("paper", [A4, A4_ACROSS], ids=["upright", "across"])
def test_every_text_can_be_read(name: str, paper: Paper) -> None:
    ink = lay_out_joint(sheet(**DESIGNS[name]), paper).ink
    assert overlapping(ink) == []
    assert off_the_paper(ink, paper) == []
    said = {label.text for label in ink.labels}
    it = subject(sheet(**DESIGNS[name]))
    assert {it.text("notch_width"), it.text("notch_depth"), it.text("post_width")} <= said


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("lean", [35.0, 54.7356103])
@pytest.mark.parametrize("way_up", ["notches up", "notches down"])
def test_the_notch_opens_on_paper_the_way_it_opens_in_the_piece(way_up, lean, hand) -> None:
    # independent: where the wood is missing in space, by the volumes either side of the axis
    it = network("table", "one notch", way_up, hand).solve({**GIVEN, "splay": lean}, name="A table")
    post = notched_posts(it)[0]
    whole = np.asarray(post.prism.vertices).mean(axis=0)
    solid = post_solid(post)
    _, middle = volume_and_centre(solid)
    # Wood taken from one side moves the middle of what is left to the other.
    axis = whole + ((middle - whole) @ post.along) * post.along
    lower = middle[2] < axis[2]
    assert lower == (way_up == "notches up")
    (outline,) = subject(it).along.outlines
    deep = it.number("post_width")
    near = outline[np.abs(outline[:, 0]) < deep]
    inside = near[np.abs(np.abs(near[:, 1]) - deep / 2) > 1e-3]  # the corners of the notch's floor
    edge = outline[np.abs(outline[:, 0] - inside[:, 0].mean()) < 2 * deep]
    above, below = ((edge[:, 1] > 0).sum(), (edge[:, 1] < 0).sum())
    # On the side that the notch opens to, its two walls meet the face: two corners near it.
    assert (above > below) == (way_up == "notches up")


def test_hatching_fills_a_square_and_stays_in_it() -> None:
    square = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 40.0], [0.0, 40.0]])
    lines = hatched(square, 45.0, 2.0)
    assert lines.min() >= -1e-6 and lines.max() <= 40 + 1e-6
    lengths = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1)
    assert lengths.sum() * 2.0 == pytest.approx(1600.0, rel=0.01)  # lines × distance = area


def test_hatching_leaves_a_notch_white() -> None:
    outline = np.array(
        [[0, 0], [10, 0], [10, 5], [20, 5], [20, 0], [30, 0], [30, 10], [0, 10]], dtype=float
    )
    middles = hatched(outline, 30.0, 1.0).mean(axis=1)
    inside = (middles[:, 0] > 10) & (middles[:, 0] < 20) & (middles[:, 1] < 5)
    assert len(middles) > 20 and not inside.any()


def test_a_polygon_is_cut_off_on_both_sides() -> None:
    bar = np.array([[-50.0, 0.0], [50.0, 0.0], [50.0, 10.0], [-50.0, 10.0]])
    short = clipped_between(bar, -20.0, 30.0)
    assert short[:, 0].min() == -20.0 and short[:, 0].max() == 30.0


def test_a_sheet_too_small_is_refused_and_files_are_the_same_each_time(tmp_path) -> None:
    with pytest.raises(ValueError, match="too small"):
        lay_out_joint(sheet(), Paper(40, 40))
    one = save(draw_joint(sheet()), tmp_path / "one.svg").read_bytes()
    assert save(draw_joint(sheet()), tmp_path / "two.svg").read_bytes() == one
