"""Words for what the kit makes: former names of quantities, words for messages, and the groups in
which quantities are read together.
"""

from __future__ import annotations

from tablekit.engine.wording import Wording

RENAMED: dict[str, str] = {
    "let_in": "notch_depth",
    "let_in_ratio": "notch_depth_ratio",
    "pair_angle": "crossing_angle",
    "floor_tilt": "notch_floor_tilt",
    "rim_speed": "cutting_speed",
    "head_sag": "head_deflection",
    "rim_sag": "rim_deflection",
    "lasting_sag": "lasting_deflection",
    "post_use": "post_strength_used",
    "shear_use": "shear_strength_used",
    "dent_use": "bearing_strength_used",
    "top_use": "top_strength_used",
    "seat_use": "seat_strength_used",
    "screw_use": "screw_strength_used",
    "head_screw_use": "head_screw_strength_used",
    "seat_screw_use": "seat_screw_strength_used",
    "foot_use": "foot_bearing_strength_used",
    "squeeze_use": "crushing_strength_used",
    "buckling_use": "buckling_load_used",
    "tipping_share": "stability_ratio",
    "tilt_share": "visible_slope_used",
    "speed_share": "cutter_speed_used",
    "steady_share": "steady_ratio",
    "standing_load": "design_load",
    "head_leeway": "head_height_tolerance",
    "foot_leeway": "foot_height_tolerance",
    "rim_leeway": "rim_height_tolerance",
    "screw_hold": "screw_withdrawal",
    "head_screw_hold": "head_screw_withdrawal",
    "level_fall": "visible_slope",
    "post_layers": "post_laminations",
    "layer_thickness": "lamination_thickness",
    "layer_width": "lamination_width",
    "layer_edges": "lamination_edges",
    "round_seconds": "lap_time",
    "trammel_far": "pivot_to_far_side",
    "dampness_factor": "moisture_factor",
    "defect_factor": "grade_factor",
    "bite": "chip_load",
}


def wording(kind: str) -> Wording:
    """For a network of that kind, "table" or "stool"."""
    return Wording(
        thing=kind, source_of_givens="the brief", made="cuts", rounded="In the shop",
        exactly="square crossing", renamed=RENAMED,
    )  # fmt: skip


# For the small networks of a part of the work: boards, clamps, cuts.
SHOP = Wording(source_of_givens="the brief", made="cuts", rounded="In the shop")


GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Posts", ("post_section", "post_width", "post_length", "splay")),
    (
        "Joint",
        (
            "notch_depth", "axis_offset", "notch_position", "notch_width", "core_side",
            "notch_relief", "crossing_angle", "notch_floor_tilt",
        ),
    ),
    (
        "Legs",
        (
            "leg_diameter", "foot_diameter", "leg_length", "shoulder_length", "leg_blank",
            "foot_trim", "leg_rake", "leg_splay", "leg_resultant",
        ),
    ),
    (
        "Sockets",
        (
            "socket_radius", "socket_spread", "sight_line", "sight_turn", "drill_angle",
            "tenon_diameter", "socket_depth", "socket_cover", "edge_wood",
        ),
    ),
    (
        "Boring",
        (
            "side_bevel", "front_bevel", "press_tilt", "guide_length", "guide_width",
            "guide_base", "guide_blank", "bit_stop", "bit_point", "point_cover",
        ),
    ),
    (
        "Stretchers",
        (
            "stretcher_height", "stretcher_step", "stretcher_length", "stretcher_whole",
            "cross_length", "cross_whole", "stretcher_diameter", "stretcher_tenon",
            "stretcher_depth", "mortise_floor", "mortise_gap", "stretcher_angle", "cross_angle",
            "stretcher_turn", "leg_at_stretcher",
        ),
    ),
    (
        "Base",
        (
            "base_height", "leg_rise",
            "foot_flat", "foot_flat_depth", "head_flat", "head_flat_depth",
            "pad_projection", "plate_gap", "foot_radius", "head_radius", "foot_spread",
            "foot_extent", "head_extent",
        ),
    ),
    (
        "Top",
        (
            "table_height", "seat_height", "top_diameter", "top_thickness", "overhang",
            "head_beyond_rim", "foot_beyond_rim", "covering_diameter",
            "knee_clearance", "seats",
        ),
    ),
    (
        "Edge of the top",
        (
            "edge_size", "edge_height", "rim_thickness", "bevel_angle", "bevel_width",
            "underside_radius", "underside_overhang", "edge_room", "screw_room", "edge_passes",
            "edge_volume",
        ),
    ),
    (
        "People",
        (
            "seat_to_top", "seat_height_beside", "table_height_beside", "thigh_room",
            "waist_height",
        ),
    ),
    (
        "Weight and tipping",
        (
            "wood_density", "top_mass", "base_mass", "total_mass", "tipping_load",
            "inset_tipping_load", "tipping_push", "mass_height", "tipping_slope",
        ),
    ),
    (
        "Strength",
        (
            "strength_factor", "trusted_bearing", "design_load", "foot_force", "head_force",
            "cross_force", "post_moment", "post_stress", "post_strength_used",
            "shear_strength_used", "corner_tight", "corner_loose", "buckling_load_used",
            "head_deflection", "rim_load", "rim_deflection", "lasting_deflection",
            "top_strength_used", "screw_withdrawal", "screw_strength_used", "seat_strength_used",
            "seat_screw_strength_used", "head_screws", "head_screw_length",
            "head_screw_strength_used", "foot_bearing_strength_used", "load_moment", "held_moment",
            "push_moment", "leg_strength_used", "leg_buckling_used", "tenon_strength_used",
            "slip_strength_used",
            "tenon_shear_used", "socket_pressure", "socket_bearing_used", "floor_strength_used",
            "withdrawal_used", "rim_shear_used", "split_strength_used", "foot_slide", "sway",
            "twist",
        ),
    ),
    ("Level", ("head_height_tolerance", "foot_height_tolerance", "top_tilt", "rim_drop",
    "all_off_drop")), (
        "Milling",
        (
            "rough_thickness", "post_laminations", "lamination_thickness", "lamination_width",
            "post_blank",
        ),
    ),
    (
        "Movement",
        (
            "driest_moisture", "dampest_moisture", "shop_moisture", "movement_coefficient",
            "top_factor",
            "top_movement", "winter_shrinkage", "summer_swelling", "narrowest_width",
            "widest_width", "lengthwise_movement", "winter_play", "radial_play", "summer_squeeze",
            "sliding_drop", "tenon_moisture", "tenon_play", "tenon_side_play", "tenon_squeeze",
        ),
    ),
    (
        "Cutting the round",
        (
            "cutter_diameter", "trammel_radius", "trammel_centre", "pivot_to_far_side",
            "pivot_from_edge", "pass_depth", "router_passes", "equal_pass", "last_pass",
            "cutter_speed", "cutting_speed", "lap_time", "cutting_minutes",
        ),
    ),
    (
        "Fastening",
        (
            "head_turn", "plate_reach", "driver_clear", "plate_length", "plate_hole", "plate_slot",
            "plate_across", "plate_factor", "plate_travel", "slot_needed", "slot_length",
            "screw_length", "screw_cover", "pilot_diameter", "plate_recess", "plate_recess_width",
            "pad_thickness", "pad_recess", "pad_hole",
        ),
    ),
    ("Finish", ("top_area", "base_area", "finish_area", "coats", "finish_volume")),
)  # fmt: skip
