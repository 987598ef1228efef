"""Published test loads beside a piece, for information only.

No sum here is a test and none says that a piece meets a standard. What was not read in the document
itself is marked so; see `reference/people_and_loads.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tablekit.engine.quantity import Source, common_practice, from_memory, published, quoted
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text
from tablekit.planning.tipping_polar import tipping_polar
from tablekit.relations.inch_practice import inch_words
from tablekit.relations.kinds import is_seat

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


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
