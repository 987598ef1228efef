"""Machine settings, tried by cutting a solid bar with nothing but the settings."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.engine.trouble import OutsideLimits
from tablekit.planning.notch_cutting import (
    deepest_arris,
    flat_settings,
    notch_angles,
    router_guides,
    saw_passes,
)
from tablekit.planning.setting_out_posts import post_marks, section_of
from tablekit.relations.families import network
from tablekit.solids.body import from_planes
from tablekit.solids.cutting import post_solid, solid
from tablekit.solids.model import build
from tablekit.solids.notched import one_notch_posts
from tests.drawing.designs import designs
from tests.planning.test_setting_out_posts import design, frame, two_notches
from tests.together import each

NAMES = [
    "table", "stool", "tall", "low in inches, down", "stool in inches, down", "small",
    "rectangular", "left", "left, down",
]  # fmt: skip
SAME = 1e-9


def rocked(sheet):
    """(up, across, along the trench, square to its walls) in the post's own frame, from the
    angles that are set and nothing else."""
    angles = notch_angles(sheet)
    wedge, mitre = np.radians([angles.wedge, abs(angles.mitre)])
    # The wedge lifts the side of arris A, which lies at y < 0.
    up = np.array([0.0, -np.sin(wedge), np.cos(wedge)])
    across = np.array([0.0, np.cos(wedge), np.sin(wedge)])
    towards = 1.0 if angles.leads == "head" else -1.0
    trench = np.cos(mitre) * across + towards * np.sin(mitre) * np.array([1.0, 0, 0])
    square = np.cross(trench, up)
    return up, trench, square * np.sign(square[0])


def arris_point(sheet, arris: str, x: float):
    return np.array([x, *section_of(sheet).at(arris)])


def trench_solid(normals, offsets):
    """Half-spaces in the post's own frame, closed by a box far outside, as a solid."""
    far = 1e4
    planes = np.vstack([normals, np.eye(3), -np.eye(3)]), np.concatenate([offsets, np.full(6, far)])
    found = from_planes("pass", 1, *planes)
    assert found is not None
    return solid(found)


def in_place(sheet, shape, post: int = 0):
    start, axes = frame(sheet, build(sheet), post)
    return shape.transform(np.column_stack([axes.T, start]))


def differ(one, other) -> float:
    """Wood that only one of two solids has, mm³."""
    return float((one - other).volume() + (other - one).volume())


@each("cutter", [19.05, 6.0, 31.0])
@each("name", NAMES)
def test_stacked_cutter_passes_cut_the_designed_notch(name, cutter):
    sheet = design(name)
    if cutter > sheet.number("post_width"):
        with pytest.raises(OutsideLimits, match="must be no wider than the notch"):
            saw_passes(sheet, cutter)
        return
    passes = saw_passes(sheet, cutter)
    up, _, square = rocked(sheet)
    post = one_notch_posts(sheet)[0]
    left = solid(post.prism)
    for stop in passes.stops:
        at = arris_point(sheet, passes.arris, stop)
        normals = np.array([-square, square, -up])
        offsets = np.array([-square @ at, square @ at + passes.cutter, -up @ at + passes.height])
        left = left - in_place(sheet, trench_solid(normals, offsets))
    designed = post_solid(post)
    assert differ(left, designed) < SAME * designed.volume()
    assert passes.overlap >= 1.5 - 1e-9 or len(passes.stops) == 1


@pytest.mark.parametrize("name", NAMES)
def test_router_between_guides_cuts_the_designed_notch(name):
    sheet = design(name)
    guides = router_guides(sheet, base=140.0, cutter=10.0)
    up, _, square = rocked(sheet)
    near, far = (arris_point(sheet, guides.arris, x) for x in (guides.near, guides.far))
    # The baseplate's edge on the guide, the cutter's edge half a base less half a cutter inside.
    reach = 140.0 / 2 - 10.0 / 2
    normals = np.array([-square, square, -up])
    offsets = np.array([-(square @ near + reach), square @ far - reach, -up @ near + guides.height])
    post = one_notch_posts(sheet)[0]
    left = solid(post.prism) - in_place(sheet, trench_solid(normals, offsets))
    designed = post_solid(post)
    assert differ(left, designed) < SAME * designed.volume()


