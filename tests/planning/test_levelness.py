"""How far out of level the top lies: the formula, the chances, and posts built a little wrong."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import root

from tablekit.engine.as_cut import as_cut
from tablekit.engine.declarations import check_equation
from tablekit.engine.quantity import common_practice
from tablekit.engine.relation import Relation
from tablekit.engine.tolerance import Tolerance
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import half_last_figure, parse_quantity
from tablekit.planning.levelness import (
    PER_POST,
    InexactBase,
    head_tilt,
    levelling,
)
from tablekit.relations import quantities as q
from tablekit.relations.families import network
from tablekit.relations.levelling import DEFAULT, TILT_QUANTITIES, TILT_RELATIONS, TOP_TILT
from tests.relations.reference_vectors import Design, Post, flat, lean, nearest, posts, unit

PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
WAYS = ("notches up", "notches down")
KNOWN = {item.name: item for item in (*TILT_QUANTITIES, q.head_radius, q.top_diameter)}


def by(name: str, plus_minus: float) -> Tolerance:
    return Tolerance(name, plus_minus, common_practice())


def value(relation: Relation, si: dict[str, float]) -> float:
    """What the relation's left side, tan or a plain quantity, comes to."""
    symbols = {s.name: s for s in relation.equation.rhs.free_symbols}
    return float(relation.equation.rhs.evalf(subs={symbols[n]: v for n, v in si.items()}))


# -- the relations ----------------------------------------------------------------------------


@pytest.mark.parametrize("relation", TILT_RELATIONS, ids=lambda r: r.name)
def test_checks_and_dimensions(relation: Relation) -> None:
    check_equation(relation.name, relation.equation, {n: i.dimension for n, i in KNOWN.items()})
    assert relation.checks
    for check in relation.checks:
        si = {
            name: KNOWN[name].to_si(parse_quantity(text, KNOWN[name].unit))
            for name, text in check.given.items()
        }
        ((name, text),) = check.expected.items()
        quantity = KNOWN[name]
        found = value(relation, si)
        if relation is TOP_TILT:
            found = math.atan(found)
        expected = parse_quantity(text, quantity.unit)
        within = half_last_figure(text, quantity.unit)
        assert abs(quantity.from_si(found) - expected) <= within * (1 + 1e-9)


def test_tilt_is_that_of_the_plane_through_three_points() -> None:
    # independent: normal of the plane through three points
    random = np.random.default_rng(2)
    for _ in range(50):
        radius, heights = random.uniform(0.1, 1.0), random.uniform(-0.1, 0.1, 3)
        turns = 2 * np.pi * np.arange(3) / 3 + random.uniform(0, 6)
        points = np.column_stack([radius * np.cos(turns), radius * np.sin(turns), heights])
        normal = unit(np.cross(points[1] - points[0], points[2] - points[0]))
        si = {f"head_height_{k + 1}": height for k, height in enumerate(heights)}
        found = math.atan(value(TOP_TILT, {**si, "head_radius": radius}))
        assert found == pytest.approx(math.acos(abs(normal[2])), rel=1e-9)


# -- posts built a little wrong ---------------------------------------------------------------


def built_wrong(design: Design, off: dict[str, np.ndarray]) -> float:
    """Tilt of the top over the floor (radians), by plain vectors.

    The posts are pushed until each axis passes the next at its own offset and at its own notch;
    feet and heads are found by cutting boxes level, floor and top by planes through three points.
    """
    made, notch, _ = posts(design)
    towards = 1.0 if design.notches_up else -1.0
    section = design.section + off["post_section"]
    apart = (
        (section + np.roll(section, -1)) / 2 - (design.section - design.offset) - off["notch_depth"]
    )

    def misfit(shifts: np.ndarray) -> np.ndarray:
        at = np.vstack([np.zeros(3), shifts.reshape(2, 3)])
        found = []
        for host, (post, shift) in enumerate(zip(made, at, strict=True)):
            guest, moved = made[(host + 1) % 3], at[(host + 1) % 3]
            first = (post.waist + shift, post.along)
            second = (guest.waist + moved, guest.along)
            along, across = nearest(first, second)
            step = second[0] + across * second[1] - first[0] - along * first[1]
            found.append(along - notch - off["notch_position"][host])
            found.append(step @ guest.bearing - towards * apart[host])
        return np.array(found)

    solved = root(misfit, np.zeros(6), tol=1e-13)
    assert np.abs(solved.fun).max() < 1e-9
    shifts = np.vstack([np.zeros(3), solved.x.reshape(2, 3)])
    feet, heads = [], []
    for k, post in enumerate(made):
        cut = Post(
            post.waist + shifts[k], post.along, post.bearing, post.side, post.low,
            post.high + off["post_length"][k], section[k],
        )  # fmt: skip
        feet.append(flat(cut, cut.low, design.foot_depth + off["foot_flat_depth"][k], False)[0])
        heads.append(flat(cut, cut.high, design.head_depth + off["head_flat_depth"][k], True)[0])
    floor, top = (unit(np.cross(p[1] - p[0], p[2] - p[0])) for p in (feet, heads))
    return float(np.arccos(min(abs(floor @ top), 1.0)))


