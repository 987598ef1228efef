"""The board foot against an independent table of units."""

from __future__ import annotations

import pint
import pytest

from tablekit.relations.stock import BOARD_FEET, BOARD_FOOT


@pytest.mark.witness(BOARD_FEET, by="pint's own table of units", within="1e-12")
def test_a_board_foot_is_that_of_another_table_of_units() -> None:
    # pint's own registry: board_foot = 144 * inch ** 3
    expected = pint.UnitRegistry().Quantity(1, "board_foot").to("m^3").magnitude
    assert pytest.approx(expected, rel=1e-12) == BOARD_FOOT.si


def test_a_board_foot_is_a_foot_square_and_an_inch_thick() -> None:
    # NIST SP 811 (2008) appendix B.8: 1 ft = 3.048 E-01 m, 1 in = 2.54 E-02 m, both exact.
    assert pytest.approx(0.3048**2 * 0.0254, rel=1e-12) == BOARD_FOOT.si
