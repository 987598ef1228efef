"""Knife lines against plain vectors and against solids that know nothing of these relations."""

from __future__ import annotations

from functools import cache
from itertools import pairwise, product

import manifold3d
import numpy as np
import pytest

from tablekit.engine.trouble import DesignError, OutsideLimits
from tablekit.planning.post_marks import (
    ARRISES,
    BEARING,
    BEHIND_BEARING,
    BEHIND_NOTCH,
    BETWEEN,
    NOTCHED,
    RELIEVED_POST,
    Area,
    clipped,
)
from tablekit.planning.setting_out_posts import neighbours, post_marks, section_of
from tablekit.relations.families import network
from tablekit.solids.cutting import post_solid, volume_and_centre
from tablekit.solids.model import build
from tablekit.solids.notched import notched_posts, one_notch_posts
from tests.drawing.designs import designs

ONE_NOTCH = [
    "table", "stool", "steep", "tall", "low in inches, down", "stool in inches, down",
    "feet beyond the top", "small", "rectangular", "left", "left, down",
]  # fmt: skip
TWO = {"table_height": 735, "top_diameter": 900, "post_section": 64}
# A post 60 deep and 90 wide, an invented design.
RECTANGULAR = {
    "table_height": 735, "top_diameter": 900, "post_section": 60, "post_width": 90, "splay": 45,
    "axis_offset": 40,
}  # fmt: skip
SPLAYED = {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 36.0}


@cache
def rectangular():
    return network("table").solve(RECTANGULAR)


@cache
def design(name: str):
    """A sheet by name: those of the drawings, and posts that are not square, or left-handed."""
    if name == "rectangular":
        return rectangular()
    if name.startswith("left"):
        way = "notches down" if "down" in name else "notches up"
        given = {**RECTANGULAR, "splay": 40}
        return network("table", way_up=way, hand="left").solve(given)
    return designs()[name]


@cache
def two_notches(relief: float = 0.0, hand: str = "right"):
    given = dict(TWO, notch_relief=relief) if relief else TWO
    return network("table", crossing="two notches", hand=hand).solve(given)


def point(sheet, face: int, x: float, v: float):
    """(x, y, z) in the post's frame of a point of an unrolled face."""
    deep, wide = sheet.number("post_section"), sheet.number("post_width")
    y, z = {
        BEARING: (-deep / 2, v - wide / 2),
        NOTCHED: (v - deep / 2, wide / 2),
        BEHIND_BEARING: (deep / 2, wide / 2 - v),
        BEHIND_NOTCH: (deep / 2 - v, -wide / 2),
    }[face]
    return np.array([x, y, z])


def frame(sheet, model, post: int):
    """Its foot end in space, and the three directions of a post's own frame as rows."""
    way = section_of(sheet).way
    directions = [model.along[post], way * model.bearing[post], way * model.side[post]]
    return model.axis_ends[post, 0], np.array(directions)


# --- One notch ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", ONE_NOTCH)
def test_notch_corners_lie_on_the_planes_of_the_solid_notch(name):
    sheet = design(name)
    model = build(sheet)
    start, axes = frame(sheet, model, 0)
    (notch,) = one_notch_posts(model)[0].notches
    areas = [area for area in post_marks(sheet)[0].areas if area.kind == "notch"]
    assert sorted(area.face for area in areas) == [BEARING, NOTCHED, BEHIND_BEARING]
    for area in areas:
        for place, (x, v) in enumerate(area.corners):
            at = start + point(sheet, area.face, x, v) @ axes
            gaps = notch.normals @ at - notch.offsets
            # Every corner lies on one wall or the other; those below the notched face on the floor.
            assert np.abs(gaps[1:]).min() < 1e-9
            if area.face != NOTCHED and place >= 2:
                assert abs(gaps[0]) < 1e-9


@pytest.mark.parametrize("name", ONE_NOTCH)
def test_the_seat_is_where_the_neighbour_s_notch_is(name):
    """The seat's corners on the guest are the very points of the host's notch, in space."""
    sheet = design(name)
    model = build(sheet)
    marks = post_marks(sheet)[0]
    host, guest = (frame(sheet, model, k) for k in model.joints[0])
    own = section_of(sheet)
    # The host's arrises A and B, and where its floor runs out below them.
    edges = [own.at(a) for a in "AB"] + [own.floor_point(a) for a in "AB"]
    for area in (a for a in marks.areas if a.kind == "seat"):
        assert area.face in (BEARING, NOTCHED, BEHIND_NOTCH) and len(area.corners) == 4
        for x, v in area.corners:
            at = guest[0] + point(sheet, area.face, x, v) @ guest[1]
            y, z = (host[1] @ (at - host[0]))[1:]
            assert min(np.hypot(y - a, z - b) for a, b in edges) < 1e-9


