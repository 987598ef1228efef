"""Whether the engine says only what is true, judged from outside by tests/referee:

    python -m tests.slow.engine_truth                       all of it: 200 designs, hours
    python -m tests.slow.engine_truth --designs 20 --only swaps clashes
    python -m tests.slow.engine_truth --only anything --sets 100000 --explain 50
    python -m tests.slow.engine_truth --subject lens pendulum --failures failures.jsonl

swaps     designs given anew by other quantities of their own: is the design found again, or
          listed among the alternatives? where too little is given, is that said, and do the
          offers settle it?
clashes   values of a design, one or two of them changed so that the referee finds no design: are
          they refused, can no named clash hold, does every release mend?
anything  random quantities with random values: does nothing but an answer or a DesignError come
out? search    how often the referee itself finds a design that is known to be there

Ends with 1 where anything failed; each failure is a line of JSON in the file given by --failures.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")  # small matrices; the processes share the cores

import argparse
import json
import multiprocessing
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.referee import cases
from tests.referee.cases import Design
from tests.referee.judging import Judge, Verdicts, ask
from tests.referee.referee import Referee
from tests.referee.subjects import PIECES, SMALL, Random, Subject

PARTS = ("swaps", "clashes", "anything", "search")
SHARES = {subject.name: 1 for subject in PIECES} | {PIECES[0].name: 2}  # of the designs
TASKS_A_PROCESS = 20  # plans are kept for good, so a process is ended now and then
SETS_A_TASK = 25
DRAWS_A_CLASH = 12
LEFT_OUT = "Sets drawn for a clash and left out"
MOST_DRAWS_A_DESIGN = 20

# What the processes work on; they are forked, so it is there without being sent.
JUDGES: list[Judge] = []
SUBJECTS: list[Subject] = []


@dataclass(frozen=True)
class Task:
    """Work for one process: a part, a subject, which design, or how many sets of anything and of
    how many one is explained."""

    part: str
    subject: int
    index: int
    seed: int
    sets: int = 0
    explain: int = 1

    @property
    def random(self) -> Random:
        """Numbers of its own, whichever process does it."""
        part = ("designs", *PARTS).index(self.part)
        return np.random.default_rng([self.seed, part, self.subject, self.index])


# -- the parts ------------------------------------------------------------------------------------


def make(task: Task) -> tuple[Design | None, Verdicts]:
    """A design that is answered and confirmed."""
    judge, subject, random = JUDGES[task.subject], SUBJECTS[task.subject], task.random
    verdicts = Verdicts()
    for _ in range(MOST_DRAWS_A_DESIGN):
        givens, values = subject.draw(random)
        if values is not None:  # worked out by hand
            if wrong := judge.referee.violations(values, givens):
                raise AssertionError(f"{subject.name} is declared wrongly: {wrong}")
            verdicts.counts["Designs", subject.name, "kept"] += 1
            return Design(givens, dict(values)), verdicts
        answer = ask(judge.network, givens)
        if answer.sheet is None:
            verdicts.counts["Designs", subject.name, "refused"] += 1
            continue
        if wrong := judge.referee.violations(answer.values, givens):
            verdicts.counts["Designs", subject.name, "not exact"] += 1
            judge.fail(verdicts, "as drawn: not exact", givens, why=wrong[:5], values=answer.values)
            continue
        verdicts.counts["Designs", subject.name, "kept"] += 1
        return Design(givens, answer.values), verdicts
    return None, verdicts


def swaps(task: Task) -> Verdicts:
    """One design, one to four of its givens swapped, and once a count given."""
    judge, random = JUDGES[task.subject], task.random
    design = judge.designs[task.index]
    tangent = judge.referee.tangent(design.values)
    verdicts = Verdicts()
    for count in range(1, min(4, len(design.givens)) + 1):
        for kind in ("settled", "settled otherwise", "open"):
            case = cases.swapped(judge.referee, tangent, design, random, count, kind)
            if case is not None:
                verdicts.add(judge.swapped(case, design))
    if cases.names_with_values(judge.referee, design, counts=True):
        case = cases.swap(judge.referee, tangent, design, random, 1, counts=True)
        verdicts.add(judge.swapped(case, design))
    return verdicts


def clashes(task: Task) -> Verdicts:
    """One set of givens that no design was found to meet."""
    judge, random = JUDGES[task.subject], task.random
    verdicts = Verdicts()
    for _ in range(DRAWS_A_CLASH):
        design = judge.designs[int(random.integers(len(judge.designs)))]
        tangent = judge.referee.tangent(design.values)
        others = [other for other in judge.designs if other is not design]
        case = cases.altered(judge.referee, tangent, design, others, random)
        if case is not None:
            verdicts.add(judge.altered(case, design))
            break
        verdicts.counts[LEFT_OUT, judge.subject, "a design found all the same"] += 1
    return verdicts


def anything(task: Task) -> Verdicts:
    """Some random sets; every third with values like those of a design."""
    judge, random = JUDGES[task.subject], task.random
    verdicts = Verdicts()
    explained = random.integers(task.explain, size=task.sets) == 0
    for number in range(task.sets):
        givens = cases.anything(judge.referee, random)
        if number % 3 == 0 and judge.designs:
            design = judge.designs[int(random.integers(len(judge.designs)))]
            givens = cases.like(design, givens, judge.referee, random)
        verdicts.add(judge.anything(givens, why=bool(explained[number])))
    return verdicts


def search(task: Task) -> Verdicts:
    """Whether the referee finds a design from the values of some quantities of one that it is not
    shown."""
    judge, random = JUDGES[task.subject], task.random
    design = judge.designs[task.index]
    names = cases.names_with_values(judge.referee, design)
    size = int(random.integers(min(4, len(names)), min(14, len(names)) + 1))
    givens = design.of([str(n) for n in random.choice(names, size, replace=False)])
    others = [other for other in judge.designs if other is not design]
    start = time.perf_counter()
    found = judge.referee.design_exists(givens, near=cases.nearest(judge.referee, givens, others))
    verdicts = Verdicts()
    table = "The referee's own search, of designs that are there"
    verdicts.counts[table, judge.subject, "found" if found else "missed"] += 1
    seconds = time.perf_counter() - start
    verdicts.times.append((f"search: {'found' if found else 'missed'}", seconds, list(givens)))
    return verdicts


WORK: dict[str, Callable[[Task], Verdicts]] = {
    "swaps": swaps, "clashes": clashes, "anything": anything, "search": search,
}  # fmt: skip


def work(task: Task) -> Verdicts:
    """Does a task of any part."""
    return WORK[task.part](task)


# -- the run --------------------------------------------------------------------------------------


def tasks(asked: argparse.Namespace) -> Iterator[Task]:
    """All that is asked for, the subjects in turn."""
    for part in PARTS:
        if part not in asked.only:
            continue
        for subject, judge in enumerate(JUDGES):
            if part == "anything":
                sets = asked.sets // len(JUDGES) + (subject < asked.sets % len(JUDGES))
                for index, first in enumerate(range(0, sets, SETS_A_TASK)):
                    size = min(SETS_A_TASK, sets - first)
                    yield Task(part, subject, index, asked.seed, size, asked.explain)
                continue
            for index in range(len(judge.designs)):
                yield Task(part, subject, index, asked.seed)


def designs_of(subject: Subject, subjects: Sequence[Subject], count: int) -> int:
    """How many designs of a subject: a fifth each of the small ones, the rest by their shares."""
    if subject.name not in SHARES:
        return max(2, count // 5)
    whole = sum(SHARES[s.name] for s in subjects if s.name in SHARES)
    return max(2, round(count * SHARES[subject.name] / whole))


def run(asked: argparse.Namespace) -> Verdicts:
    """Makes the designs, then does every part on them."""
    verdicts = Verdicts()
    SUBJECTS[:] = [s for s in (*PIECES, *SMALL) if _wanted(s, asked.subject)]
    if not SUBJECTS:
        raise SystemExit(f"no subject has one of these words in its name: {asked.subject}")
    JUDGES[:] = [
        Judge(subject.name, _group(subject), Referee(subject.network), []) for subject in SUBJECTS
    ]
    drawn = [
        Task("designs", number, index, asked.seed)
        for number, subject in enumerate(SUBJECTS)
        for index in range(designs_of(subject, SUBJECTS, asked.designs))
    ]
    for task, (design, found) in zip(drawn, _spread(make, drawn, asked.processes), strict=True):
        verdicts.add(found)
        _write(asked.failures, found)
        if design is not None:
            JUDGES[task.subject].designs.append(design)
    todo = list(tasks(asked))
    began = time.monotonic()
    for done, found in enumerate(_spread(work, todo, asked.processes), 1):
        verdicts.add(found)
        _write(asked.failures, found)
        if sys.stderr.isatty():
            spent = time.monotonic() - began
            print(f"\r{done} of {len(todo)} in {spent:.0f} s", end="", file=sys.stderr)
    return verdicts


def _write(path: Path | None, verdicts: Verdicts) -> None:
    """Adds failures to the file at once: a run of hours may be broken off."""
    if path is not None:
        with path.open("a", encoding="utf-8") as file:
            for one in (*verdicts.failures, *({"kind": "slow", **n} for n in verdicts.noted)):
                file.write(f"{json.dumps(one, default=list)}\n")


def _spread(function, todo: Sequence[Task], processes: int):  # type: ignore[no-untyped-def]
    context = multiprocessing.get_context("fork")
    with context.Pool(processes, maxtasksperchild=TASKS_A_PROCESS) as pool:
        yield from pool.imap(function, todo)


def _group(subject: Subject) -> str:
    return "the kit's pieces" if subject in PIECES else "other subjects"


def _wanted(subject: Subject, words: Sequence[str]) -> bool:
    return not words or any(word in subject.name for word in words)


# -- what is printed ------------------------------------------------------------------------------

# In this order; others after them.
COLUMNS = (
    "kept", "found", "as said", "a design", "mends all", "mends its clash", "true", "listed",
    "another", "none found", "NotEnoughGiven", "Contradiction", "OutsideLimits", "RangeError",
    "too little", "refused", "refused, as assumed", "refused, as unusual", "answered after all",
    "no number",
)  # fmt: skip


def table(verdicts: Verdicts, name: str) -> Iterator[str]:
    """One table: for each row how many cases there were, and what came of them. What stands in
    brackets is counted apart from that."""
    yield f"\n{name}"
    counts = verdicts.counts.items()
    mine = {(row, column): n for (title, row, column), n in counts if title == name}
    for row in sorted({row for row, _ in mine}):
        found = {column: n for (r, column), n in mine.items() if r == row}
        whole = sum(n for column, n in found.items() if not column.startswith("("))
        parts = [
            f"{column} {found[column]} ({100 * found[column] / whole:.1f} %)"
            for column in sorted(found, key=_place)
        ]
        yield f"  {row:<30}{whole:>6}: {', '.join(parts)}"


def _place(column: str) -> tuple[int, str]:
    return (COLUMNS.index(column) if column in COLUMNS else len(COLUMNS), column)


def timing(verdicts: Verdicts) -> Iterator[str]:
    """Median, 95th percentile and longest of each kind of answer, with what took longest."""
    yield "\nSeconds of CPU for an answer (median, 95 of 100, longest, and what for)"
    for row in sorted({row for row, _, _ in verdicts.times}):
        mine = sorted((s, names) for r, s, names in verdicts.times if r == row)
        seconds = [s for s, _ in mine]
        middle, high = np.percentile(seconds, [50, 95])
        slowest = ", ".join(mine[-1][1])
        yield f"  {row:<44}{middle:>8.3f}{high:>8.3f}{seconds[-1]:>8.2f}  {slowest:.90}"


def main(words: Sequence[str] | None = None) -> int:
    """Run as asked; 0 where nothing failed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--designs", type=int, default=200, help="of the kit's pieces, in all")
    parser.add_argument("--sets", type=int, default=1000, help="of anything, in all")
    parser.add_argument(
        "--explain", type=int, default=1, metavar="N",
        help="of anything, have one refusal in N explained, which takes most of the time",
    )  # fmt: skip
    parser.add_argument("--only", nargs="+", choices=PARTS, default=PARTS, metavar="PART")
    parser.add_argument("--subject", nargs="+", default=[], help="those with a word in their name")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--failures", type=Path, help="file for every failure, a line of JSON each")
    asked = parser.parse_args(words)
    if asked.failures:
        asked.failures.write_text("", encoding="utf-8")
    began = time.monotonic()
    verdicts = run(asked)
    for name in dict.fromkeys(title for title, _, _ in verdicts.counts):
        print("\n".join(table(verdicts, name)))
    print("\n".join(timing(verdicts)))
    print(f"\n{len(verdicts.failures)} failures; {time.monotonic() - began:.0f} s")
    return 1 if verdicts.failures else 0


if __name__ == "__main__":
    sys.exit(main())
