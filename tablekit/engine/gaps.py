"""Too little given: what is still free, and which further values would settle it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations, islice

import numpy as np

from tablekit.engine.declarations import Declarations
from tablekit.engine.plan import assign_roles, usual_first
from tablekit.engine.search import Design, Rank, Search
from tablekit.engine.trouble import NotEnoughGiven

_MOST_SETS = 12
_MOST_TRIALS = 4000
_MOST_LOOKED_AT = 40
_PINNED = 1e-3  # how much of the most that anything moves a value must move to pin it


def settling_values(
    search: Search,
    design: Design,
    rank: Rank,
    given: Mapping[str, float],
    held: Sequence[str],
    most: int = _MOST_SETS,
) -> list[tuple[str, ...]]:
    """The smallest sets of free quantities that settle a design, the usual ones first.

    Each is checked at the design itself: with the values it has there given besides, and with what
    would then be assumed, nothing can move any more.

    given  what is given already, coherent SI; held  assumptions in force"""
    network = search.network
    # A value for what is assumed only takes the place of the assumption; a count leaves a range.
    names = [
        name
        for name in usual_first(network, rank.free)
        if name not in held and not network.quantities[name].whole
    ]
    row = {name: moves for name, moves in zip(rank.free, rank.moves, strict=True)}
    most_moved = np.abs(rank.moves).max(initial=0.0)
    found: list[tuple[str, ...]] = []
    looked_at = 0
    for chosen in islice(combinations(names, rank.nullity), _MOST_TRIALS):
        table = np.stack([row[name] for name in chosen])
        if np.linalg.svd(table, compute_uv=False)[-1] < _PINNED * most_moved:
            continue
        looked_at += 1
        if _settles(search, design, {**given, **{n: design.values[n] for n in chosen}}, held):
            found.append(chosen)
        if len(found) == most or looked_at == _MOST_LOOKED_AT:
            break
    return found


def _settles(
    search: Search, design: Design, given: Mapping[str, float], held: Sequence[str]
) -> bool:
    roles = assign_roles(search.network, frozenset(given))
    then = {a.quantity.name for a in roles.in_force if a.quantity is not None}
    return then == set(held) or search.rank(design, given, then).nullity == 0


def too_little(
    network: Declarations, free: Sequence[str], count: int, sets: Sequence[tuple[str, ...]]
) -> NotEnoughGiven:
    """The error that says what is free and what would settle it.

    count  how many more values are needed"""
    usual = [name for name in usual_first(network, free) if name in network.wishes]
    named = usual or list(free)
    message = (
        f"not enough is given: {', '.join(named[:8])} {'are' if len(named) > 1 else 'is'} still "
        "free."
    )
    if sets:
        choices = ["(" + ", ".join(names) + ")" if count > 1 else names[0] for names in sets[:6]]
        what = "One more value settles" if count == 1 else f"{count} more values settle"
        message += f" {what} the design: {' or '.join(choices)}."
    return NotEnoughGiven(message, free=free, settling=sets)
