"""Designs on splayed legs drawn at random: the sheet against plain vectors."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tablekit.relations import families
from tests.slow import recompute
from tests.trust import recompute_legs
from tests.trust.recompute import AGREE, Found
from tests.trust.recompute_legs import FAMILIES, HEIGHTS, LEANS, Family, compare, run

# Of each family one in every way of giving it.
DESIGNS = len(LEANS) * len(HEIGHTS)
GIVEN = {
    "seat_height": 453.0, "leg_rake": 8.0, "leg_splay": 6.0, "sight_turn": 3.0,
    "socket_radius": 120.0, "leg_diameter": 40.0, "foot_diameter": 24.0, "tenon_diameter": 25.0,
    "socket_depth": 30.0, "top_thickness": 40.0, "top_diameter": 340.0,
}  # fmt: skip


@pytest.mark.parametrize("family", FAMILIES, ids=", ".join)
def test_sheet_and_vectors_agree(family: Family) -> None:
    found = run(family, DESIGNS)
    assert found.designs == DESIGNS and found.compared > 25 * DESIGNS
    name, off, given = found.greatest
    assert off <= AGREE, (name, off, given)
    assert not found.left_out


def test_another_number_of_legs_or_a_number_off_is_seen() -> None:
    sheet = families.network("stool", style=recompute_legs.STYLE).solve(GIVEN)
    for legs, seen in ((3, set()), (4, {"foot_spread", "socket_spread", "base_mass"})):
        found = Found()
        compare(found, sheet, legs, GIVEN)
        assert {name for name, (size, _) in found.worst.items() if size > AGREE} >= seen
        assert (found.greatest[1] <= AGREE) == (not seen)
    value = sheet.values["leg_length"]
    sheet.values["leg_length"] = replace(value, number=value.number * (1 + 3e-9))
    found = Found()
    compare(found, sheet, 3, GIVEN)
    assert {name for name, (size, _) in found.worst.items() if size > AGREE} == {"leg_length"}


def test_the_long_run_takes_legs_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert recompute.main(["1", "stool", "four legs"]) == 0
    assert "stool, splayed legs, four legs: 1 designs" in capsys.readouterr().out
