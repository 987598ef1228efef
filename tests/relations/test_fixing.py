"""Plates, slots, screws and pads."""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import pytest

from tablekit.engine.trouble import DesignError
from tablekit.relations import families, fixing
from tablekit.solids.cutting import post_solid
from tablekit.solids.model import build
from tablekit.solids.notched import notched_posts
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(**changes: float) -> dict[str, float]:
    sheet = families.network("table").solve({**TABLE, **changes})
    return {name: value.number for name, value in sheet.values.items()}


def verdict(name: str, **changes: float) -> str:
    checks = families.network("table").solve({**TABLE, **changes}).checks
    return next(check.verdict for check in checks if check.name == name)


@pytest.mark.witness(
    fixing.PLATE_ACROSS, fixing.SCREW_RADIUS, fixing.SCREW_LAG, by="three screws as vectors",
    within="1e-12",
)  # fmt: skip
@pytest.mark.parametrize("turn", [0.0, 7.0, 15.0, 30.0])
def test_farthest_plate_by_vectors(turn: float) -> None:
    # independent: heads, and screws square to them, as vectors; the grain along x
    found = solved(head_turn=turn)
    bearings = np.radians(turn - found["screw_lag"] + np.array([0, 120, 240]))
    out = np.column_stack([np.cos(bearings), np.sin(bearings)])
    aside = np.column_stack([-out[:, 1], out[:, 0]])
    screws = found["head_radius"] * out + found["plate_reach"] * aside
    assert np.degrees(np.arctan2(screws[0, 1], screws[0, 0])) == pytest.approx(turn, abs=1e-9)
    assert np.linalg.norm(screws, axis=1) == pytest.approx([found["screw_radius"]] * 3)
    assert found["plate_across"] == pytest.approx(np.abs(screws[:, 1]).max(), rel=1e-12)


def test_one_head_along_the_grain_is_the_best_turn() -> None:
    # derived: reference/derivations/fixing.md; every bearing tried
    turns = np.linspace(0, 2 * np.pi, 3601)
    worst = [np.abs(np.sin(t + np.array([0, 2, 4]) * np.pi / 3)).max() for t in turns]
    assert min(worst) == pytest.approx(worst[0]) == pytest.approx(math.sqrt(3) / 2)


@pytest.mark.witness(
    fixing.PLATE_TRAVEL, by="every point of the top stretched across the grain", within="1e-12"
)
def test_the_top_as_an_affine_map_moves_the_plate_by_its_travel() -> None:
    # independent: every point of the top stretched across the grain about its middle line
    found = solved()
    stretch = found["top_movement"] / found["top_diameter"]
    before = np.array([0.0, found["plate_across"]])
    after = before * np.array([1.0, 1 + stretch])
    assert np.linalg.norm(after - before) == pytest.approx(found["plate_travel"], rel=1e-12)


def test_a_screw_in_the_middle_of_a_slot_just_long_enough_reaches_its_end_once() -> None:
    found = solved()
    share = found["plate_across"] / found["top_diameter"]
    play = (found["slot_needed"] - found["screw_shank"]) / 2
    ways = (share * found["winter_shrinkage"], share * found["summer_swelling"])
    assert max(ways) == pytest.approx(play) and min(ways) < play


def test_slots_that_suit_short_slots_and_slots_that_bind() -> None:
    needed = solved()["slot_needed"]
    name = "length of the slots"
    assert verdict(name) == "pass"  # filed to suit
    assert verdict(name, slot_length=needed + 0.5) == "caution"
    assert verdict(name, slot_length=needed - 0.5) == "fail"
    assert verdict(name, slot_length=needed - 0.5, movement_coefficient=0.0015) == "pass"


def test_screws_short_long_and_through() -> None:
    # common practice, our own limits of 5 and 3 mm
    name = "wood over the screws"
    assert verdict(name, top_thickness=20.0, screw_length=18.0) == "pass"  # 5 mm left
    assert verdict(name, top_thickness=20.0, screw_length=19.0) == "caution"
    assert verdict(name, top_thickness=20.0, screw_length=21.0) == "fail"
    assert solved(top_thickness=20.0, screw_length=30.0)["screw_cover"] == pytest.approx(-7)


def test_a_wanted_cover_finds_the_screw() -> None:
    found = solved(top_thickness=25.0, screw_cover=6.0, plate_thickness=3.0)
    assert found["screw_length"] == pytest.approx(22)


