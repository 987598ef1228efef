"""From a brief to its sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet


def set_out(brief: Brief) -> Sheet:
    """Everything that follows from a brief.

    Raises Contradiction, OutsideLimits or NotEnoughGiven (see `Network.solve`).
    """
    from tablekit.relations.families import network

    givens = {name: float(number) for name, number in brief.givens.items()}
    return network(brief.kind, **brief.options).solve(givens, name=brief.name, shop=brief.shop)
