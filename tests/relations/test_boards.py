"""The relations of boards and circle: dimensions, printed checks, solved for each quantity."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.planning import formulas as formulas
from tablekit.relations import boards

ROOT = Path(__file__).parents[2]
# Checks that every relation balances in its dimensions and says something of its own.
WHOLE = Network("a top from boards", boards.QUANTITIES, boards.RELATIONS, boards.ASSUMPTIONS)
CHECKS = [(relation, check) for relation in boards.RELATIONS for check in relation.checks]
each_check = pytest.mark.parametrize(
    ("relation", "check"), CHECKS, ids=[f"{r.name} {n}" for n, (r, _) in enumerate(CHECKS)]
)


def alone(relation: Relation) -> Network:
    named = [q for q in boards.QUANTITIES if q.name in relation.symbols]
    return Network("alone", named, [relation])


def read(name: str, text: str) -> float:
    return parse_quantity(text.strip(), WHOLE.quantities[name].unit, name, signed=True)


@each_check
def test_printed_values(relation: Relation, check: Check) -> None:
    sheet = alone(relation).solve({name: read(name, text) for name, text in check.given.items()})
    for name, text in check.expected.items():
        unit = WHOLE.quantities[name].unit
        assert abs(sheet.number(name) - read(name, text)) <= half_last_figure(text.strip(), unit)


@each_check
def test_each_quantity_from_the_others(relation: Relation, check: Check) -> None:
    if relation is boards.NEAR_EDGE:
        return  # the nearest edge says nothing of the farther one
    known = {n: read(n, t) for n, t in (*check.given.items(), *check.expected.items())}
    for name in relation.symbols:
        if name == "near_edge" and known[name] == 0:
            continue  # the chord hardly changes there
        rest = {n: v for n, v in known.items() if n != name}
        assert alone(relation).solve(rest).number(name) == pytest.approx(known[name], rel=2e-6)


@pytest.mark.parametrize("relation", boards.RELATIONS, ids=lambda r: r.name)
def test_says_what_why_and_where_from(relation: Relation) -> None:
    assert relation.meaning.endswith(".") and relation.why.endswith(".") and relation.checks
    text = (ROOT / relation.source.where).read_text(encoding="utf-8").lower()
    assert f"## {relation.source.text}" in text


def test_names_and_letters_are_not_used_twice() -> None:
    letters = [quantity.letter for quantity in boards.QUANTITIES]
    assert len(set(letters)) == len(letters)


def test_the_compiled_formulas_are_the_relations() -> None:
    # 3-4-5: reference/derivations/boards_to_round.md, the longest chord of a strip
    assert formulas.length_needed(1000, 300, 420) == pytest.approx(800)
    assert formulas.length_needed(1000, -420, -300) == pytest.approx(800)
    assert formulas.length_needed(1000, -20, 5) == 1000
    assert formulas.length_needed(1000, 500, 600) == 0
    assert formulas.keep_off(1000, 800) == pytest.approx(300)
    assert formulas.strip_width(140, 2) == 136 and formulas.usable_length(1100, 15) == 1070
    assert formulas.rough_diameter(920, 10) == 940
    assert formulas.used_area(140, 140, 1100) == 154000
    assert formulas.width_there(200, 150, 1000, 400) == 180
    assert formulas.circle_area(2) == pytest.approx(math.pi)
    assert formulas.waste(1.0, 4.0) == 0.75


def test_a_strip_outside_the_circle_has_no_chord() -> None:
    sheet = alone(boards.LENGTH_NEEDED).solve({"rough_diameter": 940, "near_edge": 480})
    assert sheet.get("length_needed") is None
    assert "covers part of the circle" in sheet["length_needed"].reason
