"""Sheets of every sort to draw from: invented pieces, solved by the kit's own network."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import Any

from tablekit.engine.shop import ShopStyle
from tablekit.relations.families import network


@cache
def _solved(name: str, kind: str, way_up: str, display: str, given: tuple) -> Any:
    return network(kind, way_up=way_up).solve(
        dict(given), name=name, shop=ShopStyle(display=display)
    )


def sheet(
    name: str = "Trial",
    kind: str = "table",
    way_up: str = "notches up",
    display: str = "mm",
    **given: float,
) -> Any:
    """A solved sheet; lengths in mm, angles in degrees."""
    return _solved(name, kind, way_up, display, tuple(sorted(given.items())))


TABLE = MappingProxyType({"table_height": 735, "top_diameter": 900, "post_section": 64})
LOW = MappingProxyType({"table_height": 380, "top_diameter": 1200, "post_section": 64, "splay": 66})
TALL = MappingProxyType(
    {"table_height": 1060, "top_diameter": 520, "post_section": 45, "splay": 22}
)
STOOL = MappingProxyType(
    {"seat_height": 460, "top_diameter": 340, "post_section": 38, "splay": 38, "top_thickness": 32}
)
STEEP = MappingProxyType(
    {"table_height": 735, "top_diameter": 700, "post_section": 60, "splay": 12}
)
SPREAD = MappingProxyType(
    {"table_height": 740, "top_diameter": 700, "post_section": 64, "splay": 60}
)
SMALL = MappingProxyType(
    {
        "table_height": 200, "top_diameter": 240, "post_section": 16, "top_thickness": 8,
        "foot_flat": 6, "head_flat": 6, "pad_projection": 1,
    }
)  # fmt: skip
HUGE = MappingProxyType(
    {"table_height": 1200, "top_diameter": 2400, "post_section": 140, "top_thickness": 60,
     "foot_flat": 60, "head_flat": 60}
)  # fmt: skip
BARE_FEET = MappingProxyType({**TABLE, "pad_projection": 0, "plate_gap": 6})
LONG_NAME = "A table for the long room on the first floor, to stand in the bay by the window"


@cache
def designs() -> dict[str, Any]:
    """By a word for each: low and wide, tall, stool, steep, spread; mm and inches; small, huge."""
    return {
        "table": sheet("Reading-room table", **TABLE),
        "table in inches": sheet("Reading-room table", display="in", **TABLE),
        "low": sheet("Low and wide", **LOW),
        "low in inches, down": sheet("Low", "table", "notches down", "in", **LOW),
        "tall": sheet("Tall and narrow", **TALL),
        "tall in inches": sheet("Tall and narrow", display="in", **TALL),
        "stool": sheet("Stool", "stool", **STOOL),
        "stool in inches, down": sheet("Stool", "stool", "notches down", "in", **STOOL),
        "steep": sheet("Steep", **STEEP),
        "steep in inches": sheet("Steep", display="in", **STEEP),
        "feet beyond the top": sheet("Spread", **SPREAD),
        "small": sheet("Trial piece", **SMALL),
        "small in inches": sheet("Trial piece", display="in", **SMALL),
        "huge": sheet(LONG_NAME, **HUGE),
        "huge in inches": sheet(LONG_NAME, display="in", **HUGE),
        "no pads, a gap under the top": sheet("Bare feet", **BARE_FEET),
    }
