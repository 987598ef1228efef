"""The parts pulled apart on paper: what is drawn lies on a part, and nothing in front of it."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.drawing.apart import (
    ASKEW,
    draw_apart,
    seen_lines,
    seen_marks,
    sharp_edges,
    view_from,
)
from tablekit.drawing.style import A4_ACROSS, save
from tablekit.relations.families import network
from tablekit.solids.cutting import post_solid, solid
from tablekit.solids.piece import Solids
from tablekit.solids.pulling import pulled_apart
from tests.drawing.shown import boxes, texts

GIVEN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


@cache
def sheet(crossing: str = "one notch"):
    return network("table", crossing=crossing).solve(GIVEN, name="Trial")


@cache
def pulled(crossing: str = "one notch"):
    return Solids(sheet(crossing)).pulling


def test_the_view_is_a_right_handed_set_of_unit_vectors():
    axes = np.array([ASKEW.right, ASKEW.up, ASKEW.towards])
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1, abs=1e-12)
    assert view_from(-np.pi / 2, 0.0).project(np.array([3.0, 4.0, 5.0])) == pytest.approx([3, 5])


@pytest.mark.parametrize("crossing", ["one notch", "two notches"])
def test_covers_together_are_the_notched_post(crossing):
    # Against the bar less its notches, cut by another library as solids.
    for post in pulled(crossing).posts:
        whole = post_solid(post)
        union = sum((solid(body) for body in post.covers[1:]), solid(post.covers[0]))
        assert union.volume() == pytest.approx(whole.volume(), rel=1e-9)
        assert (union ^ whole).volume() == pytest.approx(whole.volume(), rel=1e-9)


@pytest.mark.parametrize("crossing", ["one notch", "two notches"])
def test_a_post_s_edges_are_those_between_its_faces(crossing):
    """A corner of a flat-faced solid joins three edges, or else a straight edge runs on there."""
    for part in pulled(crossing).parts[:3]:
        edges = sharp_edges(part)
        ends = np.unique(np.round(edges.reshape(-1, 3), 4), axis=0)
        assert len(ends) == len(np.unique(np.round(part.corners, 4), axis=0))
        for end in ends:
            at_end = np.abs(edges - end).max(axis=2) < 1e-3
            met = edges[at_end.any(axis=1)]
            away = (met - end).sum(axis=1)  # the near end adds nothing
            away /= np.linalg.norm(away, axis=1)[:, None]
            assert len(met) >= 3 or (len(met) == 2 and away[0] == pytest.approx(-away[1], abs=1e-4))


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("crossing", ["one notch", "two notches"])
def test_what_is_drawn_is_what_is_seen(crossing, share):
    """A point of a post's edge is drawn just when a ray from it to the viewer meets no solid."""
    found = pulled(crossing)
    pieces, owners = seen_lines(found, share)
    offsets = pulled_apart(found.turns, share)
    shapes = [*map(post_solid, found.posts), *map(solid, found.bodies)]
    placed = [shape.translate(list(by)) for shape, by in zip(shapes, offsets, strict=True)]
    towards = ASKEW.line_of_sight
    checked = 0
    for k in range(3):
        edges = sharp_edges(found.parts[k]) + offsets[k]
        for point in 0.37 * edges[:, 0] + 0.63 * edges[:, 1]:
            flat = ASKEW.project(point)
            drawn = _on_any(flat, pieces[owners == k])
            start, end = point + 1e-2 * towards, point + 9000 * towards
            struck = any(shape.ray_cast(list(start), list(end)) for shape in placed)
            checked += 1
            assert drawn != struck, (k, point)
    assert checked > 60


def _on_any(point: np.ndarray, pieces: np.ndarray) -> bool:
    start, run = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    along = np.clip(((point - start) * run).sum(axis=1) / (run**2).sum(axis=1), 0, 1)
    return bool((np.linalg.norm(start + along[:, None] * run - point, axis=1) < 1e-3).any())


@pytest.mark.parametrize("across", [700.0, 920.0, 1500.0])
def test_a_top_pulled_off_hides_nothing_of_the_posts(across):
    """However wide it is, no ray from a corner of a post to the viewer meets it."""
    it = network("table").solve({**GIVEN, "top_diameter": across}, name="Trial")
    found = Solids(it).pulling
    offsets = pulled_apart(found.turns, 1.0)
    top = solid(found.bodies[-1]).translate(list(offsets[-1]))
    for k in range(3):
        for corner in found.parts[k].corners + offsets[k]:
            far = corner + 9000 * ASKEW.line_of_sight
            assert not top.ray_cast(list(corner), list(far))


@pytest.mark.parametrize("share", [0.0, 1.0])
@pytest.mark.parametrize("crossing", ["one notch", "two notches"])
def test_a_post_s_number_stands_on_that_post(crossing, share):
    """A ray from the number's place to the viewer meets no other part."""
    found = pulled(crossing)
    offsets = pulled_apart(found.turns, share)
    shapes = [*map(post_solid, found.posts), *map(solid, found.bodies)]
    placed = [shape.translate(list(by)) for shape, by in zip(shapes, offsets, strict=True)]
    for k, mark in enumerate(seen_marks(found, share, ASKEW, 5.0)):
        end = mark + 9000 * ASKEW.line_of_sight
        struck = [j for j, shape in enumerate(placed) if shape.ray_cast(list(mark), list(end))]
        assert struck == [k]


def test_it_fits_the_paper_and_says_what_there_is_to_know(tmp_path):
    figure = draw_apart(sheet("two notches"), paper=A4_ACROSS)
    said = [text.get_text() for text in texts(figure)]
    assert {"1", "2", "3"} <= set(said)
    assert "no hand can do that." in " ".join(said)
    found = boxes(figure)
    assert len(found) > 3 and min(box.width for box in found) > 1
    assert all(box.x0 >= 0 and box.x1 <= figure.bbox.x1 and box.y0 >= 0 for box in found)
    again = draw_apart(sheet("two notches"), paper=A4_ACROSS)
    first, second = save(figure, tmp_path / "a.svg"), save(again, tmp_path / "b.svg")
    assert first.read_bytes() == second.read_bytes()
