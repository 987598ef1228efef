"""The piece in place, against the sheet it was built from and against plain facts of space."""

import numpy as np
import pytest

from tablekit.engine.trouble import DesignError
from tablekit.solids.body import box, cut
from tablekit.solids.model import build, height_name
from tests.drawing.designs import LOW, STEEP, STOOL, TABLE, TALL, designs, sheet
from tests.together import each

EVERY = sorted(designs())
BOTH_WAYS = ("notches up", "notches down")
SHAPES = {"table": TABLE, "low": LOW, "tall": TALL, "steep": STEEP}


def overlap(first, second):
    """Volume common to two convex bodies, mm³: the first cut by every face of the second."""
    shared = first
    for normal, offset in zip(*second.planes, strict=True):
        shared = cut(shared, normal, offset)
    return shared.volume


def face(body, direction):
    """Corners of the face that looks that way, shape (n, 3)."""
    number = int(np.argmax(body.normals @ direction))
    assert body.normals[number] @ direction == pytest.approx(1)
    return body.vertices[list(body.faces[number])]


def incentre(corners):
    """Middle and radius of the circle inscribed in a triangle, by its sides' lengths."""
    sides = np.linalg.norm(np.roll(corners, -1, 0) - np.roll(corners, -2, 0), axis=1)
    middle = (sides[:, None] * corners).sum(axis=0) / sides.sum()
    arms = corners[1:] - corners[0]
    area = np.linalg.norm(np.cross(*arms)) / 2
    return middle, 2 * area / sides.sum()


@each("name", EVERY)
def test_levels_are_the_sheet_s(name):
    it = designs()[name]
    model = build(it)
    pad, top = it.number("pad_projection"), it.number(height_name(it.kind))
    for post in model.posts:
        assert post.vertices[:, 2].min() == pytest.approx(pad, abs=1e-6)
        assert post.vertices[:, 2].max() == pytest.approx(pad + it.number("base_height"), abs=1e-6)
    assert model.top.vertices[:, 2].max() == pytest.approx(top)
    under = pad + it.number("base_height") + it.number("plate_gap")
    assert model.top.vertices[:, 2].min() == pytest.approx(under)
    assert len(model.pads) == (3 if pad else 0)
    assert all(body.vertices[:, 2].min() == pytest.approx(0) for body in model.pads)


@each("name", EVERY)
def test_middles_are_the_middles_of_the_flats(name):
    # The flats are found by cutting the post; the middles come from the sheet's formulas.
    it = designs()[name]
    model = build(it)
    for k, post in enumerate(model.posts):
        for middles, flat, way in (
            (model.foot_middles, "foot_flat", -1),
            (model.head_middles, "head_flat", 1),
        ):
            corners = face(post, np.array([0.0, 0.0, way]))
            assert len(corners) == 3
            middle, radius = incentre(corners)
            assert middles[k] == pytest.approx(middle, abs=1e-6)
            assert radius == pytest.approx(it.number(flat) / 2, rel=1e-6)


@each("name", EVERY)
def test_axes_pass_as_far_apart_as_the_sheet_says(name):
    it = designs()[name]
    model = build(it)
    for host, guest in model.joints:
        gap = model.seat_centres[guest] - model.notch_centres[host]
        # The shortest way between two lines is square to both.
        assert gap @ model.along[host] == pytest.approx(0, abs=1e-7)
        assert gap @ model.along[guest] == pytest.approx(0, abs=1e-7)
        assert np.linalg.norm(gap) == pytest.approx(it.number("axis_offset"))
        assert abs(gap @ model.bearing[guest]) == pytest.approx(it.number("axis_offset"))
        angle = np.degrees(np.arccos(model.along[host] @ model.along[guest]))
        assert angle == pytest.approx(it.number("crossing_angle"))


@pytest.mark.parametrize("way_up", BOTH_WAYS)
@pytest.mark.parametrize("shape", SHAPES)
def test_a_guest_fills_its_notch(shape, way_up):
    it = sheet(shape, "table", way_up, **SHAPES[shape])
    model = build(it)
    for host, guest in model.joints:
        filled = overlap(model.posts[host], model.posts[guest])
        assert filled == pytest.approx(it.number("notch_volume"), rel=1e-9)


