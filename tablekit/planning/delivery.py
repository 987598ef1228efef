"""Getting a piece there: what is carried, through which opening, what comes apart, what is packed.

found = delivery(sheet, solids, fittings, door=(800.0, 2000.0))
found.lines(), found.to_json()
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from tablekit.engine.network import Network
from tablekit.engine.quantity import unit_size
from tablekit.engine.sheet import tidy
from tablekit.engine.shop import shop_text, shop_text_up, times
from tablekit.engine.trouble import DesignError
from tablekit.planning.fixing_plan import PAD, PLATE, TOP_SCREW, outside_rim
from tablekit.planning.post_marks import locked_words
from tablekit.relations import lot
from tablekit.relations import lot as carried
from tablekit.relations.bases import base_of
from tablekit.relations.kinds import height_name
from tablekit.relations.wording import SHOP
from tablekit.solids.passage import (
    Opening,
    base_points,
    goes_through,
    least_opening,
    legged_points,
    top_points,
)

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle
    from tablekit.planning.fixing_plan import Fitting
    from tablekit.solids.passage import Array
    from tablekit.solids.piece import Solids

# What a man lifts alone at most, held close at the height of his waist, kg; for a woman the guide
# has 16 kg. Health and Safety Executive, Manual handling at work (INDG143), from memory.
TWO_CARRY = {"mm": 25.0, "in": 55 * unit_size("lb")}  # and 55 lb for a maker in inches
CLAIM = (
    "Openings are the narrowest slot that a part goes through when it is carried straight, and how "
    "long the slot has to be. A part that is turned on the way, one leg first, may go through "
    "less. No room for hands or wrapping is counted."
)
WHOLE, TOP_OFF, IN_POSTS, NO_WAY = STATES = (
    "assembled", "with the top off", "in posts", "no way found",
)  # fmt: skip


@dataclass(frozen=True)
class CarriedPart:
    """Parts alike as they are carried: what, how many to a piece, the mass of each in kg, and the
    opening that each goes through."""

    name: str
    count: int
    mass: float
    opening: Opening


@dataclass(frozen=True)
class Packed:
    """What goes into the box with a piece, how many for the lot, and what for."""

    name: str
    count: int
    remark: str = ""


@dataclass(frozen=True)
class Delivery:
    """How a piece is carried in.

    parts    the whole, then what it comes apart into
    mass     of one piece, and `lot_mass` of all of them, kg
    door     clear width and height to be passed, mm; None where none is given
    state    one of STATES: in which the piece goes through the door; "" without one
    certain  whether what goes through in no way that was found has none, carried straight
    apart    what is done to take it apart, in order
    packing  what is packed
    """

    parts: tuple[CarriedPart, ...]
    mass: float
    lot_mass: float
    pieces: int
    door: tuple[float, float] | None
    state: str
    certain: bool
    apart: tuple[str, ...]
    packing: tuple[Packed, ...]
    style: ShopStyle

    @property
    def heaviest(self) -> CarriedPart:
        """Of the parts that the piece comes apart into, the heaviest; the whole where it does
        not."""
        return max(self.parts[1:3] or self.parts, key=lambda part: part.mass)

    def opening_text(self, opening: Opening) -> str:
        """An opening as it is measured: no smaller than it has to be."""
        return times(*(shop_text_up(n, self.style) for n in (opening.narrow, opening.wide)))

    def door_line(self) -> str:
        """Whether and how it goes through the door, in a sentence; "" without one."""
        if self.door is None:
            return ""
        size = times(*(shop_text(side, "mm", self.style) for side in self.door))
        base = "the base does not" if self.certain else "no way was found for the base"
        none = "it does not go through" if self.certain else "no way through was found"
        turn = "turn it in the doorway, one leg first"
        said = {
            WHOLE: "the piece goes through assembled",
            TOP_OFF: "take the top off; top and base then go through",
            IN_POSTS: f"carried straight, the top goes through, but {base}: {turn}, or glue the "
            "posts together inside",
            NO_WAY: f"carried straight, {none}: {turn}",
        }
        return f"Through an opening of {size}: {said[self.state]}."

    def lines(self) -> tuple[str, ...]:
        """What is to be known and done, a paragraph each."""
        big = self.heaviest
        several = (
            f", all {self.pieces} together {self._kg(self.lot_mass)}" if self.pieces > 1 else ""
        )
        weighs = f"The piece weighs {self._kg(self.mass)}{several}; glue, finish and metal are not "
        weighs += f"counted. The heaviest part is the {big.name}, {self._kg(big.mass)}."
        heavy = TWO_CARRY[self.style.display]
        if max(big.mass, self.mass) > heavy:
            weighs += (
                f" Two people carry what weighs more than {self._kg(heavy)} (Health and Safety "
                "Executive, INDG143, from memory)."
            )
        door = self.door_line()
        return (weighs, *((door,) if door else ()), CLAIM, *self.apart)

    def _kg(self, number: float) -> str:
        return shop_text(number, "kg", self.style)

    def rows(self) -> tuple[tuple[str, str, str, str], ...]:
        """For each part its name, how many, its mass and the opening for it."""
        return tuple(
            (part.name, str(part.count), self._kg(part.mass), self.opening_text(part.opening))
            for part in self.parts
        )

    def to_json(self) -> dict[str, Any]:
        """Plain data: kg and mm."""
        door = None
        if self.door is not None:
            door = {
                "width": tidy(self.door[0]), "height": tidy(self.door[1]), "goes": self.state,
                "certain": self.certain, "says": self.door_line(),
            }  # fmt: skip
        return {
            "mass": tidy(self.mass),
            "lot_mass": tidy(self.lot_mass),
            "parts": [
                {
                    "part": part.name, "count": part.count, "mass": tidy(part.mass),
                    "opening": [tidy(part.opening.narrow), tidy(part.opening.wide)],
                }
                for part in self.parts
            ],
            "heaviest": self.heaviest.name,
            "door": door,
            "claim": CLAIM,
            "taking_apart": list(self.apart),
            "packing": [
                {"what": one.name, "count": one.count, "remark": one.remark}
                for one in self.packing
            ],
        }  # fmt: skip


@cache
def network() -> Network:
    """The masses of what is carried."""
    return Network(
        "what is carried",
        [one for one in carried.DELIVERY_QUANTITIES if one not in carried.OPENING],
        (carried.BASE_PART_MASS, lot.LOT_MASS),
        wording=SHOP,
    )


def masses(sheet: Sheet, pieces: int = 1) -> Sheet:
    """The mass of one post or leg and of the whole lot, beside the masses of the piece."""
    return network().solve(
        {
            **{name: sheet.number(name) for name in ("base_mass", "total_mass")},
            "base_parts": float(base_of(sheet).count), "lot_count": float(pieces),
        },
        name=sheet.name,
        shop=sheet.shop_style,
    )  # fmt: skip


def delivery(
    sheet: Sheet,
    solids: Solids,
    fittings: Sequence[Fitting] = (),
    door: tuple[float, float] | None = None,
    pieces: int = 1,
) -> Delivery | None:
    """How a piece is carried in; None where the sheet leaves its shape or its mass open.

    fittings  what is bought for all the pieces
    door      clear width and height of the opening to be passed, mm
    pieces    how many are made
    """
    try:
        weighed = masses(sheet, pieces)
        shapes = _shapes(sheet, solids)
    except DesignError:
        return None
    parts = tuple(_parts(sheet, weighed, shapes))
    state, certain = ("", False) if door is None else _state(door, shapes, parts)
    return Delivery(
        parts, sheet.number("total_mass"), weighed.number("lot_mass"), pieces, door, state, certain,
        tuple(_apart(sheet, solids)), tuple(_packing(sheet, fittings, pieces)), sheet.shop_style,
    )  # fmt: skip


def _shapes(sheet: Sheet, solids: Solids) -> dict[str, Array]:
    """Points of what is carried, by name, mm: the whole first."""
    top = top_points(sheet, sheet.number(height_name(sheet.kind)))
    if not base_of(sheet).crossed:
        return {"whole": np.vstack([top, legged_points(sheet)])}
    base = base_points(solids.model)
    return {
        "whole": np.vstack([top, base]), "top": top, "base": base,
        "post": solids.model.posts[0].vertices,
    }  # fmt: skip


def _parts(sheet: Sheet, weighed: Sheet, shapes: dict[str, Array]) -> Iterator[CarriedPart]:
    each = {
        "whole": ("whole piece", 1, sheet.number("total_mass")),
        "top": ("top", 1, sheet.number("top_mass")),
        "base": ("base", 1, sheet.number("base_mass")),
        "post": ("post, before gluing", base_of(sheet).count, weighed.number("base_part_mass")),
    }
    for name, points in shapes.items():
        # The top is what the sheet says, not the polygon that stands round it.
        thick, across = sheet.number("top_thickness"), sheet.number("top_diameter")
        on_edge = Opening(min(thick, across), max(thick, across))
        yield CarriedPart(*each[name], on_edge if name == "top" else least_opening(points))


def _state(
    door: tuple[float, float], shapes: dict[str, Array], parts: tuple[CarriedPart, ...]
) -> tuple[str, bool]:
    """In which state the piece goes through the door; and of the part that holds it up, whether it
    is certain that it does not go through, carried straight."""
    short, long = sorted(door)
    openings = dict(zip(shapes, (part.opening for part in parts), strict=True))

    def goes(name: str) -> bool:
        opening = openings[name]
        if opening.narrow <= short and opening.wide <= long:
            return True
        return opening.narrow <= short and goes_through(shapes[name], *door)

    def never(name: str) -> bool:
        return openings[name].narrow > short

    if goes("whole"):
        return WHOLE, False
    if "top" not in shapes:
        return NO_WAY, never("whole")
    if not goes("top"):
        return NO_WAY, never("top")
    if goes("base"):
        return TOP_OFF, False
    return (IN_POSTS, never("base")) if goes("post") else (NO_WAY, never("post"))


# -- taking apart and packing ---------------------------------------------------------------------


def _apart(sheet: Sheet, solids: Solids) -> Iterator[str]:
    base = base_of(sheet)
    if not base.crossed:
        yield "It does not come apart: the legs are glued into the top."
        return
    if not outside_rim(sheet) and sheet.get("screw_length") is not None:
        yield (
            "The top comes off: lay the piece on its face on a blanket, take out the three screws "
            "from below, one in each plate, and lift the base off. Leave the plates on the heads. "
            "Mark which head goes where before you part them."
        )
    if locked_words(sheet):
        yield "The posts cannot be assembled as they are, so there is nothing to take apart."
        return
    order = solids.assembly.order[::-1]
    yield (
        "The base is glued in the order of work and does not come apart again. Before gluing, or "
        f"left dry, it comes apart in the order {', '.join(map(str, order))}: post {order[0]} "
        "slides out first, back along its notch."
    )


def _packing(sheet: Sheet, fittings: Sequence[Fitting], pieces: int) -> Iterator[Packed]:
    """Common practice, no source."""
    if base_of(sheet).crossed:
        yield Packed("top", pieces, "wrapped, on edge, never flat under a load")
        yield Packed("base", pieces, "feet and heads wrapped")
    else:
        yield Packed("whole piece", pieces, "rim and feet wrapped; carry it by the top")
    driven = False
    for one in fittings:
        if one.id == TOP_SCREW:
            driven = True
            yield Packed("screw for the top", one.count, f"{one.size}; and one spare")
        elif one.id == PLATE:
            yield Packed(one.name, one.count, "stays on its head")
        elif one.id == PAD:
            yield Packed(one.name, one.count, f"{one.size}; and one spare")
    if driven:
        yield Packed("driver or key for the screws", 1, "of the size of their heads")
    yield Packed("finish for touching up", 1, "a small bottle of the same, and a cloth")
    care = "sheet on care and on screwing the top on" if driven else "sheet on care"
    yield Packed(care, pieces)
