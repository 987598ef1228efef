"""The drawings of splayed legs: legible on either paper, and true to the sheet and the solids."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache, partial
from math import atan2, cos, degrees, hypot, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from tablekit.drawing.apart import ASKEW, UPSIDE_DOWN, lay_out_apart, picture
from tablekit.drawing.general import Layout, lay_out, lay_out_plain, shown
from tablekit.drawing.leg_boring import lay_out_gauge, lay_out_socket
from tablekit.drawing.leg_gauge_use import lay_out_gauge_use
from tablekit.drawing.leg_guide import lay_out_guide
from tablekit.drawing.leg_levelling import lay_out_levelling
from tablekit.drawing.leg_press import lay_out_press
from tablekit.drawing.leg_seat import lay_out_seat
from tablekit.drawing.leg_stretchers import lay_out_mortise, lay_out_stretchers
from tablekit.drawing.leg_turning import lay_out_leg
from tablekit.drawing.leg_views import leg_elevation, leg_plan, leg_subject
from tablekit.drawing.outline import View
from tablekit.drawing.style import A4, Paper
from tablekit.engine.shop import ShopStyle
from tablekit.packet.leg_pages import LEG, MORE, MORTISE, PRESS, ROW, STRETCHERS
from tablekit.planning.leg_work import LegWork, leg_work
from tablekit.relations.families import network
from tablekit.solids.piece import Solids
from tests.drawing.legible import off_the_paper, overlapping
from tests.together import each

LETTER = Paper(215.9, 279.4)
SHEETS = {
    "stool": ("stool", "three legs", "mm", {"foot_diameter": 28.0, "leg_resultant": 14.0}),
    "straight": ("stool", "four legs", "mm", {}),
    "in inches": ("stool", "three legs", "in", {"foot_diameter": 27.0}),
    "fan": ("stool", "three legs", "mm", {"sight_turn": 30.0, "pad_projection": 0.0}),
    "through": ("stool", "four legs", "mm", {"socket_depth": 50.0, "foot_diameter": 44.0}),
    "H": ("stool", "four legs", "mm", {"stretcher_height": 120.0}),
    "T": ("stool", "three legs", "in", {}),
    "ring": ("stool", "three legs", "mm", {"stretcher_height": 110.0}),
    "upright": ("stool", "three legs", "mm", {"leg_resultant": 4.0}),
    "spread": ("stool", "four legs", "in", {"leg_resultant": 30.0, "foot_diameter": 20.0}),
    "table": ("table", "three legs", "mm", {"leg_diameter": 60.0, "foot_diameter": 38.0}),
    "big table": ("table", "four legs", "in", {"leg_diameter": 70.0, "top_diameter": 1200.0}),
}  # fmt: skip


@cache
def sheet(name: str) -> Any:
    kind, legs, display, more = SHEETS[name]
    height = {"seat_height": 450.0} if kind == "stool" else {"table_height": 735.0}
    wide = 340.0 if kind == "stool" else 800.0
    given = {**height, "top_diameter": wide, "leg_diameter": 38.0, "top_thickness": 42.0, **more}
    sizes = "inch" if display == "in" else "metric"
    joined = name if name in ("H", "T", "ring") else None
    made = network(kind, style="splayed legs", legs=legs, stretchers=joined, sizes=sizes)
    return made.solve(given, name=name, shop=ShopStyle(display=display))


@cache
def solids(name: str) -> Solids:
    return Solids(sheet(name))


@cache
def work(name: str) -> LegWork:
    found = leg_work(sheet(name))
    assert found is not None
    return found


def drawings(name: str) -> Iterator[tuple[str, float, Callable[[Paper], Layout]]]:
    """What is drawn, the least height that a book gives it, mm, and how."""
    it = work(name)
    yield "sockets", 110.0, partial(lay_out_seat, it, solids(name).legs)
    yield "section", 62.0, partial(lay_out_socket, it)
    yield "gauge", 142.0, partial(lay_out_gauge, it)
    yield "use", 55.0, partial(lay_out_gauge_use, it)
    yield "guide", 70.0, partial(lay_out_guide, it)
    yield "press", PRESS, partial(lay_out_press, it)
    # With stretchers it has rows of sizes more.
    yield "leg", LEG + ROW * len(it.marks), partial(lay_out_leg, it)
    if it.joins is not None:
        least = STRETCHERS + MORE * (len(it.joins.lines) - 1)
        yield "stretchers", least, partial(lay_out_stretchers, it, it.joins)
        yield "mortise", MORTISE, partial(lay_out_mortise, it, it.joins)
    yield "levelling", 58.0, partial(lay_out_levelling, it)
    yield "apart", 58.0, partial(lay_out_apart, solids(name).pulling)


@each("name", SHEETS, ordinary=5)
def test_no_text_overlaps_another_or_leaves_the_paper(name: str) -> None:
    for what, least, lay in drawings(name):
        for width in (190.0, 195.9):
            for height in (least, 1.6 * least):
                paper = Paper(width, height, 0.0, with_text=True)
                ink = lay(paper).ink
                assert overlapping(ink) == [], what
                assert off_the_paper(ink, paper) == [], what
                box = ink.box()
                assert box.left > -0.5 and box.right < width + 0.5, what
                assert box.low > -0.5 and box.high < height + 0.5, what
    for paper in (A4, LETTER):
        ink = lay_out(shown(sheet(name), solids(name)), paper).ink
        assert overlapping(ink) == [] and off_the_paper(ink, paper) == []


@each("name", SHEETS)
def test_the_general_arrangement_says_the_main_sizes(name: str) -> None:
    texts = {label.text for label in lay_out(shown(sheet(name), solids(name)), A4).ink.labels}
    unit = f" {sheet(name).shop_style.display}"
    height = "seat_height" if sheet(name).kind == "stool" else "table_height"
    for quantity, mark in (
        ("top_diameter", "Ø"), ("leg_diameter", "Ø"), ("foot_radius", "R"), ("socket_radius", "R"),
        ("overhang", ""), ("top_thickness", ""), (height, ""), ("leg_rise", ""),
    ):  # fmt: skip
        assert mark + sheet(name).shop(quantity).removesuffix(unit) in texts, quantity
    assert (sheet(name).shop("leg_resultant") in texts) is (name != "fan")


def test_a_customer_sees_the_whole_without_sizes_of_the_legs() -> None:
    texts = [one.text for one in lay_out_plain(shown(sheet("stool")), Paper(170, 90, 0)).ink.labels]
    assert "Ø340" in texts and "450" in texts and "Ø38" not in texts


def test_what_is_said_of_a_paper_too_small() -> None:
    for what, _, lay in drawings("stool"):
        if what != "apart":
            with pytest.raises(ValueError, match="too small"):
                lay(Paper(30, 20, 0.0, with_text=True))


# --- true to the sheet ---------------------------------------------------------------------------


def lines_of(layout: Layout, pen: str = "visible") -> list[np.ndarray]:
    return [np.array(line, dtype=float) for line in layout.ink.lines[pen]]


@each("name", SHEETS)
def test_the_guide_block_is_drawn_as_large_as_it_is(name: str) -> None:
    """Its halves on either side of the hole, by trigonometry about the centre of the mouth."""
    number, through = sheet(name).number, work(name).through
    layout = lay_out_guide(work(name), Paper(190, 150, 0.0, with_text=True))
    lean = radians(number("leg_resultant"))
    wide, hole = number("tenon_diameter") + 2 * number("guide_wall"), number("tenon_diameter")
    long = number("guide_length")
    halves = [line for line in lines_of(layout) if len(line) == 5][:2]
    mouth = (halves[0][1] + halves[1][1]) / 2
    for sign, half in zip((-1, 1), halves, strict=True):
        for found, (along, aside) in zip(
            half, ((sign * wide / 2 * tan(lean), wide / 2), (sign * hole / 2 * tan(lean), hole / 2),
                   (long, hole / 2), (long, wide / 2)), strict=False,
        ):  # fmt: skip
            x = along * sin(lean) + sign * aside * cos(lean)
            y = along * cos(lean) - sign * aside * sin(lean)
            expected = mouth + layout.scale * np.array([x, y])
            assert found == pytest.approx(expected, abs=1e-9)
    texts = {label.text for label in layout.ink.labels}
    unit = f" {sheet(name).shop_style.display}"
    for size in ("guide_width", "guide_base", "guide_blank"):
        assert sheet(name).shop(size).removesuffix(unit) in texts, size
    # There is no stop where the bit goes right through.
    assert (sheet(name).shop("bit_stop").removesuffix(unit) in texts) is not through


@pytest.mark.parametrize("name", ["stool", "straight", "fan"])
def test_sockets_are_drawn_where_they_are(name: str) -> None:
    """Rings by the mean of their points: the rim is the largest, then the mouths."""
    layout = lay_out_seat(work(name), solids(name).legs, Paper(190, 200, 0.0, with_text=True))
    rings = [line for line in lines_of(layout) if len(line) > 60]
    rim = max(rings, key=lambda line: np.ptp(line[:, 0]))
    mouths = [line for line in rings if line is not rim]
    middle = rim[:-1].mean(axis=0)
    number = sheet(name).number
    assert np.ptp(rim[:, 0]) == pytest.approx(number("top_diameter") * layout.scale, rel=1e-9)
    assert len(mouths) == work(name).count
    centres = [mouth[:-1].mean(axis=0) - middle for mouth in mouths]
    for centre in centres:
        assert hypot(*centre) == pytest.approx(number("socket_radius") * layout.scale, rel=1e-6)
    apart = np.linalg.norm(centres[0] - centres[1])
    assert apart == pytest.approx(number("socket_spread") * layout.scale, rel=1e-6)
    # Seen from below the numbers run clockwise.
    x, y = centres[0], centres[1]
    assert x[0] * y[1] - x[1] * y[0] < 0


@pytest.mark.parametrize("name", ["stool", "in inches", "spread"])
def test_the_gauge_is_full_size_and_leans_as_the_bit_does(name: str) -> None:
    layout = lay_out_gauge(work(name), Paper(190, 170, 0.0, with_text=True))
    (outline,) = [line for line in lines_of(layout) if len(line) == 5]
    corner, foot, upper, edge = outline[:4]
    assert layout.scale == 1.0 and foot[1] == pytest.approx(corner[1])
    slope = degrees(atan2(*(edge - corner)[::-1]))
    assert slope == pytest.approx(sheet(name).number("drill_angle"), abs=1e-9)
    high = 101.6 if sheet(name).shop_style.display == "in" else 100.0
    assert upper[1] - foot[1] == pytest.approx(high)


def test_the_level_cut_of_a_leg_is_where_the_sheet_has_it() -> None:
    layout = lay_out_leg(work("stool"), Paper(190, 90, 0.0, with_text=True))
    number, scale = sheet("stool").number, layout.scale
    (cut,) = [line for line in lines_of(layout) if len(line) == 2]
    (peg,) = [line for line in lines_of(layout) if len(line) == 4]
    start = peg[1, 0]  # the end of the tenon
    axis = peg[:, 1].mean()
    # On the axis the cut is the length of the leg from the end of its tenon.
    share = (axis - cut[0, 1]) / (cut[1, 1] - cut[0, 1])
    there = cut[0, 0] + share * (cut[1, 0] - cut[0, 0])
    assert there - start == pytest.approx(number("leg_length") * scale, rel=1e-9)
    out_of_square = degrees(atan2(*(cut[0] - cut[1])))
    assert out_of_square == pytest.approx(number("leg_resultant"), abs=1e-6)


def test_the_pencil_line_is_level_and_as_high_as_the_block() -> None:
    layout = lay_out_levelling(work("stool"), Paper(190, 110, 0.0, with_text=True))
    level = [line for line in lines_of(layout) if len(line) == 2 and abs(np.ptp(line[:, 1])) < 1e-9]
    board, line = sorted(level, key=lambda one: one[0, 1])[:2]
    block = work("stool").bench.number("block_height") * layout.scale
    assert line[0, 1] - board[0, 1] == pytest.approx(block, rel=1e-9)
    # As wide as the level cut of the foot: an ellipse, longer along the sight line.
    foot, lean = (sheet("stool").number(name) for name in ("foot_diameter", "leg_resultant"))
    assert np.ptp(line[:, 0]) / layout.scale == pytest.approx(
        foot / np.cos(np.radians(lean)), rel=1e-3
    )


def test_the_section_shows_the_depth_and_the_bevel() -> None:
    layout = lay_out_socket(work("stool"), Paper(190, 120, 0.0, with_text=True))
    axis = max(lines_of(layout, "centre"), key=lambda line: np.ptp(line[:, 1]))
    slope = degrees(atan2(*(axis[1] - axis[0])[::-1]))
    assert slope == pytest.approx(sheet("stool").number("drill_angle"), abs=1e-9)
    texts = {label.text for label in layout.ink.labels}
    assert {"28", "76°", "42"} & texts == {"76°", "42"} and work("stool").text("socket_depth")[
        :-3
    ] in texts


# --- pictures of the whole -----------------------------------------------------------------------


def test_upside_down_is_the_same_view_turned_half_round_a_level_axis() -> None:
    axes = np.array([UPSIDE_DOWN.right, UPSIDE_DOWN.up, UPSIDE_DOWN.towards])
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)
    point = np.array([3.0, -4.0, 12.0])
    turned = np.array([3.0, 4.0, -12.0])
    assert UPSIDE_DOWN.project(point) == pytest.approx(ASKEW.project(turned))


@pytest.mark.parametrize(("view", "mouths_seen"), [(ASKEW, False), (UPSIDE_DOWN, True)])
def test_mouths_are_seen_on_the_underside_alone(view: View, mouths_seen: bool) -> None:
    found = solids("stool").pulling
    ink = picture(found, 1.0, Paper(150, 150, 0.0), view=view)
    bare = picture(
        type(found)(**{**vars(found), "mouths": np.zeros((0, 2, 3))}), 1.0, Paper(150, 150, 0.0),
        view=view,
    )  # fmt: skip
    with_them, without = (sum(len(p) for p in one.pieces["visible"]) for one in (ink, bare))
    assert (with_them > without) is mouths_seen
    numbers = sorted(label.text for label in ink.labels)
    assert numbers == ["1", "2", "3"]


# What a size of its drawing belongs to, and what may be drawn out by hand.
TIED = {
    "seat_height", "top_diameter", "top_thickness", "leg_rise", "leg_resultant", "leg_diameter",
    "foot_diameter", "foot_radius", "socket_radius", "overhang",
}  # fmt: skip


def whole_ink(**givens: float) -> tuple[Any, Any]:
    """Elevation and plan of a stool on three legs, each about its own origin, 1:5."""
    asked = {
        "seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 38.0, "foot_diameter": 28.0,
        "leg_resultant": 14.0, "socket_radius": 110.0, **givens,
    }  # fmt: skip
    it = leg_subject(network("stool", style="splayed legs").solve(asked))
    return leg_elevation(it, 0.2), leg_plan(it, 0.2)


def test_every_size_of_the_arrangement_is_tied_to_its_quantity() -> None:
    inks = whole_ink()
    assert {one.quantity for ink in inks for one in ink.labels} == {"", *TIED}
    assert {grip.of.quantity for ink in inks for grip in ink.grips} == TIED


@pytest.mark.parametrize(
    ("name", "more", "moved"), [("top_diameter", 4.0, 2), ("socket_radius", 2.0, 1)]
)
def test_a_size_of_legs_is_drawn_out_as_far_as_it_grows(name: str, more: float, moved: int) -> None:
    """On the paper its arrows move by a fifth of it, half of that at either end of a diameter."""
    before = {"top_diameter": 340.0, "socket_radius": 110.0}[name]
    grips = [
        [grip for ink in whole_ink(**givens) for grip in ink.grips if grip.of.quantity == name]
        for givens in ({}, {name: before + more})
    ]
    assert len(grips[0]) == len(grips[1]) == moved
    for one, other in zip(*grips, strict=True):
        along = np.dot(np.subtract(other.at, one.at), one.towards)
        assert along * one.of.per_mm == pytest.approx(more, rel=1e-6)


def test_the_lean_of_a_leg_is_drawn_out_on_its_arc() -> None:
    """By a tenth of a degree, the chord of which is the arc but for a millionth."""
    (one,), (other,) = (
        [grip for grip in whole_ink(leg_resultant=lean)[0].grips
         if grip.of.quantity == "leg_resultant"]
        for lean in (14.0, 14.1)
    )  # fmt: skip
    along = np.dot(np.subtract(other.at, one.at), one.towards)
    assert along * one.of.per_mm == pytest.approx(0.1, rel=1e-3)
