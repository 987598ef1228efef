"""The cut list against sums done by hand."""

from __future__ import annotations

import csv
from types import SimpleNamespace

import pytest

from tablekit.engine.shop import ShopStyle
from tablekit.planning.board_layout import Wishes
from tablekit.planning.boards import lay_out
from tablekit.planning.cut_list import cut_list
from tablekit.planning.fixing_plan import fixing_plan
from tablekit.planning.stock_cutting import Plank
from tablekit.relations.families import network

GIVEN = {
    "post_length": 1150.0, "post_section": 64.0, "top_diameter": 900.0, "top_thickness": 28.0,
    "wood_density": 672.0,
}  # fmt: skip
BOARDS = (
    SimpleNamespace(name="A", width=140.0, length=1100.0, count=4, price=18.0, thickness=32.0),
    SimpleNamespace(name="B", width=185.0, length=980.0, count=3, price=21.5, thickness=None),
)


def sheet(**more: float):
    return network("table").solve({**GIVEN, **more}, name="Try")


def test_layers_of_posts_by_hand() -> None:
    # 64 mm finished and 2 mm cleaned off is 66 mm in 3 layers of 22 mm, bought 22 + 2 + 1.5 mm.
    found = cut_list(
        sheet(
            post_laminations=3.0, post_cleaning=2.0, lamination_edges=6.0, post_trim=40.0,
            jointing_allowance=2.0, planing_allowance=1.5,
        ),
        wood="white ash",
    )  # fmt: skip
    line = found.lines[0]
    assert (line.part, line.count, line.wood) == ("post lamination", 9, "white ash")
    rough = (line.rough.length, line.rough.width, line.rough.thickness)
    assert rough == pytest.approx((1190.0, 70.0, 25.5))
    finished = (line.finished.length, line.finished.width, line.finished.thickness)
    assert finished == pytest.approx((1150.0, 64.0, 22.0))
    assert line.volume == pytest.approx(9 * 1.190 * 0.070 * 0.0255)
    assert line.mass == pytest.approx(9 * 1.150 * 0.064 * 0.022 * 672)
    # Thickness × width × length in inches over 144.
    inches = (1190 / 25.4) * (70 / 25.4) * (25.5 / 25.4)
    assert line.board_feet == pytest.approx(9 * inches / 144)


def test_the_rough_size_of_a_tapered_strip_can_be_sawn_from_its_board() -> None:
    """By hand: a board of 185 mm at one end and 150 mm at the other of its 1250 mm loses 0.028 mm
    in width for each millimetre along."""
    board = SimpleNamespace(
        name="T", width=185.0, end_width=150.0, length=1250.0, count=9,
        price=None, thickness=40.0,
    )  # fmt: skip
    layout = lay_out([board], 900, margin=10, end_waste=15, edge_loss=2)
    found = cut_list(sheet(), layout, boards=[board])
    lines = [line for line in found.lines if line.board]
    strips = [strip for strip in layout.strips if strip.length_needed > 0]
    assert len(lines) == len(strips)
    for line, strip in zip(lines, strips, strict=True):
        at = sorted(185 - 0.028 * x for x in (strip.start, strip.end))
        assert at[0] - 0.5 - 1e-9 <= line.rough.width <= at[0] + 1e-9  # to half a millimetre, down
        assert line.rough.width >= line.finished.width
        assert f"tapers there from {int(at[1] * 2 + 1e-9) / 2:g} mm wide" in line.note


def test_a_post_in_one_piece() -> None:
    line = cut_list(sheet(post_laminations=1.0)).lines[0]
    assert (line.part, line.count) == ("post", 3)
    assert line.finished.thickness == pytest.approx(64.0)
    assert line.mass == pytest.approx(3 * 1.150 * 0.064**2 * 672)