@pytest.mark.parametrize("way_up", BOTH_WAYS)
@pytest.mark.parametrize("shape", SHAPES)
def test_a_notched_post_has_the_sheet_s_volume(shape, way_up):
    it = sheet(shape, "table", way_up, **SHAPES[shape])
    model = build(it)
    left = model.posts[0].volume - overlap(model.posts[0], model.posts[1])
    assert left == pytest.approx(it.number("post_volume"), rel=1e-9)


@pytest.mark.parametrize("way_up", BOTH_WAYS)
def test_posts_touch_at_the_bearing_and_nowhere_else(way_up):
    """Beyond the notch floor the host has nothing left, before it nothing of the guest is."""
    model = build(sheet("table", "table", way_up, **TABLE))
    for host, guest in model.joints:
        inward = model.notch_centres[host] - model.seat_centres[guest]
        inward /= np.linalg.norm(inward)
        floor = face(model.posts[guest], inward)[0] @ inward
        assert (model.posts[guest].vertices @ inward <= floor + 1e-9).all()
        whole = overlap(model.posts[host], model.posts[guest])
        # What is cut away lies wholly on the guest's side of that floor, and reaches it.
        beyond = cut(model.posts[host], -inward, -floor)
        kept = cut(model.posts[host], inward, floor)
        assert overlap(kept, model.posts[guest]) == pytest.approx(whole)
        assert beyond.volume + kept.volume == pytest.approx(model.posts[host].volume)
        nearer = cut(model.posts[host], inward, floor - 1.0)
        assert overlap(nearer, model.posts[guest]) < whole - 100


@pytest.mark.parametrize("way_up", BOTH_WAYS)
def test_the_notch_opens_the_way_it_is_said_to(way_up):
    model = build(sheet("table", "table", way_up, **TABLE))
    rise = (model.seat_centres[[1, 2, 0]] - model.notch_centres)[:, 2]
    assert (rise > 0).all() == (way_up == "notches up")
    assert np.abs(rise).min() > 1
    below = model.notch_centres[:, 2] < model.waists[:, 2]
    assert below.all() == (way_up == "notches up")


def test_worked_example():
    # Boolean solids, worked apart from this kit (L = 1000, w = 64, e = 32, square crossing, no
    # flats): 651.251 over the corners, end circles 395.832 and 369.749, each post 3 964 928 mm³.
    it = sheet("worked", post_length=1000, top_diameter=900, post_section=64)
    model = build(it)
    half = (32 * model.bearing[0], 32 * model.side[0])
    bar = box("post", 1, *model.axis_ends[0], half)
    assert np.ptp(bar.vertices[:, 2]) == pytest.approx(651.251, abs=0.0005)
    radii = [
        np.linalg.norm(bar.vertices[np.argmin(way * bar.vertices[:, 2]), :2]) for way in (1, -1)
    ]
    assert radii == pytest.approx([395.832, 369.749], abs=0.0005)
    assert bar.volume - overlap(bar, model.posts[1]) == pytest.approx(3964928, abs=0.5)


def test_three_posts_are_one_post_turned():
    model = build(designs()["stool"])
    for body in model.posts[1:]:
        assert body.volume == pytest.approx(model.posts[0].volume)
    for points in (model.foot_middles, model.head_middles, model.waists, model.notch_centres):
        assert points.mean(axis=0)[:2] == pytest.approx([0, 0], abs=1e-9)
        assert np.ptp(np.linalg.norm(points[:, :2], axis=1)) == pytest.approx(0, abs=1e-9)


def test_a_stool_is_measured_by_its_seat():
    model = build(sheet("stool", "stool", **STOOL))
    assert model.top.vertices[:, 2].max() == pytest.approx(STOOL["seat_height"])


class Partly:
    """A sheet that has found no value for some names."""

    def __init__(self, whole, *without):
        self.kind, self.network, self.number = whole.kind, whole.network, whole.number
        self._whole, self._without = whole, without

    def get(self, name):
        return None if name in self._without else self._whole.get(name)


def test_what_is_missing_is_named():
    with pytest.raises(DesignError, match="foot_reach, table_height found no value in this design"):
        build(Partly(designs()["table"], "table_height", "foot_reach"))
