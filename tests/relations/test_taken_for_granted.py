"""What is taken for granted, in figures, and what a count is turned back into.

Most of these figures are choices that no source prints. They stand here a second time, so that none
changes by a slip of the finger; whoever changes one on purpose changes it here too.
"""

from __future__ import annotations

import math
import re

import pytest
import sympy as sp

from tablekit.engine.relation import Assumption, Relation
from tablekit.relations import families, kinds, levelling, splayed
from tablekit.relations import splayed_quantities as s
from tablekit.relations.inch_practice import in_practice
from tests.together import each
from tests.trust.declared import declared

ASSUMED = [entry.relation for entry in declared() if entry.what == "assumption"]
# In the reporting unit; two where two kinds of piece take it differently.
_FIGURES = """
axis_offset=0 notch_relief=0 pad_projection=3 plate_gap=0 plate_factor=1 top_factor=1
rim_per_sitter=610
splay=54.7356103 top_thickness=28/45 wood_density=620 edge_loss=2 end_waste=15 top_margin=10
head_turn=0 post_coefficient=0.00315 post_radial_coefficient=0.00169 post_across_share=0.06
notch_clearance=0.1 lasting_load=100 creep_factor=2 seat_pad=200 head_screws=1 head_screw_length=40
pad_recess=2 driver_clear=15 screw_shank=5 slot_spare=2 caul_depth=40 clamp_capacity=4000/9000
clamp_pressure=1.2/0.9 clamp_time=0.5 glue_film=150 joining_time=0.5 joint_pace=1
joint_tenons=0 open_time=10 spread_area=40000 tenon_time=0.166666666667 pith_clearance=100
ring_angle=0 tangential_coefficient=0.00315 sight_turn=0 compression_across=7 moisture_factor=1
grade_factor=1.5 duration_factor=1.3 shear_strength=12 design_load=1300 variation_factor=1.36
foot_step=0.5 head_step=0.5 visible_slope=0.00333333333 coat_film=100 coats=3 jointing_allowance=2
lamination_edges=6 planing_allowance=1.5 post_cleaning=2 post_laminations=3 post_trim=40
sanding_allowance=0.5 dampest_humidity=65 dampest_temperature=24 driest_humidity=30
driest_temperature=21 shop_humidity=50 shop_temperature=18 movement_coefficient=0.00315
seat_to_top=280 leg_resultant=15/18/12 sight_line=45 bending_strength=95 compression_along=48
elastic_modulus=11500 tension_across=5 coat_interval=480 first_grit=80
grit_step=1.5 last_grit=320 cut_margin=15 spacing_limit=200 tenon_reach=25 tenon_width=50
shortest_kept=300 rim_strip=20
edge_sitter_mass=110 load_inset=50 placed_height=100 placed_mass=10 placed_reach=0 seat_load=600
seat_load_inset=60 seat_push=20 wanted_tipping_load=200 across_share=0.06 rim_load=400
screws_in_plate=1 cutter_diameter=12 cutter_from_edge=100 pass_depth=5 chip_load=0.1 cutter_flutes=2
edge_size=3/6/10 clamp_dwell=60
day_start=540 filler_wait=720 glue_wait=720 pace=1 working_day=360
jig_sheet=18 cradle_share=0.666666666667 cradle_lift=3 cradle_gap=3 cradle_play=3 wedge_thin=3
wedge_gauge=100 sled_rail_width=60 sled_hold=50 stop_block=100 stop_short=50 trammel_sheet=9
rim_left=1.5 hole_aside=20
top_diameter=300/900 leg_diameter=45 foot_friction=0.2 leg_step=1 guide_wall=15 bit_point=3
foot_trim=10
tenon_coefficient=0.00315 tenon_radial_coefficient=0.00169 tenon_across_share=0.06
tenon_moisture=6 tenon_clearance=0.1
"""
FIGURES = {
    name: [float(one) for one in figures.split("/")]
    for name, figures in (pair.split("=") for pair in _FIGURES.split())
}
# What is assumed as a share of another quantity: the share as the words beside it say it.
SHARES = {
    "clamps": ("stage_clamps", 1.0),  # "As many as one glue-up takes"
    "clamp_reach": ("clamp_opening", 1.0),  # "Clamps that open wide enough"
    "edge_height": ("top_thickness", 1 / 2),  # "half the thickness"
    "notch_position": ("post_length", 1 / 2),  # "at mid-length"
    "post_width": ("post_section", 1.0),  # "Posts are square"
    "pad_diameter": ("foot_flat", 3 / 4),  # "three quarters of the flat"
    "plate_width": ("head_flat", 4 / 5),  # "four fifths of the flat"
    "socket_depth": ("top_thickness", 7 / 10),  # "seven tenths of the thickness"
    "socket_radius": ("top_diameter", 1 / 3),  # two thirds of the way to the rim
    "foot_diameter": ("leg_diameter", 2 / 3),  # "two thirds of the leg"
    "guide_length": ("tenon_diameter", 2.0),  # "twice the diameter"
    "stretcher_height": ("leg_rise", 1 / 3),  # "a third of the way up"
    "stretcher_load": ("design_load", 1 / 2),  # "half of the weight"
    "stretcher_depth": ("stretcher_diameter", 7 / 10),  # "seven tenths of the middle"
    "stretcher_step": ("stretcher_tenon", 2.0),  # "twice the tenon"
    "cutter_speed": ("fastest_speed", 1.0),
    "cradle_grip": ("post_width", 2.0),  # "twice the width"
}


