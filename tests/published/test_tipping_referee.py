"""Tipping worked out the long way, by rigid bodies standing on three points.

The method is that of any textbook of statics; the furniture test it stands for is ISO 7172:1988,
clause 5 (a load raised until a foot lifts).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.planning.tipping_polar import tipping_polar
from tablekit.relations import (
    quantities,
    tipping,
    tipping_round,
)
from tablekit.relations.families import network
from tests.planning.rigid_piece import GRAVITY, UP, Rigid, body_of
from tests.together import each as each_of

TABLE = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}
DESIGNS: dict[str, tuple[dict[str, str], dict[str, float]]] = {
    "square crossing": ({}, TABLE),
    "notches down": ({"way_up": "notches down"}, TABLE),
    "left hand": ({"hand": "left"}, TABLE),
    "two notches": ({"crossing": "two notches"}, TABLE),
    "two notches, low in the post": (
        {"crossing": "two notches"}, {**TABLE, "notch_position": 480.0}
    ),
    "notch low in the post": ({}, {**TABLE, "notch_position": 520.0}),
    "deep notch": ({}, {**TABLE, "axis_offset": 24.0}),
    "unlike flats": ({}, {**TABLE, "foot_flat": 16.0, "head_flat": 34.0}),
    "wide top": ({}, {**TABLE, "top_diameter": 1219.2, "top_thickness": 38.0}),
    "no pads, a gap": ({"way_up": "notches down"},
                       {**TABLE, "pad_projection": 0.0, "plate_gap": 6.0}),
    "stool": ({"kind": "stool"},
              {"seat_height": 450.0, "top_diameter": 380.0, "post_section": 38.0}),
    "tall": ({}, {"table_height": 1060.0, "top_diameter": 1300.0, "post_section": 70.0}),
    # Compound notches, and posts that are not square: the base's centre is not exact there.
    "steep": ({}, {**TABLE, "splay": 45.0}),
    "steep, notches down": ({"way_up": "notches down"}, {**TABLE, "splay": 38.0}),
    "rectangular posts": ({}, {**TABLE, "post_section": 60.0, "post_width": 90.0}),
}  # fmt: skip
PLAIN = [name for name in DESIGNS if "steep" not in name and "rectangular" not in name]
COMPOUND = [name for name in DESIGNS if name not in PLAIN]


@cache
def rigid(name: str) -> Rigid:
    options, givens = DESIGNS[name]
    sheet = network(**{"kind": "table", **options}).solve(givens, name=name)  # type: ignore[arg-type]
    return body_of(sheet)


def close(found: float, expected: float) -> bool:
    return found == pytest.approx(expected, rel=1e-9)


@each_of("name", DESIGNS)
def test_mass_and_plan(name: str) -> None:
    it = rigid(name)
    assert close(it.sheet.number("total_mass"), it.mass)
    assert np.abs(it.centre[:2]).max() < 1e-9  # threefold symmetry: on the centre line, to a µm
    arms = it.feet @ it.out(it.worst[0])
    assert close(it.sheet.number("tipping_arm") / 1000, arms.max())


@pytest.mark.witness(
    tipping.TIPPING,
    tipping.INSET,
    tipping.SHARE,
    by="one rigid body on three points, cut by manifold3d",
    within="1e-9",
)
@each_of("name", DESIGNS)
def test_load_on_the_rim_and_in_from_it(name: str) -> None:
    it = rigid(name)
    for bearing in it.worst:
        assert close(it.sheet.number("tipping_load"), it.rim_load(bearing))
        inset = it.sheet.get("inset_tipping_load")
        if inset is not None:
            assert close(inset, it.rim_load(bearing, inset=0.05))  # ISO 7172:1988, clause 5
    share = it.rim_load(it.worst[0]) / 200  # 200 N wanted: our own choice
    assert close(it.sheet.number("stability_ratio"), share)


@pytest.mark.witness(
    tipping_round.LOAD, tipping_round.PUSH, by="one rigid body on three points", within="1e-9"
)
@each_of("name", DESIGNS)
def test_all_round_the_rim(name: str) -> None:
    it = rigid(name)
    bearings = np.linspace(0, 2 * np.pi, 145)[:-1] + 0.003
    round_about = tipping_polar(it.sheet, bearings=bearings)
    by_hand = np.array([it.rim_load(b) for b in bearings])
    # Where the rim is hardly beyond a line the arm is a small difference: a tenth of a percent of
    # the rim is left out.
    near = np.abs(it.rim * np.cos(bearings[:, None] - it.worst[None]) - round_about.arm / 1000)
    clear = near.min(axis=1) > 1e-3 * it.rim
    found = np.where(np.isnan(round_about.loads), np.inf, round_about.loads)
    assert clear.sum() > 120
    np.testing.assert_allclose(found[clear], by_hand[clear], rtol=1e-9)
    inset = tipping_polar(it.sheet, bearings=it.worst, inset=40.0)
    loads = np.where(np.isnan(inset.loads), np.inf, inset.loads)
    np.testing.assert_allclose(loads, [it.rim_load(b, inset=0.04) for b in it.worst], rtol=1e-9)
    pushes = [it.least(it.out(b), it.height * UP) for b in bearings]
    np.testing.assert_allclose(round_about.pushes, pushes, rtol=1e-9)


@pytest.mark.witness(
    tipping.push(quantities.table_height),
    tipping.push(quantities.seat_height),
    by="one rigid body on three points",
    within="1e-9",
)
@each_of("name", DESIGNS)
def test_push_at_the_rim(name: str) -> None:
    it = rigid(name)
    for bearing in it.worst:
        push = it.least(it.out(bearing), it.height * UP)
        assert close(it.sheet.number("tipping_push"), push)
    towards_a_foot = it.worst[0] + np.pi / 3
    twice = it.least(it.out(towards_a_foot), it.height * UP)
    assert close(2 * it.sheet.number("tipping_push"), twice)


def loaded_by_hand(it: Rigid, mass: float, at: np.ndarray, bearing: float) -> float:
    """The rim load that lifts the foot opposite, with `mass` kg standing at the point `at`."""
    over = int(np.argmin(it.feet @ it.out(bearing)))
    weight = (-it.mass * GRAVITY * UP, it.centre)
    placed = (-mass * GRAVITY * UP, at)
    rim = it.rim * it.out(bearing) + it.height * UP
    bare = it.reactions([weight, placed])[over]
    each = it.reactions([weight, placed, (-UP, rim)])[over] - bare
    return float(-bare / each)


@pytest.mark.witness(
    tipping.LOADED,
    tipping.LOADED_SLOPE,
    by="one rigid body on three points",
    within="1e-9; the slope 1e-3 where the notch is compound",
)
@each_of("name", [n for n in DESIGNS if n != "stool"])
def test_with_a_laid_table(name: str) -> None:
    it = rigid(name)
    at = (it.height + 0.1) * UP  # 10 kg, its middle 100 mm up: our own choice of what is assumed
    bearing = it.worst[1]
    assert close(it.sheet.number("loaded_tipping_load"), loaded_by_hand(it, 10.0, at, bearing))
    slope = it.slope(bearing, (10.0, at))
    exact = 1e-9 if name in PLAIN else 1e-3
    assert np.radians(it.sheet.number("loaded_slope")) == pytest.approx(slope, rel=exact)


@pytest.mark.parametrize("reach", [-450.0, -250.0, 180.0])
def test_with_a_load_off_the_middle(reach: float) -> None:
    it = rigid("square crossing")
    sheet = it.sheet.network.solve(
        {**TABLE, "placed_mass": 14.0, "placed_reach": reach, "placed_height": 120.0}
    )
    bearing = it.worst[1]
    at = reach / 1000 * it.out(bearing) + (it.height + 0.12) * UP
    assert close(sheet.number("loaded_tipping_load"), loaded_by_hand(it, 14.0, at, bearing))
    if reach > -100:  # farther back another foot is the first to lift on a slope
        assert close(np.radians(sheet.number("loaded_slope")), it.slope(bearing, (14.0, at)))


@pytest.mark.witness(tipping.SITTER, by="one rigid body on three points", within="1e-9")
@each_of("name", [n for n in DESIGNS if n != "stool"])
def test_a_sitter_and_the_counter_mass_leave_the_foot_opposite_with_nothing(name: str) -> None:
    it = rigid(name)
    counter = it.sheet.number("counter_mass")
    rim = it.rim * it.out(it.worst[0]) + it.height * UP
    forces = [
        (-it.mass * GRAVITY * UP, it.centre),
        (-counter * GRAVITY * UP, it.height * UP),
        (-110 * GRAVITY * UP, rim),  # EN 1022:2018, scope: users of up to 110 kg
    ]
    feet = it.reactions(forces)
    assert abs(feet.min()) < 1e-9 * feet.max()


@pytest.mark.witness(
    tipping.STEADY_ARM,
    tipping.STEADY_RATIO,
    by="one rigid body on three points",
    within="1e-9",
)
@pytest.mark.parametrize("arms", [0.9, 1.0, 1.2])
def test_the_leaning_sitter_tips_the_stool_where_the_share_is_under_one(arms: float) -> None:
    it = rigid("stool")
    # 600 N at 60 mm with 20 N outward: EN 1022, quoted
    out = it.out(it.worst[0])
    seat = (it.rim - 0.06) * out + it.height * UP
    load = [(-600 * UP, seat), (20 * out, seat)]
    steady = it.sheet.number("steady_arm") / 1000
    scale = arms * steady / (it.sheet.number("tipping_arm") / 1000)
    feet = Rigid(it.sheet, it.mass, it.centre, it.base_centre, it.feet * [scale, scale, 1],
                 it.rim, it.height).reactions(
        [(-it.mass * GRAVITY * UP, it.centre), *load]
    )  # fmt: skip
    lightest = feet.min() / feet.max()
    assert abs(lightest) < 1e-9 if arms == 1 else np.sign(lightest) == np.sign(arms - 1)
    assert close(it.sheet.number("steady_ratio"), it.sheet.number("tipping_arm") / 1000 / steady)


# --- centre of mass and slopes -------------------------------------------------------------------


@pytest.mark.witness(
    tipping.BASE_CENTRE,
    tipping.SLOPE,
    by="solids cut by manifold3d; a body on a slope",
    within="1e-9",
)
@each_of("name", PLAIN)
def test_centre_of_mass_and_slope(name: str) -> None:
    it = rigid(name)
    assert close(it.sheet.number("base_centre") / 1000, it.base_centre[2])
    assert close(it.sheet.number("mass_height") / 1000, it.centre[2])
    for bearing in it.worst:
        assert close(np.radians(it.sheet.number("tipping_slope")), it.slope(bearing))


@pytest.mark.parametrize("name", COMPOUND)
def test_how_far_the_centre_of_the_base_is_out_where_the_notch_is_not_plain(name: str) -> None:
    """As derived in reference/derivations/tipping.md, where the mass is: by δ V_n/V_p."""
    it = rigid(name)
    off = it.sheet.number("base_centre") / 1000 - it.base_centre[2]
    assert off == pytest.approx(derived_error(it.sheet), rel=1e-6)
    assert 1e-9 < abs(off) < 1e-3  # under a millimetre
    slope = it.slope(it.worst[0])
    assert np.radians(it.sheet.number("tipping_slope")) == pytest.approx(slope, rel=1e-3)


def derived_error(sheet: Sheet) -> float:
    value = sheet.si
    deep, wide, tilt = value["post_section"], value["post_width"], value["notch_floor_tilt"]
    across = np.sin(value["crossing_angle"])
    high = value["notch_volume"] * across / (deep * wide)
    square = wide / 2 - high / 2 - deep**2 * np.tan(tilt) ** 2 / (24 * high)
    aside = deep**2 / (12 * high)
    c_n = square * np.cos(tilt) + aside * np.tan(tilt) * np.sin(tilt)
    c_v = square * np.sin(tilt) - aside * np.sin(tilt)
    rise = (c_n - value["axis_offset"] / 2) * value["bearing_rise"]
    rise += c_v * np.cos(value["splay"]) / across
    up = -1 if sheet.network.options["way_up"] == "notches down" else 1
    # The relation takes the notch at the waist; it lies `rise` above, so the rest lies lower.
    return float(up * rise * value["notch_volume"] / value["post_volume"])
