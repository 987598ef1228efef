"""What a network declares, compiled straight from its equations: left-overs, slopes, slacks.

Nothing here asks the kit's plans or programs. Rounding down is taken apart: inside a statement each
`floor` stands as a number of its own, a step, which is worked out first and has no slope.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from tablekit.engine.network import Network

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
_ARITHMETIC = (ValueError, ZeroDivisionError, OverflowError, TypeError)
_MODULES = [{"Heaviside": lambda x, at=0.5: at if x == 0 else float(x > 0)}, "math"]


class Expression:
    """One expression as a function of all quantities and steps, with its slopes.

    uses   places of the quantities that it mentions outside of any floor
    steps  places of the floors that it mentions
    """

    def __init__(
        self, written: sp.Expr, quantities: Sequence[sp.Symbol], steps: Sequence[sp.Symbol]
    ):
        mentioned = written.free_symbols
        self.uses = tuple(i for i, s in enumerate(quantities) if s in mentioned)
        self.steps = tuple(i for i, s in enumerate(steps) if s in mentioned)
        arguments = [*(quantities[i] for i in self.uses), *(steps[i] for i in self.steps)]
        self._value = _function(written, (*arguments,))
        self._slopes = _slopes(written, (*arguments,), len(self.uses))

    def value(self, x: Sequence[float], steps: Sequence[float]) -> float:
        """Its value; nan where it has none."""
        return self._called(self._value, 1, x, steps)[0]

    def slopes(self, x: Sequence[float], steps: Sequence[float]) -> list[float]:
        """Its derivatives by each of `uses`; nan where there is none."""
        return self._called(self._slopes, len(self.uses), x, steps)

    def _called(
        self,
        function: Callable[..., list[float]],
        count: int,
        x: Sequence[float],
        steps: Sequence[float],
    ) -> list[float]:
        try:
            found = function(*[x[i] for i in self.uses], *[steps[i] for i in self.steps])
            # Python makes a complex number of a root of a negative one.
            return [math.nan if isinstance(one, complex) else one for one in found]
        except _ARITHMETIC:
            return [math.nan] * count


# Networks of one kit share most of their relations.
@cache
def _function(written: sp.Expr, arguments: tuple[sp.Symbol, ...]) -> Callable[..., list[float]]:
    return sp.lambdify(arguments, [written], _MODULES, cse=True)


@cache
def _slopes(
    written: sp.Expr, arguments: tuple[sp.Symbol, ...], count: int
) -> Callable[..., list[float]]:
    """By each of the first `count` arguments."""
    slopes = [written.diff(symbol) for symbol in arguments[:count]]
    return sp.lambdify(arguments, slopes, _MODULES, cse=True)


class Compiled:
    """Relations, assumptions and limits of a network.

    Values are vectors in coherent SI in the network's order, nan for what has no value.
    Statements are counted relations first, then assumptions.

    uses       of each statement, the quantities it mentions, inside a floor too
    limit_of   of each limit, the relation it belongs to
    refuses    of each limit, whether a design outside is refused; else one quantity has no value
    """

    def __init__(self, network: Network):
        self.names = list(network.quantities)
        self.place = {name: i for i, name in enumerate(self.names)}
        declared = (*network.relations, *network.assumptions)
        self.names_of_statements = [s.name for s in declared]
        self.relations = len(network.relations)
        self._constants = {c.symbol: c.si for c in network.constants.values()}
        self._floors: dict[sp.Expr, sp.Symbol] = {}

        limits = [(i, limit) for i, r in enumerate(network.relations) for limit in r.limits]
        self.limit_of = [i for i, _ in limits]
        self.refuses = [limit.otherwise == "refuse" for _, limit in limits]
        gaps = [self._smooth(s.equation.lhs - s.equation.rhs) for s in declared]
        slacks = [self._smooth(limit.slack) for _, limit in limits]

        quantities = [q.symbol for q in network.quantities.values()]
        steps = list(self._floors.values())
        self.statements = [Expression(gap, quantities, steps) for gap in gaps]
        self.limits = [Expression(slack, quantities, steps) for slack in slacks]
        # A floor within a floor is worked out first: the inner ones come first.
        self.floors = [Expression(floor.args[0], quantities, steps) for floor in self._floors]
        self.uses = [self._all_uses(s) for s in self.statements]

    def _smooth(self, expression: sp.Expr) -> sp.Expr:
        """With numbers for the constants, and every floor replaced by a symbol of its own."""
        expression = sp.sympify(expression).xreplace(self._constants)
        while innermost := [f for f in expression.atoms(sp.floor) if not f.args[0].has(sp.floor)]:
            for floor in innermost:
                symbol = sp.Symbol(f"step_{len(self._floors)}", real=True)
                self._floors.setdefault(floor, symbol)
            expression = expression.xreplace(self._floors)
        return expression

    def _all_uses(self, expression: Expression) -> tuple[int, ...]:
        places, waiting = set(expression.uses), list(expression.steps)
        while waiting:
            floor = self.floors[waiting.pop()]
            places |= set(floor.uses)
            waiting += floor.steps
        return tuple(sorted(places))

    def unrounded(self, x: Vector) -> list[float]:
        """What is to be rounded down, a number a floor."""
        at, found = x.tolist(), list[float]()
        whole: list[float] = []
        for floor in self.floors:
            found.append(floor.value(at, whole))
            whole.append(math.floor(found[-1]) if math.isfinite(found[-1]) else math.nan)
        return found

    def steps(self, x: Vector) -> list[float]:
        """The same, rounded down."""
        return [math.floor(f) if math.isfinite(f) else math.nan for f in self.unrounded(x)]

    def left_over(self, x: Vector, steps: Sequence[float] | None = None) -> Vector:
        """Left side less right side of every statement. `steps` puts other numbers in place of
        what is rounded down at x."""
        steps = self.steps(x) if steps is None else steps
        at = x.tolist()
        return np.array([s.value(at, steps) for s in self.statements], float)

    def slopes(self, x: Vector, steps: Sequence[float] | None = None) -> Matrix:
        """Derivatives of `left_over`: a row a statement, a column a quantity."""
        steps = self.steps(x) if steps is None else steps
        return self.matrix(self.statements, x, steps)

    def slack(self, x: Vector) -> Vector:
        """What is left of every limit; negative where it is passed."""
        at, steps = x.tolist(), self.steps(x)
        return np.array([limit.value(at, steps) for limit in self.limits], float)

    def slack_slopes(self, x: Vector) -> Matrix:
        """Derivatives of `slack`."""
        return self.matrix(self.limits, x, self.steps(x))

    def matrix(
        self, expressions: Sequence[Expression], x: Vector, steps: Sequence[float]
    ) -> Matrix:
        """Slopes of some expressions by every quantity: a row an expression."""
        found = np.zeros((len(expressions), len(self.names)))
        at = x.tolist()
        for row, expression in enumerate(expressions):
            found[row, list(expression.uses)] = expression.slopes(at, steps)
        return found
