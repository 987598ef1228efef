"""The main sizes of a piece: those by which a maker tells one design from another."""

from __future__ import annotations

from tablekit.engine.sheet import Sheet
from tablekit.engine.wording import words
from tablekit.panels.tables import rows_html
from tablekit.relations.bases import base_of

POSTS = ("post_length", "notch_position", "notch_depth", "splay", "foot_spread")
LEGS = ("leg_length", "socket_radius", "drill_angle", "leg_resultant", "foot_spread")


def main_sizes(sheet: Sheet) -> tuple[str, ...]:
    """The names of five sizes: three that are cut to, the lean and where the feet stand."""
    return POSTS if base_of(sheet).crossed else LEGS


def main_html(sheet: Sheet) -> str:
    """Those sizes as a small table."""
    return rows_html("Main sizes", [(words(name), sheet.shop(name)) for name in main_sizes(sheet)])
