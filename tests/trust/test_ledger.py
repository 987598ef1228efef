"""The ledger: nothing without a check, every check comes out, and the file is up to date."""

from __future__ import annotations

import csv
from dataclasses import replace

import pytest
import sympy as sp

from tablekit.engine.quantity import Constant
from tablekit.engine.relation import Assumption, Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tests import ledger
from tests.together import each
from tests.trust.declared import ROOT, declared, key, known, networks

RELATIONS = [entry for entry in declared() if entry.what == "relation"]
IDS = [f"{entry.relation.name}, {place}" for place, entry in enumerate(RELATIONS)]


def test_the_committed_ledger_is_what_the_declarations_say() -> None:
    written = ledger.LEDGER.read_text("utf-8")
    now = ledger.text()
    if written != now:
        old, new = set(written.splitlines()), set(now.splitlines())
        changed = "\n".join([*(f"- {line}" for line in sorted(old - new)[:5]),
                             *(f"+ {line}" for line in sorted(new - old)[:5])])  # fmt: skip
        raise AssertionError(f"run: python -m tests.ledger\n{changed}")


def test_no_relation_and_no_table_is_without_a_check() -> None:
    missing = [f"{r['name']} ({r['file']})" for r in ledger.rows() if r["status"] == ledger.NONE]
    assert missing == [], "give it a Check, or mark the test that covers it as its witness"


def test_a_relation_without_a_check_is_told() -> None:
    entry = RELATIONS[0]
    bare = replace(entry.relation, name="nobody has looked at this", checks=())
    assert ledger.status_of(bare) == ledger.NONE
    assert ledger.relation_row(replace(entry, relation=bare))["status"] == ledger.NONE


def test_every_relation_of_every_network_has_its_row() -> None:
    rows = [row for row in ledger.rows() if row["what"] == "relation"]
    assert len(rows) == len(RELATIONS)
    names = {row["name"] for row in rows}
    for network in networks().values():
        assert {relation.name for relation in network.relations} <= names
    # what only planners use: one from each of their modules
    for module in ("glue", "tenons", "stock", "work", "grain", "joint_load", "notch_cutting",
                   "marking", "trammel", "milling", "fixing", "fasteners", "tipping_round",
                   "levelling", "boards", "knees"):  # fmt: skip
        assert any(row["file"].endswith(f"/{module}.py") for row in rows), module


def test_rows_name_files_that_are_there() -> None:
    for row in ledger.rows():
        if row["file"]:
            assert (ROOT / row["file"]).is_file(), row
        if row["kind"] == "derived":
            assert (ROOT / row["source"]).is_file(), row


def test_practice_and_memory_are_marked_plainly() -> None:
    rows = list(csv.DictReader(line for line in ledger.text().splitlines() if line[0] != "#"))
    words = {"common practice": "NO SOURCE", "from memory": "NOT SEEN"}
    marked = [r for r in rows if r["what"] in ("assumption", "requirement") and r["kind"] in words]
    assert marked
    assert all(words[row["kind"]] in row["status"] for row in marked)


# -- every check of every relation, planners' own as well ------------------------------------------

CHECKS = [
    pytest.param(entry.relation, check, id=f"{entry.relation.name}, {place}")
    for entry in RELATIONS
    for place, check in enumerate(entry.relation.checks)
]


@each(("relation", "check"), CHECKS)
def test_a_printed_value_comes_out(relation: Relation, check: Check) -> None:
    """Half a unit of the last figure either way takes the relation across its answer, or for a
    count the answer itself fits and no other."""
    given = {name: read(text, name) for name, text in check.given.items()}
    given |= {n: known()[n].si for n in relation.symbols if isinstance(known()[n], Constant)}
    assert {*given, *check.expected} >= {*relation.symbols}
    for name, text in check.expected.items():
        middle = read(text, name)
        unit = known()[name].unit
        half = half_last_figure(text, unit) * known()[name].scale
        if relation.equation.has(sp.floor, sp.ceiling):
            assert gap(relation, {**given, name: middle}) == pytest.approx(0, abs=1e-9)
            continue
        below, above = (gap(relation, {**given, name: middle + s}) for s in (-half, half))
        assert below * above <= 0, f"{name} is not {text} ({check.source})"
        assert below != above, f"{name} makes no difference: this check cannot fail"


def read(text: str, name: str) -> float:
    quantity = known()[name]
    if text.startswith("-"):  # a maker's sizes are never negative, a place on an axis may be
        return -read(text[1:], name)
    return float(quantity.to_si(parse_quantity(text, quantity.unit, name)))


def gap(relation: Relation, values: dict[str, float]) -> float:
    """Left less right, by plain evaluation."""
    symbols = sorted(relation.equation.free_symbols, key=str)
    left, right = relation.equation.args
    function = sp.lambdify(symbols, left - right, "math")
    return float(function(*(values[s.name] for s in symbols)))


# -- witnesses ------------------------------------------------------------------------------------


def test_witnesses_are_tests_of_relations_and_tables_there_are() -> None:
    there = {key(entry.relation) for entry in declared()}
    tables = {path.name for path in ledger.tables()}
    assert len(ledger.witnesses()) > 60
    for about, tests in ledger.witnesses().items():
        assert about in (tables if isinstance(about, str) else there), f"{tests} is about {about}"
        for test, how in tests:
            assert how["by"] and how["within"], test


def test_assumptions_are_choices_and_not_counted_as_checked() -> None:
    rows = [row for row in ledger.rows() if row["what"] == "assumption"]
    assert len(rows) == sum(isinstance(entry.relation, Assumption) for entry in declared())
    assert not [row for row in rows if row["status"].startswith("agrees")]
