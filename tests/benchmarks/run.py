"""How quick the kit is, as ratios measured in one process.

    .venv/bin/python tests/benchmarks/run.py
    .venv/bin/python tests/benchmarks/run.py through_a_loop importing   # some of its parts

Not part of the test run: timings say little on a busy machine. Every line states its target; the
command ends with an error when one is missed by more than the noise of a busy machine, a fifth.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]

import by_hand  # noqa: E402
import numpy as np  # noqa: E402
import sympy as sp  # noqa: E402

from tablekit.engine.network import Network  # noqa: E402
from tablekit.engine.order import ClosedStep  # noqa: E402
from tablekit.engine.plan import assign_roles  # noqa: E402
from tablekit.engine.program import Program  # noqa: E402
from tablekit.engine.sweeps import sweep_chunks  # noqa: E402
from tablekit.engine.trouble import DesignError  # noqa: E402
from tablekit.relations import families  # noqa: E402
from tests.engine.small_networks import unseen  # noqa: E402

GIVENS = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
MILLION = 1_000_000
CHUNK = 8192
NOISE = 1.2


@dataclass
class Line:
    """One line of the report: what, how much, and the target with its sense."""

    what: str
    found: float
    unit: str
    target: float | None = None
    at_least: bool = False

    def missed(self, noise: float = 1.0) -> bool:
        """Whether the target is missed, some noise allowed for."""
        if self.target is None:
            return False
        if self.at_least:
            return self.found * noise < self.target
        return self.found > self.target * noise

    def text(self) -> str:
        """As printed."""
        sense = "at least" if self.at_least else "at most"
        aim = "" if self.target is None else f"{sense} {self.target:g}"
        mark = "MISSED" if self.missed() else "" if self.target is None else "ok"
        return f"{self.what:<72}{self.found:>12.4g} {self.unit:<4}{aim:>14}  {mark}"


def best(action: Callable[[], object], repeats: int, inner: int = 1) -> float:
    """The least seconds of several runs, of this process alone: others' work is not counted."""
    action()
    times = []
    gc.disable()
    for _ in range(repeats):
        start = time.process_time()
        for _ in range(inner):
            action()
        times.append((time.process_time() - start) / inner)
    gc.enable()
    return min(times)


# -- one design ----------------------------------------------------------------------------------


def one_design(of: Network) -> list[Line]:
    """A whole sheet against sympy solving the same relations one by one for the same numbers."""
    sheet = of.solve(GIVENS)
    program, si = sheet.plan.program, {n: of.quantities[n].to_si(v) for n, v in GIVENS.items()}
    ours = best(lambda: of.solve(GIVENS).values, 9, 50)
    bare = best(lambda: program.run(si), 9, 200)
    chains = [(order, best(lambda o=order: by_sympy(of, o), 2)) for order in ("solve", "subs")]
    name, theirs = min(chains, key=lambda pair: pair[1])
    answers = by_sympy(of, name)
    worst = max(abs(answers[n] - sheet.si[n]) / max(abs(sheet.si[n]), 1e-3) for n in answers)
    assert worst < 1e-9, "sympy and the kit disagree"
    return [
        Line("whole sheet, one design (audited)", ours * 1e6, "µs"),
        Line("   numbers alone", bare * 1e6, "µs"),
        Line(f"   the same by sympy.{name} first, relation by relation", theirs * 1e3, "ms"),
        Line("   sympy / whole sheet", theirs / ours, "×", 500, at_least=True),
    ]


def by_sympy(of: Network, order: str) -> dict[str, float]:
    """Every value by sympy.solve, either solving in symbols and then putting numbers in, or the
    other way round, whichever turns out the quicker."""
    values: dict[sp.Symbol, Any] = {c.symbol: c.si for c in of.constants.values()}
    values |= {of.quantities[n].symbol: of.quantities[n].to_si(v) for n, v in GIVENS.items()}
    found = {}
    for step in of.plan(GIVENS).steps:
        assert isinstance(step, ClosedStep)
        symbol, equation = of.quantities[step.unknown].symbol, step.relation.equation
        if equation.has(sp.floor, sp.Min):  # explicit: sympy.solve does not take these
            roots = [equation.rhs.subs(values)]
        elif order == "solve":
            roots = [root.subs(values) for root in sp.solve(equation, symbol)]
        else:
            roots = sp.solve(equation.subs(values), symbol)
        low, high = of.plan(GIVENS).program.range_of(step.unknown)
        numbers = [float(sp.re(root)) for root in roots]
        value = next(x for x in numbers if low - 1e-9 <= x <= high + 1e-9)
        values[symbol] = found[step.unknown] = value
    return found


# -- a million -----------------------------------------------------------------------------------


def columns(count: int) -> dict[str, Any]:
    """Designs spread around the usual one, coherent SI."""
    random = np.random.default_rng(1)
    return {
        "table_height": random.uniform(0.70, 0.76, count),
        "top_diameter": random.uniform(0.90, 1.20, count),
        "post_section": random.uniform(0.055, 0.075, count),
    }


