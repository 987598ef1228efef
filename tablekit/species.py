"""The woods whose published figures the kit carries."""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from tablekit.shipped import reference_path


@dataclass(frozen=True)
class Species:
    """One row of the published table.

    specific_gravity  dimensionless; the basis is 12 % moisture unless `status` says otherwise
    status            how the row was come by: read, quoted or from memory
    """

    name: str
    specific_gravity: float
    status: str


@cache
def every_species() -> dict[str, Species]:
    """All rows of `reference/strength.csv`, by name."""
    with open(reference_path("strength.csv"), encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {
            row["species"]: Species(row["species"], float(row["specific_gravity"]), row["status"])
            for row in rows
        }


def find_species(text: str) -> Species | None:
    """The species of that name; capitals, hyphens and spaces do not matter."""
    wanted = bare(text)
    return next((one for name, one in every_species().items() if bare(name) == wanted), None)


def nearest_species(text: str) -> list[str]:
    """Up to five names that may have been meant."""
    return nearest(text, every_species())


def nearest(text: str, known: Iterable[str]) -> list[str]:
    """Up to five of the `known` names: those that share a word with the text, then those spelled
    nearly so."""
    wanted = bare(text)
    names = {bare(name): name for name in known}
    words = {word for word in wanted.split() if len(word) > 3}
    sharing = [name for one, name in names.items() if words & set(one.split())]
    spelled = difflib.get_close_matches(wanted, names, n=5, cutoff=0.6)
    return list(dict.fromkeys([*sharing, *(names[one] for one in spelled)]))[:5]


def bare(name: str) -> str:
    """A name without capitals, hyphens and spaces, to compare with another."""
    letters = "".join(c if c.isalnum() else " " for c in name.casefold())
    return " ".join(letters.split())
