"""Quantities, relations among them, and designs solved from any consistent set of givens.

What a subject needs to be declared and solved is imported from here:

    from tablekit.engine import Network, Quantity, Relation, equal

`DEVELOPERS.md`, under "The engine for another subject", has two subjects in 25 lines each.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tablekit.engine.as_cut import round_to_shop
    from tablekit.engine.network import Network
    from tablekit.engine.quantity import (
        Constant,
        Dimension,
        Quantity,
        Source,
        common_practice,
        derived,
        from_memory,
        known_units,
        published,
        quoted,
    )
    from tablekit.engine.relation import (
        Assumption,
        Check,
        Limit,
        Relation,
        Requirement,
        assume,
        equal,
    )
    from tablekit.engine.sensitivity import change, slopes
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.shop import ShopStyle, figures_text, shop_text
    from tablekit.engine.sweeps import sweep
    from tablekit.engine.tolerance import Tolerance, spread
    from tablekit.engine.trouble import (
        Contradiction,
        DesignError,
        NotEnoughGiven,
        OutsideLimits,
        RangeError,
        RelationError,
        UnitsError,
        UnknownName,
    )
    from tablekit.engine.units import parse_quantity
    from tablekit.engine.wording import Wording

# Loaded on first use: whoever wants a quantity need not wait for the solver, nor whoever wants a
# unit for a computer algebra system.
_HOMES = {
    "network": ("Network",),
    "quantity": (
        "Constant", "Dimension", "Quantity", "Source", "common_practice", "derived",
        "from_memory", "known_units", "published", "quoted",
    ),
    "relation": (
        "Assumption", "Check", "Limit", "Relation", "Requirement", "assume", "equal",
    ),
    "as_cut": ("round_to_shop",),
    "sensitivity": ("change", "slopes"),
    "sheet": ("Sheet",),
    "shop": ("ShopStyle", "figures_text", "shop_text"),
    "sweeps": ("sweep",),  # not called as the function is: one would hide the other
    "tolerance": ("Tolerance", "spread"),
    "trouble": (
        "Contradiction", "NotEnoughGiven", "OutsideLimits", "RangeError", "RelationError",
        "DesignError", "UnitsError", "UnknownName",
    ),
    "units": ("parse_quantity",),
    "wording": ("Wording",),
}  # fmt: skip
_MODULE_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "Assumption",
    "Check",
    "Constant",
    "Contradiction",
    "DesignError",
    "Dimension",
    "Limit",
    "Network",
    "NotEnoughGiven",
    "OutsideLimits",
    "Quantity",
    "RangeError",
    "Relation",
    "RelationError",
    "Requirement",
    "Sheet",
    "ShopStyle",
    "Source",
    "Tolerance",
    "UnitsError",
    "UnknownName",
    "Wording",
    "assume",
    "change",
    "common_practice",
    "derived",
    "equal",
    "figures_text",
    "from_memory",
    "known_units",
    "parse_quantity",
    "published",
    "quoted",
    "round_to_shop",
    "shop_text",
    "slopes",
    "spread",
    "sweep",
]


def __getattr__(name: str) -> Any:
    if name in _MODULE_OF:
        from importlib import import_module

        return getattr(import_module(f"tablekit.engine.{_MODULE_OF[name]}"), name)
    raise AttributeError(f"module 'tablekit.engine' has no attribute {name!r}")
