"""Dimension lines after ISO 129-1 practice (from memory): text above the line, read from the bottom
or from the right; arrows turned outside where there is little room. Points and texts come from
the caller; nothing about the piece is worked out here. Lengths are millimetres on the paper.
"""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np

from tablekit.drawing import style
from tablekit.drawing.ink import Ink, Label, Point, Tied


def across(
    ink: Ink, start: Point, end: Point, level: float, text: str, of: Tied | None = None
) -> None:
    """Dimension between two points, measured to the right, on a line at height `level`."""
    _extension(ink, start, (start[0], level))
    _extension(ink, end, (end[0], level))
    along(ink, (start[0], level), (end[0], level), text, of)


def upright(
    ink: Ink, start: Point, end: Point, at: float, text: str, of: Tied | None = None
) -> None:
    """Dimension between two points, measured upwards, on a line at `at` from the left."""
    _extension(ink, start, (at, start[1]))
    _extension(ink, end, (at, end[1]))
    along(ink, (at, start[1]), (at, end[1]), text, of)


def along(ink: Ink, start: Point, end: Point, text: str, of: Tied | None = None) -> None:
    """A dimension line straight from one point to the other.

    Text that does not fit between the arrows stands beyond `end`.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy)
    if length == 0:
        return
    way = (dx / length, dy / length)
    width = style.text_width(text)
    inside = length >= 2 * style.ARROW + 0.5
    fits = length >= width + 2 * style.TEXT_GAP + (2 * style.ARROW if inside else 0)
    tail = 2 * style.ARROW
    turned = 1 if inside else -1
    ink.grip(of, start, (-way[0], -way[1]))
    ink.grip(of, end, way)
    ink.arrow(start, (-way[0] * turned, -way[1] * turned))
    ink.arrow(end, (way[0] * turned, way[1] * turned))
    before = 0.0 if inside else tail
    after = 0.0 if inside and fits else tail
    if not fits:
        after += width + style.TEXT_GAP
    ink.line("thin", _on(start, way, -before), _on(end, way, after))
    middle = length / 2 if fits else length + after - width / 2
    _write_along(ink, _on(start, way, middle), way, text, of)


def _on(point: Point, way: Point, distance: float) -> Point:
    return (point[0] + distance * way[0], point[1] + distance * way[1])


def _write_along(ink: Ink, middle: Point, way: Point, text: str, of: Tied | None) -> None:
    """Text centred over `middle`, turned so that it reads from the bottom or from the right."""
    angle = degrees(atan2(way[1], way[0]))
    if angle > 90.01:
        angle -= 180
    elif angle < -89.99:
        angle += 180
    up = (-sin(radians(angle)), cos(radians(angle)))
    x, y = _on(middle, up, style.TEXT_GAP)
    ink.labels.append(Label(text, x, y, rotation=angle, quantity=_name(of)))


def _name(of: Tied | None) -> str:
    return of.quantity if of else ""


def _extension(ink: Ink, start: Point, end: Point) -> None:
    """From a little off the outline to a little past the dimension line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy)
    if length <= style.EXTENSION_GAP:
        return
    way = (dx / length, dy / length)
    ink.line(
        "thin",
        _on(start, way, style.EXTENSION_GAP),
        _on(end, way, style.EXTENSION_PAST),
    )


def leader(
    ink: Ink, tip: Point, elbow: Point, text: str, note: str = "", of: Tied | None = None
) -> None:
    """An arrow at `tip` from a shelf that begins at `elbow`: text over the shelf, note under it.

    The shelf runs away from the tip, to the right or to the left.
    """
    length = hypot(tip[0] - elbow[0], tip[1] - elbow[1])
    way = ((tip[0] - elbow[0]) / length, (tip[1] - elbow[1]) / length)
    ink.arrow(tip, way)
    ink.grip(of, tip, (-way[0], -way[1]))
    ink.line("thin", tip, *shelf(ink, elbow, 1 if elbow[0] >= tip[0] else -1, text, note, of))


