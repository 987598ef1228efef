"""From the glued-up parts to the finished surface: filling, sanding, coats, and how much of it.

plan = surface_plan(sheet)
plan.text()
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import duration_text, plain_number, shop_text
from tablekit.engine.trouble import DesignError, RangeError
from tablekit.planning.formulas import found
from tablekit.planning.said import Said
from tablekit.relations import lot, milling
from tablekit.shipped import reference_path

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.units import ShopStyle

# Bring the allowance of a float to a comparison of paper numbers.
_HAIR = 1e-9
FILLING = (
    "Fill deep knots and cracks. Clean out loose material, dam the underside, fill slightly proud, "
    "leave overnight and scrape level. Common practice, no source."
)
COATING = (
    "Flood the oil on and wipe off the excess after ten to fifteen minutes. Finish both faces of "
    "the top alike, or it cups. Common practice, no source: read the tin."
)
RAGS = (
    "Caution: oily rags heat up by themselves and can catch fire hours later. Spread them flat "
    "outdoors until they are stiff, or keep them under water in a closed metal can. Wear a dust "
    "mask for sanding, ventilate the room while the finish dries, and follow the makers' data "
    "sheets and local rules for solvents and waste."
)
_FLUID_OUNCE = (
    29.5735295625  # ml; 1/128 US gallon of 231 cubic inches, NIST Handbook 44, appendix C
)
AREAS = ("top_area", "base_area", "finish_area")
_lot_finish = solve_for(lot.LOT_FINISH, lot.lot_finish, lot.lot_count, milling.finish_volume)


def glue_text(volume: float, style: ShopStyle) -> str:
    """A volume of glue in mm³ as it is poured out, rounded up: "28 ml", "1.1 fl oz"."""
    ml = volume / 1000
    if style.display == "in":
        return f"{math.ceil(10 * ml / _FLUID_OUNCE - _HAIR) / 10:g} fl oz"
    return f"{math.ceil(ml - _HAIR)} ml"


def liquid_text(volume: float, style: ShopStyle) -> str:
    """A volume of finish in mm³ as it is bought, rounded up: "770 ml", "1.2 litres", "26 fl oz"."""
    ml = volume / 1000
    if style.display == "in":
        return f"{math.ceil(ml / _FLUID_OUNCE - _HAIR)} fl oz"
    if ml > 990:
        tenths = math.ceil(ml / 100 - _HAIR)
        return f"{tenths / 10:g} litre{'s' * (tenths > 10)}"
    return f"{10 * math.ceil(ml / 10 - _HAIR)} ml"


@dataclass(frozen=True)
class SandingPaper:
    """One grade of sanding paper: its name and number, the middle size of its grains in µm and
    how that was come by ("quoted", "memory")."""

    grade: str
    number: int
    grain: float
    status: str


@dataclass(frozen=True)
class SurfacePlan:
    """What it takes to finish a piece.

    papers   in the order of use
    areas    of the top, the base and both, m², by the names of their quantities
    coats    how many
    volume   of finish for all of them, mm³
    interval, drying  from one coat to the next, and from the first to the last, minutes
    pieces, lot_volume  how many pieces are made, and the volume of finish for all of them, mm³
    """

    papers: tuple[SandingPaper, ...]
    areas: Mapping[str, float]
    coats: int
    volume: float
    interval: float
    drying: float
    shop: ShopStyle
    pieces: int
    lot_volume: float

    def said(self) -> tuple[Said, ...]:
        """What is to be done, a paragraph each."""
        papers = ", ".join(paper.grade for paper in self.papers)
        whole = shop_text(self.areas["finish_area"], "m^2", self.shop)
        lines = (
            FILLING,
            f"Sand with {papers}. Skip no grit, brush off the dust between grits, and finish "
            "along the grain.",
            f"Apply {self.coats} coats to {whole}{self._each}: "
            f"{liquid_text(self.lot_volume, self.shop)} of finish in all. Leave "
            f"{duration_text(60 * self.interval)} between coats, "
            f"{duration_text(60 * self.drying)} from the first to the last.",
            COATING,
        )
        return (*map(Said, lines), Said(RAGS, "caution"))

    @property
    def _each(self) -> str:
        return f" on each of {self.pieces} pieces" if self.pieces > 1 else ""

    def text(self) -> str:
        """All of it, one paragraph to a line."""
        return "\n".join(one.line for one in self.said())

    def to_json(self) -> dict[str, Any]:
        """Plain data: areas in m², volume in mm³, times in minutes, grains in µm."""
        return {
            "filling": FILLING,
            "papers": [
                {"grade": p.grade, "grain": p.grain, "status": p.status} for p in self.papers
            ],
            "areas": {name: tidy(area) for name, area in self.areas.items()},
            "coats": self.coats,
            "finish_volume": tidy(self.volume),
            **({"lot_finish": tidy(self.lot_volume)} if self.pieces > 1 else {}),
            "coat_interval": tidy(self.interval),
            "drying_time": tidy(self.drying),
            "caution": RAGS,
        }


def surface_plan(sheet: Sheet, pieces: int = 1, **wishes: float) -> SurfacePlan:
    """What finishing a piece takes, or several alike.

    wishes  first_grit, last_grit, grit_step, coat_interval in their reporting units; else assumed
    Raises RangeError for a measure that no shop has, DesignError for papers that no table holds.
    """
    settled = {
        a.quantity.name: a.quantity.from_si(float(a.value))
        for a in milling.SURFACE_ASSUMPTIONS
        if a.quantity is not None
    }
    for name, number in wishes.items():
        if name not in settled:
            raise DesignError(
                f"{name} is not a finishing option; write one of: {', '.join(settled)}"
            )
        _check(name, number)
    settled |= wishes
    coats = sheet.number("coats")
    drying = found(
        milling.DRYING_TIME, "drying_time", coats=coats, coat_interval=settled["coat_interval"]
    )
    return SurfacePlan(
        papers=papers(settled["first_grit"], settled["last_grit"], settled["grit_step"]),
        areas={name: sheet.number(name) for name in AREAS},
        coats=round(coats),
        volume=sheet.number("finish_volume"),
        pieces=pieces,
        lot_volume=lot.lot_finish.from_si(_lot_finish(pieces, sheet.si["finish_volume"])),
        interval=settled["coat_interval"],
        drying=drying,
        shop=sheet.shop_style,
    )


def papers(first: float, last: float, step: float) -> tuple[SandingPaper, ...]:
    """The fewest grades from number `first` to `last`, none more than `step` times the one before.

    Raises DesignError, saying what there is, where the table has no such row of grades.
    """
    every = every_paper()
    ends = {paper.number: paper for paper in every}
    for number in (first, last):
        if round(number) not in ends:
            raise DesignError(
                f"there is no P{number:g} paper in reference/surface.csv; choose from "
                f"{', '.join(paper.grade for paper in every)}"
            )
    if last < first:
        raise DesignError(
            f"sanding ends with P{last:g}, coarser than P{first:g}, its first grit; make last_grit "
            "at least first_grit"
        )
    used = [ends[round(first)]]
    while used[-1].number < last:
        reach = min(
            found(milling.NEXT_GRIT, "next_grit", grit=float(used[-1].number), grit_step=step), last
        )
        within = [p for p in every if used[-1].number < p.number <= reach + _HAIR]
        if not within:
            raise DesignError(
                f"there is no paper within {step:g} times P{used[-1].number}; make grit_step at "
                "least 1.34"
            )
        used.append(within[-1])
    return tuple(used)


@cache
def every_paper() -> tuple[SandingPaper, ...]:
    """All rows of `reference/surface.csv`, coarsest first."""
    with open(reference_path("surface.csv"), encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        read = [
            SandingPaper(r["grade"], int(r["grit"]), float(r["median_micrometre"]), r["status"])
            for r in rows
        ]
    return tuple(sorted(read, key=lambda paper: paper.number))


def _check(name: str, number: float) -> None:
    quantity = next(one for one in milling.SURFACE_QUANTITIES if one.name == name)
    if not quantity.low <= number <= quantity.high:
        raise RangeError(
            f"{name} is {plain_number(number)} {quantity.unit}; it must lie between "
            f"{quantity.low:g} and {quantity.high:g} {quantity.unit}",
            name=name, found=number, low=quantity.low, high=quantity.high,
        )  # fmt: skip
