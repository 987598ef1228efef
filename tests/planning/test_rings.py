"""Which side goes up, and what it makes of a panel over the seasons."""

from __future__ import annotations

import math

import pytest

from tablekit.brief import Board
from tablekit.engine.trouble import DesignError, RangeError
from tablekit.planning.boards import lay_out
from tablekit.planning.rings import network, ring_sides
from tablekit.relations import families

AIR = {"driest_moisture": 6.0, "shop_moisture": 9.0, "dampest_moisture": 12.0}
SHEET = families.network("table").solve(
    {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0, **AIR}
)
TOP = {"margin": 10, "end_waste": 15, "edge_loss": 2}
EIGHT = lay_out([Board("A", 120, 1100, 8)], 900, **TOP)  # eight strips of 116 mm
MIXED = lay_out([Board("A", 140, 1100, 4), Board("B", 185, 980, 3)], 900, **TOP)


def test_sides_alternate_or_do_not() -> None:
    rings = ring_sides(EIGHT, SHEET)
    assert rings.alternating.heart_up == (False, True) * 4
    assert rings.one_way.heart_up == (False,) * 8
    turned = ring_sides(EIGHT, SHEET, heart_up=True)
    assert turned.one_way.heart_up == (True,) * 8
    assert turned.one_way.winter == pytest.approx(-rings.one_way.winter)


def test_strips_alike() -> None:
    # independent: reference/derivations/grain.md, by plain arithmetic; white ash, Wood Handbook
    # table 13-5
    rings = ring_sides(EIGHT, SHEET, species="white ash")
    change = (0.00274 - 0.00169) * 3  # three per cent either way
    angle = math.atan(58 / 100)
    cup, turn = change * 58 * angle, change * (2 * angle - math.sin(2 * angle))
    strip = rings.strips[0]
    assert strip.cups["winter"] == pytest.approx(-cup, rel=1e-6)
    assert strip.cups["summer"] == pytest.approx(cup, rel=1e-6)
    assert math.radians(strip.turns["summer"]) == pytest.approx(turn, rel=1e-6)
    # Joints of eight strips on an arc: an eighth of width times turn, at the joint in the middle.
    arc = 8 * turn * 8 * 116 / 8
    one_way = rings.one_way.profiles["summer"]
    assert one_way.heights[4] == pytest.approx(arc, rel=1e-6)
    assert rings.one_way.summer > 0 > rings.one_way.winter  # bark up: edges rise in drying
    flat = rings.alternating.profiles["winter"]
    assert max(map(abs, flat.heights)) < 1e-9
    assert flat.middles == pytest.approx([-cup, cup] * 4)
    assert rings.alternating.most == pytest.approx(rings.alternating.ripple)


def test_the_panels_own_closed_form_is_met() -> None:
    from tablekit.engine.network import Network
    from tablekit.relations import grain

    rings = ring_sides(EIGHT, SHEET)
    quantities = (grain.panel_cup, grain.panel_turn, grain.panel_width)
    panel = Network("panel", quantities, (grain.PANEL_CUP,))
    turn = sum(strip.turns["winter"] for strip in rings.strips)
    arc = panel.solve({"panel_turn": turn, "panel_width": 8.0 * 116}).number("panel_cup")
    assert rings.one_way.profiles["winter"].heights[4] == pytest.approx(arc)


def test_alternating_strays_less_than_one_way_even_of_mixed_widths() -> None:
    rings = ring_sides(MIXED, SHEET)
    assert len({round(strip.right - strip.left) for strip in rings.strips}) == 2
    assert rings.alternating.most < rings.one_way.most / 2
    ends = rings.alternating.profiles["winter"].heights
    assert ends[0] == ends[-1] == 0


def test_quarter_sawn_lies_flat_and_boards_may_differ() -> None:
    quarter = ring_sides(MIXED, SHEET, cut="quarter-sawn")
    assert quarter.one_way.most < 1e-9 and quarter.recommended == "one way"
    some = ring_sides(MIXED, SHEET, cuts={"B": "quarter-sawn"})
    for strip in some.strips:
        assert (abs(strip.cups["winter"]) < 1e-9) == (strip.board == "B")


def test_a_wide_board_is_told_to_be_too_much() -> None:
    wide = ring_sides(lay_out([Board("x", 520, 1100, 2)], 900, **TOP), SHEET)
    assert wide.recommended == "alternating"
    verdicts = {check.name: check.verdict for check in wide.checks}
    assert verdicts["cup of the strips"] == "fail"
    narrow = ring_sides(EIGHT, SHEET)
    assert {check.verdict for check in narrow.checks} == {"pass"}


def test_the_wood_of_the_sheet_or_its_name() -> None:
    plain = ring_sides(EIGHT, SHEET)
    assert plain.tangential == pytest.approx(SHEET.number("movement_coefficient"))
    # Wood Handbook table 13-5: American beech moves 0.00431 along the rings and 0.00190 across
    beech = ring_sides(EIGHT, SHEET, species="american beech")
    assert (beech.tangential, beech.radial) == pytest.approx((0.00431, 0.00190))
    assert "beech" in beech.coefficients_from
    assert beech.one_way.most > plain.one_way.most


def test_farther_from_the_pith_is_flatter_and_nonsense_is_refused() -> None:
    near, far = (ring_sides(EIGHT, SHEET, pith_distance=r).one_way.most for r in (80.0, 200.0))
    assert far < near / 3
    with pytest.raises(RangeError, match="pith_distance"):
        ring_sides(EIGHT, SHEET, pith_distance=1e6)
    with pytest.raises(DesignError, match="cut"):
        ring_sides(EIGHT, SHEET, cut="sideways")


def test_air_no_different_from_the_shops_bends_nothing() -> None:
    still = network().solve({"strip_width": 140.0, "moisture_made": 9.0, "moisture_lived": 9.0})
    assert still.number("strip_cup") == 0


def test_a_side_that_is_asked_for_is_what_is_said_and_judged() -> None:
    """Two flat-sawn strips 250 mm wide bow so much that alternating would be advised."""
    wide = lay_out([Board("x", 520, 1100, 2)], 900, **TOP)
    assert ring_sides(wide, SHEET).recommended == "alternating"
    for heart_up, side in ((True, "heart"), (False, "bark")):
        rings = ring_sides(wide, SHEET, heart_up=heart_up, same_side=True)
        assert set(rings.chosen.heart_up) == {heart_up}
        assert f"every strip {side} side up" in rings.reason
        assert "alternately" not in rings.reason and "turn a strip" not in rings.reason
        (flat,) = (check for check in rings.checks if check.id == "panel_flatness")
        assert flat.value == pytest.approx(rings.one_way.most) and flat.verdict != "pass"
