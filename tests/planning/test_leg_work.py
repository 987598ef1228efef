"""Legs at the bench against plain vectors: shoulder, stations, block, what the level cut takes."""

from __future__ import annotations

from functools import cache
from math import acos, atan2, pi

import numpy as np
import pytest
from numpy.typing import NDArray

from tablekit.planning.leg_work import LegWork, leg_work, network
from tablekit.relations import leg_bench
from tablekit.relations.families import network as piece
from tests.relations.splayed_vectors import Design, direction
from tests.solids.test_legs import designs, sheet_of

Vector = NDArray[np.float64]
AROUND = np.linspace(0.0, 2 * pi, 4001)
STOOL = {
    "seat_height": 450.0, "top_diameter": 340.0, "leg_diameter": 38.0, "foot_diameter": 28.0,
    "leg_resultant": 14.0, "top_thickness": 40.0,
}  # fmt: skip


@cache
def works() -> tuple[tuple[Design, LegWork], ...]:
    found = []
    for design in designs():
        work = leg_work(sheet_of(design))
        assert work is not None
        found.append((design, work))
    return tuple(found)


def stool(legs: str = "three legs", stretchers: str = "none", **more: float) -> LegWork:
    of = piece("stool", style="splayed legs", legs=legs, stretchers=stretchers)
    found = leg_work(of.solve({**STOOL, **more}))
    assert found is not None
    return found


class Axis:
    """A leg of a design: its axis leans in the x-z plane, up and towards -x; the middle of the
    level foot is the origin. Radii by proportion between foot and underside."""

    def __init__(self, design: Design) -> None:
        self.lean = acos(-direction(design)[2])
        self.up = np.array([-np.sin(self.lean), 0.0, np.cos(self.lean)])
        self.out = np.array([np.cos(self.lean), 0.0, np.sin(self.lean)])
        self.aside = np.array([0.0, 1.0, 0.0])
        self.length = design.rise / np.cos(self.lean)
        self.design = design

    def radius(self, along: float) -> float:
        thin, thick = self.design.thin / 2, self.design.thick / 2
        return thin + (thick - thin) * along / self.length

    def ring(self, along: float) -> Vector:
        """The circle square to the axis so far from the foot, points shape (n, 3)."""
        spokes = np.outer(np.cos(AROUND), self.out) + np.outer(np.sin(AROUND), self.aside)
        return np.asarray(along * self.up + self.radius(along) * spokes)


@pytest.mark.witness(
    leg_bench.SHOULDER_CLEAR,
    leg_bench.SHOULDER_GAP,
    leg_bench.TENON_LENGTH,
    by="points round the circle of the shoulder in space",
    within="1e-6",
)
def test_the_edge_of_a_square_shoulder_just_touches_the_underside() -> None:
    for design, work in works():
        axis, number = Axis(design), work.bench.number
        heights = axis.ring(axis.length - number("shoulder_clear"))[:, 2]
        assert heights.max() == pytest.approx(design.rise, rel=1e-9)
        assert design.rise - heights.min() == pytest.approx(number("shoulder_gap"), rel=1e-6)
        assert number("tenon_length") == pytest.approx(
            design.depth + number("shoulder_clear"), rel=1e-12
        )


@pytest.mark.witness(
    leg_bench.STATION,
    leg_bench.TURNED_LENGTH,
    by="proportion along the axis",
    within="1e-9",
)
def test_diameters_along_a_leg_are_in_proportion() -> None:
    for design, work in works():
        axis, clear = Axis(design), work.bench.number("shoulder_clear")
        whole = (
            axis.length
            + design.depth
            + (work.bench.number("leg_blank") - work.sheet.number("leg_length"))
        )
        assert work.stations[-1][0] == pytest.approx(whole - clear - design.depth, rel=1e-9)
        places = [place for place, _ in work.stations]
        assert places[0] == 0 and len(places) == 5 and places == sorted(places)
        assert places[-1] == pytest.approx(work.bench.number("turned_length"), rel=1e-12)
        for place, across in work.stations:
            expected = 2 * axis.radius(axis.length - clear - place)
            assert across == pytest.approx(expected, rel=1e-9)


