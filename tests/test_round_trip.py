"""A table is the same table whichever of its measures are given.

A brief is solved; then one given is replaced by one value found, wherever the new set still
settles the design, and solved again. The table that comes back must be the one that went out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache
from itertools import count
from typing import Any

import numpy as np
import pytest
import sympy as sp
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from tablekit.engine.network import Network
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.relations import bases, families, kinds, quantities

FAMILIES = [("table", way) for way in bases.WAYS_UP] + [("stool", "notches up")]
EPSILON = np.finfo(float).eps
# A relation leaves over a few roundings of its terms; solving magnifies that by the condition.
ROUNDINGS = 100
TOLERANCE = 1e-9
STEP = 1e-5  # of a value, to either side: for its slope
# Beyond this the tolerance has to give way to the condition: such pairs are named, not hidden.
ILL = TOLERANCE / (ROUNDINGS * EPSILON)
BRIEFS = 3  # for each kind
THINNED = 24  # an ordinary run takes one way in so many
# Kinds share nearly all their relations, so the ways of turning a brief round are dealt out: each
# is gone through once, by one brief of one kind; in an ordinary run one in `THINNED` of them.
SHARES = BRIEFS * len(FAMILIES)
# What shapes the piece is all taken; of what merely follows from it (loads, level, strength, tools)
# a sample is: each such relation is turned round by itself in tests/relations.
SHAPING = {quantity.name for quantity in quantities.EVERY}
SAMPLED = 25


@st.composite
def briefs(draw: st.DrawFn, height: tuple[float, float]) -> dict[str, float]:
    """A sensible table or stool with a lean of its own, in reporting units."""
    low, high = height
    top = draw(st.floats(low, high))
    section = draw(st.floats(0.055, 0.085)) * top
    return {
        "height": top,
        "top_diameter": draw(st.floats(0.9, 1.5)) * top,
        "post_section": section,
        "splay": draw(st.floats(35, 64)),
        "axis_offset": section * draw(st.floats(0.42, 0.58)),
        "notch_position": draw(st.floats(0.45, 0.55)),  # a share of the post, for now
    }


def first_sheet(of: Network, brief: dict[str, float]) -> Sheet | None:
    givens = {of.wishes[0]: brief["height"]}
    givens |= {n: brief[n] for n in ("top_diameter", "post_section", "splay", "axis_offset")}
    try:
        length = of.solve(givens).number("post_length")
        return of.solve({**givens, "notch_position": brief["notch_position"] * length})
    except DesignError:
        return None


def swaps(sheet: Sheet, thinned: int) -> list[tuple[str, str]]:
    """(given let go, found value given in its place), wherever the plan still settles all; of
    every `thinned` that could be looked at, one is."""
    of, pairs = sheet.network, []
    follows = [name for name in sheet.values if name not in SHAPING]
    tried = [name for name in sheet.values if name in SHAPING] + follows[::SAMPLED]
    for place, out in enumerate(sheet.givens):
        for new in tried[place % thinned :: thinned]:
            value = sheet[new]
            if value.origin != "found" or value.number is None or value.quantity.whole:
                continue
            plan = of.plan({*sheet.givens, new} - {out})
            same = set(plan.assumptions) == set(sheet.plan.assumptions)
            if not plan.free and not plan.redundant and same:
                pairs.append((out, new))
    return pairs


@cache
def gaps_of(of: Network, assumptions: tuple[Assumption, ...]) -> Callable[[Sequence[float]], Any]:
    """What every relation and assumption in force leaves over, for the values of all quantities in
    order; what is rounded down finds nothing here and is left out."""
    equations = [s.equation for s in (*of.relations, *assumptions)]
    at = {c.symbol: c.si for c in of.constants.values()}
    symbols = [q.symbol for q in of.quantities.values()]
    gaps = [(e.lhs - e.rhs).subs(at) for e in equations if not e.has(sp.floor)]
    function = sp.lambdify(symbols, gaps, "numpy")
    return lambda values: np.array(function(*values), dtype=float)


def condition(sheet: Sheet, givens: frozenset[str]) -> float:
    """Condition number of all relations in all that is to be found, columns scaled by the values;
    the slopes by central differences, good to some seven digits.

    Counts rounded down find nothing here and are left out with the number they count, and so are
    counts that are assumed.
    """
    of = sheet.network
    values = np.array([sheet.si[name] for name in of.quantities])
    gaps = gaps_of(of, tuple(a for a in of.plan(givens).assumptions if not a.quantity.whole))
    columns = []
    for place, (name, q) in enumerate(of.quantities.items()):
        if name in givens or q.whole or sheet.get(name) is None:
            continue
        step = np.zeros(len(values))
        step[place] = STEP * q.to_si(scale_of(q, sheet.number(name)))
        with np.errstate(all="ignore"):
            columns.append((gaps(values + step) - gaps(values - step)) / (2 * STEP))
    matrix = np.transpose(columns)
    # A relation that finds something which has no value in this design is not in force.
    matrix = matrix[np.isfinite(matrix).all(axis=1)]
    matrix /= np.linalg.norm(matrix, axis=1, keepdims=True)
    return float(np.linalg.cond(matrix))


def scale_of(quantity: Quantity, number: float) -> float:
    """What a difference is measured by: the value; for what may be nothing, its range at least."""
    return max(abs(number), 0.01 * quantity.high if quantity.low <= 0 else 0.0)


def apart(sheet: Sheet, other: Sheet) -> float:
    """The largest relative difference between two sheets."""
    worst = 0.0
    for name, value in sheet.values.items():
        number, again = value.number, other.get(name)
        if number is None or again is None:
            worst = worst if number is again else np.inf
        elif not value.quantity.whole:  # a count may jump at a hair's difference
            worst = max(worst, abs(number - again) / scale_of(value.quantity, number))
    return worst


def verdict(sheet: Sheet, out: str, new: str) -> str:
    """Turns the brief round and says how the answer compares; asserts that it is the same table,
    or that the same table is among the answers told."""
    of = sheet.network
    givens = {n: v for n, v in sheet.givens.items() if n != out}
    givens[new] = sheet.number(new)
    worst = condition(sheet, frozenset(givens))
    try:
        other = of.solve(givens)
    except DesignError:
        if worst > ILL:
            return "ill-conditioned"
        raise
    tolerance = max(TOLERANCE, ROUNDINGS * EPSILON * worst)
    difference = apart(sheet, other)
    if difference <= tolerance:
        return "same" if difference <= TOLERANCE else "ill-conditioned"
    for name, numbers in other.alternatives.items():
        value = sheet.number(name)
        told = any(abs(number - value) <= 1e-6 * max(abs(value), 1e-3) for number in numbers)
        if told and apart(sheet, of.solve({**givens, name: value})) <= max(tolerance, 1e-6):
            return "told as an alternative"
    raise AssertionError(
        f"{out} replaced by {new} = {givens[new]!r}: another table, {difference:.1e} away "
        f"(condition {worst:.1e}), and the first is not among {other.alternatives}"
    )


EVERY_WAY = pytest.mark.parametrize(
    "thinned", [THINNED, pytest.param(1, marks=pytest.mark.slow)], ids=["thinned", "every way"]
)


@EVERY_WAY
@pytest.mark.parametrize("family", range(len(FAMILIES)), ids=[" ".join(f) for f in FAMILIES])
def test_the_same_table_comes_back(
    family: int, thinned: int, record_property: Callable[[str, object], None]
) -> None:
    kind, way = FAMILIES[family]
    of = families.network(kind, way_up=way)
    seen: Counter[str] = Counter()
    ill: set[tuple[str, str]] = set()
    turn = count(family * BRIEFS)
    height = (400.0, 520.0) if kind == "stool" else (600.0, 1050.0)

    @settings(
        max_examples=BRIEFS, derandomize=True, deadline=None, database=None,
        phases=(Phase.explicit, Phase.generate),  # a design that fails is told as it was drawn
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(briefs(height))
    def each(brief: dict[str, float]) -> None:
        sheet = first_sheet(of, brief)
        assume(sheet is not None)
        assert sheet is not None
        for out, new in swaps(sheet, thinned)[next(turn) % SHARES :: SHARES]:
            found = verdict(sheet, out, new)
            seen[found] += 1
            if found == "ill-conditioned":
                ill.add((out, new))

    each()
    # Such as the height over sharp corners for the section: with the height of the base given too
    # it tells of the flats alone. Few pairs are like that, and the report names them.
    record_property("ill-conditioned", sorted(ill))
    assert seen["same"] >= 20 // thinned
    # Of a few ways one may be so; of them all a share.
    most = max(0.15 * seen["same"], thinned > 1)
    assert seen["told as an alternative"] <= most
    assert len(ill) <= most, sorted(ill)


@EVERY_WAY
@pytest.mark.parametrize("kind", kinds.KINDS)
def test_so_does_one_that_is_mostly_assumed(kind: str, thinned: int) -> None:
    """Three givens, the square crossing and all else assumed: where most makers begin."""
    of = families.network(kind)
    plain = {"table": (735.0, 920.0, 64.0), "stool": (460.0, 350.0, 45.0)}[kind]
    names = (of.wishes[0], "top_diameter", "post_section")
    sheet = of.solve(dict(zip(names, plain, strict=True)))
    share = list(kinds.KINDS).index(kind)
    seen = Counter(verdict(sheet, out, new) for out, new in swaps(sheet, thinned)[share::2])
    assert seen["same"] >= 15 // thinned
    most = max(0.2 * seen["same"], thinned > 1)
    assert seen["told as an alternative"] + seen["ill-conditioned"] <= most
