"""The main sizes of a piece, those by which a maker tells one design from another: the card's."""

from __future__ import annotations

from tablekit.design import Design
from tablekit.engine.shop import quantity_text, shop_round
from tablekit.packet.card import MainSize, main_sizes
from tablekit.panels.row import NO_VALUE
from tablekit.panels.tables import rows_html

CAPTION = "Main sizes, beside those kept (drawn faint)"


def main_html(job: Design, kept: Design | None = None) -> str:
    """Those sizes as a small table, each from where to where; with `kept` those of that design
    too, and by how much this one differs."""
    sizes = main_sizes(job)
    if kept is None:
        return rows_html("Main sizes", [one.row for one in sizes])
    then = {one.row[0]: one for one in main_sizes(kept)}
    rows = [
        (one.row[0], one.whole or one.row[1], *_beside(job, one, kept, then.get(one.row[0])))
        for one in sizes
    ]
    return rows_html(CAPTION, rows, ("", "now", "kept", "difference"))


def _beside(job: Design, now: MainSize, kept: Design, then: MainSize | None) -> tuple[str, str]:
    """What the kept design has of a size, and by how much the present one is more or less: the
    difference of the sizes as they are shown, where each is one size."""
    if then is None:
        return NO_VALUE, NO_VALUE
    was = then.whole or then.row[1]
    if was == (now.whole or now.row[1]):
        return was, "same"
    name = now.quantity
    if not name:
        return was, NO_VALUE
    it, style = job.sheet[name].quantity, job.sheet.shop_style
    after, before = (shop_round(one.sheet.number(name), it.unit, style)[0] for one in (job, kept))
    sign = "+" if after > before else "−"
    return was, sign + quantity_text(abs(after - before), it, style)
