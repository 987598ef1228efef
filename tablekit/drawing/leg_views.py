"""Elevation and plan of a piece on splayed legs, dimensioned, each as `Ink` about its own origin.

As in `views.py`: points come from the solids, texts from the sheet. The elevation's origin is where
the centre line meets the floor, the plan's the centre. Leg 1 leans to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import copysign, cos, degrees, hypot, sin

import numpy as np

from tablekit.drawing import dimension, style
from tablekit.drawing.ink import Ink, Label, Tied, ring
from tablekit.drawing.outline import FRONT, PLAN, View, seen_faces, shows, silhouette
from tablekit.drawing.views import (
    CENTRE_PAST,
    DIAMETER,
    FOOT_RAY,
    HEAD_RAY,
    LEADER_PAST,
    OVERHANG_RAY,
    Arrangement,
    DrawnSheet,
    Picture,
    caption,
    circle_leader,
    cross,
    floor,
    heights,
    on_paper,
    picture,
    polar,
    traced,
)
from tablekit.planning.leg_work import STRAIGHT_OUT
from tablekit.relations.kinds import height_name
from tablekit.solids.legs import Leg, LegModel, build_legs

ARC = 24.0  # radius of the arc that shows the lean, mm on the paper, at the most
# Places for a leg's number, as shares of the way from its foot to its shoulder.
MARKS = (0.3, 0.45, 0.15, 0.6, 0.75)


@dataclass(frozen=True, eq=False)
class LegSubject(Arrangement):
    """A sheet on splayed legs with its solids and both pictures.

    legs   the piece in place
    """

    legs: LegModel

    def elevation(self, scale: float) -> Ink:
        """The view from the front."""
        return leg_elevation(self, scale)

    def from_above(self, scale: float) -> Ink:
        """The view from above, the top taken for glass."""
        return leg_plan(self, scale)


def leg_subject(sheet: DrawnSheet, model: LegModel | None = None) -> LegSubject:
    """Finds what is seen of the solids; builds them where they are not known."""
    model = model or build_legs(sheet)
    inches = sheet.shop("top_diameter").endswith(" in")
    return LegSubject(sheet, _picture(model, FRONT), _picture(model, PLAN), inches, model)


def _picture(model: LegModel, view: View) -> Picture:
    """What of a leg is in the top is seen through it in plan and not at all from the front."""
    count = len(model.legs)
    pieces = model.bodies[: 2 * count] if view is PLAN else model.bodies[: 2 * count : 2]
    each, faces = len(pieces) // count, seen_faces(pieces, view)
    of_legs = [[part for k in range(each) for part in faces[each * leg + k]]
               for leg in range(count)]  # fmt: skip
    return picture(model.bodies, view, of_legs)


# --- elevation -----------------------------------------------------------------------------------


def leg_elevation(it: LegSubject, scale: float) -> Ink:
    """The view from the front, leg 1 leaning to the right in the plane of the paper."""
    ink = traced(it.front, scale)
    shape = ink.box()
    top_level = it.sheet.number(height_name(it.sheet.kind)) * scale
    ink.line("centre", (0.0, -CENTRE_PAST), (0.0, top_level + CENTRE_PAST))
    _numbers(ink, it, scale)
    if it.sheet.number("sight_turn") < STRAIGHT_OUT:
        _lean(ink, it, scale)
    _diameters(ink, it, scale)
    sides = ink.box()
    left, right = sides.left - style.FIRST_ROW, sides.right + style.FIRST_ROW
    floor(ink, shape.left, shape.right)
    _rise(ink, it, scale, left)
    heights(ink, it, scale, right)
    radius = it.sheet.number("top_diameter") / 2 * scale
    level = top_level + style.FIRST_ROW
    across = DIAMETER + it.text("top_diameter")
    of = Tied("top_diameter", 2 / scale)  # both ends go out
    dimension.across(ink, (-radius, top_level), (radius, top_level), level, across, of)
    caption(ink, "Elevation", -CENTRE_PAST)
    return ink


def _numbers(ink: Ink, it: LegSubject, scale: float) -> None:
    """Each leg's number where most of its ring lies on what is seen of the leg."""
    reach = style.BADGE / scale
    around = ((0.0, 0.0), (reach, 0.0), (-reach, 0.0), (0.0, reach), (0.0, -reach))
    for leg, parts in zip(it.legs.legs, it.front.posts, strict=True):
        best, place = 0, leg.middle
        for share in MARKS:
            point = leg.foot + share * (leg.shoulder - leg.foot)
            x, y = on_paper(point, FRONT, 1.0)
            free = sum(shows(parts, (x + a, y + b)) for a, b in around)
            if free > best:
                best, place = free, point
        if best:
            ink.badge(on_paper(place, FRONT, scale), str(leg.number))


