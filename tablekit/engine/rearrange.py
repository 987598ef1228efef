"""Rearranging one equation for one unknown, in closed form, and using one relation on its own.

Almost every relation of a textbook names its unknown once, so peeling the equation like an onion
is enough and takes a millisecond where a general solver takes a hundred. Where the unknown
appears twice but only to the first or second power, the textbook formula is used. Anything else
is left to the numeric solver; sympy's own `solve` referees the results in the tests.

Plans that try thousands of layouts or places take their formulas from the declared relations by
`solve_for`; what belongs to a design is found in its sheet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import Any

import sympy as sp

from tablekit.engine.codegen import compile_vector
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Limit, Relation

Interval = tuple[float, float]
_TINY = 1e-12


def rearrange(
    equation: sp.Eq, unknown: sp.Symbol, within: Interval = (-float("inf"), float("inf"))
) -> tuple[sp.Expr, ...] | None:
    """Every expression that `unknown` can be, given that it lies `within` (coherent SI).

    Of several branches those are dropped that cannot fall inside `within` whatever the other
    quantities are.
    Returns None where no closed form was found. An expression returned may still be impossible
    for particular numbers (a root of a negative number) or fall outside the range; the compiled
    plan decides between the branches for each set of numbers.
    """
    left, right = equation.lhs, equation.rhs
    count_left, count_right = _occurrences(left, unknown), _occurrences(right, unknown)
    if count_left + count_right == 0:
        return None
    if count_left + count_right == 1:
        holder, other = (left, right) if count_left else (right, left)
        found = _peel(holder, other, unknown, within)
    else:
        found = _low_degree(left - right, unknown)
    if found is None:
        return None
    branches = tuple(dict.fromkeys(found))
    if len(branches) == 1:  # nothing to choose from: whether it is in range, the numbers tell
        return branches
    return tuple(branch for branch in branches if _possible(branch, unknown, within))


def must_be_put_back(equation: sp.Eq, unknown: sp.Symbol) -> bool:
    """Whether a rearrangement may give a value that the equation itself does not hold for.

    A square root is never negative and an arc sine never beyond a right angle; undoing one of
    something that is would invent an answer.
    """
    roots = (p for p in equation.atoms(sp.Pow) if not p.exp.is_integer)
    arcs = equation.atoms(sp.asin, sp.acos, sp.atan, sp.Abs)
    return any(node.has(unknown) for node in (*roots, *arcs))


def _occurrences(expression: sp.Expr, unknown: sp.Symbol) -> int:
    return sum(1 for node in sp.preorder_traversal(expression) if node == unknown)


def _peel(
    holder: sp.Expr, other: sp.Expr, unknown: sp.Symbol, within: Interval
) -> list[sp.Expr] | None:
    """Undo the outermost operation of `holder` on `other` until the unknown stands alone."""
    if holder == unknown:
        return [other]
    if isinstance(holder, sp.Add | sp.Mul):
        inside, outside = holder.as_independent(unknown, as_Add=isinstance(holder, sp.Add))[::-1]
        rest = other - outside if isinstance(holder, sp.Add) else other / outside
        return _peel(inside, rest, unknown, within)
    if isinstance(holder, sp.Pow):
        undone = _undo_power(holder, other, unknown)
        if undone is None:
            return None
        inner = holder.base if holder.base.has(unknown) else holder.exp
    else:
        undo = _UNDO.get(type(holder))
        if undo is None:
            return None
        inner = holder.args[0]
        turns = _turns(inner, unknown, within) if isinstance(holder, _PERIODIC) else [0]
        undone = [value + 2 * sp.pi * turn for turn in turns for value in undo(other)]
    results: list[sp.Expr] = []
    for value in undone:
        peeled = _peel(inner, value, unknown, within)
        if peeled is None:
            return None
        results.extend(peeled)
    return results


def _turns(inner: sp.Expr, unknown: sp.Symbol, within: Interval) -> list[int]:
    """Whole turns to add to an angle so that none in range is missed; none where it is open."""
    if any(math.isinf(end) for end in within):
        return [0]
    if inner.free_symbols != {unknown}:
        return [0, 1, -1]
    ends = [float(inner.subs(unknown, end)) / math.tau for end in within]
    # Each inverse below spans at most a turn and a half, from -1/2 to 1.
    turns = range(math.floor(min(ends)) - 1, math.ceil(max(ends)) + 1)
    return sorted(turns, key=lambda turn: (abs(turn), -turn))


def _undo_power(holder: sp.Pow, other: sp.Expr, unknown: sp.Symbol) -> list[sp.Expr] | None:
    base, exponent = holder.args
    if not base.has(unknown):
        return [sp.log(other) / sp.log(base)]
    if exponent.has(unknown) or not exponent.is_Rational:
        return None
    root = other ** (1 / exponent)
    if exponent.p % 2:
        if exponent.q == 1 and abs(exponent.p) > 1 and not base.is_nonnegative:
            # A cube may be negative, and its root then is; a float's power would be complex.
            return [sp.sign(other) * sp.Abs(other) ** (1 / exponent)]
        return [root]
    return [root, -root]


_PERIODIC = (sp.sin, sp.cos, sp.tan)
_UNDO: dict[type, Callable[[sp.Expr], list[sp.Expr]]] = {
    sp.sin: lambda value: [sp.asin(value), sp.pi - sp.asin(value)],
    sp.cos: lambda value: [sp.acos(value), -sp.acos(value)],
    sp.tan: lambda value: [sp.atan(value), sp.atan(value) + sp.pi],
    sp.asin: lambda value: [sp.sin(value)],
    sp.acos: lambda value: [sp.cos(value)],
    sp.atan: lambda value: [sp.tan(value)],
    sp.exp: lambda value: [sp.log(value)],
    sp.log: lambda value: [sp.exp(value)],
    sp.Abs: lambda value: [value, -value],
}


def _low_degree(difference: sp.Expr, unknown: sp.Symbol) -> list[sp.Expr] | None:
    """Solutions where the unknown appears only to the first or second power."""
    expanded = sp.expand(difference)
    poly = expanded.as_poly(unknown)
    if poly is None or poly.degree() not in (1, 2):
        return None
    coefficients = poly.all_coeffs()
    if any(c.has(unknown) for c in coefficients):
        return None
    if poly.degree() == 1:
        slope, constant = coefficients
        return [sp.factor_terms(-constant / slope)]
    a, b, c = coefficients
    root = sp.sqrt(b**2 - 4 * a * c)
    # Either root is also 2c over the other's numerator; taking the one in which b and the root
    # add rather than cancel keeps a small answer from losing its figures.
    if b.is_nonnegative:
        return [-2 * c / (b + root), (-b - root) / (2 * a)]
    if b.is_nonpositive:
        return [(-b + root) / (2 * a), 2 * c / (-b + root)]
    return [(-b + root) / (2 * a), (-b - root) / (2 * a)]


def _possible(candidate: sp.Expr, unknown: sp.Symbol, within: Interval) -> bool:
    """Whether a branch can ever fall inside the range of the unknown."""
    if unknown.is_nonnegative and candidate.is_negative:
        return False
    if unknown.is_positive and candidate.is_nonpositive:
        return False
    reach = _reach(candidate)
    low, high = within
    return reach[1] > low + _TINY and reach[0] < high - _TINY


def _reach(candidate: sp.Expr) -> Interval:
    """The interval an inverse trigonometric function, shifted or negated, can take."""
    shift, core = candidate.as_independent(*candidate.free_symbols, as_Add=True)
    sign, core = core.as_coeff_Mul()
    span = _SPAN.get(type(core))
    if span is None or not shift.is_number:
        return (-float("inf"), float("inf"))
    ends = sorted(float(shift + sign * end) for end in span)
    return (ends[0], ends[1])


_SPAN: dict[type, tuple[sp.Expr, sp.Expr]] = {
    sp.asin: (-sp.pi / 2, sp.pi / 2),
    sp.acos: (sp.Integer(0), sp.pi),
    sp.atan: (-sp.pi / 2, sp.pi / 2),
}


# -- one relation outside a network ----------------------------------------------------------------


class RelationFunction:
    """An expression as a function of numbers, made when it is first wanted.

    Numbers are coherent SI, or in any units in which the formula reads the same.
    """

    def __init__(
        self,
        make: Callable[[], sp.Expr],
        given: Iterable[Quantity],
        constants: Iterable[Constant],
        arrays: bool,
    ):
        self._make, self._given, self._arrays = make, tuple(given), arrays
        self._constants = {one.symbol: one.si for one in constants}

    @cached_property
    def _form(self) -> sp.Expr:
        return self._make()

    @cached_property
    def _symbols(self) -> list[sp.Symbol]:
        if self._given:
            return [quantity.symbol for quantity in self._given]
        return sorted(self._form.free_symbols - self._constants.keys(), key=str)

    @cached_property
    def _function(self) -> Callable[..., tuple[Any, ...]]:
        return compile_vector(
            self._symbols, [self._form], arrays=self._arrays, constants=self._constants
        )

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of the quantities that it takes, in order: those given, else alphabetically."""
        return tuple(symbol.name for symbol in self._symbols)

    def __call__(self, *numbers: Any) -> Any:
        """Its value for numbers in the order of `names`; arrays elementwise where it was made for
        them."""
        return self._function(*numbers)[0]

    def of(self, known: Mapping[str, Any]) -> Any:
        """Its value for numbers by name. Raises KeyError where one is missing."""
        return self(*(known[name] for name in self.names))


