"""A CSV file to fill in with what the pieces of a design measure once they are cut."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import TYPE_CHECKING

from tablekit.brief.measured import COLUMNS, UNIT, measurable
from tablekit.engine.shop import shop_text
from tablekit.planning.own_spread import FLATS
from tablekit.relations.bases import base_of

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.sheet import Sheet


def to_measure_csv(design: Design) -> str:
    """A row for each size of each piece, as drawn, with room for what it measures."""
    written = io.StringIO()
    rows = csv.writer(written, lineterminator="\n")
    rows.writerow((*COLUMNS, UNIT))
    for piece, name in _pieces(design):
        drawn = shop_text(design.sheet.number(name), "mm", design.sheet.shop_style)
        number, _, unit = drawn.rpartition(" ")
        rows.writerow((piece, name, number, "", unit))
    return written.getvalue()


def _pieces(design: Design) -> Iterator[tuple[str, str]]:
    """Each piece with each size that is measured of it; the tops last."""
    brief, base = design.brief, base_of(design.sheet)
    whole = [""] if brief.count == 1 else [f" of {k}" for k in range(1, brief.count + 1)]
    names = list(_names(design.sheet))
    for which in whole:
        for number in range(1, base.count + 1):
            for name in names:
                if not name.startswith("top_"):
                    yield f"{base.part} {number}{which} {brief.name}".strip(), name
    for which in whole:
        for name in names:
            if name.startswith("top_"):
                yield f"top{which} {brief.name}".strip(), name


def _names(sheet: Sheet) -> Iterator[str]:
    for name, quantity in measurable().items():
        size = sheet.get(name)
        if size is None or quantity.unit != "mm" or name in FLATS.values():
            continue
        if name != "post_width" or size != sheet.get("post_section"):  # planed to one setting
            yield name
