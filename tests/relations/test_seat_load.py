"""A sitter near the edge of a stool, by balance and by sympy's beams."""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp
from sympy.physics.continuum_mechanics.beam import Beam

from tablekit.engine.sheet import Sheet
from tablekit.relations import families, top_load
from tests.relations.by_hand import value

STOOL = {"seat_height": 480.0, "top_diameter": 380.0, "post_section": 55.0, "overhang": 10.0,
         "foot_radius": 270.0}  # fmt: skip


def solved(**changes: float) -> Sheet:
    return families.network("stool").solve({**STOOL, **changes})


@pytest.mark.witness(
    top_load.SITTER_REACH, top_load.SPAN_LOAD, top_load.SEAT_SCREW_STRENGTH_USED,
    by="three balances solved for the forces on three heads", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize("across", [340.0, 380.0, 460.0])
def test_the_sitter_by_three_balances(across: float) -> None:
    """A rigid top on three heads, 1300 N 60 mm inside the rim midway between two of them."""
    found = solved(top_diameter=across)
    heads = found.number("head_radius") * np.exp(1j * np.radians([60, -60, 180]))
    at = max(across / 2 - 60, heads[0].real)  # seat_load_inset
    balance = np.array([np.ones(3), heads.real, heads.imag])
    one, other, third = np.linalg.solve(balance, 1300 * np.array([1, at, 0]))
    assert one == pytest.approx(other) and third <= 1e-9
    assert found.number("sitter_span_load") == pytest.approx(one + other)
    trusted = found.number("screw_withdrawal") / 5.5 * found.number("screws_in_plate")
    assert found.number("seat_screw_strength_used") == pytest.approx(-third / trusted, abs=1e-12)
    assert found.number("sitter_reach") == pytest.approx(at - heads[0].real, abs=1e-9)


@pytest.mark.witness(top_load.SEAT_STRENGTH_USED, by="sympy's beams", within="1e-9")
@pytest.mark.parametrize("pad", [1, 120, 200])
def test_between_the_heads_by_a_beam_with_a_spread_load(pad: int) -> None:
    heads, push, thick, wide = 180, 1493, 40, 200
    span = sp.nsimplify(sp.sqrt(3) * heads)
    x = sp.Symbol("x")
    line = Beam(span, 12_000, 1)
    left, right = sp.symbols("R_1 R_2")
    line.apply_load(left, 0, -1)
    line.apply_load(right, span, -1)
    start, end = (span - pad) / 2, (span + pad) / 2
    line.apply_load(-sp.Rational(push, pad), start, 0, end=end)
    line.bc_deflection = [(0, 0), (span, 0)]
    line.solve_for_reaction_loads(left, right)
    most = float(abs(line.bending_moment().subs(x, span / 2)))
    stress = 6 * most / (wide * thick**2)
    used = value(
        top_load.SEAT_STRENGTH_USED, strength_factor=1, design_load=1300, top_thickness=thick,
        tension_across=1, head_radius=heads, top_diameter=380, sitter_reach=0,
        sitter_span_load=push, rim_reach=wide / 2, seat_pad=pad,
    )  # fmt: skip
    assert used == pytest.approx(stress, rel=1e-9)


def test_verdicts() -> None:
    def verdict(**changes: float) -> str:
        checks = {c.name: c.verdict for c in solved(**changes).checks}
        return checks["strength of the seat"]

    assert verdict(top_thickness=40.0) == "pass"  # 0.786 of what is trusted
    assert verdict() == "caution"  # 28 mm: 0.786 · (40/28)²
    assert verdict(top_thickness=26.0) == "fail"
    screws = {c.name: c.verdict for c in solved(screw_shank=2.0, wood_density=380.0).checks}
    assert screws["screws under a sitter"] != "pass"


def test_a_table_is_not_asked_it() -> None:
    table = families.network("table").solve(
        {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
    )
    assert table.get("seat_strength_used") is None
