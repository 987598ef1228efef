"""Movement of a laid-out top, board by board, where boards differ in wood or in their cut."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tablekit.engine.network import check_numbers
from tablekit.engine.rearrange import solve_for
from tablekit.engine.sheet import tidy
from tablekit.relations import movement

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet
    from tablekit.planning.board_layout import BoardLayout


_gain = solve_for(
    movement.STRIP_MOVEMENT,
    movement.strip_movement,
    *movement.STRIP_GIVEN,
    constants=movement.STRIP_CONSTANTS,
)


@dataclass(frozen=True)
class StripOfWood:
    """A strip across the top, on its middle line: width in mm, and the change of its width for
    1 % of moisture as a share of it (`tablekit/species.py` has the published ones)."""

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


@dataclass(frozen=True)
class MovingStrip:
    """A strip as far as it lies in the finished top: its board, its width there in mm, the change
    for 1 % of moisture as a share, and its seasonal gain in width, mm."""

    board: str
    width: float
    coefficient: float
    gain: float


@dataclass(frozen=True)
class BoardMovement:
    """The strips from left to right; `together` and `alone` are the whole top's seasonal
    movement, mm, board by board and with one coefficient for all."""

    strips: tuple[MovingStrip, ...]
    together: float
    alone: float

    @property
    def more(self) -> float:
        """By how much the boards move more than one coefficient makes them, mm; less is
        negative."""
        return self.together - self.alone

    def to_json(self) -> dict[str, Any]:
        """Plain data, lengths in mm."""
        return {
            "strips": [
                {
                    "board": strip.board,
                    "width": tidy(strip.width),
                    "movement_coefficient": tidy(strip.coefficient),
                    "movement": tidy(strip.gain),
                }
                for strip in self.strips
            ],
            "movement": tidy(self.together),
            "top_movement": tidy(self.together),
            "with_one_coefficient": tidy(self.alone),
            "difference": tidy(self.more),
        }


def _wood_between(layout: BoardLayout, low: float, high: float) -> Iterator[tuple[str, float]]:
    """Each board with the width of its strip that lies between two places across the grain."""
    for strip in layout.strips:
        width = min(strip.right, high) - max(strip.left, low)
        if width > 0:
            yield strip.board, width


def top_factor(layout: BoardLayout, coefficients: Mapping[str, float], sheet: Sheet) -> float:
    """How many times as far as with the sheet's one coefficient the whole top moves.

    Arguments and errors as `board_movement`.
    """
    moves = board_movement(layout, coefficients, sheet)
    return moves.together / moves.alone if moves.alone else 1.0


def plate_factor(layout: BoardLayout, coefficients: Mapping[str, float], sheet: Sheet) -> float:
    """How many times as far as with the sheet's one coefficient the wood between the middle and the
    farthest plate moves: of the two sides the larger, since the base may be turned either way.

    Arguments and errors as `board_movement`.
    """
    reach, own = sheet.number("plate_across"), sheet.number("movement_coefficient")
    alone = movement_of_strips([StripOfWood(reach, own)], sheet)[0]
    sides = []
    for side in (1, -1):
        low, high = sorted((0.0, side * reach))
        between = [
            StripOfWood(width, coefficients.get(board, own))
            for board, width in _wood_between(layout, low, high)
        ]
        sides.append(sum(movement_of_strips(between, sheet)))
    return max(sides) / alone if alone else 1.0


def board_movement(
    layout: BoardLayout, coefficients: Mapping[str, float], sheet: Sheet
) -> BoardMovement:
    """How far the top moves across its middle, strip by strip.

    coefficients  of each board by its name; the sheet's own where a board has none here
    Raises RangeError for a coefficient that no wood has.
    """
    rim, own = sheet.number("top_diameter") / 2, sheet.number("movement_coefficient")
    # What lies outside the rim is cut away with the corners.
    across = [
        (board, width, coefficients.get(board, own))
        for board, width in _wood_between(layout, -rim, rim)
    ]
    gains = movement_of_strips([StripOfWood(width, change) for _, width, change in across], sheet)
    strips = tuple(MovingStrip(*one, gain) for one, gain in zip(across, gains, strict=True))
    alone = movement_of_strips([StripOfWood(2 * rim, own)], sheet)[0]
    return BoardMovement(strips, sum(gains), alone)
