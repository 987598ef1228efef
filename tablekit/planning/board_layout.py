"""What a layout of boards is, what may be asked of one, and where its boards are crosscut."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, Protocol

from tablekit.engine.shop import ShopStyle, plain_number, shop_up
from tablekit.engine.trouble import DesignError, RangeError
from tablekit.planning import formulas as formulas

Rip = Literal["as wide as each goes", "all alike"]
Objective = Literal["area", "price"]
AS_WIDE, ALIKE = RIPS = ("as wide as each goes", "all alike")
AREA, PRICE = OBJECTIVES = ("area", "price")
SAW_KERF, SHORTEST_KEPT = 3.0, 300.0  # mm: common practice, no source
RIM_STRIP = 20.0  # mm: common practice, no source
PROVED_WITHIN = 1e-3  # share of what is used, less than the kerfs take


class RackBoard(Protocol):
    """What is read of a board in the rack."""

    @property
    def name(self) -> str:
        """What the maker calls it."""
        ...

    @property
    def width(self) -> float:
        """Its width, mm."""
        ...

    @property
    def length(self) -> float:
        """Its length, mm."""
        ...

    @property
    def count(self) -> int:
        """How many there are."""
        ...

    @property
    def price(self) -> float | None:
        """Price of each, if known."""
        ...


@dataclass(frozen=True)
class Zone:
    """A length of a board that may not be used, from its first end, mm."""

    start: float
    end: float


@dataclass(frozen=True)
class Wishes:
    """What else a maker may ask.

    order            names of boards from left to right: these and no others, in this order
    keep             names of boards to be left in the rack, one for each mention
    symmetrical      joints mirror one another about the centre; strips opposite one another are
                     ripped to the narrower of the two
    clear_of_centre  no joint nearer the centre than this, mm; 0 lets one lie on it
    narrowest        no strip shows less than this inside the finished rim, mm
    at_rim           the same of the strips at the rim alone, mm, where it can be had
    match            strips of one board lie side by side
    """

    order: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    symmetrical: bool = False
    clear_of_centre: float = 0.0
    narrowest: float = 0.0
    at_rim: float = RIM_STRIP
    match: bool = False


@dataclass(frozen=True)
class Strip:
    """One strip: the kind of its board, which of these, and where it lies on that, mm from the
    first end; its edges from the centre mark, right positive, and the length it needs there, mm."""

    board: str
    copy: int
    start: float
    end: float
    left: float
    right: float
    length_needed: float

    @property
    def width(self) -> float:
        """Width of the strip, mm."""
        return self.right - self.left

    @property
    def usable_length(self) -> float:
        """Length to which it is cut, mm."""
        return self.end - self.start


@dataclass(frozen=True)
class CutBoard:
    """A board that is cut, lengths in mm.

    copy          which of the boards of that name, from 1
    from_far      whether cutting begins at the end named second
    length, width, far_width   as it lies, the widths at its first and at its second end
    zones         that are avoided, from the first end
    used          length used up, from the end where cutting begins
    used_area     of it, mm²
    left          length that goes back to the rack; 0 where all counts as used
    alone         whether the rack has one board of that name, which then needs no number
    """

    board: str
    copy: int
    from_far: bool
    length: float
    width: float
    far_width: float
    zones: tuple[Zone, ...]
    used: float
    used_area: float
    left: float
    alone: bool = False

    @property
    def called(self) -> str:
        """What the maker calls it: "plank", or of several alike "plank, no. 2"."""
        return self.board if self.alone else f"{self.board}, no. {self.copy}"

    @property
    def begun(self) -> str:
        """From which end it is cut, where a maker has to mind that: ", from its wide end"; or
        nothing."""
        if self.width != self.far_width:
            return ", from its wide end"
        return ", from its second end" if self.from_far else ""

    @property
    def cut_width(self) -> float:
        """Width where what goes back was cut off, mm."""
        at = self.length - self.used if self.from_far else self.used
        return float(formulas.width_there(self.width, self.far_width, self.length, at))

    @property
    def left_width(self) -> float:
        """Width of what goes back, at its narrower end, mm."""
        return min(self.cut_width, self.width if self.from_far else self.far_width)


@dataclass(frozen=True)
class BoardLayout:
    """Strips from left to right over a circle.

    cut          the boards that are cut, in the order in which they first appear
    diameter     of the circle covered, the margin counted, mm
    boards_area  used of the boards, mm²; what goes back to the rack is not counted
    circle_area  of the circle covered, mm²
    waste        share of the area used that does not end in that circle
    price        of what is used, by its share of each board; None where one has no price
    objective    what was to be least
    gap          by what share another layout could at most undercut this one; 0 where proved
    rip_width    common width of all strips, mm, where they were to be alike; else None
    ordered      whether the order was the maker's
    priced       price of what is used of those boards that have one
    """

    strips: tuple[Strip, ...]
    cut: tuple[CutBoard, ...]
    diameter: float
    boards_area: float
    circle_area: float
    waste: float
    price: float | None
    objective: Objective
    gap: float
    rip_width: float | None = None
    ordered: bool = False
    priced: float = 0.0

    @property
    def proved(self) -> bool:
        """Whether it is proved that no layout uses less by more than a part in a thousand."""
        return self.gap <= PROVED_WITHIN

    @property
    def joints(self) -> tuple[float, ...]:
        """Where the joints are, from the centre mark, mm."""
        return tuple(strip.right for strip in self.strips[:-1])

    def pieces(self, of: CutBoard) -> list[tuple[int, Strip]]:
        """The strips cut from a board, each with its number in the row, from where cutting
        begins."""
        found = [
            (number, strip)
            for number, strip in enumerate(self.strips, start=1)
            if (strip.board, strip.copy) == (of.board, of.copy) and strip.length_needed > 0
        ]
        return sorted(found, key=lambda one: -one[1].start if of.from_far else one[1].start)

    def source(self, of: Strip) -> CutBoard:
        """The board that a strip is cut from."""
        return next(one for one in self.cut if (one.board, one.copy) == (of.board, of.copy))

    @property
    def boards(self) -> dict[str, int]:
        """How many of each board are cut, in the order in which they first appear."""
        used: dict[str, int] = {}
        for one in self.cut:
            used[one.board] = used.get(one.board, 0) + 1
        return used


def check_board(board: RackBoard) -> None:
    """Raises RangeError for a board that cannot be."""
    far = getattr(board, "end_width", None)
    for what, number in (
        ("wide", board.width), ("long", board.length), ("wide", board.width if far is None else far)
    ):  # fmt: skip
        if not (math.isfinite(number) and number > 0):
            raise RangeError(
                f"board {board.name} is {plain_number(number)} mm {what}; expected more than 0 mm. "
                "Correct it, or take the board out of the rack",
                name=board.name, found=number, low=0.0,
            )  # fmt: skip
    if board.count != int(board.count) or board.count < 0:
        raise RangeError(
            f"there are {plain_number(board.count)} of board {board.name}; expected a whole number",
            name=board.name, found=board.count, low=0.0,
        )  # fmt: skip
    if board.price is not None and not (math.isfinite(board.price) and board.price >= 0):
        raise RangeError(
            f"board {board.name} costs {plain_number(board.price)}; expected 0 or more",
            name=board.name, found=board.price, low=0.0,
        )  # fmt: skip


def check_measure(name: str, number: float, above: bool = False) -> None:
    """Raises RangeError for a length (mm) that is negative, or nothing where `above` is asked."""
    if not math.isfinite(number) or number < 0 or (above and number == 0):
        least = "more than 0" if above else "0 or more"
        raise RangeError(
            f"{name} is {plain_number(number)} mm; expected {least}",
            name=name,
            found=number,
            low=0.0,
        )


def left_in_rack(rack: tuple[RackBoard, ...], keep: Iterable[str]) -> list[int]:
    """How many of each board may be used. Raises DesignError for one to be kept that is not
    there."""
    left = [int(board.count) for board in rack]
    for name in keep:
        there = [index for index, board in enumerate(rack) if board.name == name]
        if not there:
            known = ", ".join(dict.fromkeys(board.name for board in rack)) or "none"
            raise DesignError(
                f'board "{name}" is to be kept but is not in the rack; the rack has {known}'
            )
        index = next((index for index in there if left[index]), None)
        if index is None:
            raise DesignError(f'more of board "{name}" are to be kept than are in the rack')
        left[index] -= 1
    return left


# -- Crosscuts, as marked with a rule --------------------------------------------------------------


@dataclass(frozen=True)
class MarkedStrip:
    """A strip as it is marked on its board: its number in the row; from where to where, from the
    end where cutting begins, and its length, mm, in whole steps of the rule and never too short."""

    number: int
    start: float
    end: float

    @property
    def length(self) -> float:
        """From one crosscut to the other, mm."""
        return self.end - self.start


def pieces_marked(layout: BoardLayout, one: CutBoard, style: ShopStyle) -> list[MarkedStrip]:
    """The strips of a board, in the order in which they are cut.

    Each begins where the kerf of the one before ends, or where its zone is behind it.
    """
    found: list[MarkedStrip] = []
    places = []
    for number, strip in layout.pieces(one):
        ends = (strip.start, strip.end)
        if one.from_far:
            ends = (one.length - strip.end, one.length - strip.start)
        places.append((number, *ends, strip.length_needed))
    gaps = [0.0, *(b[1] - a[2] for a, b in pairwise(places))]
    for (number, start, _, needed), gap in zip(places, gaps, strict=True):
        begin = max(start, found[-1].end + gap if found else start)
        begin = shop_up(begin, style)
        found.append(MarkedStrip(number, begin, begin + shop_up(needed, style)))
    return found