def test_regression_figures_taken_for_granted_are_as_they_were_chosen() -> None:
    found: dict[str, list[float]] = {}
    for one in ASSUMED:
        if one.value.is_number:
            figures = found.setdefault(one.quantity.name, [])
            figures.append(one.quantity.from_si(float(one.value)))
    assert found.keys() == FIGURES.keys()
    for name, figures in found.items():
        assert figures == pytest.approx(FIGURES[name], rel=1e-7, abs=1e-12), name


@each("name", SHARES)
def test_a_share_taken_for_granted_is_what_is_said(name: str) -> None:
    of, share = SHARES[name]
    shares = [a.value for a in ASSUMED if a.quantity.name == name and not a.value.is_number]
    assert shares
    for value in shares:
        (symbol,) = value.free_symbols
        assert symbol.name == of
        assert [float(value.subs(symbol, k)) for k in (1, 3)] == pytest.approx([share, 3 * share])


# The bit nearest to two thirds of the leg, of those sold by 2 mm (common practice, no source): leg
# and bit, mm; then by 1/8 in, inches.
BITS = [(45, 30), (42, 28), (40, 26), (38, 26), (50, 34), (24, 16)]
BITS_INCHES = [(1.875, 1.25), (1.625, 1.125), (1.5, 1), (2, 1.375), (1.25, 0.875)]


def test_the_tenon_of_a_leg_is_as_thick_as_a_bit_that_is_sold() -> None:
    for assumed in (a for a in ASSUMED if a.quantity.name == "tenon_diameter"):
        (inches,) = in_practice([assumed], True)
        for value, unit, bits in (
            (assumed.value, 0.001, BITS),
            (inches.value, 0.0254, BITS_INCHES),
        ):
            for leg, bit in bits:
                at = {"leg_diameter": leg * unit, "millimetre": 0.001}
                found = value.subs({one: at[one.name] for one in value.free_symbols})
                assert float(found) == pytest.approx(bit * unit)
                assert abs(float(found) - leg * unit * 2 / 3) <= (
                    0.001 if unit == 0.001 else 0.0016
                )


def test_a_long_stretcher_is_thicker_by_the_cube_root_of_its_length() -> None:
    # by hand: three fifths of 45 mm is 27 mm; 6 1/2 times 45 mm is 292.5 mm; eight times as long,
    # a rod of twice the thickness bears the same load at its middle
    for assumed in (a for a in ASSUMED if a.quantity.name == "stretcher_diameter"):
        for long, thick in ((200.0, 27.0), (292.5, 27.0), (8 * 292.5, 54.0)):
            at = {"leg_diameter": 0.045, "stretcher_length": long / 1000}
            found = assumed.value.subs({one: at[one.name] for one in assumed.value.free_symbols})
            assert float(found) == pytest.approx(thick / 1000)


# Of the screws sold, the longest that goes no more than two thirds up into the top, through
# a plate of 3 mm or 1/8 in (common practice, no source): top and screw, mm; then in inches.
SOLD = [(15, 10), (30, 20), (33, 25), (40, 25), (60, 40), (70.5, 50), (80, 50), (90, 60)]
SOLD_INCHES = [(1, 3 / 4), (1.25, 7 / 8), (1.3125, 1), (1.5, 1), (3, 2), (5, 3), (6, 4)]


def screw_for(assumed: Assumption, plate: float, top: float) -> float:
    at = {
        "plate_thickness": plate,
        "top_thickness": top,
        "millimetre": 0.001,
        "inch": 0.0254,
    }
    return float(assumed.value.subs({one: at[one.name] for one in assumed.value.free_symbols}))