def swept(program: Program, designs: dict[str, Any], names: Sequence[str]) -> float:
    """The sum of the first of these values over all designs; all are handed out."""
    return sum(float(np.sum(v[names[0]])) for _, v, _ in program.chunks(designs, names))


def by_chunks(
    function: Callable[..., Any], designs: dict[str, Any], names: Sequence[str], size: int = CHUNK
) -> float:
    """The sum of a function of these columns, so many designs at a time."""
    return sum(
        float(np.sum(function(*(designs[n][start : start + size] for n in names))))
        for start in range(0, MILLION, size)
    )


def a_million(of: Network) -> list[Line]:
    """The values that are also worked out by hand, asked of the whole network for a million
    designs; reduced to a sum so that nothing need be kept."""
    every, designs = of.plan(GIVENS).program, columns(MILLION)
    wanted = [n for n in by_hand.table(0.7, 0.9, 0.06) if n in every.plan.found]
    wanted.sort(key=lambda name: name != "tipping_load")
    program, few = every.leading_to(wanted), {n: c[: MILLION // 10] for n, c in designs.items()}
    reported = {n: of.quantities[n].from_si(c) for n, c in designs.items()}

    def ours() -> float:
        return swept(program, designs, wanted)

    def shown() -> float:
        return sum(float(np.sum(p["tipping_load"])) for p in sweep_chunks(of, reported, wanted))

    def hand(size: int = CHUNK) -> float:
        return by_chunks(lambda *c: by_hand.table(*c)["tipping_load"], designs, [*GIVENS], size)

    assert abs(ours() / hand() - 1) < 1e-9, "hand and kit disagree"
    kit, chunked = alike(ours, hand, 5)
    plain, sweeps = best(lambda: hand(MILLION), 3), best(shown, 3)
    small, large = peak(lambda: swept(program, few, wanted)), peak(ours)
    return [
        Line(f"a million designs, {len(wanted)} of {len(every.plan.found)} values, judged",
             kit, "s"),
        Line("   hand-written NumPy, the same values, all at once, nothing judged", plain, "s"),
        Line("   hand-written NumPy, a chunk at a time", chunked, "s"),
        Line("   kit / hand-written, all at once", kit / plain, "×", 1.5),
        Line("   kit / hand-written, a chunk at a time", kit / chunked, "×", 1.5),
        Line("   a sweep in reporting units, with reasons / the same", sweeps / chunked, "×"),
        Line("   peak memory", large / 1e6, "MB"),
        Line("   peak memory, a million / a hundred thousand", large / small, "×", 1.05),
    ]  # fmt: skip


def one_value(of: Network) -> list[Line]:
    """One value of the whole network for a million designs, against its own chain by hand."""
    every, designs = of.plan(GIVENS).program, columns(MILLION)
    lines = []
    for name, function, names, target in (
        ("tipping_load", by_hand.tipping_load, [*GIVENS], 1.5),
        # So short that looking at each value twice, for its range, is most of it.
        ("post_length", by_hand.post_length, ["table_height", "post_section"], None),
    ):
        program = every.leading_to([name])

        def ours(program: Program = program, name: str = name) -> float:
            return swept(program, designs, [name])

        def hand(function: Callable[..., Any] = function, names: list[str] = names) -> float:
            return by_chunks(function, designs, names)

        assert abs(ours() / hand() - 1) < 1e-9, "hand and kit disagree"
        kit, theirs = alike(ours, hand, 5)
        steps = len(program.steps)
        lines += [
            Line(f"a million designs, {name} alone, {steps} steps, judged", kit, "s"),
            Line("   kit / its own chain hand-written, a chunk at a time", kit / theirs, "×",
                 target),
        ]  # fmt: skip
    return lines


def alike(
    one: Callable[[], object], other: Callable[[], object], repeats: int
) -> tuple[float, float]:
    """As `best`, of two in turn, so that what else the machine does falls on both."""
    pairs = [(best(one, 1), best(other, 1)) for _ in range(repeats)]
    return min(p[0] for p in pairs), min(p[1] for p in pairs)


def through_a_loop(of: Network) -> list[Line]:
    """Givens that leave several relations to be closed at once."""
    names = ("table_height", "top_diameter", "post_section", "foot_spread", "overhang")
    program, count = of.plan(names).program, 20_000
    random = np.random.default_rng(2)
    designs = {
        **{n: c[:count] for n, c in columns(count).items()},
        "foot_spread": random.uniform(0.6, 0.8, count),
        "overhang": random.uniform(0.05, 0.15, count),
    }
    one = {n: float(c[0]) for n, c in designs.items()}
    single = best(lambda: program.run(one), 5, 20)
    many = best(lambda: list(program.chunks(designs, ["post_length"])), 2) / count
    return [
        Line("one design through a loop of relations, numbers alone", single * 1e6, "µs"),
        Line("   each of twenty thousand", many * 1e6, "µs"),
    ]


def peak(action: Callable[[], object]) -> float:
    """The most bytes held at once, NumPy's own included."""
    gc.collect()
    tracemalloc.start()
    action()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return float(most)


# -- never seen ----------------------------------------------------------------------------------


def never_seen(of: Network, count: int = 20) -> list[Line]:
    """Sets of givens that were never asked for: planned, compiled, solved and audited."""
    fresh = unseen(of)
    start = time.process_time()
    sheet = fresh.solve(GIVENS)
    first = time.process_time() - start
    times = []
    for names in random_sets(of, count):
        givens = {name: sheet.number(name) for name in names}
        start = time.process_time()
        try:
            fresh.solve(givens)
        except DesignError:
            continue  # the values taken by themselves mean another table; it was answered or not
        times.append(time.process_time() - start)
    milliseconds = sorted(t * 1000 for t in times)
    return [
        Line("first set of givens of a new network", first * 1e3, "ms"),
        Line(f"a set of givens never seen, median of {len(times)}",
             statistics.median(milliseconds), "ms", 300),
        Line("   the slowest of them", milliseconds[-1], "ms"),
    ]  # fmt: skip


def random_sets(of: Network, count: int) -> list[tuple[str, ...]]:
    """Random sets of names that settle the design and say nothing twice."""
    random, found = np.random.default_rng(3), []
    names = [n for n, q in of.quantities.items() if not q.whole]
    while len(found) < count:
        few = tuple(random.choice(names, int(random.integers(3, 6)), replace=False).tolist())
        roles = assign_roles(of, frozenset(few))  # names alone: nothing is rearranged yet
        if len(roles.matching.found_by) == len(of.quantities) and not roles.redundant:
            found.append(few)
    return found


# -- importing -----------------------------------------------------------------------------------


def importing(runs: int = 5) -> list[Line]:
    """Fresh processes; the start of Python itself taken off."""
    bare = process("pass", runs)
    kit = process("import tablekit", runs) - bare
    built = process("import tablekit; tablekit.network('table')", runs) - bare
    sheet = process(f"import tablekit; tablekit.network('table').solve({GIVENS})", runs) - bare
    others = process("import sympy, pint", runs) - bare
    adding = process("import sympy, pint; sum(sympy.symbols('a:c'))", runs) - bare
    heavy = ("scipy", "matplotlib", "ipywidgets")
    script = (
        "import sys, tablekit; tablekit.network('table'); "
        f"print([m for m in {heavy} if m in sys.modules])"
    )
    loaded = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True,
                            check=True, cwd=ROOT).stdout.strip()  # fmt: skip
    return [
        Line("import sympy and pint", others, "s"),
        Line("   and a first sum, for which sympy imports more of itself", adding, "s"),
        Line("import tablekit", kit, "s"),
        Line("   import tablekit and build its network / import sympy and pint",
             built / others, "×", 1.3),
        Line("   first sheet of a new process", sheet, "s"),
        Line(f"   of {', '.join(heavy)} loaded: {loaded}",
             float(loaded.count("'") // 2), "", 0),
    ]  # fmt: skip


def process(script: str, runs: int) -> float:
    """Least seconds of a fresh Python that runs the script, of that process alone as in `best`.

    What was imported once is kept compiled, as in any installation, whatever the environment of
    this process says of it."""
    command = [sys.executable, "-c", script]
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    env["PYTHONPYCACHEPREFIX"] = kept_compiled()
    times = []
    for _ in range(runs + 1):
        start = of_children()
        subprocess.run(command, check=True, cwd=ROOT, env=env)
        times.append(of_children() - start)
    return min(times[1:])


@cache
def kept_compiled() -> str:
    """A folder for compiled modules that is gone at the end."""
    folder = tempfile.TemporaryDirectory()
    atexit.register(folder.cleanup)
    return folder.name


def of_children() -> float:
    """Seconds that processors have worked for the processes started from here, up to now."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


PARTS: dict[str, Callable[[Network], list[Line]]] = {
    "one_design": one_design,
    "a_million": a_million,
    "one_value": one_value,
    "through_a_loop": through_a_loop,
    "never_seen": never_seen,
    "importing": lambda _: importing(),
}


def main() -> int:
    """Print the table; 1 when a target is missed by more than the noise."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "parts", nargs="*", metavar="PART", help=f"{', '.join(PARTS)}; left out: all"
    )
    asked = parser.parse_args().parts or list(PARTS)
    if unknown := [name for name in asked if name not in PARTS]:
        parser.error(f"no part is called {', '.join(unknown)}; there are {', '.join(PARTS)}")
    of = families.network("table")
    lines: list[Line] = []
    for name in asked:
        for line in PARTS[name](of):
            print(line.text(), flush=True)
            lines.append(line)
    return int(any(line.missed(NOISE) for line in lines))


if __name__ == "__main__":
    sys.exit(main())
