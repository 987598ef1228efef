"""One way of following tried values through a block of relations, compiled."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any

import sympy as sp

from tablekit.engine.lambdas import compile_assignments
from tablekit.engine.written import Assignment

# What `math` raises where NumPy gives nan.
ARITHMETIC = (ValueError, ZeroDivisionError, OverflowError, TypeError)


class Way:
    """One way of following the tried values through, compiled: returns for each closing relation
    what is left over and the size of its terms, then what follows."""

    def __init__(
        self,
        inputs: Sequence[sp.Symbol],
        assignments: Sequence[Assignment],
        tail: int,
        constants: Mapping[sp.Symbol, float],
    ):
        self._inputs, self._assignments, self._constants = inputs, assignments, constants
        # What is left over comes first, so that a root finder need not look for it.
        symbols = [symbol for symbol, _ in assignments]
        self._outputs = [*symbols[tail:], *symbols[:tail]]

    def _compile(self, arrays: bool, share: bool) -> Callable[..., tuple[Any, ...]]:
        return compile_assignments(
            self._inputs,
            self._assignments,
            self._outputs,
            arrays=arrays,
            constants=self._constants,
            share=share,
        )

    @cached_property
    def scalar(self) -> Callable[..., tuple[float, ...]]:
        """Of floats."""
        return self._compile(arrays=False, share=False)

    @cached_property
    def sampled(self) -> Callable[..., tuple[Any, ...]]:
        """Of arrays, for the samples of one design: compiled sooner than it would be shared."""
        return self._compile(arrays=True, share=False)

    @cached_property
    def array(self) -> Callable[..., tuple[Any, ...]]:
        """Of arrays, for many designs."""
        return self._compile(arrays=True, share=True)

    def residual(self, known: Sequence[float]) -> Callable[[float], float]:
        """What the first closing relation leaves over, as a function of one tried value."""

        def left_over(value: float) -> float:
            try:
                found = self.scalar(value, *known)[0]
            except ARITHMETIC:
                return math.nan
            return found if isinstance(found, float) else math.nan

        return left_over