def test_the_screw_is_one_that_is_sold_and_goes_two_thirds_of_the_way_up_at_most() -> None:
    (assumed,) = (a for a in ASSUMED if a.quantity.name == "screw_length")
    for top, long in SOLD:
        found = screw_for(assumed, 0.003, top / 1000)
        assert found == pytest.approx(long / 1000)
        assert found <= 0.003 + top / 1000 * 2 / 3 + 1e-6
    (inches,) = in_practice([assumed], True)
    for top, long in SOLD_INCHES:
        found = screw_for(inches, 0.125 * 0.0254, top * 0.0254)
        assert found == pytest.approx(long * 0.0254), top
        assert found <= (0.125 + top * 2 / 3) * 0.0254 + 1e-6
    assert "1/8 in up to 1 in" in inches.source.text


def test_figures_that_their_own_words_state_are_those() -> None:
    """Where the reason or the source states a figure with its unit, it is the figure, or the range
    that it lies in."""
    words = {a.quantity.name: f"{a.why} {a.source.text}" for a in ASSUMED}
    for name, figure in (
        ("design_load", "seat 1300 N"), ("rim_load", "400 N"), ("load_inset", "50 mm"),
        ("visible_slope", "1 in 300"),
    ):  # fmt: skip
        assert figure in words[name]
        numbers = [float(number) for number in re.findall(r"[\d.]+", figure)]
        value = numbers[0] / numbers[1] if " in " in figure else numbers[0]
        assert FIGURES[name] == pytest.approx([value], rel=1e-6)
    for name, low, high in (
        ("glue_film", 150, 250), ("screw_shank", 4, 6),
        ("spacing_limit", 150, 250), ("pass_depth", 3, 6), ("chip_load", 0.1, 0.2),
        ("leg_resultant", 10, 20), ("seat_to_top", 255, 305), ("wood_density", 450, 800),
        ("across_share", 0.04, 0.09),
    ):  # fmt: skip
        assert all(low <= figure <= high for figure in FIGURES[name]), name
    bar, short = FIGURES["clamp_capacity"]  # a bar clamp, and a G-clamp
    assert 2000 <= bar <= 5000 <= short <= 10_000


def test_regression_how_well_a_maker_is_taken_to_cut() -> None:
    """Careful work by hand and small machines: choices, in millimetres and degrees."""
    assert {one.name: one.plus_minus for one in levelling.DEFAULT} == {
        "post_length": 0.5, "post_section": 0.2, "notch_depth": 0.2, "notch_position": 0.5,
        "foot_flat_depth": 0.5, "head_flat_depth": 0.5, "top_thickness": 0.3, "top_diameter": 1.0,
        "splay": 0.1,
    }  # fmt: skip
    assert {one.name: one.plus_minus for one in levelling.SPLAYED} == {
        "leg_length": 0.5, "leg_diameter": 0.5, "foot_diameter": 0.5, "tenon_diameter": 0.2,
        "socket_depth": 0.5, "socket_radius": 0.5, "leg_resultant": 0.5,
    }  # fmt: skip


@pytest.mark.parametrize("kind", kinds.KINDS)
def test_what_stands_and_holds_is_taken_for_granted_in_every_piece(kind: str) -> None:
    named = {one.quantity.name for one in families.network(kind).assumptions}
    assert {"design_load", "bending_strength", "elastic_modulus", "foot_step"} <= named


# -- counts ---------------------------------------------------------------------------------------

COUNTS = [
    entry.relation
    for entry in declared()
    if entry.relation.inverse and entry.relation.equation.atoms(sp.floor, sp.ceiling)
]


@pytest.mark.parametrize("relation", COUNTS, ids=lambda relation: relation.name)
def test_what_a_count_is_turned_back_into_gives_that_count_again(relation: Relation) -> None:
    ((share, back),) = relation.inverse.items()
    (counted,) = back.free_symbols
    (shared,) = (x for x in relation.equation.free_symbols if x.name == share)
    for count in range(2, 12):
        again = relation.equation.rhs.subs(shared, back.subs(counted, count))
        assert relation.equation.lhs == counted and again == count


# -- a leg that leans in one view only ------------------------------------------------------------


@pytest.mark.parametrize("degrees", [5.0, 12.5, 30.0])
@pytest.mark.parametrize(("shown", "other"), [("leg_rake", "leg_splay"), ("leg_splay", "leg_rake")])
def test_the_last_bits_of_a_float_leave_a_leg_plumb_in_the_other_view(
    degrees: float, shown: str, other: str
) -> None:
    lean = math.radians(degrees)
    symbols = [s.leg_resultant.symbol, vars(s)[shown].symbol]
    other_view = sp.lambdify(symbols, splayed.RESULTANT.inverse[other], "math")
    assert other_view(lean, lean + 5e-10) == 0.0  # within the hair that its limit allows
    assert other_view(lean, 0.0) == pytest.approx(lean, rel=1e-12)
