"""Legs and sockets as they are measured, for the page on a phone: which fields, rows and numbers it
has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from tablekit.brief.as_cut import LEG_STEMS, LEGS
from tablekit.engine.quantity import unit_size
from tablekit.engine.slack import SLACK
from tablekit.packet.as_cut_text import tenths
from tablekit.planning import leg_remedies
from tablekit.planning.as_cut import OF_THE_TOP
from tablekit.planning.legs_as_cut import (
    HAIR,
    LENGTHS,
    OF_A_LEG,
    OF_THE_LEG,
    LegPieces,
    givens_of,
    scripts,
    stand,
)
from tablekit.planning.mending import slope_allowed
from tablekit.relations import legs_as_cut as cut
from tablekit.relations import posts_as_cut as posts
from tablekit.relations import quantities as q
from tablekit.relations.kinds import height_name
from tablekit.relations.season_fit import SLOPPY

if TYPE_CHECKING:
    from tablekit.engine.quantity import Quantity
    from tablekit.engine.sheet import Sheet

PAGE = Path(__file__).with_name("measuring_legs.js")


@dataclass(frozen=True)
class LegsMeasured:
    """What the page asks and says of legs and their sockets."""

    sheet: Sheet
    pieces: LegPieces
    how: ClassVar[str] = (
        "; a leg along its axis, tenon included; a lean in degrees from plumb, the seat level; "
        "aside is positive on the side of the next number"
    )
    asked: ClassVar[tuple[str, ...]] = ()
    labels: ClassVar[Mapping[str, str]] = {
        "length": "Length, once its foot is cut",
        "blank": "Length, while its foot is square",
        "tenon_diameter": "Tenon diameter",
        "tenon_length": "Tenon length, from the shoulder",
        "socket_depth": "Socket depth",
        "socket_diameter": "Socket diameter",
        "socket_radius": "Centre of the top to the socket",
        "socket_aside": "Socket beside its radius",
        "lean": "Lean on the sight line",
        "lean_aside": "Lean square to it",
    }

    def names(self, name: str) -> tuple[str, ...]:
        """The quantity that a size is the size of."""
        return (self.quantity(name).name,)

    def quantity(self, name: str) -> Quantity:
        """What a size is of."""
        if name in OF_THE_TOP:
            return next(one for one in (q.top_thickness, q.top_diameter) if one.name == name)
        return OF_A_LEG[name.rpartition("_")[0]]

    def drawn(self, name: str) -> float:
        """A size as it was drawn, mm or degrees."""
        if name in OF_THE_TOP:
            return self.sheet.number(name)
        return self.pieces.drawn_size(name.rpartition("_")[0])

    def unit_shows(self, name: str) -> bool:
        """Whether it is never cut so far off that it could be one unit taken for another."""
        return (name if name in OF_THE_TOP else name.rpartition("_")[0]) in LENGTHS

    def rows(self) -> Iterator[tuple[str, str, str]]:
        """The rows of the answer below the height: name, what, from where to where."""
        for k in self.pieces.legs:
            yield f"foot-{k}", f"foot {k}", ""
        yield "rim", "across the rim", "highest less lowest point"
        if self.pieces.work.count > 3:
            yield "rock", "rocks by", ""
        for k in self.pieces.legs:
            yield f"tenon-{k}", f"tenon {k}", ""
            yield f"cover-{k}", f"over socket {k}", "wood left, plumb"
        yield "arm", "tipping line", f"centre to it; {self._drawn_arm} as drawn"

    @property
    def _drawn_arm(self) -> str:
        return tenths(stand(self.pieces).arm, self.sheet.shop_style)

    def data(self) -> dict[str, Any]:
        """What the script has to know to say how the legs stand."""
        mm, display = unit_size("mm"), self.sheet.shop_style.display
        clearance = self.sheet.get("tenon_clearance") or 0.0
        return {
            "tables": LEGS[: self.pieces.work.count],
            "ofTheLeg": [key for key, stem in LEG_STEMS.items() if stem in OF_THE_LEG],
            "inputs": {key: OF_A_LEG[stem].name for key, stem in LEG_STEMS.items()},
            "given": self._given(), "thickness": q.top_thickness.name,
            "bearing": cut.bearing.name,
            "bearings": [
                cut.bearing.to_si(360.0 * k / self.pieces.work.count)
                for k in range(self.pieces.work.count)
            ],
            "endless": cut.tenon_length.to_si(cut.tenon_length.high),
            "shouldered": self.pieces.work.shouldered,
            "blank": self.pieces.drawn_size("leg_blank") * mm, "fitted": clearance * mm,
            "high": self.sheet.number(height_name(self.sheet.kind)) * mm,
            "blind": self.sheet.number("socket_cover") >= leg_remedies.THIN,
            "slope": slope_allowed(self.sheet) * (1 + SLACK), "hair": HAIR * mm,
            "rocks": leg_remedies.ROCKS[display] * mm, "astray": leg_remedies.ASTRAY[display] * mm,
            "tight": leg_remedies.TIGHT * mm, "loose": SLOPPY * mm,
            "thin": leg_remedies.THIN * mm, "pared": leg_remedies.PRESSES * mm,
            **_called(),
        }  # fmt: skip

    def _given(self) -> dict[str, float]:
        """All that a function is given, of a leg and of the floor, as drawn, coherent SI."""
        known = {**cut.floor_network(False).quantities, **cut.leg_network(False).quantities}
        numbers = givens_of(self.pieces, 1, self.pieces.drawn_size("leg_blank"), True)
        names = ("top_diameter", "pad_projection", "visible_slope", "foot_diameter", "leg_taper")
        numbers |= {name: self.sheet.number(name) for name in names}
        wanted = {name for one in scripts(self.pieces.work.count) for name in one.inputs}
        return {name: known[name].to_si(size) for name, size in numbers.items() if name in wanted}


def _called() -> dict[str, Any]:
    """What the functions call what the script reads of them."""
    own = {"drop": cut.drop, "x": cut.foot_x, "y": cut.foot_y, "play": cut.play,
           "cover": cut.cover, "entry": cut.entry, "tilt": posts.tilt, "rim": posts.rim_drop,
           "used": posts.slope_used, "height": posts.height, "gap": cut.rock, "below": cut.below,
           "arm": cut.arm, "off": cut.foot_off}  # fmt: skip
    floor = {"x": cut.bearing_x, "y": cut.bearing_y, "drop": cut.bearing_drop,
             "other": (cut.other_x, cut.other_y, cut.other_drop)}  # fmt: skip
    return {
        **{key: one.name for key, one in own.items()},
        "floor": {key: [one.name for one in three] for key, three in floor.items()},
    }
