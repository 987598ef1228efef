"""Layouts whose joints mirror one another about the centre mark.

Strips then come in pairs, each pair ripped to the narrower of its two boards, about one strip or
one joint in the middle. Which boards make pairs is a question of its own, so this is put to the
integer solver of SciPy (HiGHS) instead of the search inwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tablekit.planning.board_bound import prices
from tablekit.planning.board_search import NOTHING, Found, promising
from tablekit.planning.board_steps import steps
from tablekit.planning.board_stock import GRAINS, POINTS, STRIP_COUNT, Ints, StripStock

Floats = NDArray[np.float64]

MOST_STRIPS = 54  # of all that could be used, at most this many are paired
SECONDS = 0.9  # for the solver
TOO_SMALL = 1e-6  # mm: what the solver's own tolerance may leave short


@dataclass(frozen=True, eq=False)
class _Choices:
    """What may be chosen: pairs, then single middles. All but `alike` have one entry for each.

    first, second   kinds of strips; second is -1 for a middle
    width           how much further out it reaches on either side, mm
    off             how near the centre it may come, mm
    cost            points
    alike           the strips of each kind, as indices into the stock
    """

    first: list[int]
    second: list[int]
    width: Floats
    off: Floats
    cost: Ints
    alike: list[list[int]]


def symmetrical(stock: StripStock, radius: int, clear: int, best: int = NOTHING) -> Found:
    """The cheapest layout with joints that mirror one another; see `search`.

    Of a large stock only the most promising strips are paired."""
    priced = prices(stock, radius)
    if priced is None or not (stock.off == 0).any():
        return Found(NOTHING, NOTHING, ())
    few, left_out = promising(stock, np.arange(len(stock)), priced, radius, MOST_STRIPS)
    found = _paired(stock.part(few), radius, clear)
    least = max(min(found.least, left_out), steps(stock, radius, priced).least)
    if found.cost >= best:
        return Found(NOTHING, least, ())
    return Found(found.cost, least, tuple(int(few[strip]) for strip in found.strips))


def _paired(stock: StripStock, radius: int, clear: int) -> Found:
    every = _choices(stock, clear)
    demands = np.append(np.unique(every.off[every.off > 0]), radius / GRAINS)
    reach = np.array([np.where(every.off < x, every.width, 0.0) for x in demands])
    need, least = demands, 0.0
    for _ in range(4):
        chosen, least = _solved(every, reach, need, clear)
        if chosen is None:
            return Found(NOTHING, least, ())
        short = demands - reach @ chosen
        if short.max() <= TOO_SMALL:
            strips = _in_order(every, chosen)
            cost = int(stock.cost[list(strips)].sum())
            return Found(cost, min(least, cost), strips)
        need = need + np.maximum(short, 0.0)  # what the solver's tolerance let through
    return Found(NOTHING, min(least, 0.0), ())


def _choices(stock: StripStock, clear: int) -> _Choices:
    kinds: dict[tuple[int, int, int], list[int]] = {}
    columns = (stock.width.tolist(), stock.off.tolist(), stock.cost.tolist())
    for strip, kind in enumerate(zip(*columns, strict=True)):
        kinds.setdefault(kind, []).append(strip)
    wide, off, cost = np.array(list(kinds), dtype=np.int64).reshape(-1, 3).T
    first, second = np.triu_indices(len(kinds))
    single = np.nonzero((off == 0) & (wide >= 2 * clear))[0]
    return _Choices(
        [*first.tolist(), *single.tolist()],
        [*second.tolist(), *([-1] * len(single))],
        np.append(np.minimum(wide[first], wide[second]), wide[single] / 2) / GRAINS,
        np.append(np.maximum(np.maximum(off[first], off[second]), clear), 0 * single) / GRAINS,
        np.append(cost[first] + cost[second], cost[single]),
        list(kinds.values()),
    )


def _solved(
    every: _Choices, reach: Floats, need: Floats, clear: int
) -> tuple[Floats | None, float]:
    """How many of each to choose, and what any choice costs at least, in points."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    taken = np.zeros((len(every.alike), len(every.first)))
    for column, pair in enumerate(zip(every.first, every.second, strict=True)):
        for kind in pair:
            if kind >= 0:
                taken[kind, column] += 1
    middles = np.array([[second < 0 for second in every.second]], dtype=float)
    # In square metres or thousands, so that the solver's tolerances mean little in them; a strip
    # counts a millionth.
    scale = POINTS * STRIP_COUNT * 1e6
    found = milp(
        every.cost // STRIP_COUNT * STRIP_COUNT / scale + 1e-6 * (every.cost % STRIP_COUNT),
        integrality=np.ones(len(every.first)),
        bounds=Bounds(0, np.inf),
        constraints=[
            LinearConstraint(reach, need, np.inf),
            LinearConstraint(taken, -np.inf, [len(strips) for strips in every.alike]),
            LinearConstraint(middles, 1 if clear else 0, 1),
        ],
        options={"time_limit": SECONDS, "mip_rel_gap": 0.0},
    )
    if found.x is None:  # 2: there is none; else it ran out of time
        return None, float(NOTHING) if found.status == 2 else 0.0
    chosen = np.round(found.x)
    if found.status == 0:
        return chosen, float(every.cost @ chosen)
    allowance = 1e-6 * sum(len(strips) for strips in every.alike)
    return chosen, max(0.0, (found.mip_dual_bound or 0.0) - allowance) * scale


def _in_order(every: _Choices, chosen: Floats) -> tuple[int, ...]:
    """From left to right: the longest in the middle, the two of a pair opposite one another."""
    waiting = [list(strips) for strips in every.alike]
    used = [int(k) for k in np.repeat(np.arange(len(chosen)), chosen.astype(int))]
    middle = [waiting[every.first[k]].pop() for k in used if every.second[k] < 0]
    pairs = sorted((k for k in used if every.second[k] >= 0), key=lambda k: float(every.off[k]))
    left = [waiting[every.first[k]].pop() for k in pairs]
    right = [waiting[every.second[k]].pop() for k in pairs]
    return (*reversed(left), *middle, *right)


def ripped(widths: Sequence[float]) -> list[float]:
    """Widths of a row's strips, from left to right, with those opposite one another made alike."""
    return [min(one, other) for one, other in zip(widths, reversed(widths), strict=True)]
