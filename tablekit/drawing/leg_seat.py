"""Setting out the sockets: the underside of the top with its socket circle, sight lines and mouths.

Seen from below, as it lies on the bench, so the numbers run clockwise. Points come from the solids,
texts from the sheet; only their places on the paper are worked out here.
"""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, pi, radians, sin

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import dimension, style
from tablekit.drawing.general import Layout
from tablekit.drawing.ink import Ink, Label, Point, ring
from tablekit.drawing.leg_scale import to_scale
from tablekit.drawing.style import Paper
from tablekit.planning.leg_work import LegWork
from tablekit.solids.legs import Leg, LegModel

Array = NDArray[np.float64]

# The arrow along the grain, beside the rim between the first two legs: its middle and half its
# length over the radius, and how far from the rim it is, mm on the paper.
GRAIN, GRAIN_LONG, GRAIN_PAST = (0.88, 0.75), 0.22, 4.0
CENTRE_PAST = 3.0
LEADER_PAST = 5.0
ARROW_PAST = 7.0  # beyond the rim, where a sight line says which way the foot is
UNDER_RULE = "Underside, seen from below, as it lies on the bench"


def lay_out_seat(work: LegWork, model: LegModel, paper: Paper) -> Layout:
    """The underside at the largest scale that fits. Raises ValueError when none does."""
    across = work.sheet.number("top_diameter")
    return to_scale(
        work, lambda _, scale: seat(work, model, scale), paper, UNDER_RULE,
        f"the sockets of {work.sheet.name or 'this piece'}", size=(across, across),
    )  # fmt: skip


def seat(work: LegWork, model: LegModel, scale: float) -> Ink:
    """The underside about the origin, mm on the paper, the grain from bottom to top."""
    ink, sheet = Ink(), work.sheet
    rim = sheet.number("top_diameter") / 2 * scale
    circle = sheet.number("socket_radius") * scale
    ink.areas.append((ring(rim), style.TOP_TONE))
    ink.line("visible", *ring(rim))
    ink.line("centre", *ring(circle))
    far = rim + CENTRE_PAST
    ink.line("centre", (0.0, -far), (0.0, far))
    ink.line("centre", (-far, 0.0), (far, 0.0))
    _grain(ink, rim)
    below = _Below(model, scale)
    for leg in model.legs:
        _socket(ink, model, leg, below, rim)
    first, second = (below.at(model.legs[k].socket) for k in (0, 1))
    _chord(ink, first, second, work.bare("socket_spread"))
    _radius(ink, work, below.at(model.legs[-1].socket), circle, rim)
    if not work.straight_out:
        _turn(ink, work, model.legs[0], below)
    return ink


class _Below:
    """The plan seen from below, socket 1 up the page, at a scale."""

    def __init__(self, model: LegModel, scale: float) -> None:
        x, y, _ = model.legs[0].socket
        self.scale, self.along = scale, (float(x) / hypot(x, y), float(y) / hypot(x, y))

    def at(self, point: Array) -> Point:
        """A point in space on the paper."""
        (x, y), (a, b) = (float(one) for one in point[:2]), self.along
        return (self.scale * (a * y - b * x), self.scale * (a * x + b * y))


def _grain(ink: Ink, rim: float) -> None:
    x, y, half = GRAIN[0] * rim + GRAIN_PAST, GRAIN[1] * rim, GRAIN_LONG * rim
    ink.line("thin", (x, y - half), (x, y + half))
    ink.arrow((x, y + half), (0.0, 1.0))
    ink.arrow((x, y - half), (0.0, -1.0))
    ink.labels.append(Label("grain", x + 1.5, y - 1.0, "left", colour=style.FAINT))


def _socket(ink: Ink, model: LegModel, leg: Leg, below: _Below, rim: float) -> None:
    """The mouth, its middle, the sight line with an arrow towards the foot, and the number."""
    mouth = [below.at(corner) for corner in model.mouth(leg)]
    ink.areas.append((mouth, style.PAPER))
    ink.line("visible", *mouth)
    x, y = below.at(leg.socket)
    u, v = below.at(leg.foot)
    length = hypot(u - x, v - y)
    way = ((u - x) / length, (v - y) / length)
    start, end = _through(x, y, way, rim)
    reach = end + ARROW_PAST
    tail = min(start, -6.0)
    ink.line(
        "thin", (x + tail * way[0], y + tail * way[1]), (x + reach * way[0], y + reach * way[1])
    )
    tip = (x + reach * way[0], y + reach * way[1])
    ink.arrow(tip, way)
    cross = 1.6
    ink.line(
        "thin", (x - cross * way[1], y + cross * way[0]), (x + cross * way[1], y - cross * way[0])
    )
    beyond = reach + style.BADGE + 1.2
    ink.badge((x + beyond * way[0], y + beyond * way[1]), str(leg.number))


def _through(x: float, y: float, way: Point, rim: float) -> Point:
    """How far a line goes from a point back to the point nearest the centre, and on to the rim."""
    along = x * way[0] + y * way[1]
    across = hypot(x, y) ** 2 - along**2
    return -along, max(rim**2 - across, 0.0) ** 0.5 - along


def _chord(ink: Ink, first: Point, second: Point, text: str) -> None:
    """From one socket straight to the next: what the compasses are set to."""
    a, b = sorted((first, second))
    dimension.along(ink, a, b, text)


def _radius(ink: Ink, work: LegWork, last: Point, circle: float, rim: float) -> None:
    """The socket circle, on a leader half way between two legs on the left, and the rim below."""
    x, y = last
    ray = atan2(y, x) - pi / work.count  # clockwise of the last leg, where no chord is
    out = rim + LEADER_PAST
    tip, elbow = ((r * cos(ray), r * sin(ray)) for r in (circle, out))
    dimension.leader(ink, tip, elbow, "R" + work.bare("socket_radius"), "socket circle")
    low = ink.box().low - style.FIRST_ROW + 3.0
    across = "Ø" + work.bare("top_diameter")
    dimension.across(ink, (-rim, 0.0), (rim, 0.0), low, across)


def _turn(ink: Ink, work: LegWork, leg: Leg, below: _Below) -> None:
    """How far the sight line of leg 1 is turned off its radius."""
    x, y = below.at(leg.socket)
    u, v = below.at(leg.foot)
    radius, line = (degrees(atan2(b, a)) for a, b in ((x, y), (u - x, v - y)))
    start, end = sorted((radius, line))
    arc = 13.0
    turn = radians(radius)
    ink.line("thin", (x, y), (x + (arc + 2) * cos(turn), y + (arc + 2) * sin(turn)))
    dimension.angle(ink, (x, y), start, end, arc, work.text("sight_turn"))