@pytest.mark.parametrize("name", ONE_NOTCH)
def test_flats_lie_level_on_the_edges_of_the_post(name):
    sheet = design(name)
    model = build(sheet)
    start, axes = frame(sheet, model, 0)
    body = model.posts[0].vertices
    level = {"foot": body[:, 2].min(), "head": body[:, 2].max()}
    sharp = {"foot": body[:, 2].argmin(), "head": body[:, 2].argmax()}
    assert sharp["foot"] != sharp["head"]
    marks = post_marks(sheet)[0]
    triangles = [area for area in marks.areas if area.kind == "flat"]
    assert len(triangles) == 4
    for area in triangles:
        end = area.what.split()[0]
        corner, *cut = [start + point(sheet, area.face, x, v) @ axes for x, v in area.corners]
        for at in cut:
            assert at[2] == pytest.approx(level[end], abs=1e-9)
            # a corner of the body that the level cut made
            assert np.linalg.norm(body - at, axis=1).min() < 1e-9
        depth = sheet.number(f"{end}_flat_depth")
        assert abs(corner[2] - level[end]) == pytest.approx(depth, abs=1e-9)


@pytest.mark.parametrize("name", ONE_NOTCH)
def test_sides_of_the_flat_s_triangle(name):
    sheet = design(name)
    model = build(sheet)
    start, axes = frame(sheet, model, 0)
    marks = post_marks(sheet)[0]
    for flat in marks.flats:
        y, z = ARRISES[flat.arris]
        end, inward = (0.0, 1) if flat.end == "foot" else (marks.length, -1)
        deep, wide = sheet.number("post_section") / 2, sheet.number("post_width") / 2
        corner = np.array([end, y * deep, z * wide])
        along = corner + np.array([inward * flat.along, 0, 0])
        over_bearing = corner - [0, 0, z * flat.over_bearing]
        over_side = corner - [0, y * flat.over_side, 0]
        a, b, c = (start + p @ axes for p in (along, over_bearing, over_side))
        assert a[2] == pytest.approx(b[2], abs=1e-9) and b[2] == pytest.approx(c[2], abs=1e-9)
        assert flat.on_bearing == pytest.approx(np.linalg.norm(a - b))
        assert flat.on_side == pytest.approx(np.linalg.norm(a - c))
        assert flat.on_end == pytest.approx(np.linalg.norm(b - c))


@pytest.mark.parametrize("name", ONE_NOTCH)
def test_faces_look_the_way_they_are_said_to(name):
    sheet = design(name)
    _, axes = frame(sheet, build(sheet), 0)
    outward = {BEARING: -axes[1], NOTCHED: axes[2], BEHIND_BEARING: axes[1], BEHIND_NOTCH: -axes[2]}
    for place, face in enumerate(post_marks(sheet)[0].faces):
        assert face.looks == ("up" if outward[place][2] > 0 else "down")
    looks = "down" if "down" in name else "up"
    assert post_marks(sheet)[0].faces[NOTCHED].looks == looks


def test_the_worked_example_of_the_square_crossing():
    """1000 x 64 x 64 mm, half let in: notch 468 to 532 mm, 32 mm deep (derivation: crossing.md)."""
    sheet = network("table").solve(
        {"post_length": 1000, "post_section": 64, "top_diameter": 900, "foot_flat_depth": 10}
    )
    (marks,) = post_marks(sheet)
    cuts = {a: [m.distance for m in marks.on_arris(a) if m.what == "notch"] for a in "ABCD"}
    assert cuts["A"] == pytest.approx([468, 532]) and cuts["B"] == pytest.approx([468, 532])
    assert cuts["C"] == cuts["D"] == []
    assert [d.depth for d in marks.depths] == pytest.approx([32, 32])
    seats = [m.distance for m in marks.on_arris("D") if m.what == "seat"]
    assert seats == pytest.approx([500, 564])  # notch and seat e = 32 mm apart
    assert not any(m.cut for m in marks.marks if m.what == "seat")
    foot = marks.flats[0]
    # flats.md: 10 mm deep, intercepts d√3 = 17.321, sides d√6 = 24.495
    assert [foot.along, foot.over_bearing, foot.over_side] == pytest.approx([17.3205] * 3, abs=1e-4)
    assert [foot.on_bearing, foot.on_side, foot.on_end] == pytest.approx([24.4949] * 3, abs=1e-4)
    assert (marks.called, marks.posts) == ("Posts 1, 2 and 3", (1, 2, 3))


