"""Every quantity of a three-post table or stool: name, letter, unit, meaning and range.

They are declared in the order in which a maker reads them, which is also the order of the sheet.
Each stands at module level under its own name. The ranges are generous: they catch typing slips
and wrong units, not bold designs.
"""

from __future__ import annotations

from tablekit.engine.quantity import Constant, Quantity, declared_in, published

# --- Size of the piece --------------------------------------------------------------------

table_height = Quantity("table_height", "H", "mm", "floor to the upper face of the top", 100, 1500)
seat_height = Quantity("seat_height", "H", "mm", "floor to the upper face of the seat", 100, 1200)
top_diameter = Quantity("top_diameter", "D", "mm", "diameter of the round top", 100, 3000, cut=True)
top_thickness = Quantity("top_thickness", "t", "mm", "thickness of the top", 5, 150, cut=True)
overhang = Quantity(
    "overhang",
    "o",
    "mm",
    "circle through the head centres to the rim, in plan",
    -1000,
    1500,
)
knee_clearance = Quantity(
    "knee_clearance", "k", "mm", "floor to the underside of the top", 50, 1500
)

# --- The post -----------------------------------------------------------------------------

post_section = Quantity(
    "post_section",
    "w",
    "mm",
    "side of a square post; depth of a rectangular one, between its bearing faces",
    10,
    300,
    cut=True,
)
post_width = Quantity(
    "post_width",
    "w_s",
    "mm",
    "width of a post, between its side faces; equal to its depth if the post is square",
    10,
    300,
    cut=True,
    latex="w_s",
)
post_length = Quantity(
    "post_length",
    "L",
    "mm",
    "overall length of a post, before the flats are cut",
    50,
    4000,
    cut=True,
)
splay = Quantity("splay", "θ", "deg", "lean of a post from the vertical", 5, 80, latex=r"\theta")

# --- The crossing -------------------------------------------------------------------------

axis_offset = Quantity(
    "axis_offset",
    "e",
    "mm",
    "distance between the axes of neighbouring posts; 0 if the axes meet",
    0,
    300,
)
notch_depth = Quantity(
    "notch_depth",
    "h",
    "mm",
    "depth of the notch: the depth to which one post is let into the next",
    0.5,
    300,
    cut=True,
)
notch_depth_ratio = Quantity(
    "notch_depth_ratio",
    "η",
    "1",
    "depth of the notch as a share of the post width",
    0.001,
    0.999,
    latex=r"\eta",
    said="share",
)
notch_position = Quantity(
    "notch_position",
    "p",
    "mm",
    "foot end of the post to the centre of its notch, along the post",
    1,
    4000,
    cut=True,
)
notch_width = Quantity(
    "notch_width", "b", "mm", "width of the notch, measured along the post", 10, 3000
)
notch_floor_tilt = Quantity(
    "notch_floor_tilt",
    "τ",
    "deg",
    "angle between the notch floor and the face of the post; 0 in a square notch",
    -90,
    90,
    latex=r"\tau",
)
crossing_angle = Quantity(
    "crossing_angle",
    "φ",
    "deg",
    "angle between two posts; also the angle between the notch walls and the post edges",
    5,
    125,
    latex=r"\varphi",
)
roll = Quantity(
    "roll",
    "β",
    "deg",
    "rotation of a post about its own axis that lays its bearing face flat on its neighbour",
    29,
    90,
    latex=r"\beta",
)
bearing_rise = Quantity(
    "bearing_rise",
    "n",
    "1",
    "vertical rise per unit length of a step square to the bearing face",
    0.01,
    1,
)
side_rise = Quantity(
    "side_rise",
    "m",
    "1",
    "vertical rise per unit length of a step square to the side face",
    0.01,
    1,
)
centre_distance = Quantity(
    "centre_distance",
    "ρ",
    "mm",
    "centre line to the axis of each post, at its nearest point",
    0,
    2000,
    latex=r"\rho",
)
waist_step = Quantity(
    "waist_step",
    "λ",
    "mm",
    "centre of the notch to the waist of the post (the point nearest the centre line)",
    0,
    2000,
    latex=r"\lambda",
)
core_side = Quantity(
    "core_side", "v", "mm", "side of the square core left between the two notches of a post", 1, 300
)
notch_relief = Quantity(
    "notch_relief",
    "ε",
    "mm",
    "extra length of one notch of one post, cut so that the posts can be assembled; 0 if all the "
    "notches are alike",
    0,
    300,
    latex=r"\varepsilon",
)
relief_ratio = Quantity(
    "relief_ratio",
    "ξ",
    "1",
    "extra length of that notch as a share of the post section",
    0,
    30,
    latex=r"\xi",
    said="share",
)
foot_arm = Quantity(
    "foot_arm", "a_f", "mm", "waist to the foot end, along the post", 1, 4000, latex="a_f"
)
head_arm = Quantity(
    "head_arm", "a_h", "mm", "waist to the head end, along the post", 1, 4000, latex="a_h"
)

# --- The flats ----------------------------------------------------------------------------