def _lean(ink: Ink, it: LegSubject, scale: float) -> None:
    """Between leg 1's axis and plumb, under its socket."""
    leg = it.legs.legs[0]
    (x, y), (u, v) = on_paper(leg.socket, FRONT, scale), on_paper(leg.foot, FRONT, scale)
    ink.line("centre", (x, y), (u, v))
    radius = min(ARC, 0.45 * hypot(u - x, v - y))
    ink.line("thin", (x, y), (x, y - radius - style.EXTENSION_PAST))
    lean = it.sheet.number("leg_resultant")
    turns = np.radians(np.linspace(-90.0, lean - 90.0, 24))
    ink.line("thin", *[(x + radius * cos(t), y + radius * sin(t)) for t in turns])
    of, end = Tied("leg_resultant", degrees(1 / radius)), turns[-1]
    ink.grip(of, (x + radius * cos(end), y + radius * sin(end)), (-sin(end), cos(end)))
    text = it.text(of.quantity)
    place = (x - style.TEXT_GAP, y - radius - 0.5)
    ink.labels.append(Label(text, *place, "right", quantity=of.quantity))


def _diameters(ink: Ink, it: LegSubject, scale: float) -> None:
    """Diameters of leg 1 at the underside and at the foot, on its outer side."""
    leg = it.legs.legs[0]
    upper, lower = it.text("leg_diameter"), it.text("foot_diameter")
    if upper == lower:
        _pointed_at(ink, it, scale, leg, (0.6, "leg_diameter", ""))
        return
    _pointed_at(ink, it, scale, leg, (0.8, "leg_diameter", "at the top"))
    _pointed_at(ink, it, scale, leg, (0.25, "foot_diameter", "at the foot"))


def _pointed_at(
    ink: Ink, it: LegSubject, scale: float, leg: Leg, what: tuple[float, str, str]
) -> None:
    share, name, note = what
    point = leg.foot + share * (leg.socket - leg.foot)
    level, parts = float(point[2]), it.front.posts[leg.number - 1]
    # The outer border of the picture of the leg at that level.
    rows = [x for part in parts for x, y in part if abs(y - level) < 0.25 * abs(leg.socket[2])]
    edge = _border(it, level, max(rows, default=float(point[0])))
    tip = (edge * scale, level * scale)
    of = Tied(name, 2 / scale)  # the axis stays where it is
    dimension.leader(ink, tip, (tip[0] + 6.0, tip[1] + 2.5), DIAMETER + it.text(name), note, of)


def _border(it: LegSubject, level: float, most: float) -> float:
    """How far to the right leg 1 reaches at a level: where its outline crosses it, mm."""
    flat = silhouette(it.legs.legs[0].shaft, FRONT)
    after = np.roll(flat, -1, axis=0)
    found = []
    for (a, b), (c, d) in zip(flat, after, strict=True):
        if min(b, d) <= level <= max(b, d) and b != d:
            found.append(a + (level - b) / (d - b) * (c - a))
    return float(max(found, default=most))


def _rise(ink: Ink, it: LegSubject, scale: float, level_at: float) -> None:
    """On the left: from the level feet, without pads, to the underside."""
    low = min(float(leg.shaft.vertices[:, 0].min()) for leg in it.legs.legs) * scale
    radius = it.sheet.number("top_diameter") / 2 * scale
    foot = it.sheet.number("pad_projection") * scale
    under = it.legs.underside * scale
    of = Tied("leg_rise", 1 / scale)
    dimension.upright(ink, (low, foot), (-radius, under), level_at, it.text(of.quantity), of)
    if it.legs.stretchers:
        y = on_paper(it.legs.stretchers[0].start, FRONT, scale)[1]
        ends = (end for one in it.legs.stretchers for end in (one.start, one.end))
        x = min(on_paper(end, FRONT, scale)[0] for end in ends)
        of, place = Tied("stretcher_height", 1 / scale), level_at - style.NEXT_ROW
        dimension.upright(ink, (low, foot), (x, y), place, it.text(of.quantity), of)


# --- plan ----------------------------------------------------------------------------------------


def leg_plan(it: LegSubject, scale: float) -> Ink:
    """The view from above, the top taken for glass."""
    ink = traced(it.plan, scale)
    shape = ink.box()
    rim = it.sheet.number("top_diameter") / 2 * scale
    foot, socket = (it.sheet.number(f"{what}_radius") * scale for what in ("foot", "socket"))
    for radius in (foot, socket):
        ink.line("centre", *ring(radius))
    for a, b in ((1.0, 0.0), (0.0, 1.0)):
        far = rim + CENTRE_PAST
        ink.line("centre", (-far * a, -far * b), (far * a, far * b))
    beyond = max(rim, shape.right) + CENTRE_PAST + style.BADGE + 1.0
    for leg in it.legs.legs:
        cross(ink, on_paper(leg.foot, PLAN, scale))
        cross(ink, on_paper(leg.socket, PLAN, scale))
        x, y = leg.foot[:2] / hypot(*leg.foot[:2]) * beyond
        ink.badge((float(x), float(y)), str(leg.number))
    out = max(rim, foot)
    for end, radius, ray in (("foot", foot, FOOT_RAY), ("socket", socket, HEAD_RAY)):
        of = Tied(f"{end}_radius", 1 / scale)
        circle_leader(ink, radius, ray, out, "R" + it.text(of.quantity), f"{end} circle", of)
    inner, outer = (polar(radius, OVERHANG_RAY) for radius in sorted((socket, rim)))
    past = out + LEADER_PAST - max(socket, rim)
    of = Tied("overhang", copysign(1 / scale, rim - socket))
    dimension.radial(ink, inner, outer, past, it.text(of.quantity), of.quantity, of)
    caption(ink, "Plan", min(ink.box().low, -out, -rim - CENTRE_PAST))
    return ink
