"""Splayed legs by plain vectors, as an independent witness for the relations.

Nothing here knows a formula of `tablekit.relations`: a leg is a line in space with a radius at
each point of it, its directions come from planes seen edge-on, its surface from rays that meet
it, its volume from slices added up, and what tips it from the loads its feet can carry. Lengths
may be in any one unit; angles are in radians.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, linprog

Vector = NDArray[np.float64]
TRIM = 10.0  # for the saw at the foot, beyond the lowest point of the level cut
PLUMB = np.array([0.0, 0.0, 1.0])
# Even steps round a closed curve: the rule of trapezia is exact there to the last figures.
AROUND = 2 * np.pi * np.arange(240) / 240


@dataclass(frozen=True)
class Design:
    """What a maker settles. `turn` is the angle from the radius to the sight line, in plan."""

    count: int
    rake: float
    splay: float
    turn: float
    rise: float
    socket_radius: float
    thick: float  # diameter at the underside, square to the axis
    thin: float  # at the level cut of the foot
    tenon: float
    depth: float
    top: float  # thickness
    rim: float  # radius


def unit(vector: Vector) -> Vector:
    """The same direction, one long."""
    return vector / np.linalg.norm(vector)


def between(one: Vector, other: Vector) -> float:
    """Angle between two vectors; an arc tangent keeps all figures where an arc cosine would not."""
    return float(np.arctan2(np.linalg.norm(np.cross(one, other)), one @ other))


def direction(design: Design) -> Vector:
    """Unit vector down the leg, in its own axes: x is the rake axis, y the splay axis.

    Seen from the side (along y) the leg is the edge of a plane that leans by the rake; seen from
    the front (along x), of one that leans by the splay. It is where the two planes meet.
    """
    from_side = np.array([np.cos(design.rake), 0.0, np.sin(design.rake)])
    from_front = np.array([0.0, np.cos(design.splay), np.sin(design.splay)])
    down = np.cross(from_front, from_side)
    return unit(down if down[2] < 0 else -down)


def turned(vector: Vector, angle: float) -> Vector:
    """The vector turned about the plumb line, anticlockwise from above."""
    cos, sin = np.cos(angle), np.sin(angle)
    x, y, z = vector
    return np.array([cos * x - sin * y, sin * x + cos * y, z])


@dataclass(frozen=True)
class Leg:
    """An axis from its socket's middle to its foot, and how thick it is along the way."""

    design: Design
    socket: Vector
    down: Vector

    @property
    def foot(self) -> Vector:
        """Where the axis meets the floor, by stepping down it."""
        return self.socket + self.down * (self.design.rise / -self.down[2])

    def radius(self, point: Vector) -> float:
        """Radius of the leg square to its axis abreast of a point; the taper runs on past ends."""
        d = self.design
        share = (point - self.socket) @ self.down / np.linalg.norm(self.foot - self.socket)
        return (d.thick + share * (d.thin - d.thick)) / 2

    def outside(self, point: Vector) -> float:
        """How far a point stands out of the leg's surface, square to the axis."""
        offset = point - self.socket
        away = offset - (offset @ self.down) * self.down
        return float(np.linalg.norm(away)) - self.radius(point)

    def section(self, level: float) -> tuple[Vector, Vector]:
        """Points where a level plane meets the surface, and their distances from the axis."""
        through = self.socket + self.down * ((level - self.socket[2]) / self.down[2])
        found = []
        # starting where the leg leans, so that the farthest point is among them
        for bearing in np.arctan2(self.down[1], self.down[0]) + AROUND:
            ray = np.array([np.cos(bearing), np.sin(bearing), 0.0])
            reach = brentq(
                lambda t, ray=ray: self.outside(through + t * ray),
                0,
                50 * self.design.thick,
                xtol=1e-15,
                rtol=1e-15,
            )
            found.append(through + reach * ray)
        points = np.array(found)
        return points, np.linalg.norm(points - through, axis=1)


