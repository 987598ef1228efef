"""Putting the values of a design back: into every relation, and into every branch not taken."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import sympy as sp

from tablekit.engine.calculus import closing
from tablekit.engine.lambdas import Assignment, compile_assignments
from tablekit.engine.relation import Relation

if TYPE_CHECKING:
    from tablekit.engine.compile import Program

_LEAST_TERMS = 1e-6


class Audit:
    """The audit of one compiled plan; itself compiled when it is first asked for."""

    def __init__(self, program: Program):
        self._program = program

    @cached_property
    def _residuals(self) -> tuple[list[Relation], list[str], Callable[..., tuple[Any, ...]]]:
        plan, prepared = self._program.plan, self._program.prepared
        free = set(plan.free)
        statements: list[Relation] = [*plan.network.relations, *plan.assumptions]
        relations = [s for s in statements if not free & set(s.symbols)]
        assignments: list[Assignment] = []
        for index, relation in enumerate(relations):
            left, right = prepared(relation.equation.lhs), prepared(relation.equation.rhs)
            left_over, size = closing(left, right)
            assignments.append((sp.Symbol(f"residual_{index}"), left_over))
            assignments.append((sp.Symbol(f"size_{index}"), size))
        inputs = sorted({s.name for _, e in assignments for s in e.free_symbols})
        function = compile_assignments(
            [self._program.symbols[name] for name in inputs],
            assignments,
            [symbol for symbol, _ in assignments],
            arrays=True,
        )
        return relations, inputs, function

    def residuals(self, values: Mapping[str, float]) -> dict[str, float]:
        """Every relation with the values put back: what is left over, relative to its terms.

        Terms that vanish together, such as the cosine of a right angle, leave nothing but the
        rounding of a float; they count as no smaller than a millionth (of a metre, of a radian).
        """
        relations, inputs, function = self._residuals
        with np.errstate(all="ignore"):
            found = function(*[np.float64(values[name]) for name in inputs])
        return {
            relation.name: float(abs(found[2 * i]) / max(found[2 * i + 1], _LEAST_TERMS))
            for i, relation in enumerate(relations)
        }

    @cached_property
    def _branches(self) -> dict[str, tuple[list[str], Callable[..., tuple[Any, ...]]]]:
        compiled = {}
        for name, step in self._program.branching.items():
            forms = [self._program.prepared(form) for form in step.forms]
            inputs = sorted({s.name for form in forms for s in form.free_symbols})
            outputs = [sp.Symbol(f"branch_{index}") for index in range(len(forms))]
            function = compile_assignments(
                [self._program.symbols[n] for n in inputs],
                list(zip(outputs, forms, strict=True)),
                outputs,
                arrays=True,
            )
            compiled[name] = (inputs, function)
        return compiled

    def branches(self, values: Mapping[str, float]) -> dict[str, list[float]]:
        """For each step that had to choose, all the branches that fall in range."""
        found = {}
        for name, (inputs, function) in self._branches.items():
            low, high = self._program.range_of(name)
            slack = 1e-9 * max(abs(low), abs(high))
            with np.errstate(all="ignore"):
                numbers = function(*[np.float64(values[n]) for n in inputs])
            inside = [float(x) for x in numbers if low - slack <= x <= high + slack]
            found[name] = sorted(set(inside))
        return found
