"""What pieces that were measured say of a shop's own cutting, and what of it a piece needs.

own = own_spreads(sheet, [("post_length", 1146.5, 1146.9), …])
tolerances_of(sheet, "table_height", own)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.as_cut import as_cut
from tablekit.engine.tolerance import OwnSpread, Tolerance
from tablekit.planning.formulas import found
from tablekit.relations import post_ends
from tablekit.relations.levelling import tolerances

if TYPE_CHECKING:
    from tablekit.engine.relation import Relation
    from tablekit.engine.sheet import Sheet

# A flat is measured by the circle on it and cut to a depth; its tolerance is one of the depth.
FLATS = {"foot_flat": "foot_flat_depth", "head_flat": "head_flat_depth"}


def own_spreads(sheet: Sheet, measured: Iterable[tuple[str, float, float]]) -> dict[str, OwnSpread]:
    """The errors of what was measured, by the name of the size.

    measured  name, as drawn and as measured in reporting units, one of each size of a piece
    """
    errors: dict[str, list[float]] = {}
    for name, drawn, size in measured:
        errors.setdefault(_cut_as(sheet, name), []).append(
            _as_cut(sheet, name, size) - _as_cut(sheet, name, drawn)
        )
    return {name: OwnSpread(name, tuple(those)) for name, those in errors.items()}


def _cut_as(sheet: Sheet, name: str) -> str:
    return FLATS.get(name, name) if sheet.get("flat_ratio") is not None else name


def _as_cut(sheet: Sheet, name: str, size: float) -> float:
    """A size as it is cut: of the circle on a flat the depth of the cut, at the lean of the
    sheet."""
    depth = _cut_as(sheet, name)
    if depth == name:
        return size
    ratio = sheet.number("flat_ratio")
    return found(_flat_relation(name), depth, **{name: size, "flat_ratio": ratio})


@cache
def _flat_relation(flat: str) -> Relation:
    return next(
        one for one in post_ends.flat_relations() if {flat, FLATS[flat]} <= set(one.symbols)
    )


def tolerances_of(sheet: Sheet, name: str, own: Mapping[str, OwnSpread]) -> tuple[Tolerance, ...]:
    """The tolerances of the cuts that `name` may stray with: as measured in the shop where that
    tells enough, else as they are assumed."""
    # A cut that the others settle, as the depth of two notches, strays with them alone.
    # Nor has a lean that can be no other one a tolerance.
    fixed = {a.quantity.name for a in sheet.network.assumptions if a.quantity and a.only}
    every = tolerances(set(sheet.values) - fixed)
    settled = as_cut(sheet, [t.name for t in every], [name]).numbers
    return tuple(
        own[t.name].tolerance() if t.name in own and own[t.name].serves else t
        for t in every
        if t.name in settled
    )
