"""Mutation tests of the engine and the relations: how many small changes do the tests notice?

    python -m tests.mutation.run --package relations --sample 300 --seed 1 --to report.md
    python -m tests.mutation.run --package engine --again report.csv --to again.md

Slow, and not run with the suite. Wants `pip install cosmic-ray coverage`, which are not among what
the tests need. Beside the report stands a .csv with one row for each mutant; `--again` tries once
more those that such a file calls survivors. What each test file reaches is measured first, which
takes minutes, and kept in the file named by `--reach`.

A survivor in survivors.toml has been looked at, and the reason stands there; it is counted apart.
"""

from __future__ import annotations

import argparse
import csv
import sys
import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

from tests.mutation import trial
from tests.mutation.mutants import Mutant, drawn, files_of, population
from tests.mutation.reach import PACKAGES, Reach

EXPLAINED = Path(__file__).with_name("survivors.toml")
COLUMNS = (
    "file", "line", "column", "operator", "occurrence", "function", "was", "now",
    "outcome", "by", "seconds",
)  # fmt: skip
GRACE = 30.0  # seconds: a child has to import the kit, and the machine may be busy
SLOWER = 4.0  # times as long as with nothing changed
Row = dict[str, str]


# -- what has been explained ----------------------------------------------------------------------


@cache
def explained() -> dict[tuple[str, str, str, str], str]:
    """The reason by (file, function, line as it was, line as it is in the mutant)."""
    said = tomllib.loads(EXPLAINED.read_text("utf-8")).get("survivor", ())
    return {
        (one["file"], one["function"], was, now): one["reason"]
        for one in said
        for was, now in ((one["was"], now) for now in one["now"])
    }


def reason(row: Row) -> str:
    """Why a survivor may survive, or ""."""
    return explained().get((row["file"], row["function"], row["was"], row["now"]), "")


# -- trying ---------------------------------------------------------------------------------------


def tried(mutants: Iterable[Mutant], reach: Reach, budget: float) -> Iterator[Row]:
    """A row for each mutant, as it becomes known."""
    for mutant in mutants:
        was, now = mutant.lines()
        row = {name: str(getattr(mutant, name)) for name in COLUMNS[:5]}
        row |= {"function": mutant.function(), "was": was, "now": now}
        tests = reach.chosen(mutant, budget)
        if not tests:
            yield row | {"outcome": "survived", "by": "no test gets there", "seconds": "0.0"}
            continue
        usual = sum(reach.seconds(arguments[0]) for arguments in tests)
        limit = GRACE + SLOWER * usual
        found = trial.try_tests(mutant.source(), mutant.module, mutant.path, tests, limit)
        yield row | {"outcome": found.what, "by": found.by, "seconds": f"{found.seconds:.1f}"}


def survivors_of(path: Path, package: str) -> list[Mutant]:
    """The mutants of a package that a .csv of an earlier run calls survivors."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["outcome"] == "survived"]
    return [
        Mutant(r["file"], r["operator"], int(r["occurrence"]), int(r["line"]), int(r["column"]))
        for r in rows
        if f"/{package}/" in r["file"]
    ]


def kept(rows: Iterable[Row], path: Path, total: int) -> list[Row]:
    """All rows, each written to a .csv as soon as it is there."""
    found = []
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        for row in rows:
            found.append(row)
            writer.writerow(row)
            file.flush()
            print(
                f"{len(found)}/{total} {row['outcome']:8} {row['file']}:{row['line']}", flush=True
            )
    return found


# -- the report -----------------------------------------------------------------------------------


def figures(rows: Iterable[Row]) -> Counter[str]:
    """How many were killed, by time, survived and explained, or survived without a reason."""
    names = {"killed": "killed", "time": "by time"}
    return Counter(
        names.get(row["outcome"]) or ("explained" if reason(row) else "unexplained") for row in rows
    )


def summary(rows: list[Row]) -> str:
    """The figures in a line."""
    of = figures(rows)
    dead, all_told = of["killed"] + of["by time"], len(rows)
    share = 100 * dead / (all_told or 1)
    looked_at = all_told - of["explained"]
    of_those = 100 * dead / (looked_at or 1)
    return (
        f"{all_told} mutants: {dead} killed ({share:.1f} %), {of['by time']} of them by time;"
        f" {of['explained']} survivors explained, {of['unexplained']} not"
        f" ({of_those:.1f} % of those that are not explained are killed)"
    )


def report(rows: list[Row], head: str, left: Counter[str]) -> str:
    """The whole report, in Markdown."""
    by_file: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_file[row["file"]].append(row)
    columns = ("killed", "by time", "explained", "unexplained")
    lines = [f"# {head}", "", summary(rows), ""]
    kinds = ", ".join(f"{kind} {count}" for kind, count in sorted(left.items()))
    lines += [f"Left out of the drawing by kind: {kinds or 'nothing'}.", ""]
    lines += [f"| file | mutants | {' | '.join(columns)} |", "|---" * 6 + "|"]
    for file, its in sorted(by_file.items()):
        of = figures(its)
        lines.append(f"| {file} | {len(its)} | {' | '.join(str(of[c]) for c in columns)} |")
    for title, wanted in (("Not explained", False), ("Explained", True)):
        lines += ["", f"## {title}", ""]
        survivors = [row for row in rows if row["outcome"] == "survived"]
        lines += [shown(row) for row in survivors if bool(reason(row)) == wanted]
    return "\n".join(lines) + "\n"


def shown(row: Row) -> str:
    """A survivor, with what was changed."""
    where = f"{row['file']}:{row['line']} {row['function']}".strip()
    before = "\n".join(f"- {line}" for line in row["was"].splitlines())
    after = "\n".join(f"+ {line}" for line in row["now"].splitlines())
    why = reason(row) or row["by"]
    return f"{where}\n\n```diff\n{before}\n{after}\n```\n{why}\n"


def main() -> int:
    """Draw, try and report; 1 where a survivor is not explained."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--package", choices=PACKAGES, required=True)
    parser.add_argument("--sample", type=int, help="how many; all where it is left out")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--file", help="of one file of the package only, by its name")
    parser.add_argument("--again", type=Path, metavar="CSV", help="the survivors of an earlier run")
    parser.add_argument(
        "--budget", type=float, default=60.0, help="seconds of tests for a survivor"
    )
    parser.add_argument("--reach", type=Path, default=Path("reach.json"))
    parser.add_argument("--to", type=Path, default=Path("mutation.md"))
    asked = parser.parse_args()
    trial.ready()
    reach = Reach.at(asked.reach)
    files = [f for f in files_of(asked.package) if asked.file in (None, Path(f).name)]
    every, left = population(files)
    if asked.again:
        mutants = survivors_of(asked.again, asked.package)
        head = f"{asked.package}: survivors of {asked.again.name} once more"
    else:
        mutants = drawn(every, asked.sample, asked.seed)
        head = f"{asked.package}: {len(mutants)} of {len(every)} mutants, seed {asked.seed}"
    rows = kept(tried(mutants, reach, asked.budget), asked.to.with_suffix(".csv"), len(mutants))
    asked.to.write_text(report(rows, head, left), encoding="utf-8")
    print(summary(rows))
    return 1 if figures(rows)["unexplained"] else 0


if __name__ == "__main__":
    sys.exit(main())
