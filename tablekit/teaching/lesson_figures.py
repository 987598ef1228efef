"""Figures for the lessons: a cube on its corner, the triangles in it, and what a post takes from
them.

Each is drawn by the kit's own pens, in letters and without sizes, so that it holds for every piece.
Lengths are millimetres on the paper. `points` says where each lettered point lies on it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from math import atan2, cos, hypot, pi, radians, sin, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label, printed, ring
from tablekit.drawing.label import Point
from tablekit.drawing.live import SCREEN_DPI
from tablekit.drawing.style import Paper

if TYPE_CHECKING:
    from IPython.display import Image

Array = NDArray[np.float64]
MARGIN = 3.0
WIDEST = 122.0  # 480 dots on a screen: a telephone shows it nearly as large as it is drawn
SQUARE = radians(90)
LEAN = atan2(sqrt(2), 1)  # of the edges of a cube that stands on its corner: tan θ = √2
LETTER = 10.0  # points, for the names of corners
DOT = 0.7
# From which side a solid is seen: so far round, and so far above level.
AROUND, ABOVE = radians(18), radians(14)


@dataclass
class LessonFigure:
    """A figure in the making.

    alt      what it shows, for those who cannot see it
    points   where the lettered points lie, mm on the paper
    """

    alt: str
    ink: Ink = field(default_factory=Ink)
    points: dict[str, Point] = field(default_factory=dict)

    def name(self, letter: str, at: Point, towards: Point = (0.0, 0.0), far: float = 3.4) -> None:
        """A dot with its letter beside it, on the side of `towards`. A prime tells a point drawn
        twice apart in `points` and is not written."""
        self.points[letter] = at
        self.ink.areas.append(([(at[0] + x, at[1] + y) for x, y in ring(DOT, 16)], style.INK))
        self.write(letter.removesuffix("′"), at, towards, far, LETTER)

    def write(
        self, text: str, at: Point, towards: Point, far: float = 3.4, size: float = style.TEXT
    ) -> None:
        """A text whose middle lies `far` from a point, or farther where it is long."""
        long = hypot(*towards) or 1.0
        right, up = towards[0] / long, towards[1] / long
        tall = style.CAP * size * style.MM_PER_POINT
        label = Label(text, 0, 0, size=size)
        reach = far + max(0.0, label.width / 2 - tall) * abs(right)
        x, y = at[0] + reach * right, at[1] + reach * up - tall / 2
        self.ink.labels.append(Label(text, x, y, size=size))

    def along(self, text: str, one: Point, other: Point, side: Point, far: float = 3.0) -> None:
        """A text beside the middle of a line, on the side of a point."""
        middle = between(one, other)
        across = (one[1] - other[1], other[0] - one[0])
        inward = across[0] * (side[0] - middle[0]) + across[1] * (side[1] - middle[1])
        self.write(text, middle, across if inward > 0 else (-across[0], -across[1]), far)

    def angle(
        self, at: Point, one: Point, other: Point, text: str, radius: float = 7.0, far: float = 3.2
    ) -> None:
        """An arc from one leg of an angle to the other, with its name beyond it."""
        start, turn = _turn(at, one, other)
        arc = [
            (
                at[0] + radius * cos(start + turn * k / 24),
                at[1] + radius * sin(start + turn * k / 24),
            )
            for k in range(25)
        ]
        self.ink.line("thin", *arc)
        self.write(text, arc[12], (cos(start + turn / 2), sin(start + turn / 2)), far)

    def right_angle(self, at: Point, one: Point, other: Point, size: float = 2.6) -> None:
        """The small square in a right angle; slanted where the angle is seen aslant."""
        first, second = _step(at, one, size), _step(at, other, size)
        far = (first[0] + second[0] - at[0], first[1] + second[1] - at[1])
        self.ink.line("thin", first, far, second)

    @property
    def paper(self) -> Paper:
        """As large as what is drawn, with a margin, and never narrower than `WIDEST`."""
        box = self.ink.box()
        return Paper(max(WIDEST, box.width + 2 * MARGIN), box.height + 2 * MARGIN, margin=MARGIN)

    def laid_out(self) -> Ink:
        """What is drawn, in the middle of its paper."""
        box, paper = self.ink.box(), self.paper
        return self.ink.moved((paper.width - box.left - box.right) / 2, MARGIN - box.low)

    def shown(self) -> Image:
        """As a notebook shows it: a picture of twice as many dots as it takes room."""
        from IPython.display import Image
        from matplotlib.backends.backend_agg import FigureCanvasAgg

        figure = printed(self.laid_out(), self.paper)
        figure.set_dpi(2 * SCREEN_DPI)
        into = BytesIO()
        # Without the name of what wrote it, so that the bytes change only with the drawing.
        FigureCanvasAgg(figure).print_png(into, metadata={"Software": None})
        wide = round(self.paper.width / 25.4 * SCREEN_DPI)
        return Image(data=into.getvalue(), format="png", width=wide, alt=self.alt)


def between(one: Point, other: Point, share: float = 0.5) -> Point:
    """A point on the way from one to the other."""
    return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])


def _step(start: Point, towards: Point, far: float) -> Point:
    long = hypot(towards[0] - start[0], towards[1] - start[1])
    return between(start, towards, far / long)


def _turn(at: Point, one: Point, other: Point) -> tuple[float, float]:
    """The direction of one leg of an angle, and the turn from it to the other, the short way."""
    start = atan2(one[1] - at[1], one[0] - at[0])
    turn = atan2(other[1] - at[1], other[0] - at[0]) - start
    return start, (turn + pi) % (2 * pi) - pi


def seen(point: Sequence[float] | Array, scale: float, above: float = ABOVE) -> Point:
    """A point in space (x right, y away, z up) as seen from a little to one side and above."""
    x, y, z = point
    right = x * cos(AROUND) + y * sin(AROUND)
    away = -x * sin(AROUND) + y * cos(AROUND)
    return scale * right, scale * (z * cos(above) + away * sin(above))


def leaning(lean: float, turns: Sequence[float] = (-30, 90, 210)) -> list[Array]:
    """Directions one long that lean from plumb, each turned so far about it, in degrees."""
    level, up = sin(lean), cos(lean)
    return [np.array([level * cos(radians(t)), level * sin(radians(t)), up]) for t in turns]


# -- the cube on its corner -----------------------------------------------------------------------


def cube_on_its_corner() -> LessonFigure:
    """A cube whose long diagonal OB is plumb, and the triangle OAB out of it in its true shape."""
    it = LessonFigure(
        "Left: a cube stands on its corner O; the opposite corner B is plumb above it, and A is "
        "the far end of an edge. Right: the triangle OAB, with sides a, a√2 and a√3, a right angle "
        "at A, the angle θ at O, and the point C on OB level with A."
    )
    _cube(it, 29.0)
    _true_triangle(it, (52.0, 0.0), 29.0)
    return it


def _cube(it: LessonFigure, edge: float) -> None:
    first, second, third = leaning(LEAN)
    corner = {
        "O": 0 * first, "A": first, "B": first + second + third, "2": second, "3": third,
        "12": first + second, "23": second + third, "31": third + first,
    }  # fmt: skip
    at = {name: seen(point, edge) for name, point in corner.items()}
    it.ink.areas.append(([at["O"], at["A"], at["B"]], style.POST_TONES[0]))
    for ends in ("2 12", "2 23"):
        it.ink.line("hidden", *(at[name] for name in ends.split()))
    for ends in ("A 12", "A 31", "3 31", "3 23", "12 B", "23 B", "31 B"):
        it.ink.line("thin", *(at[name] for name in ends.split()))
    for ends in ("O A", "O 2", "O 3", "A B"):
        it.ink.line("visible", *(at[name] for name in ends.split()))
    it.ink.line("centre", at["O"], at["B"])
    it.right_angle(at["A"], at["O"], at["B"])
    for name, towards in (("O", (0, -1)), ("A", (1, -0.4)), ("B", (0, 1))):
        it.name(name, at[name], towards)
    it.along("a", at["O"], at["A"], at["B"], -3.0)


def _true_triangle(it: LessonFigure, at: Point, edge: float) -> None:
    bottom, top = at, (at[0], at[1] + sqrt(3) * edge)
    end = (at[0] + edge * sin(LEAN), at[1] + edge * cos(LEAN))
    foot = (at[0], end[1])
    it.ink.areas.append(([bottom, end, top], style.POST_TONES[0]))
    it.ink.line("visible", bottom, end, top, bottom)
    it.ink.line("hidden", foot, end)
    it.right_angle(end, bottom, top)
    it.right_angle(foot, end, top)
    it.angle(bottom, end, top, "θ", 8.0)
    it.along("a", bottom, end, top, -3.0)
    it.along("a√2", end, top, bottom, -4.0)
    it.write("a√3", between(bottom, top, 0.62), (-1, 0), 3.0)
    for name, point, towards in (
        ("O′", bottom, (0, -1)), ("A′", end, (1, -0.3)), ("B′", top, (0, 1)), ("C′", foot, (-1, 0)),
    ):  # fmt: skip
        it.name(name, point, towards)


# -- the height of a post -------------------------------------------------------------------------


def post_on_its_corner() -> LessonFigure:
    """A post seen from the side, with what its length and its two sides rise."""
    it = LessonFigure(
        "A post that stands on its lowest corner E, from the side. The way from E to the highest "
        "corner H goes along its length L and along two sides w; their rises L/√3, w/√3 and w/√3 "
        "are marked one above the other."
    )
    long, side = 62.0, 11.0
    up = (long * sin(LEAN), long * cos(LEAN))
    # Both sides of the end are seen on one line: each rises side/√3 and goes back side/√6.
    back = (-side / sqrt(6), side / sqrt(3))
    low = (0.0, 0.0)
    right = up
    middle, high = (up[0] + back[0], up[1] + back[1]), (up[0] + 2 * back[0], up[1] + 2 * back[1])
    left = (2 * back[0], 2 * back[1])
    it.ink.areas.append(([low, right, high, left], style.POST_TONES[0]))
    it.ink.line("visible", low, right, high, left, low)
    it.ink.line("visible", back, middle)
    it.along("L", low, right, high, -3.4)
    far = right[0] + 14.0
    for start, end, text in ((low, right, "L/√3"), (right, middle, "w/√3"), (middle, high, "w/√3")):
        _rise(it, far, start, end, text)
    it.ink.line("thin", (-8.0, 0.0), (far + 2, 0.0))
    it.name("E", low, (0, -1))
    it.name("H", high, (0, 1))
    return it


def _rise(it: LessonFigure, far: float, start: Point, end: Point, text: str) -> None:
    """How much higher one point is than another, at the right of the figure."""
    for point in (start, end):
        it.ink.line("thin", (point[0] + 1, point[1]), (far + 2, point[1]))
    it.ink.line("thin", (far, start[1]), (far, end[1]))
    if end[1] - start[1] > 3 * style.ARROW:
        it.ink.arrow((far, end[1]), (0.0, 1.0))
        it.ink.arrow((far, start[1]), (0.0, -1.0))
    it.ink.labels.append(Label(text, far + 3, (start[1] + end[1]) / 2 - 1.1, "left"))


# -- two posts ------------------------------------------------------------------------------------


def two_posts() -> LessonFigure:
    """Two posts one long, in plan and in the triangle between them."""
    it = LessonFigure(
        "Left: from above, the ends P, Q and R of three posts lie on a circle round the plumb "
        "line at C, sin θ from it; M is midway between P and Q, and the angle MCP is 60°. Right: "
        "the two posts OP and OQ, each 1 long, with the angle φ between them, halved by OM."
    )
    _plan(it, 20.0)
    _two_in_one_plane(it, (62.0, -15.0), 33.0)
    return it


def _plan(it: LessonFigure, radius: float) -> None:
    ends = [(radius * cos(radians(t)), radius * sin(radians(t))) for t in (30, 150, 270)]
    middle = between(ends[0], ends[1])
    it.ink.line("thin", *ring(radius, 90))
    it.ink.areas.append(([(0.0, 0.0), ends[0], middle], style.POST_TONES[0]))
    for end in ends:
        it.ink.line("visible", (0.0, 0.0), end)
    it.ink.line("thin", ends[0], ends[1])
    it.ink.line("hidden", (0.0, 0.0), middle)
    it.right_angle(middle, ends[0], (0.0, 0.0))
    it.angle((0.0, 0.0), ends[0], middle, "60°", 4.0, 2.6)
    it.along("sin θ", (0.0, 0.0), ends[0], middle, -3.4)
    for name, point, towards in (
        ("C", (0.0, 0.0), (-1, -0.7)), ("P", ends[0], (1, 0.4)), ("Q", ends[1], (-1, 0.4)),
        ("R", ends[2], (0, -1)), ("M", middle, (0, 1)),
    ):  # fmt: skip
        it.name(name, point, towards, 2.6 if name == "M" else 3.4)


def _two_in_one_plane(it: LessonFigure, at: Point, length: float) -> None:
    half = SQUARE / 2  # drawn for the square crossing
    ends = [(at[0] + way * length * sin(half), at[1] + length * cos(half)) for way in (1, -1)]
    middle = between(ends[0], ends[1])
    it.ink.areas.append(([at, ends[0], middle], style.POST_TONES[0]))
    it.ink.line("visible", ends[0], at, ends[1])
    it.ink.line("thin", *ends)
    it.ink.line("hidden", at, middle)
    it.right_angle(middle, ends[0], at)
    it.angle(at, ends[0], middle, "φ/2", 9.0)
    it.along("1", at, ends[0], middle, -3.0)
    it.along("1", at, ends[1], middle, -3.0)
    for name, point, towards in (
        ("O", at, (0, -1)), ("P′", ends[0], (1, 0.4)), ("Q′", ends[1], (-1, 0.4)),
        ("M′", middle, (0, 1)),
    ):  # fmt: skip
        it.name(name, point, towards, 2.6 if name == "M′" else 3.4)


# -- the joint ------------------------------------------------------------------------------------


def axes_round_a_cube() -> LessonFigure:
    """Three edges of a small cube that do not meet, drawn out as the axes of the posts."""
    it = LessonFigure(
        "A small cube of side e on its corner. Three of its edges, of which no two meet, are drawn "
        "out to be the axes of posts 1, 2 and 3. On the axis of post 1, N and S are the two ends "
        "of the edge and W is its middle; the plumb line goes through the corners that no axis "
        "touches."
    )
    edge = 25.0
    first, second, third = leaning(LEAN)
    corner = {
        "O": 0 * first, "1": first, "2": second, "3": third, "12": first + second,
        "23": second + third, "31": third + first, "B": first + second + third,
    }  # fmt: skip
    at = {name: seen(point, edge) for name, point in corner.items()}
    for ends in ("O 1", "O 2", "O 3", "12 B", "23 B", "31 B", "1 12", "2 23", "3 31"):
        it.ink.line("thin", *(at[name] for name in ends.split()))
    # Three edges that touch neither end of the plumb diagonal nor one another; of the two such
    # sets, that of a right-hand base, whose post 1 carries post 2.
    for number, (start, way) in enumerate((("2", first), ("3", second), ("1", third)), 1):
        low, high = (seen(corner[start] + share * way, edge) for share in (-0.6, 1.7))
        it.ink.line("visible", low, high)
        it.ink.badge(_step(high, low, -3.2), str(number))
    it.ink.line("centre", _step(at["O"], at["B"], -6.0), _step(at["B"], at["O"], -6.0))
    it.name("N", at["2"], (-0.3, 1))
    it.name("S", at["12"], (-0.3, 1))
    it.name("W", between(at["2"], at["12"]), (-0.3, 1))
    it.write("e", between(at["O"], at["1"]), (1, -1), 2.8)
    it.write("plumb line", _step(at["O"], at["B"], -6.0), (0, -1), 2.6)
    return it


def notch_and_seat() -> LessonFigure:
    """A stretch of a post with its notch, and the part of its side that lies in the next post."""
    it = LessonFigure(
        "A length of post from the side. Its notch, w long and half as deep as the post, is cut "
        "into its upper edge. Its seat, w long, is hatched on the face turned to the reader. The "
        "middle N of the notch and the middle S of the seat are w/2 apart, so the two overlap "
        "by w/2."
    )
    side, reach = 24.0, 50.0
    notch, seat = -side / 4, side / 4
    half = side / 2
    outline = [
        (-reach, -half), (reach, -half), (reach, half), (notch + half, half), (notch + half, 0.0),
        (notch - half, 0.0), (notch - half, half), (-reach, half),
    ]  # fmt: skip
    it.ink.areas.append((outline, style.POST_TONES[0]))
    it.ink.line("visible", (reach, -half), *outline[2:], (-reach, -half))
    it.ink.line("visible", (-reach, -half), (reach, -half))
    seated = [(seat - half, -half), (seat + half, -half), (seat + half, half), (notch + half, half),
              (notch + half, 0.0), (seat - half, 0.0)]  # fmt: skip
    it.ink.areas.append((seated, style.POST_TONES[1]))
    it.ink.line("hidden", *seated, seated[0])
    it.name("N", (notch, 0.0), (0, 1), 3.4)
    it.name("S", (seat, -half / 2), (0, -1), 3.4)
    _length(it, notch - half, notch + half, half, 6.0, "notch, w")
    _length(it, seat - half, seat + half, -half, -6.0, "seat, w")
    _length(it, seat - half, notch + half, half, 13.0, "w/2")
    _length(it, notch, seat, -half, -13.0, "e = w/2")
    it.write("to the foot", (-reach + 10, 0), (0, 1), 0.0)
    it.write("to the head", (reach - 12, 0), (0, 1), 0.0)
    return it


def _length(
    it: LessonFigure, left: float, right: float, edge: float, off: float, text: str
) -> None:
    """A length along the post, marked above or below it."""
    level = edge + off
    for x in (left, right):
        it.ink.line("thin", (x, edge + off / 8), (x, level + off / abs(off)))
    it.ink.line("thin", (left, level), (right, level))
    it.ink.arrow((left, level), (-1.0, 0.0))
    it.ink.arrow((right, level), (1.0, 0.0))
    it.ink.labels.append(Label(text, right + 2, level - 1.1, "left"))


# -- the circle of the feet -----------------------------------------------------------------------


def foot_circle() -> LessonFigure:
    """The way from the middle of the joint to the corner that a post stands on."""
    it = LessonFigure(
        "Left: a box with sides x, three quarters of w and a quarter of w, along the directions of "
        "the three posts; its diagonal goes from the middle of the joint J to the lowest corner F "
        "of a foot. Not to scale. Right: the same diagonal JF, the plumb line from J down to G on "
        "the floor, and the radius r from G to F."
    )
    _box(it)
    top, floor, foot = (58.0, 8.0), (58.0, -28.0), (94.0, -28.0)
    it.ink.areas.append(([top, floor, foot], style.POST_TONES[0]))
    it.ink.line("visible", top, floor, foot, top)
    it.right_angle(floor, top, foot)
    it.along("s", top, foot, floor, -3.4)
    it.along("h", top, floor, foot, -3.0)
    it.along("r", floor, foot, top, -3.4)
    for name, point, towards in (
        ("J′", top, (0, 1)), ("G", floor, (-1, -0.6)), ("F′", foot, (1, -0.6)),
    ):  # fmt: skip
        it.name(name, point, towards)
    return it


def _box(it: LessonFigure) -> None:
    """A box seen aslant, its sides down along the three posts."""
    down = [-way for way in leaning(LEAN, (175, 55, -65))]
    sides = [down[0] * 44.0, down[1] * 27.0, down[2] * 14.0]

    def place(*which: int) -> Point:
        return seen(sum((sides[k] for k in which), np.zeros(3)), 1.0)

    for one, other in (((1,), (0, 1)), ((1,), (1, 2)), ((2,), (0, 2)), ((2,), (1, 2)),
                       ((0,), (0, 2)), ((0, 2), (0, 1, 2)), ((1, 2), (0, 1, 2)), ((), (1,)),
                       ((), (2,))):  # fmt: skip
        it.ink.line("thin", place(*one), place(*other))
    start, corner, second, end = place(), place(0), place(0, 1), place(0, 1, 2)
    it.ink.line("visible", start, corner, second, end)
    it.ink.line("centre", start, end)
    it.write("x", between(start, corner), (0.6, 1), 3.0)
    it.write("¾ w", between(corner, second), (1, -0.9), 7.6)
    it.write("¼ w", between(second, end), (1, -0.2), 4.4)
    it.name("J", start, (0, 1))
    it.name("F", end, (-0.3, -1))


# -- the flat -------------------------------------------------------------------------------------


def flat_of_a_foot() -> LessonFigure:
    """The corner of a foot cut level, and the flat in its true shape with the pad in it."""
    it = LessonFigure(
        "Left: the lowest corner F of a foot, cut level at the height d; the cut meets the three "
        "edges at U, V and X, each d√3 from F. Right: the flat UVX in its true shape, an "
        "equilateral triangle with sides d√6, its largest circle of radius f/2 round Z, which "
        "touches the side UV in its middle M, and the angle of 30° at U."
    )
    _cut_corner(it, 15.0)
    _true_flat(it, (64.0, 12.0), 15.0 * sqrt(6))
    return it


def _cut_corner(it: LessonFigure, depth: float) -> None:
    above = radians(35)
    ways = leaning(LEAN, (-110, 10, 130))
    ends = [seen(way, depth * sqrt(3), above) for way in ways]
    far = [seen(way, depth * sqrt(3) * 1.4, above) for way in ways]
    it.ink.areas.append((ends, style.POST_TONES[1]))
    it.ink.line("visible", *ends, ends[0])
    for one, end in zip(ends, far, strict=True):
        it.ink.line("hidden", one, end)
    for one, pen in zip(ends, ("visible", "visible", "hidden"), strict=True):
        it.ink.line(pen, (0.0, 0.0), one)
    left, level = ends[0][0] - 10.0, seen((0.0, 0.0, 1.0), depth, above)[1]
    for high in (0.0, level):
        it.ink.line("thin", (left - 2, high), (0.0, high))
    it.ink.line("thin", (left, 0.0), (left, level))
    it.ink.arrow((left, level), (0.0, 1.0))
    it.ink.arrow((left, 0.0), (0.0, -1.0))
    it.write("d", (left, level / 2), (-1, 0), 3.0)
    it.along("d√3", (0.0, 0.0), ends[1], (0.0, level), -4.4)
    for name, point, towards in (
        ("F", (0.0, 0.0), (0, -1)), ("U", ends[1], (1, -0.6)), ("V", ends[2], (-1, 0.5)),
        ("X", ends[0], (-1, -0.4)),
    ):  # fmt: skip
        it.name(name, point, towards)


def _true_flat(it: LessonFigure, at: Point, side: float) -> None:
    inner = side / (2 * sqrt(3))
    outer = 2 * inner
    ends = [
        (at[0] + outer * cos(radians(t)), at[1] + outer * sin(radians(t))) for t in (-30, 210, 90)
    ]
    middle = between(ends[0], ends[1])
    it.ink.areas.append((ends, style.POST_TONES[1]))
    it.ink.line("visible", *ends, ends[0])
    it.ink.line("thin", *((at[0] + x, at[1] + y) for x, y in ring(inner, 90)))
    it.ink.line("hidden", at, ends[0])
    it.ink.line("hidden", at, middle)
    it.right_angle(middle, ends[0], at)
    it.angle(ends[0], at, middle, "30°", 9.0, 3.6)
    it.along("f/2", at, middle, ends[0], -3.6)
    it.along("d√6", ends[1], ends[2], ends[0], -4.4)
    it.along("d√6/2", middle, ends[0], at, -3.4)
    for name, point, towards in (
        ("U′", ends[0], (1, -0.5)), ("V′", ends[1], (-1, -0.5)), ("X′", ends[2], (0, 1)),
        ("Z", at, (0, 1)), ("M", middle, (-0.4, -1)),
    ):  # fmt: skip
        it.name(name, point, towards)


# -- the compound notch ---------------------------------------------------------------------------


def three_directions(lean: float = radians(40)) -> LessonFigure:
    """The pyramid on three directions one long, and the triangle square to one of its edges."""
    it = LessonFigure(
        "Left: three directions OP, OQ and OR of posts, each 1 long, with the angle φ between any "
        "two. From Q and R the perpendiculars on OP meet it in one point D. Right: the triangle "
        "QDR in its true shape: DQ and DR are sin φ, QR is 2 sin(φ/2), and the angle δ at D is "
        "that between the two planes that meet in OP."
    )
    ways = leaning(lean, (-75, 45, 165))
    end = [seen(way, 44.0) for way in ways]
    cosine = float(ways[0] @ ways[1])
    foot = seen(ways[0] * cosine, 44.0)
    it.ink.areas.append(([end[1], foot, end[2]], style.POST_TONES[0]))
    for one in end:
        it.ink.line("visible", (0.0, 0.0), one)
    it.ink.line("thin", *end, end[0])
    it.ink.line("hidden", end[1], foot, end[2])
    it.right_angle(foot, end[1], end[0])
    it.angle((0.0, 0.0), end[0], end[1], "φ", 13.0)
    for name, point, towards in (
        ("O", (0.0, 0.0), (0, -1)), ("P", end[0], (0.3, 1)), ("Q", end[1], (1, 0.2)),
        ("R", end[2], (-1, 0.2)), ("D", foot, (-1, 0.8)),
    ):  # fmt: skip
        it.name(name, point, towards)
    _across(it, (66.0, 8.0), cosine, 34.0)
    return it


def _across(it: LessonFigure, at: Point, cosine: float, scale: float) -> None:
    long, half = scale * sqrt(1 - cosine**2), scale * sqrt((1 - cosine) / 2)
    high = sqrt(long**2 - half**2)
    ends = (at[0] + half, at[1] + high), (at[0] - half, at[1] + high)
    middle = between(*ends)
    it.ink.areas.append(([at, *ends], style.POST_TONES[0]))
    it.ink.line("visible", at, *ends, at)
    it.ink.line("hidden", at, middle)
    it.right_angle(middle, ends[0], at)
    it.angle(at, ends[0], middle, "δ/2", 8.0)
    it.along("sin φ", at, ends[0], middle, -5.0)
    it.along("sin(φ/2)", middle, ends[0], at, -3.0)
    for name, point, towards in (
        ("D′", at, (0, -1)), ("Q′", ends[0], (1, 0.3)), ("R′", ends[1], (-1, 0.3)),
    ):  # fmt: skip
        it.name(name, point, towards)


# -- a splayed leg --------------------------------------------------------------------------------


def leg_in_two_views() -> LessonFigure:
    """The step of a splayed leg in plan, and the leg seen square to its sight line."""
    it = LessonFigure(
        "Left: from above, the way from the socket S to the foot F. It goes by h tan α along the "
        "rake axis to C, then by h tan β across it to F; the straight way SF is the run u on the "
        "sight line, at the angle γ from the rake axis. Right: the leg seen square to its sight "
        "line. The plumb line from the socket S meets the floor at G, the height h down; GF is the "
        "run u, SF the length L, and the leg leans by θ from plumb, so it makes 90° − θ with the "
        "underside."
    )
    high, along, across = 52.0, 26.0, 18.2  # tan α = 0.5, tan β = 0.35
    _step_in_plan(it, along, across)
    _square_to_the_sight_line(it, (50.0, -17.0), hypot(along, across), high)
    return it


def _step_in_plan(it: LessonFigure, along: float, across: float) -> None:
    socket, corner, foot = (0.0, 0.0), (along, 0.0), (along, across)
    it.ink.areas.append(([socket, corner, foot], style.POST_TONES[0]))
    it.ink.line("centre", (-9.0, 0.0), (along + 9.0, 0.0))
    it.ink.line("visible", socket, corner, foot)
    it.ink.line("centre", socket, foot)
    it.right_angle(corner, socket, foot)
    it.angle(socket, corner, foot, "γ", 9.0)
    it.along("h tan α", socket, corner, foot, -3.4)
    it.write("h tan β", between(corner, foot), (1, 0), 3.0)
    it.along("u", socket, foot, corner, -3.4)
    it.write("rake axis", (along / 2, -8.6), (0, -1), 0.0)
    for name, point, towards in (
        ("S", socket, (-0.6, 1)), ("C", corner, (1, -1)), ("F", foot, (0.3, 1)),
    ):  # fmt: skip
        it.name(name, point, towards)


def _square_to_the_sight_line(it: LessonFigure, at: Point, run: float, high: float) -> None:
    plumb, foot, socket = at, (at[0] + run, at[1]), (at[0], at[1] + high)
    rim = (socket[0] + run, socket[1])
    it.ink.areas.append(([plumb, foot, socket], style.POST_TONES[0]))
    it.ink.line("visible", socket, foot)
    it.ink.line("hidden", socket, plumb)
    it.ink.line("thin", (at[0] - 8.0, at[1]), (foot[0] + 8.0, at[1]))
    it.ink.line("thin", (socket[0] - 8.0, socket[1]), rim)
    it.right_angle(plumb, foot, socket)
    it.angle(socket, plumb, foot, "θ", 13.0)
    it.angle(socket, foot, rim, "90° − θ", 7.0, 4.6)
    it.along("h", socket, plumb, foot, -3.0)
    it.along("L", socket, foot, plumb, -3.4)
    it.along("u", plumb, foot, socket, -3.4)
    for name, point, towards in (
        ("S′", socket, (0, 1)), ("G", plumb, (-0.6, -1)), ("F′", foot, (0.6, -1)),
    ):  # fmt: skip
        it.name(name, point, towards)


# -- the slot -------------------------------------------------------------------------------------


def slot_of_a_screw() -> LessonFigure:
    """Where the screw stands in its slot in the shop, and how far it goes either way."""
    it = LessonFigure(
        "Left: half of a round top from above, its grain level; a screw lies y from the line "
        "through the middle, across the grain. Right: the slot enlarged, its length l across the "
        "grain. The screw, d thick, stands in its middle in the shop and goes by m, the larger of "
        "the two movements, to either side."
    )
    radius = 34.0
    it.ink.line("visible", *((x, y) for x, y in ring(radius, 180) if y > -1e-9), (-radius, 0.0))
    it.ink.line("centre", (-radius - 3, 0.0), (radius + 3, 0.0))
    for level in (0.3, 0.36, 0.42):
        it.ink.line("thin", (-20.0, level * radius), (-4.0, level * radius))
    it.write("grain", (-12.0, 0.42 * radius), (0, 1), 3.0)
    screw = (8.0, 22.0)
    it.ink.line("thin", *((screw[0] + x, screw[1] + y) for x, y in ring(1.4, 24)))
    it.ink.line("thin", (screw[0] + 8, 0.0), (screw[0] + 8, screw[1]))
    it.ink.line("thin", (screw[0] + 2.5, screw[1]), (screw[0] + 10, screw[1]))
    it.ink.arrow((screw[0] + 8, screw[1]), (0.0, 1.0))
    it.ink.arrow((screw[0] + 8, 0.0), (0.0, -1.0))
    it.write("y", (screw[0] + 8, screw[1] / 2), (1, 0), 3.0)
    _slot(it, (60.0, 17.0))
    return it


def _slot(it: LessonFigure, at: Point) -> None:
    shank, way = 5.0, 9.0
    end = way + shank
    round_end = [(at[0] + shank * cos(t), at[1] + way + shank * sin(t)) for t in _half_turn()]
    other = [(x, 2 * at[1] - y) for x, y in reversed(round_end)]
    it.ink.line("visible", *round_end, *other, round_end[0])
    it.ink.areas.append(([(at[0] + x, at[1] + y) for x, y in ring(shank)], style.POST_TONES[1]))
    it.ink.line("visible", *((at[0] + x, at[1] + y) for x, y in ring(shank)))
    for sign in (1, -1):
        circle = ((at[0] + x, at[1] + sign * way + y) for x, y in ring(shank))
        it.ink.line("hidden", *circle)
    right = at[0] + 12.0
    marks = (at[1] + end, at[1] + shank, at[1] - shank, at[1] - end)
    for high, low, text in zip(marks, marks[1:], ("m", "d", "m"), strict=False):
        _rise(it, right, (at[0] + 5, low), (at[0] + 5, high), text)
    left = at[0] - 11.0
    for level in (marks[0], marks[-1]):
        it.ink.line("thin", (left - 2, level), (at[0] - 1, level))
    it.ink.line("thin", (left, marks[-1]), (left, marks[0]))
    it.ink.arrow((left, marks[0]), (0.0, 1.0))
    it.ink.arrow((left, marks[-1]), (0.0, -1.0))
    it.write("l", (left, at[1]), (-1, 0), 3.0)


def _half_turn() -> list[float]:
    return [pi * k / 24 for k in range(25)]


FIGURES: Mapping[str, object] = {
    made.__name__: made
    for made in (
        cube_on_its_corner, post_on_its_corner, two_posts, axes_round_a_cube, notch_and_seat,
        foot_circle, flat_of_a_foot, three_directions, leg_in_two_views, slot_of_a_screw,
    )
}  # fmt: skip
