"""Sheet, plain vectors and solids agree: a fixed sample of every family.

A thousand of each: python -m tests.slow.recompute 1000
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tablekit.engine.relation import Relation
from tablekit.relations import families
from tests.relations.evaluate import relations_of
from tests.relations.reference_vectors import Design, foot_loads
from tests.slow import recompute
from tests.trust.plain_piece import Built, Piece, volume_and_middle
from tests.trust.recompute import (
    AGREE,
    FAMILIES,
    SETTLED,
    SQUARE_ONLY,
    WAYS,
    Family,
    Found,
    compare,
    designs,
    off,
    run,
)

SAMPLE = 12
SQUARE = math.acos(1 / math.sqrt(3))
# Each way of giving a design is tried in two families; a plan for each in each would take long.
WAY_OF = {family: WAYS[(3 * place) % len(WAYS)] for place, family in enumerate(FAMILIES)}
# Numbers that every family must have compared, so that none can drop out unseen.
AT_LEAST = {
    "whole_height", "base_height", "foot_radius", "head_radius", "foot_flat", "head_flat",
    "notch_volume", "post_volume", "total_mass", "tipping_push", "base_height, solids",
    "whole_height, solids", "foot_radius, solids", "head_radius, solids", "post_volume, solids",
    "notch_volume, solids", "total_mass, solids", "middles of the feet", "middles of the heads",
    "middles of the posts",
}  # fmt: skip


def worked(two_notches: bool) -> Built:
    """Posts of 64 mm, 1 m long, notched so that the point nearest the centre line is at half."""
    offset, notch = (0.0, 500.0) if two_notches else (32.0, 484.0)
    base = Design(64, 1000, SQUARE, offset, notch, 10, 10)
    return Built(Piece(base, two_notches, 3, 0, 28, 900, 620, 50))


def recomputed() -> list[Relation]:
    """The relations of which every quantity is settled by the maker or worked out by vectors: once
    those agree with the sheet, which keeps every relation, each of them holds of the vectors."""
    names = {*worked(False).numbers(), *worked(True).numbers()} - {*SQUARE_ONLY}
    names |= {*SETTLED, "table_height", "seat_height"}
    found: dict[object, Relation] = {}
    for kind, crossing, way_up, _ in FAMILIES:
        constants = families.network(kind, crossing, way_up).constants
        for relation in relations_of(kind, way_up, crossing):
            if {*relation.symbols} - {*constants} <= names:
                found[relation.name, relation.equation] = relation
    return list(found.values())


@pytest.mark.witness(
    *recomputed(),
    by="sheet, plain vectors and solids of random designs; python -m tests.slow.recompute",
    within="1e-9",
)
@pytest.mark.parametrize("family", FAMILIES, ids=" ".join)
def test_sheet_vectors_and_solids_agree(family: Family) -> None:
    # independent: tests/trust/plain_piece.py, which knows no relation; manifold3d
    found = run(family, SAMPLE, seed=20, ways=[WAY_OF[family]])
    assert found.designs == SAMPLE
    assert set(found.worst) >= AT_LEAST
    name, size, given = found.greatest
    assert size <= AGREE, f"{name} is off by {size:.2e} of itself for {given}"


def test_the_families_are_all_there_are() -> None:
    assert len(FAMILIES) == 16 == len(set(FAMILIES))
    built = (families.network(kind, *rest) for kind, *rest in FAMILIES)
    assert len({network.name for network in built}) >= 12  # two notches have no way up


# -- that a fault would be seen ---------------------------------------------------------------


def one(family: Family) -> tuple[dict[str, float], object]:
    return next(designs(family, 1, 20, [WAY_OF[family]], Found().refused))


@pytest.mark.parametrize(
    ("told", "seen"),
    [
        (("table", "one notch", "notches down", "right"), {"foot_radius", "middles of the feet"}),
        (("table", "one notch", "notches up", "left"), {"middles of the feet"}),
        (("stool", "two notches", "notches up", "left"), {"middles of the posts"}),
    ],
)
def test_the_wrong_way_up_or_hand_is_seen(told: Family, seen: set[str]) -> None:
    """A right-handed base with notches up, compared as if it were another."""
    true = (told[0], told[1], "notches up", "right")
    given, sheet = one(true)
    found = Found()
    compare(found, sheet, told, given)
    over = {name for name, (size, _) in found.worst.items() if size > AGREE}
    assert over >= seen


def test_a_sheet_off_in_one_number_is_seen() -> None:
    family = FAMILIES[0]
    given, sheet = one(family)
    value = sheet.values["foot_radius"]
    sheet.values["foot_radius"] = replace(value, number=value.number * (1 + 3e-9))
    found = Found()
    compare(found, sheet, family, given)
    over = {name for name, (size, _) in found.worst.items() if size > AGREE}
    assert over == {"foot_radius"}


def test_the_long_run_says_what_it_found(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["1", "stool", "two notches", "notches up", "right"]
    assert recompute.main(words) == 0
    assert "stool, two notches, notches up, right: 1 designs" in capsys.readouterr().out
    monkeypatch.setattr(recompute, "AGREE", -1.0)
    assert recompute.main(words) == 1
    assert "over -1.0" in capsys.readouterr().out


def test_a_number_that_is_none_is_never_within_a_billionth() -> None:
    assert off("post_volume", math.nan, 1.0, {}) == math.inf
    found = Found()
    found.note("a", math.nan, {})
    found.note("a", 0.0, {})
    assert found.greatest[:2] == ("a", math.inf)


# -- the plain vectors against what can be counted by hand ---------------------------------------


def test_wood_is_what_is_counted_by_hand() -> None:
    # elementary: a corner cut off level is a pyramid on three equal edges d√3, (d√3)³/6
    pyramids = 2 * (10 * math.sqrt(3)) ** 3 / 6
    blank = 64 * 64 * 1000 - pyramids
    assert worked(False).wood[0][0] == pytest.approx(blank - 64 * 64 * 32, rel=1e-12)
    assert worked(True).wood[0][0] == pytest.approx(blank - 0.75 * 64**3, rel=1e-12)
    # by symmetry half of (1000 + 2·64)/√3 − 20, on pads of 3
    for two_notches in (False, True):
        middle = 3 + (1128 / math.sqrt(3) - 20) / 2
        assert worked(two_notches).numbers()["base_centre"] == pytest.approx(middle, rel=1e-12)


def test_a_box_balances_at_its_middle() -> None:
    above = np.column_stack([np.eye(3), [-3, -5, -7]])
    below = np.column_stack([-np.eye(3), [1, 1, 1]])
    rows = np.vstack([above, below])
    volume, middle = volume_and_middle(rows)
    assert volume == pytest.approx(2 * 4 * 6)
    assert middle == pytest.approx([2, 3, 4])


def test_the_piece_rests_on_two_feet_under_its_tipping_load() -> None:
    # independent: the balance of the three feet, at the load that was found
    built = worked(False)
    numbers = built.numbers()
    weight, rim = numbers["total_mass"] * 9.80665, 450.0
    at = (rim * 0.5, rim * math.sqrt(3) / 2)
    carried = foot_loads(numbers["foot_radius"], weight, numbers["tipping_load"], at)
    assert min(carried) == pytest.approx(0, abs=1e-10)
    assert sum(carried) == pytest.approx(weight + numbers["tipping_load"])
