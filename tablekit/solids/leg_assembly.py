"""Do legs in sockets go in, one by one or all at once? Tried with the parts as solids. Millimetres.

Parts are cut into convex pieces round their sockets and mortises. How far they slide is found
exactly for these polygons (`tablekit.solids.contact`); then the same is run through with true
booleans. Putting in is drawing out run backward.

Legs that nothing joins are drawn out one by one along their axes, all else in place; since each
comes out alone, any order does. Legs with stretchers come out together, each along its own axis,
which spreads them: the stretchers go with them and slide out of their mortises as they do. Drawn
level outward, the legs then come off their stretchers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.relations.bases import base_of
from tablekit.solids.assembly import GOES, LOCKED, ROUNDING
from tablekit.solids.body import Body, cut
from tablekit.solids.contact import TOUCH, Slides
from tablekit.solids.cutting import replay_shapes, replay_shapes_together
from tablekit.solids.legs import SIDE, Leg, LegModel, Stretcher, build_legs, leg_solid
from tablekit.solids.model import NumberSheet
from tablekit.solids.taking_apart import Move

Array = NDArray[np.float64]

# Of the polygons that are slid: the sweep compares every edge with every other.
SIDES = 16
JOINED_SIDES = 8  # of those with stretchers, which are many more pieces
TOP = 0  # the place of the top among the parts
# Overlaps of mortises below a tenth of a micrometre are rounding: their cutters have many faces.
FITTED = 1e-4


@dataclass(frozen=True, eq=False)
class BoredTop:
    """The top as convex bodies that lie side by side round the sockets."""

    pieces: tuple[Body, ...]


@dataclass(frozen=True)
class LegAssembly:
    """Whether the legs go in, each alone or all at once.

    verdict   "goes together" or "locked"
    meeting   pairs of leg numbers whose wood would be in the same place
    stuck     numbers of the legs that catch on something when they are drawn out, of all where
              they catch together
    distances how far each leg is drawn out until it is past the top, mm; nan of one that is stuck
    shared    most wood that two parts shared when that was run through as solids, mm³
    joined    whether stretchers join the legs
    alone     numbers of the legs that come out by themselves, all else in place
    mortises  whether mortises run into one another, or two stretchers do
    """

    verdict: str
    meeting: tuple[tuple[int, int], ...]
    stuck: tuple[int, ...]
    distances: tuple[float, ...]
    shared: float
    joined: bool = False
    alone: tuple[int, ...] = ()
    mortises: bool = False

    @property
    def words(self) -> str:
        """What a maker needs to hear, in a sentence or two."""
        if self.meeting:
            pairs = " and ".join(f"{first} and {second}" for first, second in self.meeting[:2])
            return (
                f"The sockets of legs {pairs} run into one another. Move the sockets outward, or "
                "make them shallower or the legs more upright."
            )
        if self.mortises:
            return (
                "Two stretchers run into one another inside a leg. Set them farther apart in "
                "height, or make their mortises shallower."
            )
        if self.stuck and self.joined:
            return (
                "The legs cannot be driven in with their stretchers, not even all at once: another "
                "part is there."
            )
        if self.stuck:
            return f"Leg {self.stuck[0]} cannot be driven in along its axis: another part is there."
        if self.joined:
            return (
                "No leg goes in by itself: its stretchers hold it. Put the stretchers between the "
                "legs first, start all legs in their sockets, and drive them home together; the "
                "stretchers go home with them."
            )
        return (
            "Each leg goes in straight along its own axis, in any order, with the others in place."
        )

    def to_json(self) -> dict[str, Any]:
        """The `assembly` of a sheet's JSON: plain lists and numbers, mm."""
        return {
            "verdict": self.verdict,
            "order": ("all at once" if self.joined else "any") if self.verdict == GOES else None,
            "meeting": [list(pair) for pair in self.meeting],
            "stuck": list(self.stuck),
            "drawn_out": [None if np.isnan(far) else round(far, 4) for far in self.distances],
        }


def bored(model: LegModel) -> BoredTop:
    """The top of a model less what its tenons take up."""
    pieces = [model.top]
    for leg in model.legs:
        pieces = [left for piece in pieces for left in _less(piece, leg.tenon)]
    return BoredTop(tuple(pieces))


