"""The joint under load, from a sheet to forces, pressures and checks."""

from __future__ import annotations

import json
from functools import cache

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.planning.joint_load import (
    CASES,
    JointForces,
    crossing_in_place,
    joint_forces,
    joint_sheet,
    load_of_design,
)
from tablekit.relations.families import network
from tablekit.solids.cutting import post_solid

BASE = {
    "post_length": 1000.0, "post_section": 64.0, "notch_position": 500.0, "top_diameter": 900.0,
    "top_thickness": 28.0,
}  # fmt: skip
TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
HELD = CASES["all three"]


@cache
def base(way: str = "notches up", hand: str = "right") -> Sheet:
    return network("table", "one notch", way, hand).solve(BASE)


@cache
def crossed() -> Sheet:
    return network("table", "two notches").solve(TABLE)


def test_the_design_load_is_the_one_the_sheet_says() -> None:
    sheet = network("table").solve({**BASE, "design_load": 900.0})
    assert load_of_design(sheet) == joint_forces(sheet).load == 900.0
    assert joint_forces(sheet, 250.0).load == 250.0


def test_a_load_in_the_middle_is_shared_alike() -> None:
    found = joint_forces(base(), 900.0, **HELD)
    assert found.stands and found.forces is not None and found.alike
    assert found.forces.heads[:, 2] == pytest.approx([-300.0] * 3)
    by_kind: dict[str, set[float]] = {}
    for face in found.faces:
        by_kind.setdefault(face.what, set()).add(round(face.normal, 6))
    assert set(by_kind) == {"floor", "foot wall", "head wall"}
    assert all(len(sizes) == 1 for sizes in by_kind.values())
    total = sum(face.normal for face in found.faces)
    assert found.ratio == pytest.approx(total / 900.0)
    assert found.ratio_with_feet == pytest.approx(total / 900.0 + 1)


def test_heads_share_an_odd_load_as_three_supports_do() -> None:
    # independent: three equations of balance of the top
    radius, bearing = 90.0, 25.0
    found = joint_forces(base(), 1000.0, radius=radius, bearing=bearing, **HELD)
    assert found.forces is not None
    heads = crossing_in_place(base()).heads
    turn = np.arctan2(heads[0, 1], heads[0, 0]) + np.radians(bearing)
    at = radius * np.array([np.cos(turn), np.sin(turn)])
    shares = np.linalg.solve(np.vstack([np.ones(3), heads[:, :2].T]), 1000 * np.array([1.0, *at]))
    assert -found.forces.heads[:, 2] == pytest.approx(shares)


@pytest.mark.parametrize("bearing", [0.0, 37.0])
def test_a_third_of_a_turn_makes_no_difference(bearing: float) -> None:
    found = [
        joint_forces(base(), radius=80.0, bearing=bearing + turn, **HELD) for turn in (0, 120, 240)
    ]
    assert found[1].ratio == pytest.approx(found[0].ratio, rel=1e-7)
    assert found[2].ratio == pytest.approx(found[0].ratio, rel=1e-7)
    peaks = [one.pressures.peak for one in found if one.pressures is not None]
    assert peaks == pytest.approx([peaks[0]] * 3, rel=1e-6)


def test_the_other_hand_makes_no_difference() -> None:
    for radius, bearing in ((0.0, 0.0), (80.0, 40.0)):
        right, left = (
            joint_forces(base(hand=hand), radius=radius, bearing=sign * bearing, **HELD)
            for hand, sign in (("right", 1), ("left", -1))
        )
        assert right.ratio == pytest.approx(left.ratio, rel=1e-7)
        assert right.pressures is not None and left.pressures is not None
        assert right.pressures.peak == pytest.approx(left.pressures.peak, rel=1e-6)


def test_contact_alone_carries_a_load_in_the_middle_and_no_other() -> None:
    assert joint_forces(base()).stands
    odd = joint_forces(base(), radius=60.0)
    assert not odd.stands and odd.ratio is None and odd.faces == () and odd.pressures is None
    assert odd.message.startswith("The base cannot carry this load without")


@pytest.mark.parametrize("radius", [60.0, 120.0])
def test_what_the_message_asks_for_is_enough_and_less_is_not(radius: float) -> None:
    message = joint_forces(base(), radius=radius, bearing=60.0).message
    words = {
        "the top screwed to the heads": {"heads_tied": True},
        "feet that do not slip": {"floor_friction": 0.3},
        "friction in the joint": {"joint_friction": 0.3},
        "glue on the notch floors": {"glued": True},
    }
    named = 0
    for word, change in words.items():
        stands = joint_forces(base(), radius=radius, bearing=60.0, **change).stands
        if " and " not in message:
            assert (word in message) == stands
            named += stands
    assert named


def test_a_load_that_tips_it_is_said_to() -> None:
    radius = base().number("top_diameter") / 2  # at the rim, midway between two heads
    found = joint_forces(base(), 1000.0, radius=radius, bearing=60.0, weight=True)
    assert not found.stands and "tips" in found.message


def test_its_own_weight_keeps_it_from_tipping_up_to_the_tipping_load() -> None:
    # The relation `tipping` and the programme know nothing of one another. A foot lies opposite
    # every head, so midway between two feet is over a head, but for the sidestep of the flats.
    sheet = base()
    place = crossing_in_place(sheet)
    head, feet = place.heads[0], place.feet
    towards = np.degrees(np.arctan2(feet[:, 1], feet[:, 0]) - np.arctan2(head[1], head[0]))
    limit = sheet.number("tipping_load")
    radius = sheet.number("top_diameter") / 2
    bearing = float(towards[0] + 180.0)
    held = {**HELD, "radius": radius, "bearing": bearing, "weight": True}
    assert joint_forces(sheet, limit * 0.999, **held).stands
    assert not joint_forces(sheet, limit * 1.001, **held).stands