@pytest.mark.parametrize("name", [*NAMES, "steep", "feet beyond the top"])
def test_saw_with_the_post_lying_flat_cuts_the_walls(name):
    """Fence and blade as set make the plane of the guest's side, seen in the host's frame."""
    sheet = design(name)
    angles = notch_angles(sheet)
    mitre, tilt = np.radians([angles.on_notched, angles.blade_tilt])
    way = section_of(sheet).way
    # The blade's plane: plumb and square across, turned by the fence, then tilted.
    level = np.array([np.cos(mitre), -way * np.sin(mitre), 0.0])
    blade = np.cos(tilt) * level - way * np.sin(tilt) * np.array([0.0, 0.0, 1.0])
    _, axes = frame(sheet, build(sheet), 0)
    (notch,) = one_notch_posts(sheet)[0].notches
    wall = axes @ notch.normals[2]
    assert np.abs(blade * np.sign(blade @ wall) - wall).max() < 1e-12
    # Down the wall, and across it from arris A to B: which end it comes nearer, in that frame.
    if abs(wall[2]) > 1e-9:
        assert angles.sinks == ("head" if wall[2] / wall[0] > 0 else "foot")
    if abs(wall[1]) > 1e-9:
        assert angles.leads == ("head" if -wall[1] / wall[0] > 0 else "foot")


@pytest.mark.parametrize("name", [*NAMES, "steep"])
def test_the_saw_for_a_flat_nears_the_end_as_it_goes_down(name):
    """Three marks, and the plane through them with either face of the corner on top."""
    sheet = design(name)
    found = flat_settings(sheet)
    for flat in post_marks(sheet)[0].flats:
        for upper, lower, mitre, tilt in (
            (flat.over_bearing, flat.over_side, found.mitre_on_bearing, found.tilt_on_bearing),
            (flat.over_side, flat.over_bearing, found.mitre_on_side, found.tilt_on_side),
        ):
            # x from the end, y across the face on top, z down: all from the corner
            marks = np.diag([flat.along, upper, lower])
            plane = np.cross(marks[1] - marks[0], marks[2] - marks[0])
            plane = plane * np.sign(plane[0])
            assert np.degrees(np.arctan2(plane[1], plane[0])) == pytest.approx(mitre, abs=1e-6)
            assert np.degrees(np.arcsin(plane[2] / np.linalg.norm(plane))) == pytest.approx(
                tilt, abs=1e-6
            )
            assert -plane[2] / plane[0] < 0  # a step down takes it towards the end


@pytest.mark.parametrize("name", [*NAMES, "steep"])
def test_bevels_follow_the_knife_lines(name):
    sheet = design(name)
    angles = notch_angles(sheet)
    marks = post_marks(sheet)[0]
    for area in (a for a in marks.areas if a.kind == "notch"):
        (x0, v0), (x1, v1) = (
            (area.corners[0], area.corners[1]) if area.face == 1 else
            (area.corners[0], area.corners[3])
        )  # fmt: skip
        bevel = angles.on_notched if area.face == 1 else angles.on_beside
        slope = np.degrees(np.arctan2(abs(x1 - x0), abs(v1 - v0)))
        assert slope == pytest.approx(abs(bevel), abs=1e-9)


