"""Movement of a top whose boards were sawn in different ways, or are of different woods."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.engine.network import check_numbers
from tablekit.engine.rearrange import solve_for
from tablekit.relations import movement

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

_gain = solve_for(
    movement.STRIP_MOVEMENT,
    movement.strip_movement,
    *movement.STRIP_GIVEN,
    constants=movement.STRIP_CONSTANTS,
)


@dataclass(frozen=True)
class StripOfWood:
    """A strip across the top, on its middle line: width in mm, and the change of its width for
    1 % of moisture as a share of it (`tablekit/wood_movement.py` has the published ones)."""

    width: float
    coefficient: float


def movement_of_strips(across: Iterable[StripOfWood], sheet: Sheet) -> tuple[float, ...]:
    """Seasonal gain of each strip in width, mm, from the moistures of `sheet`; add them up.

    Raises RangeError for a coefficient that no wood has.
    """
    dry, wet = (sheet.si[name] for name in ("driest_moisture", "dampest_moisture"))
    holds = sheet.si["season_holds"]
    found = []
    for strip in across:
        check_numbers(sheet.network, {"movement_coefficient": strip.coefficient})
        found.append(_gain(strip.width, strip.coefficient, holds, dry, wet))
    return tuple(found)
