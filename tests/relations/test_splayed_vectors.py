"""Every relation of splayed legs against plain vectors, over designs drawn at random."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tablekit.engine.relation import Relation
from tablekit.relations import bases, mass, splayed, table
from tablekit.relations import splayed_quantities as s
from tablekit.relations.families import network
from tablekit.relations.tipping import TIPPING, tipping
from tests.relations.evaluate import gap, number, size
from tests.relations.splayed_vectors import Design, bore, feet, leg, measure, most_load
from tests.together import each

COUNTS = bases.LEGS
DESIGNS = 25
_PLAIN = (
    "leg_resultant",
    "sight_line",
    "drill_angle",
    "sight_turn",
    "leg_taper",
    "socket_ratio",
)


def random_design(random: np.random.Generator, count: int, straight_out: bool) -> Design:
    thick = random.uniform(20, 70)
    tenon = thick * random.uniform(0.4, 0.95)
    top = random.uniform(25, 70)
    return Design(
        count=count,
        rake=np.radians(random.uniform(0.5, 35)),
        splay=np.radians(random.uniform(0.5, 35)),
        turn=0.0 if straight_out else np.radians(random.uniform(1, 89)),
        rise=random.uniform(200, 800),
        socket_radius=random.uniform(60, 350),
        thick=thick,
        thin=thick * random.uniform(0.4, 1.3),
        tenon=tenon,
        depth=top * random.uniform(0.3, 0.9),
        top=top,
        rim=random.uniform(360, 500),
    )


def in_metres(design: Design) -> dict[str, float]:
    """What the vectors find, by the kit's names, in coherent SI."""
    values = {}
    for name, found in measure(design).items():
        scale = 1e-9 if name == "leg_volume" else 1.0 if name in _PLAIN else 1e-3
        values[name] = found * scale
    return values | {
        "leg_rake": design.rake,
        "leg_splay": design.splay,
        "leg_rise": design.rise / 1000,
        "socket_radius": design.socket_radius / 1000,
        "leg_diameter": design.thick / 1000,
        "foot_diameter": design.thin / 1000,
        "tenon_diameter": design.tenon / 1000,
        "socket_depth": design.depth / 1000,
        "top_thickness": design.top / 1000,
        "top_diameter": design.rim / 500,
    }


@cache
def designs(legs: str) -> tuple[tuple[Design, dict[str, float]], ...]:
    random = np.random.default_rng(COUNTS[legs])
    drawn = [random_design(random, COUNTS[legs], k % 2 == 0) for k in range(DESIGNS)]
    return tuple((design, in_metres(design)) for design in drawn)


def of_the_base(legs: str) -> list[Relation]:
    overhang = table.overhang(s.socket_radius, "sockets")
    return [*splayed.relations(COUNTS[legs]), overhang]


@pytest.mark.witness(
    *of_the_base("three legs"),
    *of_the_base("four legs"),
    by="lines, planes, rays and slices of legs in space",
    within="1e-9 of the largest term",
)
@each("legs", COUNTS)
@each("name", [relation.name for relation in of_the_base("three legs")])
def test_relation_agrees_with_vectors(name: str, legs: str) -> None:
    # independent: lines, planes, rays and slices of splayed_vectors.py
    relation = next(r for r in of_the_base(legs) if r.name == name)
    compared = 0
    for design, values in designs(legs):
        if relation is splayed.EDGE_WOOD and design.turn:
            continue  # it then understates, see below
        compared += 1
        error = abs(gap(relation, values)) / size(relation, values)
        assert error < 1e-9, f"{name}: off by {error:.2e} of its size for {design}"
        assert all(number(limit.slack, values) > 0 for limit in relation.limits)
    assert compared >= DESIGNS / 2


def test_a_turned_socket_has_no_less_wood_outside_than_said() -> None:
    # independent: the mouth of a slanted bore, point by point
    turned = [(d, v) for legs in COUNTS for d, v in designs(legs) if d.turn]
    assert len(turned) >= 20
    for _, values in turned:
        mouth = number(splayed.EDGE_WOOD.equation.lhs, {**values, "edge_wood": 0})
        assert values["overhang"] - mouth <= values["edge_wood"] + 1e-12