foot_flat = Quantity(
    "foot_flat", "f_f", "mm", "diameter of the largest circle on the flat at a foot", 0.5, 400
)
head_flat = Quantity(
    "head_flat", "f_h", "mm", "diameter of the largest circle on the flat at a head", 0.5, 400
)
foot_flat_depth = Quantity(
    "foot_flat_depth",
    "d_f",
    "mm",
    "lowest corner of the uncut foot to its flat, measured vertically",
    0.05,
    300,
    cut=True,
)
head_flat_depth = Quantity(
    "head_flat_depth",
    "d_h",
    "mm",
    "highest corner of the uncut head to its flat, measured vertically",
    0.05,
    300,
    cut=True,
)
flat_ratio = Quantity(
    "flat_ratio", "K", "1", "ratio of twice the depth of a flat to its diameter", 0.01, 2
)

# --- Heights ------------------------------------------------------------------------------

corner_height = Quantity(
    "corner_height",
    "H_c",
    "mm",
    "lowest to highest corner of the base, before the flats are cut",
    50,
    5000,
    latex="H_c",
)
base_height = Quantity(
    "base_height",
    "H_b",
    "mm",
    "underside of the feet to the flats on the heads, pads not included",
    50,
    4000,
    latex="H_b",
)
pad_projection = Quantity(
    "pad_projection",
    "g_f",
    "mm",
    "projection of a foot pad below the foot",
    0,
    100,
    latex="g_f",
)
plate_gap = Quantity(
    "plate_gap",
    "g_h",
    "mm",
    "gap that the fastening plate leaves between head and top",
    0,
    100,
    latex="g_h",
)

# --- Circles in plan ----------------------------------------------------------------------

foot_reach = Quantity(
    "foot_reach",
    "x_f",
    "mm",
    "in plan, centre line to the centre of a foot, measured along the direction of lean",
    1,
    4000,
    latex="x_f",
)
head_reach = Quantity(
    "head_reach",
    "x_h",
    "mm",
    "in plan, centre line to the centre of a head, measured along the direction of lean",
    1,
    4000,
    latex="x_h",
)
foot_sidestep = Quantity(
    "foot_sidestep",
    "y_f",
    "mm",
    "in plan, centre line to the centre of a foot, measured square to the direction of lean",
    -500,
    2000,
    latex="y_f",
)
head_sidestep = Quantity(
    "head_sidestep",
    "y_h",
    "mm",
    "in plan, centre line to the centre of a head, measured square to the direction of lean",
    -500,
    2000,
    latex="y_h",
)
foot_radius = Quantity(
    "foot_radius",
    "r_f",
    "mm",
    "radius of the circle through the centres of the feet",
    1,
    4000,
    latex="r_f",
)
head_radius = Quantity(
    "head_radius",
    "r_h",
    "mm",
    "radius of the circle through the centres of the heads",
    1,
    4000,
    latex="r_h",
)
foot_spread = Quantity(
    "foot_spread", "s", "mm", "centre of one foot to the centre of the next", 1, 7000
)

# --- Sitters ------------------------------------------------------------------------------

rim_per_sitter = Quantity("rim_per_sitter", "q", "mm", "length of rim per person", 150, 2000)
seats_by_rim = Quantity(
    "seats_by_rim",
    "N_q",
    "1",
    "length of the rim divided by the length per person",
    0.1,
    70,
    latex="N_q",
)
seats = Quantity("seats", "N", "1", "number of people who can sit at the table", 0, 70, whole=True)

# --- Wood and weight ----------------------------------------------------------------------

wood_density = Quantity(
    "wood_density",
    "δ",
    "kg/m^3",
    "density of the wood in use",
    80,
    1400,
    latex=r"\delta",
)
notch_volume = Quantity(
    "notch_volume",
    "V_n",
    "mm^3",
    "volume of wood removed from a post by its notch or notches",
    1,
    3e8,
    latex="V_n",
)
post_volume = Quantity(
    "post_volume", "V_p", "mm^3", "volume of one finished post", 1e3, 4e8, latex="V_p"
)
top_volume = Quantity("top_volume", "V_t", "m^3", "volume of the top", 1e-5, 1.5, latex="V_t")
top_mass = Quantity("top_mass", "M_t", "kg", "mass of the top", 0.005, 2000, latex="M_t")
base_mass = Quantity("base_mass", "M_b", "kg", "mass of the three posts", 0.001, 2000, latex="M_b")
total_mass = Quantity(
    "total_mass", "M", "kg", "mass of top and base together", 0.005, 4000, quoted=True
)

# --- Stability ----------------------------------------------------------------------------

tipping_load = Quantity(
    "tipping_load",
    "P",
    "N",
    "vertical load on the rim, midway between two feet, that lifts the third foot",
    0,
    1000000,
)

STANDARD_GRAVITY = Constant(
    "standard_gravity",
    "g",
    9.80665,
    "m/s^2",
    "standard acceleration of free fall",
    published(
        "General Conference on Weights and Measures, 3rd meeting, 1901; ISO 80000-3",
        "as carried by the CODATA tables",
    ),
)

# Lets a formula contain a fixed length ("25 mm, or less on a slender post") and keep its units
# consistent.
MILLIMETRE = Constant(
    "millimetre",
    "mm",
    1.0,
    "mm",
    "one thousandth of a metre",
    published("ISO 80000-3"),
    latex=r"\mathrm{mm}",
)

# The same for tables in inches, and for what a shop assumes that works in them.
INCH = Constant(
    "inch",
    "in",
    1.0,
    "in",
    "one inch, 25.4 mm",
    published("international yard and pound agreement, 1959", "0.9144 m to the yard"),
    latex=r"\mathrm{in}",
)

EVERY: tuple[Quantity, ...] = declared_in(globals())
