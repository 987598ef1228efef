"""Every relation of the base against plain vectors, over designs drawn at random."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.engine.relation import Relation
from tablekit.relations import bases, crossing, mass, post_ends
from tests.relations.evaluate import gap, number, size
from tests.relations.reference_vectors import (
    Design,
    measure,
    notch_solid,
    posts,
    solid_corners,
    tipping_load,
)
from tests.together import each

WAYS = {"notches up": True, "notches down": False}
DESIGNS = 40
# The vectors work in millimetres, the relations in metres.
_CUBIC = ("notch_volume", "post_volume")
_PLAIN = ("crossing_angle", "notch_floor_tilt", "bearing_rise", "side_rise")


def random_design(random: np.random.Generator, up: bool) -> Design:
    """A design whose flats stay inside the ends of the posts, square posts or not."""
    section, splay = random.uniform(25, 150), np.radians(random.uniform(10, 75))
    width = section * random.choice([1.0, random.uniform(0.7, 2)])
    rises = measure(Design(section, 40 * section, splay, section / 2, 20 * section, 0, 0, up))
    deepest = min(section * rises["bearing_rise"], width * rises["side_rise"])
    larger = max(section, width)
    return Design(
        section=section,
        length=larger * random.uniform(12, 30),
        splay=splay,
        offset=section / 2 + width * random.uniform(-0.25, 0.25),
        notch_position=larger * random.uniform(5, 7),
        foot_depth=deepest * random.uniform(0.05, 0.98),
        head_depth=deepest * random.uniform(0.05, 0.98),
        notches_up=up,
        width=width,
        clockwise=bool(random.integers(2)),
    )


def in_metres(design: Design) -> dict[str, float]:
    """What the vectors find, by the kit's names, in coherent SI."""
    values = {}
    for name, found in measure(design).items():
        scale = 1e-9 if name in _CUBIC else 1.0 if name in _PLAIN else 1e-3
        values[name] = found * scale
    section = design.section / 1000
    values |= {
        "post_section": section,
        "post_width": design.across / 1000,
        "post_length": design.length / 1000,
        "splay": design.splay,
        "axis_offset": design.offset / 1000,
        "notch_position": design.notch_position / 1000,
        "notch_depth_ratio": values["notch_depth"] * 1000 / design.across,
        "foot_flat_depth": design.foot_depth / 1000,
        "head_flat_depth": design.head_depth / 1000,
        "flat_ratio": 2 * design.foot_depth / (1000 * values["foot_flat"]),
        # the roll is whatever turn lays the bearing face as steep as the vectors say
        "roll": float(np.arctan2(values["bearing_rise"], values["side_rise"])),
    }
    return values


@cache
def designs(way_up: str) -> tuple[tuple[Design, dict[str, float]], ...]:
    random = np.random.default_rng(20)
    drawn = [random_design(random, WAYS[way_up]) for _ in range(DESIGNS)]
    return tuple((design, in_metres(design)) for design in drawn)


def ends_of(way_up: str) -> list[Relation]:
    """Corners and outermost reaches, without what ties them to a top."""
    every = post_ends.relations(bases.WAYS_UP[way_up])
    return [one for one in every if "top_diameter" not in one.symbols][:-1]


def of_the_base(way_up: str) -> list[Relation]:
    return [
        *crossing.one_notch(bases.WAYS_UP[way_up]),
        *ends_of(way_up),
        *post_ends.flat_relations(),
        mass.NOTCH_VOLUME,
        mass.POST_VOLUME,
    ]


def slack_left(relation: Relation, values: dict[str, float]) -> float:
    return min((number(limit.slack, values) for limit in relation.limits), default=np.inf)


@pytest.mark.witness(
    *of_the_base("notches up"),
    *of_the_base("notches down"),
    by="plain vectors, nearest points and clipped boxes",
    within="1e-9 of the largest term",
)
@each("way_up", WAYS)
@each("name", [relation.name for relation in of_the_base("notches up")])
def test_relation_agrees_with_vectors(name: str, way_up: str) -> None:
    # independent: vectors, nearest points and clipped boxes of reference_vectors.py
    relation = next(r for r in of_the_base(way_up) if r.name == name)
    compared = 0
    for design, values in designs(way_up):
        if relation is mass.NOTCH_VOLUME and slack_left(relation, values) < 0:
            continue
        compared += 1
        error = abs(gap(relation, values)) / size(relation, values)
        assert error < 1e-9, f"{name}: off by {error:.2e} of its size for {design}"
    assert compared >= DESIGNS / 4