def leg(design: Design, number: int = 0) -> Leg:
    """Leg `number`; the socket of the first lies so that its sight line has the asked turn."""
    down = direction(design)
    sight = np.arctan2(down[1], down[0])
    bearing = sight - design.turn
    socket = design.socket_radius * np.array([np.cos(bearing), np.sin(bearing), 0.0])
    socket += design.rise * PLUMB
    round_by = 2 * np.pi * number / design.count
    return Leg(design, turned(socket, round_by), turned(down, round_by))


def volume(one: Leg) -> float:
    """Volume between two level planes: areas of three slices, weighed as Gauss does.

    An area grows with the square of the height, which three slices add up exactly.
    """
    nodes, weights = np.polynomial.legendre.leggauss(3)
    rise = one.design.rise
    total = 0.0
    for node, weight in zip(nodes, weights, strict=True):
        _, reach = one.section(rise * (1 + node) / 2)
        area = float(np.mean(reach**2)) * np.pi
        total += weight * area * rise / 2
    return total


def bore(one: Leg) -> tuple[Vector, Vector]:
    """The rim of a socket's flat bottom, and its mouth on the underside; shapes (n, 3)."""
    d = one.design
    up = -one.down
    across = unit(np.cross(up, PLUMB))
    steep = np.cross(across, up)
    circle = d.tenon / 2 * (np.outer(np.cos(AROUND), steep) + np.outer(np.sin(AROUND), across))
    bottom = one.socket + d.depth * up + circle
    mouth = one.socket + circle
    mouth = mouth - np.outer((mouth[:, 2] - d.rise) / up[2], up)
    return bottom, mouth


def measure(design: Design) -> dict[str, float]:
    """Every length, angle and volume, by the kit's names."""
    first, second = leg(design, 0), leg(design, 1)
    down, foot, socket = first.down, first.foot, first.socket
    bottom, mouth = bore(first)
    cut, _ = first.section(0.0)
    end = socket - design.depth * down
    plan = unit(down * np.array([1.0, 1.0, 0.0]))
    return {
        "leg_resultant": between(down, -PLUMB),
        "sight_line": between(plan, np.array([1.0, 0.0, 0.0])),
        "drill_angle": between(down, plan),
        "sight_turn": between(plan, socket - design.rise * PLUMB),
        "leg_run": float(np.linalg.norm((foot - socket)[:2])),
        "shoulder_length": float(np.linalg.norm(foot - socket)),
        "leg_length": float(np.linalg.norm(foot - end)),
        "leg_blank": float(np.max((cut - end) @ down)) + TRIM,
        "foot_trim": TRIM,
        "leg_taper": first.radius(socket) - first.radius(socket + down),
        "foot_radius": float(np.linalg.norm(foot[:2])),
        "foot_spread": float(np.linalg.norm(foot - second.foot)),
        "socket_spread": float(np.linalg.norm(socket - second.socket)),
        "socket_ratio": design.depth / design.tenon,
        "socket_cover": design.rise + design.top - float(bottom[:, 2].max()),
        "edge_wood": design.rim - float(np.linalg.norm(mouth[:, :2], axis=1).max()),
        "overhang": design.rim - float(np.linalg.norm(socket[:2])),
        "leg_volume": volume(first),
    }


def feet(design: Design) -> Vector:
    """Plan of all feet, shape (count, 2)."""
    return np.array([leg(design, k).foot[:2] for k in range(design.count)])


def most_load(stands: Vector, at: Vector) -> float:
    """The greatest plumb load at plan point `at` that feet can carry without a foot being pulled
    down, per unit of weight at the centre. Infinite where there is none.

    stands  plan of the feet, shape (n, 2). A foot pushes; it cannot pull.
    """
    count = len(stands)
    balance = np.vstack([np.ones(count), stands.T])
    wanted = np.column_stack([balance, [-1.0, -at[0], -at[1]]])
    unknowns = count + 1  # what each foot carries, and the load
    gain = [*np.zeros(count), -1.0]
    found = linprog(gain, A_eq=wanted, b_eq=[1.0, 0.0, 0.0], bounds=[(0, None)] * unknowns)
    if found.status == 3:
        return float("inf")
    if not found.success:
        raise ValueError(found.message)
    return float(found.x[-1])
