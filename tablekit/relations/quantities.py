"""Every quantity of a three-post table or stool: name, letter, unit, meaning and range.

Declared in the order a maker reads them, which is also the order of the sheet. Each stands at
module level under its own name. Ranges are generous: they keep out slips of the keyboard and
wrong units, not bold designs.
"""

from __future__ import annotations

from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.source import published

# --- What the piece has to be -------------------------------------------------------------

table_height = Quantity("table_height", "H", "mm", "floor to the upper face of the top", 100, 1500)
seat_height = Quantity("seat_height", "H", "mm", "floor to the upper face of the seat", 100, 1200)
top_diameter = Quantity("top_diameter", "D", "mm", "diameter of the round top", 100, 3000, cut=True)
top_thickness = Quantity("top_thickness", "t", "mm", "thickness of the top", 5, 150, cut=True)
overhang = Quantity(
    "overhang",
    "o",
    "mm",
    "rim of the top beyond the circle through the heads' middles",
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
    "side of the square post; of a rectangular one its depth, between the bearing faces",
    10,
    300,
    cut=True,
)
post_width = Quantity(
    "post_width",
    "w_s",
    "mm",
    "width of a post, between its side faces; the same as its depth where the post is square",
    10,
    300,
    cut=True,
    latex="w_s",
)
post_length = Quantity(
    "post_length",
    "L",
    "mm",
    "overall length of a post before the flats are cut",
    50,
    4000,
    cut=True,
)
splay = Quantity("splay", "θ", "deg", "lean of a post from plumb", 5, 80, latex=r"\theta")

# --- The crossing -------------------------------------------------------------------------

axis_offset = Quantity(
    "axis_offset",
    "e",
    "mm",
    "distance between the axes of two neighbouring posts; 0 where the axes meet",
    0,
    300,
)
notch_depth = Quantity(
    "notch_depth",
    "h",
    "mm",
    "depth of the notch: how far a post is let into the next",
    0.5,
    300,
    cut=True,
)
notch_depth_ratio = Quantity(
    "notch_depth_ratio",
    "η",
    "1",
    "depth of the notch as a share of the post's width",
    0.001,
    0.999,
    latex=r"\eta",
)
notch_position = Quantity(
    "notch_position",
    "p",
    "mm",
    "foot end of the post to the middle of its notch, along the post",
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
    "tilt of the notch floor out of the post's own face; 0 in a plain notch",
    -90,
    90,
    latex=r"\tau",
)
crossing_angle = Quantity(
    "crossing_angle",
    "φ",
    "deg",
    "angle between two posts; also the angle the notch walls make with the post's edges",
    5,
    125,
    latex=r"\varphi",
)
roll = Quantity(
    "roll",
    "β",
    "deg",
    "turn of a post about its own length, which lays its bearing face flat on its neighbour",
    29,
    90,
    latex=r"\beta",
)
bearing_rise = Quantity(
    "bearing_rise",
    "n",
    "1",
    "how far a step square to the bearing face climbs, as a share of the step",
    0.01,
    1,
)
side_rise = Quantity(
    "side_rise",
    "m",
    "1",
    "how far a step square to the side face climbs, as a share of the step",
    0.01,
    1,
)
centre_distance = Quantity(
    "centre_distance",
    "ρ",
    "mm",
    "how far each post's axis passes from the centre line",
    0,
    2000,
    latex=r"\rho",
)
waist_step = Quantity(
    "waist_step",
    "λ",
    "mm",
    "middle of the notch to the post's waist (its point nearest the centre line)",
    0,
    2000,
    latex=r"\lambda",
)
core_side = Quantity(
    "core_side", "v", "mm", "side of the square core left where a post has two notches", 1, 300
)
notch_relief = Quantity(
    "notch_relief",
    "ε",
    "mm",
    "how much longer than the rest one notch of one post is cut, so that the posts can be put "
    "together; 0 where all are alike",
    0,
    300,
    latex=r"\varepsilon",
)
relief_ratio = Quantity(
    "relief_ratio", "ξ", "1", "that lengthening as a share of the section", 0, 30, latex=r"\xi"
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
    "how far above its sharp corner a foot is cut level, plumb",
    0.05,
    300,
    cut=True,
)
head_flat_depth = Quantity(
    "head_flat_depth",
    "d_h",
    "mm",
    "how far below its sharp corner a head is cut level, plumb",
    0.05,
    300,
    cut=True,
)
flat_ratio = Quantity(
    "flat_ratio", "K", "1", "twice the depth of a flat over its diameter", 0.01, 2
)

