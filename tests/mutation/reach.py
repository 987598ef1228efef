"""Which tests to run against a mutant, and in which order.

Each test file is run once with nothing changed, which tells the lines it reaches and its time. A
mutant is then tried with the files that reach its statement, the likely killers first.
"""

from __future__ import annotations

import ast
import csv
import hashlib
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from tests.mutation import trial
from tests.mutation.mutants import Mutant, tree_of

ROOT = Path(__file__).parents[2]
PACKAGES = ("engine", "relations")
# The quick suite: what draws, prints, serves or feeds faults is slow and far from the formulas.
FOLDERS = ("engine", "relations", "published", "planning", ".")
FAR = (
    "test_architecture.py", "test_cli.py", "test_documents.py", "test_round_trip.py",
    "test_working_copy.py",
)  # fmt: skip
# Tests over whatever is declared; they hold the printed checks of every relation.
OVER_EVERY = (
    "tests/relations/test_declarations.py", "tests/relations/test_every_relation.py",
    "tests/relations/test_workshop.py", "tests/relations/test_against_vectors.py",
    "tests/relations/test_splayed_declarations.py",
)  # fmt: skip
# Where the printed checks lie: short, and before all else of those files.
PRINTED = ("-k", "printed")
LONG = 12.0  # seconds; a longer test would be most of the time of every survivor


def test_files() -> list[str]:
    """The test files of the quick suite."""
    found = (path for folder in FOLDERS for path in (ROOT / "tests" / folder).glob("test_*.py"))
    return sorted(str(path.relative_to(ROOT)) for path in found if path.name not in FAR)


def digest(file: str) -> str:
    """Tells a test file from the same one changed."""
    return hashlib.sha256((ROOT / file).read_bytes()).hexdigest()[:16]


class Reach:
    """What each test file reaches and takes."""

    def __init__(self, measured: dict[str, dict[str, Any]]) -> None:
        self.measured = measured

    @classmethod
    def at(cls, path: Path) -> Reach:
        """Read from a file; tests that are not in it, or have changed, are measured and added."""
        found = json.loads(path.read_text("utf-8")) if path.exists() else {}
        missing = [f for f in test_files() if found.get(f, {}).get("text") != digest(f)]
        for number, file in enumerate(missing, 1):
            print(f"measuring {number} of {len(missing)}: {file}", flush=True)
            found[file] = {"text": digest(file), **trial.measured(file, PACKAGES)}
            if found[file]["fell"]:
                raise RuntimeError(f"{found[file]['fell']} fails with nothing changed")
            path.write_text(json.dumps(found), encoding="utf-8")
        return cls(found)

    def seconds(self, file: str) -> float:
        """How long the tests of a file take that are run; the rest of its time is set aside."""
        return sum(s for s in self.measured[file]["seconds"].values() if s <= LONG)

    def arguments(self, file: str) -> list[str]:
        """The file, less its longest tests."""
        long = [test for test, s in self.measured[file]["seconds"].items() if s > LONG]
        return [file, *(f"--deselect={test}" for test in long)]

    def reaches(self, mutant: Mutant) -> list[str]:
        """The test files that reach its statement."""
        wanted = statement(mutant)
        lines = {file: m["lines"].get(mutant.file, ()) for file, m in self.measured.items()}
        return [file for file, reached in lines.items() if wanted & set(reached)]

    def chosen(self, mutant: Mutant, budget: float) -> list[list[str]]:
        """Arguments for one run of pytest after another: the first always, and as many as come to
        `budget` seconds."""
        files = self.reaches(mutant)
        found = [[f, *PRINTED] for f in OVER_EVERY if f in files and "/relations/" in mutant.file]
        spent = 0.0
        for file in sorted(files, key=lambda f: (nearness(mutant, f), self.seconds(f))):
            takes = self.seconds(file)
            if not found or spent + takes <= budget:  # a long one leaves room for shorter ones
                spent += takes
                found.append(self.arguments(file))
        return found


@cache
def statement_of(file: str, line: int) -> frozenset[int]:
    """The lines of the smallest statement about a line; of one with a body, its head only."""
    best = range(line, line + 1)
    for node in ast.walk(tree_of(file)):
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if body else node.end_lineno
            span = range(node.lineno, max(last or line, node.lineno) + 1)
            if line in span and (best == range(line, line + 1) or len(span) < len(best)):
                best = span
    return frozenset(best)


def statement(mutant: Mutant) -> frozenset[int]:
    """The lines of the mutant's statement."""
    return statement_of(mutant.file, mutant.line)


def nearness(mutant: Mutant, file: str) -> int:
    """0 for the tests named after the module, 1 for the ledger's, 2 for those that import it, 3 for
    those over every relation, 4 for the rest."""
    _, package, name = mutant.file.split("/")
    if file == f"tests/{package}/test_{name}":
        return 0
    if file in witnesses().get(mutant.file, ()):
        return 1
    if mutant.module in imported(file):
        return 2
    if package == "relations" and file in OVER_EVERY:
        return 3
    return 4


@cache
def witnesses() -> dict[str, set[str]]:
    """The test files that the ledger names for the relations of each file."""
    found: dict[str, set[str]] = {}
    text = (ROOT / "reference" / "checks.csv").read_text("utf-8").splitlines()
    for row in csv.DictReader(line for line in text if not line.startswith("#")):
        named = re.findall(r"(tests/[\w/]+\.py)::", row["check"])
        found.setdefault(row["file"], set()).update(named)
    return found


@cache
def imported(file: str) -> frozenset[str]:
    """The modules that a test file imports by name."""
    return frozenset(_imported(ast.parse((ROOT / file).read_text("utf-8"))))


def _imported(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            yield node.module or ""
            yield from (f"{node.module}.{name.name}" for name in node.names)
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
