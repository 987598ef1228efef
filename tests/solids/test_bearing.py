"""Where notched posts really touch, against points tried one by one."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.relations.families import network
from tablekit.solids.carrying import Face, bearing_faces, cells, corners_of
from tablekit.solids.notched import NotchedPost, notched_posts

PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
CASES = [
    ("one notch", PLAIN),
    ("one notch", {**PLAIN, "post_section": 54.0, "post_width": 80.0, "splay": 40.0}),
    ("one notch", {**PLAIN, "splay": 30.0, "axis_offset": 25.0}),
    ("two notches", PLAIN),
    ("two notches", {**PLAIN, "notch_relief": 32.0}),
]
each_case = pytest.mark.parametrize("case", range(len(CASES)))


@cache
def sheet(case: int, hand: str = "right") -> Sheet:
    crossing, givens = CASES[case]
    return network("table", crossing, "notches up", hand).solve(givens)


def in_wood(post: NotchedPost, points: np.ndarray) -> np.ndarray:
    """Inside the bar and in none of its notches; knows nothing of pieces or patches."""
    normals, offsets = post.prism.planes
    inside = (points @ normals.T <= offsets).all(axis=1)
    for notch in post.notches:
        inside &= ~(points @ notch.normals.T <= notch.offsets).all(axis=1)
    return inside


def sampled(posts: tuple[NotchedPost, ...], face: Face, step: float = 2.0) -> float:
    """Area of the face's plane with wood of the host just under it and of the guest just
    over it, by points on a grid, mm²."""
    first = np.cross(face.normal, [0.1, 0.2, 0.97])
    first /= np.linalg.norm(first)
    second = np.cross(face.normal, first)
    reach = np.arange(-110, 110, step) + 0.37 * step
    a, b = np.meshgrid(reach, reach)
    middle = face.corners.mean(axis=0)
    points = middle + a.ravel()[:, None] * first + b.ravel()[:, None] * second
    hair = 1e-3 * face.normal
    under = in_wood(posts[face.host], points - hair)
    return float((under & in_wood(posts[face.guest], points + hair)).sum()) * step**2


@each_case
def test_the_faces_are_where_wood_meets_wood(case: int) -> None:
    posts = notched_posts(sheet(case))
    for face in bearing_faces(posts):
        # independent: membership of single points; a grid of 2 mm misses some of the rim
        assert sampled(posts, face) == pytest.approx(face.area, rel=0.05)


def test_the_square_crossing_by_hand() -> None:
    # By hand: the floor, 64 × 64, less the quarter that the guest lacks; one wall whole, 64 × 32,
    # the other half as wide (reference/derivations/joint_load.md, what really touches).
    areas: dict[str, dict[str, set[float]]] = {}
    for way in ("notches up", "notches down"):
        posts = notched_posts(network("table", "one notch", way).solve(PLAIN))
        faces = bearing_faces(posts)
        assert sorted(round(f.area, 6) for f in faces) == [1024.0] * 3 + [2048.0] * 3 + [3072.0] * 3
        for face in faces:
            areas.setdefault(way, {}).setdefault(face.what, set()).add(round(face.area, 6))
    # Turned over, foot and head change places.
    swapped = {"floor": "floor", "foot wall": "head wall", "head wall": "foot wall"}
    up, down = areas.values()
    assert {swapped[what]: sizes for what, sizes in up.items()} == down
    assert up["floor"] == {3072.0} and up["foot wall"] != up["head wall"]


def test_whole_notches_by_hand() -> None:
    faces = bearing_faces(notched_posts(sheet(0)), whole=True)
    areas = sorted(round(face.area, 6) for face in faces)
    assert areas == [2048.0] * 6 + [4096.0] * 3


@each_case
def test_corners_and_cells_lie_on_the_faces(case: int) -> None:
    faces = bearing_faces(notched_posts(sheet(case)))
    for spots in (corners_of(faces), cells(faces), cells(faces, 2)):
        for number, face in enumerate(faces):
            own = spots.face == number
            off = (spots.points[own] - face.corners[0]) @ face.normal
            assert np.abs(off).max() < 1e-6
            assert spots.areas[own].sum() == pytest.approx(face.area)


@each_case
def test_cells_have_the_middle_of_the_face(case: int) -> None:
    faces = bearing_faces(notched_posts(sheet(case)))
    coarse, fine = cells(faces, 0), cells(faces, 3)
    for number in range(len(faces)):
        middles = [
            spots.areas[own] @ spots.points[own] / spots.areas[own].sum()
            for spots in (coarse, fine)
            for own in (spots.face == number,)
        ]
        assert middles[0] == pytest.approx(middles[1])


@each_case
def test_normals_point_from_the_host_into_the_guest(case: int) -> None:
    posts = notched_posts(sheet(case))
    for face in bearing_faces(posts):
        middle = face.pieces[0].mean(axis=0)
        assert in_wood(posts[face.host], (middle - 0.1 * face.normal)[None])[0]
        assert in_wood(posts[face.guest], (middle + 0.1 * face.normal)[None])[0]


@each_case
def test_a_left_handed_base_has_the_same_faces(case: int) -> None:
    right, left = (
        sorted((f.what, round(f.area, 4)) for f in bearing_faces(notched_posts(sheet(case, hand))))
        for hand in ("right", "left")
    )
    if CASES[case][0] == "one notch":
        assert right == left
    else:
        assert sorted(a for _, a in right) == sorted(a for _, a in left)
