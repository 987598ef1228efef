"""The edge of the top: the ring that it takes off by integration and by solids, what follows from
its mass, and what is left under the heads."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from tablekit.engine.trouble import DesignError
from tablekit.relations import edges
from tablekit.relations.bases import base_of
from tablekit.relations.edges import EDGES
from tablekit.relations.families import network, on_base
from tablekit.solids.fit import check_fit
from tests.relations.evaluate import relations_of
from tests.together import each

TABLE = {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}
SHAPED = [name for name, edge in EDGES.items() if edge.shaped]
WITHIN = "1e-9"


def radius_at(height: float, sheet) -> float:
    """Radius of the top at a height over its underside, from the shape as it is drawn, mm."""
    full, size = sheet.number("top_diameter") / 2, sheet.number("edge_size")
    up = sheet.get("edge_height")
    if up is not None:
        return full - size * max(0.0, 1 - height / up)
    near = min(height, sheet.number("top_thickness") - height)  # to the nearer face
    if near >= size:
        return full
    return full - size + math.sqrt(size**2 - (size - near) ** 2)


@pytest.mark.witness(
    edges.EDGE_VOLUME, edges.TOP_VOLUME, edges.ROUNDED_SECTION, edges.ROUNDED_CENTROID,
    edges.BEVEL_SECTION, edges.BEVEL_CENTROID, by="numerical integration of discs", within=WITHIN,
)  # fmt: skip
@each("edge", SHAPED)
@each(("thick", "size", "high"), [(28, 6, 14), (40, 20, 30), (18, 2.5, 5), (32, 15, 31)])
def test_volume_of_the_top_by_discs(edge: str, thick: float, size: float, high: float) -> None:
    """∫ π r² dh from the underside to the upper face, Pappus left out of it."""
    givens = {**TABLE, "top_thickness": float(thick), "edge_size": float(size)}
    bevelled = EDGES[edge].bevelled
    sheet = network("table", edge=edge).solve(
        {**givens, "edge_height": float(high)} if bevelled else givens
    )
    breaks = [float(high)] if bevelled else [size, thick - size]
    volume, _ = quad(
        lambda z: math.pi * radius_at(z, sheet) ** 2, 0, thick, points=breaks, epsrel=1e-12,
        limit=200,
    )  # fmt: skip
    assert sheet.number("top_volume") == pytest.approx(volume * 1e-9, rel=1e-9)
    slab = math.pi / 4 * 900**2 * thick
    assert sheet.number("edge_volume") == pytest.approx(slab - volume, rel=1e-6)
    assert sheet.number("top_mass") == pytest.approx(620 * volume * 1e-9, rel=1e-9)


def test_the_bevel_as_a_frustum() -> None:
    # by hand: π h/3 (R² + R r + r²) of the lowest 14 mm against the disc π R² h
    sheet = network("table", edge="bevelled under").solve(
        {**TABLE, "top_thickness": 28.0, "edge_size": 60.0, "edge_height": 14.0}
    )
    frustum = math.pi * 14 / 3 * (450**2 + 450 * 390 + 390**2)
    assert sheet.number("edge_volume") == pytest.approx(math.pi * 450**2 * 14 - frustum)


@pytest.mark.witness(
    edges.EDGE_VOLUME, edges.TOP_VOLUME, by="the top as a solid in manifold3d", within=WITHIN
)
def test_the_solid_of_a_bevelled_top_has_the_volume_of_the_sheet() -> None:
    sheet = network("table", edge="bevelled under").solve({**TABLE, "edge_size": 40.0})
    found = {pair.name: pair for pair in check_fit(sheet).compared}
    assert found["top_volume"].difference < 1e-9
    plain = {pair.name: pair for pair in check_fit(network("table").solve(TABLE)).compared}
    assert found["top_volume"].solid < 0.97 * plain["top_volume"].solid


def test_its_mass_goes_into_the_whole_and_into_tipping() -> None:
    plain = network("table").solve(TABLE)
    sheet = network("table", edge="bevelled under").solve({**TABLE, "edge_size": 40.0})
    less = 620 * sheet.number("edge_volume") * 1e-9
    # by hand: 620 kg/m³ of π · 40 · 14 · (450 − 40/3) mm³
    assert less == pytest.approx(620 * math.pi * 40 * 14 * (450 - 40 / 3) * 1e-9)
    assert sheet.number("total_mass") == pytest.approx(plain.number("total_mass") - less)
    # by hand: P (R − r/2) = W r/2 about the line through two feet, r the circle of the feet
    half = sheet.number("foot_radius") / 2
    weight = 9.80665 * sheet.number("total_mass")
    assert sheet.number("tipping_load") == pytest.approx(weight * half / (450 - half))


def test_a_square_edge_is_the_network_without_one() -> None:
    assert network("table", edge="square") is network("table")
    assert "edge" not in network("table").options
    shaped = network("stool", edge="rounded", sizes="inch")
    sheet = shaped.solve({"seat_height": 480.0, "top_diameter": 400.0, "post_section": 50.0})
    assert on_base(sheet, base_of(sheet)) is shaped
    with pytest.raises(DesignError, match='"square" or "eased"'):
        network("table", edge="ogee")


def test_no_relation_of_the_plain_table_speaks_of_an_edge() -> None:
    named = {name for relation in relations_of("table") for name in relation.symbols}
    own = {one.name for one in (*edges.ROUNDED_QUANTITIES, *edges.BEVEL_QUANTITIES)}
    assert not named & own


@each("edge", SHAPED)
@each("sizes", ["metric", "inch"])
@each("kind", ["table", "stool"])
def test_a_size_that_is_assumed_is_one_of_its_system(kind: str, sizes: str, edge: str) -> None:
    high = {"table_height": 735.0} if kind == "table" else {"seat_height": 460.0}
    sheet = network(kind, edge=edge, sizes=sizes).solve(
        {**high, "top_diameter": 1200.0, "post_section": 64.0, "top_thickness": 38.1}
    )
    size, overhang = sheet.number("edge_size"), sheet.number("overhang")
    if EDGES[edge].bevelled:
        # half the overhang, 10 to 50 mm or 3/8 to 2 in; under a seat to 25 mm or 1 in
        most = {"table": {"metric": 50, "inch": 50.8}, "stool": {"metric": 25, "inch": 25.4}}
        least = {"metric": 10, "inch": 9.525}[sizes]
        assert size == pytest.approx(min(most[kind][sizes], max(least, overhang / 2)))
        assert sheet.number("edge_height") == pytest.approx(38.1 / 2)
        return
    # common practice, no source: of a cutter that is sold in that system
    inches = {
        "eased": {"table": 1 / 8, "stool": 1 / 4},
        "rounded": {"table": 1 / 4, "stool": 3 / 8},
    }
    metric = {"eased": {"table": 3, "stool": 6}, "rounded": {"table": 6, "stool": 10}}
    want = metric[edge][kind] if sizes == "metric" else 25.4 * inches[edge][kind]
    assert size == pytest.approx(want)


def test_heads_and_screws_are_measured_from_where_the_flat_ends() -> None:
    sheet = network("table", edge="bevelled under").solve({**TABLE, "edge_size": 8.0})
    flat = 450 - 8
    heads = math.hypot(sheet.number("head_reach"), sheet.number("head_sidestep"))
    assert sheet.number("underside_radius") == pytest.approx(flat)
    assert sheet.number("underside_overhang") == pytest.approx(flat - heads)
    edge_of_flat = heads + sheet.number("head_flat") / 2
    assert sheet.number("edge_room") == pytest.approx(flat - edge_of_flat)
    screws = math.hypot(heads, sheet.number("plate_reach"))
    assert sheet.number("screw_room") == pytest.approx(flat - screws)
    wide = network("table", edge="bevelled under").solve({**TABLE, "edge_size": 60.0})
    verdicts = {check.id: check.verdict for check in wide.checks}
    assert verdicts["edge_room"] == verdicts["edge_screws"] == "fail"


def test_legs_take_their_own_width() -> None:
    sheet = network("stool", style="splayed legs", edge="bevelled under").solve(
        {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    )
    flat = 165 - sheet.number("edge_size")
    assert sheet.number("edge_room") == pytest.approx(flat - sheet.number("socket_radius") - 20)
    assert "screw_room" not in sheet.network.quantities


@pytest.mark.parametrize(
    ("edge", "givens"),
    [("rounded", {"edge_size": 15.0}), ("bevelled under", {"edge_height": 28.0})],
)
def test_an_edge_that_leaves_no_rim_is_refused(edge: str, givens: dict[str, float]) -> None:
    with pytest.raises(DesignError):
        network("table", edge=edge).solve({**TABLE, "top_thickness": 28.0, **givens})


def test_a_full_round_leaves_nothing_upright() -> None:
    sheet = network("table", edge="rounded").solve(
        {**TABLE, "top_thickness": 28.0, "edge_size": 14.0}
    )
    assert sheet.number("rim_thickness") == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("upright", [4.0, 7.0, 12.0])
def test_a_thin_rim_is_judged(upright: float) -> None:
    # our own limits, common practice, no source: 10 mm, and no less than 6 mm
    sheet = network("table", edge="bevelled under").solve(
        {**TABLE, "top_thickness": 28.0, "edge_height": 28.0 - upright}
    )
    (check,) = (one for one in sheet.checks if one.id == "rim_thickness")
    assert check.verdict == {4.0: "fail", 7.0: "caution", 12.0: "pass"}[upright]


def test_rings_taken_off_add_up_over_any_radius() -> None:
    """Arrises of every radius against a sum over thin rings, as arrays."""
    for radius in (1.0, 5.0, 12.0):
        sheet = network("stool", edge="rounded").solve(
            {"seat_height": 450.0, "top_diameter": 360.0, "post_section": 45.0,
             "top_thickness": 30.0, "edge_size": radius}
        )  # fmt: skip
        inward = (np.arange(200_000) + 0.5) / 200_000 * radius  # from the rim
        off = radius - np.sqrt(radius**2 - (radius - inward) ** 2)  # off either face there
        rings = 2 * np.pi * (180 - inward) * 2 * off * radius / 200_000
        assert sheet.number("edge_volume") == pytest.approx(rings.sum(), rel=1e-6)
