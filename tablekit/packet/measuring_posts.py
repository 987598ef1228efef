"""Posts as they are measured, for the page on a phone: which fields, rows and numbers it has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from tablekit.brief.as_cut import POSTS, STEMS
from tablekit.engine.quantity import unit_size
from tablekit.engine.slack import SLACK
from tablekit.planning.as_cut import Pieces, Touching, script, unit_shows
from tablekit.planning.mending import slope_allowed
from tablekit.relations import posts_as_cut as cut
from tablekit.relations import quantities as q
from tablekit.relations.season_fit import SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity
    from tablekit.engine.sheet import Sheet

PAGE = Path(__file__).with_name("measuring_posts.js")
_NOTCH = ("notch_position", "notch_depth", "notch_width")


@dataclass(frozen=True)
class PostsMeasured:
    """What the page asks and says of three posts with one notch each."""

    sheet: Sheet
    pieces: Pieces
    how: ClassVar[str] = "; lengths and places from the foot end, before the flats are cut"
    labels: ClassVar[Mapping[str, str]] = {
        "length": "Length, end to end",
        "notch_position": "Foot end to notch centre",
        "notch_depth": "Notch depth",
        "notch_width": "Notch width, along the post",
        "section": "Section",
        "width": "Width, between side faces",
        "foot_flat": "Foot flat, largest circle",
        "head_flat": "Head flat, largest circle",
        "foot_shim": "Shims under the foot",
        "head_shim": "Shims on the head",
    }

    @property
    def asked(self) -> tuple[str, ...]:
        """What is asked besides the usual: of posts that are not square both sides."""
        return () if self._square else ("width",)

    @property
    def _square(self) -> bool:
        return self.sheet.number("post_width") == self.sheet.number("post_section")

    def names(self, name: str) -> tuple[str, ...]:
        """The quantities that a size is the size of, as the network numbers posts; square posts are
        planed to one setting."""
        own = self.pieces.own(name)
        both = name.startswith(f"{STEMS['section']}_") and self._square
        return (own, self.pieces.own(f"post_width_{name[-1]}")) if both else (own,)

    def quantity(self, name: str) -> Quantity:
        """What a size is of."""
        return cut.network().quantities[self.pieces.own(name)]

    def drawn(self, name: str) -> float:
        """A size as the sheet has it, mm."""
        return self.pieces.number(name)

    def unit_shows(self, name: str) -> bool:
        """Whether it is never cut so far off that it could be one unit taken for another."""
        return unit_shows(self.pieces.own(name))

    def rows(self) -> Iterator[tuple[str, str, str]]:
        """The rows of the answer below the height: name, what, from where to where."""
        for k in (1, 2, 3):
            yield f"head-{k}", f"head {k}", "floor to the underside of the top"
        yield "rim", "across the rim", ""
        for k in (1, 2, 3):
            yield f"notch-{k}", f"notch {k}", ""

    def data(self) -> dict[str, Any]:
        """What the script has to know to say how the posts stand."""
        known, mm, pieces = cut.network().quantities, unit_size("mm"), self.pieces
        touching = Touching()
        rests = {*touching.feet, *touching.heads}
        return {
            "given": {
                name: known[name].to_si(pieces.numbers[name])
                for name in script().inputs if name not in rests
            },
            "onPads": pieces.on_pads,
            "feet": touching.feet, "heads": touching.heads,
            "floor": touching.floor, "under": touching.under,
            "high": [pieces.own(one.name) for one in cut.heights],
            "plays": [pieces.own(one.name) for one in cut.plays],
            "notches": [[f"cut-{post}-{key}" for key in _NOTCH] for post in POSTS],
            "fitted": pieces.clearance * mm,
            "overhang": cut.overhang.name, "diameter": q.top_diameter.name,
            "drawnDiameter": q.top_diameter.to_si(pieces.sheet_numbers[q.top_diameter.name]),
            "height": cut.height.name, "rim": cut.rim_drop.name, "used": cut.slope_used.name,
            "slope": slope_allowed(self.sheet) * (1 + SLACK), "loose": SLOPPY * mm,
            "limits": {key: pieces.in_words(limit) for key, limit in script().limits.items()},
        }  # fmt: skip