def test_strips_are_crosscut_from_the_boards_of_the_rack() -> None:
    one = sheet(rough_thickness=32.0)
    layout = lay_out(BOARDS, 900.0, margin=10.0, end_waste=15.0, edge_loss=2.0)
    found = cut_list(one, layout, boards=BOARDS)
    strips = [line for line in found.lines if line.part.startswith("top")]
    assert len(strips) == len(layout.strips)
    # A is rough, 32 mm thick; B lies there finished to the top's 28 mm.
    thick = {"A": 32e-9, "B": 28e-9}
    used = sum(one.used_area * thick[one.board] for one in layout.cut)
    assert found.rack == pytest.approx(used)
    # Each strip is a length of its board, as wide as that: to half a millimetre, as it is marked.
    wide = {"A": 140, "B": 185}
    least = sum(s.length_needed * wide[s.board] * thick[s.board] for s in layout.strips)
    assert least <= sum(line.volume for line in strips) <= least * 1.001
    # What is in the rack is not bought: three posts are, rough.
    assert found.bought == pytest.approx(
        sum(n.volume for n in found.lines if n.part.startswith("post"))
    )
    piece = one.number("total_mass") / 672  # kg/m³
    assert found.waste == pytest.approx(1 - piece / (found.bought + used)) and found.price is None


def test_a_strip_outside_the_circle_is_left_out() -> None:
    wishes = Wishes(order=("B", "B", "B", "A", "A"))
    layout = lay_out(BOARDS, 500.0, margin=10.0, end_waste=15.0, edge_loss=2.0, wishes=wishes)
    assert any(strip.length_needed == 0 for strip in layout.strips)
    found = cut_list(sheet(top_diameter=500.0), layout, boards=BOARDS)
    strips = [line for line in found.lines if line.part.startswith("top")]
    assert len(strips) == sum(strip.length_needed > 0 for strip in layout.strips)


def test_fittings_are_those_of_the_plan() -> None:
    one = sheet()
    plan = fixing_plan(one)
    said = {fitting.name: fitting for fitting in cut_list(one).fittings}
    assert said["foot pad"].size.startswith(one.shop("pad_diameter"))
    assert f"× {one.shop('plate_width').removesuffix(' mm')} ×" in said["fastening plate"].size
    assert said["fastening plate"].count == len(plan.fasteners) == 3
    (up,) = (one for name, one in said.items() if "into the top" in name)
    assert up.count == len(plan.fasteners)


def test_plates_are_bought_as_they_are_drilled() -> None:
    """The fixed plate has a plain hole, the others have what lets them move."""
    one = sheet()
    plan = fixing_plan(one)
    said = {fitting.name: fitting for fitting in cut_list(one, fixing=plan).fittings}
    assert plan.held_by is not None
    holes = said["fastening plate"].size.split(", ")[1:]
    assert holes == [f"2 slotted {one.shop('slot_length')}", "1 drilled"]


def test_waste_counts_whole_planks() -> None:
    one = sheet(
        post_laminations=1.0, rough_thickness=32.0, jointing_allowance=2.0, planing_allowance=1.5
    )
    found = cut_list(one, planks=[Plank("long", 2450.0, 80.0, price=30.0)])
    thickness = one.number("lamination_thickness") + 3.5
    assert found.planks is not None and found.planks.planks == {"long": 2}  # 2 × 1190 + 3 < 2400
    # The panel of a top of 900 mm holds a cutter of 12 mm outside it on either side.
    panel = 0.900 + 2 * 0.012
    bought = 2 * 2.45 * 0.080 * thickness / 1000 + panel * panel * 0.032
    assert found.bought == pytest.approx(bought)
    piece = one.number("total_mass") / 672
    assert found.waste == pytest.approx(1 - piece / bought)
    assert found.price == 60.0


def test_planks_too_short_are_told_not_hidden() -> None:
    found = cut_list(sheet(), planks=[Plank("short", 900.0, 150.0)])
    assert found.planks is None
    assert "no plank is long enough" in found.short
    assert found.bought == pytest.approx(sum(line.volume for line in found.lines))


