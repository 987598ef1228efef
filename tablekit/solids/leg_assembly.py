"""Do legs in sockets go in, each along its own axis? Tried with the parts as solids. Millimetres.

The top is cut into convex pieces round its sockets, and each leg is drawn straight out along its
axis while the top and all other legs stay in place. How far it goes is found exactly for these
polygons (`tablekit.solids.sweep`); then the same is run through with true booleans. Putting in is
drawing out run backward, and since each leg was drawn out with all others in place, any order does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.assembly import GOES, LOCKED, ROUNDING
from tablekit.solids.body import Body, cut
from tablekit.solids.cutting import replay_shapes
from tablekit.solids.legs import Leg, LegModel, build_legs, leg_solid
from tablekit.solids.model import NumberSheet
from tablekit.solids.sweep import TOUCH, Slides
from tablekit.solids.taking_apart import Move

Array = NDArray[np.float64]

# Of the polygons that are slid: the sweep compares every edge with every other.
SIDES = 16
TOP = 0  # the place of the top among the parts


@dataclass(frozen=True, eq=False)
class BoredTop:
    """The top as convex bodies that lie side by side round the sockets."""

    pieces: tuple[Body, ...]


@dataclass(frozen=True)
class LegAssembly:
    """Whether each leg goes in alone.

    verdict   "goes together" or "locked"
    meeting   pairs of leg numbers whose wood would be in the same place
    stuck     numbers of the legs that catch on something when they are drawn out
    distances how far each leg is drawn out until it is past the top, mm; nan of one that is stuck
    shared    most wood that two parts shared when that was run through as solids, mm³
    """

    verdict: str
    meeting: tuple[tuple[int, int], ...]
    stuck: tuple[int, ...]
    distances: tuple[float, ...]
    shared: float

    @property
    def words(self) -> str:
        """What a maker needs to hear, in a sentence or two."""
        if self.meeting:
            pairs = " and ".join(f"{first} and {second}" for first, second in self.meeting[:2])
            return (
                f"The sockets of legs {pairs} run into one another. Move the sockets outward, or "
                "make them shallower or the legs more upright."
            )
        if self.stuck:
            return f"Leg {self.stuck[0]} cannot be driven in along its axis: another part is there."
        return (
            "Each leg goes in straight along its own axis, in any order, with the others in place."
        )

    def to_json(self) -> dict[str, Any]:
        """The `assembly` of a sheet's JSON: plain lists and numbers, mm."""
        return {
            "verdict": self.verdict,
            "order": "any" if self.verdict == GOES else None,
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
    model = build_legs(sheet, SIDES, top)
    if meeting := _meeting(model):
        nothing = (float("nan"),) * len(model.legs)
        return LegAssembly(LOCKED, meeting, (), nothing, float("nan"))
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
