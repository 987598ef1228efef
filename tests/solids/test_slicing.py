"""Plane cuts through the posts."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.relations.families import network
from tablekit.solids.cutting import cut_along, level_cuts, post_solid, volume_and_centre
from tablekit.solids.model import build
from tablekit.solids.notched import notched_posts


def area(outlines) -> float:
    total = 0.0
    for outline in outlines:
        x, y = outline.T
        total += float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    return total


def sheet(splay: float = 54.7356, crossing: str = "one notch"):
    given = {"post_length": 900.0, "post_section": 60.0, "top_diameter": 700.0}
    return network("table", crossing).solve(
        given if crossing == "two notches" else {**given, "splay": splay}
    )


@pytest.mark.parametrize("splay", [35.0, 54.7356])
def test_areas_at_every_height_add_up_to_the_volume(splay: float) -> None:
    posts = notched_posts(sheet(splay))
    low, high = (float(f(posts[0].prism.vertices[:, 2])) for f in (np.min, np.max))
    heights, weights = np.polynomial.legendre.leggauss(400)
    heights = low + (heights + 1) / 2 * (high - low)
    areas = [area(level_cuts(posts, h)[0].outlines) for h in heights]
    volume, _ = volume_and_centre(post_solid(posts[0]))
    assert np.dot(weights, areas) * (high - low) / 2 == pytest.approx(volume, rel=2e-4)


def test_three_posts_are_cut_alike() -> None:
    it = sheet()
    cuts = level_cuts(notched_posts(it), float(build(it).waists[0, 2]))
    areas = [area(cut.outlines) for cut in cuts]
    assert [cut.number for cut in cuts] == [1, 2, 3]
    assert areas == pytest.approx([areas[0]] * 3)


def test_a_cut_along_shows_the_depth_and_the_width_of_the_notch() -> None:
    it = sheet()
    model, posts = build(it), notched_posts(it)
    (outline,) = cut_along(posts[0], model.bearing[0], model.notch_centres[0]).outlines
    near = outline[np.abs(outline[:, 0]) < 45.0]  # the notch's four corners
    assert np.ptp(near[:, 0]) == pytest.approx(it.number("notch_width"))
    assert np.ptp(near[:, 1]) == pytest.approx(it.number("notch_depth"))
    assert np.ptp(outline[:, 1]) == pytest.approx(it.number("post_width"))
    assert outline[:, 0].min() < 0 < outline[:, 0].max()


def test_above_and_below_there_is_nothing() -> None:
    posts = notched_posts(sheet())
    assert all(cut.outlines == () for cut in level_cuts(posts, -5.0))
    assert all(cut.outlines == () for cut in level_cuts(posts, 5000.0))
