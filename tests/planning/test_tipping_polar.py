"""The tipping load all the way round, against the loads on the feet from three equations."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import RangeError
from tablekit.planning.tipping_polar import tipping_polar
from tablekit.relations.families import network
from tablekit.solids.model import build
from tests.relations.reference_vectors import tipping_load

TABLE = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}


def table(top: float = 900.0, **options: str) -> Sheet:
    return network("table", **options).solve({**TABLE, "top_diameter": top})  # type: ignore[arg-type]


@pytest.mark.parametrize("top", [600.0, 900.0, 1200.0])
def test_it_is_what_three_feet_in_balance_say(top: float) -> None:
    sheet = table(top)
    radius, weight = sheet.number("foot_radius") / 1000, sheet.number("total_mass") * 9.80665
    first = np.arctan2(*tipping_polar(sheet).feet[0][::-1])
    bearings = np.linspace(0, 2 * np.pi, 91)
    found = tipping_polar(sheet, bearings=bearings)
    expected = np.array([tipping_load(radius, weight, top / 2000, b - first) for b in bearings])
    none = np.isinf(expected) | (expected > 1e6)
    assert (np.isnan(found.loads) | (found.loads > 1e6)).tolist() == none.tolist()
    np.testing.assert_allclose(found.loads[~none], expected[~none], rtol=1e-9)
    assert (found.over >= 0).tolist() == (~np.isnan(found.loads)).tolist()


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("way_up", ["notches up", "notches down"])
def test_feet_stand_where_the_solids_have_them(hand: str, way_up: str) -> None:
    sheet = table(hand=hand, way_up=way_up)
    # Post by post: the numbers on the drawing are those of the posts.
    np.testing.assert_allclose(
        tipping_polar(sheet).feet, build(sheet).foot_middles[:, :2], atol=1e-9
    )


@pytest.mark.parametrize("options", [
    {}, {"way_up": "notches down"}, {"crossing": "two notches"}, {"style": "splayed legs"},
    {"style": "splayed legs", "legs": "four legs"},
])  # fmt: skip
def test_the_least_is_the_sheets_tipping_load_midway_between_feet(options: dict[str, str]) -> None:
    givens = {"table_height": 735.0, "top_diameter": 1300.0}
    section = "leg_diameter" if "style" in options else "post_section"
    sheet = network("table", **options).solve({**givens, section: 55.0})  # type: ignore[arg-type]
    found = tipping_polar(sheet)
    assert found.least == pytest.approx(sheet.number("tipping_load"), rel=1e-12)
    assert np.nanmin(found.loads) == pytest.approx(found.least, rel=1e-4)  # half a degree apart
    exactly = tipping_polar(sheet, bearings=np.array(found.least_bearings))
    np.testing.assert_allclose(exactly.loads, found.least, rtol=1e-12)
    count = len(found.feet)
    gaps = np.diff(np.sort(np.mod(found.least_bearings, 2 * np.pi)))
    np.testing.assert_allclose(gaps, 2 * np.pi / count, rtol=1e-9)


def test_rigid_pads_move_the_line_out_by_their_radius() -> None:
    sheet = table()
    bare, padded = tipping_polar(sheet), tipping_polar(sheet, pad_radius=20.0)
    assert padded.arm - bare.arm == pytest.approx(20.0, rel=1e-12)
    # by hand: moments about the tangent of two circles of 20 mm round the feet's middles
    line, rim = sheet.number("foot_spread") / np.sqrt(12) + 20, 450.0
    load = sheet.number("total_mass") * 9.80665 * line / (rim - line)
    assert padded.least == pytest.approx(load, rel=1e-9)
    assert padded.least > bare.least  # the middles are on the safe side


def test_in_from_the_rim_it_takes_more() -> None:
    sheet = table()
    inset = tipping_polar(sheet, inset=50.0).least  # ISO 7172:1988, clause 5
    assert inset == pytest.approx(sheet.number("inset_tipping_load"), rel=1e-12)
    assert tipping_polar(sheet, inset=300.0).least is None


def test_a_rim_inside_the_lines_tips_nowhere() -> None:
    found = tipping_polar(table(430.0))
    assert found.least is None and found.least_bearings == ()
    assert np.isnan(found.loads).all() and (found.over == -1).all()
    assert np.isfinite(found.pushes).all()  # a push tips it all the same
    assert found.to_json()["least"] is None


def test_plain_data_and_refusals() -> None:
    sheet = table()
    data = tipping_polar(sheet, bearings=np.radians([0.0, 90.0])).to_json()
    assert data["bearings"] == [0.0, 90.0] and len(data["loads"]) == 2
    with pytest.raises(RangeError, match="load_inset is 900 mm; it must lie between 0 and 500 mm"):
        tipping_polar(sheet, inset=900.0)
    with pytest.raises(RangeError, match="pad_radius"):
        tipping_polar(sheet, pad_radius=-1.0)