def test_pads() -> None:
    # 5 mm pad, 3 mm proud: 2 mm deep
    assert solved(pad_thickness=5.0, pad_projection=3.0)["pad_recess"] == pytest.approx(2)
    assert solved(pad_recess=4.0, pad_projection=3.0)["pad_thickness"] == pytest.approx(7)


def test_recesses() -> None:
    # by hand: 3 mm plate that keeps a gap of 1 mm; half a millimetre of ease
    found = solved(plate_thickness=3.0, plate_gap=1.0, plate_width=18.0, pad_diameter=20.0)
    assert found["plate_recess"] == pytest.approx(2)
    assert found["plate_recess_width"] == pytest.approx(18.5)
    assert found["pad_hole"] == pytest.approx(20.5)
    assert found["plate_rim"] == pytest.approx((25 - 18.5) / 2)
    assert found["pad_rim"] == pytest.approx((25 - 20.5) / 2)


def test_a_plate_thinner_than_the_gap_is_refused_and_none_is_assumed() -> None:
    with pytest.raises(DesignError, match="at most its own thickness"):
        solved(plate_thickness=3.0, plate_gap=6.0)
    found = solved(plate_gap=6.0)
    assert found["plate_thickness"] == pytest.approx(6) and found["plate_recess"] == 0


def test_a_longer_plate_carries_its_screw_farther_out() -> None:
    near, far = solved(), solved(plate_reach=120.0)
    assert far["screw_radius"] == pytest.approx(math.hypot(near["head_radius"], 120))
    share = far["plate_travel"] / near["plate_travel"]
    assert share == pytest.approx(far["screw_radius"] / near["screw_radius"])
    longer = 120 - near["plate_reach"] + (far["slot_length"] - near["slot_length"]) / 2
    assert far["plate_length"] - near["plate_length"] == pytest.approx(longer)


def test_a_screw_over_its_post_is_out_of_reach() -> None:
    # common practice, our own limits of 12 and 4 mm; the post is 64/√2 = 45.25 mm to either side
    name = "room for a driver"
    assert verdict(name) == "pass"
    assert verdict(name, plate_reach=0.0) == "fail"
    assert [verdict(name, plate_reach=reach) for reach in (47.0, 52.0, 60.0)] == [
        "fail", "caution", "pass",
    ]  # fmt: skip


@pytest.mark.witness(
    fixing.DRIVER_CLEAR,
    by="a cylinder for the driver against the posts as cut solids",
    within="0.1 mm",
)
@each("way_up", ["notches up", "notches down"])
@each("hand", ["right", "left"])
@each("lean", [25.0, 40.0, 54.7356])
def test_a_driver_as_thick_as_is_said_comes_up_past_the_post(way_up, hand, lean) -> None:
    # independent: manifold3d, the posts as they are cut and a cylinder under each screw
    sheet = families.network("table", "one notch", way_up, hand).solve(
        {**TABLE, "top_diameter": 1100.0, "splay": lean}
    )
    posts = [post_solid(post) for post in notched_posts(sheet)]
    model = build(sheet)
    reach, clear = sheet.number("plate_reach"), sheet.number("driver_clear")
    length = 150.0  # of a driver with its handle, down from the underside of the top

    def struck(radius: float, of_plate: float) -> float:
        driver = manifold3d.Manifold.cylinder(length, radius, circular_segments=360)
        wood = 0.0
        for middle in model.head_middles:
            out = middle[:2] / np.linalg.norm(middle[:2])
            x, y = middle[:2] + of_plate * np.array([-out[1], out[0]])
            placed = driver.translate([float(x), float(y), float(middle[2]) - length - 1e-3])
            wood += sum(float((placed ^ post).volume()) for post in posts)
        return wood

    assert clear == pytest.approx(15.0)
    assert struck(clear - 0.1, reach) == pytest.approx(0, abs=1e-3)
    assert struck(clear, 0.0) > 100  # over the head's middle, as plates were once assumed to be


@pytest.mark.parametrize(
    ("name", "size"),
    [("room for the plates on the heads", "plate_width"),
     ("room for the pads in the feet", "pad_diameter")],
)  # fmt: skip
def test_recesses_that_break_out(name: str, size: str) -> None:
    # flats of 25 mm; common practice, our own limits of 1 and 1.5 mm of wood
    assert [verdict(name, **{size: d}) for d in (20.0, 23.5, 26.0)] == ["pass", "caution", "fail"]
