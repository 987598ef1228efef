"""Legs drawn out of their sockets, each along its own axis, for pictures of the whole. Millimetres.

The top stays where it is. The pads drop from the feet first; then one leg after the other is drawn
out, the last one first, and its pad goes with it. Legs with stretchers come out together.
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tablekit.solids.assembly import LOCKED
from tablekit.solids.cutting import Surface
from tablekit.solids.leg_assembly import LegAssembly, drawn_together
from tablekit.solids.legs import Leg, LegModel
from tablekit.solids.model import PLUMB
from tablekit.solids.pulling import MARK_AT, SPACE, Pulling

Array = NDArray[np.float64]


class OnLegs(Protocol):
    """What is pulled apart: a sheet and its solids, as `tablekit.solids.piece.Solids` has them."""

    @property
    def sheet(self) -> Any:
        """What was solved."""

    @property
    def legs(self) -> LegModel:
        """The piece on its legs."""

    @property
    def surfaces(self) -> tuple[Surface, ...]:
        """Legs, stretchers, pads and top."""

    @property
    def leg_assembly(self) -> LegAssembly:
        """Whether each leg goes in."""


def leg_pulling(source: OnLegs) -> Pulling:
    """How the legs of a piece are drawn out.

    Raises what `tablekit.solids.legs.build_legs` and `tablekit.solids.leg_assembly.assemble_legs`
    raise.
    """
    model, answer = source.legs, source.leg_assembly
    space = SPACE * float(source.sheet.number("leg_diameter"))
    return Pulling(
        parts=source.surfaces,
        posts=model.legs,
        stretchers=model.stretchers,
        bodies=(*model.pads, model.top),
        turns=_turns(model, space),
        marks=np.array([_mark(leg) for leg in model.legs]),
        words=answer.words,
        locked=answer.verdict == LOCKED,
        mouths=np.array([model.mouth(leg) for leg in model.legs]),
    )


def _mark(leg: Leg) -> Array:
    return np.asarray(leg.middle - MARK_AT * np.linalg.norm(leg.shoulder - leg.foot) * leg.along)


def _turns(model: LegModel, space: float) -> Array:
    """The pads; then each leg with its pad, or all of them with their stretchers, which are then
    drawn apart. Shape (turns, parts, 3)."""
    if model.stretchers:
        return _turns_together(model, space)
    count, pads = len(model.legs), len(model.pads)
    turns = np.zeros((count + 1, count + pads + 1, 3))
    turns[0, count : count + pads] = -space * PLUMB
    for turn, place in enumerate(reversed(range(count)), start=1):
        leg = model.legs[place]
        travel = -(float(np.linalg.norm(leg.end - leg.shoulder)) + space) * leg.along
        turns[turn, place] = travel
        if pads:
            turns[turn, count + place] = travel
    return turns


def _turns_together(model: LegModel, space: float) -> Array:
    """The pads, legs and stretchers out of the top, legs off the stretchers."""
    count, joins, pads = len(model.legs), len(model.stretchers), len(model.pads)
    turns = np.zeros((3, count + joins + pads + 1, 3))
    rest = slice(count + joins, count + joins + pads)
    turns[0, rest] = -space * PLUMB
    out, apart = drawn_together(model)
    first, leg = model.stretchers[0], model.legs[0]
    tenon = float(np.ptp(first.tenons[0].vertices @ first.along))
    # Along a stretcher its legs part by the sine of half the angle between them.
    part = (tenon + 0.4 * space) / float(np.sin(np.pi / count))
    travel = float(np.linalg.norm(leg.end - leg.shoulder)) + space
    for turn, (way, far) in enumerate(((out, travel), (apart, part)), start=1):
        turns[turn, : count + joins] = far * way[1:]
        if pads:
            turns[turn, rest] = far * way[1 : 1 + count]
    return turns
