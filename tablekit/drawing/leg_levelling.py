"""Marking the feet: a leg as turned, standing on the inner edge of its end, block and pencil.

Seen square to its sight line, the outer side to the right. Lengths come from the sheets.
"""

from __future__ import annotations

from math import cos, radians, sin

from tablekit.drawing import dimension, style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.leg_scale import to_scale
from tablekit.drawing.style import Paper
from tablekit.drawing.unrolled import hatch
from tablekit.planning.leg_work import LegWork

HATCH = 2.5
SHOWN = 2.2  # of the foot's diameter, drawn above the board
PENCIL, PENCIL_LONG, POINT = 7.0, 52.0, 14.0  # mm, a pencil and its sharpened end
ALL_ROUND, ELBOW = "line all round", (12.0, 13.0)  # what points at the line, and from where
BLOCK, BETWEEN = 46.0, 16.0  # mm, how long the block is and how far from the leg


def lay_out_levelling(work: LegWork, paper: Paper) -> Layout:
    """The foot at the largest scale that fits. Raises ValueError when none does."""
    said = "One foot on the board, its outer side to the right"
    return to_scale(work, foot, paper, said, "a foot", most=2.0)


class _Frame:
    """The plane of the sight line about the inner edge on which the leg stands: full size in mm, on
    the paper at a scale."""

    def __init__(self, work: LegWork, scale: float) -> None:
        lean = radians(work.sheet.number("leg_resultant"))
        self.scale, self.along, self.across = scale, (-sin(lean), cos(lean)), (cos(lean), sin(lean))
        self.taper = work.sheet.number("leg_taper")
        self.radius = work.stations[-1][1] / 2

    def at(self, along: float, side: float) -> Point:
        """On the inner (side -1) or outer (1) border of the leg, or on its axis (0), so far from
        its end along the axis."""
        aside = self.radius + side * (self.radius + self.taper * along)
        x, y = (self.scale * (along * self.along[k] + aside * self.across[k]) for k in (0, 1))
        return (x, y)

    def level(self, height: float, side: float) -> Point:
        """The same border at a height over the board."""
        rise = self.along[1] + side * self.taper * self.across[1]
        start = (self.radius + side * self.radius) * self.across[1]
        return self.at((height - start) / rise, side)


def foot(work: LegWork, scale: float) -> Ink:
    """The lower end of a leg on its board, with block and pencil, mm on the paper."""
    ink, frame, block = Ink(), _Frame(work, scale), work.bench.number("block_height")
    tall = SHOWN * work.sheet.number("foot_diameter") + 2 * block
    body = [frame.at(0.0, -1), frame.at(0.0, 1), frame.level(tall, 1), frame.level(tall, -1)]
    ink.areas.append((body, style.POST_TONES[0]))
    line = frame.level(block, -1), frame.level(block, 1)
    waste = [body[0], body[1], line[1], line[0]]
    hatch(ink, waste, HATCH)
    ink.line("visible", body[3], body[0], body[1], body[2])
    ink.line("thin", body[2], body[3])
    ink.line("visible", *line)
    ink.line("centre", frame.at(-4.0 / scale, 0), frame.at(tall / frame.along[1], 0))
    beyond = line[1][0] + ELBOW[0] + style.text_width(ALL_ROUND) + 3.0
    right = max(_pencil(ink, line[1], scale, block), beyond)
    left = body[3][0] - 14.0
    ink.line("visible", (left, 0.0), (right + 16.0, 0.0))
    ink.labels.append(Label("flat board", left, -4.6, "left", colour=style.FAINT))
    _sizes(ink, work, frame, line, right)
    return ink


def _pencil(ink: Ink, line: Point, scale: float, block: float) -> float:
    """A pencil on its block, its point on the line; gives the right end."""
    thick = min(PENCIL, block) * scale
    x, y = line[0], line[1]
    start = x + POINT * scale
    end = x + PENCIL_LONG * scale
    ink.line("visible", (x, y), (start, y + thick / 2), (end, y + thick / 2), (end, y - thick / 2),
             (start, y - thick / 2), (x, y))  # fmt: skip
    low = y - thick / 2
    left = x + BETWEEN * scale
    if low > 0.3:
        corners = [
            (left, 0.0),
            (left + BLOCK * scale, 0.0),
            (left + BLOCK * scale, low),
            (left, low),
        ]
        ink.areas.append((corners, style.TOP_TONE))
        ink.line("visible", *corners, corners[0])
    return max(end, left + BLOCK * scale)


def _sizes(ink: Ink, work: LegWork, frame: _Frame, line: tuple[Point, Point], right: float) -> None:
    """The height of the line, and what comes off the inner side."""
    high = work.bare("block_height")
    ink.line("thin", (right + 1.0, line[1][1]), (right + 11.0, line[1][1]))
    dimension.along(ink, (right + 9.0, 0.0), (right + 9.0, line[1][1]), high)
    out = 7.0
    ends = [
        (x - out * frame.across[0], y - out * frame.across[1])
        for x, y in (frame.at(0.0, -1), line[0])
    ]
    for start, end in zip((frame.at(0.0, -1), line[0]), ends, strict=True):
        ink.line("thin", start, (end[0] - 1.2 * frame.across[0], end[1] - 1.2 * frame.across[1]))
    dimension.along(ink, ends[0], ends[1], "")
    beside = min(x for x, _ in ends) - 2.0
    middle = max((ends[0][1] + ends[1][1]) / 2 - 1.0, 1.2)  # above the line of the board
    ink.labels.append(Label(work.bare("foot_off"), beside, middle, "right"))
    x, y = line[1]
    tip = (x + 0.25 * (line[0][0] - x), y)
    dimension.leader(ink, tip, (x + ELBOW[0], y + ELBOW[1]), ALL_ROUND, "saw here")