@pytest.mark.parametrize("name", [*NAMES, "steep"])
def test_flats_cut_with_the_saw_and_with_a_guide_block(name):
    """Plumb, from the angles that are set, in the post's own frame."""
    sheet = design(name)
    found = flat_settings(sheet)
    _, axes = frame(sheet, build(sheet), 0)
    plumb = axes @ np.array([0.0, 0, 1])
    block = np.degrees(np.arccos(np.abs(plumb)))
    assert [found.to_end, found.to_bearing, found.to_side] == pytest.approx(list(block), abs=1e-9)
    for mitre, tilt, square, across in (
        (found.mitre_on_bearing, found.tilt_on_bearing, 1, 2),
        (found.mitre_on_side, found.tilt_on_side, 2, 1),
    ):
        mitre, tilt = np.radians([mitre, tilt])
        blade = np.zeros(3)
        blade[0], blade[across] = np.cos(tilt) * np.cos(mitre), np.cos(tilt) * np.sin(mitre)
        blade[square] = np.sin(tilt)
        assert np.abs(blade - np.abs(plumb)).max() < 1e-12


def test_square_crossing_is_plain():
    angles = notch_angles(designs()["table"])
    assert angles.plain and angles.mitre == pytest.approx(0, abs=1e-9)
    assert not notch_angles(designs()["stool"]).plain
    found = flat_settings(designs()["table"])
    # ISO 5456-3 isometric axes: 54.7356 and 35.2644 degrees; quoted
    assert found.to_end == pytest.approx(54.7356, abs=5e-5)
    assert found.to_bearing == pytest.approx(54.7356, abs=5e-5)
    assert (found.mitre_on_bearing, found.tilt_on_side) == pytest.approx((45, 35.2644), abs=5e-5)


def test_three_inch_notch_with_a_three_quarter_cutter():
    """Common practice, no source: four passes edge to edge, five with overlap."""
    sheet = network("table").solve({**INCHES})
    plain = saw_passes(sheet, 19.05, 0.0)
    assert len(plain.stops) == plain.edge_to_edge == 4
    assert np.diff(plain.stops) == pytest.approx([19.05] * 3)
    assert plain.overlap == pytest.approx(0, abs=1e-9)
    overlapped = saw_passes(sheet, 19.05, 1.0)
    assert (len(overlapped.stops), overlapped.edge_to_edge) == (5, 4)
    assert np.diff(overlapped.stops) == pytest.approx([76.2 / 4 - 19.05 / 4] * 4)
    middle = sheet.number("notch_position")
    assert overlapped.stops[0] == pytest.approx(middle - 38.1)
    assert overlapped.stops[-1] + 19.05 == pytest.approx(middle + 38.1)
    assert overlapped.height == pytest.approx(38.1)


INCHES = {"table_height": 735, "top_diameter": 900, "post_section": 76.2}


def test_a_cutter_as_wide_as_the_notch_takes_one_pass():
    sheet = network("table").solve({**INCHES})
    one = saw_passes(sheet, 76.2)
    assert (len(one.stops), one.overlap, one.edge_to_edge) == (1, 0.0, 1)


def test_an_overlap_as_wide_as_the_cutter_is_refused():
    with pytest.raises(OutsideLimits, match="must overlap by less than the cutter"):
        saw_passes(designs()["table"], 12.0, 12.0)


def test_the_deeper_arris_is_the_one_the_cutter_is_set_by():
    sheet = designs()["stool"]
    own = section_of(sheet)
    assert deepest_arris(own) == "A" and own.cover(*own.at("A")) > own.cover(*own.at("B"))
    low = designs()["low in inches, down"]
    assert deepest_arris(section_of(low)) == "B"
    assert deepest_arris(section_of(designs()["table"])) == "A"


def test_the_longer_notch_of_two():
    sheet = two_notches(32.0)
    usual, long = saw_passes(sheet), saw_passes(sheet, relief=32.0)
    assert long.stops[-1] == pytest.approx(usual.stops[-1])
    assert long.stops[0] == pytest.approx(usual.stops[0] - 32)
    guides, wider = router_guides(sheet), router_guides(sheet, relief=32.0)
    assert (wider.near, wider.far) == pytest.approx((guides.near - 32, guides.far))
