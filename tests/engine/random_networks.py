"""Networks built backwards from a known solution, for tests that must not trust the solver."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import sympy as sp
from hypothesis import strategies as st

from tablekit.engine.network import Network
from tablekit.engine.order import TogetherStep
from tests.engine.small_networks import network, quantity, relation

LOW, HIGH = 0.05, 60.0
# Two quantities in, one number out; the angles stay between 7° and 70°.
FORMS = {
    "sum": lambda x, y: x + 2 * y,
    "difference": lambda x, y: 3 * x - y,
    "product": lambda x, y: x * y,
    "quotient": lambda x, y: x / y,
    "squares": lambda x, y: x**2 + y**2,
    "cube": lambda x, y: x**3 / 4 + y,
    "root": lambda x, y: sp.sqrt(x * y),
    "root of sum": lambda x, y: sp.sqrt(x + y**2),
    "sine": lambda x, y: y * sp.sin(x * sp.Rational(2, 5)),
    "cosine": lambda x, y: y + sp.cos(x * sp.Rational(2, 5)),
    "tangent": lambda x, y: sp.tan(x * sp.Rational(2, 5)) / y,
}


@dataclass
class Known:
    """A network, a solution of it, and which names to give."""

    network: Network
    values: dict[str, float]
    givens: tuple[str, ...]

    def gaps(self, values: dict[str, float]) -> list[float]:
        """What each relation leaves over, by plain evaluation."""
        return [float(gap(*(values[n] for n in names))) for names, gap in self._gaps]

    @cached_property
    def _gaps(self) -> list[tuple[tuple[str, ...], object]]:
        found = []
        for r in self.network.relations:
            symbols = sorted(r.equation.free_symbols, key=str)
            gap = sp.lambdify(symbols, r.equation.lhs - r.equation.rhs, "math")
            found.append((tuple(s.name for s in symbols), gap))
        return found

    def most_tried(self) -> int:
        """How many values the plan has to try at once."""
        steps = self.network.plan(self.givens).steps
        return max((len(s.tried) for s in steps if isinstance(s, TogetherStep)), default=0)

    def condition(self) -> float:
        """Condition number of the relations in what is to be found, at the known solution."""
        unknowns = [n for n in self.values if n not in self.givens]
        columns = []
        for name in unknowns:
            step = 1e-6 * self.values[name]
            above, below = ({**self.values, name: self.values[name] + s} for s in (step, -step))
            rise = np.subtract(self.gaps(above), self.gaps(below))
            columns.append(rise * self.values[name] / (2 * step))
        slopes = np.array(columns)
        return float(np.linalg.cond(slopes)) if slopes.size else 1.0


@st.composite
def known_networks(draw: st.DrawFn) -> Known | None:
    """Three to seven quantities, two relations or more; None where they repeat each other."""
    count = draw(st.integers(3, 7))
    size = st.floats(0.3, 3.0).map(lambda v: round(v, 6))
    values = {f"q{i}": draw(size) for i in range(count)}
    of = {name: quantity(name, LOW, HIGH) for name in values}
    relations = []
    for index in range(draw(st.integers(2, count - 1))):
        x, y, z = draw(st.permutations(sorted(values)))[:3]
        form = FORMS[draw(st.sampled_from(sorted(FORMS)))]
        factor = draw(st.sampled_from([0.5, 1.3, 2.0]))
        left = form(of[x].symbol, of[y].symbol)
        level = float(form(sp.Float(values[x]), sp.Float(values[y]))) - factor * values[z]
        relations.append(relation(f"r{index}", left - level, factor * of[z].symbol))
    order = draw(st.permutations(sorted(values)))
    return build(list(of.values()), relations, values, order)


def build(of: list, relations: list, values: dict, order: list) -> Known | None:  # type: ignore[type-arg]
    """The network with the first names of `order` that together settle it."""
    from tablekit.engine.trouble import RelationError

    try:
        made = network(of, relations)
    except RelationError:
        return None
    matching = made.matched.copy()
    givens = tuple(name for name in order if matching.add(f"given {name}", (name,)))
    return Known(made, values, givens)


def entangled(seed: int) -> Known | None:
    """Five to seven quantities, given so that as many values as may be must be tried at once."""
    random = np.random.default_rng(seed)
    names = [f"q{i}" for i in range(int(random.integers(5, 8)))]
    values = {name: round(float(random.uniform(0.3, 3)), 6) for name in names}
    of = {name: quantity(name, LOW, HIGH) for name in names}
    relations = []
    for index in range(int(random.integers(3, len(names)))):
        x, y, z = random.choice(names, 3, replace=False)
        form = FORMS[sorted(FORMS)[int(random.integers(len(FORMS)))]]
        factor = float(random.choice([0.5, 1.3, 2.0]))
        level = float(form(sp.Float(values[x]), sp.Float(values[y]))) - factor * values[z]
        left = form(of[x].symbol, of[y].symbol) - level
        relations.append(relation(f"r{index}", left, factor * of[z].symbol))
    orders = [[str(n) for n in random.permutation(names)] for _ in range(8)]
    first = build(list(of.values()), relations, values, orders[0])
    if first is None:
        return None
    ways = [first]
    for order in orders[1:]:
        matching = first.network.matched.copy()
        givens = tuple(name for name in order if matching.add(f"given {name}", (name,)))
        ways.append(Known(first.network, values, givens))
    return max(ways, key=Known.most_tried)