def _less(piece: Body, cutter: Body) -> list[Body]:
    """A convex body less another, as convex bodies side by side."""
    inside: Body | None = piece
    beyond: list[Body] = []
    for normal, offset in zip(cutter.normals, cutter.offsets, strict=True):
        assert inside is not None
        place = _beside_corners(inside, normal, offset)
        if (outer := _half(inside, -normal, -place)) is not None:
            beyond.append(outer)
        inside = _half(inside, normal, place)
        if inside is None:  # they do not meet
            return [piece]
    return beyond


def _beside_corners(solid: Body, normal: Array, offset: float) -> float:
    """A plane moved out by a few nanometres at the most until no corner lies on it but for
    rounding, which would leave open whether the corner is cut off."""
    heights = solid.vertices @ normal
    for step in range(10):
        place = offset + step * TOUCH / 10
        if np.abs(heights - place).min() > TOUCH / 30:
            return place
    return offset


def _half(solid: Body, normal: Array, offset: float) -> Body | None:
    """What of a body lies on one side of a plane; None where that is no thicker than rounding."""
    if (solid.vertices @ normal - offset).min() > -TOUCH:
        return None
    return cut(solid, normal, offset)


def assemble_legs(sheet: NumberSheet, top: Body | None = None) -> LegAssembly:
    """Whether the legs of a sheet go in one by one.

    top  of the sheet, where it has been made before

    Raises DesignError where manifold3d is missing, what `tablekit.solids.legs.build_legs` raises,
    and AssertionError should sweep and booleans ever disagree, which would be an error of the kit.
    """
    joined = base_of(sheet).has_stretchers
    model = build_legs(sheet, JOINED_SIDES if joined else SIDES, top)
    nothing = (float("nan"),) * len(model.legs)
    if meeting := _meeting(model):
        return LegAssembly(LOCKED, meeting, (), nothing, float("nan"))
    if joined:
        return _joined(model, nothing)
    slides = Slides([bored(model), *model.legs])
    present = range(1 + len(model.legs))
    still = np.zeros((len(present), 3))
    stuck, distances = [], []
    for place, leg in enumerate(model.legs, start=1):
        velocities = np.zeros_like(still)
        velocities[place] = -leg.along
        free = np.isinf(slides.stop(still, velocities, present))
        stuck += [] if free else [leg.number]
        distances.append(_drawn_out(leg) if free else np.nan)
    shared = np.nan if stuck else _witnessed(model, distances)
    return LegAssembly(
        LOCKED if stuck else GOES, (), tuple(stuck), tuple(map(float, distances)), float(shared)
    )


def _joined(model: LegModel, nothing: tuple[float, ...]) -> LegAssembly:
    """Legs with stretchers: all at once."""
    parts = [bored(model), *_mortised(model)]
    count, still = len(model.legs), np.zeros((1 + len(model.legs) + len(model.stretchers), 3))
    if _run_into(parts):
        return LegAssembly(LOCKED, (), (), nothing, float("nan"), True, (), True)
    distances = tuple(_drawn_out(leg) for leg in model.legs)
    far = max(distances)
    alone = tuple(
        place for place in range(1, count + 1)
        if _free(parts, _only(still, place, -model.legs[place - 1].along), far)
    )  # fmt: skip
    out, apart = drawn_together(model)
    tenon = max(float(np.ptp(one.pieces[0].vertices @ one.along)) for one in model.stretchers)
    if not (_free(parts, out, far) and _free(parts[1:], apart[1:], 2 * tenon)):
        every = tuple(range(1, count + 1))
        return LegAssembly(LOCKED, (), every, nothing, float("nan"), True, alone)
    shared = _witnessed_together(model, out * far)
    return LegAssembly(GOES, (), (), distances, shared, True, alone)


def _free(parts: Sequence[BoredTop], velocities: Array, far: float) -> bool:
    """Whether all parts can move so, shape (parts, 3), for so long without two of them catching."""
    for i, j in combinations(range(len(parts)), 2):
        relative = velocities[i] - velocities[j]
        if not relative.any():
            continue
        pair = _near(parts[i], parts[j], far * relative)
        moved = np.array([relative, np.zeros(3)])
        if pair and Slides(pair).stop(np.zeros((2, 3)), moved, (0, 1), FITTED) < far:
            return False
    return True


def _run_into(parts: Sequence[BoredTop]) -> bool:
    """Whether two parts overlap as they stand."""
    for first, second in combinations(parts, 2):
        pair = _near(first, second, np.zeros(3))
        if pair and Slides(pair).overlap(np.zeros((2, 3)), (0, 1)) > FITTED:
            return True
    return False


