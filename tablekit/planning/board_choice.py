"""The best row of a rack for one task: a quick search first, then one that proves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tablekit.planning.board_cost import Ahead, Costs, RowTask
from tablekit.planning.board_row import RowPlaces
from tablekit.planning.board_search import MOST_PLACED, NOTHING, STEP, Found, RowSearch
from tablekit.planning.board_wood import ClearWood

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
    places, ahead = RowPlaces(costs), Ahead(costs, task.diameter * STEP if proving else 0.0)
    quick = RowSearch(costs, ahead, places, False, most, effort=effort).run(best)
    if not proving or not len(wood):
        return quick
    reach = min(best, quick.cost)
    eased = Costs(wood.part(np.nonzero(ahead.through() < reach)[0]), task)
    search = RowSearch(eased, ahead, places, True, most, effort=effort)
    found = search.run(reach)
    reached = max(quick.reach, found.reach)
    if found.cost < quick.cost:
        return replace(found, least=min(found.least, found.cost), reach=reached)
    return replace(quick, least=min(found.least, reach), reach=reached)


def reach(wood: ClearWood, task: RowTask) -> float:
    """How wide a row the wood makes at most, so far as is found, mm."""
    costs = Costs(wood, task)
    return RowSearch(costs, None, RowPlaces(costs), eased=False, most=0).run().reach


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
        if Ahead(costs, task.diameter * STEP).value[0] >= best.cost:
            continue
        found = cheapest(wood, one, best.cost, effort=effort)
        least = min(least, found.least)
        best, of = (found, one) if found.cost < best.cost else (best, of)
    if least == 0.0:  # strips as wide as they go cost no more
        least = float(Ahead(Costs(wood, task), task.diameter * STEP).value[0])
    return replace(best, least=min(least, best.cost)), of
