"""What a layout of boards is, and what may be asked of one."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, Protocol

from tablekit.engine.shop import plain_number
from tablekit.engine.trouble import DesignError, RangeError

Rip = Literal["as wide as each goes", "all alike"]
Objective = Literal["area", "price"]
AS_WIDE, ALIKE = RIPS = ("as wide as each goes", "all alike")
AREA, PRICE = OBJECTIVES = ("area", "price")


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
class Wishes:
    """What else a maker may ask.

    order            names of boards from left to right: these and no others, in this order
    keep             names of boards to be left in the rack, one for each mention
    symmetrical      joints mirror one another about the centre; strips opposite one another are
                     ripped to the narrower of the two
    clear_of_centre  no joint nearer the centre than this, mm; 0 lets one lie on it
    narrowest        no strip narrower than this, mm
    """

    order: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    symmetrical: bool = False
    clear_of_centre: float = 0.0
    narrowest: float = 0.0


@dataclass(frozen=True)
class Strip:
    """One strip: its board; its edges from the centre mark, right positive; the length it needs
    there and the usable length it has, mm."""

    board: str
    left: float
    right: float
    length_needed: float
    usable_length: float

    @property
    def width(self) -> float:
        """Width of the strip, mm."""
        return self.right - self.left


@dataclass(frozen=True)
class BoardLayout:
    """Strips from left to right over a circle.

    diameter     of the circle covered, the margin counted, mm
    boards_area  of the boards used, whole, mm²
    circle_area  of the circle covered, mm²
    waste        share of the boards that does not end in that circle
    price        of the boards used; None where one has no price
    objective    what was to be least
    proved       whether nothing better can exist
    gap          by what share a better layout could at most undercut this one; 0 where proved
    rip_width    common width of all strips, mm, where they were to be alike; else None
    """

    strips: tuple[Strip, ...]
    diameter: float
    boards_area: float
    circle_area: float
    waste: float
    price: float | None
    objective: Objective
    proved: bool
    gap: float
    rip_width: float | None = None

    @property
    def joints(self) -> tuple[float, ...]:
        """Where the joints are, from the centre mark, mm."""
        return tuple(strip.right for strip in self.strips[:-1])

    @property
    def boards(self) -> dict[str, int]:
        """How many of each board are used, in the order in which they first appear."""
        used: dict[str, int] = {}
        for strip in self.strips:
            used[strip.board] = used.get(strip.board, 0) + 1
        return used


def check_board(board: RackBoard) -> None:
    """Raises RangeError for a board that cannot be."""
    for what, number in (("wide", board.width), ("long", board.length)):
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


def check_choice(name: str, found: str, choices: Iterable[str]) -> None:
    """Raises DesignError for a word that is not among the choices."""
    if found not in choices:
        allowed = " or ".join(f'"{choice}"' for choice in choices)
        raise DesignError(f'{name} = "{found}" is not known. Write {allowed}.')


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
