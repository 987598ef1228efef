"""The ledger of checks, reference/checks.csv, written from the declarations and the tests:

    python -m tests.ledger

One row for every relation, assumption, requirement and published table: where it comes from, and
what outside the kit it has been held against.
"""

from __future__ import annotations

import csv
import io
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from tablekit.engine.quantity import Source
from tablekit.engine.relation import Assumption, Check, Relation, Requirement
from tests.trust.declared import ROOT, Declared, Key, declared, key, of_what, requirements

LEDGER = ROOT / "reference" / "checks.csv"
COLUMNS = (
    "what", "name", "of", "file", "kind", "source", "clause", "check", "how_close", "status",
)  # fmt: skip
HEADER = """\
# Every relation, assumption, requirement and published table of the kit, and what each has been held against.
# Made by `python -m tests.ledger` from the declarations in tablekit/relations and from tests marked `witness`;
#   not to be edited by hand. A test fails while it is not what the declarations say now, or while a
#   relation has no check.
# kind: published = read in the document; quoted = seen in what another writes of it; derived = worked out
#   in reference/derivations; common practice = what the trade does, WITHOUT A SOURCE; from memory =
#   recalled, NOT SEEN.
# check: values that the relation must give back, each with where it is from, then tests that come to the
#   same by another road. how_close: how nearly they must agree.
# status: the strongest of its checks. "worked by hand in" a file means an example whose figures stand there,
#   "worked by hand from" it one that follows from what stands there; neither was seen printed elsewhere. An
#   assumption is a choice that gives way to whatever is given, and a requirement a limit to judge by: they
#   have a source and nothing to be checked against. A row of a table with figures of several kinds is counted
#   under each.
"""  # noqa: E501
# Strongest first: what a check of this kind says of its relation.
STATUS = {
    "published": "agrees with a published value",
    "quoted": "agrees with a value quoted from a publication",
    "witness": "agrees with an independent computation",
    "derived": "worked by hand",
    "common practice": "agrees with common practice, which has no source",
    "from memory": "agrees with a value from memory, not seen",
}
NONE = "NO CHECK"
CHECKED_TABLE = "checked as far as the tests named go"
PLAIN = {
    "published": "taken from the source",
    "quoted": "taken from a quotation of the source",
    "derived": "derived",
    "common practice": "common practice, NO SOURCE",
    "from memory": "from memory, NOT SEEN",
}
Row = dict[str, str]


# -- tests that stand witness ---------------------------------------------------------------------


def marked_files() -> list[Path]:
    """Test files that mark a test as a witness."""
    every = (p for p in (ROOT / "tests").rglob("test_*.py") if "trust/test_ledger" not in str(p))
    return sorted(p for p in every if "mark.witness(" in p.read_text("utf-8"))


@cache
def witnesses() -> dict[Key | str, list[tuple[str, Mapping[str, Any]]]]:
    """What each marked test holds against something outside: by relation, or name of a table.

    The marks are read off the tests themselves:
    `@pytest.mark.witness(relation, "table.csv", by="what it is held against", within="1e-9")`.
    """
    found: dict[Key | str, list[tuple[str, Mapping[str, Any]]]] = defaultdict(list)
    for path in marked_files():
        place = path.relative_to(ROOT).with_suffix("")
        module = import_module(".".join(place.parts))
        for name, test in vars(module).items():
            for mark in getattr(test, "pytestmark", ()):
                if mark.name == "witness" and name.startswith("test_"):
                    for item in mark.args:
                        about = item if isinstance(item, str) else key(item)
                        found[about].append((f"{place}.py::{name}", mark.kwargs))
    return dict(found)


def _told(seen: Iterable[tuple[str, Mapping[str, Any]]]) -> tuple[list[str], list[str]]:
    seen = list(dict.fromkeys((test, how["by"], how["within"]) for test, how in seen))
    return [f"{test} ({by})" for test, by, _ in seen], [within for _, _, within in seen]


# -- rows -----------------------------------------------------------------------------------------


def _source(source: Source) -> Row:
    if source.kind == "derived":  # it stands in a file of ours, under a heading
        return {"kind": source.kind, "source": source.where, "clause": source.text}
    return {"kind": source.kind, "source": source.text, "clause": source.where}


def _printed(check: Check) -> tuple[str, str]:
    values = ", ".join(f"{name} {text}" for name, text in check.expected.items())
    figures = ", ".join(check.expected.values())
    return f"{values}: {check.source}", f"half a unit of the last figure of {figures}"


def status_of(relation: Relation) -> str:
    """The strongest that can be said of a relation's checks."""
    kinds = {check.source.kind for check in relation.checks}
    if key(relation) in witnesses():
        kinds.add("witness")
    strongest = next((kind for kind in STATUS if kind in kinds), None)
    if strongest is None:
        return NONE
    if strongest == "derived":
        by_hand = [check for check in relation.checks if check.source.kind == "derived"]
        printed = [check for check in by_hand if figures_stand_in_the_file(check)]
        word = "in" if printed else "from"
        return f"{STATUS[strongest]} {word} {(printed or by_hand)[0].source.where}"
    return STATUS[strongest]


