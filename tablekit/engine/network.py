"""The network: the quantities and relations of one subject, without inputs or outputs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tablekit.engine.declarations import Declarations
from tablekit.engine.plan import Plan, plan_of
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle
from tablekit.engine.solve import solve


class Network(Declarations):
    """Declarations that can be planned and solved. Built and checked as `Declarations`."""

    def plan(self, names: Iterable[str], without: Iterable[str] = ()) -> Plan:
        """The plan for a set of givens, made once and kept.

        without  quantities whose assumption is not to be made
        Raises UnknownName for a name the network does not have."""
        return plan_of(self, names, without)

    def solve(
        self,
        givens: Mapping[str, float],
        *,
        name: str = "",
        shop: ShopStyle | None = None,
        why: bool = True,
        near: Sheet | None = None,
    ) -> Sheet:
        """Everything that follows from `givens` (reporting units).

        why  whether to find out which givens clash and what would mend it, which takes longer than
             the design; without, no search follows where the plan finds no design
        near an answer to stay near to, where the givens allow several: what was shown last
        Raises RangeError for a value outside its range, Contradiction when no design was found
        that meets the givens, OutsideLimits when a relation does not hold for them,
        NotEnoughGiven when something stays free.
        """
        return solve(self, givens, name=name, shop=shop, why=why, near=near)
