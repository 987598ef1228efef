"""Strength and stiffness that [wood] supplies."""

from __future__ import annotations

import pytest

from tablekit.brief import parse_brief
from tablekit.design.standing_plans import joint_load
from tablekit.engine.sheet import Sheet
from tablekit.setting_out import set_out
from tablekit.solids.piece import Solids
from tablekit.species import every_species, find_species
from tests.together import each

GIVEN = """
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
ASH = '[wood]\nspecies = "white ash"\n'


def sheet(*parts: str) -> Sheet:
    return set_out(parse_brief("\n".join(parts)))


def test_ash_brings_its_averages() -> None:
    # Wood Handbook table 5-3a, quoted: reference/strength.csv
    found = sheet(GIVEN, ASH)
    assert found.number("bending_strength") == 103
    assert found.number("elastic_modulus") == pytest.approx(12_000)
    assert found.number("shear_strength") == pytest.approx(13.2)
    notes = [note for note in found.notes if note.startswith("Strength and stiffness")]
    assert len(notes) == 1 and "quoted" in notes[0] and "strength_factor" in notes[0]


@each("name", every_species())
def test_denting_is_judged_by_the_species(name: str) -> None:
    # Wood Handbook table 5-3a, as in reference/strength.csv: once 7.0 MPa for every wood
    found = sheet(GIVEN, f'[wood]\nspecies = "{name}"\n')
    tabulated = every_species()[name].strengths.get("compression_across", 7.0)
    assert found.number("compression_across") == tabulated
    origin = "given" if "compression_across" in every_species()[name].strengths else "assumed"
    assert found["compression_across"].origin == origin
    assert found.number("trusted_bearing") == pytest.approx(
        tabulated / found.number("strength_factor")
    )


def test_the_joint_takes_the_same_wood_as_the_sheet() -> None:
    # 2.6 and 12.1 MPa: basswood and shagbark hickory, Wood Handbook table 5-3a
    uses = {}
    for name in ("basswood", "hickory (shagbark)"):
        found = sheet(GIVEN, f'[wood]\nspecies = "{name}"\n')
        under_load = joint_load(found, Solids(found)).under_load
        assert under_load is not None
        assert under_load.number("compression_across") == found.number("compression_across")
        uses[name] = under_load.number("bearing_strength_used")
    assert uses["basswood"] / uses["hickory (shagbark)"] == pytest.approx(12.1 / 2.6, rel=1e-6)


def test_compression_across_may_be_given() -> None:
    found = sheet(GIVEN, 'compression_across = "5 MPa"', ASH)
    assert found.number("compression_across") == 5
    under_load = joint_load(found, Solids(found)).under_load
    assert under_load is not None and under_load.number("compression_across") == 5


@pytest.mark.parametrize(("cut", "share"), [("", 0.080), ("quarter-sawn", 0.125)])
def test_across_the_grain_it_depends_on_the_cut(cut: str, share: float) -> None:
    # Wood Handbook table 5-1 (from memory)
    found = sheet(GIVEN, ASH, f'cut = "{cut}"' if cut else "")
    assert found.number("across_share") == share
    assert any(n.startswith("across_share") and "memory" in n for n in found.notes)


def test_a_given_strength_comes_first() -> None:
    found = sheet(GIVEN, 'bending_strength = "80 MPa"', ASH)
    assert found.number("bending_strength") == 80
    assert found.number("elastic_modulus") == pytest.approx(12_000)


def test_what_is_not_tabulated_stays_assumed() -> None:
    found = sheet(GIVEN, '[wood]\nspecies = "sugar maple"\n')
    assert found["tension_across"].origin == "assumed"
    assert found.number("bending_strength") == 109
    maple = find_species("sugar maple")
    assert maple is not None and "tension_across" not in maple.strengths


LEGS = 'kind = "stool"\n[given]\nseat_height = "450 mm"\n[base]\nstyle = "splayed legs"\n'


def test_splayed_legs_have_the_strength_of_their_wood_and_no_posts() -> None:
    # Wood Handbook, table 5-3a (quoted) and table 13-5: strength.csv and movement.csv
    ash = sheet(LEGS, ASH)
    assert ash.get("post_strength_used") is None
    assert ash.number("bending_strength") == 103
    assert ash.number("tenon_across_share") == 0.080
    assert (ash.number("tenon_coefficient"), ash.number("tenon_radial_coefficient")) == (
        ash.number("movement_coefficient"), 0.00169,
    )  # fmt: skip
    assert any(note.startswith("Strength and stiffness") for note in ash.notes)
    weak = sheet(LEGS, '[wood]\nspecies = "basswood"\n')
    assert weak.number("tenon_strength_used") > ash.number("tenon_strength_used")


@each("name", every_species())
def test_every_row_has_a_status_and_sensible_figures(name: str) -> None:
    species = every_species()[name]
    assert any(word in species.status for word in ("read", "quoted", "memory"))
    assert species.across_status or not (
        species.across_shares or "tension_across" in species.strengths
    )
    strengths = species.strengths
    assert strengths["bending_strength"] > strengths["compression_along"]
    assert strengths["compression_along"] > strengths["shear_strength"]
    assert all(0.02 < share < 0.25 for share in species.across_shares.values())
    if species.across_shares:  # radial is the stiffer way in every wood
        assert species.across_shares["quarter-sawn"] > species.across_shares["flat-sawn"]
