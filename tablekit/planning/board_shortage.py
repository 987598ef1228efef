"""What a rack is short of, in the maker's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tablekit.engine.trouble import DesignError
from tablekit.engine.units import ShopStyle, shop_text
from tablekit.planning import board_formulas as formulas
from tablekit.planning.board_row import keep_off, places
from tablekit.planning.board_stock import GRAINS


class BoardsFallShort(DesignError):
    """A rack cannot cover the circle.

    found, needed  the width or length there is and the one it takes, mm
    largest        the widest top these boards would do for, mm; None where not looked for
    """

    def __init__(self, message: str, *, found: float, needed: float, largest: float | None = None):
        super().__init__(message)
        self.found, self.needed, self.largest = found, needed, largest


@dataclass(frozen=True)
class Yield:
    """Strips of one kind: the board's name, strip width and usable length in mm, how many."""

    board: str
    width: float
    length: float
    count: int


def _crosscut(strips: Sequence[Yield], diameter: float) -> str:
    """What to do with a board that would give more than one strip, or nothing."""
    long = next((one.board for one in strips if one.length >= 2 * diameter), None)
    if long is None:
        return ""
    return (
        f". One strip is taken from each board, and {long} is long enough for more: enter it as "
        "the lengths that it will be crosscut to"
    )


def shortage(
    strips: Sequence[Yield], diameter: float, style: ShopStyle, wishes: str = ""
) -> BoardsFallShort:
    """What the strips are short of, for a circle of that diameter (mm).

    wishes  what else was asked, as "with joints kept 20 mm off the centre", or nothing
    """

    def mm(number: float) -> str:
        return shop_text(number, "mm", style)

    usable = [one for one in strips if one.width > 0 and one.length > 0 and one.count > 0]
    if not usable:
        return _nothing_usable(strips, diameter)
    width = sum(one.width * one.count for one in usable)
    if width * GRAINS < diameter * GRAINS - 1:
        return BoardsFallShort(
            f"too few boards: jointed, they are {mm(width)} wide side by side, and the circle is "
            f"{mm(diameter)}. {mm(diameter - width)} of width is missing"
            f"{_crosscut(usable, diameter)}",
            found=width, needed=diameter,
        )  # fmt: skip
    longest = max(usable, key=lambda one: one.length)
    if keep_off(diameter, longest.length) > 0:
        return BoardsFallShort(
            f"no board is long enough for the middle: the longest, {longest.board}, has "
            f"{mm(longest.length)} of usable length, and the circle is {mm(diameter)} across. "
            f"{mm(diameter - longest.length)} is missing",
            found=longest.length, needed=diameter,
        )  # fmt: skip
    return _too_few_long(usable, diameter, style) or BoardsFallShort(
        "the boards are wide enough together, but in no order does each reach across the circle "
        f"where it lies{wishes}. Use longer boards, or narrower ones",
        found=width, needed=diameter,
    )  # fmt: skip


def _nothing_usable(strips: Sequence[Yield], diameter: float) -> BoardsFallShort:
    if not strips:
        return BoardsFallShort(
            "the rack is empty. Write a [[boards]] section for each kind of board",
            found=0.0, needed=diameter,
        )  # fmt: skip
    worst = max(strips, key=lambda one: min(one.width, one.length))
    why = "edge loss takes its whole width" if worst.width <= 0 else (
        "end waste takes its whole length"
    )  # fmt: skip
    if worst.count < 1:
        why = "none of it is left"
    return BoardsFallShort(
        f"no board is usable; board {worst.board}: {why}. Check [top] and the boards",
        found=0.0, needed=diameter,
    )  # fmt: skip


def _too_few_long(
    usable: Sequence[Yield], diameter: float, style: ShopStyle
) -> BoardsFallShort | None:
    """The middle of the circle that must be of longer boards than there are, where it is worst."""
    offs = [keep_off(diameter, one.length) for one in usable]
    worst: tuple[float, float, float] | None = None
    for off in sorted(set(offs) - {0.0}):
        there = sum(one.width * one.count for one, o in zip(usable, offs, strict=True) if o < off)
        if there < 2 * off - 1e-6 and (worst is None or 2 * off - there > worst[0]):
            worst = (2 * off - there, off, there)
    if worst is None:
        return None
    missing, off, there = worst
    shown = [shop_text(n, "mm", style) for n in (2 * off, there, missing)]
    least = shop_text(float(formulas.chord_at(diameter, off)), "mm", style)
    return BoardsFallShort(
        f"too few long boards: the middle {shown[0]} of the circle needs more than {least} of "
        f"usable length, and the boards that long are {shown[1]} wide together. {shown[2]} of "
        "width is missing",
        found=there, needed=2 * off,
    )  # fmt: skip


def order_shortage(
    names: Sequence[str], widths: Sequence[float], lengths: Sequence[float], diameter: float,
    clear: float, style: ShopStyle,
) -> BoardsFallShort:  # fmt: skip
    """What a row in a fixed order is short of, in the place where it is least."""
    total = sum(widths)
    if total * GRAINS < diameter * GRAINS - 1:
        return shortage(
            [Yield(*one, 1) for one in zip(names, widths, lengths, strict=True)], diameter, style
        )
    low, high = 0.0, diameter
    for _ in range(60):  # how much longer all would have to be
        middle = (low + high) / 2
        fits = places(widths, [length + middle for length in lengths], diameter, clear, 1e-7)
        low, high = (low, middle) if fits else (middle, high)
    if not places(widths, [length + high for length in lengths], diameter, clear, 1e-7):
        return BoardsFallShort(
            f"in this order a joint comes nearer the centre than "
            f"{shop_text(clear, 'mm', style)}, wherever the row is laid",
            found=total, needed=diameter,
        )  # fmt: skip
    shortest = min(lengths)
    return BoardsFallShort(
        f"in this order the row cannot cover the circle: each board would have to be "
        f"{shop_text(high, 'mm', style)} longer. Put the long ones in the middle",
        found=shortest, needed=shortest + high,
    )  # fmt: skip