# --- Heights ------------------------------------------------------------------------------

corner_height = Quantity(
    "corner_height",
    "H_c",
    "mm",
    "height of the base over its sharp corners, no flats cut",
    50,
    5000,
    latex="H_c",
)
base_height = Quantity(
    "base_height",
    "H_b",
    "mm",
    "floor to the heads' flats, pads not counted",
    50,
    4000,
    latex="H_b",
)
pad_projection = Quantity(
    "pad_projection",
    "g_f",
    "mm",
    "how far a foot pad stands proud of the foot",
    0,
    100,
    latex="g_f",
)
plate_gap = Quantity(
    "plate_gap",
    "g_h",
    "mm",
    "how far the fastening plate holds the top off the head",
    0,
    100,
    latex="g_h",
)

# --- Circles in plan ----------------------------------------------------------------------

foot_reach = Quantity(
    "foot_reach",
    "x_f",
    "mm",
    "in plan, centre line to a foot's middle, measured along the post's lean",
    1,
    4000,
    latex="x_f",
)
head_reach = Quantity(
    "head_reach",
    "x_h",
    "mm",
    "in plan, centre line to a head's middle, measured along the post's lean",
    1,
    4000,
    latex="x_h",
)
foot_sidestep = Quantity(
    "foot_sidestep",
    "y_f",
    "mm",
    "in plan, centre line to a foot's middle, measured square to the post's lean",
    -500,
    2000,
    latex="y_f",
)
head_sidestep = Quantity(
    "head_sidestep",
    "y_h",
    "mm",
    "in plan, centre line to a head's middle, measured square to the post's lean",
    -500,
    2000,
    latex="y_h",
)
foot_radius = Quantity(
    "foot_radius",
    "r_f",
    "mm",
    "radius of the circle through the feet's middles",
    1,
    4000,
    latex="r_f",
)
head_radius = Quantity(
    "head_radius",
    "r_h",
    "mm",
    "radius of the circle through the heads' middles",
    1,
    4000,
    latex="r_h",
)
foot_spread = Quantity(
    "foot_spread", "s", "mm", "middle of one foot to the middle of the next", 1, 7000
)

# --- Sitters ------------------------------------------------------------------------------

rim_per_sitter = Quantity("rim_per_sitter", "q", "mm", "length of rim for one person", 150, 2000)
seats_by_rim = Quantity(
    "seats_by_rim",
    "N_q",
    "1",
    "how many times one person's share goes into the rim",
    0.1,
    70,
    latex="N_q",
)
seats = Quantity("seats", "N", "1", "how many people sit at the table", 0, 70, whole=True)

# --- Wood and weight ----------------------------------------------------------------------

wood_density = Quantity(
    "wood_density", "δ", "kg/m^3", "density of the wood as used", 80, 1400, latex=r"\delta"
)
notch_volume = Quantity(
    "notch_volume",
    "V_n",
    "mm^3",
    "wood that a post loses to its notch, or to both of them",
    1,
    3e8,
    latex="V_n",
)
post_volume = Quantity("post_volume", "V_p", "mm^3", "one finished post", 1e3, 4e8, latex="V_p")
top_volume = Quantity("top_volume", "V_t", "m^3", "the top", 1e-5, 1.5, latex="V_t")
top_mass = Quantity("top_mass", "M_t", "kg", "mass of the top", 0.005, 2000, latex="M_t")
base_mass = Quantity("base_mass", "M_b", "kg", "mass of the three posts", 0.001, 2000, latex="M_b")
total_mass = Quantity("total_mass", "M", "kg", "mass of top and base together", 0.005, 4000)

# --- Standing firm ------------------------------------------------------------------------

tipping_load = Quantity(
    "tipping_load",
    "P",
    "N",
    "plumb load on the rim midway between two feet that lifts the third foot",
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

# Lets a formula name a length of its own ("25 mm, or less on a slender post") and still balance.
MILLIMETRE = Constant(
    "millimetre",
    "mm",
    1.0,
    "mm",
    "one thousandth of a metre",
    published("ISO 80000-3"),
    latex=r"\mathrm{mm}",
)

EVERY: tuple[Quantity, ...] = tuple(
    value for value in list(globals().values()) if isinstance(value, Quantity)
)