@pytest.mark.witness(
    leg_bench.BLOCK_HEIGHT,
    leg_bench.LEVEL_HEIGHT,
    leg_bench.STANDING_HEIGHT,
    by="points round the end of a leg in space",
    within="1e-6",
)
def test_the_block_is_as_high_as_the_foot_is_over_the_board() -> None:
    """The leg as turned stands on the lowest point of its square end."""
    for design, work in works():
        axis = Axis(design)
        beyond = work.bench.number("leg_blank") - work.sheet.number("leg_length")
        board = axis.ring(-beyond)[:, 2].min()
        assert work.bench.number("block_height") == pytest.approx(-board, rel=1e-6)
        # Along its outer side the leg goes on for the saw: by 10 mm, and by less than the one
        # more that a whole millimetre may take.
        low, high = (
            along * axis.up + axis.radius(along) * axis.out for along in (-beyond, axis.length)
        )
        level = -low[2] / (high[2] - low[2]) * (beyond + axis.length)
        assert 10.0 - 1e-6 <= level < 11.0
        assert work.bench.number("leg_blank") == pytest.approx(
            round(beyond + axis.length + design.depth), abs=1e-9
        )
        whole = design.rise + design.top
        assert work.bench.number("level_height") == pytest.approx(whole, rel=1e-12)
        assert work.bench.number("standing_height") == pytest.approx(whole - board, rel=1e-9)


@pytest.mark.witness(
    leg_bench.FOOT_OFF,
    by="a border of the leg in space, met with a level plane",
    within="1e-9",
)
def test_what_comes_off_the_inner_side_is_where_its_border_meets_the_level() -> None:
    for design, work in works():
        axis = Axis(design)
        beyond = work.bench.number("leg_blank") - work.sheet.number("leg_length")
        low, high = (
            along * axis.up - axis.radius(along) * axis.out for along in (-beyond, axis.length)
        )
        share = -low[2] / (high[2] - low[2])  # of the border, from the end to the level of the foot
        along = share * (beyond + axis.length)
        assert work.bench.number("foot_off") == pytest.approx(along, rel=1e-9)


@pytest.mark.witness(
    leg_bench.MOUTH_LENGTH,
    leg_bench.GAUGE_LEAN,
    by="a border of the bore in space, met with the underside",
    within="1e-9",
)
def test_mouth_and_gauge_are_those_of_the_bit_and_its_lean() -> None:
    for design, work in works():
        axis, number = Axis(design), work.bench.number
        # A line of the bore on its outer side meets the underside so far from the axis.
        side = design.tenon / 2 * axis.out
        reach = side - side[2] / axis.up[2] * axis.up
        assert number("mouth_length") == pytest.approx(2 * np.linalg.norm(reach), rel=1e-9)
        slope = atan2(number("gauge_lean"), number("gauge_height"))
        assert slope == pytest.approx(axis.lean, rel=1e-9)


def test_an_octagon_has_eight_equal_sides() -> None:
    mark = stool().octagon(41.5)
    assert 41.5 - 2 * mark == pytest.approx(np.hypot(mark, mark), rel=1e-12)


def test_what_is_said_has_the_sizes_of_the_drawings() -> None:
    work = stool()
    said = " ".join(one.text for one in (*work.said_of_marking(), *work.said_of_boring()))
    assert "six steps" in said and f"compasses at {work.text('socket_radius')}" in said
    assert work.text("socket_spread") in said and work.text("socket_cover") in said
    steps = " ".join(work.steps_of_levelling())
    for name in ("standing_height", "level_height", "block_height", "foot_off"):
        assert work.text(name) in steps
    four = " ".join(one.text for one in stool("four legs").said_of_marking())
    assert "square to one another" in four and "six steps" not in four


def test_a_wedge_and_two_tilts_are_said_where_rake_and_splay_are_given() -> None:
    lean = stool()
    said = " ".join(one.text for one in (*lean.said_of_block(), *lean.said_of_press()))
    for name in ("guide_width", "guide_blank", "guide_base", "guide_length", "bit_stop"):
        assert lean.text(name) in said, name
    assert "tilt the table 14°" in said and "rake" not in said
    given = {key: size for key, size in STOOL.items() if key != "leg_resultant"}
    views = leg_work(
        piece("stool", style="splayed legs").solve({**given, "leg_rake": 10.0, "leg_splay": 15.0})
    )
    assert views is not None
    both = " ".join(one.text for one in views.said_of_press())
    # By hand: tan ω = tan 10° · cos 15° = 0.17633 · 0.96593, ω = 9.67°
    assert "wedge of 15° across it" in both and "the table tilted 9.67°" in both
    # By hand: tan γ = tan 15° / tan 10° = 0.26795 / 0.17633, γ = 56.65°; and the thick end turns
    # the leg, which leans to that side, upright across the axis.
    assert "56.65° to one side" in both and "thick end on the side of the sight line" in both


def test_what_is_left_over_the_point_of_the_bit_is_said() -> None:
    """40 mm thick, a socket 28 mm deep, 14° of lean: 40 − 31 cos 14° = 9.92 mm over a point 3 mm
    long; one 14 mm long comes through."""
    said = [
        " ".join(one.text for one in stool(**more).said_of_boring())
        for more in ({}, {"bit_point": 3.0}, {"bit_point": 14.0})
    ]
    assert "cutting edges leaves 10 mm. That is assumed" in said[0]
    assert "leaves 10 mm." in said[1] and "assumed" not in said[1]
    assert "point 14 mm beyond the cutting edges comes through" in said[2]


