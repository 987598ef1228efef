"""The working share of the strength, and what gives way to what."""

from __future__ import annotations

import pytest

from tablekit.relations import families

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def test_parts_multiply_and_any_may_be_given() -> None:
    network = families.network("table")
    plain = network.solve(TABLE)
    outdoors = network.solve({**TABLE, "moisture_factor": 1.3})
    assert outdoors.number("strength_factor") == pytest.approx(
        1.3 * plain.number("strength_factor")
    )
    assert outdoors.number("post_strength_used") == pytest.approx(
        1.3 * plain.number("post_strength_used")
    )


def test_a_whole_factor_given_comes_before_its_parts() -> None:
    sheet = families.network("table").solve({**TABLE, "strength_factor": 4.0})
    assert sheet.number("strength_factor") == 4.0
    parts = ("variation_factor", "duration_factor", "moisture_factor", "grade_factor")
    product = 1.0
    for name in parts:
        product *= sheet.number(name)
    assert product == pytest.approx(4.0)


@pytest.mark.parametrize("kind", ["table", "stool"])
@pytest.mark.parametrize("crossing", ["one notch", "two notches"])
def test_not_too_many_quantities(kind: str, crossing: str) -> None:
    from tablekit.relations import post_load, racking, strength, top_load

    parts = (strength.QUANTITIES, post_load.QUANTITIES, top_load.RIM_QUANTITIES, racking.QUANTITIES)
    names = {quantity.name for part in parts for quantity in part}
    # Ten of them say how heads and feet share a load.
    assert len(names & set(families.network(kind, crossing).quantities)) <= 33 + 10
