"""The load that tips a piece, all the way round its rim.

The formulas are relations (`tablekit/relations/tipping_round.py`), compiled once; a slider may call
this. Seen from above, bearings run anticlockwise from the way post 1 leans.

Published test loads are shown beside a piece for information only. No sum here is a test and none
says that a piece meets a standard. What was not read in the document itself is marked so; see
`reference/people_and_loads.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tablekit.engine.quantity import Source, common_practice, from_memory, published, quoted
from tablekit.engine.rearrange import RelationFunction, slack_of, solve_for
from tablekit.engine.relation import Relation
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text
from tablekit.engine.trouble import DesignError, RangeError
from tablekit.relations import quantities, tipping, tipping_round
from tablekit.relations.bases import base_of
from tablekit.relations.inch_practice import inch_words
from tablekit.relations.kinds import height_name, is_seat

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


Array = NDArray[np.float64]
STEPS = 720  # half a degree; the worst bearings of three and of four feet are among them
NEEDED = ("top_diameter", "total_mass", "foot_radius")
# Less than this beyond the line, m, is taken to be on it.
_SAME = 1e-9


@dataclass(frozen=True, eq=False)
class TippingPolar:
    """Tipping all the way round. Lengths in mm, forces in N, bearings in radians.

    bearings        shape (n,)
    loads           plumb load there that tips the piece, shape (n,); nan where none does
    pushes          level push that way, at the height of the upper face, that tips it, shape (n,)
    over            number of the line it goes over first, shape (n,), -1 where none
    feet            middles of the feet in plan, shape (k, 2)
    lines           ends of the tipping lines, from foot to foot, shape (k, 2, 2)
    arm             centre to a tipping line
    rim             radius of the top
    inset           how far in from the rim the load stands
    pad_radius      of rigid pads; 0 where the line goes through the middles of the feet
    least           the least load, None where no load on the rim tips the piece
    least_bearings  where that is, one for each line
    """

    bearings: Array
    loads: Array
    pushes: Array
    over: NDArray[np.int64]
    feet: Array
    lines: Array
    arm: float
    rim: float
    inset: float
    pad_radius: float
    least: float | None
    least_bearings: tuple[float, ...]

    def to_json(self) -> dict[str, Any]:
        """As plain data, bearings in degrees, twelve significant digits."""
        return {
            "bearings": [tidy(float(b)) for b in np.degrees(self.bearings)],
            "loads": [tidy(float(load)) for load in self.loads],
            "pushes": [tidy(float(push)) for push in self.pushes],
            "feet": [[tidy(float(x)) for x in foot] for foot in self.feet],
            "least": tidy(self.least),
            "least_bearings": [tidy(float(b)) for b in np.degrees(self.least_bearings)],
            "inset": self.inset,
            "pad_radius": self.pad_radius,
            "units": {"bearings": "deg", "loads": "N", "pushes": "N", "feet": "mm"},
        }


def tipping_polar(
    sheet: Sheet,
    *,
    inset: float = 0.0,
    pad_radius: float = 0.0,
    bearings: Array | None = None,
) -> TippingPolar:
    """The tipping load at each of `bearings` (radians; half a degree apart where left out).

    inset       mm from the rim to the load
    pad_radius  mm; 0, on the safe side, tips the piece over the middles of its feet

    Raises DesignError where the sheet lacks what is needed, RangeError for an inset or a radius
    that cannot be.
    """
    _ask(sheet, inset, pad_radius)
    round_about = np.linspace(0, 2 * np.pi, STEPS, endpoint=False)
    at = round_about if bearings is None else np.asarray(bearings, dtype=float)
    feet = foot_middles(sheet)
    arm = _arm(len(feet), sheet, pad_radius)
    normals = edge_bearings(feet)
    loads, pushes, least = _solved(_values(sheet, arm, inset), at, normals)
    first = loads.min(axis=0)
    none = np.isinf(first)
    return TippingPolar(
        bearings=at,
        loads=np.where(none, np.nan, first),
        pushes=pushes.min(axis=0),
        over=np.where(none, -1, loads.argmin(axis=0)),
        feet=feet,
        lines=np.stack([feet, np.roll(feet, -1, axis=0)], axis=1),
        arm=arm * 1000,
        rim=sheet.number("top_diameter") / 2,
        inset=inset,
        pad_radius=pad_radius,
        least=None if np.isinf(least) else least,
        least_bearings=() if np.isinf(least) else tuple(float(b) for b in normals),
    )


def _solved(values: dict[str, float], at: Array, normals: Array) -> tuple[Array, Array, float]:
    """Loads and pushes over each line at each bearing, shape (k, n), and the least load; inf where
    there is none."""
    angles = np.angle(np.exp(1j * (at[None, :] - normals[:, None])))
    loads = _by_line(tipping_round.LOAD, "bearing_load", values, angles)
    pushes = _by_line(tipping_round.PUSH, "bearing_push", values, angles)
    square = _by_line(tipping_round.LOAD, "bearing_load", values, np.zeros((1, 1)))
    return loads, pushes, float(square[0, 0])


def foot_middles(sheet: Sheet) -> Array:
    """The middles of the feet in plan, anticlockwise, shape (k, 2), mm."""
    base, count = base_of(sheet), base_of(sheet).count
    turns = 2 * np.pi * np.arange(count) / count
    reach, aside = sheet.get("foot_reach"), sheet.get("foot_sidestep")
    if reach is None or aside is None:  # splayed legs: the first foot on the x axis
        start, radius = 0.0, sheet.number("foot_radius")
    else:
        start = float(np.arctan2(base.turn * base.up * aside, -reach))
        radius = float(np.hypot(reach, aside))
    return radius * np.column_stack([np.cos(start + turns), np.sin(start + turns)])


def edge_bearings(feet: Array) -> Array:
    """The bearing of the middle between each foot and the next, radians, shape (k,)."""
    middles = (feet + np.roll(feet, -1, axis=0)) / 2
    return np.asarray(np.arctan2(middles[:, 1], middles[:, 0]))


def _ask(sheet: Sheet, inset: float, pad_radius: float) -> None:
    missing = [name for name in NEEDED if sheet.get(name) is None]
    if missing:
        raise DesignError(
            f"tipping cannot be calculated: {', '.join(missing)} without a value in this design. "
            "Give the sizes that set them"
        )
    for quantity, number in ((tipping.load_inset, inset),
                             (tipping_round.pad_radius, pad_radius)):  # fmt: skip
        if not quantity.low <= number <= quantity.high:
            raise RangeError(
                f"{quantity.name} is {number:.9g} mm; it must lie between {quantity.low:g} and "
                f"{quantity.high:g} mm",
                name=quantity.name, found=number, low=quantity.low, high=quantity.high,
            )  # fmt: skip


def _arm(count: int, sheet: Sheet, pad_radius: float) -> float:
    """Centre to tipping line, m."""
    straight, over_pads = tipping_round.lines(count)
    middle = formula(straight, "tipping_arm").of({"foot_radius": sheet.si["foot_radius"]})
    pads = formula(over_pads, "pad_arm")
    return float(pads.of({"tipping_arm": middle, "pad_radius": pad_radius / 1000}))


def _values(sheet: Sheet, arm: float, inset: float) -> dict[str, float]:
    return {
        "top_diameter": sheet.si["top_diameter"],
        "total_mass": sheet.si["total_mass"],
        "push_height": sheet.si[height_name(sheet.kind)],
        "load_inset": inset / 1000,
        "pad_arm": arm,
    }


def _by_line(relation: Relation, name: str, values: dict[str, float], angles: Array) -> Array:
    """What `relation` gives for each line and bearing; inf where it does not hold."""
    known = {**values, "edge_bearing": angles}
    inside = np.broadcast_to(_slack(relation).of(known) > _SAME, angles.shape)
    with np.errstate(divide="ignore"):
        return np.where(inside, formula(relation, name).of(known), np.inf)


@cache
def formula(relation: Relation, name: str) -> RelationFunction:
    """`relation` solved for `name`; takes floats or arrays, coherent SI by name."""
    every = (*quantities.EVERY, *tipping.QUANTITIES, *tipping_round.QUANTITIES)
    unknown = next(q for q in every if q.name == name)
    return solve_for(relation, unknown, constants=(quantities.STANDARD_GRAVITY,), arrays=True)


@cache
def _slack(relation: Relation) -> RelationFunction:
    """The slack of its one limit, likewise."""
    (limit,) = relation.limits
    return slack_of(limit, constants=(quantities.STANDARD_GRAVITY,), arrays=True)


# -- published test loads --------------------------------------------------------------------------


@dataclass(frozen=True)
class PublishedLoad:
    """A load that a document names, and what the piece takes at the same place.

    name    what is loaded
    source  document, clause and year, and whether it was read
    load    vertical load of the document, N; None where it only tells how to find one
    inset   mm in from the rim
    takes   vertical load there that tips the piece, N; None where none does
    """

    name: str
    source: Source
    load: float | None
    inset: float
    takes: float | None

    @property
    def share(self) -> float | None:
        """What the piece takes over what is named."""
        if self.load is None or self.takes is None:
            return None
        return self.takes / self.load

    def words(self, sheet: Sheet) -> str:
        """In a sentence, forces in the unit of the maker."""
        style = sheet.shop_style
        name = inch_words(self.name) if style.display == "in" else self.name
        found = (
            "no vertical load there tips this piece"
            if self.takes is None
            else f"this piece tips at {shop_text(self.takes, 'N', style)}"
        )
        if self.load is None:
            return f"{name}: {found} ({self.source})."
        return f"{name}, {shop_text(self.load, 'N', style)}: {found} ({self.source})."

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "name": self.name, "source": str(self.source), "read": self.source.kind == "published",
            "load_N": tidy(self.load), "inset_mm": self.inset, "takes_N": tidy(self.takes),
            "share": tidy(self.share),
        }  # fmt: skip


_EDGE = 50.0  # ISO 7172:1988, clause 5; by our choice for the others too
_TABLES: tuple[tuple[str, Source, float | None], ...] = (
    (
        "load at the least stable edge, increased until a foot lifts",
        published("ISO 7172:1988", "clause 5"),
        None,
    ),
    (
        "edge of a domestic table, lower figure",
        from_memory("EN 12521 (2009, 2015 or 2023) with EN 1730:2012, edge load by height"),
        200.0,
    ),
    (
        "edge of a domestic table, higher figure",
        from_memory("EN 12521 (2009, 2015 or 2023) with EN 1730:2012, edge load by height"),
        400.0,
    ),
    (
        "edge of a work table",
        from_memory("ANSI/BIFMA X5.5-2014, clause 4.3, about 125 lbf"),
        556.0,
    ),
)
_STOOLS: tuple[tuple[str, Source, float | None], ...] = (
    (
        "edge of a seat, without the 20 N outward that goes with it",
        quoted("EN 1022 (2018)", "a copy of the test"),
        600.0,
    ),
)


def published_loads(sheet: Sheet) -> tuple[PublishedLoad, ...]:
    """The loads that documents name for this kind of piece, and the maker's own, beside it.

    Raises what `tipping_polar` raises.
    """
    stool = is_seat(sheet.kind)
    inset = 60.0 if stool else _EDGE  # EN 1022; ISO 7172
    there = tipping_polar(sheet, inset=inset).least
    found = [
        PublishedLoad(name, source, load, inset, there)
        for name, source, load in (_STOOLS if stool else _TABLES)
    ]
    own = sheet.get("wanted_tipping_load")
    if own is not None:
        source = common_practice("your own wanted load, on the rim itself")
        least = sheet.get("tipping_load")
        found.append(PublishedLoad("wanted at the rim", source, own, 0.0, least))
    return tuple(found)
