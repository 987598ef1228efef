"""What heads and feet carry: the sheet against three balances solved for three forces.

The places of heads and feet are measured on posts built from plain vectors, the forces found by a
linear solve; neither knows a formula of the kit.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.relations import bases, families, kinds, post_load
from tests.relations.reference_vectors import Design, Vector, flat, posts

GRAVITY = 9.80665  # m/s²
DRAWN = 25
CASES = [(kind, way) for kind in kinds.KINDS for way in bases.WAYS_UP]


def shares(places: Vector, load: float, at: Vector, weight: float = 0.0) -> Vector:
    """Forces on three supports at plan points `places` (3, 2) of a load at `at`, and of a weight at
    the origin: balance of force and of moment about two level axes."""
    balance = np.vstack([np.ones(3), places.T])
    return np.linalg.solve(balance, [load + weight, load * at[0], load * at[1]])


@cache
def drawn(kind: str, way: str) -> tuple[Sheet, ...]:
    """Sheets of random pieces, leaning and let in as they come."""
    random, found = np.random.default_rng(3), []
    of = families.network(kind, way_up=way)
    while len(found) < DRAWN:
        big = kind == "table"
        givens = {
            "table_height" if big else "seat_height": random.uniform(*(
                (450, 780) if big else (430, 700)
            )),
            "top_diameter": random.uniform(*((600, 1500) if big else (280, 420))),
            "post_section": random.uniform(45, 90),
            "splay": random.uniform(40, 56),
            "rim_load": random.uniform(200, 1500),
            "design_load": random.uniform(600, 1600),
        }  # fmt: skip
        try:
            found.append(of.solve(givens))
        except DesignError:  # too short or too flat to be built
            continue
    return tuple(found)


def ends(sheet: Sheet, way: str) -> tuple[Vector, Vector]:
    """Plan points of the middles of the three heads and the three feet, post by post: mm."""
    design = Design(
        sheet.number("post_section"), sheet.number("post_length"),
        np.radians(sheet.number("splay")), sheet.number("axis_offset"),
        sheet.number("notch_position"), sheet.number("foot_flat_depth"),
        sheet.number("head_flat_depth"), way == "notches up", sheet.number("post_width"),
    )  # fmt: skip
    built = posts(design)[0]
    heads = [flat(post, post.high, design.head_depth, upward=True)[0] for post in built]
    feet = [flat(post, post.low, design.foot_depth, upward=False)[0] for post in built]
    return np.array(heads)[:, :2], np.array(feet)[:, :2]


@pytest.mark.witness(
    post_load.FOOT_BETWEEN, post_load.FOOT_FORCE, post_load.HEAD_FORCE,
    post_load.END_FORCE, post_load.CROSS_FORCE, post_load.POST_MOMENT,
    *(make(kind) for kind in kinds.KINDS
      for make in (post_load.foot_under_edge, post_load.head_under_edge)),
    by="three balances solved for places measured on plain vectors", within="1e-9",
)  # fmt: skip
@pytest.mark.parametrize(("kind", "way"), CASES)
def test_forces_and_moment_against_balance_alone(kind: str, way: str) -> None:
    for sheet in drawn(kind, way):
        heads, feet = ends(sheet, way)
        load = sheet.number("design_load")
        edge = sheet.number("rim_load") if kind == "table" else load
        toward = [p / np.linalg.norm(p) for p in (feet[0], heads[0])]
        on_foot, on_head = (
            reach * way_out for reach, way_out in zip(
                (sheet.number("edge_over_foot"), sheet.number("edge_over_head")), toward,
                strict=True,
            )
        )  # fmt: skip
        between = (heads[0] + heads[1]) / 2
        at_feet = [shares(feet, load, np.zeros(2)), shares(feet, load, between),
                   shares(feet, edge, on_foot)]  # fmt: skip
        at_heads = [shares(heads, load, np.zeros(2)), shares(heads, load, between),
                    shares(heads, edge, on_head)]  # fmt: skip
        foot, head = np.max(at_feet), np.max(at_heads)
        assert sheet.number("foot_force") == pytest.approx(foot, rel=1e-9)
        assert sheet.number("head_force") == pytest.approx(head, rel=1e-9)
        lean = np.radians(sheet.number("splay"))
        across = max(foot, head) * np.sin(lean)
        assert sheet.number("cross_force") == pytest.approx(across, rel=1e-9)
        moment = max(foot * np.linalg.norm(feet[0]), head * np.linalg.norm(heads[0])) / 1000
        assert sheet.number("post_moment") == pytest.approx(moment, rel=1e-9)


@pytest.mark.witness(
    *(make(kind) for kind in kinds.KINDS
      for make in (post_load.edge_over_a_foot, post_load.edge_over_a_head)),
    by="loads on the feet, solved for: none below nothing, and nothing at the farthest place",
    within="1e-9 over a foot; over a head never farther out than the balance allows",
)  # fmt: skip
@pytest.mark.parametrize(("kind", "way"), CASES)
def test_a_load_at_the_edge_stands_no_farther_out_than_it_can(kind: str, way: str) -> None:
    stopped = 0
    for sheet in drawn(kind, way):
        heads, feet = ends(sheet, way)
        weight = sheet.number("total_mass") * GRAVITY
        table = kind == "table"
        load = sheet.number("rim_load" if table else "design_load")
        edge = sheet.number("top_diameter") / 2 - (0 if table else 60)  # seat_load_inset
        reach = sheet.number("edge_over_foot")
        out = feet[0] / np.linalg.norm(feet[0])
        lightest = shares(feet, load, reach * out, weight).min()
        assert reach <= edge * (1 + 1e-9)
        if reach < edge * (1 - 1e-9):
            stopped += 1
            assert lightest == pytest.approx(0, abs=1e-9 * load)
        else:
            assert lightest >= -1e-9 * load
        # Over a head: the gap between two feet, taken as if it lay right under the head.
        over = sheet.number("edge_over_head") * heads[0] / np.linalg.norm(heads[0])
        assert shares(feet, load, over, weight).min() >= -1e-9 * load
    assert stopped or kind == "stool"  # some of the tables tip before the rim is reached


def test_the_foot_beneath_a_load_carries_more_than_half() -> None:
    """The demo's table: half a load at a foot gave 0.77 of the strength, 531 N across the post."""
    sheet = families.network("table").solve({
        "table_height": 735.0, "top_diameter": 920.0, "post_section": 63.5,
        "bending_strength": 103.0, "compression_along": 51.1, "shear_strength": 13.2,
    })  # fmt: skip
    heads, feet = ends(sheet, "notches up")
    share = shares(feet, 1.0, (heads[0] + heads[1]) / 2).max()
    assert share == pytest.approx(0.646, abs=5e-4)  # (1 + 432.7/458.5)/3 less sidesteps
    assert sheet.number("post_strength_used") == pytest.approx(1.00, abs=5e-3)
    assert sheet.number("cross_force") == pytest.approx(1300 * share * np.sqrt(2 / 3), rel=1e-9)


