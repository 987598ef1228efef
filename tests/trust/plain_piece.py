"""A whole piece by plain vectors: every size, mass and load that follows from what a maker settles.

Nothing of `tablekit` is used: posts are boxes of `tests.relations.reference_vectors`, wood is
counted by clipping boxes with planes, and what tips the piece comes from the loads on its three
feet. Lengths in mm, masses in kg, forces in N, angles in radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from tests.relations.reference_vectors import (
    PLUMB,
    Design,
    Post,
    Vector,
    flat,
    foot_loads,
    measure,
    notch_solid,
    posts,
    solid_corners,
)

GRAVITY = 9.80665  # m/s²; General Conference on Weights and Measures, 1901
Rows = NDArray[np.float64]


@dataclass(frozen=True)
class Piece:
    """What a maker settles of a whole piece.

    base         the three posts
    two_notches  each post notched on two neighbouring faces, the axes through one point
    density      kg/m³
    inset        how far in from the rim a load stands
    """

    base: Design
    two_notches: bool
    pad: float
    gap: float
    thickness: float
    diameter: float
    density: float
    inset: float


def volume_and_middle(half_spaces: Rows) -> tuple[float, Vector]:
    """Volume of a convex solid and its middle, by pyramids on the triangles of its surface."""
    corners = solid_corners(half_spaces)
    if not len(corners):
        return 0.0, np.zeros(3)
    inside = corners.mean(axis=0)
    triangles = corners[ConvexHull(corners).simplices] - inside
    each = np.abs(np.linalg.det(triangles)) / 6
    return float(each.sum()), inside + each @ triangles.sum(axis=1) / 4 / each.sum()


@dataclass(frozen=True)
class Built:
    """The piece in place: z up from the floor, the first post leaning along x."""

    piece: Piece

    @cached_property
    def raw(self) -> list[Post]:
        """The posts with the middle of the crossing at height nothing."""
        return posts(self.piece.base)[0]

    @cached_property
    def ends(self) -> tuple[list[Vector], list[Vector], float, float]:
        """Middles of the flats of the feet and of the heads, and the diameters of those flats."""
        design, feet, heads = self.piece.base, [], []
        for post in self.raw:
            foot, foot_flat, _ = flat(post, post.low, design.foot_depth, upward=False)
            head, head_flat, _ = flat(post, post.high, design.head_depth, upward=True)
            feet.append(foot)
            heads.append(head)
        return feet, heads, foot_flat, head_flat

    @cached_property
    def lift(self) -> Vector:
        """From the raw posts to the posts as they stand on their pads."""
        return (self.piece.pad - self.ends[0][0][2]) * PLUMB

    def notches(self, number: int) -> list[tuple[int, Rows]]:
        """What is cut out of a post, as convex solids to be added (+1) or taken off (-1)."""
        post, following, before = (
            self.raw[number],
            *(self.raw[(number + step) % 3] for step in (1, 2)),
        )
        if not self.piece.two_notches:
            return [(1, notch_solid(post, following))]
        # Each neighbour takes half of the cube where the axes meet; where both do, once.
        own = post.half_spaces()
        halves = []
        for other, keep in ((following, before), (before, following)):
            walls = other.half_spaces()
            sides = [row for row in walls[2:] if abs(row[:3] @ post.along) > 0.5]
            # Of the cube a post keeps what is ahead along the next axis and behind along the last.
            towards = keep.along * (-1 if keep is before else 1)
            halves.append(np.vstack([own, sides, [*towards, 0.0]]))
        return [(1, halves[0]), (1, halves[1]), (-1, np.vstack(halves))]

    @cached_property
    def wood(self) -> list[tuple[float, Vector]]:
        """Volume and middle of each notched post, in place."""
        made = []
        feet, heads, _, _ = self.ends
        levels = np.array([[0, 0, 1, -heads[0][2]], [0, 0, -1, feet[0][2]]])
        for number, post in enumerate(self.raw):
            volume, middle = volume_and_middle(np.vstack([post.half_spaces(), levels]))
            moment = volume * middle
            for sign, rows in self.notches(number):
                taken, where = volume_and_middle(rows)
                volume -= sign * taken
                moment = moment - sign * taken * where
            made.append((volume, moment / volume + self.lift))
        return made

    @cached_property
    def notch_volume(self) -> float:
        """Wood out of one post's notches."""
        return sum(sign * volume_and_middle(rows)[0] for sign, rows in self.notches(0))

    def tipping(self, weight: float, rim: float) -> float:
        """The least plumb load on a circle of this radius that takes all load off a foot;
        infinite where none does."""
        feet = np.array(self.ends[0])[:, :2]
        radius = float(np.linalg.norm(feet[0]))
        # `foot_loads` counts bearings from a foot: midway between two is a sixth of a turn on
        at = (rim * np.cos(np.pi / 3), rim * np.sin(np.pi / 3))
        bare = foot_loads(radius, weight, 0.0, at)
        change = foot_loads(radius, weight, 1.0, at) - bare
        lifting = [-b / c for b, c in zip(bare, change, strict=True) if c < -1e-15]
        return float(min(lifting, default=np.inf))

    def push(self, weight: float, height: float) -> float:
        """The least level push at this height that takes all load off a foot, outward between
        two feet: its turning, spread over the feet as a plumb load's is."""
        feet = np.array(self.ends[0])[:, :2]
        out = feet[0] + feet[1]
        out /= np.linalg.norm(out)
        balance = np.vstack([np.ones(3), feet.T])
        bare = np.linalg.solve(balance, [weight, 0.0, 0.0])
        change = np.linalg.solve(balance, [0.0, *(height * out)])
        return float(min(-b / c for b, c in zip(bare, change, strict=True) if c < -1e-15))

    def numbers(self) -> dict[str, float]:
        """All that follows, by the kit's names, in mm, mm³, radians, kg and N."""
        piece = self.piece
        found = self._base()
        whole = piece.pad + found["base_height"] + piece.gap + piece.thickness
        radius = piece.diameter / 2
        top = np.pi * radius**2 * piece.thickness
        wood = sum(volume for volume, _ in self.wood)
        masses = {"top_mass": top * piece.density * 1e-9, "base_mass": wood * piece.density * 1e-9}
        total = sum(masses.values())
        base_centre = sum(v * m for v, m in self.wood)[2] / wood
        centre = masses["base_mass"] * base_centre
        centre += masses["top_mass"] * (whole - piece.thickness / 2)
        weight = total * GRAVITY
        found |= masses | {
            "whole_height": whole,
            "knee_clearance": whole - piece.thickness,
            "overhang": radius - found["head_radius"],
            "notch_volume": self.notch_volume,
            "post_volume": self.wood[0][0],
            "top_volume": top,
            "total_mass": total,
            "base_centre": float(base_centre),
            "mass_height": float(centre / total),
            "tipping_load": self.tipping(weight, radius),
            "inset_tipping_load": self.tipping(weight, radius - piece.inset),
            "tipping_push": self.push(weight, whole),
            "tipping_arm": self._line(),
        }
        return found

    def _line(self) -> float:
        """Centre line to the line through two feet, in plan."""
        one, other = (foot[:2] for foot in self.ends[0][:2])
        along = (other - one) / np.linalg.norm(other - one)
        return float(abs(one[0] * along[1] - one[1] * along[0]))

    def _base(self) -> dict[str, float]:
        if not self.piece.two_notches:
            return measure(self.piece.base)
        found = measure(self.piece.base)
        # Half-depth notches: what is let in is up to the axis, and what stays is a corner.
        first = self.raw[0]
        found["core_side"] = found["notch_depth"] = first.halves[0]
        return found
