"""What somebody who sits on the rim does, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablekit.engine.shop import shop_text

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


def sitter_words(sheet: Sheet) -> str:
    """Whether somebody on the rim tips the piece; "" where the sheet does not tell."""
    sitter, counter = sheet.get("edge_sitter_mass"), sheet.get("counter_mass")
    if sitter is None or counter is None:
        return ""
    who = f"A person of {shop_text(sitter, 'kg', sheet.shop_style)} sitting on the rim there"
    if counter <= 0:
        return f"{who} does not tip it by sitting still, but it is not a seat."
    held = shop_text(counter, "kg", sheet.shop_style)
    return f"{who} tips it, unless another {held} stands at its centre."
