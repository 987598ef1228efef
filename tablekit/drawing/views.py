"""The two views of the general arrangement, dimensioned, each as `Ink` about its own origin.

Points come from the solid model, texts from the sheet; only their places on the paper are worked
out here. The elevation's origin is where the centre line meets the floor, the plan's the centre.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import copysign, cos, degrees, hypot, radians, sin
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import dimension, style
from tablekit.drawing.ink import Ink, Label, Point, Tied, ring
from tablekit.drawing.outline import (
    FRONT,
    PLAN,
    Lines,
    Polygon,
    SharedShadows,
    View,
    joined_up,
    meetings,
    outline,
    seen_faces,
    shows,
    silhouette,
)
from tablekit.relations.kinds import height_name
from tablekit.solids.body import Body
from tablekit.solids.model import TURNS, Model, NumberSheet, build

Array = NDArray[np.float64]

CENTRE_PAST = 3.0
FLOOR_PAST = 6.0
LEADER_PAST = 5.0
# Directions in plan that lie between the posts, whose feet and heads are at every sixth of a turn.
HEAD_RAY, FOOT_RAY, OVERHANG_RAY = 30.0, 150.0, -30.0
HALFWAY = 0.6  # a post's number stands so far from its waist to its end
# The letter stands in for the diameter sign, which the drawing's letters have only very small.
DIAMETER = "Ø"
SQUARE = "□"


class DrawnSheet(NumberSheet, Protocol):
    """What a drawing reads of a sheet."""

    name: str

    def shop(self, name: str) -> str:
        """The text a maker reads."""
        ...


@dataclass(frozen=True, eq=False)
class Picture:
    """One view of the piece at full size, mm: its lines, and what is seen of the posts' faces.

    visible, hidden   pieces of lines, shape (n, 2, 2)
    rim               the top's border where it is seen as a circle, else empty
    posts             for each post, the parts of its faces that are seen
    plates            other areas to be filled: the top, where it is seen edge on
    """

    visible: Array
    hidden: Array
    rim: list[Point]
    posts: list[list[Polygon]]
    plates: list[Polygon]

    @cached_property
    def sides(self) -> tuple[float, float, float, float]:
        """Left, low, right and high of what is seen."""
        every = np.vstack([self.visible.reshape(-1, 2), np.array(self.rim).reshape(-1, 2)])
        return (*every.min(axis=0).tolist(), *every.max(axis=0).tolist())

    @property
    def extent(self) -> Array:
        """Its width and height, shape (2,)."""
        left, low, right, high = self.sides
        return np.array([right - left, high - low])


@dataclass(frozen=True, eq=False)
class Arrangement(ABC):
    """A sheet with both pictures: all that does not depend on the scale. A child has the solids.

    inches   whether the maker reads lengths in inches
    """

    sheet: DrawnSheet
    front: Picture
    plan: Picture
    inches: bool

    @abstractmethod
    def elevation(self, scale: float) -> Ink:
        """The view from the front, with its sizes."""

    @abstractmethod
    def from_above(self, scale: float) -> Ink:
        """The view from above, with its sizes."""

    @cached_property
    def texts(self) -> dict[str, str]:
        """Those written so far, by name."""
        return {}

    def text(self, name: str) -> str:
        """What to write of a length: the maker's text less its unit, which is noted once."""
        if name not in self.texts:
            unit = " in" if self.inches else " mm"
            self.texts[name] = self.sheet.shop(name).removesuffix(unit)
        return self.texts[name]

    def has(self, name: str) -> bool:
        """Whether the sheet knows it."""
        return self.sheet.get(name) is not None


@dataclass(frozen=True, eq=False)
class Subject(Arrangement):
    """A sheet on crossed posts with its solids and both pictures."""

    model: Model

    def elevation(self, scale: float) -> Ink:
        """The view from the front."""
        return elevation(self, scale)

    def from_above(self, scale: float) -> Ink:
        """The view from above, the top taken for glass."""
        return plan(self, scale)


def subject(sheet: DrawnSheet, model: Model | None = None) -> Subject:
    """Finds what is seen of the solids; builds them where they are not known."""
    model = model or build(sheet)
    inches = sheet.shop("top_diameter").endswith(" in")
    met = _alike(model)
    return Subject(sheet, _picture(model, FRONT, met), _picture(model, PLAN, met), inches, model)


