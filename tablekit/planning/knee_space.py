"""How far in from the rim the posts leave a strip under the table clear, at any bearing.

Proofs: `reference/derivations/people.md`, "the space of one sitter". Millimetres and radians.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.rearrange import solve_for
from tablekit.engine.trouble import DesignError
from tablekit.relations import knees
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

Array = NDArray[np.float64]
POSTS = 3
# By how much a wider top may be said to mend a want of room; beyond it is another table (our own
# choice).
MOST_WIDER = 1.25
WITHIN = 0.05  # mm, to which the best turn is proved
_MOST_ROUNDS = 40


@dataclass(frozen=True, eq=False)
class Edges:
    """Straight edges of convex pieces of the posts, whose corners are their ends.

    start, end   in plan, shape (n, 2)
    more         what each end counts farther out than it is, shape (n, 2): with a depth that
                 shrinks with the height, reach and needed depth are looked at together
    owner        number of the post each belongs to, 1 to 3, shape (n,)
    """

    start: Array
    end: Array
    more: Array
    owner: NDArray[np.int64]

    @property
    def farthest(self) -> float:
        """The greatest distance of a corner from the centre line."""
        return float(np.hypot(*np.vstack([self.start, self.end]).T).max(initial=0.0))

    def reach(self, bearings: Array, half_width: Array | float) -> Array:
        """How far out the edges reach, counted with `more`, inside a strip along each bearing.

        bearings     shape (m,), radians
        half_width   of the strip, one or shape (m,)

        Gives shape (m, n), −inf where an edge misses the strip.
        """
        out = np.stack([np.cos(bearings), np.sin(bearings)])
        aside = np.stack([-out[1], out[0]])
        half = np.broadcast_to(np.asarray(half_width, dtype=float), bearings.shape)[:, None]
        first, last = (self.start @ aside).T, (self.end @ aside).T
        low_out = (self.start @ out).T + self.more[:, 0]
        high_out = (self.end @ out).T + self.more[:, 1]
        run = last - first
        level = np.abs(run) < 1e-12
        slope = np.where(level, 1.0, run)
        ends = np.sort(np.stack([(-half - first) / slope, (half - first) / slope]), axis=0)
        begin, stop = np.clip(ends[0], 0.0, 1.0), np.clip(ends[1], 0.0, 1.0)
        missed = np.where(level, np.abs(first) > half, (ends[0] > 1.0) | (ends[1] < 0.0))
        begin, stop = np.where(level, 0.0, begin), np.where(level, 1.0, stop)
        best = np.maximum(
            low_out + begin * (high_out - low_out), low_out + stop * (high_out - low_out)
        )
        return np.where(missed | (half < 0), -np.inf, best)


def edges_of_loops(loops: Sequence[Array], owners: Sequence[int]) -> Edges:
    """The sides of polygons in plan, each shape (k, 2)."""
    kept = [(loop, owner) for loop, owner in zip(loops, owners, strict=True) if len(loop)]
    if not kept:
        return Edges(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0, np.int64))
    start = np.vstack([loop for loop, _ in kept])
    end = np.vstack([np.roll(loop, -1, axis=0) for loop, _ in kept])
    owner = np.concatenate([np.full(len(loop), number) for loop, number in kept])
    return Edges(start, end, np.zeros((len(start), 2)), owner)


# --- the best of all bearings ---------------------------------------------------------------------


@dataclass(frozen=True)
class Best:
    """The turn at which the worst of several places is best, radians; what it leaves clear there;
    and by how much at most another turn could leave more."""

    turn: float
    clear: float
    gap: float


def clear_depth(pieces: Sequence[Edges], radius: float, bearings: Array, half: Array) -> Array:
    """What is clear from the rim inward at each bearing, shape (m,); at most `radius`.

    A negative number says that a post reaches beyond the rim by so much."""
    reached = [one.reach(bearings, half).max(axis=1, initial=-np.inf) for one in pieces]
    return np.minimum(radius - np.max(reached, axis=0), radius)


def best_turn(pieces: Sequence[Edges], radius: float, half_width: float, places: int) -> Best:
    """Turns `places` equal places round the rim so that the worst is as clear as it can be.

    Interval by interval, with proof (derivation: "the best turn")."""
    period = 2 * math.pi / math.lcm(POSTS, places)
    stride = 2 * math.pi / places * np.arange(places)
    far = max(one.farthest for one in pieces)
    count = max(8, round(96 / places))
    delta = period / count / 2
    middles = period * (np.arange(count) + 0.5) / count
    best, bound = Best(0.0, -math.inf, math.inf), math.inf
    for _ in range(_MOST_ROUNDS):
        bearings = (middles[:, None] + stride).ravel()

        def worst(half: float, slack: float, at: Array = bearings) -> Array:
            clear = clear_depth(pieces, radius, at, np.full(at.shape, half))
            return np.minimum(clear + slack, radius).reshape(-1, places).min(axis=1)

        here = worst(half_width, 0.0)
        if here.max() > best.clear + 1e-9:
            ties = np.nonzero(here > here.max() - 1e-9)[0]
            chosen = middles[ties[len(ties) // 2]]  # in the middle of turns that are all as good
            best = Best(float(chosen), float(here.max()), math.inf)
        above = worst(half_width - far * delta, far * delta)
        open_still = above > best.clear + WITHIN
        bound = float(above[open_still].max(initial=best.clear + WITHIN))
        if not open_still.any():
            break
        delta /= 2
        middles = np.concatenate([middles[open_still] - delta, middles[open_still] + delta])
    return Best(best.turn, best.clear, bound - best.clear)


# --- posts at the level of knees ------------------------------------------------------------------

_GIVEN = (
    "splay", "roll", "post_section", "post_width", "centre_distance", "foot_arm", "head_arm",
    "waist_height",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Traces:
    """The posts cut level.

    loops         each post's outline in plan, shape (k, 2); empty where it does not come so far
    axis          where each axis passes, shape (3, 2)
    axis_radius   from the centre line
    """

    loops: tuple[Array, Array, Array]
    axis: Array
    axis_radius: float


def traces(sheet: Sheet, level: float) -> Traces:
    """The three posts cut level at a height above the floor, mm.

    Raises DesignError where the sheet has no posts that cross."""
    missing = [name for name in _GIVEN if name != "waist_height" and sheet.get(name) is None]
    if missing:
        raise DesignError(
            f"the plan of the posts needs {', '.join(missing)}; it is calculated only for crossed "
            "posts"
        )
    known = {name: sheet.si[name] for name in _GIVEN if name in sheet.si}
    waist = found(knees.waist_height.name, sheet.si)
    known |= {"waist_height": waist, "knee_level": level / 1000}
    size = {quantity.name: 1000 * found(quantity.name, known | _reach(known))
            for quantity, _ in knees.AT_A_HEIGHT}  # fmt: skip
    base = base_of(sheet)
    axis = np.array([size["axis_reach"], base.up * 1000 * known["centre_distance"]])
    floor = sheet.number("pad_projection")
    outline = np.zeros((0, 2))
    if floor <= level <= floor + sheet.number("base_height"):
        outline = _outline(size, axis)
    if base.mirrored:
        axis, outline = axis * [1, -1], (outline * [1, -1])[::-1]
    turned = [_turn(2 * math.pi * k / POSTS) for k in range(POSTS)]
    first, second, third = (outline @ turn for turn in turned)
    return Traces(
        (first, second, third), np.array([axis @ turn for turn in turned]), size["axis_radius"]
    )


def _reach(known: dict[str, float]) -> dict[str, float]:
    return {"axis_reach": found("axis_reach", known)}


def _outline(size: dict[str, float], axis: Array) -> Array:
    """Post 1's trace, anticlockwise, cut off where the post ends."""
    tip = np.array([size["tip_reach"], -size["tip_aside"]])
    wing = np.array([size["wing_reach"], -size["wing_aside"]])
    corners = axis + np.array([tip, -wing, -tip, wing])
    for side, stop in ((1.0, size["head_stop"]), (-1.0, size["foot_stop"])):
        corners = _cut_off(corners, side, stop)
    return corners


def _cut_off(corners: Array, side: float, stop: float) -> Array:
    """The part of a polygon where side times x is at most `stop`."""
    kept: list[Array] = []
    for here, there in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        a, b = stop - side * here[0], stop - side * there[0]
        if a >= 0:
            kept.append(here)
        if a * b < 0:
            kept.append(here + a / (a - b) * (there - here))
    return np.array(kept).reshape(-1, 2)


def _turn(angle: float) -> Array:
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[cos, sin], [-sin, cos]])  # for rows: point @ turn


def found(name: str, si: dict[str, float]) -> float:
    """One of the quantities of `relations/knees.py` from those it follows from, coherent SI."""
    return float(_FORMULAS[name].of(si))


_FORMULAS = {
    quantity.name: solve_for(relation, quantity, within=quantity.si_range)
    for quantity, relation in (
        *knees.AT_A_HEIGHT,
        (knees.waist_height, knees.WAIST_HEIGHT),
        (knees.knee_level, knees.KNEE_LEVEL),
    )
}
