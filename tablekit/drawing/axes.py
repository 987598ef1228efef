"""The frame of a chart: where values lie on the paper, and round numbers along its sides."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np
from numpy.typing import NDArray

from tablekit.drawing import style
from tablekit.drawing.general import STRIP
from tablekit.drawing.ink import Box, Ink, Label
from tablekit.drawing.style import Paper
from tablekit.engine.quantity import Quantity
from tablekit.engine.shop import ShopStyle
from tablekit.engine.unit_table import factor

Array = NDArray[np.float64]
TICK, MOST_TICKS = 1.4, 8
LEFT, BELOW, ABOVE = 19.0, 13.0, 3.0  # room for the words along the axes, mm
SMALLEST = 40.0  # mm of chart either way
SAME_PLACE = 1e-9
HIGH = style.TEXT * style.MM_PER_POINT
# What a maker in millimetres, and one in inches, reads for each reporting unit.
SHOWN = {"mm": ("mm", "in"), "N": ("N", "lbf"), "kg": ("kg", "lb"), "deg": ("deg", "deg")}
UNIT_WORDS = {
    "mm": "millimetres", "in": "inches", "N": "newtons", "lbf": "pounds of force",
    "kg": "kilograms", "lb": "pounds", "deg": "degrees", "1": "",
}  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """Where values lie on the paper: x and y run over their (low, high) across the room."""

    room: Box
    x: tuple[float, float]
    y: tuple[float, float]

    @classmethod
    def of(
        cls,
        x: tuple[float, float],
        y: tuple[float, float],
        paper: Paper,
        beside: float = 0.0,
        strip: float = STRIP + 3.0,
    ) -> Frame:
        """The frame over the strip at the foot of the paper, `beside` mm to its right left free.

        Raises ValueError when the paper is too small."""
        margin = paper.margin
        room = Box(
            margin + LEFT, margin + strip + BELOW, paper.width - margin - beside,
            paper.height - margin - ABOVE,
        )  # fmt: skip
        if room.width < SMALLEST or room.height < SMALLEST:
            raise ValueError(
                f"a sheet of {paper.width:g} × {paper.height:g} mm is too small for a chart; "
                "take a larger one"
            )
        return cls(room, x, y)

    def at(self, points: Array) -> Array:
        """Places on the paper of values, shape (n, 2)."""
        low = np.array([self.x[0], self.y[0]])
        span = np.array([self.x[1] - self.x[0], self.y[1] - self.y[0]])
        size = np.array([self.room.width, self.room.height])
        return np.array([self.room.left, self.room.low]) + (points - low) / span * size


def shown_unit(quantity: Quantity, shop: ShopStyle) -> tuple[float, str]:
    """How many of the maker's units make one reporting unit, and the maker's unit in words."""
    unit = quantity.unit
    shown = SHOWN.get(unit, (unit, unit))[shop.display == "in"]
    return (1.0 if shown == unit else factor(unit, shown)), UNIT_WORDS.get(shown, shown)


def in_words(quantity: Quantity, shop: ShopStyle) -> str:
    """A quantity's name and the maker's unit: "top diameter, inches"."""
    _, unit = shown_unit(quantity, shop)
    name = quantity.name.replace("_", " ")
    return f"{name}, {unit}" if unit else name


def rounds(low: float, high: float, most: int) -> list[float]:
    """Round numbers between two others, both counted in, at most `most`: ones, twos and fives."""
    if not high > low:
        return []
    tens = 10.0 ** floor(log10((high - low) / most))
    for step in (tens, 2 * tens, 5 * tens, 10 * tens, 20 * tens):
        first, last = ceil(low / step - SAME_PLACE), floor(high / step + SAME_PLACE)
        if last - first < most:
            break
    return [round(k * step, 10) for k in range(first, last + 1)]


def axes(ink: Ink, x: Quantity, y: Quantity, shop: ShopStyle, frame: Frame) -> None:
    """Round numbers along both sides of the frame, and what they are of in words."""
    room = frame.room
    for quantity, ends, upright in ((x, frame.x, False), (y, frame.y, True)):
        per, _ = shown_unit(quantity, shop)
        for number in rounds(ends[0] * per, ends[1] * per, MOST_TICKS):
            share = (number / per - ends[0]) / (ends[1] - ends[0])
            text = f"{number:.10g}"
            if upright:
                up = room.low + share * room.height
                ink.line("thin", (room.left - TICK, up), (room.left, up))
                base = up - style.CAP * HIGH / 2
                ink.labels.append(Label(text, room.left - TICK - 1, base, "right"))
            else:
                across = room.left + share * room.width
                ink.line("thin", (across, room.low - TICK), (across, room.low))
                ink.labels.append(Label(text, across, room.low - TICK - 3.4))
    middle = ((room.left + room.right) / 2, (room.low + room.high) / 2)
    ink.labels.append(Label(in_words(x, shop), middle[0], room.low - 10.0, bold=True))
    words = Label(in_words(y, shop), room.left - LEFT + 4.0, middle[1], rotation=90.0, bold=True)
    ink.labels.append(words)
