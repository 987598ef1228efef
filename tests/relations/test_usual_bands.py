"""What is usual of each thing that is assumed: no sensible design is outside, nonsense is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tablekit.brief import read_brief
from tablekit.engine import bands
from tablekit.engine.network import Network
from tablekit.engine.relation import Assumption
from tablekit.engine.sheet import Sheet
from tablekit.relations import bases, families, kinds, people
from tablekit.setting_out import set_out
from tablekit.shipped import notebooks_path
from tablekit.species import CUTS, every_movement, every_species
from tests.together import each
from tests.trust.declared import declared, networks

# Told apart as objects: one statement, the square crossing, is assumed of posts with one notch and
# is all there is of posts with two.
ASSUMED: list[Assumption] = [
    *{
        id(one): one
        for one in (
            *(entry.relation for entry in declared()),
            *(one for network in networks().values() for one in network.assumptions),
        )
        if isinstance(one, Assumption)
    }.values()
]
# Whatever the range allows is usual: a load that is asked after, a turn or a place that is as good
# as any other, a step that the table of grits limits already, as many clamps as it takes.
WITHOUT = {
    "design_load", "rim_load", "placed_reach", "head_turn", "ring_angle", "sight_line",
    "grit_step", "clamps", "clamp_reach",
}  # fmt: skip
each_assumption = each("one", ASSUMED, ids=lambda one: f"{one.name}, {one.value}")


@each_assumption
def test_each_has_a_band_or_needs_none(one: Assumption) -> None:
    assert one.quantity is not None
    has = one.usual is not None or one.usual_share is not None
    assert has is not (one.only or one.quantity.name in WITHOUT)


@each_assumption
def test_a_band_holds_what_is_assumed_and_lies_in_the_range(one: Assumption) -> None:
    quantity = one.quantity
    assert quantity is not None
    lowest, highest = quantity.to_si(quantity.low), quantity.to_si(quantity.high)
    if one.value.is_number:
        assumed = float(one.value)
        low, high = one.band(assumed)
        assert low >= lowest - 1e-12 and high <= highest + 1e-6  # N, Pa and the like are large
        assert one.only or low < high
        assert low <= assumed <= high
    elif one.usual_share is not None:
        for assumed in (0.01, 0.3):
            low, high = one.band(assumed)
            assert 0 <= low <= assumed <= high


def test_what_says_the_same_in_other_words_is_settled_by_the_quantity() -> None:
    """The two settle one another once the piece has its sizes."""
    sizes = {"post_section", "leg_diameter", "top_diameter", "top_thickness", "post_length"}
    sizes |= {"splay", "leg_length"}
    met = set()
    for network in networks().values():
        for one in network.assumptions:
            for name in one.stated_by & network.quantities.keys():
                assert one.quantity is not None
                met.add((one.quantity.name, name))
                plan = network.plan({one.quantity.name, *sizes & network.quantities.keys()})
                assert one.quantity.name in plan.givens_behind(name)
    every = {(one.quantity.name, name) for one in ASSUMED if one.quantity for name in one.stated_by}
    assert met == every


def test_a_check_can_still_fail_within_a_band() -> None:
    """A band does not take the place of a check: it reaches beyond what the check tolerates."""
    judged = {
        one.quantity: one
        for network in networks().values()
        for one in network.requirements
        if type(one) is not people.Graded
    }
    compared = set()
    for one in ASSUMED:
        assert one.quantity is not None
        asked = judged.get(one.quantity.name)
        if asked is None or not one.value.is_number or one.only:
            continue
        low, high = (one.quantity.from_si(end) for end in one.band(float(one.value)))
        for end in (asked.good[0], asked.tolerable[0]):
            assert end is None or low < end or low == one.quantity.low, one.name
        for end in (asked.good[1], asked.tolerable[1]):
            assert end is None or high > end or high == one.quantity.high, one.name
        compared.add(one.quantity.name)
    assert {"splay", "slot_spare", "seat_to_top", "cutter_diameter"} <= compared


# -- sensible designs --------------------------------------------------------------------------

COUNT = 12


def same_again(forward: Sheet, names: tuple[str, ...]) -> Sheet:
    """The design found again from other names of it, so that what was assumed gives way."""
    again = forward.network.solve({name: forward.number(name) for name in names})
    assert bands.outside(again.plan, again.si) == [], again.givens
    return again


@pytest.mark.parametrize("way_up", bases.WAYS_UP)
@pytest.mark.parametrize("kind", kinds.KINDS)
def test_sensible_crossed_posts_are_within(kind: str, way_up: str) -> None:
    network = families.network(kind, way_up=way_up)
    random = np.random.default_rng(5)
    tall = kind == "table"
    whole = "table_height" if tall else "seat_height"
    for _ in range(COUNT):
        sheet = network.solve(
            {
                whole: random.uniform(400, 1050) if tall else random.uniform(400, 760),
                "top_diameter": random.uniform(600, 1300) if tall else random.uniform(320, 420),
                "post_section": random.uniform(45, 80) if tall else random.uniform(30, 48),
                "splay": random.uniform(40, 60),
                "top_thickness": random.uniform(18, 45),
                "wood_density": random.uniform(380, 850),
                "notch_depth_ratio": random.uniform(0.36, 0.6),
            }
        )
        assert sheet.gave_way == ()
        size = (whole, "top_diameter", "post_section", "notch_depth_ratio", "top_thickness")
        for reasons in (
            ("post_length",),
            ("foot_spread",),
            ("overhang",),
            ("tipping_load",),
            ("post_length", "total_mass"),
            ("post_length", "foot_arm"),
        ):
            if any(sheet.get(name) is None for name in reasons):
                continue  # a small stool that no plumb load on the rim can tip
            other = ("wood_density",) if "total_mass" not in reasons else ()
            again = same_again(sheet, (*size, *reasons, *other))
            named = {one.name for one in again.gave_way}
            assert "splay" in named and named <= {"splay", "wood_density", "notch_position"}
            if "post_length" in reasons and "total_mass" not in reasons:
                assert again.number("splay") == pytest.approx(sheet.number("splay"), rel=1e-6)


@pytest.mark.parametrize("legs", ["three legs", "four legs"])
@pytest.mark.parametrize("kind", kinds.KINDS)
def test_sensible_splayed_legs_are_within(kind: str, legs: str) -> None:
    network = families.network(kind, style="splayed legs", legs=legs)
    random = np.random.default_rng(6)
    whole, heights, tops = {
        "table": ("table_height", (400, 1050), (500, 1100)),
        "stool": ("seat_height", (300, 760), (300, 420)),
    }[kind]
    for _ in range(COUNT):
        top, leg = random.uniform(*tops), random.uniform(30, 55)
        sheet = network.solve(
            {
                whole: random.uniform(*heights),
                "top_diameter": top,
                "leg_diameter": leg,
                "leg_resultant": random.uniform(5, 25),
                "top_thickness": random.uniform(25, 50),
                "socket_radius": top * random.uniform(0.22, 0.4),
                "foot_diameter": leg * random.uniform(0.55, 1),
                "tenon_diameter": leg * random.uniform(0.5, 0.8),
            }
        )
        size = (whole, "top_diameter", "leg_diameter", "top_thickness", "tenon_diameter")
        for reasons in (
            ("foot_radius", "socket_spread", "foot_diameter"),
            ("leg_length", "overhang", "leg_taper"),
            ("leg_rake", "edge_wood", "base_mass"),
        ):
            again = same_again(sheet, (*size, *reasons))
            assert "leg_resultant" in {one.name for one in again.gave_way}


def test_two_notches_are_within_whatever_else_is_asked() -> None:
    network = families.network("table", "two notches")
    random = np.random.default_rng(7)
    for _ in range(COUNT):
        sheet = network.solve(
            {
                "post_length": random.uniform(900, 1300),
                "top_diameter": random.uniform(700, 1200),
                "post_section": random.uniform(50, 80),
                "top_thickness": random.uniform(18, 45),
                "notch_relief": random.uniform(20, 60),
            }
        )
        size = ("post_length", "top_diameter", "post_section", "table_height")
        again = same_again(sheet, (*size, "knee_clearance", "relief_ratio"))
        assert {one.name for one in again.gave_way} == {"top_thickness"}


BRIEFS = sorted((notebooks_path() / "briefs").glob("*.toml"))


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.stem)
def test_the_shipped_briefs_are_within(path: Path) -> None:
    sheet = set_out(read_brief(str(path)))
    assert bands.outside(sheet.plan, sheet.si) == []


# -- nonsense ----------------------------------------------------------------------------------

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}


@pytest.mark.parametrize(
    ("slip", "name"),
    [
        ({"post_length": 2300.0}, "splay"),  # lies nearly flat
        ({"foot_spread": 2000.0}, "splay"),
        ({"knee_clearance": 635.0}, "top_thickness"),  # leaves a top of 100 mm
        ({"total_mass": 8.0}, "wood_density"),  # lighter than any cabinet wood
        ({"seats": 12.0}, "rim_per_sitter"),  # 241 mm each
        ({"router_passes": 1.0}, "pass_depth"),  # all of 28 mm in one go
        ({"lap_time": 4.0}, "chip_load"),
    ],
)
def test_a_slip_that_gives_something_nobody_builds_is_outside(
    slip: dict[str, float], name: str
) -> None:
    (told,) = outside(families.network("table"), {**TABLE, **slip})
    assert told.name == name
    assert set(slip) <= set(told.because)


def outside(network: Network, givens: dict[str, float]) -> list[bands.GaveWay]:
    """What is unusual of the design that the plan finds, which `solve` refuses for it."""
    plan = network.plan(givens)
    si = {name: network.quantities[name].to_si(number) for name, number in givens.items()}
    outcome = plan.program.run(si)
    assert not outcome.problems and not plan.free
    return bands.outside(plan, outcome.values)


def test_square_posts_do_not_become_boards() -> None:
    """With everything else of the height given, a post that is too short makes the width follow."""
    network = families.network("table")
    given = {
        "table_height": 735.0, "top_diameter": 920.0, "post_section": 56.0, "splay": 50.0,
        "top_thickness": 28.0, "pad_projection": 3.0, "plate_gap": 0.0, "foot_flat_depth": 12.0,
        "head_flat_depth": 12.0, "notch_depth": 28.0, "notch_position": 400.0, "notch_relief": 0.0,
    }  # fmt: skip
    square = network.solve(
        {name: n for name, n in given.items() if name in network.quantities}
    ).number("post_length")
    given = {name: n for name, n in given.items() if name in network.quantities}
    (told,) = outside(network, {**given, "post_length": square - 150})
    assert (told.name, told.usual) == ("post_width", pytest.approx(56))
    assert told.now > 112 and "post_length" in told.because


@pytest.mark.parametrize("deep", [0.05, 0.2, 0.8, 0.95])
def test_a_notch_as_deep_as_the_maker_says_is_no_assumption_that_gave_way(deep: float) -> None:
    network = families.network("table")
    for said in ({"notch_depth_ratio": deep}, {"notch_depth": 64 * deep}):
        sheet = network.solve({**TABLE, **said})
        assert (sheet.gave_way, bands.outside(sheet.plan, sheet.si)) == ((), [])


@pytest.mark.parametrize("lean", [6.0, 15.0, 75.0])
def test_a_lean_that_is_given_is_limited_by_its_range_alone(lean: float) -> None:
    sheet = families.network("table").solve(
        {"post_length": 900, "top_diameter": 920, "post_section": 64, "splay": lean}
    )
    assert bands.outside(sheet.plan, sheet.si) == []


def test_every_wood_that_ships_is_within() -> None:
    bands_of = {one.quantity.name: one.band(float(one.value)) for one in ASSUMED if is_figure(one)}
    for wood in every_species().values():
        low, high = bands_of["wood_density"]
        assert low <= 1120 * wood.specific_gravity <= high  # at 12 % moisture
        for name, strength in wood.strengths.items():
            low, high = bands_of[name]
            assert low <= strength * 1e6 <= high, (wood.name, name)
        low, high = bands_of["across_share"]
        assert all(low <= share <= high for share in wood.across_shares.values()), wood.name
    low, high = bands_of["movement_coefficient"]
    for moves in every_movement().values():
        for cut in CUTS:
            coefficient = moves.coefficient(cut)
            assert coefficient is None or low <= coefficient <= high, (moves.name, cut)


def is_figure(one: Assumption) -> bool:
    return bool(one.value.is_number) and not one.only
