"""Every crossing a brief may ask for: the solids fit, weigh what the sheet says, and go together
or are locked as they must be."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.relations.families import network
from tablekit.solids.assembly import assemble
from tablekit.solids.fit import check_fit
from tablekit.solids.model import build
from tablekit.solids.notched import notched_posts
from tests.together import each

PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
WIDE = {**PLAIN, "post_section": 54.0, "post_width": 80.0}
CASES = [
    ("one notch", PLAIN),
    ("one notch", WIDE),
    ("one notch", {**WIDE, "splay": 40.0}),
    ("one notch", {**PLAIN, "post_width": 50.0, "splay": 48.0}),
    ("one notch", {**PLAIN, "splay": 30.0, "notch_position": 320.0, "axis_offset": 25.0}),
    ("two notches", PLAIN),
    ("two notches", {**PLAIN, "notch_position": 500.0}),
]
WAYS = ("notches up", "notches down")


def solved(
    crossing: str, givens: dict[str, float], way: str = WAYS[0], hand: str = "right"
) -> Sheet:
    return network("table", crossing, way, hand).solve(givens)


@each("hand", ["right", "left"])
@each("way", WAYS)
@each(("crossing", "givens"), CASES)
def test_the_parts_fit_and_weigh_what_the_sheet_says(
    crossing: str, givens: dict[str, float], way: str, hand: str
) -> None:
    fit = check_fit(solved(crossing, givens, way, hand))
    assert fit.problems == ()
    assert fit.fits


def test_a_lengthened_notch_leaves_a_gap_and_says_so() -> None:
    fit = check_fit(solved("two notches", {**PLAIN, "notch_relief": 20.0}))
    assert fit.problems and all("post 1" in problem for problem in fit.problems)
    assert any("nothing bears on the foot wall" in problem for problem in fit.problems)


@each("way", WAYS)
@each(("crossing", "givens"), CASES)
def test_the_feet_stand_where_the_sheet_says(
    crossing: str, givens: dict[str, float], way: str
) -> None:
    sheet = solved(crossing, givens, way)
    for post in notched_posts(sheet):
        floor = post.prism.vertices[:, 2].min()
        foot = post.prism.vertices[np.isclose(post.prism.vertices[:, 2], floor)]
        assert floor == pytest.approx(sheet.number("pad_projection"))
        assert len(foot) == 3
        # The incentre of the flat, from its corners and the sides across from them.
        sides = np.array([np.linalg.norm(foot[k - 1] - foot[k - 2]) for k in range(3)])
        middle = sides @ foot / sides.sum()
        assert np.hypot(*middle[:2]) == pytest.approx(sheet.number("foot_radius"), rel=1e-9)


@pytest.mark.parametrize(("crossing", "givens"), CASES)
def test_a_left_handed_base_is_the_mirror_image(crossing: str, givens: dict[str, float]) -> None:
    right, left = (notched_posts(solved(crossing, givens, hand=h)) for h in ("right", "left"))
    across = np.array([1.0, -1.0, 1.0])
    for one, other in ((0, 0), (1, 2), (2, 1)):
        mirrored = sorted(map(tuple, np.round(right[one].prism.vertices * across, 6)))
        assert mirrored == sorted(map(tuple, np.round(left[other].prism.vertices, 6)))
    guests = {post.number: {notch.guest for notch in post.notches} for post in left}
    if crossing == "one notch":
        assert guests == {1: {3}, 2: {1}, 3: {2}}  # each takes in the next clockwise


@pytest.mark.parametrize("hand", ["right", "left"])
def test_what_goes_together_and_what_is_locked(hand: str) -> None:
    for crossing, givens in CASES:
        found = assemble(solved(crossing, givens, hand=hand))
        assert found.verdict == ("locked" if crossing == "two notches" else "goes together")
    freed = assemble(solved("two notches", {**PLAIN, "notch_relief": 32.0}, hand=hand))
    assert freed.verdict == "goes together"  # freed by half the section
    barely = assemble(solved("two notches", {**PLAIN, "notch_relief": 31.0}, hand=hand))
    assert barely.verdict == "locked"


def test_the_drawn_model_is_mirrored_too() -> None:
    right, left = (build(solved("one notch", WIDE, hand=h)) for h in ("right", "left"))
    assert left.joints == ((0, 2), (2, 1), (1, 0))
    assert [post.number for post in left.posts] == [1, 2, 3]
    for post in left.posts:
        assert post.volume == pytest.approx(right.posts[0].volume)
        # Outward normals: the middle of the body lies inside every face.
        assert np.all(post.normals @ post.vertices.mean(axis=0) < post.offsets)
