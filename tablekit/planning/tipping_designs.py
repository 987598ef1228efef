"""A solved piece, ready to be solved again with one of its choices set free for a tipping load.

However the brief was given, a piece is settled by its height, its diameter, its section and what
would otherwise be assumed. With all of these but one given as they are, and the tipping load given
as it is wanted, the network finds the one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.network import Network
from tablekit.engine.solve import solve
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.wording import words
from tablekit.relations.bases import base_of
from tablekit.relations.families import on_base
from tablekit.relations.kinds import height_name
from tablekit.relations.wording import SHOP

if TYPE_CHECKING:
    from tablekit.engine.declarations import Declarations
    from tablekit.engine.network import Network
    from tablekit.engine.sheet import Sheet

TURNED = "the base turned over, notches up"
# These follow from others unless the maker has settled them.
FOLLOW = frozenset({"notch_position", "axis_offset", "post_width", "foot_diameter"})


@dataclass(frozen=True)
class Mend:
    """Something to try.

    name      what is done
    quantity  what is solved for
    work      0 none to speak of, 1 a little, 2 much, 3 compound notches
    says      the same in words, after "It"
    solve     the piece with the wanted load, N; raises DesignError where there is none
    """

    name: str
    quantity: str
    work: int
    says: str
    solve: Callable[[float], Sheet]


NONE, AFRESH = "takes almost no extra work", "needs marking out again"
ANOTHER = "needs a different wood throughout"


@dataclass(frozen=True)
class TippingDesign:
    """The choices that settle a piece: names and values in reporting units.

    assumed   those of them that nobody chose
    """

    sheet: Sheet
    choices: dict[str, float]
    assumed: frozenset[str]

    @classmethod
    def of(cls, sheet: Sheet) -> TippingDesign:
        """The choices of a sheet of any family. Raises DesignError where one has no value."""
        base = base_of(sheet)
        names = [height_name(sheet.kind), "top_diameter", base.section]
        taken = base.declared(sheet.kind).shape
        names += [a.quantity.name for a in taken if a.quantity is not None]
        missing = [name for name in names if sheet.get(name) is None]
        if missing:
            raise DesignError(
                f"no remedies can be found: {', '.join(missing)} without a value in this design. "
                "Give the sizes that set them"
            )
        return cls(
            sheet,
            {name: sheet.number(name) for name in names},
            frozenset(name for name in names if sheet[name].origin == "assumed"),
        )

    def mends(self) -> Iterable[Mend]:
        """What may be tried."""
        yield self._mend("a smaller top", "top_diameter", 0, NONE)
        yield from self._turned_over()
        for name, quantity, follows in base_of(self.sheet).firmer:
            follow = FOLLOW if follows else frozenset[str]()
            yield Mend(name, quantity, 1, AFRESH, self._freeing(quantity, follow=follow))
        yield self._mend("a thicker top", "top_thickness", 1, "takes a little more planing")
        yield self._mend("a denser wood", "wood_density", 2, ANOTHER)

    def _mend(self, name: str, quantity: str, work: int, says: str) -> Mend:
        return Mend(name, quantity, work, says, self._freeing(quantity))

    def _turned_over(self) -> Iterable[Mend]:
        base = base_of(self.sheet).turned_firmer
        if base is not None:
            turned = on_base(self.sheet, base)
            yield Mend(TURNED, "foot_radius", 0, NONE, self._turned(turned))
            yield Mend(
                f"{TURNED}, and a smaller top", "top_diameter", 0, NONE,
                self._freeing("top_diameter", turned),
            )  # fmt: skip

    def _turned(self, network: Network) -> Callable[[float], Sheet]:
        def solve(_wanted: float) -> Sheet:
            return self._solved(network, dict(self.choices))

        return solve

    def _freeing(
        self, name: str, network: Network | None = None, follow: frozenset[str] = frozenset()
    ) -> Callable[[float], Sheet]:
        """`name` set free. What is in `follow`, and was assumed, is assumed afresh; all else is
        held, so that nothing but `name` can give way."""

        def solve(wanted: float) -> Sheet:
            held = {
                other: number for other, number in self.choices.items()
                if other != name and not (other in follow and other in self.assumed)
            }  # fmt: skip
            try:
                return self._solved(
                    network or self.sheet.network, {**held, "tipping_load": wanted}, why=False
                )
            except Contradiction:
                raise DesignError(
                    f"No {words(name)} reaches that load with everything else unchanged"
                ) from None

        return solve

    def _solved(self, network: Declarations, givens: dict[str, float], why: bool = True) -> Sheet:
        """Solved as a shape, which is quick, and then whole, for all its checks. Whole pieces are
        all solved from the same names, so that one plan serves them."""
        shape = shape_of(network, frozenset(self.choices))
        found = shape.solve(givens, why=why)
        rest = {n: v for n, v in self.sheet.givens.items() if n not in shape.quantities}
        whole = {name: found.number(name) for name in self.choices}
        givens = {**whole, **rest}
        return solve(network, givens, name=self.sheet.name, shop=self.sheet.shop_style)


@cache
def shape_of(network: Declarations, choices: frozenset[str]) -> Network:
    """The part of a network that the choices settle: shape, masses and tipping, and the checks on
    them. Movement, fittings and milling are left out; they would cost time and change nothing."""
    known, kept = {*choices, *network.constants}, []
    waiting = list(network.relations)
    while True:
        ready = [r for r in waiting if len(set(r.symbols) - known) <= 1]
        if not ready:
            break
        kept += ready
        known.update(name for relation in ready for name in relation.symbols)
        waiting = [relation for relation in waiting if relation not in ready]
    return Network(
        name=f"{network.name}: shape",
        kind=network.kind,
        options=network.options,
        quantities=[q for name, q in network.quantities.items() if name in known],
        relations=[r for r in network.relations if r in kept],
        assumptions=[a for a in network.assumptions if a.quantity and a.quantity.name in choices],
        constants=list(network.constants.values()),
        requirements=[r for r in network.requirements if r.quantity in known],
        wording=SHOP,
    )
