"""Relations of the workshop beside the piece's own network: each alone, every way round."""

from __future__ import annotations

from types import ModuleType

import pytest
import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import (
    boards,
    families,
    glue,
    glued_panel,
    grain,
    levelling,
    marking,
    milling,
    notch_cutting,
    stock,
    tenons,
    trammel,
    work,
)
from tests.together import each

TABLE = families.network("table")
SHARED = {**TABLE.quantities}
for module in (
    boards, glue, glued_panel, grain, marking, milling, notch_cutting, stock, tenons,
    levelling, work,
):  # fmt: skip
    SHARED |= {quantity.name: quantity for quantity in module.QUANTITIES}
SHARED |= {
    quantity.name: quantity for quantity in (*trammel.BOARD_QUANTITIES, *levelling.TILT_QUANTITIES)
}
CONSTANTS = [*TABLE.constants.values(), *stock.CONSTANTS, glue.MINUTE]
KNOWN = {constant.name for constant in CONSTANTS}


def relations_of(module: ModuleType) -> tuple[Relation, ...]:
    if module is trammel:
        return trammel.BOARD_RELATIONS
    if module is marking:
        return (*marking.SECTION, *marking.FLAT_RELATIONS)
    if module is levelling:
        return levelling.TILT_RELATIONS
    return module.RELATIONS


MODULES = (
    boards, glue, glued_panel, grain, marking, milling, notch_cutting, stock, tenons,
    levelling, work,
    trammel,
)  # fmt: skip
EVERY = [relation for module in MODULES for relation in relations_of(module)]
each_relation = each("relation", EVERY, ids=lambda relation: relation.name)


def alone(relation: Relation) -> Network:
    names = [n for n in (*relation.symbols, *relation.limit_symbols) if n not in KNOWN]
    return Network("alone", [SHARED[n] for n in dict.fromkeys(names)], [relation], (), CONSTANTS)


@each_relation
def test_it_balances_and_says_where_it_comes_from(relation: Relation) -> None:
    assert alone(relation).relations == (relation,)  # the network checks the dimensions
    for text in (relation.meaning, relation.why):
        assert text[0].isupper() and text.endswith(".")
    assert relation.source.text or relation.source.where


CHECKS = [
    pytest.param(relation, check, id=f"{relation.name}, {next(iter(check.expected))}")
    for relation in EVERY
    for check in relation.checks
]


@each(("relation", "check"), CHECKS)
def test_the_printed_value_comes_out(relation: Relation, check: Check) -> None:
    of = alone(relation)
    free = [n for n in of.quantities if n not in check.given and n not in relation.symbols]
    given = {n: parse_quantity(t, SHARED[n].unit, n, signed=True) for n, t in check.given.items()}
    # What only a limit speaks of has no say in the value.
    outcome = of.plan(given).program.run({n: SHARED[n].to_si(x) for n, x in given.items()})
    assert set(of.plan(given).free) <= set(free)
    for name, text in check.expected.items():
        unit = SHARED[name].unit
        found = SHARED[name].from_si(outcome.values[name])
        printed = parse_quantity(text, unit, name, signed=True)
        assert abs(found - printed) <= half_last_figure(text, unit) * (1 + 1e-9)


def tells_of(relation: Relation, name: str, values: dict[str, float]) -> bool:
    """Whether the rest of a relation pins a quantity down: a count, a largest part, or a value
    where the relation is level, does not tell what it came from."""
    equation = relation.equation
    if equation.atoms(sp.floor, sp.ceiling, sp.Max, sp.Min, sp.Abs):
        return False
    known = values | {constant.name: constant.si for constant in CONSTANTS}
    put = {s: sp.Float(known[s.name], 30) for s in equation.free_symbols}
    slope = (equation.lhs - equation.rhs).diff(SHARED[name].symbol)
    return abs(float(slope.xreplace(put))) > 1e-9


@each(("relation", "check"), CHECKS)
def test_every_rearrangement_gives_back_what_went_in(relation: Relation, check: Check) -> None:
    """Solved, put back, and solved for each of its other quantities in turn."""
    of = alone(relation)
    given = {n: parse_quantity(t, SHARED[n].unit, n, signed=True) for n, t in check.given.items()}
    si = {n: SHARED[n].to_si(x) for n, x in given.items()}
    whole = of.plan(given).program.run(si).values
    for name in given:
        others = {n: x for n, x in whole.items() if n != name and n in relation.symbols}
        if name not in relation.symbols or not tells_of(relation, name, whole):
            continue
        plan = of.plan(others)
        again = plan.program.run({n: others[n] for n in (*plan.givens, *plan.redundant)})
        answers = [*again.alternatives.get(name, []), again.values.get(name, float("nan"))]
        assert any(x == pytest.approx(whole[name], rel=1e-9, abs=1e-12) for x in answers), name


def test_the_milling_of_a_table_by_hand() -> None:
    of = Network("milling", milling.QUANTITIES, milling.RELATIONS, milling.ASSUMPTIONS, wishes=())
    sheet = of.solve(
        {"top_diameter": 900, "top_thickness": 28, "post_section": 64, "post_width": 64,
         "post_length": 1150}
    )  # fmt: skip
    assert sheet.number("rough_thickness") == pytest.approx(28 + 2 + 1.5 + 0.5)
    assert sheet.number("lamination_thickness") == pytest.approx((64 + 2) / 3)
    # Two circles of 0.45 m and the rim; four faces of three posts: square metres.
    top = 2 * 3.141592653589793 * 0.45**2 + 3.141592653589793 * 0.9 * 0.028
    posts = 3 * 4 * 0.064 * 1.150
    assert sheet.number("finish_area") == pytest.approx(top + posts)
    assert sheet.number("finish_volume") == pytest.approx((top + posts) * 1e6 * 3 * 0.1)
