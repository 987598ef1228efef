"""The published movement of each wood, found by the name a maker writes."""

from __future__ import annotations

import pytest

from tablekit.species import every_movement, every_species, find_movement


@pytest.mark.parametrize(
    ("text", "radial", "tangential"),
    [
        # Wood Handbook (FPL-GTR-190) table 13-5, read
        ("white ash", 0.00169, 0.00274),
        ("White-Ash", 0.00169, 0.00274),
        ("black walnut", 0.00190, 0.00274),
        ("sugar maple", 0.00165, 0.00353),
        ("American beech", 0.00190, 0.00431),
        ("white oak", 0.00180, 0.00365),
        ("northern red oak", 0.00158, 0.00369),
        # the same table, true hickory: tangential quoted, radial from memory
        ("hickory (shagbark)", 0.00259, 0.00411),
    ],
)
def test_found_by_name(text: str, radial: float, tangential: float) -> None:
    found = find_movement(text)
    assert found is not None
    assert (found.coefficient("quarter-sawn"), found.coefficient("flat-sawn")) == (
        radial,
        tangential,
    )
    assert found.coefficient_status


def test_every_wood_that_a_brief_may_name_moves() -> None:
    assert [name for name in every_species() if find_movement(name) is None] == []


def test_a_wood_without_a_coefficient_is_not_found() -> None:
    assert every_movement()["mahogany (African)"].tangential is None
    assert find_movement("mahogany (african)") is None
    assert find_movement("unobtainium") is None


def test_flat_sawn_moves_more_and_every_row_has_its_status() -> None:
    # Wood Handbook chapter 4: radial shrinkage is less than tangential in every wood
    for wood in every_movement().values():
        if wood.tangential is not None:
            assert wood.radial is not None and 0 < wood.radial < wood.tangential < 0.005
            assert any(word in wood.coefficient_status for word in ("read", "quoted", "memory"))
        if wood.shrinkage_tangential is not None:
            assert 0 < wood.shrinkage_radial < wood.shrinkage_tangential
            assert wood.shrinkage_status
