"""A piece as one rigid body on three points, for tests that must not lean on the kit's formulas.

Masses and middles come from solids cut by manifold3d; the rest is the balance of forces and of
moments in space. Lengths in m, forces in N.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from tablekit.engine.sheet import Sheet
from tablekit.solids.cutting import post_solid, solid, volume_and_centre
from tablekit.solids.model import TOP_SIDES, build
from tablekit.solids.notched import notched_posts

GRAVITY = 9.80665  # General Conference on Weights and Measures, 1901
UP = np.array([0.0, 0.0, 1.0])
Force = tuple[np.ndarray, np.ndarray]  # what acts, and where
Forces = Sequence[Force]


@dataclass(frozen=True, eq=False)
class Rigid:
    """The piece as one body: mass, kg; centre of mass and feet, m."""

    sheet: Sheet
    mass: float
    centre: np.ndarray
    base_centre: np.ndarray
    feet: np.ndarray
    rim: float
    height: float

    def reactions(self, forces: Iterable[Force]) -> np.ndarray:
        """What the floor gives back at each foot, plumb to it, under (force, point) pairs."""
        forces = list(forces)
        total = sum(force for force, _ in forces)
        turning = sum(np.cross(point, force) for force, point in forces)
        balance = np.vstack([np.ones(3), self.feet[:, 1], -self.feet[:, 0]])
        return np.linalg.solve(balance, [-total[2], -turning[0], -turning[1]])

    def least(self, force: np.ndarray, point: np.ndarray, extra: Forces = ()) -> float:
        """How much of a unit force takes the last load off the first foot; inf where none does."""
        weight = (-self.mass * GRAVITY * UP, self.centre)
        bare = self.reactions([weight, *extra])
        each = self.reactions([weight, *extra, (force, point)]) - bare
        falling = each < -1e-13
        return float(np.min(bare[falling] / -each[falling])) if falling.any() else np.inf

    def out(self, bearing: float) -> np.ndarray:
        return np.array([np.cos(bearing), np.sin(bearing), 0.0])

    @property
    def worst(self) -> np.ndarray:
        """Bearings of the middles between two feet."""
        middle = (self.feet + np.roll(self.feet, -1, axis=0)) / 2
        return np.arctan2(middle[:, 1], middle[:, 0])

    def rim_load(self, bearing: float, inset: float = 0.0, extra: Forces = ()) -> float:
        point = (self.rim - inset) * self.out(bearing) + self.height * UP
        return self.least(-UP, point, extra)

    def slope(self, bearing: float, extra: tuple[float, np.ndarray] | None = None) -> float:
        """The slope, falling towards `bearing`, at which a foot carries nothing; radians."""
        bodies = [(self.mass, self.centre), *([extra] if extra else [])]

        def lightest(angle: float) -> float:
            pull = GRAVITY * (np.sin(angle) * self.out(bearing) - np.cos(angle) * UP)
            return float(self.reactions([(mass * pull, at) for mass, at in bodies]).min())

        return float(brentq(lightest, 0.0, 1.4, xtol=1e-14, rtol=1e-14))


def body_of(sheet: Sheet) -> Rigid:
    """The piece of a sheet of crossed posts; pads, plates and screws weigh nothing."""
    density = sheet.number("wood_density") * 1e-9  # kg/mm³
    posts = [volume_and_centre(post_solid(post)) for post in notched_posts(sheet)]
    model = build(sheet)
    volume, middle = volume_and_centre(solid(model.top))
    # The rim is drawn with so many sides; the circle they stand for has this much more area.
    volume /= np.sin(2 * np.pi / TOP_SIDES) * TOP_SIDES / (2 * np.pi)
    wood = sum(v for v, _ in posts)
    base = sum(v * c for v, c in posts) / wood
    centre = (wood * base + volume * middle) / (wood + volume)
    whole = "seat_height" if sheet.kind == "stool" else "table_height"
    feet = model.foot_middles * [1, 1, 0]
    return Rigid(
        sheet, density * (wood + volume), centre / 1000, base / 1000, feet / 1000,
        sheet.number("top_diameter") / 2000, sheet.number(whole) / 1000,
    )  # fmt: skip
