"""The two views of the general arrangement, dimensioned, each as `Ink` about its own origin.

Points come from the solid model, texts from the sheet; only their places on the paper are worked
out here. The elevation's origin is where the centre line meets the floor, the plan's the centre.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, hypot, pi, radians, sin
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import dimension, style
from tablekit.drawing.facing import Polygon, seen_faces, silhouette
from tablekit.drawing.ink import Ink, Label, Point
from tablekit.drawing.outline import FRONT, PLAN, View, outline
from tablekit.solids.model import Model, NumberSheet, build, height_name

Array = NDArray[np.float64]

CENTRE_PAST = 3.0
FLOOR_PAST = 6.0
LEADER_PAST = 5.0
# Directions in plan that lie between the posts, whose feet and heads are at every sixth of a turn.
HEAD_RAY, FOOT_RAY, OVERHANG_RAY = 30.0, 150.0, -30.0
RING_SIDES = 120
# The letter stands in for the diameter sign, which the drawing's letters have only very small.
DIAMETER = "Ø"
SQUARE = "□"


class DrawnSheet(NumberSheet, Protocol):
    """What a drawing reads of a sheet."""

    name: str

    def get(self, name: str) -> float | None:
        """The number, or None where the sheet leaves it open."""
        ...

    def shop(self, name: str) -> str:
        """The text a maker reads."""
        ...


@dataclass(frozen=True, eq=False)
class Picture:
    """One view of the piece at full size, mm: its lines, and what is seen of the posts' faces.

    visible, hidden   pieces of lines, shape (n, 2, 2)
    areas             polygons with their colour
    """

    visible: Array
    hidden: Array
    areas: list[tuple[Polygon, str]]


@dataclass(frozen=True, eq=False)
class Subject:
    """A sheet with its solids and both pictures: all that does not depend on the scale.

    inches   whether the maker reads lengths in inches
    texts    those written so far, by name
    """

    sheet: DrawnSheet
    model: Model
    front: Picture
    plan: Picture
    inches: bool
    texts: dict[str, str] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """What to write of a length: the maker's text less its unit, which is noted once."""
        if name not in self.texts:
            unit = " in" if self.inches else " mm"
            self.texts[name] = self.sheet.shop(name).removesuffix(unit)
        return self.texts[name]

    def has(self, name: str) -> bool:
        """Whether the sheet knows it."""
        return self.sheet.get(name) is not None


def subject(sheet: DrawnSheet) -> Subject:
    """Builds the solids and finds what is seen of them."""
    model = build(sheet)
    inches = sheet.shop("top_diameter").endswith(" in")
    return Subject(sheet, model, _picture(model, FRONT), _picture(model, PLAN), inches)


def _picture(model: Model, view: View) -> Picture:
    """In plan the top counts as glass: what it hides is drawn dashed, shaded as if seen."""
    bodies = model.bodies
    glass = [len(bodies) - 1] if view is PLAN else []
    drawn = outline(bodies, view, model.let_in, dashed_behind=glass)
    areas = [
        (part, style.POST_TONES[k])
        for k, parts in enumerate(seen_faces(model.posts, view))
        for part, _ in parts
    ]
    if not glass:
        border = [(float(x), float(y)) for x, y in silhouette(model.top, view)]
        areas.append((border, style.TOP_TONE))
    return Picture(
        np.concatenate([one.visible for one in drawn]),
        np.concatenate([one.hidden for one in drawn]),
        areas,
    )


def _traced(picture: Picture, scale: float) -> Ink:
    ink = Ink()
    ink.pieces["visible"].append(picture.visible * scale)
    ink.pieces["hidden"].append(picture.hidden * scale)
    ink.areas += [
        ([(x * scale, y * scale) for x, y in part], colour) for part, colour in picture.areas
    ]
    return ink


def _at(point: Array, view: View, scale: float) -> Point:
    x, y = view.project(point) * scale
    return (float(x), float(y))


# --- elevation -----------------------------------------------------------------------------------


def elevation(it: Subject, scale: float) -> Ink:
    """The view from the front, post 1 leaning to the right in the plane of the paper."""
    ink = _traced(it.front, scale)
    shape = ink.box()
    top_level = it.sheet.number(height_name(it.sheet.kind)) * scale
    ink.line("centre", (0.0, -CENTRE_PAST), (0.0, top_level + CENTRE_PAST))
    _splay(ink, it, scale)
    _section(ink, it, scale)
    sides = ink.box()
    left, right = sides.left - style.FIRST_ROW, sides.right + style.FIRST_ROW
    _floor(ink, shape.left, shape.right)
    _base_height(ink, it, scale, left)
    _heights(ink, it, scale, right)
    radius = it.sheet.number("top_diameter") / 2 * scale
    level = top_level + style.FIRST_ROW
    dimension.across(
        ink, (-radius, top_level), (radius, top_level), level, DIAMETER + it.text("top_diameter")
    )
    _caption(ink, "Elevation", -CENTRE_PAST)
    return ink


def _floor(ink: Ink, left: float, right: float) -> None:
    ink.line("thin", (left - FLOOR_PAST / 2, 0.0), (right + FLOOR_PAST, 0.0))