def _alike(model: Model) -> list[Lines]:
    """The lines where the posts meet: those of one pair, turned about the plumb centre line for
    the others, as the posts are."""
    (first, guest), *others = model.joints
    (met,) = meetings(model.bodies, [(first, guest)])
    found = [met]
    for host, _ in others:
        turn = np.radians(120.0 * (host - first))
        cos, sin = np.cos(turn), np.sin(turn)
        turned = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]]).T
        owner = np.full(len(met.owner), host)
        found.append(Lines(met.start @ turned, met.run @ turned, owner))
    return found


def _picture(model: Model, view: View, met: Sequence[Lines]) -> Picture:
    found = SharedShadows.of(model.bodies, view, met)
    faces = _seen_posts(model, view, found.shadows[: len(model.posts)])
    return picture(model.bodies, view, faces, model.joints, found)


def picture(
    bodies: Sequence[Body],
    view: View,
    faces: list[list[Polygon]],
    joints: Sequence[tuple[int, int]] = (),
    found: SharedShadows | None = None,
) -> Picture:
    """What is drawn of a piece in one view. In plan the top counts as glass: what it hides is drawn
    dashed, shaded as if seen.

    bodies  of the piece, the top last
    faces   what is seen of the faces of each post or leg
    joints, found  as `outline` takes them
    """
    top = len(bodies) - 1
    glass = [top] if view is PLAN else []
    (seen, owner), (hidden, _) = outline(bodies, view, joints, glass, found)
    border = silhouette(bodies[top], view)
    # Nothing is above the top, so in plan its rim is drawn as the circle that its prism stands for.
    rim = ring(float(np.linalg.norm(border[0]))) if glass else []
    return Picture(
        lines_of(seen[owner < top] if glass else seen),
        lines_of(hidden),
        rim,
        faces,
        [] if glass else [[(float(x), float(y)) for x, y in border]],
    )


def _seen_posts(
    model: Model, view: View, shadows: Sequence[tuple[Array, Array]]
) -> list[list[Polygon]]:
    """What is seen of the posts' faces. From above they look alike, each a third of a turn on."""
    if view is not PLAN:
        return seen_faces(model.posts, view, shadows)
    (first,) = seen_faces(model.posts, view, shadows, count=1)
    turns = [(cos(turn), sin(turn)) for turn in TURNS.tolist()]
    return [[[(c * x - s * y, s * x + c * y) for x, y in part] for part in first] for c, s in turns]


def lines_of(pieces: Array) -> Array:
    """Lines of several bodies, those that lie on one another as one."""
    return joined_up(pieces, np.zeros(len(pieces), dtype=np.int64))[0]


def traced(picture: Picture, scale: float) -> Ink:
    """The lines and areas of a picture."""
    ink = Ink()
    ink.pieces["visible"].append(picture.visible * scale)
    ink.pieces["hidden"].append(picture.hidden * scale)
    if picture.rim:
        ink.line("visible", *[(x * scale, y * scale) for x, y in picture.rim])
    tones = style.POST_TONES
    toned = [(tones[k % len(tones)], parts) for k, parts in enumerate(picture.posts)]
    for tone, parts in (*toned, (style.TOP_TONE, picture.plates)):
        ink.areas += [([(x * scale, y * scale) for x, y in part], tone) for part in parts]
    return ink


def on_paper(point: Array, view: View, scale: float) -> Point:
    """A point in space on the paper."""
    x, y = view.project(point) * scale
    return (float(x), float(y))


# --- elevation -----------------------------------------------------------------------------------


def elevation(it: Subject, scale: float) -> Ink:
    """The view from the front, post 1 leaning to the right in the plane of the paper."""
    ink = traced(it.front, scale)
    left_end, _, right_end, _ = it.front.sides
    top_level = it.sheet.number(height_name(it.sheet.kind)) * scale
    ink.line("centre", (0.0, -CENTRE_PAST), (0.0, top_level + CENTRE_PAST))
    _front_numbers(ink, it, scale)
    _splay(ink, it, scale)
    _section(ink, it, scale)
    sides = ink.box()
    left, right = sides.left - style.FIRST_ROW, sides.right + style.FIRST_ROW
    floor(ink, left_end * scale, right_end * scale)
    _base_height(ink, it, scale, left)
    heights(ink, it, scale, right)
    radius = it.sheet.number("top_diameter") / 2 * scale
    level, across = top_level + style.FIRST_ROW, DIAMETER + it.text("top_diameter")
    of = Tied("top_diameter", 2 / scale)  # both ends go out
    dimension.across(ink, (-radius, top_level), (radius, top_level), level, across, of)
    caption(ink, "Elevation", -CENTRE_PAST)
    return ink