def test_a_rectangular_post_by_plain_vectors():
    """No solids of the kit: guest and host as boxes, the notch where the guest's planes are."""
    sheet = rectangular()
    deep, wide, offset = 60.0, 90.0, 40.0
    lean = np.radians(45)
    posts = []
    for turn in (0, 2 * np.pi / 3, 4 * np.pi / 3):
        posts.append(
            np.array([np.sin(lean) * np.cos(turn), np.sin(lean) * np.sin(turn), np.cos(lean)])
        )
    host, guest, other = posts[0], posts[1], posts[2]
    across = np.cross(host, guest) / np.linalg.norm(np.cross(host, guest))
    side = np.cross(guest, across)
    bearing = np.cross(other, host) / np.linalg.norm(np.cross(other, host))
    notched = np.cross(host, bearing)
    (marks,) = post_marks(sheet)
    p = sheet.number("notch_position")
    for area in (a for a in marks.areas if a.kind == "notch"):
        for place, (x, v) in enumerate(area.corners):
            _, y, z = point(sheet, area.face, x, v)
            at = (x - p) * host + y * bearing + z * notched
            assert abs(abs(at @ side) - wide / 2) < 1e-9
            if area.face != NOTCHED and place >= 2:
                assert at @ across == pytest.approx(offset - deep / 2, abs=1e-9)


def test_the_hand_changes_only_the_way_the_faces_run():
    right = network("table").solve(dict(TWO, splay=48))
    left = network("table", hand="left").solve(dict(TWO, splay=48))
    (one,), (other,) = post_marks(right), post_marks(left)
    assert not one.mirrored and other.mirrored
    for mine, theirs in zip(one.marks, other.marks, strict=True):
        assert mine.distance == pytest.approx(theirs.distance)
    assert neighbours(right, 1) == (2, 3) and neighbours(left, 1) == (3, 2)


@pytest.mark.parametrize("name", ["table", "left"])
def test_neighbours_are_those_of_the_solids(name):
    sheet = design(name)
    for host, guest in build(sheet).joints:
        assert neighbours(sheet, host + 1)[0] == guest + 1
        assert neighbours(sheet, guest + 1)[1] == host + 1


# --- Two notches --------------------------------------------------------------------------


def face_area_lost(post, sheet, face: int, start, axes) -> float:
    """mm² of a face that the solid post no longer has, from a slice a micrometre thick."""
    thin = 1e-3
    length = sheet.number("post_length")
    corners = [point(sheet, face, x, 0.0) for x in (0, length)]
    deep, wide = sheet.number("post_section"), sheet.number("post_width")
    low = np.array([length * 0.2, -deep / 2, -wide / 2])
    high = np.array([length * 0.8, deep / 2, wide / 2])
    axis, sign = {BEARING: (1, -1), NOTCHED: (2, 1), BEHIND_BEARING: (1, 1), BEHIND_NOTCH: (2, -1)}[
        face
    ]
    assert abs(corners[0][axis]) == pytest.approx(high[axis])
    if sign > 0:
        low[axis] = high[axis] - thin
    else:
        high[axis] = low[axis] + thin
    slab = manifold3d.Manifold.cube([float(v) for v in high - low])
    placed = slab.translate([float(v) for v in low]).transform(np.column_stack([axes.T, start]))
    lost = volume_and_centre(placed - post)[0] if not (placed - post).is_empty() else 0.0
    return lost / thin


