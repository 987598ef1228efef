"""The woods of the published tables: their weight and strength, and how much each moves."""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache

from tablekit.shipped import reference_path


@dataclass(frozen=True)
class Species:
    """One row of the published table.

    specific_gravity  dimensionless; the basis is 12 % moisture unless `status` says otherwise
    status            how the row was come by: read, quoted or from memory
    strengths         name of a quantity -> average at 12 % moisture in MPa; what the table leaves
                      open is left out. Not design values: see relations/strength.py
    across_shares     way a board is sawn -> stiffness across the grain over that along it
    across_status     how those shares and tension_across were come by
    """

    name: str
    specific_gravity: float
    status: str
    strengths: Mapping[str, float] = field(default_factory=dict)
    across_shares: Mapping[str, float] = field(default_factory=dict)
    across_status: str = ""


# Quantity -> column of the table, and how many MPa one of the column's units is.
STRENGTH_COLUMNS = {
    "bending_strength": ("mor_MPa", 1),
    "elastic_modulus": ("moe_GPa", 1000),
    "compression_along": ("compression_parallel_MPa", 1),
    "compression_across": ("compression_perpendicular_MPa", 1),
    "shear_strength": ("shear_parallel_MPa", 1),
    "tension_across": ("tension_perpendicular_MPa", 1),
}
ACROSS_COLUMNS = {"flat-sawn": "stiffness_tangential", "quarter-sawn": "stiffness_radial"}


# What the trade calls some of them (common practice, no source).
OTHER_NAMES = {
    "hard maple": "sugar maple",
    "rock maple": "sugar maple",
    "soft maple": "red maple",
    "red oak": "northern red oak",
    "tulipwood": "yellow-poplar",
    "tulip poplar": "yellow-poplar",
    "poplar": "yellow-poplar",
    "walnut": "black walnut",
    "cherry": "black cherry",
    "ash": "white ash",
    "beech": "American beech",
}


# The conifers of the tables, by a word of their names; every other row is a broad-leaved tree.
_CONIFERS = ("pine", "fir", "redcedar", "spruce", "larch", "hemlock", "redwood", "cypress")


def is_softwood(name: str) -> bool:
    """Whether a wood of the tables is of a conifer."""
    return any(word in _CONIFERS for word in bare(name).split())


@cache
def every_species() -> dict[str, Species]:
    """All rows of `reference/strength.csv`, by name."""
    return {row["species"]: _read(row) for row in _rows("strength.csv")}


def _rows(table: str) -> Iterator[dict[str, str]]:
    """The rows of a published table, its notes passed over."""
    with open(reference_path(table), encoding="utf-8", newline="") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


def _read(row: dict[str, str]) -> Species:
    strengths = {
        name: float(row[column]) * size
        for name, (column, size) in STRENGTH_COLUMNS.items()
        if row[column]
    }
    shares = {cut: float(row[column]) for cut, column in ACROSS_COLUMNS.items() if row[column]}
    return Species(
        row["species"], float(row["specific_gravity"]), row["status"], strengths, shares,
        row["across_status"],
    )  # fmt: skip


@lru_cache(maxsize=64)
def find_species(text: str) -> Species | None:
    """The species of that name; capitals, hyphens and spaces do not matter."""
    wanted = bare(text)
    wanted = bare(OTHER_NAMES.get(wanted, wanted))
    return next((one for name, one in every_species().items() if bare(name) == wanted), None)


def nearest(text: str, known: Iterable[str]) -> list[str]:
    """Up to five of the `known` names: those that share a word with the text, then those spelled
    nearly so."""
    wanted = bare(text)
    names = {bare(name): name for name in known}
    words = {word for word in wanted.split() if len(word) > 2}
    sharing = [name for one, name in names.items() if words & set(one.split())]
    spelled = difflib.get_close_matches(wanted, names, n=5, cutoff=0.6)
    return list(dict.fromkeys([*sharing, *(names[one] for one in spelled)]))[:5]


def bare(name: str) -> str:
    """A name without capitals, hyphens and spaces, to compare with another."""
    letters = "".join(c if c.isalnum() else " " for c in name.casefold())
    return " ".join(letters.split())


# -- Movement --------------------------------------------------------------------------------------

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
    return {row["species"]: _movement(row) for row in _rows("movement.csv")}


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
