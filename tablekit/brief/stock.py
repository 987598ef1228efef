"""The [[stock]] of a brief: planks that the posts or legs may be sawn from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tablekit.brief.keys import Price, TextKey, measure, read_rows
from tablekit.brief.section import BriefSection, Span
from tablekit.planning.planks import Plank

MOST_STOCK = 50
STOCK_KEYS = (
    TextKey("name", "what you call it", "plank 1, plank 2, …"),
    measure("length", Span("mm", "length of a plank", 100, 20000), required=True),
    measure("width", Span("mm", "width of a plank", 10, 1500), required=True),
    measure(
        "count",
        Span("1", "how many planks of this size", 1, 500, whole=True),
        "as many as are needed",
    ),
    Price("price", "price of one plank"),
)


def read_stock(rows: Sequence[BriefSection]) -> tuple[Plank, ...]:
    """Every [[stock]] of a brief."""
    return read_rows(rows, STOCK_KEYS, "plank", MOST_STOCK, _plank)


def _plank(row: BriefSection, said: dict[str, Any]) -> Plank | None:
    if None in (said["length"], said["width"]):
        return None
    return Plank(**{**said, "count": None if said["count"] is None else int(said["count"])})


def stock_values(plank: Plank) -> dict[str, object]:
    """A plank as a brief writes it: text, number with unit "mm" as (number, "mm"), or None."""
    return {
        "name": plank.name,
        "length": (plank.length, "mm"),
        "width": (plank.width, "mm"),
        "count": plank.count,
        "price": None if plank.price is None else float(plank.price),
    }
