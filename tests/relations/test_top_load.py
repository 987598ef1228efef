"""The top under a hand, and its screws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tablekit.relations import families

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


def solved(**changes: float) -> dict[str, float]:
    sheet = families.network("table").solve({**TABLE, **changes})
    return {n: v.number for n, v in sheet.values.items() if v.number is not None}


def verdict(name: str, **changes: float) -> str:
    checks = families.network("table").solve({**TABLE, **changes}).checks
    return next(check.verdict for check in checks if check.name == name)


def test_reach_and_pull_by_three_balances() -> None:
    """A rigid top on three heads, pushed at the rim midway between two of them."""
    found = solved(screws_in_plate=1.0)
    heads = found["head_radius"] * np.exp(1j * np.radians([60, -60, 180]))
    balance = np.array([np.ones(3), heads.real, heads.imag])
    push = found["rim_load"] * np.array([1, found["top_diameter"] / 2, 0])
    first, second, third = np.linalg.solve(balance, push)
    assert first == pytest.approx(second)
    assert found["rim_reach"] == pytest.approx(found["top_diameter"] / 2 - heads[0].real)
    assert found["screw_strength_used"] == pytest.approx(-third * 5.5 / found["screw_withdrawal"])


def test_sag_goes_with_the_cube_of_the_thickness() -> None:
    thin, thick = (solved(top_thickness=t, base_height=704.0, table_height=707.0 + t)
                   for t in (20.0, 40.0))  # fmt: skip
    assert thin["rim_deflection"] == pytest.approx(8 * thick["rim_deflection"])


def test_stiffness_alike_both_ways_is_a_plain_sum() -> None:
    found = solved(across_share=1.0)
    heads, reach = found["head_radius"], found["rim_reach"]
    common = found["rim_load"] * (460 + heads) / (found["elastic_modulus"] * 28**3)
    both = 8 * reach**2 / (math.pi * 460) + 3**0.5 * heads**2 / (4 * reach)
    assert found["rim_deflection"] == pytest.approx(common * both)


def test_heads_far_out_load_the_strip_between_them() -> None:
    # derived: reference/derivations/top_load.md; which of the two moments is larger
    found = solved()
    one = found["rim_reach"] / (math.pi / 2 * 460)
    other = (460 + found["head_radius"]) / (4 * 3**0.5 * found["rim_reach"])
    stress = 6 * found["rim_load"] * max(one, other) / 28**2
    used = found["strength_factor"] * stress / found["tension_across"]
    assert found["top_strength_used"] == pytest.approx(used)


def test_heads_far_beyond_the_rim_still_give_a_sheet() -> None:
    found = solved(top_diameter=350.0)
    assert found["rim_reach"] == pytest.approx(found["head_radius"] / 10)
    assert verdict("heads under the top", top_diameter=350.0) == "fail"


def test_a_given_sag_finds_the_push_and_a_given_push_the_sag() -> None:
    found = solved()
    back = solved(rim_deflection=found["rim_deflection"] / 2)
    assert back["rim_load"] == pytest.approx(found["rim_load"] / 2)
    assert back["top_thickness"] == found["top_thickness"]


def test_verdicts() -> None:
    assert verdict("rim deflection", top_thickness=40.0) == "pass"
    assert verdict("rim deflection", top_thickness=18.0) == "fail"
    assert verdict("strength of the top", top_thickness=40.0) == "pass"
    assert verdict("strength of the top", top_thickness=18.0) == "fail"
    assert verdict("screws into the top") == "pass"
    assert verdict("screws into the top", rim_load=6_000.0) == "fail"


def test_a_load_that_stays_sags_twice_as_far() -> None:
    # Wood Handbook, chapter 5 (quoted): about doubled in several years
    found = solved(lasting_load=200.0)
    assert found["lasting_deflection"] == pytest.approx(
        2 * found["rim_deflection"] * 200 / found["rim_load"]
    )
    name = "long-term rim deflection"
    assert verdict(name) == "pass" and verdict(name, lasting_load=250.0) == "caution"
    assert verdict(name, lasting_load=900.0) == "fail"
