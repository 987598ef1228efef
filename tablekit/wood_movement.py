"""How much each wood moves, from the published tables, found by the name a maker writes."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache, lru_cache

from tablekit.shipped import reference_path
from tablekit.species import bare

CUTS = ("flat-sawn", "quarter-sawn")

# Where the handbook gives one coefficient for several woods, or names a wood otherwise.
_ONE_FOR_SEVERAL = {
    "white oak": "white oak (commercial average)",
    "white oak (Quercus alba)": "white oak (commercial average)",
    "northern red oak": "red oak (commercial average)",
    "red oak": "red oak (commercial average)",
    "hickory (shagbark)": "hickory (true)",
    "hickory (mockernut)": "hickory (true)",
    "western redcedar": "western redcedar (22 % basis)",
}


@dataclass(frozen=True)
class Movement:
    """One row of the published tables; None where the handbook has no value.

    radial, tangential      change of width for 1 % of moisture, as a share of the width (6 to 14 %)
    shrinkage_radial, …     from green to ovendry, in % of the green width
    coefficient_status, …   how the values were come by: read, quoted or from memory
    """

    name: str
    radial: float | None
    tangential: float | None
    coefficient_status: str
    shrinkage_radial: float | None
    shrinkage_tangential: float | None
    shrinkage_status: str

    def coefficient(self, cut: str) -> float | None:
        """For a "flat-sawn" board, whose width lies along the rings, or a "quarter-sawn" one."""
        return self.radial if cut == "quarter-sawn" else self.tangential


@cache
def every_movement() -> dict[str, Movement]:
    """All rows of `reference/movement.csv`, by name."""
    with open(reference_path("movement.csv"), encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["species"]: _movement(row) for row in rows}


def _movement(row: dict[str, str]) -> Movement:
    def number(column: str) -> float | None:
        return float(row[column]) if row[column] else None

    return Movement(
        row["species"],
        number("coefficient_radial"),
        number("coefficient_tangential"),
        row["coefficient_status"],
        number("shrinkage_radial_percent"),
        number("shrinkage_tangential_percent"),
        row["shrinkage_status"],
    )


@lru_cache(maxsize=64)
def find_movement(text: str) -> Movement | None:
    """The row for a wood of that name that has a coefficient, else None.

    Capitals, hyphens and spaces do not matter; of woods that share one row, either name does."""
    wanted = bare(text)
    rows = every_movement()
    shared = {bare(name): row for name, row in _ONE_FOR_SEVERAL.items()}
    if wanted in shared:
        return rows[shared[wanted]]
    found = next((row for name, row in rows.items() if bare(name) == wanted), None)
    return found if found is not None and found.tangential is not None else None