@pytest.mark.witness(
    leg_bench.STRETCHER_MARK,
    by="the point of the axis at a height, found by proportion",
    within="1e-9",
)
@pytest.mark.parametrize(
    ("legs", "stretchers"),
    [("three legs", "T"), ("four legs", "H"), ("three legs", "ring"), ("four legs", "ring")],
)
def test_mortises_for_stretchers_are_marked_where_the_axis_is_at_their_height(
    legs: str, stretchers: str
) -> None:
    for high in (90.0, 150.0):
        work = stool(legs, stretchers, stretcher_height=high)
        number, joins = work.sheet.number, work.joins
        assert joins is not None
        # Foot at 0, underside at the rise; the place is that share of the way up the axis.
        heights = {round(line.height, 6) for line in joins.lines}
        downs = [
            (1 - at / number("leg_rise")) * number("shoulder_length")
            - work.bench.number("shoulder_clear")
            for at in heights
        ]
        assert work.marks == pytest.approx(sorted(downs), rel=1e-6)
        # Every end of a side stretcher is in a mortise of its own.
        ends = sum(2 * line.many for line in joins.lines if line.name != "cross")
        assert len(joins.mortises) == ends + (stretchers == "T")
        said = " ".join(one.text for one in (*work.said_of_stretchers(), *work.said_of_mortises()))
        for size in ("stretcher_diameter", "stretcher_tenon", "stretcher_depth", "mortise_floor"):
            assert work.text(size) in said, size
        for line in joins.lines:
            assert work.length(line.whole) in said and line.joins in said
        assert (work.length(work.marks[0]) in said) is joins.alike
        assert ("stretcher_turn" in work.sheet.network.quantities) is (stretchers == "ring")
        fitting = " ".join(one.text for one in work.said_of_fitting())
        assert "by turns" in fitting and "one by one" not in fitting
        assert work.text("stretcher_start") in fitting
        data = work.to_json()
        assert sum(line["many"] for line in data["stretchers"]) == joins.count
        assert len(data["mortises"]) == len(joins.mortises)


def test_nothing_is_said_of_stretchers_that_nobody_asks_for() -> None:
    plain = stool()
    assert plain.joins is None and plain.marks == ()
    said = (*plain.said_of_turning(), *plain.said_of_fitting(), *plain.said_of_mortises())
    assert "stretcher" not in " ".join(one.text for one in said)
    assert not plain.said_of_stretchers() and "stretchers" not in plain.to_json()


def test_only_a_tenon_that_comes_through_is_wedged() -> None:
    blind = " ".join(one.text for one in stool().said_of_fitting())
    through = stool(socket_depth=50.0)
    wedged = " ".join(one.text for one in through.said_of_fitting())
    assert "not wedged" in blind and "kerf" not in blind
    assert "square to the grain" in wedged and through.through
    assert any("scrap under the top" in one.text for one in through.said_of_boring())


def test_a_tenon_as_thick_as_the_leg_has_no_shoulder() -> None:
    plain = stool(foot_diameter=38.0, tenon_diameter=38.0)
    assert not plain.shouldered and not plain.tapered and stool().shouldered
    assert any("without a shoulder" in one.text for one in plain.said_of_turning())


def test_inches_are_inches_throughout() -> None:
    from tablekit.engine.shop import ShopStyle

    sheet = piece("stool", style="splayed legs", sizes="inch").solve(
        {**STOOL, "pad_projection": 3.0}, shop=ShopStyle(display="in")
    )
    work = leg_work(sheet)
    assert work is not None and work.bench.number("gauge_height") == pytest.approx(101.6)
    said = (
        *work.said_of_marking(), *work.said_of_boring(), *work.said_of_guiding(),
        *work.said_of_turning(), *work.said_of_fitting(),
    )  # fmt: skip
    whole = " ".join([*(one.text for one in said), *work.steps_of_levelling(), *work.to_check()])
    assert " in " in whole and " mm" not in whole


def test_crossed_posts_have_no_legs() -> None:
    posts = piece("table").solve(
        {"table_height": 735.0, "top_diameter": 900.0, "post_section": 64.0}
    )
    assert leg_work(posts) is None


def test_the_plain_data_are_those_of_the_bench() -> None:
    work = stool()
    data = work.to_json()
    assert data["block_height"] == pytest.approx(work.bench.number("block_height"))
    assert len(data["stations"]) == len(work.stations)
    assert set(data) - {"stations"} <= {one.name for one in network().quantities.values()}