def union_area(areas: list[Area]) -> float:
    """Area that rectangles along the post cover together, by a grid of their own edges."""
    xs = sorted({x for area in areas for x, _ in area.corners})
    vs = sorted({v for area in areas for _, v in area.corners})
    total = 0.0
    for (a, b), (c, d) in product(pairwise(xs), pairwise(vs)):
        x, v = (a + b) / 2, (c + d) / 2
        for area in areas:
            us, ws = [p[0] for p in area.corners], [p[1] for p in area.corners]
            if min(us) < x < max(us) and min(ws) < v < max(ws):
                total += (b - a) * (d - c)
                break
    return total


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("relief", [0.0, 32.0])
def test_two_notches_take_from_each_face_what_the_solid_has_lost(relief, hand):
    sheet = two_notches(relief, hand)
    first = notched_posts(sheet)[0]
    guests = {notch.guest: -notch.normals[0] for notch in first.notches}
    upper, lower = neighbours(sheet, 1)
    # The upper notch opens along the direction in which z runs, the lower one against y.
    axes = np.array([first.along, -guests[lower], guests[upper]])
    assert axes[1:, 2].min() > 0
    start = _lower_end(first, axes, sheet)
    whole = post_solid(first)
    marks = post_marks(sheet)[0]
    for face in (BEARING, NOTCHED, BEHIND_BEARING, BEHIND_NOTCH):
        areas = [a for a in marks.areas if a.kind == "notch" and a.face == face]
        lost = face_area_lost(whole, sheet, face, start, axes)
        assert union_area(areas) == pytest.approx(lost, abs=1e-3 * sheet.number("post_section"))
    assert marks.posts == ((1,) if relief else (1, 2, 3))
    assert marks.mirrored == (hand == "left")


def _lower_end(post, axes, sheet):
    """The foot end of the axis, from the middles of the bar's long faces and the notches' far
    walls, which no relief moves."""
    bar = post.prism.vertices @ axes.T
    across = (bar.max(axis=0) + bar.min(axis=0)) / 2
    far = post.notches[0].offsets[2]
    along = far - sheet.number("post_section") / 2 - sheet.number("notch_position")
    return np.array([along, across[1], across[2]]) @ axes


def test_the_relieved_post_is_marked_apart():
    one, others = post_marks(two_notches(32.0))
    assert (one.called, others.called) == ("Post 1", "Posts 2 and 3")
    (near, _) = (m.distance for m in others.on_arris("A") if m.what == "notch")
    for arris, first in (("A", near - 32), ("B", near - 32), ("D", near)):
        assert next(m.distance for m in one.on_arris(arris) if m.what == "notch") == pytest.approx(
            first
        )


def test_the_relieved_notch_is_the_one_of_the_solids():
    """Longer towards the foot, in the first post alone, and the notch that looks up."""
    plain, longer = notched_posts(two_notches()), notched_posts(two_notches(32.0))
    changed = [
        (post.number, np.round(new.offsets - old.offsets, 6).tolist(), -new.normals[0][2] > 0)
        for post, again in zip(plain, longer, strict=True)
        for old, new in zip(post.notches, again.notches, strict=True)
        if np.abs(new.offsets - old.offsets).max() > 1e-6
    ]
    assert changed == [(RELIEVED_POST, [0.0, 32.0, 0.0], True)]


# --- What cannot be marked ----------------------------------------------------------------


def test_a_piece_without_crossed_posts_says_so():
    sheet = network("stool", style="splayed legs").solve(SPLAYED)
    with pytest.raises(DesignError, match="no crossed posts"):
        post_marks(sheet)


def test_a_floor_that_leaves_the_post_is_refused():
    """The network refuses such a piece before it can be marked; here the floor is moved by hand."""
    sheet = designs()["stool"]
    assert section_of(sheet).depth("B") > 0

    class Shallow:
        network, shop_style = sheet.network, sheet.shop_style

        def number(self, name):
            return 2.0 if name == "notch_depth" else sheet.number(name)

        def get(self, name):
            return self.number(name)

    with pytest.raises(OutsideLimits, match="must come out through the faces beside it"):
        post_marks(Shallow())


def test_clipping_keeps_the_part_between():
    square = [(0.0, -1.0), (2.0, -1.0), (2.0, 3.0), (0.0, 3.0)]
    assert set(clipped(square, 0.0, 2.0)) == {(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)}
    assert clipped(square, 4.0, 5.0) == ()


def test_the_four_faces_close_round_the_post():
    for (_, end), (start, _) in zip(BETWEEN, BETWEEN[1:] + BETWEEN[:1], strict=True):
        assert end == start
