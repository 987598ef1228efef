"""Putting the values of a design back: into every relation, and into every branch not taken."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
import sympy as sp

from tablekit.engine.declarations import Declarations
from tablekit.engine.lambdas import compile_assignments
from tablekit.engine.order import Compiling
from tablekit.engine.slack import with_slack
from tablekit.engine.written import Assignment, left_over, size_of

_LEAST_TERMS = 1e-6
_COMPILED: WeakKeyDictionary[Declarations, Callable[..., tuple[Any, ...]]] = WeakKeyDictionary()


class Audit:
    """The audit of one compiled plan; itself compiled when it is first asked for."""

    def __init__(self, program: Compiling):
        self._program = program

    @cached_property
    def _statements(self) -> list[tuple[int, str]]:
        """Place and name of what this plan rests on, among all that the network can say."""
        plan = self._program.plan
        free = set(plan.free)
        held = {s.name for s in (*plan.network.relations, *plan.assumptions)}
        everything = (*plan.network.relations, *plan.network.assumptions)
        return [
            (place, statement.name)
            for place, statement in enumerate(everything)
            if statement.name in held and not free & set(statement.symbols)
        ]

    def _compiled(self) -> Callable[..., tuple[Any, ...]]:
        # One function for all plans of a network: compiling it takes as long as the plan itself.
        network = self._program.plan.network
        if network not in _COMPILED:
            _COMPILED[network] = self._compile_residuals()
        return _COMPILED[network]

    def _compile_residuals(self) -> Callable[..., tuple[Any, ...]]:
        network = self._program.plan.network
        assignments: list[Assignment] = []
        for index, statement in enumerate((*network.relations, *network.assumptions)):
            sides = statement.equation.args
            assignments.append((sp.Symbol(f"_residual_{index}"), left_over(*sides)))
            assignments.append((sp.Symbol(f"_size_{index}"), size_of(*sides)))
        return compile_assignments(
            [quantity.symbol for quantity in network.quantities.values()],
            assignments,
            [symbol for symbol, _ in assignments],
            arrays=True,
            constants=self._program.constants,
            share=False,
        )

    def residuals(self, values: Mapping[str, float]) -> dict[str, float]:
        """Every relation with the values put back: what is left over, relative to its terms.

        Terms that vanish together, such as the cosine of a right angle, leave nothing but the
        rounding of a float; they count as no smaller than a millionth (of a metre, of a radian).
        """
        known = [values.get(name, math.nan) for name in self._program.plan.network.quantities]
        with np.errstate(all="ignore"):
            found = np.array(self._compiled()(*map(np.float64, known)))
            shares = (np.abs(found[::2]) / np.maximum(found[1::2], _LEAST_TERMS)).tolist()
        return {name: shares[i] for i, name in self._statements}

    @cached_property
    def _branches(self) -> dict[str, tuple[list[str], Callable[..., tuple[Any, ...]]]]:
        compiled = {}
        for name, step in self._program.branching.items():
            used = {s.name for form in step.forms for s in form.free_symbols}
            inputs = sorted(used & self._program.symbols.keys())
            outputs = [sp.Symbol(f"_branch_{index}") for index in range(len(step.forms))]
            function = compile_assignments(
                [self._program.symbols[n] for n in inputs],
                list(zip(outputs, step.forms, strict=True)),
                outputs,
                arrays=True,
                constants=self._program.constants,
            )
            compiled[name] = (inputs, function)
        return compiled

    def branches(self, values: Mapping[str, float]) -> dict[str, list[float]]:
        """For each step that had to choose, all the branches that fall in range."""
        known = {name: np.float64(value) for name, value in values.items()}
        return {
            name: sorted({float(x) for x, fits in branches if fits})
            for name, branches in self._in_range(known)
        }

    def several(self, values: Mapping[str, Any]) -> Any:
        """Where some step had more than one branch in range to choose from: arrays, or scalars."""
        found: Any = False
        for _, branches in self._in_range(values):
            found |= sum(np.asarray(fits, dtype=int) for _, fits in branches) > 1
        return found

    def _in_range(self, values: Mapping[str, Any]) -> Iterator[tuple[str, list[tuple[Any, Any]]]]:
        """For each step that had to choose, its branches and where each falls in range."""
        for name, (inputs, function) in self._branches.items():
            low, high = with_slack(*self._program.range_of(name))
            with np.errstate(all="ignore"):
                numbers = function(*[values[n] for n in inputs])
            yield name, [(x, (x >= low) & (x <= high)) for x in numbers]
