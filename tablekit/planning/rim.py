"""Cutting the rim: against the grain or with it, at what speed, and with which board."""

from __future__ import annotations

import csv
import re
from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.network import Network
from tablekit.engine.trouble import RangeError
from tablekit.relations import trammel
from tablekit.relations.wording import SHOP
from tablekit.shipped import reference_path

if TYPE_CHECKING:
    from tablekit.engine.network import Network
    from tablekit.engine.sheet import Sheet

Arc = tuple[float, float]
_INCH = 25.4


def arcs_against_the_grain(grain: float = 0.0, *, from_below: bool = True) -> tuple[Arc, Arc]:
    """The two quarters of the rim that are cut against the grain, as (start, end) bearings in
    degrees, anticlockwise, seen from above the finished top; start from 0 to 360, end 90 more.

    grain       bearing of the grain, degrees
    from_below  the top lies face down and the router above it, so that the pin's hole does not
                show; else the router runs on the upper face

    A router's cutter turns clockwise seen from the router, and its edges run anticlockwise along
    the wood that is kept (reference/derivations/trammel.md).
    """
    # Seen from the router the bad quarters follow each end of the grain anticlockwise.
    first = (grain - 90 if from_below else grain) % 360
    second = (first + 180) % 360
    return (first, first + 90), (second, second + 90)


def end_grain_arcs(grain: float = 0.0) -> tuple[Arc, Arc]:
    """The two arcs of the rim where the fibres run out nearer end on than along it, as (start, end)
    bearings in degrees, as those of `arcs_against_the_grain`: 45° to either side of each end of the
    grain (reference/derivations/edge.md)."""
    first = (grain - 45) % 360
    second = (first + 180) % 360
    return (first, first + 90), (second, second + 90)


def fastest(cutter_diameter: float) -> float:
    """The most turns a minute for a cutter of this diameter, mm, that has no figure marked on it.

    From `reference/shop.csv` (common practice). Raises RangeError for one wider than the table.
    """
    for widest, speed in _speeds():
        if cutter_diameter <= widest + 1e-9:
            return speed
    widest = _speeds()[-1][0]
    raise RangeError(
        f"a cutter of {cutter_diameter:g} mm is wider than the {widest:g} mm that the table of "
        "speeds covers: do not run it in a hand-held router, and ask its maker for its speed",
        name="cutter_diameter",
        found=cutter_diameter,
        high=widest,
    )


@cache
def _speeds() -> tuple[tuple[float, float], ...]:
    """(widest cutter in mm, turns a minute), narrowest first."""
    with open(reference_path("shop.csv"), encoding="utf-8", newline="") as file:
        rows = [*csv.DictReader(line for line in file if not line.startswith("#"))]
    found = []
    for row in rows:
        match = re.fullmatch(r"cutter speed .*?([\d.]+) in(?: diameter)?", row["what"])
        if match:
            found.append((float(match[1]) * _INCH, float(row["value"])))
    return tuple(sorted(found))


@cache
def board_network() -> Network:
    """What one trammel board serves, and how fast its cutter's edge runs."""
    return Network("trammel board", trammel.BOARD_QUANTITIES, trammel.BOARD_RELATIONS, wording=SHOP)


def trammel_board(
    trammel_length: float,
    cutter_diameter: float = 12.0,
    *,
    cutter_from_edge: float = 100.0,
    pivot_margin: float = 25.0,
    pivot_clearance: float = 150.0,
    cutter_speed: float | None = None,
) -> Sheet:
    """The rounds that a board of `trammel_length` can cut; all in mm, the speed in turns a minute.

    The speed is the fastest that the table allows unless it is given. The defaults are common
    practice: measure your own router. Raises RangeError for a measure that no trammel has.
    """
    speed = fastest(cutter_diameter) if cutter_speed is None else cutter_speed
    return board_network().solve(
        {
            "trammel_length": trammel_length,
            "cutter_diameter": cutter_diameter,
            "cutter_from_edge": cutter_from_edge,
            "pivot_margin": pivot_margin,
            "pivot_clearance": pivot_clearance,
            "cutter_speed": speed,
        }
    )
