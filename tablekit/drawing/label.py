"""One line of text on the paper: where it stands and how much room it takes."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from tablekit.drawing import style

Point = tuple[float, float]
# How much of a line of text stands before the point at which it is anchored.
BEFORE = {"left": 0.0, "center": 0.5, "right": 1.0}


@dataclass(frozen=True)
class Label:
    """One line of text; x, y is where its base line is anchored: left, center or right.

    quantity   name of the quantity whose size it gives, if any
    """

    text: str
    x: float
    y: float
    anchor: str = "center"
    rotation: float = 0.0
    size: float = style.TEXT
    bold: bool = False
    colour: str = style.INK
    quantity: str = ""

    @property
    def width(self) -> float:
        """How long the line is, mm on the paper."""
        return style.text_width(self.text, self.size, self.bold)

    @property
    def start(self) -> Point:
        """Where its base line begins."""
        back = BEFORE[self.anchor]
        back, turn = back and back * self.width, radians(self.rotation)
        return self.x - back * cos(turn), self.y - back * sin(turn)

    def corners(self) -> list[Point]:
        """The four corners of the box round it."""
        width, height = self.width, self.size * style.MM_PER_POINT
        left = -BEFORE[self.anchor] * width
        if not self.rotation:
            x, y = self.x + left, self.y
            low, high = y - style.TAIL * height, y + style.CAP * height
            return [(x, low), (x, high), (x + width, low), (x + width, high)]
        across, up = cos(radians(self.rotation)), sin(radians(self.rotation))
        return [
            (self.x + a * across - b * up, self.y + a * up + b * across)
            for a in (left, left + width)
            for b in (-style.TAIL * height, style.CAP * height)
        ]