def test_ten_and_fifteen_degrees() -> None:
    # Machinery's Handbook, 31st edition, page 121, figure 6: tan R = tan A1/tan B1 and
    # tan C1 = tan A1/sin R, here with A1 = 15 deg and B1 = 10 deg
    tan_a, tan_b = math.tan(math.radians(15)), math.tan(math.radians(10))
    place = math.atan(tan_a / tan_b)
    resultant = math.degrees(math.atan(tan_a / math.sin(place)))
    sheet = network("stool", style="splayed legs").solve(
        {
            "seat_height": 450,
            "top_diameter": 340,
            "leg_diameter": 38,
            "leg_rake": 10,
            "leg_splay": 15,
        }
    )
    assert sheet.number("leg_resultant") == pytest.approx(resultant, rel=1e-12)
    assert sheet.number("sight_line") == pytest.approx(math.degrees(place), rel=1e-12)
    # derived: reference/derivations/splayed_legs.md, worked by hand
    assert f"{sheet.number('leg_resultant'):.3f}" == "17.784"
    assert f"{sheet.number('sight_line'):.3f}" == "56.653"
    assert f"{sheet.number('drill_angle'):.3f}" == "72.216"


def test_the_sight_line_is_where_a_leg_looks_plumb() -> None:
    # independent: the leg's vector seen along the sight line, and square to it
    one = leg(designs("three legs")[0][0])
    sight = designs("three legs")[0][1]["sight_line"]
    along = np.array([np.cos(sight), np.sin(sight), 0.0])
    across = np.array([-np.sin(sight), np.cos(sight), 0.0])
    assert abs(one.down @ across) < 1e-12  # what is seen when looking along the line
    lean = np.arctan2(one.down @ along, -one.down[2])
    assert lean == pytest.approx(designs("three legs")[0][1]["leg_resultant"], rel=1e-12)


def test_tipping_with_three_feet_is_what_it_was() -> None:
    assert tipping(3).equation == TIPPING.equation
    # derived: reference/derivations/tipping.md, half a foot radius from the centre
    values = {"total_mass": 18.42, "foot_radius": 0.395832, "top_diameter": 0.9, "tipping_load": 0}
    held = -gap(TIPPING, values)
    assert held == pytest.approx(18.42 * 9.80665 * 0.395832 / 2, rel=1e-12)


@pytest.mark.witness(
    tipping(3),
    tipping(4),
    by="loads on the feet by linear programming, no foot pulling",
    within="1e-9 of the largest term",
)
@pytest.mark.parametrize("legs", COUNTS)
def test_tipping_agrees_with_what_the_feet_can_carry(legs: str) -> None:
    # independent: loads on the feet by linear programming, no foot pulling, midway between two
    count, compared = COUNTS[legs], 0
    random = np.random.default_rng(11)
    for design, _ in designs(legs):
        stands = feet(design)
        rim = float(np.linalg.norm(stands[0])) * random.uniform(0.75, 2.0)
        weight = random.uniform(20, 300)
        midway = (stands[0] + stands[1]) / 2
        at = rim * midway / np.linalg.norm(midway)
        load = weight * most_load(stands / rim, at / rim)
        assert np.isfinite(load)
        compared += 1
        values = {
            "foot_radius": float(np.linalg.norm(stands[0])) / 1000,
            "total_mass": weight / 9.80665,
            "top_diameter": rim / 500,
            "tipping_load": load,
        }
        relation = tipping(count)
        assert abs(gap(relation, values)) < 1e-9 * size(relation, values)
    assert compared == DESIGNS


@pytest.mark.parametrize("legs", COUNTS)
def test_midway_between_two_feet_is_the_worst_place_on_the_rim(legs: str) -> None:
    # independent: the same linear programme, all round the rim
    count = COUNTS[legs]
    turns = 2 * np.pi * np.arange(count) / count
    stands = np.column_stack([np.cos(turns), np.sin(turns)])
    bearings = np.arange(0, 360, 2.5)
    loads = [
        most_load(stands, 1.4 * np.array([np.cos(b), np.sin(b)])) for b in np.radians(bearings)
    ]
    line = math.cos(math.pi / count)  # half for three, one over root two for four
    assert min(loads) == pytest.approx(line / (1.4 - line), rel=1e-9)
    worst = bearings[np.isclose(loads, min(loads), rtol=1e-9)]
    assert set(worst) == {180 / count + 360 * k / count for k in range(count)}


