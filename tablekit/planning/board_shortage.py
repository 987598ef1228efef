"""What a rack is short of, in the maker's words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_layout import RackBoard
from tablekit.planning.board_wood import Losses, clear_lengths, far_width_of, zones_of

EASE = 1e-5  # mm
MOST_MORE = 6  # boards of a kind that may be missing


class BoardsFallShort(DesignError):
    """A rack cannot cover the circle.

    found, needed  the width or length there is and the one it takes, mm
    largest        the widest top these boards would do for, mm; None where not looked for
    """

    def __init__(self, message: str, *, found: float, needed: float, largest: float | None = None):
        super().__init__(message)
        self.found, self.needed, self.largest = found, needed, largest


class Asking(Protocol):
    """Whether some rack makes some top."""

    def makes(self, top: float, margin: float, more: Sequence[int] = ()) -> bool:
        """Whether the boards make a top, `more` of each kind added."""
        ...

    def reach(self, top: float, margin: float) -> float:
        """How wide a row the boards make at most, mm."""
        ...


def shortage(
    asking: Asking, rack: Sequence[RackBoard], top: float, margin: float, losses: Losses,
    style: ShopStyle,
) -> BoardsFallShort:  # fmt: skip
    """What a rack is short of, for a top of that diameter and margin (mm)."""

    def mm(number: float) -> str:
        return shop_text(number, "mm", style)

    diameter = float(formulas.rough_diameter(top, margin))
    lengths = {
        board.name: max((b - a for a, b in clear_lengths(board.length, zones_of(board), losses)),
                        default=0.0)
        for board in rack
        if board.count > 0 and _wide(board, losses)
    }  # fmt: skip
    if not lengths or max(lengths.values()) <= 0:
        return _nothing_usable(rack, losses, diameter)
    name = max(lengths, key=lambda one: lengths[one])
    if lengths[name] < diameter - EASE:
        return BoardsFallShort(
            f"no board is long enough for the middle: the longest, {name}, has "
            f"{mm(lengths[name])} of clear length, and the circle is {mm(diameter)} across. "
            f"{mm(diameter - lengths[name])} is missing",
            found=lengths[name], needed=diameter,
        )  # fmt: skip
    reach = min(asking.reach(top, margin), diameter)
    largest = largest_top(asking, top, margin, style)
    said = f"too little wood: the strips lie {mm(reach)} wide at most, so far as was found"
    if diameter - reach > EASE:
        said += f", and the circle is {mm(diameter)}. {mm(diameter - reach)} of width is missing"
    else:
        said += ", but none of these rows has each board long enough where it lies"
    more = _more(asking, rack, top, margin, mm)
    at_most = f". These boards make a top of {mm(largest)}" if largest else ""
    return BoardsFallShort(said + more + at_most, found=reach, needed=diameter, largest=largest)


def _wide(board: RackBoard, losses: Losses) -> bool:
    wide = max(board.width, far_width_of(board))
    return float(formulas.strip_width(wide, losses.edge_loss)) > 0


def _more(asking: Asking, rack: Sequence[RackBoard], top: float, margin: float, mm: object) -> str:
    """The kind of board of which the fewest more would do, as a sentence."""
    kinds = sorted(range(len(rack)), key=lambda k: -rack[k].width * rack[k].length)[:4]
    for number in range(1, MOST_MORE + 1):
        for kind in kinds:
            added = [number if k == kind else 0 for k in range(len(rack))]
            if asking.makes(top, margin, added):
                what = "One more board" if number == 1 else f"{number} more boards"
                return f". {what} like {rack[kind].name} would do"
    return ""


def largest_top(asking: Asking, top: float, margin: float, style: ShopStyle) -> float | None:
    """A top that the boards do for, as wide as was found, to a whole step of the shop, mm."""
    low, high = 0.0, top
    for _ in range(9):
        middle = (low + high) / 2
        low, high = (middle, high) if asking.makes(middle, margin) else (low, middle)
    step = 25.4 / 8 if style.display == "in" else 1.0
    found = low // step * step
    return found if found > 0 else None


def _nothing_usable(rack: Sequence[RackBoard], losses: Losses, diameter: float) -> BoardsFallShort:
    if not rack:
        return BoardsFallShort(
            "the rack is empty. Write a [[boards]] section for each kind of board",
            found=0.0, needed=diameter,
        )  # fmt: skip
    worst = rack[0]
    why = "ends and zones to be avoided take its whole length"
    if not _wide(worst, losses):
        why = "edge loss takes its whole width"
    if worst.count < 1:
        why = "none of it is left"
    return BoardsFallShort(
        f"no board is usable; board {worst.name}: {why}. Check [top] and the boards",
        found=0.0, needed=diameter,
    )  # fmt: skip