def plain_elevation(it: Arrangement, scale: float) -> Ink:
    """The view from the front with the height, and the diameter and thickness of the top."""
    ink = traced(it.front, scale)
    shape = ink.box()
    radius = it.sheet.number("top_diameter") / 2 * scale
    whole = height_name(it.sheet.kind)
    top = it.sheet.number(whole) * scale
    under = top - it.sheet.number("top_thickness") * scale
    floor(ink, shape.left, shape.right)
    at = max(shape.right, radius) + style.FIRST_ROW
    dimension.upright(ink, (radius, under), (radius, top), at, it.text("top_thickness"))
    foot = float(it.front.visible[..., 0].max()) * scale + FLOOR_PAST - style.EXTENSION_GAP
    dimension.upright(ink, (foot, 0.0), (radius, top), at + style.NEXT_ROW, it.text(whole))
    across = DIAMETER + it.text("top_diameter")
    dimension.across(ink, (-radius, top), (radius, top), top + style.FIRST_ROW, across)
    return ink


def plain_plan(it: Arrangement, scale: float) -> Ink:
    """The view from above, the top taken for glass, without sizes."""
    return traced(it.plan, scale)


def floor(ink: Ink, left: float, right: float) -> None:
    """The line of the floor, under what stands on it."""
    ink.line("thin", (left - FLOOR_PAST / 2, 0.0), (right + FLOOR_PAST, 0.0))


def heights(ink: Ink, it: Arrangement, scale: float, place: float) -> None:
    """On the right: knee clearance and top thickness in one row, the whole height in the next."""
    whole = height_name(it.sheet.kind)
    radius = it.sheet.number("top_diameter") / 2 * scale
    top = it.sheet.number(whole) * scale
    under = top - it.sheet.number("top_thickness") * scale
    foot = float(it.front.visible[..., 0].max()) * scale + FLOOR_PAST - style.EXTENSION_GAP
    for name, start, end, row in (
        ("knee_clearance", (foot, 0.0), (radius, under), place),
        ("top_thickness", (radius, under), (radius, top), place),
        (whole, (foot, 0.0), (radius, top), place + style.NEXT_ROW),
    ):
        if it.has(name):
            dimension.upright(ink, start, end, row, it.text(name), Tied(name, 1 / scale))


def _base_height(ink: Ink, it: Subject, scale: float, at: float) -> None:
    """On the left: from the feet's flats to the heads' flats."""
    corners = np.vstack([post.vertices for post in it.model.posts])
    feet = corners[corners[:, 2] < corners[:, 2].min() + 1e-6]
    heads = corners[corners[:, 2] > corners[:, 2].max() - 1e-6]
    low, high = (on_paper(flat[np.argmin(flat[:, 0])], FRONT, scale) for flat in (feet, heads))
    of = Tied("base_height", 1 / scale)
    dimension.upright(ink, low, high, at, it.text("base_height"), of)


def _splay(ink: Ink, it: Subject, scale: float) -> None:
    """At post 1's foot, between plumb and the post's upper edge: nothing else is drawn there."""
    flat = FRONT.project(it.model.posts[0].vertices) * scale
    corner = flat[np.argmin(flat[:, 0])]
    waist = float(it.model.waists[0, 2]) * scale
    radius = min(max(0.6 * (waist - float(corner[1])), 7.0), 24.0)
    x, y = float(corner[0]), float(corner[1])
    ink.line("thin", (x, y + style.EXTENSION_GAP), (x, y + radius + style.EXTENSION_PAST))
    lean = it.sheet.number("splay")
    of = Tied("splay", degrees(1 / radius))
    dimension.angle(ink, (x, y), 90.0 - lean, 90.0, radius, it.text("splay"), of)


def _section(ink: Ink, it: Subject, scale: float) -> None:
    """A square sign with the section, pointing at post 1 from below, near its head."""
    lean = radians(it.sheet.number("splay"))
    flat = FRONT.project(it.model.posts[0].vertices) * scale
    corner = flat[np.argmax(flat[:, 0])]
    back = 0.45 * it.sheet.number("head_arm") * scale
    tip = (float(corner[0]) - back * sin(lean), float(corner[1]) - back * cos(lean))
    elbow = (tip[0] + 6.5 * cos(lean), tip[1] - 6.5 * sin(lean))
    of = Tied("post_section", 2 / scale)  # the axis stays where it is
    dimension.leader(ink, tip, elbow, SQUARE + it.text("post_section"), of=of)


