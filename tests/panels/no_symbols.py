"""What a slider may never reach: the symbolic solver, and whatever compiles or makes a plan."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from unittest.mock import patch

FORBIDDEN = (
    "sympy.solve", "sympy.lambdify", "sympy.cse", "tablekit.engine.plan.make_plan",
    "tablekit.engine.declarations.rearrange", "tablekit.engine.codegen.function_of",
)  # fmt: skip


@contextmanager
def no_symbolic_solver() -> Iterator[None]:
    """Within, each of these fails the test."""

    def forbidden(*args: object, **options: object) -> None:
        raise AssertionError("a slider reached the symbolic solver")

    with ExitStack() as stack:
        for name in FORBIDDEN:
            stack.enter_context(patch(name, forbidden))
        yield
