"""The table of strengths, and the factor, against what other people print."""

from __future__ import annotations

from statistics import NormalDist, mean

import pytest
import sympy as sp

from tablekit.engine.units import factor
from tablekit.relations import strength, top_load
from tablekit.species import every_species
from tests.relations.by_hand import value

PSI, MODULUS = factor("psi", "MPa"), factor("psi", "MPa") * 1e6

# Wood Handbook FPL-GTR-190 table 5-3b (inch-pound), read as a stored page: 12 % moisture.
# MOR psi, MOE 10⁶ psi, compression along, across, shear, tension across in psi; None: not tabulated
READ = {
    "ponderosa pine": (9_400, 1.29, 5_320, 580, 1_130, 420),
    "shortleaf pine": (13_100, 1.75, 7_270, 820, 1_390, 470),
    "slash pine": (16_300, 1.98, 8_140, 1_020, 1_680, None),
}
COLUMNS = (
    "bending_strength", "elastic_modulus", "compression_along", "compression_across",
    "shear_strength", "tension_across",
)  # fmt: skip
# A copy of the handbook's inch-pound table by a third party, read: MOE 10⁶ psi,
# compression along, across and shear in psi.
COPIED = {
    "white ash": (1.74, 7_410, 1_160, 1_910),
    "basswood": (1.46, 4_730, 370, 990),
    "American beech": (1.72, 7_300, 1_010, 2_010),
    "yellow birch": (2.01, 8_170, 970, 1_880),
    "black cherry": (1.49, 7_110, 690, 1_700),
    "hickory (pecan)": (1.73, 7_850, 1_720, 2_080),
    "hickory (mockernut)": (2.22, 8_940, 1_730, 1_740),
    "hickory (shagbark)": (2.16, 9_210, 1_760, 2_430),
}
# Bending strengths in psi as a trade magazine's answer quotes the handbook (it heads the column
# wrongly as compression), read.
QUOTED_BENDING = {
    "sugar maple": 15_800, "silver maple": 8_900, "yellow birch": 16_600,
    "American beech": 14_900, "white ash": 15_000, "northern red oak": 14_300,
    "white oak": 15_200, "hickory (mockernut)": 19_200,
}  # fmt: skip
HARDWOODS = list(every_species())[:16]  # the table lists them before the softwoods


@pytest.mark.witness(
    "strength.csv",
    by="Wood Handbook table 5-3b in inch-pounds, three woods",
    within="the rounding of the metric figures",
)
@pytest.mark.parametrize("name", READ)
def test_rows_against_the_inch_pound_table(name: str) -> None:
    # Metric figures are rounded from the inch-pound ones, to 1 MPa where bending is concerned.
    found = every_species()[name].strengths
    halves = (0.6, 60, 0.1, 0.1, 0.1, 0.06)
    for column, printed, half in zip(COLUMNS, READ[name], halves, strict=True):
        if printed is None:
            assert column not in found
            continue
        size = MODULUS if column == "elastic_modulus" else PSI
        assert found[column] == pytest.approx(printed * size, abs=half), column


@pytest.mark.witness(
    "strength.csv",
    by="a third party's copy of the inch-pound table",
    within="the rounding of the metric figures",
)
@pytest.mark.parametrize("name", COPIED)
def test_rows_against_a_copy(name: str) -> None:
    found = every_species()[name].strengths
    halves = (60, 0.1, 0.1, 0.1)
    for column, printed, half in zip(COLUMNS[1:5], COPIED[name], halves, strict=True):
        size = MODULUS if column == "elastic_modulus" else PSI
        assert found[column] == pytest.approx(printed * size, abs=half), column


@pytest.mark.parametrize("name", QUOTED_BENDING)
def test_bending_strengths_as_quoted(name: str) -> None:
    found = every_species()[name].strengths["bending_strength"]
    assert found == pytest.approx(QUOTED_BENDING[name] * PSI, abs=1.0)


def test_a_middling_hardwood_is_the_mean_of_the_hardwoods() -> None:
    assert HARDWOODS[0] == "white oak" and HARDWOODS[-1] == "sycamore"
    assumed = {a.quantity.name: a for a in (*strength.ASSUMPTIONS, *top_load.RIM_ASSUMPTIONS)}
    for column in COLUMNS:
        rows = [every_species()[n].strengths.get(column) for n in HARDWOODS]
        middle = mean(row for row in rows if row is not None)
        assert float(assumed[column].value) / 1e6 == pytest.approx(middle, rel=0.05), column
    shares = [every_species()[n].across_shares.get("flat-sawn") for n in HARDWOODS]
    middle = mean(share for share in shares if share is not None)
    assert float(assumed["across_share"].value) == pytest.approx(middle, rel=0.1)


def test_the_weakest_board_in_twenty() -> None:
    # coefficient of variation 16 %: a table in the form of ASTM D2555 (quoted)
    weakest = NormalDist(1, 0.16).inv_cdf(0.05)
    assumed = next(a for a in strength.ASSUMPTIONS if a.quantity is strength.variation_factor)
    assert float(assumed.value) == pytest.approx(1 / weakest, abs=0.005)


def test_the_factor_against_what_lumber_standards_leave() -> None:
    # 1.62 for ten years and 1.3 for safety on the 5 % value: a trade journal on visually graded
    # lumber; 1.25 for seven days: National Design Specification, table 2.3.2 (quoted)
    standard = 1 / NormalDist(1, 0.16).inv_cdf(0.05) * 1.62 * 1.3 / 1.25
    parts = {a.quantity.name: float(a.value) for a in strength.ASSUMPTIONS if a.first_to}
    ours = value(strength.STRENGTH_FACTOR, **parts)
    assert 1.0 <= ours / standard <= 1.3


def test_screws_are_trusted_with_what_a_table_of_allowable_loads_allows() -> None:
    # allowable F = 2850 G² D lb per inch, No. 10 screw of 0.190 in, G = 0.45: 109 lb per inch, an
    # engineering reference (read)
    draws = value(
        top_load.SCREW_WITHDRAWAL, specific_gravity=0.45, screw_shank=0.190 * 25.4,
        screw_length=25.4 + 3, plate_thickness=3,
    ) / factor("lbf", "N")  # fmt: skip
    trusted = draws * 2 / 11
    assert trusted == pytest.approx(109, abs=1.0)
    pulled = trusted * factor("lbf", "N")  # by a lever of one: the third head carries the push
    relation = top_load.SCREW_STRENGTH_USED.equation
    at = {"screws_in_plate": 1, "screw_withdrawal": draws * factor("lbf", "N"), "rim_load": pulled,
          "rim_reach": 3, "head_radius": 2}  # fmt: skip
    used = sp.solve(relation.subs({s: at[s.name] for s in relation.free_symbols if s.name in at}))
    assert [float(share) for share in used] == [pytest.approx(1)]
