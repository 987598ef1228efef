"""What came of one set of numbers: the values, what is wrong with them, and that in words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from tablekit.engine.declarations import Declarations
from tablekit.engine.dimensions import describe, dimension_of
from tablekit.engine.quantity import Quantity, unit_size
from tablekit.engine.relation import Limit, Relation
from tablekit.engine.shop import plain_number, quantity_text, range_text
from tablekit.engine.units import ShopStyle


@dataclass(frozen=True)
class Problem:
    """One reason why a set of numbers is no design. Values in coherent SI.

    kind  "no number": `name` was given as nan;
          "undefined": `relation` gives no real number for `name`;
          "range": `name` found outside [low, high]; "limit": `relation` does not hold, short by
          -`value`; "mismatch": `name` was given as `low` but the others make it `value`;
          "no root": no value of `name` lets a block of relations hold together;
          "open": any value of `name` does
    """

    kind: Literal["no number", "undefined", "range", "limit", "mismatch", "no root", "open"]
    name: str
    value: float
    low: float = -math.inf
    high: float = math.inf
    relation: Relation | None = None
    limit: Limit | None = None


@dataclass
class Outcome:
    """One design: every value (coherent SI), and what is wrong with it.

    problems      in order of solution: what goes wrong first stands first
    alternatives  for a name with several answers in range, all of them
    sampled       whether several values were tried at once, from starts that may miss an answer
    doubtful      whether it may be one of many that lie next to one another
    left_out      names that have no value here, and why
    """

    values: dict[str, float]
    problems: list[Problem] = field(default_factory=list)
    alternatives: dict[str, list[float]] = field(default_factory=dict)
    doubtful: bool = False
    sampled: bool = False
    left_out: dict[str, str] = field(default_factory=dict)


def in_words(problem: Problem, network: Declarations, style: ShopStyle | None = None) -> str:
    """One problem in plain words.

    With a style, the numbers of the design that has it are said too, as that reader writes them;
    without, what is said is the same for every design with this problem.
    """
    quantity = network.quantities[problem.name]
    name, relation = problem.name, problem.relation.name if problem.relation else "a relation"

    def text(si: float) -> str:
        number = quantity.from_si(si)
        if style is None:
            return f"{plain_number(number)} {quantity.unit}".removesuffix(" 1")
        return quantity_text(number, quantity, style)

    match problem.kind:
        case "limit" if problem.limit is not None:
            what = f"outside what {relation!r} holds for: {problem.limit.words}"
            if style is None:
                return what
            return f"{name} is {what}; it is over by {_excess(problem, network, style)}"
        case "range":
            return _beyond(problem, quantity, text, style)
        case "no root":
            low, high = _ends(problem, quantity, text, style)
            if style is None:  # the unit once
                low = low.split(" ")[0]
            return f"no {name} between {low} and {high} was found that makes the relations fit"
        case "open":
            return f"any {name} would do: what is given says nothing of it"
        case "mismatch":
            return f"{name} was given but follows from the others, and differs"
        case "no number":
            return f"{name} is no number"
        case _:
            return f"{relation!r} has no real answer for {name}"


def _ends(
    problem: Problem, quantity: Quantity, text: Callable[[float], str], style: ShopStyle | None
) -> tuple[str, str]:
    if style is None:
        return text(problem.low), text(problem.high)
    ends = quantity.from_si(problem.low), quantity.from_si(problem.high)
    return range_text(*ends, quantity, style)


def _beyond(
    problem: Problem, quantity: Quantity, text: Callable[[float], str], style: ShopStyle | None
) -> str:
    """How a value leaves its range; with a style by which value."""
    name = quantity.name
    if style is not None:
        low, high = _ends(problem, quantity, text, style)
        return f"{name} would be {text(problem.value)}, outside {low} to {high}"
    if problem.value < problem.low:
        return f"{name} would be below {text(problem.low)}"
    return f"{name} would be above {text(problem.high)}"


def _excess(problem: Problem, network: Declarations, style: ShopStyle) -> str:
    """By how much a limit is passed, finer than sizes are rounded: it may be a hair."""
    assert problem.limit is not None
    found = dimension_of(problem.limit.slack, network.dimensions)
    if found is None or describe(found) != "a length":
        return f"{-problem.value:.2g}"
    if style.display == "in":
        return f"{-problem.value / unit_size('mm') / 25.4:.2g} in"
    return f"{-problem.value / unit_size('mm'):.2g} mm"
