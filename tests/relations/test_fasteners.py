"""One screw of the top: the relations' own checks, and the top as a map of the plane."""

from __future__ import annotations

import numpy as np
import pytest

from tablekit.engine.declarations import check_equation
from tablekit.engine.network import Network
from tablekit.engine.relation import Check, Relation
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.planning.fixing_plan import one_screw
from tablekit.relations import families, fasteners

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
KNOWN = {q.name: q for q in fasteners.QUANTITIES}
CHECKS = [(r, c) for r in fasteners.RELATIONS for c in r.checks]


def signed(text: str, name: str) -> float:
    """A place may lie on either side of the centre mark; makers' measures are never negative."""
    size = parse_quantity(text.lstrip("-"), KNOWN[name].unit, name)
    return -size if text.startswith("-") else size


@pytest.mark.parametrize(("relation", "check"), CHECKS, ids=lambda it: getattr(it, "name", ""))
def test_printed_checks(relation: Relation, check: Check) -> None:
    constants = [c for c in fasteners.CONSTANTS if c.name in relation.symbols]
    of = Network("alone", [KNOWN[n] for n in relation.symbols if n in KNOWN], [relation],
                 constants=constants)  # fmt: skip
    dimensions = {i.name: i.dimension for i in (*fasteners.QUANTITIES, *fasteners.CONSTANTS)}
    check_equation(relation.name, relation.equation, dimensions)
    given = {n: signed(text, n) for n, text in check.given.items()}
    ((name, text),) = check.expected.items()
    printed, half = signed(text, name), half_last_figure(text.lstrip("-"), "mm")
    assert abs(of.solve(given).number(name) - printed) <= half * (1 + 1e-9)


@pytest.mark.witness(
    fasteners.ALONG,
    fasteners.ACROSS,
    fasteners.TRAVEL,
    fasteners.CREEP,
    by="the top stretched about a held point",
    within="1e-6",
)
@pytest.mark.parametrize("bearing", [0.0, 75.0, 120.0, 240.0, 310.0])
def test_the_top_as_an_affine_map_about_where_it_is_held(bearing: float) -> None:
    # independent: the top stretched across the grain and along it about a held point
    sheet = families.network("table").solve(TABLE)
    held = np.array([150.0, -60.0])
    screw = one_screw(sheet, bearing, *held)
    angle = np.radians(bearing)
    at = sheet.number("screw_radius") * np.array([np.cos(angle), np.sin(angle)])
    assert [screw.number("fastener_along"), screw.number("fastener_across")] == pytest.approx(at)
    diameter = sheet.number("top_diameter")
    names = ("lengthwise_movement", "top_movement")
    stretch = 1 + np.array([sheet.number(name) for name in names]) / diameter
    moved = np.abs(held + (at - held) * stretch - at)
    found = [screw.number("fastener_creep"), screw.number("fastener_travel")]
    assert found == pytest.approx(moved)


@pytest.mark.witness(fasteners.NEAR_END, fasteners.FAR_END, by="complex numbers", within="1e-6")
def test_tape_distances_are_those_of_points_in_the_plane() -> None:
    # independent: complex numbers
    sheet = families.network("table").solve({**TABLE, "head_turn": 17.0})
    for bearing in (17.0, 137.0, 257.0):
        screw = one_screw(sheet, bearing)
        at = sheet.number("screw_radius") * np.exp(1j * np.radians(bearing))
        assert screw.number("near_end") == pytest.approx(abs(at - 460))
        assert screw.number("far_end") == pytest.approx(abs(at + 460))


def test_the_farthest_of_three_agrees_with_the_sheet() -> None:
    for turn in (0.0, 12.0, 30.0):
        sheet = families.network("table").solve({**TABLE, "head_turn": turn})
        screws = [one_screw(sheet, turn + 120 * k) for k in range(3)]
        far = max(screws, key=lambda one: one.number("room_across"))
        assert far.number("room_across") == pytest.approx(sheet.number("slot_needed"))
        assert far.number("fastener_travel") == pytest.approx(sheet.number("plate_travel"))