def _near(first: BoredTop, second: BoredTop, travel: Array) -> tuple[BoredTop, BoredTop] | None:
    """The pieces of two parts that may come near one another while the first travels: those whose
    boxes meet the box of the other part. None where there are none."""
    boxes = [np.array([(one.vertices.min(axis=0), one.vertices.max(axis=0))
                       for one in part.pieces]) for part in (first, second)]  # fmt: skip
    boxes[0][:, 0] += np.minimum(travel, 0.0)
    boxes[0][:, 1] += np.maximum(travel, 0.0)
    kept = []
    for part, own, other in ((first, boxes[0], boxes[1]), (second, boxes[1], boxes[0])):
        low, high = other[:, 0].min(axis=0) - TOUCH, other[:, 1].max(axis=0) + TOUCH
        meets = ((own[:, 0] <= high) & (own[:, 1] >= low)).all(axis=1)
        kept.append(BoredTop(tuple(one for one, so in zip(part.pieces, meets, strict=True) if so)))
    return (kept[0], kept[1]) if kept[0].pieces and kept[1].pieces else None


def _only(still: Array, place: int, way: Array) -> Array:
    velocities = np.zeros_like(still)
    velocities[place] = way
    return velocities


def drawn_together(model: LegModel) -> tuple[Array, Array]:
    """How top, legs and stretchers move, shape (1 + parts, 3): while every leg is drawn by 1 mm
    along its axis; and while every leg is drawn by 1 mm level outward."""
    down = np.array([0.0, 0.0, -float(model.legs[0].along[2])])
    level = [-leg.along * np.array([1.0, 1.0, 0.0]) for leg in model.legs]
    each = float(np.linalg.norm(level[0]))
    apart = [np.zeros(3), *(one / each for one in level), *(one.draws for one in model.stretchers)]
    out = [each * one + down for one in apart]
    out[TOP] = np.zeros(3)
    return np.array(out), np.array(apart)


def _mortised(model: LegModel) -> list[BoredTop]:
    """Legs, then stretchers, as convex bodies round their mortises."""
    sides = [one for one in model.stretchers if one.kind == SIDE]
    cross = [one for one in model.stretchers if one.kind != SIDE]
    legs = [_round(leg.pieces, model.stretchers) for leg in model.legs]
    return [*legs, *(_round(one.pieces, cross) for one in sides),
            *(BoredTop(one.pieces) for one in cross)]  # fmt: skip


def _round(pieces: Sequence[Body], stretchers: Sequence[Stretcher]) -> BoredTop:
    """Convex pieces less those stretchers that go into them."""
    left = list(pieces)
    for one in stretchers:
        for cutter in one.pieces:
            left = [rest for piece in left for rest in _less(piece, cutter)]
    return BoredTop(tuple(left))


def _witnessed_together(model: LegModel, travels: Array) -> float:
    """Draw legs and stretchers out of the top as solids; the most wood ever shared, mm³."""
    shapes = [model.seat, *model.mortised]
    found = replay_shapes_together(shapes, travels)
    least = min(float(shape.volume()) for shape in shapes)
    if found > ROUNDING * least:
        raise AssertionError(
            f"legs found free share {found:.3g} mm³ of wood when drawn out together as solids"
        )
    return found


def _meeting(model: LegModel) -> tuple[tuple[int, int], ...]:
    """Pairs of legs that take up the same place."""
    legs = Slides(model.legs)
    still = np.zeros((legs.count, 3))
    return tuple(
        (i + 1, j + 1)
        for i, j in combinations(range(legs.count), 2)
        if legs.overlap(still, (i, j)) > TOUCH
    )


def _drawn_out(leg: Leg) -> float:
    """How far a leg is drawn until all of its tenon is below the underside, mm."""
    above = float(leg.tenon.vertices[:, 2].max()) - float(leg.socket[2])
    return above / float(leg.along[2])


def _witnessed(model: LegModel, distances: Sequence[float]) -> float:
    """Draw every leg out as a solid, the others in place; the most wood ever shared, mm³."""
    shapes = [model.seat, *map(leg_solid, model.legs)]
    found = []
    for place, (leg, far) in enumerate(zip(model.legs, distances, strict=True), start=1):
        found.append(replay_shapes(shapes, [Move(place, -leg.along, far, leaves=True)]))
    least = min(float(shape.volume()) for shape in shapes)
    if max(found) > ROUNDING * least:
        raise AssertionError(
            f"a leg found free shares {max(found):.3g} mm³ of wood when drawn out as a solid"
        )
    return max(found)
