"""Sizes that an inch shop assumes: sizes of the trade, not conversions."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from tablekit.brief import parse_brief
from tablekit.design import Design
from tablekit.engine.relation import Assumption
from tablekit.relations import families, inch_practice
from tablekit.relations.inch_practice import inch_size, inch_words
from tablekit.relations.requirements import requirements
from tablekit.setting_out import design_of, set_out
from tests.together import each
from tests.trust.declared import declared

INCH = 25.4


@each(
    ("millimetres", "inches"),
    [
        # 2010 ADA Standards 902.3, 306.3, where both units stand
        (710, "28"), (865, "34"), (685, "27"),
        (610, "24"), (760, "30"),  # Panero and Zelnik: 24 in (61 cm), 30 in (76.2 cm)
        (12, "1/2"), (6, "1/4"), (8, "5/16"), (10, "3/8"), (16, "5/8"), (20, "3/4"), (25, "1"),
        (40, "1 1/2"), (50, "2"), (100, "4"), (28, "1 1/8"),  # common practice, no source
        (-12, "-1/2"), (0, "0"),
    ],
)  # fmt: skip
def test_the_size_that_stands_for_a_metric_one(millimetres: float, inches: str) -> None:
    wanted = sum(Fraction(part.lstrip("-")) for part in inches.split())
    assert inch_size(millimetres) == (-wanted if inches.startswith("-") else wanted)


@pytest.mark.parametrize(
    ("metric", "inch"),
    [
        ("Seats at counters are 610 to 660 mm high.", "Seats at counters are 24 to 26 in high."),
        ("Take a cutter of 12 mm.", "Take a cutter of 1/2 in."),
        ("Hardwoods weigh 450 to 800 kg/m³.", "Hardwoods weigh 28 to 50 lb/ft³."),  # SP 811, B.8
        ("Pushed with 400 N.", "Pushed with 90 lbf."),
        ("a paper's thickness, 0.1 mm", "a paper's thickness, 4 thou"),
        ("0.656 N/mm", "0.656 N/mm"),
        ("Wood Handbook, table 5-1", "Wood Handbook, table 5-1"),
    ],
)
def test_words_have_inches_in_them(metric: str, inch: str) -> None:
    assert inch_words(metric) == inch


@pytest.mark.parametrize("style", ["crossed posts", "splayed legs"])
@pytest.mark.parametrize("kind", ["table", "stool"])
def test_what_is_assumed_is_a_size_of_an_inch_rule(kind: str, style: str) -> None:
    network = families.network(kind, style=style, sizes="inch")
    metric = families.network(kind, style=style)
    assert len(network.assumptions) == len(metric.assumptions)
    found = 0
    for one, other in zip(network.assumptions, metric.assumptions, strict=True):
        assert one.quantity is other.quantity and one.quantity is not None
        assert " mm" not in one.why
        if one.quantity.unit == "mm" and one.value.is_number:
            inches = one.quantity.from_si(float(one.value)) / INCH
            assert inches * 32 == pytest.approx(round(inches * 32)) or inches < 0.03
            metric_size = one.quantity.from_si(float(other.value))
            assert inches * INCH == pytest.approx(metric_size, rel=0.35, abs=0.3)
            found += 1
    assert found > 8


BRIEF = """
name = "Inch table"
display = "in"
[given]
table_height = "29 in"
top_diameter = "36 in"
post_section = "2 1/2 in"
"""


def test_a_size_inside_a_formula_is_an_inch_size_too() -> None:
    """A flat takes a circle of 1 in where the post has room for it, a plate is of 1/8 in."""
    brief = parse_brief(
        'kind = "table"\ndisplay = "in"\n[given]\ntable_height = "29 in"\n'
        'top_diameter = "36 in"\npost_section = "2 1/2 in"\n'
    )
    sheet = set_out(brief)
    for name, inches in (("foot_flat", 1), ("head_flat", 1), ("plate_thickness", 1 / 8)):
        assert sheet.values[name].number == pytest.approx(inches * INCH, rel=1e-12)


def test_an_inch_brief_is_judged_in_inches() -> None:
    brief = parse_brief(BRIEF)
    sheet = set_out(brief)
    assert sheet.number("top_thickness") == pytest.approx(1.125 * INCH)
    assert sheet.number("cutter_diameter") == pytest.approx(0.5 * INCH)
    checks = Design(brief, sheet).every_check
    limits = {check.id: check.limit for check in checks}
    assert limits["foot_size"] and limits["pass_depth"]
    for check in checks:
        assert " mm" not in f"{check.message} {check.mend}", check.id


@pytest.mark.parametrize("height", [14, 16, 17, 18, 19, 24, 26, 28, 30])
def test_every_seat_of_the_trade_has_its_use(height: int) -> None:
    # common practice, no source: seats 17 to 18 in, counters 24 to 26 in, bars 28 to 30 in
    brief = parse_brief(
        f'kind = "stool"\ndisplay = "in"\n[given]\nseat_height = "{height} in"\n'
        'top_diameter = "14 in"\npost_section = "1 3/4 in"\n'
    )
    check = next(one for one in design_of(brief).every_check if one.id == "height")
    words = {17: "dining table", 18: "dining table", 24: "rest", 26: "rest", 28: "bar", 30: "bar"}
    assert words.get(height, "") in check.message, check.message


def test_words_that_are_put_in_inches_are_still_said() -> None:
    """They are found by their very text: one that is worded anew would stay in millimetres."""
    said = [
        f"{one.relation.why} {one.relation.source.text}"
        for one in declared()
        if one.what == "assumption"
    ]
    assert all(any(text in one for one in said) for text in inch_practice._OWN_WORDS)


DOCUMENTS = {"rim_load", "fracture_energy"}  # what is quoted of a document stays in its units


def test_no_assumption_and_no_check_of_an_inch_shop_speaks_in_metric() -> None:
    metric = re.compile(r"\d ?(mm|cm|m|kg|g|kg/m³|g/m²|m²|m³|N|[kMG]Pa|°C|J|litres?|ml)(?![\w/])")
    every = [one.relation for one in declared() if isinstance(one.relation, Assumption)]
    assumed = inch_practice.in_practice(every, inches=True)
    said = [(a.quantity.name, t) for a in assumed if a.quantity for t in (a.why, a.source.text)]
    for kind in ("table", "stool"):
        checks = inch_practice.judged_in_practice(requirements(kind), inches=True)
        fields = ("too_low", "too_high", "mend_low", "mend_high", "care", "fine")
        said += [(one.id, getattr(one, field)) for one in checks for field in fields]
        said += [(one.id, one.source.text) for one in checks]
    assert len(said) > 450
    assert [(n, t) for n, t in said if metric.search(t) and n not in DOCUMENTS] == []