@pytest.mark.parametrize("legs", COUNTS)
def test_no_load_inside_the_line_lifts_a_foot(legs: str) -> None:
    # independent: the same linear programme; the edge of the tipping relation's limit
    design = designs(legs)[0][0]
    stands = feet(design)
    midway = (stands[0] + stands[1]) / 2
    assert most_load(stands, 0.999 * midway) == np.inf
    assert most_load(stands, 1.001 * midway) > 900
    inside = {
        "foot_radius": float(np.linalg.norm(stands[0])),
        "top_diameter": 2 * 0.999 * float(np.linalg.norm(midway)),
    }
    limit = tipping(COUNTS[legs]).limits[0]
    assert number(limit.slack, inside) < 0
    assert number(limit.slack, {**inside, "top_diameter": inside["top_diameter"] * 1.003}) > 0


def test_mirrored_legs_tip_sooner_as_the_caution_says() -> None:
    # derived: reference/derivations/splayed_legs.md, turned or mirrored; 0.55 and 0.71
    sight = math.radians(56.653)
    corner = np.array([math.cos(sight), math.sin(sight)])
    mirrored = np.array([corner * [a, b] for a, b in ((1, 1), (-1, 1), (-1, -1), (1, -1))])
    load = most_load(mirrored, np.array([1.4, 0.0]))
    line = load * 1.4 / (1 + load)  # from the balance: load (1.4 - line) = line
    assert f"{line:.2f}" == "0.55"
    assert f"{math.sqrt(0.5):.2f}" == "0.71"


@pytest.mark.parametrize("lean", [5, 15, 30])
def test_a_straight_leg_has_its_volume_however_it_leans(lean: float) -> None:
    # elementary: area of a circle times the length along the axis; slices of splayed_vectors.py
    base = designs("four legs")[0][0]
    design = replace(base, thin=base.thick, rake=np.radians(lean), splay=np.radians(lean / 2))
    found = measure(design)
    elementary = math.pi * design.thick**2 / 4 * found["shoulder_length"]
    assert found["leg_volume"] == pytest.approx(elementary, rel=1e-10)


def test_the_foot_is_a_hair_inward_of_its_axis() -> None:
    # derived: reference/derivations/splayed_legs.md, the level cut: 0.07 mm on 28 mm
    # rise so that the leg is 430 mm from the floor to the underside
    lean = math.radians(17.8)
    design = Design(3, lean, 0.0, 0.0, 430 * math.cos(lean), 110, 40, 28, 26, 28, 40, 165)
    points, _ = leg(design).section(0.0)
    middle = (points[:, 0].max() + points[:, 0].min()) / 2
    inward = leg(design).foot[0] - middle
    assert f"{inward:.2f}" == "0.07"
    assert (points[:, 1].max() - points[:, 1].min()) == pytest.approx(28, abs=0.001)


@each("legs", COUNTS)
@each("kind", ["table", "stool"])
@each(
    "givens",
    [
        {"leg_diameter": 38.0},
        {"leg_diameter": 38.0, "foot_diameter": 26.0, "leg_rake": 9.0, "leg_splay": 14.0},
        {"leg_diameter": 38.0, "leg_rake": 0.0, "leg_splay": 14.0},
        {"leg_diameter": 38.0, "leg_rake": 14.0, "leg_splay": 0.0},
        {"leg_diameter": 38.0, "leg_rake": 12.0},
        {"leg_diameter": 38.0, "leg_splay": 12.0},
        {"leg_diameter": 38.0, "leg_resultant": 18.0, "leg_splay": 6.0},
        {"leg_diameter": 38.0, "leg_resultant": 18.0, "leg_rake": 6.0},
        {"leg_diameter": 42.0, "foot_spread": 480.0, "leg_taper": 0.01},
        {"leg_diameter": 42.0, "foot_radius": 280.0, "sight_turn": 40.0},
        {"leg_diameter": 42.0, "foot_radius": 300.0, "leg_resultant": 20.0},
        {"leg_diameter": 42.0, "edge_wood": 30.0, "socket_cover": 8.0},
        {"leg_diameter": 42.0, "total_mass": 6.0},
    ],
)
def test_solved_base_agrees_with_vectors(kind: str, legs: str, givens: dict[str, float]) -> None:
    # independent: lines, planes, rays and slices of splayed_vectors.py
    whole, height = ("seat_height", 450.0) if kind == "stool" else ("table_height", 480.0)
    asked = {whole: height, "top_diameter": 520.0, **givens}
    sheet = network(kind, style="splayed legs", legs=legs).solve(asked)
    for name, given in asked.items():
        assert sheet.number(name) == pytest.approx(given, rel=1e-12, abs=1e-12)
    get = sheet.number
    design = Design(
        COUNTS[legs],
        math.radians(get("leg_rake")),
        math.radians(get("leg_splay")),
        math.radians(get("sight_turn")),
        get("leg_rise"),
        get("socket_radius"),
        get("leg_diameter"),
        get("foot_diameter"),
        get("tenon_diameter"),
        get("socket_depth"),
        get("top_thickness"),
        get("top_diameter") / 2,
    )
    found = measure(design)
    for name, value in found.items():
        if name == "edge_wood" and design.turn:
            continue
        if sheet.network.quantity(name).unit == "deg":
            value = math.degrees(value)
        assert get(name) == pytest.approx(value, rel=1e-9, abs=1e-9), name
    stack = get("leg_rise") + get("pad_projection") + get("top_thickness")
    assert stack == pytest.approx(height, rel=1e-12)
    wood = COUNTS[legs] * found["leg_volume"] * 1e-9 * get("wood_density")
    assert get("base_mass") == pytest.approx(wood, rel=1e-9)
    assert mass.TOTAL_MASS in sheet.network.relations
    stands = feet(design)
    midway = (stands[0] + stands[1]) / 2
    at = design.rim * midway / np.linalg.norm(midway)
    load = get("total_mass") * 9.80665 * most_load(stands / design.rim, at / design.rim)
    if np.isfinite(load):
        assert get("tipping_load") == pytest.approx(load, rel=1e-8)
    else:
        assert sheet.get("tipping_load") is None
        assert sheet["tipping_load"].reason


