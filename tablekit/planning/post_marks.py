"""What is cut and marked on a post: its notches, faces, arrises and the lines on them. Plain data,
for which nothing slow is loaded.

Lengths in mm, measured along the post from its foot end before any flat is cut. Seen from
outside with the foot end to the left, the four faces unrolled run upward from arris D:

    D  bearing face  A  notched face  B  opposite the bearing face  C  opposite the notch  D

On a face a point is (x, v): along the post, and across from the face's first arris.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text
from tablekit.engine.wording import listed
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- the notches -----------------------------------------------------------------------------------

ASSEMBLED = "assembly"
_LOCKED = "do not cut these posts: as drawn they cannot be assembled. "
_FREED = {  # by the notches to a post
    2: "Set notch_relief to at least half the section and set them out again.",
    1: "Stand them steeper, at most 54.7° from plumb, or see the joint for the notch "
    "that must be longer.",
}
_NEEDED = ("notch_position", "notch_width", "notch_depth", "crossing_angle", "notch_floor_tilt")
# Which notch is lengthened where a base with two notches to a post is given relief: that in the
# upper notched face of this post, towards the foot, as in `solids.notched`.
RELIEVED_POST = 1


def locked_words(sheet: Sheet) -> str:
    """What a maker must hear before cutting posts that no order of slides puts together; empty
    where they go together, or where there are none. Begins in a small letter."""
    if not any(check.id == ASSEMBLED and check.verdict == "fail" for check in sheet.checks):
        return ""
    return _LOCKED + _FREED[base_of(sheet).notches_each]


def notches_json(sheet: Sheet) -> list[dict[str, Any]] | None:
    """Every notch of every post; None where the piece has none, or a number of them is missing.

    Lengths in mm, angles in degrees: `centre_from_lower_end` and `width` along the post, `depth`
    square to the notch floor, `wall_angle` between the walls and the post's edges,
    `notch_floor_tilt`
    out of the notched face. `shop` says the same as the maker reads it.
    """
    base = base_of(sheet)
    if not base.crossed or any(sheet.get(name) is None for name in _NEEDED):
        return None
    posts = range(1, base.count + 1)
    return [_notch(sheet, post, face) for post in posts for face in base.notched_faces]


def _notch(sheet: Sheet, post: int, face: str) -> dict[str, Any]:
    centre, width = sheet.number("notch_position"), sheet.number("notch_width")
    relief = sheet.get("notch_relief") or 0.0
    if relief and post == RELIEVED_POST and face == "upper notched":
        centre, width = centre - relief / 2, width + relief
    step = base_of(sheet).turn
    if face == "lower notched":
        step = -step
    found = {
        "post": post,
        "face": face,
        "guest": (post - 1 + step) % 3 + 1,
        "centre_from_lower_end": tidy(centre),
        "width": tidy(width),
        "depth": tidy(sheet.number("notch_depth")),
        "wall_angle": _angle(sheet, "crossing_angle"),
        "notch_floor_tilt": _angle(sheet, "notch_floor_tilt"),
    }
    return {**found, "shop": _shop(sheet, centre, width)}


def _angle(sheet: Sheet, name: str) -> float:
    if base_of(sheet).square:
        return {"crossing_angle": 90.0, "notch_floor_tilt": 0.0}[name]
    # The solver's noise would tilt a level floor by some 1e-15 degrees.
    return tidy(round(sheet.number(name), 9)) or 0.0


def _shop(sheet: Sheet, centre: float, width: float) -> str:
    def length(number: float) -> str:
        return shop_text(number, "mm", sheet.shop_style)

    walls, tilt = _angle(sheet, "crossing_angle"), _angle(sheet, "notch_floor_tilt")
    # An angle that reads 90° on any protractor is square to a maker.
    square = "walls square" if abs(walls - 90) < 0.005 else f"walls at {walls:.2f}° to the edges"
    level = "floor parallel to" if abs(tilt) < 0.005 else f"floor tilted {abs(tilt):.2f}° from"
    return (
        f"centre {length(centre)} from the foot end, {length(width)} along the post, "
        f"{length(sheet.number('notch_depth'))} deep; {square}, {level} the face"
    )


# -- the marks -------------------------------------------------------------------------------------

Point = tuple[float, float]
End = Literal["foot", "head"]
Kind = Literal["notch", "seat", "flat"]
Way = Literal["up", "down"]

BEARING, NOTCHED, BEHIND_BEARING, BEHIND_NOTCH = 0, 1, 2, 3
# Each arris by the side of the axis it lies on: away from the bearing face, towards the notch.
ARRISES = {"A": (-1, 1), "B": (1, 1), "C": (1, -1), "D": (-1, -1)}
BETWEEN = (("D", "A"), ("A", "B"), ("B", "C"), ("C", "D"))


@dataclass(frozen=True)
class PostFace:
    """One long face. `arrises` are its first and its second; it faces slantwise up or down."""

    name: str
    arrises: tuple[str, str]
    width: float
    looks: Way
    task: str


@dataclass(frozen=True)
class Mark:
    """A knife line's end on an arris.

    distance  exactly, from the foot end
    cut       False for a witness line, which is not cut
    rule      the size that is marked, where it is not the nearest one on the rule: the far wall of
              a notch, so that the post that lies in it goes in
    """

    arris: str
    distance: float
    what: str
    cut: bool = True
    rule: float | None = None

    @property
    def size(self) -> float:
        """What is written beside it, mm, before it is read as a size on the rule."""
        return self.distance if self.rule is None else self.rule


@dataclass(frozen=True)
class Depth:
    """How far the notch reaches down a face, measured square to the post from `arris`."""

    face: int
    arris: str
    depth: float


@dataclass(frozen=True)
class Area:
    """Part of a face: taken away with a notch or a flat, or covered by a neighbour (seat)."""

    kind: Kind
    face: int
    corners: tuple[Point, ...]
    what: str


# From the corner of an end on each arris, the corner across the bearing face or the one opposite
# it, and that across the notched face or the one opposite.
NEXT_ON_THE_END = {"A": "DB", "B": "CA", "C": "BD", "D": "AC"}


@dataclass(frozen=True)
class Flat:
    """The corner cut level at one end.

    arris         whose end is the sharp corner
    depth         plumb, mm
    along         corner to the cut along that arris
    over_bearing  corner to the cut along the end, across the bearing face or the one opposite
    over_side     the same across the notched face or the one opposite
    on_bearing, on_side, on_end  sides of the triangle, by the face that carries them
    """

    end: End
    arris: str
    depth: float
    along: float
    over_bearing: float
    over_side: float
    on_bearing: float
    on_side: float
    on_end: float


@dataclass(frozen=True)
class PostMarks:
    """One post, or several alike.

    posts       their numbers, 1 to 3 anticlockwise seen from above
    length      before the flats are cut
    mirrored    a left-hand piece: all of this seen in a mirror, with the foot end to the right
    """

    posts: tuple[int, ...]
    length: float
    faces: tuple[PostFace, PostFace, PostFace, PostFace]
    marks: tuple[Mark, ...]
    depths: tuple[Depth, ...]
    areas: tuple[Area, ...]
    flats: tuple[Flat, Flat]
    mirrored: bool = False

    def on_arris(self, arris: str) -> tuple[Mark, ...]:
        """The marks of one arris, from the foot end up."""
        own = (mark for mark in self.marks if mark.arris == arris)
        return tuple(sorted(own, key=lambda mark: mark.distance))

    @property
    def called(self) -> str:
        """What they are called together: Post 2, or Posts 1, 2 and 3."""
        return f"Post{'s' * (len(self.posts) > 1)} {listed(self.posts)}"


def clipped(corners: list[Point], low: float, high: float) -> tuple[Point, ...]:
    """The part of a convex polygon whose second coordinate lies between `low` and `high`."""
    for bound, sign in ((low, 1.0), (high, -1.0)):
        kept: list[Point] = []
        for k, (x, v) in enumerate(corners):
            (u, w), gap = corners[k - 1], sign * (v - bound)
            last = sign * (w - bound)
            if (gap > 0 > last) or (gap < 0 < last):
                kept.append((u + last / (last - gap) * (x - u), bound))
            if gap >= 0:
                kept.append((x, v))
        corners = kept
    return tuple(corners)
