"""What is worked out of a brief and its sheet once, however many ask for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from tablekit.brief import Brief
    from tablekit.engine.sheet import Sheet

Plan = TypeVar("Plan")
_PLANS = "_plans_kept"


def kept(function: Callable[[Brief, Sheet], Plan]) -> Callable[[Brief, Sheet], Plan]:
    """The same function, which remembers its answer with the sheet, for as long as that lives.

    A brief holds a table of givens and cannot be compared quickly: it is known by its identity.
    """

    @wraps(function)
    def asked(brief: Brief, sheet: Sheet) -> Plan:
        plans: dict[Any, Any] = sheet.__dict__.setdefault(_PLANS, {})
        key = (function.__name__, id(brief))
        if key not in plans:
            plans[key] = (brief, function(brief, sheet))  # the brief too, so that its place is kept
        plan: Plan = plans[key][1]
        return plan

    return asked