def test_a_bore_that_just_comes_through_has_no_cover() -> None:
    # independent: the highest point of the bottom of the bore
    base = designs("three legs")[0][0]
    bottom, _ = bore(leg(base))
    top = float(bottom[:, 2].max()) - base.rise
    assert measure(replace(base, top=top))["socket_cover"] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("legs", COUNTS)
def test_a_leaning_sitter_stays_up_as_long_as_no_foot_has_to_pull(legs: str) -> None:
    # independent: moments about every line through two feet by cross products in space
    random = np.random.default_rng(23)
    verdicts = set()
    turns = 2 * np.pi * np.arange(COUNTS[legs]) / COUNTS[legs]
    for _ in range(10):
        across, high = 2.0 * random.uniform(110, 250), random.uniform(400, 800)
        out = across / 2 * random.uniform(0.9, 1.7)
        stands = out * np.column_stack([np.cos(turns), np.sin(turns)])
        sheet = network("stool", style="splayed legs", legs=legs).solve(
            {
                "seat_height": high, "top_diameter": across, "leg_diameter": 30.0,
                "foot_radius": out, "socket_radius": 0.4 * across,
            }
        )  # fmt: skip
        share = sheet.get("steady_ratio")
        assert share is not None
        weight = sheet.number("total_mass") * 9.80665
        firm = bool(least_hold(stands, weight, across / 2, high) >= 0)
        assert firm == (share >= 1)
        verdicts.add(firm)
    assert verdicts == {True, False}


def least_hold(stands: np.ndarray, weight: float, rim: float, high: float) -> float:
    """Least moment, N mm, that holds a stool down over any line through two neighbouring feet: its
    weight, 600 N plumb 60 mm in from the rim and 20 N outward at the seat, all in the direction
    that is worst for that line. (The loads of EN 1022, from memory.)"""
    holds = []
    for one, other in zip(stands, np.roll(stands, -1, axis=0), strict=True):
        line = (other - one) / np.linalg.norm(other - one)
        out = np.array([line[1], -line[0]])
        out *= np.sign(out @ one)
        axis = np.array([*line, 0.0])
        foot = np.array([*one, 0.0])
        loads = (
            (np.array([0.0, 0.0, high / 2]), np.array([0.0, 0.0, -weight])),
            (np.array([*((rim - 60) * out), high]), np.array([0.0, 0.0, -600.0])),
            (np.array([*((rim - 60) * out), high]), np.array([*(20.0 * out), 0.0])),
        )
        moment = sum(float(np.cross(at - foot, force) @ axis) for at, force in loads)
        # What the weight alone does is what holds: the sign of its turning is that of holding.
        weight_alone = float(np.cross(loads[0][0] - foot, loads[0][1]) @ axis)
        holds.append(moment * np.sign(weight_alone))
    return min(holds)
