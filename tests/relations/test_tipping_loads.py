"""What tips the piece, solved either way by the network, and the relations kept for planners."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.engine.declarations import check_equation
from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.relations import (
    bases,
    families,
    quantities,
    requirements,
    tipping,
    tipping_round,
)

TABLE = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}
GRAVITY = 9.80665  # General Conference on Weights and Measures, 1901
LOADS = (218.0, 240.0, 275.0)


def by_hand(sheet: Sheet, mass: float | None = None) -> float:
    """The tipping load from moments about the line through two feet of an equilateral triangle."""
    line = sheet.number("foot_spread") / np.sqrt(3) / 2  # inradius of the triangle, mm
    weight = GRAVITY * (sheet.number("total_mass") if mass is None else mass)
    return float(weight * line / (sheet.number("top_diameter") / 2 - line))


@pytest.fixture(scope="module")
def table() -> Network:
    return families.network("table")


@pytest.fixture(scope="module")
def plain(table: Network) -> Sheet:
    return table.solve(TABLE)


# -- the wanted load decides a size ---------------------------------------------------------------


@pytest.mark.parametrize("load", LOADS)
def test_the_diameter_that_just_meets_a_wanted_load(table: Network, load: float) -> None:
    given = {name: number for name, number in TABLE.items() if name != "top_diameter"}
    found = table.solve({**given, "tipping_load": load})
    assert by_hand(found) == pytest.approx(load, rel=1e-9)
    assert found.number("top_diameter") < 900
    assert found.number("splay") == pytest.approx(54.7356, abs=1e-4)  # ISO 5456-3, quoted


def test_the_foot_circle_that_just_meets_a_wanted_load(table: Network) -> None:
    found = table.solve({**TABLE, "tipping_load": 150.0})
    assert by_hand(found) == pytest.approx(150.0, rel=1e-9)
    assert found["splay"].origin == "found"  # the lean gives way, not a load


def test_the_lean_that_just_meets_a_load_in_from_the_rim(table: Network) -> None:
    # With its place given too, it is the lean that gives way, not the place.
    found = table.solve({**TABLE, "load_inset": 50.0, "inset_tipping_load": 200.0})
    line = found.number("foot_spread") / np.sqrt(3) / 2
    load = GRAVITY * found.number("total_mass") * line / (450 - 50 - line)  # ISO 7172, clause 5
    assert load == pytest.approx(200.0, rel=1e-9)
    assert found["splay"].origin == "found" and found.number("splay") < 54.7


def test_the_mass_that_just_meets_a_wanted_load(table: Network, plain: Sheet) -> None:
    fixed = {
        name: plain.number(name)
        for name in ("splay", "axis_offset", "foot_flat", "head_flat", "notch_position",
                     "top_thickness", "post_width", "pad_projection", "plate_gap")
    }  # fmt: skip
    found = table.solve({**TABLE, **fixed, "tipping_load": 260.0})
    assert by_hand(found) == pytest.approx(260.0, rel=1e-9)
    assert found.number("foot_radius") == pytest.approx(plain.number("foot_radius"), rel=1e-9)
    ratio = found.number("wood_density") / plain.number("wood_density")
    assert ratio == pytest.approx(260.0 / plain.number("tipping_load"), rel=1e-9)


def test_a_wanted_load_of_ones_own(table: Network) -> None:
    found = table.solve({**TABLE, "wanted_tipping_load": 160.0})
    assert found.number("stability_ratio") == pytest.approx(by_hand(found) / 160.0, rel=1e-9)
    (check,) = (c for c in found.checks if c.quantity == "stability_ratio")
    assert check.verdict == "pass" and "local code" in check.message


def test_a_heavier_sitter_and_a_load_of_ones_own(table: Network) -> None:
    given = {"edge_sitter_mass": 130.0, "placed_mass": 25.0, "placed_reach": -120.0}
    found = table.solve({**TABLE, **given})
    line = found.number("foot_spread") / np.sqrt(3) / 2
    counter = 130 * (450 - line) / line - found.number("total_mass")
    assert found.number("counter_mass") == pytest.approx(counter, rel=1e-9)
    held = by_hand(found) + 25 * GRAVITY * (line + 120) / (450 - line)
    assert found.number("loaded_tipping_load") == pytest.approx(held, rel=1e-9)


def test_ten_kilograms_at_the_rim_opposite() -> None:
    # derived: reference/derivations/tipping.md, 10 kg at the rim opposite: 393.9 N
    names = {*tipping.LOADED.symbols} - {"standard_gravity"}
    alone = alone_network(tipping.LOADED)
    found = alone.solve({
        "total_mass": 18.42, "top_diameter": 900, "tipping_arm": 197.916, "placed_mass": 10,
        "placed_reach": -450,
    })  # fmt: skip
    assert set(alone.quantities) == names
    assert found.number("loaded_tipping_load") == pytest.approx(393.9, abs=0.05)


# -- where there is none --------------------------------------------------------------------------


def test_no_load_where_the_rim_or_the_inset_lies_inside_the_line(table: Network) -> None:
    narrow = table.solve({**TABLE, "top_diameter": 440.0})
    for name in ("tipping_load", "stability_ratio", "inset_tipping_load", "loaded_tipping_load"):
        assert narrow.get(name) is None and narrow[name].reason
    assert narrow.number("counter_mass") < 0  # a sitter within the line holds it down
    between = table.solve({**TABLE, "top_diameter": 520.0})
    assert between.get("tipping_load") is not None  # on the rim there is one,
    assert between.get("inset_tipping_load") is None  # but not 50 mm in from it


def test_a_rim_that_just_reaches_the_line_is_no_fault() -> None:
    """Feet 330 mm apart on a square, under a rim of as much: the line through two lies at
    330/2 mm, where the rim is. No load is so great, and the piece can be made all the same."""
    of = families.network_of("stool", bases.chosen("splayed legs", legs="four legs"))
    sheet = of.solve({"seat_height": 460.0, "foot_spread": 330.0, "top_diameter": 330.0})
    assert sheet.number("tipping_arm") == pytest.approx(165)
    for name in ("tipping_load", "stability_ratio"):
        assert sheet[name].number is None


@pytest.mark.parametrize(("load", "verdict"), [(99.0, "fail"), (150.0, "caution"), (230.0, "pass")])
def test_the_share_is_judged_as_the_load_is(
    table: Network, plain: Sheet, load: float, verdict: str
) -> None:
    density = 620 * load / plain.number("tipping_load")
    wanted = {"wanted_tipping_load": 200.0}
    for more, asked in (({}, "tipping_load"), (wanted, "stability_ratio")):
        found = table.solve({**TABLE, "wood_density": density, **more})
        said = {check.quantity: check.verdict for check in found.checks}
        # Only one of the two is asked: the maker's own limit where there is one.
        assert {name for name in said if name in ("tipping_load", "stability_ratio")} == {asked}
        assert said[asked] == verdict


@pytest.mark.parametrize(("display", "unit"), [("mm", " N;"), ("in", " lbf;")])
def test_messages_name_the_force_in_the_makers_unit(
    table: Network, display: str, unit: str
) -> None:
    shop = ShopStyle(display=display)  # type: ignore[arg-type]
    low = table.solve({**TABLE, "wood_density": 400.0}, shop=shop)
    (check,) = (c for c in low.checks if c.quantity == "tipping_load")
    assert check.verdict == "caution" and unit in check.message


@pytest.mark.parametrize("said", [requirements.TIPPING, tipping.WANTED, tipping.LEANING_SITTER])
def test_cautions_speak_of_children_of_the_rim_and_of_local_codes(said: object) -> None:
    for text in (said.said_low, said.fine):  # type: ignore[attr-defined]
        assert "local code" in text and "children" in text
    if said is not tipping.LEANING_SITTER:
        assert "glass" in said.fine and "rim" in said.said_low  # type: ignore[attr-defined]


# -- relations for planners, which no network of a piece holds ------------------------------------

EVERY = {
    quantity.name: quantity
    for quantity in (*quantities.EVERY, *tipping.QUANTITIES, *tipping_round.QUANTITIES)
}
ALONE = (*tipping_round.RELATIONS, tipping.line(4))
CHECKS = [(relation, check) for relation in ALONE for check in relation.checks]


def alone_network(relation: Relation) -> Network:
    names = set(relation.symbols) | set(relation.limit_symbols)
    held = [EVERY[name] for name in sorted(names) if name in EVERY]
    return Network("alone", held, [relation], constants=[quantities.STANDARD_GRAVITY])


def test_letters_of_the_planners_relations_are_their_own() -> None:
    named = {name for relation in ALONE for name in relation.symbols if name in EVERY}
    letters = [EVERY[name].letter for name in named]
    assert len(set(letters)) == len(letters)


@pytest.mark.parametrize("relation", ALONE, ids=lambda r: r.name)
def test_it_balances_and_says_why(relation: Relation) -> None:
    dimensions = {q.name: q.dimension for q in EVERY.values()}
    dimensions["standard_gravity"] = quantities.STANDARD_GRAVITY.dimension
    check_equation(relation.name, relation.equation, dimensions)
    assert relation.meaning.endswith(".") and relation.why.endswith(".")
    assert relation.source.kind == "derived"


@pytest.mark.parametrize(("relation", "check"), CHECKS, ids=lambda x: getattr(x, "name", ""))
def test_its_printed_check(relation: Relation, check: Check) -> None:
    network = alone_network(relation)
    given = {n: parse_quantity(t, EVERY[n].unit, n) for n, t in check.given.items()}
    ((name, text),) = check.expected.items()
    found = network.solve(given).number(name)
    printed, half = parse_quantity(text, EVERY[name].unit), half_last_figure(text, EVERY[name].unit)
    # The givens are printed too: the arm to a thousandth, the mass to a hundredth.
    assert abs(found - printed) <= half


@pytest.mark.parametrize("relation", ALONE, ids=lambda r: r.name)
def test_each_of_its_quantities_from_the_others(relation: Relation) -> None:
    network = alone_network(relation)
    start = {
        "total_mass": 18.0, "top_diameter": 900.0, "foot_radius": 300.0, "tipping_arm": 200.0,
        "pad_radius": 12.0, "pad_arm": 212.0, "load_inset": 30.0, "edge_bearing": 25.0,
        "push_height": 700.0, "wood_density": 620.0, "tipping_load": 260.0,
    }  # fmt: skip
    out = {"ballast", "bearing_load", "bearing_push", "wood_volume"} & set(network.quantities)
    if not out:
        out = {"pad_arm"} if "pad_arm" in network.quantities else {"tipping_arm"}
    known = {n: start[n] for n in network.quantities if n not in out}
    whole = network.solve(known)
    for name in network.quantities:
        rest = {n: whole.number(n) for n in network.quantities if n != name}
        again = network.solve(rest)
        told = (again.number(name), *again.alternatives.get(name, ()))
        nearest = min(told, key=lambda x, n=name: abs(x - whole.number(n)))
        assert nearest == pytest.approx(whole.number(name), rel=1e-8), name
