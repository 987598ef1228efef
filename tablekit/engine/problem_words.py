"""Why a set of numbers is no design, in a few words."""

from __future__ import annotations

from tablekit.engine.compile import Problem
from tablekit.engine.plan import Plan


def in_words(problem: Problem, plan: Plan) -> str:
    """One problem in a maker's words, without the numbers of the design that has it."""
    quantity = plan.network.quantities[problem.name]
    low, high = quantity.low, quantity.high
    match problem.kind:
        case "limit" if problem.limit is not None and problem.relation is not None:
            return f"outside what {problem.relation.name!r} holds for: {problem.limit.words}"
        case "range":
            side = "below" if problem.value < problem.low else "above"
            bound = low if side == "below" else high
            return f"{quantity.name} would be {side} {bound:g} {quantity.unit}".removesuffix(" 1")
        case "no root":
            return (
                f"no {quantity.name} between {low:g} and {high:g} {quantity.unit} makes the "
                "relations fit"
            )
        case "open":
            return f"any {quantity.name} would do: what is given says nothing of it"
        case "mismatch":
            return f"{quantity.name} was given but follows from the others, and differs"
        case _:
            relation = problem.relation.name if problem.relation else "a relation"
            return f"{relation} has no real answer for {quantity.name}"