@pytest.mark.parametrize("way_up", WAYS)
@pytest.mark.parametrize("splay", [54.735610317245346, 45.0, 35.0])
def test_tilt_against_posts_built_by_plain_vectors(way_up: str, splay: float) -> None:
    # independent: reference_vectors.py, with the contacts of the joints solved for
    sheet = network("table", way_up=way_up).solve({**PLAIN, "splay": splay})
    design = Design(
        section=64.0, length=sheet.number("post_length"), splay=math.radians(splay),
        offset=sheet.number("axis_offset"), notch_position=sheet.number("notch_position"),
        foot_depth=sheet.number("foot_flat_depth"), head_depth=sheet.number("head_flat_depth"),
        notches_up=way_up == "notches up",
    )  # fmt: skip
    base = InexactBase(sheet, as_cut(sheet, ["splay"]))
    random = np.random.default_rng(9)
    for names in (*((name,) for name in PER_POST), PER_POST):
        off = {name: np.zeros(3) for name in PER_POST}
        off |= {name: random.uniform(-0.2, 0.2, 3) for name in names}
        errors = {name: error[:, None] * 1e-3 for name, error in off.items()}
        tilt, rim = base.tilts(errors, 1)
        expected = math.degrees(built_wrong(design, off))
        # First order: errors of 0.2 mm on a base of half a metre leave a few parts in a thousand.
        assert tilt[0] == pytest.approx(expected, rel=0.02), names
        assert rim[0] == pytest.approx(920 * math.sin(math.radians(tilt[0])), rel=1e-9)


def test_shifts_are_settled_at_every_lean() -> None:
    # top_tilt.md: six equations, six unknowns, never singular
    for degrees in np.arange(10, 80, 5):
        splay = math.radians(degrees)
        axes = [lean(splay, k) for k in range(3)]
        bearing = [unit(np.cross(axes[k - 1], axes[k])) for k in range(3)]
        side = [np.cross(axes[k], bearing[k]) for k in range(3)]
        rows = np.zeros((6, 9))
        for host in range(3):
            guest = (host + 1) % 3
            for row, facing in ((host, side[guest]), (host + 3, bearing[guest])):
                rows[row, 3 * guest : 3 * guest + 3] = facing
                rows[row, 3 * host : 3 * host + 3] = -facing
        assert abs(np.linalg.det(rows[:, 3:])) > 1e-3


# -- chances ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cut", "circle"), [("head_flat_depth", "head"), ("foot_flat_depth", "foot")]
)
def test_tilt_from_one_cut_follows_rayleigh(cut: str, circle: str) -> None:
    # independent: three like normal errors of deviation σ on a circle of radius r give a climb
    # with two like normal components of deviation σ √(2/3)/r, so a tilt after Rayleigh, whose
    # quantiles are √(−2 ln(1 − p)) deviations (textbook result)
    sheet = network("table").solve(PLAIN)
    found = head_tilt(sheet, [by(cut, 0.5)])
    deviation = 0.25 * math.sqrt(2 / 3) / sheet.number(f"{circle}_radius")
    for bound, share in ((found.half, 0.5), (found.most, 0.95)):
        quantile = math.sqrt(-2 * math.log(1 - share))
        density = quantile * (1 - share)
        error = math.sqrt(share * (1 - share) / found.tilts.size) / density
        expected = deviation * quantile
        assert abs(math.radians(bound) - expected) < 3 * deviation * error
    assert dict(found.shares) == {cut: 1.0}


def test_shares_add_up_and_the_parts_make_the_whole() -> None:
    sheet = network("table").solve(PLAIN)
    found = head_tilt(sheet, DEFAULT)
    assert sum(found.shares.values()) == pytest.approx(1)
    assert list(found.shares) == sorted(found.shares, key=lambda name: -found.shares[name])
    alone = [head_tilt(sheet, [t]) for t in DEFAULT if t.name in PER_POST]
    whole = sum(np.mean(one.tilts**2) for one in alone)
    # Each mean square of n Rayleigh draws has the standard error mean/√n.
    assert np.mean(found.tilts**2) == pytest.approx(whole, rel=4 / math.sqrt(found.tilts.size))
    assert found.alike == ("top_thickness", "top_diameter", "splay")
    name = next(iter(found.shares))
    assert f"{name} matters most" in found.text()


def test_no_errors_no_tilt() -> None:
    sheet = network("stool").solve(
        {"seat_height": 450.0, "top_diameter": 360.0, "post_section": 34.0}
    )
    found = head_tilt(sheet, [by("splay", 0.1), by("post_length", 0.0)])
    assert found.most == 0 and found.rim_most == 0 and not found.shares
    assert "None of these cuts tilts it" in found.text()
    with pytest.raises(DesignError, match="two tolerances"):
        head_tilt(sheet, [by("splay", 0.1), by("splay", 0.2)])


def test_words_for_levelling() -> None:
    found = levelling(network("table").solve(PLAIN))
    assert found is not None
    said = "\n".join(one.line for one in found.said())
    assert "1 in 300" in said
    for step in ("pencil on a block", "Plane the highest head", "veneer or card", "end for end"):
        assert step in said
    assert found.to_json()["text"] == said
    stool = network("stool", style="splayed legs").solve(
        {"seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 40.0}
    )
    assert levelling(stool) is None
