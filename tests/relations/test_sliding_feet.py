"""How far the top comes down while the feet slide apart in loose notches, by a linear programme.

Each post may move and turn a little as it can: its head is held by the top, no floor of a notch may
be entered, and the walls stand off by half the play on either side. Nothing of tablekit is used but
the formula that is looked at.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import sympy as sp
from scipy.optimize import linprog

from tablekit.brief import read_brief
from tablekit.relations import families, season_fit
from tablekit.setting_out import set_out
from tests.relations.reference_vectors import Design, posts

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
SQUARE = math.asin(math.sqrt(2 / 3))
LONG, WIDE, PLAY = 1146.0, 63.5, 0.4


def clipped(polygon, normal, offset):
    """The part of a flat polygon where normal · x <= offset."""
    kept = []
    for one, after in zip(polygon, [*polygon[1:], *polygon[:1]], strict=True):
        here, there = normal @ one - offset, normal @ after - offset
        if here <= 0:
            kept.append(one)
        if here * there < 0:
            kept.append(one + (after - one) * here / (here - there))
    return kept


def patches(host, guest, up):
    """Corners of the floor and the walls of a notch as (point, direction from host to guest)."""
    (deep, half), far = guest.halves, 5 * WIDE
    high = 2 * deep
    out = guest.bearing * (1 if up else -1)
    floor = guest.waist - deep * out
    sheets = [
        (out, [floor + x * guest.along + y * guest.side
               for x, y in ((-far, -half), (far, -half), (far, half), (-far, half))]),
        *((-sign * guest.side, [floor + sign * half * guest.side + x * guest.along + z * out
                                for x, z in ((-far, 0), (far, 0), (far, high), (-far, high))])
          for sign in (-1, 1)),
    ]  # fmt: skip
    for direction, polygon in sheets:
        for row in host.half_spaces()[:, :4]:
            polygon = clipped(polygon, row[:3], -row[3])
        yield direction, polygon, direction is out


def moved(which, point, direction):
    """What a push of post `which` by its six motions moves at a point in a direction, (18,)."""
    row = np.zeros(18)
    row[6 * which : 6 * which + 3] = direction
    row[6 * which + 3 : 6 * which + 6] = np.cross(point, direction)
    return row


def drop(lean, up=True, shift=0.0, deep=WIDE, wide=WIDE):
    """The most that the feet come up towards the top on average, mm."""
    bars, _, _ = posts(
        Design(section=deep, length=LONG, splay=lean, offset=deep / 2, width=wide,
               notch_position=LONG / 2 + shift, foot_depth=0, head_depth=0, notches_up=up)
    )  # fmt: skip
    rows, limits, held = [], [], []
    for k in range(3):
        g = (k + 1) % 3
        for direction, polygon, floor in patches(bars[k], bars[g], up):
            for point in polygon:
                rows.append(moved(k, point, direction) - moved(g, point, direction))
                limits.append(0 if floor else PLAY / 2)
    up_by = np.zeros(18)
    for k, bar in enumerate(bars):
        ends = sorted((bar.waist + end * bar.along for end in (bar.low, bar.high)),
                      key=lambda point: point[2])  # fmt: skip
        up_by += moved(k, ends[0], np.array([0, 0, 1])) / 3
        held += [moved(k, ends[1], axis) for axis in np.eye(3)]
    found = linprog(
        -up_by, A_ub=np.array(rows), b_ub=limits, A_eq=np.array(held), b_eq=np.zeros(9),
        bounds=(None, None),
    )  # fmt: skip
    assert found.status == 0, found.message
    return -found.fun


def formula(deep: float) -> float:
    """The kit's formula, mm."""
    given = {"winter_play": PLAY, "post_length": LONG, "post_section": deep}
    (found,) = sp.solve(season_fit.SLIDING_DROP.equation, season_fit.sliding_drop.symbol)
    return float(found.subs({s: given[s.name] for s in found.free_symbols}))


@pytest.mark.witness(
    season_fit.SLIDING_DROP, by="a linear programme over the corners of floors and walls",
    within="1e-6 at the square crossing; an upper bound at 15 to 54°",
)  # fmt: skip
def test_the_drop_is_what_the_walls_allow() -> None:
    by_formula = formula(WIDE)
    for shift in (0.0, 60.0, -40.0):
        assert drop(SQUARE, shift=shift) == pytest.approx(by_formula, rel=1e-6)
    for lean in (15, 25, 35, 45, 50, 54):
        assert drop(math.radians(lean)) <= by_formula * (1 + 1e-9)


@pytest.mark.parametrize(("deep", "wide"), [(80.0, 56.0), (56.0, 80.0)])
def test_of_a_rectangular_post_the_depth_decides(deep: float, wide: float) -> None:
    """The walls are as long as the post that has the notch is deep."""
    assert drop(SQUARE, deep=deep, wide=wide) == pytest.approx(formula(deep), rel=1e-3)


def test_with_the_notches_down_hardly_anything_moves() -> None:
    for lean in (25, 40, 50):
        assert drop(math.radians(lean), up=False) < 0.15 * drop(math.radians(lean))
    assert "sliding_drop" not in families.network("table", way_up="notches down").quantities


def test_a_slender_table_with_loose_notches_is_cautioned() -> None:
    """By hand: 0.3757 mm of play, 1146.2 mm between the ends, 63.5 mm wide: 3.91 mm."""
    brief = read_brief(BRIEFS / "reading-room-table.toml")
    sheet = set_out(brief)
    assert sheet.number("sliding_drop") == pytest.approx(3.91, abs=0.02)
    (check,) = (one for one in sheet.checks if one.quantity == "sliding_drop")
    assert check.verdict == "pass"
    dry = type(brief)(**{**vars(brief), "givens": {**brief.givens, "notch_clearance": 0.6}})
    (check,) = (one for one in set_out(dry).checks if one.quantity == "sliding_drop")
    assert check.verdict == "caution" and "pads that grip" in check.message
