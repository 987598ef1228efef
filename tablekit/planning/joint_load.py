"""The joint under load: what the posts must press on one another with, and what the wood says.

The programme of equilibrium is in `tablekit.solids.carrying`, what follows from the forces in
`tablekit.relations.joint_load`; `reference/derivations/joint_load.md` has the reasoning. A design
aid, no engineer's certificate: where the public sits, licensed practice and the local code decide.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from tablekit.engine.sheet import tidy
from tablekit.engine.shop import plain_number, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.planning.crossing_in_place import CrossingInPlace, crossing_in_place
from tablekit.relations import joint_load as relations
from tablekit.solids.carrying import (
    Burden,
    Forces,
    Holding,
    Pressures,
    least_forces,
    least_pressure,
)

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

# Planed dry wood on wood, and feet on a smooth floor: the low end of 0.3 to 0.5 (from memory).
FRICTION = 0.3
# A force so small a share of the load is a solver's rounding.
_NOTHING = 1e-9
# Coarser where friction leans every push eight ways: the answers differ by a hundredth or two.
_SIDES, _HALVINGS, _COARSE = 8, 2, 1
AIDS: Mapping[str, Mapping[str, Any]] = {
    "the top screwed to the heads": {"heads_tied": True},
    "feet that do not slip": {"floor_friction": FRICTION},
    "friction in the joint": {"joint_friction": FRICTION},
    "glue on the notch floors": {"glued": True},
}


@dataclass(frozen=True)
class FaceForce:
    """What one face of the crossing carries: posts by number, forces in N, area in mm²."""

    host: int
    guest: int
    what: str
    normal: float
    friction: float
    along_grain: float
    area: float


@dataclass(frozen=True, eq=False)
class JointForces:
    """The least forces with which the piece can carry a load.

    load, radius, bearing  the load, N, and where it stands: mm from the centre line, and degrees
                           anticlockwise, seen from above, from the direction of head 1
    holding   what holds the posts
    stands    whether any forces at all are in equilibrium with the load
    message   the same in words; what would be needed where it does not stand
    forces    the forces whose sum at the notches is least, or None
    """

    load: float
    radius: float
    bearing: float
    holding: Holding
    stands: bool
    message: str
    forces: Forces | None
    crossing: CrossingInPlace
    burden: Burden

    @property
    def ratio(self) -> float | None:
        """Sum of the normal forces at the notches as a multiple of the load."""
        return None if self.forces is None else self.forces.least / self.load

    @property
    def ratio_with_feet(self) -> float | None:
        """The same with the three normal forces of the floor added in."""
        if self.forces is None or self.ratio is None:
            return None
        return self.ratio + float(self.forces.feet[:, 2].sum()) / self.load

    @cached_property
    def pressures(self) -> Pressures | None:
        """The gentlest spread of pressure that carries the load; None where edges alone would have
        to bear."""
        if not self.stands:
            return None
        halvings = _COARSE if self.holding.joint_friction or self.holding.glued else _HALVINGS
        place = self.crossing
        return least_pressure(place.posts, place.faces, self.burden, self.holding, halvings)

    @cached_property
    def faces(self) -> tuple[FaceForce, ...]:
        """What each face carries. Under a load in the middle the three posts share alike."""
        if self.forces is None:
            return ()
        return tuple(self._face_forces(self.forces))

    def _face_forces(self, forces: Forces) -> Iterator[FaceForce]:
        place = self.crossing
        totals = [place.local(forces, number) for number in range(len(place.faces))]
        for face, total in zip(place.faces, totals, strict=True):
            if self.alike:
                same = [t for f, t in zip(place.faces, totals, strict=True) if f.what == face.what]
                total = np.mean(same, axis=0)
            square, along, across, grain = np.where(
                np.abs(total) > _NOTHING * self.load, total, 0.0
            )
            yield FaceForce(
                face.host + 1,
                face.guest + 1,
                face.what,
                float(square),
                float(np.hypot(along, across)),
                float(abs(grain)),
                face.area,
            )

    @property
    def alike(self) -> bool:
        """Load and base have threefold symmetry: then so have some least forces, the mean of any
        and the same turned by a third."""
        return self.radius == 0 and self.crossing.alike

    def to_json(self) -> dict[str, Any]:
        """Plain data: N, mm, degrees, MPa."""
        pressure = None if self.pressures is None else self.pressures.peak
        return {
            "load": tidy(self.load),
            "place": {"radius": tidy(self.radius), "bearing": tidy(self.bearing)},
            "holding": {f.name: getattr(self.holding, f.name) for f in fields(self.holding)},
            "stands": self.stands,
            "message": self.message,
            "ratio": tidy(self.ratio),
            "ratio_with_feet": tidy(self.ratio_with_feet),
            "pressure": tidy(pressure),
            "faces": [
                {
                    f.name: tidy(value) if isinstance(value, float) else value
                    for f in fields(face)
                    for value in (getattr(face, f.name),)
                }
                for face in self.faces
            ],
        }


def load_of_design(sheet: Sheet) -> float:
    """The load to calculate with where none is given, N: the sheet's own `design_load`."""
    return sheet.get("design_load") or 0.0


