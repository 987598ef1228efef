"""What is marked on a post: its faces, arrises and the lines on them. Plain data.

Lengths in mm, measured along the post from its foot end before any flat is cut. Seen from
outside with the foot end to the left, the four faces unrolled run upward from arris D:

    D  bearing face  A  notched face  B  opposite the bearing face  C  opposite the notch  D

On a face a point is (x, v): along the post, and across from the face's first arris.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tablekit.engine.wording import listed

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
