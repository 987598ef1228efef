"""Right and left hand: every number alike, and each base the reflection of the other."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.relations import bases, kinds
from tablekit.relations.families import network
from tests.relations.reference_vectors import Design, measure, posts

REFLECT = np.diag([1.0, -1.0, 1.0])  # in the upright plane of the first post
HALF_TURN = np.diag([1.0, -1.0, -1.0])  # about the level line along the first post's lean
LEANS = [15, 35, 54.7356, 70]
WAYS = {"notches up": True, "notches down": False}


def base(lean: float, up: bool, clockwise: bool, position: float = 430) -> Design:
    return Design(60, 1100, np.radians(lean), 27, position, 4, 7, up, 75, clockwise)


def outline(design: Design) -> list[np.ndarray]:
    """Corners of each bar, shape (8, 3) each, the middle of its axes' crossing as origin."""
    made, _, _ = posts(design)
    return [np.vstack([post.corners(post.low), post.corners(post.high)]) for post in made]


def same_points(first: np.ndarray, second: np.ndarray) -> bool:
    far = np.linalg.norm(first[:, None] - second[None], axis=2)
    return bool((far.min(axis=1) < 1e-9).all() and (far.min(axis=0) < 1e-9).all())


@pytest.mark.parametrize("way_up", WAYS)
@pytest.mark.parametrize("lean", LEANS)
def test_both_hands_have_every_number_alike(lean: float, way_up: str) -> None:
    # derived: reference/derivations/hand.md; each hand built from vectors in its own right
    right, left = (measure(base(lean, WAYS[way_up], clockwise)) for clockwise in (False, True))
    assert right.keys() == left.keys()
    for name, number in right.items():
        assert left[name] == pytest.approx(number, rel=1e-11, abs=1e-11), name


@pytest.mark.parametrize("way_up", WAYS)
@pytest.mark.parametrize("lean", LEANS)
def test_one_hand_is_the_reflection_of_the_other_and_not_a_turn_of_it(
    lean: float, way_up: str
) -> None:
    # derived: reference/derivations/hand.md
    right, left = (outline(base(lean, WAYS[way_up], clockwise)) for clockwise in (False, True))
    for post, other in zip(right, left, strict=True):
        assert same_points(post @ REFLECT, other)
        assert not same_points(post, other)  # both lean along x, so no turn brings them together


@pytest.mark.parametrize("way_up", WAYS)
@pytest.mark.parametrize("lean", LEANS)
def test_turned_over_a_base_has_the_other_hand_and_opens_the_other_way(
    lean: float, way_up: str
) -> None:
    # derived: reference/derivations/hand.md, turning over; heads become feet
    up = WAYS[way_up]
    found = outline(base(lean, up, clockwise=False))
    other = outline(base(lean, not up, clockwise=True, position=1100 - 430))
    same = outline(base(lean, not up, clockwise=False, position=1100 - 430))
    turned = [corners @ HALF_TURN @ np.diag([-1.0, -1.0, 1.0]) for corners in found]
    assert same_points(turned[0], other[0])
    assert not same_points(turned[0], same[0])
    assert all(any(same_points(t, o) for o in other) for t in turned)


@pytest.mark.parametrize("crossing", bases.CROSSINGS)
@pytest.mark.parametrize("kind", kinds.KINDS)
def test_the_network_carries_the_hand_and_finds_the_same(kind: str, crossing: str) -> None:
    height = "seat_height" if kind == "stool" else "table_height"
    givens = {height: 480.0, "top_diameter": 420.0, "post_section": 44.0}
    right, left = (network(kind, crossing, hand=hand).solve(givens) for hand in bases.HANDS)
    assert (right.network.options["hand"], left.network.options["hand"]) == tuple(bases.HANDS)
    assert "left hand" in left.network.name
    assert {n: v.number for n, v in right.values.items()} == {
        n: v.number for n, v in left.values.items()
    }
