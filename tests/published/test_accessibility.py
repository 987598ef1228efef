"""Heights asked of accessible tables, and the numbers that stand in for people."""

from __future__ import annotations

import csv
from pathlib import Path

import scipy.constants

from tablekit.engine.units import parse_quantity
from tablekit.relations import assumptions, quantities, requirements

PEOPLE = Path(__file__).parents[2] / "reference" / "people_and_loads.csv"


def rows() -> dict[str, dict[str, str]]:
    lines = [line for line in PEOPLE.read_text("utf-8").splitlines() if not line.startswith("#")]
    return {row["what"]: row for row in csv.DictReader(lines)}


def test_every_row_says_where_it_was_seen() -> None:
    assert len(rows()) > 10
    for what, row in rows().items():
        assert row["source"], what
        assert any(word in row["status"] for word in ("read", "quoted", "memory")), what


def test_dining_height() -> None:
    # 2010 ADA Standards 902.3: 710 mm (28 in) least, 865 mm (34 in) most
    assert requirements.HEIGHT.good == (710, 865)
    assert requirements.HEIGHT.source.where == "902.3"
    assert rows()["dining and work surface height"]["value"].startswith("710-865")


def test_a_low_table_is_cautioned_not_failed() -> None:
    # a coffee table is not wrong: our own choice, no source
    assert requirements.HEIGHT.tolerable == (None, None)
    assert requirements.KNEES.tolerable == (None, None)


def test_knee_clearance() -> None:
    # 2010 ADA Standards 306.3: knee clearance is measured up to 685 mm (27 in)
    assert requirements.KNEES.good == (685, None)
    assert rows()["knee clearance height band"]["value"].startswith("230-685")


def test_metric_and_inch_values_agree_to_the_standard_rounding() -> None:
    # 2010 ADA Standards print millimetres rounded to 5
    for inches, millimetres in (("28 in", 710), ("34 in", 865), ("27 in", 685), ("24 in", 610)):
        assert abs(parse_quantity(inches, "mm") - millimetres) <= 2.5


def test_rim_for_one_person() -> None:
    # Panero and Zelnik, least 610 mm (24 in): value read, attribution from memory
    assumed = assumptions.RIM_PER_SITTER
    assert quantities.rim_per_sitter.from_si(float(assumed.value)) == 610
    assert rows()["rim per diner least / comfortable"]["value"].startswith("610 / 760")


def test_standard_gravity() -> None:
    # 3rd General Conference on Weights and Measures 1901, as carried by CODATA in scipy
    assert quantities.STANDARD_GRAVITY.si == scipy.constants.g
