"""Pieces out of planks: which planks to take, and which pieces to saw from each. Proved.

cut_stock([PiecesAlike("layer", 1190, 70, 9)], [Plank("ash", 2400, 150)], saw_kerf=3, plank_ends=30)
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tablekit.engine.rearrange import solve_for
from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.relations import stock


@dataclass(frozen=True)
class Plank:
    """Planks alike: length and width in mm, how many there are (None: as many as wanted), and
    what one costs, if known."""

    name: str
    length: float
    width: float
    count: int | None = None
    price: float | None = None


MOST_FILLINGS = 20_000
_NEAR = 1e-9

# Each reads the same in any unit of length.
_piece_takes = solve_for(stock.PIECE_TAKES, stock.piece_takes, stock.part_length, stock.saw_kerf)
_lane_length = solve_for(
    stock.LANE_LENGTH, stock.lane_length, stock.plank_length, stock.plank_ends, stock.saw_kerf
)
_widths_by_plank = solve_for(
    stock.WIDTHS_BY_PLANK,
    stock.widths_by_plank,
    stock.plank_width,
    stock.saw_kerf,
    stock.part_width,
)
_whole_lanes = solve_for(stock.LANES, stock.lanes, stock.widths_by_plank)


@dataclass(frozen=True)
class PiecesAlike:
    """Pieces alike: what they are called, length along the grain and width, mm, and how many."""

    name: str
    length: float
    width: float
    count: int


@dataclass(frozen=True)
class Lane:
    """Pieces end to end along one strip of a plank.

    number  which of the planks of that name, from 1
    spare   what is left over, mm
    width   of the strip, mm: as wide as its widest piece
    """

    plank: str
    number: int
    pieces: tuple[str, ...]
    spare: float
    width: float


@dataclass(frozen=True)
class StockCut:
    """How the pieces are got out.

    lanes    every strip of every plank that is used, those of one plank together
    planks   how many of each plank are taken
    length   of all the planks together, mm
    price    of them; None where one has none
    least    what was made least: "lower price" where every plank has one, else "shorter planks"
    proved   whether nothing less would do
    """

    lanes: tuple[Lane, ...]
    planks: Mapping[str, int]
    length: float
    price: float | None
    least: Literal["lower price", "shorter planks"]
    proved: bool


class StockFallsShort(DesignError):
    """The planks do not hold the pieces."""

    exit_code = 3


def cut_stock(
    pieces: Sequence[PiecesAlike],
    planks: Sequence[Plank],
    *,
    saw_kerf: float,
    plank_ends: float,
    style: ShopStyle | None = None,
) -> StockCut:
    """The cheapest planks that yield every piece; where one has no price, the shortest in all.

    Planks are ripped into strips as wide as pieces are, and pieces sawn off them end to end; one
    that is narrower may lie in a wider strip. saw_kerf and plank_ends (off both ends together) in
    mm. Raises StockFallsShort, saying what is missing in the units of `style`, and DesignError for
    more ways to fill a plank than can be listed.
    """
    style = style or ShopStyle()
    wanted = [piece for piece in pieces if piece.count > 0]
    if not wanted:
        return StockCut((), {}, 0.0, 0.0, "shorter planks", True)
    widths = sorted({piece.width for piece in wanted}, reverse=True)
    takes = [_piece_takes(piece.length, saw_kerf) for piece in wanted]
    kinds = [
        _Kind(
            number,
            plank,
            ripped,
            _lane_length(plank.length, plank_ends, saw_kerf),
        )
        for number, plank in enumerate(planks)
        for ripped in _ripped(plank.width, widths, saw_kerf)
    ]
    _refuse_too_long(wanted, takes, kinds, planks, saw_kerf, style)
    columns = _columns(wanted, takes, kinds, widths)
    chosen = _least(wanted, kinds, columns, len(widths), style)
    return _told(wanted, takes, kinds, columns, widths, chosen)


@dataclass(frozen=True)
class _Kind:
    """Planks alike and ripped alike: which of those that there are, how many strips of each width,
    from the widest, and how long a strip is, mm."""

    number: int
    plank: Plank
    ripped: tuple[int, ...]
    length: float


# The planks, which of the widths, and how many of each piece: one strip.
_Column = tuple[int, int, tuple[int, ...]]


def _columns(
    wanted: Sequence[PiecesAlike],
    takes: Sequence[float],
    kinds: Sequence[_Kind],
    widths: Sequence[float],
) -> list[_Column]:
    """Every way to fill a strip of each width that the planks give."""
    return [
        (number, k, filling)
        for number, length in {kind.number: kind.length for kind in kinds}.items()
        for k, width in enumerate(widths)
        if any(kind.ripped[k] for kind in kinds if kind.number == number)
        for filling in _fillings(
            tuple(takes), tuple(p.count if p.width <= width else 0 for p in wanted), length
        )
    ]


def _ripped(room: float, widths: Sequence[float], saw_kerf: float) -> list[tuple[int, ...]]:
    """Every way to rip a plank so wide, mm, in which no strip more of the last width would fit;
    none where nothing fits."""
    most = int(_whole_lanes(_widths_by_plank(room, saw_kerf, widths[0]))) if room > 0 else 0
    if len(widths) == 1:
        return [(most,)] if most else []
    found = []
    for count in range(most, -1, -1):
        left = room - count * _piece_takes(widths[0], saw_kerf)
        rest = _ripped(left, widths[1:], saw_kerf)
        if not rest and count:
            rest = [(0,) * (len(widths) - 1)]
        found += [(count, *one) for one in rest]
    return found


def _refuse_too_long(
    wanted: Sequence[PiecesAlike],
    takes: Sequence[float],
    kinds: Sequence[_Kind],
    planks: Sequence[Plank],
    saw_kerf: float,
    style: ShopStyle,
) -> None:
    def length(number: float) -> str:
        return shop_text(number, "mm", style)

    width = max(piece.width for piece in wanted)
    # The widest pieces want the widest strips, of which a plank has at least one or none.
    if not any(kind.ripped[0] for kind in kinds):
        widest = max((plank.width for plank in planks), default=0.0)
        raise StockFallsShort(
            f"no plank is wide enough: the parts need {length(width)} and the widest has "
            f"{length(widest)}"
        )
    for piece, take in zip(wanted, takes, strict=True):
        longest = max(kind.length for kind in kinds if kind.plank.width >= piece.width)
        if take > longest + _NEAR:
            raise StockFallsShort(
                f"no plank is long enough for a {piece.name} of {length(piece.length)}: the "
                f"longest that is wide enough has {length(longest - saw_kerf)} between its squared "
                "ends"
            )


def _fillings(
    takes: tuple[float, ...], most: tuple[int, ...], length: float
) -> list[tuple[int, ...]]:
    """Every way to fill one strip that has no room for one piece more, as counts of the pieces."""
    found: list[tuple[int, ...]] = []
    for filling in _fill(takes, most, length):
        found.append(filling)
        if len(found) > MOST_FILLINGS:
            raise DesignError(
                f"there are more than {MOST_FILLINGS} ways to fill one plank: plan fewer kinds of "
                "pieces at once, or use shorter planks"
            )
    return found


def _fill(
    takes: tuple[float, ...], most: tuple[int, ...], left: float
) -> Iterator[tuple[int, ...]]:
    first = min(most[0], int((left + _NEAR) // takes[0]))
    if len(takes) == 1:
        yield (first,)
        return
    for count in range(first, -1, -1):
        for rest in _fill(takes[1:], most[1:], left - count * takes[0]):
            yield (count, *rest)


def _least(
    wanted: Sequence[PiecesAlike],
    kinds: Sequence[_Kind],
    columns: Sequence[_Column],
    widths: int,
    style: ShopStyle,
) -> list[int]:
    """How many planks of each kind, and strips of each filling, for least cost."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    many = len(kinds)
    priced = all(kind.plank.price is not None for kind in kinds)
    cost = np.zeros(many + len(columns))
    cost[:many] = [kind.plank.price if priced else kind.plank.length for kind in kinds]
    # Among equals the fewest strips; too little to buy a plank more.
    step = min((c for c in cost[:many] if c > 0), default=1.0)
    cost[many:] = 1e-6 * step
    made = np.array([filling for *_, filling in columns]).T
    demand = LinearConstraint(
        np.hstack([np.zeros((len(wanted), many)), made]), [p.count for p in wanted], np.inf
    )
    within, rack, most = _of_the_planks(kinds, columns, widths)
    found = milp(
        cost,
        constraints=[
            demand, LinearConstraint(within, 0, np.inf), LinearConstraint(rack, 0, most),
        ],
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, np.inf),
        options={"mip_rel_gap": 0.0},
    )  # fmt: skip
    if found.status not in (0, 2):  # neither settled nor shown to be impossible
        raise DesignError("no cutting plan was found in time: plan fewer kinds of pieces at once")
    if found.x is None:
        raise StockFallsShort(_short_by(wanted, kinds, style))
    return [round(x) for x in found.x]


