"""The joint under load: what the posts must press on one another with, and what the wood says.

The programme of equilibrium is in `tablekit.solids.carrying`, what follows from the forces in
`tablekit.relations.joint_load`; `reference/derivations/joint_load.md` has the reasoning. A design
aid, no engineer's certificate: where the public sits, licensed practice and the local code decide.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields, replace
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.sheet import tidy
from tablekit.engine.shop import ShopStyle, plain_number, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.relations import joint_load as relations
from tablekit.relations.bases import WAYS_UP, WITH_NOTCHES, base_of
from tablekit.relations.families import on_base
from tablekit.relations.quantities import STANDARD_GRAVITY
from tablekit.solids.body import Body
from tablekit.solids.carrying import (
    Burden,
    Face,
    Forces,
    Holding,
    Pressures,
    bearing_faces,
    least_forces,
    least_pressure,
)
from tablekit.solids.notched import NotchedPost
from tablekit.solids.piece import Solids

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- the crossed posts where they stand, ready to be loaded ----------------------------------------

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CrossingInPlace:
    """The posts, the faces on which they bear, and where they are supported. Millimetres, N."""

    posts: tuple[NotchedPost, ...]
    faces: tuple[Face, ...]
    feet: Array
    heads: Array
    weights: Array
    middles: Array
    top_weight: float
    alike: bool

    def local(self, forces: Forces, number: int) -> Array:
        """What a face carries: square to it, in it along the guest and across, and along the grain
        of the host. Shape (4,), N."""
        face = self.faces[number]
        total = forces.pushes[forces.face == number].sum(axis=0)
        first = self.posts[face.guest].along
        second = np.cross(face.normal, first)
        host = self.posts[face.host].along
        square = total @ face.normal
        return np.array([square, total @ first, total @ second, square * (face.normal @ host)])


def crossing_in_place(source: Solids | Sheet) -> CrossingInPlace:
    """The posts of a sheet, or of its solids, ready to be loaded.

    Raises DesignError for a piece whose posts do not cross, and what `build` raises.
    """
    solids = Solids.of(source)
    sheet = solids.sheet
    if not base_of(sheet).crossed:
        raise DesignError(
            "this piece has no crossed posts, so there is no joint between them to load; set "
            f"{WITH_NOTCHES} for one that has"
        )
    model, posts = solids.model, solids.posts
    gravity = STANDARD_GRAVITY.value
    return CrossingInPlace(
        posts=posts,
        faces=bearing_faces(posts),
        # The floor pushes under the pad, if there is one.
        feet=model.foot_middles * np.array([1.0, 1.0, 0.0]),
        heads=model.head_middles,
        weights=np.full(3, (sheet.get("base_mass") or 0.0) * gravity / 3),
        middles=np.array([_middle(post) for post in posts]),
        top_weight=(sheet.get("top_mass") or 0.0) * gravity,
        alike=not sheet.get("notch_relief"),
    )


def _middle(post: NotchedPost) -> Array:
    """Centre of mass of a notched post, by pyramids from a point of each piece to its faces."""
    volume, moment = 0.0, np.zeros(3)
    for piece in post.pieces:
        apex = piece.vertices[0]
        for corners in _triangles(piece):
            own = float(np.linalg.det(corners - apex)) / 6
            volume += own
            moment += own * (corners.sum(axis=0) + apex) / 4
    return np.asarray(moment / volume)


def _triangles(piece: Body) -> Iterator[Array]:
    for loop in piece.faces:
        for k in range(1, len(loop) - 1):
            yield piece.vertices[[loop[0], loop[k], loop[k + 1]]]


# -- the joint under load --------------------------------------------------------------------------

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


# -- held in seven ways, with the base either way up -----------------------------------------------

CASES: Mapping[str, Mapping[str, Any]] = {
    "contact alone": {},
    "heads tied by the top": {"heads_tied": True},
    "floor friction": {"floor_friction": FRICTION},
    "joint friction": {"joint_friction": FRICTION},
    "heads tied and floor friction": {"heads_tied": True, "floor_friction": FRICTION},
    "heads tied and joint friction": {"heads_tied": True, "joint_friction": FRICTION},
    "all three": {"heads_tied": True, "floor_friction": FRICTION, "joint_friction": FRICTION},
}
USUAL = "all three"


@dataclass(frozen=True)
class HoldingRow:
    """One way of holding the posts: the sum of the normal forces at the notches as a multiple of
    the load, with the notches up and down; None where that base cannot carry it or be made."""

    held_by: str
    notches_up: float | None
    notches_down: float | None


@dataclass(frozen=True)
class OneWayUp:
    """One way up of the base: the joint's price with all that usually holds it (None where it
    cannot be carried), the load that tips it, N, and its circle of feet, mm."""

    way_up: str
    ratio: float | None
    tipping_load: float | None
    foot_radius: float | None


@dataclass(frozen=True)
class BothWays:
    """The base as asked for and turned over.

    load      vertical load in the middle, N
    ways      notches up, then notches down; one alone where the other cannot be made
    rows      the seven ways of holding
    words     what that means for the choice
    """

    load: float
    ways: tuple[OneWayUp, ...]
    rows: tuple[HoldingRow, ...]
    words: str

    def to_json(self) -> dict[str, Any]:
        """Plain data, numbers to twelve figures."""

        def plain(item: HoldingRow | OneWayUp) -> dict[str, Any]:
            return {
                name: value if isinstance(value, str) else tidy(value)
                for name, value in asdict(item).items()
            }

        return {
            "load": tidy(self.load),
            "friction": FRICTION,
            "ways": [plain(way) for way in self.ways],
            "rows": [plain(row) for row in self.rows],
            "words": self.words,
        }


def turned_over(sheet: Sheet) -> Sheet:
    """The same wishes answered with the base the other way up.

    Raises DesignError for a piece without crossed posts, or when they cannot all be met that way
    up.
    """
    base = base_of(sheet)
    if base.turned_over is None:
        raise DesignError(f"{base.style} have no other way up: there is nothing to turn over")
    of = on_base(sheet, base.turned_over)
    return of.solve(sheet.givens, name=sheet.name, shop=sheet.shop_style)


def both_ways(
    sheet: Sheet, load: float | None = None, place: CrossingInPlace | None = None
) -> BothWays:
    """The base both ways up under a vertical load in the middle (N; the design load by default).

    place  the posts of the sheet, where they have been placed before
    """
    size = load_of_design(sheet) if load is None else load
    sheets, reason = _either(sheet)
    ratios = {
        way: _ratios(own, size, place if own is sheet and place else crossing_in_place(own))
        for way, own in sheets.items()
    }
    ways = tuple(
        OneWayUp(way, ratios[way][USUAL], own.get("tipping_load"), own.get("foot_radius"))
        for way in WAYS_UP if (own := sheets.get(way)) is not None
    )  # fmt: skip
    up, down = (ratios.get(way, {}) for way in WAYS_UP)
    rows = tuple(HoldingRow(name, up.get(name), down.get(name)) for name in CASES)
    return BothWays(size, ways, rows, _words(ways, reason, sheet.shop_style))


def _either(sheet: Sheet) -> tuple[dict[str, Sheet], str]:
    """The sheet by its way up, the other way up with it, or the reason why there is none."""
    sheets, reason = {}, ""
    try:
        turned = turned_over(sheet)
        sheets[base_of(turned).way_up] = turned
    except DesignError as trouble:
        if base_of(sheet).turned_over is None:
            raise
        reason = str(trouble)
    return {base_of(sheet).way_up: sheet, **sheets}, reason


def _ratios(sheet: Sheet, load: float, place: CrossingInPlace) -> dict[str, float | None]:
    return {
        name: joint_forces(sheet, load, place=place, **holding).ratio
        for name, holding in CASES.items()
    }


def _words(ways: tuple[OneWayUp, ...], reason: str, style: ShopStyle) -> str:
    if len(ways) < 2:
        return f"The other way up cannot be compared: {reason}"
    up, down = ways
    return f"{_tipping(up, down, style)} {_joint(up, down)} {_choice(up, down)}"


def _tipping(up: OneWayUp, down: OneWayUp, style: ShopStyle) -> str:
    if up.tipping_load is None or down.tipping_load is None:
        return "At least one of the two cannot be tipped by a vertical load on the rim."
    if _same(up.tipping_load, down.tipping_load):
        return f"Either way up, {shop_text(up.tipping_load, 'N', style)} on the rim tips it."
    firm, other = sorted((up, down), key=lambda way: -(way.tipping_load or 0.0))
    most, least = (shop_text(way.tipping_load or 0.0, "N", style) for way in (firm, other))
    return f"Tipping load on the rim: {most} with {firm.way_up}, {least} with {other.way_up}."


def _joint(up: OneWayUp, down: OneWayUp) -> str:
    held = f"With the top screwed on and friction {FRICTION:g} at the floor and in the joint"
    if up.ratio is None or down.ratio is None:
        return f"{held}, at least one way up cannot carry a central load."
    if _same(up.ratio, down.ratio):
        return f"{held}, the forces in the joint are the same: {up.ratio:.2f} times the load."
    kind, other = sorted((up, down), key=lambda way: way.ratio or 0.0)
    return (
        f"{held}, the forces in the joint add up to at least {kind.ratio:.2f} times the load with "
        f"{kind.way_up}, and {other.ratio:.2f} times with {other.way_up}."
    )


def _choice(up: OneWayUp, down: OneWayUp) -> str:
    if _same(up.ratio, down.ratio) and _same(up.tipping_load, down.tipping_load):
        return "On these figures neither is better."
    firmer = _better(up, down, "tipping_load", larger=True)
    kinder = _better(up, down, "ratio", larger=False)
    if firmer and kinder and firmer != kinder:
        return (
            f"{firmer.capitalize()} resists tipping better; {kinder} loads the joint less once the "
            "top is screwed on. Neither is simply right."
        )
    return "Weigh this against looks and knee room; other loads may change the answer."


def _better(one: OneWayUp, other: OneWayUp, name: str, *, larger: bool) -> str:
    """Which way up has the better number, or "" where neither has."""
    first, second = getattr(one, name), getattr(other, name)
    if first is None or second is None or _same(first, second):
        return ""
    return one.way_up if (first > second) == larger else other.way_up


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= 1e-6 * max(abs(one), abs(other))
