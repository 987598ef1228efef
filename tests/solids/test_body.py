"""Convex bodies against sizes known from school geometry (no source needed beyond it)."""

import numpy as np
import pytest

from tablekit.solids.body import body, box, cut, disc

X, Y, Z = np.eye(3)


def bar():
    return box("post", 1, np.zeros(3), 10.0 * Z, (2.0 * X, 3.0 * Y))


def test_a_box_has_the_volume_of_its_sides():
    assert bar().volume == pytest.approx(4 * 6 * 10)
    assert (len(bar().vertices), len(bar().faces), len(bar().edges)) == (8, 6, 12)


def test_every_face_looks_outward():
    solid = bar()
    middle = solid.vertices.mean(axis=0)
    assert (solid.normals @ middle < solid.offsets).all()
    assert (solid.vertices @ solid.normals.T <= solid.offsets + 1e-9).all()


def test_a_corner_cut_off_is_a_pyramid():
    # A plane 1, 1, 1 away along three edges takes 1/6 off (elementary geometry).
    slant = np.ones(3) / np.sqrt(3)
    left = cut(box("cube", 1, np.zeros(3), 2 * Z, (X, Y)), slant, (1 + 1 + 2 - 1) / np.sqrt(3))
    assert left.volume == pytest.approx(8 - 1 / 6)
    assert (len(left.vertices), len(left.faces), len(left.edges)) == (10, 7, 15)  # Euler: 10-15+7=2


def test_what_is_cut_twice_has_both_faces():
    left = cut(cut(bar(), Z, 7.0), -Z, -2.0)
    assert left.volume == pytest.approx(4 * 6 * 5)
    assert np.ptp(left.vertices[:, 2]) == pytest.approx(5)


def test_a_plane_that_misses_changes_nothing():
    assert cut(bar(), Z, 11.0).vertices is not None
    assert cut(bar(), Z, 11.0).volume == pytest.approx(bar().volume)


def test_a_cut_that_leaves_nothing_says_whose_it_was():
    with pytest.raises(ValueError, match="nothing of post 1"):
        cut(bar(), Z, -1.0)


def test_an_open_surface_is_refused():
    with pytest.raises(KeyError):
        body("lid", 1, np.eye(3), [(0, 1, 2)])


@pytest.mark.parametrize("sides", [48, 96])
def test_a_disc_is_a_regular_prism(sides):
    plate = disc("top", 1, np.array([1.0, 2.0, 3.0]), 50.0, 4.0, sides)
    # Area of a regular polygon in a circle: (n/2) r² sin(360°/n) (elementary geometry).
    area = sides / 2 * 50**2 * np.sin(2 * np.pi / sides)
    assert plate.volume == pytest.approx(area * 4)
    assert np.ptp(plate.vertices, axis=0) == pytest.approx([100, 100, 4])
    assert plate.smooth.sum() == sides


def test_turning_keeps_shape_and_number():
    turned = bar().turned(np.pi / 2, 2)
    assert turned.number == 2
    assert turned.volume == pytest.approx(bar().volume)
    assert np.ptp(turned.vertices, axis=0) == pytest.approx([6, 4, 10])