def _of_the_planks(
    kinds: Sequence[_Kind], columns: Sequence[_Column], widths: int
) -> tuple[np.ndarray, np.ndarray, list[float]]:
    """For planks of one name: strips of a width less those that are filled, a row for each width;
    how many are taken of them; and how many there are."""
    names = list(dict.fromkeys(kind.number for kind in kinds))
    size = len(kinds) + len(columns)
    within, rack = np.zeros((len(names) * widths, size)), np.zeros((len(names), size))
    most = [np.inf] * len(names)
    for k, kind in enumerate(kinds):
        row = names.index(kind.number)
        within[row * widths : (row + 1) * widths, k] = kind.ripped
        rack[row, k] = 1.0
        most[row] = np.inf if kind.plank.count is None else kind.plank.count
    for column, (number, width, _) in enumerate(columns, start=len(kinds)):
        within[names.index(number) * widths + width, column] = -1.0
    return within, rack, most


def _short_by(wanted: Sequence[PiecesAlike], kinds: Sequence[_Kind], style: ShopStyle) -> str:
    asked = ", ".join(
        f"{piece.count} × {piece.name} of {shop_text(piece.length, 'mm', style)}"
        for piece in wanted
    )
    least = min(piece.width for piece in wanted)
    rest = "Add a plank, or use a longer one"
    if least < max(piece.width for piece in wanted):
        return f"the planks do not yield {asked}. {rest}"
    strips = sum(kind.ripped[0] * (kind.plank.count or 0) for kind in kinds)
    many = "1 strip" if strips == 1 else f"{strips} strips"
    return f"the planks do not yield {asked}: they give {many} of that width. {rest}"