def test_tipping_agrees_with_the_balance_of_the_feet() -> None:
    # independent: three equations of balance solved for the loads on the feet
    from tablekit.relations.tipping import TIPPING

    random = np.random.default_rng(5)
    for _ in range(50):
        foot_radius, mass_kg = random.uniform(0.1, 0.6), random.uniform(2, 60)
        rim = foot_radius * random.uniform(0.55, 2.5)
        load = tipping_load(foot_radius, mass_kg * 9.80665, rim, bearing=np.pi / 3)
        values = {
            "foot_radius": foot_radius,
            "total_mass": mass_kg,
            "top_diameter": 2 * rim,
            "tipping_load": load,
        }
        assert abs(gap(TIPPING, values)) < 1e-9 * size(TIPPING, values)


def test_midway_between_feet_is_the_worst_place() -> None:
    # independent: the same balance, all round the rim
    bearings = np.radians(np.arange(0, 120, 0.5))
    loads = [tipping_load(0.3, 150.0, 0.45, float(bearing)) for bearing in bearings]
    assert np.degrees(bearings[int(np.argmin(loads))]) == pytest.approx(60.0)


def test_no_load_inside_the_line_lifts_a_foot() -> None:
    # independent: the same balance; the edge of the tipping relation's limit
    assert tipping_load(0.3, 150.0, 0.1499, np.pi / 3) == np.inf
    assert tipping_load(0.3, 150.0, 0.1501, np.pi / 3) > 1e5


@each("way_up", WAYS)
@each("lean", [20, 45, 54.7356, 65])
@each("width", [60, 35, 110])
def test_a_flat_runs_off_the_post_just_where_its_limit_says(
    width: float, way_up: str, lean: float
) -> None:
    # independent: corners of the box cut by a level plane
    def flat(depth: float) -> Design:
        return Design(60, 900, np.radians(lean), 30, 400, depth, 1.0, WAYS[way_up], width)

    rises = measure(flat(1.0))
    deepest = min(60 * rises["bearing_rise"], width * rises["side_rise"])
    inside = in_metres(flat(0.999 * deepest))
    foot = next(r for r in post_ends.flat_relations() if r.name == "flat of the foot")
    assert 0 < slack_left(foot, inside) < 0.0011 * deepest / 1000
    assert slack_left(foot, {**inside, "foot_flat_depth": 1.001 * deepest / 1000}) < 0
    with pytest.raises(ValueError, match="runs off the end"):
        measure(flat(1.001 * deepest))


@each("lean", [15, 30, 45, 60])
@each(("width", "side"), [(60, -1), (60, 1), (48, -1), (48, 1), (65, -1), (110, 1)])
def test_notch_volume_holds_up_to_its_limit_and_not_beyond(
    width: float, lean: float, side: int
) -> None:
    # independent: volume of the clipped box
    def share(offset: float) -> tuple[float, float]:
        values = in_metres(Design(60, 900, np.radians(lean), offset, 400, 1, 1, width=width))
        relation = mass.NOTCH_VOLUME
        return slack_left(relation, values), abs(gap(relation, values)) / size(relation, values)

    tilt = in_metres(Design(60, 900, np.radians(lean), 30, 400, 1, 1))["notch_floor_tilt"]
    edge = (width * np.cos(tilt) - 60 * abs(np.sin(tilt))) / 2
    slack, error = share(30 + side * 0.999 * edge)
    assert slack > 0
    assert error < 1e-9
    # Beyond the edge, but with something still cut out and the axes still apart.
    slack, error = share(30 + side * min(1.1 * edge, 29.9 * width / 60, 60 if side > 0 else 29.9))
    assert slack < 0
    assert error > 1e-6


