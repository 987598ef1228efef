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
    """

    plank: str
    number: int
    pieces: tuple[str, ...]
    spare: float


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

    Pieces lie along the planks, in strips of their width, which is one for all. saw_kerf and
    plank_ends (off both ends together) in mm. Raises StockFallsShort, saying what is missing in
    the units of `style`, and
    DesignError for pieces of several widths or more ways to fill a plank than can be listed.
    """
    style = style or ShopStyle()
    wanted = [piece for piece in pieces if piece.count > 0]
    if not wanted:
        return StockCut((), {}, 0.0, 0.0, "shorter planks", True)
    if len({piece.width for piece in wanted}) > 1:
        raise DesignError("plan pieces of one width at a time")
    width = max(piece.width for piece in wanted)
    takes = [_piece_takes(piece.length, saw_kerf) for piece in wanted]
    kinds = [
        _Kind(
            plank,
            _lanes(plank, width, saw_kerf),
            _lane_length(plank.length, plank_ends, saw_kerf),
        )
        for plank in planks
    ]
    _refuse_too_long(wanted, takes, kinds, saw_kerf, style)
    columns = [
        (k, filling)
        for k, kind in enumerate(kinds)
        if kind.lanes
        for filling in _fillings(tuple(takes), tuple(p.count for p in wanted), kind.length)
    ]
    chosen = _least(wanted, kinds, columns, style)
    return _told(wanted, takes, kinds, columns, chosen)


@dataclass(frozen=True)
class _Kind:
    plank: Plank
    lanes: int
    length: float


def _lanes(plank: Plank, width: float, saw_kerf: float) -> int:
    return int(_whole_lanes(_widths_by_plank(plank.width, saw_kerf, width)))


def _refuse_too_long(
    wanted: Sequence[PiecesAlike],
    takes: Sequence[float],
    kinds: Sequence[_Kind],
    saw_kerf: float,
    style: ShopStyle,
) -> None:
    def length(number: float) -> str:
        return shop_text(number, "mm", style)

    usable = [kind for kind in kinds if kind.lanes]
    if not usable:
        width = max(piece.width for piece in wanted)
        widest = max((kind.plank.width for kind in kinds), default=0.0)
        raise StockFallsShort(
            f"no plank is wide enough: the parts need {length(width)} and the widest has "
            f"{length(widest)}"
        )
    longest = max(kind.length for kind in usable)
    for piece, take in zip(wanted, takes, strict=True):
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
    columns: Sequence[tuple[int, tuple[int, ...]]],
    style: ShopStyle,
) -> list[int]:
    """How many strips of each filling, and the planks counted whole, for least cost."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    many, fills = len(kinds), len(columns)
    priced = all(kind.plank.price is not None for kind in kinds)
    cost = np.zeros(many + fills)
    cost[:many] = [kind.plank.price if priced else kind.plank.length for kind in kinds]
    # Among equals the fewest strips; too little to buy a plank more.
    step = min((c for c in cost[:many] if c > 0), default=1.0)
    cost[many:] = 1e-6 * step
    made = np.array([filling for _, filling in columns]).T
    demand = LinearConstraint(
        np.hstack([np.zeros((len(wanted), many)), made]), [p.count for p in wanted], np.inf
    )
    within = np.zeros((many, many + fills))
    for k, kind in enumerate(kinds):
        within[k, k] = kind.lanes
    for column, (k, _) in enumerate(columns):
        within[k, many + column] = -1
    most = [np.inf if kind.plank.count is None else kind.plank.count for kind in kinds]
    found = milp(
        cost,
        constraints=[demand, LinearConstraint(within, 0, np.inf)],
        integrality=np.ones(many + fills),
        bounds=Bounds(0, np.array([*most, *[np.inf] * fills])),
        options={"mip_rel_gap": 0.0},
    )
    if found.status not in (0, 2):  # neither settled nor shown to be impossible
        raise DesignError("no cutting plan was found in time: plan fewer kinds of pieces at once")
    if found.x is None:
        raise StockFallsShort(_short_by(wanted, kinds, style))
    return [round(x) for x in found.x]


def _short_by(wanted: Sequence[PiecesAlike], kinds: Sequence[_Kind], style: ShopStyle) -> str:
    asked = ", ".join(
        f"{piece.count} × {piece.name} of {shop_text(piece.length, 'mm', style)}"
        for piece in wanted
    )
    strips = sum(kind.lanes * (kind.plank.count or 0) for kind in kinds)
    many = "1 strip" if strips == 1 else f"{strips} strips"
    return (
        f"the planks do not yield {asked}: they give {many} of that width. Add a plank, or use a "
        "longer one"
    )


def _told(
    wanted: Sequence[PiecesAlike], takes: Sequence[float], kinds: Sequence[_Kind],
    columns: Sequence[tuple[int, tuple[int, ...]]], chosen: Sequence[int],
) -> StockCut:  # fmt: skip
    left = Counter({n: piece.count for n, piece in enumerate(wanted)})
    begun = Counter[int]()
    lanes: list[Lane] = []
    for (k, filling), times in zip(columns, chosen[len(kinds) :], strict=True):
        for _ in range(times):
            # A filling may hold more than is still wanted.
            taken = [min(count, left[n]) for n, count in enumerate(filling)]
            if not any(taken):
                continue
            left.subtract(dict(enumerate(taken)))
            used = math.fsum(takes[n] * count for n, count in enumerate(taken))
            names = [wanted[n].name for n, count in enumerate(taken) for _ in range(count)]
            number = begun[k] // kinds[k].lanes + 1
            begun[k] += 1
            name = kinds[k].plank.name
            lanes.append(Lane(name, number, tuple(names), kinds[k].length - used))
    used_up = [(kind.plank, n) for kind, n in zip(kinds, chosen, strict=False) if n]
    price: float | None = 0.0
    for plank, n in used_up:
        price = None if price is None or plank.price is None else price + n * plank.price
    planks = Counter[str]()
    for plank, n in used_up:
        planks[plank.name] += n
    priced = all(kind.plank.price is not None for kind in kinds)
    return StockCut(
        tuple(lanes), dict(planks), sum(n * plank.length for plank, n in used_up), price,
        "lower price" if priced else "shorter planks", proved=True,
    )  # fmt: skip
