"""All of a glue-up gathered: what it says agrees with its parts, and can be written as JSON."""

from __future__ import annotations

import json
import math

import pytest

from tablekit.brief import Board
from tablekit.engine.shop import ShopStyle
from tablekit.engine.trouble import DesignError, RangeError
from tablekit.planning.boards import Wishes, lay_out
from tablekit.planning.top_joints import WISHES, top_joints
from tablekit.relations import families
from tests.together import each

TOP = {"margin": 10, "end_waste": 15, "edge_loss": 2}
RACK = (Board("A", 140, 1100, 4), Board("B", 185, 980, 3))


def sheet(top: float, display: str = "mm"):  # type: ignore[no-untyped-def]
    style = ShopStyle(display=display)  # type: ignore[arg-type]
    return families.network("table").solve(
        {"table_height": 735.0, "top_diameter": top, "post_section": 64.0}, shop=style
    )


LAYOUT = lay_out(RACK, 900, **TOP)
JOINTS = top_joints(LAYOUT, sheet(900.0))


def test_every_joint_has_its_tenons_inside_the_rim() -> None:
    assert len(JOINTS.tenons) == len(LAYOUT.strips) - 1
    for one, offset in zip(JOINTS.tenons, LAYOUT.joints, strict=True):
        assert one.offset == offset
        for place in one.places:
            corner = math.hypot(abs(offset) + JOINTS.tenon_reach, abs(place) + 25)
            assert corner <= 450 - 15 + 1e-6  # common practice: 15 mm clear of the rim


def test_clamps_stand_evenly_on_the_longest_joint_as_it_is_cut() -> None:
    # independent: the chord of the circle to be covered, at the joint nearest to the centre
    nearest = min(abs(x) for x in LAYOUT.joints)
    longest = 2 * math.sqrt(460**2 - nearest**2)
    assert JOINTS.glue is not None
    assert JOINTS.glue.number("joint_length") == pytest.approx(longest)
    assert JOINTS.staging is not None
    widest = max((up for stage in JOINTS.staging.stages for up in stage.glue_ups),
                 key=lambda up: up.sheet.number("joint_length"))  # fmt: skip
    held = widest.held.clamps
    places = [clamp.place for clamp in held]
    pitch = longest / len(places)
    assert places[0] == pytest.approx(-longest / 2 + pitch / 2)
    assert places[-1] == pytest.approx(longest / 2 - pitch / 2)
    assert [clamp.above for clamp in held] == [k % 2 == 0 for k in range(len(places))]
    assert pitch <= JOINTS.glue.number("clamp_spacing")
    # The force that all give, spread over the joint, is the pressure that was asked for.
    force = len(places) * JOINTS.glue.number("force_per_clamp")
    thick = JOINTS.glue.number("top_thickness")
    assert force / (longest * thick) == pytest.approx(JOINTS.glue.number("clamp_pressure"))


def test_the_router_goes_against_the_cutters_turn() -> None:
    from_above = top_joints(LAYOUT, sheet(900.0), from_below=False)
    assert JOINTS.travel == "clockwise" and from_above.travel == "anticlockwise"
    assert JOINTS.against_grain == ((0, 90), (180, 270))
    assert from_above.against_grain == ((90, 180), (270, 360))


def test_wishes_reach_their_part_and_others_are_refused() -> None:
    wished = top_joints(
        LAYOUT, sheet(900.0), {"tenon_reach": 12.0, "open_time": 7.0, "pith_distance": 200.0}
    )
    assert wished.tenon_reach == 12 and wished.glue is not None
    assert wished.glue.number("open_time") == 7 and len(wished.stages) > len(JOINTS.stages)
    assert wished.rings.strips[0].pith_distance == pytest.approx(200)
    assert sum(wished.stages) == sum(JOINTS.stages) == len(LAYOUT.joints)
    with pytest.raises(DesignError, match="write one of: tenon_width"):
        top_joints(LAYOUT, sheet(900.0), {"colour": 1.0})
    with pytest.raises(RangeError, match="open_time"):
        top_joints(LAYOUT, sheet(900.0), {"open_time": -1.0})


