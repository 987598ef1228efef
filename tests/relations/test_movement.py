"""The top's movement: which equation holds, and what follows from it in either direction."""

from __future__ import annotations

import pytest

from tablekit.engine.network import Network
from tablekit.engine.trouble import DesignError
from tablekit.relations import families, moisture, movement, quantities

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def bare() -> Network:
    """Movement alone, from three moistures and a coefficient."""
    declared = movement.relations()
    names = {name for relation in declared for name in relation.symbols}
    every = (*quantities.EVERY, *movement.QUANTITIES, *moisture.QUANTITIES)
    used = [q for q in every if q.name in names]
    return Network("movement", used, declared, constants=moisture.CONSTANTS)


def moved(driest: float, dampest: float, shop: float = 9.0, **changes: float) -> dict[str, float]:
    givens = {
        "top_diameter": 900.0, "movement_coefficient": 0.00274, "top_factor": 1.0,
        "driest_moisture": driest, "dampest_moisture": dampest, "shop_moisture": shop, **changes,
    }  # fmt: skip
    sheet = bare().solve(givens)
    return {name: value.number for name, value in sheet.values.items() if value.number is not None}


def test_within_6_to_14_per_cent_the_coefficient_holds() -> None:
    # Wood Handbook equation 13-2: 900 mm × 0.00274 × 6 = 14.796 mm
    found = moved(6.5, 12.5)
    assert found["season_holds"] == found["shop_holds"] == 1
    assert found["top_movement"] == pytest.approx(14.796, abs=5e-4)
    assert found["winter_shrinkage"] == pytest.approx(900 * 0.00274 * 2.5, rel=1e-12)
    assert found["summer_swelling"] == pytest.approx(900 * 0.00274 * 3.5, rel=1e-12)
    total = found["winter_shrinkage"] + found["summer_swelling"]
    assert total == pytest.approx(found["top_movement"], rel=1e-12)


@pytest.mark.parametrize(("driest", "dampest"), [(4.0, 12.0), (7.0, 16.0), (3.0, 20.0)])
def test_beyond_it_the_whole_shrinkage_decides(driest: float, dampest: float) -> None:
    # Wood Handbook equation 13-3 with S from C (reference/derivations/movement.md)
    shrinkage = 3000 * 0.00274 / (1 + 20 * 0.00274)  # in per cent: 7.79, as for white ash
    assert shrinkage == pytest.approx(7.8, abs=0.05)  # Wood Handbook table 4-3
    found = moved(driest, dampest)
    assert found["season_holds"] == found["shop_holds"] == 0
    per_cent = 1 / (30 * 100 / shrinkage - 30 + driest)
    assert found["top_movement"] == pytest.approx(900 * (dampest - driest) * per_cent, rel=1e-12)
    in_shop = 1 / (30 * 100 / shrinkage - 30 + 9.0)
    assert found["winter_shrinkage"] == pytest.approx(900 * (9 - driest) * in_shop, rel=1e-12)
    assert found["summer_swelling"] == pytest.approx(900 * (dampest - 9) * in_shop, rel=1e-12)


def test_the_two_equations_meet_within_a_few_hundredths_of_the_change() -> None:
    # derived: reference/derivations/movement.md
    inside, outside = moved(6.0001, 13.999), moved(5.9999, 14.001)
    assert inside["season_holds"] == 1 and outside["season_holds"] == 0
    assert outside["top_movement"] == pytest.approx(inside["top_movement"], rel=0.015)


@pytest.mark.parametrize("wood", [0.0015, 0.00274, 0.0043])
def test_equation_13_3_is_exact_for_wood_that_shrinks_evenly(wood: float) -> None:
    # independent: widths reckoned from the green board, D(M) = 1 − S (30 − M)/30
    shrinkage = 30 * wood / (1 + 20 * wood)

    def width(m: float) -> float:
        return 1 - shrinkage * (30 - m) / 30

    found = moved(4.0, 18.0, movement_coefficient=wood)
    assert found["top_movement"] == pytest.approx(
        900 * (width(18) - width(4)) / width(4), rel=1e-12
    )
    slope = (width(11) - width(9)) / 2 / width(10)
    assert slope == pytest.approx(wood, rel=1e-12)  # the coefficient refers to the width at 10 %


def test_the_oval() -> None:
    # derived: reference/derivations/movement.md, the oval
    found = moved(6.5, 12.5)
    assert found["narrowest_width"] == pytest.approx(900 - found["winter_shrinkage"])
    assert found["widest_width"] == pytest.approx(900 + found["summer_swelling"])
    # Wood Handbook page 4-5 (quoted): 0.2 % from 30 % to ovendry
    assert found["lengthwise_movement"] == pytest.approx(900 * 0.002 * 6 / 30)


def test_a_wanted_movement_finds_the_largest_diameter() -> None:
    free = {name: number for name, number in TABLE.items() if name != "top_diameter"}
    sheet = families.network("table").solve({**free, "top_movement": 12.0})
    assert sheet["top_diameter"].origin == "found"
    again = families.network("table").solve({**TABLE, "top_diameter": sheet.number("top_diameter")})
    assert again.number("top_movement") == pytest.approx(12.0, rel=1e-9)


def test_a_wanted_movement_of_a_given_top_asks_for_a_quieter_wood() -> None:
    sheet = families.network("table").solve({**TABLE, "top_movement": 12.0})
    assert sheet["movement_coefficient"].origin == "found"
    assert sheet.number("movement_coefficient") < 0.00315
    damp = families.network("table").solve(
        {**TABLE, "top_movement": 12.0, "movement_coefficient": 0.00315}
    )
    assert damp["dampest_humidity"].origin == "found"
    assert damp.number("dampest_humidity") < 65


def test_drier_dampest_air_is_refused() -> None:
    with pytest.raises(DesignError, match="dampest air"):
        families.network("table").solve({**TABLE, "dampest_humidity": 20.0})


@pytest.mark.parametrize("options", [{}, {"style": "splayed legs"}, {"crossing": "two notches"}])
@pytest.mark.parametrize("kind", ["table", "stool"])
def test_every_kind_of_piece_has_the_three(kind: str, options: dict[str, str]) -> None:
    height = "seat_height" if kind == "stool" else "table_height"
    part = "leg_diameter" if options.get("style") else "post_section"
    givens = {height: 500.0, "top_diameter": 420.0, part: 40.0}
    sheet = families.network(kind, **options).solve(givens)
    assert sheet.number("trammel_radius") == 210
    assert sheet.number("router_passes") == -(-sheet.number("top_thickness") // 5)
    assert sheet.number("top_movement") == pytest.approx(
        420 * 0.00315 * (sheet.number("dampest_moisture") - sheet.number("driest_moisture"))
    )
