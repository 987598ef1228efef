"""The best row of a rack for one task: a quick search first, then one that proves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tablekit.planning.board_ahead import Ahead, Rule, raised
from tablekit.planning.board_cost import Costs, RowTask
from tablekit.planning.board_prices import plain
from tablekit.planning.board_row import RowPlaces
from tablekit.planning.board_search import (
    MOST_PLACED,
    NEAR_ENOUGH,
    NOTHING,
    STEP,
    Found,
    RowSearch,
)
from tablekit.planning.board_wood import ClearWood

# half-done rows kept in one search after another; in the last as many as there is room for
KEPT = (200, 1600, None)
FAR = 0.01  # share by which the bound so far must fall short for better prices to be worth the time
MOST_WIDTHS = 24  # common widths tried where all strips are ripped alike


def cheapest(
    wood: ClearWood, task: RowTask, best: float = NOTHING, proving: bool = True, effort: float = 1.0
) -> Found:
    """The cheapest row below `best`; its columns are those of `wood`.

    proving  whether to look on until it is proved, so far as that is to be had
    effort   share of the rows that are looked at for it
    """
    costs = Costs(wood, task)
    most = max(20, round(effort * MOST_PLACED))
    places, rule = RowPlaces(costs), Rule(costs, task.diameter * STEP if proving else 0.0)
    ahead = [Ahead(rule, plain(costs))]
    found = RowSearch(costs, ahead, places, False, most, effort=effort).run(best)
    if not proving or not len(wood):
        return found
    least, most_cost, widest = 0.0, min(best, found.cost), found.reach
    for kept in KEPT:
        if kept is None and least < most_cost * (1 - FAR):
            ahead.append(raised(rule, most_cost))
        through = np.max([one.through() for one in ahead], axis=0)
        some = Costs(wood.part(np.nonzero(through < most_cost)[0]), task)
        tried = RowSearch(some, ahead, places, True, most, effort, kept).run(most_cost)
        least, widest = max(least, tried.least), max(widest, tried.reach)
        if tried.cost < most_cost:
            found, most_cost = tried, tried.cost
        if least >= most_cost * (1 - NEAR_ENOUGH):
            break
    return replace(found, least=min(least, most_cost), reach=widest)


def reach(wood: ClearWood, task: RowTask) -> float:
    """How wide a row the wood makes at most, so far as is found, mm."""
    costs = Costs(wood, task)
    return RowSearch(costs, [], RowPlaces(costs), eased=False, most=0).run().reach


def cheapest_alike(
    wood: ClearWood,
    task: RowTask,
    proving: bool = True,
    effort: float = 1.0,
    likely: float | None = None,
) -> tuple[Found, RowTask]:
    """The cheapest row of strips of one width, and the task with that width; without `proving` the
    first that is found, the `likely` width tried before the others.

    Of a row of strips alike, the width may be taken as that of the narrowest board in it.
    """
    widths = np.unique(wood.wide[wood.wide >= max(task.narrowest, 1.0)])[::-1]
    tried = widths[:: -(-len(widths) // MOST_WIDTHS)] if len(widths) else widths
    tasks = [replace(task, alike=float(width)) for width in tried]
    best, of = Found(NOTHING, NOTHING, ()), task
    for one in tasks if proving else sorted(tasks, key=lambda one: one.alike != likely):
        found = cheapest(wood, one, best.cost, proving=False)
        best, of = (found, one) if found.cost < best.cost else (best, of)
        if found.columns and not proving:
            break
    if not proving:
        return best, of
    least = NOTHING if len(tried) == len(widths) and not wood.tapers else 0.0
    for one in tasks:
        costs = Costs(wood, one)
        if _least(costs) >= best.cost:
            continue
        found = cheapest(wood, one, best.cost, effort=effort)
        least = min(least, found.least)
        best, of = (found, one) if found.cost < best.cost else (best, of)
    if least == 0.0:  # strips as wide as they go cost no more
        least = _least(Costs(wood, task))
    return replace(best, least=min(least, best.cost)), of


def _least(costs: Costs) -> float:
    """What any row costs at least."""
    return Ahead(Rule(costs, costs.task.diameter * STEP), plain(costs)).least