@each("name", WISHES)
def test_every_wish_can_be_given(name: str) -> None:
    given = {**{n: JOINTS.glue.number(n) for n in WISHES if JOINTS.glue.get(n) is not None},
             "tenon_width": 40.0, "tenon_reach": 20.0, "cut_margin": 20.0, "spacing_limit": 150.0,
             "pith_distance": 150.0, "tangential_coefficient": 0.003,
             "radial_coefficient": 0.0015, "clamps": 40.0, "clamp_reach": 1500.0,
             "clamp_dwell": 30.0}  # fmt: skip
    found = top_joints(LAYOUT, sheet(900.0), {name: given[name]})
    assert found.tenons and found.glue is not None


def test_too_little_time_is_a_warning_and_no_stages() -> None:
    hasty = top_joints(LAYOUT, sheet(900.0), {"open_time": 4.2})
    assert hasty.stages == ()
    assert any("oints glued at a time" in text for text in hasty.warnings)


def test_narrow_strips_and_long_tenons_are_warned_of() -> None:
    narrow = lay_out([Board("n", 50, 1100, 30)], 600, **TOP)
    found = top_joints(narrow, sheet(600.0))
    assert any("ood between tenons" in text for text in found.warnings)
    # 46 mm less twice 25 mm
    check = next(check for check in found.checks if check.name == "wood between tenons")
    assert check.value == pytest.approx(-4) and check.verdict == "fail"
    short = top_joints(narrow, sheet(600.0), {"tenon_reach": 12.0})
    assert not any("ood between" in text for text in short.warnings)


def test_a_single_board_has_nothing_to_glue() -> None:
    alone = top_joints(lay_out([Board("w", 500, 500)], 300, **TOP), sheet(300.0))
    assert alone.glue is None and not alone.tenons and not alone.stages
    assert json.loads(json.dumps(alone.to_json()))["glue_up"] is None


def test_strips_outside_the_circle_are_left_off() -> None:
    layout = lay_out(RACK, 600, wishes=Wishes(order=tuple("AABBBAA")), **TOP)
    found = top_joints(layout, sheet(600.0))
    kept = [n for n, strip in enumerate(layout.strips, 1) if strip.length_needed > 0]
    assert list(found.numbers) == kept and len(kept) < 7
    assert len(found.tenons) == len(kept) - 1
    assert any("outside" in text for text in found.warnings)


def test_json_agrees_with_what_was_found() -> None:
    data = json.loads(json.dumps(JOINTS.to_json()))
    assert [one["joint"] for one in data["tenons"]] == [
        [k, k + 1] for k in range(1, len(LAYOUT.strips))
    ]
    glue_up = data["glue_up"]
    assert glue_up["open_time"]["unit"] == "min" and glue_up["glue_film"]["unit"] == "µm"
    area = glue_up["joint_lengths"]["value"] * JOINTS.thickness
    assert glue_up["glue_area"] == {"value": pytest.approx(area), "unit": "mm^2"}
    assert data["tenon_size"] == {"width": 50, "length": 50}
    assert len(data["rings"]["strips"]) == len(LAYOUT.strips)
    assert data["rings"]["recommended"] in ("alternating", "one way")
    assert all(check["message"] for check in data["checks"])


def test_warnings_speak_the_makers_inches() -> None:
    # 20 mm inside its rim, the outermost joint of many narrow strips has room for no tenon
    layout = lay_out([Board("n", 76, 1400, 30)], 1000, rip="all alike", **TOP)
    found = top_joints(layout, sheet(1000.0, "in"))
    texts = [text for text in found.warnings if "too short for a tenon" in text]
    assert texts and all(" in from the centre" in text for text in texts)
