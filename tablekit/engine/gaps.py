"""Too little given: what is still free, and the smallest sets that would settle the design."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, islice
from typing import TYPE_CHECKING

from tablekit.engine.plan import Plan, assign_roles
from tablekit.engine.trouble import NotEnoughGiven

if TYPE_CHECKING:
    from tablekit.engine.network import Network

_MOST_SETS = 12
_MOST_TRIALS = 4000


def missing_count(plan: Plan) -> int:
    """How many more independent givens the design needs."""
    return sum(1 for name in plan.network.quantities if name not in plan.matching.found_by)


def settling_sets(plan: Plan, most: int = _MOST_SETS) -> list[tuple[str, ...]]:
    """The smallest sets of free quantities that would settle everything, the usual ones first."""
    count = missing_count(plan)
    if count == 0:
        return []
    trials = islice(combinations(_usual_first(plan.network, plan.free), count), _MOST_TRIALS)
    found = (names for names in trials if _settles(plan, names))
    return list(islice(found, most))


def _settles(plan: Plan, names: Sequence[str]) -> bool:
    # Told anew, not added to the plan: what is given may make assumptions give way.
    wanted = frozenset((*plan.givens, *plan.redundant, *names))
    found = assign_roles(plan.network, wanted).matching.found_by
    return len(found) == len(plan.network.quantities)


def _usual_first(network: Network, names: Sequence[str]) -> list[str]:
    rank = {name: index for index, name in enumerate(network.wishes)}
    return sorted(names, key=lambda name: rank.get(name, len(rank)))


def explain_gap(plan: Plan) -> NotEnoughGiven:
    """The error that says what is missing and what would settle it."""
    count = missing_count(plan)
    sets = settling_sets(plan)
    usual = [name for name in _usual_first(plan.network, plan.free) if name in plan.network.wishes]
    free = usual or list(plan.free)
    choices = ["(" + ", ".join(names) + ")" if count > 1 else names[0] for names in sets[:6]]
    what = "one more value settles" if count == 1 else f"{count} more values settle"
    message = (
        f"not enough is given: {', '.join(free[:8])} {'are' if len(free) > 1 else 'is'} still "
        f"free. {what[0].upper()}{what[1:]} the design: {' or '.join(choices)}."
    )
    return NotEnoughGiven(message, free=plan.free, settling=sets)