def _told(
    wanted: Sequence[PiecesAlike], takes: Sequence[float], kinds: Sequence[_Kind],
    columns: Sequence[_Column], widths: Sequence[float], chosen: Sequence[int],
) -> StockCut:  # fmt: skip
    left = Counter({n: piece.count for n, piece in enumerate(wanted)})
    taken_up = [(kind, n) for kind, n in zip(kinds, chosen, strict=False) if n]
    begun = _Begun([kind for kind, n in taken_up for _ in range(n)])
    lanes: list[Lane] = []
    for (number, width, filling), times in zip(columns, chosen[len(kinds) :], strict=True):
        for _ in range(times):
            # A filling may hold more than is still wanted.
            taken = [min(count, left[n]) for n, count in enumerate(filling)]
            if not any(taken):
                continue
            left.subtract(dict(enumerate(taken)))
            used = math.fsum(takes[n] * count for n, count in enumerate(taken))
            names = [wanted[n].name for n, count in enumerate(taken) for _ in range(count)]
            kind, which = begun.strip(number, width)
            spare = kind.length - used
            lanes.append(Lane(kind.plank.name, which, tuple(names), spare, widths[width]))
    price: float | None = 0.0
    planks = Counter[str]()
    for kind, n in taken_up:
        cost = kind.plank.price
        price = None if price is None or cost is None else price + n * cost
        planks[kind.plank.name] += n
    priced = all(kind.plank.price is not None for kind in kinds)
    return StockCut(
        tuple(lanes), dict(planks), sum(n * kind.plank.length for kind, n in taken_up), price,
        "lower price" if priced else "shorter planks", proved=True,
    )  # fmt: skip


class _Begun:
    """Which strips of the planks that are taken are still whole."""

    def __init__(self, planks: Sequence[_Kind]):
        counts = Counter[str]()
        self._left: list[tuple[_Kind, int, list[int]]] = []
        for kind in planks:
            counts[kind.plank.name] += 1
            self._left.append((kind, counts[kind.plank.name], list(kind.ripped)))

    def strip(self, number: int, width: int) -> tuple[_Kind, int]:
        """Take a strip of a width from the first plank of that number that has one."""
        for kind, which, left in self._left:
            if kind.number == number and left[width]:
                left[width] -= 1
                return kind, which
        raise AssertionError("a strip more than the planks have")
