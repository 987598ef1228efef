"""A top of boards sawn in different ways."""

from __future__ import annotations

import pytest

from tablekit.engine.trouble import RangeError
from tablekit.planning.board_movement import StripOfWood, movement_of_strips
from tablekit.relations.families import network
from tablekit.species import find_movement

TABLE = {"table_height": 735.0, "top_diameter": 500.0, "post_section": 64.0}
AIR = {"driest_moisture": 6.0, "dampest_moisture": 12.0, "shop_moisture": 9.0}


def test_two_strips() -> None:
    # reference/derivations/movement.md; coefficients of white ash: Wood Handbook table 13-5
    sheet = network("table").solve({**TABLE, **AIR})
    ash = find_movement("white ash")
    across = [
        StripOfWood(300, ash.coefficient("flat-sawn")),
        StripOfWood(200, ash.coefficient("quarter-sawn")),
    ]
    found = movement_of_strips(across, sheet)
    assert found == pytest.approx((4.932, 2.028), abs=5e-4)


@pytest.mark.parametrize("driest", [3.0, 6.5])
def test_strips_alike_add_up_to_the_top(driest: float) -> None:
    ash = {"movement_coefficient": 0.00274, "driest_moisture": driest}
    sheet = network("table").solve({**TABLE, **AIR, **ash})
    found = movement_of_strips([StripOfWood(125, 0.00274)] * 4, sheet)
    assert sum(found) == pytest.approx(sheet.number("top_movement"), rel=1e-12)


def test_a_coefficient_that_no_wood_has_is_refused() -> None:
    sheet = network("table").solve(TABLE)
    with pytest.raises(RangeError, match="movement_coefficient"):
        movement_of_strips([StripOfWood(100, 0.274)], sheet)