def solve_for(
    relation: Relation,
    unknown: Quantity,
    *given: Quantity,
    within: Interval | None = None,
    constants: Iterable[Constant] = (),
    arrays: bool = False,
) -> RelationFunction:
    """`unknown` as a function of the other quantities of a relation.

    given      the others, in the order in which their numbers come; without them, by name
    within     where the unknown lies, coherent SI, for a relation that may have several roots: of
               those that can lie there the first is taken, the greater of two square roots
    constants  those of the relation that are numbers of nature
    arrays     whether the numbers may be arrays

    The limits of the relation are not looked at: see `slack_of`. Raises ValueError, when it is
    first called, where the relation has no single closed form for the unknown.
    """

    def form() -> sp.Expr:
        if unknown.name in relation.inverse:
            return relation.inverse[unknown.name]
        forms = rearrange(relation.equation, unknown.symbol, within or unknown.si_range) or ()
        if len(forms) != 1 and not (forms and within):
            raise ValueError(f"{relation.name!r} has no single form for {unknown.name}: {forms}")
        return forms[0]

    return RelationFunction(form, given, constants, arrays)


def slack_of(
    limit: Limit, *, constants: Iterable[Constant] = (), arrays: bool = False
) -> RelationFunction:
    """How much of a limit is left, as a function; negative where it does not hold."""
    return RelationFunction(lambda: limit.slack, (), constants, arrays)
