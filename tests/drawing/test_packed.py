"""A drawing packed for a page: read back by the description of its bytes alone."""

from __future__ import annotations

import json
import struct
from math import hypot

import pytest

from tablekit.drawing import style
from tablekit.drawing.general import lay_out, screen_paper
from tablekit.drawing.ink import Ink
from tablekit.drawing.packed import packed
from tablekit.drawing.style import SCREEN, Paper
from tablekit.drawing.tipping import lay_out_tipping
from tablekit.drawing.views import subject
from tests.drawing.designs import TABLE, designs, sheet

NAMES = {
    "base_height", "foot_radius", "head_radius", "knee_clearance", "overhang", "post_section",
    "splay", "table_height", "top_diameter", "top_thickness",
}  # fmt: skip


def unpacked(frame: bytes) -> tuple[dict, list[tuple[int, int]]]:
    """The head and the points of a frame, by the words at the head of `packed.py`."""
    (length,) = struct.unpack_from("<I", frame)
    assert length % 4 == 0
    rest = frame[4 + length :]
    points = list(struct.iter_unpack("<hh", rest))
    return json.loads(frame[4 : 4 + length]), points


def test_every_stroke_and_label_is_there_to_a_hundredth() -> None:
    ink, paper = lay_out(subject(designs()["table"]), SCREEN).ink, SCREEN
    head, points = unpacked(packed(ink, paper))
    assert head["paper"] == [24384, 14732]
    assert sum(sum(counts) for _, _, counts in head["shapes"]) == len(points)
    at = 0
    found: dict[str, list[list[tuple[int, int]]]] = {}
    for kind, look, counts in head["shapes"]:
        for count in counts:
            found.setdefault(f"{kind} {look}", []).append(points[at : at + count])
            at += count
    for pen in style.PENS:
        pieces = [piece for group in ink.pieces[pen] for piece in group]
        strokes = [*pieces, *ink.lines[pen]]
        there = found.get(f"line {pen}", [])
        assert len(there) == len(strokes)
        for one, stroke in zip(there, strokes, strict=True):
            for (x, y), (across, up) in zip(one, stroke, strict=True):
                assert x == pytest.approx(100 * across, abs=0.51)
                assert y == pytest.approx(100 * (paper.height - up), abs=0.51)
    assert [label[0] for label in head["labels"]] == [label.text for label in ink.labels]
    assert sum(kind == "badge" for kind, *_ in head["shapes"]) == 1


def test_areas_keep_their_order_and_their_colours() -> None:
    ink, corners = Ink(), [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]
    ink.areas = [(corners, tone) for tone in ("#111111", "#111111", "#222222", "#111111")]
    head, _ = unpacked(packed(ink, Paper(10, 10)))
    shown = [(kind, look, len(counts)) for kind, look, counts in head["shapes"]]
    assert shown == [("area", "#111111", 2), ("area", "#222222", 1), ("area", "#111111", 1)]


def test_a_paper_too_large_for_its_numbers_is_refused() -> None:
    with pytest.raises(ValueError, match="at most 327 mm"):
        packed(Ink(), Paper(400, 100))


def test_a_frame_is_small() -> None:
    """A panel that moves sends 20 KB at most; its texts and sliders take some of that."""
    for width in (90.0, 140.0, 190.0, 240.0):
        paper = screen_paper(width)
        ink = lay_out(subject(designs()["table"]), paper).ink
        assert len(packed(ink, paper)) < 12_000


def test_each_dimension_is_tied_to_its_quantity() -> None:
    head, _ = unpacked(packed(lay_out(subject(designs()["table"]), SCREEN).ink, SCREEN))
    assert {label[-1] for label in head["labels"]} == {"", *NAMES}
    assert {grip[0] for grip in head["grips"]} == NAMES


@pytest.mark.parametrize(
    ("name", "ends"),
    # How many of its two grips a dimension moves by as much as it says: both of a diameter.
    [("table_height", 1), ("top_diameter", 2), ("top_thickness", 1)],
)
def test_a_grip_goes_where_the_hand_goes(name: str, ends: int) -> None:
    """Drawn 5 mm larger at the same scale, the two grips are farther apart by what the grips say
    that 5 mm are on the paper."""
    first = lay_out(subject(sheet("a", **TABLE)), SCREEN)
    more = {**TABLE, name: sheet("a", **TABLE).number(name) + 5.0}
    second = lay_out(subject(sheet("b", **more)), SCREEN, first.scale)
    assert first.scale == second.scale
    spans = []
    for ink in (first.ink, second.ink):
        one, other = [grip for grip in ink.grips if grip.of.quantity == name]
        spans.append(hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]))
        assert one.towards == pytest.approx((-other.towards[0], -other.towards[1]))
    per_mm = next(grip.of.per_mm for grip in first.ink.grips if grip.of.quantity == name)
    assert spans[1] - spans[0] == pytest.approx(ends * 5.0 / per_mm, rel=1e-6)


def test_the_grip_of_the_lean_follows_the_post() -> None:
    """On an arc of radius r a turn of 1 mm is 1/r radian: 57.2958/r degrees."""
    layout = lay_out(subject(sheet("a", **TABLE)), SCREEN)
    (grip,) = (grip for grip in layout.ink.grips if grip.of.quantity == "splay")
    ends = (line for line in layout.ink.lines["thin"] if len(line) == 32)  # the arc
    (arc,) = ends
    (x, y), (u, v), middle = arc[0], arc[-1], arc[16]
    assert grip.of.per_mm > 0 and hypot(grip.at[0] - x, grip.at[1] - y) < 12
    # The radius of the circle through three points: the product of the sides over four areas.
    a = hypot(x - u, y - v)
    b, c = hypot(x - middle[0], y - middle[1]), hypot(u - middle[0], v - middle[1])
    area = abs((x - middle[0]) * (v - middle[1]) - (y - middle[1]) * (u - middle[0])) / 2
    assert grip.of.per_mm == pytest.approx(57.29577951 / (a * b * c / (4 * area)), rel=1e-6)


def test_the_ring_of_the_wanted_load_is_drawn_out_by_its_scale() -> None:
    """The next larger wanted load lies farther out by what the grip says."""
    grips = []
    for load in (200.0, 210.0):
        it = sheet("a", **TABLE, wanted_tipping_load=load)
        ink = lay_out_tipping(it, Paper(185, 130, margin=3, to_scale=False), words=False).ink
        (cross,) = ([s[0] for s in ink.lines["centre"] if abs(s[0][1] - s[1][1]) < 1e-9][:1],)
        (grip,) = (g for g in ink.grips if g.of.quantity == "wanted_tipping_load")
        middle = (cross[0][0] + 3.0, cross[0][1])  # the arm of the cross at the centre is 3 mm
        grips.append((hypot(grip.at[0] - middle[0], grip.at[1] - middle[1]), grip.of.per_mm))
    (near, per_mm), (far, _) = grips
    assert far - near == pytest.approx(10.0 / per_mm, rel=1e-6)
