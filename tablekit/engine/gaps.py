"""Too little given: what is still free, and which further values would settle it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations, islice

import numpy as np

from tablekit.engine.declarations import Declarations
from tablekit.engine.plan import assign_roles, usual_first
from tablekit.engine.search import Search, Solution
from tablekit.engine.trouble import NotEnoughGiven

_MOST_SETS = 12
_MOST_DESIGNS, _MOST_PINNED = 8, 3  # looked at for what is free, and for what settles it
_MOST_TRIALS = 4000
_MOST_LOOKED_AT = 40
_DIFFERENT = 1e-6  # relative; what differs by less may be one value
MOST_OFFERED = 3  # ways to settle a design, likeliest first
_PINNED = 1e-3  # how much of the most that anything moves a value must move to pin it


def settling_values(
    search: Search,
    designs: Sequence[Solution],
    given: Mapping[str, float],
    held: Sequence[str],
    most: int = _MOST_SETS,
) -> tuple[list[tuple[str, ...]], list[str], int]:
    """What is missing, looked at in several designs that what is given leaves possible.

    given  what is given already, coherent SI; held  assumptions in force
    Returns the smallest sets of free quantities that settle each of the designs, the usual ones
    first; every quantity that can move in any of them or is not the same in all, in the network's
    order; and how many values are missing. A set is checked at the designs themselves: with the
    values they have there given as well, and with what would then be assumed, nothing can move any
    more."""
    network = search.network
    places = [_Place(search, design, given, held) for design in designs[:_MOST_DESIGNS]]
    count = places[0].rank.nullity
    moving = {name for place in places for name in place.rank.free} | different(search, designs)
    alike = [place for place in places if place.rank.nullity == count][:_MOST_PINNED]
    free = [name for name in network.quantities if name in moving]
    # A value for what is assumed only takes the place of the assumption; a count leaves a range.
    names = [
        name
        for name in usual_first(network, free)
        if name not in held and not network.quantities[name].whole
    ]
    return _settling(alike, names, count, most), free, count


def _settling(
    places: Sequence[_Place], names: Sequence[str], count: int, most: int
) -> list[tuple[str, ...]]:
    """Sets of this many names that settle each of the places, at most `most`."""
    pinning = (
        chosen
        for chosen in islice(combinations(names, count), _MOST_TRIALS)
        if all(place.pinned_by(chosen) for place in places)
    )
    looked_at: list[tuple[str, ...]] = []
    found: list[tuple[str, ...]] = []
    for chosen in islice(pinning, _MOST_LOOKED_AT):
        looked_at.append(chosen)
        if all(place.settled_by(chosen) for place in places):
            found.append(chosen)
        if len(found) == most:
            break
    # By the names alone something else may give way then; what gave way here does so once more.
    again = (one for one in looked_at if all(place.settled_as_found(one) for place in places))
    return found or list(islice(again, most))


def different(search: Search, designs: Sequence[Solution]) -> set[str]:
    """The quantities that are not the same in all of these designs, in no order."""
    found = set()
    for name in search.network.quantities:
        column = np.array([design.values[name] for design in designs])
        missing = np.isnan(column)
        if missing.all():
            continue
        size = max(np.nanmax(np.abs(column)), search.least_size(name))
        if missing.any() or np.ptp(column) > _DIFFERENT * size:
            found.add(name)
    return found


class _Place:
    """A design that something can still move in."""

    def __init__(
        self, search: Search, design: Solution, given: Mapping[str, float], held: Sequence[str]
    ):
        self._search, self._design, self._given, self._held = search, design, given, held
        self.rank = search.rank(design, given, held)
        self._row = dict(zip(self.rank.free, self.rank.moves, strict=True))
        self._most_moved = np.abs(self.rank.moves).max(initial=0.0)

    def pinned_by(self, names: Sequence[str]) -> bool:
        """Whether nothing can move without moving one of these."""
        if not all(name in self._row for name in names):
            return False
        table = np.stack([self._row[name] for name in names])
        least = np.linalg.svd(table, compute_uv=False)[-1]
        return bool(least >= _PINNED * self._most_moved)

    def settled_by(self, names: Sequence[str]) -> bool:
        """Whether nothing can move once these are given, with what is then assumed."""
        return _settles(self._search, self._design, self._with(names), self._held)

    def settled_as_found(self, names: Sequence[str]) -> bool:
        """Whether nothing can move once these are given, with what is assumed now."""
        return self._search.rank(self._design, self._with(names), self._held).nullity == 0

    def _with(self, names: Sequence[str]) -> dict[str, float]:
        return {**self._given, **{name: self._design.values[name] for name in names}}


def _settles(
    search: Search, design: Solution, given: Mapping[str, float], held: Sequence[str]
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
        choices = [
            f"({', '.join(names)})" if count > 1 else names[0] for names in sets[:MOST_OFFERED]
        ]
        what = "One more value settles" if count == 1 else f"{count} more values settle"
        message += f" {what} the design: {' or '.join(choices)}."
    return NotEnoughGiven(message, free=free, settling=sets)
