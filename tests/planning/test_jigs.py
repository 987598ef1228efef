"""Jigs against plain vectors and solids: what lies in each comes out as the piece has it."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from tablekit.brief import BriefError, parse_brief, write_brief
from tablekit.design import Design
from tablekit.packet.answer import answer
from tablekit.planning.jigs import Jig, Jigs, jig_sheet
from tablekit.planning.notch_cutting import saw_passes
from tablekit.relations.jigs import EVERY
from tablekit.setting_out import design_of

Array = NDArray[np.float64]
UP, DOWN = "notches up", "notches down"
# Crossed posts by their givens and which way the notches open: square, steep, steep and oblong.
SHAPES = {
    "square": ('splay = "54.735610317 deg"', UP),
    "square, notches down": ("", DOWN),
    "steep": ('splay = "45 deg"', UP),
    "steep, notches down": ('splay = "47 deg"', DOWN),
    "oblong": ('splay = "48 deg"\npost_width = "56 mm"\naxis_offset = "30 mm"', UP),
}
TILTED = [name for name in SHAPES if not name.startswith("square")]
BRIEF = """name = "Trial table"
kind = "table"
[given]
table_height = "700 mm"
top_diameter = "820 mm"
post_section = "64 mm"
{given}
[base]
way_up = "{way}"
{base}
[workshop]
jigs = true
cutter_width = "19 mm"
"""
LEGS = """name = "Trial stool"
kind = "stool"
[given]
seat_height = "450 mm"
top_diameter = "340 mm"
leg_diameter = "40 mm"
[base]
style = "splayed legs"
legs = 4
[workshop]
jigs = true
"""


@cache
def design(name: str, base: str = "") -> Design:
    given, way = SHAPES[name]
    return design_of(parse_brief(BRIEF.format(given=given, way=way, base=base)))


def jigs(of: Design) -> Jigs:
    assert of.jigs is not None
    return of.jigs


def jig(name: str, which: str) -> Jig:
    return jigs(design(name))[which]


# -- the piece in plain vectors --------------------------------------------------------------------


def unit(vector: Array) -> Array:
    return vector / np.linalg.norm(vector)


def posts(lean: float) -> list[Array]:
    """Directions of the three posts from foot to head, a third of a turn apart."""
    turns = [math.radians(120 * k) for k in range(3)]
    return [
        np.array([math.sin(lean) * math.cos(a), math.sin(lean) * math.sin(a), math.cos(lean)])
        for a in turns
    ]


def frame(of: Design, post: int = 1) -> Array:
    """Rows: along the post, away from its bearing face, towards its notched face, as it stands.

    The bearing face is square to the post and to the one in whose notch it lies; with the notches
    opening down the base is the same one seen through a point, which leaves the posts as they are.
    """
    u = posts(math.radians(of.sheet.number("splay")))
    bearing = unit(np.cross(u[post - 1], u[post]))
    side = np.cross(u[post], bearing)
    assert bearing[2] > 0 and side[2] > 0
    sense = 1.0 if of.base.opens > 0 else -1.0
    return np.array([u[post], sense * bearing, sense * side])


def in_cradle(of: Design, at: Jig) -> Array:
    """The turn from the post's own frame to that of the cradle (right, away, up): the face from C
    to D lies on the nearer bevel, the face from C to B on the other. Nothing of the piece in it."""
    near, far = (math.radians(at.sizes[n]) for n in ("cradle_near_slope", "cradle_far_slope"))
    to_d = np.array([0.0, -math.cos(near), math.sin(near)])
    to_b = np.array([0.0, math.cos(far), math.sin(far)])
    return np.array([[1.0, 0.0, 0.0], -to_d, to_b]).T


def kerf(at: Jig) -> Array:
    """The way that the kerf is marked on the cheeks, from the near one to the far one."""
    run = at.sizes["cradle_kerf_run"]
    return np.array([-run if at.towards == "foot" else run, at.sizes["cradle_outside"], 0.0])


# -- the cradle ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
def test_the_plane_of_the_kerf_is_that_of_the_flat(name: str) -> None:
    of, at = design(name), jig(name, "cradle")
    turn = in_cradle(of, at)
    # The post is square, and so it lies on both bevels.
    assert turn.T @ turn == pytest.approx(np.eye(3), abs=1e-9)
    assert np.linalg.det(turn) == pytest.approx(1.0)
    flat = turn @ frame(of) @ np.array([0.0, 0.0, 1.0])  # plumb, as the post stands
    assert abs(flat[2]) < 1e-9  # a plumb cut
    assert abs(unit(kerf(at)) @ flat) < 1e-9
    plan = unit(kerf(at))
    angle = math.degrees(math.acos(abs(plan[0])))
    assert angle == pytest.approx(at.sizes["cradle_cut"], abs=1e-7)


@pytest.mark.parametrize("end", ["foot", "head"])
@pytest.mark.parametrize("name", SHAPES)
def test_a_sharp_corner_past_the_kerf_loses_the_depth_of_its_flat(name: str, end: str) -> None:
    of, at = design(name), jig(name, "cradle")
    turn, plumb = in_cradle(of, at), frame(of) @ np.array([0.0, 0.0, 1.0])
    deep, wide = of.sheet.number("post_section"), of.sheet.number("post_width")
    length = of.sheet.number("post_length")
    x = 0.0 if end == "foot" else length
    corners = {
        arris: np.array([x, y * deep / 2, z * wide / 2])
        for arris, (y, z) in {"A": (-1, 1), "B": (1, 1), "C": (1, -1), "D": (-1, -1)}.items()
    }
    pick = min if end == "foot" else max
    sharp = pick(corners, key=lambda arris: float(corners[arris] @ plumb))
    back = 1.0 if end == "foot" else -1.0
    past = at.sizes[f"{end}_end_past_kerf"]
    on_kerf = corners[sharp] + np.array([back * past, 0.0, 0.0])
    across = turn @ plumb  # square to the kerf
    cut_off = float((turn @ on_kerf - turn @ corners[sharp]) @ across)
    assert abs(cut_off) == pytest.approx(of.sheet.number(f"{end}_flat_depth"), rel=1e-9)
    (step,) = (text for text in at.how if text.startswith("Foot:"))
    said = step.split("Head:")[0 if end == "foot" else 1]
    assert f"arris {sharp} " in said
    # It sticks out to one side, level, where a plumb saw reaches it.
    beside = turn @ corners[sharp] - turn @ corners["C"]
    assert beside[2] > 0 and (beside[1] < 0) == (sharp == "D")


@pytest.mark.parametrize("name", SHAPES)
def test_the_flat_of_the_solid_lies_against_the_kerf(name: str) -> None:
    """The corners of the flat as the solid has them, carried into the cradle."""
    of, at = design(name), jig(name, "cradle")
    turn, across = in_cradle(of, at) @ frame(of), unit(np.cross(kerf(at), [0.0, 0.0, 1.0]))
    model = of.solids.model
    which = int(np.argmax(model.along @ posts(math.radians(of.sheet.number("splay")))[1]))
    corners = np.asarray(model.posts[which].vertices)
    feet = corners[corners[:, 2] < corners[:, 2].min() + 1e-6]
    assert len(feet) >= 3
    placed = (turn @ feet.T).T
    assert np.ptp(placed @ across) < 1e-8
    assert np.ptp(placed[:, 2]) > 5  # and they are no single point


@pytest.mark.parametrize("name", SHAPES)
def test_rails_and_cheeks_hold_the_post_and_touch_it_nowhere_else(name: str) -> None:
    of, at = design(name), jig(name, "cradle")
    size, turn = at.sizes, in_cradle(of, at)
    deep, wide = of.sheet.number("post_section"), of.sheet.number("post_width")
    c = np.array([0.0, 0.0, size["cradle_lift"]])
    d, b = c - turn[:, 1] * deep, c + turn[:, 2] * wide
    a = d + b - c
    assert [-d[1], b[1]] == pytest.approx([size["cradle_near_reach"], size["cradle_far_reach"]])
    assert a[2] == pytest.approx(size["cradle_cheek"])
    width = size["cradle_near_rail"] + size["cradle_far_rail"] + size["cradle_gap"]
    assert width == pytest.approx(size["cradle_inside"])
    for rail, side, face, reach in (
        ("cradle_near_rail", -1.0, d - c, -d[1]), ("cradle_far_rail", 1.0, b - c, b[1]),
    ):  # fmt: skip
        back = side * (reach + size["cradle_play"])
        toe = np.array([back - side * size[rail], size["cradle_toe"]])
        # The toe is on the face carried on, and above the base: the bevel begins there.
        along = toe - c[1:]
        assert abs(along[0] * face[2] - along[1] * face[1]) < 1e-9 * deep**2
        assert 0 < size["cradle_toe"] < size["cradle_rail_height"] < min(b[2], d[2])
        top = c + face * (size["cradle_rail_height"] - c[2]) / face[2]
        assert 0 < side * top[1] < side * back  # wood is left at the top of the rail


def test_a_cradle_worked_by_hand() -> None:
    # 50 mm square, faces at sine 3/5 and 4/5 (reference/derivations/jigs.md): 30 and 40 mm.
    of = jig_sheet(
        "cradle",
        {"splay": math.degrees(math.asin(0.8)), "bearing_rise": 0.48, "side_rise": 0.64,
         "post_section": 50.0, "post_width": 50.0},
        design("square").sheet.shop_style,
    )  # fmt: skip
    wanted = {
        "cradle_near_reach": 30, "cradle_near_rise": 40, "cradle_far_reach": 40,
        "cradle_far_rise": 30, "cradle_rail_height": 3 + 20, "cradle_toe": 3 + 3 * 0.48,
        "cradle_near_rail": 30 + 3 - 3 * 0.36, "cradle_far_rail": 40 + 3 - 3 * 0.64,
        "cradle_inside": 76, "cradle_outside": 112, "cradle_cheek": 73,
        "cradle_kerf_run": 112 * 4 / 3, "cradle_length": 112 * 4 / 3 + 200,
    }  # fmt: skip
    assert {name: of.number(name) for name in wanted} == pytest.approx(wanted)


# -- the wedge and the sled ------------------------------------------------------------------------


def rocked(at: Jig, of: Design) -> Array:
    """The turn from the post's frame to (along, away, up) on the wedge, from its two edges alone;
    the thick edge is under the side that the words lift."""
    rise = at.sizes["wedge_thick"] - at.sizes["wedge_thin"]
    slope = math.atan2(rise, at.sizes["wedge_base"])
    lifted = "D" if "arris D" in at.how[1] else "C"
    turn = -slope if lifted == "D" else slope  # D is nearer to the maker than C
    across = np.array([0.0, math.cos(turn), math.sin(turn)])
    return np.array([[1.0, 0.0, 0.0], across, np.cross([1.0, 0.0, 0.0], across)]).T


@pytest.mark.parametrize("name", TILTED)
def test_on_its_wedge_the_notch_floor_is_level_and_the_walls_are_plumb(name: str) -> None:
    """The floor is what the next post lies on, so it is square to both posts."""
    of = design(name)
    at, u = jig(name, "wedge"), posts(math.radians(of.sheet.number("splay")))
    host = frame(of)
    guest = u[2]
    turn = rocked(at, of) @ host
    floor = turn @ unit(np.cross(u[1], guest))
    assert np.abs(floor[:2]) == pytest.approx([0.0, 0.0], abs=1e-9)
    way = turn @ guest  # the walls run along the next post, level
    assert abs(way[2]) < 1e-9
    away = way * np.sign(way[1])
    sled = jig(name, "sled")
    assert sled.towards == ("head" if away[0] > 0 else "foot")
    assert f"{math.degrees(math.asin(abs(away[0]))):.2f}° out of square" in " ".join(sled.how)


@pytest.mark.parametrize("name", TILTED)
def test_the_slope_of_the_wedge_over_a_round_length_is_that_of_its_edges(name: str) -> None:
    size = jig(name, "wedge").sizes
    rise, run = size["wedge_thick"] - size["wedge_thin"], size["wedge_base"]
    assert size["wedge_gauge_rise"] / size["wedge_gauge"] == pytest.approx(rise / run, rel=1e-9)
    # its face is as wide as the face of the post that lies on it
    assert math.hypot(rise, run) == pytest.approx(design(name).sheet.number("post_section"))


@pytest.mark.parametrize("name", SHAPES)
def test_the_sled_is_as_broad_and_as_high_as_the_post_lies(name: str) -> None:
    of, size = design(name), jig(name, "sled").sizes
    deep, wide = of.sheet.number("post_section"), of.sheet.number("post_width")
    corners = np.array([[0.0, y * deep, z * wide] for y in (0, 1) for z in (0, 1)])
    tilted = name in TILTED
    turn = rocked(jig(name, "wedge"), of) if tilted else np.eye(3)
    placed = (turn @ corners.T).T
    thin = jig(name, "wedge").sizes["wedge_thin"] if tilted else 0.0
    assert size["sled_channel"] == pytest.approx(np.ptp(placed[:, 1]), rel=1e-9)
    assert size["sled_cheek"] == pytest.approx(np.ptp(placed[:, 2]) + thin, rel=1e-9)
    # From the highest arris, level with the cheeks, down to the floor.
    _, host, guest = posts(math.radians(of.sheet.number("splay")))
    floor = frame(of) @ unit(np.cross(host, guest)) * of.base.opens
    middle = corners.mean(axis=0)
    floor_over_axis = wide / 2 - of.sheet.number("notch_depth")
    highest = float(((corners - middle) @ floor).max())
    assert size["depth_of_cut"] == pytest.approx(highest - floor_over_axis, rel=1e-9)


def test_the_router_clears_the_notch_and_no_more() -> None:
    # By hand: 64 mm of notch, a base of 150 mm and a cutter of 12 mm: 64 + 150 − 12.
    size = jig("square", "sled").sizes
    assert size["sled_opening"] == pytest.approx(202)
    assert size["sled_rail_length"] == pytest.approx(64 + 12 + 150)
    assert size["sled_length"] == pytest.approx(202 + 2 * 60 + 2 * 50)
    # The near wall of a notch 64 mm wide about its middle, and the guide 69 mm outside it.
    middle = design("square").sheet.number("notch_position")
    assert size["stop_to_near_rail"] == pytest.approx(middle - 32 - 69)


def test_rails_on_the_slant_worked_by_hand() -> None:
    # reference/derivations/jigs.md: a floor tilted by the sine 3/5, posts that cross at 4/5.
    of = jig_sheet(
        "sled",
        {"post_section": 50.0, "post_width": 50.0, "trench_width": 50.0, "cutter_width": 12.0,
         "base_width": 150.0, "crossing_angle": math.degrees(math.asin(0.8)),
         "notch_floor_tilt": -math.degrees(math.asin(0.6))},
        design("square").sheet.shop_style,
    )  # fmt: skip
    wanted = {
        "wedge_base": 40, "wedge_rise": 30, "wedge_thick": 33, "wedge_gauge_rise": 75,
        "sled_channel": 70, "sled_cheek": 73, "sled_opening": 188, "sled_rail_length": 249.5,
        "sled_length": 385 + 79.5 + 100,
    }  # fmt: skip
    assert {name: of.number(name) for name in wanted} == pytest.approx(wanted)


# -- the stop and the trammel ----------------------------------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
def test_stop_and_spacers_take_the_cutter_from_wall_to_wall(name: str) -> None:
    of, at = design(name), jig(name, "stop")
    (spacers,) = (part for part in at.parts if part.name == "spacer")
    places = [at.sizes["last_stop"] - k * spacers.thickness for k in range(spacers.count, -1, -1)]
    cut = saw_passes(of.sheet, of.tools.cutter_width, of.tools.least_overlap)
    walls = of.post_work.marks[0].on_arris(cut.arris)
    near, far = (mark.distance for mark in walls if mark.what == "notch")
    assert places[0] == pytest.approx(near)
    u = posts(math.radians(of.sheet.number("splay")))
    slant = math.sin(math.acos(u[0] @ u[1]))
    assert places[-1] + 19 / slant == pytest.approx(far)
    steps = np.diff(places) * slant
    assert (steps <= 19 - of.tools.least_overlap + 1e-9).all()  # no ridge between two passes
    assert at.sizes["stop_distance"] == pytest.approx(of.sheet.number("post_length"))


def test_both_holes_of_the_trammel_are_where_their_circles_want_them() -> None:
    size = jig("square", "trammel").sizes
    cutter = np.array([100.0, 0.0])
    last = np.array([size["pivot_from_edge"], 0.0])
    first = np.array([size["first_pivot"], size["hole_aside"]])
    rim = 820 / 2
    assert np.linalg.norm(last - cutter) - 12 / 2 == pytest.approx(rim)
    assert np.linalg.norm(first - cutter) - 12 / 2 == pytest.approx(rim + size["rim_left"])
    assert size["board_length"] > max(last[0], first[0])


# -- who has which ---------------------------------------------------------------------------------


def test_a_square_notch_needs_no_wedge_and_a_tilted_one_does() -> None:
    assert jigs(design("square")).left_out.keys() == {"wedge"}
    assert "parallel to the face" in jigs(design("square")).left_out["wedge"]
    assert jigs(design("steep")).left_out == {}


def test_splayed_legs_have_a_length_stop_and_a_trammel_board() -> None:
    of = design_of(parse_brief(LEGS))
    found = jigs(of)
    assert [one.id for one in found.made] == ["stop", "trammel"]
    assert found.left_out.keys() == {"cradle", "sled", "wedge"}
    assert found["stop"].sizes["stop_distance"] == pytest.approx(of.sheet.number("leg_length"))
    assert "each leg, push it against the block and saw them all" in " ".join(found["stop"].how)


def test_posts_that_cannot_be_put_together_get_no_jigs() -> None:
    text = BRIEF.format(given='splay = "62 deg"', way=UP, base="")
    found = jigs(design_of(parse_brief(text)))
    assert [one.id for one in found.made] == ["trammel"]
    assert "cannot be assembled" in found.left_out["cradle"]


def test_two_notches_are_cut_against_one_stop() -> None:
    base = 'crossing = "two notches"'
    text = BRIEF.format(given='notch_relief = "32 mm"', way=UP, base=base)
    found = jigs(design_of(parse_brief(text)))
    said = " ".join(found["sled"].how)
    assert "Turn the post about its length for its other notch" in said
    assert "pack the stop out by 32\u00a0mm" in said


def test_a_left_hand_piece_has_the_same_jigs_with_the_foot_to_the_right() -> None:
    right, left = jigs(design("steep")), jigs(design("steep", 'hand = "left"'))
    assert [one.id for one in right.made] == [one.id for one in left.made]
    for one in right.made:
        assert left[one.id].sizes == pytest.approx(dict(one.sizes))
        assert left[one.id].towards == one.towards
    assert "foot end to the left" in " ".join(right["cradle"].how)
    assert "foot end to the right" in " ".join(left["cradle"].how)


def test_a_cutter_wider_than_the_notch_has_no_spacers_and_no_sled() -> None:
    text = BRIEF.format(given="", way=UP, base="").replace('"19 mm"', '"80 mm"')
    text = text.replace(
        'post_section = "64 mm"', 'post_section = "64 mm"\ncutter_diameter = "70 mm"'
    )
    found = jigs(design_of(parse_brief(text)))
    assert [part.name for part in found["stop"].parts] == ["block", "batten"]
    assert found.left_out["sled"] == "The router's cutter is wider than the notch."


# -- what is asked for and what is told ------------------------------------------------------------


def test_nothing_is_said_of_jigs_unless_the_brief_asks_for_them() -> None:
    text = BRIEF.format(given="", way=UP, base="")
    for said in ("", "jigs = false\n"):
        of = design_of(parse_brief(text.replace("jigs = true\n", said)))
        assert of.jigs is None
        assert not {"jigs", "jigs_left_out"} & answer(of).keys()


def test_some_jigs_are_asked_for_by_name_and_come_in_the_order_of_the_work() -> None:
    text = BRIEF.format(given="", way=UP, base="")
    brief = parse_brief(text.replace("jigs = true", 'jigs = ["cradle", "stop"]'))
    assert brief.jigs == ("stop", "cradle")
    assert parse_brief(write_brief(brief)) == brief
    assert [one["id"] for one in answer(design_of(brief))["jigs"]] == ["stop", "cradle"]
    every = parse_brief(text)
    assert every.jigs == EVERY and "jigs = true" in write_brief(every).splitlines()


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ('jigs = "cradle"', "is not true, false or a list of names"),
        ('jigs = ["cradel"]', '"cradel" is not a jig; the jigs are "stop"'),
        ("jigs = [1]", "is not a list of texts"),
        ("jigs = 1", "is not true, false"),
    ],
)
def test_a_bad_list_of_jigs_is_told(written: str, told: str) -> None:
    text = BRIEF.format(given="", way=UP, base="").replace("jigs = true", written)
    with pytest.raises(BriefError) as caught:
        parse_brief(text)
    assert len(caught.value.problems) == 1 and told in str(caught.value)


def test_the_json_has_sizes_parts_and_steps_of_each() -> None:
    for one in answer(design("steep"))["jigs"]:
        assert one.keys() == {"id", "name", "sizes", "parts", "how"}
        assert one["sizes"] and one["parts"] and one["how"]
        for part in one["parts"]:
            assert part.keys() == {"name", "count", "length", "width", "thickness"}
            assert part["count"] >= 1 and min(part["length"], part["width"]) > 0


def test_an_inch_brief_reads_no_millimetres_and_takes_sizes_of_its_own() -> None:
    text = """name = "Trial table"
kind = "table"
display = "in"
[given]
table_height = "28 in"
top_diameter = "32 in"
post_section = "2 1/2 in"
splay = "46 deg"
[workshop]
jigs = true
"""
    found = jigs(design_of(parse_brief(text)))
    assert {one.id for one in found.made} == set(EVERY)
    for one in found.made:
        assert "mm" not in " ".join(one.how)
    own = {**found["cradle"].sizes, **found["sled"].sizes, **found["stop"].sizes}
    # common practice, no source: the sizes that an inch shop would take
    for name, inches in (
        ("jig_sheet", Fraction(3, 4)), ("cradle_gap", Fraction(1, 8)), ("stop_block", Fraction(4)),
        ("sled_hold", Fraction(2)), ("sled_rail_width", Fraction(5, 2)),
    ):  # fmt: skip
        assert own[name] == pytest.approx(25.4 * float(inches)), name
