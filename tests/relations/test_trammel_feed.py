"""Speed, feed and time of cutting the round; what the stop is set to."""

from __future__ import annotations

import csv
import math
import re

import pytest

from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.planning.trammel_plan import fastest
from tablekit.relations import families, trammel
from tablekit.shipped import reference_path

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(**changes: float) -> dict[str, float]:
    sheet = families.network("table").solve({**TABLE, **changes})
    return {name: value.number for name, value in sheet.values.items()}


def verdict(name: str, **changes: float) -> str:
    checks = families.network("table").solve({**TABLE, **changes}).checks
    return next(check.verdict for check in checks if check.name == name)


@pytest.mark.parametrize("inches", [0.25, 0.5, 1, 1.001, 1.5, 2, 2.001, 2.5, 2.501, 3.5])
def test_the_assumed_limit_is_that_of_the_table_of_speeds(inches: float) -> None:
    # reference/shop.csv, common practice: the same table read by planning/trammel_plan.py
    found = solved(cutter_diameter=25.4 * inches)
    assert found["fastest_speed"] == pytest.approx(fastest(25.4 * inches))
    assert found["cutter_speed"] == found["fastest_speed"]


def test_the_table_of_speeds_is_as_the_assumption_says() -> None:
    with open(reference_path("shop.csv"), encoding="utf-8", newline="") as file:
        rows = [*csv.DictReader(line for line in file if not line.startswith("#"))]
    speeds = [float(row["value"]) for row in rows if row["what"].startswith("cutter speed")]
    why = next(a.why for a in trammel.ASSUMPTIONS if a.quantity is trammel.fastest_speed)
    said = [float(number.replace(" ", "")) for number in re.findall(r"\d\d \d{3}", why)]
    assert said == speeds


def test_a_marking_on_the_cutter_comes_first() -> None:
    found = solved(fastest_speed=16000.0)
    assert found["cutter_speed"] == 16000
    assert verdict("speed of the cutter", fastest_speed=16000.0) == "pass"
    assert verdict("speed of the cutter", fastest_speed=16000.0, cutter_speed=16500.0) == "fail"


@pytest.mark.witness(trammel.FEED, by="a public worked example", within="as printed")
def test_feed_as_a_public_worked_example_prints_it() -> None:
    # a public page on feeds (read): 18000 rpm, two flutes, 0.1 mm a tooth: 3600 mm a minute
    found = solved(cutter_speed=18000.0, cutter_flutes=2.0, chip_load=0.1)
    assert found["feed_speed"] * 60000 == pytest.approx(3600)


def test_one_round_counted_by_walking_it() -> None:
    # independent: turns of the cutter in one round, from the length of the round and the bites
    found = solved(cutter_speed=20000.0, chip_load=0.15, cutter_flutes=3.0)
    turns = 2 * math.pi * found["trammel_centre"] / (3 * 0.15)
    assert found["lap_time"] == pytest.approx(turns / 20000 * 60)
    assert found["cutting_minutes"] == pytest.approx(
        found["router_passes"] * found["lap_time"] / 60
    )


def test_a_time_for_one_round_finds_the_bite() -> None:
    found = solved(lap_time=60.0)
    assert found["feed_speed"] * 60 == pytest.approx(2 * math.pi * found["trammel_centre"] / 1000)
    assert found["chip_load"] == pytest.approx(
        1000 * found["feed_speed"] * 60 / (found["cutter_speed"] * 2)
    )


def test_a_wide_cutter_is_cautioned_and_then_refused() -> None:
    name = "width of the cutter"
    # reference/shop.csv ends at 3 1/2 in
    assert [verdict(name, cutter_diameter=d) for d in (12.7, 40.0, 95.0)] == [
        "pass", "caution", "fail",
    ]  # fmt: skip


CHECKS = [(r, c) for r in trammel.STOP_RELATIONS for c in r.checks]


@pytest.mark.parametrize(("relation", "check"), CHECKS, ids=lambda it: getattr(it, "name", ""))
def test_checks_of_the_stop(relation: Relation, check: Check) -> None:
    known = {q.name: q for q in trammel.STOP_QUANTITIES}
    of = Network("alone", [known[n] for n in relation.symbols], [relation])
    given = {n: parse_quantity(text, known[n].unit, n) for n, text in check.given.items()}
    ((name, text),) = check.expected.items()
    half = half_last_figure(text, known[name].unit)
    assert abs(of.solve(given).number(name) - parse_quantity(text, "mm", name)) <= half


def test_requirements_carry_the_cautions() -> None:
    assert "Unplug" in trammel.SPEED.fine and "Unplug" in trammel.SPEED.said_high
    assert "instructions" in trammel.SPEED.fine
    assert "hand-held" in trammel.WIDTH.said_high