def test_four_legs_are_counted_as_four() -> None:
    stool = network("stool", style="splayed legs", legs="four legs").solve(
        {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    )
    line = cut_list(stool).lines[0]
    assert (line.part, line.count) == ("leg", 4)
    assert line.finished.width == pytest.approx(40.0)
    assert line.finished.length == pytest.approx(stool.number("leg_length"))


def test_a_leg_is_sawn_to_a_plain_length_with_wood_for_the_saw_at_its_foot() -> None:
    given = {"seat_height": 450.0, "leg_resultant": 18.0, "leg_diameter": 40.0,
             "foot_diameter": 40.0}  # fmt: skip
    for sizes, display, trim, plain in (
        ("metric", "mm", 10.0, 1.0), ("inch", "in", 12.7, 25.4 / 8),
    ):  # fmt: skip
        of = network("stool", style="splayed legs", sizes=sizes)
        stool = of.solve(given, shop=ShopStyle(display=display))
        line = cut_list(stool).lines[0]
        # A straight leg 40 mm thick that leans 18°: 20 tan 18° = 6.498 mm beyond its middle.
        least = stool.number("leg_length") + 6.498394 + trim
        assert least - 1e-4 <= line.rough.length < least + plain
        assert line.rough.length / plain == pytest.approx(round(line.rough.length / plain))
        said = "10 mm" if display == "mm" else "1/2 in"
        assert line.note.endswith(f"{said} of its length is for the saw at the foot")
    none = network("stool", style="splayed legs").solve({**given, "foot_trim": 0.0})
    assert "saw" not in cut_list(none).lines[0].note


@pytest.mark.parametrize(("legs", "count"), [("three legs", 3), ("four legs", 4)])
def test_pads_of_splayed_legs_are_bought_where_there_are_any(legs: str, count: int) -> None:
    of = network("stool", style="splayed legs", legs=legs)
    given = {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    (pad,) = cut_list(of.solve({**given, "pad_projection": 4.0})).fittings
    assert (pad.name, pad.count) == ("foot pad", count) and "4 mm" in pad.size
    assert not cut_list(of.solve({**given, "pad_projection": 0.0})).fittings


def test_a_panel_reaches_as_far_as_the_cutter_all_round() -> None:
    # By hand: a top of 900 mm and a cutter of 12 mm outside it, on either side.
    (top,) = (one for one in cut_list(sheet(cutter_diameter=12.0)).lines if one.part == "top")
    assert (top.finished.length, top.finished.width) == pytest.approx((900.0, 900.0))
    assert (top.rough.length, top.rough.width) == pytest.approx((924.0, 924.0))


def test_plain_data_is_plain() -> None:
    import json

    found = cut_list(sheet(), planks=[Plank("long", 2400.0, 150.0)])
    rows = json.loads(json.dumps(found.to_json()))
    assert rows[0]["rough"]["length"] == pytest.approx(found.lines[0].rough.length, rel=1e-9)
    assert json.loads(json.dumps(found.to_buy_json()))["planks"] == found.planks.planks


def test_csv_rows_line_up() -> None:
    import io

    found = cut_list(sheet())
    rows = list(csv.DictReader(io.StringIO(found.to_csv())))
    assert [row["part"] for row in rows] == [line.part for line in found.lines]
    assert float(rows[0]["rough length mm"]) == pytest.approx(found.lines[0].rough.length, abs=0.05)


def test_stretchers_are_sawn_from_the_planks_of_the_legs() -> None:
    stool = network("stool", style="splayed legs", legs="four legs", stretchers="H")
    found = cut_list(stool.solve({"seat_height": 500.0}), planks=[Plank("ash", 2400.0, 150.0)])
    assert found.planks is not None
    sawn = [piece for lane in found.planks.lanes for piece in lane.pieces]
    assert {one: sawn.count(one) for one in sawn} == {
        "leg": 4, "side stretcher": 2, "cross stretcher": 1
    }  # fmt: skip
    # What is bought are whole planks and the panel, and nothing is counted twice.
    (top,) = [line for line in found.lines if line.part == "top"]
    thick = max(line.rough.thickness for line in found.lines if line.part != "top")
    planks = sum(found.planks.planks.values()) * 2.4 * 0.150 * thick / 1000
    assert found.bought == pytest.approx(planks + top.volume)
