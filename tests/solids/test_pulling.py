"""Parts pulled apart: in place at first, clear of one another at last, nothing run through."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest

from tablekit.engine.trouble import RangeError
from tablekit.relations.families import network
from tablekit.solids.assembly import assemble
from tablekit.solids.cutting import post_solid, solid
from tablekit.solids.piece import Solids
from tablekit.solids.pulling import STRAIGHT_APART, moved, placing, pulled_apart

GIVEN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
GOES = {
    "notches up": ({}, {}),
    "notches down": ({"way_up": "notches down"}, {}),
    "steep, left": ({"hand": "left"}, {"splay": 35.0}),
    "no pads": ({}, {"pad_projection": 0.0}),
}
LOCKED = {
    "flat": ({}, {"splay": 62.0}),
    "two notches": ({"crossing": "two notches"}, {}),
    "two notches, left": ({"crossing": "two notches", "hand": "left"}, {}),
}
EVERY = {**GOES, **LOCKED}


@cache
def sheet(name: str):
    options, more = EVERY[name]
    return network("table", **options).solve({**GIVEN, **more}, name=name)


@cache
def pulled(name: str):
    return Solids(sheet(name)).pulling


def solids(name: str, share: float):
    """The parts as solids, cut from posts and bodies, not from the surfaces that are shown."""
    found = pulled(name)
    shapes = [*map(post_solid, found.posts), *map(solid, found.bodies)]
    offsets = pulled_apart(found.turns, share)
    return [shape.translate(list(by)) for shape, by in zip(shapes, offsets, strict=True)]


@pytest.mark.parametrize("name", EVERY)
def test_at_nothing_the_parts_are_in_place(name):
    assert pulled_apart(pulled(name).turns, 0.0) == pytest.approx(0.0, abs=0.0)
    assert len(pulled(name).parts) == pulled(name).turns.shape[1]


@pytest.mark.parametrize("name", EVERY)
def test_at_the_whole_no_two_parts_touch(name):
    # As far apart as a quarter of a post's section at the least: by the library's own distance.
    for one, other in combinations(solids(name, 1.0), 2):
        assert one.min_gap(other, 500.0) > 64.0 / 4


@pytest.mark.parametrize("name", GOES)
def test_on_the_way_no_part_runs_through_another(name):
    for share in np.linspace(0, 1, 25):
        shared = [float((a ^ b).volume()) for a, b in combinations(solids(name, share), 2)]
        assert max(shared) < 1e-3  # mm³: rounding of coordinates


@pytest.mark.parametrize("name", GOES)
def test_each_post_moves_back_along_its_own_direction(name):
    found, answer = pulled(name), assemble(sheet(name))
    offsets = pulled_apart(found.turns, 1.0)
    assert not found.locked and found.words == answer.words
    assert offsets[answer.order[0] - 1] == pytest.approx(0.0, abs=0.0)
    for number, direction in zip(answer.order[1:], answer.directions[1:], strict=True):
        travel = offsets[number - 1]
        distance = np.linalg.norm(travel)
        assert travel / distance == pytest.approx(-np.array(direction), abs=1e-9)
        assert distance > next(s.distance for s in answer.way.steps if s.post == number)


@pytest.mark.parametrize("name", GOES)
def test_the_last_post_in_is_the_first_out(name):
    found, order = pulled(name), assemble(sheet(name)).order
    last, middle = order[-1] - 1, order[-2] - 1
    half = pulled_apart(found.turns, 2 / len(found.turns))
    assert np.linalg.norm(half[last]) > 1 and np.linalg.norm(half[middle]) == 0


@pytest.mark.parametrize("name", LOCKED)
def test_locked_posts_are_told_and_pulled_level(name):
    found = pulled(name)
    assert found.locked and "locked" in found.words and STRAIGHT_APART in found.words
    offsets = pulled_apart(found.turns, 1.0)[:3]
    assert offsets[:, 2] == pytest.approx(0.0, abs=1e-12)
    along = np.array([post.along for post in found.posts])
    assert np.einsum("ij,ij->i", offsets, along) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("share", [-0.01, 1.01, float("nan")])
def test_a_share_outside_is_refused(share):
    with pytest.raises(RangeError, match="between 0, in place, and 1"):
        pulled_apart(np.zeros((1, 2, 3)), share)


def test_a_part_is_moved_whole():
    body, by = pulled("notches up").bodies[-1], np.array([3.0, -4.0, 12.0])
    shifted = moved(body, by)
    assert shifted.vertices - body.vertices == pytest.approx(np.tile(by, (len(body.vertices), 1)))
    assert (shifted.vertices @ shifted.normals.T <= shifted.offsets + 1e-9).all()
    assert placing(by) @ [0, 0, 0, 1] == pytest.approx([3, -4, 12, 1])
