"""What is judged and what is let in: limits of requirements against the words that state them, and
the quantities that may be less than nothing."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.quantity import Constant, Quantity, Source, common_practice, published
from tablekit.engine.relation import Limit
from tablekit.relations import people
from tests.relations.evaluate import relations_of
from tests.together import each
from tests.trust.declared import declared, known, modules, requirements

EVERY = {one.name + " " + one.quantity: one for one in requirements()}
# Limits whose figures stand in no source, since they are our own choice, or in none of the words
# about them: written here a second time, so that none changes by a slip of the finger.
CHOSEN: dict[str, tuple[tuple[float | None, ...], tuple[float | None, ...]]] = {
    "chip_load": ((0.1, 0.2), (0.05, 0.3)),
    "buckling_load_used": ((None, 0.3), (None, 0.6)),
    "force_per_clamp": ((None, 5000), (None, 8000)),
    "clamp_pressure": ((0.689, 1.725), (0.3, 2.5)),
    "corner_loose": ((None, 1), (None, 1.77)),
    "corner_tight": ((None, 1), (None, 1.4)),
    "bearing_strength_used": ((None, 1), (None, 2)),
    "edge_wood": ((20, None), (10, None)),
    "mortise_floor": ((5, None), (0, None)),
    "mortise_gap": ((6, None), (3, None)),
    "mortise_strength_used": ((None, 1), (None, 1.4)),
    "stretcher_strength_used": ((None, 1), (None, 1.4)),
    "stretcher_shear_used": ((None, 1), (None, 1.4)),
    "stretcher_pull_used": ((None, 0.5), (None, 1)),
    "edge_room": ((0, None), (-5, None)),
    "clamps_spare": ((0, None), (0, None)),
    "reach_spare": ((0, None), (0, None)),
    "screw_room": ((5, None), (0, None)),
    "equal_pass": ((None, 6), (None, 8)),
    "notch_floor_tilt": ((-0.25, 0.25), (None, None)),
    "horn_use": ((None, 0.7), (None, 1)),
    "joint_ratio": ((None, 4), (None, 12)),
    "joints_at_once": ((1, None), (0, None)),
    "head_beyond_rim": ((None, 0), (None, None)),
    "overhang": ((0, None), (0, None)),
    "pad_rim": ((1.5, None), (0, None)),
    "panel_bow": ((None, 2), (None, 8)),
    "plate_rim": ((1, None), (0, None)),
    "post_strength_used": ((None, 1), (None, 1.4)),
    "relief_ratio": ((0.5, None), (0.49, None)),
    "ripple": ((None, 0.3), (None, 1)),
    "screw_strength_used": ((None, 1), (None, 1.6)),
    "seat_strength_used": ((None, 1), (None, 1.77)),
    "seat_screw_strength_used": ((None, 1), (None, 1.6)),
    "foot_bearing_strength_used": ((None, 1), (None, 2)),
    "head_screw_strength_used": ((None, 1), (None, 1.6)),
    "seat_to_top": ((250, 310), (None, None)),
    "shear_strength_used": ((None, 0.7), (None, 1)),
    "sight_line": ((44.95, 45.05), (None, None)),
    "crushing_strength_used": ((None, 1), (None, None)),
    "slot_spare": ((1, None), (0, None)),
    "socket_ratio": ((1, None), (0.75, None)),
    "cutter_speed_used": ((None, 1.000001), (None, 1.000001)),
    "steady_ratio": ((1, None), (0.9, None)),
    "tenon_wood": ((10, None), (3, None)),
    "thigh_room": ((190, None), (None, None)),
    "visible_slope_used": ((None, 2), (None, 4)),  # of a seat; that of a table is in test_levelling
    # Of a stool; that of a table is in test_splayed_declarations.
    "tipping_load": ((30, None), (None, None)),
    "leg_strength_used": ((None, 1), (None, 1.4)),
    "leg_buckling_used": ((None, 0.4), (None, 0.8)),
    "tenon_strength_used": ((None, 1), (None, 1.4)),
    "slip_strength_used": ((None, 1), (None, 1.5)),
    "tenon_shear_used": ((None, 1), (None, 1.4)),
    "socket_bearing_used": ((None, 1), (None, 2)),
    "floor_strength_used": ((None, 1), (None, 1)),
    "withdrawal_used": ((None, 0.5), (None, 1)),
    "rim_shear_used": ((None, 1), (None, 1.4)),
    "split_strength_used": ((None, 1), (None, 1.4)),
    "tenon_crushing_used": ((None, 1), (None, None)),
    "point_cover": ((2, None), (None, None)),
    "tipping_push": ((60, None), (30, None)),
    "stability_ratio": ((1, None), (0.5, None)),
    "top_strength_used": ((None, 1), (None, 1.4)),
}
# Limits that are written otherwise than the words put them.
OTHERWISE: dict[str, tuple[float, ...]] = {
    "notch_depth_ratio": (1 / 3, 2 / 3),  # "a third to two thirds of the section"
    "cutter_diameter": (25.4, 3.5 * 25.4),  # "3 1/2 in", an inch
}


@each("which", [n for n, r in EVERY.items() if r.quantity not in CHOSEN])
def test_a_limit_is_the_figure_that_its_words_state(which: str) -> None:
    asked = EVERY[which]
    words = f"{asked.source.text} {asked.said_low} {asked.said_high} {asked.fine}"
    stated = {float(number) for number in re.findall(r"\d+(?:\.\d+)?", words)}
    stated |= set(OTHERWISE.get(asked.quantity, ()))
    for end in (*asked.good, *asked.tolerable):
        if end is not None:
            assert any(end == pytest.approx(one, rel=2e-3) for one in stated), f"{end} is not said"


@each("which", [n for n, r in EVERY.items() if r.quantity in CHOSEN])
def test_regression_a_limit_that_is_a_choice_is_what_was_chosen(which: str) -> None:
    asked = EVERY[which]
    assert (asked.good, asked.tolerable) == CHOSEN[asked.quantity]


def test_the_pressure_on_glue_is_the_makers_100_to_250_pounds_on_a_square_inch() -> None:
    # A pound-force on a square inch is 6894.757 Pa: NIST SP 811, appendix B.8 (from memory).
    (asked,) = (one for one in EVERY.values() if one.quantity == "clamp_pressure")
    assert "100 to 250 psi" in asked.source.text
    assert asked.good == pytest.approx((100 * 6894.757e-6, 250 * 6894.757e-6), rel=2e-3)


@each("which", EVERY)
def test_what_is_good_is_tolerable(which: str) -> None:
    """A caution lies between a pass and a failure, on the side where the limit is."""
    (low, high), (least, most) = EVERY[which].good, EVERY[which].tolerable
    assert low is not None or high is not None
    assert low is None or high is None or low < high
    assert least is None or (low is not None and least <= low)
    assert most is None or (high is not None and high <= most)


# -- requirements that several uses meet ----------------------------------------------------------

USES = {
    "tables": people.TABLE_USES, "seats": people.SEAT_USES, "knees": people.KNEES.uses,
    "notes": people.HEIGHT.notes,
}  # fmt: skip


@pytest.mark.parametrize("which", USES)
def test_uses_go_up_and_do_not_touch(which: str) -> None:
    ends = [end for use in USES[which] for end in (use.low, use.high)]
    assert ends[0] >= 0 and all(low < high for low, high in pairwise(ends))


@pytest.mark.parametrize("which", USES)
def test_the_ends_of_a_use_are_given_to_five_millimetres(which: str) -> None:
    for end in (end for use in USES[which] for end in (use.low, use.high)):
        short_of = (0, 0.1)  # or a tenth short of where the next use begins
        assert any((end + less) % 5 == pytest.approx(0, abs=1e-9) for less in short_of), end


def graded(of: Source | None) -> people.Graded:
    uses = (people.Use("low", 100, 200, "Low."), people.Use("tall", 300, 400, "Tall."))
    return people.Graded(
        id="height", name="height", quantity="table_height", source=published("the book", "1"),
        good=(100, 400), uses=uses, graded=of,
    )  # fmt: skip


def test_a_use_is_told_with_where_its_heights_come_from() -> None:
    handed_down = common_practice("handed down")
    assert graded(handed_down).at(150).source is handed_down
    assert graded(None).at(150).source == published("the book", "1")


def test_no_knees_go_under_a_table_on_the_floor() -> None:
    assert people.KNEES.at(0).fine.startswith("Too low to sit up to")
    assert people.KNEES.at(500).fine.startswith("Too low to sit up to")


# -- signs ----------------------------------------------------------------------------------------

# What has a direction, or is a difference of two things either of which may be the larger.
_SIGNED = """
mortise_floor mortise_gap
strip_left strip_right lengthwise_movement fastener_bearing fastener_along fastener_across
held_along held_across slot_spare screw_cover driver_clear pith_depth pith_aside near_edge_turn
far_edge_turn moisture_change ring_change strip_cup strip_turn panel_turn panel_cup heart_side
slope_before slope_past rise_across knee_level axis_reach tip_aside wing_reach head_stop
foot_stop off_bearing towards_notch guest_side floor_reach floor_level cover face_depth
near_wall far_wall seat_line relieved_wall clearance winter_shrinkage summer_swelling
mitre_angle bevel_on_notched bevel_beside blade_tilt pass_overlap stop near_guide far_guide
seat_to_top thigh_room overhang notch_floor_tilt foot_sidestep head_sidestep plate_rim pad_rim
leg_taper socket_cover edge_wood wood_waste lane_length strip_movement farthest_tenon
tenon_wood counter_mass loaded_tipping_load placed_reach loaded_slope edge_bearing
near_edge edge_over_foot edge_over_head foot_at_edge head_at_edge
winter_play radial_play summer_squeeze sliding_drop
crushing_strength_used notch_clearance head_height_1 head_height_2 head_height_3 head_beyond_rim
foot_beyond_rim tenon_cheek joints_in_time underside_overhang edge_room screw_room clamps_spare
reach_spare last_stop
notch_sense top_fall_x top_fall_y overhang_as_cut feet_middle_x feet_middle_y floor_rise_x
point_cover tenon_clearance tenon_crushing_used tenon_play tenon_side_play tenon_squeeze
tenon_turned_squeeze
floor_rise_y floor_at_middle underside_rise_x underside_rise_y underside_at_middle
panel_spare farthest_centre largest_round panel_margin
bearing_foot_x_1 bearing_foot_x_2 bearing_foot_x_3 bearing_foot_y_1 bearing_foot_y_2
bearing_foot_y_3 feet_area floor_fall_x floor_fall_y foot_aside_as_cut foot_out_as_cut
foot_x_as_cut foot_y_as_cut lean_aside_as_cut other_foot_x other_foot_y rock_gap
socket_aside_as_cut socket_cover_as_cut tenon_play_as_cut tipping_arm_as_cut
"""
MAY_BE_NEGATIVE = set(_SIGNED.split())
# What there may be none of: an allowance, a gap, a load, a turn, the use made of a strength.
_NOTHING = """
clearance_height needed_depth top_margin end_waste edge_loss strip_width usable_length near_edge
along width_there used_area rim_strip shortest_kept
length_needed boards_area circle_area boards_waste fastener_travel fastener_creep
play_across near_end far_end head_turn plate_reach screw_lag plate_across plate_travel
pad_thickness pad_recess
plate_recess head_line mitre_on_bearing mitre_on_side tilt_on_bearing tilt_on_side flat_to_bearing
flat_to_side flat_to_end caul_depth joints_at_once pith_clearance ring_angle far_edge panel_bow
ripple joint_sum joint_ratio bearing_force bearing_stress bearing_strength_used wall_force
horn_stress horn_use
opening_moment corner_loose corner_tight
thigh_height axis_radius tip_reach wing_aside rim_drop top_tilt head_step
joint_tenons tenon_time joining_time clamp_time
foot_step visible_slope_used all_off_tilt all_off_drop jointing_allowance planing_allowance
sanding_allowance post_cleaning
post_trim lamination_edges season_holds shop_holds top_movement least_overlap widths_to_shift
pass_shift guide_offset post_stress post_strength_used shear_strength_used buckling_load_used
head_deflection axis_offset
centre_distance waist_step notch_relief relief_ratio pad_projection plate_gap seats tipping_load
sway twist leg_rake leg_splay sight_line sight_turn saw_kerf plank_ends lanes drying_time
joint_offset cut_margin gaps_by_limit tenon_spacing inset_tipping_load load_inset placed_height
placed_mass seat_load seat_load_inset seat_push steady_ratio tipping_push stability_ratio pad_radius
bearing_load bearing_push ballast wood_volume rim_deflection top_strength_used screw_strength_used
last_pass pivot_margin
foot_between foot_force head_force end_force cross_force post_moment
sitter_reach sitter_span_load seat_strength_used seat_screw_strength_used
foot_bearing_strength_used head_screw_strength_used
lasting_load lasting_deflection
task_setup task_each task_count task_minutes day_start joints_glued rim_thickness
task_setup task_each task_count task_minutes day_start joints_glued
planks_cost boards_cost fittings_cost finish_cost material_cost quote_minutes quote_hours
labour_rate labour_cost overhead_share overhead_cost lot_cost margin_share quote_price margin
cradle_lift cradle_gap cradle_play cradle_toe sled_hold
wedge_thin wedge_rise wedge_thick wedge_gauge_rise
bit_point edge_moment floor_strength_used foot_friction foot_slide leg_buckling_used leg_moment
leg_step leg_strength_used load_moment load_reach middle_moment press_tilt push_moment push_radius
rim_shear_used slip_strength_used socket_bearing_used socket_pressure split_strength_used
tenon_cross_force tenon_shear_used tenon_strength_used withdrawal_used
top_tilt_as_cut rim_drop_as_cut visible_slope_used_as_cut
station foot_trim
held_moment stretcher_hold stretcher_give stretcher_step stretcher_strength_used
stretcher_shear_used stretcher_pull_used mortise_moment mortise_shift mortise_strength_used
added_strip added_board strip_shows
foot_left_as_cut foot_off_as_cut leg_bearing leg_lean_as_cut whole_lean_as_cut
"""
MAY_BE_NOTHING = set(_NOTHING.split())


def test_only_what_has_a_direction_or_is_a_difference_may_be_less_than_nothing() -> None:
    every = [q for m in modules() for q in vars(m).values() if isinstance(q, Quantity)]
    assert {one.name for one in every if one.low < 0} == MAY_BE_NEGATIVE
    assert {one.name for one in every if not one.symbol.is_nonnegative} == MAY_BE_NEGATIVE


def test_only_what_there_may_be_none_of_may_be_nothing() -> None:
    every = [q for m in modules() for q in vars(m).values() if isinstance(q, Quantity)]
    assert {one.name for one in every if one.low == 0} == MAY_BE_NOTHING
    for one in every:
        assert bool(one.symbol.is_positive) == (one.low > 0), one.name


def test_a_height_beyond_every_use_is_told_the_use_next_to_it() -> None:
    of = graded(None)
    above, below, between = of.at(500), of.at(50), of.at(250)
    assert above.good == (None, 400) and "the highest are tall (300 to 400 mm" in above.too_high
    assert below.good == (100, None) and "the lowest are low (100 to 200 mm" in below.too_low
    assert between.good == (300, None)
    assert "Raise it to 300 mm or lower it to 200 mm" in between.mend_low
    assert of.at(200).good == (100, 200) and of.at(300).good == (300, 400)


# -- limits of relations --------------------------------------------------------------------------


def limits() -> list[Limit]:
    return [
        limit
        for entry in declared()
        for limit in entry.relation.limits
        if len(limit.slack.free_symbols) > 1  # one alone is kept from being negative by its range
    ]


@each("limit", limits, ids=lambda limit: limit.words)
def test_a_limit_can_be_passed_by_what_may_be_given(limit: Limit) -> None:
    """A limit that no values within their ranges pass would refuse nothing."""
    symbols = sorted(limit.slack.free_symbols, key=str)
    random, columns = np.random.default_rng(0), []
    for symbol in symbols:
        thing = known()[symbol.name]
        if isinstance(thing, Constant):
            columns.append(np.full(20_000, thing.si))
            continue
        low, high = thing.to_si(max(thing.low, -1e3)), thing.to_si(thing.high)
        evenly = random.uniform(low, high, 20_000)
        by_ratio = np.exp(random.uniform(np.log(high * 1e-4), np.log(high), 20_000))
        columns.append(np.where(random.uniform(size=20_000) < 0.5, evenly, by_ratio))
    with np.errstate(all="ignore"):
        slack = np.asarray(sp.lambdify(symbols, limit.slack, "numpy")(*columns), dtype=float)
    assert (slack < 0).any()


@pytest.mark.parametrize("tilt", [0.0, 12.0, -25.0])
def test_a_tilted_notch_stays_clear_by_the_corners_of_the_post_that_lies_in_it(
    tilt: float,
) -> None:
    """The slack at the foot, the host's section taken as four corners that are turned."""
    (arm,) = (r for r in relations_of("table", "notches up") if r.name == "waist to foot")
    at = {
        "notch_position": 0.5, "post_section": 0.06, "post_width": 0.08, "foot_flat_depth": 0.01,
        "splay": math.radians(50), "crossing_angle": math.radians(80),
        "notch_floor_tilt": math.radians(tilt),
    }  # fmt: skip
    slack = arm.limits[0].slack
    found = float(slack.subs({symbol: at[symbol.name] for symbol in slack.free_symbols}))
    corners = [(a * 0.03, b * 0.04) for a in (1, -1) for b in (1, -1)]
    turn, meet = math.radians(tilt), math.radians(80)
    breadth = max(x * math.cos(turn) + y * math.sin(turn) for x, y in corners)
    half = (0.04 + breadth * math.cos(meet)) / math.sin(meet)
    assert found == pytest.approx(0.5 - half - 0.01 / math.cos(math.radians(50)), rel=1e-9)