def test_weights_stand_where_the_wood_is() -> None:
    # independent: volume and centre of the solids cut by the boolean library
    place = crossing_in_place(base())
    for post, middle in zip(place.posts, place.middles, strict=True):
        mesh = post_solid(post).to_mesh()
        corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
        volumes = np.linalg.det(corners) / 6
        centre = (volumes[:, None] * corners.sum(axis=1) / 4).sum(axis=0) / volumes.sum()
        assert middle == pytest.approx(centre, abs=1e-2)
    total = place.weights.sum() + place.top_weight
    assert total == pytest.approx(base().number("total_mass") * 9.80665)


@pytest.mark.parametrize("load", [0.0, -5.0, float("nan")])
def test_a_load_that_cannot_be_is_refused(load: float) -> None:
    with pytest.raises(DesignError, match="Expected a vertical load above 0 N"):
        joint_forces(base(), load)


def test_other_nonsense_is_refused_in_words() -> None:
    with pytest.raises(DesignError, match="Expected 0 to 2"):
        joint_forces(base(), joint_friction=-0.1)
    with pytest.raises(DesignError, match="Expected at least 0 mm"):
        joint_forces(base(), radius=-1.0)
    splayed = network("table", style="splayed legs")
    with pytest.raises(DesignError, match="no crossed posts"):
        joint_forces(
            splayed.solve({"table_height": 735.0, "top_diameter": 900.0, "leg_diameter": 40.0})
        )


# -- what it does to the wood --------------------------------------------------------------------


def judged(**holding: object) -> tuple[JointForces, Sheet]:
    forces = joint_forces(base("notches down"), 1000.0, **holding)  # type: ignore[arg-type]
    return forces, joint_sheet(base("notches down"), forces)


def test_the_sheet_of_the_joint_rests_on_the_forces() -> None:
    forces, sheet = judged(**HELD)
    assert forces.forces is not None and forces.pressures is not None
    assert sheet.number("joint_ratio") == pytest.approx(forces.ratio)
    assert sheet.number("bearing_stress") == pytest.approx(forces.pressures.peak)
    largest = max(face.area for face in forces.faces)
    assert 0 < sheet.number("bearing_area") <= largest * (1 + 1e-9)
    assert {check.verdict for check in sheet.checks} == {"pass"}


def test_the_force_across_the_post_is_stated_once() -> None:
    # Once 697 N here and 531 N in the shear of the posts.
    _, sheet = judged(**HELD)
    assert not {"arm_shear", "cross_force"} & set(sheet.values)
    assert "cross_force" in base().values


def test_contact_alone_is_failed() -> None:
    _, sheet = judged()
    verdicts = {check.name: check.verdict for check in sheet.checks}
    assert verdicts["force in the joint"] == "fail"
    assert verdicts["bearing in the notches"] == "fail"


def test_walls_push_along_the_grain_and_floors_across_it() -> None:
    # At the square crossing every wall stands square to its host's grain.
    for face in joint_forces(base(), **HELD).faces:
        wanted = 0.0 if face.what == "floor" else face.normal
        assert face.along_grain == pytest.approx(wanted, abs=1e-6)


def test_strengths_may_be_given() -> None:
    forces = joint_forces(base(), **HELD)
    soft = joint_sheet(base(), forces, {"compression_across": 2.6})  # basswood, strength.csv
    assert soft.number("compression_across") == 2.6
    assert soft.number("bearing_strength_used") > joint_sheet(base(), forces).number(
        "bearing_strength_used"
    )


def test_there_is_no_sheet_without_forces() -> None:
    with pytest.raises(DesignError, match="no forces to judge"):
        joint_sheet(base(), joint_forces(base(), radius=60.0))


def test_where_only_edges_could_bear_it_is_said() -> None:
    steep = network("table").solve({**TABLE, "splay": 30.0})
    forces = joint_forces(steep)
    assert forces.stands and forces.pressures is None
    with pytest.raises(DesignError, match="only the edges"):
        joint_sheet(steep, forces)


def test_two_notches_are_carried_too() -> None:
    found = joint_forces(crossed(), **HELD)
    assert found.stands and len(found.faces) == 9
    assert {c.name for c in joint_sheet(crossed(), found).checks} >= {"force in the joint"}
    relieved = network("table", "two notches").solve({**TABLE, "notch_relief": 32.0})
    loose = joint_forces(relieved, **HELD)
    assert loose.stands and not loose.alike
    assert loose.ratio is not None and found.ratio is not None
    assert loose.ratio >= found.ratio * (1 - 1e-9)  # less to bear on


def test_plain_data() -> None:
    plain = json.loads(json.dumps(joint_forces(base(), 1000.0, **HELD).to_json()))
    assert plain["load"] == 1000.0 and plain["stands"] is True
    assert plain["holding"]["heads_tied"] is True and len(plain["faces"]) == 9
    assert plain["pressure"] > 0
    lost = joint_forces(base(), radius=60.0).to_json()
    assert lost["ratio"] is None and lost["faces"] == [] and lost["pressure"] is None
