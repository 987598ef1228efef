"""A run of closed steps of a plan, compiled into one function."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import sympy as sp

from tablekit.engine.lambdas import compile_assignments
from tablekit.engine.written import Assignment

if TYPE_CHECKING:
    from tablekit.engine.compile import Program


def preferred_symbol(name: str) -> sp.Symbol:
    """The input that says which of several branches for a quantity to stay near."""
    return sp.Symbol(f"_preferred_{name}", real=True)


class Segment:
    """A run of closed steps compiled into one function."""

    def __init__(self, program: Program, assignments: Sequence[Assignment]):
        self.outputs = [symbol for symbol, _ in assignments]
        own = {symbol.name for symbol in self.outputs}
        used = {s.name for _, expression in assignments for s in expression.free_symbols}
        # Where branches are chosen between, the value preferred is an input too.
        self.choices = [name for name in program.branching if preferred_symbol(name).name in used]
        self.inputs = sorted((used - own) & program.symbols.keys())
        self._program, self._assignments = program, assignments

    def _compile(self, arrays: bool) -> Callable[..., tuple[Any, ...]]:
        return compile_assignments(
            [
                *(self._program.symbols[name] for name in self.inputs),
                *map(preferred_symbol, self.choices),
            ],
            self._assignments,
            self.outputs,
            arrays=arrays,
            functions=self._program.choosers(arrays),
            constants=self._program.constants,
            share=arrays,
        )

    @cached_property
    def scalar(self) -> Callable[..., tuple[float, ...]]:
        """The compiled function of floats."""
        return self._compile(arrays=False)

    @cached_property
    def array(self) -> Callable[..., tuple[Any, ...]]:
        """The compiled function of arrays."""
        return self._compile(arrays=True)

    @cached_property
    def names(self) -> list[str]:
        """Names of the outputs, in order."""
        return [symbol.name for symbol in self.outputs]
