"""Heights in use, the seat beside the table, and a post cut level: relations and verdicts."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from tablekit.engine.declarations import check_equation
from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import knees, people
from tablekit.relations import quantities as q
from tests.relations.reference_vectors import Design, posts
from tests.together import each

ROOT = Path(__file__).parents[2]
RELATIONS = (
    people.SEAT_BESIDE, people.TABLE_BESIDE, people.THIGH_ROOM, knees.WAIST_HEIGHT,
    knees.KNEE_LEVEL, *(relation for _, relation in knees.AT_A_HEIGHT), knees.KNEE_DEPTH,
)  # fmt: skip
KNOWN = {
    item.name: item
    for item in (*q.EVERY, *people.QUANTITIES, *knees.OWN, *knees.ACCESSIBLE_QUANTITIES)
}
CONSTANTS = {item.name: item for item in knees.ACCESSIBLE_CONSTANTS}


def alone(relation: Relation) -> Network:
    own = [KNOWN[name] for name in relation.symbols if name in KNOWN]
    return Network("alone", own, [relation], constants=list(CONSTANTS.values()))


@each("relation", RELATIONS, ids=lambda r: r.name)
def test_balances_and_says_where_it_is_from(relation: Relation) -> None:
    dimensions = {n: item.dimension for n, item in (KNOWN | CONSTANTS).items()}
    check_equation(relation.name, relation.equation, dimensions)
    assert relation.meaning.endswith(".") and relation.why.endswith(".")
    if relation.source.kind == "derived":
        assert (ROOT / relation.source.where).is_file()


@each(
    ("relation", "check"),
    [(relation, check) for relation in RELATIONS for check in relation.checks],
    ids=lambda x: getattr(x, "name", ""),
)
def test_printed_values(relation: Relation, check: Check) -> None:
    of = alone(relation)
    given = {n: parse_quantity(text, KNOWN[n].unit, n) for n, text in check.given.items()}
    ((name, text),) = check.expected.items()
    plan = of.plan(given)
    outcome = plan.program.run({n: KNOWN[n].to_si(v) for n, v in given.items()})
    found = KNOWN[name].from_si(outcome.values[name])
    printed, half = parse_quantity(text, KNOWN[name].unit), half_last_figure(text, KNOWN[name].unit)
    assert abs(found - printed) <= half * (1 + 1e-9)


# -- a post cut level, by plain vectors --------------------------------------------------------


def random_design(random: np.random.Generator) -> Design:
    section = random.uniform(25, 120)
    return Design(
        section=section, length=random.uniform(900, 1500),
        splay=math.radians(random.uniform(20, 65)), offset=section * random.uniform(0.4, 0.6),
        notch_position=random.uniform(400, 600), foot_depth=section * random.uniform(0.02, 0.2),
        head_depth=1.0, notches_up=bool(random.integers(2)),
        width=section * random.uniform(0.8, 1.4), clockwise=False,
    )  # fmt: skip


def test_axis_and_corners_against_vectors() -> None:
    # independent: reference_vectors.py, lines of the box's edges met with a level plane
    random = np.random.default_rng(4)
    for _ in range(30):
        design = random_design(random)
        post = posts(design)[0][0]
        lowest = min(corner[2] for corner in post.corners(post.low))
        level = lowest + design.foot_depth + random.uniform(200, 500)  # over the floor as drawn
        rise = (level - post.waist[2]) / post.along[2]
        axis = post.waist + rise * post.along
        deep, wide = post.halves
        corners = []
        for a in (-deep, deep):
            for b in (-wide, wide):
                start = post.waist + a * post.bearing + b * post.side
                corners.append(start + (level - start[2]) / post.along[2] * post.along)
        lean = post.along[:2] / np.hypot(*post.along[:2])
        across = np.array([-lean[1], lean[0]])
        values = {
            "splay": design.splay, "post_section": design.section, "post_width": design.across,
            "roll": math.atan2(abs(post.bearing[2]), abs(post.side[2])),
            "bearing_rise": abs(post.bearing[2]), "side_rise": abs(post.side[2]),
            "foot_arm": -post.low, "foot_flat_depth": design.foot_depth, "pad_projection": 0.0,
            "knee_level": level - lowest - design.foot_depth,
        }  # fmt: skip
        waist = rhs(knees.WAIST_HEIGHT, values) - design.foot_depth
        assert waist == pytest.approx(post.waist[2] - lowest - design.foot_depth, abs=1e-9)
        values["waist_height"] = waist
        assert rhs(knees.AXIS_REACH, values) == pytest.approx(axis[:2] @ lean, abs=1e-9)
        off = np.array([(c - axis)[:2] for c in corners])
        found = np.column_stack([off @ lean, off @ across])
        cut = 2 * math.cos(design.splay)
        tip = [rhs(knees.TIP[0], values) / cut, rhs(knees.TIP[1], values) / 2]
        wing = [rhs(knees.WING[0], values) / cut, rhs(knees.WING[1], values) / 2]
        for x, y in (tip, wing):
            for sign in (1, -1):
                corner = np.array([-sign * x, sign * y])
                assert np.hypot(*(found - corner).T).min() < 1e-9


def rhs(relation: Relation, values: dict[str, float]) -> float:
    symbols = {s.name: s for s in relation.equation.rhs.free_symbols}
    return float(relation.equation.rhs.evalf(subs={s: values[n] for n, s in symbols.items()}))


# -- verdicts ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("inches", "use"),
    [(16, "low"), (18, "low"), (28, "dining"), (30, "dining"), (34.25, "counter"), (36, "counter"),
     (40, "bar"), (42, "bar")],
)  # fmt: skip
def test_each_height_in_use_has_its_use(inches: float, use: str) -> None:
    # common practice: coffee 16-18, dining 28-30, counter 34-36, bar 40-42 in
    # (reference/people_and_loads.csv)
    number = inches * 25.4
    plain = people.HEIGHT.at(number)
    low, high = plain.good
    assert low is not None and high is not None and low <= number <= high
    assert plain.fine == people.HEIGHT.at(number, use).fine
    assert next(one for one in people.TABLE_USES if one.low == low).name.startswith(use)


@pytest.mark.parametrize(
    ("number", "below", "above"),
    [(480, "low", "side"), (680, "side", "dining"), (800, "dining", "counter"),
     (960, "counter", "bar")],
)  # fmt: skip
def test_between_two_uses_both_are_named(number: float, below: str, above: str) -> None:
    plain = people.HEIGHT.at(number)
    assert plain.good[0] is not None and number < plain.good[0] and plain.tolerable == (None, None)
    assert f"between {below}" in plain.too_low and f" and {above}" in plain.too_low


def test_beyond_every_use_and_a_stated_use() -> None:
    assert "Too low for any use" in people.HEIGHT.at(300).too_low
    assert "Too high for any use" in people.HEIGHT.at(1200).too_high
    stated = people.HEIGHT.at(430, use="dining")
    assert stated.good == (710, 765) and "Raise it to 710 mm" in stated.mend_low
    with pytest.raises(DesignError, match='"low" or "side" or "dining" or "counter" or "bar"'):
        people.HEIGHT.at(430, use="office")


def test_notes_on_children_and_access_go_with_their_heights() -> None:
    # 2010 ADA Standards 902.3 (710 to 865 mm) and 902.4 (660 to 760 mm)
    low = people.HEIGHT.at(680).said_low
    assert "902.4" in low and "902.3" not in low
    for number in (710, 740, 800, 865):
        plain = people.HEIGHT.at(number)
        assert "902.3" in plain.fine + plain.said_low
    assert "902.3" not in people.HEIGHT.at(900).fine


def test_uses_are_in_order_and_do_not_touch() -> None:
    for uses in (people.TABLE_USES, people.SEAT_USES, people.KNEES.uses):
        for one, other in pairwise(uses):
            assert one.low < one.high < other.low < other.high


def test_every_stool_is_told_that_it_is_no_step() -> None:
    for number in (200, 300, 450, 550, 640, 740, 900):
        plain = people.SEAT.at(number)
        said = plain.fine + plain.said_low + plain.said_high
        if plain.fine or number in (200, 900):
            assert "not a step" in said and "Children climb" in said
    assert "footrest" in people.SEAT.too_high


def test_seats_and_tables_of_each_use_go_together() -> None:
    # common practice: 10 to 12 in from seat to top, whatever the use
    # a workshop stool goes with a bench, which is stood at, and with no table of its own
    seats = [
        use for use in people.SEAT_USES[1:] if use.name not in ("low stools", "workshop stools")
    ]
    sat_at = [use for use in people.TABLE_USES if use.name not in ("low tables", "side tables")]
    pairs = zip(sat_at, seats, strict=True)
    for table, seat in pairs:
        apart = (table.low + table.high - seat.low - seat.high) / 2
        assert 10 * 25.4 <= apart <= 12.1 * 25.4
