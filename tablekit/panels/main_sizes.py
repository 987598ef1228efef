"""The main sizes of a piece: those by which a maker tells one design from another."""

from __future__ import annotations

from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import quantity_text, shop_round
from tablekit.engine.wording import words
from tablekit.panels.row import NO_VALUE
from tablekit.panels.tables import rows_html
from tablekit.relations.bases import base_of

POSTS = ("post_length", "notch_position", "notch_depth", "splay", "foot_spread")
LEGS = ("leg_length", "socket_radius", "drill_angle", "leg_resultant", "foot_spread")
CAPTION = "Main sizes, beside those kept (drawn faint)"
SAME = 1e-6  # of sizes rounded to the rule


def main_sizes(sheet: Sheet) -> tuple[str, ...]:
    """The names of five sizes: three that are cut to, the lean and where the feet stand."""
    return POSTS if base_of(sheet).crossed else LEGS


def main_html(sheet: Sheet, kept: Sheet | None = None) -> str:
    """Those sizes as a small table; with `kept` those of that design too, and by how much this one
    differs."""
    names = main_sizes(sheet)
    if kept is None:
        return rows_html("Main sizes", [(words(name), sheet.shop(name)) for name in names])
    rows = [(words(name), sheet.shop(name), *_beside(sheet, kept, name)) for name in names]
    return rows_html(CAPTION, rows, ("", "now", "kept", "difference"))


def _beside(sheet: Sheet, kept: Sheet, name: str) -> tuple[str, str]:
    """What the kept design has of it, in the unit of the sheet, and by how much that is more or
    less: the difference of the sizes as they are shown."""
    it, style, then = sheet[name].quantity, sheet.shop_style, kept.get(name)
    if then is None:
        return NO_VALUE, NO_VALUE
    now, was = (shop_round(number, it.unit, style)[0] for number in (sheet.number(name), then))
    more = now - was
    if abs(more) < SAME:
        return quantity_text(then, it, style), "same"
    sign = "+" if more > 0 else "−"
    return quantity_text(then, it, style), sign + quantity_text(abs(more), it, style)
