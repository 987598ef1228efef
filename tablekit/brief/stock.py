"""The [[stock]] of a brief: planks that the posts or legs may be sawn from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tablekit.brief.keys import Price, Text, measure, read
from tablekit.brief.section import Section, Span
from tablekit.brief.text import as_written

MOST_STOCK = 50
STOCK_KEYS = (
    Text("name", "what you call it", "plank 1, plank 2, …"),
    measure("length", Span("mm", "length of a plank", 100, 20000), required=True),
    measure("width", Span("mm", "width of a plank", 10, 1500), required=True),
    measure(
        "count",
        Span("1", "how many planks of this size", 1, 500, whole=True),
        "as many as are needed",
    ),
    Price("price", "price of one plank"),
)


@dataclass(frozen=True)
class Stock:
    """Planks alike: length and width in mm; how many, None for as many as are wanted; price."""

    name: str
    length: float
    width: float
    count: int | None = None
    price: float | None = None


def read_stock(rows: Sequence[Section]) -> tuple[Stock, ...]:
    """Every [[stock]] of a brief."""
    if len(rows) > MOST_STOCK:
        rows[MOST_STOCK].wrong("", f"{len(rows)} kinds of plank; {MOST_STOCK} are the most")
        return ()
    found: dict[str, Stock] = {}
    for number, row in enumerate(rows, start=1):
        plank = _plank(row, number)
        if plank is not None and plank.name in found:
            row.wrong("name", f"{as_written(plank.name)} names two planks; give each its own name")
        elif plank is not None:
            found[plank.name] = plank
    return tuple(found.values())


def _plank(row: Section, number: int) -> Stock | None:
    said = read(row, STOCK_KEYS)
    said["name"] = said["name"] if "name" in row.table else f"plank {number}"
    if None in (said["name"], said["length"], said["width"]):
        return None
    return Stock(**{**said, "count": None if said["count"] is None else int(said["count"])})


def stock_values(plank: Stock) -> dict[str, object]:
    """A plank as a brief writes it: text, number with unit "mm" as (number, "mm"), or None."""
    return {
        "name": plank.name,
        "length": (plank.length, "mm"),
        "width": (plank.width, "mm"),
        "count": plank.count,
        "price": None if plank.price is None else float(plank.price),
    }