@cache
def _derivation(where: str) -> str:
    """A derivation with its numbers run together: 3 964 928 is 3964928."""
    words = (ROOT / where).read_text("utf-8").replace("−", "-")
    return re.sub(r"(?<=\d)[ \u202f\u00a0](?=\d{3}\b)", "", words)


def figures_stand_in_the_file(check: Check) -> bool:
    """Whether every figure a check expects is written in the derivation it names."""
    for text in check.expected.values():
        figure = text.split()[0]
        short = figure.rstrip("0").rstrip(".") if "." in figure else figure
        either = f"{re.escape(figure)}|{re.escape(short)}"
        if not re.search(rf"(?<![\d.])(?:{either})(?!\d|\.\d)", _derivation(check.source.where)):
            return False
    return True


def relation_row(entry: Declared) -> Row:
    """The row of a relation or an assumption."""
    relation = entry.relation
    printed = [_printed(check) for check in relation.checks]
    tests, within = _told(witnesses().get(key(relation), ()))
    row = {"what": entry.what, "name": relation.name, "of": of_what(entry), "file": entry.file}
    row |= _source(relation.source)
    row["check"] = "; ".join([*(text for text, _ in printed), *tests])
    row["how_close"] = "; ".join([*(close for _, close in printed), *within])
    chosen = isinstance(relation, Assumption)
    row["status"] = PLAIN[relation.source.kind] if chosen else status_of(relation)
    return row


def requirement_row(requirement: Requirement) -> Row:
    """The row of a requirement."""
    row = {"what": "requirement", "name": requirement.name, "of": requirement.quantity, "file": ""}
    return row | _source(requirement.source) | {"status": PLAIN[requirement.source.kind]}


# -- published tables -----------------------------------------------------------------------------


def tables() -> list[Path]:
    """The tables of figures in `reference`, this ledger left out."""
    return sorted(path for path in (ROOT / "reference").glob("*.csv") if path != LEDGER)


_SAID = {
    "read": "published", "quoted": "quoted", "memory": "from memory", "derived": "derived",
    "estimate": "common practice", "practice": "common practice",
}  # fmt: skip


def table_row(path: Path) -> Row:
    """The row of a table: what its rows say of themselves, and the tests that read it."""
    lines = path.read_text("utf-8").splitlines()
    head = [line.removeprefix("#").strip() for line in lines if line.startswith("#")]
    body = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    said: Counter[str] = Counter()
    for row in body:
        text = " ".join(v for k, v in row.items() if k and k.endswith(("status", "source")) and v)
        kinds = {kind for word, kind in _SAID.items() if word in text}
        if "common practice" in kinds:  # read, but in no document that sets it
            kinds.discard("published")
        said.update(kinds or {"unstated"})
    start = next((k for k, line in enumerate(head) if line.startswith("Source")), 0)
    tests, within = _told(witnesses().get(path.name, ()))
    return {
        "what": "table", "name": path.name, "of": f"{len(body)} rows",
        "file": str(path.relative_to(ROOT)),
        "kind": ", ".join(f"{kind} ({count} rows)" for kind, count in sorted(said.items())),
        "source": _sentence(head[start:]), "clause": "see the head of the file",
        "check": "; ".join(tests), "how_close": "; ".join(within),
        "status": CHECKED_TABLE if tests else _unchecked(said),
    }  # fmt: skip


def _sentence(lines: list[str]) -> str:
    """The first sentence of a head, from lines that run on."""
    text = " ".join(lines).removeprefix("Source: ").removeprefix("Source of every row: ")
    return text.split(". ")[0].rstrip(".")


def _unchecked(said: Mapping[str, int]) -> str:
    """Working values of a shop have nobody to be checked against, and are to be called that."""
    return PLAIN["common practice"] if "common practice" in said else NONE


# -- the file -------------------------------------------------------------------------------------


def rows() -> Iterator[Row]:
    """Every row, in the order of the file."""
    yield from (relation_row(entry) for entry in declared() if entry.what == "relation")
    yield from (relation_row(entry) for entry in declared() if entry.what == "assumption")
    yield from (requirement_row(requirement) for requirement in requirements())
    yield from (table_row(path) for path in tables())


def text() -> str:
    """The whole file."""
    out = io.StringIO()
    out.write(HEADER)
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows())
    return out.getvalue()


def main() -> int:
    """Write the ledger and say what is in it; 1 where something has no check."""
    LEDGER.write_text(text(), encoding="utf-8")
    found = list(rows())
    for what in dict.fromkeys(row["what"] for row in found):
        of = [row["status"].split(" reference/")[0] for row in found if row["what"] == what]
        print(f"{what}: {len(of)}")
        for status, count in Counter(of).most_common():
            print(f"  {count:4d}  {status}")
    missing = [f"{row['name']} ({row['file']})" for row in found if row["status"] == NONE]
    print("without a check:", "; ".join(missing) or "none")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
