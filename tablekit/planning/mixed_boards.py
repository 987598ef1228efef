"""Movement of a top whose boards were sawn in different ways, or are of different woods."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from tablekit.engine.lambdas import compile_vector, prepare
from tablekit.engine.trouble import RangeError
from tablekit.relations import strips
from tablekit.wood_movement import CUTS, find_movement, nearest_movement

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


@dataclass(frozen=True)
class StripOfWood:
    """A strip across the top, on its middle line: width in mm, wood and how it was sawn."""

    width: float
    species: str
    cut: str = CUTS[0]


def movement_of_strips(across: Iterable[StripOfWood], sheet: Sheet) -> tuple[float, ...]:
    """Seasonal gain of each strip in width, mm, from the moistures of `sheet`; add them up.

    Raises RangeError for a wood without a published coefficient or an unknown cut.
    """
    dry, wet = (sheet.si[name] for name in ("driest_moisture", "dampest_moisture"))
    holds = sheet.si["season_holds"]
    formula = _gain()
    return tuple(formula(strip.width, _coefficient(strip), holds, dry, wet)[0] for strip in across)


def _coefficient(strip: StripOfWood) -> float:
    if strip.cut not in CUTS:
        raise RangeError(
            f'cut = "{strip.cut}" is not known. Write {" or ".join(CUTS)}.', name="cut"
        )
    movement = find_movement(strip.species)
    value = movement.coefficient(strip.cut) if movement else None
    if value is None:
        near = " or ".join(nearest_movement(strip.species)) or "one of reference/movement.csv"
        raise RangeError(
            f"no change coefficient is published for {strip.species!r}; did you mean {near}?",
            name="species",
        )
    return value


@cache
def _gain() -> Any:
    relation = strips.STRIP_MOVEMENT
    expression = prepare(relation.equation.rhs, {c.symbol: c.si for c in strips.CONSTANTS})
    return compile_vector([q.symbol for q in strips.GIVEN], [expression], arrays=False)