@pytest.mark.parametrize("way_up", WAYS)
def test_room_left_at_the_ends_is_never_overstated(way_up: str) -> None:
    # independent: corners of the clipped boxes, measured along the post
    foot, head = (
        next(r for r in of_the_base(way_up) if r.name == name)
        for name in ("waist to foot", "waist to head")
    )
    for design, values in designs(way_up):
        built, _, _ = posts(design)
        post, guest, host = built[0], built[1], built[2]
        cuts = [notch_solid(post, guest), notch_solid(host, post)]
        reached = [(solid_corners(cut) - post.waist) @ post.along for cut in cuts]
        flat_foot = post.low + design.foot_depth / np.cos(design.splay)
        flat_head = post.high - design.head_depth / np.cos(design.splay)
        for limit, along in zip(foot.limits, reached, strict=True):
            assert number(limit.slack, values) * 1000 <= along.min() - flat_foot + 1e-9
        for limit, along in zip(head.limits, reached, strict=True):
            assert number(limit.slack, values) * 1000 <= flat_head - along.max() + 1e-9


def test_room_left_is_exact_at_the_square_crossing() -> None:
    # derived: reference/derivations/crossing.md, plain notch as wide as the post
    design = Design(60, 900, np.arccos(1 / np.sqrt(3)), 30, 400, 5, 5)
    values = in_metres(design)
    foot = next(r for r in of_the_base("notches up") if r.name == "waist to foot")
    room = 400 - 30 - 5 * np.sqrt(3)
    assert number(foot.limits[0].slack, values) * 1000 == pytest.approx(room, rel=1e-12)


@pytest.mark.parametrize(("section", "width", "offset"), [(64, 64, 20), (60, 90, 30), (90, 60, 50)])
@pytest.mark.parametrize("way_up", WAYS)
def test_the_notch_of_a_plain_crossing_is_a_box_cut_into_the_width(
    section: float, width: float, offset: float, way_up: str
) -> None:
    # independent: corners of the clipped boxes; reference/derivations/rectangular_posts.md
    up = WAYS[way_up]
    design = Design(section, 1500, np.arccos(1 / np.sqrt(3)), offset, 700, 5, 5, up, width=width)
    built, _, _ = posts(design)
    post, guest = built[0], built[1]
    corners = solid_corners(notch_solid(post, guest))
    long, deep, through = (
        np.ptp(corners @ direction) for direction in (post.along, guest.bearing, post.bearing)
    )
    values = in_metres(design)
    assert values["notch_width"] * 1000 == pytest.approx(long, rel=1e-9) == width
    assert values["notch_depth"] * 1000 == pytest.approx(deep, rel=1e-9)
    assert through == pytest.approx(section, rel=1e-9)
    assert abs(post.side @ guest.bearing) == pytest.approx(1, rel=1e-12)  # a side face is cut into
    notch = next(r for r in of_the_base(way_up) if r.name == "depth of the notch")
    assert abs(gap(notch, {**values, "notch_depth": deep / 1000})) < 1e-12


@each("way_up", WAYS)
@each(
    ("lean", "free"),
    [(20, True), (45, True), (54.7, True), (54.8, False), (60, False), (70, False)],
)
def test_the_last_post_slides_out_up_to_the_square_crossing(
    lean: float, free: bool, way_up: str
) -> None:
    # derived: reference/derivations/crossing.md, the last post; 60 to 70° tried with solids
    built, _, _ = posts(Design(64, 1000, np.radians(lean), 32, 500, 0, 0, WAYS[way_up]))
    last, guest = built[0], built[1]
    slide = np.cross(last.side, guest.side)
    opens = 1 if WAYS[way_up] else -1
    lifts, drops = opens * slide @ last.bearing, -opens * slide @ guest.bearing
    assert bool(lifts * drops >= 0) is free


@pytest.mark.parametrize("lean", [25, 45, 54.7356, 70])
def test_turned_upside_down_feet_and_heads_change_places(lean: float) -> None:
    # derived: reference/derivations/circles.md; the base stood on its head
    up = measure(Design(64, 1000, np.radians(lean), 30, 450, 4, 7, notches_up=True))
    down = measure(Design(64, 1000, np.radians(lean), 30, 550, 7, 4, notches_up=False))
    for name in ("radius", "flat", "reach", "sidestep", "arm"):
        assert up[f"foot_{name}"] == pytest.approx(down[f"head_{name}"], rel=1e-12)
        assert up[f"head_{name}"] == pytest.approx(down[f"foot_{name}"], rel=1e-12)
