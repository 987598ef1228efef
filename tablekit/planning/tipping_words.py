"""Forces and masses in words, in both systems of units, and what a sitter on the rim does."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from tablekit.engine.shop import ShopStyle, shop_text

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


def both_forces(newtons: float, style: ShopStyle) -> str:
    """Such as 142 N (32 lbf), the unit of the maker first."""
    return _both(newtons, "N", style)


def both_masses(kilograms: float, style: ShopStyle) -> str:
    """Such as 18.4 kg (40.6 lb), the unit of the maker first."""
    return _both(kilograms, "kg", style)


def _both(number: float, unit: str, style: ShopStyle) -> str:
    other: Literal["mm", "in"] = "mm" if style.display == "in" else "in"
    second = shop_text(number, unit, replace(style, display=other))
    return f"{shop_text(number, unit, style)} ({second})"


def sitter_words(sheet: Sheet) -> str:
    """Whether somebody on the rim tips the piece; "" where the sheet does not tell."""
    sitter, counter = sheet.get("edge_sitter_mass"), sheet.get("counter_mass")
    if sitter is None or counter is None:
        return ""
    who = f"A person of {both_masses(sitter, sheet.shop_style)} sitting on the rim there"
    if counter <= 0:
        return f"{who} does not tip it by sitting still, but it is not a seat."
    held = both_masses(counter, sheet.shop_style)
    return f"{who} tips it, unless another {held} stands at its centre."
