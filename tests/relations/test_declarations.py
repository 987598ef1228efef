"""The declarations themselves: names, dimensions, sources, independence and printed checks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.declarations import check_equation, dimension_of
from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Assumption, Check, Relation
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import (
    assumptions,
    bases,
    crossed_family,
    families,
    kinds,
    quantities,
    requirements,
)
from tests.relations.evaluate import (
    CONSTANTS,
    DECLARED_CONSTANTS,
    DIMENSIONS,
    QUANTITY,
    forward,
    gap,
    number,
    relations_of,
)
from tests.together import each

ROOT = Path(__file__).parents[2]
FAMILIES = [
    (kind, way, crossing)
    for kind in kinds.KINDS
    for way in bases.WAYS_UP
    for crossing in bases.CROSSINGS
]
# Each two of the choices meet in these; the rest is tried with the slow tests.
ORDINARY = [FAMILIES[i] for i in (0, 3, 5, 6)]
each_family = pytest.mark.parametrize(
    ("kind", "way_up", "crossing"),
    [pytest.param(*f, marks=() if f in ORDINARY else pytest.mark.slow) for f in FAMILIES],
)
ALL = {
    f"{r.name} ({crossing})" if r.name.startswith("waist to") else r.name: r
    for kind, way, crossing in FAMILIES
    for r in relations_of(kind, way, crossing)
}


def assumed(kind: str, crossing: str) -> tuple[Assumption, ...]:
    """What the network of this kind and crossing assumes, firmest first."""
    return families.network(kind, crossing).assumptions


EVERY_ASSUMPTION = tuple(
    {a.equation: a for name in bases.CROSSINGS for a in assumed("table", name)}.values()
)
# A table as a maker would give it; the rest follows or is assumed.
SAMPLE = {"top_diameter": 0.92, "post_section": 0.064, "post_length": 1.13}


def sample(kind: str, way_up: str, crossing: str = "one notch") -> dict[str, float]:
    """A whole design: the sample givens, the assumptions, and what follows."""
    known = dict(SAMPLE)
    waiting = list(assumed(kind, crossing))
    while waiting:
        # The flats that are assumed depend on what follows from the assumed lean and width.
        ready = next(a for a in waiting if {s.name for s in a.value.free_symbols} <= _known(known))
        known[ready.quantity.name] = number(ready.value, known)
        known = forward(kind, way_up, known, crossing)
        waiting.remove(ready)
    return known


def _known(values: dict[str, float]) -> set[str]:
    return {*values, *CONSTANTS}


def test_every_quantity_stands_under_its_own_name() -> None:
    declared = {n: v for n, v in vars(quantities).items() if isinstance(v, Quantity)}
    assert {name: value.name for name, value in declared.items()} == {n: n for n in declared}
    assert len(quantities.EVERY) == len(declared)


@each_family
def test_names_and_letters_are_not_used_twice(kind: str, way_up: str, crossing: str) -> None:
    declared = relations_of(kind, way_up, crossing)
    names = [relation.name for relation in declared]
    letters = [quantity.letter for quantity in crossed_family.quantities_of(declared)]
    assert len(set(names)) == len(names)
    assert len(set(letters)) == len(letters)


@each("name", ALL)
def test_dimensions_balance(name: str) -> None:
    relation = ALL[name]
    check_equation(name, relation.equation, DIMENSIONS)
    for limit in relation.limits:
        dimension_of(limit.slack, DIMENSIONS)


@each("assumption", EVERY_ASSUMPTION, ids=lambda a: a.name)
def test_assumptions_say_why_and_balance(assumption: Assumption) -> None:
    if not assumption.value.is_number:  # a bare number is in the coherent unit
        check_equation(assumption.name, assumption.equation, DIMENSIONS)
    assert assumption.why.endswith(".")
    if assumption.source.kind == "derived":
        assert (ROOT / assumption.source.where).is_file()


@each("name", ALL)
def test_says_why_and_where_from(name: str) -> None:
    relation = ALL[name]
    assert relation.meaning.endswith(".")
    assert relation.why.endswith(".")
    sources = [relation.source, *(check.source for check in relation.checks)]
    for source in sources:
        if source.kind == "derived":
            assert (ROOT / source.where).is_file(), f"{name}: no derivation {source.where}"
        else:
            assert source.text


@each_family
def test_no_relation_repeats_the_others(kind: str, way_up: str, crossing: str) -> None:
    """The relations' gradients at a sample design are linearly independent."""
    values = sample(kind, way_up, crossing)
    declared = relations_of(kind, way_up, crossing)
    names = [quantity.name for quantity in crossed_family.quantities_of(declared)]
    assert set(names) == set(values)
    rows = np.array([[slope(r, name, values) for name in names] for r in declared])
    rows /= np.linalg.norm(rows, axis=1, keepdims=True)
    assert np.linalg.svd(rows, compute_uv=False)[-1] > 1e-6


@each_family
def test_assumptions_and_three_givens_settle_everything(
    kind: str, way_up: str, crossing: str
) -> None:
    """Height, diameter and section with every assumption: as many equations as unknowns."""
    values = sample(kind, way_up, crossing)
    declared = relations_of(kind, way_up, crossing)
    statements = [*declared, *assumed(kind, crossing)]
    names = [quantity.name for quantity in crossed_family.quantities_of(declared)]
    given = {"top_diameter", "post_section", crossed_family.wishes(kind)[0]}
    rows = [[slope(s, name, values) for name in names if name not in given] for s in statements]
    square = np.array(rows)
    assert square.shape[0] == square.shape[1]
    square /= np.linalg.norm(square, axis=1, keepdims=True)
    assert np.linalg.svd(square, compute_uv=False)[-1] > 1e-6


