"""The ends of a post: the foot on its pad, and the screws into the head."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.planning.fixing_plan import fittings
from tablekit.relations import ends, families, top_load
from tests.relations.by_hand import value

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(**changes: float) -> Sheet:
    return families.network("table").solve({**TABLE, **changes})


def verdicts(**changes: float) -> dict[str, str]:
    return {check.name: check.verdict for check in solved(**changes).checks}


@pytest.mark.witness(
    ends.FOOT_STRENGTH, by="crushing strengths along and across the grain at 0° and 90°, and "
    "resolved in a square block between", within="exact at the ends; below both bounds between",
)  # fmt: skip
def test_a_slanting_foot_lies_between_the_strengths_of_the_grain() -> None:
    # white ash: 51.1 and 8.0 MPa, Wood Handbook table 5-3a
    def at(lean: float) -> float:
        return value(ends.FOOT_STRENGTH, compression_along=51.1, compression_across=8.0, splay=lean)

    assert at(0.0) == pytest.approx(51.1) and at(90.0) == pytest.approx(8.0)
    turns = np.radians([20.0, 40.0, 54.7356, 70.0])
    for turn in turns:
        found = at(float(np.degrees(turn)))
        # No more than either part of the push alone would allow: along the grain, and across it.
        assert found < 51.1 / np.cos(turn) ** 2 and found < 8.0 / np.sin(turn) ** 2
        # Shares of both strengths that add up to one, each part on the area that it acts on.
        shares = found * np.cos(turn) ** 2 / 51.1 + found * np.sin(turn) ** 2 / 8.0
        assert shares == pytest.approx(1)


def test_the_pad_carries_the_largest_force_on_a_foot() -> None:
    found = solved()
    pressure = found.number("foot_force") / (np.pi * found.number("pad_diameter") ** 2 / 4)
    trusted = found.number("foot_strength") / found.number("strength_factor")
    assert found.number("foot_bearing_strength_used") == pytest.approx(pressure / trusted)
    name = "bearing at the feet"
    assert verdicts()[name] == "pass"
    assert verdicts(pad_diameter=15.0)[name] == "caution"
    assert verdicts(compression_across=1.5)[name] == "fail"


def test_a_screw_in_a_head_holds_three_quarters() -> None:
    # Wood Handbook, quoted: end grain 75 % of side grain on average
    alike = {"specific_gravity": 0.6, "screw_shank": 5.0, "plate_thickness": 3.0}
    head = value(ends.HEAD_SCREW_WITHDRAWAL, head_screw_length=43, **alike)
    top = value(top_load.SCREW_WITHDRAWAL, screw_length=43, **alike)
    assert head / top == pytest.approx(0.75)
    # 2850 G² D pounds an inch are allowed in side grain (an engineering reference, read): 1 lbf is
    # 4.448 N, 1 in 25.4 mm.
    allowed = 2850 * 0.6**2 * (5 / 25.4) * (40 / 25.4) * 4.448
    assert top * 2 / 11 == pytest.approx(allowed, rel=0.01)


@pytest.mark.witness(
    ends.HEAD_SCREW_STRENGTH_USED,
    by="three balances solved for the forces on three heads",
    within="1e-9",
)
def test_the_pull_on_a_head_by_three_balances() -> None:
    found = solved()
    heads = found.number("head_radius") * np.exp(1j * np.radians([60, -60, 180]))
    balance = np.array([np.ones(3), heads.real, heads.imag])
    third = np.linalg.solve(balance, found.number("rim_load") * np.array([1, 460, 0]))[2]
    trusted = found.number("head_screw_withdrawal") * found.number("head_screws") / 5.5
    assert found.number("head_screw_strength_used") == pytest.approx(-third / trusted)
    name = "screws into the heads"
    assert verdicts()[name] == "pass"
    assert verdicts(head_screw_length=16.0, wood_density=300.0)[name] != "pass"


@pytest.mark.parametrize("count", [1, 2])
def test_the_screws_that_are_bought_are_those_that_are_judged(count: int) -> None:
    found = solved(head_screws=float(count))
    (down,) = (one for one in fittings(found) if "down into each head" in one.name)
    assert down.count == 3 * count
    assert down.size == f"{found.shop('screw_shank')} × {found.shop('head_screw_length')}"