def _heights(ink: Ink, it: Subject, scale: float, at: float) -> None:
    """On the right: knee clearance and top thickness in one row, the whole height in the next."""
    whole = height_name(it.sheet.kind)
    radius = it.sheet.number("top_diameter") / 2 * scale
    top = it.sheet.number(whole) * scale
    under = top - it.sheet.number("top_thickness") * scale
    foot = float(it.front.visible[..., 0].max()) * scale + FLOOR_PAST - style.EXTENSION_GAP
    if it.has("knee_clearance"):
        dimension.upright(ink, (foot, 0.0), (radius, under), at, it.text("knee_clearance"))
    dimension.upright(ink, (radius, under), (radius, top), at, it.text("top_thickness"))
    dimension.upright(ink, (foot, 0.0), (radius, top), at + style.NEXT_ROW, it.text(whole))


def _base_height(ink: Ink, it: Subject, scale: float, at: float) -> None:
    """On the left: from the feet's flats to the heads' flats."""
    corners = np.vstack([post.vertices for post in it.model.posts])
    ends = []
    for level in (corners[:, 2].min(), corners[:, 2].max()):
        flat = corners[np.abs(corners[:, 2] - level) < 1e-6]
        ends.append(_at(flat[np.argmin(flat[:, 0])], FRONT, scale))
    dimension.upright(ink, *ends, at, it.text("base_height"))


def _splay(ink: Ink, it: Subject, scale: float) -> None:
    """At post 1's foot, between plumb and the post's upper edge: nothing else is drawn there."""
    flat = FRONT.project(it.model.posts[0].vertices) * scale
    corner = flat[np.argmin(flat[:, 0])]
    waist = float(it.model.waists[0, 2]) * scale
    radius = min(max(0.6 * (waist - float(corner[1])), 7.0), 24.0)
    x, y = float(corner[0]), float(corner[1])
    ink.line("thin", (x, y + style.EXTENSION_GAP), (x, y + radius + style.EXTENSION_PAST))
    lean = it.sheet.number("splay")
    dimension.angle(ink, (x, y), 90.0 - lean, 90.0, radius, it.text("splay"))


def _section(ink: Ink, it: Subject, scale: float) -> None:
    """A square sign with the section, pointing at post 1 from below, near its head."""
    lean = radians(it.sheet.number("splay"))
    flat = FRONT.project(it.model.posts[0].vertices) * scale
    corner = flat[np.argmax(flat[:, 0])]
    back = 0.45 * it.sheet.number("head_arm") * scale
    tip = (float(corner[0]) - back * sin(lean), float(corner[1]) - back * cos(lean))
    elbow = (tip[0] + 6.5 * cos(lean), tip[1] - 6.5 * sin(lean))
    dimension.leader(ink, tip, elbow, SQUARE + it.text("post_section"))


def _caption(ink: Ink, text: str, under: float) -> None:
    level = under - 2.0 - style.CAP * style.TEXT * style.MM_PER_POINT
    ink.labels.append(Label(text, 0.0, level, colour=style.FAINT))


# --- plan ----------------------------------------------------------------------------------------


def plan(it: Subject, scale: float) -> Ink:
    """The view from above, the top taken for glass."""
    ink = _traced(it.plan, scale)
    shape = ink.box()
    rim = it.sheet.number("top_diameter") / 2 * scale
    foot, head = (it.sheet.number(f"{end}_radius") * scale for end in ("foot", "head"))
    for radius in (foot, head):
        ink.line("centre", *_ring(radius))
    for a, b in ((1.0, 0.0), (0.0, 1.0)):
        far = rim + CENTRE_PAST
        ink.line("centre", (-far * a, -far * b), (far * a, far * b))
    for middle in (*it.model.foot_middles, *it.model.head_middles):
        _cross(ink, _at(middle, PLAN, scale))
    _numbers(ink, it, scale)
    out = max(rim, foot, head)
    _circle_leader(ink, foot, FOOT_RAY, out, "R" + it.text("foot_radius"), "foot circle")
    _circle_leader(ink, head, HEAD_RAY, out, "R" + it.text("head_radius"), "head circle")
    if it.has("overhang"):
        # Where the heads reach beyond the top the text is negative; it still stands outside.
        inner, outer = (_polar(radius, OVERHANG_RAY) for radius in sorted((head, rim)))
        beyond = out + LEADER_PAST - max(head, rim)
        dimension.radial(ink, inner, outer, beyond, it.text("overhang"), "overhang")
    _caption(ink, "Plan", min(shape.low, -out, -rim - CENTRE_PAST))
    return ink


def _polar(radius: float, direction: float) -> Point:
    return (radius * cos(radians(direction)), radius * sin(radians(direction)))


def _ring(radius: float) -> list[Point]:
    turns = np.linspace(0, 2 * pi, RING_SIDES + 1)
    return [(radius * cos(turn), radius * sin(turn)) for turn in turns]


def _circle_leader(
    ink: Ink, radius: float, ray: float, out: float, text: str, note: str
) -> None:
    dimension.leader(ink, _polar(radius, ray), _polar(out + LEADER_PAST, ray), text, note)


def _cross(ink: Ink, at: Point, arm: float = 1.2) -> None:
    x, y = at
    ink.line("thin", (x - arm, y), (x + arm, y))
    ink.line("thin", (x, y - arm), (x, y + arm))


def _numbers(ink: Ink, it: Subject, scale: float) -> None:
    """Each post's number in a ring: on its upper half, or beyond its head where it is short."""
    for post, waist, end in zip(
        it.model.posts, it.model.waists, it.model.axis_ends[:, 1], strict=True
    ):
        (x, y), (u, v) = _at(waist, PLAN, scale), _at(end, PLAN, scale)
        length = hypot(u - x, v - y)
        section = it.sheet.number("post_section") * scale
        share = 0.6 if length > 18.0 else 1 + (section + 2 * style.BADGE) / length
        ink.badge((x + share * (u - x), y + share * (v - y)), str(post.number))