def shelf(
    ink: Ink, start: Point, side: int, text: str, note: str = "", of: Tied | None = None
) -> tuple[Point, Point]:
    """Text over and note under a level line from `start`, to the right (side 1) or left (-1).

    Gives the two ends of that line for the caller to draw.
    """
    width = max(style.text_width(text), style.text_width(note)) + style.TEXT_GAP
    middle = start[0] + side * width / 2
    ink.labels.append(Label(text, middle, start[1] + style.TEXT_GAP, quantity=_name(of)))
    if note:
        drop = style.TEXT_GAP + style.CAP * style.TEXT * style.MM_PER_POINT
        ink.labels.append(Label(note, middle, start[1] - drop, colour=style.FAINT))
    return start, (start[0] + side * width, start[1])


def radial(
    ink: Ink,
    inner: Point,
    outer: Point,
    beyond: float,
    text: str,
    note: str,
    of: Tied | None = None,
) -> None:
    """Distance between two circles along a ray of theirs, its text on a shelf outside.

    beyond   from the outer point, along the ray, to the shelf
    """
    dx, dy = outer[0] - inner[0], outer[1] - inner[1]
    length = hypot(dx, dy)
    if length == 0:
        return
    way = (dx / length, dy / length)
    ink.arrow(inner, way)
    ink.arrow(outer, (-way[0], -way[1]))
    ink.grip(of, inner, (-way[0], -way[1]))
    ink.grip(of, outer, way)
    elbow = _on(outer, way, max(beyond, 2 * style.ARROW))
    ends = shelf(ink, elbow, 1 if elbow[0] >= inner[0] else -1, text, note, of)
    ink.line("thin", _on(inner, way, -2 * style.ARROW), *ends)


def angle(
    ink: Ink,
    corner: Point,
    start: float,
    end: float,
    radius: float,
    text: str,
    of: Tied | None = None,
) -> None:
    """Angle from direction `start` to the larger `end`, degrees anticlockwise from the right.

    Where the arc is too short for two arrows they point at it from outside, and the text stands
    beyond `end`; else it stands outside the middle of the arc, level. It is drawn out at `start`.
    """

    def at(direction: float) -> Point:
        return _on(corner, (cos(radians(direction)), sin(radians(direction))), radius)

    def heading(direction: float) -> Point:
        return (-sin(radians(direction)), cos(radians(direction)))

    # An arrow head is straight and the arc is not: its own turn is half of what it spans.
    turn = degrees(style.ARROW / radius)
    inside = end - start >= 2.6 * turn
    sign = 1 if inside else -1
    for direction, way in ((start, -sign), (end, sign)):
        a, b = heading(direction - way * turn / 2)
        ink.arrow(at(direction), (way * a, way * b))
    ink.grip(of, at(start), (sin(radians(start)), -cos(radians(start))))  # against the heading
    spare = 0.0 if inside else 2.2 * turn
    ink.line("thin", *[at(d) for d in np.linspace(start - spare, end + spare, 32)])
    if inside:
        middle = radians((start + end) / 2)
        _write_outside(ink, corner, (cos(middle), sin(middle)), radius, text, of)
    else:
        x, y = at(end + spare)
        side = -1 if heading(end)[0] < 0 else 1
        anchor = "right" if side < 0 else "left"
        where = x + side * style.TEXT_GAP, y - style.CAP * style.TEXT * style.MM_PER_POINT / 2
        ink.labels.append(Label(text, *where, anchor, quantity=_name(of)))


def _write_outside(
    ink: Ink, centre: Point, way: Point, radius: float, text: str, of: Tied | None
) -> None:
    """Level text just outside a circle."""
    width, height = style.text_width(text), style.CAP * style.TEXT * style.MM_PER_POINT
    clear = style.TEXT_GAP + (abs(way[0]) * width + abs(way[1]) * height) / 2
    x, y = _on(centre, way, radius + clear)
    ink.labels.append(Label(text, x, y - height / 2, quantity=_name(of)))
