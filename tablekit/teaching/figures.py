"""A figure for each question: a sketch, not to scale, with the letters and the numbers given.

figure_of(exercise("let-in", 7)) is the ink on a paper of `WIDE` by `HIGH` mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from math import cos, radians, sin, sqrt
from typing import TYPE_CHECKING

from tablekit.drawing.dimension import across, along, leader, upright
from tablekit.drawing.ink import Ink, InkedSheet, ring
from tablekit.drawing.label import Label, Point
from tablekit.drawing.style import POST_TONES, TOP_TONE, Paper
from tablekit.drawing.svg import svg_bytes
from tablekit.engine.shop import shop_text
from tablekit.teaching.question import network

if TYPE_CHECKING:
    from tablekit.teaching.question import Exercise

WIDE, HIGH = 92.0, 56.0
_SMALL = 7.5
_SCALE, _LETTERS = 0.72, 0.85  # on paper


@dataclass
class Sketch:
    """A figure in the making.

    said  quantity -> its letter and what the question gives of it; "?" for what it asks for
    """

    said: dict[str, str]
    ink: Ink = field(default_factory=Ink)

    def of(self, *names: str) -> str:
        """The letter and number of the first of these that the question speaks of; "" for none."""
        return next((self.said[name] for name in names if name in self.said), "")

    def area(self, tone: str, *points: Point) -> None:
        """A filled outline."""
        self.ink.areas.append((points, tone))
        self.ink.line("visible", *points, points[0])

    def circle(self, x: float, y: float, radius: float, pen: str = "visible") -> None:
        """A circle."""
        self.ink.line(pen, *((x + a, y + b) for a, b in ring(radius, 72)))

    def arc(self, x: float, y: float, radius: float, start: float, end: float) -> None:
        """An arc from one direction to another, degrees."""
        turns = (start + (end - start) * k / 24 for k in range(25))
        self.ink.line("thin", *((x + radius * cos(radians(t)), y + radius * sin(radians(t)))
                                for t in turns))  # fmt: skip

    def note(self, text: str, x: float, y: float, anchor: str = "left") -> None:
        """A line of small text."""
        if text:
            self.ink.labels.append(Label(text, x, y, anchor, size=_SMALL))

    def across(self, start: Point, end: Point, level: float, text: str) -> None:
        """A level dimension, where the question speaks of it."""
        if text:
            across(self.ink, start, end, level, text)

    def upright(self, start: Point, end: Point, at: float, text: str) -> None:
        """An upright dimension, likewise."""
        if text:
            upright(self.ink, start, end, at, text)

    def along(self, start: Point, end: Point, text: str) -> None:
        """A dimension straight from one point to the other, likewise."""
        if text:
            along(self.ink, start, end, text)

    def leader(self, tip: Point, elbow: Point, text: str) -> None:
        """A text with an arrow, likewise."""
        if text:
            leader(self.ink, tip, elbow, text)

    def force(self, start: Point, end: Point, text: str) -> None:
        """An arrow with its letter at its tail."""
        length = sqrt((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2)
        way = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        self.ink.line("visible", start, end)
        self.ink.arrow(end, way)
        anchor = "center" if abs(way[1]) > abs(way[0]) else ("right" if way[0] > 0 else "left")
        drop = 1.5 if abs(way[1]) > abs(way[0]) else -1.0
        self.note(text, start[0] - way[0] * 2, start[1] - way[1] * drop, anchor)


def _bar(start: Point, end: Point, width: float) -> list[Point]:
    """The outline of a straight bar."""
    length = sqrt((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2)
    a, b = (end[1] - start[1]) / length * width / 2, -(end[0] - start[0]) / length * width / 2
    (x, y), (u, v) = start, end
    return [(x + a, y + b), (u + a, v + b), (u - a, v - b), (x - a, y - b)]


def _box(left: float, low: float, right: float, high: float) -> list[Point]:
    return [(left, low), (right, low), (right, high), (left, high)]


# -- the sketches ---------------------------------------------------------------------------------


def _table(it: Sketch) -> None:
    it.ink.line("thin", (6, 8), (78, 8))
    other = _bar((24, 11), (62, 44), 4.5)
    it.ink.line("hidden", *other, other[0])
    it.area(POST_TONES[0], *_bar((70, 11), (32, 44), 4.5))
    it.area(TOP_TONE, *_box(18, 44, 76, 48))
    it.upright((18, 8), (18, 48), 8, it.of("table_height"))
    it.note(it.of("table_height_after"), 12, 3.5)
    it.leader((74, 46), (79, 52), it.of("top_thickness"))
    it.along((66, 6.5), (28, 39.5), it.of("post_length"))
    it.leader((59, 22), (66, 28), it.of("post_section"))
    it.note(it.of("head_flat_depth"), 67, 39)
    it.note(it.of("foot_flat_depth"), 74, 15)
    it.note(it.of("pad_projection"), 74, 10)


def _notch(it: Sketch) -> None:
    it.area(POST_TONES[0], *_box(30, 8, 54, 32))
    it.ink.line("hidden", *_box(30, 22, 54, 46), (30, 22))
    it.ink.line("centre", (24, 20), (60, 20))
    it.ink.line("centre", (24, 34), (60, 34))
    it.upright((30, 8), (30, 32), 16, it.of("post_section"))
    it.upright((58, 20), (58, 34), 68, it.of("axis_offset"))
    it.upright((54, 22), (54, 32), 84, it.of("notch_depth"))


def _flat(it: Sketch) -> None:
    corner = [(10.0, 12.0), (42.0, 12.0), (26.0, 12.0 + 16 * sqrt(3))]
    it.area(POST_TONES[0], *corner)
    it.circle(26, 12 + 16 / sqrt(3), 16 / sqrt(3))
    low, side = 12 + 16 / sqrt(3), 16 / sqrt(3)
    it.across((26 - side, low), (26 + side, low), 5, it.of("foot_flat"))
    it.area(POST_TONES[0], (50, 32), (62, 16), (76, 36), (64, 50))
    it.ink.line("hidden", (54, 26), (70, 26))
    it.ink.line("thin", (52, 16), (80, 16))
    it.upright((62, 16), (69, 26), 84, it.of("foot_flat_depth"))
    it.note("the flat from below", 26, 44, "center")


def _foot_circle(it: Sketch) -> None:
    x, y, r = 27.0, 28.0, 21.0
    it.circle(x, y, r, "centre")
    for turn in (90, 210, 330):
        foot = (x + r * cos(radians(turn)), y + r * sin(radians(turn)))
        head = (x - r * cos(radians(turn + 12)), y - r * sin(radians(turn + 12)))
        it.area(POST_TONES[0], *_bar(foot, head, 3.2))
    it.ink.line("thin", (x, y), (x + r * cos(radians(30)), y + r * sin(radians(30))))
    it.ink.arrow((x + r * cos(radians(30)), y + r * sin(radians(30))), (cos(radians(30)), 0.5))
    it.note(it.of("foot_radius"), x, 2, "center")
    it.ink.line("thin", (54, 8), (88, 8))
    it.area(POST_TONES[0], *_bar((84, 10), (60, 42), 4.5))
    it.ink.line("centre", (72, 6), (72, 50))
    it.arc(72, 26, 12, 90, 127)
    it.note(it.of("splay"), 71, 46, "right")
    it.note(it.of("post_length"), 70, 16, "right")
    it.note(it.of("post_section"), 78, 30)
    it.note(it.of("foot_flat"), 74, 3)


def _angle(it: Sketch) -> None:
    foot = (40.0, 8.0)
    for head in ((16.0, 42.0), (66.0, 42.0)):
        it.area(POST_TONES[0], *_bar(foot, head, 3.2))
    it.ink.line("centre", (40, 4), (40, 52))
    it.arc(40, 8, 17, 53, 127)
    it.note(it.of("crossing_angle"), 40, 27, "center")
    it.arc(40, 8, 34, 53, 90)
    it.note(it.of("splay"), 52, 46, "left")


def _notch_tilt(it: Sketch) -> None:
    it.area(POST_TONES[0], (10, 10), (40, 10), (40, 30), (10, 20))
    it.ink.line("thin", (10, 20), (46, 20))
    it.arc(10, 20, 26, 0, 18.4)
    it.note(it.of("notch_floor_tilt"), 38, 22.5)
    it.note("across the notch", 25, 4, "center")
    it.area(POST_TONES[1], *_bar((52, 14), (86, 14), 8))
    it.area(POST_TONES[0], *_bar((60, 6), (80, 48), 8))
    it.arc(64, 14, 16, 0, 64)
    it.note(it.of("crossing_angle"), 79, 27)


def _saw(it: Sketch) -> None:
    it.area(TOP_TONE, *_box(8, 12, 84, 16))
    it.area(POST_TONES[0], *_box(34, 16, 58, 34))
    it.ink.line("centre", (46, 6), (46, 50))
    it.area("#ffffff", *_bar((46, 16), (54, 46), 1.6))
    it.arc(46, 16, 30, 75, 90)
    it.note(it.of("blade_tilt"), 56, 47)
    it.note(it.of("crossing_angle"), 8, 4)
    it.note("seen from the front of the saw", 84, 4, "right")


def _sight_line(it: Sketch) -> None:
    it.ink.line("centre", (10, 12), (84, 12))
    it.ink.line("centre", (14, 6), (14, 52))
    it.area(POST_TONES[0], *_bar((14, 12), (62, 42), 4))
    it.ink.line("thin", (62, 42), (62, 12))
    it.ink.line("thin", (62, 42), (14, 42))
    it.arc(14, 12, 24, 0, 32)
    it.note(it.of("sight_line"), 40, 18)
    it.note(it.of("leg_rake"), 46, 5, "center")
    it.note(it.of("leg_splay"), 64, 26)
    it.note("rake axis", 84, 14, "right")


def _resultant(it: Sketch) -> None:
    views = ((14, 12, "leg_rake", "from the side"), (44, 10, "leg_splay", "from the front"),
             (74, 17, "leg_resultant", "on the sight line"))  # fmt: skip
    for x, off, name, called in views:
        it.ink.line("thin", (x - 12, 10), (x + 14, 10))
        it.area(POST_TONES[0], *_bar((x - off / 2, 40), (x + off / 2, 10), 3))
        it.ink.line("centre", (x - off / 2, 44), (x - off / 2, 8))
        it.note(it.of(name), x, 49, "center")
        it.note(called, x, 4, "center")


def _boring(it: Sketch) -> None:
    it.area(TOP_TONE, *_box(6, 16, 66, 48))
    way = (sin(radians(24)), cos(radians(24)))
    mouth, end = 7 / way[1], (36 + 22 * way[0], 16 + 22 * way[1])
    low, high = (end[0] + 7 * way[1], end[1] - 7 * way[0]), (end[0] - 7 * way[1],
                                                             end[1] + 7 * way[0])  # fmt: skip
    it.area("#ffffff", (36 - mouth, 16), (36 + mouth, 16), low, high)
    it.ink.line("centre", (36, 6), (36, 52))
    it.ink.line("centre", (36 - 10 * way[0], 16 - 10 * way[1]), (end[0] + 6 * way[0],
                                                                 end[1] + 6 * way[1]))  # fmt: skip
    it.arc(36, 16, 14, 66, 90)
    it.upright(high, (high[0], 48), 18, it.of("socket_cover"))
    it.upright((66, 16), (66, 48), 72, it.of("top_thickness"))
    it.leader((36 + 7 * way[0], 16 + 7 * way[1]), (54, 9), it.of("socket_depth"))
    it.note(it.of("leg_resultant"), 28, 3, "right")
    it.note(it.of("tenon_diameter"), 38, 3)


def _levelling(it: Sketch) -> None:
    it.ink.line("thin", (6, 10), (86, 10))
    lean = radians(22)
    way, side = (-sin(lean), cos(lean)), (cos(lean), sin(lean))
    foot = (44 + 7 * side[0], 10 + 7 * side[1])  # the middle of the square end
    it.area(POST_TONES[0], *_bar(foot, (foot[0] + 40 * way[0], foot[1] + 40 * way[1]), 14))
    it.ink.line("centre", (foot[0] - 4 * way[0], foot[1] - 4 * way[1]),
                (foot[0] + 44 * way[0], foot[1] + 44 * way[1]))  # fmt: skip
    it.ink.line("hidden", (20, 26), (70, 26))
    it.upright((22, 10), (22, 26), 16, it.of("block_height"))
    it.note(it.of("leg_resultant"), 30, 50, "right")
    it.note(it.of("foot_diameter"), 62, 14)
    it.note(it.of("leg_blank"), 54, 46)
    it.note(it.of("leg_length"), 54, 40)


def _tipping(it: Sketch) -> None:
    x, y = 32.0, 28.0
    it.circle(x, y, 24)
    it.circle(x, y, 13, "centre")
    feet = [(x + 13 * cos(radians(t)), y + 13 * sin(radians(t))) for t in (60, 180, 300)]
    for foot in feet:
        it.circle(*foot, 1.6)
    it.ink.line("hidden", (feet[0][0], y + 22), (feet[0][0], y - 22))
    it.note(it.of("foot_radius"), x - 1, y + 3, "center")
    it.circle(x + 24, y, 1.2)
    it.leader((x + 24, y), (64, y + 4), it.of("tipping_load"))
    it.note(it.of("top_diameter"), 62, 46)
    it.note(it.of("total_mass"), 62, 40)


def _lever(it: Sketch) -> None:
    it.ink.line("thin", (6, 8), (84, 8))
    it.area(TOP_TONE, *_box(18, 44, 74, 48))
    for foot, head in (((66, 8), (30, 44)), ((24, 8), (62, 44))):
        it.area(POST_TONES[0], *_bar(foot, head, 3.2))
    it.ink.line("centre", (46, 4), (46, 52))
    it.force((46, 38), (46, 22), "")
    it.note(it.of("total_mass"), 24, 28, "right")
    it.force((6, 46), (18, 46), "")
    it.note(it.of("tipping_push"), 3, 50)
    it.across((46, 8), (66, 8), 2.5, it.of("tipping_arm"))
    it.upright((74, 8), (74, 46), 84, it.of("table_height"))


def _overhang(it: Sketch) -> None:
    it.area(TOP_TONE, *_box(8, 36, 84, 41))
    it.ink.line("centre", (46, 8), (46, 50))
    for head in (20.0, 72.0):
        it.area(POST_TONES[0], *_bar((92 - head, 8), (head, 36), 4))
    it.across((8, 41), (84, 41), 48, it.of("top_diameter"))
    it.across((46, 36), (72, 36), 28, it.of("head_radius"))
    it.across((72, 36), (84, 36), 14, it.of("overhang"))


def _tilt(it: Sketch) -> None:
    # Seen along the line through the two level heads, which stand one behind the other.
    level, raised = 24.0, 30.8
    it.ink.line("thin", (30, level), (72, level))
    it.area(POST_TONES[1], *_bar((46, 6), (36, level - 1), 4))
    it.area(POST_TONES[0], *_bar((52, 6), (62, raised - 2), 4))
    slope = (raised - level) / 28
    rim = [(x, level + (x - 34) * slope) for x in (8.0, 84.0)]
    it.area(TOP_TONE, *rim, (84 - 0.6, rim[1][1] + 3), (8 - 0.6, rim[0][1] + 3))
    it.ink.line("thin", (62, level), (62, raised))
    it.leader((62, (level + raised) / 2), (70, 11), it.of("head_height_1"))
    it.along((8 - 0.6, rim[0][1] + 9), (84 - 0.6, rim[1][1] + 9), it.of("top_diameter"))
    it.upright((84, rim[0][1]), (84, rim[1][1]), 89, it.of("rim_drop"))
    it.note(it.of("head_radius"), 8, 10)


def _moisture(it: Sketch) -> None:
    it.ink.line("visible", (14, 50), (14, 10), (84, 10))
    points = [(14 + 70 * h, 10 + 34 * (0.18 + 0.55 * h + 0.27 * h * h)) for h in
              (k / 20 for k in range(21))]  # fmt: skip
    it.ink.line("visible", *points)
    for k in (4, 8, 12, 16):
        it.ink.line("thin", (points[k][0], 10), points[k])
        it.circle(*points[k], 0.9)
    it.ink.line("hidden", (points[9][0], 10), points[9], (14, points[9][1]))
    it.note(it.of("shop_humidity"), points[9][0], 4.5, "center")
    it.note(it.of("shop_moisture"), 16, points[9][1] + 1.5)
    it.note(it.of("shop_temperature"), 84, 46, "right")


def _movement(it: Sketch) -> None:
    it.circle(36, 30, 20)
    for k in range(-3, 4):
        half = sqrt(400 - (5.0 * k) ** 2)
        it.ink.line("thin", (36 + 5 * k, 30 - half), (36 + 5 * k, 30 + half))
    it.across((16, 30), (56, 30), 5, it.of("top_diameter"))
    it.ink.line("hidden", *((36 + 1.12 * a, 30 + b) for a, b in ring(20, 72)))
    it.note(it.of("top_movement"), 62, 30)
    it.note(it.of("driest_moisture"), 62, 47)
    it.note(it.of("dampest_moisture"), 62, 41)
    it.note(it.of("movement_coefficient"), 62, 15)


def _slot(it: Sketch) -> None:
    y = 36.0
    it.ink.line("visible", (40, y - 5), (72, y - 5))
    it.ink.line("visible", (40, y + 5), (72, y + 5))
    for x, start in ((40, 90), (72, -90)):
        turns = [start + 180 * k / 16 for k in range(17)]
        it.ink.line("visible", *((x + 5 * cos(radians(t)), y + 5 * sin(radians(t)))
                                 for t in turns))  # fmt: skip
    it.circle(56, y, 4)
    it.ink.line("centre", (8, 26), (8, 50))
    it.across((8, y), (56, y), 22, it.of("plate_across"))
    it.across((35, y), (77, y), 48, it.of("slot_needed"))
    it.note(it.of("screw_shank"), 80, y - 1)
    it.note(", ".join(one for one in (it.of("driest_moisture"), it.of("shop_moisture"),
                                      it.of("dampest_moisture")) if one), 8, 10)  # fmt: skip
    it.note(it.of("movement_coefficient"), 8, 4)


def _trammel(it: Sketch) -> None:
    y = 30.0
    it.circle(10, y, 1.2)
    turns = [-24 + 2 * k for k in range(25)]
    it.ink.line("visible", *((10 + 48 * cos(radians(t)), y + 48 * sin(radians(t)))
                             for t in turns))  # fmt: skip
    it.circle(65, y, 7)
    it.ink.line("centre", (10, y), (82, y))
    it.across((10, y), (65, y), 12, it.of("trammel_centre"))
    it.across((10, y), (72, y), 12, it.of("pivot_to_far_side"))
    it.note(it.of("top_diameter"), 30, 46, "center")
    it.note(it.of("cutter_diameter"), 62, 46)
    it.note("pin", 10, y + 4, "center")


def _clamps(it: Sketch) -> None:
    for k, low in enumerate((14, 22, 32)):
        it.area(POST_TONES[k % 2], *_box(10, low, 70, (14, 22, 32, 42)[k + 1]))
    it.area(TOP_TONE, *_box(10, 42, 70, 46))
    for x in (24.0, 56.0):
        it.force((x, 52), (x, 46), "")
        it.ink.line("thin", (x - 14, 32), (x, 46), (x + 14, 32))
    it.across((10, 14), (70, 14), 6, it.of("joint_length"))
    it.note(it.of("caul_depth"), 72, 43)
    it.note(it.of("outer_strip"), 72, 36)
    it.note(it.of("top_thickness"), 72, 24)
    it.note(it.of("clamp_capacity"), 72, 50)
    it.note(it.of("clamp_pressure"), 72, 17)
    it.note(it.of("clamp_count"), 2, 50)


def _wood(it: Sketch) -> None:
    it.area(POST_TONES[0], *_box(10, 14, 24, 28))
    it.area(POST_TONES[1], (10, 28), (24, 28), (74, 46), (60, 46))
    it.area(POST_TONES[2], (24, 14), (74, 32), (74, 46), (24, 28))
    it.across((10, 14), (24, 14), 7, it.of("part_width"))
    it.upright((10, 14), (10, 28), 5, it.of("part_thickness"))
    it.along((28, 11), (78, 29), it.of("part_length"))
    it.note(it.of("part_count"), 12, 46)
    it.note(it.of("part_volume", "board_feet"), 56, 8)


FIGURES: dict[str, Callable[[Sketch], None]] = {
    "table": _table, "notch": _notch, "flat": _flat, "foot circle": _foot_circle, "angle": _angle,
    "notch tilt": _notch_tilt, "saw": _saw, "sight line": _sight_line,
    "resultant": _resultant, "boring": _boring, "levelling": _levelling, "tipping": _tipping,
    "lever": _lever, "overhang": _overhang, "tilt": _tilt, "moisture": _moisture,
    "movement": _movement, "slot": _slot, "trammel": _trammel, "clamps": _clamps, "wood": _wood,
}  # fmt: skip


# -- the figure of a question ---------------------------------------------------------------------


def figure_of(exercise: Exercise) -> Ink | None:
    """The figure that goes with a question, mm on a paper of `WIDE` by `HIGH`; None where its kind
    has none. It says what the question says, and no more."""
    draw = FIGURES.get(exercise.kind.figure)
    if draw is None:
        return None
    sketch = Sketch(_said(exercise))
    draw(sketch)
    return sketch.ink


def figure_svg(exercise: Exercise) -> str:
    """The figure as SVG, to be set into a page; "" where there is none."""
    ink = figure_of(exercise)
    if ink is None:
        return ""
    box = ink.box()
    paper = Paper(box.width + 4, box.height + 4, margin=2)
    text = svg_bytes(InkedSheet(ink.moved(2 - box.left, 2 - box.low), paper)).decode()
    return text[text.index("<svg") :]


def described(exercise: Exercise) -> str:
    """The figure in words, for those who do not see it."""
    return f"A sketch, not to scale, with {', '.join(_said(exercise).values())}."


def figure_on(exercise: Exercise) -> Callable[[Paper], Ink]:
    """What lays the figure out on a paper, in its middle, somewhat smaller than on a screen."""

    def lay_out(paper: Paper) -> Ink:
        ink = _smaller(figure_of(exercise) or Ink())
        box = ink.box()
        return ink.moved((paper.width - box.width) / 2 - box.left, -box.low)

    return lay_out


def figure_height(exercise: Exercise) -> float:
    """How high the figure is on paper, mm."""
    ink = figure_of(exercise)
    return 0.0 if ink is None else _smaller(ink).box().height


def _smaller(ink: Ink) -> Ink:
    """The same to a smaller scale; letters shrink less, so that they can be read."""

    def scaled(points: Iterable[Point]) -> list[Point]:
        return [(_SCALE * x, _SCALE * y) for x, y in points]

    return Ink(
        {pen: [scaled(line) for line in group] for pen, group in ink.lines.items()},
        arrows=[scaled(arrow) for arrow in ink.arrows],
        areas=[(scaled(polygon), tone) for polygon, tone in ink.areas],
        labels=[
            replace(one, x=_SCALE * one.x, y=_SCALE * one.y, size=_LETTERS * one.size)
            for one in ink.labels
        ],
    )


def _said(exercise: Exercise) -> dict[str, str]:
    """What is written beside each part of a figure."""
    known = network(exercise.kind.topic).quantities
    letters = _letters(exercise)
    found = {
        name: f"{letters.get(name, known[name.removesuffix('_after')].letter)} = "
        f"{shop_text(number, known[name.removesuffix('_after')].unit, exercise.style)}"
        for name, number in exercise.givens.items()
    }
    asked = exercise.asked.letter
    return found | {exercise.asked.name: f"Δ{asked} = ?" if exercise.after else f"{asked} = ?"}


def _letters(exercise: Exercise) -> dict[str, str]:
    formula = exercise.formula
    return {} if formula is None else {name: letter for letter, name in formula.letters.items()}
