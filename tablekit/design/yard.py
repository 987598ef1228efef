"""The planks that posts or legs are sawn from: those of the brief, or those of a likely yard."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.engine.shop import shop_text, times
from tablekit.planning.planks import Plank

if TYPE_CHECKING:
    from tablekit.brief import Brief

# Length and width, mm: common practice, no source.
MM_YARD = ((2400.0, 150.0), (3000.0, 150.0), (3600.0, 200.0))
INCH_YARD = ((2438.4, 152.4), (3048.0, 152.4), (3657.6, 203.2))


def planks(brief: Brief) -> tuple[Plank, ...]:
    """The planks of a brief; where it names none, those of a likely yard, as many as wanted."""
    if brief.stock:
        return brief.stock
    sizes = INCH_YARD if brief.shop.display == "in" else MM_YARD
    return tuple(
        Plank(times(*(shop_text(side, "mm", brief.shop) for side in size)), *size) for size in sizes
    )
