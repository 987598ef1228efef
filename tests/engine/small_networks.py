"""Small networks of plain numbers, for tests of the engine that must not lean on the trade."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import Quantity, Source
from tablekit.engine.relation import Assumption, Limit, Relation, Requirement, assume

INVENTED = Source("derived", "an invented example")


def quantity(name: str, low: float = 0.001, high: float = 1000.0, unit: str = "1") -> Quantity:
    """A quantity that means nothing."""
    return Quantity(name, name, unit, "an invented quantity", low, high)


def quantities(names: str, low: float = 0.001, high: float = 1000.0) -> list[Quantity]:
    """Several, from names parted by spaces."""
    return [quantity(name, low, high) for name in names.split()]


def relation(
    name: str,
    left: sp.Expr | float,
    right: sp.Expr | float,
    limits: Sequence[Limit] = (),
    inverse: Mapping[str, sp.Expr] | None = None,
) -> Relation:
    """A relation that says only left = right."""
    equation = sp.Eq(sp.sympify(left), sp.sympify(right), evaluate=False)
    return Relation(
        name, equation, "Invented.", "Invented.", INVENTED, tuple(limits), inverse or {}
    )


def guess(of: Quantity, value: sp.Expr | float) -> Assumption:
    """An assumption that `of` is `value`."""
    return assume(of, value, "Invented.", INVENTED)


def unseen(of: Network) -> Network:
    """The same network with nothing planned or rearranged yet."""
    return Network(
        of.name, list(of.quantities.values()), of.relations, of.assumptions,
        list(of.constants.values()), of.requirements,
        wishes=of.wishes, kind=of.kind, options=of.options, wording=of.wording,
    )  # fmt: skip


def network(
    of: Sequence[Quantity],
    relations: Sequence[Relation],
    assumptions: Sequence[Assumption] = (),
    requirements: Sequence[Requirement] = (),
    wishes: Sequence[str] = (),
) -> Network:
    """A network called "example"."""
    return Network("example", of, relations, assumptions, (), requirements, wishes=wishes)
