"""Which quantities a maker reads together, and in which order.

What is left out here is on the sheet all the same: auxiliary quantities of the geometry.
"""

from __future__ import annotations

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Posts", ("post_section", "post_length", "splay")),
    (
        "Joint",
        (
            "let_in", "axis_offset", "notch_position", "notch_width", "pair_angle", "floor_tilt",
        ),
    ),
    (
        "Base",
        (
            "base_height", "foot_flat", "foot_flat_depth", "head_flat", "head_flat_depth",
            "pad_projection", "plate_gap", "foot_radius", "head_radius", "foot_spread",
        ),
    ),
    (
        "Top",
        (
            "table_height", "seat_height", "top_diameter", "top_thickness", "overhang",
            "knee_clearance", "seats",
        ),
    ),
    (
        "Weight and tipping",
        ("wood_density", "top_mass", "base_mass", "total_mass", "tipping_load"),
    ),
)  # fmt: skip