def caption(ink: Ink, text: str, under: float) -> None:
    """What a view is called, below it."""
    level = under - 2.0 - style.CAP * style.TEXT * style.MM_PER_POINT
    ink.labels.append(Label(text, 0.0, level, colour=style.FAINT))


def _posts(it: Subject) -> Iterator[tuple[Body, Array, Array]]:
    """Each post with its waist, shape (3,), and its axis' ends, shape (2, 3)."""
    return zip(it.model.posts, it.model.waists, it.model.axis_ends, strict=True)


def _front_numbers(ink: Ink, it: Subject, scale: float) -> None:
    """Each post's number on its upper half, or the lower where more of the ring is in the open.

    None where it would lie over another, in a very small drawing: there the plan has it."""
    reach = style.BADGE / scale
    placed: list[Point] = []
    around = ((0.0, 0.0), (reach, 0.0), (-reach, 0.0), (0.0, reach), (0.0, -reach))
    for post, waist, (foot_end, head_end) in _posts(it):
        parts = it.front.posts[post.number - 1]
        best, place = 0, waist
        for end in (head_end, foot_end):
            point = waist + HALFWAY * (end - waist)
            x, y = on_paper(point, FRONT, 1.0)
            if any(hypot(x - a, y - b) < 2 * reach for a, b in placed):
                continue
            free = sum(shows(parts, (x + a, y + b)) for a, b in around)
            if free > best:
                best, place = free, point
        if best:
            placed.append(on_paper(place, FRONT, 1.0))
            ink.badge(on_paper(place, FRONT, scale), str(post.number))


# --- plan ----------------------------------------------------------------------------------------


def plan(it: Subject, scale: float) -> Ink:
    """The view from above, the top taken for glass."""
    ink = traced(it.plan, scale)
    rim = it.sheet.number("top_diameter") / 2 * scale
    foot, head = (it.sheet.number(f"{end}_radius") * scale for end in ("foot", "head"))
    for radius in (foot, head):
        ink.line("centre", *ring(radius))
    for a, b in ((1.0, 0.0), (0.0, 1.0)):
        far = rim + CENTRE_PAST
        ink.line("centre", (-far * a, -far * b), (far * a, far * b))
    for middle in (*it.model.foot_middles, *it.model.head_middles):
        cross(ink, on_paper(middle, PLAN, scale))
    section = it.sheet.number("post_section") * scale
    for post, waist, (_, head_end) in _posts(it):
        (x, y), (u, v) = on_paper(waist, PLAN, scale), on_paper(head_end, PLAN, scale)
        length = hypot(u - x, v - y)
        # On its upper half, or beyond its head where a steep post looks short from above.
        share = HALFWAY if length > 18.0 else 1 + (section + 2 * style.BADGE) / length
        ink.badge((x + share * (u - x), y + share * (v - y)), str(post.number))
    out = max(rim, foot, head)
    for end, ray in (("foot", FOOT_RAY), ("head", HEAD_RAY)):
        of = Tied(f"{end}_radius", 1 / scale)
        radius = it.sheet.number(of.quantity) * scale
        circle_leader(ink, radius, ray, out, "R" + it.text(of.quantity), f"{end} circle", of)
    if it.has("overhang"):
        # Where the heads reach beyond the top the text is negative; it still stands outside.
        inner, outer = (polar(radius, OVERHANG_RAY) for radius in sorted((head, rim)))
        of = Tied("overhang", copysign(1 / scale, rim - head))
        beyond = out + LEADER_PAST - max(head, rim)
        dimension.radial(ink, inner, outer, beyond, it.text("overhang"), "overhang", of)
    caption(ink, "Plan", min(it.plan.sides[1] * scale, -out, -rim - CENTRE_PAST))
    return ink


def polar(radius: float, direction: float) -> Point:
    """A point of a circle about the origin, direction in degrees."""
    return (radius * cos(radians(direction)), radius * sin(radians(direction)))


def circle_leader(
    ink: Ink, radius: float, ray: float, out: float, text: str, note: str, of: Tied | None = None
) -> None:
    """The radius of a circle, on a leader along a ray, degrees, out to beyond `out`."""
    dimension.leader(ink, polar(radius, ray), polar(out + LEADER_PAST, ray), text, note, of)


def cross(ink: Ink, middle: Point, arm: float = 1.2) -> None:
    """A small cross at a middle."""
    x, y = middle
    ink.line("thin", (x - arm, y), (x + arm, y))
    ink.line("thin", (x, y - arm), (x, y + arm))
