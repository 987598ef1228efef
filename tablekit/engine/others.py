"""Other designs that meet what is given, told of beside an answer.

Two kinds: those of the same assumptions, where the equations have several answers, and those in
which something else gives way, so that what gave way in the answer keeps its usual value.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping

import numpy as np

from tablekit.engine.bands import GaveWay
from tablekit.engine.gaps import different
from tablekit.engine.order import TogetherStep
from tablekit.engine.outcome import Outcome
from tablekit.engine.plan import Plan, usual_first
from tablekit.engine.search import DENSE, Search, Solution
from tablekit.engine.sheet import Sheet

_SAME = 1e-6  # relative: values that differ by less are one
MOST_DESIGNS = 6  # that are told of beside an answer
_MOST_KEPT = 3


def is_searched(plan: Plan) -> bool:
    """Whether a plan has a loop in which several values are tried at once: it finds one answer of
    such a loop, the nearest to what is usual, and does not look for all."""
    return any(isinstance(step, TogetherStep) and len(step.tried) > 1 for step in plan.steps)


def list_others(
    search: Search,
    values: Mapping[str, float],
    told: dict[str, list[float]],
    given: Mapping[str, float],
    held: Collection[str],
    designs: Iterable[Solution],
) -> None:
    """Adds designs that each stand alone to the alternatives told of an answer: of each that they
    do not tell of yet, the first value in which it differs.

    values       of the answer
    told         values by name, added to
    given, held  what all of them meet: values in coherent SI, and assumptions by name"""
    here = Solution(values)
    for design in designs:
        apart = usual_first(search.network, different(search, [here, design]) - given.keys())
        known = any(
            math.isclose(v, design.values[n], rel_tol=_SAME) for n in apart for v in told.get(n, ())
        )
        if not apart or known or search.rank(design, given, held).nullity:
            continue
        name = apart[0]
        told.setdefault(name, [values[name]]).append(design.values[name])


@np.errstate(all="ignore")
def further_answers(
    search: Search,
    outcome: Outcome,
    given: Mapping[str, float],
    held: Collection[str],
) -> dict[str, list[float]]:
    """The alternatives of an outcome with those that the closest look finds, coherent SI."""
    found = search.designs(given, held, effort=(DENSE,))
    told = {name: [*values] for name, values in outcome.alternatives.items()}
    list_others(search, outcome.values, told, given, held, found[:MOST_DESIGNS])
    return told


@np.errstate(all="ignore")
def kept_instead(
    sheet: Sheet, solved: Callable[[Mapping[str, float]], Sheet | None]
) -> dict[str, tuple[GaveWay, ...]]:
    """For what gave way in a sheet: what would give way instead, were it given its usual value.
    Left out is what the rest does not allow to keep it.

    solved  the sheet of some givens (reporting units), or None where none was found at once"""
    found = {}
    for one in sheet.gave_way[:_MOST_KEPT]:
        other = solved({**sheet.givens, one.name: one.usual})
        if other is not None and other.gave_way:
            found[one.name] = other.gave_way
    return found
