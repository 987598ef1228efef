"""A frame of straight bars in space by the stiffness method, as an independent referee.

Knows nothing of the kit. Every bar has the stiffness of Euler and Bernoulli, written out as in any
textbook of the method; joints that hinge share their displacements and not their turns. Units are
those of whoever calls it: here N and mm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]


class Frame:
    """Joints are added first, then bars, then supports and loads."""

    def __init__(self) -> None:
        self.points: list[Vector] = []
        self.bars: list[tuple[NDArray[np.int64], Vector]] = []
        self.places: list[NDArray[np.int64]] = []  # the six unknowns of each joint
        self.unknowns = 0

    def joint(self, point: Vector, hinged_to: int | None = None) -> int:
        """A joint; with `hinged_to` it moves with that one but turns by itself."""
        own = list(range(self.unknowns, self.unknowns + (6 if hinged_to is None else 3)))
        self.unknowns += len(own)
        shared = [] if hinged_to is None else list(self.places[hinged_to][:3])
        self.places.append(np.array(shared + own))
        self.points.append(np.asarray(point, dtype=float))
        return len(self.points) - 1

    def bar(self, start: int, end: int, e: float, diameter: float) -> int:
        """A round bar of modulus e, shear modulus a sixteenth of it, as of wood."""
        span = self.points[end] - self.points[start]
        length = float(np.linalg.norm(span))
        along = span / length
        helper = np.array([0.0, 0.0, 1.0]) if abs(along[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
        side = np.cross(helper, along)
        side /= np.linalg.norm(side)
        turn = np.kron(np.eye(4), np.array([along, side, np.cross(along, side)]))
        i, a = np.pi * diameter**4 / 64, np.pi * diameter**2 / 4
        k = np.zeros((12, 12))
        for at, size in ((0, e * a / length), (3, e / 16 * 2 * i / length)):
            k[np.ix_([at, at + 6], [at, at + 6])] = size * np.array([[1, -1], [-1, 1]])
        b = e * i / length**3 * np.array(
            [[12, 6 * length, -12, 6 * length],
             [6 * length, 4 * length**2, -6 * length, 2 * length**2],
             [-12, -6 * length, 12, -6 * length],
             [6 * length, 2 * length**2, -6 * length, 4 * length**2]]
        )  # fmt: skip
        for shift, turned, sign in ((1, 5, 1.0), (2, 4, -1.0)):
            at = [shift, turned, shift + 6, turned + 6]
            signs = np.array([1.0, sign, 1.0, sign])
            k[np.ix_(at, at)] += b * np.outer(signs, signs)
        places = np.concatenate([self.places[start], self.places[end]])
        self.bars.append((places, turn.T @ k @ turn))
        return len(self.bars) - 1

    def solve(
        self, held: list[int], loads: dict[int, Vector], ties: Vector | None = None
    ) -> Vector:
        """Displacements of all unknowns. `ties` are rows of conditions that are nought."""
        k, f = np.zeros((self.unknowns, self.unknowns)), np.zeros(self.unknowns)
        for places, own in self.bars:
            k[np.ix_(places, places)] += own
        for joint, force in loads.items():
            f[self.places[joint][:3]] += force
        rows = [np.eye(self.unknowns)[u] for u in held]
        # As stiff as the bars themselves, so that no figures are lost beside them.
        conditions = np.abs(k).max() * np.array(rows + ([] if ties is None else list(ties)))
        count = len(conditions)
        whole = np.block([[k, conditions.T], [conditions, np.zeros((count, count))]])
        found = np.linalg.lstsq(whole, np.concatenate([f, np.zeros(count)]), rcond=None)[0]
        return np.asarray(found[: self.unknowns])

    def end_moment(self, bar: int, moved: Vector, end: int = 0) -> float:
        """The bending moment at the start (0) or the end (1) of a bar."""
        places, own = self.bars[bar]
        force = own @ moved[places]
        turn = force[3 + 6 * end : 6 + 6 * end]
        # What turns the bar about its own axis is not bending.
        span = self._span(bar)
        return float(np.linalg.norm(turn - (turn @ span) * span))

    def _span(self, bar: int) -> Vector:
        # The axis is the direction of the stiffest push.
        own = self.bars[bar][1][:3, :3]
        values, vectors = np.linalg.eigh(own)
        return np.asarray(vectors[:, int(np.argmax(values))])