@pytest.mark.parametrize("kind", kinds.KINDS)
def test_two_notches_have_feet_right_opposite_heads(kind: str) -> None:
    height = {"table": "table_height", "stool": "seat_height"}[kind]
    sheet = families.network(kind, "two notches").solve(
        {height: 600.0, "top_diameter": 500.0, "post_section": 60.0}
    )
    head, foot = sheet.number("head_radius"), sheet.number("foot_radius")
    turns = np.radians([60, 180, 300])  # feet, opposite heads at 0°, 120°, 240°
    feet = foot * np.column_stack([np.cos(turns), np.sin(turns)])
    between = head / 2 * np.array([np.cos(np.pi / 3), np.sin(np.pi / 3)])
    most = shares(feet, sheet.number("design_load"), between).max()
    assert sheet.number("foot_between") == pytest.approx(most, rel=1e-9)


def test_the_post_load_takes_the_forces_of_the_sheet() -> None:
    """One force across the post in shear, and one moment in bending."""
    assert {"cross_force"} <= set(post_load.SHEAR_STRENGTH_USED.symbols)
    for relation in (
        post_load.POST_STRESS,
        post_load.SHEAR_STRENGTH_USED,
        post_load.BUCKLING_LOAD_USED,
    ):
        assert not {"design_load", "head_radius", "foot_radius"} & set(relation.symbols)