def slope(relation: Relation, name: str, values: dict[str, float]) -> float:
    """Change of the relation's gap for a change of the quantity by its own size."""
    if name not in relation.symbols:
        return 0.0
    step = 1e-6 * max(abs(values[name]), 1e-3)
    above, below = ({**values, name: values[name] + s} for s in (step, -step))
    return (gap(relation, above) - gap(relation, below)) / 2e-6


CHECKS = [(name, check) for name, relation in ALL.items() for check in relation.checks]


@each(("name", "check"), CHECKS)
def test_printed_checks(name: str, check: Check) -> None:
    """Half a unit of the last printed figure either way takes the relation across its answer."""
    relation = ALL[name]
    given = {n: read(text, n) for n, text in check.given.items()}
    assert set(relation.symbols) <= {*given, *check.expected, *CONSTANTS}
    for answer, text in check.expected.items():
        middle = read(text, answer)
        half = half_last_figure(text, QUANTITY[answer].unit) * QUANTITY[answer].scale
        below, above = (gap(relation, {**given, answer: middle + s}) for s in (-half, half))
        assert below * above <= 0, f"{name}: {answer} is not {text} ({check.source})"


def read(text: str, name: str) -> float:
    quantity = QUANTITY[name]
    return quantity.to_si(parse_quantity(text, quantity.unit, name))


def test_assumptions_lie_within_their_ranges() -> None:
    for crossing in bases.CROSSINGS:
        values = sample("table", "notches up", crossing)
        for assumption in assumed("table", crossing):
            quantity = assumption.quantity
            value = quantity.from_si(values[quantity.name])
            assert quantity.low <= value <= quantity.high
    assert assumptions.FIRMEST_FIRST[-1] is assumptions.SPLAY  # it gives way first


def test_whole_seats_turn_round_to_the_roomy_end() -> None:
    # derived: reference/derivations/mass_and_heights.md, seats
    for seats in range(1, 12):
        shares = number(ALL["whole seats"].inverse["seats_by_rim"], {"seats": seats})
        assert gap(ALL["whole seats"], {"seats": seats, "seats_by_rim": shares}) == 0
        # A hundredth of a share more, and one more would sit down.
        assert gap(ALL["whole seats"], {"seats": seats, "seats_by_rim": shares + 0.011}) == -1


@each_family
def test_the_sample_is_inside_every_limit(kind: str, way_up: str, crossing: str) -> None:
    values = sample(kind, way_up, crossing)
    exact = {"the posts are square, as", "the axes of the posts meet in one"}
    for relation in relations_of(kind, way_up, crossing):
        for limit in relation.limits:
            slack = number(limit.slack, values)
            inside = slack == 0 if any(words in limit.words for words in exact) else slack > 0
            assert inside, f"{relation.name}: {limit.words}"


def test_limits_refuse_what_they_describe() -> None:
    values = sample("table", "notches up")
    cases = {
        "let into one another": {"notch_depth": -0.001},
        "shallower than the post": {"notch_depth": 0.065},
        "notch stays clear of the foot": {"notch_position": 0.040},
        "notch stays clear of the head": {"notch_position": 1.10},
        "stays inside the end of the post": {"foot_flat_depth": 0.038},
        "line through two feet": {"top_diameter": 0.3},
    }
    slacks = {limit.words: limit.slack for r in ALL.values() for limit in r.limits}
    for words, change in cases.items():
        found = [slack for said, slack in slacks.items() if words in said]
        assert found, f"no limit says {words!r}"
        assert min(number(slack, {**values, **change}) for slack in found) < 0


@each_family
def test_requirements_ask_about_what_is_there(kind: str, way_up: str, crossing: str) -> None:
    names = {q.name for q in crossed_family.quantities_of(relations_of(kind, way_up, crossing))}
    for requirement in families.network(kind, crossing, way_up).requirements:
        assert requirement.quantity in names
        low, high = requirement.good
        assert requirement.too_low if low is not None else not requirement.too_low
        assert requirement.too_high if high is not None else not requirement.too_high
        assert requirement.fine


def test_tipping_messages_carry_the_caution() -> None:
    assert "children" in requirements.TIPPING.said_low
    assert "local code" in requirements.TIPPING.said_low
    assert "local code" in requirements.TIPPING.fine


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"kind": "bench"}, 'kind = "bench" is not known. Write "table" or "stool".'),
        ({"kind": "table", "hand": "both"}, 'hand = "both" is not known. Write "right" or "left".'),
        ({"kind": "table", "crossing": "three"}, 'crossing = "three" is not known'),
        ({"kind": "table", "way_up": "up"}, 'Write "notches up" or "notches down".'),
    ],
)
def test_unknown_options_are_told_plainly(options: dict[str, str], words: str) -> None:
    with pytest.raises(DesignError, match=words.replace("?", r"\?")):
        families.network(**options)


def test_equations_are_written_with_declared_symbols_only() -> None:
    known = {item.symbol for item in (*QUANTITY.values(), *DECLARED_CONSTANTS.values())}
    for relation in (*ALL.values(), *EVERY_ASSUMPTION):
        expressions = [relation.equation, *(limit.slack for limit in relation.limits)]
        used = set().union(*(sp.sympify(e).free_symbols for e in expressions))
        assert used <= known, f"{relation.name} uses {used - known}"