def joint_forces(
    sheet: Sheet,
    load: float | None = None,
    *,
    radius: float = 0.0,
    bearing: float = 0.0,
    heads_tied: bool = False,
    floor_friction: float = 0.0,
    joint_friction: float = 0.0,
    glued: bool = False,
    weight: bool = False,
    place: CrossingInPlace | None = None,
) -> JointForces:
    """The least forces with which the base carries a vertical load on its top.

    load             N; `load_of_design(sheet)` where left out
    radius, bearing  where it stands: mm from the centre line, degrees from the direction of head 1
    heads_tied       the top is screwed to all three heads
    *_friction       coefficients; 0 for none
    glued            the notch floors are glued
    weight           count what posts and top weigh as well
    place            the posts of the sheet, where they have been placed before
    Raises DesignError for a piece without crossed posts, and for a load or friction that cannot be.
    """
    size = load_of_design(sheet) if load is None else load
    place = place or crossing_in_place(sheet)
    _refuse(size, radius, floor_friction, joint_friction)
    burden = _burden(place, size, radius, bearing, weight)
    holding = Holding(heads_tied, floor_friction, joint_friction, glued, joint_sides=_SIDES)
    forces = least_forces(place.posts, place.faces, burden, holding)
    stands = forces is not None
    message = _stands(forces, size) if forces else _cannot(sheet, place, burden, holding)
    return JointForces(size, radius, bearing, holding, stands, message, forces, place, burden)


def _refuse(load: float, radius: float, *frictions: float) -> None:
    if not (np.isfinite(load) and load > 0):
        raise DesignError(f"load is {plain_number(load)} N. Expected a vertical load above 0 N")
    if not (np.isfinite(radius) and radius >= 0):
        raise DesignError(
            f"the load is {plain_number(radius)} mm from the centre. Expected at least 0 mm"
        )
    for friction in frictions:
        if not 0 <= friction <= 2:
            raise DesignError(
                f"the coefficient of friction is {plain_number(friction)}. Expected 0 to 2"
            )


def _burden(
    place: CrossingInPlace, load: float, radius: float, bearing: float, weight: bool
) -> Burden:
    head = place.heads[0]
    turn = np.arctan2(head[1], head[0]) + np.radians(bearing)
    return Burden(
        feet=place.feet,
        heads=place.heads,
        load=load,
        at=radius * np.array([np.cos(turn), np.sin(turn)]),
        top_weight=place.top_weight if weight else 0.0,
        weights=place.weights if weight else np.zeros(3),
        middles=place.middles,
    )


def _stands(forces: Forces, load: float) -> str:
    return (
        "The joint holds, and the forces between the posts add up to at least "
        f"{forces.least / load:.3g} times the load"
    )


def _cannot(sheet: Sheet, place: CrossingInPlace, burden: Burden, holding: Holding) -> str:
    """What would have to be added, in words: the smallest sets of aids that hold the load."""
    missing = {
        words: change for words, change in AIDS.items()
        if not any(getattr(holding, name) for name in change)
    }  # fmt: skip
    for count in range(1, len(missing) + 1):
        enough = [
            chosen for chosen in combinations(missing, count)
            if _holds(place, burden, replace(holding, **_changes(chosen)))
        ]  # fmt: skip
        if enough:
            ways = ", or ".join(" and ".join(chosen) for chosen in enough)
            return f"The base cannot carry this load without {ways}"
    tips = sheet.get("tipping_load")
    known = ""
    if tips is not None:
        force = shop_text(tips, "N", sheet.shop_style)
        known = f"; {force} on the rim midway between two feet tips it"
    return (
        "The base cannot carry this load however it is held: it tips, or the glue fails. Move the "
        f"load nearer the centre, reduce it, or set the feet wider{known}"
    )


def _changes(chosen: tuple[str, ...]) -> dict[str, Any]:
    return {name: value for words in chosen for name, value in AIDS[words].items()}


def _holds(place: CrossingInPlace, burden: Burden, holding: Holding) -> bool:
    return least_forces(place.posts, place.faces, burden, holding) is not None


def joint_sheet(
    sheet: Sheet, forces: JointForces, wood: Mapping[str, float] | None = None
) -> Sheet:
    """What the forces do to the wood, as a sheet of its own with checks and working.

    wood   strengths and factors to use, reporting units, in place of the sheet's or the assumed
    Raises DesignError when the piece does not stand, or when only edges could bear the load.
    """
    if forces.forces is None:
        raise DesignError(f"there are no forces to judge. {forces.message}")
    pressures = forces.pressures
    if pressures is None:
        raise DesignError(
            "only the edges of the notches would carry this load, and they would crush. Screw the "
            "top to the heads, or make the posts thicker"
        )
    givens = {item.name: sheet.number(item.name) for item in relations.OF_THE_PIECE}
    known = {item.name: sheet.get(item.name) for item in relations.OF_THE_WOOD}
    # The sheet's factor follows from its parts, and a part that is not there is assumed.
    given = {name: n for name, n in known.items() if n is not None and name != "strength_factor"}
    force, area = _hardest(pressures)
    givens |= {
        **given,
        **dict(wood or {}),
        "design_load": forces.load,
        "joint_sum": forces.forces.least,
        "bearing_force": force,
        "bearing_area": area,
        "wall_force": max((face.along_grain for face in forces.faces), default=0.0),
    }
    return relations.network().solve(
        givens, name=f"{sheet.name}: joint under load", shop=sheet.shop_style
    )


def _hardest(pressures: Pressures) -> tuple[float, float]:
    """Force on the face that is pressed hardest, N, and the area that would carry it at the
    pressure of its hardest spot, mm². With nothing pressed, no force on all the area."""
    own = pressures.forces
    if pressures.peak <= 0:
        return 0.0, float(pressures.areas.sum())
    pressed = np.maximum(own.normals, 0.0)
    full = pressed > pressures.areas * pressures.peak * (1 - 1e-6)
    force = max(float(pressed[own.face == face].sum()) for face in np.unique(own.face[full]))
    return force, force / pressures.peak
