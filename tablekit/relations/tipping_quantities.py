"""Quantities of stability on the sheet: loads, pushes, slopes and where the mass is."""

from __future__ import annotations

from tablekit.engine.quantity import Quantity, declared_in

tipping_arm = Quantity(
    "tipping_arm", "a_T", "mm", "in plan, centre line to the line through the centres of two feet",
    0.5, 3000, latex="a_T",
)  # fmt: skip
wanted_tipping_load = Quantity(
    "wanted_tipping_load", "P_w", "N", "least tipping load required of the piece",
    1, 1e5, latex="P_w",
)  # fmt: skip
stability_ratio = Quantity(
    "stability_ratio", "ζ", "1", "ratio of the tipping load to the required tipping load", 0, 1e6,
    latex=r"\zeta", said="share",
)  # fmt: skip
load_inset = Quantity(
    "load_inset", "i_P", "mm", "rim to the vertical load in a stability test", 0, 500,
    latex="i_P",
)  # fmt: skip
inset_tipping_load = Quantity(
    "inset_tipping_load", "P_i", "N",
    "vertical load at that distance from the rim, midway between two feet, that lifts the third "
    "foot",
    0, 1e6, latex="P_i",
)  # fmt: skip
tipping_push = Quantity(
    "tipping_push", "F_T", "N",
    "horizontal push at the height of the upper face that tips the empty piece over two feet, if "
    "the feet cannot slide",
    0, 1e5, latex="F_T",
)  # fmt: skip
placed_mass = Quantity(
    "placed_mass", "m_l", "kg", "mass of the objects on the top", 0, 1000, latex="m_l"
)
placed_reach = Quantity(
    "placed_reach", "x_l", "mm",
    "centre to the centre of mass of those objects, towards the edge considered; negative away "
    "from it",
    -1500, 1500, latex="x_l",
)  # fmt: skip
placed_height = Quantity(
    "placed_height",
    "h_l",
    "mm",
    "upper face of the top to the centre of mass of those objects",
    0,
    2000,
    latex="h_l",
)
loaded_tipping_load = Quantity(
    "loaded_tipping_load", "P_l", "N",
    "vertical load on the rim that tips the piece with those objects on it; negative if they tip "
    "it alone",
    -1e6, 1e6, latex="P_l",
)  # fmt: skip
edge_sitter_mass = Quantity(
    "edge_sitter_mass", "m_e", "kg",
    "mass of a person who, against all advice, sits on the rim midway between two feet",
    1, 500, latex="m_e",
)  # fmt: skip
counter_mass = Quantity(
    "counter_mass", "m_k", "kg",
    "mass at the centre needed to hold the piece down under that sitter; negative if none is "
    "needed",
    -1e4, 1e5, latex="m_k",
)  # fmt: skip
base_centre = Quantity(
    "base_centre", "z_b", "mm", "floor to the centre of mass of the three posts", 10, 3000,
    latex="z_b",
)  # fmt: skip
mass_height = Quantity(
    "mass_height", "z_M", "mm", "floor to the centre of mass of the whole piece, with no load on "
    "it",
    10, 3000, latex="z_M",
)  # fmt: skip
tipping_slope = Quantity(
    "tipping_slope", "χ", "deg",
    "slope of a floor on which the empty piece tips by itself, if its feet cannot slide",
    0.1, 89, latex=r"\chi",
)  # fmt: skip
loaded_slope = Quantity(
    "loaded_slope", "χ_l", "deg",
    "slope of a floor on which the loaded piece tips by itself; negative if it tips on a level "
    "floor",
    -89, 89, latex=r"\chi_l",
)  # fmt: skip
seat_load = Quantity(
    "seat_load", "Q", "N", "vertical load of a sitter near the edge of a seat", 0, 1e5
)
seat_load_inset = Quantity(
    "seat_load_inset", "i_Q", "mm", "rim of the seat to that load", 0, 500,
    latex="i_Q",
)  # fmt: skip
seat_push = Quantity(
    "seat_push", "F_Q", "N", "outward horizontal force at the height of the seat, acting with that "
    "load",
    0, 1e5, latex="F_Q",
)  # fmt: skip
steady_arm = Quantity(
    "steady_arm", "a_Q", "mm",
    "distance needed from the centre to the line through two feet to keep the stool from tipping "
    "under that load and force",
    0.1, 3000, latex="a_Q",
)  # fmt: skip
steady_ratio = Quantity(
    "steady_ratio", "ζ_Q", "1", "ratio of the actual distance to the distance needed", 0, 1000,
    latex=r"\zeta_Q", said="share",
)  # fmt: skip

QUANTITIES: tuple[Quantity, ...] = declared_in(globals())
