"""The planks that posts or legs are sawn from, as a brief names them and a plan cuts them up."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Plank:
    """Planks alike: length and width in mm, how many there are (None: as many as wanted), and
    what one costs, if known."""

    name: str
    length: float
    width: float
    count: int | None = None
    price: float | None = None
