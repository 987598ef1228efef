"""The outermost reach of the posts' ends and the top that covers them, against solids as cut."""

import math

import manifold3d
import numpy as np
import pytest

from tablekit.relations import bases, families, kinds, post_ends
from tests.relations.reference_vectors import Design
from tests.solids.cut_solids import one_notch
from tests.together import each

FAR = 10_000.0
RIM_SIDES = 1440  # a polygon of so many sides is 2.4 parts in a million short of its circle


def as_cut(design):
    """The three notched posts with their flats cut, by plain boxes: nothing of tablekit is used."""
    bars, posts = one_notch(design)
    heights = np.concatenate(
        [post.corners(end)[:, 2] for post in posts for end in (post.low, post.high)]
    )
    low, high = heights.min() + design.foot_depth, heights.max() - design.head_depth
    slab = manifold3d.Manifold.cube([FAR, FAR, high - low]).translate([-FAR / 2, -FAR / 2, low])
    middle = (low + high) / 2
    return [bar ^ slab for bar in bars], middle


def farthest(solids, middle, upward):
    """The outermost point in plan of what lies above (or below) the middle."""
    points = np.vstack([np.asarray(s.to_mesh().vert_properties)[:, :3] for s in solids])
    points = points[(points[:, 2] > middle) == upward]
    return float(np.hypot(points[:, 0], points[:, 1]).max())


def settled(sheet):
    """The sizes that a maker settles, of a sheet, as the plain vectors take them."""
    return Design(
        section=sheet.number("post_section"), length=sheet.number("post_length"),
        splay=math.radians(sheet.number("splay")), offset=sheet.number("axis_offset"),
        notch_position=sheet.number("notch_position"),
        foot_depth=sheet.number("foot_flat_depth"), head_depth=sheet.number("head_flat_depth"),
        notches_up=sheet.network.options["way_up"] == "notches up",
    )  # fmt: skip


def tables():
    random = np.random.default_rng(7)
    for kind in kinds.KINDS:
        for way_up in bases.WAYS_UP:
            for lean in (20.0, 54.7356, *random.uniform(15, 54, 4)):
                yield kind, way_up, lean


@pytest.mark.witness(
    *post_ends.relations(1), *post_ends.relations(-1),
    by="corners of solids cut by manifold3d from plain vectors", within="0.01 mm",
)  # fmt: skip
@each(("kind", "way_up", "lean"), list(tables()))
def test_no_part_of_an_end_lies_beyond_its_reach_and_one_corner_lies_there(kind, way_up, lean):
    # independent: boxes cut by manifold3d, single precision
    height = {"table": ("table_height", 720.0), "stool": ("seat_height", 470.0)}[kind]
    sheet = families.network(kind, way_up=way_up).solve(
        {height[0]: height[1], "top_diameter": 900.0, "post_section": 55.0, "splay": lean}
    )
    solids, middle = as_cut(settled(sheet))
    for end, upward in (("head", True), ("foot", False)):
        found = farthest(solids, middle, upward)
        assert sheet.number(f"{end}_extent") == pytest.approx(found, abs=0.01)
        assert sheet.number(f"{end}_beyond_rim") == pytest.approx(found - 450, abs=0.01)
        corners = [sheet.number(f"{end}_{which}_corner") for which in ("outer", "near", "off")]
        assert max(corners) == pytest.approx(found, abs=0.01)
    assert sheet.number("covering_diameter") == pytest.approx(
        2 * farthest(solids, middle, True) + 20, abs=0.02
    )


def beyond(solids, middle, diameter):
    """Wood of the heads that a plumb cylinder of this diameter leaves outside, mm³."""
    rim = manifold3d.Manifold.cylinder(FAR, diameter / 2, circular_segments=RIM_SIDES)
    rim = rim.translate([0, 0, middle])
    upper = manifold3d.Manifold.cube([FAR, FAR, FAR]).translate([-FAR / 2, -FAR / 2, middle])
    return sum(float(((one ^ upper) - rim).volume()) for one in solids)


@pytest.mark.parametrize("across", [880.0, 920.0, 960.0, 1000.0])
def test_heads_that_show_beyond_the_rim_are_cautioned_and_the_top_offered_covers_them(across):
    # The middles of these heads lie within 433 mm, under every one of these tops: that alone is
    # what used to be looked at.
    table = families.network("table")
    givens = {"table_height": 735.0, "post_section": 63.5}
    sheet = table.solve({**givens, "top_diameter": across})
    solids, middle = as_cut(settled(sheet))
    verdicts = {check.name: check for check in sheet.checks}
    assert verdicts["heads under the top"].verdict == "pass"
    shows = beyond(solids, middle, across) > 1.0
    assert shows is (across < 970)
    check = verdicts["heads beyond the rim"]
    assert (check.verdict == "caution") is shows
    offered = sheet.number("covering_diameter")
    assert (f"{sheet.shop('covering_diameter')} across" in check.message) is shows
    assert beyond(solids, middle, offered) == pytest.approx(0, abs=1e-3)
    assert beyond(solids, middle, offered - 24) > 1.0
    wide = table.solve({**givens, "top_diameter": offered})
    assert {c.name: c.verdict for c in wide.checks}["heads beyond the rim"] == "pass"


def test_feet_beyond_the_rim_are_cautioned_by_their_toes_and_not_by_their_middles():
    table = families.network("table")
    found = {}
    for across in (900.0, 950.0):
        sheet = table.solve({"table_height": 735.0, "post_section": 63.5, "top_diameter": across})
        assert sheet.number("foot_radius") - across / 2 < 50  # the middles are never so far out
        found[across] = {c.name: c.verdict for c in sheet.checks}["feet beyond the rim"]
    assert found == {900.0: "caution", 950.0: "pass"}


@pytest.mark.parametrize("lean", [20.0, 35.0, 54.7356])
def test_the_grain_that_begins_on_a_foot_runs_on_to_the_notch(lean):
    """A rod of wood along the grain from anywhere on the flat lies wholly within the post."""
    table = families.network("table")
    sheet = table.solve(
        {"table_height": 735.0, "top_diameter": 900.0, "post_section": 63.5, "splay": lean}
    )
    design = settled(sheet)
    _, posts = one_notch(design)
    solids, _ = as_cut(design)
    for solid, post in zip(solids, posts, strict=True):
        mesh = solid.to_mesh()
        points, faces = np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts)
        low = points[:, 2].min()
        flat = [face for face in faces if (points[face][:, 2] < low + 1e-3).all()]
        assert flat
        run = sheet.number("notch_position") - sheet.number("notch_width") - design.section
        for face in flat:
            for weights in ((0.98, 0.01, 0.01), (0.01, 0.98, 0.01), (0.01, 0.01, 0.98)):
                start = np.asarray(weights) @ points[face]
                for step in np.linspace(0.5, run, 40):
                    assert inside(solid, start + step * post.along)


def inside(solid, point):
    """Whether a small cube about a point lies wholly within a solid."""
    cube = manifold3d.Manifold.cube([0.02] * 3, center=True).translate([float(x) for x in point])
    return float((cube ^ solid).volume()) > 0.99 * 0.02**3
