"""What the engine is asked: designs by other givens, givens that clash, anything at all."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tests.referee.referee import SOMETHING_NEW, Referee, Settled, Tangent
from tests.referee.subjects import Numbers, Random

Kind = Literal["settled", "settled otherwise", "open", "open otherwise", "doubtful"]
# Draws before a design is given up for want of a case of the kind that is looked for.
MOST_DRAWS = 150
LEAST_CHANGE, GREATEST_CHANGE = 0.01, 0.30


@dataclass(frozen=True)
class Design:
    """A design that the referee confirmed: what it was made from, and all its values."""

    givens: Numbers
    values: dict[str, float | None]

    def of(self, names: Sequence[str]) -> Numbers:
        """Its values of these quantities, at full precision."""
        return {name: float(self.values[name]) for name in names}  # type: ignore[arg-type]


@dataclass(frozen=True)
class Swapped:
    """A design given by other quantities of its own.

    kind      "settled": givens and assumptions leave nothing open, and the design meets these
              assumptions; "open": something can still change; either "otherwise" where the design
              does not meet the assumptions, so that another may be meant; "doubtful": too near to
              call
    swaps     how many givens were replaced
    counts    whether a count is among the new ones
    assumed   quantities whose assumption is made
    free      what can still change, but for counts that come of rounding down
    firmness  see `referee.Settled`
    """

    givens: Numbers
    kind: Kind
    swaps: int
    counts: bool
    assumed: tuple[str, ...]
    free: frozenset[str]
    firmness: float


@dataclass(frozen=True)
class Altered:
    """Givens of a design, one or two of them changed, that no design was found to meet.

    equations  whether already the relations alone do not close; else ranges or limits stand in the
               way of what was tried
    """

    givens: Numbers
    altered: tuple[str, ...]
    equations: bool


def names_with_values(referee: Referee, design: Design, counts: bool = False) -> list[str]:
    """Quantities of a design that can be given: counts or all others."""
    whole = {name for name, q in referee.network.quantities.items() if q.whole}
    return [n for n, v in design.values.items() if v is not None and (n in whole) == counts]


# -- swaps ----------------------------------------------------------------------------------------


def swapped(
    referee: Referee, tangent: Tangent, design: Design, random: Random, swaps: int, kind: Kind
) -> Swapped | None:
    """A case of one kind with so many givens replaced; None where none was drawn."""
    for _ in range(MOST_DRAWS):
        case = swap(referee, tangent, design, random, swaps)
        if case.kind == kind:
            return case
    return None


def swap(
    referee: Referee, tangent: Tangent, design: Design, random: Random, swaps: int,
    counts: bool = False,
) -> Swapped:  # fmt: skip
    """So many givens of a design replaced by others of its quantities, one of them a count where
    `counts` says so."""
    swaps = min(swaps, len(design.givens))
    others = [n for n in names_with_values(referee, design) if n not in design.givens]
    out = random.choice(list(design.givens), swaps, replace=False)
    new = [str(n) for n in random.choice(others, swaps, replace=False)]
    if counts:
        new[0] = str(random.choice(names_with_values(referee, design, counts=True)))
    names = [*(n for n in design.givens if n not in out), *new]
    settled = tangent.settle(names)
    return Swapped(
        design.of(names), kind_of(settled, tangent), swaps, counts, settled.assumed,
        settled.free - referee.rounded, settled.firmness,
    )  # fmt: skip


def kind_of(settled: Settled, tangent: Tangent) -> Kind:
    """How far a design is settled, and whether it is the one that is meant."""
    if settled.doubtful or (not settled.open and settled.firmness < SOMETHING_NEW):
        return "doubtful"
    met = all(assumption.name in tangent.met for assumption in settled.in_force)
    if settled.open:
        return "open" if met else "open otherwise"
    return "settled" if met else "settled otherwise"


# -- givens that clash ----------------------------------------------------------------------------


def altered(
    referee: Referee, tangent: Tangent, design: Design, others: Sequence[Design], random: Random
) -> Altered | None:
    """Four to fourteen values of a design, one or two of them changed; None where the search found
    a design all the same."""
    names = clashing_names(referee, tangent, design, random)
    follows = tangent.circuit(names)
    may_change = [n for n in follows or names if design.values[n]]
    if not may_change:
        return None
    count = min(len(may_change), int(random.integers(1, 3)))
    changed = tuple(str(n) for n in random.choice(may_change, count, replace=False))
    givens = design.of(names)
    for name in changed:
        quantity = referee.network.quantities[name]
        share = random.uniform(LEAST_CHANGE, GREATEST_CHANGE) * random.choice([-1, 1])
        givens[name] = min(max(givens[name] * (1 + share), quantity.low), quantity.high)
    if any(math.isclose(givens[n], design.of([n])[n], rel_tol=LEAST_CHANGE / 2) for n in changed):
        return None
    near = [design.values, *nearest(referee, givens, others)]
    found = referee.design_exists(givens, near=near)
    if found:
        return None
    return Altered(givens, changed, found.closest > 1e-6)


def clashing_names(referee: Referee, tangent: Tangent, design: Design, random: Random) -> list[str]:
    """Four to fourteen quantities; four times in five, some of them follow from the others."""
    every = names_with_values(referee, design)
    largest = min(14, len(every))
    size = int(random.integers(min(4, largest), largest + 1))
    if random.random() < 0.2:
        return [str(n) for n in random.choice(every, size, replace=False)]
    for _ in range(MOST_DRAWS):
        together = neighbours(referee, random, int(random.integers(3, size + 1)), set(every))
        rest = [n for n in every if n not in together]
        more = random.choice(rest, min(len(rest), size - len(together)), replace=False)
        names = [*together, *(str(n) for n in more)]
        if tangent.circuit(names):
            break
    return names


def neighbours(referee: Referee, random: Random, size: int, allowed: set[str]) -> list[str]:
    """Quantities that few relations tie to one another: a walk from relation to relation."""
    compiled = referee.compiled
    relations = list(range(compiled.relations))
    met: set[str] = set()
    row = int(random.choice(relations))
    for _ in range(50):
        met |= {referee.names[i] for i in compiled.uses[row]} & allowed
        if len(met) >= 2 * size:
            break
        through = int(random.choice(compiled.uses[row]))
        row = int(random.choice([i for i in relations if through in compiled.uses[i]]))
    names = sorted(met)
    return [str(n) for n in random.choice(names, min(size, len(names)), replace=False)]


def nearest(
    referee: Referee, givens: Mapping[str, float], designs: Sequence[Design], most: int = 3
) -> list[dict[str, float | None]]:
    """Of other designs, those whose values come nearest to the givens."""

    def distance(design: Design) -> float:
        values = ((given, design.values[name]) for name, given in givens.items())
        return sum(1 if v is None else abs(v - g) / max(abs(v), abs(g), 1e-9) for g, v in values)

    return [design.values for design in sorted(designs, key=distance)[:most]]


# -- anything at all ------------------------------------------------------------------------------


def anything(referee: Referee, random: Random) -> Numbers:
    """One to fourteen quantities at random, counts too, each anywhere in its range."""
    names = referee.names
    size = int(random.integers(1, min(14, len(names)) + 1))
    return {str(n): _within(referee, str(n), random) for n in random.choice(names, size, False)}


def _within(referee: Referee, name: str, random: Random) -> float:
    quantity = referee.network.quantities[name]
    low, high = quantity.low, quantity.high
    if quantity.whole:
        return float(random.integers(math.ceil(low), min(math.floor(high), 1000) + 1))
    if random.random() < 0.05:  # the very ends
        return float(random.choice([low, high]))
    if low > 0:
        return float(np.clip(math.exp(random.uniform(math.log(low), math.log(high))), low, high))
    if low == 0 and random.random() < 0.7:
        return float(high * 10 ** random.uniform(-6, 0))
    return float(random.uniform(low, high))


def like(design: Design, givens: Mapping[str, float], referee: Referee, random: Random) -> Numbers:
    """The same names with values near those of a design, in range."""
    found = {}
    for name, given in givens.items():
        quantity, value = referee.network.quantities[name], design.values[name]
        near = given if value is None else value * random.uniform(0.8, 1.2)
        near = round(near) if quantity.whole else near
        found[name] = float(np.clip(near, quantity.low, quantity.high))
    return found
