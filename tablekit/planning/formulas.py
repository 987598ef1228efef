"""Relations used one at a time, outside a network: an unknown from numbers for all the rest."""

from __future__ import annotations

from functools import cache

from tablekit.engine.quantity import Quantity
from tablekit.engine.rearrange import RelationFunction, slack_of, solve_for
from tablekit.engine.relation import Relation
from tablekit.engine.trouble import OutsideLimits
from tablekit.relations import marking, milling, notch_cutting, quantities

KNOWN: dict[str, Quantity] = {
    quantity.name: quantity
    for quantity in (
        *quantities.EVERY,
        *marking.QUANTITIES,
        *notch_cutting.QUANTITIES,
        *milling.OWN,
        *milling.SURFACE_QUANTITIES,
    )
}
# A hair's breadth of rounding must not put a floor that ends in an arris outside the post.
_NEAR = 1e-12


def found(relation: Relation, name: str, **numbers: float) -> float:
    """What `relation` makes of the quantity `name`, given numbers for the others.

    All in reporting units. Raises OutsideLimits, in the words of the limit, where the relation
    does not hold, and KeyError where a number is missing.
    """
    unknown = KNOWN[name]
    si = {known: KNOWN[known].to_si(number) for known, number in numbers.items()}
    _refuse_outside(relation, si)
    si[name] = float(_solved(relation, name).of(si))
    _refuse_outside(relation, si)
    return unknown.from_si(si[name])


@cache
def _solved(relation: Relation, name: str) -> RelationFunction:
    return solve_for(relation, KNOWN[name])


def _refuse_outside(relation: Relation, si: dict[str, float]) -> None:
    """Looks at those limits that speak only of these numbers, coherent SI."""
    for limit in relation.limits:
        slack = _slack(limit)
        if not si.keys() >= set(slack.names):
            continue
        size = slack.of(si)
        if size < -_NEAR:
            raise OutsideLimits(
                f"the posts cannot be set out like this: {limit.words}; here it is "
                f"{-size * 1000:.1f} mm short of that",
                relation=relation.name,
                excess=-size,
            )


_slack = cache(slack_of)
