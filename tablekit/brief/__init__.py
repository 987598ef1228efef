"""The brief: what a maker wants, read from TOML or from widgets, and checked before any arithmetic.

`schema` has every key of every section; `reading` and `writing` turn a text into a Brief and back.
"""

from __future__ import annotations

from tablekit.brief.as_cut import AsCut
from tablekit.brief.base import BriefBase, known_quantities
from tablekit.brief.boards import Board, Top
from tablekit.brief.reading import (
    HUMIDITY,
    TEMPERATURE,
    Air,
    Brief,
    Room,
    Wood,
    parse_brief,
    read_brief,
)
from tablekit.brief.section import Typed
from tablekit.brief.text import BriefError, BriefProblem
from tablekit.brief.writing import write_brief

__all__ = [
    "HUMIDITY",
    "TEMPERATURE",
    "Air",
    "AsCut",
    "Board",
    "Brief",
    "BriefBase",
    "BriefError",
    "BriefProblem",
    "Room",
    "Top",
    "Typed",
    "Wood",
    "known_quantities",
    "parse_brief",
    "read_brief",
    "write_brief",
]
